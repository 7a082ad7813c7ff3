package yamlfile

import (
	"reflect"
	"strings"
	"unicode"
)

// GoodName reports whether s can name a control: letters and digits of any script, "-" and "_", at most 60 characters.
// Dots are kept free because they part the steps of a path.
func GoodName(s string) bool {
	n := 0
	for _, r := range s {
		if n++; n > 60 || !nameRune(r) {
			return false
		}
	}
	return n > 0
}

// Parted marks values whose names may have several parts with / between them: "scene/a".
type Parted interface{ Parted() }

// goodKey reports whether s can be the name of a value of the type.
func goodKey(t reflect.Type, s string) bool {
	if !t.Implements(reflect.TypeFor[Parted]()) {
		return GoodName(s)
	}
	for part := range strings.SplitSeq(s, "/") {
		if !GoodName(part) {
			return false
		}
	}
	return true
}

func nameRune(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) || r == '-' || r == '_'
}

// goodName makes a name that may stand out of one that may not, "" when nothing is left of it.
func goodName(s string) string {
	f := strings.FieldsFunc(short(s), func(r rune) bool { return !nameRune(r) })
	return strings.Join(f, "-")
}

// Nearest gives the word of the list that is the likely meaning of a mistyped one, or "" when none is close: at most a
// third of the letters differ (Damerau-Levenshtein distance with adjacent swaps). Of two equally close words the first
// of the list is taken.
func Nearest(s string, words []string) string {
	a := []rune(strings.ToLower(s))
	if len(a) > 40 {
		return ""
	}
	best, bestD := "", len(a)/3+1
	for _, w := range words {
		b := []rune(strings.ToLower(w))
		if d := editDistance(a, b); d < max(len(a), len(b)) && (d < bestD || d == bestD && best == "") {
			best, bestD = w, d
		}
	}
	return best
}

func editDistance(a, b []rune) int {
	prev2, prev, cur := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			c := 1
			if a[i-1] == b[j-1] {
				c = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+c)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(b)]
}
