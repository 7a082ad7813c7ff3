// Package drilling is the trade of making the openings: for every cut-out the way to make it with the bits this person
// owns, how fast, with what behind, and in which order.
package drilling

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// Result is the drilling plan.
type Result struct {
	Findings  []finding.Finding
	Holes     []Hole   // by number
	Jobs      []Job    // in the order of work
	Bits      []BitUse // bits in order of use
	Coupons   []Coupon
	Backing   string // advice for this sheet: backing board, masking, which side
	Cautions  []string
	Walk      float64 // mm the drill walks in this order
	WalkBound float64 // a proven lower bound on it, mm; 0 when none was computed
}

// Job is one operation at one place: a pilot, a hole, an enlargement, a saw cut.
type Job struct {
	N               int // tick number, 1-based, order of work
	Hole            int // number of the hole on the template, 1-based, reading order
	Cut             *panel.Cut
	Do              string // "pilot", "drill", "step", "saw", "bore", "chain", "file"
	Bit             catalog.Bit
	At              panel.Pt // where the bit goes: may differ from the cut's middle (corner holes, chain holes)
	Depth           float64  // blind depth, 0 = through
	RPMLow, RPMHigh int
	Say             string // one sentence: "Open to 22.5 on the step drill, from both sides"
}

// Hole sums up one opening for the template and the schedule.
type Hole struct {
	N        int
	Cut      *panel.Cut
	Bit      string  // the biggest word at the hole: "22.5", "saw 28", "file"
	Size     float64 // as cut
	How      string  // sentence
	Finished string  // "22.3 to 22.7"
	Covered  bool    // covered later: leave alone
}

// BitUse is one bit and what it does.
type BitUse struct {
	Bit             catalog.Bit
	Jobs            []int // job numbers
	RPMLow, RPMHigh int
	Why             string
}

// Coupon is a hole worth drilling in scrap first.
type Coupon struct {
	Cut *panel.Cut
	Bit catalog.Bit
	Why string
}
