package pack

import (
	"testing"
	"time"
)

// Measured over whole families: gap% is the mean distance from the published optimum, bound% that of the bound,
// exact the share proved, ms the mean time for one question and worst_ms the longest.
type tally struct {
	gap, bound, exact float64
	count             int
	sum, worst        time.Duration
}

// spent is a clock: time on the processor where that can be had.
var spent = func() time.Duration { return time.Since(began) }

var began = time.Now()

func (a *tally) add(start time.Duration, gap, bound float64, exact bool) {
	d := spent() - start
	a.sum, a.worst = a.sum+d, max(a.worst, d)
	a.gap, a.bound, a.count = a.gap+gap, a.bound+bound, a.count+1
	if exact {
		a.exact++
	}
}

func (a *tally) report(b *testing.B) {
	n := float64(a.count)
	b.ReportMetric(100*a.gap/n, "gap%")
	b.ReportMetric(100*a.bound/n, "bound%")
	b.ReportMetric(a.exact/n, "exact")
	b.ReportMetric(float64(a.sum.Milliseconds())/n, "ms")
	b.ReportMetric(float64(a.worst.Milliseconds()), "worst_ms")
	b.ReportMetric(0, "ns/op")
}

func BenchmarkPatterns(b *testing.B) {
	for _, set := range []string{"unconstrained", "constrained", "ngcut"} {
		all := patterns(b, set)
		for _, group := range []struct {
			name string
			keep func(o optimum) bool
		}{
			{"fixed", func(o optimum) bool { return !o.turn && o.kerf == 0 }},
			{"turning", func(o optimum) bool { return o.turn && o.kerf == 0 }},
			{"kerf", func(o optimum) bool { return o.kerf > 0 }},
		} {
			b.Run(set+"/"+group.name, func(b *testing.B) {
				var a tally
				for b.Loop() {
					for _, p := range all {
						for _, o := range p.optima(set) {
							if group.keep(o) {
								start := spent()
								r := p.solve(b, o)
								a.add(start, 1-r.Value/o.value, r.Bound/o.value-1, r.Exact)
							}
						}
					}
				}
				if a.count == 0 {
					b.Skip("no such values")
				}
				a.report(b)
			})
		}
	}
}

func BenchmarkStock(b *testing.B) {
	for _, set := range []string{"A", "CLASS"} {
		families := map[string][]cutList{}
		var names []string
		for _, c := range cutLists(b, set) {
			name := c.name[:min(5, len(c.name))]
			if set == "A" {
				name = "A"
			}
			if families[name] == nil {
				names = append(names, name)
			}
			families[name] = append(families[name], c)
		}
		for _, name := range names {
			for _, turn := range []bool{false, true} {
				b.Run(name+map[bool]string{false: "/fixed", true: "/turning"}[turn], func(b *testing.B) {
					var a tally
					for b.Loop() {
						for _, c := range families[name] {
							if best, ok := c.known(turn); ok {
								start := spent()
								r := c.solve(b, turn, Stock, Usual)
								a.add(start, r.Cost/best-1, 1-r.Bound/best, r.Exact)
							}
						}
					}
					if a.count > 0 {
						a.report(b)
					}
				})
			}
		}
	}
}

// The least height is that of cutting anywhere; from edge to edge it may be larger.
func BenchmarkStrip(b *testing.B) {
	for _, set := range []string{"BKW", "C", "TN"} {
		all := strips(b, set)
		for _, way := range []Way{Anywhere, EdgeToEdge} {
			for _, turn := range []bool{false, true} {
				name := set + map[Way]string{Anywhere: "/anywhere", EdgeToEdge: "/edge-to-edge"}[way]
				b.Run(name+map[bool]string{false: "/fixed", true: "/turning"}[turn], func(b *testing.B) {
					var a tally
					for b.Loop() {
						for _, s := range all {
							start := spent()
							r := s.solve(b, turn, way, Usual)
							a.add(start, r.Length/s.height-1, 1-r.Bound/s.height, r.Exact)
						}
					}
					a.report(b)
				})
			}
		}
	}
}
