package firmware

import (
	"slices"
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/trade/wiring"
)

// Sections of the table that belong to the board, as firmware.Board writes them: firmware/board/kwb.h.
const (
	secDevice        = 0x01
	secConfiguration = 0x02
	secReport        = 0x08 // + interface
	secString        = 0x10 // + index
	secDirect        = 0x30
	secMatrix        = 0x31
	secChains        = 0x34
	secExpanders     = 0x35
	secAnalog        = 0x37
	secLadders       = 0x38
	secLamps         = 0x3A
	secNames         = 0x40 // what people call things; the core passes it over
)

// settle is how long a row of the matrix is driven before the columns are read, microseconds. Common practice: 35 to 80 kohm and some
// 100 pF of wire make time constants of a few microseconds; driven low, a line settles faster than that.
const settle = 3

// scan is which contact is which raw bit, and how it gets there.
type scan struct {
	raw      map[int]int // by signal
	next     int         // the first raw bit that is free
	never    int         // a raw bit of no contact, -1 = none yet
	board    core.Board
	lampPins map[int]lampPin // by signal
	axes     map[int]axisPin // by signal
}

type lampPin struct {
	pin   uint8 // of the chip
	board string
	line  int // of an expander
}

type axisPin struct{ channel, mux, line uint8 }

// scanPins gives every contact a raw bit, in the order: direct pins, matrix, shift-in chain, expanders, ladders.
func (w *worker) scanPins() {
	s := &w.scan
	s.raw, s.lampPins, s.axes, s.never = map[int]int{}, map[int]lampPin{}, map[int]axisPin{}, -1
	if w.chip == nil || len(w.w.Plan.Seats) < len(w.w.Signals) {
		return
	}
	w.scanDirect()
	w.scanMatrix()
	w.scanChain()
	w.scanExpanders()
	w.scanLadders()
	w.scanAnalog()
}

// modulePin gives the chip's number of the pin that a signal sits on, and its port.
func (w *worker) modulePin(signal int) (pin uint8, port string, ok bool) {
	t := w.w.Plan.Seats[signal].Pin
	if w.module == nil || t.Of != w.module.Name {
		return 0, "", false
	}
	p, ok := w.module.Part.Board.Pin(t.Lug)
	if !ok {
		return 0, "", false
	}
	pin, ok = w.chip.pin(p.Port)
	return pin, p.Port, ok
}

// named gives the chip's pin of the signal of a name.
func (w *worker) named(name string) (uint8, bool) {
	for i, s := range w.w.Signals {
		if s.Name == name {
			pin, _, ok := w.modulePin(i)
			return pin, ok
		}
	}
	return 0, false
}

func (w *worker) scanDirect() {
	s := &w.scan
	for i, x := range w.w.Signals {
		if w.w.Plan.Seats[i].Way != wiring.Direct {
			continue
		}
		pin, _, ok := w.modulePin(i)
		if !ok {
			continue
		}
		switch x.Kind {
		case wiring.SigContact, wiring.SigPhase:
			s.raw[i] = s.next
			s.board.Direct = append(s.board.Direct, core.DirectPin{Raw: byte8(s.next), Pin: pin, PullUp: true, Often: x.Kind == wiring.SigPhase})
			s.next++
		case wiring.SigLamp, wiring.SigDrive:
			if x.Device >= 0 {
				s.lampPins[i] = lampPin{pin: pin}
			}
		}
	}
}

// scanMatrix gives crossings their raw bits. The lines that the stripes point to are driven low one at a time; the others are read.
func (w *worker) scanMatrix() {
	s := &w.scan
	m := w.w.Plan.Matrix
	if m == nil {
		return
	}
	drive, read, swap := m.Rows, m.Columns, false
	if m.Diodes && !m.ToRow {
		drive, read, swap = m.Columns, m.Rows, true
	}
	mat := &core.Matrix{Raw: byte8(s.next), Settle: settle}
	for _, i := range drive {
		pin, _, ok := w.modulePin(i)
		if !ok {
			return
		}
		mat.Rows = append(mat.Rows, pin)
	}
	for _, i := range read {
		pin, _, ok := w.modulePin(i)
		if !ok {
			return
		}
		mat.Columns = append(mat.Columns, pin)
	}
	base := s.next
	for i, seat := range w.w.Plan.Seats {
		if seat.Way != wiring.Matrix {
			continue
		}
		r, c := slices.Index(drive, seat.Row), slices.Index(read, seat.Column)
		if swap {
			r, c = slices.Index(drive, seat.Column), slices.Index(read, seat.Row)
		}
		if r >= 0 && c >= 0 {
			s.raw[i] = base + r*len(read) + c
		}
	}
	s.next += len(drive) * len(read)
	s.board.Matrix = mat
}

// lineNo is the number of a line on its board, counted over its lines.
func lineNo(b *wiring.Board, lug string) int {
	n := 0
	for _, p := range b.Part.Board.Pins {
		if p.Kind != "io" || p.Bus != "" {
			continue
		}
		if p.Lug == lug {
			return n
		}
		n++
	}
	return -1
}

// scanChain gives the lines of shift-in boards their raw bits: the board at the module comes first, and of each its last line.
func (w *worker) scanChain() {
	s := &w.scan
	boards := map[string]*wiring.Board{}
	for i := range w.w.Boards {
		if b := &w.w.Boards[i]; b.Part.Board != nil && b.Part.Board.Role == "shift-in" {
			boards[b.Name] = b
		}
	}
	if len(boards) == 0 {
		return
	}
	load, ok1 := w.named("shift-in/load")
	clock, ok2 := w.named("shift-in/clock")
	data, ok3 := w.named("shift-in/data")
	if !ok1 || !ok2 || !ok3 {
		return
	}
	base := s.next
	for i, seat := range w.w.Plan.Seats {
		if b := boards[seat.Pin.Of]; b != nil && seat.Way == wiring.ShiftIn {
			if n := lineNo(b, seat.Pin.Lug); n >= 0 {
				s.raw[i] = base + 8*b.Chain + 7 - n
			}
		}
	}
	s.next += 8 * len(boards)
	s.board.Chains = append(s.board.Chains, core.Chain{Raw: byte8(base), Bits: byte8(8 * len(boards)), Load: load, Clock: clock, Data: data})
}

// scanExpanders gives the lines of expanders their raw bits, and finds the lamps on them. A line without a lamp is an input.
func (w *worker) scanExpanders() {
	s := &w.scan
	lamps := 0
	for range s.lampPins {
		lamps++
	}
	for k := range w.w.Boards {
		b := &w.w.Boards[k]
		if b.Part.Board == nil || b.Part.Board.Role != "expander" {
			continue
		}
		data, clock, ok := w.busOf(b)
		if !ok {
			continue
		}
		inputs, first := uint16(0xFFFF), lamps
		for i, seat := range w.w.Plan.Seats {
			if seat.Pin.Of != b.Name || seat.Way != wiring.Expander {
				continue
			}
			n := lineNo(b, seat.Pin.Lug)
			if n < 0 || n > 15 {
				continue
			}
			switch w.w.Signals[i].Kind {
			case wiring.SigLamp, wiring.SigDrive:
				inputs &^= 1 << n
				s.lampPins[i] = lampPin{board: b.Name, line: n}
				lamps++
			default:
				s.raw[i] = s.next + n
			}
		}
		x := core.Expander{Raw: byte8(s.next), Address: byte8(b.Address), Data: data, Clock: clock, Inputs: inputs, FirstLamp: core.No}
		if lamps > first {
			x.FirstLamp = byte8(first)
		}
		s.board.Expanders = append(s.board.Expanders, x)
		s.next += 16
	}
}

// busOf gives the pins of the bus that an expander is on: that of the lead to its clock.
func (w *worker) busOf(b *wiring.Board) (data, clock uint8, ok bool) {
	for _, n := range w.w.Nets {
		if n.Kind != wiring.NetBus || n.Signal < 0 || !slices.ContainsFunc(n.Terms, func(t wiring.Terminal) bool { return t.Of == b.Name }) {
			continue
		}
		name := w.w.Signals[n.Signal].Name
		if bus, is := strings.CutSuffix(name, "/clock"); is && strings.HasPrefix(bus, "i2c") {
			data, ok1 := w.named(bus + "/data")
			clock, ok2 := w.named(name)
			return data, clock, ok1 && ok2
		}
	}
	data, ok1 := w.named("i2c/data")
	clock, ok2 := w.named("i2c/clock")
	return data, clock, ok1 && ok2
}

// scanLadders gives the steps of voltage ladders their raw bits, and the readings that part them, as shares of 65535.
//
// A rotary switch: n equal resistors from ground to the supply, so that step k of n reads (k+1)/n, and between two positions zero, which
// is no contact of the panel. Buttons: step k reads k/4, and nothing pressed the whole.
func (w *worker) scanLadders() {
	s := &w.scan
	limit := func(share float64) uint16 { return uint16(share * 65535) }
	ladders := -1
	of := func(signal int) int { // the ladder that a step belongs to
		for i, x := range w.w.Signals {
			if x.Kind == wiring.SigLadder && x.Device >= 0 && x.Device == w.w.Signals[signal].Device {
				return i
			}
		}
		return -1
	}
	turning := map[int][]int{}
	buttons := map[int][]int{}
	for i, seat := range w.w.Plan.Seats {
		if seat.Way != wiring.Ladder || w.w.Signals[i].Kind != wiring.SigContact {
			continue
		}
		if l := of(i); l >= 0 {
			turning[l] = append(turning[l], i)
			continue
		}
		if seat.Step == 0 {
			ladders++
		}
		buttons[ladders] = append(buttons[ladders], i)
	}
	nth := -1
	for l, x := range w.w.Signals {
		if x.Kind != wiring.SigLadder {
			continue
		}
		_, port, ok := w.modulePin(l)
		channel, has := w.chip.channel(port)
		at := turning[l]
		if x.Device < 0 {
			nth++
			at = buttons[nth]
		}
		if !ok || !has || len(at) == 0 {
			continue
		}
		n := float64(len(at))
		rungs := core.Ladder{Channel: channel, Raw: byte8(s.next)}
		if x.Device >= 0 {
			rungs.Limits = append(rungs.Limits, limit(0.5/n))
			for k, i := range at {
				s.raw[i] = s.next + 1 + k
				rungs.Limits = append(rungs.Limits, limit(min(1, (float64(k)+1.5)/n)))
			}
		} else {
			for k, i := range at {
				s.raw[i] = s.next + k
				rungs.Limits = append(rungs.Limits, limit((float64(k)+0.5)/4))
			}
		}
		s.next += len(rungs.Limits)
		s.board.Ladders = append(s.board.Ladders, rungs)
	}
}

func byte8(n int) uint8 { return uint8(min(max(n, 0), 255)) }

// scanAnalog finds the channels of wipers, directly or through multiplexers.
func (w *worker) scanAnalog() {
	s := &w.scan
	index := map[string]int{}
	for k := range w.w.Boards {
		b := &w.w.Boards[k]
		if b.Part.Board == nil || b.Part.Board.Role != "analog-in" {
			continue
		}
		for i, x := range w.w.Signals {
			if x.Name != b.Name+"/out" {
				continue
			}
			_, port, ok := w.modulePin(i)
			channel, has := w.chip.channel(port)
			if !ok || !has {
				continue
			}
			m := core.Mux{Channel: channel, Select: [3]uint8{core.No, core.No, core.No}}
			for n := range 3 {
				if pin, ok := w.named("analog-in/select-" + itoa(n+1)); ok {
					m.Select[n] = pin
				}
			}
			if m.Select[0] == core.No {
				continue
			}
			index[b.Name] = len(s.board.Muxes)
			s.board.Muxes = append(s.board.Muxes, m)
		}
	}
	for i, x := range w.w.Signals {
		if x.Kind != wiring.SigWiper || x.Device < 0 {
			continue
		}
		switch seat := w.w.Plan.Seats[i]; seat.Way {
		case wiring.Direct:
			if _, port, ok := w.modulePin(i); ok {
				if channel, has := w.chip.channel(port); has {
					s.axes[i] = axisPin{channel, core.No, 0}
				}
			}
		case wiring.AnalogIn:
			for k := range w.w.Boards {
				b := &w.w.Boards[k]
				if m, ok := index[b.Name]; ok && b.Name == seat.Pin.Of {
					if n := lineNo(b, seat.Pin.Lug); n >= 0 {
						s.axes[i] = axisPin{core.No, uint8(m), uint8(n)}
					}
				}
			}
		}
	}
}

// raws gives the raw bits of a piece.
func (w *worker) raws(x *piece) []int {
	var out []int
	for _, i := range x.sig {
		if r, ok := w.scan.raw[i]; ok {
			out = append(out, r)
		}
	}
	return out
}
