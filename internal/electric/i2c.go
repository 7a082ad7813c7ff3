package electric

import (
	"fmt"
	"math"

	"knobwright/internal/trust"
)

// I2CMode is a speed of the I2C bus with what it asks of the wires.
type I2CMode struct {
	Name  string
	Hertz float64 // fastest clock
	Rise  float64 // slowest rise from 30 to 70 %, s
	Farad float64 // largest capacitance of a wire of the bus
	Sink  float64 // current that every chip can sink, A
}

// The modes of the I2C bus.
var (
	I2CStandard = I2CMode{"standard", 100e3, 1000e-9, 400e-12, 3e-3}
	I2CFast     = I2CMode{"fast", 400e3, 300e-9, 400e-12, 3e-3}
	I2CFastPlus = I2CMode{"fast plus", 1e6, 120e-9, 550e-12, 20e-3}
)

// Sources of the bus formulas.
var (
	I2CSource = seen("UM10204, tables of the modes and 7.1: least (VDD - VOL) / IOL, most rise / (0.8473 C)")
	// WireFaradSource stands for [WireFarad].
	WireFaradSource = trust.Source{Text: "ribbon and hook-up wire 50 to 100 pF/m between neighbours", Provenance: trust.Practice, Confidence: trust.Low}
)

// WireFarad is the capacitance of a metre of wire beside its neighbours in a bundle or ribbon, F/m, on the safe side.
const WireFarad = 100e-12

// riseFactor is ln(0.7/0.3): the time from 30 to 70 % in time constants.
const riseFactor = 0.8473

// PullUpMin is the smallest pull-up that every chip can pull low, ohm: a low is 0.4 V, or a fifth of supplies up to 2 V.
func (m I2CMode) PullUpMin(supply float64) float64 {
	low := 0.4
	if supply <= 2 {
		low = 0.2 * supply
	}
	return (supply - low) / m.Sink
}

// PullUpMax is the largest pull-up that lifts so many F in time, ohm.
func (m I2CMode) PullUpMax(farad float64) float64 { return m.Rise / (riseFactor * farad) }

// I2CQuestion is a bus.
type I2CQuestion struct {
	Mode     I2CMode
	Supply   float64   // V
	Metres   float64   // wire of the data line, all branches together
	PerMetre float64   // its capacitance, F/m; 0 = [WireFarad]
	Chips    []float64 // capacitance of each chip's pin, F; UM10204 allows 10 pF
	PullUps  []float64 // resistors to the supply that boards bring along, ohm
	Series   Series    // of the resistor to add; 0 = E12
	Tol      float64   // of it, per cent; 0 = 5
}

// BusVerdict says whether a bus works.
type BusVerdict string

// What can be said about a bus.
const (
	BusWorks     BusVerdict = "works"                // with the resistors it has
	BusWants     BusVerdict = "wants a resistor"     // and works with the one proposed
	BusTooLoaded BusVerdict = "too much capacitance" // shorter wires or fewer chips
	BusTooStrong BusVerdict = "pull-ups too strong"  // the boards bring too many along: take some off
	BusNarrow    BusVerdict = "no resistor fits"     // slower, or shorter
)

const mostOhm = 1e9

// I2CAnswer is what a bus needs.
type I2CAnswer struct {
	Verdict  BusVerdict
	Farad    float64 // capacitance of the data line
	Min, Max float64 // bounds of the pull-up as a whole, ohm
	Present  float64 // what the boards bring along, in parallel, ohm; +Inf = nothing
	Add      float64 // resistor to add from each line to the supply, ohm; 0 = none
	Total    float64 // pull-up with it, ohm
	Longest  float64 // longest wire at which the mode still works with the best resistor, m; 0 if not even without wire
}

// I2C judges a bus and proposes a resistor for it, the one nearest to the middle of its bounds.
func I2C(q I2CQuestion) (I2CAnswer, error) {
	if q.PerMetre == 0 {
		q.PerMetre = WireFarad
	}
	if q.Series == 0 {
		q.Series = E12
	}
	if q.Tol == 0 {
		q.Tol = 5
	}
	for _, err := range []error{
		within("rise time", "s", q.Mode.Rise, 1e-12, 1), within("current that chips sink", "A", q.Mode.Sink, 1e-6, 1),
		within("capacitance that the mode allows", "F", q.Mode.Farad, 1e-12, 1),
		within("supply of the bus", "V", q.Supply, 0.5, mostVolt), within("length of the bus", "m", q.Metres, 0, 1e4),
		within("capacitance of wire", "F/m", q.PerMetre, 1e-15, 1e-3), within("tolerance", "%", q.Tol, 0, 50),
	} {
		if err != nil {
			return I2CAnswer{}, err
		}
	}
	if !q.Series.Valid() {
		return I2CAnswer{}, fmt.Errorf("there is no series E%d", q.Series)
	}
	a := I2CAnswer{Min: q.Mode.PullUpMin(q.Supply), Present: math.Inf(1)}
	chips, siemens := 0.0, 0.0
	for _, c := range q.Chips {
		if err := within("capacitance of a chip", "F", c, 0, 1e-3); err != nil {
			return I2CAnswer{}, err
		}
		chips += c
	}
	for _, r := range q.PullUps {
		if err := within("pull-up", "ohm", r, 1, mostOhm); err != nil {
			return I2CAnswer{}, err
		}
		siemens += 1 / r
	}
	if siemens > 0 {
		a.Present = 1 / siemens
	}
	a.Farad = chips + q.Metres*q.PerMetre
	if a.Farad == 0 {
		a.Max = mostOhm
	} else {
		a.Max = min(mostOhm, q.Mode.PullUpMax(a.Farad))
	}
	strongest := min(a.Present, a.Min/(1-q.Tol/100)*(1+q.Tol/100)) // high corner of the smallest nominal value that is allowed
	room := min(q.Mode.Farad, q.Mode.Rise/(riseFactor*strongest))
	a.Longest = max(0, (room-chips)/q.PerMetre)
	low, high := a.Min, a.Max // for the nominal values of what is added
	switch {
	case a.Farad > q.Mode.Farad*(1+tiny):
		a.Verdict = BusTooLoaded
	case a.Min > a.Max:
		a.Verdict, a.Total = BusNarrow, a.Present
	case a.Present < a.Min*(1-tiny):
		a.Verdict, a.Total = BusTooStrong, a.Present
	case a.Present <= a.Max:
		a.Verdict, a.Total = BusWorks, a.Present
	default:
		// In parallel with what is there, toleranced at both ends.
		low = parallelLess(low, a.Present) / (1 - q.Tol/100)
		high = parallelLess(high, a.Present) / (1 + q.Tol/100)
		a.Add = middle(q.Series, low, high)
		a.Verdict = BusWants
		if a.Add == 0 {
			a.Verdict = BusNarrow
			break
		}
		a.Total = 1 / (siemens + 1/a.Add)
	}
	return a, nil
}

// parallelLess is what must stand beside present to make total.
func parallelLess(total, present float64) float64 {
	if math.IsInf(present, 1) {
		return total
	}
	return 1 / (1/total - 1/present)
}

// middle is the preferred value nearest to the geometric middle of low and high; 0 if none lies between.
func middle(s Series, low, high float64) float64 {
	best, least := 0.0, math.Inf(1)
	for _, v := range s.Values(low, high) {
		if d := math.Abs(math.Log(v / math.Sqrt(low*high))); d < least {
			best, least = v, d
		}
	}
	return best
}
