package circuit

import (
	"math"
	"slices"
)

// matrix is a square matrix in sparse rows. Its pattern is made once; values are cleared and added again for every step.
type matrix struct {
	n     int
	start []int // of each row in col and val; n+1 long
	col   []int // ascending within a row
	val   []float64
}

// newMatrix makes an n x n matrix with room at the given places (row, column); places may repeat.
func newMatrix(n int, places [][2]int) *matrix {
	places = slices.Clone(places)
	slices.SortFunc(places, func(a, b [2]int) int {
		if a[0] != b[0] {
			return a[0] - b[0]
		}
		return a[1] - b[1]
	})
	places = slices.Compact(places)
	m := &matrix{n: n, start: make([]int, n+1), col: make([]int, len(places)), val: make([]float64, len(places))}
	for k, p := range places {
		m.col[k] = p[1]
		m.start[p[0]+1]++
	}
	for i := range n {
		m.start[i+1] += m.start[i]
	}
	return m
}

// place is the index in val of an entry that exists.
func (m *matrix) place(row, col int) int {
	k, _ := slices.BinarySearch(m.col[m.start[row]:m.start[row+1]], col)
	return m.start[row] + k
}

// rest writes b - m x.
func (m *matrix) rest(b, x, out []float64) {
	for i := range m.n {
		s := b[i]
		for k := m.start[i]; k < m.start[i+1]; k++ {
			s -= float64(m.val[k] * x[m.col[k]])
		}
		out[i] = s
	}
}

// factored solves systems of one pattern again and again: small ones densely, large ones sparsely, with pivots chosen anew
// only when the old ones have become bad.
type factored struct {
	m       *matrix
	dense   dense
	sparse  *sparse // in use
	first   *sparse // to begin with
	work    []float64
	step    []float64
	usesAll bool // dense
}

const denseUpTo = 30 // unknowns; measured: dense costs about what sparse does up to here, and needs no choosing of pivots

func newFactored(m *matrix) *factored {
	return &factored{m: m, work: make([]float64, m.n), step: make([]float64, m.n), usesAll: m.n <= denseUpTo}
}

// prepare chooses pivots for the present values of m, to begin with after each [factored.restart].
func (f *factored) prepare() {
	if !f.usesAll {
		f.first = analyse(f.m)
	}
}

func (f *factored) restart() { f.sparse = f.first }

// solve finds x with m x = b for the present values of m, once refined.
func (f *factored) solve(b, x []float64) error {
	solve := f.dense.solve
	if f.usesAll {
		if !f.dense.factor(f.m) {
			return ErrSingular
		}
	} else {
		if f.sparse == nil || !f.sparse.refactor(f.m) {
			f.sparse = analyse(f.m)
			if f.sparse == nil || !f.sparse.refactor(f.m) {
				f.sparse = nil
				return ErrSingular
			}
		}
		solve = f.sparse.solve
	}
	solve(b, x)
	f.m.rest(b, x, f.work)
	solve(f.work, f.step)
	for i := range x {
		x[i] += f.step[i]
		if math.IsNaN(x[i]) || math.IsInf(x[i], 0) {
			return ErrSingular
		}
	}
	return nil
}
