package circuit

import "math"

// Solution is the operating point of a network. It does not change, even if elements are added to the network later.
type Solution struct {
	net   *Network
	volts []float64 // by node, ground included
	amps  []float64 // by element
	Leak  float64   // largest sum of currents left over at a node, A: how well Kirchhoff's current law is met
	Steps int       // linear systems solved on the way
}

// Solve finds the operating point. Errors are [*ValueError], [*NameError], [ErrEmpty], [ErrNoGround], [*LoopError], [*FloatingError],
// [ErrTooBig], [ErrSingular] and [*ConvergeError]: sentences about the network as it was given.
func (n *Network) Solve() (*Solution, error) {
	s, err := n.system()
	if err != nil {
		return nil, err
	}
	return s.solution(n, n.force)
}

func (s *system) solution(n *Network, first method) (*Solution, error) {
	steps, err := s.solve(first)
	if err != nil {
		return nil, err
	}
	out := &Solution{net: n, Steps: steps, volts: make([]float64, s.nodes+1), amps: make([]float64, len(s.elements))}
	copy(out.volts[1:], s.x)
	sum := make([]float64, s.nodes+1)
	k := 0
	for i := range s.elements {
		e := &s.elements[i]
		var amp float64
		switch {
		case s.branch[i] >= 0:
			amp = s.x[s.branch[i]]
		case e.kind == current:
			amp = e.value
		case e.kind == diode:
			amp, _ = e.model.at(s.junction[k], Gmin)
			k++
		default:
			amp = s.across(i) / e.value
		}
		out.amps[i] = amp
		sum[e.a] -= amp
		sum[e.b] += amp
	}
	for _, v := range sum[1:] {
		out.Leak = max(out.Leak, math.Abs(v))
	}
	return out, nil
}

// V is the voltage of a node against ground, V; NaN if there is no such node.
func (s *Solution) V(node string) float64 {
	if node == "" || node == Ground {
		return 0
	}
	if i, ok := s.net.byNode[node]; ok && i < len(s.volts) {
		return s.volts[i]
	}
	return math.NaN()
}

// Across is the voltage of an element's first node against its second, V; NaN if there is no such element.
func (s *Solution) Across(element string) float64 {
	if i, ok := s.net.byName[element]; ok && i < len(s.amps) {
		return s.across(i)
	}
	return math.NaN()
}

// I is the current through an element from its first node to its second, A; NaN if there is no such element. A voltage source
// that feeds the network therefore has a negative current.
func (s *Solution) I(element string) float64 {
	if i, ok := s.net.byName[element]; ok && i < len(s.amps) {
		return s.amps[i]
	}
	return math.NaN()
}

// P is the power that an element takes, W; negative when it gives; NaN if there is no such element.
func (s *Solution) P(element string) float64 { return s.Across(element) * s.I(element) }

// Balance is the sum of the powers of all elements, W: zero but for rounding.
func (s *Solution) Balance() float64 {
	sum := 0.0
	for i, amp := range s.amps {
		sum += float64(s.across(i) * amp)
	}
	return sum
}

func (s *Solution) across(i int) float64 {
	e := &s.net.elements[i]
	return s.volts[e.a] - s.volts[e.b]
}

// Nodes lists all nodes but ground in the order in which they were first named.
func (n *Network) Nodes() []string {
	if len(n.nodes) == 0 {
		return nil
	}
	return append([]string(nil), n.nodes[1:]...)
}

// Elements lists the names of all elements in the order in which they were added.
func (n *Network) Elements() []string {
	out := make([]string, len(n.elements))
	for i := range n.elements {
		out[i] = n.elements[i].name
	}
	return out
}
