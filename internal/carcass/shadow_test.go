package carcass

import (
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// TestShadow: of random boxes, every corner of every part of a board of the shell lies within its shadow or on it, and the shadow is as large as
// the blank and no larger than both sides together need.
func TestShadow(t *testing.T) {
	eachBox(t, squared, func(t *rapid.T, c *Carcass) {
		for i := range c.Boards {
			b := &c.Boards[i]
			if !b.Role.Shell() {
				continue
			}
			s := b.Shadow()
			size := s.Bounds().Size()
			if math.Abs(size.X-b.Blank.X) > 1e-4 || math.Abs(size.Y-b.Blank.Y) > 1e-4 {
				t.Fatalf("%s: shadow %v, blank %v", b.Name, size, b.Blank)
			}
			if a := max(b.OuterOutline.Area(), b.InnerOutline.Area()); s.Area() < a-1e-3 {
				t.Fatalf("%s: shadow %g mm², sides %g", b.Name, s.Area(), a)
			}
			for _, h := range b.Parts {
				middle := b.Frame.ToLocal(h.Centre()).XY()
				for _, p := range h.Points {
					q := b.Frame.ToLocal(p).XY()
					if s.Contains(q.Add(middle.Sub(q).Unit().Mul(5e-4))) {
						continue // at most that far outside: measuring each corner takes long
					}
					if g, _, _ := s.Gap(geom.Circle(q, 1e-3)); g > 1e-3 {
						t.Fatalf("%s: a corner lies %g outside", b.Name, g)
					}
				}
			}
		}
	})
}

// TestSquareWalls: a desk and a wedge with squared edges have no bevel on any board of the shell, and front and back touch the face with one
// arris: the gap at the other one is the thickness of the wall times the tangent of the slope.
func TestSquareWalls(t *testing.T) {
	for _, form := range []Form{Wedge, Desk} {
		for _, fit := range []BaseFit{Under, Between} {
			s := Spec{form, Sizes{Width: 300, FaceHeight: 200, FrontHeight: 60, Slope: 14}, Build{Wall: 9, Base: 9, Face: 3, BaseFit: fit, WallEdges: Squared, BaseEdges: Squared, FaceEdges: Squared}}
			c, ps := Make(s)
			if len(ps) > 0 {
				t.Fatal(form, fit, ps)
			}
			for i := range c.Boards {
				b := &c.Boards[i]
				for _, e := range b.Edges {
					if b.Role.Shell() && e.Bevel > 1e-6 {
						t.Errorf("%v, base %v: %s of the %s is bevelled by %g", form, fit, e.Name, b.Name, e.Bevel)
					}
				}
				if b.Role != RoleFront && b.Role != RoleBack || form == Wedge {
					continue
				}
				f := c.Faces[0]
				least, most := math.Inf(1), 0.0
				for _, h := range b.Parts {
					for _, p := range h.Points {
						if z := -f.Thickness - f.Frame.ToLocal(p).Z; p.Z > c.Bounds.Min.Z+30 {
							least, most = min(least, z), max(most, z)
						}
					}
				}
				if want := 9 * math.Sin(14*math.Pi/180); math.Abs(least) > 1e-6 || math.Abs(most-want) > 1e-6 {
					t.Errorf("%v, %s: gap %g to %g, want 0 to %g", form, b.Name, least, most, want)
				}
			}
		}
	}
}
