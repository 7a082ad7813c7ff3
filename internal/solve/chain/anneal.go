package chain

import (
	"math"
	"slices"
)

const (
	wrecked  = 10 // terminals taken out of their branches at a time, on average
	stringed = 10 // of one branch at most
)

// wreck takes terminals out that lie near each other: from each of some branches near a terminal drawn by lot a stretch
// of a chain, or of a tree a fork or what lies near.
func (s *search) wreck() {
	used := 0
	for k := range s.groups {
		if len(s.groups[k].seq) > 0 {
			used++
		}
	}
	longest := min(stringed, max(1, s.n/used))
	most := max(1, 4*wrecked/(1+longest)-1)
	strings := 1 + s.chance.below(most)
	first := int32(s.chance.below(s.n))
	s.tear(first, longest)
	strings--
	for _, v := range s.near[first] {
		if strings == 0 {
			break
		}
		if !s.out[v] && s.mark[s.where[v]] != s.trial {
			s.tear(v, longest)
			strings--
		}
	}
}

// tear takes up to longest terminals with v among them out of the branch of v.
func (s *search) tear(v int32, longest int) {
	k := s.where[v]
	s.touch(k)
	g := &s.groups[k]
	size := 1 + s.chance.below(min(longest, len(g.seq)))
	s.out[v] = true
	switch {
	case s.shape == Tree && s.chance.below(2) == 0: // what hangs on v
		for _, u := range g.seq {
			if size > 0 && s.hangs(u, v) {
				s.out[u] = true
				size--
			}
		}
	case s.shape == Tree: // what lies near v
		for _, u := range s.near[v] {
			if size <= 1 {
				break
			}
			if s.where[u] == k {
				s.out[u] = true
				size--
			}
		}
	default: // a stretch; in half of the cases one terminal inside it stays
		total := size
		if size > 1 && size < len(g.seq) && s.chance.below(2) == 0 {
			total++
		}
		at := slices.Index(g.seq, v)
		low, high := max(0, at-total+1), min(at, len(g.seq)-total)
		from := low + s.chance.below(high-low+1)
		stays := -1
		if total > size {
			stays = from + 1 + s.chance.below(total-2)
		}
		for p := from; p < from+total; p++ {
			if p != stays || p == at {
				s.out[g.seq[p]] = true
			}
		}
	}
	s.detach(k)
}

// hangs says that in a tree u is v, or hangs on it directly or over others.
func (s *search) hangs(u, v int32) bool {
	for ; int(u) < s.n; u = s.above[u] {
		if u == v {
			return true
		}
	}
	return false
}

// run takes apart and puts together the given number of times. What costs more is kept with a chance that falls with
// the difference and with time (annealing); the best of all is the answer. It
// ends when the bound is met.
func (s *search) run(rounds int, bound float64) {
	best, least := s.copy(), s.cost
	const stages = 64
	hot, cold := s.heat()
	fall := 1.0 // cold/hot to the power 1/stages
	if hot > 0 {
		fall = cold / hot
	}
	for range 6 {
		fall = math.Sqrt(fall)
	}
	for stage := range stages {
		if least-bound <= float64(1e-9*least) {
			break
		}
		s.rehang()
		if s.cost < least-float64(1e-9*math.Abs(least)) {
			least = s.cost
			s.keep(&best)
		}
		for range rounds*(stage+1)/stages - rounds*stage/stages {
			s.begin()
			s.wreck()
			if !s.mend() {
				for _, v := range s.loose {
					s.out[v] = false
				}
				s.undo()
				continue
			}
			more := s.finish()
			if more >= float64(hot*s.chance.exponential()) {
				s.undo()
				continue
			}
			if s.cost += more; s.cost < least-float64(1e-9*math.Abs(least)) {
				least = s.cost
				s.keep(&best)
			}
		}
		hot = float64(hot * fall)
	}
	s.restore(best)
	s.exchange()
	s.rehang()
}

// heat is the rise in cost that is commonly accepted at first and at last, as a share of the mean cost of a terminal.
// Both were found by trial on the published instances.
func (s *search) heat() (hot, cold float64) {
	mean := s.cost / float64(s.n)
	return float64(0.4 * mean), float64(0.02 * mean)
}
