package steps

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"knobwright/internal/length"
	"knobwright/internal/project"
	"knobwright/internal/words"
)

// Span writes minutes as people say them: "45 min", "1 h 30 min", "24 h", "30 days".
func Span(minutes float64) string {
	n := int(math.Round(minutes))
	switch {
	case n < 60:
		return fmt.Sprintf("%d min", n)
	case n%60 == 0 && n <= 3*dayLong:
		return fmt.Sprintf("%d h", n/60)
	case n < 2*dayLong:
		return fmt.Sprintf("%d h %d min", n/60, n%60)
	}
	// Of what takes days the hours are enough.
	if h := n % dayLong / 60; h > 0 {
		return fmt.Sprintf("%d d %d h", n/dayLong, h)
	}
	return fmt.Sprintf("%d d", n/dayLong)
}

// Hours writes minutes of work: "45 min", "24 h 47 min"; never in days, since nobody works round the clock.
func Hours(minutes float64) string {
	n := int(math.Round(minutes))
	switch {
	case n < 60:
		return fmt.Sprintf("%d min", n)
	case n%60 == 0:
		return fmt.Sprintf("%d h", n/60)
	}
	return fmt.Sprintf("%d h %d min", n/60, n%60)
}

// When gives a minute of the timeline as day of the work, day of the week (0 = Monday) and time of day in minutes.
func (r *Result) When(minute float64) (day, weekday, clock int) {
	at := r.Begins + int(math.Round(minute))
	return at/dayLong - r.Begins/dayLong + 1, at / dayLong % 7, at % dayLong
}

// Step gives a step by its id, nil when there is none.
func (r *Result) Step(id string) *Step {
	for i := range r.Steps {
		if r.Steps[i].ID == id {
			return &r.Steps[i]
		}
	}
	return nil
}

func plain(v float64) string { return length.Plain(math.Round(v*10) / 10) }

func english(t words.Text) string { return words.English.Say(t) }

func lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(r)) + s[n:]
}

// firsts gives the first few, and says how many more there are.
func firsts(names []string, n int) []string {
	if len(names) <= n {
		return names
	}
	return append(slices.Clone(names[:n-1]), fmt.Sprintf("and %d more", len(names)-n+1))
}

func keysOf(m map[string]project.Time) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.SortFunc(out, strings.Compare)
	return out
}
