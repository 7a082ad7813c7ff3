package carcass

import (
	"math"

	"knobwright/internal/geom"
)

// Depth gives how far it is from the back of a face straight behind the point at of its face frame to the next board, square to the
// face, and that board's name. It is +Inf and "" where nothing lies behind, and also when there is no such face.
func (c *Carcass) Depth(face int, at geom.Vec2) (depth float64, board string) {
	depth = math.Inf(1)
	if face < 0 || face >= len(c.Faces) {
		return depth, ""
	}
	f := c.Faces[face]
	from, way := f.Frame.ToWorld(at.At(-f.Thickness)), f.Frame.N.Mul(-1)
	for i := range c.Boards {
		if i == f.Board {
			continue
		}
		for _, h := range c.Boards[i].Parts {
			if in, ok := enters(h, from, way); ok && in < depth {
				depth, board = in, c.Boards[i].Name
			}
		}
	}
	return depth, board
}

// enters gives how far along the unit direction d from p the hull begins.
func enters(h *geom.Hull, p, d geom.Vec3) (float64, bool) {
	from, to := 0.0, math.Inf(1)
	for i := range h.Faces {
		pl := h.Plane(i)
		out, run := p.Dot(pl.N)-pl.D, d.Dot(pl.N)
		switch {
		case run > 1e-12:
			to = min(to, -out/run)
		case run < -1e-12:
			from = max(from, -out/run)
		case out > 0:
			return 0, false
		}
	}
	return from, from < to-1e-9
}

// CutOut adds an opening through a board, an outline in its frame. It reports false, and adds nothing, when the outline does not
// lie within both sides of the board.
func (c *Carcass) CutOut(board, name string, o geom.Outline) bool {
	b := c.Board(board)
	if b == nil || o.Empty() {
		return false
	}
	for _, side := range [...]geom.Outline{b.OuterOutline, b.InnerOutline} {
		if !side.Holds(o) {
			return false
		}
	}
	b.Cutouts = append(b.Cutouts, Cutout{name, o})
	c.Openings = append(c.Openings, Opening{Name: name, Frame: b.Frame, Outline: o})
	return true
}
