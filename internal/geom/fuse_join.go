package geom

import (
	"cmp"
	"math"
	"slices"
)

// match cuts sides where a corner of another face lies on them, until each has its fellow that runs the other way.
func (f *fusing) match() error {
	for round := 0; ; round++ {
		count := map[[2]int]int{}
		for i := range f.sides {
			for _, e := range f.sides[i].edges {
				count[e]++
			}
		}
		var loose [][2]int
		for i := range f.sides {
			for _, e := range f.sides[i].edges {
				n, m := count[e], count[[2]int{e[1], e[0]}]
				switch {
				case n == 1 && m == 1:
				case n == m:
					return ErrTouch
				default:
					loose = append(loose, e)
				}
			}
		}
		if len(loose) == 0 {
			return nil
		}
		if round > 0 {
			return ErrUnclear
		}
		f.cutLoose(loose)
	}
}

// cutLoose cuts sides without a fellow at each other's ends.
func (f *fusing) cutLoose(loose [][2]int) {
	on := map[int]bool{}
	var ends []int
	for _, e := range loose {
		for _, v := range e {
			if !on[v] {
				on[v] = true
				ends = append(ends, v)
			}
		}
	}
	bad := map[[2]int]bool{}
	for _, e := range loose {
		bad[e] = true
	}
	for i := range f.sides {
		var edges [][2]int
		for _, e := range f.sides[i].edges {
			if !bad[e] {
				edges = append(edges, e)
				continue
			}
			a := f.pts.at[e[0]]
			d := f.pts.at[e[1]].Sub(a)
			l := d.Len()
			u := d.Mul(1 / l)
			cuts := []int{e[0]}
			for _, v := range ends {
				q := f.pts.at[v].Sub(a)
				if s := q.Dot(u); v != e[0] && v != e[1] && s > 0 && s < l && q.Cross(u).Len() <= 2*same {
					cuts = append(cuts, v)
				}
			}
			cuts = append(cuts, e[1])
			slices.SortStableFunc(cuts, func(i, j int) int {
				return cmp.Compare(f.pts.at[i].Sub(a).Dot(u), f.pts.at[j].Sub(a).Dot(u))
			})
			for k := 1; k < len(cuts); k++ {
				edges = append(edges, [2]int{cuts[k-1], cuts[k]})
			}
		}
		f.sides[i].edges = edges
	}
}

// ends gives the two neighbours of every point at which just two sides meet; others are not in it.
func (f *fusing) ends() map[int][2]int {
	next := map[int][]int{}
	for i := range f.sides {
		for _, e := range f.sides[i].edges {
			next[e[0]] = append(next[e[0]], e[1])
		}
	}
	out := map[int][2]int{}
	for v, ns := range next {
		if len(ns) == 2 && ns[0] != ns[1] {
			out[v] = [2]int{ns[0], ns[1]}
		}
	}
	return out
}

// bare leaves out points in the middle of an edge.
func (f *fusing) bare(l []int, ends map[int][2]int) []int {
	var out []int
	for _, v := range l {
		if n, ok := ends[v]; ok {
			a, b := f.pts.at[v].Sub(f.pts.at[n[0]]), f.pts.at[n[1]].Sub(f.pts.at[v])
			if a.Dot(b) > 0 && a.Cross(b).Len() <= same*max(a.Len(), b.Len()) {
				continue
			}
		}
		out = append(out, v)
	}
	return out
}

// faces follows the sides in one plane round, and gives each loop round an area with those round its holes.
func (f *fusing) faces(s *sided) ([]SolidFace, error) {
	fr := frameOf(s.plane)
	at := func(v int) Vec2 { return fr.flat(f.pts.at[v]) }
	from := map[int][]int{} // sides by where they start
	for k, e := range s.edges {
		from[e[0]] = append(from[e[0]], k)
	}
	done := make([]bool, len(s.edges))
	type ring struct {
		ids  []int
		p    []Vec2
		area float64
	}
	var outer, inner []ring
	for first := range s.edges {
		if done[first] {
			continue
		}
		var r ring
		for k := first; !done[k]; {
			done[k] = true
			e := s.edges[k]
			r.ids, r.p = append(r.ids, e[0]), append(r.p, at(e[0]))
			k = f.onward(from[e[1]], s.edges, done, first, at(e[0]).Sub(at(e[1])), at)
			if k < 0 {
				return nil, ErrUnclear
			}
		}
		for k := range r.p {
			r.area += r.p[k].Sub(r.p[0]).Cross(r.p[(k+1)%len(r.p)].Sub(r.p[0])) / 2
		}
		if r.area > 0 {
			outer = append(outer, r)
		} else {
			inner = append(inner, r)
		}
	}
	out := make([]SolidFace, len(outer))
	for i, r := range outer {
		out[i] = SolidFace{Plane: s.plane, Loops: [][]int{r.ids}}
	}
	for _, h := range inner {
		best := -1
		for i, r := range outer {
			if holdsRing(r.p, h.p) && (best < 0 || r.area < outer[best].area) {
				best = i
			}
		}
		if best < 0 {
			return nil, ErrUnclear
		}
		out[best].Loops = append(out[best].Loops, h.ids)
	}
	return out, nil
}

// onward gives the side to go on with: the first one clockwise from the way back.
func (f *fusing) onward(ks []int, edges [][2]int, done []bool, first int, back Vec2, at func(int) Vec2) int {
	best, least := -1, math.Inf(1)
	for _, k := range ks {
		if done[k] && k != first {
			continue
		}
		d := at(edges[k][1]).Sub(at(edges[k][0]))
		turn := math.Atan2(-back.Cross(d), back.Dot(d)) // clockwise
		if turn <= 1e-12 {
			turn += 2 * math.Pi
		}
		if turn < least {
			best, least = k, turn
		}
	}
	return best
}

// holdsRing reports whether a loop lies within another that it does not cross: the middle of a side that is not on the rim decides.
func holdsRing(rim, loop []Vec2) bool {
	for k, p := range loop {
		m := p.Add(loop[(k+1)%len(loop)]).Mul(0.5)
		near, in := math.Inf(1), false
		for i, a := range rim {
			b := rim[(i+1)%len(rim)]
			d := b.Sub(a)
			t := min(1, max(0, m.Sub(a).Dot(d)/d.Dot(d)))
			near = min(near, m.Sub(a.Add(d.Mul(t))).Len())
			if (a.Y > m.Y) != (b.Y > m.Y) && m.X < a.X+(m.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
				in = !in
			}
		}
		if near > 2*same {
			return in
		}
	}
	return false
}
