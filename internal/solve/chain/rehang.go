package chain

import (
	"slices"

	"knobwright/internal/solve/assign"
)

// rehang hangs the branches as they are on the roots that suit them best, all at once: an assignment of branches to
// places at roots. Taking terminals out and putting them back seldom moves a whole branch.
func (s *search) rehang() {
	if len(s.branches) < 2 {
		return
	}
	var rows []group
	for _, g := range s.groups {
		if len(g.seq) > 0 {
			rows = append(rows, group{seq: slices.Clone(g.seq), load: g.load, cost: g.cost, link: g.link})
		}
	}
	var roots []int32 // of each place
	for r, b := range s.branches {
		for range min(b, len(rows)) {
			roots = append(roots, s.rootNode(r))
		}
	}
	cost := make([][]float64, len(rows))
	for i := range rows {
		cost[i] = make([]float64, len(roots))
		for j, root := range roots {
			if j > 0 && roots[j-1] == root {
				cost[i][j] = cost[i][j-1]
			} else {
				cost[i][j], _ = s.onRoot(&rows[i], root)
			}
		}
	}
	a, err := assign.Solve(cost)
	if err != nil || len(a.Idle) > 0 || a.Cost >= s.cost-s.noise {
		return
	}
	s.begin()
	for k := range s.groups {
		s.touch(int32(k))
		g := &s.groups[k]
		g.seq, g.load = g.seq[:0], 0
	}
	for i, j := range a.Column {
		root := roots[j]
		_, seq := s.onRoot(&rows[i], root)
		k := s.empty(root)
		s.touch(k)
		g := &s.groups[k]
		g.seq, g.load = append(g.seq, seq...), rows[i].load
		for _, v := range seq {
			s.where[v] = k
		}
	}
	for r := range s.branches {
		s.empty(s.rootNode(r)) // to begin another branch there
	}
	if more := s.finish(); more < -s.noise {
		s.cost += more
	} else {
		s.undo()
	}
}

// empty is a group of a root without terminals, a new one if need be; -1 if the root has no branches left.
func (s *search) empty(root int32) int32 {
	for k := range s.groups {
		if g := &s.groups[k]; g.root == root && len(g.seq) == 0 {
			return int32(k)
		}
	}
	before := len(s.groups)
	s.slot(int(root) - s.n)
	if len(s.groups) == before {
		return -1
	}
	return int32(before)
}

// onRoot is the cost of a branch on another root, and its terminals in the order that this takes: a path may be turned,
// and a ring opened elsewhere.
func (s *search) onRoot(g *group, root int32) (cost float64, seq []int32) {
	row := s.row(root)
	first, last := g.seq[0], g.seq[len(g.seq)-1]
	switch s.shape {
	case Tree:
		least := row[first]
		for _, v := range g.seq {
			least = min(least, row[v])
		}
		return g.cost - g.link + least, g.seq
	case Path:
		inner := 0.0
		for k := 1; k < len(g.seq); k++ {
			inner += s.at(g.seq[k-1], g.seq[k])
		}
		if row[last] < row[first] {
			seq = slices.Clone(g.seq)
			slices.Reverse(seq)
			return inner + row[last], seq
		}
		return inner + row[first], g.seq
	}
	round, open, least := 0.0, 0, row[first]+row[last]
	if len(g.seq) > 1 {
		least -= s.at(last, first)
		round = s.at(last, first)
	}
	for k := 1; k < len(g.seq); k++ {
		a, b := g.seq[k-1], g.seq[k]
		round += s.at(a, b)
		if c := row[a] + row[b] - s.at(a, b); c < least {
			open, least = k, c
		}
	}
	return round + least, append(slices.Clone(g.seq[open:]), g.seq[:open]...)
}
