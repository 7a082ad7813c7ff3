package carcass

import (
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// TestShellOutside: a printed box is as large outside as the box of boards without its faces: no board but the faces lies outside it, and the room
// inside lies behind its walls.
func TestShellOutside(t *testing.T) {
	square := func(t *rapid.T, s *Spec) { s.Build.Overhang = 0 }
	eachBox(t, square, func(t *rapid.T, c *Carcass) {
		wall := rapid.Float64Range(1, 4).Draw(t, "wall thickness")
		s, ok := c.Shell(wall)
		if !ok {
			return
		}
		outer := Board{Parts: s.Outer}
		for i := range c.Boards {
			b := &c.Boards[i]
			if b.Role == RoleFace || b.Role == RoleBase {
				continue // a base cut square stands out, or in
			}
			if left := b.Volume - shared(b, &outer); left > 1e-6*b.Volume+1e-6 {
				t.Fatalf("%g mm³ of the %s lie outside", left, b.Name)
			}
		}
		whole, room := 0.0, 0.0
		for _, h := range s.Outer {
			whole += h.Volume()
		}
		inner := Board{Parts: s.Inner}
		room = shared(&outer, &inner)
		if !(room > 0 && room < whole) {
			t.Fatalf("room of %g mm³ in %g", room, whole)
		}
		// every wall is so thick: the outside moved in by it touches the room, faces apart
		for _, h := range s.Inner {
			for i := range h.Faces {
				w := h.Plane(i)
				near := math.Inf(1)
				for _, o := range s.Outer {
					for k := range o.Faces {
						if q := o.Plane(k); q.N.Dot(w.N) > 1-1e-9 {
							near = min(near, math.Abs(q.D-w.D-wall))
						}
					}
				}
				if near > 1e-6 && !opens(c, s, w) {
					t.Fatalf("a side of the room, %v, has no wall of %g", w, wall)
				}
			}
		}
	})
}

// opens reports whether a plane is where the room goes out through a face, lies between two parts of the room, or beyond everything.
func opens(c *Carcass, s Shell, w geom.HalfSpace) bool {
	beyond := true
	for _, h := range s.Outer {
		beyond = beyond && h.Support(w.N).Dot(w.N) < w.D
	}
	if beyond {
		return true
	}
	for _, f := range c.Faces {
		if f.Frame.N.Dot(w.N) > 1-1e-9 && w.D > f.Frame.N.Dot(f.Frame.O)-1e-6 {
			return true
		}
	}
	for _, h := range s.Inner {
		for i := range h.Faces {
			if q := h.Plane(i); q.N.Dot(w.N) < -1+1e-9 && math.Abs(q.D+w.D) < 1e-6 {
				return true
			}
		}
	}
	return false
}
