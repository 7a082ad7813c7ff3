package wiring

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/solve/assign"
)

// What a plan pays beside the length of its leads, mm.
const (
	payAvoid  = 2000 // a pin kept for last: boot, lamp, serial port
	payAnalog = 300  // a pin that could read a voltage, taken by what does not need that
	paySlow   = 400  // a phase of an encoder on a pin that cannot interrupt
	payBoard  = 60   // a lead to a further board that has no place yet, beyond the way to the module
)

// farthest is how long a lead can be, mm; beyond it a place makes no sense.
const farthest = 1e7

// seats gives every signal of the plan that wants a pin of its own one of the lines, at least total cost.
func (w *worker) seats() {
	n := len(w.r.Signals)
	seats := make([]Seat, n)
	var rows []int
	for i := range seats {
		seats[i] = Seat{Row: -1, Column: -1}
		if w.cross[i] != nil {
			seats[i] = *w.cross[i]
			continue
		}
		rows = append(rows, i)
	}
	w.r.Plan.Seats, w.r.Plan.Short, w.r.Plan.Free = seats, nil, nil
	if len(w.lines) == 0 || len(rows) == 0 {
		w.r.Plan.Partial = len(rows) > 0
		return
	}
	cost := make([][]float64, len(rows))
	weight := make([]int, len(rows))
	for k, i := range rows {
		cost[k] = w.costs(i)
		weight[k] = 1
		if w.wants[i].heavy {
			weight[k] = 50
		}
	}
	a, err := assign.SolveWeighted(cost, weight)
	if err != nil { // costs are lengths, so this cannot be; nothing is placed then
		w.r.Plan.Partial = true
		return
	}
	taken := map[Terminal]bool{}
	for k, i := range rows {
		j := a.Column[k]
		if j == assign.None {
			w.r.Plan.Partial = true
			continue
		}
		l := &w.lines[j]
		seats[i].Pin, seats[i].Way, seats[i].Fixed = l.term, w.wayOf(l), l.term == w.r.Signals[i].Asked
		seats[i].Why = w.why(i, l)
		taken[l.term] = true
	}
	w.r.Plan.Cost = a.Cost
	var bound float64
	for _, u := range a.U {
		bound += u.Cost
	}
	for _, v := range a.V {
		bound += v.Cost
	}
	w.r.Plan.Bound = bound
	if a.Short != nil {
		w.r.Plan.Short = append(w.r.Plan.Short, w.shortage(rows, a.Short))
	}
	for _, l := range w.lines {
		if !taken[l.term] && l.pin.Avoid < 2 && !w.free[l.term] {
			w.r.Plan.Free = append(w.r.Plan.Free, l.term)
		}
	}
}

// wayOf says how a lead reaches the module over a line.
func (w *worker) wayOf(l *line) Way {
	switch w.r.Boards[l.board].Part.Board.Role {
	case roleExpander:
		return Expander
	case roleShiftIn:
		return ShiftIn
	case roleAnalogIn:
		return AnalogIn
	}
	return Direct
}

// costs gives what each line costs for a signal.
func (w *worker) costs(i int) []float64 {
	s, x := &w.r.Signals[i], &w.wants[i]
	out := make([]float64, len(w.lines))
	ends := w.endsOf(x)
	for j := range w.lines {
		out[j] = w.cost(s, x, ends, &w.lines[j])
	}
	return out
}

func (w *worker) endsOf(x *want) []geom.Vec3 {
	var ends []geom.Vec3
	for _, t := range x.ends {
		if v, ok := w.at(t); ok {
			ends = append(ends, v)
		}
	}
	return ends
}

func (w *worker) cost(s *Signal, x *want, ends []geom.Vec3, l *line) float64 {
	no := math.Inf(1)
	if !s.Asked.Zero() && s.Asked != l.term {
		return no
	}
	if s.Asked.Zero() && (w.free[l.term] || l.pin.Avoid > 1) || w.refuses(l, s) != "" {
		return no
	}
	way := w.wayOf(l)
	if x.shared && way != Direct {
		return no
	}
	if s.Asked.Zero() {
		if x.via != "" && way != x.via {
			return no
		}
	}
	c := 0.0
	at, has := l.at, l.has
	if !has && way != Direct { // beside the module
		at, has = w.middle, w.placed
		c += payBoard
	}
	if has && len(ends) > 0 {
		d := no
		for _, e := range ends {
			d = min(d, e.Sub(at).Len())
		}
		if d < farthest { // lengths that make no sense do not count
			c += d
		}
	}
	if l.pin.Avoid > 0 && (way == Direct || s.Kind == SigContact) {
		c += payAvoid
	}
	if way == Direct {
		if slices.Contains(l.pin.Can, "analog") && !slices.Contains(s.Needs, "analog") {
			c += payAnalog
		}
		if s.Kind == SigPhase && !interrupts(&l.pin) {
			c += paySlow
		}
	}
	return c
}

func interrupts(p *catalog.Pin) bool {
	return slices.Contains(p.Can, "interrupt") || slices.Contains(p.Can, "pin-change")
}

// why says in a few words why a signal got its pin.
func (w *worker) why(i int, l *line) string {
	s := &w.r.Signals[i]
	var parts []string
	switch {
	case s.Asked == l.term:
		return settledWhy
	case slices.Contains(s.Needs, "analog"):
		parts = append(parts, "can read a voltage")
	case s.Kind == SigPhase && interrupts(&l.pin):
		parts = append(parts, "can interrupt, for quick turns")
	case w.wants[i].busLine != "":
		parts = append(parts, "is on the bus")
	}
	switch {
	case l.pin.Avoid > 0 && w.wayOf(l) != Direct && s.Kind != SigContact:
		parts = append(parts, "a line for outputs")
	case l.pin.Avoid > 0:
		parts = append(parts, "kept for last: "+or(l.pin.Duty, "has another duty"))
	case w.wayOf(l) == Direct && slices.Contains(l.pin.Can, "analog") && !slices.Contains(s.Needs, "analog"):
		parts = append(parts, "could read a voltage, but no other was left")
	}
	if len(parts) == 0 {
		if !l.has {
			return "next in order"
		}
		return "short lead"
	}
	return strings.Join(parts, "; ")
}

// shortage puts a smallest set of competing signals into words.
func (w *worker) shortage(rows []int, sh *assign.Shortage) Shortage {
	var out Shortage
	var names []string
	for _, k := range sh.Rows {
		out.Signals = append(out.Signals, rows[k])
		names = append(names, w.r.Signals[rows[k]].Label)
	}
	for _, j := range sh.Columns {
		out.Pins = append(out.Pins, w.lines[j].term)
	}
	what := "that can take them"
	switch w.needOf(out.Signals) {
	case "analog":
		what = "that can read a voltage"
	case "digital":
		what = "left for them"
	}
	switch n := len(out.Pins); n {
	case 0:
		out.Say = several(names) + map[bool]string{true: " wants", false: " want"}[len(names) == 1] + " a pin, and there is none " + what + "."
	case 1:
		out.Say = several(names) + " want " + plural(len(names), "pin") + ", and there is 1 " + what + w.pinList(out.Pins) + "."
	default:
		out.Say = several(names) + " want " + plural(len(names), "pin") + ", and there are " + itoa(n) + " " + what + w.pinList(out.Pins) + "."
	}
	if more := len(sh.Confined); more > len(names) {
		out.Say += " In all " + itoa(more) + " leads can have nothing else: " + itoa(sh.Short) + " too few."
	}
	return out
}

func (w *worker) pinList(pins []Terminal) string {
	if len(pins) > 6 {
		return ""
	}
	var names []string
	for _, t := range pins {
		n := w.sayPin(t)
		names = append(names, strings.TrimPrefix(n, "pin "))
	}
	return ": " + list(names)
}

// needOf gives the one ability that all of the signals want; "" when they differ.
func (w *worker) needOf(signals []int) string {
	need := ""
	for _, i := range signals {
		n := strings.Join(w.r.Signals[i].Needs, " ")
		if need != "" && n != need {
			return ""
		}
		need = n
	}
	return need
}
