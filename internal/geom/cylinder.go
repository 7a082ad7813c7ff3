package geom

import "math"

// cylinder is a round bar along any axis.
type cylinder struct {
	base Vec3
	axis Vec3 // unit
	r, h float64
}

// NewCylinder gives the round bar of radius r that starts with the middle of its end face at base and runs h along axis
// (any length, not zero; the zero vector is taken as z). Sizes count without sign.
func NewCylinder(base, axis Vec3, r, h float64) Convex {
	axis = axis.Unit()
	if axis == (Vec3{}) {
		axis = Vec3{0, 0, 1}
	}
	if h < 0 {
		axis, h = axis.Mul(-1), -h
	}
	r = math.Abs(r)
	if axis.X == 0 && axis.Y == 0 && r > 0 {
		return NewPrism(Circle(base.XY(), 2*r), base.Z, base.Z+axis.Z*h)
	}
	return &cylinder{base, axis, r, h}
}

// Support gives the farthest point in direction d.
func (c *cylinder) Support(d Vec3) Vec3 {
	p := c.base
	k := d.Dot(c.axis)
	if k > 0 {
		p = p.Add(c.axis.Mul(c.h))
	}
	side := d.Sub(c.axis.Mul(k))
	side = side.Sub(c.axis.Mul(side.Dot(c.axis))) // once more: along the axis the first time leaves rounding only
	if l := side.Len(); l > 1e-12*d.Len() {
		p = p.Add(side.Mul(c.r / l))
	}
	return p
}

// Centre gives the middle.
func (c *cylinder) Centre() Vec3 { return c.base.Add(c.axis.Mul(c.h / 2)) }

// Bounds gives the block round the bar: a disc of radius r square to the axis a reaches r·√(1-ax²) along x.
func (c *cylinder) Bounds() Box3 {
	reach := func(a float64) float64 { return c.r * math.Sqrt(max(0, (1-a)*(1+a))) }
	d := Vec3{reach(c.axis.X), reach(c.axis.Y), reach(c.axis.Z)}
	e := c.base.Add(c.axis.Mul(c.h))
	return EmptyBox3().Extend(c.base.Add(d)).Extend(c.base.Sub(d)).Extend(e.Add(d)).Extend(e.Sub(d))
}
