package firmware

import (
	"strconv"
	"strings"
)

func itoa(n int) string { return strconv.Itoa(n) }

// count writes a number with its word.
func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return itoa(n) + " " + more
}

// list joins names: a, b and c; after the first few it says how many more there are.
func list(names []string) string {
	switch n := len(names); {
	case n == 0:
		return ""
	case n == 1:
		return names[0]
	case n > 6:
		return strings.Join(names[:5], ", ") + " and " + itoa(n-5) + " more"
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// short cuts a text that is quoted in a sentence.
func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:37]) + "..."
	}
	return s
}

// plainMS writes a time.
func plainMS(ms float64) string { return strconv.FormatFloat(ms, 'f', -1, 64) + " ms" }

// runs joins numbers, runs of them as spans: 1, 3 to 7 and 9.
func runs(ns []int) string {
	var out []string
	for i := 0; i < len(ns); {
		j := i
		for j+1 < len(ns) && ns[j+1] == ns[j]+1 {
			j++
		}
		switch j - i {
		case 0:
			out = append(out, itoa(ns[i]))
		case 1:
			out = append(out, itoa(ns[i]), itoa(ns[j]))
		default:
			out = append(out, itoa(ns[i])+" to "+itoa(ns[j]))
		}
		i = j + 1
	}
	return list(out)
}
