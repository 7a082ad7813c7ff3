package mishap

import (
	"slices"

	"knobwright/internal/finding"
)

// key tells findings apart, whatever they measured.
func key(f finding.Finding) string {
	s := f.Rule
	for _, e := range f.Ends {
		s += "|" + e.Path
		if e.Path == "" {
			s += e.Name
		}
	}
	return s
}

// fresh lists findings above a note that were not there before, or are graver.
func fresh(before, after []finding.Finding) (out []finding.Finding) {
	had := map[string]finding.Severity{}
	for _, f := range before {
		if s, ok := had[key(f)]; !ok || f.Severity > s {
			had[key(f)] = f.Severity
		}
	}
	for _, f := range after {
		s, ok := had[key(f)]
		if f.Severity > finding.Note && f.Kept == "" && (!ok || f.Severity > s) && !slices.ContainsFunc(before, func(b finding.Finding) bool { return told(b, f) }) {
			out = append(out, f)
		}
	}
	return out
}

// worse is by how much a measure must have grown worse before a finding about many things counts as another one: its list changes by one
// when something moves a little, and its head then names another of them.
const worse = 0.1

// told reports whether a finding about many things was there before: the same rule, as grave, about at least half of them or none but them, and
// what it measured is hardly worse.
func told(before, after finding.Finding) bool {
	if before.Rule != after.Rule || before.Severity < after.Severity || len(after.Ends) == 0 {
		return false
	}
	both := 0
	for _, e := range after.Ends {
		if slices.ContainsFunc(before.Ends, func(b finding.End) bool { return b.Path == e.Path && b.Name == e.Name }) {
			both++
		}
	}
	fewer := both == len(after.Ends) && len(before.Ends) > both // "A and B want": now it is B alone
	if !fewer && (len(before.Ends) < 3 || len(after.Ends) < 3 || 2*both < len(after.Ends)) {
		return false
	}
	b, a := before.Measure, after.Measure
	if b == nil || a == nil {
		return b == nil && a == nil
	}
	far := func(m *finding.Measure) float64 {
		switch m.Sense {
		case finding.AtMost:
			return m.Have - m.Want
		case finding.Between:
			return max(m.Want-m.Have, m.Have-m.WantMax)
		}
		return m.Want - m.Have
	}
	return far(a) <= far(b)*(1+worse)+1e-9
}

func count(fs []finding.Finding) (stops, warns int) {
	stops, warns, _ = finding.Count(fs)
	return
}
