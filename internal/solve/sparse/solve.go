package sparse

import (
	"fmt"
	"slices"
)

// Vector is a right-hand side with few numbers: Value[i] stands at unknown Index[i]. An index may come twice; its numbers
// are added.
type Vector struct {
	Index []int32
	Value []float64
}

// Dense lists the vector in full.
func (v Vector) Dense(n int) []float64 {
	x := make([]float64, n)
	for i, k := range v.Index {
		x[k] += v.Value[i]
	}
	return x
}

// Dot gives the product with a full vector.
func (v Vector) Dot(x []float64) (s float64) {
	for i, k := range v.Index {
		s += v.Value[i] * x[k]
	}
	return s
}

// Half holds L⁻¹·b for many b.
type Half struct {
	f      *Factor
	n      int        // vectors
	group  []group    // four vectors each
	lanes  [][4]int32 // vectors of each group, -1 for none
	fronts int
	gave   []float64 // what the last back substitution filled
	room   []float64 // for the next one
}

// group is four columns side by side: the number of unknown (in the order of elimination) u of lane c is x[4u+c].
type group struct {
	x      []float64
	active []bool // fronts in which any of the four differs from zero
}

// Forward gives L⁻¹·b for every vector, at the cost of the fronts between the unknowns a vector touches and the root.
// Index numbers must be below the number of unknowns.
func (f *Factor) Forward(bs []Vector) (*Half, error) { return f.ForwardIn(nil, bs) }

// ForwardIn is Forward in the room of an earlier half, of whatever factor, that nobody needs any more, nor what it gave last.
func (f *Factor) ForwardIn(old *Half, bs []Vector) (*Half, error) {
	if f.stale {
		return nil, ErrStale
	}
	s := f.plan
	h := &Half{f: f, n: len(bs), fronts: len(s.fronts)}
	frontOf := make([]int32, s.pattern.Unknowns())
	for k := range s.fronts {
		fr := &s.fronts[k]
		for u := range fr.m {
			frontOf[fr.first+u] = int32(k)
		}
	}
	// vectors that begin near each other in the tree share their path: group them
	order := make([]int32, len(bs))
	first := make([]int32, len(bs))
	for i, b := range bs {
		order[i], first[i] = int32(i), int32(len(s.fronts))
		if len(b.Index) != len(b.Value) {
			return nil, fmt.Errorf("%w: vector %d has %d indices and %d numbers", ErrShape, i, len(b.Index), len(b.Value))
		}
		for _, u := range b.Index {
			if u < 0 || int(u) >= len(s.perm) {
				return nil, fmt.Errorf("%w: unknown %d in vector %d", ErrShape, u, i)
			}
			first[i] = min(first[i], frontOf[s.perm[u]])
		}
	}
	slices.SortStableFunc(order, func(a, b int32) int { return int(first[a] - first[b]) })
	h.group = make([]group, (len(bs)+3)/4)
	h.lanes = make([][4]int32, len(h.group))
	for g := range h.lanes {
		h.lanes[g] = [4]int32{-1, -1, -1, -1}
		copy(h.lanes[g][:], order[4*g:])
	}
	if old == nil {
		old = new(Half)
	}
	h.room = old.gave
	defer func() { *old = Half{} }()
	for g := range h.group {
		gr := &h.group[g]
		if g < len(old.group) && len(old.group[g].x) == 4*len(s.perm) && len(old.group[g].active) == len(s.fronts) {
			*gr = old.group[g]
			clear(gr.x)
			clear(gr.active)
		} else {
			gr.x = make([]float64, 4*len(s.perm))
			gr.active = make([]bool, len(s.fronts))
		}
		for c, i := range order[4*g : min(4*g+4, len(order))] {
			b := bs[i]
			for k, u := range b.Index {
				p := s.perm[u]
				gr.x[4*int(p)+c] += b.Value[k]
				gr.active[frontOf[p]] = true
			}
		}
		for k := range s.fronts {
			if gr.active[k] {
				if up := s.fronts[k].parent; up >= 0 {
					gr.active[up] = true
				}
				f.forward(k, gr.x)
			}
		}
	}
	return h, nil
}

// forward solves with the columns of front k and carries the rest to later unknowns.
func (f *Factor) forward(k int, x []float64) {
	fr, l, _ := f.parts(k)
	m := fr.m
	y := x[4*fr.first : 4*(fr.first+m)]
	i := 0
	for ; i+1 < m; i += 2 {
		s0, s1, s2, s3, t0, t1, t2, t3 := rows24(l[i*m:i*m+i], l[(i+1)*m:(i+1)*m+i], y[:4*i])
		p, q, d := l[i*m+i], l[(i+1)*m+i], l[(i+1)*m+i+1]
		z := y[4*i : 4*i+8]
		u0, u1, u2, u3 := (z[0]-s0)*p, (z[1]-s1)*p, (z[2]-s2)*p, (z[3]-s3)*p
		z[0], z[1], z[2], z[3] = u0, u1, u2, u3
		z[4], z[5], z[6], z[7] = (z[4]-t0-q*u0)*d, (z[5]-t1-q*u1)*d, (z[6]-t2-q*u2)*d, (z[7]-t3-q*u3)*d
	}
	if i < m {
		s0, s1, s2, s3 := rows14(l[i*m:i*m+i], y[:4*i])
		d := l[i*m+i]
		z := y[4*i : 4*i+4]
		z[0], z[1], z[2], z[3] = (z[0]-s0)*d, (z[1]-s1)*d, (z[2]-s2)*d, (z[3]-s3)*d
	}
	l = l[m*m:]
	i = 0
	for ; i+1 < fr.r; i += 2 {
		s0, s1, s2, s3, t0, t1, t2, t3 := rows24(l[i*m:i*m+m], l[(i+1)*m:(i+1)*m+m], y)
		z := x[4*fr.rows[i] : 4*fr.rows[i]+4]
		z[0] -= s0
		z[1] -= s1
		z[2] -= s2
		z[3] -= s3
		z = x[4*fr.rows[i+1] : 4*fr.rows[i+1]+4]
		z[0] -= t0
		z[1] -= t1
		z[2] -= t2
		z[3] -= t3
	}
	if i < fr.r {
		s0, s1, s2, s3 := rows14(l[i*m:i*m+m], y)
		z := x[4*fr.rows[i] : 4*fr.rows[i]+4]
		z[0] -= s0
		z[1] -= s1
		z[2] -= s2
		z[3] -= s3
	}
}

// backward solves with the transposed columns of front k, the later unknowns being known. buf is room for four numbers for
// each row of the front.
func (f *Factor) backward(k int, x, buf []float64) {
	fr, l, _ := f.parts(k)
	m := fr.m
	y := x[4*fr.first : 4*(fr.first+m)]
	buf = buf[:4*(m+fr.r)]
	for i, u := range fr.rows {
		copy(buf[4*(m+i):4*(m+i)+4], x[4*u:4*u+4])
	}
	i := m - 1
	if m&1 == 1 { // the last column alone
		var s0, s1, s2, s3 float64
		if fr.r > 0 {
			s0, s1, s2, s3 = cols14(l[m*m+i:], m, buf[4*m:])
		}
		d := l[i*m+i]
		z := buf[4*i : 4*i+4]
		z[0], z[1], z[2], z[3] = (y[4*i]-s0)*d, (y[4*i+1]-s1)*d, (y[4*i+2]-s2)*d, (y[4*i+3]-s3)*d
		i--
	}
	for ; i >= 1; i -= 2 {
		// columns i-1 and i, by the rows below
		s0, s1, s2, s3, t0, t1, t2, t3 := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
		if at := (i+1)*m + i - 1; at < len(l) {
			s0, s1, s2, s3, t0, t1, t2, t3 = cols24(l[at:], m, buf[4*(i+1):])
		}
		d, q, p := l[i*m+i], l[i*m+i-1], l[(i-1)*m+i-1]
		z := y[4*i-4 : 4*i+4]
		t0, t1, t2, t3 = (z[4]-t0)*d, (z[5]-t1)*d, (z[6]-t2)*d, (z[7]-t3)*d
		s0, s1, s2, s3 = (z[0]-s0-q*t0)*p, (z[1]-s1-q*t1)*p, (z[2]-s2-q*t2)*p, (z[3]-s3-q*t3)*p
		z = buf[4*i-4 : 4*i+4]
		z[0], z[1], z[2], z[3], z[4], z[5], z[6], z[7] = s0, s1, s2, s3, t0, t1, t2, t3
	}
	copy(y, buf[:4*m])
}

// Back gives A⁻¹·b for every vector, in the caller's order of unknowns. The half stays as it was.
func (h *Half) Back() [][]float64 {
	return h.back(4*len(h.group), func(g int, x []float64) { copy(x, h.group[g].x) },
		func(i int) int { return int(h.lanes[i/4][i%4]) })[:h.n]
}

// back solves backwards for n columns, four at a time: fill gives the four of group g, and column i goes to result to(i).
func (h *Half) back(n int, fill func(g int, x []float64), to func(i int) int) [][]float64 {
	out := make([][]float64, n)
	perm := h.f.plan.perm
	flat := h.room
	h.room = nil
	if len(flat) != n*len(perm) {
		flat = make([]float64, n*len(perm))
	}
	h.gave = flat
	for i := range out {
		out[i] = flat[i*len(perm) : (i+1)*len(perm)]
	}
	most := 0
	for k := range h.f.plan.fronts {
		most = max(most, h.f.plan.fronts[k].m+h.f.plan.fronts[k].r)
	}
	x, buf := make([]float64, 4*len(perm)), make([]float64, 4*most)
	for g := range (n + 3) / 4 {
		fill(g, x)
		for k := h.fronts - 1; k >= 0; k-- {
			h.f.backward(k, x, buf)
		}
		for c := range min(4, n-4*g) {
			if i := to(4*g + c); i >= 0 {
				o := out[i]
				for u, p := range perm {
					o[u] = x[4*int(p)+c]
				}
			}
		}
	}
	return out
}

// Solve gives A⁻¹·b for full right-hand sides.
func (f *Factor) Solve(bs ...[]float64) ([][]float64, error) {
	n := len(f.plan.perm)
	index := make([]int32, n)
	for i := range index {
		index[i] = int32(i)
	}
	vs := make([]Vector, len(bs))
	for i, b := range bs {
		if len(b) != n {
			return nil, fmt.Errorf("%w: vector %d has %d numbers, the matrix %d rows", ErrShape, i, len(b), n)
		}
		vs[i] = Vector{index, b}
	}
	h, err := f.Forward(vs)
	if err != nil {
		return nil, err
	}
	return h.Back(), nil
}

// Refine improves x as the solution of A·x = b by one step, and gives the residual (see [Matrix.Residual]) before it.
func (f *Factor) Refine(m *Matrix, x, b []float64) (residual float64, err error) {
	residual = m.Residual(x, b)
	r := m.Mul(x)
	for i := range r {
		r[i] = b[i] - r[i]
	}
	d, err := f.Solve(r)
	if err != nil {
		return residual, err
	}
	for i := range x {
		x[i] += d[0][i]
	}
	return residual, nil
}
