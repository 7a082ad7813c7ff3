package solid

import (
	"errors"
	"fmt"
	"math"

	"knobwright/internal/geom"
)

// DefaultTolerance is how far meshes stray from true arcs, in millimetres, when asked for none.
const DefaultTolerance = 0.05

// Model is a set of bodies that have been found sound. It does not change; its writers may run at the same time.
type Model struct {
	bodies []body
}

type body struct {
	name   string
	colour Colour
	look   Look
	pieces []*brep
}

// Build works out the surfaces of bodies. The error is an *Error.
//
// It finds holes that break out of their piece or into each other, and pieces of a body that overlap as far as both are convex
// and undrilled; whether other pieces, or two bodies, overlap is not looked into.
func Build(bodies []Body) (*Model, error) {
	m := &Model{}
	for i, b := range bodies {
		out := body{name: b.Name, colour: b.Colour, look: b.Look}
		if out.name == "" {
			out.name = fmt.Sprintf("body %d", i+1)
		}
		fail := func(piece, other int, err error) error {
			e := &Error{Piece: -1, Hole: -1, Other: other, Err: err}
			errors.As(err, &e)
			e.Body, e.Piece = out.name, piece
			return e
		}
		if len(b.Pieces) == 0 {
			return nil, fail(-1, -1, ErrEmpty)
		}
		var plain []geom.Convex
		for k, p := range b.Pieces {
			if p == nil {
				return nil, fail(k, -1, ErrEmpty)
			}
			s, err := p.build()
			if err != nil {
				return nil, fail(k, -1, err)
			}
			out.pieces = append(out.pieces, s)
			c := convexOf(p, s)
			if c != nil {
				for j, d := range plain {
					if d != nil && c.Bounds().Overlaps(d.Bounds()) && geom.Gap(c, d).Gap < -Thin/2 {
						return nil, fail(k, j, ErrOverlap)
					}
				}
			}
			plain = append(plain, c)
		}
		m.bodies = append(m.bodies, out)
	}
	return m, nil
}

// convexOf gives a piece without holes as a convex solid; nil when it is none.
func convexOf(p Piece, s *brep) geom.Convex {
	switch k := p.(type) {
	case Block:
		if len(k.Holes) == 0 {
			return k.Hull
		}
	case Prism:
		if len(k.Holes) == 0 && k.Outline.IsConvex() {
			n := len(s.edges) / 3
			var lower, upper ring
			for i := range n {
				lower.e, upper.e = append(lower.e, i), append(upper.e, n+i)
				lower.v, upper.v = append(lower.v, s.edges[i].v[0]), append(upper.v, s.edges[n+i].v[0])
			}
			return newPart(s, lower, upper)
		}
	}
	return nil
}

// Bodies gives the number of bodies.
func (m *Model) Bodies() int { return len(m.bodies) }

// Name gives the name of body i.
func (m *Model) Name(i int) string { return m.bodies[i].name }

// Volume gives the volume of body i in cubic millimetres, from areas of outlines and heights over their centres: true arcs, no
// chords.
func (m *Model) Volume(i int) float64 {
	var v float64
	for _, p := range m.bodies[i].pieces {
		v += p.volume
	}
	return v
}

// Bounds gives the block round body i, true arcs included.
func (m *Model) Bounds(i int) geom.Box3 {
	b := geom.EmptyBox3()
	for _, p := range m.bodies[i].pieces {
		b = b.Union(p.bounds())
	}
	return b
}

// Mesh gives the surface of body i as triangles that keep within tol millimetres of its arcs (0: DefaultTolerance), finer where
// thin walls need it. Corners lie on the true surface. Each piece is a shell of its own.
func (m *Model) Mesh(i int, tol float64) (*Mesh, error) {
	out := &Mesh{}
	for k, p := range m.bodies[i].pieces {
		n, _, err := p.mesh(tol)
		if err != nil {
			return nil, &Error{Body: m.bodies[i].name, Piece: k, Hole: -1, Other: -1, Err: err}
		}
		out.add(n)
	}
	return out, nil
}

// tidy rounds to the given number of decimals, so that the last bits of a computation, which differ between machines, do
// not reach the files; -0 becomes 0.
func tidy(x, scale float64) float64 {
	if r := math.Round(x*scale) / scale; r != 0 {
		return r
	}
	return 0
}
