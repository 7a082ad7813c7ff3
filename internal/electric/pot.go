package electric

import (
	"math"
)

// ADC is an analog input. Its reference is the supply that also feeds what it measures, so that changes of the supply cancel.
type ADC struct {
	Bits  int     // 1 to 32
	Volt  float64 // reference
	Leak  float64 // of the pin, A
	Ohm   float64 // inside, on the way to its capacitor
	Farad float64 // its capacitor; 0 = not known: settling is not judged
	Time  float64 // that it has to charge, s
	Off   float64 // error of its own in any reading, LSB
}

// Steps is the number of its readings.
func (a ADC) Steps() float64 { return math.Pow(2, float64(a.Bits)) }

// Reading is the whole number that it gives for so many V, 0 to 2^bits - 1.
func (a ADC) Reading(volt float64) int {
	return int(min(a.Steps()-1, max(0, math.Floor(volt/a.Volt*a.Steps()))))
}

func (a ADC) check() error {
	for _, err := range []error{
		within("number of bits", "", float64(a.Bits), 1, 32), within("reference", "V", a.Volt, 0.1, mostVolt), within("leakage of the pin", "A", a.Leak, 0, 1),
		within("resistance inside", "ohm", a.Ohm, 0, 1e9), within("capacitor inside", "F", a.Farad, 0, 1), within("charging time", "s", a.Time, 0, 1e3),
		within("error of the input", "LSB", a.Off, 0, 1e9),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

// SourceError is what a source of so many ohm costs, LSB: leakage times resistance, and what is missing when charging is cut short
// after a full swing, 2^bits exp(-t / ((R + Ri) C)).
func (a ADC) SourceError(ohm float64) (float64, error) {
	if err := a.check(); err != nil {
		return math.NaN(), err
	}
	if err := within("resistance of the source", "ohm", ohm, 0, most); err != nil {
		return math.NaN(), err
	}
	e := a.Leak * ohm / a.Volt * a.Steps()
	if a.Farad > 0 && ohm+a.Ohm > 0 {
		e += a.Steps() * math.Exp(-a.Time/((ohm+a.Ohm)*a.Farad))
	}
	return e, nil
}

// MostSource is the largest source resistance that settles within half an LSB, ohm: t / (C (bits + 1) ln 2) - Ri; +Inf when the
// capacitor is not known, 0 or less when not even a short circuit settles.
func (a ADC) MostSource() float64 {
	if a.Farad <= 0 {
		return math.Inf(1)
	}
	return a.Time/(a.Farad*float64(a.Bits+1)*math.Ln2) - a.Ohm
}

// Pot is a potentiometer as a divider, its ends on ground and on the reference.
type Pot struct {
	Ohm  float64 // of the track
	Tol  float64 // per cent; 0 = 20
	End  float64 // resistance left at each end, ohm
	Load float64 // from the wiper to ground, ohm; 0 = none
}

// EndSource stands for the usual [Pot.End].
var EndSource = practice("1 % of the track or a few ohm left at each end")

// PotAnswer is what a pot does on an input.
type PotAnswer struct {
	Low, High int     // readings at the ends
	Bend      float64 // largest deviation from the straight line that a load causes, share of the whole
	BendAt    float64 // where on the track, 0 to 1
	Source    float64 // largest resistance that the input sees: a quarter of the track at its high corner, ohm
	Error     float64 // that this costs, LSB
	Amp       float64 // through the track, A, at its low corner
	Watt      float64 // in the track
	EndToEnd  float64 // share of the readings that are used
}

// Turn is the wiper's voltage as a share of the reference at a share of the turn, 0 to 1.
func (p Pot) Turn(at float64) float64 {
	if p.Load <= 0 {
		return (p.End + at*p.Ohm) / (p.Ohm + 2*p.End)
	}
	low := p.End + at*p.Ohm
	high := p.Ohm + 2*p.End - low
	down := low * p.Load / (low + p.Load)
	return down / (down + high)
}

// On judges the pot on an input.
func (p Pot) On(a ADC) (PotAnswer, error) {
	if p.Tol == 0 {
		p.Tol = 20
	}
	for _, err := range []error{
		a.check(), within("track", "ohm", p.Ohm, 1, 1e9), within("tolerance of the track", "%", p.Tol, 0, 50),
		within("resistance of an end", "ohm", p.End, 0, p.Ohm), within("load", "ohm", p.Load, 0, most),
	} {
		if err != nil {
			return PotAnswer{}, err
		}
	}
	least, high := p.Ohm*(1-p.Tol/100), p.Ohm*(1+p.Tol/100)
	out := PotAnswer{Low: a.Reading(p.Turn(0) * a.Volt), High: a.Reading(p.Turn(1) * a.Volt), Source: high/4 + p.End/2, Amp: a.Volt / (least + 2*p.End)}
	out.EndToEnd = float64(out.High-out.Low) / (a.Steps() - 1)
	out.Watt = out.Amp * out.Amp * least
	free := p
	free.Load = 0
	out.Bend, out.BendAt = 0, 0
	if p.Load > 0 {
		const fine = 2000
		for i := 0; i <= fine; i++ {
			at := float64(i) / fine
			if d := free.Turn(at) - p.Turn(at); d > out.Bend {
				out.Bend, out.BendAt = d, at
			}
		}
	}
	var err error
	out.Error, err = a.SourceError(out.Source)
	return out, err
}
