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
	Bits      []BitUse // bits in order of use; coping saw and file come last, as bits of no kind
	Coupons   []Coupon
	Marking   string // how to mark the centres in this sheet
	Backing   string // advice for this sheet: backing board, masking, which side
	Order     string // how the order of work was chosen
	Cautions  []string
	Walk      float64 // mm the drill walks in this order, from the datum corner from job to job; the steps along a chain are not in it
	WalkBound float64 // a proven lower bound on it, mm; 0 when none was computed
}

// Job is one operation at one place: a pilot, a hole, an enlargement, a saw cut.
type Job struct {
	N               int // tick number, 1-based, order of work
	Hole            int // number of the hole on the template, 1-based, reading order
	Cut             *panel.Cut
	Do              string // "pilot", "drill", "step", "saw", "bore", "chain", "file"
	Bit             catalog.Bit
	At              panel.Pt   // where the bit goes: may differ from the cut's middle (corner holes, chain holes)
	Points          []panel.Pt // of a chain: every hole, in order; At is the first
	Depth           float64    // blind depth, 0 = through
	Back            bool       // from the back of the sheet
	Both            bool       // from both faces
	Last            bool       // the opening has its size after this job: measure it now
	RPMLow, RPMHigh int        // 0 for hand tools
	Say             string     // one sentence or two: "Open to 22 mm on the step drill, from both faces. ..."
}

// Hole sums up one opening for the template and the schedule.
type Hole struct {
	N        int
	Cut      *panel.Cut
	Name     string // as people call it: "STANDBY", "STANDBY's anti-turn hole"
	Bit      string // the biggest word at the hole: "22.5", "saw 28", "10.5 + file", "corners 4"; "no bit" when nothing owned makes it
	Size     float64
	How      string // sentence
	AsCut    string // allowed size as cut in the bare sheet: "22.5 to 22.9"
	Finished string // allowed size of the finished hole: "22.3 to 22.7"
	Covered  bool   // covered later: leave alone
	Jobs     []int  // numbers of its jobs, in order of work; empty when it cannot be made
}

// BitUse is one bit and what it does.
type BitUse struct {
	Bit             catalog.Bit
	Name            string // "7 mm twist bit", "step drill 4-20", "file"
	Jobs            []int  // job numbers
	RPMLow, RPMHigh int
	Why             string
}

// Coupon is a hole worth drilling in scrap first.
type Coupon struct {
	Cut *panel.Cut
	Bit catalog.Bit
	Why string
}
