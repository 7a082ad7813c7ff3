package packet

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/trade/drilling"
)

// numbers writes job numbers short: "1 to 5, 8, 11".
func numbers(ns []int) string {
	var parts []string
	for i := 0; i < len(ns); {
		k := i
		for k+1 < len(ns) && ns[k+1] == ns[k]+1 {
			k++
		}
		switch {
		case k == i:
			parts = append(parts, strconv.Itoa(ns[i]))
		case k == i+1:
			parts = append(parts, strconv.Itoa(ns[i]), strconv.Itoa(ns[k]))
		default:
			parts = append(parts, strconv.Itoa(ns[i])+" to "+strconv.Itoa(ns[k]))
		}
		i = k + 1
	}
	return strings.Join(parts, ", ")
}

// speed writes turns a minute: "500 to 2000"; nothing for hand tools.
func speed(lo, hi int) string {
	switch {
	case hi <= 0:
		return ""
	case lo == hi:
		return strconv.Itoa(hi)
	}
	return strconv.Itoa(lo) + " to " + strconv.Itoa(hi)
}

// speedOfRun is the speed of some jobs when it is the same for all of them, else nothing.
func speedOfRun(ns []int, plan drilling.Result) string {
	if len(ns) == 0 {
		return ""
	}
	a := plan.Jobs[ns[0]-1]
	for _, n := range ns {
		if j := plan.Jobs[n-1]; j.RPMLow != a.RPMLow || j.RPMHigh != a.RPMHigh {
			return ""
		}
	}
	return speed(a.RPMLow, a.RPMHigh)
}

// roundTo rounds to a multiple of step.
func roundTo(v, step float64) float64 { return math.Round(v/step) * step }
