package catalog

import "knobwright/internal/geom"

// The 19-inch grid, mm. Sources: EIA-310-D and IEC 60297-3-100.
const (
	RackU      = 44.45 // one height unit
	RackWidth  = 482.6 // overall width of a panel
	RackAcross = 465.1 // between the middles of the fixing slots, left to right
	RackLess   = 0.79  // a panel of n units is this much lower than n units
	RackEdge   = 6.35  // from the boundary of a unit to the middle of its first hole
	RackClear  = 450.0 // least opening between the rails: what stands behind the panel must be narrower

	RackSlotWidth  = 10.3 // fixing slot, overall along x; from memory
	RackSlotHeight = 6.8  // from memory
)

// RackGaps are the distances between the holes of a rail, from a unit's first hole up: they repeat with every unit.
var RackGaps = [3]float64{15.875, 15.875, 12.7}

// RackHeight is the height of a panel of n height units, mm; 0 when n is not positive.
func RackHeight(n int) float64 {
	if n < 1 {
		return 0
	}
	return float64(n)*RackU - RackLess
}

// RackSlots gives the middles of the fixing slots of a panel of n units in the face frame: at the lowest and the highest
// hole of the rail that the panel covers, left and right, and for five units or more also at a hole near mid-height.
// The standard leaves the choice of holes to the maker of the panel; this is the usual one.
func RackSlots(n int) []geom.Vec2 {
	if n < 1 {
		return nil
	}
	const low = RackEdge - RackLess/2 // the panel hangs in the middle of its units
	ys := []float64{low, float64(n)*RackU - RackLess - low}
	if n >= 5 {
		ys = []float64{ys[0], low + float64(n/2)*RackU, ys[1]}
	}
	var ps []geom.Vec2
	for _, y := range ys {
		ps = append(ps, geom.Vec2{X: (RackWidth - RackAcross) / 2, Y: y}, geom.Vec2{X: (RackWidth + RackAcross) / 2, Y: y})
	}
	return ps
}
