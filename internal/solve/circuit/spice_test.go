package circuit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/internal/witness"
)

// close01 is the agreement asked for: 0.1 % of the value, or a microvolt, or a picoampere where diodes block.
func close01(a, b, floor float64) bool {
	return math.Abs(a-b) <= 1e-3*max(math.Abs(a), math.Abs(b))+floor
}

// Voltages and source currents of networks of every kind a panel has, against ngspice (Debian package of that name).
func TestAgainstSpice(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	makers := []struct {
		name  string
		count int
		build func(*rand.Rand) *Network
	}{
		{"lamps", 20, lamps}, {"ladders", 15, ladder}, {"dividers", 10, divider}, {"matrices", 20, keys},
		{"pull-ups", 15, pullUp}, {"tangles", 15, tangle}, {"bridges of diodes", 5, rectifier},
	}
	var nets []*Network
	var names []string
	for _, m := range makers {
		for i := range m.count {
			nets = append(nets, m.build(rng))
			names = append(names, fmt.Sprint(m.name, " ", i))
		}
	}
	said := witness.Spice(t, nets)
	compared, worst := 0, 0.0
	for i, n := range nets {
		s, err := n.Solve()
		if err != nil {
			t.Errorf("%s: %v", names[i], err)
			continue
		}
		check := func(vector string, have, floor float64) {
			want, ok := said[i][vector]
			if !ok {
				t.Errorf("%s: ngspice says nothing about %s", names[i], vector)
				return
			}
			compared++
			if math.Abs(want) > 1e3*floor {
				worst = max(worst, math.Abs(have-want)/math.Abs(want))
			}
			if !close01(have, want, floor) {
				t.Errorf("%s: %s is %.9g, ngspice says %.9g", names[i], vector, have, want)
			}
		}
		for _, node := range n.Nodes() {
			check(n.SpiceNode(node), s.V(node), 1e-6)
		}
		for _, e := range n.Elements() {
			if name := n.SpiceElement(e); name[0] == 'v' {
				check(name+"#branch", s.I(e), 1e-11)
			}
		}
	}
	t.Logf("%d networks, %d values compared, largest difference %.2g of the value", len(nets), compared, worst)
	if len(nets) < 60 || compared < 300 {
		t.Errorf("too little compared: %d networks, %d values", len(nets), compared)
	}
}

func pick[T any](r *rand.Rand, from ...T) T { return from[r.IntN(len(from))] }

func spread(r *rand.Rand, low, high float64) float64 {
	return low * math.Pow(high/low, r.Float64())
}

// lamps: a supply, and lamps with resistors on it, some through the output resistance of a pin.
func lamps(r *rand.Rand) *Network {
	n := New()
	n.Voltage("supply", "5V", Ground, pick(r, 3.3, 4.75, 5, 5.25, 12))
	for i := range 1 + r.IntN(6) {
		d, err := Fit(spread(r, 1.6, 3.6), spread(r, 1e-3, 20e-3), 1+2*r.Float64(), spread(r, 0.1, 10))
		if err != nil {
			panic(err)
		}
		from := "5V"
		if r.IntN(2) == 0 {
			from = fmt.Sprint("pin", i)
			n.Resistor(fmt.Sprint("pin resistance", i), "5V", from, spread(r, 10, 60))
		}
		n.Resistor(fmt.Sprint("R", i), from, fmt.Sprint("anode", i), spread(r, 33, 10e3))
		n.Diode(fmt.Sprint("D", i), fmt.Sprint("anode", i), fmt.Sprint("cathode", i), d)
		n.Switch(fmt.Sprint("S", i), fmt.Sprint("cathode", i), Ground, r.IntN(4) > 0)
	}
	return n
}

// ladder: contacts to ground on the taps of a chain of resistors.
func ladder(r *rand.Rand) *Network {
	n := New()
	n.Voltage("supply", "3V3", Ground, 3.3)
	n.Resistor("pull-up", "3V3", "pin", spread(r, 1e3, 100e3))
	last := "pin"
	for i := range 2 + r.IntN(10) {
		next := fmt.Sprint("tap", i)
		n.Resistor(fmt.Sprint("R", i), last, next, spread(r, 100, 100e3))
		n.Switch(fmt.Sprint("S", i), next, Ground, r.IntN(6) == 0)
		last = next
	}
	n.Resistor("foot", last, Ground, spread(r, 1e3, 1e6))
	return n
}

// divider: a pot, loaded, its wiper anywhere.
func divider(r *rand.Rand) *Network {
	n := New()
	total, turn := pick(r, 1e3, 10e3, 100e3), 0.001+0.998*r.Float64()
	n.Voltage("reference", "top", Ground, 3+2*r.Float64())
	n.Resistor("lead", "top", "end", spread(r, 0.01, 2))
	n.Resistor("upper", "end", "wiper", total*(1-turn))
	n.Resistor("lower", "wiper", Ground, total*turn)
	n.Resistor("load", "wiper", Ground, spread(r, 10e3, 10e6))
	n.Current("leak", "wiper", Ground, 1e-6*(r.Float64()-0.5))
	return n
}

var signal = Diode{Sat: 2.52e-9, Ideal: 1.752, Rs: 0.568} // a common small signal diode

// keys: rows and columns with diodes, one row driven low, columns pulled up, some contacts closed.
func keys(r *rand.Rand) *Network {
	n := New()
	n.Voltage("supply", "vcc", Ground, pick(r, 3.3, 5.0))
	rows, cols := 2+r.IntN(4), 2+r.IntN(4)
	for i := range rows {
		n.Resistor(fmt.Sprint("row", i, " drive"), pick(r, "vcc", Ground), fmt.Sprint("row", i), spread(r, 20, 80))
	}
	for j := range cols {
		n.Resistor(fmt.Sprint("col", j, " pull-up"), "vcc", fmt.Sprint("col", j), spread(r, 20e3, 80e3))
		for i := range rows {
			mid := fmt.Sprint("lug", i, ".", j)
			n.Switch(fmt.Sprint("key", i, ".", j), fmt.Sprint("col", j), mid, r.IntN(3) == 0)
			n.Diode(fmt.Sprint("diode", i, ".", j), mid, fmt.Sprint("row", i), signal)
		}
	}
	return n
}

// pullUp: an input with contact, long wire, perhaps a diode, perhaps a second supply.
func pullUp(r *rand.Rand) *Network {
	n := New()
	n.Voltage("supply", "vcc", Ground, pick(r, 3.3, 5.0))
	n.Resistor("pull-up", "vcc", "pin", spread(r, 1e3, 80e3))
	n.Resistor("wire", "pin", "lug", spread(r, 0.02, 1))
	n.Resistor("contact", "lug", "lug2", spread(r, 0.02, 50))
	n.Switch("S", "lug2", "lug3", r.IntN(3) > 0)
	if r.IntN(2) == 0 {
		n.Diode("D", "lug3", "out", signal)
	} else {
		n.Resistor("link", "lug3", "out", 0.05)
	}
	n.Voltage("drive", "low", Ground, r.Float64()*0.5)
	n.Resistor("drive resistance", "low", "out", spread(r, 10, 100))
	n.Current("leakage", "vcc", "pin", 1e-6*r.Float64())
	return n
}

// tangle: random resistors between random nodes, with sources across resistors.
func tangle(r *rand.Rand) *Network {
	n := New()
	nodes := []string{Ground}
	for i := range 5 + r.IntN(20) {
		name := fmt.Sprint("k", i)
		n.Resistor(fmt.Sprint("tree", i), name, pick(r, nodes...), spread(r, 0.1, 1e6))
		nodes = append(nodes, name)
	}
	for i := range len(nodes) {
		n.Resistor(fmt.Sprint("R", i), pick(r, nodes...), pick(r, nodes...), spread(r, 0.1, 1e6))
	}
	for i := range 3 {
		name := fmt.Sprint("source", i)
		n.Voltage(fmt.Sprint("V", i), name, pick(r, nodes...), 10*r.Float64()-5)
		n.Resistor(fmt.Sprint("inner", i), name, pick(r, nodes...), spread(r, 1, 1e3))
		n.Current(fmt.Sprint("I", i), pick(r, nodes...), pick(r, nodes...), 1e-3*r.NormFloat64())
	}
	return n
}

// rectifier: four diodes round a load, fed through a resistor.
func rectifier(r *rand.Rand) *Network {
	n := New()
	n.Voltage("feed", "a", Ground, 10*r.Float64()-5)
	n.Resistor("inner", "a", "b", spread(r, 1, 100))
	n.Diode("D1", "b", "plus", signal)
	n.Diode("D2", Ground, "plus", signal)
	n.Diode("D3", "minus", "b", signal)
	n.Diode("D4", "minus", Ground, signal)
	n.Resistor("load", "plus", "minus", spread(r, 100, 10e3))
	return n
}
