package diagnosis

import (
	"math"
	"slices"
	"sync"

	"knobwright/internal/trade/wiring"
)

// Model is what the design says every fault would look like. It is made once for a design and may be used by several sessions, one at a
// time each; it keeps what it has worked out.
type Model struct {
	c     *circuit
	list  []Candidate
	table uint32
	sum   float64 // of all weights

	mu      sync.Mutex
	entry   []*entry
	byObs   [][]int32 // faults by observable that they can change
	byLamp  [][]int32 // faults by device that they can change
	base    []*entry  // by observable: the healthy surroundings
	lamp    []*entry  // by device
	bright  []float64 // mA of each lamp when it is right
	acts    []Act     // of the test sheet
	resting *state

	none      *zone           // no fault, nowhere
	turns     map[int32]*zone // surroundings of encoders
	lastFrom  *state          // the act whose states were asked for last
	lastAct   string
	lastSteps []step
}

// entry is a patch with its zone.
type entry struct {
	p *patch
	z *zone
}

// New makes the model of a design. A design without a module, or with a plan that is not finished, gives a model of what is there.
func New(in Inputs) *Model {
	m := &Model{c: newCircuit(in)}
	c := m.c
	m.list = c.faultList()
	for _, x := range m.list {
		m.sum += x.Weight
	}
	if b := in.Firmware.Bytes; len(b) >= 8 {
		m.table = uint32(b[4]) | uint32(b[5])<<8 | uint32(b[6])<<16 | uint32(b[7])<<24
	}
	m.entry = make([]*entry, len(m.list))
	m.base = make([]*entry, c.bits+c.axes)
	m.lamp = make([]*entry, len(in.Wiring.Devices))
	m.bright = make([]float64, len(in.Wiring.Devices))
	m.acts = m.allActs()
	m.resting = m.c.rest()
	m.turns = map[int32]*zone{}
	m.none = &zone{p: healthy()}
	m.index()
	return m
}

// Faults lists all that is weighed, with how common each is against the others.
func (m *Model) Faults() []Candidate { return slices.Clone(m.list) }

// Table is the checksum of the table that belongs into the module; 0 without one.
func (m *Model) Table() uint32 { return m.table }

// index finds which faults can change which observable: those in whose surroundings it lies.
func (m *Model) index() {
	c := m.c
	m.byObs = make([][]int32, c.bits+c.axes)
	m.byLamp = make([][]int32, len(c.in.Wiring.Devices))
	comp := make([]int32, len(c.terms))
	for i := range comp {
		comp[i] = -1
	}
	type part struct{ obs, lamps []int32 }
	var parts []part
	for t := range c.terms {
		if comp[t] >= 0 || c.rail[t] >= 0 {
			continue
		}
		n := int32(len(parts))
		x := part{}
		comp[t] = n
		queue := []int32{int32(t)}
		for len(queue) > 0 {
			u := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			x.obs = append(x.obs, c.termObs[u]...)
			for _, b := range c.boardsAt[u] {
				x.obs = append(x.obs, c.boardObs[b]...)
				x.lamps = append(x.lamps, c.lampsOf(b)...)
			}
			reach := func(o int32) {
				if o >= 0 && comp[o] < 0 && c.rail[o] < 0 {
					comp[o] = n
					queue = append(queue, o)
				}
			}
			for _, j := range c.jointsAt[u] {
				reach(c.joints[j].a + c.joints[j].b - u)
			}
			for _, e := range c.elemsAt[u] {
				y := &c.elements[e]
				if y.kind == elLamp || y.kind == elRes && y.device >= 0 {
					x.lamps = append(x.lamps, y.device)
				}
				reach(y.a)
				reach(y.b)
			}
		}
		slices.Sort(x.obs)
		x.obs = slices.Compact(x.obs)
		parts = append(parts, x)
	}
	stampO, stampL := make([]int32, len(m.byObs)), make([]int32, len(m.byLamp))
	for i := range m.list {
		p := m.patch(int32(i))
		if p.table {
			continue
		}
		mark := int32(i + 1)
		addO := func(os []int32) {
			for _, o := range os {
				if stampO[o] != mark {
					stampO[o] = mark
					m.byObs[o] = append(m.byObs[o], int32(i))
				}
			}
		}
		addL := func(ds []int32) {
			for _, d := range ds {
				if stampL[d] != mark {
					stampL[d] = mark
					m.byLamp[d] = append(m.byLamp[d], int32(i))
				}
			}
		}
		at := func(t int32) {
			if comp[t] >= 0 {
				addO(parts[comp[t]].obs)
				addL(parts[comp[t]].lamps)
			}
			addO(c.termObs[t])
			for _, b := range c.boardsAt[t] {
				addO(c.boardObs[b])
				addL(c.lampsOf(b))
			}
		}
		around := func(t int32) { // of what lay on a rail and does no longer
			at(t)
			for _, e := range c.elemsAt[t] {
				y := &c.elements[e]
				if y.a >= 0 {
					at(y.a)
				}
				at(y.b)
				if y.kind == elLamp || y.kind == elRes && y.device >= 0 {
					addL([]int32{y.device})
				}
			}
		}
		for _, t := range p.touched {
			at(t)
		}
		for _, e := range p.elem {
			if y := &c.elements[e]; y.kind == elLamp {
				addL([]int32{y.device})
			}
		}
		for _, j := range p.cut {
			n := c.joints[j].net
			if n < 0 || c.rail[c.joints[j].a] < 0 {
				continue
			}
			now := c.rails(p, n)
			for t := range now {
				if now[t] < 0 && c.rail[t] >= 0 {
					around(int32(t))
				}
			}
		}
	}
}

// lampsOf lists the lamps that pins of a board light.
func (c *circuit) lampsOf(b int32) []int32 {
	var out []int32
	for i := range c.elements {
		if e := &c.elements[i]; e.kind == elDrive && c.terms[e.b].Of == c.boards[b].name {
			out = append(out, e.device)
		}
	}
	return out
}

func (m *Model) patch(i int32) *patch {
	if m.entry[i] == nil {
		m.entry[i] = &entry{p: m.c.patchOf(m.list[i].Fault)}
	}
	return m.entry[i].p
}

func (m *Model) zone(i int32) *zone {
	m.patch(i)
	if m.entry[i].z == nil {
		m.entry[i].z = m.c.zoneOf(m.entry[i].p)
	}
	return m.entry[i].z
}

func healthy(touched ...int32) *patch {
	return &patch{touched: touched, phases: -1, steps: -1, noisy: -1}
}

// baseOf gives the healthy surroundings of an observable.
func (m *Model) baseOf(o int32) *zone {
	if m.base[o] != nil {
		return m.base[o].z
	}
	c := m.c
	var ts []int32
	if int(o) < c.bits {
		b := c.in.Firmware.Bits[o]
		if b.Way != wiring.Waits {
			ts = append(ts, c.id[b.Pin])
			if !b.Drive.Zero() {
				ts = append(ts, c.id[b.Drive])
			}
		}
	} else {
		r := c.in.Firmware.Readings[int(o)-c.bits]
		ts = append(ts, c.id[r.Pin])
		if !r.Line.Zero() {
			ts = append(ts, c.id[r.Line])
		}
	}
	p := healthy(ts...)
	e := &entry{p: p, z: c.zoneOf(p)}
	for _, k := range e.z.obs { // all that is read in the same surroundings
		if m.base[k] == nil {
			m.base[k] = e
		}
	}
	m.base[o] = e
	return e.z
}

func (m *Model) baseLamp(d int32) *zone {
	if m.lamp[d] == nil {
		var ts []int32
		for i := range m.c.elements {
			if e := &m.c.elements[i]; e.device == d && (e.kind == elLamp || e.kind == elRes) {
				ts = append(ts, e.a, e.b)
			}
		}
		p := healthy(ts...)
		m.lamp[d] = &entry{p: p, z: m.c.zoneOf(p)}
		s := m.c.rest()
		s.lit[d] = true
		r := m.c.read(m.lamp[d].z, s)
		if k := slices.Index(m.lamp[d].z.lamps, d); k >= 0 {
			m.bright[d] = r.lamps[k]
		}
	}
	return m.lamp[d].z
}

// prior is the logarithm of how likely a fault is before anything was seen: one joint in a few hundred is bad. Common practice. A panel that
// worked once does not exchange its leads: there joints, tracks, contacts and lamps come first.
func (s *Session) prior(i int32) float64 {
	c := &s.m.list[i]
	w := c.Weight
	if s.worn {
		k := c.Fault.Kind
		w *= wear[k] / weights[k]
	}
	return math.Log(w * 3e-4)
}

// wear are the weights for a panel that worked once. Common practice, from memory.
var wear = map[Kind]float64{
	OpenLead: 10, ChainBroken: 8, SupplyOff: 4, Noisy: 10, Dead: 6, Bounces: 6, LampDead: 8, WiperOpen: 6, EndOpen: 4, EncoderOpen: 4, Bridged: 3, ToGround: 2,
	Stuck: 2, OpenDiode: 2, NoDiode: 1, ToSupply: 0.5, NoPullUp: 0.5, WrongTable: 1,
	WrongPin: 0.3, Swapped: 0.3, DiodeTurned: 0.1, LinesSwapped: 0.1, ClosedLug: 0.2, PhasesSwap: 0.4, Detents: 0.3, EndsSwapped: 0.4, LampTurned: 0.3,
}
