package sparse

import (
	"fmt"
	"math"
)

// Factor is L of L·Lᵀ = A, with what every front left for its parent, so that a local change can be mended locally.
type Factor struct {
	plan  *Plan
	l     []float64 // columns of all fronts; the diagonal holds reciprocals
	rest  []float64
	diag  []float64 // the matrix's diagonal, in the order of elimination
	mark  []bool
	stale bool
	least float64 // smallest pivot as a share of the diagonal it came from
}

// breakdown is the share of a diagonal entry below which its pivot is nothing but rounding.
const breakdown = 1e-15

// Factor factors a matrix of the plan's pattern. It gives a *PivotError when the matrix is not positive definite.
func (s *Plan) Factor(m *Matrix) (*Factor, error) {
	f := &Factor{plan: s, l: make([]float64, s.lower), rest: make([]float64, s.rest),
		diag: make([]float64, len(s.perm)), mark: make([]bool, len(s.fronts))}
	return f, f.Refactor(m)
}

// Refactor factors another matrix of the same pattern in the same room.
func (f *Factor) Refactor(m *Matrix) error {
	if m.Pattern != f.plan.pattern {
		return fmt.Errorf("%w: a matrix of another pattern", ErrShape)
	}
	for i := range f.mark {
		f.mark[i] = true
	}
	_, err := f.run(m)
	return err
}

// Update mends the factor after numbers changed in the rows of the given blocks (and in the mirrored columns). It gives the
// number of fronts that had to be done again. The result is the same to the last bit as that of factoring anew.
func (f *Factor) Update(m *Matrix, blocks []int32) (fronts int, err error) {
	if m.Pattern != f.plan.pattern {
		return 0, fmt.Errorf("%w: a matrix of another pattern", ErrShape)
	}
	if f.stale {
		return 0, ErrStale
	}
	for _, b := range blocks {
		if b < 0 || int(b) >= len(f.plan.owner) {
			return 0, fmt.Errorf("%w: block %d", ErrShape, b)
		}
		for k := f.plan.owner[b]; k >= 0 && !f.mark[k]; k = f.plan.fronts[k].parent {
			f.mark[k] = true
		}
	}
	return f.run(m)
}

// run does the marked fronts, children first, and clears the marks.
func (f *Factor) run(m *Matrix) (done int, err error) {
	f.stale = false
	f.least = math.Inf(1)
	for k := range f.plan.fronts {
		if !f.mark[k] {
			continue
		}
		f.mark[k] = false
		if err != nil {
			continue
		}
		done++
		f.assemble(k, m.Values)
		if e := f.eliminate(k); e != nil {
			err, f.stale = e, true
		}
	}
	return done, err
}

// LeastPivot gives the smallest pivot as a share of its diagonal entry among the fronts done last: a rough warning of
// near-singularity (1 for a diagonal matrix).
func (f *Factor) LeastPivot() float64 { return f.least }

// parts gives the columns and the remainder of front k.
func (f *Factor) parts(k int) (fr *front, l, rest []float64) {
	fr = &f.plan.fronts[k]
	return fr, f.l[fr.lo : fr.lo+(fr.m+fr.r)*fr.m], f.rest[fr.ro : fr.ro+fr.r*fr.r]
}

// assemble fills front k with its numbers of the matrix and with what its children left.
func (f *Factor) assemble(k int, values []float64) {
	fr, l, rest := f.parts(k)
	clear(l)
	clear(rest)
	m := fr.m
	for _, e := range fr.entries {
		v := values[e.from : e.from+e.height*e.width]
		at := int(e.row)*m + int(e.col)
		for i := range int(e.height) {
			row := l[at+i*m:]
			w := int(e.width)
			if e.square {
				w = i + 1
			}
			if e.turned {
				for j := range w {
					row[j] = v[j*int(e.height)+i]
				}
			} else {
				copy(row[:w], v[i*int(e.width):])
			}
			if e.square {
				f.diag[fr.first+int(e.row)+i] = row[i]
			}
		}
	}
	for _, c := range fr.children {
		ch, _, from := f.parts(int(c))
		up := ch.up
		own := 0 // how many of the child's rows go in this front
		for own < len(up) && int(up[own]) < m {
			own++
		}
		for i, at := range up {
			src := from[i*ch.r : i*ch.r+i+1]
			dst := l[int(at)*m : int(at)*m+m]
			for j, t := range up[:min(own, i+1)] {
				dst[t] += src[j]
			}
			if i >= own {
				src = src[own:]
				dst = rest[(int(at)-m)*fr.r : (int(at)-m+1)*fr.r]
				for j, t := range up[own : i+1] {
					dst[int(t)-m] += src[j]
				}
			}
		}
	}
}

// eliminate turns the columns of front k into columns of L, two at a time, and updates its remainder.
func (f *Factor) eliminate(k int) error {
	fr, l, rest := f.parts(k)
	m, n := fr.m, fr.m+fr.r
	diag := f.diag[fr.first : fr.first+m]
	row := func(i, w int) []float64 { return l[i*m : i*m+w : i*m+w] }
	var j int
	for j = 0; j+1 < m; j += 2 {
		b0, b1 := row(j, j), row(j+1, j)
		d0, d1 := l[j*m+j], l[(j+1)*m+j+1]
		p0 := d0 - dot(b0, b0)
		if !(p0 > breakdown*diag[j]) || math.IsInf(p0, 0) {
			return f.pivot(fr, j, p0, diag[j])
		}
		r0 := 1 / math.Sqrt(p0)
		s0, s1 := dot12(b1, b0, b1)
		x := (l[(j+1)*m+j] - s0) * r0
		p1 := d1 - s1 - x*x
		if !(p1 > breakdown*diag[j+1]) || math.IsInf(p1, 0) {
			return f.pivot(fr, j+1, p1, diag[j+1])
		}
		r1 := 1 / math.Sqrt(p1)
		f.least = min(f.least, p0/diag[j], p1/diag[j+1])
		l[j*m+j], l[(j+1)*m+j], l[(j+1)*m+j+1] = r0, x, r1
		i := j + 2
		for ; i+3 < n; i += 4 {
			s00, s01, s10, s11, s20, s21, s30, s31 := dot42(row(i, j), row(i+1, j), row(i+2, j), row(i+3, j), b0, b1)
			c := l[i*m+j : i*m+j+2]
			u := (c[0] - s00) * r0
			c[0], c[1] = u, (c[1]-s01-u*x)*r1
			c = l[(i+1)*m+j : (i+1)*m+j+2]
			u = (c[0] - s10) * r0
			c[0], c[1] = u, (c[1]-s11-u*x)*r1
			c = l[(i+2)*m+j : (i+2)*m+j+2]
			u = (c[0] - s20) * r0
			c[0], c[1] = u, (c[1]-s21-u*x)*r1
			c = l[(i+3)*m+j : (i+3)*m+j+2]
			u = (c[0] - s30) * r0
			c[0], c[1] = u, (c[1]-s31-u*x)*r1
		}
		for ; i < n; i++ {
			s0, s1 := dot12(row(i, j), b0, b1)
			c := l[i*m+j : i*m+j+2]
			u := (c[0] - s0) * r0
			c[0], c[1] = u, (c[1]-s1-u*x)*r1
		}
	}
	if j < m {
		b := row(j, j)
		p := l[j*m+j] - dot(b, b)
		if !(p > breakdown*diag[j]) || math.IsInf(p, 0) {
			return f.pivot(fr, j, p, diag[j])
		}
		f.least = min(f.least, p/diag[j])
		r := 1 / math.Sqrt(p)
		l[j*m+j] = r
		for i := j + 1; i < n; i++ {
			l[i*m+j] = (l[i*m+j] - dot(row(i, j), b)) * r
		}
	}
	f.remainder(fr, l[m*m:], rest)
	return nil
}

// remainder takes l·lᵀ from the lower triangle of rest, l being the rows below the diagonal block.
func (f *Factor) remainder(fr *front, l, rest []float64) {
	m, r := fr.m, fr.r
	row := func(i int) []float64 { return l[i*m : i*m+m : i*m+m] }
	j := 0
	for ; j+1 < r; j += 2 {
		b0, b1 := row(j), row(j+1)
		rest[j*r+j] -= dot(b0, b0)
		s0, s1 := dot12(b1, b0, b1)
		rest[(j+1)*r+j] -= s0
		rest[(j+1)*r+j+1] -= s1
		i := j + 2
		for ; i+3 < r; i += 4 {
			s00, s01, s10, s11, s20, s21, s30, s31 := dot42(row(i), row(i+1), row(i+2), row(i+3), b0, b1)
			c := rest[i*r+j : i*r+j+2]
			c[0] -= s00
			c[1] -= s01
			c = rest[(i+1)*r+j : (i+1)*r+j+2]
			c[0] -= s10
			c[1] -= s11
			c = rest[(i+2)*r+j : (i+2)*r+j+2]
			c[0] -= s20
			c[1] -= s21
			c = rest[(i+3)*r+j : (i+3)*r+j+2]
			c[0] -= s30
			c[1] -= s31
		}
		for ; i < r; i++ {
			s0, s1 := dot12(row(i), b0, b1)
			c := rest[i*r+j : i*r+j+2]
			c[0] -= s0
			c[1] -= s1
		}
	}
	if j < r {
		rest[j*r+j] -= dot(row(j), row(j))
	}
}

// pivot says which unknown failed, in the caller's numbers.
func (f *Factor) pivot(fr *front, j int, got, was float64) error {
	for _, b := range fr.blocks {
		if s := f.plan.pattern.Size(int(b)); j >= s {
			j -= s
			continue
		}
		return &PivotError{Block: int(b), Within: j, Pivot: got, Scale: was}
	}
	return &PivotError{Block: -1, Within: j, Pivot: got, Scale: was}
}
