package assign

import (
	"math"
	"slices"
)

// prefer chooses among the assignments of equal cost: row 0 gets the lowest column that any of them gives it, then row
// 1 without taking that back, and so on. A row that may have a column or none gets one.
//
// All cheapest assignments use pairs that just pay their prices, and leave no column idle that has a price. So they
// differ by rings of such pairs, in which each row takes the place of the next. A row without a column has a place
// of its own outside. Whatever places are free count as held by one more row, the pool, which may take any place
// without a price.
func (s *Solver) prefer() {
	n := len(s.cost)
	pool := n
	byColumn := make([][]int, s.columns) // rows that just pay for a column, rising; the pool last
	byRow := make([][]int, n)            // the other way round
	for i := range n {
		for j := range s.columns {
			if s.tight(i, j) {
				byColumn[j] = append(byColumn[j], i)
				byRow[i] = append(byRow[i], j)
			}
		}
	}
	for j, v := range s.v {
		if v.Rows == 0 && v.Cost >= -s.least {
			byColumn[j] = append(byColumn[j], pool)
		}
	}
	seen := make([]bool, n+1)
	takes := make([]int, n+1) // column that a row takes, or None for a place outside
	after := make([]int, n+1) // row that gives it up
	var queue []int
	for i := range n {
		old := s.col[i]
		if len(byRow[i]) == 0 || byRow[i][0] == old {
			continue
		}
		// Which rows can move on, one after the other, so that the last takes what row i gives up?
		clear(seen)
		queue = append(queue[:0], i)
		offer := func(k, j, r int) {
			if k > i && !seen[k] {
				seen[k], takes[k], after[k] = true, j, r
				queue = append(queue, k)
			}
		}
		for len(queue) > 0 {
			r := queue[0]
			queue = queue[1:]
			switch {
			case r == pool:
				for j, k := range s.row {
					if k == None {
						for _, k := range byColumn[j] {
							offer(k, j, r)
						}
					}
				}
				for k := i + 1; k < n; k++ {
					if u := s.u[k]; s.col[k] != None && u.Rows == s.weight[k] && u.Cost >= -s.least {
						offer(k, None, r)
					}
				}
			case s.col[r] == None:
				offer(pool, None, r)
			default:
				for _, k := range byColumn[s.col[r]] {
					offer(k, s.col[r], r)
				}
			}
		}
		for _, j := range byRow[i] {
			if j == old {
				break
			}
			k := s.row[j]
			if k == None {
				k = pool
			}
			if !seen[k] {
				continue
			}
			for ; k != i; k = after[k] {
				if k != pool {
					s.col[k] = takes[k]
				}
			}
			s.col[i] = j
			break
		}
		for j := range s.row {
			s.row[j] = None
		}
		for k, j := range s.col {
			if j != None {
				s.row[j] = k
			}
		}
	}
}

// tight says that pair i, j just pays its prices.
func (s *Solver) tight(i, j int) bool {
	if math.IsInf(s.cost[i][j], 1) {
		return false
	}
	p := s.pay(i, j)
	return p.Rows == s.u[i].Rows && p.Cost-s.u[i].Cost <= s.least
}

// permitted lists the columns that row i may have, rising.
func (s *Solver) permitted(i int) []int {
	var list []int
	for j, c := range s.cost[i] {
		if !math.IsInf(c, 1) {
			list = append(list, j)
		}
	}
	return slices.Clip(list)
}
