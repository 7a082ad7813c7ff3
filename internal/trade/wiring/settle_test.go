package wiring

import (
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
)

// A plan written into the file is the same plan, every pin of it settled.
func TestSettle(t *testing.T) {
	for _, name := range []string{"cue-desk", "lantern-desk", "tide-clock", "signal-desk"} {
		doc, p := place(t, name, examples.File(name))
		r := Work(p, catalog.Builtin())
		src, err := doc.Apply(r.Settle())
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		_, q, s := work(t, string(src))
		check(t, q, &s)
		for i, a := range r.Plan.Seats {
			b := s.Plan.Seats[i]
			if a.Pin != b.Pin || a.Way != b.Way || !b.Fixed {
				t.Errorf("%s: %s was on %v, is on %v, settled %v", name, r.Signals[i].Name, a.Pin, b.Pin, b.Fixed)
			}
		}
		if s.Settle() != nil {
			t.Errorf("%s: settled twice", name)
		}
	}
	// Rows and columns of a matrix, and a board that the plan adds.
	for _, by := range []string{"matrix", "expander"} {
		doc, _, r := work(t, desk+"wiring: {by: "+by+"}\ngroups:\n"+row("b", "push-12mm", 28, 200))
		src, err := doc.Apply(r.Settle())
		if err != nil {
			t.Fatal(err)
		}
		_, q, s := work(t, string(src))
		check(t, q, &s)
		for i, a := range r.Plan.Seats {
			if b := s.Plan.Seats[i]; a.Pin != b.Pin {
				t.Errorf("%s: %s was on %v, is on %v", by, r.Signals[i].Name, a.Pin, b.Pin)
			}
		}
	}
}
