package terminal

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/finding"
)

func TestRulerReads(t *testing.T) {
	for _, c := range []struct {
		m    finding.Measure
		want string
	}{
		{finding.Measure{Have: -1.5, Want: 2, Unit: "mm"}, `
   -2   -1    0    1    2    3   mm
    |--#-|----|----|----[====|
   have -1.5            want 2 or more`},
		{finding.Measure{Have: 6, Want: 19, Unit: "mm"}, `
    5   10   15   20   25   mm
    |#---|----|---[|====|
  have 6          want 19 or more`},
		{finding.Measure{Have: 6.2, Want: 0.5, WantMax: 3.2, Sense: finding.Between, Unit: "mm"}, `
    0    2    4    6    8   mm
    |[===|==]-|----|#---|
     want 0.5 to 3.2   have 6.2`},
		{finding.Measure{Have: 1.1, Want: 1.125, Unit: "mm"}, `
  1.095     1.105     1.115     1.125   mm
    |----#----|----|----|----|----[====|
     have 1.1                     want 1.125 or more`},
	} {
		r := newRuler(c.m)
		got := "\n" + r.labels + "\n" + r.bar + "\n" + r.words
		if got != c.want {
			t.Errorf("%+v:%s\nwant:%s", c.m, got, c.want)
		}
	}
}

// The mark stands in the allowed zone exactly when the measure is met, whatever the numbers.
func TestRulerNeverLies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := finding.Measure{
			Have:  rapid.Float64Range(-500, 500).Draw(t, "have"),
			Want:  rapid.Float64Range(-50, 500).Draw(t, "want"),
			Sense: rapid.SampledFrom([]finding.Sense{finding.AtLeast, finding.AtMost, finding.Between}).Draw(t, "sense"),
			Unit:  "mm",
		}
		m.WantMax = m.Want + rapid.Float64Range(0, 50).Draw(t, "span")
		r := newRuler(m)
		before, after := r.bar[:r.mark], r.bar[r.mark+1:]
		if strings.Count(r.bar, "#") != 1 {
			t.Fatalf("one mark wanted: %q", r.bar)
		}
		good := false
		switch m.Sense {
		case finding.AtLeast:
			good = strings.Contains(before, "[") || !strings.Contains(after, "[")
		case finding.AtMost:
			good = strings.Contains(after, "]") || !strings.Contains(before, "]")
		case finding.Between:
			good = !strings.Contains(after, "[") && !strings.Contains(before, "]")
		}
		if good != inside(m) {
			t.Fatalf("%+v reads as good=%v:\n%s\n%s\n%s", m, good, r.labels, r.bar, r.words)
		}
		if len(r.bar) > 60 {
			t.Fatalf("too wide: %q", r.bar)
		}
		if !strings.Contains(r.words, "have ") || !strings.Contains(r.words, "want ") {
			t.Fatalf("words run into each other: %q", r.words)
		}
	})
}
