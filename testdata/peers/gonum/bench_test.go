// Package gonum measures the sparse solver beside the band Cholesky of gonum.org/v1/gonum, in one run:
//
//	cd testdata/peers/gonum && go test -run '^$' -bench . -benchtime 3x -timeout 30m
//
// Both solve the five-point Laplacian of a square grid, numbered row by row, with 40 right-hand sides, and must agree.
package gonum

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"knobwright/internal/solve/sparse"
)

const sides = 40

func right(k, i int) float64 { return float64((i*(k+3))%17) - 8 }

func ours(b testing.TB, n int) (*sparse.Plan, *sparse.Matrix) {
	sizes := make([]int, n*n)
	at := make([]sparse.Point, n*n)
	var pairs [][]int32
	for i := range sizes {
		sizes[i], at[i] = 1, sparse.Point{X: float64(i % n), Y: float64(i / n)}
		if i%n > 0 {
			pairs = append(pairs, []int32{int32(i), int32(i - 1)})
		}
		if i >= n {
			pairs = append(pairs, []int32{int32(i), int32(i - n)})
		}
	}
	p, err := sparse.NewPattern(sizes, pairs)
	if err != nil {
		b.Fatal(err)
	}
	m := sparse.NewMatrix(p)
	for i := range sizes {
		m.Add(i, i, 0, 0, 4)
	}
	for _, q := range pairs {
		m.Add(int(q[0]), int(q[1]), 0, 0, -1)
	}
	tree, err := sparse.Dissect(p, at, 0)
	if err != nil {
		b.Fatal(err)
	}
	plan, err := sparse.NewPlan(p, tree)
	if err != nil {
		b.Fatal(err)
	}
	return plan, m
}

func band(n int) *mat.SymBandDense {
	a := mat.NewSymBandDense(n*n, n, nil)
	for i := range n * n {
		a.SetSymBand(i, i, 4)
		if i%n > 0 {
			a.SetSymBand(i-1, i, -1)
		}
		if i >= n {
			a.SetSymBand(i-n, i, -1)
		}
	}
	return a
}

func BenchmarkLaplacian(b *testing.B) {
	for _, n := range []int{100, 200} {
		plan, m := ours(b, n)
		var x [][]float64
		b.Run(fmt.Sprintf("%d/ours/plan", n*n), func(b *testing.B) {
			for b.Loop() {
				ours(b, n)
			}
		})
		f, err := plan.Factor(m)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("%d/ours/factor", n*n), func(b *testing.B) {
			for b.Loop() {
				if err := f.Refactor(m); err != nil {
					b.Fatal(err)
				}
			}
		})
		rhs := make([][]float64, sides)
		for k := range rhs {
			rhs[k] = make([]float64, n*n)
			for i := range rhs[k] {
				rhs[k][i] = right(k, i)
			}
		}
		b.Run(fmt.Sprintf("%d/ours/solve 40", n*n), func(b *testing.B) {
			for b.Loop() {
				if x, err = f.Solve(rhs...); err != nil {
					b.Fatal(err)
				}
			}
		})
		var chol mat.BandCholesky
		b.Run(fmt.Sprintf("%d/gonum/factor", n*n), func(b *testing.B) {
			a := band(n)
			for b.Loop() {
				if !chol.Factorize(a) {
					b.Fatal("not positive definite")
				}
			}
		})
		var y mat.Dense
		b.Run(fmt.Sprintf("%d/gonum/solve 40", n*n), func(b *testing.B) {
			r := mat.NewDense(n*n, sides, nil)
			for k := range sides {
				r.SetCol(k, rhs[k])
			}
			for b.Loop() {
				y.Reset()
				if err := chol.SolveTo(&y, r); err != nil {
					b.Fatal(err)
				}
			}
		})
		worst := 0.0
		for k := range sides {
			for i := range n * n {
				worst = max(worst, math.Abs(x[k][i]-y.At(i, k))/math.Max(1, math.Abs(x[k][i])))
			}
		}
		if worst > 1e-9 {
			b.Fatalf("solutions differ by %g", worst)
		}
	}
}
