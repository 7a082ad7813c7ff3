package firmware

import (
	"math"
	mathbits "math/bits"

	core "knobwright/firmware"

	"knobwright/internal/project"
)

// span gives the least and the greatest value of a piece that moves a field. A range that cannot be is judged elsewhere; here the usual one
// stands in its place.
func (x *piece) span() (lo, hi int) {
	a, most := x.asked, 32767
	switch {
	case x.kind == turn && a.Mode == "relative" && x.does.MIDI():
		return -63, 63
	case x.kind == turn && a.Mode == "relative":
		return -127, 127
	case x.does.MIDI():
		lo, hi, most = 0, 127, 127
	case x.coded:
		lo, hi = 0, 1<<len(x.sig)-1
	case x.kind == choose:
		lo, hi = 0, max(1, len(x.sig)-1)
	default:
		lo, hi = 0, 255
	}
	if x.coded {
		if r := a.Range; r != nil && codedRange(*r, len(x.sig), most) {
			return r[0], r[1]
		}
		return lo, hi
	}
	if r := a.Range; r != nil && r[0] < r[1] && r[0] >= -most-1 && r[1] <= most && (r[0] >= 0 || !x.does.MIDI()) {
		return r[0], r[1]
	}
	return lo, hi
}

// codedRange reports whether a switch whose n contacts are the bits of a number can have a range: the contacts set the bits of the value
// themselves, so it is 0 to one less than a power of two.
func codedRange(r [2]int, n, most int) bool {
	return r[0] == 0 && r[1] >= 1<<n-1 && r[1] <= most && r[1]&(r[1]+1) == 0
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
	t := turning{Encoder: e}
	if x.whole() {
		lo, hi := x.span()
		t.Kind = core.Stops
		switch {
		case x.asked.Mode == "relative":
			t.Kind = core.Relative
		case x.asked.Wrap:
			t.Kind = core.Wraps
		}
		t.Min, t.Max, t.Step, t.Start = int16(lo), int16(hi), int16(turnStep(x.asked)), int16(lo+(hi-lo)/2)
		if s := x.asked.Start; s != nil && *s >= lo && *s <= hi {
			t.Start = int16(*s)
		}
		p := w.layout.axisAt[&x.does]
		t.Bit, t.Width = w.layout.row(p), uint8(p.Width)
	} else {
		t.up, t.down = w.action(&x.does, x), w.action(&x.left, x)
		if t.up.n+t.down.n == 0 {
			return
		}
	}
	w.turns = append(w.turns, t)
}

// emitChoose makes the choices of a switch that is an axis: its values are spread evenly over its positions.
func (w *worker) emitChoose(x *piece) {
	raws := w.raws(x)
	p := w.layout.axisAt[&x.does]
	if len(raws) != len(x.sig) || len(raws) < 2 || p.Width == 0 {
		return
	}
	lo, hi := x.span()
	if x.coded {
		w.emitCoded(x, raws, p, hi)
		return
	}
	for k, raw := range raws {
		if x.asked.Reverse {
			k = len(raws) - 1 - k
		}
		value := lo + int(math.Round(float64(k*(hi-lo))/float64(len(raws)-1)))
		c := core.Choice{Width: uint8(p.Width), Bit: w.layout.row(p), Value: uint16(value) & (1<<p.Width - 1)}
		w.choices = append(w.choices, choice{c, w.addInput(x, raw, core.None, core.None)})
	}
}

// emitCoded lets every contact of a coded switch set its bit of the value. Where the range is wider than the code, the code is repeated
// downwards, which spreads its values evenly from end to end.
func (w *worker) emitCoded(x *piece, raws []int, p Place, hi int) {
	y := *x
	y.invert = x.invert != x.asked.Reverse
	wide := mathbits.Len(uint(hi))
	for j := range wide {
		k := len(raws) - 1 - (wide-1-j)%len(raws)
		w.addInput(&y, raws[k], w.layout.row(p)+uint16(j), core.None)
	}
}

// emitNeither makes what is on while none of a switch's contacts is closed: one record for each bit.
func (w *worker) emitNeither(i int, x *piece) {
	raws := w.raws(x)
	set := w.layout.bitsOf(&x.does)
	if len(raws) != len(x.sig) || len(set) == 0 {
		return
	}
	var of [mostNeither]int
	for k, raw := range raws {
		of[k] = w.addInput(x, raw, core.None, core.None)
	}
	for k := len(raws); k < mostNeither; k++ {
		of[k] = of[0]
	}
	for _, bit := range set {
		w.neithers = append(w.neithers, neither{bit, of})
		w.neitherOf[i] = append(w.neitherOf[i], int(bit))
	}
}

// emitTrack makes an axis.
func (w *worker) emitTrack(x *piece) {
	if !x.does.MIDI() && x.does.Kind != project.AxisDeed || len(x.sig) == 0 {
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
	if x.does.MIDI() {
		lo, most := x.span()
		ax.AtLo, ax.AtHi = int32(lo), int32(most)
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
