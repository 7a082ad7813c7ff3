package firmware

import (
	"math"

	core "knobwright/firmware"

	"knobwright/internal/project"
)

func turnRange(a *project.Asked) (lo, hi int) {
	if a.Mode == "relative" {
		return -127, 127
	}
	if r := a.Range; r != nil && r[0] < r[1] && r[0] >= math.MinInt16 && r[1] <= math.MaxInt16 {
		return r[0], r[1]
	}
	return 0, 255
}

func turnStep(a *project.Asked) int {
	if a.Step == 0 {
		return 1
	}
	return a.Step
}

// stepsOf gives how many states of the contacts one click passes, and in which states the shaft rests. An encoder without clicks counts
// as if it clicked once a pulse.
func stepsOf(pulses, detents int) (steps, rest uint8, ok bool) {
	per := 4
	if detents > 0 && pulses > 0 {
		if 4*pulses%detents != 0 {
			return 4, 1, false
		}
		per = 4 * pulses / detents
	}
	switch per {
	case 1:
		return 1, 15, true
	case 2:
		return 2, 9, true // both open, both closed
	case 4:
		return 4, 1, true // both open
	}
	return 4, 1, false
}

// emitTurn makes an encoder. Turned to the right, A closes before B, as usual; the core counts up the other way round, so that it is told
// to reverse. Whoever finds it the other way writes reverse: yes.
func (w *worker) emitTurn(x *piece) {
	w.midi(&x.does, x)
	w.midi(&x.left, x)
	raws := w.raws(x)
	if len(raws) != 2 || x.does.Kind == project.None && (x.left.Zero() || x.left.Kind == project.None) {
		return
	}
	part := &x.c.Part
	a, b := raws[0], raws[1]
	if dev := &w.w.Devices[x.dev]; part.Circuit.Contacts[dev.Contact[0]].Phase == "B" {
		a, b = b, a
	}
	steps, rest, ok := stepsOf(part.Pulses, part.Detents)
	if !ok {
		w.cannot(x.c, x.asked.Pos("turn"), x.label+" has "+itoa(part.Pulses)+" pulses and "+itoa(part.Detents)+" clicks a turn; a click must be a quarter, a half or a whole pulse.", "Count both on yours, and write them under adjust:. One click a pulse is taken.")
	}
	e := core.Encoder{A: uint8(a), B: uint8(b), Rest: rest, Steps: steps, Reverse: !x.asked.Reverse, Up: core.No, Down: core.No, Bit: core.None}
	if x.does.Kind == project.AxisDeed {
		lo, hi := turnRange(x.asked)
		e.Kind = core.Stops
		switch {
		case x.asked.Mode == "relative":
			e.Kind = core.Relative
		case x.asked.Wrap:
			e.Kind = core.Wraps
		}
		e.Min, e.Max, e.Step, e.Start = int16(lo), int16(hi), int16(turnStep(x.asked)), int16(lo+(hi-lo)/2)
		if s := x.asked.Start; s != nil && *s >= lo && *s <= hi {
			e.Start = int16(*s)
		}
		p := w.layout.axisAt[&x.does]
		e.Bit, e.Width = w.layout.row(p), uint8(p.Width)
	} else {
		turns := []*project.Deed{&x.does, &x.left}
		for k, d := range turns {
			to := []*uint8{&e.Up, &e.Down}[k]
			set := w.layout.bitsOf(d)
			switch {
			case len(set) == 1:
				*to = uint8(w.pulse(set[0], uint16(w.ticks(w.pulseMS(x), 65535)), uint16(w.ticks(w.gapMS(x), 65535))))
			case len(set) > 1 || d.Kind == project.Macro:
				w.lack(x.c, d.Pos, "sends "+d.String()+" with each click", "A click sends one key or button: take one without ctrl, shift, alt, such as f13, and let the program on the computer do the rest.")
			}
		}
		if e.Up == core.No && e.Down == core.No {
			return
		}
		if e.Up == core.No || e.Down == core.No { // the core wants both: the other way pulses a bit that nothing has
			e.Up, e.Down = w.spare(e.Up), w.spare(e.Down)
		}
	}
	w.r.Table.Encoders = append(w.r.Table.Encoders, e)
}

// spare gives a pulse that stays without effect in place of none: it lies in the fill of a report, if there is any.
func (w *worker) spare(pulse uint8) uint8 {
	if pulse != core.No {
		return pulse
	}
	for _, r := range w.layout.reports {
		if r.Output {
			continue
		}
		if bit, ok := w.fillBit(r); ok {
			return uint8(w.pulse(bit, 1, 1))
		}
	}
	return core.No
}

// fillBit finds a bit of an input report that no field but fill uses.
func (w *worker) fillBit(r core.Report) (uint16, bool) {
	for _, x := range w.layout.desc.Reports {
		if x.ID != r.ID {
			continue
		}
		for i := range x.Fields {
			if f := &x.Fields[i]; f.IsFill() && f.Bits() > 0 {
				return uint16(int(r.Start)*8 + f.Offset), true
			}
		}
	}
	return 0, false
}

// emitTrack makes an axis.
func (w *worker) emitTrack(x *piece) {
	w.midi(&x.does, x)
	if x.does.Kind != project.AxisDeed || len(x.sig) == 0 {
		return
	}
	pin, ok := w.scan.axes[x.sig[0]]
	p := w.layout.axisAt[&x.does]
	if !ok || p.Width == 0 {
		return
	}
	a := x.asked
	part := func(v, usual float64) float64 {
		if v < 0 {
			return usual
		}
		return v
	}
	lo, hi := part(a.LowPart, usualLow), part(a.HighPart, usualHigh)
	dead := part(a.DeadPart, 0)
	mid := part(a.MiddlePart, (lo+hi)/2)
	if x.stick && a.DeadPart < 0 {
		dead = stickDead
	}
	full := func(v float64) uint16 { return uint16(math.Round(v * 65535)) }
	if lo+0.02 > hi {
		w.cannot(x.c, a.Pos("low"), x.label+" cannot read "+percent(lo)+" at its low end and "+percent(hi)+" at its high end.", "The high end reads more. To turn it round, write reverse: yes.")
		lo, hi, mid = usualLow, usualHigh, (usualLow+usualHigh)/2
	}
	middle := a.MiddlePart >= 0 || dead > 0
	if middle && (mid-dead <= lo || mid+dead >= hi) {
		w.cannot(x.c, a.Pos("middle"), "The middle of "+x.label+", "+percent(mid)+" and "+percent(dead)+" to either side, does not lie between its ends.", "Its ends read "+percent(lo)+" and "+percent(hi)+".")
		middle = false
	}
	ax := core.Axis{
		Channel: pin.channel, Filter: usualFilter, Invert: a.Reverse, HasMiddle: middle, Width: uint8(p.Width), Bit: w.layout.row(p),
		Still: full(part(a.StillPart, usualStill)), Lo: full(lo), Hi: full(hi), AtHi: int32(w.fullScale()),
	}
	if middle {
		ax.Mid, ax.Dead = full(mid), full(dead)
	}
	if a.Filter != nil {
		ax.Filter = uint8(*a.Filter)
	}
	n := len(w.r.Table.Axes)
	if ax.Channel == core.No {
		ax.Channel = uint8(0x80 | n)
	}
	w.r.Table.Axes = append(w.r.Table.Axes, ax)
	w.scan.board.Analog = append(w.scan.board.Analog, core.Analog{Axis: byte8(n), Channel: pin.channel, Mux: pin.mux, Line: pin.line})
}

func percent(v float64) string { return itoa(int(math.Round(v*100))) + " %" }
