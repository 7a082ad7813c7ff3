package box

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/length"
)

func itoa(n int) string { return strconv.Itoa(n) }

// plain writes a number with one decimal at most.
func plain(v float64) string { return length.Plain(math.Round(v*10) / 10) }

// mm writes a length for sentences.
func mm(v float64) string { return plain(v) + " mm" }

// mm writes a length as the person reads it.
func (w *worker) mm(v float64) string {
	if w.Inches {
		return length.Format(length.Length(v), length.Inch)
	}
	return mm(v)
}

// num writes it without its unit.
func (w *worker) num(v float64) string {
	return strings.TrimSuffix(strings.TrimSuffix(w.mm(v), " mm"), " in")
}

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

// newton writes a force.
func newton(v float64) string { return fmt.Sprintf("%.0f N", v) }
