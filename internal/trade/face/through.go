package face

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// stackRange gives the least and most thickness that sheet and covering may have: the sheet's tolerance counts unless its
// thickness was measured, and then the file says something else than the catalogue.
func (k *checker) stackRange() (least, most float64) {
	s := &k.p.Stack
	least, most = s.Total, s.Total
	if math.Abs(s.SheetThickness-s.Sheet.Thickness()) < slack {
		least -= math.Abs(s.Sheet.Tol[0].MM())
		most += math.Abs(s.Sheet.Tol[1].MM())
	}
	return least, most
}

// usualPitch serves for threads whose record gives none, mm.
const usualPitch = 1

// threadLeft gives the thread that shows behind the nut, and how much of it is wanted; ok is false for parts without a nut
// on a thread.
func (k *checker) threadLeft(x *item) (left, want float64, ok bool) {
	p := &x.ctl.Part
	if p.Thread.Length <= 0 || p.Nut.Flats <= 0 {
		return 0, 0, false
	}
	pitch := p.Thread.Pitch.MM()
	if pitch <= 0 {
		pitch = usualPitch
	}
	left = p.Thread.Length.MM() - k.p.Stack.Total - p.Nut.Washers.MM() - p.Nut.Thickness.MM()
	return left, k.limit(limThreads) * pitch, true
}

// thread checks whether the thread reaches through the stack, the washers and the nut.
func (k *checker) thread(rs *remarks, x *item, told bool) {
	left, want, ok := k.threadLeft(x)
	if !ok || told || k.p.Stack.Total <= 0 {
		return
	}
	p := &x.ctl.Part
	_, most := k.stackRange()
	sure := left - (most - k.p.Stack.Total)
	r := remark{rule: &ruleThread, key: p.ID, who: []*item{x}, at: &x.ctl.At.Vec2, measure: atLeast(left, want), source: p.Source("thread")}
	r.why = "Sheet, covering, washers and nut are " + k.mm(p.Thread.Length.MM()-left) + "; the thread is " + k.mm(p.Thread.Length.MM()) + "."
	proud := k.limit(limProud)
	switch {
	case left < -slack:
		r.sev = finding.Stop
		r.say = func(n names) (string, string) {
			return "The " + n.or("nut", "nuts") + " of " + n.text + n.or(" has", " have") + " too little thread.",
				k.mm(-left) + " of the nut would stay empty. Leave out a washer, or thin the sheet from behind."
		}
	case left < want-max(petty, p.Thread.Pitch.MM()*pettyPitch):
		r.sev = finding.Warn
		r.say = func(n names) (string, string) {
			return "The " + n.or("nut", "nuts") + " of " + n.text + n.or(" is", " are") + " barely full.",
				k.short(left, want) + " of thread shows when tight. Leave out a washer, or thin the sheet from behind."
		}
	case sure < -slack:
		r.sev, r.key, r.measure = finding.Warn, p.ID+"/most", atLeast(sure, want)
		r.say = func(n names) (string, string) {
			return "The " + n.or("nut", "nuts") + " of " + n.text + " may have too little thread.",
				"Sheet is sold up to " + k.mm(most-k.p.Stack.Total) + " thicker than it is called. Measure yours and write it as actual:."
		}
	case p.Seat == "rear" && p.Nut.Side == "front" && left > proud+slack:
		r.sev, r.source = finding.Note, k.p.Limits.Source(limProud)
		r.measure = &finding.Measure{Have: left, Want: proud, Unit: "mm", Sense: finding.AtMost}
		r.say = func(n names) (string, string) {
			return "Much thread of " + n.text + " stands out in front.", k.mm(left) + " beyond the nut. A second nut behind the sheet takes it up."
		}
	default:
		return
	}
	rs.add(r)
}

// depthOf gives how deep a control reaches behind the back of the sheet: what is stiff, and with its wires.
func (k *checker) depthOf(x *item) (stiff, wired float64) {
	back := -k.p.Stack.Total
	for i := range x.hard {
		stiff = max(stiff, back-x.hard[i].z0)
	}
	for i := range x.nut {
		stiff = max(stiff, back-x.nut[i].z0)
	}
	wired = stiff
	for i := range x.bend {
		wired = max(wired, back-x.bend[i].z0)
	}
	return stiff, wired
}

// clear gives the least of what is left behind the solids of a control, its depth there and the room there; ok is false when the
// depth of the box is not known. Where the base leans to the sheet, each solid has a room of its own.
func (k *checker) clear(solids ...[]shape) (left, deep, room float64, ok bool) {
	left = math.Inf(1)
	for _, list := range solids {
		for i := range list {
			s := &list[i]
			r, known := k.p.DepthUnder(s.outline())
			if d := -k.p.Stack.Total - s.z0; known && r-d < left {
				left, deep, room, ok = r-d, d, r, true
			}
		}
	}
	return left, deep, room, ok
}

// depth checks the depth behind the face: first what is stiff, then by itself the room in which the wires bend, so that each fix
// asks for no more than what it says.
func (k *checker) depth(rs *remarks, x *item) {
	name := k.name(x)
	if left, stiff, room, ok := k.clear(x.hard, x.nut); ok {
		gap := k.limit(limDepthGap)
		r := remark{
			rule: &ruleDepth, who: []*item{x}, at: &x.ctl.At.Vec2, measure: atLeast(left, gap),
			why: "Behind the lugs " + k.mm(gap) + " of air keep bare metal off the base.", source: k.p.Limits.Source(limDepthGap),
		}
		switch {
		case left < -slack:
			r.sev, r.key = finding.Stop, "stiff"
			r.say = func(n names) (string, string) {
				return n.text + n.or(" is", " are") + " too deep for the box.", name + " takes " + k.mm(stiff) + " behind the sheet without its wires; the box has " + k.mm(room) + k.there() + "."
			}
		case left < gap-slack:
			r.sev, r.key = finding.Warn, "close"
			r.say = func(n names) (string, string) {
				return n.text + n.or(" comes", " come") + " close to the base.", k.short(left, gap) + " of air is left behind the lugs of " + name + "."
			}
		}
		if r.say != nil {
			k.deepen(rs, r, gap-left)
		}
	}
	if left, wired, room, ok := k.clear(x.bend); ok && left < -slack {
		k.deepen(rs, remark{
			rule: &ruleDepth, sev: finding.Warn, key: "wires", who: []*item{x}, at: &x.ctl.At.Vec2, measure: atLeast(left, 0),
			say: func(n names) (string, string) {
				return "The wires of " + n.text + " have no room to bend.", "With their bend those of " + name + " take " + k.mm(wired) + " behind the sheet; the box has " + k.mm(room) + k.there() + ". Lead them out sideways, or make the box deeper."
			},
			why: "A wire that is bent sharply at the lug breaks there.", source: x.ctl.Part.Source("rear"),
		}, -left)
	}
}

// deepen adds a remark with the fix that makes the box deeper by as much as it lacks.
func (k *checker) deepen(rs *remarks, r remark, by float64) {
	if fix, ok := k.p.Deeper(by); ok {
		r.fixes = []finding.Fix{fix}
	}
	rs.add(r)
}

// there says that the depth of the box is not the same everywhere.
func (k *checker) there() string {
	if k.p.Leaning() {
		return " there"
	}
	return ""
}

// depths gives how deep a control reaches behind the sheet, wires included, and the room that there is: to the base where the two
// come closest, or to a module under it. 0 when it is not known.
func (k *checker) depths(x *item) (deep, free float64) {
	back := -k.p.Stack.Total
	_, deep, free, ok := k.clear(x.hard, x.nut, x.bend)
	if !ok {
		_, deep = k.depthOf(x)
		free, _ = k.p.DepthAt(x.ctl.At)
	}
	free = max(free, 0)
	for i := range k.items {
		m := &k.items[i]
		if m.sort != inside || m.role != panel.RoleModule {
			continue
		}
		for i := range m.hard {
			top := &m.hard[i]
			for j := range x.hard {
				if near(x.hard[j].box, geom.Vec2{}, top.box, 0) && gap2(&x.hard[j], geom.Vec2{}, top).gap < 0 {
					if d := back - top.z1; free == 0 || d < free {
						free = max(d, 0)
					}
				}
			}
		}
	}
	return deep, free
}

// screwHold is the wood that a fixing screw has at least to go into, measured from the back of the sheet, mm: two diameters of the usual M3.
const screwHold = 6

// wholeTo gives the height down to which the far end of a piece of wood does not cut into it: its lowest, but of a piece that leans, as a ledge under
// a sloping face does, the highest of its far end. It is not above least, unless all of the piece is.
func (s *shape) wholeTo(least float64) float64 {
	h, ok := s.solid.(*geom.Hull)
	if !ok {
		return s.z0
	}
	end, down := -1, -0.5
	for i := range h.Faces {
		if n := h.Plane(i).N.Z; n < down {
			end, down = i, n
		}
	}
	if end < 0 {
		return s.z0
	}
	z := s.z0
	for _, i := range h.Faces[end] {
		z = max(z, h.Points[i].Z)
	}
	return max(s.z0, min(z, least))
}

// lands checks that a fixing screw has wood on all sides behind the face.
func (k *checker) lands(rs *remarks, x *item) {
	if !k.p.HasBox || len(x.hard) == 0 {
		return
	}
	shank := &x.hard[0]
	near2 := math.Inf(1)
	any := false
	want := k.limit(limScrewWood)
	back := -k.p.Stack.Total
	var pieces []*shape
	for i := range k.items {
		w := &k.items[i]
		if w.sort != inside || len(w.hard) == 0 {
			continue
		}
		switch w.role {
		case panel.RoleWall, panel.RoleBlock, panel.RoleLedge, panel.RoleRib:
		default:
			continue
		}
		any = true
		for j := range w.hard {
			if s := &w.hard[j]; s.z1 >= back-0.5 { // else it does not reach up to the sheet
				pieces = append(pieces, s)
			}
		}
	}
	for _, b := range k.p.Behind { // the base is no item of its own; a leaning panel stands on it
		if s, ok := ofBody(b); ok && b.Role == panel.RoleBase && s.z1 >= back-0.5 {
			pieces = append(pieces, &s)
		}
	}
	var wood [2][]*shape // right behind the sheet, and at the tip of the screw or where the first piece ends that it goes into
	tip := shank.z0
	for n := range wood {
		for _, s := range pieces {
			z := min(s.z1, back)
			if n == 1 {
				z = max(s.z0, tip)
			}
			c := s.level(z)
			if c == nil {
				continue
			}
			near2 = min(near2, gap2(shank, geom.Vec2{}, c).gap)
			if near(shank.box, geom.Vec2{}, c.box, want) {
				wood[n] = append(wood[n], c)
				if n == 0 {
					tip = max(tip, s.wholeTo(back-screwHold))
				}
			}
		}
	}
	if !any {
		return
	}
	c := shank.middle()
	have := min(woodRound(c, shank.r, want, wood[0]), woodRound(c, shank.r, want, wood[1]))
	if have >= want-slack {
		return
	}
	sev := finding.Warn
	inWood := inAny(c, wood[0]) && inAny(c, wood[1])
	if !inWood {
		sev, have = finding.Stop, -max(near2+shank.r, 0)
	}
	rs.add(remark{
		rule: &ruleFixing, sev: sev, key: "wood", who: []*item{x}, measure: atLeast(have, want), at: &c,
		say: func(n names) (string, string) {
			if !inWood {
				return finding.Capital(n.text) + n.or(" finds", " find") + " no wood.", "Behind the face there is nothing to screw into. Move " + n.or("it", "them") + " over a wall, a block or a ledge."
			}
			if have < 0 {
				body := "The screw comes out at the side by " + k.mm(-have) + "."
				if k.p.Face.Rack > 0 { // the slots stand where the standard has them
					body += " Take cheeks " + k.mm(want-have) + " thicker."
				}
				return finding.Capital(n.text) + n.or(" breaks", " break") + " out of the wood.", body
			}
			return finding.Capital(n.text) + n.or(" has", " have") + " little wood beside " + n.or("it.", "them."), k.short(have, want) + " beside the screw; it may split."
		},
		why: "A screw wants " + k.mm(want) + " of wood on all sides.", source: k.p.Limits.Source(limScrewWood),
	})
}

// woodRound gives how much wood is left round a screw of radius r, at most enough: the least over sixteen directions,
// where neighbouring pieces of wood count as one.
func woodRound(c geom.Vec2, r, enough float64, wood []*shape) float64 {
	const step = 0.25
	least := enough
	for i := range 16 {
		s, co := math.Sincos(float64(i) * math.Pi / 8)
		u := geom.Vec2{X: co, Y: s}
		out := 0.0
		for out < r+enough && inAny(c.Add(u.Mul(out)), wood) {
			out += step
		}
		// the edge lies within the last step
		lo, hi := max(out-step, 0), out
		for range 10 {
			if mid := (lo + hi) / 2; inAny(c.Add(u.Mul(mid)), wood) {
				lo = mid
			} else {
				hi = mid
			}
		}
		least = min(least, lo-r)
	}
	return least
}

func inAny(p geom.Vec2, wood []*shape) bool {
	if inPiece(p, wood) {
		return true
	}
	const hair = 1e-6 // on the line where two boards meet a point lies in neither: a hair beside it it does
	for _, d := range [4]geom.Vec2{{X: hair, Y: hair / 2}, {X: -hair, Y: -hair / 2}, {X: -hair / 2, Y: hair}, {X: hair / 2, Y: -hair}} {
		if inPiece(p.Add(d), wood) {
			return true
		}
	}
	return false
}

// inPiece reports whether a point lies in a piece of wood, strictly where the piece is no upright block.
func inPiece(p geom.Vec2, wood []*shape) bool {
	for _, w := range wood {
		switch {
		case w.form == block:
			const e = 1e-9
			if p.X >= w.box.Min.X-e && p.X <= w.box.Max.X+e && p.Y >= w.box.Min.Y-e && p.Y <= w.box.Max.Y+e {
				return true
			}
		case w.outline().Contains(p):
			return true
		}
	}
	return false
}

// fit gathers the arithmetic behind one control's fit. Nearest and Web are filled elsewhere.
func (k *checker) fit(x *item) Fit {
	p := &x.ctl.Part
	f := Fit{
		Control: x.ctl.Name, GripMin: p.Grip[0].MM(), GripMax: p.Grip[1].MM(),
		Stack: k.p.Stack.Total + p.Nut.Washers.MM() + p.Nut.Thickness.MM(),
	}
	if left, _, ok := k.threadLeft(x); ok {
		f.ThreadLeft = tidy(left)
	}
	deep, free := k.depths(x)
	f.Depth, f.DepthFree, f.Stack = tidy(deep), tidy(free), tidy(f.Stack)
	return f
}
