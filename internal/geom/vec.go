// Package geom is the geometry under panels and boxes: points, outlines of lines and arcs, convex solids and the
// distances between them. It knows nothing of panels. Lengths are millimetres, angles degrees, counter-clockwise positive.
package geom

import "math"

// Vec2 is a point or a direction in a plane.
type Vec2 struct{ X, Y float64 }

// Vec3 is a point or a direction in space.
type Vec3 struct{ X, Y, Z float64 }

// Add gives a+b.
func (a Vec2) Add(b Vec2) Vec2 { return Vec2{a.X + b.X, a.Y + b.Y} }

// Sub gives a-b.
func (a Vec2) Sub(b Vec2) Vec2 { return Vec2{a.X - b.X, a.Y - b.Y} }

// Mul gives s·a.
func (a Vec2) Mul(s float64) Vec2 { return Vec2{a.X * s, a.Y * s} }

// Dot gives the scalar product.
func (a Vec2) Dot(b Vec2) float64 { return a.X*b.X + a.Y*b.Y }

// Cross gives the z part of the vector product: positive when b lies counter-clockwise of a.
func (a Vec2) Cross(b Vec2) float64 { return a.X*b.Y - a.Y*b.X }

// Len gives the length of a.
func (a Vec2) Len() float64 { return math.Hypot(a.X, a.Y) }

// Unit gives a at length 1; the zero vector stays zero.
func (a Vec2) Unit() Vec2 {
	if l := a.Len(); l > 0 {
		return a.Mul(1 / l)
	}
	return a
}

// Left gives a turned a quarter counter-clockwise.
func (a Vec2) Left() Vec2 { return Vec2{-a.Y, a.X} }

// At lifts a into space at height z.
func (a Vec2) At(z float64) Vec3 { return Vec3{a.X, a.Y, z} }

// Add gives a+b.
func (a Vec3) Add(b Vec3) Vec3 { return Vec3{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub gives a-b.
func (a Vec3) Sub(b Vec3) Vec3 { return Vec3{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Mul gives s·a.
func (a Vec3) Mul(s float64) Vec3 { return Vec3{a.X * s, a.Y * s, a.Z * s} }

// Dot gives the scalar product.
func (a Vec3) Dot(b Vec3) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Cross gives the vector product.
func (a Vec3) Cross(b Vec3) Vec3 {
	return Vec3{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Len gives the length of a.
func (a Vec3) Len() float64 {
	if q := a.Dot(a); q > 1e-200 && q < 1e200 {
		return math.Sqrt(q)
	}
	return math.Hypot(a.X, math.Hypot(a.Y, a.Z)) // the squares would lose what is very small or very large
}

// XY drops the height.
func (a Vec3) XY() Vec2 { return Vec2{a.X, a.Y} }

// Box2 is an upright rectangle. The zero value is the point at the origin; use EmptyBox2 to gather points.
type Box2 struct{ Min, Max Vec2 }

// EmptyBox2 contains nothing; the first Extend makes it a point.
func EmptyBox2() Box2 {
	inf := math.Inf(1)
	return Box2{Vec2{inf, inf}, Vec2{-inf, -inf}}
}

// Extend gives the smallest box that holds b and p.
func (b Box2) Extend(p Vec2) Box2 {
	return Box2{Vec2{min(b.Min.X, p.X), min(b.Min.Y, p.Y)}, Vec2{max(b.Max.X, p.X), max(b.Max.Y, p.Y)}}
}

// Union gives the smallest box that holds both.
func (b Box2) Union(c Box2) Box2 {
	return Box2{Vec2{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)}, Vec2{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)}}
}

// Grow gives the box with each side moved outwards by m.
func (b Box2) Grow(m float64) Box2 {
	return Box2{Vec2{b.Min.X - m, b.Min.Y - m}, Vec2{b.Max.X + m, b.Max.Y + m}}
}

// Overlaps reports whether the boxes share a point.
func (b Box2) Overlaps(c Box2) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Size gives width and height.
func (b Box2) Size() Vec2 { return b.Max.Sub(b.Min) }

// Centre gives the middle.
func (b Box2) Centre() Vec2 { return b.Min.Add(b.Max).Mul(0.5) }

// Box3 is an upright block in space.
type Box3 struct{ Min, Max Vec3 }

// Place is a rigid move in the plane: first turn about the origin by Turn degrees, then shift by At. With Flip the thing
// is first mirrored left to right (x becomes -x), as when a panel is seen from behind.
type Place struct {
	At   Vec2
	Turn float64
	Flip bool
}

// Apply moves a point.
func (p Place) Apply(v Vec2) Vec2 {
	if p.Flip {
		v.X = -v.X
	}
	s, c := sincosDeg(p.Turn)
	return Vec2{c*v.X - s*v.Y + p.At.X, s*v.X + c*v.Y + p.At.Y}
}

// sincosDeg is exact at multiples of a quarter turn, so that turned rectangles stay upright.
func sincosDeg(deg float64) (sin, cos float64) {
	switch d := math.Mod(deg, 360); d {
	case 0:
		return 0, 1
	case 90, -270:
		return 1, 0
	case 180, -180:
		return 0, -1
	case 270, -90:
		return -1, 0
	}
	return math.Sincos(deg * math.Pi / 180)
}

// Unit gives a at length 1; the zero vector stays zero.
func (a Vec3) Unit() Vec3 {
	if l := a.Len(); l > 0 {
		return Vec3{a.X / l, a.Y / l, a.Z / l}
	}
	return a
}

// EmptyBox3 contains nothing; the first Extend makes it a point.
func EmptyBox3() Box3 {
	inf := math.Inf(1)
	return Box3{Vec3{inf, inf, inf}, Vec3{-inf, -inf, -inf}}
}

// Extend gives the smallest block that holds b and p.
func (b Box3) Extend(p Vec3) Box3 {
	return Box3{
		Vec3{min(b.Min.X, p.X), min(b.Min.Y, p.Y), min(b.Min.Z, p.Z)},
		Vec3{max(b.Max.X, p.X), max(b.Max.Y, p.Y), max(b.Max.Z, p.Z)},
	}
}

// Union gives the smallest block that holds both.
func (b Box3) Union(c Box3) Box3 { return b.Extend(c.Min).Extend(c.Max) }

// Centre gives the middle.
func (b Box3) Centre() Vec3 { return b.Min.Add(b.Max).Mul(0.5) }

// XY drops the heights.
func (b Box3) XY() Box2 { return Box2{b.Min.XY(), b.Max.XY()} }

// Overlaps reports whether the blocks share a point.
func (b Box3) Overlaps(c Box3) bool {
	return b.XY().Overlaps(c.XY()) && b.Min.Z <= c.Max.Z && c.Min.Z <= b.Max.Z
}
