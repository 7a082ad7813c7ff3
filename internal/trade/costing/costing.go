// Package costing is the trade of what to buy and what it costs: parts, sheets, wire, screws, glue and paint of a design, less what is on
// hand, in packs as they are sold, with spares, as a range of prices.
//
// It takes what the other trades decided and computes no geometry of its own. Prices of the catalogue are ranges of the trade in euro for
// one piece, a metre, a square metre; the person's own prices, from the stock file, go before them. Nothing is bought, nothing is taken
// from the stock: that is the person's word (see Take).
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
	Whole    Range // of what goes into the panel, packs split, spares and stock left out
	Unpriced int   // lines that are to be bought and have no price
	Shops    []Shop
	Split    *Split   // the cheapest way to share the list out among the shops; nil without shops
	Budget   float64  // in Currency; 0 = none
	Cheaper  []Change // what would make it cheaper, best first
	Findings []finding.Finding
}

// Range is a price, least and most.
type Range struct{ From, To float64 }

// Add gives the sum of two ranges.
func (r Range) Add(q Range) Range { return Range{r.From + q.From, r.To + q.To} }

// Sub gives the difference of two ranges, end by end.
func (r Range) Sub(q Range) Range { return Range{r.From - q.From, r.To - q.To} }

// Times gives a range so many times.
func (r Range) Times(k float64) Range { return Range{r.From * k, r.To * k} }

// Middle is halfway between least and most.
func (r Range) Middle() float64 { return (r.From + r.To) / 2 }

// The sections of the list, in their order.
const (
	Controls   = "controls"
	Boards     = "boards"
	Sheets     = "sheets"
	Timber     = "timber"
	Wire       = "wire"
	SmallParts = "small parts"
	Screws     = "screws"
	Glue       = "glue"
	Paint      = "paint"
	Finishing  = "finishing"
)

// SectionNames lists the sections in their order.
var SectionNames = []string{Controls, Boards, Sheets, Timber, Wire, SmallParts, Screws, Glue, Paint, Finishing}

// Line is one thing to buy.
type Line struct {
	Section string // one of SectionNames
	ID      string // in the catalogue: "push-30mm"; of wire with its colour: "hookup-24 BK"; of resistors with the value
	Title   string
	Unit    string  // "", "m", "m2", "ml": what Use counts
	Use     float64 // what the design takes
	Spare   float64 // added by the rule of spares
	Have    float64 // on hand, as far as it is wanted here
	Buy     float64 // to be bought, before packs
	Pack    float64 // how many a pack has
	Packs   int
	Each    Range // price of a pack
	Sum     Range
	For     []string // controls and boards that it is for
	Why     string   // of the spare
	Size    string   // of sheets, screws and the like, in mm: "600 x 300"
	Priced  bool
	Source  trust.Source // of the price

	class string // of a control, for alternatives
	one   Range  // price of one unit
}

// Section is a sum.
type Section struct {
	Name string
	Sum  Range
}

// Shop is a column of prices that the person keeps.
type Shop struct {
	Name     string
	Each     []float64 // by line: price of a pack there; 0 = it does not have it
	Sums     []float64 // by line: price of what is to be bought, in whole packs of that shop
	Shipping float64
	Total    float64 // of what it has, with shipping
	Lacks    int     // lines to be bought that it does not have
}

// Split says where each line is bought so that all of it costs least, shipping counted.
type Split struct {
	Shop  []int // by line, index into Shops; -1 = no shop has it, or nothing is to be bought
	Total float64
	Lacks int // lines that no shop has
	Exact bool
}

// Change is something that would make it cheaper.
type Change struct {
	Say   string // "Take push-12mm for DOOR and BIRDS: 3.20 to 6.40 less."
	Less  Range  // of what is bought
	Fix   finding.Fix
	After int  // findings above a note that it would bring along; 0 = none
	Under bool // the middle of the price is then within the budget
}
