package packet

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
)

// corner says which corner of a board is its heavy corner, the one that places are measured from.
type corner struct{ right, top bool }

func cornerOf(b *carcass.Board) corner {
	o := b.OuterOutline
	if o.Empty() {
		return corner{}
	}
	m := o.Bounds().Centre()
	return corner{b.Datum.X > m.X, b.Datum.Y > m.Y}
}

// heads are the heads of the columns of places: how to measure from that corner.
func (c corner) heads() (x, y string) {
	x, y = "from left", "up"
	if c.right {
		x = "from right"
	}
	if c.top {
		y = "down"
	}
	return x, y
}

// name is the corner in words: "upper left".
func (c corner) name() string {
	s := "lower "
	if c.top {
		s = "upper "
	}
	if c.right {
		return s + "right"
	}
	return s + "left"
}

// fromCorner is a place on a board as it is measured from its heavy corner: both numbers run into the board.
func fromCorner(b *carcass.Board, p geom.Vec2) geom.Vec2 {
	c := cornerOf(b)
	q := p.Sub(b.Datum)
	if c.right {
		q.X = -q.X
	}
	if c.top {
		q.Y = -q.Y
	}
	return q
}

// heavyCorner draws the heavy corner of a board, its two legs along the edges that meet there.
func heavyCorner(at geom.Vec2, c corner) []drawing.Item {
	turn := 0.0
	switch {
	case c.top && c.right:
		turn = 180
	case c.top:
		turn = -90
	case c.right:
		turn = 90
	}
	if turn == 0 {
		return drawing.DatumCorner(at, false)
	}
	return []drawing.Item{&drawing.Group{Place: geom.Place{At: at, Turn: turn}, Items: drawing.DatumCorner(geom.Vec2{}, false), Note: "heavy corner"}}
}

// spot is a hole or an opening of a board: its middle and its size.
type spot struct{ at, size geom.Vec2 }

// spots lists all holes, openings and feet of a board.
func spots(r *job.Result, b *carcass.Board) []spot {
	var out []spot
	for _, c := range b.Cutouts {
		out = append(out, spot{c.Outline.Bounds().Centre(), c.Outline.Bounds().Size()})
	}
	for _, s := range r.Box.Screws {
		if s.Through == b.Name {
			out = append(out, spot{s.Seen, v(s.Head, s.Head)})
		}
	}
	for _, f := range r.Box.Feet {
		if f.Board == b.Name {
			out = append(out, spot{f.Seen, v(f.Diameter, f.Diameter)})
		}
	}
	if x := r.Box.Exit; x != nil && x.Board == b.Name {
		out = append(out, spot{x.At, v(x.Round, x.Round)})
	}
	return out
}

// mirrored reports whether a board turned over is its fellow, holes and all.
func mirrored(r *job.Result, a, b *carcass.Board) bool {
	if b == nil || math.Abs(a.Blank.X-b.Blank.X) > 1e-3 || math.Abs(a.Blank.Y-b.Blank.Y) > 1e-3 {
		return false
	}
	sorted := func(s []spot) []spot {
		slices.SortFunc(s, func(a, b spot) int {
			return cmp.Or(cmp.Compare(math.Round(a.at.X*10), math.Round(b.at.X*10)), cmp.Compare(math.Round(a.at.Y*10), math.Round(b.at.Y*10)), cmp.Compare(a.size.X, b.size.X))
		})
		return s
	}
	x, y := sorted(spots(r, a)), spots(r, b)
	for i := range y {
		y[i].at.X = b.Blank.X - y[i].at.X
	}
	sorted(y)
	return slices.EqualFunc(x, y, func(p, q spot) bool { return p.at.Sub(q.at).Len() < 0.2 && p.size.Sub(q.size).Len() < 0.1 })
}
