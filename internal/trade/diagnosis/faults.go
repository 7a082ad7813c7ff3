package diagnosis

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/trade/wiring"
)

// Candidate is a fault that the design allows, and how common it is.
type Candidate struct {
	Fault  Fault
	Weight float64 // relative: how often it is met, against others
}

// Weights of the kinds: how often each is met on a first power-up, one place against another. Common practice, from memory: leads that
// are off, on the pin beside, or exchanged lead the list; parts that are broken end it.
var weights = map[Kind]float64{
	OpenLead: 10, WrongPin: 8, Swapped: 7, ToGround: 1, ToSupply: 0.5, Bridged: 3, ChainBroken: 6, NoDiode: 1.5, OpenDiode: 2, DiodeTurned: 6,
	LinesSwapped: 2, ClosedLug: 6, PhasesSwap: 10, Detents: 4, EncoderOpen: 2.5, EndsSwapped: 8, WiperOpen: 2.5, EndOpen: 2.5, Noisy: 2,
	LampTurned: 6, LampDead: 3, Stuck: 0.7, Dead: 1, Bounces: 1.5, NoPullUp: 0.3, SupplyOff: 3, WrongTable: 2,
}

// faultList enumerates what can be wrong.
func (c *circuit) faultList() []Candidate {
	l := &lister{c: c, seen: map[Fault]bool{}}
	l.leads()
	l.pinPairs()
	l.lugs()
	l.chains()
	l.diodes()
	l.devices()
	l.put(Fault{Kind: WrongTable}, 1)
	return l.out
}

type lister struct {
	c    *circuit
	out  []Candidate
	seen map[Fault]bool
}

func (l *lister) put(f Fault, part float64) {
	if l.seen[f] {
		return
	}
	l.seen[f] = true
	l.out = append(l.out, Candidate{f, part * weights[f.Kind]})
}

// lead is a wire from a pin of a board to a lug, or between two boards.
type lead struct {
	wire     int32
	pin, lug int32
}

// leadsOf lists the wires that are in no chain of ground or supply.
func (c *circuit) leadsOf() []lead {
	var out []lead
	for i := range c.in.Harness.Wires {
		w := &c.in.Harness.Wires[i]
		a, b := c.find(w.From), c.find(w.To)
		if a < 0 || b < 0 || w.Net < 0 || w.Net >= len(c.in.Wiring.Nets) {
			continue
		}
		switch c.in.Wiring.Nets[w.Net].Kind {
		case wiring.NetGround, wiring.NetAGround, wiring.NetSupply:
			continue
		}
		if c.isBoard(b) && !c.isBoard(a) {
			a, b = b, a
		}
		out = append(out, lead{int32(i), a, b})
	}
	return out
}

func (c *circuit) isBoard(t int32) bool {
	of := c.terms[t].Of
	for i := range c.in.Wiring.Boards {
		if c.in.Wiring.Boards[i].Name == of {
			return true
		}
	}
	return false
}

// pinsOf lists the pins of a board with their places on it.
func (c *circuit) pinsOf(board string) (pins []int32, at [][2]float64) {
	for i := range c.in.Wiring.Boards {
		b := &c.in.Wiring.Boards[i]
		if b.Name != board || b.Part.Board == nil {
			continue
		}
		for _, g := range b.Part.Lugs {
			if t := c.find(wiring.Terminal{Of: board, Lug: g.Name}); t >= 0 {
				pins = append(pins, t)
				at = append(at, [2]float64{float64(g.At[0]), float64(g.At[1])})
			}
		}
	}
	return
}

func apart(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// neighbours lists pairs that are next to each other: no further than a third more than the nearest.
func neighbours(at [][2]float64) [][2]int {
	var out [][2]int
	near := make([]float64, len(at))
	for i := range at {
		near[i] = math.Inf(1)
		for j := range at {
			if i != j {
				near[i] = min(near[i], apart(at[i], at[j]))
			}
		}
	}
	for i := range at {
		for j := i + 1; j < len(at); j++ {
			if d := apart(at[i], at[j]); d <= 1.35*max(near[i], near[j]) {
				out = append(out, [2]int{i, j})
			}
		}
	}
	return out
}

func (l *lister) wireID(w int32) string { return l.c.in.Harness.Wires[w].ID }

func (l *lister) leads() {
	c := l.c
	ground, supply := int32(-1), []int32{}
	levels := map[int8]bool{}
	for t, v := range c.fixed {
		switch {
		case v == 0 && ground < 0:
			ground = int32(t)
		case v > 0 && !levels[v] && !strings.HasPrefix(c.terms[t].Lug, "("):
			levels[v] = true
			supply = append(supply, int32(t))
		}
	}
	type board struct {
		pins []int32
		at   [][2]float64
	}
	boards := map[string]board{}
	for _, x := range c.leadsOf() {
		pin, lug := c.terms[x.pin], c.terms[x.lug]
		l.put(Fault{Kind: OpenLead, A: lug, B: pin, Wire: l.wireID(x.wire)}, 1)
		if ground >= 0 {
			l.put(Fault{Kind: ToGround, A: lug}, 1)
		}
		for _, s := range supply {
			l.put(Fault{Kind: ToSupply, A: lug, B: c.terms[s]}, 1)
		}
		if !c.isBoard(x.pin) {
			continue
		}
		b, ok := boards[pin.Of]
		if !ok {
			b.pins, b.at = c.pinsOf(pin.Of)
			boards[pin.Of] = b
		}
		k := slices.Index(b.pins, x.pin)
		if k < 0 {
			continue
		}
		for i, t := range b.pins {
			if t == x.pin {
				continue
			}
			d := apart(b.at[k], b.at[i])
			part := 0.0
			switch {
			case d < 3.5:
				part = 1
			case d < 5.5:
				part = 0.25
			case c.rail[t] < 0 && c.bareOrRead(t) && !c.duty[t] && !c.duty[x.pin]:
				part = 0.03
			}
			if part > 0 {
				l.put(Fault{Kind: WrongPin, A: lug, B: c.terms[t], Wire: l.wireID(x.wire)}, part)
			}
		}
	}
}

// bareOrRead reports whether a pin has a wire, or is read.
func (c *circuit) bareOrRead(t int32) bool { return len(c.jointsAt[t]) > 0 || len(c.termObs[t]) > 0 }

func (c *circuit) wired(t int32) bool {
	for _, j := range c.jointsAt[t] {
		if c.joints[j].wire >= 0 {
			return true
		}
	}
	return false
}

// pinPairs: leads exchanged at a board, pins that touch, rows and columns exchanged.
func (l *lister) pinPairs() {
	c := l.c
	line := map[int32]wiring.SignalKind{}
	for i, s := range c.in.Wiring.Signals {
		if (s.Kind == wiring.SigRow || s.Kind == wiring.SigColumn) && i < len(c.in.Wiring.Plan.Seats) {
			if t := c.find(c.in.Wiring.Plan.Seats[i].Pin); t >= 0 {
				line[t] = s.Kind
			}
		}
	}
	for i := range c.in.Wiring.Boards {
		name := c.in.Wiring.Boards[i].Name
		pins, at := c.pinsOf(name)
		for _, p := range neighbours(at) {
			a, b := pins[p[0]], pins[p[1]]
			if c.rail[a] >= 0 && c.rail[b] >= 0 || !c.matters(a) && !c.matters(b) {
				continue
			}
			l.put(Fault{Kind: Bridged, A: c.terms[a], B: c.terms[b]}, 1)
		}
		for x, a := range pins {
			if !c.wired(a) || c.rail[a] >= 0 {
				continue
			}
			for y := x + 1; y < len(pins); y++ {
				b := pins[y]
				if !c.wired(b) {
					continue
				}
				d := apart(at[x], at[y])
				part := 0.03
				switch {
				case d < 3.5:
					part = 1
				case d < 5.5:
					part = 0.2
				case c.rail[b] >= 0, c.duty[a], c.duty[b]: // a line of a bus is not taken for another pin far off
					continue
				}
				kind := Swapped
				if line[a] != "" && line[b] != "" && line[a] != line[b] {
					kind, part = LinesSwapped, max(part, 0.3)
				}
				if c.rail[b] >= 0 {
					part *= 0.3
				}
				l.put(Fault{Kind: kind, A: c.terms[a], B: c.terms[b]}, part)
			}
		}
	}
}

// matters reports whether anything hangs on a terminal.
func (c *circuit) matters(t int32) bool {
	return len(c.jointsAt[t]) > 0 || len(c.termObs[t]) > 0 || len(c.elemsAt[t]) > 0
}

// lugs: neighbours on a part that touch or whose wires are exchanged, the closed lug used.
func (l *lister) lugs() {
	c := l.c
	for ci, x := range c.controls {
		var ts []int32
		var at [][2]float64
		for _, g := range x.Part.Lugs {
			ts = append(ts, c.id[wiring.Terminal{Of: x.Name, Lug: g.Name}])
			at = append(at, [2]float64{float64(g.At[0]), float64(g.At[1])})
		}
		near := neighbours(at)
		for i := range ts {
			for j := i + 1; j < len(ts); j++ {
				a, b := ts[i], ts[j]
				next := slices.Contains(near, [2]int{i, j})
				if next && (c.wired(a) || c.wired(b) || len(c.jointsAt[a])+len(c.jointsAt[b]) > 0) && !(c.rail[a] >= 0 && c.rail[b] >= 0 && c.volts[c.rail[a]] != c.volts[c.rail[b]]) {
					l.put(Fault{Kind: Bridged, A: c.terms[a], B: c.terms[b]}, 0.6)
				}
				if c.wired(a) && c.wired(b) {
					part := 0.4
					if next {
						part = 1
					}
					l.put(Fault{Kind: Swapped, A: c.terms[a], B: c.terms[b]}, part)
				}
			}
		}
		for i := range c.elements {
			e := &c.elements[i]
			if e.kind != elContact || e.control != int32(ci) || !c.usedContact(int32(i)) {
				continue
			}
			for k := range c.elements {
				o := &c.elements[k]
				if o.kind != elContact || o.control != e.control || o.a != e.a || k == i || c.usedContact(int32(k)) || !c.spare(o) {
					continue
				}
				l.put(Fault{Kind: ClosedLug, A: c.terms[e.b], B: c.terms[o.b]}, 1)
			}
		}
	}
	l.across()
}

func (c *circuit) spare(e *element) bool {
	k := c.controls[e.control].Part.Circuit.Contacts
	return k[e.contact].Spare
}

// usedContact reports whether a contact belongs to a device.
func (c *circuit) usedContact(i int32) bool {
	e := &c.elements[i]
	for d := range c.in.Wiring.Devices {
		x := &c.in.Wiring.Devices[d]
		if x.Kind != wiring.DevSwitch && x.Kind != wiring.DevEncoder {
			continue
		}
		if c.ctrlOf[x.Control.Name] == e.control && slices.Contains(x.Contact, int(e.contact)) {
			return !c.spare(e) || c.wired(e.b) || len(c.jointsAt[e.b]) > 0
		}
	}
	return false
}

// across: the leads of two controls beside each other exchanged.
func (l *lister) across() {
	c := l.c
	type end struct {
		lug  int32
		x, y float64
	}
	var ends []end
	for _, x := range c.leadsOf() {
		if c.isBoard(x.lug) {
			continue
		}
		if p, ok := c.in.Harness.At[c.terms[x.lug]]; ok {
			ends = append(ends, end{x.lug, p.X, p.Y})
		}
	}
	for i, a := range ends {
		order := make([]int, 0, len(ends))
		for j := range ends {
			if j != i && c.terms[ends[j].lug].Of != c.terms[a.lug].Of {
				order = append(order, j)
			}
		}
		dist := func(j int) float64 { return math.Hypot(ends[j].x-a.x, ends[j].y-a.y) }
		slices.SortFunc(order, func(p, q int) int {
			switch d := dist(p) - dist(q); {
			case d < 0:
				return -1
			case d > 0:
				return 1
			}
			return p - q
		})
		for _, j := range order[:min(6, len(order))] {
			f := Fault{Kind: Swapped, A: c.terms[a.lug], B: c.terms[ends[j].lug]}
			if back := (Fault{Kind: Swapped, A: f.B, B: f.A}); !l.seen[back] {
				l.put(f, 0.15)
			}
		}
	}
}
