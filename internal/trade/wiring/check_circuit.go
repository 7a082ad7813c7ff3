package wiring

import (
	"math"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/electric"
	"knobwright/internal/panel"
	"knobwright/internal/solve/circuit"
)

// State says how a panel stands while its circuit is looked at. The zero value: every control at rest, tracks in the middle, encoders
// between two contacts, no lamp lit, no line of a matrix pulled low.
type State struct {
	At     map[string]string // position of a control, by name; those that are missing are at rest
	Phase  map[string]string // encoders, by name: which contacts are closed, "", "A", "B" or "AB"
	Turn   map[int]float64   // tracks, by device: where the wiper stands, from 0 at the low end to 1
	High   map[int]bool      // signals of lamps and the like that the program drives high
	Lit    bool              // all of these
	Low    map[int]bool      // lines of a matrix or a bus that are pulled low, by signal
	Select map[string]string // of an analog multiplexer, by name: the line that it looks at
	Corner Corner            // of the tolerances
	even   bool              // supplies stay as they are: levels of inputs go with them
}

// Corner says where values lie within their tolerances.
type Corner int

// The corners.
const (
	Nominal Corner = iota
	Strong         // all that makes currents large: high supplies, small resistors, small drops, strong pull-ups; pins leak upwards
	Weak           // the reverse; pins leak to ground
)

// Spread of supplies that is reckoned with: regulators of small boards, 3 %, common practice; a port as electric.Port says.
const regulatorTol = 0.03

// Circuit makes the network of a whole panel in a state, for package circuit. Nodes are called after the nets; what lies at a pin, with
// the resistance of the wire between, is called "... at the pin". Elements are called "contact go c-no", "lamp standby/lamp", "track
// house" (its lower part) and "track house above", R1, D1, "pin module 14", "supply 3.3 V".
//
// ohms gives the resistance of the wire of a net, from the pin to the lugs, ohm; nil = none. Leads that have no pin yet are left out, and
// of a result without a module or without supplies nothing is left: then the network is empty, and solving it says so.
func Circuit(r Result, s State, ohms func(net string) float64) *circuit.Network {
	p := partsOf(&r, catalog.Builtin())
	keep := make([]bool, len(p.list))
	for i := range keep {
		keep[i] = p.hasModule()
	}
	return p.network(keep, s, ohms)
}

// CircuitOf is Circuit for what hangs together with one signal: everything that is joined to it without passing ground or a supply.
func CircuitOf(r Result, signal int, s State, ohms func(net string) float64) *circuit.Network {
	p := partsOf(&r, catalog.Builtin())
	if !p.hasModule() || p.nodeOf(signal) == 0 {
		return circuit.New()
	}
	return p.network(p.around(p.nodeOf(signal)), s, ohms)
}

// hasModule reports whether there is a module whose pins are known.
func (p *parts) hasModule() bool {
	return slices.ContainsFunc(p.r.Boards, func(b Board) bool { return b.Part.Board != nil && b.Part.Board.Role == roleModule })
}

// nodeOf gives the node of a signal's net; of a contact in a matrix that of its column or row that is read; 0 without.
func (p *parts) nodeOf(signal int) int {
	if signal < 0 || signal >= len(p.r.Plan.Seats) {
		return 0
	}
	seat := p.r.Plan.Seats[signal]
	if seat.Way == Matrix {
		_, signal = p.lines(seat)
		if signal < 0 {
			return 0
		}
		seat = p.r.Plan.Seats[signal]
	}
	return p.at[seat.Pin]
}

// lines gives the signals of the line that is pulled low and of the line that is read for a crossing.
func (p *parts) lines(seat Seat) (pulled, read int) {
	if m := p.r.Plan.Matrix; m != nil && !m.ToRow {
		return seat.Column, seat.Row
	}
	return seat.Row, seat.Column
}

// around marks the elements that hang together with a node without passing ground or a supply, and the supplies that they hang on.
func (p *parts) around(node int) []bool {
	keep := make([]bool, len(p.list))
	seen := map[int]bool{node: true}
	queue := []int{node}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, i := range p.near[n] {
			e := &p.list[i]
			if p.fixed[n] && e.kind != elSupply {
				continue
			}
			keep[i] = true
			next := []int{e.a, e.b}
			switch e.kind {
			case elTrack, elOut:
				next = append(next, e.wiper)
			case elPin:
				next = append(next, p.logic[e.board])
			case elSupply:
				next = nil
			}
			for _, m := range next {
				if !seen[m] {
					seen[m] = true
					queue = append(queue, m)
				}
			}
		}
	}
	return keep
}

// network makes the network of some elements in a state.
func (p *parts) network(keep []bool, s State, ohms func(net string) float64) *circuit.Network {
	n := circuit.New()
	wired := map[int]bool{}
	// pin gives the name of a node on the side of the board.
	pin := func(node int) string {
		name := p.nodes[node]
		if node == 0 {
			name = "ground"
		}
		ohm := 0.0
		if ohms != nil {
			ohm = ohms(p.net[node])
		}
		if !(ohm > 0) {
			return p.nodes[node]
		}
		at := name + " at the pin"
		if node == 0 {
			at = circuit.Ground
		}
		if !wired[node] {
			wired[node] = true
			n.Resistor("wire of "+name, at, p.lug(node, ohms), ohm)
		}
		return at
	}
	if slices.Contains(keep, true) {
		pin(0)
	}
	for i := range p.list {
		if keep[i] {
			p.put(n, &p.list[i], s, pin, func(node int) string { return p.lug(node, ohms) })
		}
	}
	return n
}

// lug names a node on the side of the lugs.
func (p *parts) lug(node int, ohms func(net string) float64) string {
	if node == 0 && ohms != nil && ohms(p.net[0]) > 0 {
		return "ground at the lugs"
	}
	return p.nodes[node]
}

// corner moves a value within its tolerance: up in the corner up, down in the other.
func (s State) corner(v, percent float64, up Corner) float64 {
	switch s.Corner {
	case Nominal:
		return v
	case up:
		return v * (1 + percent/100)
	}
	return v * (1 - percent/100)
}

// put adds one element to a network.
func (p *parts) put(n *circuit.Network, e *element, s State, pin, lug func(int) string) {
	switch e.kind {
	case elSupply:
		n.Voltage(e.name, pin(e.a), circuit.Ground, s.supply(e.volts, e.port))
	case elContact:
		if s.closed(e.control, e.contact) {
			n.Resistor(e.name, lug(e.a), lug(e.b), e.ohm)
		} else {
			n.Switch(e.name, lug(e.a), lug(e.b), false)
		}
	case elResistor:
		n.Resistor(e.name, lug(e.a), lug(e.b), s.corner(e.ohm, e.tol, Weak))
	case elDiode:
		n.Diode(e.name, lug(e.a), lug(e.b), e.diode)
	case elTrack:
		at, ok := s.Turn[e.device]
		if !ok {
			at = 0.5
		}
		at = min(max(at, 0), 1)
		ohm := s.corner(e.ohm, e.tol, Weak)
		n.Resistor(e.name, lug(e.wiper), lug(e.b), max(at*ohm, 0.1))
		n.Resistor(e.name+" above", lug(e.a), lug(e.wiper), max((1-at)*ohm, 0.1))
	case elLamp:
		p.putLamp(n, e, s, lug)
	case elPin:
		p.putPin(n, e, s, pin)
	case elSwitch:
		if s.Select[p.r.Boards[e.board].Name] == e.lug {
			n.Resistor(e.name, lug(e.a), lug(e.b), s.corner(e.ohm, e.tol, Weak))
		} else {
			n.Switch(e.name, lug(e.a), lug(e.b), false)
		}
	case elPull:
		n.Resistor(e.name, lug(e.a), lug(e.b), s.corner(e.ohm, e.tol, Weak))
	case elLoad:
		n.Resistor(e.name, lug(e.a), lug(e.b), e.ohm)
	case elOut:
		to := e.b
		if !s.closed(e.control, e.contact) {
			to = e.wiper
		}
		n.Resistor(e.name, lug(e.a), lug(to), e.ohm)
	}
}

// supply moves a supply within what it may be.
func (s State) supply(v float64, port bool) float64 {
	if s.Corner == Nominal || s.even {
		return v
	}
	if usb, ok := electric.PortIn(electric.PoorHub); ok && port && abs(v-usb.Volt.Nom) < 0.1 {
		if s.Corner == Strong {
			return usb.Volt.Max
		}
		return usb.Volt.Min
	}
	return s.corner(v, 100*regulatorTol, Strong)
}

// closed reports whether a contact is closed in a state.
func (s State) closed(c *panel.Control, contact int) bool {
	if contact < 0 {
		return false
	}
	k := &c.Part.Circuit
	x := k.Contacts[contact]
	if x.Phase != "" {
		return slices.Contains([]string{x.Phase, "AB"}, s.Phase[c.Name])
	}
	at, ok := s.At[c.Name]
	if !ok && len(k.Positions) > 0 {
		at = k.Positions[0]
	}
	return slices.Contains(x.Closed, at)
}

// lampIdeal and lampOhm shape the curve of a lamp round the one point that its record tells. Common practice: ideality about 2, a few ohm.
const (
	lampIdeal = 2
	lampOhm   = 3
)

// lampCurve is the curve of the lamp of a part that drops more by so many V.
func lampCurve(d catalog.LampData, more float64) circuit.Diode {
	drop, amp := d.Drop, d.Current/1000
	if amp <= 0 {
		amp = 0.01
	}
	if drop <= 0 {
		drop = 2
	}
	c, err := circuit.Fit(max(drop+more, 0.2), amp, lampIdeal, lampOhm)
	if err != nil {
		c, _ = circuit.Fit(2, 0.01, lampIdeal, lampOhm)
	}
	return c
}

// lampSpread is by how much lamps of the kind drop less and more than usual, V.
func lampSpread(d catalog.LampData) (less, more float64) {
	if x, ok := electric.DropOf(d.Colour); ok {
		return x.Volt.Nom - x.Volt.Min, x.Volt.Max - x.Volt.Nom
	}
	return 0.2, 0.3
}

func (p *parts) putLamp(n *circuit.Network, e *element, s State, lug func(int) string) {
	d := e.control.Part.Lamp
	more := 0.0
	less, most := lampSpread(d)
	switch s.Corner {
	case Strong:
		more -= less
	case Weak:
		more += most
	}
	from := lug(e.a)
	if e.ohm > 0 {
		n.Resistor(e.name+" inside", from, "inside "+e.name, s.corner(e.ohm, e.tol, Weak))
		from = "inside " + e.name
	}
	n.Diode(e.name, from, lug(e.b), lampCurve(d, more))
}

// heldOhm keeps an input that nothing drives from having no voltage at all, ohm: far above all pull-ups.
const heldOhm = 1e9

// putPin adds what is in a pin: an output, or a pull-up and its leakage.
func (p *parts) putPin(n *circuit.Network, e *element, s State, pin func(int) string) {
	d := p.r.Boards[e.board].Part.Board
	at := pin(e.a)
	if e.signal < 0 || e.signal >= len(p.r.Signals) {
		n.Resistor(e.name, at, circuit.Ground, heldOhm)
		return
	}
	switch kind := p.r.Signals[e.signal].Kind; {
	case p.r.Boards[e.board].Part.Board.Role == roleAnalogIn || pinOf(d, e.lug).Bus != "": // it looks on
		n.Resistor(e.name, at, circuit.Ground, heldOhm)
	case kind == SigLamp || kind == SigDrive:
		inside := "inside " + e.name
		v, ohm := 0.0, max(d.OutLow, 1)
		if s.Lit && kind == SigLamp || s.High[e.signal] {
			v, ohm = s.supply(p.volts[p.logic[e.board]], p.volts[p.logic[e.board]] > 4.5), max(d.OutHigh, 1)
		}
		n.Voltage(e.name, inside, circuit.Ground, v)
		n.Resistor(e.name+" resistance", inside, at, s.corner(ohm, 30, Weak))
	case s.Low[e.signal]:
		n.Resistor(e.name, at, circuit.Ground, max(d.OutLow, 1))
	default:
		from := p.nodes[p.logic[e.board]]
		if d.Role == roleModule {
			from = pin(p.logic[e.board])
		}
		p.putInput(n, e, s, at, from, p.pulled(kind))
	}
}

// pulled reports whether the program switches the built-in pull-up of a lead of a kind on.
func (p *parts) pulled(kind SignalKind) bool {
	switch kind {
	case SigContact, SigPhase:
		return true
	case SigRow, SigColumn:
		m := p.r.Plan.Matrix
		return m == nil || (kind == SigColumn) == m.ToRow
	}
	return false
}

func (p *parts) putInput(n *circuit.Network, e *element, s State, at, from string, pulled bool) {
	d := p.r.Boards[e.board].Part.Board
	n.Resistor(e.name, at, circuit.Ground, heldOhm)
	if pulled && d.PullUp != nil && d.PullUp[0] > 0 && d.PullUp[1] >= d.PullUp[0] {
		ohm := math.Sqrt(d.PullUp[0] * d.PullUp[1])
		switch s.Corner {
		case Strong:
			ohm = d.PullUp[0]
		case Weak:
			ohm = d.PullUp[1]
		}
		n.Resistor(e.name+" pull-up", from, at, ohm)
	}
	if d.Leak > 0 {
		switch s.Corner {
		case Strong:
			n.Current(e.name+" leak", circuit.Ground, at, d.Leak*1e-6)
		case Weak:
			n.Current(e.name+" leak", at, circuit.Ground, d.Leak*1e-6)
		}
	}
}
