package diagnosis

import (
	"knobwright/internal/trade/wiring"
)

// readings lists meter readings that could part explanations: along their wires, to ground, and across their parts.
func (m *Model) readings(all []Cause) []Act {
	c := m.c
	var ground int32 = -1
	for t, v := range c.fixed {
		if v == 0 {
			ground = int32(t)
			break
		}
	}
	var out []Act
	put := func(do Do, a, b int32) {
		if a >= 0 && b >= 0 && a != b && len(out) < 40 {
			out = append(out, Act{Do: do, Probe: [2]wiring.Terminal{c.terms[a], c.terms[b]}})
		}
	}
	for _, x := range all {
		for _, id := range x.ids {
			f := m.list[id].Fault
			p := m.patch(id)
			a, b := c.find(f.A), c.find(f.B)
			for _, j := range p.cut {
				put(Measure, c.joints[j].a, c.joints[j].b)
			}
			for _, q := range p.add {
				put(Measure, q[0], q[1])
			}
			put(Measure, a, b)
			for _, e := range p.elem {
				y := &c.elements[e]
				put(Measure, y.a, y.b)
				if y.kind == elRes {
					put(MeasureV, y.b, ground)
				}
			}
			if d := c.deviceNamed(f.Device); d >= 0 {
				for _, e := range c.tracksOf(d) {
					put(Measure, c.elements[e].b, c.elements[e].a)
				}
			}
			if a >= 0 {
				put(Measure, a, ground)
				put(MeasureV, a, ground)
			}
		}
	}
	return out
}
