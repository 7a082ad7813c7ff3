package wiring

import (
	"math/bits"
	"testing"

	"pgregory.net/rapid"
)

// shown tells by brute force whether contact k shows while exactly the contacts of a set are closed: current spreads from its column over
// closed contacts, through diodes only from column to row.
func shown(cs []Crossing, set, k int) bool {
	const lines = 8
	live := map[int]bool{lines + cs[k].Column: true}
	for again := true; again; {
		again = false
		for j, c := range cs {
			if set>>j&1 == 0 {
				continue
			}
			row, column := c.Row, lines+c.Column
			if live[column] && !live[row] {
				live[row], again = true, true
			}
			if live[row] && !live[column] && !c.Diode {
				live[column], again = true, true
			}
		}
	}
	return live[cs[k].Row]
}

// The search finds exactly the contacts that some set of closed contacts shows falsely, and for each the least number of contacts that
// must be held down for it: against all sets of closed contacts of small matrices.
func TestGhostsAgainstAllClosures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows, columns := rapid.IntRange(1, 4).Draw(t, "rows"), rapid.IntRange(1, 3).Draw(t, "columns")
		var cs []Crossing
		for r := range rows {
			for c := range columns {
				if rapid.IntRange(0, 4).Draw(t, "there") > 0 {
					cs = append(cs, Crossing{r, c, rapid.IntRange(0, 2).Draw(t, "diode") == 0, rapid.Bool().Draw(t, "holds"), len(cs)})
				}
			}
		}
		got := map[int]Ghost{}
		for _, g := range Ghosts(cs) {
			got[g.Shows] = g
		}
		for k := range cs {
			best := -1
			for set := range 1 << len(cs) {
				if set>>k&1 == 1 || !shown(cs, set, k) {
					continue
				}
				presses := 0
				for j := range cs {
					if set>>j&1 == 1 && !cs[j].Holds {
						presses++
					}
				}
				if best < 0 || presses < best {
					best = presses
				}
			}
			g, ok := got[k]
			if ok != (best >= 0) || ok && g.Presses != best {
				t.Fatalf("contact %d of %v: %+v, by brute force %d presses", k, cs, g, best)
			}
			if ok {
				set := 0
				for _, j := range g.Closed {
					set |= 1 << j
				}
				if bits.OnesCount(uint(set)) != len(g.Closed) || set>>k&1 == 1 || !shown(cs, set, k) {
					t.Fatalf("contact %d of %v: the contacts %v do not show it", k, cs, g.Closed)
				}
			}
		}
	})
}

// Three corners of a rectangle show the fourth; with a diode to each nothing shows.
func TestGhostRectangle(t *testing.T) {
	cs := []Crossing{{0, 0, false, true, 10}, {0, 1, false, true, 11}, {1, 0, false, true, 12}, {1, 1, false, false, 13}}
	gs := Ghosts(cs)
	if len(gs) != 4 || gs[0].Shows != 13 || gs[0].Presses != 0 || len(gs[0].Closed) != 3 || gs[1].Presses != 1 {
		t.Errorf("%+v", gs)
	}
	for i := range cs {
		cs[i].Diode = true
	}
	if gs := Ghosts(cs); len(gs) != 0 {
		t.Errorf("with diodes: %+v", gs)
	}
	if Ghosts(nil) != nil {
		t.Error("nothing shows something")
	}
}

func BenchmarkGhosts(b *testing.B) {
	var cs []Crossing
	for r := range 12 {
		for c := range 12 {
			cs = append(cs, Crossing{r, c, false, (r+c)%3 == 0, len(cs)})
		}
	}
	for b.Loop() {
		Ghosts(cs)
	}
}
