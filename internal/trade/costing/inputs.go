package costing

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/trade/box"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// Inputs is what the other trades decided.
type Inputs struct {
	Panel   *panel.Panel
	Box     box.Result
	Wiring  wiring.Result
	Harness harness.Result
	Cat     *catalog.Catalog

	Stock     Stock  // what the person keeps; the zero value is an empty shelf
	Budget    string // as the file says: "80 EUR"; "" = none
	BudgetPos finding.Pos

	// Try tells what a change of the file would lead to; nil = nothing is tried, and no change is offered.
	Try func([]finding.Edit) (Tried, bool)
	// Most bounds how many changes are tried; 0 = 8.
	Most int
}

// Tried is what a change of the file leads to.
type Tried struct {
	In           Inputs // what the trades decide then
	Stops, Warns int    // findings then
	Before       [2]int // stops and warnings as it stands
}
