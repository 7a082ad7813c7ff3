package wiring

import "knobwright/internal/geom"

// seatBuses tries the buses of the module for the lines that must lie on one, and keeps the cheapest.
func (w *worker) seatBuses() {
	ids := w.buses()
	if w.busCount == 0 || len(ids) == 0 {
		w.seats()
		return
	}
	var tries [][]string
	for i, a := range ids {
		if w.busCount == 1 {
			tries = append(tries, []string{a})
			continue
		}
		for j, b := range ids {
			if i != j {
				tries = append(tries, []string{a, b})
			}
		}
	}
	if len(tries) == 0 {
		tries = [][]string{ids}
	}
	var best Plan
	var is []string
	for k, t := range tries {
		w.busNeeds(t)
		w.r.Plan = Plan{}
		w.seats()
		a, b := waiting(&w.r.Plan), waiting(&best)
		if k == 0 || a < b || a == b && w.r.Plan.Cost < best.Cost-1e-9 {
			best, is = w.r.Plan, t
		}
		if w.quick && waiting(&best) == 0 {
			break // one way or the other makes no difference to what is weighed
		}
	}
	w.busNeeds(is)
	w.r.Plan = best
}

// busNeeds says which buses of the module the lines of the I2C buses want.
func (w *worker) busNeeds(ids []string) {
	for i := range w.wants {
		x := &w.wants[i]
		if x.busLine != "" && x.busNo < len(ids) {
			w.r.Signals[i].Needs = []string{x.busLine + ids[x.busNo]}
		}
	}
}

// waiting counts the signals without a seat.
func waiting(p *Plan) int {
	n := 0
	for _, s := range p.Seats {
		if s.Way == Waits {
			n++
		}
	}
	return n
}

// centre finds the middle of the module.
func (w *worker) centre() {
	w.middle, w.placed = geom.Vec3{}, false
	n := 0
	for i := range w.lines {
		if l := &w.lines[i]; l.board == w.module && l.has {
			w.middle = w.middle.Add(l.at)
			n++
		}
	}
	if n > 0 {
		w.middle, w.placed = w.middle.Mul(1/float64(n)), true
	}
}

// joinLeads says what each lead leads to, and puts resistors before the lamps.
func (w *worker) joinLeads() {
	w.leads = make([][]Terminal, len(w.r.Signals))
	fed := map[int]bool{}
	for _, l := range w.lit {
		if l.signal >= 0 {
			fed[l.signal] = true
		}
	}
	for i := range w.r.Signals {
		s, x := &w.r.Signals[i], &w.wants[i]
		switch {
		case x.control == nil:
			w.leads[i] = x.ends
		case fed[i]:
		default:
			w.leads[i] = []Terminal{{x.control.Name, s.Lug}}
		}
		if s.Kind == SigContact && w.cross[i] == nil {
			w.join(netGround, Terminal{x.control.Name, x.common})
		}
	}
	w.resistors()
	w.chainShift()
}

// chainShift joins each shift-in board to the one before it.
func (w *worker) chainShift() {
	out, in := w.boardPins(roleShiftIn, "data-out"), w.boardPins(roleShiftIn, "data-in")
	for k := 1; k < len(out) && k-1 < len(in); k++ {
		w.inner = append(w.inner, Net{Name: "data from shift-in board " + itoa(k+1), Kind: NetBus, Signal: -1, Terms: []Terminal{in[k-1], out[k]}})
	}
}
