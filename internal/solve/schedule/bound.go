package schedule

import "slices"

// due is a job for the relaxed machine: it may be interrupted at any time.
type due struct{ release, work, due int }

// late gives how late the latest of the jobs is at best, when jobs may be interrupted: at every moment the job that is due first is worked
// at. No order without interruptions is better (Jackson's rule with preemption; it stays optimal when the machine works in windows only,
// since a window's end is one more interruption). The jobs must be in order of release.
func (c *cal) late(jobs []due, heap []due) (worst int) {
	worst = -ever
	t, i := 0, 0
	for i < len(jobs) || len(heap) > 0 {
		if len(heap) == 0 {
			t = max(t, jobs[i].release)
		}
		w := c.window(c.find(t))
		t = max(t, w.From)
		for i < len(jobs) && jobs[i].release <= t {
			if jobs[i].work == 0 {
				worst = max(worst, jobs[i].release-jobs[i].due)
			} else {
				heap = push(heap, jobs[i])
			}
			i++
		}
		stop := w.To
		if i < len(jobs) {
			stop = min(stop, jobs[i].release)
		}
		for len(heap) > 0 && t < stop {
			step := min(heap[0].work, stop-t)
			t += step
			if heap[0].work -= step; heap[0].work == 0 {
				worst = max(worst, t-heap[0].due)
				heap = pop(heap)
			}
		}
	}
	return worst
}

func push(h []due, d due) []due {
	h = append(h, d)
	for i := len(h) - 1; i > 0; {
		p := (i - 1) / 2
		if h[p].due <= h[i].due {
			break
		}
		h[p], h[i] = h[i], h[p]
		i = p
	}
	return h
}

func pop(h []due) []due {
	n := len(h) - 1
	h[0] = h[n]
	h = h[:n]
	for i := 0; ; {
		c := 2*i + 1
		if c >= n {
			return h
		}
		if c+1 < n && h[c+1].due < h[c].due {
			c++
		}
		if h[i].due <= h[c].due {
			return h
		}
		h[i], h[c] = h[c], h[i]
		i = c
	}
}

func byRelease(a, b due) int {
	if a.release != b.release {
		return a.release - b.release
	}
	return a.due - b.due
}

// mostClosed is the number of jobs up to which what comes before each job is looked at as a whole.
const mostClosed = 300

// heads gives for every job a time before which it cannot start: by what comes before it one after the other, by the calendar, and
// because all that comes before it takes the same hands.
func (s *solver) heads() []int {
	n := len(s.Jobs)
	out := make([]int, n)
	var gap [][]int // gap[j][i]: from the end of i to the start of j at least; -1 = i does not come before j
	if n <= mostClosed {
		gap = make([][]int, n)
	}
	var list, heap []due
	for _, j := range s.topo {
		b := &s.Jobs[j]
		r := b.Release
		for _, l := range b.After {
			i := l.Job
			start, end, _, _ := s.cal.place(out[i], &s.Jobs[i])
			if l.Start {
				r = max(r, start+l.Min, end)
			} else {
				r = max(r, end+l.Min)
			}
		}
		if gap != nil {
			g := make([]int, n)
			for i := range g {
				g[i] = -1
			}
			for _, l := range b.After {
				d := s.lag(l.Job, l)
				g[l.Job] = max(g[l.Job], d)
				for i, x := range gap[l.Job] {
					if x >= 0 {
						g[i] = max(g[i], x+s.Jobs[l.Job].Work+d)
					}
				}
			}
			gap[j] = g
			list = list[:0]
			for i, x := range g {
				if x >= 0 {
					list = append(list, due{out[i], s.Jobs[i].Work, -x})
				}
			}
			if len(list) > 1 {
				slices.SortFunc(list, byRelease)
				r = max(r, s.cal.late(list, heap[:0]))
			}
		}
		out[j], _, _, _ = s.cal.place(r, b)
	}
	return out
}

// reverse is the same problem with time running backwards from T: what starts earliest there ends latest here.
func (s *solver) reverse(t int) *solver {
	n := len(s.Jobs)
	r := &solver{Problem: Problem{Jobs: make([]Job, n)}, cal: s.cal.mirror(t), next: make([][]Lag, n), topo: slices.Clone(s.topo)}
	slices.Reverse(r.topo)
	for j, b := range s.Jobs {
		q := Job{Work: b.Work, Split: b.Split, Release: b.Tail} // what is worth beginning is forgotten: that only lets it end later
		for _, l := range s.next[j] {
			q.After = append(q.After, Lag{Job: l.Job, Min: s.lag(j, l)})
		}
		r.Jobs[j] = q
	}
	for j, b := range s.Jobs {
		for _, l := range b.After {
			r.next[j] = append(r.next[j], Lag{Job: l.Job, Min: s.lag(l.Job, l)})
		}
	}
	return r
}

// deadlines gives for every job the latest end with which all can still be finished at T.
func (s *solver) deadlines(t int) []int {
	r := s.reverse(t)
	out := r.heads()
	for j := range out {
		out[j] = t - out[j]
	}
	return out
}

// may reports whether nothing that is looked at here speaks against being finished at T.
func (s *solver) may(heads []int, t int) bool {
	d := s.deadlines(t)
	list := make([]due, len(s.Jobs))
	for j := range s.Jobs {
		_, end, _, _ := s.cal.place(heads[j], &s.Jobs[j])
		if end > d[j] {
			return false
		}
		list[j] = due{heads[j], s.Jobs[j].Work, d[j]}
	}
	slices.SortFunc(list, byRelease)
	return s.cal.late(list, nil) <= 0
}

// bound gives a time before which nobody is finished; known is when somebody is. It is the least T that nothing speaks against: windows of
// time for every job from both ends, and the hands shared by all in between.
func (s *solver) bound(known int) int {
	h := s.heads()
	low := 0
	list := make([]due, len(s.Jobs))
	for j := range s.Jobs {
		_, end, _, _ := s.cal.place(h[j], &s.Jobs[j])
		low = max(low, end+s.tails[j])
		list[j] = due{h[j], s.Jobs[j].Work, -s.tails[j]}
	}
	slices.SortFunc(list, byRelease)
	low = max(low, s.cal.late(list, nil))
	for low < known {
		mid := (low + known) / 2
		if s.may(h, mid) {
			known = mid
		} else {
			low = mid + 1
		}
	}
	return low
}
