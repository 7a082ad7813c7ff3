// Package electric holds facts and formulas of small direct-current wiring: preferred values and their colour bands, wire gauges,
// resistors for lamps, pull-ups and logic levels, the I2C bus, the USB port as a supply, voltage ladders and pots on analog inputs,
// contacts, encoders.
//
// It knows nothing of panels. Units are SI without prefixes throughout: V, A, ohm, W, F, s, Hz, m; only wire is in mm and mm2, and
// tolerances are in per cent. Every table and limit names its [trust.Source]. Functions are pure; bad input gives an error or a
// documented NaN, never a panic.
package electric

import (
	"fmt"
	"math"

	"knobwright/internal/trust"
)

func seen(text string) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Seen, Confidence: trust.High}
}

func memory(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Memory, Confidence: c}
}

func practice(text string) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: trust.Medium}
}

// Range is a value with its bounds, in whatever unit the place says. A Range with only Nom set has no spread: see [Exactly].
type Range struct{ Min, Nom, Max float64 }

// Exactly is a range without spread.
func Exactly(v float64) Range { return Range{v, v, v} }

// PlusMinus is a range of so many per cent around a nominal value.
func PlusMinus(nom, percent float64) Range {
	d := math.Abs(nom) * percent / 100
	return Range{nom - d, nom, nom + d}
}

// check refuses ranges out of order, no numbers, and what lies outside low to high.
func (r Range) check(what, unit string, low, high float64) error {
	if !(r.Min <= r.Nom && r.Nom <= r.Max) {
		return fmt.Errorf("the %s runs from %g to %g %s with %g as its nominal value", what, r.Min, r.Max, unit, r.Nom)
	}
	if err := within(what, unit, r.Min, low, high); err != nil {
		return err
	}
	return within(what, unit, r.Max, low, high)
}

func within(what, unit string, v, low, high float64) error {
	if v >= low && v <= high {
		return nil
	}
	return &ValueError{What: what, Unit: unit, Value: v, Min: low, Max: high}
}

// ValueError reports a number that cannot be meant.
type ValueError struct {
	What, Unit      string
	Value, Min, Max float64
}

func (e *ValueError) Error() string {
	unit := e.Unit
	if unit != "" {
		unit = " " + unit
	}
	return fmt.Sprintf("the %s is %g%s; from %g to %g is wanted", e.What, e.Value, unit, e.Min, e.Max)
}

const (
	most     = 1e12 // no value of any kind is larger
	mostVolt = 60   // extra-low voltage, direct current
)
