package face

import (
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// sort says what an item is.
type sort uint8

const (
	control sort = iota
	fixing
	opening
	lettering
	inside // wall, ledge, block, rib, module
)

// item is one thing of the panel with everything of it that can meet something else, by layer.
type item struct {
	sort   sort
	n      int // own index
	ctl    *panel.Control
	origin panel.Origin
	role   panel.Role // of an inside thing
	owner  string     // name of an inside thing

	kind   kind    // for the finger-room tables; "" = nothing that a finger works
	kindN  int     // its row in the table in force
	front  []shape // all that stands in front, swept room included
	finger []shape // what the finger takes: footprints for the tables
	rims   []shape // all that stands in front, at rest
	tips   []shape // of rims, what keeps fingertips out: nuts and washers lie too low for that
	cuts   []cut
	behind *shape  // of an opening: what must be free behind it
	before *shape  // of an opening: what must be free in front of it
	hard   []shape // behind: body and lugs; for an inside thing its solid
	bend   []shape // behind: room for bending wires
	nut    []shape // washer and nut, behind
	tool   *shape  // what the tool sweeps round the nut
	toolIn bool    // the tool works in front
	driver *shape  // column that the screwdriver needs over a fixing screw
	words  []shape // letters' boxes

	frontBox, cutBox, rearBox, wordBox geom.Box2
	all                                geom.Box2
}

// cut is a hole ready for measuring.
type cut struct {
	shape
	cut  *panel.Cut
	n    int     // its place among the holes of its control
	bare float64 // how far its edge lies outside the nominal outline in the bare sheet: what the covering takes, mm
	grow float64 // how far its edge may lie outside the nominal outline when cut at its largest, mm
	dia  float64 // diameter, or the smaller side
}

func newCut(c *panel.Cut) (cut, bool) {
	if c == nil || len(c.Outline) == 0 {
		return cut{}, false
	}
	x := cut{shape: newShape("", c.Outline, 0, 0), cut: c}
	if c.CutMin > c.FinishedMin {
		x.bare = (c.CutMin - c.FinishedMin) / 2
	}
	if c.CutMax > c.Nominal {
		x.grow = (c.CutMax - c.Nominal) / 2
	}
	z := x.box.Size()
	x.dia = min(z.X, z.Y)
	return x, true
}

// newControl gathers a control.
func newControl(n int, c *panel.Control, p *panel.Panel, toolReach float64) item {
	x := item{sort: control, n: n, ctl: c, origin: c.Origin, kind: kind(c.Part.Reach)}
	many := make([]shape, 0, 2*len(c.Front)+len(c.Rear)) // room for all of them at once
	x.front, x.rims, x.hard = many[:0:len(c.Front)], many[len(c.Front):len(c.Front):2*len(c.Front)], many[2*len(c.Front):2*len(c.Front)]
	for _, b := range c.Front {
		s, ok := ofBody(b)
		if !ok {
			continue
		}
		switch b.Role {
		case panel.RoleTool:
			x.tool, x.toolIn = &s, true
			continue
		case panel.RoleSweep:
		case panel.RoleNut:
			x.rims = append(x.rims, s) // what the nut covers for certain
			s = round(s)
		default:
			x.rims = append(x.rims, s)
		}
		x.front = append(x.front, s)
	}
	x.finger = fingers(x.front, x.rims, x.kind)
	for _, s := range x.rims {
		if s.role != panel.RoleNut {
			x.tips = append(x.tips, s)
		}
	}
	if len(x.tips) == 0 {
		x.tips = x.rims
	}
	for _, b := range c.Rear {
		s, ok := ofBody(b)
		if !ok {
			continue
		}
		switch b.Role {
		case panel.RoleNut:
			if s.form == disc { // a ring nut, or the washer under a nut
				s.role = roleWasher
				if c.Part.Nut.Shape == "ring" {
					s.role = roleRing
				}
			}
			x.nut = append(x.nut, round(s))
		case panel.RoleTool:
			x.tool = &s
		case panel.RoleBend:
			x.bend = append(x.bend, s)
		default:
			x.hard = append(x.hard, s)
		}
	}
	x.fromPart(p, toolReach)
	x.overWashers(p)
	for i, c := range c.Cuts {
		if k, ok := newCut(c); ok {
			k.n = i
			x.cuts = append(x.cuts, k)
		}
	}
	if c.Legend.Text != "" && c.Legend.Box.Max.X > c.Legend.Box.Min.X {
		x.words = []shape{ofBox(c.Legend.Box)}
	}
	x.measure()
	return x
}

// fromPart makes nut and tool from the part's record when the panel does not bring them as bodies.
func (x *item) fromPart(p *panel.Panel, toolReach float64) {
	n := x.ctl.Part.Nut
	back, at := -p.Stack.Total, x.ctl.At.Vec2
	d := n.Flats.MM()
	if n.Shape != "ring" {
		d /= math.Cos(math.Pi / 6) // across the corners of a hexagon
	}
	d = max(d, n.Washer.MM())
	if len(x.nut) == 0 && n.Side == "rear" && n.Flats > 0 {
		s := newShape(roleRing, geom.Circle(at, d), back-max(n.Thickness.MM()+n.Washers.MM(), 0.5), back)
		x.nut = []shape{s}
	}
	if x.tool == nil && n.ToolRoom > 0 {
		o := geom.Circle(at, n.ToolRoom.MM())
		if n.Side == "front" {
			s := newShape(panel.RoleTool, o, 0, toolReach)
			x.tool, x.toolIn = &s, true
		} else if n.Side == "rear" {
			s := newShape(panel.RoleTool, o, back-toolReach, back)
			x.tool = &s
		}
	}
}

// round gives the circle round a nut's corners: a nut is turned while it is driven, so its corners come everywhere.
func round(s shape) shape {
	if s.form == disc || s.solid != nil {
		return s
	}
	return newShape(s.role, geom.Circle(s.mid, 2*s.round), s.z0, s.z1)
}

// overWashers keeps the tool's room clear of the layer in which the part's own washers lie: the tool goes no nearer to the
// sheet.
func (x *item) overWashers(p *panel.Panel) {
	w := x.ctl.Part.Nut.Washers.MM()
	if x.tool == nil || w <= 0 {
		return
	}
	t := *x.tool
	if x.toolIn {
		t.z0 = min(max(t.z0, w), t.z1)
	} else {
		t.z1 = max(min(t.z1, -p.Stack.Total-w), t.z0)
	}
	x.tool = &t
}

// fingers picks what the finger takes: the cap, knob, lever or handle rather than the bezel or nut round it. A handle that
// slides is taken anywhere on its way.
func fingers(front, rims []shape, k kind) []shape {
	var f []shape
	for _, s := range front {
		switch s.role {
		case panel.RoleCap, panel.RoleKnob, panel.RoleLever, panel.RoleHandle, panel.RoleGuard:
			f = append(f, s)
		case panel.RoleSweep:
			if k != toggle {
				f = append(f, s)
			}
		}
	}
	if len(f) == 0 {
		return rims
	}
	return f
}

// driverReach is how tall a screwdriver's way stands over a fixing screw, mm: taller than any knob.
const driverReach = 100

// headRise is the height of a screw head by its diameter; a pan head of ISO 7045 has about 0.43 (from memory).
const headRise = 0.43

func newFixing(n int, f *panel.Fixing, p *panel.Panel, length float64) item {
	x := item{sort: fixing, n: n, origin: f.Origin}
	at := f.At.Vec2
	if f.Head > 0 {
		x.front = []shape{newShape(panel.RoleHead, geom.Circle(at, f.Head), 0, f.Head*headRise)}
		d := newShape(panel.RoleTool, geom.Circle(at, f.Head), 0, driverReach)
		x.driver = &d
	}
	if k, ok := newCut(f.Cut); ok {
		x.cuts = []cut{k}
		x.hard = []shape{newShape(panel.RoleHead, geom.Circle(at, k.dia), -p.Stack.Total-length, -p.Stack.Total)}
	}
	x.measure()
	return x
}

// newOpening gathers an opening without a part; room is how deep the way behind it must be free.
func newOpening(n int, c *panel.Cut, p *panel.Panel, room float64) item {
	x := item{sort: opening, n: n, origin: c.Origin}
	if k, ok := newCut(c); ok {
		x.cuts = []cut{k}
		back := -p.Stack.Total
		b, f := newShape("", c.Outline, back-room, back), newShape("", c.Outline, 0, driverReach)
		x.behind, x.before = &b, &f
	}
	x.measure()
	return x
}

func newLettering(n int, t panel.Text) item {
	x := item{sort: lettering, n: n, origin: t.Origin}
	if t.Box.Max.X > t.Box.Min.X {
		x.words = []shape{ofBox(t.Box)}
	}
	x.measure()
	return x
}

func newInside(n int, b panel.Body) item {
	x := item{sort: inside, n: n, origin: b.Origin, role: b.Role, owner: b.Owner}
	if s, ok := ofBody(b); ok {
		x.hard = []shape{s}
	}
	x.measure()
	return x
}

// measure makes the boxes round the layers.
func (x *item) measure() {
	round := func(ss ...[]shape) geom.Box2 {
		b := geom.EmptyBox2()
		for _, s := range ss {
			for i := range s {
				b = b.Union(s[i].box)
			}
		}
		return b
	}
	x.frontBox = round(x.front, x.finger)
	x.rearBox = round(x.hard, x.bend, x.nut)
	x.wordBox = round(x.words)
	if x.tool != nil && x.toolIn {
		x.frontBox = x.frontBox.Union(x.tool.box)
	} else if x.tool != nil {
		x.rearBox = x.rearBox.Union(x.tool.box)
	}
	x.cutBox = geom.EmptyBox2()
	for i := range x.cuts {
		x.cutBox = x.cutBox.Union(x.cuts[i].box.Grow(x.cuts[i].grow))
	}
	x.all = x.frontBox.Union(x.rearBox).Union(x.wordBox).Union(x.cutBox)
}

// near reports whether two boxes, the first one moved by d, come within m of each other.
func near(a geom.Box2, d geom.Vec2, b geom.Box2, m float64) bool {
	return a.Min.X+d.X <= b.Max.X+m && b.Min.X <= a.Max.X+d.X+m && a.Min.Y+d.Y <= b.Max.Y+m && b.Min.Y <= a.Max.Y+d.Y+m
}
