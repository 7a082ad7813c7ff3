package wiring

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/length"
)

func itoa(n int) string { return strconv.Itoa(n) }

func abs(v float64) float64 { return math.Abs(v) }

// plain writes a number with one decimal at most.
func plain(v float64) string { return length.Plain(math.Round(v*10) / 10) }

// plural writes a count with its word.
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	switch {
	case strings.HasSuffix(one, "x"):
		return itoa(n) + " " + strings.TrimSuffix(one, "ix") + "ices"
	case strings.HasSuffix(one, "y"):
		return itoa(n) + " " + strings.TrimSuffix(one, "y") + "ies"
	case strings.HasSuffix(one, "s"):
		return itoa(n) + " " + one + "es"
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

// several joins names, and says how many more there are after the first few.
func several(names []string) string {
	if len(names) <= 5 {
		return list(names)
	}
	return strings.Join(names[:4], ", ") + " and " + itoa(len(names)-4) + " more"
}

// or gives the first that is not empty.
func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
