package box

import (
	"fmt"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

var limApart = finding.Limit{
	Name: "box.laser-apart", Default: 2, Unit: "mm", Means: "left between two boards on a sheet that a laser cuts",
	Source: practice("so that two burnt lines do not fall together and small waste does not tip up", trust.Low),
}

var ruleBevel = finding.Rule{
	Name: "box.laser-bevel", Severity: finding.Warn, Title: "edges that a laser cannot cut",
	Explain: "A laser cuts square to the sheet and right through it. An edge that lies against a leaning board wants a bevel, a rebate wants half the " +
		"thickness: both are done afterwards, with a plane, a saw or a router. The cutting file leaves the board as large as its larger side, so " +
		"that there is wood to take off; the page of the board gives how far over the edge goes on its thickness. With edges: square a wedge or a desk " +
		"does without: front and back then touch the face with one arris, and a gap of a few millimetres stays, inside in front, outside behind. " +
		"Fingers instead of mitres or rebates do without too.",
	Limits: []finding.Limit{limApart},
}

// laser reports whether the boards are cut by laser.
func (w *worker) laser() bool { return w.Saw.Kind == "laser" }

// unlasered lists the edges of the boards of a box that a laser leaves to be worked by hand: "the top of the front".
func unlasered(c *carcass.Carcass) (edges []string, boards []*carcass.Board, over float64) {
	for i := range c.Boards {
		b := &c.Boards[i]
		if !b.Role.Shell() {
			continue // battens come from strip
		}
		for _, e := range b.Edges {
			if e.Bevel > 0.01 || e.Rebate != nil {
				edges = append(edges, fmt.Sprintf("the %s of the %s", e.Name, b.Name))
				over = max(over, e.Over)
				if !slices.Contains(boards, b) {
					boards = append(boards, b)
				}
			}
		}
	}
	return edges, boards, over
}

// bevels says what a laser cannot cut, and how to do without.
func (w *worker) bevels() {
	edges, boards, over := unlasered(w.c)
	if !w.laser() || len(edges) == 0 {
		return
	}
	f := finding.Finding{
		Head: fmt.Sprintf("A laser cuts square: %s not.", wantBevels(len(edges))), Ends: []finding.End{w.end("saw")},
		Body:    fmt.Sprintf("Plane, saw or rout afterwards: %s. They are cut to their larger side; how far over they go stands with each board.", list(edges)),
		Measure: &finding.Measure{Have: over, Want: 0, Unit: "mm", Sense: finding.AtMost},
		Why:     "The beam does not tilt, and it goes right through.",
	}
	for _, b := range boards {
		f.Ends = append(f.Ends, w.end(b.Name))
	}
	f.Fixes = w.without(len(edges))
	w.say(ruleBevel, f)
}

func wantBevels(n int) string {
	if n == 1 {
		return "one edge is"
	}
	return itoa(n) + " edges are"
}

// without gives the ways of building the same box with fewer edges to work by hand, tried out, the one that leaves fewest first.
func (w *worker) without(now int) []finding.Fix {
	type way struct {
		fix  finding.Fix
		left int
	}
	var ways []way
	try := func(fix finding.Fix, change func(*carcass.Build)) {
		s := w.c.Spec
		change(&s.Build)
		c, ps := carcass.Make(s)
		if len(ps) > 0 {
			return
		}
		if left, _, _ := unlasered(c); len(left) < now {
			ways = append(ways, way{fix, len(left)})
		}
	}
	square := finding.Edit{Op: finding.Set, Path: "box.edges", Value: "square"}
	fingers := finding.Edit{Op: finding.Set, Path: "box.corners", Value: "finger"}
	squared := func(b *carcass.Build) {
		b.WallEdges, b.BaseEdges, b.FaceEdges = carcass.Squared, carcass.Squared, carcass.Squared
	}
	fingered := func(b *carcass.Build) {
		b.Corner, b.Fingers = carcass.Fingered, carcass.Fingers{Width: b.Wall, Kerf: w.kerf(), Tool: carcass.Laser}
	}
	slanted := w.c.Spec.Form != carcass.Flat && w.c.Spec.Build.WallEdges != carcass.Squared
	cornered := w.c.Spec.Build.Corner == carcass.Mitred || w.c.Spec.Build.Corner == carcass.Rebated
	if slanted {
		try(finding.Fix{Say: "Leave the edges square, with a narrow gap", Short: "edges: square", Edits: []finding.Edit{square}}, squared)
	}
	if cornered {
		try(finding.Fix{Say: "Join the corners with fingers", Short: "corners: finger", Edits: []finding.Edit{fingers}}, fingered)
	}
	if slanted && cornered {
		try(finding.Fix{Say: "Leave the edges square and join the corners with fingers", Short: "edges: square, corners: finger", Edits: []finding.Edit{square, fingers}}, func(b *carcass.Build) { squared(b); fingered(b) })
	}
	slices.SortStableFunc(ways, func(a, b way) int { return a.left - b.left })
	var out []finding.Fix
	for _, x := range ways {
		out = append(out, x.fix)
	}
	return out
}

// planed turns the cuts on edges into the work that is left when a laser has cut the boards: bevels, rebates, and all of the battens, with
// no saw that tilts.
func (w *worker) planed(cuts []carcass.Cut) []carcass.Cut {
	var out []carcass.Cut
	for _, k := range cuts {
		b := w.c.Board(k.Board)
		if b == nil {
			continue
		}
		shell := b.Role.Shell()
		if shell && k.Tilt == 0 && k.Work != carcass.WorkRebate {
			continue // the laser has done it
		}
		if k.Tilt > 0 {
			for _, e := range b.Edges {
				if e.Name == k.Edge {
					do := "plane"
					if !shell {
						do = string(k.Work)
						if k.Size > 0 {
							do += " to " + length.Plain(round2(k.Size)) + " mm, then plane"
						}
					}
					k.Say = fmt.Sprintf("%s the %s of the %s to %s over on %s thick, %s side longer.", do, k.Edge, k.Board, length.Plain(e.Over), length.Plain(b.Thickness), k.Longer)
				}
			}
		}
		out = append(out, k)
	}
	return out
}

func round2(v float64) float64 { return float64(int64(v*100+0.5)) / 100 }

// CutPart is a board as a laser cuts it: closed curves in the frame of the board, its blank from 0, 0; true sizes, nothing taken off or
// added for the width of the cut.
type CutPart struct {
	Name    string
	Outline geom.Outline
	Holes   []geom.Outline // openings, holes for screws, the exit of the lead
	Press   float64        // how much each side of a finger is to be made larger for a press fit, mm
	Marks   []Spot         // not cut
}

// Spot is a place to be marked: the middle of a foot.
type Spot struct {
	At  geom.Vec2
	For string
}

// CutPart gives a board as a laser cuts it. outline replaces the outline of the board when it is not empty, and openings its cut-outs when they
// are not nil.
func (r *Result) CutPart(l BoardLine, outline geom.Outline, openings []geom.Outline) CutPart {
	b := l.Board
	p := CutPart{Name: b.Name, Outline: outline}
	if p.Outline.Empty() {
		p.Outline = b.Shadow()
	}
	for _, e := range b.Edges {
		if e.Comb != nil {
			p.Press = max(p.Press, -e.Comb.Clearance/4)
		}
	}
	if openings == nil {
		for _, c := range b.Cutouts {
			openings = append(openings, c.Outline)
		}
	}
	p.Holes = append(p.Holes, openings...)
	for _, s := range r.Screws {
		if s.Through == b.Name {
			d := s.Shank.Want
			if s.Shank.OK {
				d = s.Shank.Bit.Diameter
			}
			p.Holes = append(p.Holes, geom.Circle(s.Seen, d))
		}
	}
	for _, f := range r.Feet {
		if f.Board == b.Name {
			p.Marks = append(p.Marks, Spot{f.Seen, "foot"})
		}
	}
	if x := r.Exit; x != nil && x.Board == b.Name {
		if n, ok := notchedOutline(p.Outline, x.Outline); x.Notch && ok {
			p.Outline = n
		} else {
			p.Holes = append(p.Holes, x.Outline)
		}
	}
	return p
}

// notchedOutline takes an upright rectangle that reaches over one straight edge of an outline out of it; ok is false when it does not reach over
// exactly one.
func notchedOutline(o, notch geom.Outline) (out geom.Outline, ok bool) {
	n := notch.Bounds()
	at := -1
	for i, v := range o {
		a, b := v.P, o[(i+1)%len(o)].P
		if v.Bulge != 0 || !(min(a.X, b.X) < n.Min.X-1e-9 && max(a.X, b.X) > n.Max.X+1e-9) {
			continue
		}
		y := func(x float64) float64 { return a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X) }
		lo, hi := min(y(n.Min.X), y(n.Max.X)), max(y(n.Min.X), y(n.Max.X))
		if lo > n.Min.Y && hi < n.Max.Y+n.Max.Y-n.Min.Y && a.X > b.X { // an upper edge: the outline runs to the left
			if at >= 0 {
				return nil, false
			}
			at = i
			out = append(out[:0], geom.Vertex{P: geom.Vec2{X: n.Max.X, Y: y(n.Max.X)}}, geom.Vertex{P: geom.Vec2{X: n.Max.X, Y: n.Min.Y}}, geom.Vertex{P: n.Min}, geom.Vertex{P: geom.Vec2{X: n.Min.X, Y: y(n.Min.X)}})
		}
	}
	if at < 0 {
		return nil, false
	}
	return slices.Insert(slices.Clone(o), at+1, out...), true
}
