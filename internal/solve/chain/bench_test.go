package chain

import (
	"fmt"
	"testing"
	"time"
)

// spent is the time so far, on the processor where that can be known.
var spent = func() time.Duration { return time.Duration(time.Now().UnixNano()) }

// gap% is the mean excess over the best known value.
func BenchmarkKnown(b *testing.B) {
	routes, _ := knownRoutes(b)
	for _, set := range []struct {
		name string
		all  []known
	}{{"routes", routes}, {"trees", knownTrees(b)}} {
		for _, effort := range []Effort{Usual, 200, Thorough} {
			b.Run(fmt.Sprintf("%s/%d", set.name, effort), func(b *testing.B) {
				sum, start := 0.0, spent()
				for b.Loop() {
					sum = 0
					for _, in := range set.all {
						plan, err := Solve(in.problem, effort)
						if err != nil {
							b.Fatal(err)
						}
						sum += plan.Cost/in.value - 1
					}
				}
				b.ReportMetric(100*sum/float64(len(set.all)), "gap%")
				b.ReportMetric(1000*(spent()-start).Seconds()/float64(b.N*len(set.all)), "cpu-ms/instance")
			})
		}
	}
}

// scatter spreads terminals over a panel of 500 x 250, and roots along one side of a board in it.
func scatter(seed, n, roots int) Problem {
	chance := random(seed)
	var points []Point
	for range n {
		points = append(points, Point{float64(chance.below(5000)) / 10, float64(chance.below(2500)) / 10})
	}
	for r := range roots {
		points = append(points, Point{200 + 2.54*float64(r), 100})
	}
	return Problem{Terminals: n, Roots: make([]Root, roots), Cost: Euclid(points)}
}

// overbound% is the excess over the lower bound, so it counts the weakness of both.
func BenchmarkScatter(b *testing.B) {
	for _, n := range []int{10, 30, 60, 150, 300} {
		for _, shape := range []Shape{Path, Ring, Tree} {
			p := scatter(1, n, 8)
			p.Shape, p.Capacity = shape, (n+7)/8+1
			if shape == Tree {
				p.Degree = 3
			}
			for r := range p.Roots {
				p.Roots[r].Branches = 1
			}
			b.Run(fmt.Sprintf("%s/%d", shape, n), func(b *testing.B) {
				var plan Plan
				var err error
				start := spent()
				for b.Loop() {
					if plan, err = Solve(p, Usual); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(1000*(spent()-start).Seconds()/float64(b.N), "cpu-ms/op")
				b.ReportMetric(100*plan.Excess(), "overbound%")
			})
		}
	}
}

func BenchmarkBound(b *testing.B) {
	for _, n := range []int{30, 150} {
		q, err := newQuestion(scatter(1, n, 8))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				q.bound(100)
			}
		})
	}
}
