package face

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// webs checks the sheet left between the holes of two items: both at their largest, both off their marks.
func (k *checker) webs(out []hit, a *item, d geom.Vec2, b *item) []hit {
	want := k.v.webGood
	off := 2 * k.p.Wander
	if !near(a.cutBox, d, b.cutBox, want+off) {
		return out
	}
	h := hit{rule: &ruleWeb, sev: finding.Warn, code: cWeb, a: a.n, b: b.n, have: want, want: want}
	found := false
	for i := range a.cuts {
		for j := range b.cuts {
			ca, cb := &a.cuts[i], &b.cuts[j]
			grow := ca.grow + cb.grow + off
			if !near(ca.box, d, cb.box, want+grow) {
				continue
			}
			s := gap2(&ca.shape, d, &cb.shape)
			if web := s.gap - grow; web < h.have-slack {
				h.have, h.dir, h.at, h.n1 = web, s.dir, s.at, s.gap
				found = true
			}
		}
	}
	if !found {
		return out
	}
	h.need = h.lack()
	if h.have < k.v.webLeast-slack {
		h.sev = finding.Stop
	}
	return append(out, h)
}

// alone checks what a control, fixing, opening or text has to keep from the edge of the face, moved by d.
func (k *checker) alone(out []hit, a *item, d geom.Vec2) []hit {
	if !k.known {
		return out
	}
	for i := range a.cuts {
		out = k.cutEdge(out, a, d, &a.cuts[i])
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
	return out
}

// cutEdge checks one hole against the edge of the face.
func (k *checker) cutEdge(out []hit, a *item, d geom.Vec2, c *cut) []hit {
	m, at, in := k.side(&c.shape, d)
	h := hit{rule: &ruleSheetEdge, sev: finding.Warn, code: cSheetEdge, a: a.n, b: -1, at: at, dir: in, n1: m}
	least := m - c.grow - k.p.Wander
	switch {
	case m < -slack:
		h.have, h.want, h.sev, h.quiet = m, k.v.edgeLeast, finding.Stop, true // place.off-sheet says it
	case least < k.v.edgeLeast-slack:
		h.have, h.want, h.sev = least, k.v.edgeLeast, finding.Stop
	default:
		fact := k.v.edgeDia
		if a.sort == fixing || c.cut.What == "screw" {
			fact = k.v.fixDia
		}
		good := max(k.v.edgeGood, (fact-0.5)*c.dia)
		if m >= good-slack {
			return out
		}
		h.have, h.want = m, good
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
// way inwards.
func (k *checker) side(s *shape, d geom.Vec2) (m float64, at, in geom.Vec2) {
	f := &k.p.Face
	b := moved(s.box, d)
	c := b.Centre()
	m, at, in = b.Min.X, geom.Vec2{X: b.Min.X, Y: c.Y}, geom.Vec2{X: 1}
	if r := f.Width - b.Max.X; r < m {
		m, at, in = r, geom.Vec2{X: b.Max.X, Y: c.Y}, geom.Vec2{X: -1}
	}
	if r := b.Min.Y; r < m {
		m, at, in = r, geom.Vec2{X: c.X, Y: b.Min.Y}, geom.Vec2{Y: 1}
	}
	if r := f.Height - b.Max.Y; r < m {
		m, at, in = r, geom.Vec2{X: c.X, Y: b.Max.Y}, geom.Vec2{Y: -1}
	}
	// Only where the box reaches into the square of a rounded corner can the rounding come closer than the sides.
	r := f.Corner
	dx := min(b.Min.X, f.Width-b.Max.X)
	dy := min(b.Min.Y, f.Height-b.Max.Y)
	if r <= 0 || dx >= r || dy >= r || math.IsInf(m, 0) {
		return m, at, in
	}
	o := s.outline()
	if d != (geom.Vec2{}) {
		o = o.Move(geom.Place{At: d})
	}
	if w, p := f.Outline.Margin(o); w < m {
		in := geom.Vec2{X: f.Width / 2, Y: f.Height / 2}.Sub(p).Unit()
		return w, p, in
	}
	return m, at, in
}
