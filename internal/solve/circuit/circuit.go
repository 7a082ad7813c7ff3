// Package circuit finds the direct-current operating point of small networks: resistors, voltage and current sources, diodes and
// switches between named nodes.
//
// It knows nothing of panels. Units are volt, ampere, ohm and watt throughout. Temperature is 27 °C.
//
// Method: modified nodal analysis; voltage sources, switches and resistors below 1 ohm carry their current as an unknown of their
// own, so that a closed contact beside a leakage of a picoampere loses nothing. Diodes are solved by Newton's method with limited
// steps of the junction voltage; where that does not settle, leakage across the junctions is raised and taken back in steps, and
// where that fails too, the sources are turned up from zero. No clock, no random source, and no product fused into a sum, so that
// the same network gives the same answer on every machine.
//
// Sources, all from memory:
//   - C.-W. Ho, A. Ruehli, P. Brennan (1975), The modified nodal approach to network analysis.
//   - L. Nagel (1975), SPICE2, memorandum ERL-M520: limiting of junction voltages, stepping of gmin and of sources.
//   - W. Shockley (1949): i = Is (exp(v / (n Vt)) - 1).
//   - H. Markowitz (1957), The elimination form of the inverse: choice of pivots that keeps a sparse matrix sparse.
package circuit

import "math"

// Ground is the name of the node at 0 V. The empty name means the same.
const Ground = "0"

// Fixed properties of the model.
const (
	// Gmin is the leakage across every diode, S. It is the usual one of SPICE programs.
	Gmin = 1e-12
	// SwitchOn is the resistance of a closed switch, ohm. For a contact whose resistance matters put a resistor in series.
	SwitchOn = 1e-3
	// SwitchOff is the resistance of an open switch, ohm.
	SwitchOff = 1e12
	// Temperature of all junctions, °C: the usual one of SPICE programs.
	Temperature = 27
	// MaxUnknowns is the largest number of node voltages and branch currents that is accepted.
	MaxUnknowns = 5000
)

// Values outside these bounds are refused: they are slips of the pen, and no matrix survives them.
const (
	minOhm, maxOhm = 1e-6, 1e15
	maxVolt        = 1e6
	maxAmp         = 1e6
	minSat, maxSat = 1e-60, 1e-2
	maxIdeal       = 50
	smallOhm       = 1.0 // below it a resistor carries its current as an unknown
)

// Vt is the thermal voltage kT/q at [Temperature], V; 25.865 mV. Boltzmann constant and elementary charge are exact in the SI of 2019.
const Vt = 1.380649e-23 * (273.15 + Temperature) / 1.602176634e-19

type kind uint8

const (
	resistor kind = iota
	voltage
	current
	diode
	contact
)

type element struct {
	name  string
	kind  kind
	a, b  int // nodes; 0 is ground
	value float64
	model Diode
}

// Network is a set of elements between named nodes. The zero value is an empty network. Elements are added by the methods named
// after them; a bad value or a name used twice is kept and reported by the next [Network.Solve], so that building needs no checks.
// A network does not change while it is solved and may then be read from several goroutines.
type Network struct {
	elements []element
	byName   map[string]int
	nodes    []string // names; nodes[0] is ground
	byNode   map[string]int
	bad      error  // the first thing wrong with what was added
	force    method // tests only: begin with this method
}

// New gives an empty network.
func New() *Network { return &Network{} }

func (n *Network) node(name string) int {
	if name == "" || name == Ground {
		return 0
	}
	if i, ok := n.byNode[name]; ok {
		return i
	}
	if n.byNode == nil {
		n.byNode = map[string]int{}
		n.nodes = []string{Ground}
	}
	i := len(n.nodes)
	n.byNode[name] = i
	n.nodes = append(n.nodes, name)
	return i
}

func (n *Network) add(e element, a, b string) {
	if _, twice := n.byName[e.name]; twice {
		n.fail(&NameError{Name: e.name, Twice: true})
		return
	}
	if e.name == "" {
		n.fail(&NameError{})
		return
	}
	if err := e.check(); err != nil {
		n.fail(err)
	}
	if n.byName == nil {
		n.byName = map[string]int{}
	}
	e.a, e.b = n.node(a), n.node(b)
	n.byName[e.name] = len(n.elements)
	n.elements = append(n.elements, e)
}

func (n *Network) fail(err error) {
	if n.bad == nil {
		n.bad = err
	}
}

// Resistor puts a resistance of so many ohm (1e-6 to 1e15) between nodes a and b.
func (n *Network) Resistor(name, a, b string, ohm float64) {
	n.add(element{name: name, kind: resistor, value: ohm}, a, b)
}

// Voltage puts an ideal voltage source between nodes: plus is so many volt (-1e6 to 1e6) above minus.
func (n *Network) Voltage(name, plus, minus string, volt float64) {
	n.add(element{name: name, kind: voltage, value: volt}, plus, minus)
}

// Current puts an ideal current source between nodes: so many ampere (-1e6 to 1e6) flow from node from through the source into node to.
func (n *Network) Current(name, from, to string, amp float64) {
	n.add(element{name: name, kind: current, value: amp}, from, to)
}

// Diode puts a diode between nodes.
func (n *Network) Diode(name, anode, cathode string, d Diode) {
	n.add(element{name: name, kind: diode, value: d.Sat, model: d}, anode, cathode)
}

// Switch puts a switch between nodes: [SwitchOn] when closed, [SwitchOff] when open.
func (n *Network) Switch(name, a, b string, closed bool) {
	v := 0.0
	if closed {
		v = 1
	}
	n.add(element{name: name, kind: contact, value: v}, a, b)
}

// ohm is the resistance of a resistor or switch.
func (e *element) ohm() float64 {
	if e.kind == contact {
		if e.value != 0 {
			return SwitchOn
		}
		return SwitchOff
	}
	return e.value
}

func (e *element) check() error {
	v := e.value
	switch e.kind {
	case resistor:
		if !(v >= minOhm && v <= maxOhm) {
			return &ValueError{e.name, v, "ohm", minOhm, maxOhm}
		}
	case voltage:
		if !(math.Abs(v) <= maxVolt) {
			return &ValueError{e.name, v, "V", -maxVolt, maxVolt}
		}
	case current:
		if !(math.Abs(v) <= maxAmp) {
			return &ValueError{e.name, v, "A", -maxAmp, maxAmp}
		}
	case diode:
		return e.model.check(e.name)
	case contact:
		if v != 0 && v != 1 {
			return &ValueError{e.name, v, "(0 open, 1 closed)", 0, 1}
		}
	}
	return nil
}
