package assign

import (
	"math"
	"slices"
)

// bruteAssign looks at all assignments, rows without a column included. It returns the greatest weight served, the
// least cost among such, and of the columns the first list in order, where no column comes last.
func bruteAssign(cost [][]float64, weight []int) (weightServed int, least float64, first []int) {
	n, m := len(cost), 0
	if n > 0 {
		m = len(cost[0])
	}
	weightServed, least = -1, math.Inf(1)
	column := make([]int, n)
	used := make([]bool, m)
	var try func(i, w int, sum float64)
	try = func(i, w int, sum float64) {
		if i == n {
			if w > weightServed || w == weightServed && sum < least {
				weightServed, least, first = w, sum, slices.Clone(column)
			}
			return
		}
		for j := range m {
			if !used[j] && !math.IsInf(cost[i][j], 1) {
				used[j], column[i] = true, j
				own := 1
				if weight != nil {
					own = weight[i]
				}
				try(i+1, w+own, sum+cost[i][j])
				used[j] = false
			}
		}
		column[i] = None
		try(i+1, w, sum)
	}
	try(0, 0, 0)
	return weightServed, least, first
}

// bruteShort returns the size of the smallest set of rows that share too few columns, or 0.
func bruteShort(cost [][]float64) int {
	best := 0
	for rows := 1; rows < 1<<len(cost); rows++ {
		size, columns := 0, map[int]bool{}
		for i, row := range cost {
			if rows>>i&1 == 0 {
				continue
			}
			size++
			for j, c := range row {
				if !math.IsInf(c, 1) {
					columns[j] = true
				}
			}
		}
		if len(columns) < size && (best == 0 || size < best) {
			best = size
		}
	}
	return best
}

// bruteArrange looks at all full assignments that obey the ribbons and the fixed pairs.
func bruteArrange(q Arrangement) float64 {
	n, m := len(q.Cost), len(q.Cost[0])
	least := math.Inf(1)
	column := make([]int, n)
	used := make([]bool, m)
	var try func(i int)
	try = func(i int) {
		if i == n {
			if obeys(q, column) {
				least = min(least, costOf(q, column))
			}
			return
		}
		for j := range m {
			if !used[j] && !math.IsInf(q.Cost[i][j], 1) {
				used[j], column[i] = true, j
				try(i + 1)
				used[j] = false
			}
		}
	}
	try(0)
	return least
}

func costOf(q Arrangement, column []int) float64 {
	sum := 0.0
	for i, j := range column {
		sum += q.Cost[i][j]
		for k := range i {
			if q.Disturb != nil {
				sum += q.Disturb(k, column[k], i, j)
			}
		}
	}
	return sum
}

// obeys says, by positions along the lines, whether ribbons and fixed pairs are kept.
func obeys(q Arrangement, column []int) bool {
	for i, j := range q.Fixed {
		if j != None && column[i] != j {
			return false
		}
	}
	for _, ribbon := range q.Ribbons {
		line, step := None, 0
		for k, i := range ribbon.Rows {
			at := slices.IndexFunc(q.Lines, func(l []int) bool { return slices.Contains(l, column[i]) })
			if at < 0 || k > 0 && at != line {
				return false
			}
			line = at
			if k == 0 {
				continue
			}
			d := slices.Index(q.Lines[at], column[i]) - slices.Index(q.Lines[at], column[ribbon.Rows[k-1]])
			if d != 1 && d != -1 || k > 1 && d != step ||
				d == 1 && ribbon.Direction == Reverse || d == -1 && ribbon.Direction == Forward {
				return false
			}
			step = d
		}
	}
	return true
}
