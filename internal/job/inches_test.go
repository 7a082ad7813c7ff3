package job

import (
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/finding"
)

func TestInchesKeepTheVerdict(t *testing.T) {
	met := func(m finding.Measure) bool {
		switch m.Sense {
		case finding.AtLeast:
			return m.Have >= m.Want
		case finding.AtMost:
			return m.Have <= m.Want
		}
		return m.Have >= m.Want && m.Have <= m.WantMax
	}
	rapid.Check(t, func(t *rapid.T) {
		m := finding.Measure{
			Have: rapid.Float64Range(-50, 50).Draw(t, "have"), Want: rapid.Float64Range(-50, 50).Draw(t, "want"), Unit: "mm",
			Sense: rapid.SampledFrom([]finding.Sense{finding.AtLeast, finding.AtMost}).Draw(t, "sense"),
		}
		fs := []finding.Finding{{Measure: &m}}
		inInches(fs)
		got := *fs[0].Measure
		if got.Unit != "in" || met(got) != met(m) {
			t.Fatalf("%+v became %+v", m, got)
		}
		if d := got.Have*25.4 - m.Have; d > 0.026 || d < -0.026 {
			t.Fatalf("have moved by %g mm", d)
		}
	})
}
