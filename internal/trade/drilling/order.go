package drilling

import (
	"cmp"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/solve/tour"
)

// stop is one operation waiting for its place in the order.
type stop struct {
	hole int // index of the way
	op   *op
}

func (s stop) at() geom.Vec2 { return s.op.pts[0] }

// session is all that one tool does, without changing it and without turning the sheet.
type session struct {
	tool  tool
	back  bool
	phase int
	bit   catalog.Bit // the largest one used, for step drills
	stops []stop
}

// phase orders tools so that every operation comes after those that it needs: pilots, then drills from small to large
// (what opens a hole on the way to its size is smaller than the size), then step drills, Forstner bits, hole saws, spades, which
// only ever follow a pilot; then the coping saw from hole to hole, then the file.
func (w *work) phase(b catalog.Bit) int {
	switch {
	case b.Name == theFile.Name && b.Kind == "":
		return 7
	case b.Kind == "":
		return 6
	case w.pilot.Kind != "" && toolOf(b) == toolOf(w.pilot):
		return 0
	}
	switch b.Kind {
	case catalog.Twist, catalog.BradPoint:
		return 1
	case catalog.Step:
		return 2
	case catalog.Forstner:
		return 3
	case catalog.HoleSaw:
		return 4
	}
	return 5
}

// sessions groups operations by tool. Within a session they stand in reading order.
func (w *work) sessions(ways []way) []session {
	var ss []session
	type slot struct {
		tool tool
		back bool
	}
	where := map[slot]int{}
	for i := range ways {
		for k := range ways[i].ops {
			o := &ways[i].ops[k]
			id := slot{toolOf(o.bit), o.back}
			at, ok := where[id]
			if !ok {
				at = len(ss)
				where[id] = at
				ss = append(ss, session{tool: id.tool, back: o.back, phase: w.phase(o.bit), bit: o.bit})
			}
			ss[at].stops = append(ss[at].stops, stop{i, o})
			if o.bit.Diameter > ss[at].bit.Diameter {
				ss[at].bit = o.bit
			}
		}
	}
	slices.SortStableFunc(ss, func(a, b session) int {
		front := 0
		if a.back != b.back {
			front = 1
			if b.back {
				front = -1
			}
		}
		return cmp.Or(cmp.Compare(a.phase, b.phase), cmp.Compare(a.bit.Diameter, b.bit.Diameter), cmp.Compare(a.tool.kind, b.tool.kind),
			cmp.Compare(a.tool.name, b.tool.name), front)
	})
	return ss
}

// schedule puts all operations in order: tool by tool, and when walked for each tool the shortest walk
// that could be found.
func (w *work) schedule(r *Result, ways []way, walked bool) {
	ss := w.sessions(ways)
	drilled := len(ss)
	for drilled > 0 && ss[drilled-1].phase >= 6 {
		drilled--
	}
	if walked {
		r.Walk, r.WalkBound = walk(ss[:drilled])
	}

	for _, s := range ss {
		u := BitUse{Bit: s.bit}
		for _, st := range s.stops {
			o := st.op
			j := Job{
				N: len(r.Jobs) + 1, Hole: st.hole + 1, Cut: ways[st.hole].cut, Do: o.do, Bit: o.bit, At: panel.Pt{Vec2: o.pts[0]},
				Depth: o.depth, Back: o.back, Both: o.both, Last: o.last, Say: o.say(),
			}
			if o.do == "chain" {
				for _, q := range o.pts {
					j.Points = append(j.Points, panel.Pt{Vec2: q})
				}
			}
			if o.bit.Kind != "" {
				j.RPMLow, j.RPMHigh = rpm(w.p.Stack.Sheet.Kind, o.bit, w.p.Limits)
				if u.RPMHigh == 0 || j.RPMHigh < u.RPMHigh {
					u.RPMLow, u.RPMHigh = j.RPMLow, j.RPMHigh
				}
			}
			u.Jobs = append(u.Jobs, j.N)
			r.Jobs = append(r.Jobs, j)
		}
		u.Name, u.Why = w.use(s)
		if n := len(r.Bits); n > 0 && toolOf(r.Bits[n-1].Bit) == s.tool { // the same bit again, from the other side
			last := &r.Bits[n-1]
			last.Jobs = append(last.Jobs, u.Jobs...)
			last.Why += " " + u.Why
			if u.RPMHigh < last.RPMHigh {
				last.RPMLow, last.RPMHigh = u.RPMLow, u.RPMHigh
			}
			continue
		}
		r.Bits = append(r.Bits, u)
	}
	n := 0
	for _, u := range r.Bits {
		if u.Bit.Kind != "" {
			n++
		}
	}
	r.Order = w.orderSaid(n)
}

// use names a tool and says what it does here.
func (w *work) use(s session) (name, why string) {
	name = called(s.bit)
	if s.bit.Kind == catalog.Step {
		if own := strings.TrimSpace(strings.TrimPrefix(s.bit.Name, "step")); own != "" {
			name = "step drill " + own
		}
	}
	did := map[string]int{}
	for _, st := range s.stops {
		n := 1
		if st.op.do == "chain" {
			n = len(st.op.pts)
		}
		did[st.op.do] += n
	}
	var parts []string
	for _, d := range [...]struct{ do, one, many string }{
		{"pilot", "pilot", "pilots"}, {"drill", "hole", "holes"}, {"step", "hole", "holes"}, {"bore", "hole", "holes"}, {"chain", "chain hole", "chain holes"},
		{"file", "opening", "openings"}, {"saw", "opening", "openings"},
	} {
		if n := did[d.do]; n > 0 {
			parts = append(parts, itoa(n)+" "+verb(n, d.one, d.many))
		}
	}
	why = finding.Capital(list(parts))
	if s.back {
		why += " from the back"
	}
	return name, why + "."
}

const (
	together = 900  // stops for which all walks are chosen together
	atOnce   = 1000 // stops of one bit for which one walk is sought
)

// walk puts the stops of each session in a short order and gives the length of the whole walk from the datum corner, and a
// lower bound on it. It never makes a walk longer than reading order.
func walk(ss []session) (length, bound float64) {
	n := 0
	for _, s := range ss {
		n += len(s.stops)
	}
	if n == 0 {
		return 0, 0
	}
	read := measure(ss)
	before := make([][]stop, len(ss))
	for i := range ss {
		before[i] = slices.Clone(ss[i].stops)
	}
	if n <= together {
		bound = walkTogether(ss, n)
	} else {
		walkApart(ss)
	}
	length = measure(ss)
	if length > read {
		for i := range ss {
			ss[i].stops = before[i]
		}
		length = read
	}
	return length, min(bound, length)
}

// measure is the walk from the datum corner through all stops in order.
func measure(ss []session) float64 {
	at, sum := geom.Vec2{}, 0.0
	for _, s := range ss {
		for _, st := range s.stops {
			sum += st.at().Sub(at).Len()
			at = st.at()
		}
	}
	return sum
}

// walkTogether chooses the walks of all sessions together.
func walkTogether(ss []session, n int) (bound float64) {
	points := make([]tour.Point, 1, n+1) // item 0 is the datum corner
	stops := make([]stop, 1, n+1)
	groups := make([][]int, len(ss))
	for i, s := range ss {
		for _, st := range s.stops {
			groups[i] = append(groups[i], len(points))
			points, stops = append(points, tour.Point(st.at())), append(stops, st)
		}
	}
	p, err := tour.Clustered(groups, tour.Euclid(points), 0, tour.GivenOrder)
	if err != nil {
		return 0
	}
	r := p.Solve(tour.Usual)
	next := 1
	for i := range ss {
		for k := range ss[i].stops {
			ss[i].stops[k] = stops[r.Order[next]]
			next++
		}
	}
	if r.Exact {
		return r.Length
	}
	return p.LowerBound(300)
}

// walkApart walks session by session, and very large ones in several pieces, each from where the last one ended.
func walkApart(ss []session) {
	at := geom.Vec2{}
	for i := range ss {
		for piece := range slices.Chunk(ss[i].stops, atOnce) {
			points := []tour.Point{tour.Point(at)}
			for _, st := range piece {
				points = append(points, tour.Point(st.at()))
			}
			p, err := tour.Open(len(points), tour.Euclid(points), 0, tour.Free)
			if err != nil {
				continue
			}
			old := slices.Clone(piece)
			for k, item := range p.Solve(tour.Usual).Order[1:] {
				piece[k] = old[item-1]
			}
			at = piece[len(piece)-1].at()
		}
	}
}
