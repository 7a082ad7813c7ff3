package wiring

import (
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/solve/assign"
)

// What a plan pays for leads that cross on their straight way, mm each, and how many assignments the search for places of ribbons may
// solve.
const (
	payCross    = 10
	ribbonSteps = 400
	shakes      = 3 // the descent alone leaves few crossings; more tries hardly find better
)

// ribbonGap is how far apart two pins may be that count as side by side: one other pin may lie between. mm
const ribbonGap = 5.2

// polish goes over the plan once more, board by board: leads from one body come to pins side by side in the order of its lugs, so that they
// can be one ribbon, and leads cross less. Nothing comes to a pin that costs so much more that the leads would be better off apart.
func (w *worker) polish() {
	for b := range w.r.Boards {
		if !w.r.Boards[b].Added { // it lies nowhere yet
			w.polishBoard(b)
		}
	}
	p := &w.r.Plan
	taken := map[Terminal]bool{}
	for _, s := range p.Seats {
		taken[s.Pin] = true
	}
	p.Free = nil
	for _, l := range w.lines {
		if !taken[l.term] && l.pin.Avoid < 2 && !w.free[l.term] {
			p.Free = append(p.Free, l.term)
		}
	}
}

func (w *worker) polishBoard(board int) {
	p := &w.r.Plan
	var rows, columns []int // signals on lines of the board, and those lines
	column := map[Terminal]int{}
	for j := range w.lines {
		if w.lines[j].has && w.lines[j].board == board {
			column[w.lines[j].term] = len(columns)
			columns = append(columns, j)
		}
	}
	before := 0.0
	at := map[int]int{}
	for i := range p.Seats {
		c, ok := column[p.Seats[i].Pin]
		if !ok || w.cross[i] != nil {
			continue
		}
		at[i] = len(rows)
		rows = append(rows, i)
		before += w.costs(i)[columns[c]]
	}
	if len(rows) < 2 || len(columns) > 80 {
		return
	}
	q := assign.Arrangement{Steps: ribbonSteps, Shakes: shakes, Lines: w.pinLines(columns)}
	from := make([][]geom.Vec2, len(rows))
	for k, i := range rows {
		all := w.costs(i)
		cost := make([]float64, len(columns))
		from[k] = make([]geom.Vec2, len(columns))
		ends := w.endsOf(&w.wants[i])
		for c, j := range columns {
			cost[c] = all[j]
			from[k][c] = nearest(ends, w.lines[j].at)
		}
		q.Cost = append(q.Cost, cost)
	}
	to := make([]geom.Vec2, len(columns))
	for c, j := range columns {
		to[c] = w.lines[j].at.XY()
	}
	n := len(rows) * len(columns)
	var known []uint8 // what was asked before: 1 no, 2 yes
	if n*n <= 1<<21 {
		known = make([]uint8, n*n)
	}
	q.Disturb = func(r1, c1, r2, c2 int) float64 {
		k := (r1*len(columns)+c1)*n + r2*len(columns) + c2
		if known != nil && known[k] != 0 {
			return payCross * float64(known[k]-1)
		}
		crossing := cross(from[r1][c1], to[c1], from[r2][c2], to[c2])
		if known != nil {
			known[k] = 1
			if crossing {
				known[k] = 2
			}
		}
		if crossing {
			return payCross
		}
		return 0
	}
	q.Ribbons = w.ribbons(at)
	plan, err := assign.Arrange(q)
	for err != nil && len(q.Ribbons) > 0 { // the longest finds no room
		longest := 0
		for k := range q.Ribbons {
			if len(q.Ribbons[k].Rows) > len(q.Ribbons[longest].Rows) {
				longest = k
			}
		}
		q.Ribbons = slices.Delete(q.Ribbons, longest, longest+1)
		plan, err = assign.Arrange(q)
	}
	if err != nil {
		return
	}
	together := map[int]bool{}
	for _, r := range q.Ribbons {
		for _, k := range r.Rows {
			together[rows[k]] = true
		}
	}
	for k, i := range rows {
		l := &w.lines[columns[plan.Column[k]]]
		s := &p.Seats[i]
		s.Pin, s.Way = l.term, w.wayOf(l)
		s.Why = w.why(i, l)
		if together[i] && !s.Fixed {
			s.Why = tidy(s.Why, w.besides(i))
		}
	}
	p.Cost += plan.Cost - before
}

func (w *worker) besides(i int) string {
	if w.r.Signals[i].Device < 0 {
		return "beside the other lines of its bus"
	}
	return "beside the other leads of its body"
}

func tidy(why, more string) string {
	if why == "" || why == "short lead" {
		return more
	}
	return why + "; " + more
}

// ribbons lists the leads that may lie side by side: those of each body in the order of its contacts, and the lines of each bus.
func (w *worker) ribbons(at map[int]int) []assign.Ribbon {
	var out []assign.Ribbon
	by := map[string]int{}
	for i, s := range w.r.Signals {
		k, ok := at[i]
		if !ok || !s.Asked.Zero() {
			continue
		}
		key := ""
		switch x := &w.wants[i]; {
		case s.Device >= 0 && (s.Kind == SigContact || s.Kind == SigPhase || s.Kind == SigWiper):
			key = w.r.Devices[s.Device].Control.Name + "/" + string(s.Kind)
		case x.busLine != "":
			key = "i2c " + itoa(x.busNo)
		case x.bus != "" || x.shared && s.Kind == SigDrive:
			key = string(s.Kind)
		default:
			continue
		}
		r, ok := by[key]
		if !ok {
			r = len(out)
			by[key] = r
			out = append(out, assign.Ribbon{})
		}
		out[r].Rows = append(out[r].Rows, k)
	}
	return slices.DeleteFunc(out, func(r assign.Ribbon) bool { return len(r.Rows) < 2 })
}

// pinLines lists the pins of a board that lie side by side.
func (w *worker) pinLines(columns []int) [][]int {
	var out [][]int
	last := -1
	for c, j := range columns {
		l := &w.lines[j]
		if last >= 0 && l.at.Sub(w.lines[columns[last]].at).Len() <= ribbonGap {
			out[len(out)-1] = append(out[len(out)-1], c)
		} else {
			out = append(out, []int{c})
		}
		last = c
	}
	return out
}

func nearest(ends []geom.Vec3, to geom.Vec3) geom.Vec2 {
	best, d := to, math.Inf(1)
	for _, e := range ends {
		if x := e.Sub(to).Len(); x < d {
			best, d = e, x
		}
	}
	return best.XY()
}

// cross reports whether two stretches cross, seen from above; to meet at an end is not to cross.
func cross(a, b, c, d geom.Vec2) bool {
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) || max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return false
	}
	const least = 1e-9
	abx, aby, cdx, cdy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	c1, d1 := abx*(c.Y-a.Y)-aby*(c.X-a.X), abx*(d.Y-a.Y)-aby*(d.X-a.X)
	if c1*d1 >= -least {
		return false
	}
	return (cdx*(a.Y-c.Y)-cdy*(a.X-c.X))*(cdx*(b.Y-c.Y)-cdy*(b.X-c.X)) < -least
}
