package harness

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/length"
)

func itoa(n int) string { return strconv.Itoa(n) }

// plain writes a number with one decimal at most.
func plain(v float64) string { return length.Plain(math.Round(v*10) / 10) }

// plural writes a count with its word.
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return itoa(n) + " " + one + "s"
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

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}

func clampInt(i, n int) int { return max(0, min(i, n-1)) }

func or(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
