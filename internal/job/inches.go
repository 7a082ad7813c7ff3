package job

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/length"
)

// inInches turns the have/want pairs of findings into inches, to the thousandth, for a person who writes in inches. A want is
// rounded to the side that keeps the promise: what meets the rounded number meets the rule.
func inInches(fs []finding.Finding) {
	for i := range fs {
		m := fs[i].Measure
		if m == nil || m.Unit != "mm" {
			continue
		}
		c := *m
		c.Unit = "in"
		near := func(v float64) float64 { return math.Round(v/length.PerInch*1000) / 1000 }
		up := func(v float64) float64 { return math.Ceil(v/length.PerInch*1000-1e-6) / 1000 }
		down := func(v float64) float64 { return math.Floor(v/length.PerInch*1000+1e-6) / 1000 }
		c.Have = near(m.Have)
		switch m.Sense {
		case finding.AtLeast:
			c.Want = up(m.Want)
		case finding.AtMost:
			c.Want = down(m.Want)
		case finding.Between:
			c.Want, c.WantMax = up(m.Want), down(m.WantMax)
		}
		if (m.Have < m.Want) != (c.Have < c.Want) || (m.Have > m.Want) != (c.Have > c.Want) { // rounding must not turn the verdict
			c.Have, c.Want, c.WantMax = m.Have/length.PerInch, m.Want/length.PerInch, m.WantMax/length.PerInch
		}
		fs[i].Measure = &c
	}
}
