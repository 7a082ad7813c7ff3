package schedule

import (
	"math/rand/v2"
	"slices"
)

// answer is an order with its times.
type answer struct {
	order    []int
	start    []int
	span     int
	sessions int
}

// better reports whether a is finished sooner than b, or as soon in fewer sessions.
func (a *answer) better(b *answer) bool {
	return a.span < b.span || a.span == b.span && a.sessions < b.sessions
}

// put finds the earliest time of a job that does not begin in a session to be skipped.
func (s *solver) put(t int, j *Job, skip map[int]bool) (start, end, first, last int) {
	start, end, first, last = s.cal.place(t, j)
	for skip[first] && j.Work > 0 {
		start, end, first, last = s.cal.place(s.cal.window(first).To, j)
	}
	return start, end, first, last
}

// decode does the jobs in an order, each as early as can be, but not before from (by job; nil = no matter), and none beginning in a session
// to be skipped. What comes before a job must stand before it.
func (s *solver) decode(order, from []int, skip map[int]bool) answer {
	a := answer{order: order, start: make([]int, len(s.Jobs))}
	end := make([]int, len(s.Jobs))
	t, last := 0, -1
	for _, j := range order {
		b := &s.Jobs[j]
		r := max(t, b.Release)
		if from != nil {
			r = max(r, from[j])
		}
		for _, l := range b.After {
			if l.Start {
				r = max(r, a.start[l.Job]+l.Min)
			} else {
				r = max(r, end[l.Job]+l.Min)
			}
		}
		var f, k int
		a.start[j], end[j], f, k = s.put(r, b, skip)
		t = end[j]
		if b.Work > 0 {
			a.sessions += max(0, k-max(f, last+1)+1)
			last = k
		}
		a.span = max(a.span, end[j]+b.Tail)
	}
	return a
}

// heuristic looks for a good order: jobs one by one, of those that can start soonest the one with the longest way to the end; then again with
// other tastes, and the best is improved by moving single jobs. The seed is fixed.
func (s *solver) heuristic(tries int) answer {
	weight := make([]float64, len(s.Jobs))
	best := s.construct(weight, 0)
	if tries == 0 {
		return best
	}
	low := 0
	for _, wait := range []int{15, 45, 120, 480} {
		if a := s.construct(weight, wait); a.better(&best) {
			best = a
		}
	}
	low = s.bound(best.span)
	if best.span > low {
		best = s.improve(best, low)
	}
	rnd := rand.New(rand.NewPCG(7, 11))
	for i := 0; i < tries && best.span > low && s.ctx.Err() == nil; i++ {
		for j := range weight {
			weight[j] = rnd.Float64() * float64(1+s.tails[j]) * []float64{0.1, 0.3, 1}[i%3]
		}
		a := s.construct(weight, []int{0, 20, 60, 180}[i%4])
		if i%4 == 3 || a.span-low < (best.span-low)*2 {
			a = s.improve(a, low)
		}
		if a.better(&best) {
			best = a
		}
	}
	return best
}

// construct takes jobs one by one. Of those that can start within the wait from the soonest start it takes the one with the longest way
// to the end, its weight added.
func (s *solver) construct(weight []float64, wait int) answer {
	n := len(s.Jobs)
	left, ready := make([]int, n), make([]int, n)
	var free []int
	for j := range n {
		left[j], ready[j] = len(s.Jobs[j].After), s.Jobs[j].Release
		if left[j] == 0 {
			free = append(free, j)
		}
	}
	order := make([]int, 0, n)
	starts := make([]int, n)
	t := 0
	for len(free) > 0 {
		soon := ever
		for _, j := range free {
			starts[j], _, _, _ = s.cal.place(max(t, ready[j]), &s.Jobs[j])
			soon = min(soon, starts[j])
		}
		pick, most := -1, 0.0
		for i, j := range free {
			if starts[j] > soon+wait {
				continue
			}
			v := float64(s.tails[j]+s.Jobs[j].Work)*1000 + weight[j]*1000 - float64(starts[j]-soon)
			if pick < 0 || v > most {
				pick, most = i, v
			}
		}
		j := free[pick]
		free = slices.Delete(free, pick, pick+1)
		order = append(order, j)
		start, end, _, _ := s.cal.place(max(t, ready[j]), &s.Jobs[j])
		t = max(t, end)
		for _, l := range s.next[j] {
			if l.Start {
				ready[l.Job] = max(ready[l.Job], start+l.Min)
			} else {
				ready[l.Job] = max(ready[l.Job], end+l.Min)
			}
			if left[l.Job]--; left[l.Job] == 0 {
				free = append(free, l.Job)
			}
		}
	}
	return s.decode(order, nil, nil)
}

// reach is how far a job is moved in an order at most.
const reach = 25

// improve moves single jobs forwards and backwards while that helps.
func (s *solver) improve(a answer, low int) answer {
	n := len(a.order)
	trial := make([]int, n)
	for again, rounds := true, 0; again && a.span > low && rounds < 4 && s.ctx.Err() == nil; rounds++ {
		again = false
		for i := 0; i < n && a.span > low; i++ {
			j := a.order[i]
			for _, way := range []int{-1, 1} {
				for k := i + way; k >= 0 && k < n && abs(k-i) <= reach; k += way {
					if s.before(a.order[min(i, k)], a.order[max(i, k)], j) {
						break
					}
					copy(trial, a.order)
					copy(trial[min(i, k)+max(0, -way):], a.order[min(i, k)+max(0, way):max(i, k)+max(0, way)])
					trial[k] = j
					if b := s.decode(trial, nil, nil); b.better(&a) {
						b.order = slices.Clone(trial)
						a, again = b, true
						break
					}
				}
				if a.order[i] != j {
					break
				}
			}
		}
	}
	return a
}

// before reports whether the one of the two that is not j cannot be passed by j.
func (s *solver) before(first, second, j int) bool {
	for _, l := range s.Jobs[second].After {
		if l.Job == first && (j == first || j == second) {
			return true
		}
	}
	return false
}

func abs(v int) int { return max(v, -v) }

// gather tries to leave out single sessions, the last ones first, without being finished later.
func (s *solver) gather(a answer) answer {
	used := map[int]bool{}
	for _, p := range s.pieces(a) {
		used[p.Session] = true
	}
	var list []int
	for k := range used {
		list = append(list, k)
	}
	slices.Sort(list)
	slices.Reverse(list)
	skip := map[int]bool{}
	for _, k := range list {
		skip[k] = true
		if b := s.decode(a.order, nil, skip); b.better(&a) {
			a = b
			continue
		}
		delete(skip, k)
	}
	return a
}

// pieces lists the stretches of work.
func (s *solver) pieces(a answer) []Piece {
	var out []Piece
	for _, j := range a.order {
		b := &s.Jobs[j]
		if b.Work == 0 {
			out = append(out, Piece{j, a.start[j], a.start[j], s.cal.find(a.start[j])})
			continue
		}
		left, t := b.Work, a.start[j]
		for k := s.cal.find(t); left > 0; k++ {
			w := s.cal.window(k)
			from := max(t, w.From)
			to := min(w.To, from+left)
			out = append(out, Piece{j, from, to, k})
			left -= to - from
		}
	}
	return out
}

// plan writes an answer out.
func (s *solver) plan(a answer) Plan {
	p := Plan{Order: a.order, Start: a.start, End: make([]int, len(s.Jobs)), Span: a.span, Sessions: a.sessions, Pieces: s.pieces(a)}
	for _, x := range p.Pieces {
		p.End[x.Job] = max(p.End[x.Job], x.To)
	}
	return p
}
