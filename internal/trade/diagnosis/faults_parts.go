package diagnosis

import (
	"knobwright/internal/trade/wiring"
)

func (l *lister) chains() {
	c := l.c
	for _, ch := range c.in.Harness.Chains {
		if ch.Net < 0 || ch.Net >= len(c.in.Wiring.Nets) {
			continue
		}
		kind := c.in.Wiring.Nets[ch.Net].Kind
		for i, lug := range ch.Lugs {
			if i >= len(ch.Wires) {
				break
			}
			id := l.wireID(int32(ch.Wires[i]))
			l.put(Fault{Kind: ChainBroken, A: lug, Wire: id}, 1)
			if kind == wiring.NetSupply && i == 0 {
				l.put(Fault{Kind: SupplyOff, A: lug, Wire: id}, 1)
			}
		}
	}
	for i := range c.in.Harness.Wires { // grounds and supplies of one wire
		w := &c.in.Harness.Wires[i]
		if w.Net < 0 || w.Net >= len(c.in.Wiring.Nets) || c.chainWire(w.To) == int32(i) {
			continue
		}
		switch c.in.Wiring.Nets[w.Net].Kind {
		case wiring.NetSupply:
			l.put(Fault{Kind: SupplyOff, A: w.To, Wire: w.ID}, 1)
		case wiring.NetGround, wiring.NetAGround:
			l.put(Fault{Kind: OpenLead, A: w.To, B: w.From, Wire: w.ID}, 1)
		}
	}
}

func (l *lister) diodes() {
	for i := range l.c.in.Wiring.Fittings {
		f := &l.c.in.Wiring.Fittings[i]
		if f.Kind != "diode" {
			continue
		}
		for _, k := range []Kind{NoDiode, OpenDiode, DiodeTurned} {
			l.put(Fault{Kind: k, A: f.At, Fitting: f.Name}, 1)
		}
	}
}

func (l *lister) devices() {
	c := l.c
	for i := range c.in.Wiring.Devices {
		d := &c.in.Wiring.Devices[i]
		k := &d.Control.Part.Circuit
		at := func(lug string) wiring.Terminal { return wiring.Terminal{Of: d.Control.Name, Lug: lug} }
		switch d.Kind {
		case wiring.DevSwitch:
			for _, n := range d.Contact {
				e := k.Contacts[n]
				t := c.find(at(e.Lugs[1]))
				if t < 0 || !c.wired(t) && len(c.jointsAt[t]) == 0 {
					continue
				}
				l.put(Fault{Kind: Stuck, A: at(e.Lugs[1]), Device: d.ID}, 1)
				l.put(Fault{Kind: Dead, A: at(e.Lugs[1]), Device: d.ID}, 1)
				l.put(Fault{Kind: Bounces, A: at(e.Lugs[1]), Device: d.ID, Value: 60}, 1)
			}
			if len(d.Contact) > 1 { // worn as a whole
				l.put(Fault{Kind: Bounces, Device: d.ID, Value: 60}, 1)
			}
		case wiring.DevEncoder:
			l.put(Fault{Kind: PhasesSwap, Device: d.ID}, 1)
			have := c.steps[c.ctrlOf[d.Control.Name]]
			for _, n := range []int{1, 2, 4} {
				if n != have {
					l.put(Fault{Kind: Detents, Device: d.ID, Value: float64(n)}, 0.5)
				}
			}
			if len(d.Contact) > 0 {
				l.put(Fault{Kind: EncoderOpen, A: at(k.Contacts[d.Contact[0]].Lugs[0]), Device: d.ID}, 1)
			}
			for _, n := range d.Contact {
				l.put(Fault{Kind: Stuck, A: at(k.Contacts[n].Lugs[1]), Device: d.ID}, 0.3)
				l.put(Fault{Kind: Dead, A: at(k.Contacts[n].Lugs[1]), Device: d.ID}, 0.3)
			}
		case wiring.DevTrack:
			if d.Index >= len(k.Tracks) {
				continue
			}
			t := k.Tracks[d.Index]
			l.put(Fault{Kind: EndsSwapped, Device: d.ID}, 1)
			l.put(Fault{Kind: WiperOpen, A: at(t.Wiper), Device: d.ID}, 1)
			l.put(Fault{Kind: EndOpen, A: at(t.Ends[0]), Device: d.ID}, 1)
			l.put(Fault{Kind: EndOpen, A: at(t.Ends[1]), Device: d.ID}, 1)
			l.put(Fault{Kind: Noisy, Device: d.ID, Value: 0.2}, 1)
		case wiring.DevLamp:
			l.put(Fault{Kind: LampTurned, Device: d.ID}, 1)
			l.put(Fault{Kind: LampDead, Device: d.ID}, 1)
		}
	}
	for i := range c.elements {
		if e := &c.elements[i]; e.fitting == "pull-up" && len(c.termObs[e.b]) > 0 {
			part := 1.0
			if !c.wired(e.b) {
				part = 0.1
			}
			l.put(Fault{Kind: NoPullUp, A: c.terms[e.b]}, part)
		}
	}
}
