package electric

import (
	"math"

	"knobwright/internal/trust"
)

// AWG is a wire gauge; 0 is 1/0, -1 is 2/0, down to -3 for 4/0. Larger numbers are thinner wires, to 40.
type AWG int

// Bounds of [AWG].
const (
	Thickest AWG = -3
	Thinnest AWG = 40
)

// Sources of the wire formulas.
var (
	GaugeSource  = seen("ASTM B258: d = 0.005 in x 92^((36-n)/39)")
	CopperSource = memory("IEC 60028, annealed copper at 20 °C: 1/58 ohm mm2/m, 0.00393 per K", trust.High)
	// RatingsSource: 12 to 24 and 30 were read, 26 and 28 are from memory.
	RatingsSource = seen("Handbook of Electronic Tables and Formulas, chassis wiring")
)

// Copper at 20 °C.
const (
	copperOhm  = 1000.0 / 58 // ohm mm2/km
	copperRise = 0.00393     // per K
)

func (g AWG) valid() bool { return g >= Thickest && g <= Thinnest }

// Diameter of the bare round conductor, mm; NaN outside the gauges. Stranded wire of a gauge has about the same area and is thicker.
func (g AWG) Diameter() float64 {
	if !g.valid() {
		return math.NaN()
	}
	return 0.127 * math.Pow(92, float64(36-g)/39)
}

// Area of the conductor, mm2; NaN outside the gauges.
func (g AWG) Area() float64 { d := g.Diameter(); return math.Pi / 4 * d * d }

// OhmPerKm is the resistance of a kilometre of copper wire of a gauge at so many °C (-100 to 200); NaN outside. Stranded wire has up
// to 3 % more, for its strands run in screws.
func (g AWG) OhmPerKm(celsius float64) float64 { return OhmPerKm(g.Area(), celsius) }

// OhmPerKm is the resistance of a kilometre of copper of so many mm2 at so many °C (-100 to 200); NaN outside.
func OhmPerKm(area, celsius float64) float64 {
	if !(area > 0) || !(celsius >= -100 && celsius <= 200) {
		return math.NaN()
	}
	return copperOhm / area * (1 + copperRise*(celsius-20))
}

// NearestAWG is the gauge whose area has the smallest ratio to so many mm2; false if area is no positive number.
func NearestAWG(area float64) (AWG, bool) {
	if !(area > 0) || math.IsInf(area, 0) {
		return 0, false
	}
	best, least := Thickest, math.Inf(1)
	for g := Thickest; g <= Thinnest; g++ {
		if d := math.Abs(math.Log(g.Area() / area)); d < least {
			best, least = g, d
		}
	}
	return best, true
}

var chassis = []struct {
	gauge AWG
	amp   float64
}{{12, 41}, {14, 32}, {16, 22}, {18, 16}, {20, 11}, {22, 7}, {24, 3.5}, {26, 2.2}, {28, 1.4}, {30, 0.86}}

// ChassisAmp is the current that a single wire of a gauge carries in a chassis, A. Gauges between two of the table take the thinner
// one's; false for thinner than 30. Wires thicker than 12 are given no more than 12.
func ChassisAmp(g AWG) (float64, bool) {
	for _, r := range chassis {
		if r.gauge >= g {
			return r.amp, true
		}
	}
	return 0, false
}
