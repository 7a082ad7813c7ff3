package wiring

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/length"
)

// leastHeadroom is what must be left for a resistor that steadies the current, V. Common practice.
const leastHeadroom = 0.3

// resistors puts a resistor before every lamp that has none of its own.
func (w *worker) resistors() {
	for _, l := range w.lit {
		d := &w.r.Devices[l.dev]
		lamp := d.Control.Part.Lamp
		from := l.plus
		if lamp.Rated <= 0 && l.volts > 0 {
			want := lamp.Current
			if want <= 0 || want > usualLamp {
				want = usualLamp
			}
			if l.pin {
				if b := w.moduleBoard(); b != nil && b.PinUsual > 0 {
					want = min(want, b.PinUsual)
				}
			}
			if c := w.p.Wiring.Lamps.Current; c > 0 {
				want = c
			}
			head := l.volts - lamp.Drop
			name := w.fitting("R", "resistor", Fitting{
				Ohms: w.ohms(max(head, leastHeadroom) / want * 1000), Tol: 5, At: l.plus, For: l.dev, Way: "either way round",
				Why: plain(l.volts) + " V, " + plain(lamp.Drop) + " V drop, " + plain(want) + " mA",
			})
			from = Terminal{name, "1"}
			w.inner = append(w.inner, Net{Name: "resistor of " + d.Label, Kind: NetInner, Signal: -1, Terms: []Terminal{{name, "2"}, l.plus}})
		}
		switch {
		case l.signal >= 0:
			w.leads[l.signal] = append(w.leads[l.signal], from)
		default:
			w.feeds = append(w.feeds, feed{l.rail, from})
			if l.with >= 0 {
				w.leads[l.with] = append(w.leads[l.with], l.minus)
			}
		}
	}
}

// usualLamp is the current that suffices for a lamp of a panel, mA.
const usualLamp = 5

// fitting adds a small part and gives its name.
func (w *worker) fitting(letter, kind string, f Fitting) string {
	w.counts[letter]++
	f.Name, f.Kind = letter+itoa(w.counts[letter]), kind
	if f.Value == "" && f.Ohms > 0 {
		f.Value = sayOhms(f.Ohms)
	}
	w.r.Fittings = append(w.r.Fittings, f)
	return f.Name
}

// sayOhms writes a resistance: 330 Ω, 4.7 kΩ.
func sayOhms(v float64) string {
	switch {
	case v >= 1e6:
		return length.Plain(v/1e6) + " MΩ"
	case v >= 1e3:
		return length.Plain(v/1e3) + " kΩ"
	}
	return length.Plain(v) + " Ω"
}

// e12 is the series of twelve values a decade of IEC 60063.
var e12 = [...]float64{10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82}

// ohms gives the least resistance that is on hand and not below v.
func (w *worker) ohms(v float64) float64 {
	var own []float64
	for _, s := range w.p.Wiring.Resistors {
		if o, ok := readOhms(s); ok {
			own = append(own, o)
		}
	}
	slices.Sort(own)
	for _, o := range own {
		if o >= v*(1-1e-9) {
			return o
		}
	}
	if len(own) > 0 {
		return own[len(own)-1]
	}
	if !(v > 1) {
		return 1
	}
	decade := math.Pow(10, math.Floor(math.Log10(v))-1)
	for range 2 {
		for _, e := range e12 {
			if o := math.Round(e*decade*1000) / 1000; o >= v*(1-1e-9) {
				return o
			}
		}
		decade *= 10
	}
	return v
}

// readOhms reads a resistance as people write it: 220, 1k, 4k7, 1M, 330R.
func readOhms(s string) (float64, bool) {
	s = strings.TrimSuffix(strings.TrimSpace(s), "Ω")
	s = strings.TrimSpace(s)
	for _, u := range []struct {
		letters string
		factor  float64
	}{{"kK", 1e3}, {"M", 1e6}, {"RrE", 1}} {
		if i := strings.IndexAny(s, u.letters); i >= 0 {
			n := strings.TrimSpace(s[:i])
			if frac := strings.TrimSpace(s[i+1:]); frac != "" {
				n += "." + frac
			}
			v, err := strconv.ParseFloat(n, 64)
			return v * u.factor, err == nil && v > 0
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && v > 0
}
