package job

import (
	"math"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/length"
)

// The box and the harness speak of the same length of free wire, and the wires are long enough for it.
func TestOneLoop(t *testing.T) {
	met := 0
	for _, name := range examples.Names() {
		r := fully(t, name, string(examples.File(name)))
		long := map[string]float64{}
		for _, l := range r.Harness.Opening.Loops {
			long[l.Board] = max(long[l.Board], l.Long)
			if l.Wires == 0 || len(l.Path) < 2 || !(l.Diameter > 0) {
				t.Errorf("%s: %+v", name, l)
			}
		}
		for _, o := range r.Box.Opening {
			want, ok := long[o.Board]
			if !ok || o.Loop == 0 {
				continue
			}
			met++
			if math.Abs(o.Loop-want) > 1e-9 {
				t.Errorf("%s: the box says %g for the %s, the harness %g", name, o.Loop, o.Board, want)
			}
			if !strings.Contains(o.Say, "Leave its wires "+length.Plain(want)+" mm long") {
				t.Errorf("%s: %q, want %g", name, o.Say, want)
			}
		}
		for _, x := range r.Harness.Wires {
			if !x.Moves {
				continue
			}
			least := math.Inf(1)
			for _, l := range r.Harness.Opening.Loops {
				least = min(least, l.Long)
			}
			if x.Length < least {
				t.Errorf("%s: %s bends and is %g long, the shortest loop %g", name, x.ID, x.Length, least)
			}
		}
	}
	if met == 0 {
		t.Error("no example has a face that comes off with wires")
	}
}
