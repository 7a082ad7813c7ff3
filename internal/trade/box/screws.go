package box

import (
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// Screw is a wood screw where it goes: through the first board square to it, into the second.
type Screw struct {
	N             int
	Through, Into string    // boards
	At            geom.Vec3 // middle of the head, on the outside of the first board
	Dir           geom.Vec3 // the way it goes, unit
	Size          WoodScrew
	Length        float64
	Deep          float64 // how much of it is in the second board
	Cover         float64 // least wood round it in the second board
	Pilot, Shank  Hole    // in the second, in the first board
	Head          float64 // diameter
	Seen          geom.Vec2
	Side          carcass.Side // of the first board that Seen is marked on: from its lower left corner, in its own frame
}

// Tip is where the screw ends.
func (s Screw) Tip() geom.Vec3 { return s.At.Add(s.Dir.Mul(s.Length)) }

// Joint is how two boards are held together.
type Joint struct {
	A, B   string
	Joint  carcass.Joint
	Screws []int // numbers
	How    string
}

// screws places the wood screws of all joints.
func (w *worker) screws(r *Result) {
	thin := map[string]bool{}
	for i := range w.c.Contacts {
		ct := &w.c.Contacts[i]
		a, b := &w.c.Boards[ct.A], &w.c.Boards[ct.B]
		j := Joint{A: a.Name, B: b.Name, Joint: ct.Joint}
		if w.parts(ct.Joint, a, b) {
			j.How = "touches only; no glue, as the face comes off"
			r.Joints = append(r.Joints, j)
			continue
		}
		if !screwed(ct.Joint, a, b) {
			j.How = held(ct.Joint, a, b)
			r.Joints = append(r.Joints, j)
			continue
		}
		from, into, ps := w.patches(ct)
		j.A, j.B = from.Name, into.Name
		before := len(r.Screws)
		for _, p := range ps {
			w.row(r, from, into, p, thin)
		}
		for k := before; k < len(r.Screws); k++ {
			j.Screws = append(j.Screws, r.Screws[k].N)
		}
		j.How = "glued, no screws"
		if n := len(j.Screws); n > 0 {
			s := r.Screws[before]
			j.How = fmt.Sprintf("%s %s through the %s into the %s", plural(n, "screw"), s.Size.Sold(s.Length, w.Inches), from.Name, into.Name)
			if !w.loose(from) && !w.loose(into) {
				j.How = "glued, and " + j.How
			}
		}
		r.Joints = append(r.Joints, j)
	}
	w.sayBites()
	w.lidJoints(r)
	w.crossings(r)
}

// lidJoints settles the joints of a base that got no screws of their own: a base that is screwed elsewhere only touches there, so
// that it comes off again; one without any screw is glued.
func (w *worker) lidJoints(r *Result) {
	screwed := map[string]bool{}
	for _, s := range r.Screws {
		screwed[s.Through] = true
	}
	for i := range r.Joints {
		j := &r.Joints[i]
		if len(j.Screws) > 0 || j.How != "glued, no screws" {
			continue
		}
		for _, name := range [2]string{j.A, j.B} {
			if b := w.c.Board(name); b != nil && b.Role == carcass.RoleBase && screwed[name] {
				j.How = "touches; held by its screws elsewhere"
			}
		}
	}
}

// screwed reports whether a joint takes screws.
func screwed(j carcass.Joint, a, b *carcass.Board) bool {
	face := a.Role == carcass.RoleFace || b.Role == carcass.RoleFace
	switch j {
	case carcass.Butt, carcass.Rebated, carcass.LaidUnder:
		return true
	case carcass.LaidOn:
		return !face
	case carcass.Rests:
		return !face && (!a.Role.Shell() || !b.Role.Shell())
	}
	return false
}

// parts reports whether a board comes off along a joint at its edge: a face that is not glued down, where it meets the hand rest or the other
// face.
func (w *worker) parts(j carcass.Joint, a, b *carcass.Board) bool {
	edge := j == carcass.Butt || j == carcass.Mitred || j == carcass.Rebated
	return edge && (a.Role == carcass.RoleFace && w.loose(a) || b.Role == carcass.RoleFace && w.loose(b))
}

// held says how a joint without screws is held.
func held(j carcass.Joint, a, b *carcass.Board) string {
	switch j {
	case carcass.Mitred, carcass.Fingered, carcass.Glued:
		return "glued"
	case carcass.LaidOn, carcass.LetIn, carcass.Rests:
		if a.Role == carcass.RoleFace || b.Role == carcass.RoleFace {
			return "held by the screws of the face"
		}
		return "touches; held by its screws elsewhere"
	}
	return "touches"
}

// loose reports whether a board comes off again: base and lids held by screws.
func (w *worker) loose(b *carcass.Board) bool {
	switch b.Role {
	case carcass.RoleBase:
		return true
	case carcass.RoleFace:
		return w.c.Spec.Build.FaceHeld != carcass.GluedDown
	}
	return false
}

// patch is a place where a screw may go from one board into another.
type patch struct {
	poly []geom.Vec3
	dir  geom.Vec3
}

// patches tells which of two touching boards the screws go through, and where: square to the flat side of that board.
func (w *worker) patches(ct *carcass.Contact) (from, into *carcass.Board, ps []patch) {
	a, b := &w.c.Boards[ct.A], &w.c.Boards[ct.B]
	flat := func(x *carcass.Board, n geom.Vec3) bool { return math.Abs(x.Frame.N.Dot(n)) > 1-1e-6 }
	least := 0.0
	try := func(f, t *carcass.Board, sign float64) {
		area, got := 0.0, []patch(nil)
		for _, p := range ct.Patches {
			if flat(f, p.N) {
				area += p.Area
				got = append(got, patch{p.Poly, p.N.Mul(sign)})
			}
		}
		if area > least+tiny {
			least, from, into, ps = area, f, t, got
		}
	}
	from, into = a, b
	switch { // of a board and a batten the screw goes through the board; a lid goes onto the walls
	case !a.Role.Shell():
		try(b, a, -1)
	case !b.Role.Shell():
		try(a, b, 1)
	case lid(a):
		try(a, b, 1)
	case lid(b):
		try(b, a, -1)
	default:
		try(a, b, 1)
		try(b, a, -1)
	}
	return from, into, ps
}

func lid(b *carcass.Board) bool {
	return b.Role == carcass.RoleBase || b.Role == carcass.RoleRest || b.Role == carcass.RoleTop || b.Role == carcass.RoleFace
}

// row places the screws along one patch.
func (w *worker) row(r *Result, from, into *carcass.Board, p patch, thin map[string]bool) {
	if len(p.poly) < 3 {
		return
	}
	if !w.material(into).Wood() || !w.material(from).Wood() {
		w.sayOnce(thin, from.Name+into.Name, ruleNotWood, finding.Finding{
			Head: fmt.Sprintf("No wood screw holds the %s to the %s: one of them is no wood.", from.Name, into.Name),
			Body: "Cement them with what the sheet wants, or use angles and machine screws.", Ends: []finding.End{w.end(from.Name), w.end(into.Name)},
		})
		return
	}
	strip := newStrip(p)
	grip, batten := into.Thickness, !into.Role.Shell()
	if batten {
		grip = min(into.Blank.Y, into.Thickness)
	}
	d := w.Screws.Diameter
	if d == 0 {
		d = w.diameter(grip, batten)
	}
	ratio := clamp(w.Limits.Value(limThin), 1, 20)
	if least := max(clamp(w.Limits.Value(limLeastEdge), 1, 100), ratio*d); d == 0 || !batten && grip < least-0.05 {
		if w.braced(from, into) {
			return // blocks or fingers hold it: glue is enough
		}
		what := "The walls are"
		if into.Role == carcass.RoleBase {
			what = "The base is"
		}
		w.sayOnce(thin, what, ruleThin, finding.Finding{
			Head:    fmt.Sprintf("%s %s thick: too thin for screws into the edge.", what, w.mm(grip)),
			Body:    "They would split the plies. Glue these joints, and glue blocks into the corners: screws may go into those.",
			Ends:    []finding.End{w.end(into.Name), w.end(from.Name)},
			Measure: &finding.Measure{Have: grip, Want: least, Unit: "mm", Sense: finding.AtLeast},
			Why:     "A screw into the edge of plywood should be no thicker than a quarter of it.", Source: w.Limits.Source(limThin),
			Fixes: []finding.Fix{blocksFix()},
		})
		if w.Screws.Diameter == 0 {
			return
		}
	}
	size := screwFor(d, w.Screws.Numbered || w.Inches && w.Screws.Diameter == 0)
	end := max(w.Screws.Inset, clamp(w.Limits.Value(limEnd), 0, 50)*d)
	every := w.Screws.Every
	if every <= 0 {
		every = w.Limits.Value(limEvery)
	}
	every = clamp(every, 5*d, 1000)
	if strip.length < 2*clamp(w.Limits.Value(limEdge), 0, 20)*d+2 {
		return // too short for a screw; the pieces beside it hold
	}
	n := 1
	if strip.length > 2*end+5*d {
		n = max(2, int(math.Ceil((strip.length-2*end)/every-1e-9))+1)
	}
	n = min(n, 60)
	wood := w.wood(into)
	across := w.bestAcross(from, into, wood, strip, p.dir, size, strip.length/2)
	placed, worst, bad := 0, finding.Finding{}, Screw{}
	for k := range n {
		s := strip.length / 2
		if n > 1 {
			s = end + (strip.length-2*end)*float64(k)/float64(n-1)
		}
		sc, why, ok := w.place(r, from, into, wood, strip, p.dir, size, s, across, end)
		if !ok {
			if worst.Head == "" || why.Severity > worst.Severity {
				worst, bad = why, sc
			}
			continue
		}
		sc.N = len(r.Screws) + 1
		r.Screws = append(r.Screws, sc)
		placed++
	}
	if worst.Head != "" && (placed == 0 || worst.Severity > finding.Note) {
		rule := ruleOut
		if worst.Rule != "" {
			for _, c := range Rules {
				if c.Name == worst.Rule {
					rule = c
				}
			}
		}
		w.leanWords(&worst, bad, from, into, wood)
		w.sayOnce(thin, rule.Name+from.Name+into.Name, rule, worst)
	}
}

// sayOnce adds a finding unless one of the same key has been added.
func (w *worker) sayOnce(said map[string]bool, key string, r finding.Rule, f finding.Finding) {
	if !said[key] {
		said[key] = true
		w.say(r, f)
	}
}

// diameter chooses a screw for wood of a thickness; 0 when none is thin enough.
func (w *worker) diameter(grip float64, batten bool) float64 {
	ratio := clamp(w.Limits.Value(limThin), 1, 20)
	sizes := metric
	if w.Inches {
		sizes = numbered
	}
	d := 0.0
	if batten { // glued along its whole length, it does not split so easily
		d = sizes[0].Major
	}
	for _, s := range sizes {
		if s.Major*ratio <= grip+0.05 && s.Major < 4.2 {
			d = s.Major
		}
	}
	return d
}

// braced reports whether blocks stand at the joint.
func (w *worker) braced(a, b *carcass.Board) bool {
	touches := func(k int, x *carcass.Board) bool {
		for _, ct := range w.c.Contacts {
			if ct.A == k && &w.c.Boards[ct.B] == x || ct.B == k && &w.c.Boards[ct.A] == x {
				return true
			}
		}
		return false
	}
	for k := range w.c.Boards {
		role := w.c.Boards[k].Role
		if (role == carcass.RoleBlock || role == carcass.RoleCleat) && touches(k, a) && touches(k, b) {
			return true
		}
	}
	return false
}

func blocksFix() finding.Fix {
	return finding.Fix{Say: "Glue blocks into the corners", Short: "blocks: 15", Edits: []finding.Edit{{Op: finding.Set, Path: "box.blocks", Value: "15"}}}
}

// crossings looks at pilot and clearance bits once all screws are placed.
func (w *worker) crossings(r *Result) {
	said := map[string]bool{}
	for _, s := range r.Screws {
		for _, h := range []struct {
			hole Hole
			what string
		}{{s.Pilot, "pilot hole"}, {s.Shank, "clearance hole"}} {
			if h.hole.OK || len(w.Bits) == 0 {
				continue
			}
			f := finding.Finding{
				Head: fmt.Sprintf("None of your bits makes the %s of a %s screw: %s.", h.what, s.Size.Name, w.mm(h.hole.Want)),
				Body: "Without it plywood splits at the edge. A bit within 0.3 mm does.", Ends: []finding.End{{Name: "the screws", Path: "tools.bits"}, w.end(s.Through)},
				Measure: &finding.Measure{Have: 0, Want: math.Round(h.hole.Want*10) / 10, Unit: "mm", Sense: finding.AtLeast},
				Source:  sourcePilot,
			}
			w.sayOnce(said, h.what+s.Size.Name+fmt.Sprint(h.hole.Want), rulePilot, f)
		}
	}
}

// OwnsPilots reports whether every screw has both its bits.
func (r Result) OwnsPilots() bool {
	for _, s := range r.Screws {
		if !s.Pilot.OK || !s.Shank.OK {
			return false
		}
	}
	return true
}

// bitName names the bit of a hole, or its size where none is owned.
func bitName(h Hole) string {
	if h.OK {
		return h.Bit.Name
	}
	return mm(h.Want)
}

// Names gives the bits of a screw in words: pilot and clearance.
func (s Screw) Names() (pilot, shank string) { return bitName(s.Pilot), bitName(s.Shank) }

func clamp(v, lo, hi float64) float64 {
	if math.IsNaN(v) {
		return lo
	}
	return min(max(v, lo), hi)
}

func degrees(rad float64) string { return fmt.Sprintf("%.0f degrees", rad*180/math.Pi) }
