package geom

import (
	"math"
	"sync/atomic"
)

// prism is an upright prism: an outline from z0 to z1. It is never nil inside a Convex and never changes.
type prism struct {
	over   Outline
	z0, z1 float64
	made   atomic.Pointer[prismBase] // when it is first measured: most solids of a panel never are
}

// prismBase is the outline of a prism made ready for measuring; it is convex.
type prismBase struct {
	*shape
	centre Vec2
}

// NewPrism gives the solid that stands over the outline o from z0 to z1 (in either order). The outline should be convex;
// one that is not counts with its convex hull. An empty outline, or heights that are no numbers, give nil, which Gap takes as
// no solid at all. The outline must not be changed afterwards.
func NewPrism(o Outline, z0, z1 float64) Convex {
	if len(o) == 0 || !(math.Abs(z0) < 1e100 && math.Abs(z1) < 1e100) {
		return nil
	}
	if z1 < z0 {
		z0, z1 = z1, z0
	}
	p := &prism{over: o, z0: z0, z1: z1}
	if !o.sound() {
		base := p.make()
		if base == nil {
			return nil
		}
		p.made.Store(base)
	}
	return p
}

// sound reports whether an outline encloses an area for certain, so that a prism stands over it.
func (o Outline) sound() bool {
	for _, v := range o {
		if !(v.P.Len() < 1e6 && math.Abs(v.Bulge) < 1e6) {
			return false
		}
	}
	return o.signedArea() > 1e-6
}

// base gives the outline made ready; two goroutines that ask at once may both make it, alike.
func (p *prism) base() *prismBase {
	b := p.made.Load()
	if b == nil {
		b = p.make()
		p.made.Store(b)
	}
	return b
}

// make makes the outline ready; nil when nothing stands over it.
func (p *prism) make() *prismBase {
	s := newShape(p.over)
	if len(s.es) == 0 {
		return nil
	}
	if !s.convex {
		s = hullShape(s.hull())
		if len(s.es) < 2 {
			return nil
		}
	}
	s.hull() // made now, so that solids can be shared between goroutines
	var c Vec2
	for i := range s.es {
		c = c.Add(s.es[i].at(0.5)).Add(s.es[i].a)
	}
	return &prismBase{s, c.Mul(0.5 / float64(len(s.es)))}
}

// outline gives the outline under the prism.
func (p *prism) outline() Outline { return chainAll(p.base().es) }

// hullShape turns the fan of a convex hull back into edges. It is convex as made; edges too short to have a sure direction are
// left out.
func hullShape(f fan) *shape {
	const short = 1e-7
	var o Outline
	add := func(p Vec2, bulge float64) {
		if n := len(o); n > 0 && o[n-1].Bulge == 0 && o[n-1].P.Sub(p).Len() < short {
			o = o[:n-1]
		}
		o = append(o, Vertex{p, bulge})
	}
	from := 0.0
	for _, p := range f {
		at := func(t float64) Vec2 {
			s, c := math.Sincos(from + (p.to-from)*t)
			return p.c.Add(Vec2{c, s}.Mul(p.r))
		}
		if p.r*(p.to-from) > short {
			// never more than a half turn to an arc, so that its bulge stays tame
			n := math.Ceil((p.to - from) / math.Pi)
			for k := range int(n) {
				add(at(float64(k)/n), math.Tan((p.to-from)/n/4))
			}
		}
		add(at(1), 0)
		from = p.to
	}
	if n := len(o); n > 1 && o[n-1].P.Sub(o[0].P).Len() < short {
		o = o[:n-1]
	}
	s := newShape(o)
	s.convex, s.fan = true, f
	return s
}

// BoxSolid gives the upright block b as a solid.
func BoxSolid(b Box3) Convex {
	s := b.Max.Sub(b.Min)
	return NewPrism(Rect(b.XY().Centre(), s.X, s.Y, 0), b.Min.Z, b.Max.Z)
}

// Support gives the farthest point in direction d.
func (p *prism) Support(d Vec3) Vec3 {
	u, es := d.XY(), p.base().es
	best, far := es[0].a, math.Inf(-1)
	for i := range es {
		q := es[i].support(u)
		if h := q.Dot(u); h > far {
			best, far = q, h
		}
	}
	if d.Z > 0 {
		return best.At(p.z1)
	}
	return best.At(p.z0)
}

// Centre gives an inner point.
func (p *prism) Centre() Vec3 { return p.base().centre.At((p.z0 + p.z1) / 2) }

// Bounds gives the block round the prism.
func (p *prism) Bounds() Box3 {
	b := p.base().box
	return Box3{b.Min.At(p.z0), b.Max.At(p.z1)}
}

// prismGap measures two upright prisms from their outlines and their heights.
func prismGap(p, q *prism) Sep {
	s, t := p.base().shape, q.base().shape
	g, a, b := s.gap(t)
	up, down := q.z0-p.z1, p.z0-q.z1 // how far q lies above p, and below
	gz, dir, za, zb := up, Vec3{0, 0, 1}, p.z1, q.z0
	if down > up {
		gz, dir, za, zb = down, Vec3{0, 0, -1}, p.z0, q.z1
	}
	if g > tiny && gz > tiny {
		r := Sep{Gap: math.Hypot(g, gz), A: a.At(za), B: b.At(zb)}
		r.Dir = r.B.Sub(r.A).Unit()
		return r
	}
	if g >= gz {
		z := (max(p.z0, q.z0) + min(p.z1, q.z1)) / 2
		r := Sep{Gap: g, A: a.At(z), B: b.At(z)}
		r.Dir = b.Sub(a).Unit().At(0)
		if g < 0 {
			r.Dir = r.Dir.Mul(-1)
		}
		if math.Abs(g) < 1e-6 { // too near for the way from a to b to be a direction
			_, u := s.hull().overlap(t.hull())
			r.Dir = u.At(0)
		}
		return r
	}
	c := s.common(t)
	return Sep{Gap: gz, A: c.At(za), B: c.At(zb), Dir: dir}
}

// common gives a point of both of two overlapping convex shapes: the mean of points that lie in both.
func (s *shape) common(t *shape) Vec2 {
	var sum Vec2
	n := 0.0
	add := func(p Vec2) { sum, n = sum.Add(p), n+1 }
	for i := range s.es {
		if m := s.es[i].at(0.5); contains(t.es, m) {
			add(m)
		}
		for j := range t.es {
			for _, p := range s.es[i].crossings(&t.es[j]) {
				add(p)
			}
		}
		if contains(t.es, s.es[i].a) {
			add(s.es[i].a)
		}
	}
	for j := range t.es {
		if contains(s.es, t.es[j].a) {
			add(t.es[j].a)
		}
		if m := t.es[j].at(0.5); contains(s.es, m) {
			add(m)
		}
	}
	if n == 0 { // one and the same shape, or touching by a hair
		_, a, b := edgesGap(s.es, t.es)
		return a.Add(b).Mul(0.5)
	}
	return sum.Mul(1 / n)
}
