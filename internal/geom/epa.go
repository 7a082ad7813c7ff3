package geom

import "math"

// depth measures overlapping solids: the least of the support s(u) of the Minkowski difference over all unit directions u
// is the least shift that parts them. A polytope is grown inside the difference, always at the face nearest to the
// origin; that face's distance is a lower bound of the depth, each s(u) seen is an upper bound, and the least of those is given, so
// that shifting by it parts the solids in any case. Faces may have the origin behind them, so the start needs no luck.
//
// Source: van den Bergen, "Proximity queries and penetration depth computation on 3D game objects" (2001); from memory.
func depth(a, b Convex, scale float64) Sep {
	p := polytope{a: a, b: b, scale: scale, best: math.Inf(1)}
	if p.start() {
		p.grow()
	}
	s := Sep{Gap: -p.best, Dir: p.dir, A: p.at.a, B: p.at.b}
	// Where they touch once parted: push b a little further, and look for the nearest points.
	push := s.Dir.Mul(p.best + 1e-3*scale)
	if t, apart := nearest(a, shifted{b, push}, scale); apart && math.Abs(t.Gap-1e-3*scale) < 1e-6*scale {
		s.A, s.B = t.A, t.B.Sub(push)
	}
	return s
}

// shifted is a solid moved by v.
type shifted struct {
	Convex
	v Vec3
}

func (s shifted) Support(d Vec3) Vec3 { return s.Convex.Support(d).Add(s.v) }
func (s shifted) Centre() Vec3        { return s.Convex.Centre().Add(s.v) }

type polytope struct {
	a, b  Convex
	scale float64
	verts []mink
	faces []face
	free  []int        // places of faces that are gone
	owner map[side]int // the face that walks an edge in this direction
	best  float64      // least support seen
	dir   Vec3         // and its direction
	at    mink
}

type face struct {
	v    [3]int
	n    Vec3 // unit, outwards; zero for a sliver, which faces nowhere
	d    float64
	gone bool
}

type side struct{ i, j int }

func (f *face) side(k int) side { return side{f.v[k], f.v[(k+1)%3]} }

// support looks along u and keeps the least.
func (p *polytope) support(u Vec3) mink {
	u = u.Unit()
	m := minkSupport(p.a, p.b, u)
	if s := m.w.Dot(u); s < p.best {
		p.best, p.dir, p.at = s, u, m
	}
	return m
}

// start finds four points that are not flat; false when the whole difference is.
func (p *polytope) start() bool {
	axes := [3]Vec3{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	var p0, p1 mink
	long := 0.0
	for _, u := range axes {
		m, n := p.support(u), p.support(u.Mul(-1))
		if d := m.w.Sub(n.w).Len(); d > long {
			long, p0, p1 = d, m, n
		}
	}
	flat := 1e-11 * p.scale
	if long <= flat {
		return false
	}
	u := p1.w.Sub(p0.w).Unit()
	x := axes[0]
	if math.Abs(u.X) > 0.6 {
		x = axes[1]
	}
	x = u.Cross(x).Unit()
	y := u.Cross(x)
	var p2 mink
	wide := 0.0
	for _, d := range [4]Vec3{x, x.Mul(-1), y, y.Mul(-1)} {
		m := p.support(d)
		if h := m.w.Sub(p0.w).Cross(u).Len(); h > wide {
			wide, p2 = h, m
		}
	}
	if wide <= flat {
		return false
	}
	n := p1.w.Sub(p0.w).Cross(p2.w.Sub(p0.w)).Unit()
	p3, p4 := p.support(n), p.support(n.Mul(-1))
	if math.Abs(p4.w.Sub(p0.w).Dot(n)) > math.Abs(p3.w.Sub(p0.w).Dot(n)) {
		p3 = p4
	}
	h := p3.w.Sub(p0.w).Dot(n)
	if math.Abs(h) <= flat {
		return false
	}
	if h > 0 {
		p1, p2 = p2, p1 // so that p3 lies behind the first face
	}
	p.verts = append(p.verts, p0, p1, p2, p3)
	p.face(0, 1, 2)
	p.face(0, 3, 1)
	p.face(1, 3, 2)
	p.face(2, 3, 0)
	return true
}

func (p *polytope) face(i, j, k int) {
	a, b, c := p.verts[i].w, p.verts[j].w, p.verts[k].w
	f := face{v: [3]int{i, j, k}, n: b.Sub(a).Cross(c.Sub(a))}
	l := f.n.Len()
	if l <= 1e-15*p.scale*p.scale {
		f.n, f.d = Vec3{}, math.Inf(1)
	} else {
		f.n = f.n.Mul(1 / l)
		f.d = max(a.Dot(f.n), b.Dot(f.n), c.Dot(f.n))
	}
	at := len(p.faces)
	if n := len(p.free); n > 0 {
		at, p.free = p.free[n-1], p.free[:n-1]
		p.faces[at] = f
	} else {
		p.faces = append(p.faces, f)
	}
	if p.owner == nil {
		p.owner = map[side]int{}
	}
	for e := range 3 {
		p.owner[f.side(e)] = at
	}
}

// nearest gives the live face with the least distance among those whose normal has more than cone along dir.
func (p *polytope) nearest(cone float64) int {
	near := -1
	for i := range p.faces {
		f := &p.faces[i]
		if f.gone || near >= 0 && f.d >= p.faces[near].d {
			continue
		}
		if cone <= -1 || f.n.Dot(p.dir) > cone {
			near = i
		}
	}
	return near
}

// grow adds points until the bounds meet. A difference that is equally deep in a whole range of directions, such as that of
// two bars on one axis, would take points without end: there the work is held to the neighbourhood of the best direction
// so far, in narrowing cones, which is enough to make its depth exact.
func (p *polytope) grow() {
	if p.refine(-1, 250) {
		return
	}
	for _, angle := range [4]float64{0.1, 0.01, 0.001, 0.0001} {
		p.refine(math.Cos(angle), 60)
	}
}

// refine adds up to n points at faces in the cone; it reports true when there is nothing to add.
func (p *polytope) refine(cone float64, n int) bool {
	tol := 1e-11 * p.scale
	for range n {
		f := p.nearest(cone)
		if f < 0 || math.IsInf(p.faces[f].d, 1) {
			return true
		}
		lower, n := p.faces[f].d, p.faces[f].n
		if p.best-lower <= tol+1e-9*math.Abs(p.best) {
			return true
		}
		m := p.support(n)
		if m.w.Dot(n)-lower <= tol {
			return true
		}
		p.raise(f, m, tol/100)
	}
	return false
}

// raise puts a tent from m over all faces that m sees, beginning with f and going from neighbour to neighbour, so that the polytope
// stays closed whatever rounding says. Slivers go with their neighbours. When what m sees has a hole, f is only set aside.
func (p *polytope) raise(f int, m mink, tol float64) {
	seen := []int{f}
	p.faces[f].gone = true
	var rim []side
	for k := 0; k < len(seen); k++ {
		g := p.faces[seen[k]]
		for e := range 3 {
			s := g.side(e)
			at := p.owner[side{s.j, s.i}]
			switch o := &p.faces[at]; {
			case o.gone:
			case o.n == (Vec3{}) || m.w.Dot(o.n)-o.d > tol:
				o.gone = true
				seen = append(seen, at)
			default:
				rim = append(rim, s)
			}
		}
	}
	if !oneLoop(rim) {
		for _, i := range seen {
			p.faces[i].gone = false
		}
		p.faces[f].d = math.Inf(1)
		return
	}
	p.free = append(p.free, seen...)
	v := len(p.verts)
	p.verts = append(p.verts, m)
	for _, s := range rim {
		p.face(s.i, s.j, v)
	}
}

// oneLoop reports whether the sides make a single closed walk.
func oneLoop(rim []side) bool {
	if len(rim) < 3 {
		return false
	}
	at := rim[0].j
	for n := 1; n < len(rim); n++ {
		if at == rim[0].i {
			return false // closed too soon
		}
		next := -1
		for _, s := range rim {
			if s.i == at {
				if next >= 0 {
					return false // a place passed twice
				}
				next = s.j
			}
		}
		if next < 0 {
			return false
		}
		at = next
	}
	return at == rim[0].i
}
