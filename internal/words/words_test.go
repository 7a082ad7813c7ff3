package words

import (
	"maps"
	"regexp"
	"slices"
	"testing"
)

var gap = regexp.MustCompile(`\{([a-z]*)\}`)

func gaps(s string) []string {
	var out []string
	for _, m := range gap.FindAllStringSubmatch(s, -1) {
		out = append(out, m[1])
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Every language has every sentence, with the same gaps; one-forms may leave out the number.
func TestLanguagesAreComplete(t *testing.T) {
	en := all()[English]
	if len(en) == 0 {
		t.Fatal("no English sentences")
	}
	for _, l := range Langs() {
		own := all()[l]
		for _, k := range slices.Sorted(maps.Keys(en)) {
			s, ok := own[k]
			if !ok || s == "" {
				t.Errorf("%s lacks %s", l, k)
				continue
			}
			a, b := gaps(en[k]), gaps(s)
			drop := func(x string) bool { return x == "n" }
			a, b = slices.DeleteFunc(a, drop), slices.DeleteFunc(b, drop)
			if !slices.Equal(a, b) {
				t.Errorf("%s of %s has gaps %v, English %v", k, l, b, a)
			}
		}
		for k := range own {
			if _, ok := en[k]; !ok {
				t.Errorf("%s has %s, English has not", l, k)
			}
		}
	}
}

func TestSay(t *testing.T) {
	x := T("words.holes", "n", 3, "board", "face")
	if got := English.Say(x); got != "3 holes in the face" {
		t.Error(got)
	}
	if got := English.Say(T("words.holes", "n", 1, "board", "face")); got != "one hole in the face" {
		t.Error(got)
	}
	if got := Lang("de").Say(x); got != "3 Löcher: face" {
		t.Error(got)
	}
	if got := English.Say(T("words.none")); got != "<words.none>" {
		t.Error(got)
	}
}
