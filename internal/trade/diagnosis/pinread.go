package diagnosis

import (
	"math"
	"slices"

	"knobwright/internal/trade/wiring"
)

// level turns a voltage into what a pin reads.
func level(v, low, high float64) int8 {
	switch {
	case math.IsNaN(v):
		return wild
	case v <= low:
		return closed
	case v >= high:
		return open
	}
	return between
}

// readAll reads bits and axes.
func (w *network) readAll(r *reading) {
	c := w.c
	crossings := false
	for i, o := range w.z.obs {
		if int(o) >= c.bits {
			r.axes[i] = w.axis(int(o) - c.bits)
			continue
		}
		b := &c.in.Firmware.Bits[o]
		switch b.Way {
		case wiring.Waits:
		case wiring.Matrix:
			crossings = true
		case wiring.Ladder:
			v := w.volt(c.id[b.Pin]) / c.logic
			if n := w.on(c.id[b.Pin]); n >= 0 && w.burnt[n] {
				r.bits[i] = burnt
				continue
			}
			switch {
			case math.IsNaN(v):
				r.bits[i] = wild
			case v > 0 && b.Above == 0 && v*65535 <= float64(b.UpTo), v*65535 > float64(b.Above) && v*65535 <= float64(b.UpTo), v == 0 && b.Above == 0:
				r.bits[i] = closed
			}
		default:
			r.bits[i] = w.digital(c.id[b.Pin], b.Pin.Of)
		}
	}
	if crossings {
		w.matrix(r)
	}
}

func (w *network) volt(t int32) float64 {
	n := w.on(t)
	if n < 0 {
		return math.NaN()
	}
	w.solve(n)
	return w.volts[n]
}

// digital reads a pin.
func (w *network) digital(t int32, of string) int8 {
	c := w.c
	low, high := c.low, c.high
	for i, b := range w.z.boards {
		s := &c.boards[b]
		if s.name == of && s.role == "expander" && !w.works[i] {
			return open // one that does not answer counts as open
		}
		if s.role != "shift-in" {
			continue
		}
		switch place := w.placeOf(of); {
		case place < s.chain:
		case w.still[i] && len(s.lines) > 0: // without a clock it shows its last line again and again, also in place of those behind it
			t = s.lines[len(s.lines)-1]
			of = s.name
		case !w.shifts(s, i):
			return wild
		}
	}
	if of != c.module {
		for i := range c.in.Wiring.Boards {
			if b := &c.in.Wiring.Boards[i]; b.Name == of {
				low, high = b.Part.Board.Low, b.Part.Board.High
			}
		}
	}
	n := w.on(t)
	switch {
	case n >= 0 && w.burnt[n]:
		return burnt
	case n >= 0 && w.busy[n]:
		return vague
	}
	return level(w.volt(t), low, high)
}

// placeOf gives where a shift-in board stands in its chain, -1 for any other board.
func (w *network) placeOf(of string) int {
	for k := range w.c.boards {
		if w.c.boards[k].name == of && w.c.boards[k].role == "shift-in" {
			return w.c.boards[k].chain
		}
	}
	return -1
}

// shifts reports whether a board of the chain works and hands on what it holds.
func (w *network) shifts(s *boardState, i int) bool {
	c := w.c
	if !w.works[i] {
		return false
	}
	to := s.data
	for k := range c.boards {
		if c.boards[k].role == "shift-in" && c.boards[k].chain == s.chain-1 {
			to = c.boards[k].in
		}
	}
	a, b := w.on(s.out), w.on(to)
	return a < 0 || b < 0 || a == b && !w.is[a]
}

// axis reads a voltage, as a part of the whole.
func (w *network) axis(k int) float64 {
	c := w.c
	r := &c.in.Firmware.Readings[k]
	pin := c.id[r.Pin]
	if r.Line.Zero() {
		if n := w.on(pin); n >= 0 && w.busy[n] {
			return wildAxis
		}
		return w.volt(pin) / c.logic
	}
	for i, b := range w.z.boards {
		s := &c.boards[b]
		if s.name != r.Line.Of {
			continue
		}
		line := slices.Index(s.lines, c.id[r.Line])
		got, loose := 0, -1
		for bit, t := range s.selects {
			n, d := w.on(t), int32(-1)
			for q, m := range s.drives { // which of the module's select pins it hangs on
				if x := w.on(m); x >= 0 && x == n {
					d = int32(q)
				}
			}
			switch {
			case n >= 0 && w.is[n]:
				if w.fixed[n] > 1 {
					got |= 1 << bit
				}
			case d >= 0:
				if line>>d&1 == 1 {
					got |= 1 << bit
				}
			case loose >= 0:
				return wildAxis
			default:
				loose = 1 << bit
			}
		}
		on := w.works[i]
		for _, t := range s.low {
			n := w.on(t)
			on = on && n >= 0 && w.is[n] && w.fixed[n] == 0
		}
		a, p := w.on(s.out), w.on(pin)
		if p >= 0 && w.is[p] {
			return w.fixed[p] / c.logic
		}
		if !on || got >= len(s.lines) {
			return wildAxis
		}
		if a != p {
			return w.volt(pin) / c.logic
		}
		v := w.volt(s.lines[got])
		if loose >= 0 && got|loose < len(s.lines) { // a select that nothing holds: one line or the other
			switch o := w.volt(s.lines[got|loose]); {
			case math.IsNaN(v) || math.IsNaN(o):
				return wildAxis
			case math.Abs(v-o) > 0.02:
				return flipsAxis
			}
		}
		if h := w.volts[p]; !math.IsNaN(h) && a == p { // something else holds the common too
			return h / c.logic
		}
		return v / c.logic
	}
	return wildAxis
}

// matrix reads the crossings: each line is pulled low in turn.
func (w *network) matrix(r *reading) {
	c := w.c
	base := *w
	for _, d := range c.drive {
		n := w.on(d)
		if n < 0 {
			continue
		}
		run := base
		run.is, run.fixed = slices.Clone(base.is), slices.Clone(base.fixed)
		run.volts, run.done = make([]float64, base.n), make([]bool, base.n)
		run.parts = slices.Clone(base.parts)
		run.mark = make([]bool, len(base.parts))
		held := run.is[n]
		if !held {
			run.is[n], run.fixed[n] = true, 0
		}
		for i := range run.volts {
			run.volts[i] = math.NaN()
			if run.is[i] {
				run.volts[i], run.done[i] = run.fixed[i], true
			}
		}
		for i, o := range w.z.obs {
			if int(o) >= c.bits {
				continue
			}
			b := &c.in.Firmware.Bits[o]
			if b.Way != wiring.Matrix || c.id[b.Drive] != d {
				continue
			}
			r.bits[i] = run.digital(c.id[b.Pin], b.Pin.Of)
		}
	}
}
