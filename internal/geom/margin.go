package geom

import (
	"math"
	"slices"
)

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

// Holds reports whether inner lies inside o: whether Margin would be 0 or more.
func (o Outline) Holds(inner Outline) bool {
	if o.holdsBox(inner.Bounds()) {
		return true
	}
	m, _ := o.Margin(inner)
	return m >= 0
}

// holdsBox reports whether a box lies well inside a polygon that turns left at each of its corners, which is the quick answer for a
// hole in a board; false says nothing.
func (o Outline) holdsBox(b Box2) bool {
	if len(o) < 3 || !(b.Min.X <= b.Max.X && b.Min.Y <= b.Max.Y) || !(o.signedArea() > 0) {
		return false
	}
	total := 0.0
	for i, v := range o {
		p, q := o[(i+1)%len(o)].P, o[(i+2)%len(o)].P
		e, f := p.Sub(v.P), q.Sub(p)
		if v.Bulge != 0 || !(e.Cross(f) > 0) {
			return false
		}
		total += math.Atan2(e.Cross(f), e.Dot(f))
		far := Vec2{b.Min.X, b.Min.Y} // the corner of the box that lies farthest to the right of the edge
		if e.Y > 0 {
			far.X = b.Max.X
		}
		if e.X < 0 {
			far.Y = b.Max.Y
		}
		if !(e.Cross(far.Sub(v.P)) > 1e-6*e.Len()) {
			return false
		}
	}
	return total < 7 // once round, and not twice
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
			e.search(s, off, try, &far)
		}
	}
	return far, at
}

// search looks along e for the point where off is greatest. off changes by no more than the way walked, so that a stretch
// whose middle is lower than the best by more than half its length need not be looked into; the others are halved until
// they are shorter than two thousandths of a millimetre. The edge is first cut where it crosses s, so that a short piece outside is
// not missed, and pieces inside are not looked into at all. far is the best so far, which try raises.
func (e *edge) search(s *shape, off func(Vec2) float64, try func(Vec2), far *float64) {
	cuts := []float64{0, 1}
	for j := range s.es {
		for _, p := range e.crossings(&s.es[j]) {
			cuts = append(cuts, e.share(p))
		}
	}
	slices.Sort(cuts)
	l := e.length()
	close := max(1e-3, l/20000) // the second only for edges longer than any sheet
	var look func(from, to float64)
	look = func(from, to float64) {
		mid := (from + to) / 2
		p := e.at(mid)
		d, half := off(p), (to-from)/2*l
		if d > *far {
			try(p)
		}
		if half < close || d+half <= *far+close {
			return
		}
		look(from, mid)
		look(mid, to)
	}
	for k := 1; k < len(cuts); k++ {
		if (cuts[k]-cuts[k-1])*l > tiny && off(e.at((cuts[k-1]+cuts[k])/2)) > 0 {
			look(cuts[k-1], cuts[k])
		}
	}
}
