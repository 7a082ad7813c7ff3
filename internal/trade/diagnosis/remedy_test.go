package diagnosis_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/finding"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
)

// Every remedy without solder can be applied to its file, says what it does, and leaves every other lead where it is.
func TestRemedies(t *testing.T) {
	files := map[string][]byte{"small": []byte(small), "lantern-desk": examples.File("lantern-desk")}
	for _, name := range []string{"small", "lantern-desk"} {
		src := files[name]
		doc, in := build(t, string(src))
		m := diagnosis.New(in)
		tried := map[diagnosis.Kind]int{}
		for _, c := range m.Faults() {
			f := c.Fault
			r, ok := m.Remedy(f)
			if !ok {
				continue
			}
			if tried[f.Kind]++; tried[f.Kind] > 4 {
				continue
			}
			if r.Fact.What == "" || strings.Contains(r.Fact.What, "<") || len(r.Fact.Edits) == 0 || len(r.Fact.Of) == 0 {
				t.Errorf("%s %+v: %+v", name, f, r.Fact)
			}
			out, err := doc.Apply(r.Fact.Edits)
			if err != nil {
				t.Errorf("%s %+v: %v", name, f, err)
				continue
			}
			for _, x := range project.Read(name, out).Findings {
				if x.Severity == finding.Stop {
					t.Errorf("%s %+v: %s %s", name, f, x.Rule, x.Head)
				}
			}
			again := inputs(t, name, out)
			if again.Wiring.Plan.Partial {
				t.Errorf("%s %+v: the plan is not finished any more", name, f)
			}
			moved := 0
			for i, s := range in.Wiring.Signals {
				if was := in.Wiring.Plan.Seats[i].Pin; pinOf(t, again, s.Name) != was {
					moved++
				}
			}
			want := map[diagnosis.Kind][]int{
				diagnosis.Swapped: {2}, diagnosis.PhasesSwap: {2}, diagnosis.WrongPin: {1}, diagnosis.EndsSwapped: {0}, diagnosis.Bounces: {0}, diagnosis.Detents: {0},
			}[f.Kind]
			if !slices.Contains(want, moved) {
				t.Errorf("%s %+v: %d leads moved", name, f, moved)
			}
			for _, x := range again.Wiring.Findings {
				if x.Severity == finding.Stop && !slices.ContainsFunc(in.Wiring.Findings, func(y finding.Finding) bool { return x.Head == y.Head }) {
					t.Errorf("%s %+v: %s", name, f, x.Head)
				}
			}
		}
		for _, k := range []diagnosis.Kind{diagnosis.Swapped, diagnosis.WrongPin, diagnosis.EndsSwapped, diagnosis.Bounces} {
			if tried[k] == 0 {
				t.Errorf("%s: no remedy for any %s", name, k)
			}
		}
		t.Log(name, fmt.Sprint(tried))
	}
}
