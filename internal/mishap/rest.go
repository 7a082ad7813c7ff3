package mishap

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/box"
	"knobwright/internal/trade/costing"
	"knobwright/internal/trade/harness"
)

// corners are the corners of the face by name, seen from the front.
var corners = map[string][2]float64{"lower left": {0, 0}, "lower right": {1, 0}, "upper left": {0, 1}, "upper right": {1, 1}}

// corner is a corner of the face that has broken away.
func (w *work) corner() error {
	p := w.b.Result.Panel
	of := strings.Join(strings.FieldsFunc(strings.ToLower(w.m.Of), func(r rune) bool { return r == ' ' || r == '-' }), " ")
	of = strings.NewReplacer("top", "upper", "bottom", "lower").Replace(of)
	q, ok := corners[of]
	size := w.m.Size
	switch {
	case !ok:
		return fmt.Errorf("%q is no corner: say upper left, upper right, lower left or lower right", w.m.Of)
	case !p.Face.HasSize():
		return fmt.Errorf("the face has no size yet")
	case size <= 0 || size > min(p.Face.Width, p.Face.Height)/2:
		return fmt.Errorf("say over how many mm the corner is broken away, less than half the face")
	}
	say := fmt.Sprintf("The %s corner of the face is broken away over %s.", of, w.mm(size))
	if err := w.fact("sheet", say, nil); err != nil {
		return err
	}
	w.c.Say = say
	at := geom.Vec2{X: q[0] * p.Face.Width, Y: q[1] * p.Face.Height}
	// what stands in the broken part
	lost := geom.Polygon(at, at.Add(geom.Vec2{X: (1 - 2*q[0]) * size}), at.Add(geom.Vec2{Y: (1 - 2*q[1]) * size}))
	if lost.Empty() {
		lost = geom.Polygon(at, at.Add(geom.Vec2{Y: (1 - 2*q[1]) * size}), at.Add(geom.Vec2{X: (1 - 2*q[0]) * size}))
	}
	var hit []string
	for _, f := range p.Fixings {
		if g, _, _ := f.Cut.Outline.Gap(lost); g < p.Stack.SheetThickness {
			hit = append(hit, "a screw of the face")
			break
		}
	}
	for _, c := range p.Controls {
		for _, k := range c.Cuts {
			if g, _, _ := k.Outline.Gap(lost); g < p.Stack.SheetThickness {
				hit = append(hit, c.Label)
				break
			}
		}
	}
	if len(hit) > 0 {
		w.c.Say += " " + finding.Capital(strings.Join(hit, " and ")) + " stands in it or next to it."
	}
	w.c.Fact.What = w.c.Say
	// round every corner as far as the break reaches: a quarter circle leaves a corner over r(1 - 1/sqrt 2) on the diagonal; the break over
	// size on both edges is gone when r is size
	r := math.Ceil(max(size, p.Face.Corner))
	w.try(Rescue{Say: fmt.Sprintf("Round all four corners to %s.", w.mm(r)), Edits: []finding.Edit{{Op: finding.Set, Path: "face.corner", Value: fmt.Sprintf("%.3f mm", r)}}, Minutes: 25,
		How: []string{"Draw all four round a coin or a washer first; saw outside the line, file, then sand along the edge."}})
	if len(hit) == 0 {
		w.hand(Rescue{Say: "Glue the piece back in, and a doubling piece of the same sheet behind it.", Minutes: gluePatch, Checked: false,
			How: []string{"Only where nothing stands behind and the face is not let in. Acrylic: solvent cement, in fresh air, as its sheet says."}})
	}
	w.smaller(p, q, size)
	w.newSheet(p)
	return nil
}

// smaller cuts the sheet smaller on the sides of the broken corner, everything else staying where it is on the sheet.
func (w *work) smaller(p *panel.Panel, q [2]float64, size float64) {
	if w.b.Doc.File.Face.Rack > 0 {
		return
	}
	for _, side := range []struct {
		say  string
		edit finding.Edit
		ok   bool
	}{
		{"right", finding.Edit{Op: finding.Set, Path: "face.width", Value: fmt.Sprintf("%.3f mm", p.Face.Width-size)}, q[0] == 1},
		{"top", finding.Edit{Op: finding.Set, Path: "face.height", Value: fmt.Sprintf("%.3f mm", p.Face.Height-size)}, q[1] == 1},
	} {
		if side.ok {
			w.try(Rescue{Say: fmt.Sprintf("Cut %s off at the %s; the box becomes as much smaller.", w.mm(size), side.say), Edits: []finding.Edit{side.edit}, Minutes: 30, Only: "only while the box is not cut"})
		}
	}
}

// board is a board that was cut too short.
func (w *work) board() error {
	var line *box.BoardLine
	var names []string
	for i := range w.b.Result.Box.Boards {
		l := &w.b.Result.Box.Boards[i]
		names = append(names, l.Name)
		if strings.EqualFold(l.Name, w.m.Of) || strings.EqualFold(strings.TrimPrefix(w.m.Of, "the "), l.Name) {
			line = l
		}
	}
	if line == nil {
		if len(names) == 0 {
			return fmt.Errorf("this panel has no box with boards")
		}
		return fmt.Errorf("%q %w; its boards are: %s", w.m.Of, ErrUnknown, strings.Join(names, ", "))
	}
	long := max(line.Blank.X, line.Blank.Y)
	if w.m.Short <= 0 || w.m.Short > long/2 {
		return fmt.Errorf("say by how much it is too short, less than half its length of %s", w.mm(long))
	}
	have := long - w.m.Short
	say := fmt.Sprintf("The %s is %s long, not %s.", line.Name, w.mm(have), w.mm(long))
	if err := w.fact("board", say, []string{line.Name}); err != nil {
		return err
	}
	w.c.Say = say
	w.shrink(line.Name, long, have)
	w.hand(Rescue{Say: fmt.Sprintf("Glue a strip of %s on its end, and cut it to length again.", w.mm(w.m.Short+3)), Minutes: gluePatch, Checked: true,
		How: []string{"End grain drinks the glue: size it first with thinned glue, let it tack, then glue. Put that end where it is least seen, and screw rather than glue through it."}})
	r := Rescue{Say: "Cut the board anew.", Minutes: cutBoard, Checked: true, How: []string{"Look through the offcuts first: the short one may yield a smaller board of the list (" + smallerOf(w.b.Result, line.Name, have) + ")."}}
	for _, l := range w.b.Result.Costs.Lines {
		if id := line.Material.ID; id != "" && (l.ID == id || strings.HasPrefix(l.ID, id+" ")) && l.Packs > 0 {
			r.Cost = costing.Range{From: 0, To: l.Each.To}
		}
	}
	r.Currency = w.b.Result.Costs.Currency
	w.c.Rescues = append(w.c.Rescues, r)
	return nil
}

// smallerOf names boards that a short one still yields.
func smallerOf(r *job.Result, not string, have float64) string {
	var out []string
	for _, l := range r.Box.Boards {
		if l.Name != not && max(l.Blank.X, l.Blank.Y) <= have {
			out = append(out, l.Name)
		}
	}
	if len(out) == 0 {
		return "none"
	}
	return strings.Join(out, ", ")
}

// shrink looks for a size of the box that makes the board as long as it is, by bisection on each size that the file has, and checks the
// box that follows.
func (w *work) shrink(name string, long, have float64) {
	f := w.b.Doc.File
	type size struct {
		path string
		at   float64
		say  string
	}
	var sizes []size
	add := func(path string, v length.Length, say string) {
		if v > 0 {
			sizes = append(sizes, size{path, v.MM(), say})
		}
	}
	add("box.depth", f.Box.Depth, "the box less deep")
	add("box.front", f.Box.Front, "the box lower in front")
	add("box.back", f.Box.Back, "the box lower behind")
	if f.Box.Outside == nil && f.Face.Rack == 0 {
		add("face.width", f.Face.Width, "face and box narrower")
		add("face.height", f.Face.Height, "face and box shorter from front to back")
	}
	short := long - have
	for _, s := range sizes {
		lo, hi := s.at-4*short-2, s.at
		if lo < 5 {
			continue
		}
		length := func(v float64) (float64, bool) {
			src, err := w.now.Apply([]finding.Edit{{Op: finding.Set, Path: s.path, Value: fmt.Sprintf("%.3f mm", v)}})
			if err != nil {
				return 0, false
			}
			doc := project.Read(w.now.Name, src)
			p, _ := panel.Place(doc, w.b.Cat)
			if p.Carcass == nil {
				return 0, false
			}
			for _, l := range box.Judge(box.FromPanel(p)).Boards {
				if l.Name == name {
					return max(l.Blank.X, l.Blank.Y), true
				}
			}
			return 0, false
		}
		if l, ok := length(lo); !ok || l > have {
			continue // it does not depend on this size, or not enough
		}
		good := true
		for range 24 {
			mid := (lo + hi) / 2
			l, ok := length(mid)
			if !ok {
				good = false
				break
			}
			if l > have {
				hi = mid
			} else {
				lo = mid
			}
			if hi-lo < 0.02 {
				break
			}
		}
		if !good {
			continue
		}
		v := math.Floor(lo*20) / 20
		w.try(Rescue{Say: fmt.Sprintf("Make %s: %s %s instead of %s.", s.say, s.path[strings.LastIndexByte(s.path, '.')+1:], w.mm(v), w.mm(s.at)), Edits: []finding.Edit{{Op: finding.Set, Path: s.path, Value: fmt.Sprintf("%.3f mm", v)}},
			Minutes: 15, Only: pick(strings.HasPrefix(s.path, "face."), "only while face and the other boards are not cut", "the other boards of the same size are trimmed too")})
	}
}

// wire is a wire that was cut too short.
func (w *work) wire() error {
	h := w.b.Result.Harness
	i := slices.IndexFunc(h.Wires, func(x harness.Wire) bool { return strings.EqualFold(x.ID, w.m.Of) })
	if i < 0 {
		return fmt.Errorf("wire %q %w; the wires are named W1 to W%d in the packet", w.m.Of, ErrUnknown, len(h.Wires))
	}
	x := h.Wires[i]
	if w.m.Short <= 0 || w.m.Short >= x.Length {
		return fmt.Errorf("say by how much it is too short, less than its %s", w.mm(x.Length))
	}
	have := x.Length - w.m.Short
	say := fmt.Sprintf("%s, from %s %s to %s %s, is %s long, not %s.", x.ID, x.From.Of, x.From.Lug, x.To.Of, x.To.Lug, w.mm(have), w.mm(x.Length))
	if err := w.fact("wire", say, []string{x.ID}); err != nil {
		return err
	}
	w.c.Say = say
	spare := x.Length - x.Run
	if w.m.Short <= spare && !x.Moves {
		w.hand(Rescue{Say: fmt.Sprintf("Lay it straighter: %s of it are reserve, and it does not move when the face opens.", w.mm(spare)), Minutes: 3, Checked: true})
	}
	w.hand(Rescue{Say: fmt.Sprintf("Lengthen it: solder a piece of %s on, staggered, with a sleeve over the joint.", w.mm(w.m.Short+20)), Minutes: 8, Checked: true,
		How: []string{"Slide the sleeve on first. Lay the joint where the wire does not bend when the face opens, never in the hinge."}})
	r := Rescue{Say: "Cut a new one.", Minutes: 5, Checked: true}
	for _, y := range h.Wires {
		if y.Length <= have && y.Colour == x.Colour && y.Wire == x.Wire && y.ID != x.ID {
			r.How = []string{fmt.Sprintf("The short one serves as %s (%s, %s).", y.ID, w.mm(y.Length), y.Colour)}
			break
		}
	}
	w.hand(r)
	w.nearer(i, have)
	w.lid(i, have)
	return nil
}

// nearer asks for another pin plan with the wire's lead on a nearer free pin.
func (w *work) nearer(i int, have float64) {
	wr, x := w.b.Result.Wiring, w.b.Result.Harness.Wires[i]
	net := wr.Nets[x.Net]
	if net.Signal < 0 || net.Signal >= len(wr.Plan.Seats) {
		return
	}
	sig := wr.Signals[net.Signal]
	tried := 0
	for _, pin := range wr.Plan.Free {
		if tried++; tried > 6 {
			return
		}
		val := fmt.Sprintf("{pin: %q", pin.Lug)
		if pin.Of != "module" {
			val += ", on: " + pin.Of
		}
		edits := []finding.Edit{{Op: finding.Set, Path: "wiring.pins." + sig.Name, Value: val + "}"}}
		src, err := w.now.Apply(edits)
		if err != nil {
			continue
		}
		r := w.b.Run(src)
		for _, y := range r.Harness.Wires {
			if (y.From == pin || y.To == pin) && y.Length <= have+0.5 {
				w.try(Rescue{Say: fmt.Sprintf("Put it on pin %s of %s instead, which is near enough; the image is made anew.", pin.Lug, pin.Of), Edits: edits, Minutes: 5})
				return
			}
		}
	}
}

// lid opens the face less far, when the reserve for that is what the wire lacks.
func (w *work) lid(i int, have float64) {
	o := w.b.Result.Harness.Opening
	id := w.b.Result.Harness.Wires[i].ID
	var edit finding.Edit
	var say string
	for _, f := range []float64{0.85, 0.7, 0.55} {
		switch o.By {
		case "hinge":
			edit = finding.Edit{Op: finding.Set, Path: "wiring.opens.angle", Value: fmt.Sprintf("%.0f deg", o.Angle*f)}
			say = fmt.Sprintf("Let the face open to %.0f degrees only: with a cord or a stay that holds it.", o.Angle*f)
		case "lift":
			edit = finding.Edit{Op: finding.Set, Path: "wiring.opens.room", Value: fmt.Sprintf("%.0f mm", o.Room*f)}
			say = fmt.Sprintf("Lift the face %s only before leads are undone.", w.mm(math.Round(o.Room*f)))
		default:
			return
		}
		src, err := w.now.Apply([]finding.Edit{edit})
		if err != nil {
			continue
		}
		r := w.b.Run(src)
		for _, y := range r.Harness.Wires {
			if y.ID == id && y.Length <= have+0.5 {
				w.try(Rescue{Say: say, Edits: []finding.Edit{edit}, Minutes: 3})
				return
			}
		}
	}
}
