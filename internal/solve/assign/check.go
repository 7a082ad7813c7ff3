package assign

import (
	"fmt"
	"math"
)

// Check proves an answer anew from the costs, the weights (nil: 1 each) and the prices in the answer, and returns what
// is wrong, or nil. It knows nothing of how the answer was found:
//
//   - each row has a permitted column of its own or is listed as idle, and the costs add up;
//   - no pair costs less than its prices, no row is priced above its weight, no column above 0; so the sum of all
//     prices is at most (weight not served, cost) of any assignment;
//   - each pair used, and each row left idle, just pays, and each idle column has no price; so that sum is reached.
//
// Costs may differ by rounding, 1e-9 of the largest cost.
func Check(cost [][]float64, weight []int, a Answer) error {
	n, m := len(cost), 0
	if n > 0 {
		m = len(cost[0])
	}
	if len(a.Column) != n || len(a.U) != n || len(a.V) != m {
		return fmt.Errorf("the answer is for %d rows and %d columns, not %d and %d", len(a.U), len(a.V), n, m)
	}
	most := 0.0
	for _, row := range cost {
		for _, c := range row {
			if !math.IsInf(c, 1) {
				most = max(most, math.Abs(c))
			}
		}
	}
	slack := 1e-9 * most
	same := func(a, b Price) bool { return a.Rows == b.Rows && math.Abs(a.Cost-b.Cost) <= slack }
	below := func(a, b Price) bool { return a.less(b) || same(a, b) }
	used := make([]bool, m)
	sum, idle := 0.0, 0
	for i, j := range a.Column {
		own := Price{Rows: 1}
		if weight != nil {
			own.Rows = float64(weight[i])
		}
		if !below(a.U[i], own) {
			return fmt.Errorf("row %d is priced %v, above its weight %g", i, a.U[i], own.Rows)
		}
		for j, c := range cost[i] {
			if p := a.U[i].plus(a.V[j]); !math.IsInf(c, 1) && !below(p, Price{Cost: c}) {
				return fmt.Errorf("row %d, column %d costs %g, less than its prices %v", i, j, c, p)
			}
		}
		switch {
		case j == None:
			if idle >= len(a.Idle) || a.Idle[idle] != i {
				return fmt.Errorf("row %d has no column and is not listed as idle", i)
			}
			if idle++; !same(a.U[i], own) {
				return fmt.Errorf("row %d is idle, and its price %v is not its weight %g", i, a.U[i], own.Rows)
			}
		case j < 0 || j >= m || used[j] || math.IsInf(cost[i][j], 1):
			return fmt.Errorf("row %d cannot have column %d", i, j)
		default:
			used[j] = true
			sum += cost[i][j]
			if p := a.U[i].plus(a.V[j]); !same(p, Price{Cost: cost[i][j]}) {
				return fmt.Errorf("row %d has column %d at cost %g, and the prices are %v", i, j, cost[i][j], p)
			}
		}
	}
	for j, v := range a.V {
		if !below(v, Price{}) || !used[j] && !same(v, Price{}) {
			return fmt.Errorf("column %d has the price %v", j, v)
		}
	}
	if idle != len(a.Idle) || math.Abs(sum-a.Cost) > slack {
		return fmt.Errorf("%d rows are idle and the costs add up to %g, not %d and %g", idle, sum, len(a.Idle), a.Cost)
	}
	return nil
}

// Check proves an answer of this solver for the pairs fixed now, like the function [Check].
func (s *Solver) Check(a Answer) error {
	weight := make([]int, len(s.weight))
	for i, w := range s.weight {
		weight[i] = int(w)
	}
	return Check(s.cost, weight, a)
}
