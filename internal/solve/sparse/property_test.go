package sparse

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// full spreads a matrix out.
func full(m *Matrix) [][]float64 {
	p := m.Pattern
	a := make([][]float64, p.Unknowns())
	for i := range a {
		a[i] = make([]float64, len(a))
	}
	for i := range p.Blocks() {
		for j := range i + 1 {
			at := p.Find(i, j)
			if at < 0 {
				continue
			}
			for r := range p.Size(i) {
				for c := range p.Size(j) {
					if i == j && c > r {
						break
					}
					v := m.Values[at+r*p.Size(j)+c]
					a[p.First(i)+r][p.First(j)+c], a[p.First(j)+c][p.First(i)+r] = v, v
				}
			}
		}
	}
	return a
}

// denseSolve is plain Cholesky, row by row, for comparison.
func denseSolve(a [][]float64, b []float64) []float64 {
	n := len(a)
	l := make([][]float64, n)
	x := slices.Clone(b)
	for i := range n {
		l[i] = make([]float64, i+1)
		for j := range i + 1 {
			s := a[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			if i == j {
				l[i][i] = math.Sqrt(s)
			} else {
				l[i][j] = s / l[j][j]
			}
		}
		for k := range i {
			x[i] -= l[i][k] * x[k]
		}
		x[i] /= l[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= l[k][i] * x[k]
		}
		x[i] /= l[i][i]
	}
	return x
}

func randomVectors(r *rand.Rand, n, k int) []Vector {
	bs := make([]Vector, k)
	for i := range bs {
		if n == 0 {
			continue
		}
		for range r.IntN(5) {
			bs[i].Index = append(bs[i].Index, int32(r.IntN(n)))
			bs[i].Value = append(bs[i].Value, r.NormFloat64())
		}
	}
	return bs
}

func TestAgainstDense(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	worst := 0.0
	for range 300 {
		m, at := randomMatrix(t, r)
		a := full(m)
		n := len(a)
		bs := randomVectors(r, n, r.IntN(11))
		for name, tree := range orders(t, m.Pattern, at) {
			f := factor(t, m, tree)
			h, err := f.Forward(bs)
			if err != nil {
				t.Fatal(name, err)
			}
			xs, gram := h.Back(), h.Gram()
			for i, b := range bs {
				if res := m.Residual(xs[i], b.Dense(n)); res > 1e-15*float64(n+1) {
					t.Fatalf("%s: residual %g", name, res)
				}
				want := denseSolve(a, b.Dense(n))
				top := 1e-300
				for _, v := range want {
					top = max(top, math.Abs(v))
				}
				for k, v := range want {
					worst = max(worst, math.Abs(xs[i][k]-v)/top)
				}
				for j := range bs {
					g, scale := bs[j].Dot(want), math.Sqrt(gram[i][i]*gram[j][j])
					if math.Abs(gram[i][j]-g) > 1e-7*scale+1e-300 || gram[i][j] != gram[j][i] {
						t.Fatalf("%s: product %d %d is %g, wanted %g", name, i, j, gram[i][j], g)
					}
				}
			}
		}
	}
	t.Logf("largest difference from dense Cholesky, as a share of the largest unknown: %.2g", worst)
	if worst > 1e-6 { // stiffnesses ten powers of ten apart lose that many digits in both
		t.Errorf("differs from dense Cholesky by %g", worst)
	}
}

func TestMulIsSymmetricProduct(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		m, _ := randomMatrix(t, r)
		a := full(m)
		x := make([]float64, len(a))
		for i := range x {
			x[i] = r.NormFloat64()
		}
		y := m.Mul(x)
		xs := make([][]float64, 1+r.IntN(9))
		for k := range xs {
			xs[k] = make([]float64, len(x))
			for i := range x {
				xs[k][i] = float64(k+1) * x[i]
			}
		}
		many := m.MulMany(xs)
		for i, row := range a {
			var s, size float64
			for j, v := range row {
				s += v * x[j]
				size += math.Abs(v * x[j])
			}
			if math.Abs(s-y[i]) > 1e-14*size {
				t.Fatalf("row %d: %g, wanted %g", i, y[i], s)
			}
			for k, z := range many {
				if f := float64(k + 1); math.Abs(z[i]-f*s) > 1e-14*f*size {
					t.Fatalf("vector %d, row %d: %g, wanted %g", k, i, z[i], f*s)
				}
			}
		}
	}
}

// An update gives the same bits as factoring anew, and does no front that it need not.
func TestUpdate(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		m, at := randomMatrix(t, r)
		tree, _ := Dissect(m.Pattern, at, 1+r.IntN(20))
		f := factor(t, m, tree)
		for range 3 {
			b := r.IntN(m.Pattern.Blocks())
			for k := range m.Pattern.Size(b) {
				m.Add(b, b, k, k, r.Float64())
			}
			done, err := f.Update(m, []int32{int32(b)})
			if err != nil {
				t.Fatal(err)
			}
			depth := 0
			for k := f.plan.owner[b]; k >= 0; k = f.plan.fronts[k].parent {
				depth++
			}
			if done != depth {
				t.Fatalf("%d fronts done, the path has %d", done, depth)
			}
			again, err := f.plan.Factor(m)
			if err != nil {
				t.Fatal(err)
			}
			for i, v := range again.l {
				fr := i // entries above the diagonal are never read; they are zero in both
				if math.Float64bits(v) != math.Float64bits(f.l[fr]) {
					t.Fatalf("number %d: %g after the update, %g anew", i, f.l[i], v)
				}
			}
		}
	}
}

func TestBackSums(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 100 {
		m, at := randomMatrix(t, r)
		n := m.Pattern.Unknowns()
		tree, _ := Dissect(m.Pattern, at, 4)
		f := factor(t, m, tree)
		bs := randomVectors(r, n, 1+r.IntN(9))
		h, _ := f.Forward(randomVectors(r, n, r.IntN(9)))
		h, _ = f.ForwardIn(h, bs)
		coef := make([][]float64, 1+r.IntN(6))
		sums := make([][]float64, len(coef))
		for i := range coef {
			coef[i] = make([]float64, len(bs))
			sums[i] = make([]float64, n)
			for j := range bs {
				if r.IntN(2) == 0 {
					coef[i][j] = r.NormFloat64()
				}
				for u, v := range bs[j].Dense(n) {
					sums[i][u] += coef[i][j] * v
				}
			}
		}
		xs, err := h.BackSums(coef)
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range xs {
			if res := m.Residual(x, sums[i]); res > 1e-14*float64(n+1) {
				t.Fatalf("residual of a sum: %g", res)
			}
		}
	}
}

func TestRefine(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 50 {
		m, at := randomMatrix(t, r)
		n := m.Pattern.Unknowns()
		tree, _ := Dissect(m.Pattern, at, 0)
		f := factor(t, m, tree)
		b := make([]float64, n)
		x := make([]float64, n)
		for i := range b {
			b[i] = r.NormFloat64()
		}
		if _, err := f.Refine(m, x, b); err != nil { // from nothing: the solution
			t.Fatal(err)
		}
		if n > 0 && m.Residual(x, b) > 1e-15*float64(n) {
			t.Fatalf("residual %g after a step", m.Residual(x, b))
		}
	}
}
