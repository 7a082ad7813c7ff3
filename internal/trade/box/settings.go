package box

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/carcass"
)

// Settings of the saw come in these groups, in this order.
const (
	AlongGrain = "Along the grain"
	AcrossIt   = "Across the grain"
	OnSlant    = "On the slant, along the marked line"
	AtJoints   = "Joints"
	ByPlane    = "Bevels, with the plane: the laser has left the longer side at its size"
	FitBoards  = "Fitted to the standing box: measure it first"
	SmallOnes  = "Small pieces: by hand saw or in a jig, never held by hand at a running blade"
	FitBattens = "Battens, from strip, by hand saw: measure the standing box first"
)

var settingGroups = []string{AlongGrain, AcrossIt, OnSlant, ByPlane, AtJoints, FitBoards, SmallOnes, FitBattens}

// Setting is one setting of fence and blade, and all that is cut with it before it is changed.
type Setting struct {
	Group  string
	Work   carcass.Work
	Fence  float64 // what the boards then measure square to the edge, over their longer side, mm; 0 = along a marked line
	Tilt   float64 // of the blade from square, degrees
	Over   float64 // what the tilt comes to over Thick, mm
	Thick  float64
	Longer carcass.Side
	Detail string   // of joints: "6.5 wide, 3 deep on the inner side"
	Boards []string // of which all edges of this kind are cut so
	Edges  []string // single edges: "top of the back"
}

// Settings gathers cuts by what the saw must be set to, so that fence and blade are set once for all boards. Strips of the section of a
// batten are bought, so that battens are only cut to length, or bevelled. The order is that of the groups; within one square cuts first,
// the wide ones before the narrow. Of boards that a laser cuts the cuts are those that are left to do by hand.
func Settings(c *carcass.Carcass, cuts []carcass.Cut, laser bool) []Setting {
	type key struct {
		group, detail string
		work          carcass.Work
		fence, tilt   float64
		over          float64
		longer        carcass.Side
	}
	round := func(v, to float64) float64 { return math.Round(v/to) * to }
	index := map[key]int{}
	var out []Setting
	type pass struct{ board, edge string }
	passes := map[int][]pass{}
	count := map[pass]int{} // cuts of a kind on a board
	for _, k := range cuts {
		b := c.Board(k.Board)
		if b == nil {
			continue
		}
		count[pass{k.Board, string(k.Work)}]++
		if !b.Role.Shell() && k.Tilt == 0 && k.Work == carcass.WorkRip {
			continue
		}
		s := Setting{Group: groupOf(b, k, laser), Work: k.Work, Fence: k.Size, Tilt: k.Tilt, Longer: k.Longer, Thick: b.Thickness}
		for _, e := range b.Edges {
			if e.Name != k.Edge || k.Tilt > 0 && math.Abs(e.Bevel-k.Tilt) > 1e-9 {
				continue
			}
			if k.Tilt > 0 {
				s.Over = e.Over
			}
			switch {
			case k.Work == carcass.WorkRebate && e.Rebate != nil:
				s.Detail = fmt.Sprintf("%s wide, %s deep on the %s side", plain2(e.Rebate.Width), plain2(e.Rebate.Depth), e.Rebate.Side)
			case k.Work == carcass.WorkFingers && e.Comb != nil:
				begin := "slot"
				if e.Comb.First {
					begin = "finger"
				}
				s.Detail = fmt.Sprintf("%s wide, slots %s, %s long; a %s at both ends", plain2(e.Comb.Finger()), plain2(e.Comb.Slot()), plain2(e.Comb.Length), begin)
			}
		}
		id := key{s.Group, s.Detail, s.Work, round(s.Fence, 0.1), round(s.Tilt, 0.1), round(s.Over, 0.1), s.Longer}
		i, ok := index[id]
		if !ok {
			i = len(out)
			index[id] = i
			out = append(out, s)
		}
		passes[i] = append(passes[i], pass{k.Board, k.Edge})
	}
	for i := range out {
		s := &out[i]
		n := map[string]int{}
		for _, p := range passes[i] {
			n[p.board]++
		}
		for _, p := range passes[i] {
			all := n[p.board] == count[pass{p.board, string(s.Work)}] && n[p.board] > 1 && s.Work != carcass.WorkTaper
			switch {
			case all && !slices.Contains(s.Boards, p.board):
				s.Boards = append(s.Boards, p.board)
			case !all:
				s.Edges = append(s.Edges, p.edge+" of the "+p.board)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Setting) int {
		stage := func(s Setting) int {
			return slices.Index([]carcass.Work{carcass.WorkRip, carcass.WorkCrossCut, carcass.WorkTaper, carcass.WorkRebate, carcass.WorkFingers}, s.Work)
		}
		return cmp.Or(cmp.Compare(slices.Index(settingGroups, a.Group), slices.Index(settingGroups, b.Group)), cmp.Compare(stage(a), stage(b)),
			cmp.Compare(round(a.Tilt, 0.1), round(b.Tilt, 0.1)), cmp.Compare(round(b.Fence, 0.1), round(a.Fence, 0.1)))
	})
	return out
}

func groupOf(b *carcass.Board, k carcass.Cut, laser bool) string {
	switch {
	case !b.Role.Shell():
		return FitBattens
	case laser && k.Tilt > 0:
		return ByPlane
	case laser:
		return AtJoints
	case k.Small:
		return SmallOnes
	case k.AtBench:
		return FitBoards
	case k.Work == carcass.WorkRip:
		return AlongGrain
	case k.Work == carcass.WorkCrossCut:
		return AcrossIt
	case k.Work == carcass.WorkTaper:
		return OnSlant
	}
	return AtJoints
}

func plain2(v float64) string { return strings.TrimSuffix(mm(v), " mm") }

// Say gives what is cut with a setting: "front, back; top of the left side". Names that differ in one word only are drawn together: "glue block,
// back left, back right".
func (s Setting) Say() string {
	edges := map[string][]string{} // by edge: boards
	var order []string
	for _, e := range s.Edges {
		name, board, _ := strings.Cut(e, " of the ")
		if edges[name] == nil {
			order = append(order, name)
		}
		edges[name] = append(edges[name], board)
	}
	var parts []string
	if len(s.Boards) > 0 {
		parts = append(parts, gathered(s.Boards))
	}
	for _, name := range order {
		parts = append(parts, name+" of "+gathered(edges[name]))
	}
	return strings.Join(parts, "; ")
}

// gathered lists names and says a common beginning before a comma once: "ledge front, back, left".
func gathered(names []string) string {
	var out []string
	last := ""
	for _, n := range names {
		head, tail, ok := strings.Cut(n, ", ")
		switch {
		case ok && head == last:
			out = append(out, tail)
			continue
		case ok:
			out = append(out, head+" "+tail)
			last = head
			continue
		}
		last = ""
		out = append(out, n)
	}
	return strings.Join(out, ", ")
}
