package box

import (
	"strings"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
)

// A screw of 3 mm that runs up the middle of a wall meets a hole of 12 mm in it, and keeps 1.5 mm of wood beside one that is farther off.
func TestScrewsKeepOffOpenings(t *testing.T) {
	b := &carcass.Board{Name: "back", Thickness: 12, Frame: carcass.Frame{U: geom.Vec3{X: 1}, V: geom.Vec3{Z: 1}, N: geom.Vec3{Y: -1}}}
	w := newWorker(Order{})
	for _, c := range []struct {
		across float64 // of the screw from the middle of the hole
		hit    bool
	}{{0, true}, {5, true}, {8.9, true}, {9.1, false}, {40, false}} {
		b.Cutouts = []carcass.Cutout{{Name: "VENT", Outline: geom.Circle(geom.Vec2{X: 50, Y: 20}, 12)}}
		// from below, along V, in the middle of the thickness
		sc := Screw{At: geom.Vec3{X: 50 + c.across, Y: 6, Z: -10}, Dir: geom.Vec3{Z: 1}, Length: 35, Size: WoodScrew{Major: 3}}
		if _, hit := w.throughOpening(&sc, b); hit != c.hit {
			t.Errorf("%g mm beside it: %v", c.across, hit)
		}
	}
	short := Screw{At: geom.Vec3{X: 50, Y: 6, Z: -10}, Dir: geom.Vec3{Z: 1}, Length: 15, Size: WoodScrew{Major: 3}}
	if _, hit := w.throughOpening(&short, b); hit {
		t.Error("a screw that ends 9 mm below the hole does not meet it")
	}
}

// A base that comes off by its screws is glued nowhere, whatever the box.
func TestABaseThatComesOffIsNotGlued(t *testing.T) {
	seen := 0
	for _, form := range []carcass.Form{carcass.Flat, carcass.Wedge, carcass.Desk} {
		for _, wall := range []float64{6.4, 9.2, 12} {
			c, ps := carcass.Make(carcass.Spec{
				Form:  form,
				Sizes: carcass.Sizes{FaceWidth: 300, FaceHeight: 200, FrontHeight: 70, Slope: map[bool]float64{true: 12}[form != carcass.Flat]},
				Build: carcass.Build{Wall: wall, Base: 9.2, Face: 3, Blocks: carcass.Blocks{Size: 18}},
			})
			if len(ps) > 0 {
				t.Fatal(ps)
			}
			r := Judge(Order{Carcass: c})
			off := false
			for _, o := range r.Opening {
				off = off || o.Board == "base"
			}
			if !off {
				continue
			}
			seen++
			for _, j := range r.Joints {
				if (j.A == "base" || j.B == "base") && strings.HasPrefix(j.How, "glued") {
					t.Errorf("%v, walls of %g: the base comes off, but %s to %s is %s", form, wall, j.A, j.B, j.How)
				}
			}
		}
	}
	if seen == 0 {
		t.Error("no base came off; the test says nothing")
	}
}
