package assign

import (
	"errors"
	"fmt"
)

// CostError reports a cost that is no number, minus infinite, or larger than [MaxCost] in size.
type CostError struct {
	Row, Column int
	Cost        float64
}

func (e *CostError) Error() string {
	return fmt.Sprintf("row %d, column %d costs %g; a number up to %g is wanted, or +Inf to forbid the pair",
		e.Row, e.Column, e.Cost, float64(MaxCost))
}

// ShapeError reports a list that does not have the length it must have.
type ShapeError struct {
	What      string // "columns" of a row, "weights", or "fixed columns"
	Row       int    // the row, for columns
	Got, Want int
}

func (e *ShapeError) Error() string {
	if e.What == "columns" {
		return fmt.Sprintf("row %d has %d columns; the rows before have %d", e.Row, e.Got, e.Want)
	}
	return fmt.Sprintf("%d %s are given for %d rows", e.Got, e.What, e.Want)
}

// WeightError reports a weight that is not from 1 to [MaxWeight].
type WeightError struct{ Row, Weight int }

func (e *WeightError) Error() string {
	return fmt.Sprintf("row %d weighs %d; a whole number from 1 to %d is wanted", e.Row, e.Weight, MaxWeight)
}

// FixError reports a pair that cannot be fixed.
type FixError struct {
	Row, Column int
	Holder      int // row that the column is fixed to already, or [None]
	Reason      string
}

func (e *FixError) Error() string {
	text := fmt.Sprintf("row %d cannot be fixed to column %d: %s", e.Row, e.Column, e.Reason)
	if e.Holder != None {
		text += fmt.Sprintf(", %d", e.Holder)
	}
	return text
}

// ShortError reports that no assignment serves all rows.
type ShortError struct{ Shortage }

func (e *ShortError) Error() string {
	return fmt.Sprintf("%d rows share %d columns: %d too few; rows %v may have columns %v only",
		len(e.Confined), len(e.Columns), e.Short, e.Confined, e.Columns)
}

// RibbonError reports a ribbon that cannot be laid as asked.
type RibbonError struct {
	Ribbon int // its number
	Reason string
}

func (e *RibbonError) Error() string { return fmt.Sprintf("ribbon %d: %s", e.Ribbon, e.Reason) }

var (
	// ErrNoRoom means that rows and ribbons each have room, but not all at once. It is proven.
	ErrNoRoom = errors.New("the ribbons and the other rows do not all find room at once")
	// ErrNotFound means that no arrangement was found within the number of steps allowed. One may exist.
	ErrNotFound = errors.New("no arrangement was found within the steps allowed; there may be one")
	// ErrColumn means that a line names a column that does not exist, or names one twice.
	ErrColumn = errors.New("a line names a column that does not exist, or one twice")
)
