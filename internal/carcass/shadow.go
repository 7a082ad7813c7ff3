package carcass

import (
	"math"

	"knobwright/internal/geom"
)

// Shadow is the outline of a board seen square to it, in the board frame: what a laser, or a saw held upright, must leave standing, so
// that every bevel and rebate can be cut afterwards. Where one side of the board reaches further than the other, it is that side's
// edge. Cut-outs are not in it.
func (b *Board) Shadow() geom.Outline {
	o, i := b.OuterOutline, b.InnerOutline
	switch {
	case o == nil:
		return i
	case i == nil:
		return o
	}
	if s := wider(o, i); s != nil {
		return s
	}
	if i.Area() > o.Area() {
		return i
	}
	return o
}

// wider gives the outline that has of each pair of edges the one further out; nil when the two are not alike enough for that.
func wider(o, i geom.Outline) geom.Outline {
	n := len(o)
	if len(i) != n {
		return nil
	}
	shift := -1 // where the other one begins
	for k := range n {
		good := true
		for j := range n {
			a, b := sideOf(o, j), sideOf(i, (j+k)%n)
			if math.Abs(a.Cross(b)) > 1e-6*a.Len()*b.Len() || a.Dot(b) <= 0 {
				good = false
				break
			}
		}
		if good && (shift < 0 || i[k].P.Sub(o[0].P).Len() < i[shift].P.Sub(o[0].P).Len()) {
			shift = k
		}
	}
	if shift < 0 {
		return nil
	}
	lines := make([]line, n)
	for j := range n {
		out := sideOf(o, j).Unit().Left().Mul(-1)
		lines[j] = line{out, max(out.Dot(o[j].P), out.Dot(i[(j+shift)%n].P))}
	}
	s := make(geom.Outline, n)
	for j := range n {
		p := lines[(j+n-1)%n].meet(lines[j])
		if math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) {
			return nil
		}
		s[j] = geom.Vertex{P: p}
	}
	if s.Empty() {
		return nil
	}
	return s
}

func sideOf(o geom.Outline, i int) geom.Vec2 { return o[(i+1)%len(o)].P.Sub(o[i].P) }
