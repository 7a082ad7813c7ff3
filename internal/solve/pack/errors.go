package pack

import (
	"fmt"
	"math"
)

// InputError reports a number in the question that cannot be worked with.
type InputError struct {
	Piece int     // index of the piece, or [None]
	Sheet int     // index of the sheet, or [None]
	Name  string  // its name, if it has one
	Field string  // what is wrong: "width", "height", "count", "value", "cost", "kerf", "trim"
	Value float64 // what was given
	Want  string  // what is taken
}

func (e *InputError) Error() string {
	return fmt.Sprintf("%s%s is %g; wanted: %s", called(e.Piece, e.Sheet, e.Name), e.Field, e.Value, e.Want)
}

// called names the thing a message is about, with a space after it.
func called(piece, sheet int, name string) string {
	switch {
	case name != "":
		return name + ": "
	case piece != None:
		return fmt.Sprintf("piece %d: ", piece+1)
	case sheet != None:
		return fmt.Sprintf("sheet %d: ", sheet+1)
	}
	return ""
}

// FitError reports a piece larger than what every sheet leaves between its trims.
type FitError struct {
	Piece         int     // index of the piece
	Name          string  // its name, if it has one
	Width, Height float64 // its size, mm
	Turn          bool    // whether it might have been turned
	RoomWidth     float64 // usable width of the sheet with the most usable area, mm
	RoomHeight    float64 // usable height of that sheet, mm; infinite for a strip
}

func (e *FitError) Error() string {
	turn := ""
	if e.Turn {
		turn = ", turned or not"
	}
	room := fmt.Sprintf("the largest sheet takes %g × %g mm", e.RoomWidth, e.RoomHeight)
	switch {
	case e.RoomWidth == 0 || e.RoomHeight == 0:
		room = "no sheet leaves any room"
	case math.IsInf(e.RoomHeight, 1):
		room = fmt.Sprintf("the strip is %g mm wide", e.RoomWidth)
	}
	return fmt.Sprintf("%sdoes not fit: it measures %g × %g mm%s, and %s",
		called(e.Piece, None, e.Name), e.Width, e.Height, turn, room)
}
