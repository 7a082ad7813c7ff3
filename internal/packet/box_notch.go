package packet

import (
	"knobwright/internal/carcass"
	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// notched takes the notch for the lead out of a part of a board: what is left of it beside the notch on both sides, and below it.
// Without a notch in this board it is the part itself. The pieces touch and together have the volume that is left.
func notched(x *box.Exit, b *carcass.Board, h *geom.Hull) []*geom.Hull {
	if x == nil || !x.Notch || x.Board != b.Name || x.Outline.Empty() {
		return []*geom.Hull{h}
	}
	n := x.Outline.Bounds()
	u, v := b.Frame.U, b.Frame.V
	at := b.Frame.O
	left := geom.HalfSpace{N: u, D: u.Dot(at) + n.Min.X}
	right := geom.HalfSpace{N: u.Mul(-1), D: -(u.Dot(at) + n.Max.X)}
	below := geom.HalfSpace{N: v, D: v.Dot(at) + n.Min.Y}
	flip := func(s geom.HalfSpace) geom.HalfSpace { return geom.HalfSpace{N: s.N.Mul(-1), D: -s.D} }
	var out []*geom.Hull
	if p, ok := geom.CutHull(h, left); ok {
		out = append(out, p)
	}
	if p, ok := geom.CutHull(h, right); ok {
		out = append(out, p)
	}
	if mid, ok := geom.CutHull(h, flip(left)); ok {
		if mid, ok = geom.CutHull(mid, flip(right)); ok {
			if p, ok := geom.CutHull(mid, below); ok {
				out = append(out, p)
			}
		}
	}
	return out
}
