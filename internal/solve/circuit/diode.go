package circuit

import (
	"fmt"
	"math"
)

// Diode is a junction with a resistance in series: i = Sat (exp(v / (Ideal Vt)) - 1) + Gmin v across the junction.
// There is no breakdown: a reverse voltage beyond what the part bears goes unnoticed.
type Diode struct {
	Sat   float64 // saturation current, A; 1e-60 to 1e-2
	Ideal float64 // ideality factor; 0 = 1
	Rs    float64 // series resistance, ohm; 0 = none
}

func (d Diode) vte() float64 {
	if d.Ideal == 0 {
		return Vt
	}
	return d.Ideal * Vt
}

func (d Diode) check(name string) error {
	switch {
	case !(d.Sat >= minSat && d.Sat <= maxSat):
		return &ValueError{name, d.Sat, "A of saturation current", minSat, maxSat}
	case !(d.Ideal == 0 || d.Ideal >= 0.1 && d.Ideal <= maxIdeal):
		return &ValueError{name, d.Ideal, "as ideality factor", 0.1, maxIdeal}
	case !(d.Rs >= 0 && d.Rs <= maxOhm):
		return &ValueError{name, d.Rs, "ohm in series", 0, maxOhm}
	}
	return nil
}

// at gives current and slope of the junction at v volt.
func (d Diode) at(v, gmin float64) (i, g float64) {
	const steep = 300 // beyond it the curve goes on straight: no overflow on the way to the solution
	vte := d.vte()
	x := v / vte
	if x <= steep {
		e := math.Exp(x)
		i, g = d.Sat*math.Expm1(x), d.Sat*e/vte
	} else {
		e := math.Exp(steep)
		g = d.Sat * e / vte
		i = float64(d.Sat*e) + float64(g*(v-steep*vte))
	}
	return i + float64(gmin*v), g + gmin
}

// Drop is the voltage across the diode, series resistance included, when amp flow forwards, V. The leakage [Gmin] is left out.
func (d Diode) Drop(amp float64) float64 {
	return float64(d.vte()*math.Log1p(amp/d.Sat)) + float64(amp*d.Rs)
}

// critical is the junction voltage at which the curve bends most; above it, steps are limited.
func (d Diode) critical() float64 {
	vte := d.vte()
	return vte * math.Log(vte/(math.Sqrt2*d.Sat))
}

// limit keeps a step of the junction voltage from running up the exponential. It tells whether it had to.
func (d Diode) limit(next, last, crit float64) (float64, bool) {
	vte := d.vte()
	if next <= crit || math.Abs(next-last) <= 2*vte {
		return next, false
	}
	if last <= 0 {
		return vte * math.Log(max(next/vte, math.E)), true
	}
	arg := 1 + (next-last)/vte
	if arg <= 0 {
		return crit, true
	}
	return last + float64(vte*math.Log(arg)), true
}

// Fit gives the diode that drops volt at amp, with a given ideality factor and series resistance: a lamp of which the data sheet
// tells one point of its curve. Ideality of coloured lamps is about 2, their series resistance a few ohm (common practice).
// The error says which value cannot be.
func Fit(volt, amp, ideal, rs float64) (Diode, error) {
	d := Diode{Sat: 1e-12, Ideal: ideal, Rs: rs}
	if err := d.check("the diode"); err != nil {
		return Diode{}, err
	}
	if !(amp >= 1e-9 && amp <= maxAmp) {
		return Diode{}, &ValueError{"the diode", amp, "A forwards", 1e-9, maxAmp}
	}
	junction := volt - float64(amp*rs)
	if !(junction > 0) || !(volt <= maxVolt) {
		return Diode{}, fmt.Errorf("a drop of %g V at %g A leaves nothing for the junction: %g ohm in series take %g V", volt, amp, rs, amp*rs)
	}
	d.Sat = amp / math.Expm1(junction/d.vte())
	if err := d.check("the diode"); err != nil {
		return Diode{}, fmt.Errorf("no diode of ideality %g drops %g V at %g A: %w", ideal, volt, amp, err)
	}
	return d, nil
}
