package yamlfile

import (
	"reflect"
	"strings"
	"sync"
	"unicode"
)

type field struct {
	name     string
	index    int
	required bool
	enum     []string
}

type fields struct {
	list        []field
	names       []string
	scalar, seq int // index in list, or -1... of the struct field set by a short form
}

var fieldCache sync.Map // reflect.Type -> *fields

func fieldsOf(t reflect.Type) *fields {
	if f, ok := fieldCache.Load(t); ok {
		return f.(*fields)
	}
	f := &fields{scalar: -1, seq: -1}
	for i := range t.NumField() {
		sf := t.Field(i)
		name, _, _ := strings.Cut(sf.Tag.Get("yaml"), ",")
		if name == "" || name == "-" {
			continue
		}
		x := field{name: name, index: i}
		for _, opt := range strings.Split(sf.Tag.Get("jsonschema"), ",") {
			if opt == "required" {
				x.required = true
			}
			if w, ok := strings.CutPrefix(opt, "enum="); ok {
				x.enum = append(x.enum, w)
			}
		}
		switch sf.Tag.Get("kw") {
		case "scalar":
			f.scalar = len(f.list)
		case "list":
			f.seq = len(f.list)
		}
		f.list = append(f.list, x)
		f.names = append(f.names, name)
	}
	fieldCache.Store(t, f)
	return f
}

// GoodName reports whether s can name a control: letters and digits of any script, "-" and "_", at most 60 characters.
// Dots are kept free because they part the steps of a path.
func GoodName(s string) bool {
	if s == "" || len([]rune(s)) > 60 {
		return false
	}
	for _, r := range s {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) && r != '-' && r != '_' {
			return false
		}
	}
	return true
}

// Nearest gives the word of the list that is the likely meaning of a mistyped one, or "" when none is close: at most a
// third of the letters differ (Damerau-Levenshtein distance with adjacent swaps).
func Nearest(s string, words []string) string {
	best, bestD := "", len([]rune(s))/3+1
	for _, w := range words {
		if d := editDistance([]rune(strings.ToLower(s)), []rune(strings.ToLower(w))); d <= bestD && d < max(len(s), len(w)) && (d < bestD || best == "") {
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
