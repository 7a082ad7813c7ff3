package diagnosis

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/trade/wiring"
)

// pins adds what the boards do to their pins: pull-ups, pins that drive lamps, select lines, and what each further board needs to work.
func (c *circuit) pins() {
	w, f := &c.in.Wiring, &c.in.Firmware
	c.bits, c.axes = len(f.Bits), len(f.Readings)
	board := map[string]*wiring.Board{}
	for i := range w.Boards {
		if w.Boards[i].Part.Board != nil {
			board[w.Boards[i].Name] = &w.Boards[i]
		}
	}
	supplyOf := func(name string) int32 { // where a board's pull-ups and outputs take their supply
		b := board[name]
		if b == nil {
			return -1
		}
		for _, s := range b.Part.Board.Supplies {
			t := c.term(wiring.Terminal{Of: name, Lug: s.Lug})
			if name == c.module && !s.Takes && s.Volts == c.logic || name != c.module && s.Takes {
				return t
			}
		}
		if name == c.module { // a board that does not give the voltage of its pins
			t := c.term(wiring.Terminal{Of: name, Lug: "(pins)"})
			c.fixed[t] = c.level(c.logic)
			return t
		}
		return -1
	}
	groundOf := func(name string) int32 {
		for _, p := range board[name].Part.Board.Pins {
			if p.Kind == catalog.PinGround {
				return c.term(wiring.Terminal{Of: name, Lug: p.Lug})
			}
		}
		return -1
	}
	seen := map[int32]bool{}
	for _, b := range f.Bits {
		if b.Way == wiring.Waits || b.Pin.Zero() || b.Way == wiring.Ladder {
			continue
		}
		t := c.term(b.Pin)
		if !b.Drive.Zero() {
			if d := c.term(b.Drive); !slices.Contains(c.drive, d) {
				c.drive = append(c.drive, d)
			}
		}
		if seen[t] {
			continue
		}
		seen[t] = true
		if x := board[b.Pin.Of]; x != nil {
			if up := supplyOf(b.Pin.Of); up >= 0 && x.Part.Board.PullUp != nil {
				c.elements = append(c.elements, element{kind: elRes, a: up, b: t, control: -1, contact: -1, device: -1, ohms: middle(x.Part.Board.PullUp, 50e3), fitting: "pull-up"})
			}
		}
	}
	for i, s := range w.Signals {
		if i >= len(w.Plan.Seats) {
			break
		}
		seat := w.Plan.Seats[i]
		x := board[seat.Pin.Of]
		if x == nil || seat.Way == wiring.Waits {
			continue
		}
		t := c.term(seat.Pin)
		switch s.Kind {
		case wiring.SigLamp, wiring.SigDrive:
			if s.Device >= 0 {
				c.elements = append(c.elements, element{
					kind: elDrive, a: supplyOf(seat.Pin.Of), b: t, control: -1, ground: groundOf(seat.Pin.Of), contact: -1, device: int32(s.Device),
					ohms: max(1, x.Part.Board.OutHigh), drop: max(1, x.Part.Board.OutLow),
				})
				continue
			}
			c.elements = append(c.elements, element{kind: elBusy, a: -1, b: t, control: -1, contact: -1, device: -1})
		case wiring.SigData:
			c.elements = append(c.elements, element{kind: elBusy, a: -1, b: t, control: -1, contact: -1, device: -1})
		}
	}
	for i := range w.Boards {
		if b := &w.Boards[i]; b.Part.Board != nil && b.Name != c.module {
			c.furtherBoard(b)
		}
	}
}

// furtherBoard says what a board needs.
func (c *circuit) furtherBoard(b *wiring.Board) {
	d := b.Part.Board
	s := boardState{name: b.Name, role: d.Role, volts: d.Volts, chain: b.Chain, out: -1, in: -1, data: -1, clock: -1}
	at := func(lug string) int32 { return c.term(wiring.Terminal{Of: b.Name, Lug: lug}) }
	for _, x := range d.Supplies {
		if x.Takes {
			s.supply = append(s.supply, at(x.Lug))
		}
	}
	// The module's pin in the net of a pin.
	module := func(t int32) int32 {
		n := c.net[t]
		if n < 0 {
			return -1
		}
		for _, u := range c.netTerms[n] {
			if c.terms[u].Of == c.module {
				return u
			}
		}
		return -1
	}
	need := func(t int32) {
		if m := module(t); m >= 0 {
			s.links = append(s.links, [2]int32{t, m})
		}
	}
	for _, p := range d.Pins {
		t := at(p.Lug)
		switch {
		case p.Kind == catalog.PinGround:
			s.ground = append(s.ground, t)
		case p.Bus == "low":
			s.low = append(s.low, t)
		case p.Bus == "sda", p.Bus == "scl", p.Bus == "clock", p.Bus == "load":
			need(t)
			if p.Bus == "clock" && d.Role == "shift-in" {
				s.clock = int32(len(s.links)) - 1
			}
		case p.Bus == "data-out":
			s.out = t
			s.data = module(t)
		case p.Bus == "data-in":
			s.in = t
		case p.Bus == "select":
			s.selects = append(s.selects, t)
			s.drives = append(s.drives, module(t))
		case p.Bus == "" && p.Kind == catalog.PinIO && (d.Role == "analog-in" || d.Role == "shift-in"):
			s.lines = append(s.lines, t)
		}
	}
	if d.Role == "expander" && d.Resistors > 0 && len(s.supply) > 0 {
		for _, p := range d.Pins {
			if p.Bus == "sda" || p.Bus == "scl" {
				c.elements = append(c.elements, element{kind: elRes, a: s.supply[0], b: at(p.Lug), control: -1, contact: -1, device: -1, ohms: d.Resistors, fitting: "bus pull-up"})
			}
		}
	}
	n := int32(len(c.boards))
	c.boards = append(c.boards, s)
	care := func(ts ...int32) {
		for _, t := range ts {
			if t >= 0 && !slices.Contains(c.boardsAt[t], n) {
				c.boardsAt[t] = append(c.boardsAt[t], n)
			}
		}
	}
	care(s.supply...)
	care(s.ground...)
	care(s.low...)
	care(s.selects...)
	care(s.drives...)
	care(s.out, s.in, s.data)
	for _, l := range s.links {
		care(l[0], l[1])
	}
}

// index finds what is at each terminal, and what reads it.
func (c *circuit) index() {
	n := len(c.terms)
	c.jointsAt, c.elemsAt, c.termObs = make([][]int32, n), make([][]int32, n), make([][]int32, n)
	c.boardObs = make([][]int32, len(c.boards))
	c.netJoint = make([][]int32, len(c.in.Wiring.Nets))
	for i, j := range c.joints {
		c.jointsAt[j.a] = append(c.jointsAt[j.a], int32(i))
		c.jointsAt[j.b] = append(c.jointsAt[j.b], int32(i))
		if j.net >= 0 {
			c.netJoint[j.net] = append(c.netJoint[j.net], int32(i))
		}
	}
	for i := range c.elements {
		e := &c.elements[i]
		if e.a >= 0 {
			c.elemsAt[e.a] = append(c.elemsAt[e.a], int32(i))
		}
		c.elemsAt[e.b] = append(c.elemsAt[e.b], int32(i))
	}
	c.rail = c.rails(nil, -1)
	c.duty = make([]bool, n)
	for i := range c.elements {
		if e := &c.elements[i]; e.kind == elBusy {
			c.duty[e.b] = true
		}
	}
	for t := range c.boardsAt {
		c.duty[t] = true
	}
	c.group = make([]int32, n)
	for i := range c.group {
		c.group[i] = -1
	}
	for t := range c.terms {
		if c.group[t] >= 0 {
			continue
		}
		queue := []int32{int32(t)}
		c.group[t] = int32(t)
		for len(queue) > 0 {
			u := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			for _, j := range c.jointsAt[u] {
				if o := c.joints[j].a + c.joints[j].b - u; c.group[o] < 0 {
					c.group[o] = int32(t)
					queue = append(queue, o)
				}
			}
		}
	}
	boardNo := map[string]int{}
	for i := range c.boards {
		boardNo[c.boards[i].name] = i
	}
	reads := func(o int32, ts ...wiring.Terminal) {
		for _, t := range ts {
			if t.Zero() {
				continue
			}
			i := c.term(t)
			if int(i) < n && !slices.Contains(c.termObs[i], o) {
				c.termObs[i] = append(c.termObs[i], o)
			}
			if b, ok := boardNo[t.Of]; ok && !slices.Contains(c.boardObs[b], o) {
				c.boardObs[b] = append(c.boardObs[b], o)
			}
		}
	}
	c.lever = make([]int32, c.bits)
	for i, b := range c.in.Firmware.Bits {
		c.lever[i] = -1
		if b.Signal >= 0 && c.in.Wiring.Signals[b.Signal].Device >= 0 {
			if d := &c.in.Wiring.Devices[c.in.Wiring.Signals[b.Signal].Device]; d.Holds {
				c.lever[i] = c.ctrlOf[d.Control.Name]
			}
		}
	}
	c.debounce = make([]float64, c.bits)
	for i, b := range c.in.Firmware.Bits {
		if b.Way != wiring.Waits {
			reads(int32(i), b.Pin, b.Drive)
		}
		c.debounce[i] = 20
	}
	for _, x := range c.in.Firmware.Table.Inputs {
		if int(x.Raw) < len(c.debounce) && c.in.Firmware.Tick > 0 {
			c.debounce[x.Raw] = float64(x.Debounce) * c.in.Firmware.Tick
		}
	}
	for i, r := range c.in.Firmware.Readings {
		reads(int32(c.bits+i), r.Pin, r.Line)
	}
	// Behind a shift-in board hang those that are further from the module.
	for i := range c.boards {
		for j := range c.boards {
			if c.boards[i].role == "shift-in" && c.boards[j].role == "shift-in" && c.boards[j].chain > c.boards[i].chain {
				for _, o := range c.boardObs[j] {
					if !slices.Contains(c.boardObs[i], o) {
						c.boardObs[i] = append(c.boardObs[i], o)
					}
				}
			}
		}
	}
}

// rails says of each terminal on which fixed voltage it lies, with a patch laid over. net < 0: all; else only the terminals of that net
// are looked at anew, and the rest is as it is without a patch.
func (c *circuit) rails(p *patch, net int32) []int8 {
	var out []int8
	var queue []int32
	if net < 0 {
		out = make([]int8, len(c.terms))
		copy(out, c.fixed)
		for t, v := range c.fixed {
			if v >= 0 {
				queue = append(queue, int32(t))
			}
		}
	} else {
		out = slices.Clone(c.rail)
		for _, t := range c.netTerms[net] {
			if out[t] = c.fixed[t]; out[t] >= 0 {
				queue = append(queue, t)
			}
		}
		for _, t := range c.netTerms[net] { // what hangs on it without being in it: fittings
			for _, j := range c.jointsAt[t] {
				o := c.joints[j].a + c.joints[j].b - t
				if c.net[o] != net && c.fixed[o] < 0 {
					out[o] = -1
				}
			}
		}
	}
	for len(queue) > 0 {
		t := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, j := range c.jointsAt[t] {
			if p != nil && p.isCut(j) {
				continue
			}
			o := c.joints[j].a + c.joints[j].b - t
			if out[o] < 0 {
				out[o] = out[t]
				queue = append(queue, o)
			}
		}
	}
	return out
}

// label gives what a terminal is called: "the lug no of GO", "pin GP3 of the module".
func (c *circuit) label(t wiring.Terminal) string {
	for i := range c.in.Wiring.Boards {
		b := &c.in.Wiring.Boards[i]
		if b.Name != t.Of || b.Part.Board == nil {
			continue
		}
		name := t.Lug
		if p, ok := b.Part.Board.Pin(t.Lug); ok && p.Name != "" && !strings.EqualFold(p.Name, t.Lug) {
			name = t.Lug + " (" + p.Name + ")"
		}
		return name
	}
	return t.Lug
}
