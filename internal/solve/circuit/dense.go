package circuit

import "math"

// dense is an LU factorisation with partial pivoting, rows scaled by their largest entry when pivots are compared.
type dense struct {
	n    int
	lu   []float64 // n x n, by rows, rows exchanged
	perm []int     // row of the matrix that stands at each place
}

// factor takes a matrix in sparse rows. It returns false where no pivot is left.
func (d *dense) factor(m *matrix) bool {
	n := m.n
	if d.n != n {
		*d = dense{n: n, lu: make([]float64, n*n), perm: make([]int, n)}
	}
	clear(d.lu)
	scale := make([]float64, n)
	for i := range n {
		d.perm[i] = i
		for k := m.start[i]; k < m.start[i+1]; k++ {
			d.lu[i*n+m.col[k]] = m.val[k]
			scale[i] = max(scale[i], math.Abs(m.val[k]))
		}
		if scale[i] == 0 {
			return false
		}
	}
	for k := range n {
		best, size := -1, 0.0
		for i := k; i < n; i++ {
			if s := math.Abs(d.lu[i*n+k]) / scale[i]; s > size {
				best, size = i, s
			}
		}
		if best < 0 || math.IsInf(size, 0) {
			return false
		}
		if best != k {
			for j := range n {
				d.lu[k*n+j], d.lu[best*n+j] = d.lu[best*n+j], d.lu[k*n+j]
			}
			d.perm[k], d.perm[best] = d.perm[best], d.perm[k]
			scale[k], scale[best] = scale[best], scale[k]
		}
		pivot := d.lu[k*n : (k+1)*n]
		for i := k + 1; i < n; i++ {
			row := d.lu[i*n : (i+1)*n]
			if row[k] == 0 {
				continue
			}
			f := row[k] / pivot[k]
			row[k] = f
			for j := k + 1; j < n; j++ {
				row[j] -= float64(f * pivot[j])
			}
		}
	}
	return true
}

func (d *dense) solve(b, x []float64) {
	n := d.n
	for i := range n {
		s := b[d.perm[i]]
		for j, l := range d.lu[i*n : i*n+i] {
			s -= float64(l * x[j])
		}
		x[i] = s
	}
	for i := n - 1; i >= 0; i-- {
		s := x[i]
		for j := i + 1; j < n; j++ {
			s -= float64(d.lu[i*n+j] * x[j])
		}
		x[i] = s / d.lu[i*n+i]
	}
}
