package drilling

import (
	"math"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

// FuzzPlan puts one opening of any numbers on a sheet of any numbers: the plan must not fail, and print no number that is none.
func FuzzPlan(f *testing.F) {
	f.Add(uint8(0), 12.0, 10.5, 1.7, 0.0, 0.2, 3.0, 50.0, 60.0, 0.0, 0.0, uint8(0), 10.0)
	f.Add(uint8(3), 71.0, 25.0, 2.0, 0.0, 0.2, 2.0, 50.0, 60.0, 90.0, 0.0, uint8(7), 0.5)
	f.Add(uint8(2), 66.0, 3.0, 0.0, 0.0, 1.0, 3.0, 50.0, 60.0, 90.0, 0.0, uint8(3), 0.0)
	f.Add(uint8(1), math.NaN(), math.Inf(1), -1.0, 5.0, -5.0, -3.0, math.Inf(-1), 1e300, math.NaN(), -1.0, uint8(255), -1.0)
	f.Add(uint8(4), 1e-9, 1e9, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 2.0, uint8(64), math.NaN())
	f.Fuzz(func(t *testing.T, form uint8, a, b, c, lo, hi, thick, x, y, turn, blind float64, flags uint8, own float64) {
		spec := catalog.Cut{Tol: [2]length.Length{mm(lo), mm(hi)}, Depth: mm(blind)}
		switch form % 7 {
		case 0:
			spec.DoubleD = pair(a, b)
		case 1:
			spec.SingleD = pair(a, b)
		case 2:
			spec.Slot = pair(a, b)
		case 3:
			spec.Rect, spec.Corner = pair(a, b), mm(c)
		case 4:
			spec.Round = mm(a)
		case 5:
			spec.Round, spec.Notch = mm(a), &catalog.Notch{Width: mm(c), Height: mm(b)}
		}
		kinds := []string{"acrylic", "plywood", "aluminium", "steel"}
		p := sheet(kinds[flags&3], thick, join(twists, step20, saws, fors)...)
		p.Files, p.Press = flags&4 == 0, flags&8 == 0
		p.Wander = c
		if flags&16 != 0 {
			p.Units = "in"
		}
		if flags&32 != 0 {
			p.Bits = nil
		}
		if flags&64 != 0 {
			p.Limits.Own = map[string]float64{}
			for _, r := range Rules {
				for _, l := range r.Limits {
					p.Limits.Own[l.Name] = own
				}
			}
		}
		cut := &panel.Cut{ID: "x", Spec: spec, At: panel.P(x, y), Turn: turn, Nominal: spec.Nominal(), Blind: blind}
		cut.FinishedMin, cut.FinishedMax = cut.Nominal+lo, cut.Nominal+hi
		cut.CutMin, cut.CutMax = cut.FinishedMin+c, cut.FinishedMax+c
		p.Openings = []*panel.Cut{cut}
		r := Plan(p)
		if math.IsNaN(r.Walk+r.WalkBound) || math.IsInf(r.Walk, 0) {
			t.Fatal(r.Walk, r.WalkBound)
		}
		last := 0
		for _, j := range r.Jobs {
			if math.IsNaN(j.At.X+j.At.Y+j.Depth) || math.IsInf(j.At.X+j.At.Y, 0) || j.RPMLow < 0 {
				t.Fatalf("%+v", j)
			}
			if j.Last {
				last++
			}
		}
		if len(r.Jobs) > 0 && last != 1 || len(r.Jobs) > 100 {
			t.Fatalf("%d jobs, finished %d times", len(r.Jobs), last)
		}
		if len(r.Jobs) == 0 && len(r.Findings) == 0 {
			t.Fatal("nothing made and nothing said")
		}
		for _, f := range r.Findings {
			if m := f.Measure; m != nil && (math.IsNaN(m.Have+m.Want+m.WantMax) || math.IsInf(m.Have+m.Want+m.WantMax, 0)) {
				t.Fatalf("%s: %+v", f.Head, m)
			}
		}
	})
}

func TestNothingToDo(t *testing.T) {
	for _, p := range []*panel.Panel{nil, {}, {Controls: []*panel.Control{nil, {}}, Openings: []*panel.Cut{nil}, Fixings: []*panel.Fixing{nil, {}}}} {
		if r := Plan(p); len(r.Jobs) != 0 || len(r.Findings) != 0 || len(r.Holes) != 0 {
			t.Errorf("%+v", r)
		}
	}
}
