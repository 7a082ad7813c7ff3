package sparse

import (
	"fmt"
	"slices"
)

// Pattern says which blocks of a symmetric matrix may hold numbers other than zero.
type Pattern struct {
	off []int32 // first unknown of each block; one more at the end
	// For each block, the blocks it touches with a number not above its own, ascending; the last one is itself.
	ptr []int32
	adj []int32
	val []int32 // where each of those blocks begins in Matrix.Values
	n   int     // numbers in all
}

// NewPattern makes a pattern of len(sizes) blocks. Every two blocks that stand together in one of the groups touch each
// other (a group may be the nodes of one element, or just a pair); each block touches itself. Sizes may be 0.
func NewPattern(sizes []int, groups [][]int32) (*Pattern, error) {
	nb := len(sizes)
	p := &Pattern{off: make([]int32, nb+1), ptr: make([]int32, nb+1)}
	for i, s := range sizes {
		if s < 0 {
			return nil, fmt.Errorf("%w: block %d has size %d", ErrShape, i, s)
		}
		p.off[i+1] = p.off[i] + int32(s)
	}
	count := make([]int32, nb+1)
	for i := range nb {
		count[i+1] = 1
	}
	for _, g := range groups {
		for _, a := range g {
			if a < 0 || int(a) >= nb {
				return nil, fmt.Errorf("%w: block %d of %d", ErrShape, a, nb)
			}
			for _, b := range g {
				if b < a {
					count[a+1]++
				}
			}
		}
	}
	for i := range nb {
		count[i+1] += count[i]
	}
	raw := make([]int32, count[nb])
	at := slices.Clone(count)
	for _, g := range groups {
		for _, a := range g {
			for _, b := range g {
				if b < a {
					raw[at[a]] = b
					at[a]++
				}
			}
		}
	}
	p.adj = raw[:0]
	for i := range nb {
		row := raw[count[i]:at[i]]
		slices.Sort(row)
		row = slices.Compact(row)
		p.adj = append(p.adj, row...) // never runs ahead of what is still to be read
		p.adj = append(p.adj, int32(i))
		p.ptr[i+1] = int32(len(p.adj))
	}
	p.val = make([]int32, len(p.adj))
	for i := range nb {
		for k := p.ptr[i]; k < p.ptr[i+1]; k++ {
			p.val[k] = int32(p.n)
			p.n += p.Size(i) * p.Size(int(p.adj[k]))
		}
	}
	return p, nil
}

// Blocks gives the number of blocks.
func (p *Pattern) Blocks() int { return len(p.off) - 1 }

// Unknowns gives the number of rows of the matrix.
func (p *Pattern) Unknowns() int { return int(p.off[len(p.off)-1]) }

// Size gives the number of unknowns of block i.
func (p *Pattern) Size(i int) int { return int(p.off[i+1] - p.off[i]) }

// First gives the number of the first unknown of block i.
func (p *Pattern) First(i int) int { return int(p.off[i]) }

// Find gives where block (i, j), i ≥ j, begins in Matrix.Values: Size(i) rows of Size(j) numbers. It is -1 when the blocks
// do not touch.
func (p *Pattern) Find(i, j int) int {
	row := p.adj[p.ptr[i]:p.ptr[i+1]]
	k, ok := slices.BinarySearch(row, int32(j))
	if !ok {
		return -1
	}
	return int(p.val[int(p.ptr[i])+k])
}

// neighbours gives for every block all the blocks it touches but itself, ascending, as one list with offsets.
func (p *Pattern) neighbours() (ptr, adj []int32) {
	nb := p.Blocks()
	ptr = make([]int32, nb+1)
	for i := range nb {
		for _, j := range p.adj[p.ptr[i] : p.ptr[i+1]-1] {
			ptr[i+1]++
			ptr[j+1]++
		}
	}
	for i := range nb {
		ptr[i+1] += ptr[i]
	}
	adj = make([]int32, ptr[nb])
	at := slices.Clone(ptr)
	for i := range nb {
		for _, j := range p.adj[p.ptr[i] : p.ptr[i+1]-1] {
			adj[at[i]] = j
			at[i]++
			adj[at[j]] = int32(i)
			at[j]++
		}
	}
	return ptr, adj
}

// Matrix is a symmetric matrix with the numbers of its lower blocks, row by row; of a diagonal block only the lower triangle
// is read.
type Matrix struct {
	Pattern *Pattern
	Values  []float64
}

// NewMatrix makes a matrix of zeros.
func NewMatrix(p *Pattern) *Matrix { return &Matrix{p, make([]float64, p.n)} }

// Add adds v to the number in row r of block i and column c of block j, and so to its mirror image. Of the two mirror
// images name one only. It panics when the blocks do not touch.
func (m *Matrix) Add(i, j, r, c int, v float64) {
	if i < j || i == j && r < c {
		i, j, r, c = j, i, c, r
	}
	m.Values[m.Pattern.Find(i, j)+r*m.Pattern.Size(j)+c] += v
}

// Changed lists the blocks in whose rows numbers differ from those of an earlier state: what [Factor.Update] wants to know.
func (m *Matrix) Changed(before []float64) []int32 {
	p := m.Pattern
	mark := make([]bool, p.Blocks())
	var out []int32
	for i := range p.Blocks() {
		for k := p.ptr[i]; k < p.ptr[i+1]; k++ {
			j := p.adj[k]
			at, n := int(p.val[k]), p.Size(i)*p.Size(int(j))
			if mark[i] && mark[j] || slices.Equal(m.Values[at:at+n], before[at:at+n]) {
				continue
			}
			for _, b := range [2]int32{int32(i), j} {
				if !mark[b] {
					mark[b] = true
					out = append(out, b)
				}
			}
		}
	}
	return out
}

// Mul gives A·x.
func (m *Matrix) Mul(x []float64) []float64 {
	p := m.Pattern
	y := make([]float64, len(x))
	for i := range p.Blocks() {
		oi, si := int(p.off[i]), p.Size(i)
		for k := p.ptr[i]; k < p.ptr[i+1]; k++ {
			j := int(p.adj[k])
			oj, sj, at := int(p.off[j]), p.Size(j), int(p.val[k])
			for r := range si {
				row := m.Values[at+r*sj : at+(r+1)*sj]
				if i == j {
					for c := range r {
						y[oi+r] += row[c] * x[oj+c]
						y[oj+c] += row[c] * x[oi+r]
					}
					y[oi+r] += row[r] * x[oi+r]
					continue
				}
				var s float64
				for c, v := range row {
					s += v * x[oj+c]
					y[oj+c] += v * x[oi+r]
				}
				y[oi+r] += s
			}
		}
	}
	return y
}

// MulMany gives A·x for many vectors, several at a time.
func (m *Matrix) MulMany(xs [][]float64) [][]float64 {
	p := m.Pattern
	n := p.Unknowns()
	out := make([][]float64, len(xs))
	flat := make([]float64, len(xs)*n)
	x, y := make([]float64, 4*n), make([]float64, 4*n)
	for g := 0; g < len(xs); g += 4 {
		four := xs[g:min(g+4, len(xs))]
		for c := range 4 {
			if c < len(four) {
				for u, v := range four[c][:n] {
					x[4*u+c] = v
				}
			}
		}
		clear(y)
		for i := range p.Blocks() {
			oi, si := int(p.off[i]), p.Size(i)
			for k := p.ptr[i]; k < p.ptr[i+1]; k++ {
				j := int(p.adj[k])
				oj, sj, at := int(p.off[j]), p.Size(j), int(p.val[k])
				if sj > 0 {
					m.mulBlock(x, y, at, oi, si, oj, sj)
				}
			}
		}
		for c := range four {
			o := flat[(g+c)*n : (g+c+1)*n]
			for u := range o {
				o[u] = y[4*u+c]
			}
			out[g+c] = o
		}
	}
	return out
}

// mulBlock adds what the block at of unknowns oi…, oj… and its mirror image do to four interleaved vectors.
func (m *Matrix) mulBlock(x, y []float64, at, oi, si, oj, sj int) {
	for r := range si {
		row := m.Values[at+r*sj : at+(r+1)*sj]
		if oi == oj {
			row = row[:r+1]
		}
		xi, yi := x[4*(oi+r):4*(oi+r)+4], y[4*(oi+r):4*(oi+r)+4]
		x0, x1, x2, x3 := xi[0], xi[1], xi[2], xi[3]
		var s0, s1, s2, s3 float64
		xj, yj := x[4*oj:4*(oj+len(row))], y[4*oj:4*(oj+len(row))]
		for _, v := range row {
			if len(xj) < 4 || len(yj) < 4 {
				break
			}
			s0 += v * xj[0]
			s1 += v * xj[1]
			s2 += v * xj[2]
			s3 += v * xj[3]
			yj[0] += v * x0
			yj[1] += v * x1
			yj[2] += v * x2
			yj[3] += v * x3
			xj, yj = xj[4:], yj[4:]
		}
		if oi == oj { // the diagonal counts once
			d := row[r]
			s0 -= d * x0
			s1 -= d * x1
			s2 -= d * x2
			s3 -= d * x3
		}
		yi[0] += s0
		yi[1] += s1
		yi[2] += s2
		yi[3] += s3
	}
}

// Residual gives the backward error of x as the solution of A·x = b: the largest entry of b - A·x, measured by
// ‖A‖·‖x‖ + ‖b‖ in the largest-row and largest-entry norms. A sound solution has a few times 1e-16.
func (m *Matrix) Residual(x, b []float64) float64 {
	p := m.Pattern
	rows := make([]float64, p.Unknowns())
	for i := range p.Blocks() {
		for k := p.ptr[i]; k < p.ptr[i+1]; k++ {
			j := int(p.adj[k])
			oi, oj, sj := int(p.off[i]), int(p.off[j]), p.Size(j)
			for r := range p.Size(i) {
				for c := range sj {
					if i == j && c > r {
						break
					}
					v := abs(m.Values[int(p.val[k])+r*sj+c])
					rows[oi+r] += v
					if i != j || r != c {
						rows[oj+c] += v
					}
				}
			}
		}
	}
	y := m.Mul(x)
	var worst, nx, nb float64
	for i, v := range b {
		worst = max(worst, abs(v-y[i]))
		nx, nb = max(nx, abs(x[i])), max(nb, abs(v))
	}
	if worst == 0 {
		return 0
	}
	return worst / (slices.Max(rows)*nx + nb)
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
