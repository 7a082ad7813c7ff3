package face

import (
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// form says which shortcut measures a shape's footprint.
type form uint8

const (
	other form = iota // any outline: measured by package geom
	disc              // a circle
	block             // an upright rectangle with sharp corners
	cored             // a polygon grown by a radius: see coreOf
)

// shape is one solid or one hole, made ready for measuring many times: an upright prism over a footprint, or any convex
// solid. Round ones and upright rectangles, nearly all of a panel, are measured by closed formulas.
type shape struct {
	role   panel.Role
	form   form
	c      geom.Vec2   // middle of a disc
	r      float64     // of a disc, or by which the core is grown
	pts    []geom.Vec2 // the core, for every form but other
	mid    geom.Vec2   // middle of the box
	round  float64     // of a circle about mid that holds the footprint
	box    geom.Box2
	z0, z1 float64
	out    geom.Outline // footprint; empty for a leaning solid
	tall   geom.Convex  // the footprint as an endless prism, for form other
	solid  geom.Convex  // leaning solid: not an upright prism
}

// endless is the half height of the prisms that stand in for flat outlines, mm: more than any panel has.
const endless = 1e6

// newShape makes a prism over an outline. The outline must not be empty.
func newShape(role panel.Role, o geom.Outline, z0, z1 float64) shape {
	s := prism(role, o, z0, z1)
	s.enclose()
	return s
}

// enclose works out the circle that holds the footprint.
func (s *shape) enclose() {
	s.mid = s.box.Centre()
	s.round = s.box.Size().Len() / 2
	if len(s.pts) > 0 && s.form != block {
		r := 0.0
		for _, p := range s.pts {
			r = max(r, p.Sub(s.mid).Len())
		}
		s.round = r + s.r
	}
}

// apart reports whether the circles round two footprints, the first one moved by d, keep them at least m apart.
func apart(s *shape, d geom.Vec2, t *shape, m float64) bool {
	w := s.mid.Add(d).Sub(t.mid)
	l := s.round + t.round + m
	return l <= 0 || w.Dot(w) >= l*l
}

func prism(role panel.Role, o geom.Outline, z0, z1 float64) shape {
	s := shape{role: role, out: o, z0: min(z0, z1), z1: max(z0, z1)}
	if c, d, ok := o.AsCircle(); ok {
		s.form, s.c, s.r, s.pts = disc, c, d/2, []geom.Vec2{c}
		s.box = geom.Box2{Min: geom.Vec2{X: c.X - s.r, Y: c.Y - s.r}, Max: geom.Vec2{X: c.X + s.r, Y: c.Y + s.r}}
		return s
	}
	s.box = o.Bounds()
	if upright(o, s.box) {
		s.form, s.pts = block, corners(s.box)
	} else if pts, r, ok := coreOf(o); ok {
		s.form, s.pts, s.r = cored, pts, r
	} else if o.IsConvex() {
		s.tall = geom.NewPrism(o, -endless, endless)
	}
	return s
}

// corners gives the corners of a box, counter-clockwise.
func corners(b geom.Box2) []geom.Vec2 {
	return []geom.Vec2{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

// upright reports whether the outline is the box itself.
func upright(o geom.Outline, b geom.Box2) bool {
	if len(o) != 4 {
		return false
	}
	for i, v := range o {
		w := o[(i+1)%4]
		onX := v.P.X == b.Min.X || v.P.X == b.Max.X
		onY := v.P.Y == b.Min.Y || v.P.Y == b.Max.Y
		if v.Bulge != 0 || !onX || !onY || (v.P.X == w.P.X) == (v.P.Y == w.P.Y) {
			return false
		}
	}
	return true
}

// ofBody makes a shape of a body of the panel; ok is false when the body has neither footprint nor solid.
func ofBody(b panel.Body) (s shape, ok bool) {
	if len(b.Outline) > 0 && b.Z1 > b.Z0 && !b.Leans {
		return newShape(b.Role, b.Outline, b.Z0, b.Z1), true
	}
	if b.Solid == nil {
		return s, false
	}
	x := b.Solid.Bounds()
	s = shape{role: b.Role, solid: b.Solid, form: block, z0: x.Min.Z, z1: x.Max.Z, box: geom.Box2{Min: x.Min.XY(), Max: x.Max.XY()}}
	s.pts = corners(s.box)
	s.enclose()
	return s, true
}

// level gives the cut through a shape at a height, as an upright shape; an upright shape is its own cut. It is nil where a leaning
// solid is not.
func (s *shape) level(z float64) *shape {
	if s.solid == nil {
		return s
	}
	o := panel.Body{Solid: s.solid, Z0: s.z0, Z1: s.z1, Leans: true}.AtHeight(z)
	if o.Empty() {
		return nil
	}
	c := newShape(s.role, o, s.z0, s.z1)
	return &c
}

// ofBox makes a flat shape of a box, for lettering.
func ofBox(b geom.Box2) shape {
	s := shape{role: roleLetters, form: block, box: b, pts: corners(b)}
	s.enclose()
	return s
}

// roleRing and roleWasher tell ring nuts and washers behind the face from nuts with corners.
const (
	roleRing   panel.Role = "ring"
	roleWasher panel.Role = "washer"
)

// roleLetters marks the boxes of lettering among the shapes.
const roleLetters panel.Role = "letters"

// middle is the middle of the footprint.
func (s *shape) middle() geom.Vec2 { return s.mid }

// outline gives the footprint as an outline.
func (s *shape) outline() geom.Outline {
	if len(s.out) > 0 {
		return s.out
	}
	z := s.box.Size()
	return geom.Rect(s.box.Centre(), z.X, z.Y, 0)
}

// sep says how two shapes lie to each other.
type sep struct {
	gap float64   // between them; negative: minus the least shift that parts them
	dir geom.Vec2 // unit: the way to move the first one, level with the face
	at  geom.Vec2 // where on the face
}

// gap2 measures between the footprints of s, moved by d, and t.
func gap2(s *shape, d geom.Vec2, t *shape) sep {
	switch {
	case s.form == disc && t.form == disc:
		w := s.c.Add(d).Sub(t.c)
		l := w.Len()
		u := geom.Vec2{X: 1}
		if l > 0 {
			u = w.Mul(1 / l)
		}
		g := l - s.r - t.r
		return sep{g, u, t.c.Add(u.Mul(t.r + g/2))}
	case s.form == block && t.form == block:
		return boxBox(moved(s.box, d), t.box)
	case s.form == disc && t.form == block:
		return discBox(s.c.Add(d), s.r, t.box)
	case s.form == block && t.form == disc:
		r := discBox(t.c, t.r, moved(s.box, d))
		r.dir = r.dir.Mul(-1)
		return r
	}
	if s.form != other && t.form != other {
		return coreGap(s, d, t)
	}
	return gapAny(s, d, t)
}

func moved(b geom.Box2, d geom.Vec2) geom.Box2 {
	return geom.Box2{Min: b.Min.Add(d), Max: b.Max.Add(d)}
}

// boxBox measures from box a to box b; dir is the way to move a.
func boxBox(a, b geom.Box2) sep {
	dx := max(a.Min.X-b.Max.X, b.Min.X-a.Max.X)
	dy := max(a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y)
	ca, cb := a.Centre(), b.Centre()
	u := geom.Vec2{X: sign(ca.X - cb.X), Y: sign(ca.Y - cb.Y)}
	at := geom.Vec2{
		X: (max(a.Min.X, b.Min.X) + min(a.Max.X, b.Max.X)) / 2,
		Y: (max(a.Min.Y, b.Min.Y) + min(a.Max.Y, b.Max.Y)) / 2,
	}
	switch {
	case dx > 0 && dy > 0:
		l := math.Hypot(dx, dy)
		return sep{l, geom.Vec2{X: u.X * dx / l, Y: u.Y * dy / l}, at}
	case dx >= dy:
		return sep{dx, geom.Vec2{X: u.X}, at}
	}
	return sep{dy, geom.Vec2{Y: u.Y}, at}
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// discBox measures from a disc to a box; dir is the way to move the disc.
func discBox(c geom.Vec2, r float64, b geom.Box2) sep {
	q := geom.Vec2{X: min(max(c.X, b.Min.X), b.Max.X), Y: min(max(c.Y, b.Min.Y), b.Max.Y)}
	if w := c.Sub(q); w != (geom.Vec2{}) {
		l := w.Len()
		u := w.Mul(1 / l)
		return sep{l - r, u, q.Add(u.Mul((l - r) / 2))}
	}
	// the middle lies in the box: out by the nearest side
	u, depth := geom.Vec2{X: -1}, c.X-b.Min.X
	if v := b.Max.X - c.X; v < depth {
		u, depth = geom.Vec2{X: 1}, v
	}
	if v := c.Y - b.Min.Y; v < depth {
		u, depth = geom.Vec2{Y: -1}, v
	}
	if v := b.Max.Y - c.Y; v < depth {
		u, depth = geom.Vec2{Y: 1}, v
	}
	return sep{-depth - r, u, c}
}

// gapAny measures footprints that have no shortcut.
func gapAny(s *shape, d geom.Vec2, t *shape) sep {
	if d == (geom.Vec2{}) && s.tall != nil && t.tall != nil {
		g := geom.Gap(s.tall, t.tall)
		return sep{g.Gap, level(g.Dir, s, d, t), g.A.XY().Add(g.B.XY()).Mul(0.5)}
	}
	o := s.outline()
	if d != (geom.Vec2{}) {
		o = o.Move(geom.Place{At: d})
	}
	g, a, b := o.Gap(t.outline())
	u := a.Sub(b)
	if g < 0 {
		u = u.Mul(-1)
	}
	if u.Len() < 1e-9 {
		u = s.middle().Add(d).Sub(t.middle())
	}
	if u = u.Unit(); u == (geom.Vec2{}) {
		u = geom.Vec2{X: 1}
	}
	return sep{g, u, a.Add(b).Mul(0.5)}
}

// level turns a direction in space from the first solid to the second into the way to move the first one on the face.
func level(dir geom.Vec3, s *shape, d geom.Vec2, t *shape) geom.Vec2 {
	u := dir.XY().Mul(-1)
	if u.Len() < 1e-6 {
		u = s.middle().Add(d).Sub(t.middle())
	}
	if u = u.Unit(); u == (geom.Vec2{}) {
		u = geom.Vec2{X: 1}
	}
	return u
}

// sep3 says how two solids lie to each other in space.
type sep3 struct {
	sep
	need float64 // how far the first must at least be moved along the face until the gap is what is wanted
	over float64 // how far one lies above the other; negative: minus the least shift along z that parts them
}

// gap3 measures between the solids of s, moved by d along the face, and t. Apart, gap is the distance in space. Overlapping, it
// is minus the least shift along the face that parts them, since that is how a maker can part them. Upright prisms are
// measured exactly from footprints and heights; leaning solids by package geom, in space. With a gap of want or more only gap
// is meant to be read.
func gap3(s *shape, d geom.Vec2, t *shape, want float64) sep3 {
	if s.solid != nil || t.solid != nil {
		return gapLeaning(s, d, t, want)
	}
	dz := max(t.z0-s.z1, s.z0-t.z1)
	if dz >= want && want >= 0 {
		return sep3{sep: sep{gap: dz}, over: dz}
	}
	g := gap2(s, d, t)
	r := sep3{sep: g, over: dz}
	side := want
	if dz > 0 {
		side = math.Sqrt(max(0, want*want-dz*dz))
	}
	r.need = max(0, side-g.gap)
	switch {
	case g.gap > 0 && dz > 0:
		r.gap = math.Hypot(g.gap, dz)
	case g.gap <= 0 && dz >= 0:
		r.gap = dz
	}
	return r
}

func gapLeaning(s *shape, d geom.Vec2, t *shape, want float64) sep3 {
	g := geom.Gap(s.convex(d), t.convex(geom.Vec2{}))
	return sep3{
		sep:  sep{g.Gap, level(g.Dir, s, d, t), g.A.XY().Add(g.B.XY()).Mul(0.5)},
		need: max(0, want-g.Gap),
		over: g.Gap,
	}
}

// convex gives the shape as a solid, moved along the face.
func (s *shape) convex(d geom.Vec2) geom.Convex {
	if s.solid == nil {
		return geom.NewPrism(s.outline().Move(geom.Place{At: d}), s.z0, s.z1)
	}
	if d == (geom.Vec2{}) {
		return s.solid
	}
	return shifted{s.solid, d.At(0)}
}

// shifted is a solid at another place.
type shifted struct {
	geom.Convex
	by geom.Vec3
}

func (s shifted) Support(d geom.Vec3) geom.Vec3 { return s.Convex.Support(d).Add(s.by) }
func (s shifted) Centre() geom.Vec3             { return s.Convex.Centre().Add(s.by) }
func (s shifted) Bounds() geom.Box3 {
	b := s.Convex.Bounds()
	return geom.Box3{Min: b.Min.Add(s.by), Max: b.Max.Add(s.by)}
}
