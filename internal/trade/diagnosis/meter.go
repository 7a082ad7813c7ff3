package diagnosis

import (
	"math"

	"knobwright/internal/trade/wiring"
)

// openOhms is what a meter shows as open.
const openOhms = 1e7

// off is the whole circuit without power in one state: contacts, tracks, fittings; the pins of chips lead nowhere.
func (c *circuit) off(p *patch, s *state) *network {
	z := &zone{p: p, local: map[int32]int32{}}
	w := &network{c: c, z: z}
	m := len(c.terms)
	root := make([]int32, m)
	for i := range root {
		root[i] = int32(i)
	}
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	first := map[int8]int32{}
	for t, v := range c.fixed {
		if v < 0 {
			continue
		}
		if f, ok := first[v]; ok {
			root[find(int32(t))] = find(f)
		} else {
			first[v] = int32(t)
		}
	}
	for i, j := range c.joints {
		if !p.isCut(int32(i)) {
			root[find(j.a)] = find(j.b)
		}
	}
	for _, a := range p.add {
		root[find(a[0])] = find(a[1])
	}
	for i := range c.elements {
		e := localElement{element: c.elements[i], how: p.over(int32(i))}
		if e.kind == elContact && w.isClosed(&e, s) || e.kind == elDiode && e.how == shorted {
			root[find(e.a)] = find(e.b)
		}
	}
	w.n = m
	w.node = make([]int32, m)
	for t := range c.terms {
		w.node[t] = find(int32(t))
	}
	w.is, w.fixed, w.done, w.volts = make([]bool, m), make([]float64, m), make([]bool, m), make([]float64, m)
	put := func(e *element, how uint8) {
		if how == gone || e.a < 0 {
			return
		}
		a, b := w.node[e.a], w.node[e.b]
		switch e.kind {
		case elRes:
			if e.fitting != "pull-up" {
				w.put(part{a: a, b: b, g: 1 / e.ohms, device: -1})
			}
		case elTrack:
			f := s.part[e.device]
			if math.IsNaN(f) {
				f = 0.5
			}
			f = w.taper(int(e.device), f)
			side := e.side
			if how == turned {
				side = 1 - side
			}
			if side == 1 {
				f = 1 - f
			}
			w.put(part{a: a, b: b, g: 1 / max(1, f*e.ohms), device: -1})
		case elDiode, elLamp:
			if how == shorted {
				return
			}
			if how == turned {
				a, b = b, a
			}
			w.put(part{a: a, b: b, g: 1 / e.ohms, drop: e.drop, diode: true, device: -1})
		}
	}
	for i := range c.elements {
		put(&c.elements[i], p.over(int32(i)))
	}
	for i := range p.res {
		put(&p.res[i], 0)
	}
	return w
}

// ohms is what a meter reads between two terminals, red on a: it puts 1 V through 10 kohm on its probes.
func (w *network) ohms(a, b int32) float64 {
	x, y := w.node[a], w.node[b]
	if x == y {
		return 0
	}
	source := int32(w.n) // a node of its own
	w.n++
	i := int32(len(w.parts))
	w.parts = append(w.parts, part{a: source, b: x, g: 1e-4, device: -1})
	w.adjacent()
	w.is, w.fixed = append(w.is, true), append(w.fixed, 1)
	w.done, w.volts = append(w.done, true), append(w.volts, 1)
	w.is[y], w.fixed[y] = true, 0
	w.solve(x)
	v := w.volts[x]
	w.parts = w.parts[:i]
	w.is[y] = false
	w.n--
	w.is, w.fixed, w.done, w.volts = w.is[:w.n], w.fixed[:w.n], w.done[:w.n], w.volts[:w.n]
	clear(w.done)
	if math.IsNaN(v) || v > 0.999 {
		return openOhms
	}
	return max(0, v/(1-v)*1e4)
}

// meterPrediction is what a meter shows with a patch laid over: ohms or volts; NaN where a probe has no place, or where it depends on a track that
// stands anywhere.
func (m *Model) meterPrediction(p *patch, a Act, s *state) float64 {
	c := m.c
	x, y := c.find(a.Probe[0]), c.find(a.Probe[1])
	if x < 0 || y < 0 {
		return math.NaN()
	}
	if a.Do == Measure {
		return c.off(p, s).ohms(x, y)
	}
	q := *p
	q.touched = append(append([]int32{}, p.touched...), x, y)
	z := c.zoneOf(&q)
	z.probed = true
	r := c.read(z, s)
	u, v := still(r.volts[z.local[x]]), still(r.volts[z.local[y]])
	if u == anyVolts || v == anyVolts {
		return math.NaN()
	}
	return u - v
}

// still is what a meter makes of a place that nothing holds: its own 10 MΩ bring it to ground.
func still(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// fitMeter says how well a reading fits.
func (m *Model) fitMeter(p *patch, e *event) float64 {
	if e.seen.Act.Do == Trace {
		return m.fitTrace(p, e)
	}
	if math.IsNaN(e.seen.Meter) {
		return 0
	}
	want := m.meterPrediction(p, e.seen.Act, e.from)
	if math.IsNaN(want) {
		return -1
	}
	if meterClass(e.seen.Act.Do, want) == meterClass(e.seen.Act.Do, e.seen.Meter) {
		return 0
	}
	if e.seen.Act.Do == MeasureV && math.Abs(want-e.seen.Meter) < 0.25 {
		return 0
	}
	if e.seen.Act.Do == Measure && want > 50 && e.seen.Meter > 50 && want < openOhms/2 && e.seen.Meter < openOhms/2 {
		if math.Abs(math.Log(want/e.seen.Meter)) < 0.35 {
			return 0
		}
		for d, v := range e.from.part { // a pot that stands anywhere makes any reading
			if m.c.in.Wiring.Devices[d].Kind == wiring.DevTrack && math.IsNaN(v) {
				return -1
			}
		}
	}
	return -costMeter
}

// meterClass sorts readings so that those of one class are not told apart: rings, open, and values in steps; volts in steps.
func meterClass(do Do, v float64) int {
	if math.IsNaN(v) {
		return -1000
	}
	if do == MeasureV {
		return int(math.Round(v / 0.4))
	}
	switch {
	case v < 25:
		return 0
	case v > 2e6:
		return 1000
	}
	return 1 + int(math.Round(math.Log(v/25)/0.7))
}

// nearMeter lists the faults that could change a reading: those around its probes.
func (m *Model) nearMeter(a Act) []int32 {
	var out []int32
	x, y := m.c.find(a.Probe[0]), m.c.find(a.Probe[1])
	for i := range m.list {
		f := &m.list[i].Fault
		for _, t := range []int32{x, y} {
			if t < 0 {
				continue
			}
			if f.A == m.c.terms[t] || f.B == m.c.terms[t] {
				out = append(out, int32(i))
				break
			}
		}
	}
	return out
}
