package diagnosis

import (
	"cmp"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/trade/wiring"
)

// What a patch does to an element.
const (
	gone    = iota + 1 // it is not there
	shorted            // a wire in its place
	turned             // the other way round
)

// patch is what a fault does to the circuit.
type patch struct {
	cut     []int32    // joints that are off
	add     [][2]int32 // joints that are there instead, or too
	elem    []int32    // elements that are otherwise
	how     []uint8
	res     []element // resistances that are there too
	touched []int32   // terminals whose surroundings change

	phases  int32 // control whose phases are exchanged, -1
	steps   int32 // control whose click makes other steps, -1
	step    int
	noisy   int32   // device, -1
	bouncy  []int32 // elements
	value   float64
	table   bool
	short   bool // a supply is shorted: nothing works
	nothing bool // it does not say what it is about
}

func (p *patch) isCut(j int32) bool { return slices.Contains(p.cut, j) }

func (p *patch) over(e int32) uint8 {
	for i, x := range p.elem {
		if x == e {
			return p.how[i]
		}
	}
	return 0
}

// merge lays a second patch over the first.
func merge(a, b *patch) *patch {
	m := *a
	m.cut = append(slices.Clone(a.cut), b.cut...)
	m.add = append(slices.Clone(a.add), b.add...)
	m.elem = append(slices.Clone(a.elem), b.elem...)
	m.how = append(slices.Clone(a.how), b.how...)
	m.res = append(slices.Clone(a.res), b.res...)
	m.touched = append(slices.Clone(a.touched), b.touched...)
	m.bouncy = append(slices.Clone(a.bouncy), b.bouncy...)
	if b.phases >= 0 {
		m.phases = b.phases
	}
	if b.steps >= 0 {
		m.steps, m.step = b.steps, b.step
	}
	if b.noisy >= 0 {
		m.noisy, m.value = b.noisy, b.value
	}
	if len(b.bouncy) > 0 {
		m.value = b.value
	}
	m.table = a.table || b.table
	m.short = a.short || b.short
	return &m
}

func (c *circuit) wireNamed(id string) int32 {
	for i := range c.in.Harness.Wires {
		if c.in.Harness.Wires[i].ID == id {
			return int32(i)
		}
	}
	return -1
}

// wireTo gives the wire that arrives at a terminal: from another one where that is known.
func (c *circuit) wireTo(a, from int32) int32 {
	if a < 0 {
		return -1
	}
	best := int32(-1)
	for _, j := range c.jointsAt[a] {
		x := c.joints[j]
		if x.wire < 0 {
			continue
		}
		w := &c.in.Harness.Wires[x.wire]
		arrives := c.id[w.To] == a
		other := x.a + x.b - a
		if other == from {
			return x.wire
		}
		if arrives && best < 0 {
			best = x.wire
		}
	}
	if best < 0 {
		for _, j := range c.jointsAt[a] {
			if w := c.joints[j].wire; w >= 0 {
				return w
			}
		}
	}
	return best
}

func (c *circuit) find(t wiring.Terminal) int32 {
	if i, ok := c.id[t]; ok {
		return i
	}
	return -1
}

func (c *circuit) deviceNamed(id string) int32 {
	if i, ok := c.deviceID[id]; ok {
		return i
	}
	return -1
}

// patchOf says what a fault does.
func (c *circuit) patchOf(f Fault) *patch {
	p := &patch{phases: -1, steps: -1, noisy: -1}
	a, b := c.find(f.A), c.find(f.B)
	dev := c.deviceNamed(f.Device)
	cutWire := func(w int32) {
		if w < 0 {
			p.nothing = true
			return
		}
		for i, j := range c.joints {
			if j.wire == w {
				p.cut = append(p.cut, int32(i))
				p.touched = append(p.touched, j.a, j.b)
			}
		}
	}
	move := func(from, to int32, also bool) { // the wires of a terminal go to another one
		for _, j := range c.jointsAt[from] {
			x := c.joints[j]
			if x.wire < 0 && !also {
				continue
			}
			o := x.a + x.b - from
			if !slices.Contains(p.cut, j) {
				p.cut = append(p.cut, j)
			}
			if o == to {
				o = from
			}
			p.add = append(p.add, [2]int32{o, to})
			p.touched = append(p.touched, o)
		}
		p.touched = append(p.touched, from, to)
	}
	elem := func(i int32, how uint8) {
		p.elem, p.how = append(p.elem, i), append(p.how, how)
		e := &c.elements[i]
		if e.a >= 0 {
			p.touched = append(p.touched, e.a)
		}
		p.touched = append(p.touched, e.b)
	}
	fitting := func(how uint8) {
		for i := range c.elements {
			if c.elements[i].fitting == f.Fitting && f.Fitting != "" {
				elem(int32(i), how)
			}
		}
	}
	join := func() {
		if a < 0 || b < 0 {
			p.nothing = true
			return
		}
		p.add = append(p.add, [2]int32{a, b})
		p.touched = append(p.touched, a, b)
		if ra, rb := c.rail[a], c.rail[b]; ra >= 0 && rb >= 0 && c.volts[ra] != c.volts[rb] {
			p.short = true
		}
	}
	switch f.Kind {
	case OpenLead, ChainBroken, SupplyOff:
		w := c.wireNamed(f.Wire)
		if w < 0 && f.Kind != OpenLead {
			w = c.chainWire(f.A)
		}
		if w < 0 {
			w = c.wireTo(a, b)
		}
		cutWire(w)
	case WrongPin:
		w := c.wireNamed(f.Wire)
		if w < 0 {
			w = c.wireTo(a, -1)
		}
		cutWire(w)
		if w >= 0 && a >= 0 && b >= 0 {
			p.add = append(p.add, [2]int32{a, b})
			p.touched = append(p.touched, b)
		}
	case Swapped, LinesSwapped:
		if a < 0 || b < 0 {
			p.nothing = true
			break
		}
		move(a, b, false)
		move(b, a, false)
	case ClosedLug:
		if a < 0 || b < 0 {
			p.nothing = true
			break
		}
		move(a, b, true)
	case ToGround:
		for t, v := range c.fixed {
			if v == 0 {
				b = int32(t)
				break
			}
		}
		join()
	case ToSupply:
		if b < 0 || c.fixed[b] < 0 {
			if b >= 0 && c.rail[b] >= 0 {
				for t, v := range c.fixed {
					if v == c.rail[b] {
						b = int32(t)
						break
					}
				}
			}
		}
		join()
	case Bridged:
		join()
	case NoDiode:
		fitting(shorted)
	case OpenDiode:
		fitting(gone)
	case DiodeTurned:
		fitting(turned)
	case PhasesSwap:
		if dev >= 0 {
			p.phases = c.ctrlOf[c.in.Wiring.Devices[dev].Control.Name]
			c.touchContacts(p, dev)
		}
	case Detents:
		if dev >= 0 {
			p.steps, p.step = c.ctrlOf[c.in.Wiring.Devices[dev].Control.Name], int(f.Value)
			c.touchContacts(p, dev)
		}
	case EncoderOpen:
		for _, i := range c.contactsOf(dev, f.A) {
			elem(i, gone)
		}
	case EndsSwapped:
		for _, i := range c.tracksOf(dev) {
			elem(i, turned)
		}
	case WiperOpen:
		two := c.tracksOf(dev)
		for _, i := range two {
			elem(i, gone)
		}
		if len(two) == 2 {
			p.res = append(p.res, element{kind: elRes, a: c.elements[two[0]].a, b: c.elements[two[1]].a, control: -1, contact: -1, device: -1, ohms: c.elements[two[0]].ohms})
		}
	case EndOpen:
		for _, i := range c.tracksOf(dev) {
			if c.elements[i].a == a {
				elem(i, gone)
			}
		}
	case Noisy:
		p.noisy, p.value = dev, f.Value
		for _, i := range c.tracksOf(dev) {
			p.touched = append(p.touched, c.elements[i].b)
		}
	case LampTurned, LampDead:
		how := uint8(gone)
		if f.Kind == LampTurned {
			how = turned
		}
		for i := range c.elements {
			if c.elements[i].kind == elLamp && c.elements[i].device == dev && dev >= 0 {
				elem(int32(i), how)
			}
		}
	case Stuck, Dead:
		how := uint8(gone)
		if f.Kind == Stuck {
			how = shorted
		}
		for _, i := range c.contactsOf(dev, f.A) {
			elem(i, how)
		}
	case Bounces:
		p.bouncy, p.value = c.contactsOf(dev, f.A), f.Value
		for _, i := range p.bouncy {
			p.touched = append(p.touched, c.elements[i].a, c.elements[i].b)
		}
	case NoPullUp:
		if a < 0 {
			break
		}
		for _, i := range c.elemsAt[a] {
			if c.elements[i].fitting == "pull-up" {
				elem(i, gone)
			}
		}
	case WrongTable:
		p.table = true
		return p
	default:
		p.nothing = true
	}
	if len(p.touched) == 0 {
		p.nothing = true
	}
	slices.Sort(p.touched)
	p.touched = slices.Compact(p.touched)
	return p
}

// chainWire gives the wire of a chain that arrives at a lug.
func (c *circuit) chainWire(t wiring.Terminal) int32 {
	for _, ch := range c.in.Harness.Chains {
		for i, l := range ch.Lugs {
			if l == t && i < len(ch.Wires) {
				return int32(ch.Wires[i])
			}
		}
	}
	return -1
}

// contactsOf lists the contact elements of a device that are wired: those at a lug, where one is named. A common lug names them all.
func (c *circuit) contactsOf(dev int32, at wiring.Terminal) []int32 {
	if dev < 0 {
		return nil
	}
	d := &c.in.Wiring.Devices[dev]
	ctrl := c.ctrlOf[d.Control.Name]
	var all, named []int32
	for i := range c.elements {
		e := &c.elements[i]
		if e.kind != elContact || e.control != ctrl || !slices.Contains(d.Contact, int(e.contact)) {
			continue
		}
		all = append(all, int32(i))
		if t := c.find(at); t >= 0 && (e.a == t || e.b == t) {
			named = append(named, int32(i))
		}
	}
	if len(named) > 0 {
		return named
	}
	return all
}

func (c *circuit) touchContacts(p *patch, dev int32) {
	for _, i := range c.contactsOf(dev, wiring.Terminal{}) {
		p.touched = append(p.touched, c.elements[i].a, c.elements[i].b)
	}
}

func (c *circuit) tracksOf(dev int32) []int32 {
	var out []int32
	for i := range c.elements {
		if c.elements[i].kind == elTrack && c.elements[i].device == dev && dev >= 0 {
			out = append(out, int32(i))
		}
	}
	return out
}

// phaseOf gives the letter of an encoder's contact, 0 for other contacts.
func phaseOf(k catalog.Contact) byte {
	if k.Phase == "" {
		return 0
	}
	return k.Phase[0]
}

// key is the same for patches that do the same.
func (p *patch) key() uint64 {
	h := newHash()
	cut := slices.Clone(p.cut)
	slices.Sort(cut)
	for _, j := range cut {
		h.number(int(j))
	}
	h.byte(1)
	add := make([][2]int32, len(p.add))
	for i, a := range p.add {
		add[i] = [2]int32{min(a[0], a[1]), max(a[0], a[1])}
	}
	slices.SortFunc(add, func(a, b [2]int32) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	for _, a := range add {
		h.number(int(a[0]))
		h.number(int(a[1]))
	}
	h.byte(2)
	for i, e := range p.elem {
		h.number(int(e))
		h.byte(p.how[i])
	}
	h.byte(3)
	for _, e := range p.bouncy {
		h.number(int(e))
	}
	h.number(int(p.phases))
	h.number(int(p.steps))
	h.number(p.step)
	h.number(int(p.noisy))
	h.number(int(p.value * 1000))
	h.flag(p.table)
	h.flag(p.short)
	h.flag(len(p.res) > 0)
	return h.sum()
}
