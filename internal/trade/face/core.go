package face

import (
	"math"

	"knobwright/internal/geom"
)

// A footprint that is a convex polygon with all corners rounded alike, or a slot, or a circle, is its core (the polygon of
// the corners' middles, a line, a point) grown by one radius. Distances are then those of the cores less the radii, and how
// deep two of them overlap is the depth of the cores and the radii.

// coreOf finds the core of an outline: its corners, counter-clockwise, and the radius. ok is false for other outlines.
func coreOf(o geom.Outline) (pts []geom.Vec2, r float64, ok bool) {
	const tiny = 1e-7
	n := len(o)
	if n < 2 || !o.IsConvex() {
		return nil, 0, false
	}
	arcs := 0
	for _, v := range o {
		if v.Bulge != 0 {
			arcs++
		}
	}
	if arcs == 0 {
		for _, v := range o {
			pts = append(pts, v.P)
		}
		return pts, 0, true
	}
	for i, v := range o {
		w := o[(i+1)%n]
		if v.Bulge == 0 {
			continue
		}
		// middle of the arc from v to w: square to the chord, at (1-b²)/(4b) chords from its middle
		chord := w.P.Sub(v.P)
		c := v.P.Add(chord.Mul(0.5)).Add(chord.Left().Mul((1 - v.Bulge*v.Bulge) / (4 * v.Bulge)))
		q := v.P.Sub(c).Len()
		if r == 0 {
			r = q
		}
		if math.Abs(q-r) > tiny {
			return nil, 0, false
		}
		// the lines before and after must run on from the arc without a corner
		before, after := o[(i+n-1)%n], o[(i+2)%n]
		if before.Bulge == 0 && math.Abs(v.P.Sub(before.P).Unit().Dot(v.P.Sub(c).Unit())) > tiny ||
			w.Bulge == 0 && math.Abs(after.P.Sub(w.P).Unit().Dot(w.P.Sub(c).Unit())) > tiny {
			return nil, 0, false
		}
		if len(pts) == 0 || pts[len(pts)-1].Sub(c).Len() > tiny {
			pts = append(pts, c)
		}
	}
	if len(pts) > 1 && pts[0].Sub(pts[len(pts)-1]).Len() <= tiny {
		pts = pts[:len(pts)-1]
	}
	// every corner must be rounded: a line is followed by an arc
	for i, v := range o {
		if v.Bulge == 0 && o[(i+1)%n].Bulge == 0 {
			return nil, 0, false
		}
	}
	return pts, r, true
}

// coreGap measures between two footprints with cores, the first one moved by d.
func coreGap(s *shape, d geom.Vec2, t *shape) sep {
	grow := s.r + t.r
	const tiny = 1e-9 // lines in one line have no side that tells them apart but for rounding
	over, dir, at := deepest(s.pts, d, t.pts)
	if over < -tiny {
		return sep{over - grow, dir, at}
	}
	l, p, q := closest(s.pts, d, t.pts)
	if l < tiny {
		return sep{-grow, dir, at}
	}
	u := p.Sub(q).Mul(1 / l)
	return sep{l - grow, u, p.Sub(u.Mul(s.r)).Add(q.Add(u.Mul(t.r))).Mul(0.5)}
}

// deepest looks along the sides of both polygons for the one along which they are farthest apart, or overlap least: over is
// how far (negative: overlap), dir the way to move the first one. Points and lines have no side of their own.
func deepest(ps []geom.Vec2, d geom.Vec2, qs []geom.Vec2) (over float64, dir, at geom.Vec2) {
	over = math.Inf(-1)
	side := func(as []geom.Vec2, da geom.Vec2, bs []geom.Vec2, db geom.Vec2, way float64) {
		for i := range as {
			if len(as) < 2 {
				return
			}
			a := as[i].Add(da)
			e := as[(i+1)%len(as)].Add(da).Sub(a)
			n := geom.Vec2{X: e.Y, Y: -e.X}.Unit() // outwards
			low, where := math.Inf(1), geom.Vec2{}
			for _, b := range bs {
				b = b.Add(db)
				if h := b.Sub(a).Dot(n); h < low {
					low, where = h, b
				}
			}
			if low > over+1e-12 {
				over, dir, at = low, n.Mul(way), where
			}
		}
	}
	side(ps, d, qs, geom.Vec2{}, -1)
	side(qs, geom.Vec2{}, ps, d, 1)
	if math.IsInf(over, -1) { // two points
		w := ps[0].Add(d).Sub(qs[0])
		if dir = w.Unit(); dir == (geom.Vec2{}) {
			dir = geom.Vec2{X: 1}
		}
		return w.Len(), dir, qs[0]
	}
	return over, dir, at
}

// closest gives the nearest points of two polygons that do not overlap.
func closest(ps []geom.Vec2, d geom.Vec2, qs []geom.Vec2) (l float64, p, q geom.Vec2) {
	l = math.Inf(1)
	for i := range ps {
		a := ps[i].Add(d)
		for j := range qs {
			c := onLine(a, qs[j], qs[(j+1)%len(qs)])
			if w := a.Sub(c).Len(); w < l {
				l, p, q = w, a, c
			}
		}
	}
	for j := range qs {
		for i := range ps {
			c := onLine(qs[j], ps[i].Add(d), ps[(i+1)%len(ps)].Add(d))
			if w := qs[j].Sub(c).Len(); w < l {
				l, p, q = w, c, qs[j]
			}
		}
	}
	return l, p, q
}

// onLine gives the point of the line from a to b nearest to p.
func onLine(p, a, b geom.Vec2) geom.Vec2 {
	e := b.Sub(a)
	t := p.Sub(a).Dot(e)
	l := e.Dot(e)
	switch {
	case t <= 0 || l == 0:
		return a
	case t >= l:
		return b
	}
	return a.Add(e.Mul(t / l))
}

// margin gives how much of outer is left round inner, negative when inner sticks out, like Outline.Margin.
func margin(outer, inner *shape) float64 {
	switch {
	case outer.form == disc && inner.form == disc:
		return outer.r - inner.r - outer.c.Sub(inner.c).Len()
	case (outer.form == block || outer.form == cored && outer.r == 0) && inner.form != other:
		// the least way from a side of the polygon to the far side of what is in it
		least := math.Inf(1)
		ps := outer.pts
		for i := range ps {
			e := ps[(i+1)%len(ps)].Sub(ps[i])
			n := geom.Vec2{X: e.Y, Y: -e.X}.Unit()
			for _, q := range inner.pts {
				least = min(least, -q.Sub(ps[i]).Dot(n)-inner.r)
			}
		}
		if least >= 0 {
			return least
		}
	}
	m, _ := outer.outline().Margin(inner.outline())
	return m
}
