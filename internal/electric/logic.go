package electric

import (
	"fmt"

	"knobwright/internal/trust"
)

// Driver is an output: the highest voltage it may have when low and the lowest when high, V, and the highest it can ever have.
type Driver struct {
	LowMax, HighMin float64
	Top             float64 // its supply
	Source          trust.Source
}

// Receiver is an input: it reads low up to LowMax and high from HighMin on, V; Bears is the highest voltage that may come to it.
type Receiver struct {
	LowMax, HighMin float64
	Bears           float64
	Source          trust.Source
}

// LevelVerdict says whether a driver and a receiver understand each other.
type LevelVerdict string

// What can be said about levels.
const (
	LevelsAgree   LevelVerdict = "agree"
	LowUnsure     LevelVerdict = "low is not sure"
	HighUnsure    LevelVerdict = "high is not sure"
	TooHighForPin LevelVerdict = "too high for the pin" // harm: comes before all else
)

// LevelAnswer is the verdict with its margins, V; negative margins are the amount by which a level misses.
type LevelAnswer struct {
	Verdict             LevelVerdict
	Low, High, Overload float64 // receiver's low less driver's; driver's high less receiver's; what the pin bears less the driver's top
}

// Levels compares a driver with a receiver.
func Levels(d Driver, r Receiver) (LevelAnswer, error) {
	for _, v := range []float64{d.LowMax, d.HighMin, d.Top, r.LowMax, r.HighMin, r.Bears} {
		if err := within("logic level", "V", v, -mostVolt, mostVolt); err != nil {
			return LevelAnswer{}, err
		}
	}
	if r.LowMax > r.HighMin {
		return LevelAnswer{}, fmt.Errorf("the input reads low up to %g V and high from %g V on: the wrong way round", r.LowMax, r.HighMin)
	}
	a := LevelAnswer{Verdict: LevelsAgree, Low: r.LowMax - d.LowMax, High: d.HighMin - r.HighMin, Overload: r.Bears - d.Top}
	switch {
	case a.Overload < 0:
		a.Verdict = TooHighForPin
	case a.Low < 0:
		a.Verdict = LowUnsure
	case a.High < 0:
		a.Verdict = HighUnsure
	}
	return a, nil
}

// Family is a kind of chip with its levels.
type Family struct {
	Name     string
	Driver   Driver   // zero where the table has none
	Receiver Receiver // zero where the table has none
}

// Families lists levels of common chips.
func Families() []Family {
	rp := seen("RP2040 data sheet, IO at 3.3 V")
	avr := memory("ATmega32U4 data sheet, 5 V", trust.Medium)
	jedec, hc, hct := memory("JESD8C", trust.High), memory("74HC family at 5 V", trust.High), memory("74HCT family at 5 V", trust.High)
	return []Family{
		{"RP2040 at 3.3 V", Driver{0.5, 2.62, 3.3, rp}, Receiver{0.8, 2.0, 3.3, rp}},
		{"ATmega32U4 at 5 V", Driver{0.7, 4.2, 5, avr}, Receiver{0.9, 1.9, 5.5, avr}},
		{"3.3 V logic", Driver{0.4, 2.4, 3.3, jedec}, Receiver{0.8, 2.0, 3.6, jedec}},
		{"HC at 5 V", Driver{}, Receiver{1.5, 3.5, 5.5, hc}},
		{"HCT at 5 V", Driver{}, Receiver{0.8, 2.0, 5.5, hct}},
	}
}

// PullUp is an input held high by a resistor and pulled low through a contact.
type PullUp struct {
	Supply float64 // V
	Ohm    Range   // of the pull-up
	Series float64 // of contact, wires and the low driver together, ohm
	Drop   float64 // of a diode in the way, V; 0 = none
	Low    float64 // voltage at the far end: of ground 0
	Leak   float64 // of the pin, A, whichever way hurts
}

// PullUpAnswer is what the input sees.
type PullUpAnswer struct {
	Low        float64 // highest voltage with the contact closed, V
	High       float64 // lowest voltage with the contact open, V
	Amp        Range   // through the contact
	Verdict    LevelVerdict
	LowMargin  float64 // V
	HighMargin float64 // V
}

// At judges the input against a receiver's thresholds. The diode drops a fixed voltage here; package circuit has the curve.
func (p PullUp) At(r Receiver) (PullUpAnswer, error) {
	for _, err := range []error{
		within("supply", "V", p.Supply, 0, mostVolt), p.Ohm.check("pull-up", "ohm", 1, most), within("resistance of the contact's way", "ohm", p.Series, 0, most),
		within("drop of the diode", "V", p.Drop, 0, mostVolt), within("leakage", "A", p.Leak, 0, 1), within("voltage of the far end", "V", p.Low, -mostVolt, mostVolt),
	} {
		if err != nil {
			return PullUpAnswer{}, err
		}
	}
	amp := func(ohm float64) float64 { return max(0, p.Supply-p.Low-p.Drop) / (ohm + p.Series) }
	a := PullUpAnswer{Amp: Range{amp(p.Ohm.Max), amp(p.Ohm.Nom), amp(p.Ohm.Min)}, High: p.Supply - p.Leak*p.Ohm.Max}
	a.Low = min(p.Supply, p.Low+p.Drop+(a.Amp.Max+p.Leak)*p.Series)
	levels, err := Levels(Driver{LowMax: a.Low, HighMin: a.High, Top: p.Supply}, r)
	a.Verdict, a.LowMargin, a.HighMargin = levels.Verdict, levels.Low, levels.High
	return a, err
}
