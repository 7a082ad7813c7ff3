package diagnosis

import (
	"encoding/binary"
	"math"
	"slices"
)

// state is how everything on the panel stands.
type state struct {
	pos    []int8    // by control: index into its positions
	clicks []int32   // by control: clicks that an encoder has made
	sub    []int32   // by control: states of its contacts beyond them, while it turns
	part   []float64 // by device: how far a track is, 0..1; NaN = not known
	lit    []bool    // by device: lamps that are told to light
	sure   []bool    // by control: somebody was asked to put it there
	acts   int       // how many came before
}

func (s *state) clone() *state {
	return &state{slices.Clone(s.pos), slices.Clone(s.clicks), slices.Clone(s.sub), slices.Clone(s.part), slices.Clone(s.lit), slices.Clone(s.sure), s.acts}
}

// Readings of a bit.
const (
	open   = int8(0)
	closed = int8(1)
	wild   = int8(2) // nothing holds it
	burnt  = int8(4) // two supplies meet there: nothing comes of it, or anything
	vague  = int8(3) // something drives it that is not known when it is read

	between = int8(5) // it lies between the two levels: it reads either, and mostly the same again
)

// anyVolts marks a voltage that depends on a track whose place is not known.
var anyVolts = math.Inf(1)

// wildAxis marks an axis that nothing holds.
var wildAxis = math.NaN()

// unknownAxis marks an axis whose reading depends on a track whose place is not known.
const unknownAxis = -1

// flipsAxis marks an axis that may flip between two readings.
const flipsAxis = -2

// zone is the part of the circuit that a patch can change: from what it touches as far as connections go, up to the fixed voltages.
type zone struct {
	p        *patch
	terms    []int32 // local terminals; those on a rail come first
	rail     []int8  // by local terminal
	joints   [][2]int32
	elems    []localElement
	obs      []int32 // observables, sorted
	lamps    []int32 // devices: lamps in it
	controls []int32 // whose contacts matter, sorted
	tracks   []int32 // devices
	drives   []int32 // devices that pins light
	boards   []int32
	local    map[int32]int32
	cache    map[string]*reading
	probed   bool // a meter looks at its terminals
}

type localElement struct {
	element
	how uint8
	la  int32 // local terminals
	lb  int32
	lg  int32
}

// reading is what a zone shows in one state.
type reading struct {
	bits  []int8    // by zone.obs; of axes 0
	axes  []float64 // by zone.obs
	lamps []float64 // mA, by zone.lamps
	volts []float64 // by local terminal; NaN = nothing holds it
}

// zoneOf finds the zone of a patch.
func (c *circuit) zoneOf(p *patch) *zone {
	z := &zone{p: p, local: map[int32]int32{}, cache: map[string]*reading{}}
	rail := c.rail
	seeds := slices.Clone(p.touched)
	done := map[int32]bool{}
	for _, j := range p.cut {
		n := c.joints[j].net
		if n < 0 || done[n] || c.rail[c.joints[j].a] < 0 {
			continue
		}
		done[n] = true
		now := c.rails(p, n)
		merged := now
		if len(done) > 1 {
			merged = slices.Clone(rail)
			for t := range merged {
				if now[t] < 0 && c.rail[t] >= 0 {
					merged[t] = -1
				}
			}
		}
		for t := range now {
			if now[t] < 0 && c.rail[t] >= 0 {
				seeds = append(seeds, int32(t))
			}
		}
		rail = merged
	}
	added := map[int32][]int32{}
	for _, a := range p.add {
		added[a[0]] = append(added[a[0]], a[1])
		added[a[1]] = append(added[a[1]], a[0])
	}
	var queue []int32
	visit := func(t int32) int32 {
		if l, ok := z.local[t]; ok {
			return l
		}
		l := int32(len(z.terms))
		z.local[t] = l
		z.terms = append(z.terms, t)
		z.rail = append(z.rail, rail[t])
		if rail[t] < 0 {
			queue = append(queue, t)
		}
		return l
	}
	extra := func(b int32) { // what a board's reading depends on
		s := &c.boards[b]
		for _, t := range s.supply {
			visit(t)
		}
		for _, t := range s.ground {
			visit(t)
		}
		for _, t := range s.low {
			visit(t)
		}
		for _, l := range s.links {
			visit(l[0])
			visit(l[1])
		}
		for _, t := range append(append(slices.Clone(s.selects), s.drives...), s.out, s.in, s.data) {
			if t >= 0 {
				visit(t)
			}
		}
	}
	allLines := func(b int32) {
		s := &c.boards[b]
		for _, t := range s.lines {
			visit(t)
		}
		for _, o := range c.boardObs[b] {
			if int(o) < c.bits {
				visit(c.term(c.in.Firmware.Bits[o].Pin))
			} else {
				r := c.in.Firmware.Readings[int(o)-c.bits]
				visit(c.term(r.Pin))
				if !r.Line.Zero() {
					visit(c.term(r.Line))
				}
			}
		}
		if s.role == "shift-in" {
			for i := range c.boards {
				if c.boards[i].role == "shift-in" {
					extra(int32(i))
				}
			}
		}
	}
	touchedBoard := map[int32]bool{}
	for _, t := range seeds {
		visit(t)
	}
	for _, t := range p.touched { // also one that lies on a rail
		for _, b := range c.boardsAt[t] {
			touchedBoard[b] = true
		}
	}
	obs := map[int32]bool{}
	elems := map[int32]bool{}
	board := map[int32]bool{}
	for {
		for len(queue) > 0 {
			t := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			for _, j := range c.jointsAt[t] {
				if !p.isCut(j) {
					visit(c.joints[j].a + c.joints[j].b - t)
				}
			}
			for _, o := range added[t] {
				visit(o)
			}
			for _, e := range c.elemsAt[t] {
				x := &c.elements[e]
				elems[e] = true
				if x.a >= 0 {
					visit(x.a)
				}
				visit(x.b)
				if x.kind == elDrive && x.ground >= 0 {
					visit(x.ground)
				}
			}
			for _, b := range c.boardsAt[t] {
				touchedBoard[b] = true
			}
			for _, o := range c.termObs[t] {
				obs[o] = true
			}
		}
		for _, b := range sortedKeys(touchedBoard) {
			if !board[b] {
				board[b] = true
				extra(b)
				allLines(b)
				for _, o := range c.boardObs[b] {
					obs[o] = true
				}
			}
		}
		// A board that drives or reads something here must be looked at too.
		if len(queue) == 0 {
			break
		}
	}
	// Elements of touched terminals that lie on a rail: contacts between a rail and something in the zone come with the latter.
	for _, t := range p.touched {
		l := z.local[t]
		if z.rail[l] < 0 {
			continue
		}
		for _, i := range p.elem {
			x := &c.elements[i]
			if x.a == t || x.b == t {
				elems[i] = true
				if x.a >= 0 {
					visit(x.a)
				}
				visit(x.b)
			}
		}
		for _, o := range c.termObs[t] {
			obs[o] = true
		}
	}
	// A pin on a board: whether that works decides what is read.
	for _, o := range sortedKeys(obs) {
		for b := range c.boards {
			if !board[int32(b)] && slices.Contains(c.boardObs[b], o) {
				board[int32(b)] = true
				extra(int32(b))
			}
		}
		if int(o) < c.bits && !c.in.Firmware.Bits[o].Drive.Zero() {
			visit(c.term(c.in.Firmware.Bits[o].Drive))
			visit(c.term(c.in.Firmware.Bits[o].Pin))
		}
	}
	// What was looked up without its surroundings is joined as in the design.
	first := map[int32]int32{}
	for _, t := range queue {
		l := z.local[t]
		if f, ok := first[c.group[t]]; ok {
			z.joints = append(z.joints, [2]int32{f, l})
		} else {
			first[c.group[t]] = l
		}
	}
	c.fill(z, elems, added)
	z.obs, z.boards = sortedKeys(obs), sortedKeys(board)
	return z
}

func sortedKeys(m map[int32]bool) []int32 {
	out := make([]int32, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// fill takes joints and elements into a zone.
func (c *circuit) fill(z *zone, elems map[int32]bool, added map[int32][]int32) {
	p := z.p
	for l, t := range z.terms {
		for _, j := range c.jointsAt[t] {
			x := c.joints[j]
			if x.a != t || p.isCut(j) {
				continue
			}
			if o, ok := z.local[x.b]; ok && (z.rail[l] < 0 || z.rail[o] < 0) {
				z.joints = append(z.joints, [2]int32{int32(l), o})
			}
		}
	}
	for _, a := range p.add {
		la, ok1 := z.local[a[0]]
		lb, ok2 := z.local[a[1]]
		if ok1 && ok2 {
			z.joints = append(z.joints, [2]int32{la, lb})
		}
	}
	ids := sortedKeys(elems)
	put := func(x element, how uint8) {
		le := localElement{element: x, how: how, la: -1, lb: -1, lg: -1}
		ok := true
		if x.a >= 0 {
			le.la, ok = z.local[x.a]
		}
		if lb, has := z.local[x.b]; has && ok {
			le.lb = lb
		} else {
			return
		}
		if x.kind == elDrive {
			if x.ground >= 0 {
				if g, has := z.local[x.ground]; has {
					le.lg = g
				}
			}
			if !slices.Contains(z.drives, x.device) {
				z.drives = append(z.drives, x.device)
			}
		}
		z.elems = append(z.elems, le)
		switch x.kind {
		case elContact:
			if !slices.Contains(z.controls, x.control) {
				z.controls = append(z.controls, x.control)
			}
		case elTrack:
			if !slices.Contains(z.tracks, x.device) {
				z.tracks = append(z.tracks, x.device)
			}
		case elLamp:
			if !slices.Contains(z.lamps, x.device) {
				z.lamps = append(z.lamps, x.device)
			}
		case elRes:
			if x.device >= 0 && !slices.Contains(z.lamps, x.device) {
				z.lamps = append(z.lamps, x.device)
			}
		}
	}
	for _, e := range ids {
		put(c.elements[e], p.over(e))
	}
	for _, x := range p.res {
		put(x, 0)
	}
	slices.Sort(z.controls)
	slices.Sort(z.tracks)
}

// key tells apart the states that make a difference to a zone.
func (z *zone) key(s *state, steps []int) string {
	b := make([]byte, 0, 4*len(z.controls)+8*len(z.tracks)+len(z.drives))
	for _, c := range z.controls {
		n := steps[c]
		if z.p.steps == c {
			n = z.p.step
		}
		b = append(b, byte(s.pos[c]), byte((int(s.clicks[c])*n+int(s.sub[c]))&3))
	}
	for _, t := range z.tracks {
		b = binary.LittleEndian.AppendUint16(b, uint16(int(s.part[t]*20000)))
	}
	for _, d := range z.drives {
		if s.lit[d] {
			b = append(b, 1)
		} else {
			b = append(b, 0)
		}
	}
	return string(b)
}

// read gives what a zone shows in a state.
func (c *circuit) read(z *zone, s *state) *reading {
	unknown := false
	for _, t := range z.tracks {
		unknown = unknown || math.IsNaN(s.part[t])
	}
	if unknown { // twice, at two places: what differs is not known
		a, b := s.clone(), s.clone()
		for i, t := range z.tracks {
			if math.IsNaN(s.part[t]) {
				a.part[t], b.part[t] = 0.2+0.001*float64(i%50), 0.8-0.001*float64(i%50)
			}
		}
		key := "?" + z.key(a, c.steps)
		if r, ok := z.cache[key]; ok {
			return r
		}
		ra, rb := c.read(z, a), c.read(z, b)
		r := &reading{bits: slices.Clone(ra.bits), axes: slices.Clone(ra.axes), lamps: ra.lamps, volts: slices.Clone(ra.volts)}
		for i := range r.axes {
			if !math.IsNaN(ra.axes[i]) && ra.axes[i] != flipsAxis && !(math.Abs(ra.axes[i]-rb.axes[i]) < 0.01) {
				r.axes[i] = unknownAxis
			}
			if ra.bits[i] != rb.bits[i] {
				r.bits[i] = wild
			}
		}
		for i := range r.volts { // what the place of a track decides is not known
			if math.Abs(ra.volts[i]-rb.volts[i]) > 0.15 {
				r.volts[i] = anyVolts
			}
		}
		z.cache[key] = r
		return r
	}
	key := z.key(s, c.steps)
	if r, ok := z.cache[key]; ok {
		return r
	}
	r := c.evaluate(z, s)
	if len(z.cache) > 4096 {
		clear(z.cache)
	}
	z.cache[key] = r
	return r
}
