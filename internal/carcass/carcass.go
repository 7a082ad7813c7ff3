// Package carcass is the box as boards: it takes a form, sizes and a way of building, and gives every board as a solid
// with its finished outlines, bevels and joints. It knows nothing of panels, files or catalogues.
//
// # Frames
//
// Box frame: x to the right, y away from the person, z up from the table, millimetres. x = 0 is the outside of the left side,
// y = 0 the foremost line of the box (overhang of the face not counted), z = 0 the table.
//
// Face frame: origin at the lower left corner of the finished face, x right, y up along the face, z towards the person; z = 0 is
// the front of the finished face. Board frame: see Board.
//
// Angles are degrees. A slope is measured from level: 0 lies flat, 90 stands upright.
package carcass

import (
	"strconv"

	"knobwright/internal/geom"
)

// Form is the shape of the box.
type Form int

// The forms.
const (
	// Flat: a level face over four upright walls.
	Flat Form = iota
	// Wedge: four walls square to the face, their lower edges cut on the slant, so that the face leans when the box stands.
	Wedge
	// Desk: upright walls, level base, sloping face, with or without a level hand rest before it.
	Desk
	// TwoSlope: upright walls, level base, two faces that meet along a level line.
	TwoSlope
	// Rack: a 19-inch panel that stands or leans between or before two side cheeks, with base, back and (when there is room for
	// it) a top.
	Rack
)

// String gives the name of the form: flat, wedge, desk, two-slope, rack.
func (f Form) String() string { return word(f, "flat", "wedge", "desk", "two-slope", "rack") }

// word gives the name of a value of an enumeration, also of one that does not exist.
func word[T ~int](v T, names ...string) string {
	if v < 0 || int(v) >= len(names) {
		return "unknown " + strconv.Itoa(int(v))
	}
	return names[v]
}

// Joint says how two boards meet.
type Joint int

// The joints. Butt, Rebated, Mitred and Fingered are the choices for the corners of the walls; the others follow from how
// the face and the base are fitted.
const (
	Butt      Joint = iota // end against face, glued and screwed
	Rebated                // one board sits in a step cut into the end of the other
	Mitred                 // both cut at half the angle
	Fingered               // interlocking fingers
	LaidOn                 // the face lies on the edges of the walls
	LaidUnder              // the base lies under the edges of the walls
	LetIn                  // edge against the inside of a wall
	Rests                  // lies on a ledge or against a cleat
	Glued                  // batten on a board
	Meets                  // touches, not joined
	Free                   // no neighbour
)

// String gives the joint in trade words.
func (j Joint) String() string {
	return word(j, "butt", "rebate", "mitre", "finger", "laid on", "laid under", "let in", "rests on", "glued", "meets", "free")
}

// Through says which walls run the whole way at the corners; it matters to butt, rebate and finger joints.
type Through int

// FrontBack: front and back run through, the sides stand between them. Sides: the other way round.
const (
	FrontBack Through = iota
	Sides
)

// String gives what runs through.
func (t Through) String() string { return word(t, "front and back", "sides") }

// Fit says how a face, a hand rest or a top sits on the walls.
type Fit int

// On: laid on the edges of the walls. In: let in between the walls, on ledges, flush with their edges.
const (
	On Fit = iota
	In
)

// String gives the fit in trade words.
func (f Fit) String() string { return word(f, "laid on", "let in") }

// BaseFit says how the base sits.
type BaseFit int

// Under: laid under the walls. Between: let in between the walls against cleats. NoBase: open below.
const (
	Under BaseFit = iota
	Between
	NoBase
)

// String gives the fit in trade words.
func (f BaseFit) String() string { return word(f, "laid under", "let in between", "none") }

// EdgeStyle says how the front and back edges of a face or a base are cut where they meet walls that lean to them.
type EdgeStyle int

// Usual: squared for a face laid on, bevelled for everything else. Squared edges are square to the board: a board laid on covers
// the walls exactly with its inner side, a board let in touches them with one arris. Bevelled edges are flush with, or lie
// against, the walls. FrontBevelled is bevelled in front and squared behind.
const (
	Usual EdgeStyle = iota
	Squared
	Bevelled
	FrontBevelled
)

// String gives the style in trade words.
func (e EdgeStyle) String() string {
	return word(e, "as usual", "square", "bevelled", "front edge bevelled")
}

// Held says how the face is held; it changes no board.
type Held int

// The ways of holding a face.
const (
	Screwed Held = iota
	GluedDown
	Hinged
)

// String gives the way in trade words.
func (h Held) String() string { return word(h, "screwed", "glued", "hinged") }

// Meeting says how the edges of two boards of the top are cut where they meet (hand rest and face, lower and upper face).
type Meeting int

// HalfEach: both at half the angle, a mitre. FirstSquare: the nearer board is cut square, the farther one is bevelled to it.
// SecondSquare: the other way round.
const (
	HalfEach Meeting = iota
	FirstSquare
	SecondSquare
)

// String gives the cut in trade words.
func (m Meeting) String() string {
	return word(m, "mitred", "nearer edge square", "farther edge square")
}

// joint is what the cut makes of the two edges.
func (m Meeting) joint() Joint {
	if m == HalfEach {
		return Mitred
	}
	return Butt
}

// Tool is what cuts finger joints.
type Tool int

// The tools.
const (
	Saw Tool = iota
	Laser
)

// String names the tool.
func (t Tool) String() string { return word(t, "saw", "laser") }

// Fingers describes finger joints. The fingers of a corner are evenly spaced over the lowest height of that corner, an odd number of
// them, of about the width wanted; what a slope leaves over goes to the last one.
type Fingers struct {
	Width     float64 // wanted width of a finger, mm
	Clearance float64 // slot less finger, mm: positive is loose, negative a press fit (the solids are then drawn without play)
	Kerf      float64 // width of the cut, mm
	Tool      Tool
}

// Batten is the section of a ledge or a cleat: Width from the wall inwards, Height along the wall (of the shorter side, when an
// edge is bevelled); mm. The zero value is no batten.
type Batten struct{ Width, Height float64 }

func (b Batten) none() bool { return b == Batten{} }

// Blocks are glue blocks in the upright corners: square battens of side Size, or triangular ones with legs of Size; mm.
type Blocks struct {
	Size       float64
	Height     float64 // from their upper ends down; 0 = to what lies below
	Triangular bool
}

// Rib is a batten under a face, along the line From - To in the face frame; it is trimmed to the room between the walls and
// ledges. Width is across the line, Height down behind the face; mm.
type Rib struct {
	Name          string // "rib" and a number when empty
	Face          int    // index into Carcass.Faces
	From, To      geom.Vec2
	Width, Height float64
}

// Build is how the box is built. All thicknesses are as measured, in mm.
type Build struct {
	Wall, Base, Face float64
	HandRest         float64 // hand rest of a desk; 0 = as the face
	Upper            float64 // upper face of a box with two; 0 = as the face
	Top              float64 // top of a rack; 0 = as the walls

	Corner      Joint // Butt, Rebated, Mitred or Fingered
	Through     Through
	RebateDepth float64 // into the thickness of the board that runs through; 0 = half of it
	RebateWidth float64 // from its end; 0 = the thickness of the other board. Less leaves a tongue on the other board.
	Fingers     Fingers

	FaceFit   Fit
	FaceEdges EdgeStyle // Squared always in a rack
	FaceHeld  Held
	Overhang  float64   // of a face laid on, beyond the walls, measured along the face
	Play      float64   // round a face let in, each side
	WallEdges EdgeStyle // upper and lower edges of front and back: Squared = square to the wall, touching with one arris; otherwise bevelled
	RestFit   Fit       // hand rest of a desk, top of a rack
	Meeting   Meeting

	BaseFit   BaseFit
	BaseEdges EdgeStyle
	BaseUp    float64 // how far a base let in lies above the lower edges of the walls
	BasePlay  float64 // round a base let in, each side

	Ledge  Batten // under the face; a face let in without one gets 12 x 12
	Cleat  Batten // above a base let in; without one 12 x 12
	Blocks Blocks
	Ribs   []Rib
}

// Sizes are what the person may give, and what Resolve fills. Zero means not given. Heights, Width and Depth are outside
// measures of the box as it stands, with face and base, without overhang; mm and degrees.
type Sizes struct {
	Width float64 // over the sides
	Depth float64 // from the foremost to the rearmost line, level
	// FrontHeight and BackHeight: the front plane of the face (or of the hand rest, or the top) above the table where it meets the
	// outside planes of front and back; in a rack without a top, the upper edge of the panel.
	FrontHeight, BackHeight float64
	FaceWidth, FaceHeight   float64 // finished face; with two faces the lower one; a rack has 482.6 and its units
	// Clear is the depth behind the face, square to it, from its back to the base, at the lower end of the room behind it. In a rack: to
	// the inside of the back board, at the upper end of that room, under the top (below, a leaning panel stands on the base: nothing
	// is left there); without a top, to the corner of back and base, where it is most.
	Clear        float64
	Slope        float64 // of the face, with two faces of the lower one; a rack without one stands at 90
	HandRest     float64 // depth of the hand rest, from the outside of the front to the face; 0 = none
	UpperSlope   float64 // TwoSlope: of the upper face
	UpperHeight  float64 // TwoSlope: upper face, measured along it
	MiddleHeight float64 // TwoSlope: above the table where the faces meet
	Units        int     // Rack: height units
}

// Limits of what is taken on: mm and degrees.
const (
	MaxSlope  = 75    // of a face; a rack panel may stand at 90
	MinRack   = 15    // least slope of a rack panel
	maxSize   = 10000 // greatest length
	minLeft   = 1     // least length of anything that must be left: a wall's height, the room inside
	rackWide  = 482.6 // EIA-310-D, IEC 60297-3-100
	rackUnit  = 44.45
	rackShort = 0.79
	rackClear = 450 // least opening between the cheeks, IEC 60297-3-100
)

// PanelHeight is the height of a 19-inch panel of so many units, mm: n x 44.45 - 0.79 (EIA-310-D, IEC 60297-3-100).
func PanelHeight(units int) float64 { return float64(units)*rackUnit - rackShort }
