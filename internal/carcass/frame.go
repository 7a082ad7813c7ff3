package carcass

import "knobwright/internal/geom"

// Frame is a place and three directions in the box frame: U right, V up, N towards the viewer, unit vectors square to each
// other, right-handed (U x V = N). Local coordinates are mm along them.
type Frame struct{ O, U, V, N geom.Vec3 }

// ToLocal gives a point of the box frame in this frame.
func (f Frame) ToLocal(p geom.Vec3) geom.Vec3 {
	p = p.Sub(f.O)
	return geom.Vec3{X: p.Dot(f.U), Y: p.Dot(f.V), Z: p.Dot(f.N)}
}

// ToWorld gives a point of this frame in the box frame.
func (f Frame) ToWorld(p geom.Vec3) geom.Vec3 { return f.O.Add(f.Turn(p)) }

// Turn gives a direction of this frame in the box frame.
func (f Frame) Turn(d geom.Vec3) geom.Vec3 {
	return f.U.Mul(d.X).Add(f.V.Mul(d.Y)).Add(f.N.Mul(d.Z))
}

// Pose gives the move that takes solids of this frame into the box frame; its Inverse takes them back.
func (f Frame) Pose() geom.Pose { return geom.Pose{X: f.U, Y: f.V, Z: f.N, At: f.O} }

// on gives the point u, v on the plane N = 0 of the frame.
func (f Frame) on(p geom.Vec2) geom.Vec3 { return f.ToWorld(p.At(0)) }
