// Package face is the trade of the face: what the finger meets in front, what is left of the sheet, what meets what behind,
// and whether the part's thread or clip can hold the stack.
package face

import (
	"knobwright/internal/finding"
)

// Result is what the face trade found.
type Result struct {
	Findings []finding.Finding
	Fits     []Fit // one a control, in panel order
}

// Fit is the arithmetic behind one control's fit, for the lists and the page.
type Fit struct {
	Control    string
	Stack      float64 // sheet + covering + washers + nut that the thread or clip must span, mm
	GripMin    float64
	GripMax    float64
	ThreadLeft float64 // thread left over behind the nut, mm; negative: too short; NaN-free: 0 when the part has no thread
	Depth      float64 // room that the part needs behind the back of the sheet, mm
	DepthFree  float64 // room that there is, mm; 0 when not known
	Nearest    string  // nearest neighbour in front
	NearestGap float64 // edge to edge, mm
	Web        float64 // least sheet left round the hole, mm
}
