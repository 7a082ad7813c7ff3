package chain

import "knobwright/internal/solve/tour"

// long is the length from which chains are walked anew by the package for tours; shorter ones were found to be as
// short as it makes them.
const long = 25

// polish replaces the order in long paths and rings by a shorter one, if there is one.
func (s *search) polish(effort tour.Effort) {
	if s.shape == Tree {
		return
	}
	for k := range s.groups {
		g := &s.groups[k]
		if len(g.seq) < long {
			continue
		}
		node := append([]int32{g.root}, g.seq...)
		cost := func(i, j int) float64 { return s.at(node[i], node[j]) }
		var walk *tour.Problem
		var err error
		if s.shape == Ring {
			walk, err = tour.Closed(len(node), cost)
		} else {
			walk, err = tour.Open(len(node), cost, 0, tour.Free)
		}
		if err != nil {
			continue // costs were looked at before
		}
		better := group{root: g.root}
		for _, i := range walk.Solve(effort).Order[1:] {
			better.seq = append(better.seq, node[i])
		}
		if c := s.price(&better); c < g.cost-s.noise {
			s.cost += c - g.cost
			g.seq, g.cost = better.seq, c
		}
	}
}
