package pack

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// shelf is the search for the shortest strip.
type shelf struct {
	*skyline
	width  int
	bound  int
	length int    // best found
	best   []spot // the layout of that length
	budget int    // pieces that may still be looked at
	random *rand.Rand
	stop   func() bool
}

func newShelf(pieces []loose, width, bound int) *shelf {
	return &shelf{skyline: newSkyline(pieces), width: width, bound: bound, random: rand.New(rand.NewPCG(1, 2))}
}

// orders are the usual ways to sort pieces: by area, by height, by width, by longer side, by girth; large ones first.
func orders(pieces []loose) [][]int32 {
	keys := []func(p loose) int{
		func(p loose) int { return p.w * p.h },
		func(p loose) int { return p.h },
		func(p loose) int { return p.w },
		func(p loose) int { return max(p.w, p.h) },
		func(p loose) int { return p.w + p.h },
	}
	var all [][]int32
	for _, key := range keys {
		order := make([]int32, len(pieces))
		for i := range order {
			order[i] = int32(i)
		}
		slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(key(pieces[b]), key(pieces[a])) })
		all = append(all, order)
	}
	return all
}

// keep takes over a filling in which all is placed.
func (s *shelf) keep() {
	if h := s.height(); s.best == nil || h < s.length {
		s.length, s.best = h, slices.Clone(s.spots)
	}
}

func (s *shelf) done() bool {
	return s.length <= s.bound || s.work >= s.budget || s.stop != nil && s.stop()
}

// search shortens the strip by goals: all must fit into a rectangle of a length that is a little less than the best
// so far. Two pieces change places in the order; the area left unplaced tells which change was good. The new order is
// kept if it is no worse than the present one or the one some steps ago (late acceptance, Burke & Bykov 2017).
func (s *shelf) search(budget int) {
	s.budget = budget
	endless := 0
	for _, p := range s.pieces {
		endless += max(p.w, p.h)
	}
	starts := orders(s.pieces)
	for _, o := range starts {
		s.fill(o, s.width, endless)
		s.keep()
	}
	for cut := 4; !s.done(); {
		goal := s.length - max(1, (s.length-s.bound)/cut)
		order, least := starts[0], -1
		for _, o := range starts {
			if u := s.fill(o, s.width, goal); least < 0 || u < least {
				order, least = o, u
			}
		}
		if !s.reach(slices.Clone(order), goal) {
			cut = min(cut*2, 1<<20)
		}
	}
}

// reach tries to fit all into a length, starting from an order.
func (s *shelf) reach(order []int32, goal int) bool {
	now := s.fill(order, s.width, goal)
	if now == 0 {
		s.keep()
		return true
	}
	n := len(order)
	if n < 2 {
		s.work = s.budget
		return false
	}
	var past [lateness]int
	for i := range past {
		past[i] = now
	}
	idle, patience := 0, 40*n+2000
	least := now
	for t := 0; idle < patience && !s.done(); t++ {
		a, b := s.random.IntN(n), s.random.IntN(n)
		order[a], order[b] = order[b], order[a]
		u := s.fill(order, s.width, goal)
		if u == 0 {
			s.keep()
			return true
		}
		slot := &past[t%lateness]
		if u <= now || u <= *slot {
			now = u
		} else {
			order[a], order[b] = order[b], order[a]
		}
		*slot = min(*slot, now)
		if idle++; now < least {
			least, idle = now, 0
		}
	}
	return false
}

const lateness = 40
