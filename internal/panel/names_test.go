package panel

import (
	"strings"
	"testing"
)

// TestKindred: a word for the kind of thing finds what there is of that kind; a slip of the pen and a strange word do not.
func TestKindred(t *testing.T) {
	words := []string{"push-12mm", "push-16mm", "pot-9mm", "pot-16mm", "lamp-5mm", "key-12mm", "jack-3.5mm"}
	for _, c := range []struct{ word, want string }{
		{"potentiometer", "pot-9mm pot-16mm"}, {"pot", "pot-9mm pot-16mm"}, {"PUSH", "push-12mm push-16mm"}, {"push16", "push-12mm push-16mm"}, {"keys", "key-12mm"},
		{"botton", ""}, {"p", ""}, {"", ""}, {"12mm", ""},
	} {
		if got := strings.Join(kindred(c.word, words), " "); got != c.want {
			t.Errorf("%q: %q, want %q", c.word, got, c.want)
		}
	}
}
