package pack

import (
	"math"
	"slices"
)

// grade sets what the search makes small: first the value left out, then scattered waste. When tidying, it is
// the smallness of the largest waste, then scattered waste and the number of its panels.
func (r *repacker) grade(s *state) {
	s.lumps = 0
	largest, count := 0.0, 0
	for i, p := range s.planks {
		if r.own[i] {
			r.rate(p)
		}
		full := float64(r.bins[p.kind].w * r.bins[p.kind].h)
		s.lumps += p.lumps / full
		largest = max(largest, p.largest)
		count += p.wastes
	}
	if s.score = s.lost - float64(lumpShare*s.lumps); r.tidy {
		full := float64(r.bins[0].w * r.bins[0].h)
		s.score = s.lost + float64(0.003*full*float64(count)) - largest - float64(lumpShare*s.lumps)
	}
}

const (
	ruinMost   = 10
	lumpShare  = 0.1
	lateRounds = 200
	roundWork  = 200 // what a round takes at least, in panels looked at
)

// start fills sheets for the first time, after those that are given.
func (r *repacker) start(given []*plank) {
	r.limit = math.Inf(1)
	r.now = state{used: make([]int, len(r.bins))}
	for _, p := range given {
		r.now.planks = append(r.now.planks, p)
		r.count(&r.now, p.kind, 1)
		for _, n := range p.nodes {
			if n.what >= 0 {
				r.gone[n.what] = true
			}
		}
	}
	for i := range r.pieces {
		if !r.gone[i] {
			r.now.out = append(r.now.out, int32(i))
			r.now.lost += r.value[i]
		}
	}
	clear(r.gone)
	r.own = make([]bool, len(given))
	r.settle()
}

// settle puts in what it can, and rates all anew.
func (r *repacker) settle() {
	r.repair(&r.now)
	for i := range r.own {
		r.own[i] = true
	}
	r.grade(&r.now)
	r.best = r.now.clone()
}

// shrink lowers the limit and takes the emptiest sheets away until it is kept.
func (r *repacker) shrink(limit float64) {
	r.limit = limit
	s := &r.now
	for s.cost > limit && len(s.planks) > 0 {
		worst := 0
		for i, p := range s.planks {
			if p.placed < s.planks[worst].placed {
				worst = i
			}
		}
		p := s.planks[worst]
		for k := range p.nodes {
			r.take(s, p.nodes[k].what)
		}
		r.count(s, p.kind, -1)
		s.planks = slices.Delete(s.planks, worst, worst+1)
	}
	for _, k := range s.out {
		r.gone[k] = false
	}
	r.own = slices.Grow(r.own[:0], len(s.planks))[:len(s.planks)]
	clear(r.own)
	r.settle()
}

// cleanUp keeps the sheets and looks for larger remains and fewer cuts.
func (r *repacker) cleanUp(budget int) {
	r.tidy, r.limit = true, r.best.cost
	r.now = r.best.clone()
	r.own = slices.Grow(r.own[:0], len(r.now.planks))[:len(r.now.planks)]
	r.settle()
	r.search(budget, math.MaxInt)
	r.tidy = false
}

// search runs until nothing is left out, or the work is used up, or it has gone on for a number of rounds without
// getting better. It reports whether nothing is left out. When tidying, nothing may be left out at any time.
func (r *repacker) search(budget, patience int) bool {
	end := r.work + budget
	r.past = slices.Grow(r.past[:0], lateRounds)[:lateRounds]
	for i := range r.past {
		r.past[i] = r.now.score
	}
	for t, idle := 0, 0; r.work < end && idle < patience && (r.tidy || r.best.lost > 0); t++ {
		if t&63 == 0 && r.stop != nil && r.stop() {
			break
		}
		s := r.now.clone()
		r.ruin(&s)
		r.repair(&s)
		r.work += roundWork
		if idle++; r.tidy && s.lost > 0 {
			continue
		}
		r.grade(&s)
		slot := &r.past[t%len(r.past)]
		if s.score <= r.now.score || s.score <= *slot {
			r.now = s
		}
		*slot = min(*slot, r.now.score)
		if r.now.lost < r.best.lost || r.tidy && r.now.score < r.best.score {
			r.best, idle = r.now.clone(), 0
		}
	}
	return r.best.lost == 0
}
