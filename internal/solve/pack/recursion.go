package pack

// recursion is the table of the best value of every panel when each piece may be had as often as one likes:
//
//	F(x, y) = max( value of a piece that fits, F(x', y) + F(x-x', y), F(x, y') + F(x, y-y') )
//
// over the points of two axes (Gilmore & Gomory 1965; Beasley 1985). Only cuts at points where F rises are tried: at
// any other point the part could be smaller for the same value. Work is in proportion to the number of panels
// times the number of such points.
type recursion struct {
	x, y  *axis
	items []item
	value []float64   // of the items
	rows  [][]float64 // rows[j][i] is F(x.pts[i], y.pts[j])
	cols  [][]float64 // the same by columns
	stepX [][]int32   // points of row j where F rises
	stepY [][]int32   // points of column i where F rises
	work  int         // pairs of panels looked at so far
}

func newRecursion(items []item, x, y *axis) *recursion {
	r := &recursion{x: x, y: y, items: items, value: make([]float64, len(items))}
	nx, ny := len(x.pts), len(y.pts)
	r.rows, r.cols = table(ny, nx), table(nx, ny)
	r.stepX, r.stepY = make([][]int32, ny), make([][]int32, nx)
	for i, it := range items {
		r.value[i] = it.value
	}
	return r
}

func table(n, m int) [][]float64 {
	all := make([]float64, n*m)
	t := make([][]float64, n)
	for i := range t {
		t[i] = all[i*m : (i+1)*m : (i+1)*m]
	}
	return t
}

// seeds sets every panel that is exactly a piece to its value and all others to 0.
func (r *recursion) seeds() {
	for _, row := range r.rows {
		clear(row)
	}
	r.pieces(func(k, i, j int, _ bool) {
		r.rows[j][i] = max(r.rows[j][i], r.value[k])
	})
}

// pieces visits the items that can be cut, with the indices of their sides; turned ones too.
func (r *recursion) pieces(visit func(k, i, j int, turned bool)) {
	for k, it := range r.items {
		if it.count == 0 {
			continue
		}
		if it.w <= r.x.size && it.h <= r.y.size {
			visit(k, r.x.ceil(it.w), r.y.ceil(it.h), false)
		}
		if it.turn && it.h <= r.x.size && it.w <= r.y.size {
			visit(k, r.x.ceil(it.h), r.y.ceil(it.w), true)
		}
	}
}

// solve fills the table for the present values, and returns the value of the whole. It gives up, and returns false,
// when stop says so.
func (r *recursion) solve(stop func() bool) (float64, bool) {
	subX, subY := r.x.less(), r.y.less()
	r.seeds()
	for i := range r.stepY {
		r.stepY[i] = r.stepY[i][:0]
	}
	for j := range r.y.pts {
		if stop != nil && j&15 == 0 && stop() {
			return 0, false
		}
		row, steps := r.rows[j], r.stepX[j][:0]
		r.work += len(row)
		for i := range row {
			best := row[i]
			if i > 0 {
				best = max(best, row[i-1])
			}
			if j > 0 {
				best = max(best, r.rows[j-1][i])
			}
			sub := subX[i]
			for n, b := range steps {
				if int(b) >= len(sub) {
					r.work += n
					break
				}
				best = max(best, row[b]+row[sub[b]])
			}
			col := r.cols[i]
			sub = subY[j]
			for n, b := range r.stepY[i] {
				if int(b) >= len(sub) {
					r.work += n
					break
				}
				best = max(best, col[b]+col[sub[b]])
			}
			row[i], col[j] = best, best
			if i > 0 && best > row[i-1] {
				steps = append(steps, int32(i))
			}
			if j > 0 && best > col[j-1] {
				r.stepY[i] = append(r.stepY[i], int32(j))
			}
		}
		r.stepX[j] = steps
	}
	return r.rows[len(r.rows)-1][len(r.x.pts)-1], true
}

// block returns an arrangement worth F(x.pts[i], y.pts[j]), or nil if that is 0. It does the sums of solve again in
// the same order, so that they agree to the last bit.
func (r *recursion) block(i, j int) *block {
	for {
		f := r.rows[j][i]
		switch {
		case f == 0:
			return nil
		case i > 0 && r.rows[j][i-1] == f:
			i--
			continue
		case j > 0 && r.rows[j-1][i] == f:
			j--
			continue
		}
		var found *block
		r.pieces(func(k, pi, pj int, turned bool) {
			if found == nil && pi == i && pj == j && r.value[k] == f {
				found = single(r.items[k], k, turned)
			}
		})
		if found != nil {
			return found
		}
		sub := r.x.less()[i]
		for b := range sub {
			if c := int(sub[b]); b > 0 && r.rows[j][b]+r.rows[j][c] == f && c < i {
				return join(false, r.block(b, j), r.block(c, j))
			}
		}
		sub = r.y.less()[j]
		for b := range sub {
			if c := int(sub[b]); b > 0 && r.cols[i][b]+r.cols[i][c] == f && c < j {
				return join(true, r.block(i, b), r.block(i, c))
			}
		}
		return nil // not reached: f came from one of the above
	}
}

// whole is the best arrangement of the whole sheet.
func (r *recursion) whole() *block { return r.block(len(r.x.pts)-1, len(r.y.pts)-1) }

// outside fills u with a bound on what can be had beside a block of each size, when blocks beside it keep
// to the line of its edges: rows as in F. u(w, h) is the best over blocks put to the right, F(e, h) + u(w+e, h), and
// on top, F(w, e) + u(w, h+e). (Viswanathan & Bagchi 1993.)
func (r *recursion) outside(u [][]float64) {
	sumX, sumY := r.x.plus(), r.y.plus()
	nx, ny := len(r.x.pts), len(r.y.pts)
	for j := ny - 1; j >= 0; j-- {
		for i := nx - 1; i >= 0; i-- {
			best := 0.0
			if i+1 < nx {
				best = max(best, u[j][i+1])
			}
			if j+1 < ny {
				best = max(best, u[j+1][i])
			}
			sum := sumX[i]
			for _, b := range r.stepX[j] {
				if int(b) >= len(sum) {
					break
				}
				best = max(best, r.rows[j][b]+u[j][sum[b]])
			}
			sum = sumY[j]
			for _, b := range r.stepY[i] {
				if int(b) >= len(sum) {
					break
				}
				best = max(best, r.cols[i][b]+u[sum[b]][i])
			}
			u[j][i] = best
		}
	}
}
