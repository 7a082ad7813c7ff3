// Package solid writes solids for other programs and for the workshop wall: STEP with true planes and cylinders, STL and 3MF
// meshes for printing, and line drawings in parallel projection. It knows nothing of panels or boxes: it is given bodies,
// each a name, a colour and a few pieces, and a piece is a convex block, a bar of any outline, or convex blocks made one, with holes.
//
//	bodies --Build--> Model --STEP, STL, ThreeMF--> files
//	                        --Mesh--> triangles
//	                        --Line--> drawing items
//
// Everything is in millimetres in one right-handed frame, that of the bodies; no writer moves, turns or scales anything. Nothing reads a
// clock or a disk: the same bodies give the same bytes.
package solid

import (
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// Thin is the least thickness in millimetres of anything: of the wall between two holes, of a hole's edge to the edge of its piece,
// of the bottom of a blind hole, of a tongue of an outline. What is thinner is refused: no workshop makes it, and meshes
// need room to replace arcs by chords.
const Thin = 0.02

// Far is the greatest coordinate in millimetres, of either sign, that is taken.
const Far = 1e5

// Colour is a colour as on a screen (sRGB).
type Colour struct{ R, G, B uint8 }

// Body is one thing with a name and a colour: a board, a knob. Its pieces must not overlap; they may touch.
type Body struct {
	Name   string // any text; the empty name becomes "body" and its number
	Colour Colour
	Look   Look
	Pieces []Piece
}

// Look says how a body is drawn by Line.
type Look struct {
	Wash drawing.Ink  // fill of its surfaces; none leaves them white (drawing.Paper)
	Side drawing.Ink  // fill of surfaces turned to the right of the viewer, away from the light; default Wash
	Line drawing.Line // kind of its visible edges; default drawing.Visible
}

// Piece is a solid of one part: a Block, a Prism or a Fused.
type Piece interface {
	build() (*brep, error)
}

// Block is a convex solid with flat faces, and holes.
type Block struct {
	Hull  *geom.Hull
	Holes []Hole
}

// Prism is a bar of constant outline along the z axis of its own frame: a board, a disc, a shaft with flats.
type Prism struct {
	Pose     geom.Pose    // takes the bar's own frame into the body's
	Outline  geom.Outline // in the x-y plane of its own frame
	From, To float64      // z of its two ends, From < To
	// Ends, where N is not zero, replace the flat ends at From and To by slanted planes, given in the body's frame with N out of
	// the bar: Ends[0] the lower, Ends[1] the upper.
	Ends  [2]geom.HalfSpace
	Holes []Hole
}

// Hole is a straight hole: an outline moved along the z axis of its own frame. It starts in the flat face whose plane lies nearest to
// the frame's origin, of those that look towards z and hold the outline, and goes against z.
type Hole struct {
	Pose    geom.Pose    // takes the hole's own frame into the body's: z points out of the piece, towards the drill
	Outline geom.Outline // in the x-y plane of its own frame
	// Depth is measured from the origin of the hole's frame along -z to the flat bottom; 0 goes right through, to the next
	// face that looks the other way.
	Depth float64
	Sink  Sink
}

// Sink widens the mouth of a round hole for the head of a screw. The zero value does not.
type Sink struct {
	D     float64 // diameter at the surface
	Angle float64 // whole angle of the cone in degrees, above 0 and below 180; 0 is a flat-bottomed counterbore
	Depth float64 // of the counterbore, when Angle is 0
}

// Plate is a board of even thickness whose front lies in the x-y plane of its frame, and its back at z = -thickness.
func Plate(p geom.Pose, o geom.Outline, thickness float64) Prism {
	return Prism{Pose: p, Outline: o, From: -thickness, To: 0}
}

// Bar is the outline o moved by h along axis (any length, not zero) from base. Which way the outline's x axis points is chosen so
// that a bar along z keeps it.
func Bar(base, axis geom.Vec3, o geom.Outline, h float64) Prism {
	p := along(axis)
	p.At = base
	return Prism{Pose: p, Outline: o, From: 0, To: h}
}

// Round is a cylinder or disc of diameter d that starts with the middle of one end at base and runs h along axis.
func Round(base, axis geom.Vec3, d, h float64) Prism {
	return Bar(base, axis, geom.Circle(geom.Vec2{}, d), h)
}

// Front is a hole of outline o, in the frame of the prism, from its upper end downwards; depth 0 goes through.
func (p Prism) Front(o geom.Outline, depth float64) Hole {
	f := p.Pose
	f.At = f.Apply(geom.Vec3{Z: p.To})
	return Hole{Pose: f, Outline: o, Depth: depth}
}

// Back is a hole of outline o, in the frame of the prism and so as seen from its front, from its lower end upwards; depth 0 goes through.
func (p Prism) Back(o geom.Outline, depth float64) Hole {
	f := p.Pose
	f.At = f.Apply(geom.Vec3{Z: p.From})
	f.X, f.Z = f.X.Mul(-1), f.Z.Mul(-1)
	return Hole{Pose: f, Outline: o.Move(geom.Place{Flip: true}), Depth: depth}
}

// Drill is a round hole of diameter d that starts at the point at and goes along dir (any length, not zero).
func Drill(at, dir geom.Vec3, d, depth float64) Hole {
	p := along(dir.Mul(-1))
	p.At = at
	return Hole{Pose: p, Outline: geom.Circle(geom.Vec2{}, d), Depth: depth}
}

// along gives a frame whose z axis is the direction d; the zero vector gives the zero Pose, which is refused later.
func along(d geom.Vec3) geom.Pose {
	z := d.Unit()
	if z == (geom.Vec3{}) {
		return geom.Pose{}
	}
	up := geom.Vec3{Y: 1}
	if z.Y > 0.9 || z.Y < -0.9 {
		up = geom.Vec3{Z: 1}
	}
	x := up.Cross(z).Unit()
	return geom.Pose{X: x, Y: z.Cross(x), Z: z}
}
