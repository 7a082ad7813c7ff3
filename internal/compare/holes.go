package compare

import (
	"fmt"
	"math"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// slack is how far two holes may differ and still be one, mm.
const slack = 0.15

// cut is a cut-out with what it is for.
type cut struct {
	*panel.Cut
	of string
}

func cuts(p *panel.Panel) (out []cut) {
	for _, c := range p.Controls {
		for _, k := range c.Cuts {
			if k.Blind == 0 {
				out = append(out, cut{k, c.Label})
			}
		}
	}
	for _, f := range p.Fixings {
		out = append(out, cut{f.Cut, "a screw of the face"})
	}
	for _, o := range p.Openings {
		out = append(out, cut{o, "the opening " + o.Origin.Name})
	}
	return out
}

// is says how large a cut-out is: "22.5 mm"; of a slot or a window "3 mm by 66 mm", as it lies.
func (w *worker) is(k *panel.Cut) string {
	if k.Spec.Slot == nil && k.Spec.Rect == nil {
		return w.mm(k.Nominal)
	}
	d := k.Outline.Bounds().Size()
	return w.mm(d.X) + " by " + w.mm(d.Y)
}

// congruent reports whether a hole serves as another one: same place and size within the slack, or within what the part bears.
func congruent(have, want *panel.Cut) bool {
	if have.At.Sub(want.At.Vec2).Len() > slack {
		return false
	}
	a, b := have.Outline, want.Outline
	if _, d, ok := a.AsCircle(); ok {
		if _, e, ok := b.AsCircle(); ok {
			return d >= min(want.FinishedMin, e)-slack && d <= max(want.FinishedMax, e)+slack || math.Abs(d-e) <= slack
		}
		return false
	}
	x, y := a.Bounds(), b.Bounds()
	near := func(p, q geom.Vec2) bool { return math.Abs(p.X-q.X) <= slack && math.Abs(p.Y-q.Y) <= slack }
	return near(x.Min, y.Min) && near(x.Max, y.Max) && math.Abs(a.Area()-b.Area()) <= slack*a.Perimeter()
}

// holes goes through the holes of the old sheet.
func (w *worker) holes() {
	n := w.new.Result.Panel
	left := w.through(w.old.Result.Panel, n, "")
	for _, i := range left {
		w.cover(&w.r.Holes[i], n)
	}
	w.harm(left)
	spoiled := 0
	for _, h := range w.r.Holes {
		if h.What == "spoiled" && h.On == "" {
			spoiled++
		}
	}
	if spoiled > 0 {
		w.r.Sheet.Say = fmt.Sprintf("The old sheet cannot be used: %s.", plural(spoiled, "a new hole runs into an old one", "new holes run into old ones"))
		w.r.Sheet.Again = false
		return
	}
	stops, _, _ := finding.Count(w.r.Findings)
	if stops > 0 {
		w.r.Sheet.Say = fmt.Sprintf("The old sheet can be used again only when %s mended: too little of it would be left.", plural(stops, "one place is", "places are"))
	}
}

// through goes through the holes of one board, "" = the face: which are used, opened, spoiled, and what is to be drilled. It gives those
// that are left over, as indexes into the result.
func (w *worker) through(o, n *panel.Panel, on string) (left []int) {
	olds, news := cuts(o), cuts(n)
	had := make([]bool, len(news))
	first := len(w.r.Holes)
	for _, x := range olds {
		h := Hole{Of: x.of, ID: x.ID, On: on, Outline: x.Outline, At: x.At.Vec2, Size: x.Nominal, Is: w.is(x.Cut)}
		for i, y := range news {
			if !had[i] && congruent(x.Cut, y.Cut) {
				h.What, h.By, had[i] = "used", y.of, true
				break
			}
		}
		w.r.Holes = append(w.r.Holes, h)
	}
	for i := first; i < len(w.r.Holes); i++ {
		h := &w.r.Holes[i]
		if h.What != "" {
			continue
		}
		for k, y := range news {
			m, _ := y.Outline.Margin(h.Outline)
			gap, _, _ := y.Outline.Gap(h.Outline)
			switch {
			case m >= -0.02:
				h.What, h.By = "opened", y.of
				h.Say = fmt.Sprintf("It is opened for %s.", y.of)
				if !had[k] {
					had[k] = true
					w.drill(y, on, true)
				}
			case gap < 0:
				h.What, h.By = "spoiled", y.of
				h.Say = fmt.Sprintf("The new hole of %s runs into it by %s: this %s does not do.", y.of, w.mm(-gap), map[bool]string{true: "sheet", false: "board"}[on == ""])
			}
			if h.What != "" {
				break
			}
		}
		if h.What == "" {
			left = append(left, i)
		}
	}
	for i, y := range news {
		if !had[i] {
			w.drill(y, on, false)
		}
	}
	return left
}

func (w *worker) drill(y cut, on string, open bool) {
	w.r.Drill = append(w.r.Drill, Drill{Of: y.of, On: on, At: y.At.Vec2, Size: y.Nominal, Is: w.is(y.Cut), Open: open})
}

// boards goes through the other boards of the box that carry holes: those that are as large as they were keep theirs, others are new.
func (w *worker) boards() {
	size := func(s Side, name string) (out string) {
		for _, l := range s.Result.Box.Boards {
			if l.Name == name {
				out = l.Material.ID + w.boardSize(l.Blank.X, l.Blank.Y, l.Thickness)
			}
		}
		return out
	}
	olds := map[string]*panel.Panel{}
	for _, s := range w.old.Result.Panel.Sheets() {
		olds[s.Board] = s
	}
	for _, n := range w.new.Result.Panel.Sheets() {
		if n.Board == "" {
			continue
		}
		o := olds[n.Board]
		delete(olds, n.Board)
		if o == nil && size(w.old, n.Board) == size(w.new, n.Board) {
			o = &panel.Panel{} // it had no holes
		}
		if o == nil || size(w.old, n.Board) != size(w.new, n.Board) {
			for _, y := range cuts(n) {
				w.drill(y, n.Board, false)
			}
			continue
		}
		for _, i := range w.through(o, n, n.Board) {
			w.cover(&w.r.Holes[i], n)
		}
	}
	for _, o := range w.old.Result.Panel.Sheets() { // boards that carry nothing any more
		if o.Board == "" || olds[o.Board] == nil || size(w.old, o.Board) != size(w.new, o.Board) {
			continue
		}
		for _, i := range w.through(o, &panel.Panel{}, o.Board) {
			w.cover(&w.r.Holes[i], &panel.Panel{})
		}
	}
}

// cover finds what hides a hole that is left over: the front of a new control, a blank plug, or nothing.
func (w *worker) cover(h *Hole, n *panel.Panel) {
	for _, c := range n.Controls {
		for _, b := range c.Front {
			if b.Z0 > 0.3 || b.Role != panel.RoleBezel && b.Role != panel.RoleGuard {
				continue
			}
			if m, _ := b.Outline.Margin(h.Outline); m >= 0.3 {
				h.What, h.By = "covered", c.Label
				h.Say = fmt.Sprintf("The front of %s lies over it.", c.Label)
				return
			}
		}
	}
	h.What, h.Say = "open", "It stays open: fill it, cover it, or make a new sheet."
	_, d, round := h.Outline.AsCircle()
	if !round {
		return
	}
	cat := w.new.Cat
	for _, id := range cat.PartIDs() {
		p, ok := cat.Part(id)
		if !ok || p.Class != catalog.Plug {
			continue
		}
		want, lo, hi := p.Hole.Nominal(), p.Hole.Tol[0].MM(), p.Hole.Tol[1].MM()
		if d >= want+lo-slack && d <= want+hi+slack {
			h.What, h.Plug = "plugged", id
			h.Say = fmt.Sprintf("A blank plug closes it (%s), unless its rim meets a neighbour.", p.Title)
			return
		}
	}
	if d <= 6 {
		h.Say = "It stays open: a screw with a nut, or filler under the new covering, closes it."
	}
}

// harm checks the new panel once more with the holes that are left over in its sheet.
func (w *worker) harm(left []int) {
	if w.check == nil || len(left) == 0 {
		return
	}
	var edits []finding.Edit
	names := map[string]string{}
	for k, i := range left {
		h := w.r.Holes[i]
		name := fmt.Sprintf("left-over-%d", k+1)
		names[name] = h.Of
		val := ""
		if _, d, ok := h.Outline.AsCircle(); ok {
			val = fmt.Sprintf("{round: %.3f mm, at: [%.3f mm, %.3f mm]}", d, h.At.X, h.At.Y)
		} else {
			b := h.Outline.Bounds()
			val = fmt.Sprintf("{rect: [%.3f mm, %.3f mm], at: [%.3f mm, %.3f mm]}", b.Size().X, b.Size().Y, b.Centre().X, b.Centre().Y)
		}
		edits = append(edits, finding.Edit{Op: finding.Set, Path: "face.holes." + name, Value: val})
	}
	src, err := w.new.Doc.Apply(edits)
	if err != nil {
		return
	}
	for _, f := range w.check(src).Findings {
		old, new := 0, 0
		for _, e := range f.Ends {
			if strings.HasPrefix(e.Path, "face.holes.left-over-") {
				old++
			} else {
				new++
			}
		}
		// what two old holes do to each other the sheet has borne; an open hole in front of a body is no harm
		if old == 0 || new == 0 || f.Severity == finding.Note || !strings.HasPrefix(f.Rule, "sheet.") {
			continue
		}
		for name, of := range names {
			for _, form := range []string{strings.ToUpper(strings.ReplaceAll(name, "-", " ")), strings.ToUpper(name), name} {
				f.Head = replaceWhole(f.Head, form, "the old hole of "+of)
				f.Body = replaceWhole(f.Body, form, "the old hole of "+of)
			}
		}
		f.Head = finding.Capital(f.Head)
		f.Fixes = nil
		w.r.Findings = append(w.r.Findings, f)
	}
}

// replaceWhole replaces a name where no digit follows it.
func replaceWhole(s, name, by string) string {
	for from := 0; ; {
		i := strings.Index(s[from:], name)
		if i < 0 {
			return s
		}
		i += from
		end := i + len(name)
		if end < len(s) && s[end] >= '0' && s[end] <= '9' {
			from = end
			continue
		}
		s = s[:i] + by + s[end:]
		from = i + len(by)
	}
}

// drillAll lists every hole of the new sheet.
func (w *worker) drillAll() {
	for _, y := range cuts(w.new.Result.Panel) {
		w.drill(y, "", false)
	}
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf("%d %s", n, many)
}
