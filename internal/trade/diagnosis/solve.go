package diagnosis

import (
	"math"
	"slices"
)

// network is a zone in one state: nodes that are joined, and what lies between them.
type network struct {
	c     *circuit
	z     *zone
	node  []int32 // by local terminal
	fixed []float64
	is    []bool // fixed
	busy  []bool // a pin drives it up and down all the time
	n     int
	parts []part    // resistances and diodes
	from  []int32   // by node: where its parts begin in list
	list  []int32   // parts by node
	mark  []bool    // by part: taken up already
	volts []float64 // as solved; NaN = nothing holds it
	done  []bool
	works []bool // by zone.boards
	still []bool // by zone.boards: all is well but that no clock comes
	burnt []bool // by node: two supplies meet there
}

// part lies between two nodes. A diode lets current pass from a to b; on is what is supposed while solving.
type part struct {
	a, b   int32
	g      float64
	drop   float64
	diode  bool
	on     bool
	device int32
}

// evaluate computes what a zone shows.
func (c *circuit) evaluate(z *zone, s *state) *reading {
	w := &network{c: c, z: z}
	w.build(s)
	r := &reading{bits: make([]int8, len(z.obs)), axes: make([]float64, len(z.obs)), lamps: make([]float64, len(z.lamps)), volts: make([]float64, len(z.terms))}
	if z.p.short {
		for i := range r.volts {
			r.volts[i] = 0
		}
		return r
	}
	for _, p := range w.parts { // what lamps lie between
		if p.device >= 0 {
			w.solve(p.a)
			w.solve(p.b)
		}
	}
	w.lampCurrents(r)
	w.readAll(r)
	if z.probed {
		for l := range z.terms {
			w.solve(w.node[l])
			r.volts[l] = w.volts[w.node[l]]
		}
	}
	return r
}

func (w *network) isClosed(e *localElement, s *state) bool {
	switch e.how {
	case gone:
		return false
	case shorted:
		return true
	}
	x := w.c.controls[e.control]
	k := &x.Part.Circuit.Contacts[e.contact]
	if ph := phaseOf(*k); ph != 0 {
		n := w.c.steps[e.control]
		if w.z.p.steps == e.control {
			n = w.z.p.step
		}
		if w.z.p.phases == e.control {
			ph = 'A' + 'B' - ph
		}
		q := (int(s.clicks[e.control])*n + int(s.sub[e.control])) & 3 // 00 A AB B
		if ph == 'A' {
			return q == 1 || q == 2
		}
		return q == 2 || q == 3
	}
	names := x.Part.Circuit.Positions
	p := int(s.pos[e.control])
	return p >= 0 && p < len(names) && slices.Contains(k.Closed, names[p])
}

// build joins nodes and lists what lies between.
func (w *network) build(s *state) {
	z, c := w.z, w.c
	m := len(z.terms)
	root := make([]int32, m+len(c.volts))
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
	union := func(a, b int32) { root[find(a)] = find(b) }
	for l := range z.terms {
		if z.rail[l] >= 0 {
			union(int32(l), int32(m)+int32(z.rail[l]))
		}
	}
	for _, j := range z.joints {
		union(j[0], j[1])
	}
	for i := range z.elems {
		e := &z.elems[i]
		switch {
		case e.kind == elContact && w.isClosed(e, s), e.kind == elDiode && e.how == shorted:
			union(e.la, e.lb)
		}
	}
	number := make([]int32, len(root))
	for i := range number {
		number[i] = -1
	}
	w.node = make([]int32, m)
	get := func(i int32) int32 {
		f := find(i)
		if number[f] < 0 {
			number[f] = int32(w.n)
			w.n++
			w.fixed = append(w.fixed, 0)
			w.is = append(w.is, false)
			w.burnt = append(w.burnt, false)
		}
		return number[f]
	}
	for v := range c.volts {
		n := get(int32(m + v))
		if w.is[n] {
			if w.fixed[n] != c.volts[v] {
				w.burnt[n] = true
			}
			w.fixed[n] = min(w.fixed[n], c.volts[v]) // a supply that is shorted gives way
			continue
		}
		w.is[n], w.fixed[n] = true, c.volts[v]
	}
	for l := range z.terms {
		w.node[l] = get(int32(l))
	}
	w.busy = make([]bool, w.n)
	w.boardsWork()
	for i := range z.elems {
		e := &z.elems[i]
		b := w.node[e.lb]
		a := int32(-1)
		if e.la >= 0 {
			a = w.node[e.la]
		}
		if e.how == gone {
			continue
		}
		switch e.kind {
		case elRes:
			w.put(part{a: a, b: b, g: 1 / e.ohms, device: e.device})
		case elTrack:
			f := s.part[e.device]
			f = w.taper(int(e.device), f)
			side := e.side
			if e.how == turned {
				side = 1 - side
			}
			if side == 1 {
				f = 1 - f
			}
			w.put(part{a: a, b: b, g: 1 / max(1, f*e.ohms), device: -1})
		case elDiode, elLamp:
			if e.how == shorted {
				continue
			}
			if e.how == turned {
				a, b = b, a
			}
			dev := int32(-1)
			if e.kind == elLamp {
				dev = e.device
			}
			w.put(part{a: a, b: b, g: 1 / e.ohms, drop: e.drop, diode: true, device: dev})
		case elDrive:
			if !w.driven(e) {
				continue
			}
			if s.lit[e.device] {
				if a >= 0 {
					w.put(part{a: a, b: b, g: 1 / e.ohms, device: -1})
				}
			} else if e.lg >= 0 {
				w.put(part{a: w.node[e.lg], b: b, g: 1 / e.drop, device: -1})
			}
		case elBusy:
			w.busy[b] = true
		}
	}
	w.adjacent()
	w.volts = make([]float64, w.n)
	w.done = make([]bool, w.n)
	for i := range w.volts {
		w.volts[i] = math.NaN()
		if w.is[i] {
			w.volts[i], w.done[i] = w.fixed[i], true
		}
	}
}

// adjacent lists the parts at every node.
func (w *network) adjacent() {
	w.from = make([]int32, w.n+1)
	for i := range w.parts {
		w.from[w.parts[i].a+1]++
		w.from[w.parts[i].b+1]++
	}
	for i := range w.n {
		w.from[i+1] += w.from[i]
	}
	w.list = make([]int32, 2*len(w.parts))
	fill := make([]int32, w.n)
	for i := range w.parts {
		for _, n := range [2]int32{w.parts[i].a, w.parts[i].b} {
			w.list[w.from[n]+fill[n]] = int32(i)
			fill[n]++
		}
	}
	w.mark = make([]bool, len(w.parts))
}

func (w *network) put(p part) {
	if p.a != p.b && p.a >= 0 && p.b >= 0 {
		w.parts = append(w.parts, p)
	}
}

// taper bends the way of a track.
func (w *network) taper(dev int, f float64) float64 {
	f = min(1, max(0, f))
	d := &w.c.in.Wiring.Devices[dev]
	switch d.Control.Part.Circuit.Tracks[d.Index].Taper {
	case "log": // 15 % in the middle; common practice
		if f < 0.5 {
			return 0.3 * f
		}
		return 0.15 + 1.7*(f-0.5)
	case "antilog":
		if f < 0.5 {
			return 1.7 * f
		}
		return 0.85 + 0.3*(f-0.5)
	}
	return f
}

// driven reports whether the board of a pin that drives a lamp works.
func (w *network) driven(e *localElement) bool {
	of := w.c.terms[e.b].Of
	for i, b := range w.z.boards {
		if w.c.boards[b].name == of {
			return w.works[i]
		}
	}
	return true
}

// on gives the node of a terminal, -1 when it is not in the zone.
func (w *network) on(t int32) int32 {
	if t < 0 {
		return -1
	}
	if l, ok := w.z.local[t]; ok {
		return w.node[l]
	}
	return -1
}

// boardsWork says which boards work: supply, ground, and their lines.
func (w *network) boardsWork() {
	w.works, w.still = make([]bool, len(w.z.boards)), make([]bool, len(w.z.boards))
	for i, b := range w.z.boards {
		s := &w.c.boards[b]
		ok := true
		for _, t := range s.supply {
			n := w.on(t)
			ok = ok && n >= 0 && w.is[n] && w.fixed[n] >= 0.6*s.volts
		}
		for _, t := range s.ground {
			n := w.on(t)
			ok = ok && n >= 0 && w.is[n] && w.fixed[n] == 0
		}
		var nodes []int32
		ticks := true
		for k, l := range s.links {
			x, y := w.on(l[0]), w.on(l[1])
			good := x == y && x >= 0 && !w.is[x] && !slices.Contains(nodes, x)
			if int32(k) == s.clock {
				ticks = good
			} else {
				ok = ok && good
			}
			nodes = append(nodes, x)
		}
		w.works[i], w.still[i] = ok && ticks, ok && !ticks
	}
}

// solve finds the voltages of what hangs together with a node.
func (w *network) solve(n int32) {
	if w.done[n] {
		return
	}
	group := []int32{n}
	index := map[int32]int{n: 0}
	var parts []int32
	for k := 0; k < len(group); k++ {
		for _, i := range w.list[w.from[group[k]]:w.from[group[k]+1]] {
			p := &w.parts[i]
			if !w.mark[i] {
				w.mark[i] = true
				parts = append(parts, i)
			}
			o := p.a + p.b - group[k]
			if w.is[o] {
				continue
			}
			if _, ok := index[o]; !ok {
				index[o] = len(group)
				group = append(group, o)
			}
		}
	}
	v := make([]float64, len(group))
	diodes := 0
	for _, i := range parts {
		w.mark[i] = false
		if w.parts[i].diode {
			diodes++
			w.parts[i].on = false
		}
	}
	for try := 0; try <= 2*diodes+2; try++ {
		w.linear(group, index, parts, v)
		worst, at := 1e-6, -1
		for _, i := range parts {
			p := &w.parts[i]
			if !p.diode {
				continue
			}
			d := w.value(p.a, index, v) - w.value(p.b, index, v) - p.drop
			if !p.on && d > worst || p.on && -d > worst {
				worst, at = math.Abs(d), int(i)
			}
		}
		if at < 0 {
			break
		}
		w.parts[at].on = !w.parts[at].on
	}
	// What no resistance or open diode ties to a fixed voltage floats.
	held := make([]bool, len(group))
	for again := true; again; {
		again = false
		for _, i := range parts {
			p := &w.parts[i]
			if p.diode && !p.on {
				continue
			}
			for _, e := range [][2]int32{{p.a, p.b}, {p.b, p.a}} {
				x, ok := index[e[0]]
				if !ok || held[x] {
					continue
				}
				if y, in := index[e[1]]; !in || held[y] {
					held[x], again = true, true
				}
			}
		}
	}
	for k, g := range group {
		w.done[g] = true
		if held[k] {
			w.volts[g] = v[k]
		}
	}
}

func (w *network) value(n int32, index map[int32]int, v []float64) float64 {
	if w.is[n] {
		return w.fixed[n]
	}
	return v[index[n]]
}

// lampCurrents gives the current through every lamp, mA; of what is not a diode the current too.
func (w *network) lampCurrents(r *reading) {
	for i, d := range w.z.lamps {
		for _, p := range w.parts {
			if p.device != d {
				continue
			}
			va, vb := w.volts[p.a], w.volts[p.b]
			if math.IsNaN(va) || math.IsNaN(vb) {
				continue
			}
			r.lamps[i] = max(r.lamps[i], (va-vb-p.drop)*p.g*1000)
		}
	}
}
