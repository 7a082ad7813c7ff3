package sparse

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// grid gives the five-point Laplacian of an nx by ny grid with fixed rim: 4 on the diagonal, -1 beside it.
func grid(t testing.TB, nx, ny int) (*Matrix, []Point) {
	t.Helper()
	sizes := make([]int, nx*ny)
	at := make([]Point, nx*ny)
	var pairs [][]int32
	for y := range ny {
		for x := range nx {
			i := int32(y*nx + x)
			sizes[i], at[i] = 1, Point{float64(x), float64(y)}
			if x > 0 {
				pairs = append(pairs, []int32{i, i - 1})
			}
			if y > 0 {
				pairs = append(pairs, []int32{i, i - int32(nx)})
			}
		}
	}
	p, err := NewPattern(sizes, pairs)
	if err != nil {
		t.Fatal(err)
	}
	m := NewMatrix(p)
	for i := range sizes {
		m.Add(i, i, 0, 0, 4)
	}
	for _, q := range pairs {
		m.Add(int(q[0]), int(q[1]), 0, 0, -1)
	}
	return m, at
}

// orders gives the trees that every test tries.
func orders(t testing.TB, p *Pattern, at []Point) map[string]*Tree {
	t.Helper()
	trees := map[string]*Tree{"graph": DissectGraph(p, 0), "graph, leaf 1": DissectGraph(p, 1)}
	if at != nil {
		for name, leaf := range map[string]int{"points": 0, "points, leaf 1": 1, "points, whole": 1 << 30} {
			tree, err := Dissect(p, at, leaf)
			if err != nil {
				t.Fatal(err)
			}
			trees[name] = tree
		}
	}
	return trees
}

func factor(t testing.TB, m *Matrix, tree *Tree) *Factor {
	t.Helper()
	plan, err := NewPlan(m.Pattern, tree)
	if err != nil {
		t.Fatal(err)
	}
	f, err := plan.Factor(m)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// logDet gives the logarithm of the determinant of the factored matrix.
func logDet(f *Factor) (s float64) {
	for k := range f.plan.fronts {
		fr, l, _ := f.parts(k)
		for i := range fr.m {
			s -= 2 * math.Log(l[i*fr.m+i])
		}
	}
	return s
}

// The eigenvalues of the five-point Laplacian are 4 - 2·cos(πp/(nx+1)) - 2·cos(πq/(ny+1)), its eigenvectors products of
// sines (any text on finite differences).
func TestLaplacianEigenvalues(t *testing.T) {
	const nx, ny = 23, 17
	m, at := grid(t, nx, ny)
	lambda := func(p, q int) float64 {
		return 4 - 2*math.Cos(math.Pi*float64(p)/(nx+1)) - 2*math.Cos(math.Pi*float64(q)/(ny+1))
	}
	var want float64
	for p := 1; p <= nx; p++ {
		for q := 1; q <= ny; q++ {
			want += math.Log(lambda(p, q))
		}
	}
	for name, tree := range orders(t, m.Pattern, at) {
		f := factor(t, m, tree)
		if got := logDet(f); math.Abs(got-want) > 1e-10*want {
			t.Errorf("%s: logarithm of the determinant %.12g, the eigenvalues give %.12g", name, got, want)
		}
		for _, pq := range [][2]int{{1, 1}, {2, 1}, {5, 9}, {nx, ny}} {
			v := make([]float64, nx*ny)
			for i := range v {
				x, y := i%nx+1, i/nx+1
				v[i] = math.Sin(math.Pi*float64(pq[0]*x)/(nx+1)) * math.Sin(math.Pi*float64(pq[1]*y)/(ny+1))
			}
			x, err := f.Solve(v)
			if err != nil {
				t.Fatal(err)
			}
			l := lambda(pq[0], pq[1])
			for i := range v {
				if math.Abs(x[0][i]-v[i]/l) > 1e-12/l {
					t.Fatalf("%s: eigenvector %v: unknown %d is %g, wanted %g", name, pq, i, x[0][i], v[i]/l)
				}
			}
			if r := m.Residual(x[0], v); r > 1e-15 {
				t.Errorf("%s: residual %g", name, r)
			}
		}
	}
}

// The straight chain of n equal springs fixed at both ends gives i·(n+1-j)/(n+1) at j under a push at i ≤ j.
func TestChainGives(t *testing.T) {
	const n = 50
	sizes := make([]int, n)
	var pairs [][]int32
	for i := range sizes {
		sizes[i] = 1
		if i > 0 {
			pairs = append(pairs, []int32{int32(i), int32(i - 1)})
		}
	}
	p, _ := NewPattern(sizes, pairs)
	m := NewMatrix(p)
	for i := range n {
		m.Add(i, i, 0, 0, 2)
		if i > 0 {
			m.Add(i, i-1, 0, 0, -1)
		}
	}
	f := factor(t, m, DissectGraph(p, 3))
	bs := make([]Vector, n)
	for i := range bs {
		bs[i] = Vector{[]int32{int32(i)}, []float64{1}}
	}
	h, err := f.Forward(bs)
	if err != nil {
		t.Fatal(err)
	}
	c := h.Gram()
	for i := range n {
		for j := i; j < n; j++ {
			want := float64((i+1)*(n-j)) / (n + 1)
			if math.Abs(c[i][j]-want) > 1e-11 || c[i][j] != c[j][i] {
				t.Fatalf("%d under %d: %g and %g, wanted %g", i, j, c[i][j], c[j][i], want)
			}
		}
	}
}

func TestNotPositive(t *testing.T) {
	m, at := grid(t, 12, 9)
	tree, _ := Dissect(m.Pattern, at, 0)
	f := factor(t, m, tree)
	for _, b := range []int{0, 53, 107} {
		bad := &Matrix{m.Pattern, append([]float64(nil), m.Values...)}
		bad.Add(b, b, 0, 0, -9)
		var pe *PivotError
		if _, err := f.plan.Factor(bad); !errors.As(err, &pe) || !(pe.Pivot <= 0) {
			t.Errorf("block %d: %v", b, err)
		}
		bad.Add(b, b, 0, 0, math.NaN())
		if _, err := f.plan.Factor(bad); !errors.As(err, &pe) {
			t.Errorf("block %d, no number: %v", b, err)
		}
		if _, err := f.Update(bad, []int32{int32(b)}); !errors.As(err, &pe) {
			t.Errorf("update of block %d: %v", b, err)
		}
		if _, err := f.Update(m, []int32{int32(b)}); !errors.Is(err, ErrStale) {
			t.Errorf("after a failed update: %v", err)
		}
		if _, err := f.Forward(nil); !errors.Is(err, ErrStale) {
			t.Errorf("solving after a failed update: %v", err)
		}
		if err := f.Refactor(m); err != nil {
			t.Error(err)
		}
	}
	// a floating chain has one free motion
	p, _ := NewPattern([]int{1, 1, 1}, [][]int32{{0, 1}, {1, 2}})
	free := NewMatrix(p)
	for i := range 2 {
		free.Add(i, i, 0, 0, 1)
		free.Add(i+1, i+1, 0, 0, 1)
		free.Add(i, i+1, 0, 0, -1)
	}
	plan, _ := NewPlan(p, DissectGraph(p, 1))
	var pe *PivotError
	if _, err := plan.Factor(free); !errors.As(err, &pe) {
		t.Errorf("a floating chain: %v", err)
	}
}

func TestShapes(t *testing.T) {
	if _, err := NewPattern([]int{1, -1}, nil); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	if _, err := NewPattern([]int{1}, [][]int32{{0, 1}}); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	p, _ := NewPattern([]int{1, 2, 0}, [][]int32{{0, 1}, {1, 2}})
	if _, err := Dissect(p, nil, 0); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	for _, tree := range []*Tree{
		{parts: [][]int32{{0, 1}}, parent: []int32{-1}},              // leaves one out
		{parts: [][]int32{{0, 1}, {1, 2}}, parent: []int32{1, -1}},   // one twice
		{parts: [][]int32{{0}, {1}, {2}}, parent: []int32{-1, 2, 2}}, // parent after... and a part alone that touches others
		{parts: [][]int32{{0, 1}, {2}}, parent: []int32{0, -1}},      // its own parent
	} {
		if _, err := NewPlan(p, tree); !errors.Is(err, ErrShape) {
			t.Errorf("%v: %v", tree, err)
		}
	}
	m := NewMatrix(p)
	for i := range 3 {
		for r := range p.Size(i) {
			m.Add(i, i, r, r, 1)
		}
	}
	f := factor(t, m, DissectGraph(p, 1))
	if _, err := f.Solve([]float64{1}); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	if _, err := f.Forward([]Vector{{[]int32{3}, []float64{1}}}); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	if _, err := f.Forward([]Vector{{[]int32{1}, nil}}); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	if err := f.Refactor(NewMatrix(&Pattern{})); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	empty, err := NewPattern(nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if x, err := factor(t, NewMatrix(empty), DissectGraph(empty, 0)).Solve([]float64{}); err != nil || len(x[0]) != 0 {
		t.Error(x, err)
	}
}

// The graph order must not be much worse than the order by coordinates, and both far better than no order.
func TestFill(t *testing.T) {
	m, at := grid(t, 120, 120)
	size := map[string]int{}
	for name, tree := range orders(t, m.Pattern, at) {
		plan, err := NewPlan(m.Pattern, tree)
		if err != nil {
			t.Fatal(err)
		}
		lower, _, flops := plan.Size()
		size[name] = lower
		t.Logf("%-16s %9d numbers %12.3g multiplications", name, lower, flops)
	}
	if band := 120 * 120 * 120; size["points"] > band/2 {
		t.Errorf("by points %d numbers, a band would hold %d", size["points"], band)
	}
	if size["graph"] > 2*size["points"] {
		t.Errorf("by the graph %d numbers, by points %d", size["graph"], size["points"])
	}
}

// randomMatrix makes a positive definite matrix of one of several families: random blocks and links made dominant, sums of
// random small squares over groups (as elements are), and such sums with stiffness spread over ten powers of ten.
func randomMatrix(t testing.TB, r *rand.Rand) (*Matrix, []Point) {
	t.Helper()
	nb := 1 + r.IntN(40)
	sizes := make([]int, nb)
	at := make([]Point, nb)
	for i := range sizes {
		sizes[i] = r.IntN(5)
		at[i] = Point{float64(r.IntN(6)), float64(r.IntN(6))} // often on one spot
	}
	var groups [][]int32
	for range r.IntN(3 * nb) {
		g := make([]int32, 1+r.IntN(4))
		for i := range g {
			g[i] = int32(r.IntN(nb))
		}
		groups = append(groups, g)
	}
	p, err := NewPattern(sizes, groups)
	if err != nil {
		t.Fatal(err)
	}
	m := NewMatrix(p)
	family := r.IntN(3)
	scale := func() float64 { return 1 }
	if family == 2 {
		scale = func() float64 { return math.Pow(10, 10*r.Float64()-5) }
	}
	for i := range nb {
		for k := range sizes[i] {
			m.Add(i, i, k, k, 0.1*scale())
		}
	}
	type un struct{ b, k int }
	for _, g := range groups {
		var us []un
		seen := map[int32]bool{}
		for _, b := range g {
			if seen[b] {
				continue
			}
			seen[b] = true
			for k := range sizes[b] {
				us = append(us, un{int(b), k})
			}
		}
		s := scale()
		if family == 0 {
			for i, u := range us {
				for _, v := range us[:i] {
					x := r.Float64()*2 - 1
					m.Add(u.b, v.b, u.k, v.k, x)
					m.Add(u.b, u.b, u.k, u.k, math.Abs(x))
					m.Add(v.b, v.b, v.k, v.k, math.Abs(x))
				}
			}
			continue
		}
		for range 1 + len(us)/2 {
			w := make([]float64, len(us))
			for i := range w {
				w[i] = r.NormFloat64()
			}
			for i, u := range us {
				for j, v := range us[:i+1] {
					m.Add(u.b, v.b, u.k, v.k, s*w[i]*w[j])
				}
			}
		}
	}
	return m, at
}
