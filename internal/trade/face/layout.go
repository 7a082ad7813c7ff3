package face

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Layout is a panel made ready for whoever looks for better places: every thing of the face as flat pieces, and how far pieces must
// stay apart so that Check has nothing to say of them. Heights are reckoned in: two pieces that pass over each other ask for nothing.
type Layout struct {
	Things  []Thing
	Apart   [][]Room  // by the classes of two pieces of things that are not of one group
	Within  [][]Room  // by the classes of two pieces of things of one group
	Bounds  [][]Bound // by class: where such a piece may be
	Sheets  []SheetOf // what tells layers apart for a reckoning of area
	classes []class
}

// Room is how far two pieces must stay apart, mm; -Inf = they have nothing to do with each other. Below Good there is a warning, below
// Least a stop.
type Room struct{ Good, Least float64 }

// Bound is a line that a piece must stay on one side of: N·p <= Good for all its points p, else there is a warning; N·p <= Least, else
// a stop. N has length 1.
type Bound struct {
	N           geom.Vec2
	Good, Least float64
}

// SheetOf is a class of pieces that exclude each other by their very extent.
type SheetOf struct {
	Name  string // "in front", "behind"
	Class []bool // by class
}

// Thing is one thing of the face.
type Thing struct {
	Control *panel.Control // nil: it is no control
	Text    string         // name of the lettering that it is, "" = it is none
	Name    string
	Pieces  []Flat
}

// Flat is one piece of a thing as seen from the front: a convex polygon, line or point grown by a radius, in the face frame, mm.
type Flat struct {
	Core  []geom.Vec2
	R     float64
	Class int
}

// layer says which of a thing's solids a piece is.
type layer uint8

const (
	atFinger layer = iota
	atTip
	atFront
	atRim
	atCut
	atHard
	atBend
	atNut
	atTool
	atDriver
	atBehind
	atBefore
	atWords
	atMiddle // the middle of what the finger takes
)

// class is all that decides how far a piece must stay from another one.
type class struct {
	sort       sort
	layer      layer
	kindN      int // row of the finger-room table, -1 = none
	z0, z1     float64
	passes     bool // it gives way to a tool in front
	toolIn     bool
	sweep      bool
	seat       bool
	module     bool
	grow, bare float64 // of a cut
	good       float64 // of a cut: from the edge of the face
	open       bool    // of a cut: letters must stay clear of it
}

// Plan makes a panel ready for arranging. The panel must have a face with a size; what it gives holds for the limits that are in force.
func Plan(p *panel.Panel) *Layout {
	k := newChecker(p)
	l := &Layout{}
	index := map[class]int{}
	add := func(t *Thing, c class, s *shape) {
		n, ok := index[c]
		if !ok {
			n = len(l.classes)
			index[c] = n
			l.classes = append(l.classes, c)
		}
		t.Pieces = append(t.Pieces, flatten(s, n))
	}
	for i := range k.items {
		x := &k.items[i]
		t := Thing{Control: x.ctl, Name: k.name(x)}
		if x.sort == lettering {
			t.Text = k.text(x).Name
		}
		base := class{sort: x.sort, kindN: -1, module: x.role == panel.RoleModule}
		all := func(y layer, ss []shape) {
			for j := range ss {
				c := base
				c.layer, c.z0, c.z1 = y, ss[j].z0, ss[j].z1
				switch y {
				case atFinger, atTip:
					c.kindN, c.z0, c.z1 = x.kindN, 0, 0
					if x.kind == "" {
						continue
					}
				case atFront:
					switch r := ss[j].role; r {
					case panel.RoleBezel, panel.RoleNut:
						c.seat = true
					case panel.RoleSweep:
						c.sweep, c.passes = true, true
					case panel.RoleKnob, panel.RoleLever, panel.RolePlug:
						c.passes = true
					}
				case atWords:
					c.z0, c.z1 = 0, 0
				}
				add(&t, c, &ss[j])
			}
		}
		all(atFront, x.front)
		if x.sort == control {
			all(atRim, x.rims)
			if p.Hand == "tight" {
				all(atTip, x.tips)
			} else {
				all(atFinger, x.finger)
				for j := range x.finger {
					if x.kind == "" {
						break
					}
					dot := newDot(x.finger[j].middle())
					add(&t, class{sort: control, layer: atMiddle, kindN: x.kindN}, &dot)
				}
			}
		}
		for j := range x.cuts {
			c := &x.cuts[j]
			fact := k.v.edgeDia
			if x.sort == fixing || c.cut.What == "screw" {
				fact = k.v.fixDia
			}
			good := max(k.v.edgeGood, (fact-0.5)*c.dia, k.v.edgeLeast+c.grow+k.v.wander-c.bare)
			add(&t, class{sort: x.sort, layer: atCut, kindN: -1, grow: c.grow, bare: c.bare, good: good, open: c.cut.Blind == 0 && !covered(c, x)}, &c.shape)
		}
		for j := range x.hard {
			all(atHard, slabs(&x.hard[j]))
		}
		all(atBend, x.bend)
		all(atNut, x.nut)
		one := func(y layer, s *shape) {
			if s != nil {
				c := base
				c.layer, c.z0, c.z1, c.toolIn = y, s.z0, s.z1, y == atTool && x.toolIn
				add(&t, c, s)
			}
		}
		one(atTool, x.tool)
		one(atDriver, x.driver)
		one(atBehind, x.behind)
		one(atBefore, x.before)
		all(atWords, x.words)
		if len(t.Pieces) > 0 {
			l.Things = append(l.Things, t)
		}
	}
	k.matrices(l)
	return l
}

func newDot(at geom.Vec2) shape {
	return shape{form: disc, c: at, pts: []geom.Vec2{at}, mid: at, box: geom.Box2{Min: at, Max: at}}
}

// flatten gives a shape's footprint; of one without a shortcut its hull, which holds a little more.
func flatten(s *shape, n int) Flat {
	f := Flat{R: s.r, Class: n}
	switch s.form {
	case other:
		f.R = 0
		f.Core = hull(s.outline().Flatten(0.02))
	default:
		f.Core = append(f.Core, s.pts...)
	}
	return f
}

// hull is the convex hull of points, counter-clockwise, without points on its sides.
func hull(ps []geom.Vec2) []geom.Vec2 {
	ps = slices.Clone(ps)
	slices.SortFunc(ps, func(a, b geom.Vec2) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	ps = slices.Compact(ps)
	if len(ps) < 3 {
		return ps
	}
	half := func(out []geom.Vec2, p geom.Vec2, from int) []geom.Vec2 {
		for len(out) >= from+2 && out[len(out)-1].Sub(out[len(out)-2]).Cross(p.Sub(out[len(out)-1])) <= 0 {
			out = out[:len(out)-1]
		}
		return append(out, p)
	}
	var out []geom.Vec2
	for _, p := range ps {
		out = half(out, p, 0)
	}
	from := len(out) - 1
	for i := len(ps) - 2; i >= 0; i-- {
		out = half(out, ps[i], from)
	}
	return out[:len(out)-1]
}

// slabs cuts a leaning solid into layers, each of them upright and no smaller than the solid within it.
func slabs(s *shape) []shape {
	if s.solid == nil {
		return []shape{*s}
	}
	const n = 8
	cut := make([][]geom.Vec2, n+1)
	for i := range cut {
		z := s.z0 + (s.z1-s.z0)*min(max(float64(i)/n, 1e-6), 1-1e-6)
		if c := s.level(z); c != nil {
			cut[i] = c.outline().Flatten(0.02)
		}
	}
	var out []shape
	for i := range n {
		if h := hull(append(slices.Clone(cut[i]), cut[i+1]...)); len(h) > 2 {
			out = append(out, newShape(s.role, geom.Polygon(h...), s.z0+(s.z1-s.z0)*float64(i)/n, s.z0+(s.z1-s.z0)*float64(i+1)/n))
		}
	}
	if len(out) == 0 {
		return []shape{*s}
	}
	return out
}

var nothing = Room{math.Inf(-1), math.Inf(-1)}

// matrices works out the rooms and bounds of all classes.
func (k *checker) matrices(l *Layout) {
	n := len(l.classes)
	l.Apart, l.Within, l.Bounds = make([][]Room, n), make([][]Room, n), make([][]Bound, n)
	front, behind := SheetOf{"in front", make([]bool, n)}, SheetOf{"behind the face", make([]bool, n)}
	for i := range l.classes {
		c := &l.classes[i]
		l.Apart[i], l.Within[i] = make([]Room, n), make([]Room, n)
		for j := range l.classes {
			l.Apart[i][j] = k.classRoom(c, &l.classes[j], false)
			l.Within[i][j] = k.classRoom(c, &l.classes[j], true)
		}
		l.Bounds[i] = k.bounds(c)
		front.Class[i] = c.sort == control && c.layer == atFront && c.seat
		behind.Class[i] = c.sort == control && c.layer == atHard
	}
	l.Sheets = []SheetOf{front, behind}
}

// classRoom is how far two pieces must stay apart: the room of one order of the two or the other, whichever is more.
func (k *checker) classRoom(a, b *class, within bool) Room {
	r, s := k.roomOf(a, b, within), k.roomOf(b, a, within)
	return Room{max(r.Good, s.Good), max(r.Least, s.Least)}
}

// roomOf states every look of pair for two classes in one order.
func (k *checker) roomOf(a, b *class, within bool) Room {
	both := a.sort == control && b.sort == control
	solid := func(want, least float64) Room { // in space: on the face less, when one passes over the other
		dz := max(b.z0-a.z1, a.z0-b.z1)
		side := func(v float64) float64 {
			switch {
			case math.IsInf(v, -1) || dz >= v && (v > 0 || dz >= 0):
				return math.Inf(-1)
			case dz > 0:
				return math.Sqrt(v*v - dz*dz)
			}
			return v
		}
		return Room{side(want), side(least)}
	}
	no := math.Inf(-1)
	switch {
	case both && (a.layer == atFinger || a.layer == atTip) && b.layer == a.layer:
		if r := k.classReach(a, b, within); r.basis == edges {
			return Room{r.want, no}
		}
	case both && a.layer == atMiddle && b.layer == atMiddle:
		if r := k.classReach(a, b, within); r.basis == middles {
			return Room{r.want, no}
		}
	case both && a.layer == atFront && b.layer == atFront:
		return solid(k.v.touch, 0)
	case both && a.layer == atRim && b.layer == atRim:
		return Room{0, no} // a knob may reach over a low bezel, but nobody asks for what it hides
	case a.layer == atCut && b.layer == atCut:
		return Room{k.v.webGood + a.grow + b.grow + 2*k.v.wander, k.v.webLeast + a.bare + b.bare}
	case a.layer == atWords:
		return k.wordRoom(b)
	case both && a.layer == atHard && b.layer == atHard:
		return solid(k.v.bodyGap, 0)
	case a.layer == atBend && b.layer == atHard && a.sort == control && (b.sort == control || b.sort == inside):
		return solid(0, no)
	case a.layer == atNut && a.sort == control && (b.layer == atNut || b.layer == atHard) && (b.sort == control || b.sort == inside):
		return solid(k.v.nutGap, 0)
	case a.layer == atTool && a.sort == control:
		return k.toolRoom(a, b, solid)
	case a.sort == control && b.sort == fixing:
		switch {
		case a.layer == atFront && b.layer == atFront:
			return solid(k.v.frame, 0)
		case a.layer == atRim && b.layer == atDriver:
			return solid(0, no)
		case a.layer == atHard && b.layer == atHard:
			return solid(k.v.screwGap, 0)
		}
	case a.sort == control && b.sort == inside && a.layer == atHard && b.layer == atHard:
		if b.module {
			return solid(k.v.moduleGap, 0)
		}
		return solid(k.v.ribGap, 0)
	case a.layer == atBehind && (b.layer == atHard || b.layer == atNut), a.layer == atBefore && b.layer == atRim:
		return solid(0, no)
	}
	return nothing
}

func (k *checker) classReach(a, b *class, within bool) *roomValue {
	g := 0
	if within {
		g = 1
	}
	return &k.rooms[a.kindN][2*b.kindN+g]
}

// wordRoom is the room round letters.
func (k *checker) wordRoom(b *class) Room {
	no := math.Inf(-1)
	switch {
	case b.layer == atWords:
		return Room{k.v.letterGap, no}
	case b.layer == atFront:
		return Room{0, no}
	case b.layer == atCut && b.open:
		return Room{k.v.letterGap, no}
	}
	return nothing
}

// toolRoom is the room of what turns a nut.
func (k *checker) toolRoom(a, b *class, solid func(want, least float64) Room) Room {
	no := math.Inf(-1)
	switch {
	case a.toolIn && b.sort == control && b.layer == atFront && !b.passes:
		return solid(0, no)
	case !a.toolIn && (b.layer == atHard && (b.sort == control || b.sort == inside && !b.module) || b.layer == atNut):
		return solid(0, no)
	}
	return nothing
}

// bounds states every look of alone, and the depth of the box, for a class.
func (k *checker) bounds(c *class) []Bound {
	var out []Bound
	edge := func(good, least float64) {
		for _, h := range k.rim() {
			out = append(out, Bound{h.N, h.Good - good, h.Good - least})
		}
	}
	no := math.Inf(-1)
	switch {
	case !k.known:
	case c.layer == atCut:
		edge(c.good+c.bare, k.v.edgeLeast+c.bare)
	case c.sort != control:
	case c.layer == atFront && c.sweep:
		edge(0, no)
	case c.layer == atFront && c.seat:
		edge(k.v.edge, 0)
	case c.layer == atFront:
		edge(k.v.edge, no)
	case c.layer == atWords:
		edge(k.v.letterEdge, 0)
	}
	if c.sort == control && (c.layer == atHard || c.layer == atNut || c.layer == atBend) {
		gap := k.limit(limDepthGap)
		if c.layer == atBend {
			gap = 0
		}
		deep := -k.p.Stack.Total - c.z0
		for _, f := range k.p.DepthSlopes() {
			// f.At + f.By·p - deep >= gap
			if l := f.By.Len(); l > 1e-9 {
				least := f.At - deep
				if c.layer == atBend {
					least = math.Inf(1)
				}
				out = append(out, Bound{f.By.Mul(-1 / l), (f.At - deep - gap) / l, least / l})
			}
		}
	}
	return out
}

// rim gives the edge of the face as lines: its round corners by chords, so that what keeps inside the lines keeps inside the face.
func (k *checker) rim() []Bound {
	f := &k.p.Face
	w, h, r := f.Width, f.Height, f.Corner
	out := []Bound{{N: geom.Vec2{X: 1}, Good: w}, {N: geom.Vec2{X: -1}}, {N: geom.Vec2{Y: 1}, Good: h}, {N: geom.Vec2{Y: -1}}}
	if r <= 0 {
		return out
	}
	const chords = 4
	for _, c := range []struct{ x, y, sx, sy float64 }{{w - r, h - r, 1, 1}, {r, h - r, -1, 1}, {r, r, -1, -1}, {w - r, r, 1, -1}} {
		for i := range chords {
			s, t := math.Sincos((float64(i) + 0.5) / chords * math.Pi / 2)
			n := geom.Vec2{X: t * c.sx, Y: s * c.sy}
			// the middle of the chord lies r·cos(half its angle) from the middle of the corner
			out = append(out, Bound{N: n, Good: n.Dot(geom.Vec2{X: c.x, Y: c.y}) + r*math.Cos(math.Pi/4/chords)})
		}
	}
	return out
}
