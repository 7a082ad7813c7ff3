package geom

import "math"

// Pose is a rigid move in space: a turn, given by where it takes the three axes, then a shift. The zero value is no turn at all and
// must not be used; start from NoPose or TurnAbout.
type Pose struct {
	X, Y, Z Vec3 // unit vectors, square to each other, right-handed
	At      Vec3
}

// NoPose leaves everything where it is.
func NoPose() Pose { return Pose{X: Vec3{1, 0, 0}, Y: Vec3{0, 1, 0}, Z: Vec3{0, 0, 1}} }

// TurnAbout turns about the axis through the origin by deg degrees, counter-clockwise when the axis points at the viewer. The zero
// axis turns nothing.
func TurnAbout(axis Vec3, deg float64) Pose {
	u := axis.Unit()
	s, c := sincosDeg(deg)
	turn := func(v Vec3) Vec3 { // Rodrigues' formula
		return v.Mul(c).Add(u.Cross(v).Mul(s)).Add(u.Mul(u.Dot(v) * (1 - c)))
	}
	if u == (Vec3{}) {
		return NoPose()
	}
	return Pose{X: turn(Vec3{1, 0, 0}), Y: turn(Vec3{0, 1, 0}), Z: turn(Vec3{0, 0, 1})}
}

// Shift gives the pose followed by a shift.
func (p Pose) Shift(v Vec3) Pose {
	p.At = p.At.Add(v)
	return p
}

// Then gives p followed by q.
func (p Pose) Then(q Pose) Pose {
	return Pose{X: q.Turn(p.X), Y: q.Turn(p.Y), Z: q.Turn(p.Z), At: q.Apply(p.At)}
}

// Inverse gives the move back.
func (p Pose) Inverse() Pose {
	q := Pose{
		X: Vec3{p.X.X, p.Y.X, p.Z.X},
		Y: Vec3{p.X.Y, p.Y.Y, p.Z.Y},
		Z: Vec3{p.X.Z, p.Y.Z, p.Z.Z},
	}
	q.At = q.Turn(p.At).Mul(-1)
	return q
}

// Apply moves a point.
func (p Pose) Apply(v Vec3) Vec3 { return p.Turn(v).Add(p.At) }

// Turn moves a direction.
func (p Pose) Turn(v Vec3) Vec3 { return p.X.Mul(v.X).Add(p.Y.Mul(v.Y)).Add(p.Z.Mul(v.Z)) }

// Posed gives the solid c after the move p; nil stays nil. A prism that stays upright keeps being measured
// exactly.
func Posed(c Convex, p Pose) Convex {
	switch s := c.(type) {
	case nil:
		return nil
	case *prism:
		if p.Z == (Vec3{0, 0, 1}) {
			turn := math.Atan2(p.X.Y, p.X.X) * 180 / math.Pi
			return NewPrism(s.outline().Move(Place{At: p.At.XY(), Turn: turn}), s.z0+p.At.Z, s.z1+p.At.Z)
		}
	case *Hull:
		h := &Hull{Faces: s.Faces, box: EmptyBox3(), centre: p.Apply(s.centre)}
		for _, v := range s.Points {
			v = p.Apply(v)
			h.Points = append(h.Points, v)
			h.box = h.box.Extend(v)
		}
		for _, f := range s.planes {
			n := p.Turn(f.N)
			h.planes = append(h.planes, HalfSpace{n, f.D + n.Dot(p.At)})
		}
		return h
	case *cylinder:
		return NewCylinder(p.Apply(s.base), p.Turn(s.axis), s.r, s.h)
	case *posed:
		return Posed(s.c, s.p.Then(p))
	}
	return &posed{c, p, p.Inverse()}
}

type posed struct {
	c       Convex
	p, back Pose
}

// Support gives the farthest point in direction d.
func (m *posed) Support(d Vec3) Vec3 { return m.p.Apply(m.c.Support(m.back.Turn(d))) }

// Centre gives an inner point.
func (m *posed) Centre() Vec3 { return m.p.Apply(m.c.Centre()) }

// Bounds gives the block round the solid.
func (m *posed) Bounds() Box3 {
	b := EmptyBox3()
	for _, d := range [3]Vec3{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
		b = b.Extend(m.Support(d)).Extend(m.Support(d.Mul(-1)))
	}
	return b
}
