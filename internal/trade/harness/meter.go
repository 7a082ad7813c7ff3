package harness

import (
	"slices"

	"knobwright/internal/solve/circuit"
	"knobwright/internal/trade/wiring"
)

// meter knows what a meter would see between nets while the leads hang free of the boards: wires, contacts, resistors, tracks.
type meter struct {
	w    *worker
	net  map[wiring.Terminal]int
	all  []ohmic
	near map[int][]int // elements at a net
}

// ohmic is a resistance between two nets, or a contact.
type ohmic struct {
	a, b    int
	ohms    float64
	control string
	contact int // of the control's part; -1 = a resistor, always there
}

// newMeter gathers what lies between the nets.
func (w *worker) newMeter() *meter {
	m := &meter{w: w, net: map[wiring.Terminal]int{}, near: map[int][]int{}}
	for i, n := range w.w.Nets {
		for _, t := range n.Terms {
			m.net[t] = i
		}
	}
	next := len(w.w.Nets)
	at := func(t wiring.Terminal) int {
		if i, ok := m.net[t]; ok {
			return i
		}
		m.net[t] = next
		next++
		return next - 1
	}
	add := func(o ohmic) {
		if o.a == o.b {
			return
		}
		m.near[o.a], m.near[o.b] = append(m.near[o.a], len(m.all)), append(m.near[o.b], len(m.all))
		m.all = append(m.all, o)
	}
	for _, f := range w.w.Fittings {
		if f.Kind == "resistor" && f.Ohms > 0 {
			add(ohmic{at(wiring.Terminal{Of: f.Name, Lug: "1"}), at(wiring.Terminal{Of: f.Name, Lug: "2"}), f.Ohms, "", -1})
		}
	}
	seen := map[string]bool{}
	for _, d := range w.w.Devices {
		c := d.Control
		if seen[c.Name] {
			continue
		}
		seen[c.Name] = true
		for _, t := range c.Part.Circuit.Tracks {
			lo, wi, hi := at(wiring.Terminal{Of: c.Name, Lug: t.Ends[0]}), at(wiring.Terminal{Of: c.Name, Lug: t.Wiper}), at(wiring.Terminal{Of: c.Name, Lug: t.Ends[1]})
			if t.Ohms > 0 {
				add(ohmic{lo, wi, t.Ohms / 2, "", -1})
				add(ohmic{wi, hi, t.Ohms / 2, "", -1})
			}
		}
		for k, x := range c.Part.Circuit.Contacts {
			add(ohmic{at(wiring.Terminal{Of: c.Name, Lug: x.Lugs[0]}), at(wiring.Terminal{Of: c.Name, Lug: x.Lugs[1]}), 0, c.Name, k})
		}
	}
	return m
}

// closed reports whether an element conducts with every control at rest but one, which is in a position of its own.
func (m *meter) closed(o ohmic, control, position string) bool {
	if o.contact < 0 {
		return true
	}
	c := m.w.control(o.control).Part.Circuit
	x := c.Contacts[o.contact]
	if x.Phase != "" || len(c.Positions) == 0 {
		return false
	}
	at := c.Positions[0]
	if o.control == control {
		at = position
	}
	return contains(x.Closed, at)
}

// between gives the resistance between two nets, every control at rest but one; ok is false when they are not joined.
func (m *meter) between(a, b int, control, position string) (ohms float64, ok bool) {
	if a == b {
		return 0, true
	}
	seen := map[int]bool{a: true}
	used := map[int]bool{}
	queue := []int{a}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, i := range m.near[n] {
			if used[i] || !m.closed(m.all[i], control, position) {
				continue
			}
			used[i] = true
			for _, k := range []int{m.all[i].a, m.all[i].b} {
				if !seen[k] {
					seen[k] = true
					queue = append(queue, k)
				}
			}
		}
	}
	if !seen[b] {
		return 0, false
	}
	name := func(n int) string {
		if n == b {
			return circuit.Ground
		}
		return "n" + itoa(n)
	}
	n := circuit.New()
	for _, i := range sortedKeys(used) {
		o := m.all[i]
		if o.contact >= 0 {
			n.Switch("contact "+itoa(i), name(o.a), name(o.b), true)
		} else {
			n.Resistor("r "+itoa(i), name(o.a), name(o.b), o.ohms)
		}
	}
	n.Current("meter", circuit.Ground, name(a), 1e-3)
	s, err := n.Solve()
	if err != nil {
		return 0, false
	}
	return s.V(name(a)) / 1e-3, true
}

// rests gives for every net the number of a net that it is one with while nothing is touched.
func (m *meter) rests() []int {
	up := make([]int, len(m.w.w.Nets)+len(m.net)+1)
	for i := range up {
		up[i] = i
	}
	var find func(i int) int
	find = func(i int) int {
		if up[i] != i {
			up[i] = find(up[i])
		}
		return up[i]
	}
	for _, o := range m.all {
		if o.contact >= 0 && m.closed(o, "", "") || o.contact < 0 && o.ohms < 200 {
			up[find(o.a)] = find(o.b)
		}
	}
	for i := range up {
		up[i] = find(i)
	}
	return up
}

// track reports whether two nets are the ends, or an end and the wiper, of one track: they ring at an end of its way.
func (m *meter) track(a, b int) bool {
	return slices.ContainsFunc(m.near[a], func(i int) bool {
		o := m.all[i]
		return o.contact < 0 && (o.a == b || o.b == b)
	})
}
