package wiring

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
)

// railLoad adds up what hangs on a supply, mA: what flows always, and the most when everything is lit and pressed.
func (c *checker) railLoad(node int, pins map[Terminal]*flow) (usual, most float64, devices []int) {
	p := c.p
	for i := range p.list {
		e := &p.list[i]
		switch {
		case e.kind == elLoad && e.a == node:
			pw := e.control.Part.Circuit.Powered
			usual, most = usual+pw.Current, most+pw.Current
			devices = append(devices, c.deviceOf(e))
		case e.kind == elTrack && (e.a == node || e.b == node):
			amp := p.volts[node] / e.ohm * 1000
			usual, most = usual+amp, most+amp/(1-e.tol/100)
			devices = append(devices, e.device)
		case e.kind == elPull && e.a == node:
			most += p.volts[node] / e.ohm * 1000
		case e.kind == elOut && e.wiper == node: // in what its part takes
		case e.kind == elResistor && (e.a == node || e.b == node) && !c.ofLamp(i):
			amp := c.steady(i)
			usual, most = usual+amp, most+amp*1.1
			if e.device >= 0 {
				devices = append(devices, e.device)
			}
		}
	}
	for _, l := range c.r.Power.Lamps {
		if l.Supply == c.supplyName(node) {
			usual, most = usual+l.Nominal, most+l.Most
			devices = append(devices, l.Device)
		}
	}
	for i := range c.r.Boards {
		b := &c.r.Boards[i]
		d := b.Part.Board
		if d == nil || p.logic[i] != node {
			continue
		}
		if d.Role != roleModule {
			usual, most = usual+d.Own, most+d.Own
		}
		for _, x := range d.Pins {
			if f := pins[Terminal{b.Name, x.Lug}]; f != nil {
				most += f.nominal
			}
		}
	}
	for _, in := range c.r.Power.Inputs {
		if board, _ := c.inputPin(in.Signal); board >= 0 && p.logic[board] == node {
			most += min(in.Current, c.pullAmp(board)) // what its lamp takes is not of this supply
		}
	}
	return usual, most, devices
}

// pullAmp is what a pull-up of a board gives at most, mA.
func (c *checker) pullAmp(board int) float64 {
	if u := c.r.Boards[board].Part.Board.PullUp; u != nil && u[0] > 0 {
		return c.nodeVolts(board) / u[0] * 1000
	}
	return 0
}

// ofLamp reports whether a resistor is that of a lamp.
func (c *checker) ofLamp(el int) bool {
	e := &c.p.list[el]
	for _, n := range []int{e.a, e.b} {
		if c.p.fixed[n] {
			continue
		}
		for _, k := range c.p.near[n] {
			if c.p.list[k].kind == elLamp {
				return true
			}
		}
	}
	return false
}

// steady is the current through a resistor of a ladder, with everything at rest, mA.
func (c *checker) steady(el int) float64 {
	e := &c.p.list[el]
	n := e.a
	if c.p.fixed[n] {
		n = e.b
	}
	if c.p.fixed[n] {
		return abs(c.p.volts[e.a]-c.p.volts[e.b]) / e.ohm * 1000
	}
	a, err := c.p.network(c.p.around(n), State{}, nil).Solve()
	if err != nil {
		return 0
	}
	return math.Abs(a.I(e.name)) * 1000
}

// judgeRails compares supplies with what they give.
func (c *checker) judgeRails(pins map[Terminal]*flow) {
	for _, x := range c.w.rails {
		node := slices.Index(c.p.nodes, x.name)
		if node < 0 {
			continue
		}
		_, most, devices := c.railLoad(node, pins)
		c.r.Power.Rails = append(c.r.Power.Rails, Rail{Name: x.name, Volts: x.volts, Load: most, Gives: x.gives})
		if most <= x.gives || x.gives <= 0 {
			continue
		}
		ends := c.ends(devices)
		c.w.found(ruleAmpRail, finding.Finding{
			Head: x.name + " of the module gives " + amount(x.gives) + " mA, and up to " + amount(most) + " mA are taken from it.",
			Body: "Feed a part of it from another supply, or take lamps and displays that want less.", Ends: append(ends[:min(len(ends), mostLampEnds)], c.w.moduleEnd()),
			Measure: &finding.Measure{Have: most, Want: x.gives, Unit: "mA", Sense: finding.AtMost}, Source: c.r.Boards[c.w.module].Part.Source("board.supplies"),
		})
	}
}

// hungry lists the devices that take most, the worst first.
func (c *checker) hungry() []int {
	takes := map[int]float64{}
	var out []int
	add := func(d int, mA float64) {
		if d < 0 {
			return
		}
		if _, ok := takes[d]; !ok {
			out = append(out, d)
		}
		takes[d] += mA
	}
	for i := range c.p.list {
		if e := &c.p.list[i]; e.kind == elLoad {
			add(c.deviceOf(e), e.control.Part.Circuit.Powered.Current)
		}
	}
	for _, l := range c.r.Power.Lamps {
		add(l.Device, l.Nominal)
	}
	slices.SortStableFunc(out, func(a, b int) int { return -cmp.Compare(takes[a], takes[b]) })
	return out
}

// against writes a number so that it does not look like the limit that it passes.
func against(v, limit float64) string {
	if amount(v) == amount(limit) {
		return plain(v)
	}
	return amount(v)
}

// judgePort adds up what the USB port gives.
func (c *checker) judgePort(pins map[Terminal]*flow) {
	rest, lit, loud := 0.0, 0.0, 0.0
	seen := map[int]bool{}
	for n := range c.p.nodes {
		if c.p.fixed[n] && n != 0 && !seen[n] {
			seen[n] = true
			usual, _, _ := c.railLoad(n, nil)
			rest += usual
		}
	}
	rest += c.w.moduleBoard().Own
	for i := range c.r.Boards { // in order, so that sums are the same every time
		b := &c.r.Boards[i]
		if b.Part.Board == nil {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			switch f := pins[Terminal{b.Name, p.Lug}]; {
			case f == nil:
			case f.lamps > 0:
				lit += f.nominal
			default:
				loud += f.nominal
			}
		}
	}
	pw := &c.r.Power
	pw.Before, pw.Rest, pw.After = rest, rest, rest+lit
	ends := c.ends(c.hungry())
	ends = append(ends[:min(len(ends), mostLampEnds)], c.w.moduleEnd())
	full, _ := electric.PortIn(electric.Configured)
	first, _ := electric.PortIn(electric.Waiting)
	hub, _ := electric.PortIn(electric.PoorHub)
	all := pw.After + loud
	what := "with all lamps lit"
	if loud > 0 {
		what = "with everything on"
	}
	switch {
	case all > full.Amp*1000:
		c.w.found(ruleAmpPort, finding.Finding{
			Severity: finding.Stop, Head: "The panel takes " + against(all, full.Amp*1000) + " mA " + what + "; a USB port gives " + amount(full.Amp*1000) + " mA.", Body: "The computer switches the port off. Light fewer lamps at once, or give the lamps a supply of their own.",
			Ends: ends, Measure: &finding.Measure{Have: all, Want: full.Amp * 1000, Unit: "mA", Sense: finding.AtMost}, Source: full.Source,
		})
	case pw.Before > first.Amp*1000:
		c.w.found(ruleAmpPort, finding.Finding{
			Severity: finding.Warn, Head: "The panel takes " + against(pw.Before, first.Amp*1000) + " mA from the moment it is plugged in; until the computer has accepted it, a port owes " + amount(first.Amp*1000) + " mA.",
			Body: "Most computers give more. Behind a hub that has no supply of its own it may not start: plug it into the computer.", Ends: ends,
			Measure: &finding.Measure{Have: pw.Before, Want: first.Amp * 1000, Unit: "mA", Sense: finding.AtMost}, Source: first.Source,
		})
	case all > hub.Amp*1000:
		c.w.found(ruleAmpPort, finding.Finding{
			Head: "The panel takes " + against(all, hub.Amp*1000) + " mA " + what + ": too much for a hub that has no supply of its own, which gives " + amount(hub.Amp*1000) + " mA.",
			Body: "Plug it into the computer, or into a hub with a supply.", Ends: ends,
			Measure: &finding.Measure{Have: all, Want: hub.Amp * 1000, Unit: "mA", Sense: finding.AtMost}, Source: hub.Source,
		})
	}
	c.tell("From the port: %s mA as it is plugged in, %s mA %s; a port gives %s mA before it knows the panel and %s mA after.",
		amount(pw.Before), amount(all), what, amount(first.Amp*1000), amount(full.Amp*1000))
}
