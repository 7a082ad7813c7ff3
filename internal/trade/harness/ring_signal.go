package harness

import (
	"math"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/trade/wiring"
)

// ringSignal lists what a signal's contact, track or lamp must show.
func (w *worker) ringSignal(m *meter, s wiring.Signal, seat wiring.Seat) []Ring {
	d := w.w.Devices[s.Device]
	switch {
	case seat.Way == wiring.Matrix:
		return w.ringCrossing(s, seat, d)
	case seat.Pin.Zero():
		return nil
	case s.Kind == wiring.SigWiper:
		return w.ringTrack(m, d, seat.Pin)
	case s.Kind == wiring.SigLamp && d.Kind == wiring.DevLamp:
		return w.ringLamp(d, seat.Pin)
	case s.Kind == wiring.SigContact, s.Kind == wiring.SigPhase:
		return w.ringContact(m, s, seat, d)
	}
	return nil
}

// ringContact lists a contact at rest and in the positions in which it changes.
func (w *worker) ringContact(m *meter, s wiring.Signal, seat wiring.Seat, d wiring.Device) (out []Ring) {
	p := d.Control.Part
	pin := seat.Pin
	back, ohms := w.returnOf(wiring.Terminal{Of: d.Control.Name, Lug: s.Return})
	good := [2]float64{0, halves(contactOhms + ohms + w.leadOhms(pin))}
	if a, ok := m.net[pin]; ok && seat.Way == wiring.Ladder {
		if b, ok := m.net[back]; ok && a == b { // its common goes to the pin: only ground tells the steps apart
			return w.ringStep(m, s, d, pin)
		}
	}
	for _, ci := range d.Contact {
		if ci < 0 || ci >= len(p.Circuit.Contacts) {
			continue
		}
		c := p.Circuit.Contacts[ci]
		if c.Lugs[0] != s.Lug && c.Lugs[1] != s.Lug {
			continue
		}
		if c.Phase != "" {
			out = append(out, Ring{Kind: RingContact, A: pin, B: back, Do: "Turn " + d.Control.Label + " slowly", Rings: true, Ohms: good, Why: "It rings and falls silent in turns.", Control: d.Control.Name})
			continue
		}
		rest := ""
		if len(p.Circuit.Positions) > 0 {
			rest = p.Circuit.Positions[0]
		}
		at := func(do, position, why string, rings bool) {
			r := Ring{Kind: RingContact, A: pin, B: back, Do: do, Rings: rings, Why: why, Control: d.Control.Name}
			if rings {
				r.Ohms = good
			}
			if seat.Way == wiring.Ladder { // what the resistors of the ladder put between
				a, okA := m.net[pin]
				b, okB := m.net[back]
				if !okA || !okB {
					return
				}
				v, ok := m.between(a, b, d.Control.Name, position)
				switch {
				case !ok:
				case v < 20:
					r.Rings, r.Ohms = true, good
				default:
					r.Rings, r.Ohms, r.Why = true, [2]float64{roundOhms(v * 0.95), roundOhms(v * 1.05)}, "a step of the ladder"
				}
			}
			out = append(out, r)
		}
		closed := rest != "" && contains(c.Closed, rest)
		at("", rest, restState(d.Control, rest), closed)
		for _, pos := range c.Closed {
			if pos != rest {
				at(doWords(d.Control, pos), pos, "", true)
			}
		}
		if closed { // a contact that opens
			for _, pos := range p.Circuit.Positions {
				if !contains(c.Closed, pos) {
					at(doWords(d.Control, pos), pos, "it opens", false)
					break
				}
			}
		}
	}
	return out
}

// ringStep lists one position of a switch whose lugs lie along a ladder and whose common leads to the pin: what the resistors put between the
// pin and ground.
func (w *worker) ringStep(m *meter, s wiring.Signal, d wiring.Device, pin wiring.Terminal) (out []Ring) {
	net, ground := -1, wiring.Terminal{}
	for _, f := range w.w.Fittings {
		for _, lug := range []string{"1", "2"} {
			t := wiring.Terminal{Of: f.Name, Lug: lug}
			n, ok := m.net[t]
			if !ok || net >= 0 || f.At.Of != d.Control.Name || n >= len(w.w.Nets) {
				continue
			}
			if k := w.w.Nets[n].Kind; k == wiring.NetGround || k == wiring.NetAGround {
				net = n
				ground, _ = w.returnOf(t)
			}
		}
	}
	if net < 0 {
		return nil
	}
	p := d.Control.Part.Circuit
	for _, ci := range d.Contact {
		if ci < 0 || ci >= len(p.Contacts) {
			continue
		}
		c := p.Contacts[ci]
		if c.Lugs[0] != s.Lug && c.Lugs[1] != s.Lug || len(c.Closed) == 0 {
			continue
		}
		v, ok := m.between(m.net[pin], net, d.Control.Name, c.Closed[0])
		if !ok {
			continue
		}
		out = append(out, Ring{
			Kind: RingContact, A: pin, B: ground, Do: doWords(d.Control, c.Closed[0]), Rings: true, Ohms: [2]float64{roundOhms(v * 0.95), roundOhms(v * 1.05)},
			Why: "a step of the ladder", Control: d.Control.Name,
		})
	}
	return out
}

// ringTrack lists a wiper against the low end of its track, with all that lies beside it on the same supply.
func (w *worker) ringTrack(m *meter, d wiring.Device, pin wiring.Terminal) []Ring {
	if d.Index >= len(d.Control.Part.Circuit.Tracks) {
		return nil
	}
	t := d.Control.Part.Circuit.Tracks[d.Index]
	lo, hi := wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[0]}, wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[1]}
	low, _ := w.returnOf(lo)
	high, _ := w.returnOf(hi)
	a, okA := m.net[lo]
	b, okB := m.net[hi]
	whole, beside := t.Ohms, math.Inf(1)
	if okA && okB {
		if v, ok := m.between(a, b, "", ""); ok && v > 0 {
			whole = v
			if v < t.Ohms*(1-1e-9) {
				beside = 1 / (1/v - 1/t.Ohms)
			}
		}
	}
	tol := t.Tol
	if tol == 0 {
		tol = 20
	}
	tol = min(tol, 90) / 100
	most := trackPeak(t.Ohms, beside)
	why := "It climbs without a jump."
	if !math.IsInf(beside, 1) {
		why = "It climbs without a jump; other tracks lie beside it, so it falls again towards the end."
		if most <= whole*1.02 {
			why = "It climbs without a jump, to what all tracks on this supply show together."
		}
	}
	do := "Turn " + d.Control.Label + " from end to end"
	if d.Control.Part.Class == catalog.SlidePot {
		do = "Slide " + d.Control.Label + " from end to end"
	}
	if d.Control.Part.Class == catalog.Joystick {
		do = "Move " + d.Control.Label + " from end to end"
	}
	out := []Ring{
		{Kind: RingTrack, A: low, B: high, Rings: true, Ohms: [2]float64{roundOhms(whole * (1 - tol)), roundOhms(whole * (1 + tol))}, Why: "end to end of " + besideWords(whole, t.Ohms, d.Control.Label), Control: d.Control.Name},
		{Kind: RingTrack, A: low, B: pin, Do: do, Rings: true, Ohms: [2]float64{0, roundOhms(most * (1 + tol))}, Why: why, Control: d.Control.Name},
	}
	if w.whole == nil {
		w.whole = map[[2]wiring.Terminal]bool{}
	}
	k := [2]wiring.Terminal{low, high}
	if w.whole[k] { // several on the same two chains: measured once
		return out[1:]
	}
	w.whole[k] = true
	return out
}

func besideWords(whole, own float64, name string) string {
	if whole < own*0.99 {
		return "all tracks on this supply together"
	}
	return "the track of " + name
}

// trackPeak is the most that a meter shows between the low end and the wiper of a track while it is moved from end to end, with another
// resistance across its ends: x R in parallel with (1-x) R + beside, at its best x.
func trackPeak(ohms, beside float64) float64 {
	if math.IsInf(beside, 1) {
		return ohms
	}
	x := min(1, (ohms+beside)/(2*ohms))
	return x * ohms * ((1-x)*ohms + beside) / (ohms + beside)
}

// ringLamp tries a lamp with the diode test. A meter drives about a milliampere there: the lamp glows, and shows a little less than its
// drop. Meters of 2 V do not light blue and white ones.
func (w *worker) ringLamp(d wiring.Device, pin wiring.Terminal) []Ring {
	c := d.Control.Part.Circuit
	if d.Index >= len(c.Lamps) {
		return nil
	}
	back, _ := w.returnOf(wiring.Terminal{Of: d.Control.Name, Lug: c.Lamps[d.Index].Minus})
	r := Ring{Kind: RingLamp, A: pin, B: back, Do: "Diode test, red probe on the first, black on the second", Rings: true, Why: d.Label + " glows faintly; the other way round nothing shows.", Control: d.Control.Name}
	if v := d.Control.Part.Lamp.Drop; v > 0 {
		const testing = 1.0 // mA, of the meter
		built := 0.0        // over its resistors
		if l := d.Control.Part.Lamp; l.Rated > l.Drop && l.Current > 0 {
			built = (l.Rated - l.Drop) / l.Current * testing
		}
		for _, f := range w.w.Fittings {
			if f.At.Of == d.Control.Name && f.Kind == "resistor" {
				built += f.Ohms / 1000 * testing
			}
		}
		r.Volts = [2]float64{math.Round((v*0.75+built*0.5)*10) / 10, math.Round((v*1.05+built*1.5)*10) / 10}
		if r.Volts[0] > 1.9 {
			r.Why = finding.Capital(d.Label) + " glows faintly; a meter that stops at 2 V shows nothing."
		}
	}
	return []Ring{r}
}

// ringCrossing tries a contact of the matrix: pressed, between its row and its column, with the diode test in the direction in which it
// lets through.
func (w *worker) ringCrossing(s wiring.Signal, seat wiring.Seat, d wiring.Device) (out []Ring) {
	seats := w.w.Plan.Seats
	if seat.Row < 0 || seat.Column < 0 || seat.Row >= len(seats) || seat.Column >= len(seats) {
		return nil
	}
	row, column := seats[seat.Row].Pin, seats[seat.Column].Pin
	if row.Zero() || column.Zero() {
		return nil
	}
	plan := w.w.Plan.Matrix
	from, to := column, row // stripes to the rows: current goes from column to row
	if plan != nil && !plan.ToRow {
		from, to = row, column
	}
	p := d.Control.Part.Circuit
	for _, ci := range d.Contact {
		if ci < 0 || ci >= len(p.Contacts) {
			continue
		}
		c := p.Contacts[ci]
		if c.Lugs[0] != s.Lug && c.Lugs[1] != s.Lug || len(c.Closed) == 0 {
			continue
		}
		pos := c.Closed[len(c.Closed)-1]
		r := Ring{Kind: RingMatrix, A: from, B: to, Do: doWords(d.Control, pos), Rings: true, Control: d.Control.Name}
		if plan == nil || !plan.Diodes {
			r.Ohms, r.Why = [2]float64{0, halves(contactOhms + w.leadOhms(row) + w.leadOhms(column))}, d.Control.Label+" between its row and its column"
		} else {
			r.Do += "; diode test, red probe on the first"
			r.Volts = [2]float64{0.4, 0.8}
			r.Why = "With the probes changed over nothing shows: else its diode is the wrong way round."
		}
		out = append(out, r)
	}
	return out
}
