package sim

import (
	"math"
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/catalog"
	"knobwright/internal/trade/wiring"
)

// snapshot is what one look of the module gives.
type snapshot struct {
	raw   []byte
	axes  []uint16
	loose bool // something read hangs in the air: the next look may give something else
}

// scan is one look of the module at everything.
type scan struct {
	n    *network
	t    *table
	s    *state
	ms   int // since the panel was switched on
	out  snapshot
	base []drive // what is driven all the time
}

func (p *Panel) look(ms int) snapshot {
	c := scan{n: p.net, t: p.table, s: &p.where, ms: ms}
	c.out.raw = make([]byte, p.table.raw)
	c.base = c.standing()
	c.direct()
	c.matrix()
	c.expanders()
	c.chains()
	c.voltages()
	return c.out
}

// module is the record of the module's board.
func (c *scan) module() *catalog.Board {
	for _, b := range c.n.job.Wiring.Boards {
		if b.Part.Board != nil && b.Part.Board.Role == "module" {
			return b.Part.Board
		}
	}
	return &catalog.Board{Volts: 3.3, Low: 0.8, High: 2}
}

func middle(r *[2]float64, usual float64) float64 {
	if r == nil || r[1] <= 0 {
		return usual
	}
	return (r[0] + r[1]) / 2
}

func orOhm(v, usual float64) float64 {
	if v > 0 {
		return v
	}
	return usual
}

// pull is the built-in resistor to the supply of a pin of the module, if it has one.
func (c *scan) pull(pin uint8) []drive {
	at, ok := c.n.ports[pin]
	if !ok || c.n.noUp[at] {
		return nil
	}
	m := c.module()
	return []drive{{c.n.at(at), m.Volts, middle(m.PullUp, 50e3)}}
}

// force drives a pin of the module.
func (c *scan) force(pin uint8, high bool) []drive {
	at, ok := c.n.ports[pin]
	if !ok {
		return nil
	}
	m := c.module()
	if high {
		return []drive{{c.n.at(at), m.Volts, orOhm(m.OutHigh, 50)}}
	}
	return []drive{{c.n.at(at), 0, orOhm(m.OutLow, 50)}}
}

// standing is what is driven all the time: pull-ups of inputs, lines of chains, buses at rest, lamps.
func (c *scan) standing() []drive {
	var out []drive
	add := func(d []drive) { out = append(out, d...) }
	for _, d := range c.t.direct {
		if d.PullUp {
			add(c.pull(d.Pin))
		}
	}
	if m := c.t.matrix; m != nil {
		for _, pin := range m.Columns {
			add(c.pull(pin))
		}
	}
	for _, x := range c.t.chains {
		add(c.force(x.Load, true))
		add(c.force(x.Clock, false))
	}
	bus := map[uint8]bool{}
	for _, x := range c.t.expand {
		for _, pin := range []uint8{x.Data, x.Clock} {
			if !bus[pin] {
				bus[pin] = true
				add(c.pull(pin))
			}
		}
	}
	for _, m := range c.t.muxes {
		for _, pin := range m.Select {
			if pin != core.No {
				add(c.force(pin, false))
			}
		}
	}
	for _, l := range c.t.lamps {
		at, ok := c.n.ports[l.Pin]
		add(c.force(l.Pin, ok && c.n.lights(at, c.s) != l.Low))
	}
	for _, b := range c.n.job.Wiring.Boards {
		if k := b.Part.Board; k != nil && k.Role == "expander" && k.Resistors > 0 {
			for _, p := range k.Pins {
				if v := c.supply(b); v > 1 && (p.Bus == "sda" || p.Bus == "scl") {
					out = append(out, drive{c.n.at(wiring.Terminal{Of: b.Name, Lug: p.Lug}), v, k.Resistors})
				}
			}
		}
	}
	return out
}

// lights tells whether the lamp whose lead is meant to go to a pin is told to light.
func (n *network) lights(at wiring.Terminal, s *state) bool {
	for i, x := range n.job.Wiring.Signals {
		if (x.Kind == wiring.SigLamp || x.Kind == wiring.SigDrive && x.Device >= 0) && n.job.Wiring.Plan.Seats[i].Pin == at {
			return s.lit[i]
		}
	}
	return false
}

// supply is the voltage between the supply and the ground of a board, V.
func (c *scan) supply(b wiring.Board) float64 {
	ph := &phase{}
	plus, minus := math.NaN(), math.NaN()
	for _, p := range b.Part.Board.Pins {
		k := c.n.at(wiring.Terminal{Of: b.Name, Lug: p.Lug})
		if k < 0 {
			continue
		}
		switch p.Kind {
		case catalog.PinSupply:
			if v, ok := c.n.hold(k, ph); ok && !(v <= plus) {
				plus = v
			}
		case catalog.PinGround:
			if k == 0 {
				minus = 0
			}
		}
	}
	if math.IsNaN(plus) || math.IsNaN(minus) {
		return 0
	}
	return plus - minus
}

// hum is what a pin that hangs in the air reads: 50 Hz, with a phase of its own.
func (c *scan) hum(node int) bool {
	c.out.loose = true
	return (c.ms/10+node*7)%2 == 0
}

// reads tells what a digital pin reads at a node: true is high.
func (c *scan) reads(node int, low, high float64, ph *phase) bool {
	if node < 0 {
		return c.hum(9999)
	}
	got := c.n.around(node, c.s, ph)
	if got.loose[node] {
		return c.hum(node)
	}
	return got.volts[node] > (low+high)/2
}

// sees does the same for a pin of the module.
func (c *scan) sees(pin uint8, ph *phase) bool {
	m := c.module()
	at, ok := c.n.ports[pin]
	if !ok {
		return true
	}
	return c.reads(c.n.at(at), m.Low, m.High, ph)
}

func (c *scan) set(bit int, on bool) {
	if on && bit/8 < len(c.out.raw) {
		c.out.raw[bit/8] |= 1 << (bit % 8)
	}
}

func (c *scan) direct() {
	ph := &phase{drives: c.base}
	for _, d := range c.t.direct {
		c.set(int(d.Raw), !c.sees(d.Pin, ph))
	}
}

// matrix pulls one row low after the other; the rows that wait are let go.
func (c *scan) matrix() {
	m := c.t.matrix
	if m == nil {
		return
	}
	for r, row := range m.Rows {
		ph := &phase{drives: append(slices.Clone(c.base), c.force(row, false)...)}
		for k, column := range m.Columns {
			c.set(int(m.Raw)+r*len(m.Columns)+k, !c.sees(column, ph))
		}
	}
}

// pinsOf finds the pins of a board by what they do on a bus.
func pinsOf(b wiring.Board, bus string) []wiring.Terminal {
	var out []wiring.Terminal
	for _, p := range b.Part.Board.Pins {
		if p.Bus == bus {
			out = append(out, wiring.Terminal{Of: b.Name, Lug: p.Lug})
		}
	}
	return out
}

// linesOf lists the lines of a board, in order.
func linesOf(b wiring.Board) []wiring.Terminal {
	var out []wiring.Terminal
	for _, p := range b.Part.Board.Pins {
		if p.Kind == catalog.PinIO && p.Bus == "" {
			out = append(out, wiring.Terminal{Of: b.Name, Lug: p.Lug})
		}
	}
	return out
}

// answers tells whether an expander board hears and speaks on the bus of two pins: it is fed, and each of its lines follows its pin
// down and comes up again.
func (c *scan) answers(b wiring.Board, data, clock uint8) bool {
	k := b.Part.Board
	v := c.supply(b)
	if v < 1.8 {
		return false
	}
	for bus, pin := range map[string]uint8{"sda": data, "scl": clock} {
		at, ok := c.n.ports[pin]
		its := pinsOf(b, bus)
		if !ok || len(its) == 0 {
			return false
		}
		node, own := c.n.at(its[0]), c.n.at(at)
		up := &phase{drives: c.base}
		down := &phase{drives: append(slices.Clone(c.base), c.force(pin, false)...)}
		if !c.firm(node, up, 0.7*v) || !c.firm(own, up, 0.7*v) || c.firm(node, down, 0.3*v) {
			return false
		}
		// the board must be able to pull the module's pin down, too
		back := &phase{drives: append(slices.Clone(c.base), drive{node, 0, orOhm(k.OutLow, 50)})}
		if c.firm(own, back, 0.3*v) {
			return false
		}
	}
	return true
}

// firm tells whether a node is held at a voltage or above.
func (c *scan) firm(node int, ph *phase, volts float64) bool {
	if node < 0 {
		return false
	}
	got := c.n.around(node, c.s, ph)
	return !got.loose[node] && got.volts[node] >= volts
}

func (c *scan) expanders() {
	for _, x := range c.t.expand {
		for _, b := range c.n.job.Wiring.Boards {
			if b.Part.Board == nil || b.Part.Board.Role != "expander" || b.Address != int(x.Address) || !c.answers(b, x.Data, x.Clock) {
				continue
			}
			c.lines(b, x)
			break
		}
	}
}

// lines reads the lines of an expander: those that are inputs have a pull-up, the others are driven.
func (c *scan) lines(b wiring.Board, x core.Expander) {
	k, v := b.Part.Board, c.supply(b)
	all := linesOf(b)
	ph := &phase{drives: slices.Clone(c.base)}
	for i, at := range all {
		node := c.n.at(at)
		switch {
		case x.Inputs>>i&1 != 0:
			if !c.n.noUp[at] {
				ph.drives = append(ph.drives, drive{node, v, middle(k.PullUp, 100e3)})
			}
		case c.n.lights(at, c.s):
			ph.drives = append(ph.drives, drive{node, v, orOhm(k.OutHigh, 50)})
		default:
			ph.drives = append(ph.drives, drive{node, 0, orOhm(k.OutLow, 50)})
		}
	}
	scale := 1.0
	if k.Volts > 0 {
		scale = v / k.Volts
	}
	for i, at := range all {
		if x.Inputs>>i&1 != 0 {
			c.set(int(x.Raw)+i, !c.reads(c.n.at(at), k.Low*scale, k.High*scale, ph))
		}
	}
}
