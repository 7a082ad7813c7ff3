package plate

import (
	"math"
	"slices"
	"sort"
)

// slabs is the sheet cut into upright strips between all places where its shape changes, and in each strip the stretches of
// sheet one above the other: from it we know which parts hang together.
type slabs struct {
	p    *Plate
	xs   []float64
	at   []int // first stretch of each slab
	part []int // stretch → piece of the sheet
	list []piecePart
}

// piecePart is one piece of the sheet.
type piecePart struct {
	area   float64
	inside vec // a point in it, in the middle of its widest stretch
	wide   float64
}

// all gives the stretches of sheet at x.
func (p *Plate) sheetAt(x float64) []span {
	m := p.maker
	m.s1 = append(m.s1[:0], p.outline.spans(x, m.s2)...)
	for _, o := range p.openings {
		if x < o.lo.X || x > o.hi.X {
			continue
		}
		m.s2 = o.spans(x, m.s2)
		m.s3 = without(m.s1, m.s2, m.s3)
		m.s1, m.s3 = m.s3, m.s1
	}
	return m.s1
}

// newSlabs cuts the sheet.
func (p *Plate) newSlabs() *slabs {
	s := &slabs{p: p}
	shapes := append([]*shape{p.outline}, p.openings...)
	hair := 1e-9 * p.grid.h
	for i, a := range shapes {
		for k := range a.pieces {
			s.xs = append(s.xs, a.pieces[k].x0, a.pieces[k].x1)
		}
		for _, b := range shapes[:i] {
			if a.lo.X < b.hi.X && b.lo.X < a.hi.X && a.lo.Y < b.hi.Y && b.lo.Y < a.hi.Y {
				s.crossings(a, b)
			}
		}
	}
	lo, hi := p.outline.lo.X, p.outline.hi.X
	s.xs = slices.DeleteFunc(s.xs, func(x float64) bool { return x < lo || x > hi })
	slices.Sort(s.xs)
	s.xs = slices.CompactFunc(s.xs, func(a, b float64) bool { return math.Abs(b-a) < hair })
	var before []span // stretches at the right end of the slab before
	var link []int
	find := func(i int) int {
		for link[i] != i {
			link[i] = link[link[i]]
			i = link[i]
		}
		return i
	}
	neck := 1e-3 * min(p.st.t, p.grid.h)
	var sums []piecePart
	first := 0
	for k := 0; k+1 < len(s.xs); k++ {
		a, b := s.xs[k], s.xs[k+1]
		mid := slices.Clone(p.sheetAt((a + b) / 2))
		e := (b - a) * 1e-6
		left, right := slices.Clone(p.sheetAt(a+e)), slices.Clone(p.sheetAt(b-e))
		if len(left) != len(mid) {
			left = mid
		}
		if len(right) != len(mid) {
			right = mid
		}
		s.at = append(s.at, len(link))
		for i, m := range mid {
			id := len(link)
			link = append(link, id)
			l := m.hi - m.lo
			area := (b - a) * (left[i].hi - left[i].lo + 4*l + right[i].hi - right[i].lo) / 6
			sums = append(sums, piecePart{area, vec{X: (a + b) / 2, Y: (m.lo + m.hi) / 2}, min(l, b-a)})
			for j, q := range before {
				if min(q.hi, left[i].hi)-max(q.lo, left[i].lo) > neck {
					link[find(id)] = find(first + j)
				}
			}
		}
		before, first = right, s.at[len(s.at)-1]
	}
	s.at = append(s.at, len(link))
	number := map[int]int{}
	for i := range link {
		r := find(i)
		n, ok := number[r]
		if !ok {
			n = len(s.list)
			number[r] = n
			s.list = append(s.list, piecePart{})
		}
		s.part = append(s.part, n)
		q := &s.list[n]
		q.area += sums[i].area
		if sums[i].wide > q.wide {
			q.wide, q.inside = sums[i].wide, sums[i].inside
		}
	}
	return s
}

// crossings adds where edges of two shapes cross: sign changes of their difference, found by halving.
func (s *slabs) crossings(a, b *shape) {
	for i := range a.pieces {
		for j := range b.pieces {
			p, q := &a.pieces[i], &b.pieces[j]
			lo, hi := max(p.x0, q.x0), min(p.x1, q.x1)
			if lo >= hi {
				continue
			}
			const steps = 8
			diff := func(x float64) float64 { return p.y(x) - q.y(x) }
			was := diff(lo)
			for k := 1; k <= steps; k++ {
				x0, x1 := lo+(hi-lo)*float64(k-1)/steps, lo+(hi-lo)*float64(k)/steps
				is := diff(x1)
				if was*is < 0 {
					for range 60 {
						m := (x0 + x1) / 2
						if diff(m)*was > 0 {
							x0 = m
						} else {
							x1 = m
						}
					}
					s.xs = append(s.xs, x0)
				}
				was = is
			}
		}
	}
}

// find gives the piece nearest to q among those met by the upright lines beside it, and how far off it is.
func (s *slabs) find(q vec) (part int, off float64) {
	part, off = -1, math.Inf(1)
	lo, hi := s.xs[0], s.xs[len(s.xs)-1]
	beyond := max(lo-q.X, q.X-hi, 0)
	x := min(max(q.X, lo), hi)
	k := sort.SearchFloat64s(s.xs, x)
	for _, k := range [2]int{k - 1, k} {
		if k < 0 || k+1 >= len(s.xs) {
			continue
		}
		a, b := s.xs[k], s.xs[k+1]
		if x < a-1e-6*s.p.grid.h || x > b+1e-6*s.p.grid.h {
			continue
		}
		e := (b - a) * 1e-6
		spans := s.p.sheetAt(min(max(x, a+e), b-e))
		if len(spans) != s.at[k+1]-s.at[k] {
			continue
		}
		for i, sp := range spans {
			d := math.Hypot(beyond, max(sp.lo-q.Y, q.Y-sp.hi, 0))
			if d < off {
				part, off = s.part[s.at[k]+i], d
			}
		}
	}
	return part, off
}
