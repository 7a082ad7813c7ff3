package carcass

import (
	"errors"
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// area gives the surface of faces that look along n, or of all when n is zero.
func area(s *geom.Solid) (a float64) {
	for i := range s.Faces {
		f := &s.Faces[i]
		for _, l := range f.Loops {
			o := s.Points[l[0]]
			for k := range l {
				a += s.Points[l[k]].Sub(o).Cross(s.Points[l[(k+1)%len(l)]].Sub(o)).Dot(f.Plane.N) / 2
			}
		}
	}
	return a
}

// faceToFace gives the area in which two convex solids touch, face on face.
func faceToFace(g, h *geom.Hull) (a float64) {
	for i := range g.Faces {
		p := g.Plane(i)
		for k := range h.Faces {
			q := h.Plane(k)
			if p.N.Dot(q.N) > -1+1e-9 || math.Abs(p.D+q.D) > 1e-6 {
				continue
			}
			// a plate on the face, cut to the other
			plate, ok := geom.CutHull(g, geom.HalfSpace{N: p.N.Mul(-1), D: -p.D + 1e-3})
			if !ok {
				continue
			}
			for m := range h.Faces {
				if m == k || !ok {
					continue
				}
				w := h.Plane(m)
				if s := w.N.Sub(p.N.Mul(w.N.Dot(p.N))); s.Len() > 1e-9 { // upright on the face
					at := p.N.Mul(p.D)
					plate, ok = geom.CutHull(plate, geom.HalfSpace{N: s, D: w.D - w.N.Dot(p.N)*p.D + s.Dot(at)})
				}
			}
			if !ok {
				continue
			}
			for m := range plate.Faces {
				if plate.Plane(m).N.Dot(p.N) > 1-1e-9 {
					a += plate.FaceArea(m)
				}
			}
		}
	}
	return a
}

// TestOneSolid: the parts of every board make one solid, without a hollow, of the volume of all parts; its surface is that of the parts less
// what they touch each other with, so that no face is left inside.
func TestOneSolid(t *testing.T) {
	many, apart := 0, 0
	eachBox(t, nil, func(t *rapid.T, c *Carcass) {
		for i := range c.Boards {
			b := &c.Boards[i]
			var in []geom.Layer
			surface := 0.0
			for k, h := range b.Parts {
				in = append(in, geom.Layer{Hull: h})
				for m := range h.Faces {
					surface += h.FaceArea(m)
				}
				for _, g := range b.Parts[:k] {
					surface -= 2 * faceToFace(g, h)
				}
			}
			s, err := geom.Fuse(in)
			if errors.Is(err, geom.ErrTouch) {
				apart++
				continue
			}
			if err != nil {
				t.Fatalf("%s: %v", b.Name, err)
			}
			if len(in) > 1 {
				many++
			}
			if s.Shells() != 1 {
				t.Fatalf("%s of %d parts: %d shells", b.Name, len(in), s.Shells())
			}
			if math.Abs(s.Volume()-b.Volume) > 1e-8*surface+1e-6 { // corners that are one are welded: no side moves by more than a hundred-millionth of a millimetre
				t.Fatalf("%s of %d parts: %g mm³, want %g", b.Name, len(in), s.Volume(), b.Volume)
			}
			if a := area(s); math.Abs(a-surface) > 1e-6*surface {
				t.Fatalf("%s of %d parts: %g mm² of surface, want %g", b.Name, len(in), a, surface)
			}
		}
	})
	if many < 100 || apart > 0 {
		t.Errorf("%d boards of many parts, %d hang together by an edge only", many, apart)
	}
}
