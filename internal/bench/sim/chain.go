package sim

import (
	"cmp"
	"math"
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/trade/wiring"
)

// chains reads the shift-in boards bit by bit: each takes its eight lines in when load goes low, and hands them on at each clock.
func (c *scan) chains() {
	var boards []wiring.Board
	for _, b := range c.n.job.Wiring.Boards {
		if b.Part.Board != nil && b.Part.Board.Role == "shift-in" {
			boards = append(boards, b)
		}
	}
	slices.SortStableFunc(boards, func(a, b wiring.Board) int { return cmp.Compare(a.Chain, b.Chain) })
	for _, x := range c.t.chains {
		c.chain(x, boards)
	}
}

// register is one board of the chain.
type register struct {
	board        wiring.Board
	fed          bool
	loads, ticks bool // load and clock reach it
	bits         [8]bool
	in, out      int // nodes
}

func (c *scan) chain(x core.Chain, boards []wiring.Board) {
	ph := &phase{drives: c.base}
	data, load, clock := c.portNode(x.Data), c.portNode(x.Load), c.portNode(x.Clock)
	regs := make([]register, len(boards))
	for i, b := range boards {
		r := &regs[i]
		r.board, r.fed, r.in, r.out = b, c.supply(b) >= 1.8, -1, -1
		if p := pinsOf(b, "data-in"); len(p) > 0 {
			r.in = c.n.at(p[0])
		}
		if p := pinsOf(b, "data-out"); len(p) > 0 {
			r.out = c.n.at(p[0])
		}
		same := func(bus string, node int) bool {
			p := pinsOf(b, bus)
			return len(p) > 0 && node >= 0 && c.n.at(p[0]) == node
		}
		r.loads, r.ticks = same("load", load), same("clock", clock)
		k := b.Part.Board
		ph := ph
		if k.PullUp != nil && r.fed { // on the board
			ph = &phase{drives: slices.Clone(c.base)}
			for _, at := range linesOf(b) {
				if !c.n.noUp[at] {
					ph.drives = append(ph.drives, drive{c.n.at(at), c.supply(b), middle(k.PullUp, 10e3)})
				}
			}
		}
		for j, at := range linesOf(b) {
			if j < 8 && r.loads {
				r.bits[j] = c.reads(c.n.at(at), k.Low, k.High, ph)
			}
		}
	}
	// level is what a register, or the module, finds at a node while the outputs are as they are.
	level := func(node int) bool {
		for i := range regs {
			if r := &regs[i]; r.fed && r.out == node && node > 0 {
				return r.bits[7]
			}
		}
		if node < 0 {
			return c.hum(9998)
		}
		if v, ok := c.n.hold(node, ph); ok {
			return v > 1
		}
		return c.reads(node, 0.8, 2, ph)
	}
	for bit := range int(x.Bits) {
		c.set(int(x.Raw)+bit, level(data) == x.Inverted)
		var next []bool
		for i := range regs {
			next = append(next, level(regs[i].in))
		}
		for i := range regs {
			if r := &regs[i]; r.ticks {
				copy(r.bits[1:], r.bits[:7])
				r.bits[0] = next[i]
			}
		}
	}
}

func (c *scan) portNode(pin uint8) int {
	if at, ok := c.n.ports[pin]; ok {
		return c.n.at(at)
	}
	return -1
}

// voltages reads the axes and the ladders.
func (c *scan) voltages() {
	most := 0
	for _, a := range c.t.analog {
		most = max(most, int(a.Axis)+1)
	}
	c.out.axes = make([]uint16, most)
	for _, a := range c.t.analog {
		if a.Mux == core.No || int(a.Mux) >= len(c.t.muxes) {
			c.out.axes[a.Axis] = c.volt(c.n.chans[a.Channel], &phase{drives: c.base}, int(a.Axis))
			continue
		}
		m := c.t.muxes[a.Mux]
		ph := &phase{drives: slices.Clone(c.base)}
		for i, pin := range m.Select {
			if pin == core.No {
				continue
			}
			at := c.portNode(pin)
			ph.drives = slices.DeleteFunc(ph.drives, func(d drive) bool { return d.node == at })
			ph.drives = append(ph.drives, c.force(pin, a.Line>>i&1 != 0)...)
		}
		c.channels(ph)
		c.out.axes[a.Axis] = c.volt(c.n.chans[m.Channel], ph, int(a.Axis))
	}
	for _, l := range c.t.ladders {
		v := c.volt(c.n.chans[l.Channel], &phase{drives: c.base}, 0)
		for k, limit := range l.Limits {
			if v <= limit {
				c.set(int(l.Raw)+k, true)
				break
			}
		}
	}
}

// channels joins, in every multiplexer board that is fed, the line that its select pins ask for to its output. 80 ohm is what a 74HC4051
// has at 4.5 V, from memory.
func (c *scan) channels(ph *phase) {
	for _, b := range c.n.job.Wiring.Boards {
		k := b.Part.Board
		if k == nil || k.Role != "analog-in" || c.supply(b) < 1.8 {
			continue
		}
		if slices.ContainsFunc(pinsOf(b, "low"), func(at wiring.Terminal) bool { return c.n.at(at) != 0 }) {
			continue // not enabled
		}
		line := 0
		for i, at := range pinsOf(b, "select") {
			if c.reads(c.n.at(at), k.Low, k.High, ph) {
				line |= 1 << i
			}
		}
		all := linesOf(b)
		var outs []wiring.Terminal
		for _, p := range k.Pins {
			if p.Bus == "data-out" || p.Bus == "out" {
				outs = append(outs, wiring.Terminal{Of: b.Name, Lug: p.Lug})
			}
		}
		if line < len(all) && len(outs) > 0 {
			ph.links = append(ph.links, link{c.n.at(all[line]), c.n.at(outs[0]), 80})
		}
	}
}

// volt reads a voltage as a part of 65535, with the steps of the converter and its noise.
func (c *scan) volt(at wiring.Terminal, ph *phase, axis int) uint16 {
	m := c.module()
	node := c.n.at(at)
	full := float64(int(1)<<max(m.AnalogBits, 8) - 1)
	if node < 0 {
		return 0
	}
	got := c.n.around(node, c.s, ph)
	v := got.volts[node] / m.Volts
	if _, fixed := c.n.hold(node, ph); !fixed && got.loose[node] {
		c.out.loose = true
		v = 0.35 + 0.25*math.Sin(float64(c.ms)/37+float64(axis)) // what was in the converter before, and hum
	}
	v = math.Round(min(max(v, 0), 1)*full) / full
	return uint16(math.Round(v * 65535))
}
