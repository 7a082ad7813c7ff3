package geom

import (
	"math"
	"slices"
)

// Gap measures between the filled areas of o and q. Apart, gap is their distance, exact on lines and arcs, and a on o and
// b on q are the nearest points. Touching, it is 0. Overlapping, gap is minus the least shift that parts them, and a and b are
// how deep each reaches into the other: shifting q by a-b parts them. For convex outlines the depth is exact; an outline that
// is not convex (a notched circle) counts with its convex hull there, so that the depth is never understated. Gap is +Inf when
// one is empty.
func (o Outline) Gap(q Outline) (gap float64, a, b Vec2) {
	return newShape(o).gap(newShape(q))
}

func discGap(c Vec2, r float64, e Vec2, s float64) (gap float64, a, b Vec2) {
	w := e.Sub(c)
	u := w.Unit()
	if u == (Vec2{}) {
		u = Vec2{1, 0}
	}
	return w.Len() - r - s, c.Add(u.Mul(r)), e.Sub(u.Mul(s))
}

// shape is an outline made ready for measuring.
type shape struct {
	es     []edge
	box    Box2
	convex bool
	c      Vec2    // of a circle
	r      float64 // of a circle, else 0
	fan    fan
}

func newShape(o Outline) *shape {
	s := &shape{es: o.edges(), box: EmptyBox2()}
	for i := range s.es {
		s.box = s.box.Union(s.es[i].box)
	}
	s.convex = convexEdges(s.es)
	if c, d, ok := o.AsCircle(); ok && s.convex {
		s.c, s.r = c, d/2
	}
	return s
}

// hull gives the fan, made when first wanted.
func (s *shape) hull() fan {
	if s.fan == nil {
		s.fan = newFan(s.es)
	}
	return s.fan
}

func (s *shape) gap(t *shape) (gap float64, a, b Vec2) {
	if len(s.es) == 0 || len(t.es) == 0 {
		return math.Inf(1), a, b
	}
	if s.r > 0 && t.r > 0 {
		return discGap(s.c, s.r, t.c, t.r)
	}
	if s.convex && t.convex {
		if !s.box.Overlaps(t.box) {
			return edgesGap(s.es, t.es)
		}
		least, u := s.hull().overlap(t.hull())
		if least < 0 {
			return edgesGap(s.es, t.es)
		}
		a, b = s.deepest(t, u)
		return -least, a, b
	}
	gap, a, b = edgesGap(s.es, t.es)
	if gap > tiny && !contains(s.es, t.es[0].a) && !contains(t.es, s.es[0].a) {
		return gap, a, b
	}
	if gap <= tiny && s.onlyTouches(t) {
		return 0, a, b
	}
	least, u := s.hull().overlap(t.hull())
	a, b = s.deepest(t, u)
	return -max(least, 0), a, b
}

// edgesGap gives the least distance between two runs of edges, and where: in the middle of the stretch where two lines run
// beside each other at that distance, if any do.
func edgesGap(es, fs []edge) (g float64, a, b Vec2) {
	g = math.Inf(1)
	best := false
	const same = 1e-11
	for i := range es {
		for j := range fs {
			if boxGap(es[i].box, fs[j].box) > g+same {
				continue
			}
			d, p, q, flat := edgeGap(&es[i], &fs[j])
			if d < g-same || flat && !best && d <= g+same || d < g && flat == best {
				a, b, best = p, q, flat
			}
			g = min(g, d)
		}
	}
	return g, a, b
}

func boxGap(b, c Box2) float64 {
	return math.Hypot(max(0, b.Min.X-c.Max.X, c.Min.X-b.Max.X), max(0, b.Min.Y-c.Max.Y, c.Min.Y-b.Max.Y))
}

// deepest gives the point of s farthest along u and the point of t farthest against it, in the middle of the stretch where
// they lie opposite each other.
func (s *shape) deepest(t *shape, u Vec2) (a, b Vec2) {
	a0, a1 := s.side(u)
	b1, b0 := t.side(u.Mul(-1)) // seen from the other side
	v := u.Left()
	lo, hi := max(a0.Dot(v), b0.Dot(v)), min(a1.Dot(v), b1.Dot(v))
	mid := (lo + hi) / 2
	on := func(p, q Vec2) Vec2 {
		m := min(max(mid, p.Dot(v)), q.Dot(v))
		return p.Add(v.Mul(m - p.Dot(v)))
	}
	return on(a0, a1), on(b0, b1)
}

// side gives the ends of the stretch of s that lies farthest along u, ordered along u.Left().
func (s *shape) side(u Vec2) (p, q Vec2) {
	far := math.Inf(-1)
	v := u.Left()
	for pass := range 2 {
		first := true
		for i := range s.es {
			e := &s.es[i]
			for _, w := range [3]Vec2{e.a, e.b, e.support(u)} {
				h := w.Dot(u)
				if pass == 0 {
					far = max(far, h)
					continue
				}
				if h < far-tiny {
					continue
				}
				if first || w.Dot(v) < p.Dot(v) {
					p = w
				}
				if first || w.Dot(v) > q.Dot(v) {
					q = w
				}
				first = false
			}
		}
	}
	return p, q
}

// onlyTouches tells shapes whose edges meet without any common area from those that overlap: cut at the meeting points,
// every stretch of either edge keeps outside the other, or runs along it.
func (s *shape) onlyTouches(t *shape) bool {
	return !s.reachesInto(t) && !t.reachesInto(s) && !contains(t.es, s.innerPoint()) && !contains(s.es, t.innerPoint())
}

func (s *shape) reachesInto(t *shape) bool {
	for i := range s.es {
		e := &s.es[i]
		cuts := []float64{0, 1}
		for j := range t.es {
			for _, p := range e.crossings(&t.es[j]) {
				cuts = append(cuts, e.share(p))
			}
		}
		slices.Sort(cuts)
		for k := 1; k < len(cuts); k++ {
			if cuts[k]-cuts[k-1] < 1e-12 {
				continue
			}
			m := e.at((cuts[k] + cuts[k-1]) / 2)
			if contains(t.es, m) && distanceTo(t.es, m) > 1e-7 {
				return true
			}
		}
	}
	return false
}

// innerPoint gives a point well inside: halfway through the shape from the middle of its longest edge.
func (s *shape) innerPoint() Vec2 {
	best := 0
	for i := range s.es {
		if s.es[i].length() > s.es[best].length() {
			best = i
		}
	}
	m := s.es[best].at(0.5)
	in, out := s.es[best].dirs()
	n := in.Add(out).Unit().Left()
	if n == (Vec2{}) { // a half circle: the tangents cancel out
		n = in.Left()
		if s.es[best].r > 0 {
			n = s.es[best].c.Sub(m).Unit()
			if s.es[best].sweep < 0 {
				n = n.Mul(-1)
			}
		}
	}
	ray, ok := newEdge(m, m.Add(n.Mul(4*(s.box.Size().Len()+1))), 0)
	if !ok {
		return m
	}
	near := math.Inf(1)
	for i := range s.es {
		if i == best && s.es[i].r == 0 {
			continue
		}
		for _, p := range ray.crossings(&s.es[i]) {
			if d := p.Sub(m).Len(); d > 1e-6 {
				near = min(near, d)
			}
		}
	}
	if math.IsInf(near, 1) {
		return m
	}
	return m.Add(n.Mul(near / 2))
}

// distanceTo gives the distance from p to the nearest edge.
func distanceTo(es []edge, p Vec2) float64 {
	d := math.Inf(1)
	for i := range es {
		if pointBoxGap(es[i].box, p) < d {
			d = min(d, es[i].nearest(p).Sub(p).Len())
		}
	}
	return d
}

func pointBoxGap(b Box2, p Vec2) float64 { return boxGap(b, Box2{p, p}) }
