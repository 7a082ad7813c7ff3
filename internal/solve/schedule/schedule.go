// Package schedule orders jobs for one pair of hands: one job at a time, some jobs before others, and between two jobs at least so much
// time (glue that dries, paint that hardens). Hands work only in sessions, evenings and weekends say; waiting runs on through the night.
// Wanted is the order that is finished soonest; among those one that takes the fewest sessions.
//
// In the letters of the trade of scheduling: one machine, precedence with least delays, release times and tails, availability windows,
// jobs that go on or do not go on over the end of a window, no interruption by another job; the makespan.
//
// Times are whole minutes from the start. Nothing here knows of panels.
package schedule

import (
	"context"
	"fmt"
	"slices"
)

// Lag is a job that must come before, and how long before.
type Lag struct {
	Job   int  // index
	Min   int  // at least so long, 0 or more
	Start bool // counted from the start of that job, not from its end; it comes before all the same
}

// Job is one piece of work.
type Job struct {
	Work    int   // minutes of hands, 0 or more
	Split   bool  // it may go on in the next session
	Least   int   // of a job that may go on: what must be worth beginning in a session, minutes
	After   []Lag // what must come before
	Release int   // not before
	Tail    int   // after its end the whole is not finished for so long
}

// Window is a session: from the one minute up to the other.
type Window struct{ From, To int }

// Calendar says when hands work: windows that come again after every period. The zero value: always.
type Calendar struct {
	Windows []Window // in order, not touching one another, within 0 to Period
	Period  int
}

// Problem is what is asked.
type Problem struct {
	Jobs     []Job
	Calendar Calendar
}

// Options say how long to look. Zero values stand for what is usual.
type Options struct {
	Nodes int // of the exact search; 0 = 20000, negative = none
	Tries int // of the search for good orders; 0 = 60, negative = only the first
}

// Piece is a stretch of work in one session.
type Piece struct {
	Job      int
	From, To int
	Session  int // counted from 0 among all sessions of the calendar; 0 without one
}

// Plan is an answer.
type Plan struct {
	Order      []int // jobs in the order of their starts
	Start, End []int // by job
	Pieces     []Piece
	Span       int  // when all is finished, tails counted
	Sessions   int  // in which something is done
	Bound      int  // proven: no order is finished sooner
	Exact      bool // Span is the least: proven
	Fewest     bool // and no order with that span takes fewer sessions: proven
	Nodes      int  // of the exact search
}

// Gap is how far the span may be from the least, as a share of it.
func (p Plan) Gap() float64 {
	if p.Span <= 0 {
		return 0
	}
	return float64(p.Span-p.Bound) / float64(p.Span)
}

// CycleError says that jobs wait for one another.
type CycleError struct{ Jobs []int } // each waits for the one before it, the first for the last

func (e *CycleError) Error() string { return fmt.Sprintf("jobs %v wait for one another", e.Jobs) }

// LongError says that a job that must be done in one go is longer than the longest session.
type LongError struct{ Job, Work, Longest int }

func (e *LongError) Error() string {
	return fmt.Sprintf("job %d takes %d minutes in one go, and the longest session has %d", e.Job, e.Work, e.Longest)
}

// InputError says what is wrong with the numbers.
type InputError struct{ Say string }

func (e *InputError) Error() string { return e.Say }

// most is the largest number of minutes taken: 20 years.
const most = 20 * 366 * 24 * 60

// Solve finds an order. The same problem and options give the same plan, unless the context ends first: then the best order so far is
// given. The error is a *CycleError, *LongError or *InputError.
func Solve(ctx context.Context, p Problem, o Options) (Plan, error) {
	s, err := newSolver(p)
	if err != nil {
		return Plan{}, err
	}
	if len(p.Jobs) == 0 {
		return Plan{Exact: true, Fewest: true}, nil
	}
	if o.Nodes == 0 {
		o.Nodes = 20000
	}
	if o.Tries == 0 {
		o.Tries = 60
	}
	s.ctx = ctx
	best := s.heuristic(max(o.Tries, 0))
	bound := s.bound(best.span)
	nodes := 0
	if best.span > bound && o.Nodes > 0 {
		var done bool
		best, nodes, done = s.search(best, bound, o.Nodes)
		if done {
			bound = best.span
		}
	}
	fewest := false
	if n := s.leastSessions(); best.sessions > n {
		best = s.gather(best)
		if best.sessions > n && best.span == bound && o.Nodes > nodes {
			var more int
			best, more, fewest = s.fewer(best, o.Nodes-nodes)
			nodes += more
		}
		fewest = fewest || best.sessions <= n
	} else {
		fewest = true
	}
	out := s.plan(best)
	out.Bound, out.Exact, out.Fewest, out.Nodes = bound, best.span == bound, fewest && best.span == bound, nodes
	return out, nil
}

// Bound gives a proven bound alone: no order is finished sooner.
func Bound(p Problem) (int, error) {
	s, err := newSolver(p)
	if err != nil || len(p.Jobs) == 0 {
		return 0, err
	}
	s.ctx = context.Background()
	return s.bound(s.heuristic(0).span), nil
}

// solver holds a problem made ready.
type solver struct {
	Problem
	ctx   context.Context
	cal   cal
	topo  []int   // jobs in an order that keeps what must come before
	next  [][]Lag // by job: what comes after it; Job is the later one
	tails []int   // by job: from its end to the end of all at least
	work  int     // all
}

func newSolver(p Problem) (*solver, error) {
	s := &solver{Problem: p, next: make([][]Lag, len(p.Jobs)), tails: make([]int, len(p.Jobs))}
	var err error
	if s.cal, err = newCal(p.Calendar); err != nil {
		return nil, err
	}
	total := 0
	for j, b := range p.Jobs {
		for _, v := range []int{b.Work, b.Least, b.Release, b.Tail} {
			if v < 0 || v > most {
				return nil, &InputError{fmt.Sprintf("job %d has a time of %d minutes", j, v)}
			}
		}
		if !b.Split && b.Work > s.cal.longest {
			return nil, &LongError{j, b.Work, s.cal.longest}
		}
		s.work += b.Work
		total += b.Work + b.Release + b.Tail
		for _, l := range b.After {
			if l.Job < 0 || l.Job >= len(p.Jobs) || l.Min < 0 || l.Min > most {
				return nil, &InputError{fmt.Sprintf("job %d comes %d minutes after job %d", j, l.Min, l.Job)}
			}
			s.next[l.Job] = append(s.next[l.Job], Lag{j, l.Min, l.Start})
			total += l.Min
		}
	}
	if total > most {
		return nil, &InputError{"the times together are longer than 20 years"}
	}
	if err := s.sort(); err != nil {
		return nil, err
	}
	for _, j := range slices.Backward(s.topo) {
		s.tails[j] = p.Jobs[j].Tail
		for _, l := range s.next[j] {
			s.tails[j] = max(s.tails[j], s.lag(j, l)+p.Jobs[l.Job].Work+s.tails[l.Job])
		}
	}
	return s, nil
}

// lag is how long after the end of a job a later one may start at the earliest. Of a job that goes on over sessions nobody knows how long it
// takes: then a time from its start says nothing.
func (s *solver) lag(j int, l Lag) int {
	switch {
	case !l.Start:
		return l.Min
	case s.Jobs[j].Split:
		return 0
	}
	return max(0, l.Min-s.Jobs[j].Work)
}

// sort puts the jobs in an order that keeps what must come before, of several the one that stands first.
func (s *solver) sort() error {
	n := len(s.Jobs)
	wait := make([]int, n)
	for j := range s.Jobs {
		wait[j] = len(s.Jobs[j].After)
	}
	var free []int
	for j := range n {
		if wait[j] == 0 {
			free = append(free, j)
		}
	}
	for len(free) > 0 {
		j := free[0]
		free = free[1:]
		s.topo = append(s.topo, j)
		for _, l := range s.next[j] {
			if wait[l.Job]--; wait[l.Job] == 0 {
				free = append(free, l.Job)
			}
		}
	}
	if len(s.topo) == n {
		return nil
	}
	at := slices.IndexFunc(wait, func(w int) bool { return w > 0 })
	seen := map[int]int{}
	var path []int
	for {
		if i, ok := seen[at]; ok {
			c := path[i:]
			slices.Reverse(c)
			return &CycleError{c}
		}
		seen[at] = len(path)
		path = append(path, at)
		for _, l := range s.Jobs[at].After {
			if wait[l.Job] > 0 {
				at = l.Job
				break
			}
		}
	}
}

// leastSessions is a bound on the number of sessions.
func (s *solver) leastSessions() int { return (s.work + s.cal.longest - 1) / s.cal.longest }
