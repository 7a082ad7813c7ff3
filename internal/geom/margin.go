package geom

import (
	"math"
	"slices"
)

func sortFloats(s []float64) { slices.Sort(s) }

// Margin measures how much of o is left round inner. When inner lies inside o, m is the least distance between the two
// edges and at is where, on the edge of inner. Otherwise m is minus the greatest distance by which a point of inner lies outside o,
// and at is that point. This is exact for convex o; where o is not convex, a farthest point that faces two of its edges
// at once is found by search, to about a thousandth of a millimetre. m is +Inf when inner is empty and -Inf when o is.
func (o Outline) Margin(inner Outline) (m float64, at Vec2) {
	s, t := newShape(o), newShape(inner)
	switch {
	case len(t.es) == 0:
		return math.Inf(1), at
	case len(s.es) == 0:
		return math.Inf(-1), t.es[0].a
	}
	if out, p := t.outside(s); out > 0 {
		return -out, p
	}
	g, _, p := edgesGap(s.es, t.es)
	return g, p
}

// outside gives the greatest distance from a point of t to the area of s, 0 when t lies inside s.
func (t *shape) outside(s *shape) (far float64, at Vec2) {
	off := func(p Vec2) float64 {
		d := distanceTo(s.es, p)
		if d <= tiny || contains(s.es, p) {
			return 0
		}
		return d
	}
	try := func(p Vec2) {
		if d := off(p); d > far {
			far, at = d, p
		}
	}
	// The distance from a convex area grows without sudden turns, so along an edge of t it is greatest at an end, or where
	// the edge runs square to the way to the nearest line, corner or arc of s.
	for i := range t.es {
		e := &t.es[i]
		try(e.a)
		if e.r > 0 {
			for j := range s.es {
				f := &s.es[j]
				in, _ := f.dirs()
				if f.r == 0 {
					try(e.support(in.Left().Mul(-1)))
				} else {
					try(e.farthest(f.c))
					try(e.nearest(f.c))
				}
				try(e.farthest(f.a))
			}
		}
		if !s.convex {
			const n = 32
			for k := 1; k < n; k++ {
				u, w := float64(k)/n, off(e.at(float64(k)/n))
				if w > 0 && w >= far-e.length()/n {
					lo, hi := u-1.0/n, u+1.0/n
					for range 24 { // golden section would save a few looks; thirds are plainer
						x, y := lo+(hi-lo)/3, hi-(hi-lo)/3
						if off(e.at(x)) < off(e.at(y)) {
							lo = x
						} else {
							hi = y
						}
					}
					try(e.at((lo + hi) / 2))
				}
			}
		}
	}
	return far, at
}
