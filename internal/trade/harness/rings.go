package harness

import (
	"fmt"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// control finds a control by name; nil when there is none.
func (w *worker) control(name string) *panel.Control { return w.named[name] }

// restWords says in which position a part is soldered.
func restWords(p catalog.Part) string {
	c := p.Circuit
	switch {
	case p.Class == catalog.Key:
		return "Solder with the key out."
	case p.Action == "latching":
		return "Solder with the button out, not latched."
	case len(c.Springs) > 0 && len(c.Positions) > 2, p.Class == catalog.Toggle && len(c.Positions) > 2:
		return "Solder with the lever in the middle."
	}
	return ""
}

// wireOhms is what a lead, two joints and a closed contact may show on a meter, ohm. Common practice: below 2 is good.
const wireOhms = 2

// rings makes the continuity list: first what must never ring, then grounds and supplies, then every contact at rest and in each of its
// positions, and the tracks.
func (w *worker) rings() {
	ground, ok := w.pinOf(wiring.NetGround)
	for _, n := range w.w.Nets {
		if n.Kind == wiring.NetSupply && ok {
			if t, has := w.boardPin(n); has {
				w.r.Rings = append(w.r.Rings, Ring{A: ground, B: t, Rings: false, Ohms: [2]float64{100, 0}, Why: "A supply that rings to ground is a short: find it before power."})
			}
		}
	}
	for _, c := range w.r.Chains {
		for _, t := range c.Lugs {
			w.r.Rings = append(w.r.Rings, Ring{A: c.Root, B: t, Rings: true, Ohms: [2]float64{0, wireOhms}, Why: c.Name, Control: t.Of})
		}
	}
	for si, s := range w.w.Signals {
		seat := wiring.Seat{}
		if si < len(w.w.Plan.Seats) {
			seat = w.w.Plan.Seats[si]
		}
		if s.Device < 0 || seat.Pin.Zero() || seat.Way == wiring.Ladder {
			continue
		}
		d := w.w.Devices[s.Device]
		w.ringDevice(s, d, seat.Pin, ground)
	}
}

// ringDevice lists what a signal's contact or track must show between its pin and the ground.
func (w *worker) ringDevice(s wiring.Signal, d wiring.Device, pin, ground wiring.Terminal) {
	p := d.Control.Part
	switch s.Kind {
	case wiring.SigContact, wiring.SigPhase:
		for _, ci := range d.Contact {
			c := p.Circuit.Contacts[ci]
			if c.Lugs[0] != s.Lug && c.Lugs[1] != s.Lug {
				continue
			}
			if c.Phase != "" {
				w.r.Rings = append(w.r.Rings, Ring{A: pin, B: ground, Do: "Turn " + d.Control.Label + " slowly", Rings: true, Ohms: [2]float64{0, wireOhms}, Why: "It rings and falls silent in turns.", Control: d.Control.Name})
				continue
			}
			rest := len(p.Circuit.Positions) > 0 && contains(c.Closed, p.Circuit.Positions[0])
			r := Ring{A: pin, B: ground, Rings: rest, Why: "at rest", Control: d.Control.Name}
			if rest {
				r.Ohms = [2]float64{0, wireOhms}
			}
			w.r.Rings = append(w.r.Rings, r)
			for _, pos := range c.Closed {
				if len(p.Circuit.Positions) > 0 && pos == p.Circuit.Positions[0] {
					continue
				}
				w.r.Rings = append(w.r.Rings, Ring{A: pin, B: ground, Do: doWords(d.Control, pos), Rings: true, Ohms: [2]float64{0, wireOhms}, Control: d.Control.Name})
			}
		}
	case wiring.SigWiper:
		t := p.Circuit.Tracks[d.Index]
		tol := t.Tol
		if tol == 0 {
			tol = 20
		}
		a, b := wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[0]}, wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[1]}
		w.r.Rings = append(w.r.Rings, Ring{A: a, B: b, Rings: true, Ohms: [2]float64{t.Ohms * (1 - tol/100), t.Ohms * (1 + tol/100)}, Why: "end to end of the track; with the ends wired, other pots on the same supply show less", Control: d.Control.Name})
		w.r.Rings = append(w.r.Rings, Ring{A: a, B: pin, Do: "Turn " + d.Control.Label + " from end to end", Rings: true, Ohms: [2]float64{0, t.Ohms * (1 + tol/100)}, Why: "It climbs without jumps.", Control: d.Control.Name})
	}
}

// doWords says how a control is put in a position.
func doWords(c *panel.Control, pos string) string {
	switch pos {
	case "pressed":
		if c.Part.Action == "latching" {
			return "Press " + c.Label + " in"
		}
		return "Hold " + c.Label + " down"
	case "up", "down", "left", "right", "middle":
		return "Put " + c.Label + " " + pos
	}
	return fmt.Sprintf("Put %s to %s", c.Label, pos)
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if strings.EqualFold(x, s) {
			return true
		}
	}
	return false
}

// pinOf gives the first pin of the module in a net of a kind.
func (w *worker) pinOf(k wiring.NetKind) (wiring.Terminal, bool) {
	for _, n := range w.w.Nets {
		if n.Kind == k {
			if t, ok := w.boardPin(n); ok {
				return t, true
			}
		}
	}
	return wiring.Terminal{}, false
}

// boardPin gives the first pin of a circuit board in a net.
func (w *worker) boardPin(n wiring.Net) (wiring.Terminal, bool) {
	for _, t := range n.Terms {
		if s, ok := w.spot[t]; ok && s.board >= 0 {
			return t, true
		}
	}
	return wiring.Terminal{}, false
}
