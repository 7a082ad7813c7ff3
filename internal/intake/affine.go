package intake

import (
	"math"

	"knobwright/internal/geom"
)

// affine moves, turns, stretches: x' = A x + C y + E, y' = B x + D y + F.
type affine struct{ A, B, C, D, E, F float64 }

var same = affine{A: 1, D: 1}

func scaled(x, y float64) affine { return affine{A: x, D: y} }

func turnedBy(a float64) affine {
	s, c := math.Sincos(a)
	return affine{c, s, -s, c, 0, 0}
}

// then gives m after t: a point goes through t first.
func (m affine) then(t affine) affine {
	return affine{
		m.A*t.A + m.C*t.B, m.B*t.A + m.D*t.B,
		m.A*t.C + m.C*t.D, m.B*t.C + m.D*t.D,
		m.A*t.E + m.C*t.F + m.E, m.B*t.E + m.D*t.F + m.F,
	}
}

func (m affine) apply(p geom.Vec2) geom.Vec2 {
	return geom.Vec2{X: m.A*p.X + m.C*p.Y + m.E, Y: m.B*p.X + m.D*p.Y + m.F}
}

// even gives the scale when it is the same in all directions, so that circles stay circles.
func (m affine) even() (float64, bool) {
	k := math.Hypot(m.A, m.B)
	l := math.Hypot(m.C, m.D)
	dot := m.A*m.C + m.B*m.D
	return k, math.Abs(k-l) <= 1e-6*max(k, l) && math.Abs(dot) <= 1e-6*k*l
}

// flips reports whether it mirrors.
func (m affine) flips() bool { return m.A*m.D-m.B*m.C < 0 }
