package plate

import (
	"errors"
	"fmt"
	"strings"

	"knobwright/internal/geom"
)

// InputError reports a number in the model that cannot be worked with.
type InputError struct {
	Thing string  // "sheet", "opening", "line", "point", "rib", "spot", "case", "option"
	Index int     // which of them, from 0; -1 for the sheet
	Name  string  // its name, if it has one
	Field string  // what is wrong: "thickness", "young"
	Value float64 // what was given
	Want  string  // what is taken
	At    geom.Vec2
}

func (e *InputError) Error() string {
	who := e.Thing
	switch {
	case e.Name != "":
		who = e.Name
	case e.Index >= 0:
		who = fmt.Sprintf("%s %d", e.Thing, e.Index+1)
	}
	return fmt.Sprintf("%s: %s is %g; wanted: %s", who, e.Field, e.Value, e.Want)
}

// Motion is one way in which a sheet, or a piece of it, can move without bending.
type Motion struct {
	Piece     geom.Vec2 // a point of the sheet on the piece that moves
	Whole     bool      // the piece is the whole sheet
	Kind      MotionKind
	On, Along geom.Vec2 // for Tips and Rocks: a point of the axis, and its direction at length 1
	About     string    // name of the support that lies on the axis, if one does
}

// MotionKind tells free motions apart.
type MotionKind int

const (
	// Floats: nothing holds it at all.
	Floats MotionKind = iota
	// Tips: it turns about an axis held by a support.
	Tips
)

func (m Motion) String() string {
	who := "the sheet"
	if !m.Whole {
		who = fmt.Sprintf("the piece at (%.4g, %.4g)", m.Piece.X, m.Piece.Y)
	}
	switch {
	case m.Kind == Floats:
		return who + " is held by nothing"
	case m.About != "":
		return who + " can tip about " + m.About
	}
	return fmt.Sprintf("%s can tip about the line through (%.4g, %.4g) along (%.3g, %.3g)", who, m.On.X, m.On.Y, m.Along.X, m.Along.Y)
}

// MechanismError reports that the supports leave the sheet free to move, and how.
type MechanismError struct{ Motions []Motion }

func (e *MechanismError) Error() string {
	var s []string
	for _, m := range e.Motions {
		s = append(s, m.String())
	}
	return strings.Join(s, "; ")
}

// EmptyError reports that the openings leave nothing of the sheet.
type EmptyError struct{ Opening string }

func (e *EmptyError) Error() string {
	if e.Opening != "" {
		return e.Opening + " takes away the whole sheet"
	}
	return "nothing is left of the sheet"
}

// SizeError reports a model that would need more cells than can be worked with.
type SizeError struct{ Lines, Most int }

func (e *SizeError) Error() string {
	return fmt.Sprintf("%d grid lines are needed, %d can be worked with", e.Lines, e.Most)
}

var errDigits = errors.New("stiffnesses so far apart leave too few digits")

// StiffnessError reports that the equations could not be solved: stiffnesses too far apart for the digits of a float64.
type StiffnessError struct{ Err error }

func (e *StiffnessError) Error() string { return "the equations cannot be solved: " + e.Err.Error() }

// Unwrap gives the solver's own error.
func (e *StiffnessError) Unwrap() error { return e.Err }

// NoticeKind tells notices apart.
type NoticeKind int

const (
	// CutInTwo: openings cut the sheet into pieces; each is held, so it was solved.
	CutInTwo NoticeKind = iota
	// ThinSlit: a slit thinner than the grid can tell apart; the model joins the sheet across it and is too stiff there.
	ThinSlit
	// RibOverOpening: a rib passes over an opening, where it is left out.
	RibOverOpening
	// EdgeLayerOff: the softer edge layer had to be left out; the model is up to 2 per cent too stiff (7 for a thick sheet).
	EdgeLayerOff
	// Overlap: two openings overlap.
	Overlap
	// SpotLost: nothing of a spot lies on the sheet; its force acts at the nearest place that does.
	SpotLost
	// SmallPiece: a piece of the sheet so small that it was left out.
	SmallPiece
)

// Notice is something to know about the results.
type Notice struct {
	Kind  NoticeKind
	Index int       // of the opening, rib or spot, or -1
	At    geom.Vec2 // where
	Size  float64   // width of a slit, area of a piece, length of a rib over an opening; mm or mm²
}

func (n Notice) String() string {
	at := fmt.Sprintf(" at (%.4g, %.4g)", n.At.X, n.At.Y)
	switch n.Kind {
	case CutInTwo:
		return "the sheet is cut in two" + at
	case ThinSlit:
		return fmt.Sprintf("the slit of %.3g mm%s is thinner than the model can tell; results beside it are too stiff", n.Size, at)
	case RibOverOpening:
		return fmt.Sprintf("rib %d passes over an opening for %.3g mm%s", n.Index+1, n.Size, at)
	case EdgeLayerOff:
		return "the softer layer along edges is left out; the sheet gives a little more than computed"
	case Overlap:
		return fmt.Sprintf("opening %d overlaps another%s", n.Index+1, at)
	case SpotLost:
		return fmt.Sprintf("spot %d has nothing of the sheet under it%s; the nearest place is taken", n.Index+1, at)
	}
	return fmt.Sprintf("a piece of %.3g mm² is left out%s", n.Size, at)
}
