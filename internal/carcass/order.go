package carcass

import (
	"cmp"
	"fmt"
	"slices"

	"knobwright/internal/length"
)

// Pieces shorter than SmallLength or narrower than SmallWidth are dangerous at a machine saw: they are cut last, from a longer
// piece or by hand saw; mm. Common practice.
const (
	SmallLength = 150
	SmallWidth  = 50
)

// Small reports whether the board is a dangerous piece to saw by machine.
func (b *Board) Small() bool {
	return min(b.Blank.X, b.Blank.Y) < SmallWidth || max(b.Blank.X, b.Blank.Y) < SmallLength
}

// Work is a kind of cutting.
type Work string

// The kinds of cutting, in the order of the shop: along the grain, across it, on the slant, then the joints.
const (
	WorkRip      Work = "rip"
	WorkCrossCut Work = "cross-cut"
	WorkTaper    Work = "cut on the slant"
	WorkRebate   Work = "rebate"
	WorkFingers  Work = "cut fingers"
)

// Cut is one cut in the order of work.
type Cut struct {
	Board   string
	Edge    string // which edge it makes
	Work    Work
	Tilt    float64 // of the saw from square, degrees
	Longer  Side    // the side that the tilt leaves longer
	Size    float64 // what the board then measures square to the edge, over its longer side; 0 for slants and joints, mm
	Small   bool    // a dangerous piece, see SmallLength
	AtBench bool    // fit it to the box: measure the opening when the box stands
	Say     string  // in plain words
	Caution string
}

// Order gives the cuts of all boards in a sensible order: big boards before small ones; along the grain (with bevels, while the
// piece is still long) before across, slants after both, joints last; what is fitted to the standing box after what makes it.
func (c *Carcass) Order() []Cut {
	type keyed struct {
		Cut
		late, stage, board int
		area               float64
	}
	var ks []keyed
	for i := range c.Boards {
		b := &c.Boards[i]
		for _, e := range b.Edges {
			for _, k := range b.cuts(e) {
				k.AtBench = c.fitted(b)
				ks = append(ks, keyed{k, bit(k.AtBench), stage(k.Work), i, b.Blank.X * b.Blank.Y})
			}
		}
	}
	slices.SortStableFunc(ks, func(a, b keyed) int {
		return cmp.Or(cmp.Compare(a.late, b.late), cmp.Compare(bit(a.Small), bit(b.Small)), cmp.Compare(a.stage, b.stage),
			cmp.Compare(b.area, a.area), cmp.Compare(a.board, b.board), cmp.Compare(a.Tilt, b.Tilt))
	})
	cs := make([]Cut, len(ks))
	for i, k := range ks {
		cs[i] = k.Cut
	}
	return cs
}

func stage(w Work) int {
	return slices.Index([]Work{WorkRip, WorkCrossCut, WorkTaper, WorkRebate, WorkFingers}, w)
}

// fitted reports whether a board is fitted to the standing box: battens and boards let in.
func (c *Carcass) fitted(b *Board) bool {
	if !b.Role.Shell() {
		return true
	}
	return slices.ContainsFunc(b.Edges, func(e Edge) bool { return e.Joint == LetIn })
}

// cuts gives the cuts that an edge asks for.
func (b *Board) cuts(e Edge) []Cut {
	k := Cut{Board: b.Name, Edge: e.Name, Tilt: e.Bevel, Longer: e.Longer, Small: b.Small()}
	switch e.When {
	case Rip:
		k.Work, k.Size = WorkRip, b.Blank.Y
	case CrossCut:
		k.Work, k.Size = WorkCrossCut, b.Blank.X
	default:
		k.Work = WorkTaper
	}
	k.Say = fmt.Sprintf("%s the %s of the %s", k.Work, e.Name, b.Name)
	if k.Size > 0 {
		k.Say = fmt.Sprintf("%s the %s of the %s to %s", k.Work, e.Name, b.Name, mm(k.Size))
	}
	if e.Bevel > 0 {
		k.Say += fmt.Sprintf(", saw tilted %s (%s thick, %s over, %s side longer)", deg(e.Bevel), length.Plain(b.Thickness), length.Plain(e.Over), e.Longer)
	}
	k.Say += "."
	if k.Small {
		k.Caution = "A small piece: cut it last, from a longer piece, by hand saw or in a jig; never hold it by hand at a running blade."
	}
	cs := []Cut{k}
	if e.Rebate != nil {
		r := k
		r.Work, r.Tilt, r.Size = WorkRebate, 0, 0
		r.Say = fmt.Sprintf("rebate the %s of the %s on its %s side: %s from the end, %s deep.", e.Name, b.Name, e.Rebate.Side, mm(e.Rebate.Width), mm(e.Rebate.Depth))
		cs = append(cs, r)
	}
	if e.Comb != nil {
		r := k
		r.Work, r.Tilt, r.Size = WorkFingers, 0, 0
		begin := "a slot"
		if e.Comb.First {
			begin = "a finger"
		}
		r.Say = fmt.Sprintf("cut fingers on the %s of the %s: %s long, %s wide, slots %s, both ends begin with %s.", e.Name, b.Name, mm(e.Comb.Length), mm(e.Comb.Finger()), mm(e.Comb.Slot()), begin)
		cs = append(cs, r)
	}
	return cs
}
