package wiring

import (
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// shorts says which nets are joined although each has a voltage of its own.
func (c *checker) shorts() {
	for _, k := range c.p.clashes {
		a, b := c.r.Nets[k.a], c.r.Nets[k.b]
		f := finding.Finding{
			Head: "The nets " + a.Name + " and " + b.Name + " are joined.", Body: "The supply would be shorted. Leave one of the two leads off.",
			Measure: &finding.Measure{Have: abs(a.Volts - b.Volts), Want: 0, Unit: "V", Sense: finding.AtMost},
		}
		if x := c.w.named[k.term.Of]; x != nil {
			f.Ends = append(f.Ends, x.Origin.End())
			f.Body = "Lug " + k.term.Lug + " of " + x.Label + " is in both: the supply would be shorted. Leave one of the two leads off."
		} else {
			f.Ends = append(f.Ends, finding.End{Name: c.w.sayPin(k.term), Path: "wiring"})
		}
		f.Ends = append(f.Ends, c.w.moduleEnd())
		c.w.found(ruleVoltShort, f)
	}
}

// reach is the highest voltage that can come to a node, and from where.
type reach struct {
	volts   float64
	from    int // node of the supply
	control *panel.Control
	say     string // "its outputs", "its pull-ups"
	board   int    // whose pull-ups or outputs, -1 = none
}

// levels looks which voltage can come to each pin, whatever is pressed: too much destroys it.
func (c *checker) levels() {
	top := c.spread()
	type key struct {
		control *panel.Control
		say     string
		board   int
		from    int
	}
	said := map[key]int{}
	most, pins := 0.0, 0
	for i := range c.p.list {
		e := &c.p.list[i]
		if e.kind != elPin {
			continue
		}
		_, _, bears := c.receiver(e.board)
		pins++
		x := top[e.a]
		most = max(most, x.volts)
		c.tooLow(e, x)
		if x.volts <= bears+0.005 {
			continue
		}
		k := key{x.control, x.say, e.board, x.from}
		if _, ok := said[k]; ok {
			continue
		}
		said[k] = i
		c.tooHigh(e, x, bears)
	}
	if len(said) == 0 {
		c.tell("No more than %s comes to any of %s that leads end at, whatever is pressed; each bears it.", volt(most), plural(pins, "pin"))
	}
}

// tooLow looks whether what drives a further board reaches the level at which that reads high: a board on 5 V may not hear one of 3.3 V.
func (c *checker) tooLow(e *element, x reach) {
	b := &c.r.Boards[e.board]
	pin := pinOf(b.Part.Board, e.lug)
	if b.Part.Board.Role == roleModule || !slices.Contains([]string{"sda", "scl", "clock", "load", "select", "data-in"}, pin.Bus) || c.tooLowSaid[e.board] {
		return
	}
	_, high, _ := c.receiver(e.board)
	if x.volts <= 0 || x.volts >= high-0.005 {
		return
	}
	c.tooLowSaid[e.board] = true
	c.w.found(ruleVoltLow, finding.Finding{
		Head: finding.Capital(b.Label) + " reads high from " + volt(high) + " on, and no more than " + volt(x.volts) + " come to its " + c.w.sayPin(Terminal{b.Name, e.lug}) + ".",
		Body: "It is fed with " + plain(c.nodeVolts(e.board)) + " V. Feed it with " + plain(c.w.moduleBoard().Volts) + " V, or put a level shifter between.",
		Ends: []finding.End{c.boardEnd(e.board), c.w.moduleEnd()}, Measure: &finding.Measure{Have: x.volts, Want: high, Unit: "V", Sense: finding.AtLeast}, Source: b.Part.Source("board.high"),
	})
}

func (c *checker) tooHigh(e *element, x reach, bears float64) {
	b := &c.r.Boards[e.board]
	pin := finding.Capital(c.w.sayPin(Terminal{b.Name, e.lug}))
	f := finding.Finding{
		Measure: &finding.Measure{Have: x.volts, Want: bears, Unit: "V", Sense: finding.AtMost}, Source: b.Part.Source("board.bears"),
		Why: "What is above the supply of a chip flows into it through its own protection and destroys it, at once or after weeks.",
	}
	feed := c.supplyName(x.from)
	switch {
	case x.control != nil:
		f.Head = finding.Capital(x.control.Label) + " is fed with " + feed + ", and " + x.say + " bring " + volt(x.volts) + " to " + lower(pin) + ", which bears " + volt(bears) + "."
		f.Body = "Put a level shifter between, or take a part that runs on " + plain(c.nodeVolts(e.board)) + " V."
		if x.say == "its outputs" {
			f.Body = "Put a divider into each output, 10 kΩ from it and 18 kΩ to ground, or take a part that runs on " + plain(c.nodeVolts(e.board)) + " V."
		}
		f.Ends = append(f.Ends, x.control.Origin.End())
		if p := fixPath(x.control, "via"); p != "" {
			f.Fixes = []finding.Fix{{Say: "Leave it out of the wiring", Short: "via: none", Edits: []finding.Edit{{Op: finding.Set, Path: p, Value: "none"}}}}
		}
	case x.board >= 0:
		f.Head = finding.Capital(c.r.Boards[x.board].Label) + " is fed with " + feed + ", and " + x.say + " bring " + volt(x.volts) + " to " + lower(pin) + ", which bears " + volt(bears) + "."
		f.Body = "Feed it with " + plain(c.nodeVolts(e.board)) + " V, or put a level shifter between."
		f.Ends = append(f.Ends, c.boardEnd(x.board))
	default:
		f.Head = finding.Capital(feed) + " comes to " + lower(pin) + " as " + volt(x.volts) + "; it bears " + volt(bears) + "."
		f.Body = "Feed what lies on this lead with " + plain(c.nodeVolts(e.board)) + " V."
		if e.signal >= 0 {
			f.Ends = append(f.Ends, c.endOf(c.r.Signals[e.signal].Device)...)
		}
	}
	f.Ends = append(f.Ends, c.boardEnd(e.board))
	c.w.found(ruleVoltHigh, f)
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]|0x20) + s[1:]
}

// spread finds the highest voltage at each node with every contact closed and no current flowing: resistors pass all of it, diodes and
// lamps all but a little.
func (c *checker) spread() []reach {
	p := c.p
	top := make([]reach, len(p.nodes))
	var queue []int
	raise := func(node int, r reach) {
		if p.fixed[node] || r.volts <= top[node].volts+1e-6 {
			return
		}
		top[node] = r
		queue = append(queue, node)
	}
	pass := func(e *element, from int, r reach) {
		if r.volts <= 0 {
			return
		}
		switch e.kind {
		case elContact, elResistor, elSwitch:
			raise(e.a+e.b-from, r)
		case elTrack:
			raise(e.a, r)
			raise(e.b, r)
			raise(e.wiper, r)
		case elDiode:
			if from == e.a {
				r.volts -= 0.2
				raise(e.b, r)
			}
		case elLamp:
			if from == e.a {
				r.volts -= knee * e.control.Part.Lamp.Drop
				raise(e.b, r)
			}
		}
	}
	for i := range p.list {
		e := &p.list[i]
		switch e.kind {
		case elPull:
			r := reach{volts: p.volts[e.a], from: e.a, control: e.control, say: "its pull-ups", board: e.board}
			raise(e.b, r)
		case elOut:
			raise(e.a, reach{volts: p.volts[e.wiper], from: e.wiper, control: e.control, say: "its outputs", board: -1})
		case elPin:
			c.spreadPin(e, raise)
		case elLoad: // a buzzer: the pin feeds it
		default:
			for _, n := range []int{e.a, e.b} {
				if p.fixed[n] && p.volts[n] > 0 {
					pass(e, n, reach{volts: p.volts[n], from: n, board: -1})
				}
			}
		}
	}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, i := range p.near[n] {
			pass(&p.list[i], n, top[n])
		}
	}
	return top
}

// knee is the share of its drop that a lamp still drops at a millionth of an ampere, by judgement: 2 V at 10 mA are 1.5 V there.
const knee = 0.7

// spreadPin notes what a board's own pin gives: outputs of further boards, and pull-ups.
func (c *checker) spreadPin(e *element, raise func(int, reach)) {
	b := &c.r.Boards[e.board]
	d := b.Part.Board
	pin := pinOf(d, e.lug)
	v := c.nodeVolts(e.board)
	from := c.p.logic[e.board]
	switch {
	case isAnalog(d):
	case pin.Bus == "data-out":
		raise(e.a, reach{volts: v, from: from, say: "its output", board: e.board})
	case d.Role == roleModule && e.signal >= 0 && c.r.Signals[e.signal].Kind != SigWiper:
		raise(e.a, reach{volts: v, from: from, say: "its pins", board: e.board})
	}
}

// supplies looks whether whatever is fed gets a voltage that it can live with.
func (c *checker) supplies() {
	fed, wrong := 0, 0
	tell := func(name string, v float64, r [2]float64, end finding.End, node int, fix []finding.Fix) {
		fed++
		if v >= r[0]-1e-9 && v <= r[1]+1e-9 || r[1] <= 0 {
			return
		}
		wrong++
		f := finding.Finding{
			Head: finding.Capital(name) + " gets " + plain(v) + " V and wants " + volts(r) + ".", Ends: []finding.End{end, c.w.moduleEnd()}, Fixes: fix,
			Measure: &finding.Measure{Have: v, Want: r[0], WantMax: r[1], Unit: "V", Sense: finding.Between},
		}
		if v > r[1] {
			f.Body = "Join it to another supply before power comes on: so much destroys it."
		} else {
			f.Body = "It will not work, or only now and then. Join it to another supply."
		}
		for _, x := range c.w.rails {
			if !x.reference && x.volts >= r[0] && x.volts <= r[1] && c.p.nodes[node] != x.name {
				f.Body += " The module gives " + x.name + "."
			}
		}
		c.w.found(ruleVoltSupply, f)
	}
	for i := range c.p.list {
		e := &c.p.list[i]
		if e.kind != elLoad {
			continue
		}
		pw := e.control.Part.Circuit.Powered
		v := c.p.volts[e.a]
		if pw.Switch {
			v = c.drivenBy(e.a)
		}
		if v > 0 {
			tell(e.control.Label, v, pw.Volts, e.control.Origin.End(), e.a, nil)
		}
	}
	for i := range c.r.Boards {
		b := &c.r.Boards[i]
		if b.Part.Board == nil || b.Part.Board.Role == roleModule {
			continue
		}
		for _, s := range b.Part.Board.Supplies {
			at, ok := c.p.at[Terminal{b.Name, s.Lug}]
			if !ok || !s.Takes {
				continue
			}
			r := [2]float64{s.Volts * 0.95, s.Volts * 1.05}
			if s.Range != nil {
				r = *s.Range
			}
			tell(b.Label, c.p.volts[at], r, c.boardEnd(i), at, nil)
		}
	}
	if fed > 0 && wrong == 0 {
		if fed == 1 {
			c.tell("The one that wants a supply, display, buzzer or board, gets a voltage within what it wants.")
		} else {
			c.tell("All %d that want a supply, displays, buzzers, boards, get a voltage within what they want.", fed)
		}
	}
}

// drivenBy gives the supply of the pin that drives a node; 0 when none does.
func (c *checker) drivenBy(node int) float64 {
	for _, i := range c.p.near[node] {
		if e := &c.p.list[i]; e.kind == elPin {
			return c.nodeVolts(e.board)
		}
	}
	return 0
}
