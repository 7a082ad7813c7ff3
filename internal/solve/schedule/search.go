package schedule

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// tree is the state of a search through the orders, first jobs first.
type tree struct {
	*solver
	best    answer
	dead    []int // latest ends for something better than the best
	done    []uint64
	left    []int // by job: how many jobs that come before it are not done
	ready   []int
	order   []int
	start   []int
	nodes   int
	limit   int
	memo    map[string][]mark
	list    []due
	heap    []due
	stopped bool
}

// mark is a state met before.
type mark struct {
	t, last, sessions, span int
	ready                   []int
}

func (s *solver) tree(best answer, limit int) *tree {
	n := len(s.Jobs)
	t := &tree{solver: s, best: best, done: make([]uint64, (n+63)/64), left: make([]int, n), ready: make([]int, n), start: make([]int, n), limit: limit, memo: map[string][]mark{}}
	for j := range n {
		t.left[j], t.ready[j] = len(s.Jobs[j].After), s.Jobs[j].Release
	}
	return t
}

// search looks for the order that is finished soonest: branch and bound, first jobs first. It reports how many nodes were seen, and whether
// all that could have been better was looked at.
func (s *solver) search(best answer, bound, limit int) (answer, int, bool) {
	t := s.tree(best, limit)
	t.dead = s.deadlines(best.span - 1)
	t.step(0, 0, bound)
	return t.best, t.nodes, !t.stopped
}

// choice is a job that can come next.
type choice struct{ job, start, end int }

// step tries every job that can come next. now is when the hands are free, span when what is done is finished.
func (t *tree) step(now, span, bound int) {
	if t.nodes++; t.nodes > t.limit || t.nodes%64 == 0 && t.ctx.Err() != nil {
		t.stopped = true
	}
	if t.stopped || t.best.span <= bound {
		return
	}
	if len(t.order) == len(t.Jobs) {
		if span < t.best.span {
			t.best = t.decode(slices.Clone(t.order), nil, nil)
			t.dead = t.deadlines(t.best.span - 1)
		}
		return
	}
	if t.hopeless(now) || t.met(now, span) {
		return
	}
	var free []choice
	first := ever
	for j := range t.Jobs {
		if t.left[j] == 0 && !t.isDone(j) {
			s, e, _, _ := t.cal.place(max(now, t.ready[j]), &t.Jobs[j])
			free = append(free, choice{j, s, e})
			first = min(first, e)
		}
	}
	// A job that starts only when another could have ended already need not come first.
	free = slices.DeleteFunc(free, func(c choice) bool { return c.start >= first && c.end > first })
	slices.SortFunc(free, func(a, b choice) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(t.dead[a.job]-t.Jobs[a.job].Work, t.dead[b.job]-t.Jobs[b.job].Work), cmp.Compare(a.job, b.job))
	})
	for _, c := range free {
		if c.end > t.dead[c.job] {
			continue
		}
		undo := t.take(c)
		t.step(max(now, c.end), max(span, c.end+t.Jobs[c.job].Tail), bound)
		undo()
	}
}

func (t *tree) isDone(j int) bool { return t.done[j/64]&(1<<(j%64)) != 0 }

// take does a job; what it gives takes it back.
func (t *tree) take(c choice) func() {
	j := c.job
	t.done[j/64] |= 1 << (j % 64)
	t.order = append(t.order, j)
	old := make([]int, len(t.next[j]))
	for i, l := range t.next[j] {
		old[i] = t.ready[l.Job]
		r := c.end + l.Min
		if l.Start {
			r = c.start + l.Min
		}
		t.ready[l.Job] = max(t.ready[l.Job], r)
		t.left[l.Job]--
	}
	return func() {
		for i, l := range slices.Backward(t.next[j]) {
			t.ready[l.Job] = old[i]
			t.left[l.Job]++
		}
		t.order = t.order[:len(t.order)-1]
		t.done[j/64] &^= 1 << (j % 64)
	}
}

// hopeless reports whether what is left cannot be finished in time even if jobs could be interrupted.
func (t *tree) hopeless(now int) bool {
	t.list = t.list[:0]
	for _, j := range t.topo {
		if !t.isDone(j) {
			r := max(now, t.ready[j])
			if r+t.Jobs[j].Work > t.dead[j] {
				return true
			}
			t.list = append(t.list, due{r, t.Jobs[j].Work, t.dead[j]})
		}
	}
	slices.SortFunc(t.list, byRelease)
	return t.cal.late(t.list, t.heap[:0]) > 0
}

// mostMarks is how many states of one set of jobs are kept.
const mostMarks = 40

// met reports whether the same jobs were done before, at least as well in every respect, and keeps the state otherwise.
func (t *tree) met(now, span int) bool {
	key := t.key()
	ready := t.open(now)
	for _, m := range t.memo[key] {
		if m.t <= now && m.span <= span && every(m.ready, ready) {
			return true
		}
	}
	if len(t.memo[key]) < mostMarks {
		t.memo[key] = append(t.memo[key], mark{t: now, span: span, ready: ready})
	}
	return false
}

func every(a, b []int) bool {
	for i, v := range a {
		if v > b[i] {
			return false
		}
	}
	return true
}

func (t *tree) key() string {
	b := make([]byte, 0, 8*len(t.done))
	for _, v := range t.done {
		b = binary.LittleEndian.AppendUint64(b, v)
	}
	return string(b)
}

// open lists when the jobs that are left may start, none before now.
func (t *tree) open(now int) []int {
	out := make([]int, 0, len(t.Jobs)-len(t.order))
	for j := range t.Jobs {
		if !t.isDone(j) {
			out = append(out, max(now, t.ready[j]))
		}
	}
	return out
}

// fewer looks for an order with the same span that takes fewer sessions. Beside the next job it may choose to leave the session, even one not
// begun.
func (s *solver) fewer(best answer, limit int) (answer, int, bool) {
	t := s.tree(best, limit)
	t.dead = s.deadlines(best.span)
	t.rest(0, -1, 0, s.work)
	return t.best, t.nodes, !t.stopped
}

// rest tries every job that can come next, and going home. last is the session worked in last, work what is left to do.
func (t *tree) rest(now, last, sessions, work int) {
	if t.nodes++; t.nodes > t.limit || t.nodes%64 == 0 && t.ctx.Err() != nil {
		t.stopped = true
	}
	if t.stopped {
		return
	}
	if len(t.order) == len(t.Jobs) {
		if sessions < t.best.sessions {
			if a := t.decode(slices.Clone(t.order), t.start, nil); a.better(&t.best) {
				t.best = a
			}
		}
		return
	}
	over := work
	if last >= 0 {
		over -= max(0, t.cal.window(last).To-now)
	}
	if sessions+(max(0, over)+t.cal.longest-1)/t.cal.longest >= t.best.sessions || t.hopeless(now) || t.same(now, last, sessions) {
		return
	}
	var free []choice
	for j := range t.Jobs {
		if t.left[j] == 0 && !t.isDone(j) {
			if s, e, _, _ := t.cal.place(max(now, t.ready[j]), &t.Jobs[j]); e <= t.dead[j] {
				free = append(free, choice{j, s, e})
			}
		}
	}
	slices.SortFunc(free, func(a, b choice) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(t.dead[a.job], t.dead[b.job]), cmp.Compare(a.job, b.job))
	})
	for _, c := range free {
		b := &t.Jobs[c.job]
		_, _, f, k := t.cal.place(c.start, b)
		more, at := 0, last
		if b.Work > 0 {
			more, at = max(0, k-max(f, last+1)+1), k
		}
		undo := t.take(c)
		t.start[c.job] = c.start
		t.rest(max(now, c.end), at, sessions+more, work-b.Work)
		undo()
	}
	// Going home: nothing is begun any more before the end of this session.
	if t.cal.period > 0 {
		t.rest(t.cal.window(t.cal.find(now)).To, last, sessions, work)
	}
}

// same reports whether the very same state was met before, with as few sessions.
func (t *tree) same(now, last, sessions int) bool {
	key := t.key()
	ready := t.open(now)
	for i, m := range t.memo[key] {
		if m.t == now && m.last == last && slices.Equal(m.ready, ready) {
			if m.sessions <= sessions {
				return true
			}
			t.memo[key][i].sessions = sessions
			return false
		}
	}
	if len(t.memo[key]) < 4*mostMarks {
		t.memo[key] = append(t.memo[key], mark{t: now, last: last, sessions: sessions, ready: ready})
	}
	return false
}
