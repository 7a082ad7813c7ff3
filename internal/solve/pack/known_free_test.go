package pack

import (
	"testing"

	"knobwright/internal/thorough"
)

// Best known numbers of sheets for free cutting, no turning, classes 1 to 4 of Berkey & Wang (1987), as collected by the
// Operations Research group of the University of Bologna.
func TestKnownFree(t *testing.T) {
	lists := sample(cutLists(t, "CLASS"), 6)
	if !thorough.Is() {
		lists = sample(lists, 4)
	}
	got, best, bound := 0.0, 0.0, 0.0
	for _, c := range lists {
		low, ok := c.row.number("free_cut_lower_bound")
		if !ok {
			continue
		}
		high, _ := c.row.number("free_cut_best_known")
		r := c.solve(t, false, Free, Quick)
		if r.Cost < low || r.Bound > high {
			t.Errorf("%s: %g sheets, bound %g; known %g to %g", c.name, r.Cost, r.Bound, low, high)
		}
		got, best, bound = got+r.Cost, best+high, bound+r.Bound
	}
	t.Logf("%g sheets, best known %g, bound %g", got, best, bound)
	if got > 1.03*best {
		t.Error("too far from the best known")
	}
}

// gap% is the distance from the best known number, bound% that of the bound from it.
func BenchmarkFree(b *testing.B) {
	lists := cutLists(b, "CLASS")
	var a tally
	for b.Loop() {
		for _, c := range lists {
			if high, ok := c.row.number("free_cut_best_known"); ok {
				start := spent()
				r := c.solve(b, false, Free, Usual)
				a.add(start, r.Cost/high-1, 1-r.Bound/high, r.Exact)
			}
		}
	}
	a.report(b)
}
