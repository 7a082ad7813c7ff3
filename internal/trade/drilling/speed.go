package drilling

import (
	"math"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// RPM is the speed at which the rim of a bit runs at a given surface speed:
//
//	n = 12 V / (pi D)
//
// with the surface speed V in feet a minute, and D, here in mm, in inches. Range: V, D > 0.
// Source: the shop formula of every drilling table; checked against a printed one in the tests.
func RPM(feetPerMinute, diameter float64) float64 {
	return 12 * feetPerMinute / (math.Pi * diameter / length.PerInch)
}

// Speed is a range of drill speeds, turns a minute, and where it comes from.
type Speed struct {
	Low, High float64
	Source    trust.Source
}

var (
	srcNavy = trust.Source{
		Text:       "US Navy training manual NAVEDTRA 14345, surface speeds of high-speed steel twist drills",
		Provenance: trust.Seen, Confidence: trust.High,
	}
	srcPlastic = trust.Source{
		Text:       "Machinery's Handbook, drilling thermoplastics, holes 1/4 to 3/8 in",
		Provenance: trust.Memory, Confidence: trust.Medium,
	}
	srcPolycarbonate = trust.Source{
		Text:       "sheet maker's machining guide, polycarbonate: 1750 rpm at 3.2 mm, 1500 at 6.4, 500 at 12.7",
		Provenance: trust.Seen, Confidence: trust.High,
	}
	srcWood = trust.Source{
		Text:       "general woodworking drill-press chart",
		Provenance: trust.Memory, Confidence: trust.Low,
	}
)

// row is one line of a speed table: up to this diameter, so many turns.
type row struct{ to, low, high float64 }

func look(rows []row, d float64) (low, high float64) {
	for _, r := range rows {
		if d <= r.to+near {
			return r.low, r.high
		}
	}
	r := rows[len(rows)-1]
	return r.low * r.to / d, r.high * r.to / d // beyond the table: constant rim speed
}

var (
	// The published row is for 1/4 to 3/8 in. Below and above: working rule of the trade, 2000 for small, 500 to 1000 above 12 mm.
	acrylicRows = []row{{6.34, 500, 2000}, {12, 500, 1500}, {25.4, 500, 1000}}
	absRows     = []row{{25.4, 500, 1000}}
	// Hardwood to softwood; plywood counts as hardwood of unknown glue.
	woodDrillRows    = []row{{4.77, 1500, 3000}, {9.53, 1000, 1500}, {12.7, 750, 1500}, {16, 500, 1000}}
	woodForstnerRows = []row{{9.53, 700, 2400}, {16, 500, 2400}, {25.4, 500, 1500}, {32, 250, 1000}, {51, 250, 500}}
	woodSpadeRows    = []row{{12.7, 1500, 2000}, {25.4, 1500, 1750}, {38.1, 1000, 1500}}
	woodSawRows      = []row{{38.1, 350, 500}, {51, 250, 500}, {76, 150, 250}}
)

// polycarbonateRPM runs straight between the three published points, and at constant rim speed beyond the last.
func polycarbonateRPM(d float64) float64 {
	pts := [3][2]float64{{3.2, 1750}, {6.4, 1500}, {12.7, 500}}
	if d <= pts[0][0] {
		return pts[0][1]
	}
	for i := 1; i < len(pts); i++ {
		if a, b := pts[i-1], pts[i]; d <= b[0] {
			return a[1] + (b[1]-a[1])*(d-a[0])/(b[0]-a[0])
		}
	}
	return 500 * 12.7 / d
}

// SpeedOf gives the speed for a bit of diameter d mm in a kind of sheet, before a drill's own limits. Step drills and hole
// saws run at half the speed of a twist bit of that diameter, except large ones in polycarbonate, whose speed is low
// already, and hole saws in wood, which have a chart of their own (common practice).
func SpeedOf(sheet string, kind catalog.BitKind, d float64) Speed {
	if !(d > 0.1) {
		d = 0.1
	}
	var s Speed
	slow := kind == catalog.Step || kind == catalog.HoleSaw
	switch sheet {
	case "aluminium":
		s = Speed{RPM(200, d), RPM(300, d), srcNavy}
	case "steel":
		s = Speed{RPM(80, d), RPM(110, d), srcNavy}
	case "polycarbonate":
		v := polycarbonateRPM(d)
		s = Speed{min(500, v), v, srcPolycarbonate}
		slow = slow && d < 12.7 // from there on the published speed is slow already
	case "abs":
		s.Low, s.High = look(absRows, d)
		s.Source = srcPlastic
	case "plywood", "mdf", "hardboard":
		s.Source = srcWood
		switch kind {
		case catalog.Forstner:
			s.Low, s.High = look(woodForstnerRows, d)
		case catalog.Spade:
			s.Low, s.High = look(woodSpadeRows, d)
		case catalog.HoleSaw:
			s.Low, s.High = look(woodSawRows, d)
			slow = false
		default:
			s.Low, s.High = look(woodDrillRows, d)
		}
	default: // acrylic, and what is not known
		s.Low, s.High = look(acrylicRows, d)
		s.Source = srcPlastic
	}
	if slow {
		s.Low, s.High = s.Low/2, s.High/2
	}
	return s
}

// rpm gives whole speeds for a home drill: capped at the fastest it turns, rounded to what a dial shows.
func rpm(sheet string, b catalog.Bit, l finding.Limits) (low, high int) {
	s := SpeedOf(sheet, b.Kind, b.Diameter)
	most := limit(l, limRPMMost, 100, 60000)
	return dial(min(s.Low, most)), dial(min(s.High, most))
}

// dial rounds a speed to two figures: 1146 to 1100, 382 to 380.
func dial(v float64) int {
	if !(v > 10) {
		return 10
	}
	p := math.Pow(10, math.Floor(math.Log10(v))-1)
	return int(math.Round(v/p) * p)
}
