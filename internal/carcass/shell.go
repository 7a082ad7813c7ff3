package carcass

import (
	"math"

	"knobwright/internal/geom"
)

// Shell is the box as one hollow thing with thin walls, as it is printed: the same outside, but walls, base, hand rest and top in one and
// equally thick; only the faces are sheets of their own. All solids are in the box frame.
type Shell struct {
	Wall  float64      // mm
	Outer []*geom.Hull // everything, up to what carries the faces
	Inner []*geom.Hull // the room inside; it goes out through where the faces lie
	// Ledges lie under faces that are let in; they slant away downwards by half a right angle. A sill under the panel of a rack is one too. Pockets are the places of these faces, with the
	// play round them; they go out of the box.
	Ledges, Pockets []*geom.Hull
	// Up points from the side that the box lies on while it is printed: a rack lies on its back, all others stand on their base.
	Up geom.Vec3
}

// Ledge of a printed box under a face let in: how far it reaches under the face, and how thick it is at its end, mm. Common practice.
const (
	shellLedge = 8
	shellTip   = 2
)

// beyondAll is how far rooms go out through the faces, mm.
const beyondAll = 8

// Shell gives the box with walls of so many mm; ok is false when no room is left inside.
func (c *Carcass) Shell(wall float64) (s Shell, ok bool) {
	p, _, ps := c.Spec.resolve()
	if len(ps) > 0 || p == nil || !(wall > 0) {
		return s, false
	}
	m := newMaker(c.Spec, p)
	if len(m.ps) > 0 {
		return s, false
	}
	pose := p.pose()
	put := func(to *[]*geom.Hull, hs ...*geom.Hull) {
		for _, h := range hs {
			if h == nil {
				continue
			}
			if g, good := geom.Posed(h, pose).(*geom.Hull); good {
				*to = append(*to, g)
			}
		}
	}
	s = Shell{Wall: wall, Up: v3(0, 0, 1)}
	if c.Spec.Form == Rack {
		s.Up = v3(0, -1, 0)
	}
	whole := m.hull(rightOf(0), leftOf(p.width), p.frontOut().space(), p.backOut().space(), p.bottom.space())
	room := m.hull(rightOf(wall), leftOf(p.width-wall), p.backOut().shift(-wall).space(), p.bottom.shift(-wall).space())
	if p.hasFront {
		room = cut(room, p.frontOut().shift(-wall).space())
	}
	put(&s.Outer, m.underTops(whole, shellTop)...)
	put(&s.Inner, m.roomUnder(room, wall)...)
	if !p.hasFront && p.baseFit == Under { // the panel of a rack stands on the front edge of the base
		slant := along(v2(1, 1).Unit(), v2(wall, p.foot().at(0))) // 45 degrees for a rack on its back
		put(&s.Ledges, m.underTops(cut(whole, slant.space(), p.foot().back().space()), shellTop)...)
	}
	for i, k := range p.tops {
		if k.role == RoleFace && k.in {
			m.letIn(&s, i, wall, pose, put)
		}
	}
	return s, len(s.Outer) > 0 && len(s.Inner) > 0
}

// shellTop bounds a printed box above: what carries a face, or the outside of any other top.
func shellTop(k plank) line {
	if k.role == RoleFace {
		return k.wallTop()
	}
	return k.outer
}

// roomUnder gives what is left of the room under hand rest and top; under faces it is open.
func (m *maker) roomUnder(room *geom.Hull, wall float64) (out []*geom.Hull) {
	p := m.p
	limit := func(k plank) geom.HalfSpace {
		if k.role == RoleFace {
			return k.outer.shift(beyondAll).space()
		}
		return k.outer.shift(-wall).space()
	}
	if !p.split {
		for _, k := range p.tops {
			room = cut(room, limit(k))
		}
		return []*geom.Hull{room}
	}
	for i, part := range [...]line{p.joint, p.joint.back()} {
		out = append(out, cut(room, part.space(), limit(p.tops[i])))
	}
	return out
}

// letIn adds the ledges and the pocket of a face that is let in.
func (m *maker) letIn(s *Shell, i int, wall float64, pose geom.Pose, put func(*[]*geom.Hull, ...*geom.Hull)) {
	p, b := m.p, m.Build
	k := p.tops[i]
	first, last := i == 0, i == len(p.tops)-1
	reach := b.Wall + b.Play + shellLedge
	front, back := k.front.shift(b.Play), k.back.shift(b.Play)
	if p.split && first {
		back = p.joint
	} else if p.split {
		front = p.joint.back()
	}
	put(&s.Pockets, m.hull(rightOf(k.x0-b.Play), leftOf(k.x1+b.Play), front.space(), back.space(), k.outer.shift(beyondAll).space(), other(k.under().space())))

	up := pose.Inverse().Turn(s.Up)
	inside := []geom.HalfSpace{rightOf(wall / 2), leftOf(p.width - wall/2), p.backOut().shift(-wall / 2).space(), p.bottom.shift(-wall / 2).space(), k.outer.space()}
	if p.hasFront {
		inside = append(inside, p.frontOut().shift(-wall/2).space())
	}
	if p.split {
		inside = append(inside, [...]line{p.joint, p.joint.back()}[i].space())
	}
	tip := k.under().shift(-shellTip).space()
	ledge := func(end geom.HalfSpace) { // end bounds it towards the inside; its normal points there
		along := end.N.Cross(tip.N).Unit()
		down := end.N.Sub(up.Mul(end.N.Dot(up))).Unit().Mul(-1).Sub(up)
		n := along.Cross(down).Unit()
		if n.Dot(up) > 0 {
			n = n.Mul(-1)
		}
		at, good := onThree(end, tip, geom.HalfSpace{N: along})
		if good {
			put(&s.Ledges, m.hull(append([]geom.HalfSpace{end, {N: n, D: n.Dot(at)}}, inside...)...))
		}
	}
	ledge(leftOf(reach))
	ledge(rightOf(p.width - reach))
	if first && p.hasFront {
		ledge(upright(reach).space())
	}
	if last && m.Form != Rack {
		ledge(p.backOut().shift(-reach).back().space())
	}
}

// onThree gives the point in which three planes meet.
func onThree(a, b, c geom.HalfSpace) (geom.Vec3, bool) {
	bc := b.N.Cross(c.N)
	det := a.N.Dot(bc)
	if math.Abs(det) < 1e-9 {
		return geom.Vec3{}, false
	}
	return bc.Mul(a.D).Add(c.N.Cross(a.N).Mul(b.D)).Add(a.N.Cross(b.N).Mul(c.D)).Mul(1 / det), true
}
