package carcass

import "knobwright/internal/geom"

// makePlanks makes faces, hand rest, top and base.
func (m *maker) makePlanks() {
	p := m.p
	for i := range p.tops {
		m.plank(p.tops[i], i)
	}
	if p.baseFit != NoBase {
		m.plank(p.base, -1)
	}
}

// plank makes a board of the profile; i is its place among the tops, -1 for the base.
func (m *maker) plank(k plank, i int) {
	d := draft{name: k.name, role: k.role, n: across(k.outer.n), u: v3(1, 0, 0), outer: k.outer.d, t: k.t}
	d.parts = []*geom.Hull{m.hull(rightOf(k.x0), leftOf(k.x1), k.front.space(), k.back.space(), k.outer.space(), other(k.under().space()))}
	front, back := m.plankEnds(k, i)
	d.tags = append(d.tags, tag{edge: front, hs: k.front.space()}, tag{edge: back, hs: k.back.space()})
	joint, l, r := Free, "", ""
	if k.in {
		joint, l, r = LetIn, sideName(m.Form, false), sideName(m.Form, true)
	}
	left, right := rightOf(k.x0), leftOf(k.x1)
	lt, rt := "left edge", "right edge"
	d.tags = append(d.tags, tag{edge: Edge{Name: lt, Joint: joint}, hs: left, neighbour: l}, tag{edge: Edge{Name: rt, Joint: joint}, hs: right, neighbour: r})
	m.add(d)
}

// plankEnds names the front and back edges of a plank and what they meet.
func (m *maker) plankEnds(k plank, i int) (front, back Edge) {
	p := m.p
	front, back = Edge{Name: "front edge", Joint: Free}, Edge{Name: "back edge", Joint: Free}
	if k.in {
		front.Joint, front.Neighbour = LetIn, "front"
		back.Joint, back.Neighbour = LetIn, "back"
	}
	panel := m.Form == Rack && i == 0
	switch {
	case panel:
		front = Edge{Name: "front edge", Joint: Free}
		back = Edge{Name: "back edge", Joint: Free}
		if p.baseFit == Under {
			front.Joint, front.Neighbour = Meets, "base"
		}
		if p.topOver {
			back.Joint, back.Neighbour = Meets, "top"
		}
	case m.Form == Rack && i == 1:
		front.Joint, front.Neighbour = Meets, "face"
		if p.topOver {
			front.Joint, front.Neighbour = Free, ""
		}
	case m.Form == Rack && k.in:
		front.Neighbour = "face"
		front.Joint = Meets
	}
	if p.split && i == 0 {
		back.Joint, back.Neighbour = m.Build.Meeting.joint(), p.tops[1].name
	}
	if p.split && i == 1 {
		front.Joint, front.Neighbour = m.Build.Meeting.joint(), p.tops[0].name
	}
	return front, back
}
