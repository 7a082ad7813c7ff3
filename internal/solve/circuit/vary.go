package circuit

// Change is a new value for an element: ohm, V, A; for a switch 0 open or 1 closed; for a diode its saturation current, A.
type Change struct {
	Name  string
	Value float64
}

// Varied solves one network again and again with changed values. Equations, pattern and order of elimination are kept, so that
// each answer costs little. It is not for several goroutines at once; make one for each.
type Varied struct {
	net  *Network
	sys  *system
	base []element
}

// Vary makes a network ready for [Varied.Solve]. Errors are those of [Network.Solve] that do not need a solution. What is added to
// the network afterwards does not count.
func (n *Network) Vary() (*Varied, error) {
	s, err := n.system()
	if err != nil {
		return nil, err
	}
	s.begin()
	s.fill(1, Gmin)
	s.lu.prepare()
	return &Varied{net: n, sys: s, base: append([]element(nil), s.elements...)}, nil
}

// Solve finds the operating point with some values changed; all others are those of the network. Changes do not last: the next
// call begins with the network's own values again, and the answer does not depend on earlier calls.
func (v *Varied) Solve(changes ...Change) (*Solution, error) {
	copy(v.sys.elements, v.base)
	fits := true
	for _, c := range changes {
		i, ok := v.net.byName[c.Name]
		if !ok || i >= len(v.base) {
			return nil, &NameError{Name: c.Name}
		}
		e := &v.sys.elements[i]
		e.value = c.Value
		if e.kind == diode {
			e.model.Sat = c.Value
		}
		if err := e.check(); err != nil {
			return nil, err
		}
		if e.kind == resistor && e.value < smallOhm && v.sys.branch[i] < 0 {
			fits = false
		}
	}
	if !fits { // a resistance became so small that its current must be an unknown
		s, err := newSystem(v.sys.elements, v.sys.nodes)
		if err != nil {
			return nil, err
		}
		return s.solution(v.net, v.net.force)
	}
	v.sys.lu.restart()
	return v.sys.solution(v.net, v.net.force)
}
