package carcass

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestOrder: every edge is cut once; a board is ripped before it is cross-cut, cross-cut before slants, all before joints; small
// pieces come after big ones, and what is fitted to the standing box after what makes it.
func TestOrder(t *testing.T) {
	eachBox(t, withBattens, func(t *rapid.T, c *Carcass) {
		last := map[string]int{}
		edges := map[string]int{}
		late, small := false, false
		for _, k := range c.Order() {
			b := c.Board(k.Board)
			if k.AtBench {
				if !late {
					small = false
				}
				late = true
			} else if late {
				t.Fatalf("%s comes after what is fitted to it", k.Board)
			}
			if k.Small != b.Small() || k.Small != (k.Caution != "") {
				t.Fatalf("%s: small %v, caution %q", k.Board, k.Small, k.Caution)
			}
			if small && !k.Small {
				t.Fatalf("%s comes after a small piece", k.Board)
			}
			small = k.Small
			if s := stage(k.Work); s < last[k.Board] {
				t.Fatalf("%s: %s too late", k.Board, k.Work)
			} else {
				last[k.Board] = s
			}
			if k.Work == WorkRip || k.Work == WorkCrossCut || k.Work == WorkTaper {
				edges[k.Board]++
			}
			if !strings.HasSuffix(k.Say, ".") {
				t.Fatalf("no sentence: %q", k.Say)
			}
		}
		for i := range c.Boards {
			if n := edges[c.Boards[i].Name]; n != len(c.Boards[i].Edges) {
				t.Fatalf("%s has %d edges, %d cuts", c.Boards[i].Name, len(c.Boards[i].Edges), n)
			}
		}
	})
}

// TestOrderByHand: the cue desk, whose front is 38.2 high: a small piece.
func TestOrderByHand(t *testing.T) {
	c, ps := Make(cueDesk())
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	var got []string
	for _, k := range c.Order() {
		if k.Board == "front" {
			got = append(got, k.Say)
		}
	}
	want := []string{
		"rip the bottom of the front to 38.15 mm.",
		"rip the top of the front to 38.15 mm, saw tilted 14° (9 thick, 2.24 over, inner side longer).",
		"cross-cut the left end of the front to 340 mm.",
		"cross-cut the right end of the front to 340 mm.",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("have\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if k := c.Order()[len(c.Order())-1]; k.Board != "front" || !k.Small {
		t.Errorf("last comes %+v, not the front", k)
	}
}

// TestComb: sizes for the cutting file and passes of the saw.
func TestComb(t *testing.T) {
	k := Comb{Fingers: Fingers{Clearance: 0.2, Kerf: 3.175}, Pitch: 10}
	if k.Finger() != 9.9 || k.Slot() != 10.1 || k.Drawn() != 9.9+3.175 || k.Passes() != 4 {
		t.Errorf("%g %g %g %d", k.Finger(), k.Slot(), k.Drawn(), k.Passes())
	}
	k = Comb{Fingers: Fingers{Clearance: -0.1, Kerf: 0.25, Tool: Laser}, Pitch: 10}
	if k.Finger() != 10 || k.Slot() != 10 || k.Drawn() != 10.3 {
		t.Errorf("press fit: %g %g %g", k.Finger(), k.Slot(), k.Drawn())
	}
}
