package harness

import (
	"fmt"
	"math"
	"testing"
)

// A rotary switch over a ladder: in each position the meter shows the resistors below that step, with the one that pulls the pin down beside
// them. By hand: n of 1 kΩ in parallel with 100 kΩ.
func TestRingLadder(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  mood: {part: rotary-6way, at: [150, 100], via: ladder}\n"))
	var got []Ring
	for _, r := range rings(w, RingContact) {
		if r.Control == "mood" {
			got = append(got, r)
		}
	}
	if len(got) != 6 {
		t.Fatalf("%d lines for 6 positions: %+v", len(got), got)
	}
	for i, r := range got {
		n := float64(i+1) * 1000
		want := 1 / (1/n + 1/100e3)
		if r.A == r.B || !r.Rings || r.Do != fmt.Sprintf("Turn MOOD to %d", i+1) || math.Abs((r.Ohms[0]+r.Ohms[1])/2/want-1) > 0.03 || r.Ohms[0] >= want || r.Ohms[1] <= want {
			t.Errorf("step %d, %.0f ohm: %+v", i+1, want, r)
		}
	}
}
