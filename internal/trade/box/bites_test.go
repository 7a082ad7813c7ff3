package box

import (
	"strings"
	"testing"

	"knobwright/internal/carcass"
)

// TestShortBitesAtOnce: a box of thin walls, all alike: one note for all joints, not one for each.
func TestShortBitesAtOnce(t *testing.T) {
	c, ps := carcass.Make(carcass.Spec{Form: carcass.Desk, Sizes: carcass.Sizes{FaceWidth: 304.8, FaceHeight: 177.8, FrontHeight: 63.5, Slope: 18}, Build: carcass.Build{Wall: 11.91, Base: 11.91, Face: 5.2}})
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	r := Judge(order(c))
	n := 0
	for _, f := range r.Findings {
		if f.Rule == ruleBite.Name && strings.Contains(f.Head, "bite only") {
			n++
			if strings.Count(f.Head, ",")+strings.Count(f.Head, " and ") < 2 || len(f.Ends) < 3 {
				t.Errorf("%s %v", f.Head, f.Ends)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d notes", n)
	}
}

// TestNumberedScrews: who works in inches buys numbered screws, in lengths of inches; who writes a #6 gets one, though a 3.5 is as thick. The walls
// are 1/2 in plywood of 11.91 mm: a #4 of 2.845 mm is the thickest of at most a quarter of that, a 2.5 the thickest metric one.
func TestNumberedScrews(t *testing.T) {
	c, ps := carcass.Make(carcass.Spec{Form: carcass.Flat, Sizes: carcass.Sizes{FaceWidth: 304.8, FaceHeight: 177.8, Clear: 60}, Build: carcass.Build{Wall: 11.91, Base: 11.91, Face: 3}})
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	for _, x := range []struct {
		inches   bool
		diameter float64
		numbered bool
		want     string
	}{
		{false, 0, false, "2.5 x 25"},
		{true, 0, false, "#4 x 1 1/4 in"}, // 19 mm of bite and 11.91 of wall want 30.9 mm: 1 1/4 in is 31.75
		{false, 3, false, "3 x 35"},
		{true, 3, false, "3 x 35 mm"},
		{false, Gauge(6).Major, true, "#6 x 1 1/4 in"},
		{false, 3.5, false, "3.5 x 35"},
	} {
		o := order(c)
		o.Inches, o.Screws.Diameter, o.Screws.Numbered = x.inches, x.diameter, x.numbered
		r := Judge(o)
		if len(r.Screws) == 0 {
			t.Errorf("%+v: no screws", x)
			continue
		}
		for _, s := range r.Screws {
			if got := s.Size.Sold(s.Length, x.inches); got != x.want {
				t.Errorf("%+v: %s", x, got)
				break
			}
		}
	}
}
