package wiring

import (
	"math"
	"slices"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
)

// flow is what a pin gives.
type flow struct {
	nominal, most float64 // mA
	devices       []int
	lamps         int // of them
}

func (f *flow) add(nominal, most float64, device int, lamp bool) {
	f.nominal += nominal
	f.most += most
	if !slices.Contains(f.devices, device) {
		f.devices = append(f.devices, device)
	}
	if lamp {
		f.lamps++
	}
}

// currents adds up what flows: by pin, by group of pins, of all pins, by supply, and from the port.
func (c *checker) currents() {
	pins := c.pinFlows()
	c.judgePins(pins)
	c.judgeRails(pins)
	c.judgePort(pins)
}

// pinFlows finds what each pin that drives something gives.
func (c *checker) pinFlows() map[Terminal]*flow {
	work := map[int]LampWork{}
	for _, l := range c.r.Power.Lamps {
		work[l.Device] = l
	}
	out := map[Terminal]*flow{}
	at := func(node int) *flow {
		for _, k := range c.p.near[node] {
			if e := &c.p.list[k]; e.kind == elPin && e.signal >= 0 && !c.p.fixed[node] {
				if kind := c.r.Signals[e.signal].Kind; kind == SigLamp || kind == SigDrive {
					t := Terminal{c.r.Boards[e.board].Name, e.lug}
					if out[t] == nil {
						out[t] = &flow{}
					}
					return out[t]
				}
			}
		}
		return nil
	}
	for i := range c.p.list {
		e := &c.p.list[i]
		switch e.kind {
		case elLamp:
			l := c.litLamp(i)
			if l.pin < 0 {
				continue
			}
			if f := at(c.p.list[l.pin].a); f != nil {
				w := work[e.device]
				f.add(w.Nominal, w.Most, e.device, true)
			}
		case elLoad:
			pw := e.control.Part.Circuit.Powered
			if !pw.Switch {
				continue
			}
			if f := at(e.a); f != nil {
				f.add(pw.Current, pw.Current, c.deviceOf(e), false)
			}
		}
	}
	return out
}

func (c *checker) deviceOf(e *element) int {
	return slices.IndexFunc(c.r.Devices, func(d Device) bool { return d.Control == e.control })
}

// closeShare is the share of a limit of many pins from which it is worth a word: half of all panels lie above what is reckoned.
const closeShare = 0.9

// judgePins compares pins, groups of pins, and all pins of a board with their limits.
func (c *checker) judgePins(pins map[Terminal]*flow) {
	type loaded struct {
		board int
		flow  flow
	}
	var busy []loaded // the busiest board of each kind
	for i := range c.r.Boards {
		b := &c.r.Boards[i]
		d := b.Part.Board
		if d == nil {
			continue
		}
		var all flow
		for _, p := range d.Pins {
			f := pins[Terminal{b.Name, p.Lug}]
			if f == nil {
				continue
			}
			c.judgePin(i, Terminal{b.Name, p.Lug}, f)
			all.join(f)
		}
		for _, g := range d.Groups {
			var sum flow
			for _, lug := range g.Pins {
				if f := pins[Terminal{b.Name, lug}]; f != nil {
					sum.join(f)
				}
			}
			if g.Most > 0 && sum.nominal > closeShare*g.Most {
				c.tooMuch(i, "The pins of "+g.Title+" of "+b.Label, sum, g.Most, "board.groups")
			}
		}
		if d.AllMost > 0 && all.nominal > closeShare*d.AllMost {
			c.tooMuch(i, "All pins of "+b.Label+" together", all, d.AllMost, "board.all-most")
		}
		if len(all.devices) == 0 {
			continue
		}
		k := slices.IndexFunc(busy, func(x loaded) bool { return c.alike(x.board, i) })
		switch {
		case k < 0:
			busy = append(busy, loaded{i, all})
		case busy[k].flow.nominal < all.nominal:
			busy[k] = loaded{i, all}
		}
	}
	for _, x := range busy {
		b := &c.r.Boards[x.board]
		c.tell("The pins of %s give %s mA in all with everything lit, up to %s mA with all tolerances for it; it bears %s mA.", b.Label, amount(x.flow.nominal), amount(x.flow.most), amount(b.Part.Board.AllMost))
	}
}

func (f *flow) join(g *flow) {
	f.nominal += g.nominal
	f.most += g.most
	f.devices = append(f.devices, g.devices...)
	f.lamps += g.lamps
}

func (c *checker) judgePin(board int, t Terminal, f *flow) {
	b := &c.r.Boards[board]
	d := b.Part.Board
	ends := append(c.ends(f.devices), c.boardEnd(board))
	name := several(c.labels(f.devices))
	lamp := f.lamps > 0
	cure := "Let a small transistor switch it, and a supply feed it."
	if lamp {
		cure = "Give it a larger resistor, or let a small transistor switch it."
	}
	var fixes []finding.Fix
	if !lamp && len(f.devices) == 1 {
		fixes = c.fixAll(f.devices, "via", "none", "Leave it out of the wiring")
	}
	switch {
	case d.PinMost > 0 && f.most > d.PinMost*1.0001:
		c.w.found(ruleAmpPin, finding.Finding{
			Severity: finding.Stop, Head: name + " can take " + amount(f.most) + " mA from " + c.w.sayPin(t) + "; it gives " + amount(d.PinMost) + " mA at the very most.", Body: cure, Ends: ends,
			Measure: &finding.Measure{Have: f.most, Want: d.PinMost, Unit: "mA", Sense: finding.AtMost}, Source: b.Part.Source("board.pin-most"), Fixes: fixes,
		})
	case d.PinUsual > 0 && f.nominal > d.PinUsual*1.1:
		c.w.found(ruleAmpPin, finding.Finding{
			Head: name + " takes " + amount(f.nominal) + " mA from " + c.w.sayPin(t) + ", which is made for " + amount(d.PinUsual) + " mA.",
			Body: "Its voltage sinks under that. Set the pin to a stronger drive in the program if it has one. " + cure, Ends: ends,
			Measure: &finding.Measure{Have: f.nominal, Want: d.PinUsual, Unit: "mA", Sense: finding.AtMost}, Source: b.Part.Source("board.pin-usual"), Fixes: fixes,
		})
	}
}

// tooMuch says that several pins together give more than they may.
func (c *checker) tooMuch(board int, what string, f flow, most float64, field string) {
	ends := c.ends(f.devices)
	ends = append(ends[:min(len(ends), mostLampEnds)], c.boardEnd(board))
	x := finding.Finding{
		Head: what + " give " + amount(f.nominal) + " mA with everything lit, of " + amount(most) + " mA that they may.", Ends: ends,
		Body:    "Fewer lamps at once in the program, larger resistors, or lamps fed from a supply through transistors.",
		Measure: &finding.Measure{Have: f.nominal, Want: most, Unit: "mA", Sense: finding.AtMost}, Source: c.r.Boards[board].Part.Source(field),
	}
	// A resistor of the next value up gives less than what is asked for: what is asked for may be the share of each lamp.
	bare := 0.0
	n := 0
	for _, d := range f.devices {
		if v := &c.r.Devices[d]; v.Kind == DevLamp && v.Control.Part.Lamp.Rated <= 0 {
			n++
			for _, l := range c.r.Power.Lamps {
				if l.Device == d {
					bare += l.Nominal
				}
			}
		}
	}
	if n > 0 && most > f.nominal-bare {
		if each := math.Floor(10*(most-(f.nominal-bare))/float64(n)*0.95) / 10; each >= 0.5 {
			x.Fixes = []finding.Fix{{
				Say: "Give each lamp " + amount(each) + " mA", Short: "lamps: {current: " + plain(each) + "}",
				Edits: []finding.Edit{{Op: finding.Set, Path: "wiring.lamps.current", Value: plain(each)}},
			}}
		}
	}
	r := ruleAmpPins
	if f.nominal <= most {
		r.Severity = finding.Note
		x.Head = what + " give " + plain(f.nominal) + " mA with everything lit, close to the " + plain(most) + " mA that they may."
		x.Measure.Want = closeShare * most
		x.Body = "With lamps and resistors at the bright end of their tolerances it is more. A little less light for each keeps away from the limit."
	}
	c.w.found(r, x)
}

// railLoads adds up what hangs on a supply, mA: what flows always, and the most when everything is lit and pressed.
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

// judgePort adds up what the USB port gives.
func (c *checker) judgePort(pins map[Terminal]*flow) {
	rest, lit, loud := 0.0, 0.0, 0.0
	var devices []int
	seen := map[int]bool{}
	for n := range c.p.nodes {
		if c.p.fixed[n] && n != 0 && !seen[n] {
			seen[n] = true
			usual, _, d := c.railLoad(n, nil)
			rest += usual
			devices = append(devices, d...)
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
	ends := c.ends(devices)
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
			Severity: finding.Stop, Head: "The panel takes " + amount(all) + " mA " + what + "; a USB port gives " + amount(full.Amp*1000) + " mA.", Body: "The computer switches the port off. Light fewer lamps at once, or give the lamps a supply of their own.",
			Ends: ends, Measure: &finding.Measure{Have: all, Want: full.Amp * 1000, Unit: "mA", Sense: finding.AtMost}, Source: full.Source,
		})
	case pw.Before > first.Amp*1000:
		c.w.found(ruleAmpPort, finding.Finding{
			Severity: finding.Warn, Head: "The panel takes " + amount(pw.Before) + " mA from the moment it is plugged in; until the computer has accepted it, a port owes " + amount(first.Amp*1000) + " mA.",
			Body: "Most computers give more. Behind a hub that has no supply of its own it may not start: plug it into the computer.", Ends: ends,
			Measure: &finding.Measure{Have: pw.Before, Want: first.Amp * 1000, Unit: "mA", Sense: finding.AtMost}, Source: first.Source,
		})
	case all > hub.Amp*1000:
		c.w.found(ruleAmpPort, finding.Finding{
			Head: "The panel takes " + amount(all) + " mA " + what + ": too much for a hub that has no supply of its own, which gives " + amount(hub.Amp*1000) + " mA.",
			Body: "Plug it into the computer, or into a hub with a supply.", Ends: ends,
			Measure: &finding.Measure{Have: all, Want: hub.Amp * 1000, Unit: "mA", Sense: finding.AtMost}, Source: hub.Source,
		})
	}
	c.tell("From the port: %s mA as it is plugged in, %s mA %s; a port gives %s mA before it knows the panel and %s mA after.",
		amount(pw.Before), amount(all), what, amount(first.Amp*1000), amount(full.Amp*1000))
}
