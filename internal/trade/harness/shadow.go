package harness

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// shadow is the outline of a convex solid on a sheet, made ready to be held against cells.
type shadow struct {
	box   geom.Box2
	round bool
	c     geom.Vec2
	r     float64
	pts   []geom.Vec2 // counter-clockwise
}

func newShadow(o geom.Outline) *shadow {
	s := &shadow{box: o.Bounds()}
	if !(s.box.Max.X > s.box.Min.X && s.box.Max.Y > s.box.Min.Y) {
		return nil
	}
	if c, d, ok := o.AsCircle(); ok {
		s.round, s.c, s.r = true, c, d/2
		return s
	}
	s.pts = o.Flatten(0.1)
	return s
}

// hair is how far a solid may reach into a cell and count as beside it, mm.
const hair = 1e-6

// meets reports whether the outline and a cell share room.
func (s *shadow) meets(c geom.Box2) bool {
	if s.box.Max.X <= c.Min.X+hair || s.box.Min.X >= c.Max.X-hair || s.box.Max.Y <= c.Min.Y+hair || s.box.Min.Y >= c.Max.Y-hair {
		return false
	}
	if s.round {
		near := geom.Vec2{X: max(c.Min.X, min(s.c.X, c.Max.X)), Y: max(c.Min.Y, min(s.c.Y, c.Max.Y))}
		return near.Sub(s.c).Len() < s.r-hair
	}
	for i, p := range s.pts { // a side of the outline with the whole cell beyond it
		d := s.pts[(i+1)%len(s.pts)].Sub(p)
		out := geom.Vec2{X: d.Y, Y: -d.X}
		q := c.Min // the corner of the cell that is furthest in
		if out.X < 0 {
			q.X = c.Max.X
		}
		if out.Y < 0 {
			q.Y = c.Max.Y
		}
		if q.Sub(p).X*out.X+q.Sub(p).Y*out.Y >= -hair*d.Len() {
			return false
		}
	}
	return true
}

// column gives from where to where a hull reaches over a cell; all its height where only a corner of it does.
func column(h *geom.Hull, c geom.Box2, z0, z1 float64) (a, b float64) {
	a, b = math.Inf(1), math.Inf(-1)
	mid := c.Centre()
	for _, p := range [5]geom.Vec2{c.Min, {X: c.Max.X, Y: c.Min.Y}, c.Max, {X: c.Min.X, Y: c.Max.Y}, mid} {
		lo, hi, ok := pierce(h, p)
		if ok {
			a, b = min(a, lo), max(b, hi)
		}
	}
	if a > b {
		return z0, z1
	}
	return max(z0, a-0.5), min(z1, b+0.5)
}

// pierce gives where an upright line goes through a hull.
func pierce(h *geom.Hull, p geom.Vec2) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for i := range h.Faces {
		pl := h.Plane(i)
		off := pl.N.X*p.X + pl.N.Y*p.Y - pl.D
		switch {
		case pl.N.Z > 1e-12:
			hi = min(hi, -off/pl.N.Z)
		case pl.N.Z < -1e-12:
			lo = max(lo, -off/pl.N.Z)
		case off > hair:
			return 0, 0, false
		}
	}
	return lo, hi, lo <= hi
}

// hull2 is the convex hull of points as seen from above; nil when it encloses nothing.
func hull2(pts []geom.Vec3) geom.Outline {
	p := make([]geom.Vec2, len(pts))
	for i, q := range pts {
		p[i] = q.XY()
	}
	slices.SortFunc(p, func(a, b geom.Vec2) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	var ring []geom.Vec2
	for range 2 {
		base := len(ring)
		for _, q := range p {
			for len(ring) >= base+2 && ring[len(ring)-1].Sub(ring[len(ring)-2]).Cross(q.Sub(ring[len(ring)-2])) <= 1e-9 {
				ring = ring[:len(ring)-1]
			}
			ring = append(ring, q)
		}
		ring = ring[:len(ring)-1]
		slices.Reverse(p)
	}
	if len(ring) < 3 {
		return nil
	}
	return geom.Polygon(ring...)
}
