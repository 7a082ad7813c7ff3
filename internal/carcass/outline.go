package carcass

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
)

// flatUnion gives the outline of all that the parts show on the plane N = z of the frame: faces that look along N when z is 0, and
// against it otherwise. Faces may touch along edges, not overlap. Of several pieces the greatest counts.
func flatUnion(parts []*geom.Hull, f Frame, z float64) geom.Outline {
	var polys [][]geom.Vec2
	for _, h := range parts {
		for i, face := range h.Faces {
			pl := h.Plane(i)
			look := pl.N.Dot(f.N)
			if math.Abs(look) < 1-1e-9 || (look > 0) != (z == 0) {
				continue
			}
			var poly []geom.Vec2
			off := 0.0
			for _, k := range face {
				q := f.ToLocal(h.Points[k])
				off = max(off, math.Abs(q.Z-z))
				poly = append(poly, q.XY())
			}
			if off > snap {
				continue
			}
			if look < 0 {
				slices.Reverse(poly)
			}
			polys = append(polys, poly)
		}
	}
	return joinPolygons(polys)
}

// joinPolygons gives the outline round counter-clockwise polygons that touch along edges: every edge is cut where corners lie on
// it, pieces that run both ways vanish, the rest is followed round.
func joinPolygons(polys [][]geom.Vec2) geom.Outline {
	var pts []geom.Vec2
	id := func(p geom.Vec2) int {
		for i, q := range pts {
			if p.Sub(q).Len() < snap {
				return i
			}
		}
		pts = append(pts, p)
		return len(pts) - 1
	}
	var loops [][]int
	for _, poly := range polys {
		var l []int
		for _, p := range poly {
			if k := id(p); len(l) == 0 || l[len(l)-1] != k {
				l = append(l, k)
			}
		}
		loops = append(loops, l)
	}
	type side struct{ i, j int }
	count := map[side]int{}
	var order []side
	for _, l := range loops {
		for k, i := range l {
			j := l[(k+1)%len(l)]
			if i == j {
				continue
			}
			prev := i
			for _, m := range between(pts, i, j) {
				order = append(order, side{prev, m})
				prev = m
			}
			order = append(order, side{prev, j})
		}
	}
	for _, s := range order {
		count[s]++
	}
	next := map[int][]int{}
	var starts []int
	for _, s := range order {
		if count[s] > 0 && count[side{s.j, s.i}] > 0 {
			count[s]--
			count[side{s.j, s.i}]--
			continue
		}
	}
	for _, s := range order {
		if count[s] > 0 {
			count[s]--
			next[s.i] = append(next[s.i], s.j)
			starts = append(starts, s.i)
		}
	}
	var best geom.Outline
	for _, s := range starts {
		var loop []geom.Vec2
		at := s
		for len(next[at]) > 0 {
			to := next[at][0]
			next[at] = next[at][1:]
			loop = append(loop, pts[at])
			at = to
		}
		if o := geom.Polygon(straighten(loop)...); o != nil && (best == nil || o.Area() > best.Area()) {
			best = o
		}
	}
	return best
}

// between lists the points on the stretch from i to j, in order, without its ends.
func between(pts []geom.Vec2, i, j int) []int {
	a, d := pts[i], pts[j].Sub(pts[i])
	l := d.Len()
	u := d.Mul(1 / l)
	var on []int
	for k, p := range pts {
		q := p.Sub(a)
		if s := q.Dot(u); k != i && k != j && s > snap && s < l-snap && math.Abs(q.Cross(u)) < snap {
			on = append(on, k)
		}
	}
	slices.SortFunc(on, func(k, m int) int { return cmp.Compare(pts[k].Sub(a).Dot(u), pts[m].Sub(a).Dot(u)) })
	return on
}

// straighten drops corners in the middle of straight edges.
func straighten(l []geom.Vec2) []geom.Vec2 {
	for {
		n := len(l)
		if n < 4 {
			return l
		}
		drop := -1
		for i := range l {
			a, p, b := l[(i+n-1)%n], l[i], l[(i+1)%n]
			d := b.Sub(a)
			if math.Abs(p.Sub(a).Cross(d)) <= snap*d.Len() && p.Sub(a).Dot(b.Sub(p)) >= 0 {
				drop = i
				break
			}
		}
		if drop < 0 {
			return l
		}
		l = slices.Delete(l, drop, drop+1)
	}
}
