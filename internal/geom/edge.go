package geom

import "math"

// tiny is the length in millimetres below which two points count as one: far below anything a workshop can mark, far
// above the rounding of float64 at a metre.
const tiny = 1e-9

// edge is one piece of an outline: a straight line, or an arc when r > 0.
type edge struct {
	a, b  Vec2
	bulge float64
	c     Vec2    // middle of the arc
	r     float64 // radius of the arc, 0 for a line
	sweep float64 // included angle in radians, counter-clockwise positive
	box   Box2
}

// newEdge makes the edge from a to b; ok is false when the ends are one point, or no usable numbers.
func newEdge(a, b Vec2, bulge float64) (e edge, ok bool) {
	d := b.Sub(a)
	l := d.Len()
	e = edge{a: a, b: b}
	e.box = EmptyBox2().Extend(a).Extend(b)
	if !(l > 1e-12 && a.Len() < 1e100 && b.Len() < 1e100) {
		return e, false
	}
	if !curved(bulge) {
		return e, true
	}
	e.bulge = bulge
	e.sweep = 4 * math.Atan(bulge)
	e.r = l * (1 + bulge*bulge) / (4 * math.Abs(bulge))
	e.c = a.Add(b).Mul(0.5).Add(d.Left().Mul((1 - bulge*bulge) / (4 * bulge)))
	for _, u := range [4]Vec2{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
		if e.faces(u) {
			e.box = e.box.Extend(e.c.Add(u.Mul(e.r)))
		}
	}
	return e, true
}

// curved tells arcs from lines. An arc that rises less than half a millionth of its chord is a line: nobody could tell, and its
// middle would lie so far off that as much is lost to rounding. A bulge beyond 1e6 turns back on itself, and is taken as a
// line too.
func curved(bulge float64) bool {
	b := math.Abs(bulge)
	return b >= 1e-6 && b < 1e6
}

// arcEdge makes the arc about c from a, turning by sweep radians.
func arcEdge(c, a, b Vec2, sweep float64) (edge, bool) {
	return newEdge(a, b, math.Tan(sweep/4))
}

// edges lists the pieces of o, leaving out those of no length.
func (o Outline) edges() []edge {
	es := make([]edge, 0, len(o))
	for i, v := range o {
		if e, ok := newEdge(v.P, o[(i+1)%len(o)].P, v.Bulge); ok {
			es = append(es, e)
		}
	}
	return es
}

// turnOf gives the angle in radians from the arc's start to the direction u from its middle, measured the way the arc
// runs, in [0, 2π).
func (e *edge) turnOf(u Vec2) float64 {
	s := e.a.Sub(e.c)
	t := math.Atan2(s.Cross(u), s.Dot(u))
	if e.sweep < 0 {
		t = -t
	}
	if t < 0 {
		t += 2 * math.Pi
	}
	return t
}

// faces reports whether the arc has a point in direction u from its middle.
func (e *edge) faces(u Vec2) bool { return e.turnOf(u) <= math.Abs(e.sweep) }

// at gives the point at share t of the edge's length, 0 at a and 1 at b.
func (e *edge) at(t float64) Vec2 {
	if e.r == 0 {
		return e.a.Add(e.b.Sub(e.a).Mul(t))
	}
	if math.Abs(e.sweep) < 0.5 {
		// along the chord to the point: flat arcs lose no digits to their far middle
		l := math.Sin(e.sweep*t/2) / math.Sin(e.sweep/2)
		s, c := math.Sincos(e.sweep * (t - 1) / 2)
		d := e.b.Sub(e.a).Mul(l)
		return Vec2{e.a.X + c*d.X - s*d.Y, e.a.Y + s*d.X + c*d.Y}
	}
	s, c := math.Sincos(e.sweep * t)
	d := e.a.Sub(e.c)
	return Vec2{e.c.X + c*d.X - s*d.Y, e.c.Y + s*d.X + c*d.Y}
}

// share is the inverse of at for a point on the edge, held to [0, 1].
func (e *edge) share(p Vec2) float64 {
	if e.r == 0 {
		d := e.b.Sub(e.a)
		return min(1, max(0, p.Sub(e.a).Dot(d)/d.Dot(d)))
	}
	t := e.turnOf(p.Sub(e.c))
	w := math.Abs(e.sweep)
	if t > w {
		if t-w < 2*math.Pi-t {
			return 1
		}
		return 0
	}
	return t / w
}

// length gives the length along the edge.
func (e *edge) length() float64 {
	if e.r == 0 {
		return e.b.Sub(e.a).Len()
	}
	return e.r * math.Abs(e.sweep)
}

// dirs gives the unit tangents at the start and the end.
func (e *edge) dirs() (in, out Vec2) {
	if e.r == 0 {
		d := e.b.Sub(e.a).Unit()
		return d, d
	}
	in, out = e.a.Sub(e.c).Unit().Left(), e.b.Sub(e.c).Unit().Left()
	if e.sweep < 0 {
		in, out = in.Mul(-1), out.Mul(-1)
	}
	return in, out
}

// nearest gives the point of the edge that lies nearest to p.
func (e *edge) nearest(p Vec2) Vec2 {
	if e.r == 0 {
		d := e.b.Sub(e.a)
		switch t := p.Sub(e.a).Dot(d) / d.Dot(d); {
		case !(t > 0):
			return e.a
		case t >= 1:
			return e.b
		default:
			return e.a.Add(d.Mul(t))
		}
	}
	u := p.Sub(e.c)
	if u.Len() < tiny {
		return e.at(0.5)
	}
	if e.faces(u) {
		return e.c.Add(u.Unit().Mul(e.r))
	}
	if p.Sub(e.a).Len() <= p.Sub(e.b).Len() {
		return e.a
	}
	return e.b
}

// farthest gives the point of the edge that lies farthest from p.
func (e *edge) farthest(p Vec2) Vec2 {
	best := e.a
	if p.Sub(e.b).Len() > p.Sub(best).Len() {
		best = e.b
	}
	if e.r > 0 {
		u := e.c.Sub(p)
		if u.Len() < tiny {
			return e.at(0.5)
		}
		if e.faces(u) {
			best = e.c.Add(u.Unit().Mul(e.r))
		}
	}
	return best
}

// support gives the point of the edge that lies farthest in direction d.
func (e *edge) support(d Vec2) Vec2 {
	if e.r > 0 && e.faces(d) {
		if l := d.Len(); l > 0 {
			return e.c.Add(d.Mul(e.r / l))
		}
	}
	if e.b.Dot(d) > e.a.Dot(d) {
		return e.b
	}
	return e.a
}

// crossings gives the points that the edges share, at most two. Edges lying on each other give none or their ends.
func (e *edge) crossings(f *edge) []Vec2 {
	if !e.box.Grow(tiny).Overlaps(f.box) {
		return nil
	}
	switch {
	case e.r == 0 && f.r == 0:
		return lineLine(e, f)
	case e.r == 0:
		return lineArc(e, f)
	case f.r == 0:
		return lineArc(f, e)
	}
	return arcArc(e, f)
}

func lineLine(e, f *edge) []Vec2 {
	d, g := e.b.Sub(e.a), f.b.Sub(f.a)
	w := f.a.Sub(e.a)
	k := d.Cross(g)
	if math.Abs(k) <= 1e-14*d.Len()*g.Len() {
		return nil
	}
	s, t := w.Cross(g)/k, w.Cross(d)/k
	// allow the ends to be missed by a hair
	hs, ht := tiny/d.Len(), tiny/g.Len()
	if s < -hs || s > 1+hs || t < -ht || t > 1+ht {
		return nil
	}
	return []Vec2{e.at(min(1, max(0, s)))}
}

func lineArc(e, f *edge) []Vec2 {
	d := e.b.Sub(e.a)
	l := d.Len()
	u := d.Mul(1 / l)
	w := f.c.Sub(e.a)
	foot, h := w.Dot(u), u.Cross(w) // along the line, and how far the middle lies off it
	if math.Abs(h) > f.r+tiny {
		return nil
	}
	half := math.Sqrt(max(0, (f.r-h)*(f.r+h)))
	var ps []Vec2
	for _, t := range [2]float64{foot - half, foot + half} {
		if t < -tiny || t > l+tiny {
			continue
		}
		p := e.a.Add(u.Mul(min(l, max(0, t))))
		if f.nearest(p).Sub(p).Len() <= 10*tiny {
			ps = append(ps, p)
		}
		if half == 0 {
			break
		}
	}
	return ps
}

func arcArc(e, f *edge) []Vec2 {
	if e.r > f.r {
		e, f = f, e // measured from the smaller arc's middle, for the sake of digits
	}
	w := f.c.Sub(e.c)
	d := w.Len()
	if d < tiny || d > e.r+f.r+tiny || d < math.Abs(e.r-f.r)-tiny {
		return nil
	}
	u := w.Mul(1 / d)
	x := ((d-f.r)*(d+f.r) + e.r*e.r) / (2 * d)
	half := math.Sqrt(max(0, (e.r-x)*(e.r+x)))
	m := e.c.Add(u.Mul(x))
	var ps []Vec2
	for _, s := range [2]float64{half, -half} {
		p := m.Add(u.Left().Mul(s))
		if e.nearest(p).Sub(p).Len() <= 10*tiny && f.nearest(p).Sub(p).Len() <= 10*tiny {
			ps = append(ps, p)
		}
		if half == 0 {
			break
		}
	}
	return ps
}

// edgeGap gives the distance between two edges and the nearest points. Every candidate is a pair of real points of the
// two edges, so a needless one does no harm; the list holds every place where the distance can have a minimum: a
// crossing, an end against the other edge, and the interior of one facing the interior of the other along a radius. flat says
// that the edges run beside each other, so that a and b stand for a whole stretch.
func edgeGap(e, f *edge) (g float64, a, b Vec2, flat bool) {
	g = math.Inf(1)
	try := func(p, q Vec2) {
		if d := p.Sub(q).Len(); d < g {
			g, a, b = d, p, q
		}
	}
	if ps := e.crossings(f); len(ps) > 0 {
		return 0, ps[0], ps[0], false
	}
	if e.r == 0 && f.r == 0 {
		if p, q, ok := facing(e, f); ok {
			return p.Sub(q).Len(), p, q, true
		}
	}
	try(e.a, f.nearest(e.a))
	try(e.b, f.nearest(e.b))
	try(e.nearest(f.a), f.a)
	try(e.nearest(f.b), f.b)
	switch {
	case e.r > 0 && f.r > 0:
		u := f.c.Sub(e.c).Unit()
		if u == (Vec2{}) { // about one middle the arcs are everywhere as far apart; the ends have told it
			break
		}
		for _, s := range [2]float64{1, -1} {
			for _, t := range [2]float64{1, -1} {
				if e.faces(u.Mul(s)) && f.faces(u.Mul(t)) {
					try(e.c.Add(u.Mul(s*e.r)), f.c.Add(u.Mul(t*f.r)))
				}
			}
		}
	case e.r > 0:
		q := f.nearest(e.c)
		try(e.nearest(q), q)
	case f.r > 0:
		p := e.nearest(f.c)
		try(p, f.nearest(p))
	}
	return g, a, b, false
}

// facing gives, for parallel lines that run beside each other, the nearest points in the middle of the common stretch.
func facing(e, f *edge) (p, q Vec2, ok bool) {
	d := e.b.Sub(e.a)
	l := d.Len()
	u := d.Mul(1 / l)
	w := f.b.Sub(f.a)
	if math.Abs(u.Cross(w)) > tiny/10 {
		return p, q, false
	}
	s, t := f.a.Sub(e.a).Dot(u), f.b.Sub(e.a).Dot(u)
	lo, hi := max(0, min(s, t)), min(l, max(s, t))
	if lo > hi {
		return p, q, false
	}
	p = e.a.Add(u.Mul((lo + hi) / 2))
	return p, f.nearest(p), true
}
