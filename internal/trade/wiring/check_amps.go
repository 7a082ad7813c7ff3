package wiring

import (
	"math"
	"slices"

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
		var heavy []heavyPin
		for _, p := range d.Pins {
			f := pins[Terminal{b.Name, p.Lug}]
			if f == nil {
				continue
			}
			c.weighPin(i, Terminal{b.Name, p.Lug}, f, &heavy)
			all.join(f)
		}
		for k := range heavy {
			c.judgePin(&heavy[k])
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

// heavyPin is what a pin gives too much of, and the others of the board with the same to say.
type heavyPin struct {
	board    int
	severity finding.Severity
	part     string // of what hangs on it
	pins     []Terminal
	f        flow // currents of the worst of them
}

// weighPin gathers a pin that gives too much. A lamp may sink the voltage of its pin as long as the pin lives: nobody reads it.
func (c *checker) weighPin(board int, t Terminal, f *flow, heavy *[]heavyPin) {
	d := c.r.Boards[board].Part.Board
	severity := finding.Warn
	switch {
	case d.PinMost > 0 && f.most > d.PinMost*1.0001:
		severity = finding.Stop
	case d.PinUsual <= 0 || f.nominal <= d.PinUsual*1.1:
		return
	case f.lamps > 0 && f.most < d.PinMost/2:
		return
	}
	part := c.r.Devices[f.devices[0]].Control.Part.ID
	for i := range *heavy {
		if h := &(*heavy)[i]; h.board == board && h.severity == severity && h.part == part {
			h.pins = append(h.pins, t)
			h.f.devices = append(h.f.devices, f.devices...)
			h.f.nominal, h.f.most = max(h.f.nominal, f.nominal), max(h.f.most, f.most)
			return
		}
	}
	*heavy = append(*heavy, heavyPin{board, severity, part, []Terminal{t}, flow{f.nominal, f.most, slices.Clone(f.devices), f.lamps}})
}

func (c *checker) judgePin(h *heavyPin) {
	b := &c.r.Boards[h.board]
	d := b.Part.Board
	many := len(h.pins) > 1
	ends := c.ends(h.f.devices)
	ends = append(ends[:min(len(ends), mostLampEnds)], c.boardEnd(h.board))
	name, pin := c.lampNames(h.f.devices), c.w.sayPin(h.pins[0])
	takes, can, it := " takes ", " can take ", "; it gives "
	if many {
		takes, can, it, pin = " take ", " can each take ", "; it gives ", "a pin of "+b.Label
	}
	x := finding.Finding{Severity: h.severity, Ends: ends, Body: "Let a small transistor switch it, and a supply feed it."}
	if lamp := c.r.Devices[h.f.devices[0]].Control.Part.Lamp; h.f.lamps > 0 && lamp.Rated <= 0 {
		x.Body = "Give it a larger resistor, or let a small transistor switch it."
	}
	if h.f.lamps == 0 {
		x.Fixes = c.fixAll(h.f.devices, "via", "none", "Leave it out of the wiring")
	}
	if h.severity == finding.Stop {
		x.Head = name + can + amount(h.f.most) + " mA from " + pin + it + amount(d.PinMost) + " mA at the very most."
		x.Measure, x.Source = &finding.Measure{Have: h.f.most, Want: d.PinMost, Unit: "mA", Sense: finding.AtMost}, b.Part.Source("board.pin-most")
	} else {
		x.Head = name + takes + amount(h.f.nominal) + " mA from " + pin + ", which is made for " + amount(d.PinUsual) + " mA."
		x.Body = "Its voltage sinks under that. Set the pin to a stronger drive in the program if it has one. " + x.Body
		x.Measure, x.Source = &finding.Measure{Have: h.f.nominal, Want: d.PinUsual, Unit: "mA", Sense: finding.AtMost}, b.Part.Source("board.pin-usual")
	}
	c.w.found(ruleAmpPin, x)
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
