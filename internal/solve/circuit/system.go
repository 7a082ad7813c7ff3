package circuit

import "math"

// system is a network made ready to be solved again and again.
//
// Unknowns are the voltages of all nodes but ground, then the currents of voltage sources, switches and small resistors. A current
// is positive from the first node of its element to the second.
type system struct {
	elements []element
	nodes    int   // without ground
	branch   []int // unknown of each element's current; -1 = none
	lu       *factored
	slots    [][5]int // where each element adds to the matrix; -1 = nowhere
	b, x     []float64
	diodes   []int // elements
	junction []float64
	crit     []float64
}

func (n *Network) system() (*system, error) {
	if err := n.check(); err != nil {
		return nil, err
	}
	return newSystem(n.elements, max(0, len(n.nodes)-1))
}

// newSystem takes elements that were checked.
func newSystem(elements []element, nodes int) (*system, error) {
	s := &system{elements: append([]element(nil), elements...), nodes: nodes}
	size := s.nodes
	s.branch = make([]int, len(s.elements))
	for i := range s.elements {
		e := &s.elements[i]
		s.branch[i] = -1
		if e.kind == voltage || e.kind == contact || e.kind == resistor && e.value < smallOhm {
			s.branch[i] = size
			size++
		}
		if e.kind == diode {
			s.diodes = append(s.diodes, i)
		}
	}
	if size > MaxUnknowns {
		return nil, ErrTooBig
	}
	var places [][2]int
	each := func(i int, put func(slot, row, col int)) {
		e, k := &s.elements[i], s.branch[i]
		a, b := e.a-1, e.b-1
		if k >= 0 {
			put(0, a, k)
			put(1, b, k)
			put(2, k, a)
			put(3, k, b)
			put(4, k, k)
		} else if e.kind == resistor || e.kind == diode {
			put(0, a, a)
			put(1, b, b)
			put(2, a, b)
			put(3, b, a)
		}
	}
	for i := range s.elements {
		each(i, func(_, row, col int) {
			if row >= 0 && col >= 0 {
				places = append(places, [2]int{row, col})
			}
		})
	}
	m := newMatrix(size, places)
	s.slots = make([][5]int, len(s.elements))
	for i := range s.elements {
		s.slots[i] = [5]int{-1, -1, -1, -1, -1}
		each(i, func(slot, row, col int) {
			if row >= 0 && col >= 0 {
				s.slots[i][slot] = m.place(row, col)
			}
		})
	}
	s.lu = newFactored(m)
	s.b, s.x = make([]float64, size), make([]float64, size)
	s.junction, s.crit = make([]float64, len(s.diodes)), make([]float64, len(s.diodes))
	return s, nil
}

func (s *system) put(i, slot int, v float64) {
	if k := s.slots[i][slot]; k >= 0 {
		s.lu.m.val[k] += v
	}
}

// inject adds a current into node (0 = ground).
func (s *system) inject(node int, amp float64) {
	if node > 0 {
		s.b[node-1] += amp
	}
}

func (s *system) conduct(i int, g float64) {
	s.put(i, 0, g)
	s.put(i, 1, g)
	s.put(i, 2, -g)
	s.put(i, 3, -g)
}

// norton gives the straight line through the present point of diode k: current = g * volt across + i.
func (s *system) norton(k int, gmin float64) (g, i float64) {
	d, v := s.elements[s.diodes[k]].model, s.junction[k]
	amp, slope := d.at(v, gmin)
	div := 1 + float64(slope*d.Rs)
	return slope / div, (amp - float64(slope*v)) / div
}

// fill writes the equations, with sources turned to a share of their values.
func (s *system) fill(share, gmin float64) {
	clear(s.lu.m.val)
	clear(s.b)
	k := 0
	for i := range s.elements {
		e := &s.elements[i]
		switch {
		case e.kind == current:
			s.inject(e.a, -e.value*share)
			s.inject(e.b, e.value*share)
		case e.kind == diode:
			g, amp := s.norton(k, gmin)
			s.conduct(i, g)
			s.inject(e.a, -amp)
			s.inject(e.b, amp)
			k++
		case s.branch[i] >= 0:
			s.put(i, 0, 1)
			s.put(i, 1, -1)
			if e.kind == voltage {
				s.put(i, 2, 1)
				s.put(i, 3, -1)
				s.b[s.branch[i]] = e.value * share
			} else if r := e.ohm(); r < smallOhm {
				s.put(i, 2, 1)
				s.put(i, 3, -1)
				s.put(i, 4, -r)
			} else {
				s.put(i, 2, 1/r)
				s.put(i, 3, -1/r)
				s.put(i, 4, -1)
			}
		default:
			s.conduct(i, 1/e.value)
		}
	}
}

func (s *system) volt(node int) float64 {
	if node == 0 {
		return 0
	}
	return s.x[node-1]
}

func (s *system) across(i int) float64 { return s.volt(s.elements[i].a) - s.volt(s.elements[i].b) }

type method uint8

const (
	plain method = iota
	leaking
	rising
)

// A junction has settled when a step moves it by no more than these shares of its voltage and volts. Where a resistance joins nodes
// that only leakage holds, rounding moves it more than the close bounds for ever; after some steps the wide ones do.
const (
	closeRel, closeAbs = 1e-9, 1e-12
	wideRel, wideAbs   = 1e-6, 1e-6
	closeSteps         = 40
	manySteps          = 100
)

// settle runs Newton's method from the present junction voltages. worst is the diode that moved most in the last step.
func (s *system) settle(share, gmin float64) (steps, worst int, ok bool, err error) {
	for steps < manySteps {
		steps++
		s.fill(share, gmin)
		if err := s.lu.solve(s.b, s.x); err != nil {
			return steps, worst, false, err
		}
		far := 0.0
		quiet := true
		rel, abs := closeRel, closeAbs
		if steps > closeSteps {
			rel, abs = wideRel, wideAbs
		}
		for k, i := range s.diodes {
			e := &s.elements[i]
			v := s.across(i)
			g, amp := s.norton(k, gmin)
			next := v - float64((float64(g*v)+amp)*e.model.Rs)
			next, limited := e.model.limit(next, s.junction[k], s.crit[k])
			moved := math.Abs(next - s.junction[k])
			if moved > far {
				far, worst = moved, k
			}
			if limited || !(moved <= abs+rel*max(math.Abs(next), math.Abs(s.junction[k]))) {
				quiet = false
			}
			s.junction[k] = next
		}
		if quiet {
			return steps, worst, true, nil
		}
	}
	return steps, worst, false, nil
}

// begin puts every junction where its curve bends.
func (s *system) begin() {
	for k, i := range s.diodes {
		s.crit[k] = s.elements[i].model.critical()
		s.junction[k] = s.crit[k]
	}
}

// solve finds the operating point by the methods in turn, beginning with first.
func (s *system) solve(first method) (int, error) {
	total, worst := 0, 0
	var failed error
	for m := first; m <= rising; m++ {
		s.begin()
		var ok bool
		var steps int
		var err error
		switch m {
		case plain:
			steps, worst, ok, err = s.settle(1, Gmin)
		case leaking:
			steps, worst, ok, err = s.leak()
		case rising:
			steps, worst, ok, err = s.rise()
		}
		total += steps
		if ok {
			steps, worst, ok, err = s.settle(1, Gmin) // once more from the solution: the last digits
			total += steps
			if ok {
				return total, nil
			}
		}
		failed = err
		if len(s.diodes) == 0 {
			break
		}
	}
	if failed != nil {
		return total, failed
	}
	return total, &ConvergeError{Iterations: total, Worst: s.elements[s.diodes[worst]].name}
}

// leak begins with junctions that leak a lot and takes the leakage back.
func (s *system) leak() (total, worst int, ok bool, err error) {
	for g := 1e-2; ; g /= 10 {
		g = max(g, Gmin)
		var steps int
		steps, worst, ok, err = s.settle(1, g)
		total += steps
		if !ok || g == Gmin {
			return total, worst, ok, err
		}
	}
}

// rise turns the sources up from zero, in steps that shrink where the way is hard.
func (s *system) rise() (total, worst int, ok bool, err error) {
	for k := range s.junction {
		s.junction[k] = 0
	}
	share, step := 0.0, 0.1
	kept := append([]float64(nil), s.junction...)
	for {
		next := min(1, share+step)
		var steps int
		steps, worst, ok, err = s.settle(next, Gmin)
		total += steps
		switch {
		case ok && next == 1:
			return total, worst, true, nil
		case ok:
			share = next
			copy(kept, s.junction)
			step *= 2
		case step < 1e-6:
			return total, worst, false, err
		default:
			copy(s.junction, kept)
			step /= 4
		}
	}
}
