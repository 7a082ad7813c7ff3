package packet

import (
	"fmt"
	"math"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// diamond is a register diamond on a seam; the sheets on both sides show it at the same spot of the drawing.
type diamond struct {
	at      geom.Vec2
	name    string
	upright bool // its seam is
}

// box is the room that a diamond takes with its letters.
func (m diamond) box() geom.Box2 {
	if m.upright {
		return geom.Box2{Min: m.at.Sub(v(9.5, 5.2)), Max: m.at.Add(v(9.5, 5.2))}
	}
	return geom.Box2{Min: m.at.Sub(v(5.2, 9.8)), Max: m.at.Add(v(5.2, 9.8))}
}

// spanShares is where along a stretch of seam the diamonds stand.
func spanShares(long float64) []float64 {
	switch {
	case long < 30:
		return []float64{0.5}
	case long < 110:
		return []float64{0.25, 0.75}
	}
	return []float64{0.14, 0.5, 0.86}
}

// diamonds chooses the register diamonds of all seams, each moved along its seam to where it covers least.
func (t tiling) diamonds(avoid []geom.Box2) []diamond {
	var out []diamond
	xEdges := append(append([]float64{t.area.Min.X}, t.xs...), t.area.Max.X)
	yEdges := append(append([]float64{t.area.Min.Y}, t.ys...), t.area.Max.Y)
	add := func(upright bool, seam, lo, hi float64) {
		for _, f := range spanShares(hi - lo) {
			m := diamond{upright: upright, name: seamName(len(out))}
			point := func(a float64) geom.Vec2 {
				if upright {
					return v(seam, a)
				}
				return v(a, seam)
			}
			reach := (hi - lo) * 0.2
			a := lo + (hi-lo)*f
			m.at = point(a)
			best := math.Inf(1)
			lane := geom.Box2{Min: point(a - reach), Max: point(a + reach)}.Grow(20) // all that this diamond can come near
			avoid := touching(avoid, lane)
			for i := range 81 {
				d := float64((i+1)/2) / 40 * reach
				if i%2 == 1 {
					d = -d
				}
				if end := min(a+d-lo, hi-a-d); i > 0 && end < min(11, (hi-lo)/4) {
					continue // clear of the crossing and of the edge
				}
				b := diamond{at: point(a + d), upright: upright}.box()
				c := 20*covers(b, avoid) + covers(b.Grow(5), avoid) + math.Abs(d)*0.01
				for _, o := range out {
					c += 40 * covers(b, []geom.Box2{o.box()})
				}
				if c < best {
					best, m.at = c, point(a+d)
				}
			}
			out = append(out, m)
		}
	}
	for _, x := range t.xs {
		for i := len(yEdges) - 2; i >= 0; i-- {
			add(true, x, yEdges[i], yEdges[i+1])
		}
	}
	for i := len(t.ys) - 1; i >= 0; i-- {
		for k := range len(xEdges) - 1 {
			add(false, t.ys[i], xEdges[k], xEdges[k+1])
		}
	}
	return out
}

// seamName names diamonds a, b, c ... z, aa, ab ...
func seamName(i int) string {
	s := ""
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('a'+(i-1)%26)) + s
	}
	return s
}

// covers is the area that a box shares with others.
func covers(b geom.Box2, others []geom.Box2) float64 {
	c := 0.0
	for _, o := range others {
		w := min(b.Max.X, o.Max.X) - max(b.Min.X, o.Min.X)
		h := min(b.Max.Y, o.Max.Y) - max(b.Min.Y, o.Min.Y)
		if w > 0 && h > 0 {
			c += w * h
		}
	}
	return c
}

// touching lists the boxes that come into an area.
func touching(boxes []geom.Box2, area geom.Box2) []geom.Box2 {
	var out []geom.Box2
	for _, b := range boxes {
		if b.Overlaps(area) {
			out = append(out, b)
		}
	}
	return out
}

// seams draws on one page the lines where it meets its neighbours, their diamonds, and what to do there. The sheet with the
// greater number goes on top, so it is the one that is cut.
func (t tiling) seams(x tile, all []diamond, avoid []geom.Box2) []drawing.Item {
	var items []drawing.Item
	lo, hi := x.show.Min.Add(x.shift), x.show.Max.Add(x.shift)
	page := x.own.Grow(20)
	busy := touching(avoid, page)
	for _, m := range all {
		if b := m.box(); b.Overlaps(page) {
			busy = append(busy, b)
		}
	}
	note := func(upright bool, at float64, from, to, side float64, s string) {
		size := drawing.CapSize(drawing.Lettering, 1.8)
		w := drawing.TextWidth(drawing.Lettering, size, s)
		best, where := math.Inf(1), 0.0
		for a := from + w/2 + 2; a <= to-w/2-2; a += 2 {
			b := geom.Box2{Min: v(a-w/2, at+min(side*0.6, side*3.4)), Max: v(a+w/2, at+max(side*0.6, side*3.4))}
			if upright {
				b = geom.Box2{Min: v(b.Min.Y, b.Min.X), Max: v(b.Max.Y, b.Max.X)}
			}
			if c := covers(b, busy) + 0.001*math.Abs(a-(from+to)/2); c < best {
				best, where = c, a
			}
		}
		if best > 0.5 {
			return
		}
		txt := &drawing.Text{S: s, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true, Ink: drawing.Pencil}
		txt.At = v(where, at+side*2).Add(x.shift)
		if upright {
			txt.At, txt.Turn = v(at+side*2, where).Add(x.shift), 90
		}
		items = append(items, txt)
	}
	upright := func(cx float64) {
		items = append(items, drawing.Poly(drawing.CentreLn, v(cx+x.shift.X, lo.Y-1.5), v(cx+x.shift.X, hi.Y+1.5)))
	}
	level := func(cy float64) {
		items = append(items, drawing.Poly(drawing.CentreLn, v(lo.X-1.5, cy+x.shift.Y), v(hi.X+1.5, cy+x.shift.Y)))
	}
	if x.col > 0 {
		upright(x.own.Min.X)
		note(true, x.own.Min.X, x.own.Min.Y, x.own.Max.Y, -1, fmt.Sprintf("cut here, lay on sheet %d", t.at(x.col-1, x.row)))
	}
	if x.col < t.cols()-1 {
		upright(x.own.Max.X)
		note(true, x.own.Max.X, x.own.Min.Y, x.own.Max.Y, 1, fmt.Sprintf("sheet %d comes on top", t.at(x.col+1, x.row)))
	}
	if x.row > 0 {
		level(x.own.Max.Y)
		note(false, x.own.Max.Y, x.own.Min.X, x.own.Max.X, 1, fmt.Sprintf("cut here, lay on sheet %d", t.at(x.col, x.row-1)))
	}
	if x.row < t.rows()-1 {
		level(x.own.Min.Y)
		note(false, x.own.Min.Y, x.own.Min.X, x.own.Max.X, -1, fmt.Sprintf("sheet %d comes on top", t.at(x.col, x.row+1)))
	}
	for _, m := range all {
		if contains(x.show, m.at) && contains(x.own.Grow(0.01), m.at) {
			items = append(items, drawing.RegisterDiamond(m.at.Add(x.shift), m.name, m.upright)...)
		}
	}
	return items
}
