package carcass

import (
	"knobwright/internal/geom"
)

// space gives a line of the profile as a half-space of the carcass frame.
func (l line) space() geom.HalfSpace { return geom.HalfSpace{N: v3(0, l.n.X, l.n.Y), D: l.d} }

// leftOf and rightOf bound a board across: x ≤ c, x ≥ c.
func leftOf(c float64) geom.HalfSpace  { return geom.HalfSpace{N: v3(1, 0, 0), D: c} }
func rightOf(c float64) geom.HalfSpace { return geom.HalfSpace{N: v3(-1, 0, 0), D: -c} }

// below and above bound it along the walls: w ≤ c, w ≥ c.
func below(c float64) geom.HalfSpace { return geom.HalfSpace{N: v3(0, 0, 1), D: c} }
func above(c float64) geom.HalfSpace { return geom.HalfSpace{N: v3(0, 0, -1), D: -c} }

// cut gives what is left of h within all half-spaces; nil when nothing is.
func cut(h *geom.Hull, hs ...geom.HalfSpace) *geom.Hull {
	ok := h != nil
	for i := 0; ok && i < len(hs); i++ {
		h, ok = geom.CutHull(h, hs[i])
	}
	if !ok {
		return nil
	}
	return h
}

// common gives the room that two hulls share; nil when they share none.
func common(a, b *geom.Hull) *geom.Hull {
	if !a.Bounds().Overlaps(b.Bounds()) {
		return nil
	}
	for i := range b.Faces {
		var ok bool
		if a, ok = geom.CutHull(a, b.Plane(i)); !ok {
			return nil
		}
	}
	return a
}

// shared is the volume that two boards share, mm³.
func shared(a, b *Board) (v float64) {
	for _, g := range a.Parts {
		for _, h := range b.Parts {
			if c := common(g, h); c != nil {
				v += c.Volume()
			}
		}
	}
	return v
}

// maker makes the boards of one box, in the carcass frame.
type maker struct {
	Spec
	p      *profile
	block  *geom.Hull // holds everything
	drafts []draft
	ps     problems
}

func newMaker(s Spec, p *profile) *maker {
	m := &maker{Spec: s, p: p}
	b := geom.EmptyBox3()
	add := func(q geom.Vec2) { b = b.Extend(v3(0, q.X, q.Y)) }
	for _, k := range append([]plank{p.base}, p.tops...) {
		if k.t == 0 {
			continue
		}
		for _, l := range [...]line{k.outer, k.under()} {
			add(l.meet(k.front))
			add(l.meet(k.back))
		}
	}
	add(v2(0, p.bottom.at(0)))
	add(v2(p.d, p.bottom.at(p.d)))
	if first := p.tops[0].outer; p.hasFront {
		add(v2(0, first.at(0)))
	}
	if last := p.tops[len(p.tops)-1].outer; last.n.Y > 1e-9 {
		add(v2(p.d, last.at(p.d)))
	}
	const air = 10
	b.Min, b.Max = b.Min.Sub(v3(0, air, air)), b.Max.Add(v3(0, air, air))
	b.Min.X, b.Max.X = -s.Build.Overhang-air, p.width+s.Build.Overhang+air
	h, err := geom.BoxHull(b)
	if err != nil {
		m.ps.add(Problem{Kind: NoBox, Text: "These sizes make no box."})
	}
	m.block = h
	return m
}

// hull gives the block within all half-spaces; nil when nothing is left.
func (m *maker) hull(hs ...geom.HalfSpace) *geom.Hull { return cut(m.block, hs...) }

// add takes in a draft.
func (m *maker) add(d draft) {
	for _, h := range d.parts {
		d.nothing = d.nothing || h == nil
	}
	m.drafts = append(m.drafts, d)
}

// pose gives the move from the carcass frame to the box frame.
func (p *profile) pose() geom.Pose {
	s, c := sincos(p.tilt)
	return geom.Pose{X: v3(1, 0, 0), Y: v3(0, c, s), Z: v3(0, -s, c), At: v3(0, 0, p.lift)}
}

// across is a direction of the profile as one of the carcass frame.
func across(d geom.Vec2) geom.Vec3 { return v3(0, d.X, d.Y) }
