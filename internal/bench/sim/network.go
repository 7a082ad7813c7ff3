package sim

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/solve/circuit"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// kind of an element.
type kind uint8

const (
	contact kind = iota // a pair of lugs, joined by its control
	track               // two resistances with a wiper
	lamp                // a diode with its built-in resistor
	resistor
	diode
)

// element is a part between nodes.
type element struct {
	kind    kind
	name    string
	a, b, w int // nodes; w the wiper
	ohm     float64
	model   circuit.Diode
	device  *wiring.Device // of contacts, tracks, lamps
	n       int            // contact in its control
	log     int            // taper: 0 linear, 1 log, -1 antilog
	always  int            // contact: 1 stuck, -1 dead
}

// network is the panel as it is wired: nodes are numbers, 0 is ground.
type network struct {
	job   *job.Result
	table *table
	node  map[wiring.Terminal]int
	names []string // by node
	fixed map[int]float64
	list  []element
	near  map[int][]int // elements by node
	noUp  map[wiring.Terminal]bool
	ports map[uint8]wiring.Terminal // pins of the module by the chip's number
	chans map[uint8]wiring.Terminal // and by the channel of its converter
	short bool
	cache map[string]*solved
	watch func(*circuit.Network) // is shown every part that is solved
}

// shorted reports whether ground and a supply are joined.
func (n *network) shorted() bool { return n.short }

// at gives the node of a terminal, -1 when nothing of the panel is there.
func (n *network) at(t wiring.Terminal) int {
	if i, ok := n.node[t]; ok {
		return i
	}
	return -1
}

// loom is the panel while it is being wired.
type loom struct {
	job   *job.Result
	wires []wire
	joins [][2]wiring.Terminal // that touch without a wire
	flip  map[string]bool      // diodes, lamps
	gone  map[string]bool
	over  map[string]bool // fittings that are bridged
	stuck map[contactID]int
	noUp  map[wiring.Terminal]bool
	known map[wiring.Terminal]bool
}

type wire struct {
	id   string
	ends [2]wiring.Terminal
}

func build(r *job.Result, t *table, faults []diagnosis.Fault) (*network, error) {
	l := weave(r)
	for _, f := range faults {
		if !l.has(f.A) || !l.has(f.B) {
			return nil, lost(f)
		}
		if err := l.spoil(f); err != nil {
			return nil, err
		}
	}
	n := &network{job: r, table: t, noUp: l.noUp, near: map[int][]int{}, cache: map[string]*solved{}}
	n.pins()
	n.join(l)
	n.parts(l)
	for i, e := range n.list {
		ends := []int{e.a, e.b}
		if e.kind == track {
			ends = append(ends, e.w)
		}
		for _, k := range ends {
			if !slices.Contains(n.near[k], i) {
				n.near[k] = append(n.near[k], i)
			}
		}
	}
	return n, nil
}

// weave takes the wires as they are planned; a net that the harness does not lay is a star from its first terminal.
func weave(r *job.Result) *loom {
	l := &loom{
		job: r, flip: map[string]bool{}, gone: map[string]bool{}, over: map[string]bool{}, stuck: map[contactID]int{},
		noUp: map[wiring.Terminal]bool{}, known: map[wiring.Terminal]bool{},
	}
	touched := map[int]map[wiring.Terminal]bool{}
	for _, w := range r.Harness.Wires {
		l.wires = append(l.wires, wire{w.ID, [2]wiring.Terminal{w.From, w.To}})
		if touched[w.Net] == nil {
			touched[w.Net] = map[wiring.Terminal]bool{}
		}
		touched[w.Net][w.From], touched[w.Net][w.To] = true, true
	}
	for i, net := range r.Wiring.Nets {
		var root wiring.Terminal
		for _, x := range net.Terms {
			l.known[x] = true
			if root.Zero() || touched[i][x] && !touched[i][root] {
				root = x
			}
		}
		for _, x := range net.Terms {
			if x == root || touched[i][x] || slices.Contains(groundPins(r, x.Of), x.Lug) {
				continue
			}
			if f := fitting(r, x.Of); net.Kind == wiring.NetInner || f != nil && slices.Contains(net.Terms, f.At) {
				to := root
				if f != nil && f.At != x && slices.Contains(net.Terms, f.At) {
					to = f.At
				}
				l.joins = append(l.joins, [2]wiring.Terminal{to, x})
				continue
			}
			l.wires = append(l.wires, wire{fmt.Sprintf("net %d %s %s", i, x.Of, x.Lug), [2]wiring.Terminal{root, x}})
		}
	}
	return l
}

// has tells whether a terminal is one of the panel's.
func (l *loom) has(t wiring.Terminal) bool {
	if t.Zero() || l.known[t] {
		return true
	}
	for _, b := range l.job.Wiring.Boards {
		if b.Name == t.Of && b.Part.Board != nil {
			return slices.ContainsFunc(b.Part.Board.Pins, func(p catalog.Pin) bool { return p.Lug == t.Lug })
		}
	}
	for _, d := range l.job.Wiring.Devices {
		if d.Control.Name == t.Of {
			return slices.ContainsFunc(d.Control.Part.Lugs, func(x catalog.Lug) bool { return x.Name == t.Lug })
		}
	}
	return false
}

func fitting(r *job.Result, name string) *wiring.Fitting {
	for i := range r.Wiring.Fittings {
		if r.Wiring.Fittings[i].Name == name {
			return &r.Wiring.Fittings[i]
		}
	}
	return nil
}

// groundPins lists the lugs of a module that are joined on its board; they need no wire between them.
func groundPins(r *job.Result, board string) []string {
	b := boardOf(r, board)
	if b == nil || b.Role != "module" {
		return nil
	}
	var out []string
	for _, p := range b.Pins {
		if p.Kind == catalog.PinGround || p.Kind == catalog.PinAGround {
			out = append(out, p.Lug)
		}
	}
	return out
}

// pins numbers the pins of the module as its chip does. Sources: RP2040 data sheet, 1.4 and 4.9; ATmega16U4/32U4 data sheet, pin list.
func (n *network) pins() {
	n.ports, n.chans = map[uint8]wiring.Terminal{}, map[uint8]wiring.Terminal{}
	avr := map[string]uint8{"PF0": 0, "PF1": 1, "PF4": 4, "PF5": 5, "PF6": 6, "PF7": 7, "PD4": 8, "PD6": 9, "PD7": 10, "PB4": 11, "PB5": 12, "PB6": 13}
	for _, b := range n.job.Wiring.Boards {
		if b.Part.Board == nil || b.Part.Board.Role != "module" {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			t := wiring.Terminal{Of: b.Name, Lug: p.Lug}
			if g, ok := strings.CutPrefix(p.Port, "GPIO"); ok && n.table.chip == core.RP2040 {
				if k, err := strconv.Atoi(g); err == nil {
					n.ports[uint8(k)] = t
					if k >= 26 && k <= 29 {
						n.chans[uint8(k-26)] = t
					}
				}
			}
			if n.table.chip == core.ATmega32U4 && len(p.Port) == 3 && p.Port[0] == 'P' {
				n.ports[8*(p.Port[1]-'B')+p.Port[2]-'0'] = t
				if c, ok := avr[p.Port]; ok {
					n.chans[c] = t
				}
			}
		}
		return
	}
}

// join makes nodes of what is joined.
func (n *network) join(l *loom) {
	up := map[wiring.Terminal]wiring.Terminal{}
	var root func(t wiring.Terminal) wiring.Terminal
	root = func(t wiring.Terminal) wiring.Terminal {
		p, ok := up[t]
		if !ok || p == t {
			return t
		}
		p = root(p)
		up[t] = p
		return p
	}
	var all []wiring.Terminal
	seen := map[wiring.Terminal]bool{}
	add := func(t wiring.Terminal) {
		if !seen[t] {
			seen[t] = true
			all = append(all, t)
		}
	}
	one := func(a, b wiring.Terminal) {
		add(a)
		add(b)
		if a, b = root(a), root(b); a != b {
			up[b] = a
		}
	}
	ground := wiring.Terminal{Of: "ground"}
	add(ground)
	type source struct {
		at    wiring.Terminal
		volts float64
	}
	var sources []source
	for _, b := range n.job.Wiring.Boards {
		if b.Part.Board == nil {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			add(wiring.Terminal{Of: b.Name, Lug: p.Lug})
		}
		if b.Part.Board.Role != "module" {
			continue
		}
		for _, lug := range groundPins(n.job, b.Name) {
			one(ground, wiring.Terminal{Of: b.Name, Lug: lug})
		}
		for _, s := range b.Part.Board.Supplies {
			if !s.Takes {
				sources = append(sources, source{wiring.Terminal{Of: b.Name, Lug: s.Lug}, s.Volts})
			}
		}
	}
	for _, net := range n.job.Wiring.Nets {
		for _, t := range net.Terms {
			add(t)
		}
	}
	for _, d := range n.job.Wiring.Devices {
		k := circuitOf(d.Control)
		for _, c := range k.Contacts {
			add(wiring.Terminal{Of: d.Control.Name, Lug: c.Lugs[0]})
			add(wiring.Terminal{Of: d.Control.Name, Lug: c.Lugs[1]})
		}
	}
	for _, w := range l.wires {
		if w.ends[0].Zero() || w.ends[1].Zero() {
			continue
		}
		one(w.ends[0], w.ends[1])
	}
	for _, j := range l.joins {
		one(j[0], j[1])
	}
	n.node, n.fixed = map[wiring.Terminal]int{}, map[int]float64{0: 0}
	number := map[wiring.Terminal]int{root(ground): 0}
	n.names = []string{"ground"}
	for _, t := range all {
		r := root(t)
		if _, ok := number[r]; !ok {
			number[r] = len(n.names)
			n.names = append(n.names, r.Of+" "+r.Lug)
		}
		n.node[t] = number[r]
	}
	for _, s := range sources {
		k := n.node[s.at]
		if v, ok := n.fixed[k]; ok && v != s.volts {
			n.short = true
		}
		n.fixed[k] = s.volts
	}
	n.fixed[0] = 0
}

// parts puts the parts between the nodes.
func (n *network) parts(l *loom) {
	seen := map[string]bool{}
	for i := range n.job.Wiring.Devices {
		d := &n.job.Wiring.Devices[i]
		c := d.Control
		k := circuitOf(c)
		lug := func(name string) int { return n.at(wiring.Terminal{Of: c.Name, Lug: name}) }
		switch d.Kind {
		case wiring.DevTrack:
			t := k.Tracks[d.Index]
			e := element{kind: track, name: "track " + d.ID, a: n.node0(c.Name, t.Ends[0]), b: n.node0(c.Name, t.Ends[1]), w: n.node0(c.Name, t.Wiper), ohm: t.Ohms, device: d}
			switch t.Taper {
			case "log":
				e.log = 1
			case "antilog":
				e.log = -1
			}
			if e.ohm <= 0 {
				e.ohm = 10e3
			}
			n.list = append(n.list, e)
		case wiring.DevLamp:
			if d.Index < len(k.Lamps) && !l.gone["lamp "+d.ID] {
				n.lamp(d, l.flip["lamp "+d.ID], n.node0(c.Name, k.Lamps[d.Index].Plus), n.node0(c.Name, k.Lamps[d.Index].Minus))
			}
		case wiring.DevPowered:
			if x := k.Powered; x != nil && x.Switch {
				n.list = append(n.list, element{kind: resistor, name: "powered " + d.ID, a: n.node0(c.Name, x.Plus), b: n.node0(c.Name, x.Minus), ohm: 1000 * max(x.Volts[0], 1) / max(x.Current, 1), device: d})
			}
		}
		if seen[c.Name] {
			continue
		}
		seen[c.Name] = true
		for j, x := range k.Contacts {
			a, b := lug(x.Lugs[0]), lug(x.Lugs[1])
			if a < 0 || b < 0 || a == b {
				continue
			}
			n.list = append(n.list, element{
				kind: contact, name: fmt.Sprintf("contact %s %s-%s", c.Name, x.Lugs[0], x.Lugs[1]), a: a, b: b, ohm: 0.1, n: j, device: n.owner(c.Name, j, d),
				always: l.stuck[contactID{c.Name, j}],
			})
		}
	}
	for i := range n.job.Wiring.Fittings {
		f := &n.job.Wiring.Fittings[i]
		ends := [2]string{"1", "2"}
		if f.Kind == "diode" {
			ends = [2]string{"a", "k"}
		}
		a, b := n.at(wiring.Terminal{Of: f.Name, Lug: ends[0]}), n.at(wiring.Terminal{Of: f.Name, Lug: ends[1]})
		if a < 0 || b < 0 || a == b || l.gone[f.Name] {
			continue
		}
		switch f.Kind {
		case "resistor":
			n.list = append(n.list, element{kind: resistor, name: f.Name, a: a, b: b, ohm: f.Ohms})
		case "diode":
			if l.over[f.Name] {
				n.list = append(n.list, element{kind: resistor, name: f.Name, a: a, b: b, ohm: 0.05})
				continue
			}
			if l.flip[f.Name] {
				a, b = b, a
			}
			d := circuit.Diode{Sat: 2.52e-9, Ideal: 1.752, Rs: 0.568} // 1N4148, the usual model of SPICE libraries, from memory
			if small, ok := catalog.Builtin().Small(f.Part); ok && small.Sat > 0 {
				d = circuit.Diode{Sat: small.Sat, Ideal: small.Ideal, Rs: small.Rs}
			}
			n.list = append(n.list, element{kind: diode, name: f.Name, a: a, b: b, model: d})
		}
	}
}

// owner is the device that a contact of a control belongs to.
func (n *network) owner(control string, contact int, or *wiring.Device) *wiring.Device {
	for i := range n.job.Wiring.Devices {
		if d := &n.job.Wiring.Devices[i]; d.Control.Name == control && slices.Contains(d.Contact, contact) {
			return d
		}
	}
	return or
}

// node0 gives the node of a lug, and makes one where nothing is joined to it.
func (n *network) node0(control, lug string) int {
	t := wiring.Terminal{Of: control, Lug: lug}
	k, ok := n.node[t]
	if !ok {
		k = len(n.names)
		n.names = append(n.names, control+" "+lug)
		n.node[t] = k
	}
	return k
}

// lamp puts a lamp between nodes. One without a record is red: 2 V at 10 mA.
func (n *network) lamp(d *wiring.Device, turned bool, plus, minus int) {
	x := d.Control.Part.Lamp
	drop, current, ohm := x.Drop, x.Current, 0.0
	if drop <= 0 {
		drop = 2
	}
	if current <= 0 {
		current = 10
	}
	if x.Rated > drop {
		ohm = (x.Rated - drop) / current * 1000
	}
	m, err := circuit.Fit(drop, current/1000, 2, 3)
	if err != nil {
		m = circuit.Diode{Sat: 1e-18, Ideal: 2, Rs: 3}
	}
	m.Rs += ohm
	if turned {
		plus, minus = minus, plus
	}
	n.list = append(n.list, element{kind: lamp, name: "lamp " + d.ID, a: plus, b: minus, model: m, device: d})
}
