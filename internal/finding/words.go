package finding

import (
	"unicode"
	"unicode/utf8"
)

// Capital makes the first letter of a sentence a capital, in any script; the rest stays.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
