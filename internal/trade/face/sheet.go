package face

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// webs checks the sheet left between the holes of two items. Below the least on paper it is a stop; what is measured, and
// warned about, takes both at their largest and both off their marks.
func (k *checker) webs(out []hit, a *item, d geom.Vec2, b *item) []hit {
	want := k.v.webGood
	off := 2 * k.v.wander
	if !near(a.cutBox, d, b.cutBox, want+off) {
		return out
	}
	h := hit{rule: &ruleWeb, sev: finding.Warn, code: cWeb, a: a.n, b: b.n, have: want, want: want}
	found, paper := false, math.Inf(1)
	for i := range a.cuts {
		for j := range b.cuts {
			ca, cb := &a.cuts[i], &b.cuts[j]
			grow := ca.grow + cb.grow + off
			if !near(ca.box, d, cb.box, want+grow) {
				continue
			}
			s := gap2(&ca.shape, d, &cb.shape)
			paper = min(paper, s.gap-ca.bare-cb.bare)
			if web := s.gap - grow; web < h.have-slack {
				h.have, h.dir, h.at, h.n1 = web, s.dir, s.at, s.gap-ca.bare-cb.bare
				found = true
			}
		}
	}
	if !found {
		return out
	}
	h.need = h.lack()
	if paper < k.v.webLeast-slack {
		h.sev = finding.Stop
	}
	return append(out, h)
}

// alone checks what a control, fixing, opening or text has to keep from the edge of the face, moved by d.
func (k *checker) alone(out []hit, a *item, d geom.Vec2) []hit {
	if !k.known {
		return out
	}
	first := len(out)
	for i := range a.cuts {
		out = k.cutEdge(out, a, d, &a.cuts[i])
	}
	off := false // then that alone is said
	for i := range out[first:] {
		off = off || out[first+i].quiet
	}
	if a.sort == control {
		out = k.frontEdge(out, a, d)
	}
	for i := range a.words {
		if m, at, in := k.side(&a.words[i], d); m < k.v.letterEdge-slack {
			h := hit{rule: &ruleLegendOff, sev: finding.Warn, code: cOffSheet, a: a.n, b: -1, have: m, want: k.v.letterEdge, at: at, dir: in}
			if m < -slack {
				h.sev = finding.Stop
			}
			h.need = h.lack()
			out = append(out, h)
		}
	}
	for i := range out[first:] {
		out[first+i].quiet = off
	}
	return out
}

// cutEdge checks one hole against the edge of the face.
func (k *checker) cutEdge(out []hit, a *item, d geom.Vec2, c *cut) []hit {
	m, at, in := k.side(&c.shape, d)
	h := hit{rule: &ruleSheetEdge, sev: finding.Warn, code: cSheetEdge, a: a.n, b: -1, at: at, dir: in, n2: float64(c.n)}
	fact := k.v.edgeDia
	if a.sort == fixing || c.cut.What == "screw" {
		fact = k.v.fixDia
	}
	good := max(k.v.edgeGood, (fact-0.5)*c.dia)
	if a.origin.Path == "face.rack" {
		good = k.v.edgeLeast // the standard says where the slots of a rack panel are
	}
	paper, least := m-c.bare, m-c.grow-k.v.wander
	switch {
	case m < -slack:
		h.have, h.want, h.sev, h.quiet = m, good, finding.Stop, true // place.off-sheet says it
	case paper < k.v.edgeLeast-slack:
		h.have, h.want, h.sev, h.n1 = paper, good, finding.Stop, paper
	case paper < good-slack:
		h.have, h.want, h.n1 = paper, good, paper
	case least < k.v.edgeLeast-slack:
		h.have, h.want, h.n1, h.code = least, k.v.edgeLeast, paper, cSheetEdgeOff
	default:
		return out
	}
	h.need = h.lack()
	return append(out, h)
}

// frontEdge checks a control's front parts against the edge of the face.
func (k *checker) frontEdge(out []hit, a *item, d geom.Vec2) []hit {
	h := hit{rule: &ruleEdge, sev: finding.Warn, code: cEdge, a: a.n, b: -1, have: k.v.edge, want: k.v.edge}
	found := false
	for i := range a.front {
		s := &a.front[i]
		m, at, in := k.side(s, d)
		seat, moves := s.role == panel.RoleBezel || s.role == panel.RoleNut, s.role == panel.RoleSweep
		if m >= h.have-slack || moves && m >= -slack {
			continue
		}
		h.have, h.at, h.dir, h.ra = m, at, in, s.role
		found = true
		if seat && m < -slack {
			h.sev = finding.Stop
		}
	}
	if !found {
		return out
	}
	h.need = h.lack()
	return append(out, h)
}

// side measures how far inside the edge of the face a footprint lies, moved by d: negative when it hangs over. in is the
// way inwards. The face is a rectangle with round corners. The way from a point to its edge is a concave function of the
// point, so that over a polygon it is least at a corner.
func (k *checker) side(s *shape, d geom.Vec2) (m float64, at, in geom.Vec2) {
	if s.form == other {
		return k.sideAny(s, d)
	}
	f := &k.p.Face
	r := f.Corner
	half := geom.Vec2{X: f.Width/2 - r, Y: f.Height/2 - r}
	m = math.Inf(1)
	for _, p := range s.pts {
		p = p.Add(d)
		x, y := p.X-f.Width/2, p.Y-f.Height/2
		dx, dy := math.Abs(x)-half.X, math.Abs(y)-half.Y // beyond the rectangle of the corners' middles
		far := math.Hypot(max(dx, 0), max(dy, 0)) + min(max(dx, dy), 0)
		if w := r - far - s.r; w < m {
			var u geom.Vec2 // outwards
			switch {
			case dx > 0 && dy > 0:
				u = geom.Vec2{X: sign(x) * dx, Y: sign(y) * dy}.Unit()
			case dx > dy:
				u.X = sign(x)
			default:
				u.Y = sign(y)
			}
			m, at, in = w, p.Add(u.Mul(s.r)), u.Mul(-1)
		}
	}
	return m, at, in
}

// sideAny is side for outlines of other kinds.
func (k *checker) sideAny(s *shape, d geom.Vec2) (m float64, at, in geom.Vec2) {
	o := s.outline()
	if d != (geom.Vec2{}) {
		o = o.Move(geom.Place{At: d})
	}
	m, at = k.p.Face.Outline.Margin(o)
	f := &k.p.Face
	in = geom.Vec2{X: 1}
	least := at.X
	for _, e := range []struct {
		gap float64
		in  geom.Vec2
	}{{f.Width - at.X, geom.Vec2{X: -1}}, {at.Y, geom.Vec2{Y: 1}}, {f.Height - at.Y, geom.Vec2{Y: -1}}} {
		if e.gap < least {
			least, in = e.gap, e.in
		}
	}
	return m, at, in
}
