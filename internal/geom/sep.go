package geom

import "math"

// Sep says how two solids a and b lie to each other.
type Sep struct {
	// Gap is the distance between them in millimetres; negative when they overlap, by the least shift that parts them.
	Gap float64
	// A on a and B on b are the nearest points, or how deep each reaches into the other.
	A, B Vec3
	// Dir is the unit direction from a to b: moving b by Dir·(want-Gap) makes the gap want.
	Dir Vec3
}

// Gap measures between two solids. Upright prisms (and with them blocks and upright bars) are measured exactly; others by the
// Gilbert-Johnson-Keerthi algorithm when apart and by growing a polytope inside the Minkowski difference when they overlap,
// to about 1e-7 of their size. With a nil solid the gap is +Inf.
func Gap(a, b Convex) Sep {
	if a == nil || b == nil {
		return Sep{Gap: math.Inf(1), Dir: Vec3{1, 0, 0}}
	}
	if p, ok := a.(*prism); ok {
		if q, ok := b.(*prism); ok {
			return prismGap(p, q)
		}
	}
	return generalGap(a, b)
}

// HalfSpace is a solid without end: all points x with N·x ≤ D. N points out of it and need not be a unit vector.
type HalfSpace struct {
	N Vec3
	D float64
}

// GapTo measures from the half-space h to the solid c like Gap: A lies on the face of h, B on c, Dir is N at length 1.
// With N zero, a number that is none, or a nil solid the gap is +Inf.
func (h HalfSpace) GapTo(c Convex) Sep {
	l := h.N.Len()
	if c == nil || !(l > 0) || math.IsInf(l, 0) {
		return Sep{Gap: math.Inf(1), Dir: Vec3{1, 0, 0}}
	}
	u := h.N.Mul(1 / l)
	b := c.Support(u.Mul(-1))
	g := b.Dot(u) - h.D/l
	if math.IsNaN(g) {
		return Sep{Gap: math.Inf(1), Dir: Vec3{1, 0, 0}}
	}
	return Sep{Gap: g, A: b.Sub(u.Mul(g)), B: b, Dir: u}
}
