package geom

import "math"

// mink is a point w = a - b of the Minkowski difference of two solids, with the points it came from. The solids overlap
// exactly when the origin lies in the difference, and their distance is that of the origin from it.
type mink struct{ w, a, b Vec3 }

func minkSupport(a, b Convex, d Vec3) mink {
	p, q := a.Support(d), b.Support(d.Mul(-1))
	return mink{p.Sub(q), p, q}
}

// simplex is up to four points of the difference with the weights of the point of it nearest to the origin.
type simplex struct {
	p [4]mink
	l [4]float64
	n int
}

func (s *simplex) point() (v, a, b Vec3) {
	for i := range s.n {
		v = v.Add(s.p[i].w.Mul(s.l[i]))
		a = a.Add(s.p[i].a.Mul(s.l[i]))
		b = b.Add(s.p[i].b.Mul(s.l[i]))
	}
	return
}

// generalGap runs the search for the nearest point of the difference, and hands overlapping solids on to depth.
//
// Source: Gilbert, Johnson, Keerthi, "A fast procedure for computing the distance between complex objects in
// three-dimensional space", IEEE Journal of Robotics and Automation 4 (1988); from memory. The nearest point of a simplex is
// found by looking at all its parts, which is slower than the usual case tables and harder to get wrong.
func generalGap(a, b Convex) Sep {
	scale := size(a.Bounds(), b.Bounds())
	if math.IsNaN(scale) || math.IsInf(scale, 0) {
		return Sep{Gap: math.Inf(1), Dir: Vec3{1, 0, 0}}
	}
	s, apart := nearest(a, b, scale)
	if !apart {
		return depth(a, b, scale)
	}
	// Between solids that almost touch the way from A to B is too short to be a sure direction. Seen from a little further apart it
	// is, and a shift along it changes nothing else.
	if s.Gap < 1e-2*scale {
		push := s.Dir.Mul(1e-2 * scale)
		if t, ok := nearest(a, shifted{b, push}, scale); ok && parted(a, b, t.Dir) > parted(a, b, s.Dir) {
			s.Dir = t.Dir
		}
	}
	return s
}

// parted gives how far apart two planes square to u can be with a on one side and b on the other.
func parted(a, b Convex, u Vec3) float64 { return -minkSupport(a, b, u).w.Dot(u) }

// nearest gives the nearest points; apart is false when the solids overlap or touch.
func nearest(a, b Convex, scale float64) (sep Sep, apart bool) {
	v := a.Centre().Sub(b.Centre())
	if v.Len() <= 1e-12*scale {
		v = Vec3{1, 0, 0}
	}
	var s simplex
	s.p[0], s.l[0], s.n = minkSupport(a, b, v.Mul(-1)), 1, 1
	v = s.p[0].w
	touch := 1e-11 * scale
	for range 200 {
		l := v.Len()
		if l <= touch {
			return Sep{}, false
		}
		w := minkSupport(a, b, v.Mul(-1))
		// the plane through w square to v parts the origin from the difference: v·w/l is a lower bound of the distance
		if l-v.Dot(w.w)/l <= 1e-10*l+1e-13*scale {
			break
		}
		apart := v.Dot(w.w) > 1e-14*l*scale // then no tetrahedron may be said to hold the origin, however flat it is
		next, inside := s.with(w, !apart)
		u, _, _ := next.point()
		if !inside && u.Len() >= l*(1-1e-13) {
			// The difference has a flat side or a straight edge square to v, and its far end was given: useless within the accuracy of
			// the numbers. A slightly turned v gets the near end.
			for k := 0; k < len(nudges) && !inside; k++ {
				n, in := s.with(minkSupport(a, b, nudges[k].Mul(l).Sub(v)), !apart)
				if x, _, _ := n.point(); in || x.Len() < u.Len() {
					next, inside, u = n, in, x
				}
			}
			if !inside && u.Len() >= l*(1-1e-13) {
				break
			}
		}
		if inside {
			return Sep{}, false
		}
		s, v = next, u
	}
	v, p, q := s.point()
	l := v.Len()
	return Sep{Gap: l, A: p, B: q, Dir: v.Mul(-1 / l)}, true
}

// nudges are small turns both ways about every axis.
var nudges = func() (ns []Vec3) {
	for _, s := range []float64{1e-7, 1e-4} {
		ns = append(ns, Vec3{s, 0, 0}, Vec3{-s, 0, 0}, Vec3{0, s, 0}, Vec3{0, -s, 0}, Vec3{0, 0, s}, Vec3{0, 0, -s})
	}
	return
}()

// size gives a length that both solids and the way between them fit in.
func size(a, b Box3) float64 {
	u := a.Union(b)
	return u.Max.Sub(u.Min).Len()
}

// with gives the simplex with w added and reduced, and whether the origin lies inside, if that is possible at all.
func (s simplex) with(w mink, possible bool) (simplex, bool) {
	inside := s.add(w, possible)
	return s, inside
}

// add puts w into the simplex and reduces it to the part that carries the point nearest to the origin. It reports true
// when the origin lies inside, which is only asked when it is possible.
func (s *simplex) add(w mink, possible bool) bool {
	s.p[s.n] = w
	s.n++
	best := simplex{}
	near := math.Inf(1)
	try := func(ids ...int) {
		var c simplex
		for _, i := range ids {
			c.p[c.n] = s.p[i]
			c.n++
		}
		if !c.weights() {
			return
		}
		v, _, _ := c.point()
		if d := v.Dot(v); d < near {
			near, best = d, c
		}
	}
	// the new point is part of the answer, unless rounding says otherwise
	switch s.n {
	case 2:
		try(0)
		try(1)
		try(0, 1)
	case 3:
		for i := range 3 {
			try(i)
		}
		try(0, 1)
		try(0, 2)
		try(1, 2)
		try(0, 1, 2)
	case 4:
		if possible && s.encloses() {
			return true
		}
		for i := range 4 {
			try(i)
			for j := range i {
				try(j, i)
				for k := range j {
					try(k, j, i)
				}
			}
		}
	}
	*s = best
	return false
}

// weights gives each point its weight in the foot of the origin on the point, line or plane through them; false when the foot
// lies outside them or the points are too flat to tell.
func (s *simplex) weights() bool {
	switch s.n {
	case 1:
		s.l[0] = 1
		return true
	case 2:
		d := s.p[1].w.Sub(s.p[0].w)
		k := d.Dot(d)
		t := -s.p[0].w.Dot(d) / k
		s.l[0], s.l[1] = 1-t, t
		return k > 0 && t >= 0 && t <= 1
	case 3:
		a, b, c := s.p[0].w, s.p[1].w, s.p[2].w
		n := b.Sub(a).Cross(c.Sub(a))
		k := n.Dot(n)
		if !(k > 1e-28*b.Sub(a).Dot(b.Sub(a))*c.Sub(a).Dot(c.Sub(a))) {
			return false
		}
		foot := n.Mul(a.Dot(n) / k)
		a, b, c = a.Sub(foot), b.Sub(foot), c.Sub(foot)
		x, y, z := b.Cross(c).Dot(n)/k, c.Cross(a).Dot(n)/k, a.Cross(b).Dot(n)/k
		if x < 0 || y < 0 || z < 0 {
			return false
		}
		t := x + y + z
		s.l[0], s.l[1], s.l[2] = x/t, y/t, z/t
		return true
	}
	return false
}

// encloses reports whether the origin lies inside the four points.
func (s *simplex) encloses() bool {
	a, b, c, d := s.p[0].w, s.p[1].w, s.p[2].w, s.p[3].w
	side := func(p, q, r, other Vec3) bool {
		n := q.Sub(p).Cross(r.Sub(p))
		x, y := -p.Dot(n), other.Sub(p).Dot(n)
		if math.Abs(y) <= 1e-13*n.Len()*other.Sub(p).Len() {
			return false // too flat to have an inside
		}
		return x > 0 && y > 0 || x < 0 && y < 0
	}
	return side(a, b, c, d) && side(a, b, d, c) && side(a, c, d, b) && side(b, c, d, a)
}
