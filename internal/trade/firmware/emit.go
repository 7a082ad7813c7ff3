package firmware

import (
	"cmp"
	"math"
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/project"
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

// turning is an encoder of the table with its actions.
type turning struct {
	core.Encoder
	up, down action
}

// choice is one of the table with its input's first number.
type choice struct {
	core.Choice
	input int
}

// neither likewise.
type neither struct {
	bit    uint16
	inputs [mostNeither]int
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
			if x.none {
				w.emitNeither(i, x)
				continue
			}
			w.emitContact(x)
		case choose:
			w.emitChoose(x)
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
		Raw: uint16(raw), Bit: bit, Second: second, Debounce: uint8(w.ticks(w.debounceMS(x), mostDebounce)), Invert: x.invert, Stable: x.asked.Bounce == "stable",
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
}

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
	w.share()
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
	for _, e := range w.turns {
		e.Up, e.Down = act(e.up), act(e.down)
		t.Encoders = append(t.Encoders, e.Encoder)
	}
	for _, c := range w.choices {
		c.Input = byte8(at[c.input])
		t.Choices = append(t.Choices, c.Choice)
	}
	for _, n := range w.neithers {
		x := core.Neither{Bit: n.bit}
		for k, in := range n.inputs {
			x.Inputs[k] = byte8(at[in])
		}
		t.Neithers = append(t.Neithers, x)
	}
	t.Events = w.layout.midi.events
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

// share marks the inputs that set a bit which another contact sets too.
func (w *worker) share() {
	in := w.r.Table.Inputs
	first := map[uint16]int{}
	for i := range in {
		for _, bit := range []uint16{in[i].Bit, in[i].Second} {
			if bit == core.None {
				continue
			}
			k, ok := first[bit]
			if !ok {
				first[bit] = i
				continue
			}
			if in[k].Raw != in[i].Raw || in[k].Invert != in[i].Invert {
				in[k].Shared, in[i].Shared = true, true
			}
		}
	}
}

// inputOf finds the first input of a control, by its name or the name of one of its contacts; -1 without.
func (w *worker) inputOf(name string) int {
	for i := range w.list {
		x := &w.list[i]
		if x.kind != contact || x.none || x.key != name && x.c.Name != name {
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
