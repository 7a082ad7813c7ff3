package box

import (
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// Exit is the opening that the lead leaves by.
type Exit struct {
	Board   string
	At      geom.Vec2 // middle, in the board's frame, seen from outside
	Round   float64
	Notch   bool
	Outline geom.Outline // in the board's frame, as far as it lies on the board
	Passes  bool         // the plug goes through it
	Need    float64      // least hole that the plug goes through
	Say     string
}

// cable places the exit of the lead.
func (w *worker) cable(r *Result) {
	cb := w.Cable
	if cb == nil {
		if w.Module != nil && !w.Socket && w.c.Spec.Build.BaseFit != carcass.NoBase {
			w.say(ruleNoExit, finding.Finding{
				Head: "The lead of the module has no way out of the box yet.", Body: "Say where it leaves, or put a socket into a wall.", Ends: []finding.End{w.end("module"), w.end("back")},
				Fixes: []finding.Fix{{Say: "Let it out at the back", Short: "cable: {on: back, relief: clip}", Edits: []finding.Edit{{Op: finding.Set, Path: "box.cable", Value: "{on: back, relief: clip}"}}}},
			})
		}
		return
	}
	b := w.c.Board(cb.Board)
	if b == nil {
		w.say(ruleCable, finding.Finding{
			Head: fmt.Sprintf("The lead leaves by the %s, but the box has none.", cb.Board), Ends: []finding.End{w.end("cable")},
		})
		return
	}
	d := cb.Diameter
	if !(d > 0) {
		d = 4
	}
	x := w.exit()
	if x == nil {
		return
	}
	box := b.OuterOutline.Bounds()
	r.Exit = x
	from, way, side := x.At.Sub(box.Min), "up", "lower left"
	if c := box.Centre(); b.Datum.Y > c.Y && b.Datum.X < c.X { // below it is cut on the slant
		from, way, side = geom.Vec2{X: x.At.X - b.Datum.X, Y: b.Datum.Y - x.At.Y}, "down", "upper left"
	}
	x.Say = fmt.Sprintf("Hole of %s in the %s, %s across and %s %s from its %s corner, seen from outside.", w.mm(x.Round), b.Name, w.num(from.X), w.num(from.Y), way, side)
	if cb.Notch {
		x.Say = fmt.Sprintf("Notch %s wide and as deep in the upper edge of the %s, its middle %s from the left end, seen from outside.", w.mm(x.Round), b.Name, w.num(x.At.X-box.Min.X))
	}
	if cb.Grommet > 0 {
		x.Say += " A grommet goes in."
	}
	w.exitPlace(r, b, x)
	w.exitUse(b, x, cb, d)
}

// exit works out the opening that the lead leaves by; nil when there is none.
func (w *worker) exit() *Exit {
	cb := w.Cable
	if cb == nil {
		return nil
	}
	b := w.c.Board(cb.Board)
	if b == nil {
		return nil
	}
	x := &Exit{Board: b.Name, Notch: cb.Notch, Need: math.Hypot(cb.Plug[0], cb.Plug[1]) + clamp(w.Limits.Value(limPlugAir), 0, 20), Round: cb.Round}
	if cb.Plug == [3]float64{} {
		x.Need = math.Hypot(12, 8) + clamp(w.Limits.Value(limPlugAir), 0, 20)
	}
	switch {
	case x.Round > 0:
	case cb.Grommet > 0:
		x.Round = cb.Grommet
	default:
		x.Round = math.Ceil(x.Need*2) / 2
	}
	x.Passes = cb.Notch || x.Round >= x.Need-1e-9
	outer := b.OuterOutline
	if outer.Empty() {
		return nil
	}
	box := outer.Bounds()
	x.At = box.Centre()
	if w.Module != nil && cb.At == nil { // in line with the module
		for _, s := range w.Module.Plug {
			x.At.X = clamp(b.Frame.ToLocal(s.Centre()).X, box.Min.X+x.Round/2+10, box.Max.X-x.Round/2-10)
			break
		}
	}
	if cb.At != nil {
		x.At = *cb.At
	}
	if cb.Notch {
		if cb.At == nil {
			x.At.Y = topOf(outer, x.At.X)
		}
		x.Outline = geom.Rect(geom.Vec2{X: x.At.X, Y: x.At.Y - x.Round/2}, x.Round, x.Round, 0)
	} else {
		x.Outline = geom.Circle(x.At, x.Round)
	}
	return x
}

// topOf is the upper edge of an outline at x.
func topOf(o geom.Outline, x float64) float64 {
	top := o.Bounds().Min.Y
	for i, v := range o {
		n := o[(i+1)%len(o)].P
		if a := v.P; a.X != n.X && (a.X-x)*(n.X-x) <= 0 {
			top = max(top, a.Y+(n.Y-a.Y)*(x-a.X)/(n.X-a.X))
		}
	}
	return top
}

// exitPlace holds the exit against its board, what lies behind it and the screws.
func (w *worker) exitPlace(r *Result, b *carcass.Board, x *Exit) {
	ends := []finding.End{w.end("cable"), w.end(b.Name)}
	if !x.Notch {
		for _, o := range []geom.Outline{b.OuterOutline, b.InnerOutline} {
			if o.Empty() {
				continue
			}
			if m, _ := o.Margin(x.Outline); m < 3 {
				w.say(ruleCable, finding.Finding{
					Head: fmt.Sprintf("The hole for the lead is too near the edge of the %s.", b.Name), Ends: ends,
					Measure: &finding.Measure{Have: max(m, -1000), Want: 3, Unit: "mm", Sense: finding.AtLeast},
				})
				break
			}
		}
	}
	probe := geom.NewPrism(x.Outline, -b.Thickness-4, 0)
	if probe == nil {
		return
	}
	bar := geom.Posed(probe, b.Frame.Pose())
	for i := range w.c.Boards {
		o := &w.c.Boards[i]
		if o == b {
			continue
		}
		if x.Notch && o.Role == carcass.RoleFace {
			continue
		}
		for _, h := range o.Parts {
			if g := geom.Gap(bar, h).Gap; g < -0.1 {
				w.say(ruleCable, finding.Finding{
					Head: fmt.Sprintf("The hole for the lead meets the %s by %s.", o.Name, w.mm(-g)), Body: "Move it, or shorten that piece.", Ends: append(ends, w.end(o.Name)),
					Measure: &finding.Measure{Have: g, Want: 0, Unit: "mm", Sense: finding.AtLeast},
				})
				return
			}
		}
	}
	for _, s := range r.Screws {
		if g := geom.Gap(bar, geom.NewCylinder(s.At, s.Dir, s.Size.Major/2, s.Length)).Gap; g < 2 {
			w.say(ruleCable, finding.Finding{
				Head: fmt.Sprintf("The hole for the lead meets a screw between %s and %s.", s.Through, s.Into), Body: "Move it along.", Ends: append(ends, w.end("screws")),
				Measure: &finding.Measure{Have: g, Want: 2, Unit: "mm", Sense: finding.AtLeast},
			})
			return
		}
	}
}

// exitUse looks at plug, relief and bend.
func (w *worker) exitUse(b *carcass.Board, x *Exit, cb *Cable, d float64) {
	if !x.Passes {
		w.say(rulePlug, finding.Finding{
			Head:    fmt.Sprintf("The plug does not go through the hole of %s in the %s.", w.mm(x.Round), b.Name),
			Body:    "Thread the lead before the plug is fitted, or make the hole larger, or a notch.",
			Ends:    []finding.End{w.end("cable"), w.end(b.Name)},
			Measure: &finding.Measure{Have: x.Round, Want: math.Ceil(x.Need*10) / 10, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(limPlugAir),
			Fixes: []finding.Fix{{Say: "Make it a notch", Short: "notch: true", Edits: []finding.Edit{{Op: finding.Set, Path: "box.cable.notch", Value: "true"}}}},
		})
	}
	if cb.Relief == "" {
		w.say(ruleRelief, finding.Finding{
			Head: "Nothing takes the pull of the lead.", Body: "Tie a knot in it inside, screw a clip over it, or use a gland.", Ends: []finding.End{w.end("cable")},
			Fixes: []finding.Fix{{Say: "Use a clip", Short: "relief: clip", Edits: []finding.Edit{{Op: finding.Set, Path: "box.cable.relief", Value: "clip"}}}},
		})
	}
	want := clamp(w.Limits.Value(limBend), 0, 100) * d
	in := b.Frame.ToWorld(x.At.At(-b.Thickness))
	dir := b.Frame.N.Mul(-1)
	room, what := math.Inf(1), ""
	for i := range w.c.Boards {
		o := &w.c.Boards[i]
		if o == b {
			continue
		}
		for _, h := range o.Parts {
			if a, z, ok := span(h, in, dir); ok && z > tiny && a > -tiny && a < room {
				room, what = max(a, 0), o.Name
			}
		}
	}
	if room < want-1e-6 {
		w.say(ruleBend, finding.Finding{
			Head: fmt.Sprintf("Behind its hole the lead has %s to the %s before it must turn.", w.mm(room), what), Body: "Move the hole, or take a thinner lead.",
			Ends: []finding.End{w.end("cable"), w.end(what)}, Source: w.Limits.Source(limBend),
			Measure: &finding.Measure{Have: room, Want: want, Unit: "mm", Sense: finding.AtLeast},
		})
	}
}

// module looks whether its plug can be pulled with the box open.
func (w *worker) module(_ *Result) {
	m := w.Module
	if m == nil || m.Out.Len() < 0.5 {
		return
	}
	stroke := m.Stroke
	if stroke <= 0 {
		stroke = clamp(w.Limits.Value(limStroke), 0, 200)
	}
	out := m.Out.Unit()
	hit, lack := "", 0.0
	for _, p := range m.Plug {
		for i := range w.c.Boards {
			b := &w.c.Boards[i]
			for _, h := range b.Parts {
				if l := backFrom(swept{p, out.Mul(stroke)}, h, out); l > lack+0.05 {
					hit, lack = b.Name, l
				}
			}
		}
	}
	if hit == "" {
		return
	}
	w.say(ruleModule, finding.Finding{
		Head: fmt.Sprintf("The plug of the module has no way out: the %s is in it.", hit), Body: fmt.Sprintf("It lacks %s. Move the module, or turn it.", w.mm(lack)),
		Ends: []finding.End{w.end("module"), w.end(hit)}, Source: w.Limits.Source(limStroke),
		Measure: &finding.Measure{Have: -lack, Want: 0, Unit: "mm", Sense: finding.AtLeast}, Fixes: w.moduleBack(stroke, lack),
	})
}

// backFrom is how far a thing must be drawn back against a direction until it is clear of a board, mm; 0 when it is.
func backFrom(c geom.Convex, board geom.Convex, out geom.Vec3) float64 {
	in := func(by float64) bool {
		return geom.Gap(geom.Posed(c, geom.NoPose().Shift(out.Mul(-by))), board).Gap < -0.05
	}
	if !c.Bounds().Overlaps(board.Bounds()) || !in(0) {
		return 0
	}
	lo, hi := 0.0, 400.0
	if in(hi) {
		return hi
	}
	for hi-lo > 0.01 {
		if mid := (lo + hi) / 2; in(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// moduleBack moves the module back so far that its plug comes out, when it meets no board and no body there.
func (w *worker) moduleBack(stroke, lack float64) []finding.Fix {
	m := w.Module
	by := m.Out.Unit().Mul(-lack)
	fix, ok := finding.Fix{}, false
	if m.Move != nil {
		fix, ok = m.Move(by)
	}
	if !ok {
		return nil
	}
	pose := geom.NoPose().Shift(by.Mul((lack + 0.5) / lack)) // its place in the file is rounded
	free := func(c geom.Convex, plug bool) bool {
		c = geom.Posed(c, pose)
		if plug {
			c = swept{c, m.Out.Unit().Mul(stroke)}
		}
		for i := range w.c.Boards {
			for _, h := range w.c.Boards[i].Parts {
				if h.Bounds().Overlaps(c.Bounds()) && geom.Gap(c, h).Gap < -0.05 {
					return false
				}
			}
		}
		for _, o := range w.Bodies {
			if o.Name != m.Name && o.Solid != nil && o.Solid.Bounds().Overlaps(c.Bounds()) && geom.Gap(c, o.Solid).Gap < -0.05 {
				return false
			}
		}
		return true
	}
	for _, c := range m.Board {
		if !free(c, false) {
			return nil
		}
	}
	for _, c := range m.Plug {
		if !free(c, true) {
			return nil
		}
	}
	return []finding.Fix{fix}
}
