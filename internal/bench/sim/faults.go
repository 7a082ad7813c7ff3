package sim

import (
	"math"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// Faults lists single faults that a panel can have, one after the other: every wire off or, where it stands in a chain, broken; every
// lead on the pin beside its own and exchanged with its neighbour; every signal on ground and on a supply; neighbours that touch;
// everything that a diode, a track, an encoder, a lamp and a contact can suffer. It does not ask whether a fault shows: a wire across a
// closed chain does not.
func Faults(r *job.Result) []diagnosis.Fault {
	var f []diagnosis.Fault
	f = append(f, wireFaults(r)...)
	f = append(f, leadFaults(r)...)
	for _, x := range r.Wiring.Fittings {
		if x.Kind == "diode" {
			for _, k := range []diagnosis.Kind{diagnosis.NoDiode, diagnosis.OpenDiode, diagnosis.DiodeTurned} {
				f = append(f, diagnosis.Fault{Kind: k, Fitting: x.Name, Device: deviceAt(r, x.For)})
			}
		}
	}
	for i := range r.Wiring.Devices {
		f = append(f, deviceFaults(r, &r.Wiring.Devices[i])...)
	}
	return append(f, diagnosis.Fault{Kind: diagnosis.WrongTable})
}

func deviceAt(r *job.Result, i int) string {
	if i < 0 || i >= len(r.Wiring.Devices) {
		return ""
	}
	return r.Wiring.Devices[i].ID
}

// wireFaults: each wire off.
func wireFaults(r *job.Result) []diagnosis.Fault {
	var f []diagnosis.Fault
	long := map[int]bool{}
	for _, c := range r.Harness.Chains {
		if len(c.Lugs) > 1 {
			for _, w := range c.Wires {
				long[w] = true
			}
		}
	}
	for i, w := range r.Harness.Wires {
		kind := diagnosis.OpenLead
		switch {
		case r.Wiring.Nets[w.Net].Kind == wiring.NetSupply:
			kind = diagnosis.SupplyOff
		case long[i]:
			kind = diagnosis.ChainBroken
		}
		f = append(f, diagnosis.Fault{Kind: kind, A: w.To, B: w.From, Wire: w.ID})
	}
	return f
}

// leadFaults: leads in wrong places, and touching what they must not.
func leadFaults(r *job.Result) []diagnosis.Fault {
	var f []diagnosis.Fault
	var supply wiring.Terminal
	for _, n := range r.Wiring.Nets {
		if n.Kind == wiring.NetSupply && supply.Zero() && len(n.Terms) > 0 {
			supply = n.Terms[0]
		}
	}
	single := func(w wiring.Terminal) bool { // a lead of its own, from a pin to a lug
		n := 0
		for _, x := range r.Harness.Wires {
			if x.From == w || x.To == w {
				n++
			}
		}
		return n == 1
	}
	var before *struct{ pin, lug wiring.Terminal }
	for _, w := range r.Harness.Wires {
		k := r.Wiring.Nets[w.Net].Kind
		if k != wiring.NetSignal && k != wiring.NetLine {
			continue
		}
		f = append(f, diagnosis.Fault{Kind: diagnosis.ToGround, A: w.To})
		if !supply.Zero() {
			f = append(f, diagnosis.Fault{Kind: diagnosis.ToSupply, A: w.To, B: supply})
		}
		if !r.Harness.Boards[w.From.Of] || !single(w.From) || !single(w.To) {
			continue
		}
		if n, ok := neighbour(r, w.From); ok {
			if p := signalAt(r, n); p {
				f = append(f, diagnosis.Fault{Kind: diagnosis.Bridged, A: w.From, B: n})
			}
			f = append(f, diagnosis.Fault{Kind: diagnosis.WrongPin, A: w.To, B: n, Wire: w.ID})
		}
		if before != nil && before.pin.Of == w.From.Of {
			f = append(f, diagnosis.Fault{Kind: diagnosis.Swapped, A: before.lug, B: w.To})
		}
		before = &struct{ pin, lug wiring.Terminal }{w.From, w.To}
	}
	if m := r.Wiring.Plan.Matrix; m != nil {
		pin := func(s int) wiring.Terminal { return r.Wiring.Plan.Seats[s].Pin }
		for i, row := range m.Rows {
			f = append(f, diagnosis.Fault{Kind: diagnosis.LinesSwapped, A: pin(row), B: pin(m.Columns[i%len(m.Columns)])})
		}
	}
	for i, s := range r.Wiring.Signals {
		seat := r.Wiring.Plan.Seats[i]
		if s.Kind == wiring.SigContact && (seat.Way == wiring.Direct || seat.Way == wiring.Expander) {
			f = append(f, diagnosis.Fault{Kind: diagnosis.NoPullUp, A: seat.Pin})
		}
	}
	return f
}

// neighbour is the next pin of a board that may be an input or an output.
func neighbour(r *job.Result, at wiring.Terminal) (wiring.Terminal, bool) {
	b := boardOf(r, at.Of)
	if b == nil {
		return wiring.Terminal{}, false
	}
	i := slices.IndexFunc(b.Pins, func(p catalog.Pin) bool { return p.Lug == at.Lug })
	if i < 0 || i+1 >= len(b.Pins) || b.Pins[i+1].Kind != catalog.PinIO || b.Pins[i+1].Bus != "" {
		return wiring.Terminal{}, false
	}
	next := wiring.Terminal{Of: at.Of, Lug: b.Pins[i+1].Lug}
	return next, beside(r, at, next)
}

// beside reports whether two pins of a board lie next to each other: the next number may stand at the other edge.
func beside(r *job.Result, a, b wiring.Terminal) bool {
	const row = 5.1 // mm, two steps of a pin row of 2.54 mm
	for i := range r.Wiring.Boards {
		if r.Wiring.Boards[i].Name != a.Of {
			continue
		}
		var at [][2]float64
		for _, g := range r.Wiring.Boards[i].Part.Lugs {
			if g.Name == a.Lug || g.Name == b.Lug {
				at = append(at, [2]float64{float64(g.At[0]), float64(g.At[1])})
			}
		}
		return len(at) != 2 || math.Hypot(at[0][0]-at[1][0], at[0][1]-at[1][1]) < row
	}
	return false
}

// signalAt tells whether a pin has a lead.
func signalAt(r *job.Result, at wiring.Terminal) bool {
	for _, n := range r.Wiring.Nets {
		if slices.Contains(n.Terms, at) && (n.Kind == wiring.NetSignal || n.Kind == wiring.NetLine) {
			return true
		}
	}
	return false
}

// deviceFaults: what the parts themselves suffer.
func deviceFaults(r *job.Result, d *wiring.Device) []diagnosis.Fault {
	var f []diagnosis.Fault
	k := circuitOf(d.Control)
	at := func(lug string) wiring.Terminal { return wiring.Terminal{Of: d.Control.Name, Lug: lug} }
	add := func(kind diagnosis.Kind, a, b wiring.Terminal, value float64) {
		f = append(f, diagnosis.Fault{Kind: kind, A: a, B: b, Device: d.ID, Value: value})
	}
	switch d.Kind {
	case wiring.DevSwitch:
		for _, i := range d.Contact {
			c := k.Contacts[i]
			a := at(c.Lugs[1])
			if len(d.Contact) == 1 {
				a = wiring.Terminal{}
			}
			add(diagnosis.Stuck, a, wiring.Terminal{}, 0)
			add(diagnosis.Dead, a, wiring.Terminal{}, 0)
			for j, o := range k.Contacts { // the other throw of the same pole, that nothing is soldered to
				if j != i && o.Lugs[0] == c.Lugs[0] && o.Spare && !slices.Contains(d.Contact, j) {
					add(diagnosis.ClosedLug, at(c.Lugs[1]), at(o.Lugs[1]), 0)
				}
			}
		}
		add(diagnosis.Bounces, wiring.Terminal{}, wiring.Terminal{}, 40)
	case wiring.DevEncoder:
		a, b := k.Contacts[d.Contact[0]], k.Contacts[d.Contact[1]]
		add(diagnosis.PhasesSwap, at(a.Lugs[1]), at(b.Lugs[1]), 0)
		add(diagnosis.EncoderOpen, at(a.Lugs[0]), wiring.Terminal{}, 0)
		per := 4.0
		if p := d.Control.Part; p.Pulses > 0 && p.Detents > 0 {
			per = 4 * float64(p.Pulses) / float64(p.Detents)
		}
		for _, v := range []float64{1, 2, 4} {
			if v != per {
				add(diagnosis.Detents, wiring.Terminal{}, wiring.Terminal{}, v)
			}
		}
	case wiring.DevTrack:
		t := k.Tracks[d.Index]
		add(diagnosis.EndsSwapped, at(t.Ends[0]), at(t.Ends[1]), 0)
		add(diagnosis.WiperOpen, at(t.Wiper), wiring.Terminal{}, 0)
		add(diagnosis.EndOpen, at(t.Ends[0]), wiring.Terminal{}, 0)
		add(diagnosis.EndOpen, at(t.Ends[1]), wiring.Terminal{}, 0)
		add(diagnosis.Noisy, wiring.Terminal{}, wiring.Terminal{}, 0.12)
	case wiring.DevLamp:
		add(diagnosis.LampTurned, wiring.Terminal{}, wiring.Terminal{}, 0)
		add(diagnosis.LampDead, wiring.Terminal{}, wiring.Terminal{}, 0)
	}
	return f
}
