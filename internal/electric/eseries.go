package electric

import (
	"math"
	"slices"
)

// Series is a series of preferred values by its number of values in a decade.
type Series int

// The series of IEC 60063.
const (
	E6   Series = 6
	E12  Series = 12
	E24  Series = 24
	E48  Series = 48
	E96  Series = 96
	E192 Series = 192
)

// SeriesSource is where the preferred values come from. E192 was made from its rule, with its one exception from memory.
var SeriesSource = seen("IEC 60063")

var coarse = []int{100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910}

// Valid tells whether s is one of the series.
func (s Series) Valid() bool { return slices.Contains([]Series{E6, E12, E24, E48, E96, E192}, s) }

// mantissas gives the values of a decade as whole numbers from 100; nil for a series that does not exist.
func (s Series) mantissas() []int {
	switch {
	case !s.Valid():
		return nil
	case s <= E24:
		var out []int
		for i := 0; i < len(coarse); i += 24 / int(s) {
			out = append(out, coarse[i])
		}
		return out
	}
	out := make([]int, 0, s)
	for i := range int(s) {
		m := int(math.Round(100 * math.Pow(10, float64(i)/float64(s))))
		if m == 919 {
			m = 920 // the one value of E192 that does not follow the rule
		}
		out = append(out, m)
	}
	return out
}

// Values gives the preferred values from low to high ohm (or any unit), ascending; none where low or high are no positive numbers.
func (s Series) Values(low, high float64) []float64 {
	mant := s.mantissas()
	if mant == nil || !(low > 0) || !(high >= low) || high > most || low < 1/most {
		return nil
	}
	low, high = low*(1-tiny), high*(1+tiny)
	var out []float64
	for d := int(math.Floor(math.Log10(low))) - 1; d <= int(math.Ceil(math.Log10(high))); d++ {
		for _, m := range mant {
			if v := decimal(m, d-2); v >= low && v <= high {
				out = append(out, v)
			}
		}
	}
	return out
}

const tiny = 1e-9 // values closer than this share are the same: 1500.0000000001 needs no 1600

// decimal is m times ten to the power d, as near as a float64 comes.
func decimal(m, d int) float64 {
	if d < 0 {
		return float64(m) / math.Pow10(-d)
	}
	return float64(m) * math.Pow10(d)
}

// Up is the smallest preferred value that is not below v; NaN where v is not between 1e-12 and 1e11.
func (s Series) Up(v float64) float64 {
	if list := s.Values(v, v*10); len(list) > 0 {
		return list[0]
	}
	return math.NaN()
}

// Down is the largest preferred value that is not above v; NaN where v is not between 1e-11 and 1e12.
func (s Series) Down(v float64) float64 {
	if list := s.Values(v/10, v); len(list) > 0 {
		return list[len(list)-1]
	}
	return math.NaN()
}

// Nearest is the preferred value with the smallest ratio to v; of two as near, the larger. NaN as for [Series.Up] and [Series.Down].
func (s Series) Nearest(v float64) float64 {
	up, down := s.Up(v), s.Down(v)
	if up/v <= v/down {
		return up
	}
	return down
}

// Tolerance is the tolerance that resistors of a series usually have, per cent; NaN for a series that does not exist.
func (s Series) Tolerance() float64 {
	switch s {
	case E6:
		return 20
	case E12:
		return 10
	case E24:
		return 5
	case E48:
		return 2
	case E96:
		return 1
	case E192:
		return 0.5
	}
	return math.NaN()
}

// Standard power ratings of leaded resistors, W.
var ratings = []float64{0.125, 0.25, 0.5, 1, 2, 3, 5}

// Derating is the share of its rated power that a resistor in a closed box should be given at most.
const Derating = 0.5

// RatingSource stands for [Rating].
var RatingSource = practice("half of the rated power at most: behind a face the air stands still")

// Rating is the smallest usual power rating of a resistor that turns watt into heat, with [Derating]; NaN where none is enough or
// watt is no number.
func Rating(watt float64) float64 {
	for _, r := range ratings {
		if watt <= r*Derating {
			return r
		}
	}
	return math.NaN()
}
