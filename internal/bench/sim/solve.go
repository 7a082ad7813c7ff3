package sim

import (
	"fmt"
	"math"
	"strings"

	"knobwright/internal/solve/circuit"
)

// drive is what a pin does to its node: a voltage behind a resistance.
type drive struct {
	node  int
	volts float64
	ohm   float64
}

// link is a resistance between nodes that comes and goes: the channel of a multiplexer, the meter.
type link struct {
	a, b int
	ohm  float64
}

// phase is one moment of the scan: what the boards drive.
type phase struct {
	drives []drive
	links  []link
	away   bool // the supplies are off: nothing is fixed but ref
	ref    int  // then: the node at 0 V
}

// solved is what a part of the network comes to.
type solved struct {
	volts map[int]float64
	amps  map[int]float64 // of lamps, by element, A
	loose map[int]bool
}

// parts gives the two parts of a track on either side of the wiper, ohm.
func (e *element) parts(s *state) (low, high float64) {
	x := s.turn[e.device.ID]
	switch e.log {
	case 1:
		x = (math.Pow(10, 2*x) - 1) / 99
	case -1:
		x = 1 - (math.Pow(10, 2*(1-x))-1)/99
	}
	x = min(max(x+s.jump[e.device.ID], 0), 1)
	return max(e.ohm*x, 1), max(e.ohm*(1-x), 1)
}

// closed tells whether a contact is closed as things stand.
func (e *element) closed(s *state) bool {
	switch {
	case e.always > 0:
		return true
	case e.always < 0:
		return false
	}
	c := e.device.Control
	k := circuitOf(c)
	is := false
	switch x := k.Contacts[e.n]; {
	case x.Phase == "A":
		is = s.phase[e.device.ID] == 1 || s.phase[e.device.ID] == 2
	case x.Phase == "B":
		is = s.phase[e.device.ID] == 2 || s.phase[e.device.ID] == 3
	default:
		if s.dark[c.Name] {
			return false
		}
		at := s.at[c.Name]
		for _, p := range x.Closed {
			if p == at {
				is = true
			}
		}
	}
	if s.open[contactID{c.Name, e.n}] {
		return !is
	}
	return is
}

// around solves what hangs together with a node. Fixed nodes end it.
func (n *network) around(start int, s *state, ph *phase) *solved {
	if v, ok := n.hold(start, ph); ok {
		return &solved{volts: map[int]float64{start: v}}
	}
	seen := map[int]bool{start: true}
	order := []int{start}
	var parts []int
	taken := map[int]bool{}
	visit := func(k int) {
		if _, ok := n.hold(k, ph); !ok && !seen[k] {
			seen[k] = true
			order = append(order, k)
		}
	}
	for i := 0; i < len(order); i++ {
		k := order[i]
		for _, j := range n.near[k] {
			e := &n.list[j]
			if taken[j] || e.kind == contact && !e.closed(s) {
				continue
			}
			taken[j] = true
			parts = append(parts, j)
			visit(e.a)
			visit(e.b)
			if e.kind == track {
				visit(e.w)
			}
		}
		for _, x := range ph.links {
			if x.a == k {
				visit(x.b)
			} else if x.b == k {
				visit(x.a)
			}
		}
	}
	return n.solve(order, seen, parts, s, ph)
}

// hold gives the voltage of a node that a supply holds.
func (n *network) hold(k int, ph *phase) (float64, bool) {
	if ph.away {
		return 0, k == ph.ref
	}
	v, ok := n.fixed[k]
	return v, ok
}

// solve solves a part of the network, or finds it among those that were solved before.
func (n *network) solve(order []int, seen map[int]bool, parts []int, s *state, ph *phase) *solved {
	var key strings.Builder
	for _, k := range order {
		fmt.Fprintf(&key, "%d,", k)
	}
	for _, j := range parts {
		e := &n.list[j]
		if e.kind == track {
			low, _ := e.parts(s)
			fmt.Fprintf(&key, "t%d:%g", j, low)
			continue
		}
		fmt.Fprintf(&key, "e%d", j)
	}
	var drives []drive
	for _, d := range ph.drives {
		if seen[d.node] {
			drives = append(drives, d)
			fmt.Fprintf(&key, "d%d:%g:%g", d.node, d.volts, d.ohm)
		}
	}
	var links []link
	for _, x := range ph.links {
		if seen[x.a] || seen[x.b] {
			links = append(links, x)
			fmt.Fprintf(&key, "l%d:%d:%g", x.a, x.b, x.ohm)
		}
	}
	if ph.away {
		fmt.Fprintf(&key, "!%d", ph.ref)
	}
	if got, ok := n.cache[key.String()]; ok {
		return got
	}
	got := n.work(order, parts, drives, links, s, ph)
	if len(n.cache) > 20000 {
		clear(n.cache)
	}
	n.cache[key.String()] = got
	return got
}

// circuit is what hangs together with a node, as a network for package circuit, with a leakage of 1 Tohm at each node.
func (n *network) circuit(order, parts []int, drives []drive, links []link, s *state, ph *phase) *circuit.Network {
	c := circuit.New()
	name := func(k int) string {
		if k == 0 && !ph.away || ph.away && k == ph.ref {
			return circuit.Ground
		}
		return fmt.Sprintf("n%d", k)
	}
	fixed := map[int]bool{}
	if ph.away {
		fixed[ph.ref] = true
	} else {
		fixed[0] = true
	}
	touch := func(ks ...int) {
		for _, k := range ks {
			if v, ok := n.hold(k, ph); ok && !fixed[k] {
				fixed[k] = true
				c.Voltage("supply "+name(k), name(k), circuit.Ground, v)
			}
		}
	}
	for i, k := range order {
		c.Switch(fmt.Sprintf("leak%d", i), name(k), circuit.Ground, false)
	}
	for _, j := range parts {
		e := &n.list[j]
		touch(e.a, e.b)
		switch e.kind {
		case contact, resistor:
			c.Resistor(e.name, name(e.a), name(e.b), e.ohm)
		case diode, lamp:
			c.Diode(e.name, name(e.a), name(e.b), e.model)
		case track:
			touch(e.w)
			low, high := e.parts(s)
			c.Resistor(e.name+" low", name(e.a), name(e.w), low)
			c.Resistor(e.name+" high", name(e.w), name(e.b), high)
		}
	}
	for i, d := range drives {
		if d.volts == 0 {
			c.Resistor(fmt.Sprintf("pin%d", i), name(d.node), circuit.Ground, d.ohm)
			continue
		}
		in := fmt.Sprintf("inside%d", i)
		c.Voltage("of "+in, in, circuit.Ground, d.volts)
		c.Resistor(fmt.Sprintf("pin%d", i), in, name(d.node), d.ohm)
	}
	for i, x := range links {
		touch(x.a, x.b)
		c.Resistor(fmt.Sprintf("link%d", i), name(x.a), name(x.b), x.ohm)
	}
	return c
}

func (n *network) work(order, parts []int, drives []drive, links []link, s *state, ph *phase) *solved {
	out := &solved{volts: map[int]float64{}, amps: map[int]float64{}, loose: map[int]bool{}}
	c := n.circuit(order, parts, drives, links, s, ph)
	if n.watch != nil {
		n.watch(c)
	}
	sol, err := c.Solve()
	if err != nil { // values too far apart to be told: nothing is known of these nodes
		for _, k := range order {
			out.loose[k] = true
		}
		return out
	}
	for _, name := range c.Loose() {
		var k int
		if _, err := fmt.Sscanf(name, "n%d", &k); err == nil {
			out.loose[k] = true
		}
	}
	for _, k := range order {
		out.volts[k] = sol.V(fmt.Sprintf("n%d", k))
	}
	for _, j := range parts {
		if n.list[j].kind == lamp {
			out.amps[j] = sol.I(n.list[j].name)
		}
	}
	return out
}
