package firmware

import (
	"cmp"
	"math"
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

// Usual times, ms. Common practice: a pulse of 20 ms is seen by every program that looks at its buttons once a frame, 60 times a
// second; a long press is felt as one from about half a second on.
const (
	usualPulse    = 20
	usualGap      = 20
	usualLong     = 600
	usualWithin   = 300
	usualDebounce = 5
)

// Usual numbers of pots, as shares of the full voltage. Common practice: the ends of a track give nothing new, and the last bits of a
// converter are noise.
const (
	usualLow    = 0.01
	usualHigh   = 0.99
	usualStill  = 0.002
	usualFilter = 3
	stickDead   = 0.03
)

// input is an input of the table, with the number by which the others call it until all are in order.
type input struct {
	core.Input
	no int
}

// toggle is one of the table with its input's first number.
type toggle struct {
	input   int
	on, off action
}

// gesture likewise.
type gesture struct {
	input               int
	short, long, double action
	longTime, pause     uint16
}

// action is a pulse or a macro; the zero value is none.
type action struct {
	macro bool
	n     int // from 1
}

func (w *worker) ticks(ms float64, most int) int {
	return min(max(1, int(math.Round(ms/w.tick))), most)
}

func orMS(v, usual float64) float64 {
	if v > 0 {
		return v
	}
	return usual
}

func (w *worker) pulseMS(x *piece) float64 { return orMS(x.asked.PulseMS, usualPulse) }
func (w *worker) gapMS(x *piece) float64   { return orMS(x.asked.GapMS, usualGap) }
func (w *worker) after(x *piece) float64   { return orMS(x.asked.AfterMS, usualLong) }
func (w *worker) within(x *piece) float64  { return orMS(x.asked.WithinMS, usualWithin) }

// debounceMS is how long a contact is not believed: what the file says, else the longest bounce of its part.
func (w *worker) debounceMS(x *piece) float64 {
	return orMS(x.asked.DebounceMS, orMS(x.c.Part.Circuit.Bounce, usualDebounce))
}

// emit makes the records of the core: one piece after the other, then everything put in the core's order.
func (w *worker) emit() {
	for i := range w.list {
		x := &w.list[i]
		switch x.kind {
		case contact:
			w.emitContact(x)
		case turn:
			w.emitTurn(x)
		case track:
			w.emitTrack(x)
		}
	}
	w.emitHats()
	w.emitLamps()
	w.order()
}

// addInput adds an input and gives its number.
func (w *worker) addInput(x *piece, raw int, bit, second uint16) int {
	in := core.Input{
		Raw: uint16(raw), Bit: bit, Second: second, Debounce: uint8(w.ticks(w.debounceMS(x), 255)), Invert: x.invert, Stable: x.asked.Bounce == "stable",
		Shift: x.does.Kind == project.Shift,
	}
	w.inputs = append(w.inputs, input{in, len(w.inputs)})
	return len(w.inputs) - 1
}

// emitContact makes the inputs of one contact. A chord is several inputs on one raw bit.
func (w *worker) emitContact(x *piece) {
	raws := w.raws(x)
	if len(raws) == 0 {
		return
	}
	raw := raws[0]
	switch {
	case !x.long.Zero() || !x.twice.Zero():
		if !x.second.Zero() {
			w.cannot(x.c, x.second.Pos, x.label+" has a second layer beside long or double presses; the core has one or the other.", "Take shifted: out, or give long: to another control.")
		}
		no := w.addInput(x, raw, core.None, core.None)
		g := gesture{input: no, short: w.action(&x.does, x), long: w.action(&x.long, x), double: w.action(&x.twice, x)}
		g.longTime, g.pause = uint16(w.ticks(w.after(x), 65535)), uint16(w.ticks(w.within(x), 65535))
		w.gestures = append(w.gestures, g)
	case x.pulse || x.does.Kind == project.Macro:
		no := w.addInput(x, raw, core.None, core.None)
		t := toggle{input: no, on: w.action(&x.does, x)}
		switch {
		case x.pulse && !x.release.Zero():
			t.off = w.action(&x.release, x)
		case x.pulse:
			t.off = t.on
		}
		w.toggles = append(w.toggles, t)
		if !x.second.Zero() {
			w.cannot(x.c, x.second.Pos, x.label+" sends pulses or steps; the second layer is for what is held.", "Take shifted: out.")
		}
	default:
		one, two := w.layout.bitsOf(&x.does), w.layout.bitsOf(&x.second)
		for k := range max(len(one), len(two), 1) {
			bit, second := uint16(core.None), uint16(core.None)
			if k < len(one) {
				bit = one[k]
			}
			if k < len(two) {
				second = two[k]
			} else if len(two) > 0 && k < len(one) { // a modifier of the first layer only: the second layer must not set it
				second = two[0]
			}
			no := w.addInput(x, raw, bit, second)
			if x.does.Kind == project.HatDeed && k == 0 {
				w.hat(&x.does, no)
			}
		}
		if x.second.Kind == project.HatDeed || x.second.Kind == project.Macro || x.second.Kind == project.Shift {
			w.lack(x.c, x.second.Pos, "sends "+x.second.String()+" on the second layer", "On it are buttons, keys, media keys and system keys.")
		}
	}
	for _, d := range []*project.Deed{&x.does, &x.release, &x.second, &x.long, &x.twice} {
		w.midi(d, x)
	}
}

// midi says that notes are understood, and not sent.
func (w *worker) midi(d *project.Deed, x *piece) {
	for k := range d.Steps {
		w.midi(&d.Steps[k], x)
	}
	if d.Kind == project.Note || d.Kind == project.MIDIControl {
		w.lack(x.c, d.Pos, "asks for USB-MIDI ("+d.String()+")", "Send a button or a key, and let a program on the computer make a note of it.")
	}
}

// action makes a pulse or a macro of a deed. The same pulse is made once.
func (w *worker) action(d *project.Deed, x *piece) action {
	length, gap := uint16(w.ticks(w.pulseMS(x), 65535)), uint16(w.ticks(w.gapMS(x), 65535))
	steps := []*project.Deed{d}
	if d.Kind == project.Macro {
		steps = steps[:0]
		for k := range d.Steps {
			steps = append(steps, &d.Steps[k])
		}
	} else if set := w.layout.bitsOf(d); len(set) == 1 {
		return action{n: w.pulse(set[0], length, gap) + 1}
	} else if len(set) == 0 {
		if d.Kind == project.HatDeed || d.Kind == project.Shift {
			w.cannot(x.c, d.Pos, x.label+" cannot send "+d.String()+" as a pulse.", "Pulses are of buttons, keys, media keys and system keys.")
		}
		return action{}
	}
	var m core.Macro
	for _, s := range steps {
		if s.Kind == project.Wait {
			if n := len(m); n > 0 {
				m[n-1].Wait = uint16(min(65535, int(m[n-1].Wait)+w.ticks(s.MS, 65535)))
			}
			continue
		}
		set := w.layout.bitsOf(s)
		for k, b := range set {
			st := core.Step{Bit: b, Press: true, Wait: 1}
			if k == len(set)-1 {
				st.Wait = length
			}
			m = append(m, st)
		}
		for k := range set {
			st := core.Step{Bit: set[len(set)-1-k], Wait: 1}
			if k == len(set)-1 {
				st.Wait = gap
			}
			m = append(m, st)
		}
	}
	if len(m) == 0 {
		return action{}
	}
	w.macros = append(w.macros, m)
	return action{macro: true, n: len(w.macros)}
}

// pulse gives the number of a pulse.
func (w *worker) pulse(bit, length, gap uint16) int {
	p := core.Pulse{Bit: bit, Length: length, Gap: gap}
	if i := slices.Index(w.pulses, p); i >= 0 {
		return i
	}
	w.pulses = append(w.pulses, p)
	return len(w.pulses) - 1
}

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
	x.sig = slices.Clone(x.sig)
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

// hat notes the input of a direction.
func (w *worker) hat(d *project.Deed, no int) {
	h := w.hats[d.Number]
	if h == nil {
		h = &[4]int{-1, -1, -1, -1}
		w.hats[d.Number] = h
	}
	if i := slices.Index([]string{"up", "right", "down", "left"}, d.Name); i >= 0 && h[i] < 0 {
		h[i] = no
	}
}

// emitHats gives every direction that no contact has an input that is never closed.
func (w *worker) emitHats() {
	for n := 1; n <= 4; n++ {
		h := w.hats[n]
		if h == nil {
			continue
		}
		for i := range h {
			if h[i] < 0 {
				if w.scan.never < 0 {
					w.scan.never = w.scan.next
					w.scan.next++
				}
				w.inputs = append(w.inputs, input{core.Input{Raw: uint16(w.scan.never), Bit: core.None, Second: core.None}, len(w.inputs)})
				h[i] = len(w.inputs) - 1
			}
		}
	}
}

// order puts inputs in the order of their raw bits and everything that calls them by number likewise.
func (w *worker) order() {
	slices.SortStableFunc(w.inputs, func(a, b input) int { return cmp.Compare(a.Raw, b.Raw) })
	at := make([]int, len(w.inputs))
	t := &w.r.Table
	for i, in := range w.inputs {
		at[in.no] = i
		t.Inputs = append(t.Inputs, in.Input)
	}
	act := func(a action) uint8 {
		switch {
		case a.n == 0:
			return core.No
		case a.macro:
			return byte8(len(w.pulses) + a.n - 1)
		}
		return byte8(a.n - 1)
	}
	t.Pulses, t.Macros = w.pulses, w.macros
	for _, g := range w.toggles {
		if on, off := act(g.on), act(g.off); on != core.No || off != core.No {
			t.Toggles = append(t.Toggles, core.Toggle{Input: byte8(at[g.input]), On: on, Off: off})
		}
	}
	for _, g := range w.gestures {
		t.Gestures = append(t.Gestures, core.Gesture{
			Input: byte8(at[g.input]), Short: act(g.short), Long: act(g.long), Double: act(g.double), LongTime: g.longTime, Pause: g.pause,
		})
	}
	for n := 1; n <= 4; n++ {
		if h := w.hats[n]; h != nil {
			p, _ := w.layout.find(hidInput, hatUsage, n-1)
			t.Hats = append(t.Hats, core.Hat{Bit: w.layout.row(p), Up: byte8(at[h[0]]), Right: byte8(at[h[1]]), Down: byte8(at[h[2]]), Left: byte8(at[h[3]])})
		}
	}
	for i := range t.Lamps {
		if l := &t.Lamps[i]; l.Kind == core.Follows || l.Kind == core.Flips {
			l.Refers = uint16(at[l.Refers])
		}
	}
	t.Reports = w.layout.reports
	if w.chip != nil {
		t.Chip, t.Tick = w.chip.id, uint16(math.Round(w.tick*1000))
	}
}

// inputOf finds the first input of a control, by its name or the name of one of its contacts; -1 without.
func (w *worker) inputOf(name string) int {
	for i := range w.list {
		x := &w.list[i]
		if x.kind != contact || x.key != name && x.c.Name != name {
			continue
		}
		raws := w.raws(x)
		for _, in := range w.inputs {
			if len(raws) > 0 && int(in.Raw) == raws[0] && in.Invert == x.invert {
				return in.no
			}
		}
		if len(raws) > 0 {
			return w.addInput(x, raws[0], core.None, core.None)
		}
	}
	return -1
}

// seatOf gives how a signal reaches the module.
func (w *worker) seatOf(signal int) wiring.Seat {
	if signal < len(w.w.Plan.Seats) {
		return w.w.Plan.Seats[signal]
	}
	return wiring.Seat{}
}
