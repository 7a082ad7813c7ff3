package diagnosis

import (
	"math"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/trade/firmware"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// Inputs are the results that a diagnosis works from.
type Inputs struct {
	Panel    *panel.Panel
	Wiring   wiring.Result
	Harness  harness.Result
	Firmware firmware.Result
}

// Kinds of elements.
const (
	elContact = iota // joins a and b while it is closed
	elRes            // ohms between a and b
	elTrack          // from end a (side 0) or end b (side 1) to the wiper
	elDiode          // from a to b
	elLamp           // a diode with a drop of its own and a resistance in series
	elDrive          // a pin that drives b high or low while its lamp is told to
	elBusy           // a pin that drives b up and down all the time: selects, clocks, data
)

// element is one thing between two terminals.
type element struct {
	kind    uint8
	side    uint8
	a, b    int32 // terminals
	control int32 // index into circuit.controls, -1 = none
	contact int32 // index into its contacts; of a track the device
	device  int32 // index into wiring.Result.Devices, -1
	ohms    float64
	drop    float64
	ground  int32 // of a pin that drives: its board's ground
	fitting string
}

// joint is a wire, or what takes its place: a fitting soldered to a lug, pins that a board joins itself.
type joint struct {
	a, b int32
	wire int32 // index into harness.Result.Wires, -1 = none
	net  int32
}

// boardState is what a further board needs to work.
type boardState struct {
	name    string
	role    string
	volts   float64
	supply  []int32 // each must have its supply
	ground  []int32
	low     []int32    // pins that must lie on ground
	links   [][2]int32 // its pin and the module's pin that must be joined
	chain   int        // shift-in: place in the chain
	out     int32      // shift-in: data out; multiplexer: the common
	in      int32      // shift-in: data in
	data    int32      // module's pin for data or what is read
	selects []int32    // multiplexer: its select pins
	drives  []int32    // module's pins for them
	lines   []int32    // multiplexer, shift-in: its lines
	clock   int32      // shift-in: which of links is the clock, -1
}

// circuit is the panel as a network.
type circuit struct {
	in       Inputs
	terms    []wiring.Terminal
	id       map[wiring.Terminal]int32
	net      []int32 // of each terminal, -1
	joints   []joint
	elements []element
	jointsAt [][]int32
	elemsAt  [][]int32
	rail     []int8  // of each terminal: index into volts, -1 = on no rail
	group    []int32 // of each terminal: what joints hold together in the design
	fixed    []int8  // the same of the module's own pins only
	volts    []float64
	controls []*panel.Control
	ctrlOf   map[string]int32
	boards   []boardState
	boardsAt map[int32][]int32 // boards that care about a terminal
	netTerms [][]int32
	netJoint [][]int32

	logic     float64 // supply of the module's pins
	low, high float64
	module    string
	drive     []int32 // lines of the matrix that are driven
	steps     []int   // by control: states of an encoder's contacts in a click
	debounce  []float64
	lever     []int32 // of each raw bit: the control, if that stays where it is put; else -1
	duty      []bool  // of each terminal: a line of a bus, a select
	deviceID  map[string]int32
	termObs   [][]int32 // by terminal: observables that read it
	boardObs  [][]int32 // by board
	bits      int
	axes      int
}

func (c *circuit) term(t wiring.Terminal) int32 {
	if i, ok := c.id[t]; ok {
		return i
	}
	i := int32(len(c.terms))
	c.id[t] = i
	c.terms = append(c.terms, t)
	c.net = append(c.net, -1)
	c.fixed = append(c.fixed, -1)
	return i
}

func (c *circuit) join(a, b, wire, net int32) {
	if a != b {
		c.joints = append(c.joints, joint{a, b, wire, net})
	}
}

func newCircuit(in Inputs) *circuit {
	c := &circuit{in: in, deviceID: map[string]int32{}, id: map[wiring.Terminal]int32{}, ctrlOf: map[string]int32{}, boardsAt: map[int32][]int32{}, volts: []float64{0}, logic: 3.3, low: 0.8, high: 2}
	for i := range in.Wiring.Devices {
		c.deviceID[in.Wiring.Devices[i].ID] = int32(i)
	}
	c.boardPins()
	c.controlParts()
	c.fittings()
	c.nets()
	c.pins()
	c.index()
	return c
}

func (c *circuit) boardPins() {
	for i := range c.in.Wiring.Boards {
		b := &c.in.Wiring.Boards[i]
		d := b.Part.Board
		if d == nil {
			continue
		}
		for _, p := range d.Pins {
			c.term(wiring.Terminal{Of: b.Name, Lug: p.Lug})
		}
		if d.Role != "module" || c.module != "" {
			continue
		}
		c.module, c.logic, c.low, c.high = b.Name, d.Volts, d.Low, d.High
		for _, p := range d.Pins {
			t := c.term(wiring.Terminal{Of: b.Name, Lug: p.Lug})
			if p.Kind == catalog.PinGround || p.Kind == catalog.PinAGround {
				c.fixed[t] = 0
			}
		}
		for _, s := range d.Supplies {
			if s.Takes {
				continue
			}
			t := c.term(wiring.Terminal{Of: b.Name, Lug: s.Lug})
			c.fixed[t] = c.level(s.Volts)
		}
	}
}

// level gives the index of a fixed voltage.
func (c *circuit) level(v float64) int8 {
	if i := slices.Index(c.volts, v); i >= 0 {
		return int8(i)
	}
	c.volts = append(c.volts, v)
	return int8(len(c.volts) - 1)
}

func (c *circuit) controlParts() {
	w := &c.in.Wiring
	if c.in.Panel != nil {
		for _, s := range c.in.Panel.Sheets() {
			for _, x := range s.Controls {
				c.addControl(x)
			}
		}
	}
	for i := range w.Devices {
		c.addControl(w.Devices[i].Control)
	}
	for i := range w.Devices {
		d := &w.Devices[i]
		k := &d.Control.Part.Circuit
		ctrl := c.ctrlOf[d.Control.Name]
		lug := func(l string) int32 { return c.term(wiring.Terminal{Of: d.Control.Name, Lug: l}) }
		switch d.Kind {
		case wiring.DevTrack:
			if d.Index >= len(k.Tracks) {
				continue
			}
			t := k.Tracks[d.Index]
			for side, l := range t.Ends {
				c.elements = append(c.elements, element{kind: elTrack, side: uint8(side), a: lug(l), b: lug(t.Wiper), control: ctrl, contact: int32(i), device: int32(i), ohms: t.Ohms})
			}
		case wiring.DevLamp:
			if d.Index >= len(k.Lamps) {
				continue
			}
			l := k.Lamps[d.Index]
			p := d.Control.Part.Lamp
			drop, ohms := p.Drop, 5.0
			if drop == 0 {
				drop = 2
			}
			if p.Rated > 0 && p.Current > 0 {
				ohms = max(5, (p.Rated-drop)/p.Current*1000)
			}
			c.elements = append(c.elements, element{kind: elLamp, a: lug(l.Plus), b: lug(l.Minus), control: ctrl, contact: -1, device: int32(i), ohms: ohms, drop: 0.92 * drop})
		case wiring.DevPowered:
			if p := k.Powered; p != nil && p.Current > 0 {
				v := max(1, p.Volts[0])
				c.elements = append(c.elements, element{kind: elRes, a: lug(p.Plus), b: lug(p.Minus), control: -1, contact: -1, device: int32(i), ohms: v / p.Current * 1000})
			}
		}
	}
}

// addControl adds all contacts of a control, also those that are not wired.
func (c *circuit) addControl(x *panel.Control) {
	if _, seen := c.ctrlOf[x.Name]; seen {
		return
	}
	i := int32(len(c.controls))
	c.ctrlOf[x.Name] = i
	c.controls = append(c.controls, x)
	c.steps = append(c.steps, stepsOf(x.Part.Pulses, x.Part.Detents))
	for _, l := range x.Part.Lugs {
		c.term(wiring.Terminal{Of: x.Name, Lug: l.Name})
	}
	for n, k := range x.Part.Circuit.Contacts {
		c.elements = append(c.elements, element{
			kind: elContact, a: c.term(wiring.Terminal{Of: x.Name, Lug: k.Lugs[0]}), b: c.term(wiring.Terminal{Of: x.Name, Lug: k.Lugs[1]}), control: i, contact: int32(n), device: -1,
		})
	}
}

// stepsOf gives how many states of its contacts an encoder passes in a click.
func stepsOf(pulses, detents int) int {
	if pulses <= 0 || detents <= 0 || 4*pulses%detents != 0 {
		return 4
	}
	if s := 4 * pulses / detents; s == 1 || s == 2 || s == 4 {
		return s
	}
	return 4
}

func (c *circuit) fittings() {
	for i := range c.in.Wiring.Fittings {
		f := &c.in.Wiring.Fittings[i]
		switch f.Kind {
		case "resistor":
			c.elements = append(c.elements, element{
				kind: elRes, a: c.term(wiring.Terminal{Of: f.Name, Lug: "1"}), b: c.term(wiring.Terminal{Of: f.Name, Lug: "2"}), control: -1, contact: -1, device: -1, ohms: max(1, f.Ohms), fitting: f.Name,
			})
		case "diode":
			c.elements = append(c.elements, element{
				kind: elDiode, a: c.term(wiring.Terminal{Of: f.Name, Lug: "a"}), b: c.term(wiring.Terminal{Of: f.Name, Lug: "k"}), control: -1, contact: -1, device: -1, drop: 0.55, ohms: 5, fitting: f.Name,
			})
		}
	}
}

// nets lays the wires; what a net joins without a wire is joined where it sits.
func (c *circuit) nets() {
	w, h := &c.in.Wiring, &c.in.Harness
	wires := make([][]int32, len(w.Nets))
	for i := range h.Wires {
		if n := h.Wires[i].Net; n >= 0 && n < len(wires) {
			wires[n] = append(wires[n], int32(i))
		}
	}
	c.netTerms = make([][]int32, len(w.Nets))
	for ni := range w.Nets {
		n := &w.Nets[ni]
		var all []int32
		root := map[int32]int32{}
		var find func(t int32) int32
		find = func(t int32) int32 {
			if root[t] != t {
				root[t] = find(root[t])
			}
			return root[t]
		}
		add := func(t int32) {
			if _, ok := root[t]; !ok {
				root[t] = t
				all = append(all, t)
				if c.net[t] < 0 {
					c.net[t] = int32(ni)
				}
			}
		}
		for _, t := range n.Terms {
			add(c.term(t))
		}
		for _, k := range wires[ni] {
			a, b := c.term(h.Wires[k].From), c.term(h.Wires[k].To)
			add(a)
			add(b)
			c.join(a, b, k, int32(ni))
			root[find(a)] = find(b)
		}
		c.netTerms[ni] = all
		link := func(a, b int32) {
			if find(a) != find(b) {
				c.join(a, b, -1, int32(ni))
				root[find(a)] = find(b)
			}
		}
		// The module's own grounds and supplies are joined inside.
		first := map[string]int32{}
		for _, t := range all {
			if c.fixed[t] >= 0 {
				root[find(t)] = find(all[0])
				continue
			}
			if k := c.powerKind(t); k != "" {
				key := c.terms[t].Of + "/" + k
				if f, ok := first[key]; ok {
					link(t, f)
				} else {
					first[key] = t
				}
			}
		}
		for _, t := range all {
			if find(t) == find(all[0]) {
				continue
			}
			best := all[0]
			for _, u := range all {
				if u == t || find(u) == find(t) {
					continue
				}
				if c.seat(u) == c.seat(t) {
					best = u
					break
				}
			}
			link(t, best)
		}
	}
}

// seat is the lug that a terminal is at: a fitting sits on a lug.
func (c *circuit) seat(t int32) wiring.Terminal {
	x := c.terms[t]
	for i := range c.in.Wiring.Fittings {
		if f := &c.in.Wiring.Fittings[i]; f.Name == x.Of {
			return f.At
		}
	}
	return x
}

// powerKind tells the grounds and the supplies of a board, which it joins itself.
func (c *circuit) powerKind(t int32) string {
	x := c.terms[t]
	for i := range c.in.Wiring.Boards {
		b := &c.in.Wiring.Boards[i]
		if b.Name != x.Of || b.Part.Board == nil {
			continue
		}
		p, ok := b.Part.Board.Pin(x.Lug)
		if ok && p.Bus == "" && (p.Kind == catalog.PinGround || p.Kind == catalog.PinAGround || p.Kind == catalog.PinSupply) {
			return string(p.Kind)
		}
	}
	return ""
}

func middle(r *[2]float64, usual float64) float64 {
	if r == nil || r[0] <= 0 || r[1] <= 0 {
		return usual
	}
	return math.Sqrt(r[0] * r[1])
}
