package sparse

import (
	"fmt"
	"testing"
)

func BenchmarkGrid(b *testing.B) {
	for _, k := range []int{100, 200} {
		m, at := grid(b, k, k)
		b.Run(fmt.Sprintf("%d/plan", k*k), func(b *testing.B) {
			for b.Loop() {
				tree, _ := Dissect(m.Pattern, at, 0)
				_, _ = NewPlan(m.Pattern, tree)
			}
		})
		b.Run(fmt.Sprintf("%d/plan by graph", k*k), func(b *testing.B) {
			for b.Loop() {
				_, _ = NewPlan(m.Pattern, DissectGraph(m.Pattern, 0))
			}
		})
		tree, _ := Dissect(m.Pattern, at, 0)
		f := factor(b, m, tree)
		_, _, flops := f.plan.Size()
		b.Run(fmt.Sprintf("%d/factor", k*k), func(b *testing.B) {
			for b.Loop() {
				_ = f.Refactor(m)
			}
			b.ReportMetric(2*flops*float64(b.N)/b.Elapsed().Seconds()/1e9, "GF/s")
		})
		bs := make([][]float64, 40)
		for i := range bs {
			bs[i] = make([]float64, k*k)
			for j := range bs[i] {
				bs[i][j] = float64((i*j)%7) - 3
			}
		}
		b.Run(fmt.Sprintf("%d/solve 40", k*k), func(b *testing.B) {
			for b.Loop() {
				_, _ = f.Solve(bs...)
			}
		})
	}
}
