package drilling

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

func itoa(n int) string { return strconv.Itoa(n) }

// list joins names as people do: "DOOR, BIRDS and RAIN"; more than three become "DOOR, BIRDS and 3 more".
func list(names []string) string {
	switch n := len(names); {
	case n == 0:
		return ""
	case n == 1:
		return names[0]
	case n <= 3:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	default:
		return names[0] + ", " + names[1] + " and " + itoa(n-2) + " more"
	}
}

// capital makes the first letter large.
func capital(s string) string {
	if s == "" {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// verb chooses by number: verb(1, "wants", "want").
func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
