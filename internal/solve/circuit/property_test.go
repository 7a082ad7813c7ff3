package circuit

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

func generators() []func(*rand.Rand) *Network {
	return []func(*rand.Rand) *Network{lamps, ladder, divider, keys, pullUp, tangle, rectifier}
}

// Kirchhoff's current law at every node, Tellegen's theorem (powers add up to nothing), and that resistors and diodes take power.
// All three ways to the solution agree.
func TestIdentities(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	leak, balance := 0.0, 0.0
	for i := range 400 {
		n := generators()[i%7](rng)
		s := solve(t, n)
		largest, power := 0.0, 0.0
		for _, e := range n.Elements() {
			largest = max(largest, math.Abs(s.I(e)))
			power += math.Abs(s.P(e))
			if k := n.elements[n.byName[e]].kind; k != voltage && k != current && s.P(e) < -1e-18 {
				t.Errorf("%s gives %g W", e, -s.P(e))
			}
		}
		leak = max(leak, s.Leak/(largest+1e-6)) // a femtoampere is forgiven
		balance = max(balance, math.Abs(s.Balance())/(power+1e-6))
		for _, m := range []method{leaking, rising} {
			n.force = m
			other := solve(t, n)
			for _, node := range n.Nodes() {
				if a, b := s.V(node), other.V(node); math.Abs(a-b) > 1e-8*(1+math.Abs(a)) {
					t.Errorf("network %d, node %s: %.12g, method %d says %.12g", i, node, a, m, b)
				}
			}
		}
	}
	t.Logf("largest rest at a node %.2g of the largest current and a microampere, of the powers and a microwatt %.2g", leak, balance)
	if leak > 1e-9 || balance > 1e-9 {
		t.Error("Kirchhoff's current law or the balance of powers is not met")
	}
}

// Superposition: in a network without diodes, the answer to all sources is the sum of the answers to each alone.
func TestSuperposition(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		n := tangle(rng)
		v, err := n.Vary()
		if err != nil {
			t.Fatal(err)
		}
		whole, err := v.Solve()
		if err != nil {
			t.Fatal(err)
		}
		var sources []string
		for _, e := range n.Elements() {
			if k := n.elements[n.byName[e]].kind; k == voltage || k == current {
				sources = append(sources, e)
			}
		}
		sum := map[string]float64{}
		for _, alone := range sources {
			var off []Change
			for _, s := range sources {
				if s != alone {
					off = append(off, Change{s, 0})
				}
			}
			part, err := v.Solve(off...)
			if err != nil {
				t.Fatal(err)
			}
			for _, node := range n.Nodes() {
				sum[node] += part.V(node)
			}
		}
		for _, node := range n.Nodes() {
			if math.Abs(sum[node]-whole.V(node)) > 1e-9*(1+math.Abs(whole.V(node))) {
				t.Errorf("%s: parts add up to %g, the whole is %g", node, sum[node], whole.V(node))
			}
		}
	}
}

// Reciprocity: a current put in at a gives at b the voltage that the same current put in at b gives at a.
func TestReciprocity(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		seed := rng.Uint64()
		at := func(in, out string) float64 {
			n := tangle(rand.New(rand.NewPCG(seed, 0)))
			v := New()
			for _, e := range n.elements { // sources off: voltage sources become short, current sources nothing
				a, b := n.nodes[e.a], n.nodes[e.b]
				switch e.kind {
				case voltage:
					v.Voltage(e.name, a, b, 0)
				case resistor:
					v.Resistor(e.name, a, b, e.value)
				}
			}
			v.Current("in", Ground, in, 1e-3)
			return solve(t, v).V(out)
		}
		a, b := at("k0", "k3"), at("k3", "k0")
		if math.Abs(a-b) > 1e-10*math.Abs(a)+1e-14 {
			t.Errorf("%g and %g", a, b)
		}
	}
}

// Random networks of resistors and current sources against the same nodal equations solved in exact rational numbers.
func TestExact(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	for round := range 25 {
		n := New()
		size := 3 + rng.IntN(8)
		name := func(i int) string { return fmt.Sprint(i) }
		g := make([][]*big.Rat, size) // augmented by the currents
		for i := range g {
			g[i] = make([]*big.Rat, size+1)
			for j := range g[i] {
				g[i][j] = new(big.Rat)
			}
		}
		add := func(i, j int, r float64) {
			n.Resistor(fmt.Sprint("R", len(n.elements)), name(i), name(j), r)
			s := new(big.Rat).SetFloat64(r)
			s.Inv(s)
			for _, p := range [][2]int{{i, j}, {j, i}} {
				if p[0] > 0 {
					g[p[0]-1][p[0]-1].Add(g[p[0]-1][p[0]-1], s)
					if p[1] > 0 {
						g[p[0]-1][p[1]-1].Sub(g[p[0]-1][p[1]-1], s)
					}
				}
			}
		}
		for i := 1; i <= size; i++ {
			add(i, rng.IntN(i), spread(rng, 1e-3, 1e9))
			if j := rng.IntN(size + 1); j != i {
				add(i, j, spread(rng, 1e-3, 1e9))
			}
			amp := rng.NormFloat64()
			n.Current(fmt.Sprint("I", i), Ground, name(i), amp)
			g[i-1][size].SetFloat64(amp)
		}
		want := eliminate(g)
		s := solve(t, n)
		scale := 0.0
		for _, w := range want {
			scale = max(scale, math.Abs(w))
		}
		for i, w := range want {
			if have := s.V(name(i + 1)); math.Abs(have-w) > 1e-9*math.Abs(w)+1e-13*scale {
				t.Errorf("round %d, node %d: %.14g, exactly %.14g", round, i+1, have, w)
			}
		}
	}
}

// eliminate solves an augmented system by Gauss and Jordan.
func eliminate(g [][]*big.Rat) []float64 {
	n := len(g)
	for k := range n {
		p := k
		for g[p][k].Sign() == 0 {
			p++
		}
		g[k], g[p] = g[p], g[k]
		for i := range n {
			if i == k || g[i][k].Sign() == 0 {
				continue
			}
			f := new(big.Rat).Quo(g[i][k], g[k][k])
			for j := k; j <= n; j++ {
				g[i][j].Sub(g[i][j], new(big.Rat).Mul(f, g[k][j]))
			}
		}
	}
	out := make([]float64, n)
	for i := range out {
		out[i], _ = new(big.Rat).Quo(g[i][n], g[i][i]).Float64()
	}
	return out
}

// The dense and the sparse factorisation give the same answers, also after values change under the chosen pivots.
func TestDenseAgainstSparse(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 11))
	for round := range 60 {
		n := generators()[round%7](rng)
		var answers []*Solution
		for _, usesAll := range []bool{true, false} {
			v, err := n.Vary()
			if err != nil {
				t.Fatal(err)
			}
			v.sys.lu.usesAll = usesAll
			v.sys.lu.prepare()
			changes := rand.New(rand.NewPCG(uint64(round), 0))
			for range 5 {
				var c []Change
				for i := range n.elements {
					e := &n.elements[i]
					if e.kind == resistor {
						c = append(c, Change{e.name, spread(changes, 1e-3, 1e9)})
					} else if e.kind == contact {
						c = append(c, Change{e.name, float64(changes.IntN(2))})
					}
				}
				s, err := v.Solve(c...)
				if err != nil {
					t.Fatal(err)
				}
				answers = append(answers, s)
			}
		}
		for k := range 5 {
			a, b := answers[k], answers[k+5]
			for _, node := range n.Nodes() {
				if x, y := a.V(node), b.V(node); math.Abs(x-y) > 1e-7*(1+math.Abs(x)) {
					t.Errorf("round %d, node %s: dense %.12g, sparse %.12g", round, node, x, y)
				}
			}
		}
	}
}

// What a Varied says does not depend on what it was asked before, to the last bit.
func TestVariedForgets(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 13))
	for range 20 {
		n := keys(rng)
		v, err := n.Vary()
		if err != nil {
			t.Fatal(err)
		}
		first, err := v.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := v.Solve(Change{"supply", 1}, Change{"col0 pull-up", 0.5}, Change{"key0.0", 1}, Change{"diode0.0", 1e-15}); err != nil {
			t.Fatal(err)
		}
		again, err := v.Solve()
		if err != nil {
			t.Fatal(err)
		}
		alone := solve(t, n)
		for _, node := range n.Nodes() {
			if first.V(node) != again.V(node) || math.Abs(first.V(node)-alone.V(node)) > 1e-9 {
				t.Fatalf("%s: %v, again %v, alone %v", node, first.V(node), again.V(node), alone.V(node))
			}
		}
		if _, err := v.Solve(Change{"nothing", 1}); err == nil {
			t.Error("an unknown element was changed")
		}
		if _, err := v.Solve(Change{"supply", math.NaN()}); err == nil {
			t.Error("NaN was taken")
		}
	}
}
