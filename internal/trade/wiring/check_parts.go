package wiring

import (
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/solve/circuit"
)

// elementKind says what an element of the circuit stands for.
type elementKind int

const (
	elContact  elementKind = iota // a contact of a control
	elResistor                    // a resistor that the plan puts in
	elDiode                       // a diode that the plan puts in
	elTrack                       // a track with its wiper
	elLamp                        // a lamp with what is built in
	elPin                         // a pin of a board that a lead ends at
	elSwitch                      // an analog multiplexer: a line and what the board reads
	elPull                        // a pull-up that a board or a display brings along on a bus
	elLoad                        // what a display or a buzzer takes
	elOut                         // an output of an encoder that drives it
	elSupply                      // a supply of the module
)

// element is a part of the circuit of the whole panel, between nodes.
type element struct {
	kind    elementKind
	name    string
	a, b    int           // nodes: from and to; anode and cathode; upper and lower end of a track; 0 = ground
	wiper   int           // tracks
	ohm     float64       // resistor, track, what is built in, load
	tol     float64       // per cent
	diode   circuit.Diode // diodes
	volts   float64       // supplies
	control *panel.Control
	contact int // index into its contacts
	device  int // lamps, tracks
	signal  int // pins
	board   int // pins, switches
	lug     string
	port    bool // supply: straight from the port
}

// parts is the circuit of a panel as a list of elements, whatever state it is in.
type parts struct {
	r       *Result
	nodes   []string            // names; 0 = ground
	net     []string            // the net of each node
	at      map[Terminal]int    // node of a terminal
	fixed   []bool              // ground and supplies: what lies beyond does not disturb
	volts   []float64           // of supplies
	list    []element           // nets first, then controls in the order of devices, then fittings
	near    [][]int             // elements at each node
	logic   map[int]int         // node that feeds the pins of a board
	clashes []clash             // nets that are joined although each has a voltage of its own
	members map[int][]Terminal  // terminals of a node
	kinds   map[int]NetKind     // of a node: the first net's
	number  map[string]struct{} // names taken
}

// contactOhm is the resistance of a closed contact and its wires, ohm; what a rubber key has is another matter. Common practice.
const (
	contactOhm = 0.2
	rubberOhm  = 200
)

// small1N4148 stands for diodes of which nothing is known. SPICE model as it is passed round since long.
var small1N4148 = circuit.Diode{Sat: 2.52e-9, Ideal: 1.752, Rs: 0.568}

// partsOf makes the list of elements out of a result.
func partsOf(r *Result, cat *catalog.Catalog) *parts {
	p := &parts{r: r, at: map[Terminal]int{}, logic: map[int]int{}, members: map[int][]Terminal{}, kinds: map[int]NetKind{}, number: map[string]struct{}{}}
	p.node("0", "ground")
	p.fixed[0], p.kinds[0] = true, NetGround
	p.joinNets()
	for n := range p.nodes {
		if p.volts[n] > 0 {
			p.add(element{kind: elSupply, name: "supply " + p.nodes[n], a: n, volts: p.volts[n], port: p.fromPort(n)})
		}
	}
	p.boardParts()
	p.controls()
	p.fittings(cat)
	p.near = make([][]int, len(p.nodes))
	for i := range p.list {
		e := &p.list[i]
		p.near[e.a] = append(p.near[e.a], i)
		p.near[e.b] = append(p.near[e.b], i)
		if e.kind == elTrack {
			p.near[e.wiper] = append(p.near[e.wiper], i)
		}
	}
	return p
}

func (p *parts) node(name, net string) int {
	for base, n := name, 2; ; n++ {
		if _, taken := p.number[name]; !taken {
			break
		}
		name = base + " #" + itoa(n)
	}
	p.number[name] = struct{}{}
	p.nodes, p.net = append(p.nodes, name), append(p.net, net)
	p.fixed, p.volts = append(p.fixed, false), append(p.volts, 0)
	return len(p.nodes) - 1
}

func (p *parts) add(e element) { p.list = append(p.list, e) }

// joinNets gives every net a node; nets that share a terminal are one.
func (p *parts) joinNets() {
	for k, n := range p.r.Nets {
		at := -1
		if n.Kind == NetGround || n.Kind == NetAGround {
			at = 0
		}
		for _, t := range n.Terms {
			was, ok := p.at[t]
			if !ok || was == at {
				continue
			}
			if at >= 0 { // joined through two terminals or by mistake
				if p.clash(at, was) {
					p.clashes = append(p.clashes, clash{p.netOf(t), k, t})
				}
				p.merge(at, was)
				continue
			}
			at = was
		}
		if at < 0 {
			at = p.node(n.Name, n.Name)
			p.kinds[at] = n.Kind
		}
		if n.Kind == NetSupply && n.Volts > 0 {
			if at == 0 || p.volts[at] > 0 && p.volts[at] != n.Volts {
				for _, t := range n.Terms {
					if was, ok := p.at[t]; ok && was == at {
						p.clashes = append(p.clashes, clash{p.netOf(t), k, t})
						break
					}
				}
			} else {
				p.fixed[at], p.volts[at] = true, n.Volts
			}
		}
		for _, t := range n.Terms {
			if _, ok := p.at[t]; !ok {
				p.at[t] = at
				p.members[at] = append(p.members[at], t)
			}
		}
	}
}

func (p *parts) clash(a, b int) bool { return p.fixed[a] && p.fixed[b] && a != b }

// clash is two nets that share a terminal.
type clash struct {
	a, b int // into Nets
	term Terminal
}

// netOf gives the first net of a terminal.
func (p *parts) netOf(t Terminal) int {
	return slices.IndexFunc(p.r.Nets, func(n Net) bool { return slices.Contains(n.Terms, t) })
}

// merge makes two nodes one; the lower keeps its name.
func (p *parts) merge(a, b int) {
	if a > b {
		a, b = b, a
	}
	for _, t := range p.members[b] {
		p.at[t] = a
	}
	p.members[a] = append(p.members[a], p.members[b]...)
	delete(p.members, b)
	if p.volts[b] > 0 && a != 0 && p.volts[a] == 0 {
		p.volts[a], p.fixed[a] = p.volts[b], true
	}
	p.volts[b], p.fixed[b] = 0, false
}

// fromPort reports whether a supply comes straight from the port, as far as the module's record says.
func (p *parts) fromPort(node int) bool {
	for _, t := range p.members[node] {
		for i := range p.r.Boards {
			b := &p.r.Boards[i]
			if b.Name != t.Of || b.Part.Board == nil {
				continue
			}
			for _, s := range b.Part.Board.Supplies {
				if s.Lug == t.Lug && (s.From == "port" || s.From == "regulator" && s.Volts > 4.5) {
					return true
				}
			}
		}
	}
	return false
}

// boardParts adds the pins of boards that leads end at, and what boards bring along.
func (p *parts) boardParts() {
	byName := map[string]int{}
	for i := range p.r.Boards {
		b := &p.r.Boards[i]
		byName[b.Name] = i
		if b.Part.Board != nil {
			p.logic[i] = p.logicOf(i)
		}
	}
	for _, n := range p.r.Nets {
		for _, t := range n.Terms {
			i, ok := byName[t.Of]
			if !ok || p.r.Boards[i].Part.Board == nil {
				continue
			}
			pin := pinOf(p.r.Boards[i].Part.Board, t.Lug)
			if pin == nil || pin.Kind != catalog.PinIO {
				continue
			}
			p.add(element{kind: elPin, name: "pin " + t.Of + " " + t.Lug, a: p.at[t], b: 0, board: i, lug: t.Lug, signal: n.Signal})
			d := p.r.Boards[i].Part.Board
			if d.Role != roleModule && (pin.Bus == "sda" || pin.Bus == "scl") && d.Resistors > 0 {
				p.add(element{kind: elPull, name: "pull-up " + t.Of + " " + t.Lug, a: p.logic[i], b: p.at[t], ohm: d.Resistors, tol: 5, board: i})
			}
		}
	}
	for i := range p.r.Boards {
		b := &p.r.Boards[i]
		if b.Part.Board == nil || b.Part.Board.Role != roleAnalogIn {
			continue
		}
		out := -1
		for _, pin := range b.Part.Board.Pins {
			if at, ok := p.at[Terminal{b.Name, pin.Lug}]; ok && pin.Bus == "data-out" {
				out = at
			}
		}
		for _, pin := range b.Part.Board.Pins {
			if at, ok := p.at[Terminal{b.Name, pin.Lug}]; ok && out >= 0 && pin.Kind == catalog.PinIO && pin.Bus == "" {
				p.add(element{kind: elSwitch, name: "line " + b.Name + " " + pin.Lug, a: at, b: out, ohm: max(b.Part.Board.OutLow, 1), tol: 50, board: i, lug: pin.Lug})
			}
		}
	}
}

func pinOf(d *catalog.Board, lug string) *catalog.Pin {
	for k := range d.Pins {
		if d.Pins[k].Lug == lug {
			return &d.Pins[k]
		}
	}
	return nil
}

// logicOf gives the node that feeds the pins of a board: the supply that it takes, else one of its own.
func (p *parts) logicOf(i int) int {
	b := &p.r.Boards[i]
	d := b.Part.Board
	for _, s := range d.Supplies {
		if at, ok := p.at[Terminal{b.Name, s.Lug}]; ok && s.Takes && d.Role != roleModule && at > 0 {
			return at
		}
	}
	if d.Role == roleModule {
		for n := range p.nodes {
			if p.fixed[n] && abs(p.volts[n]-d.Volts) < 0.05 && p.kinds[n] == NetSupply && p.net[n] != "reference" {
				return n
			}
		}
	}
	at := p.node("supply of the pins of "+b.Name, "supply of the pins of "+b.Name)
	p.fixed[at], p.volts[at] = true, d.Volts
	p.add(element{kind: elSupply, name: "supply " + p.nodes[at], a: at, volts: d.Volts, port: d.Volts > 4.5})
	return at
}
