// Package costing is the trade of what to buy and what it costs: parts, sheets, wire, screws, glue and paint of a design, less what is on
// hand, in packs as they are sold, with spares, as a range of prices.
package costing

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// Result is what the trade has to say.
type Result struct {
	Currency string // as written: "EUR"
	Lines    []Line // by section, then as in the file
	Sections []Section
	Total    Range // of what is bought
	Whole    Range // of what goes into the panel, packs split
	Unpriced int   // lines without a price
	Shops    []Shop
	Cheaper  []Change // what would make it cheaper, best first
	Findings []finding.Finding
}

// Range is a price, least and most.
type Range struct{ From, To float64 }

// Line is one thing to buy.
type Line struct {
	Section string // controls, boards, sheets, timber, wire, small parts, screws, glue, paint, finishing
	ID      string // in the catalogue: "push-30mm"
	Title   string
	Unit    string  // "", "mm", "m2", "ml": what Use counts
	Use     float64 // what the design takes
	Spare   float64 // added by the rule of spares
	Have    float64 // on hand
	Buy     float64 // to be bought
	Pack    float64 // how many a pack has
	Packs   int
	Each    Range // price of a pack
	Sum     Range
	For     []string // controls and boards that it is for
	Why     string   // of the spare
	Priced  bool
	Source  trust.Source // of the price
}

// Section is a sum.
type Section struct {
	Name string
	Sum  Range
}

// Shop is a column of prices that the person keeps.
type Shop struct {
	Name  string
	Each  []float64 // by line; 0 = it does not have it
	Total float64
	Lacks int
}

// Change is something that would make it cheaper.
type Change struct {
	Say   string // "Use the 16 mm pots for HOUSE and STAGE: 6.20 less."
	Less  Range
	Fix   finding.Fix
	After int // findings above a note that it would bring along; 0 = none
}
