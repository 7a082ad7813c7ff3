package bench

import (
	"context"
	"strings"
	"testing"

	"knobwright/internal/bench/sim"
	"knobwright/internal/trade/diagnosis"
)

func walk(t *testing.T, faults ...diagnosis.Fault) *Walk {
	t.Helper()
	src, err := Simulate(context.Background(), cue(), false, faults...)
	if err != nil {
		t.Fatal(err)
	}
	return Begin(cue(), src)
}

// A sound panel passes every line of its own sheet.
func TestSoundWalk(t *testing.T) {
	w := walk(t)
	n := 0
	err := w.All(context.Background(), func(l diagnosis.Line, j diagnosis.Judged) {
		n++
		if j.Said != diagnosis.Right {
			t.Errorf("%s: %s %v", l.ID, j.Said, j.Say)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if v := w.Verdict(); !v.Right || n < 40 {
		t.Errorf("%d lines, verdict %+v", n, v)
	}
}

// A fault is found by its words, walked into, and named.
func TestFaultWalk(t *testing.T) {
	for _, text := range []string{"bell open-lead", "swapped bell.no thunder.no", "phases-swapped scene/turn", "wiper-open warm"} {
		f, err := FindFault(sim.Faults(cue()), text)
		if err != nil {
			t.Fatal(err)
		}
		w := walk(t, f)
		wrong := 0
		if err := w.All(context.Background(), func(_ diagnosis.Line, j diagnosis.Judged) {
			if j.Said != diagnosis.Right {
				wrong++
			}
		}); err != nil {
			t.Fatal(err)
		}
		if err := w.Narrow(context.Background(), 12, func(diagnosis.Ask, diagnosis.Seen) {}); err != nil {
			t.Fatal(err)
		}
		v := w.Verdict()
		if wrong == 0 || v.Right || len(v.Groups) == 0 {
			t.Errorf("%s: %d lines wrong, verdict %+v", text, wrong, v)
			continue
		}
		// what cannot be told from it stands beside it: two leads exchanged at A and B of an encoder, a lead off its wiper
		found := false
		for _, c := range v.Groups[0].Causes {
			g := c.Faults[0]
			found = found || len(c.Faults) == 1 && (g.Kind == f.Kind && g.Device == f.Device || g.A == f.A && g.B == f.B)
		}
		if !found {
			t.Errorf("%s: taken for %+v", text, v.Groups[0].Causes[0].Faults)
		}
	}
	for _, bad := range []string{"bell explodes", "open-lead nowhere", ""} {
		if _, err := FindFault(sim.Faults(cue()), bad); err == nil || strings.HasPrefix(err.Error(), "<") {
			t.Errorf("%q: %v", bad, err)
		}
	}
}
