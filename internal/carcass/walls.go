package carcass

import (
	"fmt"
	"math"

	"knobwright/internal/geom"
)

// layer is a slice of a wall's thickness, lo to hi from its outside, that begins start mm in from the outside of the wall it
// meets at the corner.
type layer struct{ lo, hi, start float64 }

// layers gives how the end of a wall is stepped at a corner; through tells whether it is the one that runs through.
func (s Spec) layers(through bool) []layer {
	t := s.Build.Wall
	switch s.Build.Corner {
	case Rebated:
		d, w := s.rebate()
		switch {
		case through:
			return []layer{{0, t - d, 0}, {t - d, t, w}}
		case t-w < 1e-9:
			return []layer{{0, t, t - d}}
		}
		return []layer{{0, w, t - d}, {w, t, t}}
	case Mitred:
		return []layer{{0, t, 0}}
	case Fingered:
		return []layer{{0, t, t}}
	}
	if through {
		return []layer{{0, t, 0}}
	}
	return []layer{{0, t, t}}
}

// corner is where a side meets front or back. a counts from the outside of the side inwards, b from the outside of the end
// wall.
type corner struct {
	right, back bool
	p           *profile
}

// mitre bounds the end wall (b ≤ a); its back bounds the side.
func (c corner) mitre() geom.HalfSpace {
	h := geom.HalfSpace{N: v3(-1, 1, 0)}
	if c.right {
		h.N.X, h.D = 1, c.p.width
	}
	if c.back {
		h.N.Y, h.D = -1, h.D-c.p.d
	}
	return h
}

// from bounds a: at least lo; to: at most hi.
func (c corner) from(lo float64) geom.HalfSpace {
	if c.right {
		return leftOf(c.p.width - lo)
	}
	return rightOf(lo)
}

func (c corner) to(hi float64) geom.HalfSpace { return other(c.from(hi)) }

// behind bounds b: at least lo; before: at most hi.
func (c corner) behind(lo float64) geom.HalfSpace {
	if c.back {
		return upright(c.p.d - lo).space()
	}
	return line{v2(-1, 0), -lo}.space()
}

func (c corner) before(hi float64) geom.HalfSpace { return other(c.behind(hi)) }

// other gives the half-space on the other side.
func other(h geom.HalfSpace) geom.HalfSpace { return geom.HalfSpace{N: h.N.Mul(-1), D: -h.D} }

// ends gives front and back where there are walls.
func (p *profile) walls() []bool {
	if p.hasFront {
		return []bool{false, true}
	}
	return []bool{true}
}

// makeWalls makes front, back and sides.
func (m *maker) makeWalls() {
	for _, back := range m.p.walls() {
		m.endWall(back)
	}
	m.side(false)
	m.side(true)
}

// wallTopOf gives the upper bound of front or back.
func (m *maker) wallTopOf(back bool) (line, plank) {
	if back {
		return m.backTop(m.p), m.p.tops[len(m.p.tops)-1]
	}
	return m.p.tops[0].wallTop(), m.p.tops[0]
}

// endWall makes the front or the back.
func (m *maker) endWall(back bool) {
	p, b := m.p, m.Build
	through := b.Through == FrontBack
	left, right := corner{false, back, p}, corner{true, back, p}
	d := draft{name: "front", role: RoleFront, n: v3(0, -1, 0), u: v3(1, 0, 0), t: b.Wall}
	if back {
		d = draft{name: "back", role: RoleBack, n: v3(0, 1, 0), u: v3(-1, 0, 0), outer: p.d, t: b.Wall}
	}
	topLine, lid := m.wallTopOf(back)
	top, foot := topLine.space(), p.foot().space()
	footTag := m.footTag()
	topTag := m.topTag("top", lid, topLine)
	if b.WallEdges == Squared {
		v0, v1 := 0.0, b.Wall
		if back {
			v0, v1 = p.d-b.Wall, p.d
		}
		top, foot = below(min(topLine.at(v0), topLine.at(v1))), above(max(p.foot().at(v0), p.foot().at(v1)))
		topTag.hs, footTag.hs = top, foot
	}
	for _, l := range m.layers(through) {
		h := m.hull(left.behind(l.lo), left.before(l.hi), left.from(l.start), right.from(l.start), top, foot)
		if b.Corner == Mitred {
			h = cut(h, left.mitre(), right.mitre())
		}
		d.parts = append(d.parts, h)
	}
	for _, c := range [...]corner{left, right} {
		e := Edge{Name: "left end", Joint: b.Corner}
		if c.right != back { // as seen from outside
			e.Name = "right end"
		}
		e.Rebate = m.step(through)
		hs := c.from(m.layers(through)[0].start)
		if b.Corner == Mitred {
			hs = c.mitre()
		}
		if b.Corner == Fingered {
			hs = c.from(0)
			e.Comb = m.comb(c, through)
			d.parts = append(d.parts, m.fingers(c, through, top, foot)...)
		}
		d.tags = append(d.tags, tag{edge: e, hs: hs, neighbour: sideName(m.Form, c.right)})
	}
	d.tags = append(d.tags, topTag, footTag)
	m.add(d)
}

// topTag describes an upper edge that carries or frames a plank.
func (m *maker) topTag(name string, k plank, l line) tag {
	t := tag{edge: Edge{Name: name, Joint: LaidOn}, hs: l.space(), neighbour: k.name}
	if math.Abs(l.d-k.outer.d) < 1e-9 && l.n == k.outer.n {
		t.edge.Joint, t.neighbour = Free, "" // flush with a plank let in
	}
	return t
}

// footTag describes the lower edge of a wall.
func (m *maker) footTag() tag {
	t := tag{edge: Edge{Name: "bottom", Joint: Free}, hs: m.p.foot().space()}
	if m.p.baseFit == Under {
		t.edge.Joint, t.neighbour = LaidUnder, "base"
	}
	return t
}

// step describes the rebate at the end of a wall, nil without one.
func (s Spec) step(through bool) *Step {
	if s.Build.Corner != Rebated {
		return nil
	}
	d, w := s.rebate()
	switch {
	case through:
		return &Step{Width: w, Depth: d, Side: Inner}
	case s.Build.Wall-w > 1e-9:
		return &Step{Width: d, Depth: s.Build.Wall - w, Side: Inner}
	}
	return nil
}

func sideName(f Form, right bool) string {
	return [...]string{"left ", "right "}[bit(right)] + [...]string{"side", "cheek"}[bit(f == Rack)]
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// side makes a side or a cheek.
func (m *maker) side(right bool) {
	p, b := m.p, m.Build
	through := b.Through == Sides
	d := draft{name: sideName(m.Form, right), role: RoleSide, n: v3(-1, 0, 0), u: v3(0, -1, 0), t: b.Wall, hand: "left", pair: sideName(m.Form, true)}
	if right {
		d = draft{name: sideName(m.Form, right), role: RoleSide, n: v3(1, 0, 0), u: v3(0, 1, 0), outer: p.width, t: b.Wall, hand: "right", pair: sideName(m.Form, false)}
	}
	foot := p.foot().space()
	for _, l := range m.layers(through) {
		hs := []geom.HalfSpace{corner{right, false, p}.from(l.lo), corner{right, false, p}.to(l.hi), foot}
		for _, back := range p.walls() {
			hs = append(hs, corner{right, back, p}.behind(l.start))
			if b.Corner == Mitred {
				hs = append(hs, other(corner{right, back, p}.mitre()))
			}
		}
		d.parts = append(d.parts, m.underTops(m.hull(hs...), plank.wallTop)...)
	}
	for _, back := range p.walls() {
		c := corner{right, back, p}
		e := Edge{Name: [...]string{"front end", "back end"}[bit(back)], Joint: b.Corner, Rebate: m.step(through)}
		hs := c.behind(m.layers(through)[0].start)
		if b.Corner == Mitred {
			hs = other(c.mitre())
		}
		if b.Corner == Fingered {
			hs = c.behind(0)
			e.Comb = m.comb(c, through)
			for _, h := range m.fingers(c, through, foot) {
				d.parts = append(d.parts, m.underTops(h, plank.wallTop)...)
			}
		}
		d.tags = append(d.tags, tag{edge: e, hs: hs, neighbour: [...]string{"front", "back"}[bit(back)]})
	}
	for i, k := range p.tops {
		name := "top"
		switch {
		case m.Form == Rack && i == 0:
			name = "front end"
		case p.split:
			name = "top at the " + k.name
		}
		d.tags = append(d.tags, m.topTag(name, k, k.wallTop()))
	}
	if p.split {
		j, other := p.joint, p.tops[1].name
		if j.n.Left().Dot(p.tops[0].wallTop().meet(j)) < j.n.Left().Dot(p.tops[1].wallTop().meet(j)) {
			j, other = j.back(), p.tops[0].name // the farther part stands higher
		}
		d.tags = append(d.tags, tag{edge: Edge{Name: "step at the " + p.tops[1].name, Joint: Meets}, hs: j.space(), neighbour: other})
	}
	d.tags = append(d.tags, m.footTag())
	m.add(d)
}

// underTops gives the parts of h that lie under the tops, as far as limit says for each.
func (m *maker) underTops(h *geom.Hull, limit func(plank) line) []*geom.Hull {
	p := m.p
	if !p.split || m.oneRoof() {
		for _, k := range p.tops {
			h = cut(h, limit(k).space())
		}
		return []*geom.Hull{h}
	}
	var parts []*geom.Hull
	for i, part := range [...]line{p.joint, p.joint.back()} {
		if g := cut(h, part.space(), limit(p.tops[i]).space()); g != nil {
			parts = append(parts, g)
		}
	}
	if len(parts) == 0 {
		return []*geom.Hull{nil}
	}
	return parts
}

// oneRoof reports whether two tops bound everything below them as one convex solid.
func (m *maker) oneRoof() bool {
	a, c := m.p.tops[0], m.p.tops[1]
	return a.outer.n.Cross(c.outer.n) <= 0 && a.t == c.t && a.in == c.in && m.Build.Meeting == HalfEach
}

// comb describes the fingers at a corner.
func (m *maker) comb(c corner, through bool) *Comb {
	lo, hi := m.straight(c)
	n := fingerCount(hi-lo, m.Build.Fingers.Width)
	return &Comb{Fingers: m.Build.Fingers, Pitch: (hi - lo) / float64(n), Length: m.Build.Wall, Count: n, First: through}
}

// straight gives the heights between which the corner column is whole.
func (m *maker) straight(c corner) (lo, hi float64) {
	p, t := m.p, m.Build.Wall
	v0, v1 := 0.0, t
	if c.back {
		v0, v1 = p.d-t, p.d
	}
	top, _ := m.wallTopOf(c.back)
	return max(p.foot().at(v0), p.foot().at(v1)), min(top.at(v0), top.at(v1))
}

// fingerCount gives the odd number of fingers nearest to the wanted width; half way between two, the wider fingers, also when
// the last digits say otherwise.
func fingerCount(height, width float64) int {
	return max(1, 2*int(math.Round((height/width-1)/2-1e-6))+1)
}

// fingers makes the fingers of one board at a corner.
func (m *maker) fingers(c corner, through bool, bounds ...geom.HalfSpace) []*geom.Hull {
	t, f := m.Build.Wall, m.Build.Fingers
	lo, hi := m.straight(c)
	n := fingerCount(hi-lo, f.Width)
	if !(hi-lo > 0) || n < 3 {
		m.ps.add(Problem{
			Kind: NoRoom, Text: fmt.Sprintf("The corner is %s high; three fingers of %s do not go in. Take narrower fingers, or another joint.", mm(hi-lo), mm(f.Width)),
			Ends: []End{{"width of a finger", f.Width, "mm"}, {"height of the corner", hi - lo, "mm"}}, Have: hi - lo, Want: 3 * f.Width,
		})
		return nil
	}
	if n > 199 {
		m.ps.add(Problem{Kind: NoBox, Text: fmt.Sprintf("%d fingers at one corner are too many. Take wider ones.", n), Ends: []End{{"width of a finger", f.Width, "mm"}}, Have: float64(n), Want: 199, AtMost: true})
		return nil
	}
	pitch, play := (hi-lo)/float64(n), max(f.Clearance, 0)/4
	column := m.hull(append([]geom.HalfSpace{c.from(0), c.to(t), c.behind(0), c.before(t)}, bounds...)...)
	var parts []*geom.Hull
	for i := bit(!through); i < n; i += 2 {
		h := column
		if i > 0 {
			h = cut(h, above(lo+float64(i)*pitch+play))
		}
		if i < n-1 {
			h = cut(h, below(lo+float64(i+1)*pitch-play))
		}
		parts = append(parts, h)
	}
	return parts
}
