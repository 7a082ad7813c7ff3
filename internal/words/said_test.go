package words

import (
	"slices"
	"strings"
	"testing"
)

// What the trades say in English is told sentence by sentence; names, sizes and what is in no catalogue stay.
func TestTell(t *testing.T) {
	de := Lang("de")
	for in, want := range map[string]string{
		"Drill 6.5 mm.": "Bohren 6.5 mm.",
		"WARM, COOL and 2 more are filed to shape.":                 "WARM, COOL und 2 weitere werden in Form gefeilt.",
		"DESK is filed to shape.":                                   "DESK wird in Form gefeilt.",
		"LEFT to RIGHT is filed to shape.":                          "LEFT to RIGHT wird in Form gefeilt.",
		"Push button, 16 mm ring nut, momentary, lit":               "Taster, Ringmutter 16 mm, tastend, beleuchtet",
		"Birch plywood, 9 mm, 7 plies, 1220 x 610 mm":               "Birkensperrholz, 9 mm, 7 Lagen, 1220 x 610 mm",
		"It lacks 12 mm. Move the module, or turn it.":              "Es fehlen 12 mm. Das Modul versetzen oder drehen.",
		"File to the line, 24 mm by 13.5 mm.":                       "Bis zur Linie feilen, 24 mm auf 13.5 mm.",
		"GO wants 16.2 to 16.4 mm; no bit you own makes that here.": "GO braucht 16.2 bis 16.4 mm; kein Bohrer in der Schublade macht das hier.",
	} {
		got, ok := de.Tell(in)
		if !ok || got != want {
			t.Errorf("%s\n got %s (%v)\nwant %s", in, got, ok, want)
		}
	}
	// a sentence that is not known stays whole, and so does what stands beside it
	for _, in := range []string{
		"It lacks 12 mm. The moon and the stars are of cheese.", "The moon and the sun of it.", "FOG and WIND", "SALT of the earth", "GO", "", "up to you",
	} {
		if got, ok := de.Tell(in); got != in || ok != (in == "") {
			t.Errorf("%q became %q, %v", in, got, ok)
		}
	}
	if got, ok := English.Tell("FOG and WIND"); got != "FOG and WIND" || !ok {
		t.Error("English tells English as it is")
	}
}

// Every form in another language uses the gaps of its English sentence, all of them, and tells itself.
func TestFormsAreWhole(t *testing.T) {
	for l, tg := range tongues() {
		if len(tg.forms)+len(tg.plain) < 500 {
			t.Errorf("%s tells %d sentences only", l, len(tg.forms)+len(tg.plain))
		}
		for _, f := range tg.forms {
			english := f.lits[0]
			for i, g := range f.gaps {
				english += "{" + g + "}" + f.lits[i+1]
			}
			a := slices.Clone(f.gaps)
			var b []string
			for _, g := range slot.FindAllString(f.other, -1) {
				b = append(b, strings.Trim(g, "{}"))
			}
			slices.Sort(a)
			slices.Sort(b)
			if !slices.Equal(slices.Compact(a), slices.Compact(b)) {
				t.Errorf("%s: gaps %v of %q, %v of %q", l, a, english, b, f.other)
			}
		}
		for english, other := range tg.plain {
			if other == "" || strings.HasSuffix(english, ".") != strings.HasSuffix(other, ".") {
				t.Errorf("%s: %q and %q do not end alike", l, english, other)
			}
		}
	}
}

// No text makes it hang or fall.
func FuzzTell(f *testing.F) {
	for _, s := range []string{"Drill 6.5 mm.", "a, b and c", "So do A, B and 3 more. It lacks 1 mm.", "; ; . . , , {n} {_a}", "of of of and and and; of."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, ok := Lang("de").Tell(s)
		if !ok && got != s {
			t.Errorf("%q is not told, and became %q", s, got)
		}
	})
}
