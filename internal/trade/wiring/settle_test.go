package wiring

import (
	"fmt"
	"strings"
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
	// Crossings of a matrix, ladders, boards that the plan adds: also when a control comes to them.
	for _, src := range []string{
		desk + "wiring: {by: matrix}\ngroups:\n" + row("b", "push-12mm", 28, 200) + row("s", "toggle-mini-3", 3, 160) + "controls:\n",
		desk + "wiring: {by: matrix, matrix: {diodes: to-column}}\ngroups:\n" + row("b", "push-12mm", 20, 200) + row("s", "toggle-mini-3", 3, 160) + "controls:\n",
		desk + "wiring: {by: expander}\ngroups:\n" + row("b", "push-12mm", 28, 200) + "controls:\n",
		desk + "limits: {wire.kind-worth: 0}\ngroups:\n" + row("b", "push-12mm", 22, 200) + "controls:\n  mood: {part: rotary-6way, at: [300, 100]}\n",
	} {
		doc, _, r := work(t, src)
		out, err := doc.Apply(r.Settle())
		if err != nil {
			t.Fatal(err)
		}
		_, q, s := work(t, string(out))
		check(t, q, &s)
		for i, a := range r.Plan.Seats {
			b := s.Plan.Seats[i]
			if a.Pin != b.Pin || a.Way != b.Way || a.Row != b.Row || a.Column != b.Column || b.Way == Matrix && b.Why != settledWhy {
				t.Errorf("%s was on %+v, is on %+v", r.Signals[i].Name, a, b)
			}
		}
		if s.Settle() != nil {
			t.Errorf("settled twice: %+v", s.Settle())
		}
		more := strings.Replace(string(out), "controls:\n", "controls:\n  later: {part: push-12mm, at: [60, 60]}\n", 1)
		_, q, n := work(t, more)
		check(t, q, &n)
		if n.Plan.Partial {
			t.Errorf("one more has no place:\n%s", dump(n))
		}
		for i, a := range r.Plan.Seats {
			name := r.Signals[i].Name
			b := seat(t, n, name)
			if a.Way == Matrix {
				if r.Signals[a.Row].Name != n.Signals[b.Row].Name || r.Signals[a.Column].Name != n.Signals[b.Column].Name {
					t.Errorf("%s has changed its crossing", name)
				}
			} else if a.Pin != b.Pin {
				t.Errorf("with one more, %s moved from %v to %v", name, a.Pin, b.Pin)
			}
		}
	}
}

// Crossings that cannot be.
func TestSettledCrossings(t *testing.T) {
	head := desk + "wiring: {by: matrix, pins: {%s}}\ncontrols:\n  a: {part: push-16mm, at: [50, 150]}\n  b: {part: push-16mm, at: [90, 150]}\n  s: {part: toggle-mini-3, at: [130, 150]}\n  k: {part: pot-16mm, at: [200, 150]}\n"
	for _, c := range []struct{ pins, rule, say string }{
		{"a: {row: 2, column: 1}, b: {row: 2, column: 1}", "wire.pin-taken", "B and A cross at the same place, row 2, column 1."},
		{"k: {row: 1, column: 1}", "wire.cannot", "K cannot cross in a matrix."},
		{"a: {row: 1, column: 40}", "wire.cannot", "There is no row 1, column 40 for A; they go from 1 to 16."},
		{"s/up: {row: 1, column: 1}, s/down: {row: 2, column: 2}", "wire.cannot", "S down cannot cross at row 2, column 2: it has one common with S up, and that lies on another line."},
		{"nobody: {row: 1, column: 1}", "wire.unknown-lead", "No lead is called nobody."},
	} {
		doc, p, r := work(t, fmt.Sprintf(head, c.pins))
		check(t, p, &r)
		f := one(t, r, c.rule)
		if f.Head != c.say || r.Plan.Partial {
			t.Errorf("%q, want %q", f.Head, c.say)
		}
		if s := mend(t, doc, f.Fixes[0]); len(of(s, c.rule)) != 0 {
			t.Errorf("%s: not mended", c.pins)
		}
	}
	_, p, r := work(t, fmt.Sprintf(head, "a: {row: 3, column: 2}, s/up: {row: 1, column: 1}"))
	check(t, p, &r)
	s := seat(t, r, "a")
	if s.Way != Matrix || r.Signals[s.Row].Name != "matrix/row-3" || r.Signals[s.Column].Name != "matrix/column-2" {
		t.Error(dump(r))
	}
}
