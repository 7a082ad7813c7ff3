package stiffness

import (
	"math"
	"strings"

	"knobwright/internal/length"
)

// plain writes a number with so many decimals at most.
func plain(v float64, decimals int) string {
	k := math.Pow(10, float64(decimals))
	return length.Plain(math.Round(v*k) / k)
}

// give writes how far something gives: two decimals below 10 mm; beyond 100 mm no number means anything.
func give(v float64) string {
	if v > 100 {
		return "far more than 100 mm"
	}
	if math.Abs(v) < 10 {
		return plain(v, 2) + " mm"
	}
	return plain(v, 0) + " mm"
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
