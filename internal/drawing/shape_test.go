package drawing

import (
	"math"
	"strings"
	"testing"
)

// Lines as they are seen, worked out by hand after UAX #9: capitals stand for Hebrew letters.
func TestVisualOrder(t *testing.T) {
	hebrew := func(s string) []rune {
		var out []rune
		for _, r := range s {
			if r >= 'A' && r <= 'Z' {
				r = 0x5D0 + (r - 'A')
			}
			out = append(out, r)
		}
		return out
	}
	back := func(rs []rune) string {
		var b strings.Builder
		for _, r := range rs {
			if r >= 0x5D0 && r <= 0x5EA {
				r = 'A' + (r - 0x5D0)
			}
			b.WriteRune(r)
		}
		return b.String()
	}
	for in, want := range map[string]string{
		"abc":           "abc",
		"ABC":           "CBA",
		"abc DEF ghi":   "abc FED ghi",
		"ABC def GHI":   "IHG def CBA",
		"he said ABC 1": "he said 1 CBA", // a number after Hebrew belongs to it
		"ABC 123 DEF":   "FED 123 CBA",
		"ABC 1.5 DEF":   "FED 1.5 CBA",
		"x (ABC) y":     "x (CBA) y",
		"":              "",
		"12":            "12",
		"ABC def":       "def CBA",
	} {
		rs := hebrew(in)
		var got []rune
		for _, w := range visual(rs) {
			part := append([]rune{}, rs[w.from:w.to]...)
			if w.right {
				for a, b := 0, len(part)-1; a < b; a, b = a+1, b-1 {
					part[a], part[b] = part[b], part[a]
				}
			}
			got = append(got, part...)
		}
		if back(got) != want {
			t.Errorf("%q is seen as %q, want %q", in, back(got), want)
		}
	}
}

// A label in any script can be set, with a width of its own, and plain text is set as it was.
func TestAnyScript(t *testing.T) {
	for name, s := range map[string]string{
		"hebrew": "שלום", "arabic": "تشغيل", "persian with joiner": "می\u200cرود", "devanagari": "चालू करें", "thai": "เปิด", "japanese": "照明オン", "chinese": "灯光", "korean": "조명",
		"emoji": "💡 ON", "combining": "x̂ȳ", "georgian": "შუქი", "mixed": "LICHT שלום 12", "amharic": "መብራት", "tamil": "விளக்கு", "old": "𐌀𐌁",
	} {
		if m := Missing(s); len(m) > 0 {
			t.Errorf("%s: cannot set %q", name, string(m))
			continue
		}
		runs, w, err := setLine(&Text{S: s, Face: Lettering, Size: 5})
		if err != nil || len(runs) == 0 || w < 3 {
			t.Errorf("%s: %d runs, %.2f mm, %v", name, len(runs), w, err)
		}
		if tw := TextWidth(Lettering, 5, s); math.Abs(tw-w) > 1e-9 {
			t.Errorf("%s: measured %.3f, set %.3f", name, tw, w)
		}
		if len(Coarse(s)) == 0 && (name == "chinese" || name == "emoji" || name == "thai") {
			t.Errorf("%s: no letter is said to be coarse", name)
		}
	}
	if c := Coarse("שלום تشغيل Ünïté"); len(c) != 0 {
		t.Errorf("%q are said to be coarse; a true font has them", string(c))
	}
	if Missing("\ue000") == nil {
		t.Error("a rune of private use is said to be known")
	}
}

// Arabic letters join: the word is set in fewer and narrower shapes than its letters one by one.
func TestArabicJoins(t *testing.T) {
	whole := TextWidth(Lettering, 10, "بيت")
	parts := TextWidth(Lettering, 10, "ب") + TextWidth(Lettering, 10, "ي") + TextWidth(Lettering, 10, "ت")
	if whole >= parts*0.95 {
		t.Errorf("joined %.2f, apart %.2f", whole, parts)
	}
	kept := TextWidth(Lettering, 10, "ب\u200cي\u200cت") // held apart on purpose
	if math.Abs(kept-parts) > 0.01*parts {
		t.Errorf("held apart %.2f, apart %.2f", kept, parts)
	}
}

// A mark stands on its letter and takes no room.
func TestMarksTakeNoRoom(t *testing.T) {
	if a, b := TextWidth(Read, 10, "x̂"), TextWidth(Read, 10, "x"); math.Abs(a-b) > 1.5 {
		t.Errorf("x with a roof is %.2f wide, x %.2f", a, b)
	}
}

// A shaped line in a group that is made smaller keeps its proportions: its outlines are those of the line at the smaller size.
func TestShapedTextScales(t *testing.T) {
	text := func(size float64) *Text { return &Text{S: "שלום تش 灯光 ok", Face: Lettering, Size: size} }
	whole, err := flatten([]Item{text(3)})
	if err != nil {
		t.Fatal(err)
	}
	small, err := flatten([]Item{&Group{Scale: 0.5, Items: []Item{text(6)}}})
	if err != nil {
		t.Fatal(err)
	}
	a, b := whole[0].letters(0.01), small[0].letters(0.01)
	if len(a) != len(b) || len(a) < 8 {
		t.Fatalf("%d and %d outlines", len(a), len(b))
	}
	for i := range a {
		x, y := a[i].Bounds(), b[i].Bounds()
		if x.Min.Sub(y.Min).Len() > 0.02 || x.Max.Sub(y.Max).Len() > 0.02 {
			t.Fatalf("outline %d: %v and %v", i, x, y)
		}
	}
}
