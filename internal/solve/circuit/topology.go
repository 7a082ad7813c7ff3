package circuit

import "slices"

// forest is a union of sets of nodes.
type forest []int

func newForest(n int) forest {
	f := make(forest, n)
	for i := range f {
		f[i] = i
	}
	return f
}

func (f forest) root(i int) int {
	for f[i] != i {
		f[i] = f[f[i]]
		i = f[i]
	}
	return i
}

// join tells whether a and b were apart.
func (f forest) join(a, b int) bool {
	a, b = f.root(a), f.root(b)
	f[max(a, b)] = min(a, b)
	return a != b
}

// check finds what makes the equations hopeless whatever the values are.
func (n *Network) check() error {
	if n.bad != nil {
		return n.bad
	}
	if len(n.elements) == 0 {
		return ErrEmpty
	}
	grounded := false
	for _, e := range n.elements {
		grounded = grounded || e.a == 0 || e.b == 0
	}
	if !grounded {
		return ErrNoGround
	}
	if err := n.checkLoops(); err != nil {
		return err
	}
	if floats := n.cut(func(e *element) bool { return e.kind != current }); len(floats) > 0 {
		return &FloatingError{Nodes: floats}
	}
	return nil
}

// cut lists the nodes that do not reach ground over the elements that hold.
func (n *Network) cut(holds func(*element) bool) []string {
	f := newForest(max(1, len(n.nodes)))
	for i := range n.elements {
		if e := &n.elements[i]; holds(e) {
			f.join(e.a, e.b)
		}
	}
	var out []string
	for i, name := range n.nodes {
		if f.root(i) != 0 {
			out = append(out, name)
		}
	}
	return out
}

// Loose lists the nodes whose voltage only leakage decides: they reach ground through no resistor, closed switch or voltage source,
// just through diodes and open switches. An input on such a node reads chance. In the order in which the nodes were first named.
func (n *Network) Loose() []string {
	return n.cut(func(e *element) bool {
		return e.kind == resistor || e.kind == voltage || e.kind == contact && e.value != 0
	})
}

func (n *Network) checkLoops() error {
	f := newForest(max(1, len(n.nodes)))
	var tree []int // voltage sources so far, without loops
	for i := range n.elements {
		e := &n.elements[i]
		if e.kind != voltage {
			continue
		}
		if !f.join(e.a, e.b) {
			return &LoopError{Sources: append(n.path(tree, e.a, e.b), e.name)}
		}
		tree = append(tree, i)
	}
	return nil
}

// path names the sources on the way from node a to b, in the order in which they were added.
func (n *Network) path(tree []int, a, b int) []string {
	on := slices.Clone(tree)
	for i := 0; i < len(on); { // drop every source without which a and b are still joined
		f := newForest(len(n.nodes))
		for j, s := range on {
			if j != i {
				f.join(n.elements[s].a, n.elements[s].b)
			}
		}
		if f.root(a) == f.root(b) {
			on = slices.Delete(on, i, i+1)
		} else {
			i++
		}
	}
	var names []string
	for _, s := range on {
		names = append(names, n.elements[s].name)
	}
	return names
}
