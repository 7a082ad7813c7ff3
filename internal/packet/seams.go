package packet

import "math"

// Where sheets meet.
const (
	seamLap   = 8.0  // what a sheet shows beyond a seam, mm: half a register diamond and its letter
	seamApart = 24.0 // least distance between two seams, mm
	seamClear = 1.5  // what a seam keeps from what is drawn, mm ...
	seamRoomy = 10.0 // ... and better keeps: room for the diamonds
)

// sheetsFor gives how many windows of a width cover a length when each shows seamLap beyond its seams.
func sheetsFor(long, win float64) int {
	if long <= win {
		return 1
	}
	ends := 2 * (win - seamLap)
	if long <= ends {
		return 2
	}
	return 2 + int(math.Ceil((long-ends)/(win-2*seamLap)-1e-9))
}

// seamCost is how badly a seam at x cuts through what is drawn: each thing counts, deep cuts more than shallow ones.
func seamCost(x float64, things [][2]float64) float64 {
	c := 0.0
	for _, t := range things {
		lo, hi := t[0]-seamClear, t[1]+seamClear
		switch {
		case lo < x && x < hi:
			c += 10 + min(x-lo, hi-x, 10)
		case lo-seamRoomy < x && x < hi+seamRoomy:
			c += 0.1 * (seamRoomy - max(lo-x, x-hi))
		}
	}
	return c
}

// findSeams chooses the seams between the fewest windows that cover lo to hi, on a grid of 1 mm, so that they cut through as
// little as possible of what is drawn, and are as even as that allows. things are the extents of what is drawn. The cost of
// the choice comes with it.
func findSeams(lo, hi, win float64, things [][2]float64) (at []float64, cost float64) {
	n := sheetsFor(hi-lo, win)
	if n == 1 {
		return nil, 0
	}
	steps := int(math.Floor(hi - lo))
	even := (hi - lo) / float64(n)
	price := make([]float64, steps+1)
	for k := range price {
		price[k] = seamCost(lo+float64(k), things)
	}
	const never = math.MaxFloat64
	best := make([][]float64, n) // best[i][k]: seam i (1-based) at k
	from := make([][]int, n)
	for i := 1; i < n; i++ {
		best[i], from[i] = make([]float64, steps+1), make([]int, steps+1)
		for k := range best[i] {
			best[i][k] = never
			x := float64(k)
			mine := price[k] + 0.02*math.Abs(x-even*float64(i))
			if i == 1 {
				if x >= seamApart && x <= win-seamLap {
					best[i][k] = mine
				}
				continue
			}
			for j := max(k-int(win-2*seamLap), 0); j <= k-int(seamApart); j++ {
				if b := best[i-1][j]; b < never && b+mine < best[i][k] {
					best[i][k], from[i][k] = b+mine, j
				}
			}
		}
	}
	last, end := never, -1
	for k, b := range best[n-1] {
		if rest := hi - lo - float64(k); b < last && rest >= seamApart && rest <= win-seamLap {
			last, end = b, k
		}
	}
	at = make([]float64, n-1)
	if end < 0 { // too tight for the grid: every part takes its share of what its window could hold
		could := 2*(win-seamLap) + float64(n-2)*(win-2*seamLap)
		x := lo + (win-seamLap)*(hi-lo)/could
		for i := range at {
			at[i] = x
			cost += seamCost(x, things)
			x += (win - 2*seamLap) * (hi - lo) / could
		}
		return at, cost
	}
	for i, k := n-1, end; i >= 1; i-- {
		at[i-1] = lo + float64(k)
		cost += price[k]
		k = from[i][k]
	}
	return at, cost
}
