package circuit

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func solve(t *testing.T, n *Network) *Solution {
	t.Helper()
	s, err := n.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t *testing.T, what string, have, want, rel float64) {
	t.Helper()
	if !(math.Abs(have-want) <= rel*math.Abs(want)+1e-15) {
		t.Errorf("%s is %.12g, want %.12g", what, have, want)
	}
}

// Voltage divider: V R2/(R1+R2). Signs: the source gives, the resistors take.
func TestDivider(t *testing.T) {
	n := New()
	n.Voltage("V", "in", Ground, 5)
	n.Resistor("R1", "in", "out", 1000)
	n.Resistor("R2", "out", "", 4000)
	s := solve(t, n)
	near(t, "out", s.V("out"), 4, 1e-14)
	near(t, "I(V)", s.I("V"), -1e-3, 1e-14)
	near(t, "I(R1)", s.I("R1"), 1e-3, 1e-14)
	near(t, "P(R2)", s.P("R2"), 4e-3, 1e-14)
	near(t, "P(V)", s.P("V"), -5e-3, 1e-14)
	near(t, "across R1", s.Across("R1"), 1, 1e-14)
	if !math.IsNaN(s.V("nowhere")) || !math.IsNaN(s.I("nothing")) || !math.IsNaN(s.P("nothing")) {
		t.Error("an unknown name has a value")
	}
	n.Resistor("later", "else", "out", 1)
	if !math.IsNaN(s.V("else")) || !math.IsNaN(s.I("later")) {
		t.Error("a solution grew with its network")
	}
}

// Wheatstone bridge, Thevenin: open voltage V (R2/(R1+R2) - R4/(R3+R4)), inner resistance R1||R2 + R3||R4.
func TestBridge(t *testing.T) {
	n := New()
	n.Voltage("V", "top", Ground, 10)
	n.Resistor("R1", "top", "a", 100)
	n.Resistor("R2", "a", Ground, 200)
	n.Resistor("R3", "top", "b", 300)
	n.Resistor("R4", "b", Ground, 150)
	n.Resistor("Rg", "a", "b", 50)
	s := solve(t, n)
	open := 10 * (200.0/300 - 150.0/450)
	near(t, "bridge current", s.I("Rg"), open/(100*200.0/300+300*150.0/450+50), 1e-13)
}

// Current source into two resistors in parallel (current divider), and the direction of its arrow.
func TestCurrentDivider(t *testing.T) {
	n := New()
	n.Current("I", Ground, "a", 3e-3)
	n.Resistor("R1", "a", Ground, 1000)
	n.Resistor("R2", "a", Ground, 2000)
	s := solve(t, n)
	near(t, "a", s.V("a"), 2, 1e-14)
	near(t, "I(R1)", s.I("R1"), 2e-3, 1e-14)
	near(t, "P(I)", s.P("I"), -6e-3, 1e-14)
}

// Infinite ladder of series r and shunt r ends in r golden ratios: r (1+sqrt 5)/2, in front of its first series resistor.
func TestGoldenLadder(t *testing.T) {
	n := New()
	n.Current("I", Ground, "a0", 1)
	last := "a0"
	for i := range 60 {
		next := "a" + strings.Repeat("i", i+1)
		n.Resistor("s"+next, last, next, 1)
		n.Resistor("p"+next, next, Ground, 1)
		last = next
	}
	near(t, "resistance", solve(t, n).V("a0"), (1+math.Sqrt(5))/2, 1e-13)
}

// Diode and resistor: Vs = i R + n Vt ln(1 + i/Is) + i Rs, solved here by bisection on i, which shares nothing with Newton's method.
func TestDiodeAndResistor(t *testing.T) {
	for _, c := range []struct {
		volt, r float64
		d       Diode
	}{
		{5, 330, Diode{Sat: 1e-18, Ideal: 2, Rs: 3}}, {0.3, 1e6, Diode{Sat: 1e-9}}, {12, 1, Diode{Sat: 1e-14, Ideal: 1}},
		{1e3, 1e-3, Diode{Sat: 1e-14, Ideal: 1.5}}, {3.3, 1e5, Diode{Sat: 1e-35, Ideal: 1.7, Rs: 15}}, {100, 0.5, Diode{Sat: 1e-2, Ideal: 0.1}},
	} {
		n := New()
		n.Voltage("V", "a", Ground, c.volt)
		n.Resistor("R", "a", "k", c.r)
		n.Diode("D", "k", Ground, c.d)
		for _, first := range []method{plain, leaking, rising} {
			n.force = first
			s := solve(t, n)
			low, high := 0.0, c.volt/c.r
			for range 200 {
				mid := (low + high) / 2
				junction := c.volt - mid*(c.r+c.d.Rs)
				if i := c.d.Sat*math.Expm1(min(700, junction/c.d.vte())) + Gmin*junction; i > mid {
					low = mid
				} else {
					high = mid
				}
			}
			near(t, "diode current", s.I("D"), low, 1e-9)
			near(t, "the resistor's", s.I("R"), low, 1e-9)
		}
		n.force = plain
		near(t, "drop from current", c.d.Drop(solve(t, n).I("D")), solve(t, n).V("k"), 1e-3)
	}
}

// A diode the wrong way round lets its saturation current and the leakage through, no more.
func TestReverse(t *testing.T) {
	n := New()
	n.Voltage("V", "a", Ground, 5)
	n.Diode("D", "k", "a", signal)
	n.Resistor("R", "k", Ground, 1000)
	near(t, "reverse current", solve(t, n).I("R"), signal.Sat+5*Gmin, 1e-5)
}

func TestFit(t *testing.T) {
	for _, c := range []struct{ v, i, n, rs float64 }{{2, 20e-3, 2, 5}, {3.2, 20e-3, 1.5, 10}, {0.7, 10e-3, 1.75, 0.6}, {1.8, 2e-3, 0, 0}} {
		d, err := Fit(c.v, c.i, c.n, c.rs)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "drop", d.Drop(c.i), c.v, 1e-12)
		n := New()
		n.Current("I", Ground, "a", c.i)
		n.Diode("D", "a", Ground, d)
		near(t, "solved drop", solve(t, n).V("a"), c.v, 1e-9)
	}
	for _, c := range []struct{ v, i, n, rs float64 }{{2, 20e-3, 2, 200}, {math.NaN(), 1, 1, 1}, {2, 0, 1, 1}, {2, math.Inf(1), 1, 1}, {2, 1, -1, 0}, {300, 1, 1, 0}, {2, 1, 1, -1}} {
		if d, err := Fit(c.v, c.i, c.n, c.rs); err == nil {
			t.Errorf("Fit(%v) gives %v", c, d)
		}
	}
}

// A closed contact between two lugs that only leakage holds: the voltage is that of the leakage divider, to the last digits,
// although 1000 S stand beside 1e-12 S.
func TestContactBesideLeakage(t *testing.T) {
	n := New()
	n.Voltage("V", "a", Ground, 3)
	n.Resistor("leak1", "a", "x", 1e12)
	n.Switch("S", "x", "y", true)
	n.Resistor("leak2", "y", Ground, 2e12)
	s := solve(t, n)
	near(t, "x", s.V("x"), 2, 1e-12)
	near(t, "contact current", s.I("S"), 1e-12, 1e-12)
	v, err := n.Vary()
	if err != nil {
		t.Fatal(err)
	}
	s, err = v.Solve(Change{"S", 0})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "x, contact open", s.V("x"), 3*(1-1/4.0), 1e-12)
	near(t, "y, contact open", s.V("y"), 3*2/4.0, 1e-12)
}

func TestSentences(t *testing.T) {
	for _, c := range []struct {
		build func(*Network)
		want  string
	}{
		{func(*Network) {}, "the network has no elements"},
		{func(n *Network) { n.Resistor("R", "a", "b", 1) }, `nothing touches ground: one node must be "0"`},
		{func(n *Network) { n.Resistor("R", "a", "0", 1); n.Resistor("R", "a", "0", 1) }, "two elements are named R"},
		{func(n *Network) { n.Resistor("", "a", "0", 1) }, "an element has no name"},
		{func(n *Network) { n.Resistor("R", "a", "0", 0) }, "R is given 0 ohm; from 1e-06 to 1e+15 is wanted"},
		{func(n *Network) { n.Resistor("R", "a", "0", -5) }, "R is given -5 ohm; from 1e-06 to 1e+15 is wanted"},
		{func(n *Network) { n.Resistor("R", "a", "0", math.NaN()) }, "R is given NaN ohm; from 1e-06 to 1e+15 is wanted"},
		{func(n *Network) { n.Voltage("V", "a", "0", math.Inf(1)) }, "V is given +Inf V; from -1e+06 to 1e+06 is wanted"},
		{func(n *Network) { n.Current("I", "a", "0", 1e7) }, "I is given 1e+07 A; from -1e+06 to 1e+06 is wanted"},
		{func(n *Network) { n.Diode("D", "a", "0", Diode{}) }, "D is given 0 A of saturation current; from 1e-60 to 0.01 is wanted"},
		{func(n *Network) { n.Diode("D", "a", "0", Diode{Sat: 1e-9, Ideal: 99}) }, "D is given 99 as ideality factor; from 0.1 to 50 is wanted"},
		{func(n *Network) {
			n.Resistor("R", "a", "0", 1)
			n.Current("I", "0", "lamp", 1)
		}, "node lamp floats: nothing but current sources ties it to ground"},
		{func(n *Network) {
			n.Resistor("R", "a", "0", 1)
			n.Resistor("R2", "b", "c", 1)
			n.Current("I", "0", "b", 1)
		}, "nodes b and c float: nothing but current sources ties them to ground"},
		{func(n *Network) {
			n.Resistor("R", "a", "0", 1)
			n.Voltage("other", "z", "0", 1)
			n.Voltage("V1", "a", "0", 1)
			n.Voltage("V2", "b", "a", 1)
			n.Voltage("V3", "b", "0", 1)
		}, "voltage sources V1, V2 and V3 form a loop without a resistance"},
		{func(n *Network) { n.Voltage("V1", "a", "a", 1); n.Resistor("R", "a", "0", 1) }, "voltage source V1 has both ends on one node"},
	} {
		n := New()
		c.build(n)
		_, err := n.Solve()
		if err == nil || err.Error() != c.want {
			t.Errorf("have %v\nwant %s", err, c.want)
		}
		if _, err := n.Vary(); err == nil {
			t.Error("Vary takes what Solve refuses:", c.want)
		}
		if n.Netlist(&strings.Builder{}, "x") == nil {
			t.Error("Netlist takes what Solve refuses:", c.want)
		}
	}
	var many Network
	many.Resistor("R", "a", "0", 1)
	for i := range MaxUnknowns + 1 {
		many.Resistor("r"+digits(float64(i)), "a", "n"+digits(float64(i)), 1)
	}
	if _, err := many.Solve(); !errors.Is(err, ErrTooBig) {
		t.Error(err)
	}
	if s := (&ConvergeError{Iterations: 3, Worst: "D1"}).Error(); s != "no operating point found in 3 steps; D1 would not settle" {
		t.Error(s)
	}
}

// An input held by a diode and an open contact alone is loose; a closed contact to a resistor holds it.
func TestLoose(t *testing.T) {
	for _, closed := range []bool{false, true} {
		n := New()
		n.Voltage("V", "vcc", Ground, 3)
		n.Resistor("R", "vcc", "a", 1e4)
		n.Switch("S", "a", "b", closed)
		n.Diode("D", "b", Ground, signal)
		n.Diode("D2", "c", "b", signal)
		want := "b c"
		if closed {
			want = "c"
		}
		if have := strings.Join(n.Loose(), " "); have != want {
			t.Errorf("closed %v: loose are %q, want %q", closed, have, want)
		}
	}
}
