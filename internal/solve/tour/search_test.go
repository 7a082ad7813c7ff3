package tour

import (
	"math"
	"slices"
	"testing"
)

// Every kind of exchange, and the kick, must change the length by what they say, keep the array and the places
// together, and be taken back without trace.
func TestMovesAndTheirUndoing(t *testing.T) {
	const n = 40
	seen := map[kind]int{}
	for seed := range 60 {
		p := must(Closed(n, Euclid(scatter(seed+1000, n, 100))))(t)
		tour := make([]int32, n)
		for i := range tour {
			tour[i] = int32(i)
		}
		s := newSearch(p.matrix, tour)
		chance := random(seed)
		check := func(what string, gain, before float64) {
			t.Helper()
			if after := s.length(s.tour); !close(before-after, gain) {
				t.Fatalf("%s says it gains %g; length was %g, is %g", what, gain, before, after)
			}
			for i, v := range s.tour {
				if int(s.place[v]) != i {
					t.Fatalf("%s: node %d is at %d, not at %d", what, v, i, s.place[v])
				}
			}
		}
		for v := range int32(n) {
			for _, step := range [2]int{1, -1} {
				m := s.find(v, step)
				if m.kind == none {
					continue
				}
				seen[m.kind]++
				before, ring := s.length(s.tour), fromZero(s.tour)
				s.log = s.log[:0]
				s.do(m)
				check("exchange", m.gain, before)
				s.undo()
				if !slices.Equal(ring, fromZero(s.tour)) {
					t.Fatalf("exchange of kind %d left a trace", m.kind)
				}
				s.do(m)
			}
			before := s.length(s.tour)
			check("kick", s.kick(&chance), before)
		}
	}
	for k := rA; k <= rArB; k++ {
		if seen[k] == 0 {
			t.Errorf("no exchange of kind %d was met", k)
		}
	}
}

// fromZero writes a closed tour from node 0, towards the smaller of its neighbours.
func fromZero(tour []int32) []int32 {
	at := slices.Index(tour, 0)
	ring := slices.Concat(tour[at:], tour[:at])
	if ring[1] > ring[len(ring)-1] {
		slices.Reverse(ring[1:])
	}
	return ring
}

// In clumps far apart, each list must also lead out of its clump somewhere.
func TestNearLeadsOutOfClumps(t *testing.T) {
	points := scatter(1, 60, 10)
	for i := range points {
		points[i].X += float64(i%3) * 1000
	}
	p := must(Closed(60, Euclid(points)))(t)
	ways := p.near()
	out := map[int]int{} // from each clump
	for v := range 60 {
		list := ways[v*hops:][:hops]
		for i, h := range list {
			if math.IsInf(h.cost, 1) {
				break
			}
			if i > 0 && h.cost < list[i-1].cost || int(h.to) == v || h.cost != p.row(int32(v))[h.to] {
				t.Fatalf("list of %d: %v", v, list)
			}
			if int(h.to)%3 != v%3 {
				out[v%3]++
			}
		}
	}
	for clump := range 3 {
		if out[clump] == 0 {
			t.Errorf("no way out of clump %d", clump)
		}
	}
}
