package box

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

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
	var last []Open // what only comes off when another face is off
	ways := w.exits()
	for fi, f := range w.c.Faces {
		if held == carcass.GluedDown {
			continue
		}
		b := &w.c.Boards[f.Board]
		candidates = append(candidates, b.Name)
		n := w.holding(fi)
		st := Open{Board: b.Name}
		var free bool
		var by geom.Vec3
		if held == carcass.Hinged {
			free = w.swings(fi, f)
			st.Screws = []string{"its catch"}
			st.Loop = w.loop(fi, f, w.Hinge.angle())
			st.Say = fmt.Sprintf("Swing the %s up round its hinge at the %s. Leave its wires %s long, so that it opens to %s degrees.", b.Name, w.Hinge.where(), w.mm(math.Ceil(st.Loop/5)*5), plain(w.Hinge.angle()))
		} else {
			x := ways[fi]
			lean := x.lean
			free = len(x.hits) == 0
			for _, h := range x.hits {
				w.stuck(f.Name, h.a, h.b, h.gap, h.keep, drawn(lean, "straight off"))
			}
			by = w.off(f, lean)
			st.Loop = w.loop(fi, f, 180)
			how := "lift it straight off"
			if lean != 0 {
				how = "draw it off " + drawn(lean, "")
			}
			do := fmt.Sprintf("Undo the %s of the %s and %s.", plural(n, "screw"), b.Name, how)
			switch {
			case n > 0:
				st.Screws = []string{plural(n, "screw")}
			case w.written(fi) > 0:
				do = fmt.Sprintf("The screws of the %s hold in nothing yet: see the findings. To open it, %s.", b.Name, how)
			default:
				do = fmt.Sprintf("The %s has no screws yet: see the findings. To open it, %s.", b.Name, how)
			}
			if x.after >= 0 {
				do = "Take the " + w.c.Faces[x.after].Name + " off first. " + do
			}
			st.Say = fmt.Sprintf("%s Leave its wires %s long, so that it can be turned over beside the box.", do, w.mm(math.Ceil(st.Loop/5)*5))
		}
		if free {
			w.harness(fi, by, st.Loop)
			if ways[fi].after >= 0 {
				last = append(last, st)
				continue
			}
			if w.Module != nil && w.Module.Face < 0 && len(r.Opening) == 0 {
				st.Say += " The module lies open then: its plug and its reset button are in reach."
			}
			r.Opening = append(r.Opening, st)
		} else {
			stuck++
		}
	}
	r.Opening = append(r.Opening, last...)
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
		f.Head = fmt.Sprintf("The box cannot be opened: the %s is the only board that is not glued, and it catches.", candidates[0])
		if len(candidates) > 1 {
			f.Head = fmt.Sprintf("The box cannot be opened: only the %s are not glued, and they catch.", list(candidates))
		}
		f.Body, f.Fixes = "What it catches at is told for each of them. Move that, or let the base be screwed: walls of 12 mm take screws.", nil
	}
	w.say(ruleOpen, f)
}

// loop is the length of wire between a face that is open and the module: of its longest bundle as laid out, else over the open corner, and
// something to spare.
func (w *worker) loop(fi int, f carcass.Face, angle float64) float64 {
	laid := 0.0
	for _, b := range w.Bundles {
		if b.Face == fi {
			laid = max(laid, b.Long)
		}
	}
	if laid > 0 {
		return laid
	}
	hinge, axis := w.Hinge.line(f)
	hinge = hinge.Add(axis.Mul(f.Frame.ToWorld(geom.Vec3{X: f.Width / 2, Y: f.Height / 2}).Sub(hinge).Dot(axis))) // its middle

	far := f.Height // the control farthest from it
	if w.Hinge.Edge == "left" || w.Hinge.Edge == "right" {
		far = f.Width
	}
	for _, b := range w.Bodies {
		if b.Inside && b.Face >= 0 {
			far = max(far, b.Solid.Centre().Sub(hinge).Len())
		}
	}
	s := far / 2
	if w.Module != nil && len(w.Module.Board) > 0 {
		s = w.Module.Board[0].Centre().Sub(hinge).Len()
	}
	return math.Sqrt(max(far*far+s*s-2*far*s*math.Cos(angle*math.Pi/180), 0)) + 50
}

// travels gives the boards that come away with a face: itself, and the ribs under it, which are glued to it.
func travels(c *carcass.Carcass, fi int) map[int]bool {
	board := c.Faces[fi].Board
	with := map[int]bool{board: true}
	for _, ct := range c.Contacts {
		for _, p := range [2][2]int{{ct.A, ct.B}, {ct.B, ct.A}} {
			if p[0] == board && c.Boards[p[1]].Role == carcass.RoleRib {
				with[p[1]] = true
			}
		}
	}
	return with
}

// travellers are the solids that come away with a face, and those that stay, when the face gone is off already; -1 = none is.
func (w *worker) travellers(fi, gone int) (go_, stay []Body) {
	with := travels(w.c, fi)
	var off map[int]bool
	if gone >= 0 {
		off = travels(w.c, gone)
	}
	for i := range w.c.Boards {
		b := &w.c.Boards[i]
		for _, h := range b.Parts {
			x := Body{Name: b.Name, Solid: h}
			switch {
			case with[i]:
				go_ = append(go_, x)
			case !off[i]:
				stay = append(stay, x)
			}
		}
	}
	for _, b := range w.Bodies {
		switch {
		case b.Solid == nil:
		case b.Face == fi:
			go_ = append(go_, b)
		case b.Face >= 0 && b.Face == gone:
		default:
			stay = append(stay, b)
		}
	}
	return go_, stay
}

// exit is how a face comes off.
type exit struct {
	lean  float64 // from straight off, degrees towards the back
	after int     // the face that must be off before; -1 = none
	hits  []catch // what is met on the way where least is; none = it comes off
}

// exits finds how each face comes off that is not glued and has no hinge. Of two faces that meet in a valley one may have to be off before the other.
func (w *worker) exits() []exit {
	out := make([]exit, len(w.c.Faces))
	for fi, f := range w.c.Faces {
		out[fi].after = -1
		if h := w.c.Spec.Build.FaceHeld; h != carcass.GluedDown && h != carcass.Hinged {
			out[fi].lean, out[fi].hits = w.lifts(fi, f, -1)
		}
	}
	for fi, f := range w.c.Faces {
		for first := range w.c.Faces {
			if len(out[fi].hits) == 0 || first == fi || len(out[first].hits) > 0 || out[first].after >= 0 {
				continue
			}
			if lean, hits := w.lifts(fi, f, first); len(hits) == 0 {
				out[fi] = exit{lean: lean, after: first}
			}
		}
	}
	return out
}

// lifts finds in which direction from straight off a face and all on it come off, degrees towards the back, when the face gone is off (-1 = none is): two
// faces that meet in a valley are drawn off on the slant. When no way is free it gives what is met on the way where least is: rather what sits in
// the face, which can be moved, than the face itself.
func (w *worker) lifts(fi int, f carcass.Face, gone int) (lean float64, best []catch) {
	leans := w.leans()
	for _, lean := range leans {
		if len(w.way(fi, f, lean, gone, false)) == 0 {
			return lean, nil
		}
	}
	least := math.MaxInt
	for _, l := range leans {
		hits := w.way(fi, f, l, gone, true)
		n := len(hits)
		for _, h := range hits {
			if h.a == f.Name {
				n += 1000
			}
		}
		if n < least {
			best, least, lean = hits, n, l
		}
	}
	return lean, best
}

// drawn says the way of a face that leans so many degrees towards the back.
func drawn(lean float64, straight string) string {
	switch {
	case lean < 0:
		return fmt.Sprintf("towards you, %s degrees from straight", plain(-lean))
	case lean > 0:
		return fmt.Sprintf("towards the back, %s degrees from straight", plain(lean))
	}
	return straight
}

// leans are the ways a face is tried to come off, degrees from straight off towards the back. Faces that meet on a mitre come free along
// the plane of that mitre, half the angle between them; the others give more room to what sits in them.
func (w *worker) leans() []float64 {
	out := []float64{0}
	if len(w.c.Faces) == 2 {
		between := math.Acos(clamp(w.c.Faces[0].Frame.N.Dot(w.c.Faces[1].Frame.N), -1, 1)) * 180 / math.Pi
		if half := math.Ceil(between/2 - 1e-6); half > 0 {
			out = append(out, -half, half)
		}
	}
	return append(out, -15, 15, -30, 30, -45, 45)
}

// reach is how far a face is lifted before it is turned aside, mm: a hand's breadth more than most boxes are deep.
const reach = 160

// off is the way a face is lifted, to the reach of a hand: straight off, or leaning so many degrees towards the back.
func (w *worker) off(f carcass.Face, lean float64) geom.Vec3 {
	s, c := math.Sincos(lean * math.Pi / 180)
	return f.Frame.N.Mul(c).Add(f.Frame.V.Mul(s)).Mul(reach)
}

// catch is what a thing that comes off meets.
type catch struct {
	a, b      string
	gap, keep float64 // mm
}

// way gives what a face and all on it meet when they come off in one direction: of each solid the worst, or only the first of all.
func (w *worker) way(fi int, f carcass.Face, lean float64, gone int, all bool) (hits []catch) {
	moving, stay := w.travellers(fi, gone)
	by := w.off(f, lean).Mul(w.c.Bounds.Max.Sub(w.c.Bounds.Min).Len() / reach)
	keep := clamp(w.Limits.Value(limPlay), 0, 20)
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
		at := slices.IndexFunc(hits, func(h catch) bool { return h.a == m.Name && h.b == hit })
		if at < 0 {
			hits = append(hits, catch{m.Name, hit, worst, keep})
		} else {
			hits[at].gap = min(hits[at].gap, worst)
		}
		if !all {
			break
		}
	}
	return hits
}

// swings reports whether a face and all on it come out round its hinge.
func (w *worker) swings(fi int, f carcass.Face) bool {
	moving, stay := w.travellers(fi, -1)
	at, axis := w.Hinge.line(f)
	for _, deg := range w.Hinge.steps() {
		turn := geom.TurnAbout(axis, deg)
		pose := geom.NoPose().Shift(at.Mul(-1)).Then(turn).Then(geom.NoPose().Shift(at))
		for _, m := range moving {
			c := geom.Posed(m.Solid, pose)
			box := c.Bounds()
			for _, o := range stay {
				if !o.Solid.Bounds().Overlaps(box) || geom.Gap(m.Solid, o.Solid).Gap < -0.05 {
					continue
				}
				if g := geom.Gap(c, o.Solid).Gap; g < -0.3 {
					w.stuck(f.Name, m.Name, o.Name, g, 0, fmt.Sprintf("round the hinge, at %s degrees", plain(deg)))
					return false
				}
			}
		}
	}
	return true
}

// stuck says what meets what on the way out.
func (w *worker) stuck(face, a, b string, have, want float64, how string) {
	what := b
	if w.c.Board(b) != nil {
		what = "the " + b
	}
	head := fmt.Sprintf("On the way out, %s, %s meets %s by %s.", how, a, what, w.mm(-have))
	if a == face {
		head = fmt.Sprintf("The %s does not come off: %s, it meets %s by %s.", face, how, what, w.mm(-have))
	}
	w.say(ruleStuck, finding.Finding{
		Head: head, Body: "Move it, or shorten what it meets.", Ends: []finding.End{w.end(a), w.end(b)},
		Measure: &finding.Measure{Have: have, Want: want, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(limPlay),
	})
}
