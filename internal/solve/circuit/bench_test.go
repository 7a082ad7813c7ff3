package circuit

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// board is a network of 200 nodes: 10 rows and 10 columns of keys with diodes, 40 lamps with resistors.
func board() *Network {
	rng := rand.New(rand.NewPCG(1, 1))
	n := New()
	n.Voltage("supply", "vcc", Ground, 5)
	for i := range 10 {
		n.Resistor(fmt.Sprint("drive", i), Ground, fmt.Sprint("row", i), 40)
		n.Resistor(fmt.Sprint("pull", i), "vcc", fmt.Sprint("col", i), 40e3)
	}
	for i := range 100 {
		lug := fmt.Sprint("lug", i)
		n.Switch(fmt.Sprint("key", i), fmt.Sprint("col", i%10), lug, rng.IntN(2) == 0)
		n.Diode(fmt.Sprint("diode", i), lug, fmt.Sprint("row", i/10), signal)
	}
	lamp, _ := Fit(2, 10e-3, 2, 3)
	for i := range 40 {
		a, b := fmt.Sprint("pin", i), fmt.Sprint("anode", i)
		n.Resistor(fmt.Sprint("out", i), "vcc", a, 40)
		n.Resistor(fmt.Sprint("series", i), a, b, 330)
		n.Diode(fmt.Sprint("lamp", i), b, Ground, lamp)
	}
	return n
}

func TestBoard(t *testing.T) {
	n := board()
	s := solve(t, n)
	if len(n.Nodes()) != 201 || s.Leak > 1e-12 {
		t.Errorf("%d nodes, %g A left over after %d steps", len(n.Nodes()), s.Leak, s.Steps)
	}
	t.Logf("%d nodes, %d elements, %d steps", len(n.Nodes()), len(n.Elements()), s.Steps)
}

// 201 nodes, 140 diodes, from the list of elements to the answer.
func BenchmarkSolve(b *testing.B) {
	n := board()
	for b.Loop() {
		if _, err := n.Solve(); err != nil {
			b.Fatal(err)
		}
	}
}

// The same, asked again with one key changed.
func BenchmarkVary(b *testing.B) {
	v, err := board().Vary()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := v.Solve(Change{"key7", 1}); err != nil {
			b.Fatal(err)
		}
	}
}

// 200 nodes, resistors only.
func BenchmarkLinear(b *testing.B) {
	rng := rand.New(rand.NewPCG(2, 2))
	n := New()
	n.Voltage("V", "k0", Ground, 5)
	for i := range 400 {
		n.Resistor(fmt.Sprint("R", i), fmt.Sprint("k", i%200), fmt.Sprint("k", (i+1+rng.IntN(9))%200), 100+float64(i))
	}
	b.Run("whole", func(b *testing.B) {
		for b.Loop() {
			if _, err := n.Solve(); err != nil {
				b.Fatal(err)
			}
		}
	})
	v, err := n.Vary()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("again", func(b *testing.B) {
		for b.Loop() {
			if _, err := v.Solve(Change{"R7", 50}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
