package face

import (
	"slices"

	"knobwright/internal/finding"
)

// A panel on which everything meets everything has more to say than anybody reads, and looking for a way out of each trouble
// takes longer than anybody waits.
const (
	mostSaid  = 200 // findings of one rule and severity that are said one by one
	mostCured = 200 // findings, the gravest, for which a fix is looked for
)

// lump is what is left of one rule and severity when enough has been said one by one.
type lump struct {
	bundle // the first one
	more   int
}

// most parts bundles into those that are said one by one and the rest, lumped by rule and severity. What the person keeps is
// never lumped.
func (k *checker) most(all []bundle) (said []bundle, rest []lump) {
	type key struct {
		rule *finding.Rule
		sev  finding.Severity
	}
	count, at := map[key]int{}, map[key]int{}
	for i := range all {
		b := &all[i]
		q := key{b.rule, b.sev}
		if count[q]++; count[q] <= mostSaid || k.keptKey(b.rule.Name, k.ends(&b.hit)...) != "" {
			said = append(said, *b)
			continue
		}
		n, ok := at[q]
		if !ok {
			n = len(rest)
			at[q] = n
			rest = append(rest, lump{bundle: *b})
		}
		rest[n].more++
	}
	for i := range rest {
		if rest[i].more == 1 { // one is no lump
			said = append(said, rest[i].bundle)
		}
	}
	return said, slices.DeleteFunc(rest, func(l lump) bool { return l.more == 1 })
}

// gravest marks the n gravest bundles, of alike ones the first.
func gravest(all []bundle, n int) []bool {
	marks := make([]bool, len(all))
	for s := finding.Stop; s >= finding.Note; s-- {
		for i := range all {
			if n > 0 && all[i].sev == s {
				marks[i], n = true, n-1
			}
		}
	}
	return marks
}

// more says how many findings of one rule are not said one by one.
func (k *checker) more(l *lump) finding.Finding {
	f := k.finding(&l.bundle, false)
	f.Head = finding.Capital(l.rule.Title) + ": " + count(l.more) + " more like those before."
	f.Body = "Cure some of those first, then check again."
	f.Measure, f.Fixes = nil, nil
	return f
}
