package harness

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// control finds a control by name; nil when there is none.
func (w *worker) control(name string) *panel.Control { return w.named[name] }

// Kinds of lines of the continuity list, in their order.
const (
	RingShort     = "short"     // supplies and grounds
	RingNeighbour = "neighbour" // pins side by side
	RingChain     = "chain"     // from the pin of a chain to each of its lugs
	RingLead      = "lead"      // a wire that nothing else tries
	RingContact   = "contact"   // a contact at rest and in its other positions
	RingTrack     = "track"     //
	RingLamp      = "lamp"      // with the diode test
	RingMatrix    = "matrix"    // press and measure
)

// Resistances beside that of the wire, ohm. Common practice: below 2 a contact and its joints are good; a meter's own leads show half an
// ohm.
const (
	ownOhms     = 0.5
	contactOhms = 2.0
)

// rings makes the continuity list, to be gone through while the leads hang free of the boards: what must never ring first.
func (w *worker) rings() {
	m := w.newMeter()
	w.ringShorts(m)
	w.ringNeighbours(m)
	w.ringChains()
	tried := map[int]bool{} // nets that a contact, track or lamp tries
	var last []Ring
	for si, s := range w.w.Signals {
		seat := wiring.Seat{}
		if si < len(w.w.Plan.Seats) {
			seat = w.w.Plan.Seats[si]
		}
		if s.Device < 0 || s.Device >= len(w.w.Devices) {
			continue
		}
		if !seat.Pin.Zero() {
			if n, ok := m.net[seat.Pin]; ok && s.Kind != wiring.SigData {
				tried[n] = true
			}
		}
		last = append(last, w.ringSignal(m, s, seat)...)
	}
	w.ringLeads(tried)
	w.r.Rings = append(w.r.Rings, last...)
	slices.SortStableFunc(w.r.Rings, func(a, b Ring) int { return ringOrder(a) - ringOrder(b) })
}

func ringOrder(r Ring) int {
	return slices.Index([]string{RingShort, RingNeighbour, RingChain, RingLead, RingContact, RingTrack, RingLamp, RingMatrix}, r.Kind)
}

// ringShorts lists what a short on a supply would show: every supply against ground and against every other supply, with what the
// panel itself puts between them.
func (w *worker) ringShorts(m *meter) {
	type rail struct {
		net  int
		pin  wiring.Terminal
		name string
	}
	var rails []rail
	for i, n := range w.w.Nets {
		switch n.Kind {
		case wiring.NetSupply, wiring.NetGround, wiring.NetAGround:
			if t, ok := w.rootOf(i); ok {
				rails = append(rails, rail{i, t, n.Name})
			}
		}
	}
	for i, a := range rails {
		for _, b := range rails[i+1:] {
			if w.w.Nets[a.net].Kind != wiring.NetSupply && w.w.Nets[b.net].Kind != wiring.NetSupply {
				continue // grounds are one on the module
			}
			r := Ring{Kind: RingShort, A: a.pin, B: b.pin, Why: fmt.Sprintf("%s against %s: a short there does harm as soon as power comes on.", finding.Capital(b.name), a.name)}
			if ohms, ok := m.between(a.net, b.net, "", ""); ok {
				r.Ohms = [2]float64{roundOhms(ohms * (1 - trackTol)), 0}
				r.Why = fmt.Sprintf("%s against %s: the tracks between them give about %s; less is a short.", finding.Capital(b.name), a.name, electric.FormatOhms(roundOhms(ohms)))
			}
			w.r.Rings = append(w.r.Rings, r)
		}
	}
}

// trackTol is how far tracks may be off together.
const trackTol = 0.2

// roundOhms keeps two digits.
func roundOhms(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	p := math.Pow(10, math.Floor(math.Log10(v))-1)
	return math.Round(v/p) * p
}

// rootOf gives the pin at which a net begins: of its first chain, else of its first wire.
func (w *worker) rootOf(net int) (wiring.Terminal, bool) {
	for _, c := range w.r.Chains {
		if c.Net == net {
			return c.Root, true
		}
	}
	for _, x := range w.r.Wires {
		if x.Net == net {
			return x.From, true
		}
	}
	return wiring.Terminal{}, false
}

// ringNeighbours lists pins side by side on a board that must not ring: a bridge of solder is the commonest fault of all. Pins that are
// one while nothing is touched are left out, and such as a track joins at an end of its way.
func (w *worker) ringNeighbours(m *meter) {
	one := m.rests()
	wired := map[wiring.Terminal]bool{}
	for _, x := range w.r.Wires {
		wired[x.From], wired[x.To] = true, true
	}
	for _, b := range w.boards {
		var before wiring.Terminal
		var at geom.Vec3
		for _, l := range b.part.Lugs {
			t := wiring.Terminal{Of: b.name, Lug: l.Name}
			p := w.spot[t].at
			u, has := m.net[before]
			v, ok := m.net[t]
			if has && ok && wired[before] && wired[t] && p.Sub(at).Len() < 1.6*2.54 && one[u] != one[v] && !m.track(u, v) {
				w.r.Rings = append(w.r.Rings, Ring{Kind: RingNeighbour, A: before, B: t, Why: "side by side on " + b.label + ": look for a bridge"})
			}
			before, at = t, p
		}
	}
}

// ringChains lists every lug of a chain against the pin where it begins, with the resistance of the wire.
func (w *worker) ringChains() {
	for _, c := range w.r.Chains {
		sum := 0.0
		for k, t := range c.Lugs {
			sum += w.ohms(c.Wires[k])
			w.r.Rings = append(w.r.Rings, Ring{Kind: RingChain, A: c.Root, B: t, Rings: true, Ohms: [2]float64{0, halves(sum + ownOhms)}, Why: c.Name, Control: w.ownerOf(t)})
		}
	}
}

// ringLeads lists the single wires that no contact, track or lamp tries.
func (w *worker) ringLeads(tried map[int]bool) {
	chained := map[int]bool{}
	for _, c := range w.r.Chains {
		for _, i := range c.Wires {
			chained[i] = true
		}
	}
	for i, x := range w.r.Wires {
		if chained[i] || tried[x.Net] {
			continue
		}
		w.r.Rings = append(w.r.Rings, Ring{Kind: RingLead, A: x.From, B: x.To, Rings: true, Ohms: [2]float64{0, halves(w.ohms(i) + ownOhms)}, Why: w.w.Nets[x.Net].Name, Control: w.ownerOf(x.To)})
	}
}

// halves rounds up to half an ohm.
func halves(v float64) float64 { return math.Ceil(v*2-1e-9) / 2 }

// leadOhms is the resistance of the wire from a pin to a lug of its net.
func (w *worker) leadOhms(pin wiring.Terminal) float64 {
	sum := 0.0
	for i, x := range w.r.Wires {
		if x.From == pin || x.To == pin {
			sum = max(sum, w.ohms(i))
		}
	}
	return sum
}

// returnOf gives where the return of a contact is measured: the pin at which the chain begins that its lug hangs on, and the resistance of
// the wire between.
func (w *worker) returnOf(t wiring.Terminal) (wiring.Terminal, float64) {
	for _, c := range w.r.Chains {
		sum := 0.0
		for k, l := range c.Lugs {
			sum += w.ohms(c.Wires[k])
			if l == t {
				return c.Root, sum
			}
		}
	}
	for i, x := range w.r.Wires {
		switch t {
		case x.To:
			return x.From, w.ohms(i)
		case x.From:
			return x.To, w.ohms(i)
		}
	}
	return t, 0
}
