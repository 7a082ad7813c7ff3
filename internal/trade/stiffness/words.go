package stiffness

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/length"
)

// plain writes a number with so many decimals at most.
func plain(v float64, decimals int) string {
	k := math.Pow(10, float64(decimals))
	return length.Plain(math.Round(v*k) / k)
}

// give writes how far something gives, in the person's unit: two decimals of a millimetre below 10 mm, thousandths of an inch; beyond 100 mm
// no number means anything.
func give(v float64, inches bool) string {
	switch {
	case v > 100 && inches:
		return "far more than 4 in"
	case v > 100:
		return "far more than 100 mm"
	case inches:
		return strconv.FormatFloat(v/length.PerInch, 'f', 3, 64) + " in"
	case math.Abs(v) < 10:
		return plain(v, 2) + " mm"
	}
	return plain(v, 0) + " mm"
}

// size writes a length of a rib or between places.
func size(v float64, inches bool) string {
	if inches {
		return strconv.FormatFloat(v/length.PerInch, 'f', 2, 64) + " in"
	}
	return plain(v, 1) + " mm"
}

// list joins names: a, b and c.
func list(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// plural writes a count with its word.
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return plain(float64(n), 0) + " " + one + "s"
}
