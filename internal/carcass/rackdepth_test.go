package carcass

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/geom"
)

// inner is the inner plane of a board: n·p = d, n outwards.
func inner(b *Board) (n geom.Vec3, d float64) {
	return b.Frame.N, b.Frame.N.Dot(b.Frame.O) - b.Thickness
}

// meet is the point of the middle plane x = 0 on two planes that run along x.
func meet(n geom.Vec3, d float64, m geom.Vec3, e float64) geom.Vec3 {
	k := n.Y*m.Z - n.Z*m.Y
	return geom.Vec3{Y: (d*m.Z - e*n.Z) / k, Z: (n.Y*e - m.Y*d) / k}
}

// TestRackDepth: the clear depth of a rack is square to its panel, as that of every box is: found here from the planes of the finished
// boards. With a top from where panel and top meet inside to the back; without one from the plane of the panel to the corner of back
// and base. Given as a size it comes out as given.
func TestRackDepth(t *testing.T) {
	for _, slope := range []float64{90, 80, 60, 45, 30} {
		for _, top := range []bool{true, false} {
			z := Sizes{Units: 3, Slope: slope}
			if top {
				z.Clear = 90
			} else if slope == 90 {
				continue
			}
			s := Spec{Rack, z, Build{Wall: 12, Base: 9, Face: 3}}
			c, ps := Make(s)
			if len(ps) > 0 {
				t.Errorf("%g degrees, top %v: %v", slope, top, ps)
				continue
			}
			if (c.Board("top") != nil) != top {
				t.Fatalf("%g degrees: top is %v", slope, !top)
			}
			fn, fd := inner(c.Board("face"))
			bn, bd := inner(c.Board("back"))
			want := 0.0
			if top {
				tn, td := inner(c.Board("top"))
				q := meet(fn, fd, tn, td)
				want = (bd - bn.Dot(q)) / bn.Dot(fn.Mul(-1))
			} else {
				en, ed := inner(c.Board("base"))
				want = fd - fn.Dot(meet(bn, bd, en, ed))
			}
			if got := c.Spec.Sizes.Clear; math.Abs(got-want) > 1e-6 || top && math.Abs(got-90) > 1e-6 {
				t.Errorf("%g degrees, top %v: %g, square to the panel %g", slope, top, got, want)
			}
		}
	}
}

// TestRackCheeksTooThick: cheeks of 17.7 mm leave 447.2 mm of 482.6, less than the 450 mm that what is built on a panel may take. What is named is what
// there is: no ledge and no overhang in a box that has neither.
func TestRackCheeksTooThick(t *testing.T) {
	s := Spec{Form: Rack, Sizes: Sizes{Units: 3, Slope: 60, Depth: 220}, Build: Build{Wall: 17.7, Base: 12, Face: 2, Top: 12}}
	ends := func() (names []string) {
		_, ps := Resolve(s)
		if len(ps) != 1 || ps[0].Kind != NoRoom || ps[0].Want != 450 {
			t.Fatalf("%+v", ps)
		}
		for _, e := range ps[0].Ends {
			names = append(names, string(e.Name))
		}
		return names
	}
	if got := strings.Join(ends(), ", "); got != "thickness of the walls, width" {
		t.Error(got)
	}
	s.Build.Overhang = 2
	if got := strings.Join(ends(), ", "); got != "thickness of the walls, overhang, width" {
		t.Error(got)
	}
}
