package tour

import (
	"fmt"
	"math"
	"testing"
)

// shortestGrouped finds the shortest walk from home through groups by another way: shortest paths through
// each group between any two of its items (all permutations), then a table over sets of groups and last items.
func shortestGrouped(groups [][]int, home int, cost Cost, order Order) float64 {
	walk := func(i, j int) float64 { return cost(min(i, j), max(i, j)) }
	through := map[[2]int]float64{} // shortest path through a whole group, from and to
	for _, group := range groups {
		permutations(group, func(o []int) {
			sum := 0.0
			for i := 1; i < len(o); i++ {
				sum += walk(o[i-1], o[i])
			}
			ends := [2]int{o[0], o[len(o)-1]}
			if old, ok := through[ends]; !ok || sum < old {
				through[ends] = sum
			}
		})
	}
	type state struct{ set, at int }
	reached := map[state]float64{{0, home}: 0}
	for set := range 1 << len(groups) {
		for g, group := range groups {
			if set>>g&1 == 1 || order == GivenOrder && set != 1<<g-1 {
				continue
			}
			for from, before := range reached {
				if from.set != set {
					continue
				}
				for _, in := range group {
					for _, out := range group {
						inside, ok := through[[2]int{in, out}]
						if !ok {
							continue
						}
						to, sum := state{set | 1<<g, out}, before+walk(from.at, in)+inside
						if old, ok := reached[to]; !ok || sum < old {
							reached[to] = sum
						}
					}
				}
			}
		}
	}
	best := math.Inf(1)
	for to, sum := range reached {
		if to.set == 1<<len(groups)-1 {
			best = min(best, sum)
		}
	}
	return best
}

func TestGroupsAgainstTable(t *testing.T) {
	missed, all := 0, 0
	for seed := range 12 {
		sizes := []int{5, 4, 5, 3, 5, 1}
		n := 1
		var groups [][]int
		for _, size := range sizes {
			groups = append(groups, count(n + size)[n:])
			n += size
		}
		cost := Euclid(scatter(seed+900, n, 200))
		for _, order := range []Order{AnyOrder, GivenOrder} {
			want := shortestGrouped(groups, 0, cost, order)
			p := must(Clustered(groups, cost, 0, order))(t)
			r := p.Solve(Usual)
			checkRoute(t, p, r, n)
			if r.Length < want && !close(r.Length, want) || r.Length > 1.02*want {
				t.Errorf("seed %d, order %d: length %g, shortest %g", seed, order, r.Length, want)
			}
			if bound := p.LowerBound(0); bound > want || bound < 0.9*want {
				t.Errorf("seed %d, order %d: bound %g, shortest %g", seed, order, bound, want)
			}
			all++
			if !close(r.Length, want) {
				missed++
				t.Logf("seed %d, order %d: length %g, shortest %g", seed, order, r.Length, want)
			}
		}
	}
	if missed*10 > all {
		t.Errorf("%d of %d not optimal", missed, all)
	}
}

// A walk may start inside a group; without a home it starts in the first group.
func TestGroupsStart(t *testing.T) {
	cost := Euclid(scatter(3, 30, 100))
	groups := [][]int{count(10), nil, count(22)[10:], count(30)[22:]}
	for _, test := range []struct {
		start int
		order Order
		first int // group that must come first, or Free
	}{
		{4, AnyOrder, 0}, {25, AnyOrder, 3}, {4, GivenOrder, 0}, {Free, GivenOrder, 0}, {Free, AnyOrder, Free},
	} {
		p := must(Clustered(groups, cost, test.start, test.order))(t)
		r := p.Solve(0)
		checkRoute(t, p, r, 30)
		b := blocks(append([]int{-1}, r.Order...), groups)
		want := fmt.Sprint(b)
		if test.order == GivenOrder {
			want = "[0 2 3]"
		}
		if len(b) != 3 || fmt.Sprint(b) != want ||
			test.first != Free && b[0] != test.first || test.start != Free && r.Order[0] != test.start {
			t.Errorf("start %d, order %d: groups %v, walk %v", test.start, test.order, b, r.Order)
		}
	}
}

// Groups only ever lengthen a walk, and one group is no group.
func TestGroupsCompared(t *testing.T) {
	for seed := range 5 {
		cost := Euclid(scatter(seed+40, 12, 100))
		free := must(Open(12, cost, 0, Free))(t).Solve(0)
		one := must(Clustered([][]int{count(12)[1:]}, cost, 0, AnyOrder))(t).Solve(0)
		two := [][]int{{1, 3, 5, 7, 9, 11}, {2, 4, 6, 8, 10}}
		whichever := must(Clustered(two, cost, 0, AnyOrder))(t).Solve(0)
		listed := must(Clustered(two, cost, 0, GivenOrder))(t).Solve(0)
		if !close(one.Length, free.Length) || whichever.Length < free.Length || listed.Length < whichever.Length-1e-9 {
			t.Errorf("free %g, one group %g, two in any order %g, two as listed %g",
				free.Length, one.Length, whichever.Length, listed.Length)
		}
	}
}
