package circuit

import "math"

// sparse is an LU factorisation whose pivots and pattern are chosen once, by [analyse], and used again for other values.
// Numbers of unknowns and equations in it are places in the order of elimination.
type sparse struct {
	n      int
	row    []int   // equation of the matrix that is eliminated at each step
	place  []int   // step at which each unknown is eliminated
	col    []int   // unknown eliminated at each step
	lower  [][]int // for each step, the earlier steps its equation depends on, ascending
	upper  [][]int // for each step, the later unknowns that stay in its equation
	lowerV [][]float64
	upperV [][]float64
	pivot  []float64
	full   []float64
}

const (
	goodPivot = 0.01 // a chosen pivot is at least this share of the largest entry in its column
	badFactor = 1e6  // multipliers above it ask for new pivots
)

// analyse chooses pivots: at each step the entry that makes the fewest new ones among those that are not small in their column.
// nil means that the matrix is singular.
func analyse(m *matrix) *sparse {
	n := m.n
	cols, vals := make([][]int, n), make([][]float64, n)
	for i := range n {
		cols[i] = append([]int(nil), m.col[m.start[i]:m.start[i+1]]...)
		vals[i] = append([]float64(nil), m.val[m.start[i]:m.start[i+1]]...)
	}
	s := &sparse{n: n, place: make([]int, n), lower: make([][]int, n), upper: make([][]int, n), full: make([]float64, n)}
	low := make([][]int, n) // by equation
	active := make([]int, n)
	for i := range active {
		active[i] = i
	}
	largest, count := make([]float64, n), make([]int, n)
	for step := range n {
		at, k := choose(active, cols, vals, largest, count)
		if at < 0 {
			return nil
		}
		p := active[at]
		active = append(active[:at], active[at+1:]...)
		c, v := cols[p][k], vals[p][k]
		s.row, s.col = append(s.row, p), append(s.col, c)
		s.place[c] = step
		s.lower[step] = low[p]
		for _, r := range active {
			j := find(cols[r], c)
			if j < 0 {
				continue
			}
			low[r] = append(low[r], step)
			cols[r], vals[r] = subtract(cols[r], vals[r], cols[p], vals[p], c, vals[r][j]/v)
		}
		for _, j := range cols[p] {
			if j != c {
				s.upper[step] = append(s.upper[step], j)
			}
		}
	}
	for step := range n {
		for k, c := range s.upper[step] {
			s.upper[step][k] = s.place[c]
		}
		s.lowerV = append(s.lowerV, make([]float64, len(s.lower[step])))
		s.upperV = append(s.upperV, make([]float64, len(s.upper[step])))
	}
	s.pivot = make([]float64, n)
	return s
}

// choose finds the next pivot as a place in active and a place in that row; -1 if there is none.
func choose(active []int, cols [][]int, vals [][]float64, largest []float64, count []int) (at, k int) {
	clear(largest)
	clear(count)
	for _, r := range active {
		for j, c := range cols[r] {
			largest[c] = max(largest[c], math.Abs(vals[r][j]))
			count[c]++
		}
	}
	at, best := -1, math.MaxInt
	for i, r := range active {
		for j, c := range cols[r] {
			v := math.Abs(vals[r][j])
			if v == 0 || v < goodPivot*largest[c] {
				continue
			}
			if fill := (len(cols[r]) - 1) * (count[c] - 1); fill < best {
				at, k, best = i, j, fill
			}
		}
	}
	return at, k
}

func find(cols []int, c int) int {
	for i, d := range cols {
		if d == c {
			return i
		}
	}
	return -1
}

// subtract gives row r less f times row p, without column c. Both rows ascend; entries that happen to be zero stay in the pattern.
func subtract(rc []int, rv []float64, pc []int, pv []float64, c int, f float64) ([]int, []float64) {
	oc, ov := make([]int, 0, len(rc)+len(pc)), make([]float64, 0, len(rc)+len(pc))
	i, j := 0, 0
	for i < len(rc) || j < len(pc) {
		var col int
		var val float64
		switch {
		case j == len(pc) || i < len(rc) && rc[i] < pc[j]:
			col, val = rc[i], rv[i]
			i++
		case i == len(rc) || pc[j] < rc[i]:
			col, val = pc[j], -float64(f*pv[j])
			j++
		default:
			col, val = rc[i], rv[i]-float64(f*pv[j])
			i++
			j++
		}
		if col != c {
			oc, ov = append(oc, col), append(ov, val)
		}
	}
	return oc, ov
}

// refactor fills the factors with the values of m. It returns false where a pivot has become too small for its row.
func (s *sparse) refactor(m *matrix) bool {
	x := s.full
	for step := range s.n {
		for _, p := range s.lower[step] {
			x[p] = 0
		}
		x[step] = 0
		for _, p := range s.upper[step] {
			x[p] = 0
		}
		r := s.row[step]
		for k := m.start[r]; k < m.start[r+1]; k++ {
			x[s.place[m.col[k]]] = m.val[k]
		}
		for k, p := range s.lower[step] {
			f := x[p] / s.pivot[p]
			if !(math.Abs(f) <= badFactor) {
				return false
			}
			s.lowerV[step][k] = f
			u, v := s.upper[p], s.upperV[p]
			for j, q := range u {
				x[q] -= float64(f * v[j])
			}
		}
		if x[step] == 0 || math.IsInf(1/x[step], 0) {
			return false
		}
		s.pivot[step] = x[step]
		for k, p := range s.upper[step] {
			s.upperV[step][k] = x[p]
		}
	}
	return true
}

func (s *sparse) solve(b, x []float64) {
	y := s.full
	for step := range s.n {
		v := b[s.row[step]]
		for k, p := range s.lower[step] {
			v -= float64(s.lowerV[step][k] * y[p])
		}
		y[step] = v
	}
	for step := s.n - 1; step >= 0; step-- {
		v := y[step]
		for k, p := range s.upper[step] {
			v -= float64(s.upperV[step][k] * y[p])
		}
		y[step] = v / s.pivot[step]
	}
	for step, c := range s.col {
		x[c] = y[step]
	}
}
