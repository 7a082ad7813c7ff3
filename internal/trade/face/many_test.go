package face

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// Where everything meets everything, enough is said one by one and the rest is counted; nothing is lost and nothing that the
// person keeps is lumped.
func TestMany(t *testing.T) {
	p := gridPanel(900, 17, false)
	last := p.Controls[len(p.Controls)-1].Name
	p.Keeps = []panel.Keep{{Rule: ruleNeighbours.Name, Of: []string{last}}}
	k := newChecker(p)
	all := k.bundles(k.hits())
	byRule := func(sev finding.Severity, rule string) (n int) {
		for i := range all {
			if all[i].sev == sev && all[i].rule.Name == rule {
				n++
			}
		}
		return n
	}
	more := regexp.MustCompile(`: (\d+) more like those before\.$`)
	type key struct {
		sev  finding.Severity
		rule string
	}
	ones, lumped := map[key]int{}, map[key]int{}
	fixes, kept := 0, 0
	for _, f := range Check(p).Findings {
		q := key{f.Severity, f.Rule}
		if m := more.FindStringSubmatch(f.Head); m != nil {
			n, _ := strconv.Atoi(m[1])
			lumped[q] += n
			if lumped[q] != n {
				t.Errorf("%s is lumped twice", f.Rule)
			}
			continue
		}
		ones[q]++
		if len(f.Fixes) > 0 || strings.Contains(f.Body, "No single move") {
			fixes++
		}
		if f.Rule == ruleNeighbours.Name && slices.ContainsFunc(f.Ends, func(e finding.End) bool { return e.Path == "controls."+last }) {
			kept++
		}
	}
	lumps := 0
	for q, n := range ones {
		if n+lumped[q] != byRule(q.sev, q.rule) && byRule(q.sev, q.rule) > 0 {
			t.Errorf("%s %s: %d one by one and %d lumped of %d", q.sev, q.rule, n, lumped[q], byRule(q.sev, q.rule))
		}
		if lumped[q] > 0 {
			lumps++
		}
	}
	if lumps < 3 || fixes > mostCured || fixes < mostCured/2 {
		t.Errorf("%d lumps, %d fixes looked for", lumps, fixes)
	}
	if kept == 0 {
		t.Error("what is kept was lumped")
	}
}

// The gravest come first, of alike ones the first.
func TestGravest(t *testing.T) {
	all := []bundle{{hit: hit{sev: finding.Warn}}, {hit: hit{sev: finding.Note}}, {hit: hit{sev: finding.Stop}}, {hit: hit{sev: finding.Warn}}, {hit: hit{sev: finding.Stop}}}
	if got, want := gravest(all, 3), []bool{true, false, true, false, true}; !slices.Equal(got, want) {
		t.Errorf("%v, wanted %v", got, want)
	}
}
