package sparse

import (
	"fmt"
	"slices"
)

// Plan is where every number of a factor will stand: one dense front for each part of the tree. It holds no numbers of
// any matrix, and serves every matrix of its pattern.
type Plan struct {
	pattern *Pattern
	perm    []int32 // place of each unknown in the order of elimination
	owner   []int32 // front in which a block is eliminated
	fronts  []front
	lower   int // numbers in all fronts' own columns
	rest    int // numbers in all fronts' remainders
	flops   float64
}

// front is one dense step: m unknowns that go, and r later ones that they touch. Its columns are stored row by row,
// (m+r) × m, and what is left for the parent r × r; of both only the part on and below the diagonal is used.
type front struct {
	m, r     int
	first    int     // place of the first of the m unknowns
	rows     []int32 // places of the r others, ascending
	lo, ro   int     // where its columns and its remainder begin
	parent   int32
	children []int32
	up       []int32 // for each of the r others, its row in the parent front
	blocks   []int32 // blocks that go, in order
	entries  []entry // blocks of the matrix that enter here
}

// entry is a block of the matrix that enters a front at row i, column j (its diagonal counted from the front's first).
type entry struct {
	from           int32 // in Matrix.Values
	row, col       int32
	height, width  int32 // in the front
	turned, square bool  // mirrored; a diagonal block of which only the lower triangle counts
}

// NewPlan works out the fronts for a pattern and an order of its blocks.
func NewPlan(p *Pattern, t *Tree) (*Plan, error) {
	nb := p.Blocks()
	s := &Plan{pattern: p, perm: make([]int32, p.Unknowns()), owner: make([]int32, nb)}
	for i := range s.owner {
		s.owner[i] = -1
	}
	place := make([]int32, nb) // of each block's first unknown
	rank := make([]int32, nb)  // order of the blocks
	next, count := int32(0), int32(0)
	for k, part := range t.parts {
		if up := t.parent[k]; up >= 0 && int(up) <= k || int(up) >= len(t.parts) {
			return nil, fmt.Errorf("%w: part %d comes after its parent", ErrShape, k)
		}
		for _, b := range part {
			if b < 0 || int(b) >= nb || s.owner[b] >= 0 {
				return nil, fmt.Errorf("%w: block %d is no block, or stands in two parts", ErrShape, b)
			}
			s.owner[b], place[b], rank[b] = int32(k), next, count
			for u := range int32(p.Size(int(b))) {
				s.perm[p.off[b]+u] = next + u
			}
			next += int32(p.Size(int(b)))
			count++
		}
	}
	if int(count) != nb {
		return nil, fmt.Errorf("%w: the order leaves out %d blocks", ErrShape, nb-int(count))
	}
	ptr, adj := p.neighbours()
	s.fronts = make([]front, len(t.parts))
	others := make([][]int32, len(t.parts)) // blocks touched later, by rank
	seen := make([]int32, nb)
	at := make([]int32, nb) // row of a block in the front at hand
	for k, part := range t.parts {
		f := &s.fronts[k]
		f.parent, f.blocks = t.parent[k], part
		stamp := int32(k + 1)
		var later []int32
		take := func(b int32) {
			if seen[b] != stamp && s.owner[b] != int32(k) {
				seen[b] = stamp
				later = append(later, b)
			}
		}
		for _, b := range part {
			for _, c := range adj[ptr[b]:ptr[b+1]] {
				if s.owner[c] >= int32(k) {
					take(c)
				}
			}
		}
		for _, c := range f.children {
			for _, b := range others[c] {
				take(b)
			}
		}
		slices.SortFunc(later, func(a, b int32) int { return int(rank[a] - rank[b]) })
		others[k] = later
		row := int32(0)
		if len(part) > 0 {
			f.first = int(place[part[0]])
		}
		for _, b := range part {
			at[b] = row
			row += int32(p.Size(int(b)))
		}
		f.m = int(row)
		for _, b := range later {
			at[b] = row
			for u := range int32(p.Size(int(b))) {
				f.rows = append(f.rows, place[b]+u)
			}
			row += int32(p.Size(int(b)))
		}
		f.r = len(f.rows)
		if len(later) > 0 && f.parent < 0 {
			return nil, fmt.Errorf("%w: part %d touches another tree", ErrShape, k)
		}
		s.enter(f, ptr, adj, at)
		for _, c := range f.children {
			ch := &s.fronts[c]
			ch.up = make([]int32, 0, ch.r)
			for _, b := range others[c] {
				if s.owner[b] != int32(k) && seen[b] != stamp {
					return nil, fmt.Errorf("%w: part %d touches one that is no ancestor", ErrShape, c)
				}
				for u := range int32(p.Size(int(b))) {
					ch.up = append(ch.up, at[b]+u)
				}
			}
		}
		if f.parent >= 0 {
			up := &s.fronts[f.parent]
			up.children = append(up.children, int32(k))
		}
		f.lo, f.ro = s.lower, s.rest
		s.lower += (f.m + f.r) * f.m
		s.rest += f.r * f.r
		m, r := float64(f.m), float64(f.r)
		s.flops += m*m*m/3 + m*m*r + m*r*r
	}
	return s, nil
}

// enter lists the blocks of the matrix that enter front f: those of its own unknowns with themselves and with later ones.
func (s *Plan) enter(f *front, ptr, adj, at []int32) {
	p := s.pattern
	put := func(b, c int32) { // b goes in this front; c goes with it or later
		hi, lo := b, c
		if hi < lo {
			hi, lo = lo, hi
		}
		e := entry{from: int32(p.Find(int(hi), int(lo))), square: b == c}
		row, col := c, b
		if at[row] < at[col] {
			row, col = col, row
		}
		e.row, e.col, e.turned = at[row], at[col], row != hi
		e.height, e.width = int32(p.Size(int(row))), int32(p.Size(int(col)))
		f.entries = append(f.entries, e)
	}
	for _, b := range f.blocks {
		put(b, b)
		for _, c := range adj[ptr[b]:ptr[b+1]] {
			if own := s.owner[c] == s.owner[b]; own && at[c] > at[b] || !own && s.owner[c] > s.owner[b] {
				put(b, c)
			} else if own && at[c] == at[b] && c > b {
				put(b, c) // one of them has no unknowns
			}
		}
	}
}

// Size tells how much work and room the plan means: numbers in the factor, numbers kept for repairs, multiplications.
func (s *Plan) Size() (factor, kept int, multiplications float64) { return s.lower, s.rest, s.flops }

// Fronts gives the number of dense steps.
func (s *Plan) Fronts() int { return len(s.fronts) }
