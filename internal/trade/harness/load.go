package harness

import (
	"fmt"
	"math"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
	"knobwright/internal/trade/wiring"
)

// warm is the temperature at which wires are reckoned, °C.
const warm = 25

// ohms is the resistance of a wire; 0 when its gauge is not known.
func (w *worker) ohms(i int) float64 {
	x := w.r.Wires[i]
	c, ok := w.cat.Wire(x.Wire)
	if !ok {
		c = w.use[w.useOf(x.Net)]
	}
	per := math.NaN()
	switch {
	case c.Area > 0:
		per = electric.OhmPerKm(c.Area, warm)
	case c.Gauge > 0:
		per = electric.AWG(c.Gauge).OhmPerKm(warm)
	}
	if math.IsNaN(per) {
		return 0
	}
	return per * x.Length / 1e6
}

// taps finds what flows at most through each lug of grounds and supplies, mA: lamps, contacts, tracks, displays, boards.
func (w *worker) taps() map[wiring.Terminal]float64 {
	out := map[wiring.Terminal]float64{}
	volts := map[wiring.Terminal]float64{}
	for _, n := range w.w.Nets {
		if n.Kind == wiring.NetSupply {
			for _, t := range n.Terms {
				volts[t] = n.Volts
			}
		}
	}
	ends := map[wiring.Terminal][]wiring.Terminal{} // of a fitting on a lug: its free ends
	for _, f := range w.w.Fittings {
		for _, e := range []string{"1", "2"} {
			ends[f.At] = append(ends[f.At], wiring.Terminal{Of: f.Name, Lug: e})
		}
	}
	add := func(of, lug string, mA float64) {
		t := wiring.Terminal{Of: of, Lug: lug}
		if lug == "" || !(mA > 0) || math.IsInf(mA, 0) {
			return
		}
		out[t] += mA
		for _, e := range ends[t] {
			out[e] += mA
		}
	}
	driven := map[string]float64{} // by board: what its pins give to lamps
	for _, l := range w.w.Power.Lamps {
		if l.Device < 0 || l.Device >= len(w.w.Devices) {
			continue
		}
		d := w.w.Devices[l.Device]
		lugs := d.Control.Part.Circuit.Lamps
		if d.Index >= len(lugs) {
			continue
		}
		add(d.Control.Name, lugs[d.Index].Plus, l.Most)
		add(d.Control.Name, lugs[d.Index].Minus, l.Most)
		for si, s := range w.w.Signals {
			if s.Device == l.Device && s.Kind == wiring.SigLamp && si < len(w.w.Plan.Seats) {
				driven[w.w.Plan.Seats[si].Pin.Of] += l.Most
			}
		}
	}
	for _, in := range w.w.Power.Inputs {
		if in.Signal < 0 || in.Signal >= len(w.w.Signals) {
			continue
		}
		if s := w.w.Signals[in.Signal]; s.Device >= 0 && s.Device < len(w.w.Devices) {
			add(w.w.Devices[s.Device].Control.Name, s.Return, in.Current)
		}
	}
	for _, d := range w.w.Devices {
		c := d.Control.Part.Circuit
		switch {
		case d.Kind == wiring.DevTrack && d.Index < len(c.Tracks):
			t := c.Tracks[d.Index]
			tol := t.Tol
			if tol == 0 {
				tol = 20
			}
			v := max(volts[wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[0]}], volts[wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[1]}])
			if r := t.Ohms * (1 - min(tol, 90)/100); r > 0 {
				add(d.Control.Name, t.Ends[0], v/r*1000)
				add(d.Control.Name, t.Ends[1], v/r*1000)
			}
		case d.Kind == wiring.DevPowered && c.Powered != nil:
			add(d.Control.Name, c.Powered.Plus, c.Powered.Current)
			add(d.Control.Name, c.Powered.Minus, c.Powered.Current)
		}
	}
	for bi, b := range w.boards {
		if bi == 0 || b.part.Board == nil {
			continue
		}
		mA := b.part.Board.Own + driven[b.name]
		for _, s := range b.part.Board.Supplies {
			if s.Takes {
				add(b.name, s.Lug, mA)
				break
			}
		}
		for _, p := range b.part.Board.Pins {
			if w.joinedInside(bi, p.Lug) && p.Kind == "ground" {
				add(b.name, p.Lug, mA)
				break
			}
		}
	}
	return out
}

// loads finds what every ground and supply chain carries, and how much is lost on the way to its far end.
func (w *worker) loads() {
	taps := w.taps()
	// chains that go on from the end of another load that one too: the last first
	for i := len(w.r.Chains) - 1; i >= 0; i-- {
		c := &w.r.Chains[i]
		switch w.w.Nets[c.Net].Kind {
		case wiring.NetGround, wiring.NetAGround, wiring.NetSupply:
		default:
			continue
		}
		var ohm, amp []float64
		for k, t := range c.Lugs {
			ohm, amp = append(ohm, w.ohms(c.Wires[k])), append(amp, taps[t]/1000)
			c.Load += taps[t]
		}
		var a electric.ChainAnswer
		var err error
		if c.Closed {
			ohm = append(ohm, w.ohms(c.Wires[len(c.Wires)-1]))
			a, err = electric.Ring(ohm, amp)
		} else {
			a, err = electric.Chain(ohm, amp)
		}
		run := wiring.Run{Name: c.Name, Net: c.Net, Lugs: c.Lugs, Ohms: ohm, Closed: c.Closed}
		if f, err := w.w.Falls(run, taps); err == nil { // what it does to the readings of pots
			w.r.Findings = append(w.r.Findings, w.w.FallFindings(run, f, w.p.Limits)...)
		}
		if err == nil && a.Worst >= 0 {
			c.Drop = a.Volt[a.Worst] * 1000
		}
		if s := w.spot[c.Root]; s.board > 0 {
			taps[c.Root] += c.Load
		}
		w.judgeLoad(*c)
	}
}

// judgeLoad holds the first wire of a chain against what its gauge bears.
func (w *worker) judgeLoad(c Chain) {
	if len(c.Wires) == 0 {
		return
	}
	x := w.r.Wires[c.Wires[0]]
	wire, ok := w.cat.Wire(x.Wire)
	if !ok || wire.Gauge == 0 {
		return
	}
	key := map[int]string{useGround: "ground", useSupply: "supply"}[w.useOf(c.Net)]
	es := append([]finding.End{w.end("the "+key+" wire", "wiring.wire."+key)}, w.ends(c.Root.Of, w.ownerOf(c.Lugs[len(c.Lugs)-1]))...)
	if amp, ok := electric.ChassisAmp(electric.AWG(wire.Gauge)); ok && c.Load > amp*1000 {
		w.say(ruleThin, finding.Finding{
			Head: fmt.Sprintf("%s carries %s mA; %s bears %s mA in a bundle.", finding.Capital(c.Name), plain(math.Ceil(c.Load)), wire.Title, plain(amp*1000)),
			Body: "Take a thicker wire, or split the chain.", Ends: es, Source: electric.RatingsSource,
			Measure: &finding.Measure{Have: c.Load, Want: amp * 1000, Unit: "mA", Sense: finding.AtMost},
		})
	}
	if v := w.w.Nets[c.Net].Volts; v > 0 && c.Drop > dropShare*v*1000 {
		w.say(ruleThin, finding.Finding{
			Head: fmt.Sprintf("On the way to the end of %s %s mV of %s V are lost.", c.Name, plain(math.Ceil(c.Drop)), plain(v)),
			Body: "Take a thicker wire, or feed the chain from both ends (chains: closed).", Ends: es,
			Measure: &finding.Measure{Have: c.Drop, Want: dropShare * v * 1000, Unit: "mV", Sense: finding.AtMost},
		})
	}
}

// dropShare is how much of a supply may be lost in the wire. Common practice.
const dropShare = 0.03
