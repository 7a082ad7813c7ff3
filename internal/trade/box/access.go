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
		return
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
	r.Exit = x
	x.Say = fmt.Sprintf("Hole of %s in the %s, %s across and %s up from its lower left corner, seen from outside.", w.mm(x.Round), b.Name, w.num(x.At.X-box.Min.X), w.num(x.At.Y-box.Min.Y))
	if cb.Notch {
		x.Say = fmt.Sprintf("Notch %s wide and as deep in the upper edge of the %s, its middle %s from the left end, seen from outside.", w.mm(x.Round), b.Name, w.num(x.At.X-box.Min.X))
	}
	if cb.Grommet > 0 {
		x.Say += " A grommet goes in."
	}
	w.exitPlace(r, b, x)
	w.exitUse(b, x, cb, d)
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
	for _, p := range m.Plug {
		s := swept{p, m.Out.Unit().Mul(stroke)}
		hit, depth := "", -0.05
		for i := range w.c.Boards {
			b := &w.c.Boards[i]
			for _, h := range b.Parts {
				if !h.Bounds().Overlaps(s.Bounds()) {
					continue
				}
				if g := geom.Gap(s, h).Gap; g < depth {
					hit, depth = b.Name, g
				}
			}
		}
		if hit != "" {
			w.say(ruleModule, finding.Finding{
				Head: fmt.Sprintf("The plug of the module has no way out: the %s is in it.", hit), Body: fmt.Sprintf("It lacks %s. Move the module, or turn it.", w.mm(-depth)),
				Ends: []finding.End{w.end("module"), w.end(hit)}, Source: w.Limits.Source(limStroke),
				Measure: &finding.Measure{Have: depth, Want: 0, Unit: "mm", Sense: finding.AtLeast},
				Fixes:   w.moveModule(m, -depth),
			})
			return
		}
	}
}

func (w *worker) moveModule(*Module, float64) []finding.Fix { return nil }

// Open is one step of opening the box.
type Open struct {
	Board  string
	Screws []string // what is undone: "4 screws M3", "hinge"
	Say    string
	Loop   float64 // length of wire that its harness wants, mm; 0 = none
}

// open finds how the box is opened and whether what comes off comes out.
func (w *worker) open(r *Result) {
	held := w.c.Spec.Build.FaceHeld
	stuck := 0
	var candidates []string
	for fi, f := range w.c.Faces {
		if held == carcass.GluedDown {
			continue
		}
		b := &w.c.Boards[f.Board]
		candidates = append(candidates, b.Name)
		n := 0
		for _, x := range w.Fixings {
			if x.Face == fi {
				n++
			}
		}
		st := Open{Board: b.Name}
		var free bool
		if held == carcass.Hinged {
			free = w.swings(fi, f)
			st.Screws = []string{"its catch"}
			st.Loop = w.loop(f, 100)
			st.Say = fmt.Sprintf("Swing the %s up round its hinge. Leave its wires %s long, so that it opens to 100 degrees.", b.Name, w.mm(math.Ceil(st.Loop/5)*5))
		} else {
			var lean float64
			lean, free = w.lifts(fi, f)
			st.Screws = []string{plural(n, "screw")}
			st.Loop = w.loop(f, 180)
			how := "lift it straight off"
			switch {
			case lean < 0:
				how = fmt.Sprintf("draw it off towards you, %s degrees from straight", plain(-lean))
			case lean > 0:
				how = fmt.Sprintf("draw it off towards the back, %s degrees from straight", plain(lean))
			}
			do := fmt.Sprintf("Undo the %s of the %s and %s.", plural(n, "screw"), b.Name, how)
			if n == 0 {
				do = fmt.Sprintf("The %s has no screws yet: give it some. To open it, %s.", b.Name, how)
			}
			st.Say = fmt.Sprintf("%s Leave its wires %s long, so that it can be turned over beside the box.", do, w.mm(math.Ceil(st.Loop/5)*5))
		}
		if free {
			if w.Module != nil && w.Module.Face < 0 && len(r.Opening) == 0 {
				st.Say += " The module lies open then: its plug and its reset button are in reach."
			}
			r.Opening = append(r.Opening, st)
		} else {
			stuck++
		}
	}
	if b := w.underside(); b != nil {
		n := 0
		for _, s := range r.Screws {
			if s.Through == b.Name {
				n++
			}
		}
		if n > 0 {
			r.Opening = append(r.Opening, Open{Board: b.Name, Screws: []string{plural(n, "screw")}, Say: fmt.Sprintf("Turn the box over and undo the %s of the base.", plural(n, "screw"))})
			candidates = append(candidates, b.Name)
		}
	}
	if len(r.Opening) > 0 || w.c.Spec.Build.BaseFit == carcass.NoBase && len(w.c.Interior) > 0 {
		return
	}
	f := finding.Finding{
		Head: "The box cannot be opened without a saw: face and base are glued.", Body: "Hold the face by screws or a hinge.",
		Ends:  []finding.End{w.end("face"), w.end("base")},
		Fixes: []finding.Fix{{Say: "Screw the face", Short: "held: screwed", Edits: []finding.Edit{{Op: finding.Set, Path: "box.held", Value: "screwed"}}}},
	}
	if stuck > 0 {
		f.Head = fmt.Sprintf("The box cannot be opened: the %s is the only board that is not glued, and it catches.", list(candidates))
		f.Fixes = nil
	}
	w.say(ruleOpen, f)
}

// loop is the length of wire between a face that is open and the module: over the open corner, and something to spare.
func (w *worker) loop(f carcass.Face, angle float64) float64 {
	hinge := f.Frame.ToWorld(geom.Vec3{X: f.Width / 2, Y: f.Height})
	far := f.Height // the foremost control
	for _, b := range w.Bodies {
		if b.Inside && b.Face >= 0 {
			far = max(far, b.Solid.Centre().Sub(hinge).Len())
		}
	}
	s := f.Height / 2
	if w.Module != nil && len(w.Module.Board) > 0 {
		s = w.Module.Board[0].Centre().Sub(hinge).Len()
	}
	return math.Sqrt(max(far*far+s*s-2*far*s*math.Cos(angle*math.Pi/180), 0)) + 50
}

// travellers are the solids that come away with a face, and those that stay.
func (w *worker) travellers(fi int) (go_, stay []Body) {
	f := w.c.Faces[fi]
	with := map[int]bool{f.Board: true}
	for _, ct := range w.c.Contacts { // ribs under it are glued to it
		for _, p := range [2][2]int{{ct.A, ct.B}, {ct.B, ct.A}} {
			if p[0] == f.Board && w.c.Boards[p[1]].Role == carcass.RoleRib {
				with[p[1]] = true
			}
		}
	}
	for i := range w.c.Boards {
		b := &w.c.Boards[i]
		for _, h := range b.Parts {
			x := Body{Name: b.Name, Solid: h}
			if with[i] {
				go_ = append(go_, x)
			} else {
				stay = append(stay, x)
			}
		}
	}
	for _, b := range w.Bodies {
		switch {
		case b.Solid == nil:
		case b.Face == fi:
			go_ = append(go_, b)
		default:
			stay = append(stay, b)
		}
	}
	return go_, stay
}

// lifts reports whether a face and all on it come off, and in which direction from straight off, degrees towards the back: two faces that
// meet in a valley are drawn off on the slant. When none is free it says what they meet straight off.
func (w *worker) lifts(fi int, f carcass.Face) (lean float64, free bool) {
	for _, lean := range []float64{0, -15, 15, -30, 30, -45, 45} {
		if w.way(fi, f, lean, false) {
			return lean, true
		}
	}
	return 0, w.way(fi, f, 0, true)
}

// way reports whether a face and all on it come off in one direction.
func (w *worker) way(fi int, f carcass.Face, lean float64, say bool) bool {
	moving, stay := w.travellers(fi)
	s, c := math.Sincos(lean * math.Pi / 180)
	by := f.Frame.N.Mul(c).Add(f.Frame.V.Mul(s)).Mul(w.c.Bounds.Max.Sub(w.c.Bounds.Min).Len())
	keep := clamp(w.Limits.Value(limPlay), 0, 20)
	free := true
	for _, m := range moving {
		s := swept{m.Solid, by}
		box := s.Bounds()
		hit, worst := "", keep-0.05
		for _, o := range stay {
			if !o.Solid.Bounds().Overlaps(box) {
				continue
			}
			if geom.Gap(m.Solid, o.Solid).Gap < -0.05 {
				continue // meets it already: said elsewhere
			}
			if g := geom.Gap(s, o.Solid).Gap; g < worst {
				hit, worst = o.Name, g
			}
		}
		if hit == "" {
			continue
		}
		if !say {
			return false
		}
		free = false
		w.stuck(f.Name, m.Name, hit, worst, keep, "straight off")
	}
	return free
}

// swings reports whether a face and all on it come out round a hinge along its upper edge.
func (w *worker) swings(fi int, f carcass.Face) bool {
	moving, stay := w.travellers(fi)
	at := f.Frame.ToWorld(geom.Vec3{Y: f.Height})
	axis := f.Frame.U
	for _, deg := range []float64{1, 2, 4, 7, 11, 16, 22, 30, 40, 50, 60, 75, 90, 100} {
		turn := geom.TurnAbout(axis, -deg)
		pose := geom.NoPose().Shift(at.Mul(-1)).Then(turn).Then(geom.NoPose().Shift(at))
		for _, m := range moving {
			c := geom.Posed(m.Solid, pose)
			box := c.Bounds()
			for _, o := range stay {
				if !o.Solid.Bounds().Overlaps(box) || geom.Gap(m.Solid, o.Solid).Gap < -0.05 {
					continue
				}
				if g := geom.Gap(c, o.Solid).Gap; g < -0.3 {
					w.stuck(f.Name, m.Name, o.Name, g, 0, fmt.Sprintf("round the hinge, at %s degrees,", plain(deg)))
					return false
				}
			}
		}
	}
	return true
}

// stuck says what meets what on the way out.
func (w *worker) stuck(face, a, b string, have, want float64, how string) {
	head := fmt.Sprintf("On the way out %s %s meets the %s by %s.", how, a, b, w.mm(-have))
	if a == face {
		head = fmt.Sprintf("The %s does not come off: %s it meets the %s by %s.", face, how, b, w.mm(-have))
	}
	w.say(ruleStuck, finding.Finding{
		Head: head, Body: "Move it, or shorten what it meets.", Ends: []finding.End{w.end(a), w.end(b)},
		Measure: &finding.Measure{Have: have, Want: want, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(limPlay),
	})
}
