package wiring

import (
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/electric"
	"knobwright/internal/finding"
)

// usualLamp is the current that suffices for a lamp of a panel, mA.
const usualLamp = 5

// usualTol is the tolerance of the resistors that are planned with, per cent.
const usualTol = 5

// resistors puts a resistor before every lamp that has none of its own.
func (w *worker) resistors() {
	for _, l := range w.lit {
		d := &w.r.Devices[l.dev]
		lamp := d.Control.Part.Lamp
		from := l.plus
		if lamp.Rated <= 0 && l.volts > 0 {
			from = w.lampResistor(&l, d)
		}
		switch {
		case l.signal >= 0:
			w.leads[l.signal] = append(w.leads[l.signal], from)
		default:
			w.feeds = append(w.feeds, feed{l.rail, from})
			if l.with >= 0 && w.cross[l.with] != nil {
				w.join(netGround, l.minus)
				w.found(ruleLampShares, finding.Finding{
					Head: "The contact of " + d.Control.Label + " cannot light its lamp.", Body: "The contact shares lines with others. The lamp is always lit.",
					Ends: []finding.End{d.Control.Origin.End()}, Fixes: w.controlFix(d.Control, "via", "direct", "Give the contact a pin of its own"),
				})
				continue
			}
			if l.with >= 0 {
				w.leads[l.with] = append(w.leads[l.with], l.minus)
			}
		}
	}
}

// lampResistor chooses the resistor of a lamp and gives its free end. Without headroom it is the smallest that may be, so that at least
// nothing breaks.
func (w *worker) lampResistor(l *lit, d *Device) Terminal {
	lamp := d.Control.Part.Lamp
	want := lamp.Current
	if want <= 0 || want > usualLamp {
		want = usualLamp
	}
	inner := 0.0
	if b := w.drives(l.signal); b != nil {
		if b.PinUsual > 0 {
			want = min(want, b.PinUsual)
		}
		inner = b.OutHigh
	}
	if c := w.p.Wiring.Lamps.Current; c > 0 {
		want = wished(c, lamp)
	}
	q := electric.LampQuestion{Supply: electric.Exactly(l.volts), Drop: electric.Exactly(lamp.Drop), Want: want / 1000, Inner: electric.Exactly(inner), Series: w.series(), Tol: usualTol}
	ohm, power := 0.0, 0.0
	if a, err := electric.LampResistor(q); err == nil {
		ohm, power = a.Ohm, a.Rating
	}
	if !(ohm > 0) {
		ohm = w.series().Up(leastLamp)
	}
	ohm = w.onHand(ohm)
	if !(power > 0) || power != power {
		power = 0.25
	}
	f := Fitting{Ohms: ohm, Power: power, At: l.plus, For: l.dev, Way: "either way round", Why: plain(l.volts) + " V, " + plain(lamp.Drop) + " V drop, " + plain(want) + " mA"}
	name := w.resistorAt(f)
	w.inner = append(w.inner, Net{Name: "resistor of " + d.Label, Kind: NetInner, Signal: -1, Terms: []Terminal{{name, "2"}, l.plus}})
	return Terminal{name, "1"}
}

// drives gives the board whose pin feeds a lamp: where it sits, or the module while it waits; nil without.
func (w *worker) drives(signal int) *catalog.Board {
	if signal < 0 {
		return nil
	}
	for i := range w.r.Boards {
		if w.r.Boards[i].Name == w.r.Plan.Seats[signal].Pin.Of {
			return w.r.Boards[i].Part.Board
		}
	}
	return w.moduleBoard()
}

// leastLamp is the smallest resistor that is put before a lamp, ohm.
const leastLamp = 10

// resistorAt adds a resistor and gives its name.
func (w *worker) resistorAt(f Fitting) string {
	f.Tol, f.Part = usualTol, w.resistor.id
	f.Value = electric.FormatOhms(f.Ohms)
	if bands, err := electric.Bands(f.Ohms, f.Tol, 4); err == nil {
		for _, b := range bands {
			f.Bands = append(f.Bands, string(b))
		}
	}
	return w.fitting("R", "resistor", f)
}

// fitting adds a small part and gives its name.
func (w *worker) fitting(letter, kind string, f Fitting) string {
	for {
		w.counts[letter]++
		if f.Name = letter + itoa(w.counts[letter]); w.named[f.Name] == nil { // a control may be called R1
			break
		}
	}
	f.Kind = kind
	w.r.Fittings = append(w.r.Fittings, f)
	return f.Name
}

// series gives the series of preferred values that the person buys; E12 by default.
func (w *worker) series() electric.Series {
	for _, s := range w.p.Wiring.Resistors {
		if e := seriesOf(s); e.Valid() {
			return e
		}
	}
	return electric.E12
}

// seriesOf reads the name of a series, E12; it is not valid when the word names none.
func seriesOf(s string) electric.Series {
	n, ok := strings.CutPrefix(strings.ToUpper(strings.TrimSpace(s)), "E")
	if k, err := strconv.Atoi(n); ok && err == nil {
		return electric.Series(k)
	}
	return 0
}

// onHand gives the smallest resistor on hand that is not below v, or the largest; v itself when the person lists none.
func (w *worker) onHand(v float64) float64 {
	var own []float64
	for _, s := range w.p.Wiring.Resistors {
		if asSeries(s) { // a series, not 0.24 ohm
			continue
		}
		if o, err := electric.ParseOhms(s); err == nil && o > 0 {
			own = append(own, o)
		}
	}
	if len(own) == 0 {
		return v
	}
	slices.Sort(own)
	for _, o := range own {
		if o >= v*(1-1e-9) {
			return o
		}
	}
	return own[len(own)-1]
}

// ohms gives a usual resistor of about v.
func (w *worker) ohms(v float64) float64 { return w.onHand(w.series().Up(v)) }
