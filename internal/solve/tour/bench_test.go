package tour

import (
	"fmt"
	"testing"
)

// gap% is the excess over the optimum.
func BenchmarkKnown(b *testing.B) {
	for _, in := range knownInstances(b) {
		for _, e := range []struct {
			name   string
			effort Effort
		}{{"usual", Usual}, {"thorough", Thorough}} {
			b.Run(in.name+"/"+e.name, func(b *testing.B) {
				var r Route
				for b.Loop() {
					r = must(Closed(len(in.points), in.cost))(b).Solve(e.effort)
				}
				b.ReportMetric(100*(r.Length/in.optimum-1), "gap%")
			})
		}
	}
}

// overbound% is the excess over the lower bound, so it counts the weakness of both.
func BenchmarkScatter(b *testing.B) {
	for _, n := range []int{12, 30, 150, 500, 1000, 2000} {
		points := scatter(1, n, 400)
		b.Run(fmt.Sprintf("closed/%d", n), func(b *testing.B) {
			var r Route
			var p *Problem
			for b.Loop() {
				p = must(Closed(n, Euclid(points)))(b)
				r = p.Solve(Usual)
			}
			b.ReportMetric(100*r.Excess(p.LowerBound(0)), "overbound%")
		})
		b.Run(fmt.Sprintf("groups/%d", n), func(b *testing.B) {
			groups := make([][]int, 6)
			for i := 1; i < n; i++ {
				groups[i%6] = append(groups[i%6], i)
			}
			var r Route
			var p *Problem
			for b.Loop() {
				p = must(Clustered(groups, Euclid(points), 0, GivenOrder))(b)
				r = p.Solve(Usual)
			}
			b.ReportMetric(100*r.Excess(p.LowerBound(0)), "overbound%")
		})
	}
}

func BenchmarkLowerBound(b *testing.B) {
	for _, n := range []int{30, 150, 500, 2000} {
		p := must(Closed(n, Euclid(scatter(1, n, 400))))(b)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				p.LowerBound(0)
			}
		})
	}
}
