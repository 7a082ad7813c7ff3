package length

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		in   string
		bare Unit
		want float64
	}{
		{"3 mm", MM, 3},
		{"3mm", Inch, 3},
		{"3", MM, 3},
		{"3", Inch, 76.2},
		{"3", "", 3},
		{"1.5 mm", MM, 1.5},
		{".5 mm", MM, 0.5},
		{"5. mm", MM, 5},
		{"-0.25 mm", MM, -0.25},
		{"+2 mm", MM, 2},
		{"- 2 mm", MM, -2},
		{"−2 mm", MM, -2}, // the minus sign of typesetting
		{"-0 mm", MM, 0},
		{"2.2 cm", MM, 22},
		{"0.34 m", MM, 340},
		{"50 µm", MM, 0.05},
		{"50 um", MM, 0.05},
		{"1e1 mm", MM, 10},
		{"2.5E-1 in", MM, 6.35},
		{"1e+2 mm", MM, 100},
		{"1/4 in", MM, 6.35},
		{"1/4 in.", MM, 6.35},
		{"1/4 IN", MM, 6.35},
		{"1/4 inch", MM, 6.35},
		{"-1/4 inches", MM, -6.35},
		{`1/4"`, MM, 6.35},
		{"1/4″", MM, 6.35},
		{"1/4”", MM, 6.35},
		{"1/4''", MM, 6.35},
		{"1 / 4 in", MM, 6.35},
		{"1⁄4 in", MM, 6.35},
		{"¼ in", MM, 6.35},
		{"½ in", MM, 12.7},
		{"¾″", MM, 19.05},
		{"⅜ in", MM, 9.525},
		{"2½ in", MM, 63.5},
		{"2 ½ in", MM, 63.5},
		{"2 1/2 in", MM, 63.5},
		{"2-1/2 in", MM, 63.5},
		{"-2-1/2 in", MM, -63.5},
		{"-2 1/2 in", MM, -63.5},
		{"2  1/2   in", MM, 63.5},
		{"2\u00a01/2\u00a0in", MM, 63.5}, // spaces that do not break
		{"5/4 in", MM, 31.75},
		{"1/2", Inch, 12.7},
		{"1/3 mm", MM, 1.0 / 3},
		{"0.1 in", MM, 2.54},
		{"0.3 in", MM, 7.62},
		{"57/64 in", MM, 22.621875},
		{"0.0135 in", MM, 0.3429},
		{"1 ft", MM, 304.8},
		{"1'", MM, 304.8},
		{"1′", MM, 304.8},
		{"2 feet", MM, 609.6},
		{"35 thou", MM, 0.889},
		{"1e-400 in", MM, 0},
		{"1e-999999999 in", MM, 0}, // at once, too
		{"1000000 mm", MM, 1e6},
		{" 3 mm\n", MM, 3},
	} {
		got, err := Parse(c.in, c.bare)
		if err != nil || float64(got) != c.want || math.Signbit(float64(got)) != (c.want < 0) {
			t.Errorf("Parse(%q, %q) = %v, %v; want %v", c.in, c.bare, float64(got), err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"", `nothing is written here; write a number with a unit, as in "3 mm" or "1/8 in"`},
		{"  ", `nothing is written here; write a number with a unit, as in "3 mm" or "1/8 in"`},
		{"wide", `"wide" does not begin with a number; write it as in "3 mm" or "1/8 in"`},
		{"mm", `"mm" does not begin with a number; write it as in "3 mm" or "1/8 in"`},
		{"-", `"-" does not begin with a number; write it as in "3 mm" or "1/8 in"`},
		{"NaN", `"NaN" does not begin with a number; write it as in "3 mm" or "1/8 in"`},
		{"inf mm", `"inf mm" does not begin with a number; write it as in "3 mm" or "1/8 in"`},
		{"1,5 mm", `"1,5 mm" has a comma; write a point, as in 1.5`},
		{"--5 mm", `"--5 mm" is not one number`},
		{"5 -3 mm", `"5 -3 mm" is not one number`},
		{"5 3 mm", `"5 3 mm" is not one number`},
		{"1 2 1/2 in", `"2 1/2" is not a fraction`},
		{"5-3 mm", `"5-3" is not a number`},
		{"1.2.3 mm", `"1.2.3" is not a number`},
		{"1e999 mm", `"1e999" is not a number`},
		{"1/0 in", `"1/0" is not a fraction`},
		{"1/ in", `"1/" is not a fraction`},
		{"/2 in", `"/2 in" is not one number`},
		{"1/2/3 in", `"1/2/3" is not a fraction`},
		{"1.5/2 in", `"1.5/2" is not a fraction`},
		{"1/-2 in", `"1/-2" is not a fraction`},
		{"1.5 1/2 in", `"1.5" before a fraction is not a whole number`},
		{"1 3/2 in", `"3/2" is not less than one, and it follows a whole number; write the sum`},
		{"3 furlongs", `"furlongs" is not a unit of length; write mm, cm, in or ft`},
		{"3 mil", `"mil" is a millimetre to some and a thousandth of an inch to others; write mm or thou`},
		{"3 deg", `"deg" is an angle, and a length is wanted; write mm, cm, in or ft`},
		{`5' 6"`, `"' 6\"" comes after the number, and a unit is wanted there; write one number and mm, cm, in or ft`},
		{"3 mm 4", `"mm 4" comes after the number, and a unit is wanted there; write one number and mm, cm, in or ft`},
		{"2 km", `"km" is not a unit of length; write mm, cm, in or ft`},
		{"1000001 mm", `"1000001 mm" is longer than a kilometre`},
		{"1e300 in", `"1e300 in" is longer than a kilometre`},
		{"99999999999/2 mm", `"99999999999/2" is not a fraction`},
	} {
		got, err := Parse(c.in, MM)
		if err == nil || got != 0 || err.Error() != c.want {
			t.Errorf("Parse(%q) = %v, %v\nwant %v", c.in, float64(got), err, c.want)
		}
	}
}

func TestParseAngle(t *testing.T) {
	for in, want := range map[string]float64{
		"12 deg": 12, "12": 12, "12°": 12, "-12.5 degrees": -12.5, "12 1/2 deg": 12.5, "½ rad": 90 / math.Pi,
		"3600 deg": 3600, "0": 0, "1e2 deg": 100,
	} {
		if got, err := ParseAngle(in); err != nil || math.Abs(float64(got)-want) > 1e-12 {
			t.Errorf("ParseAngle(%q) = %v, %v; want %v", in, float64(got), err, want)
		}
	}
	for in, want := range map[string]string{
		"3 mm":     `"mm" is a length, and an angle is wanted; write deg`,
		"3 turns":  `"turns" is not a unit of angle; write deg`,
		"3601 deg": `"3601 deg" is more than ten turns`,
		"":         `nothing is written here; write a number with a unit, as in "3 mm" or "1/8 in"`,
	} {
		if got, err := ParseAngle(in); err == nil || got != 0 || err.Error() != want {
			t.Errorf("ParseAngle(%q) = %v, %v; want %v", in, float64(got), err, want)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		mm       float64
		mmS, inS string
	}{
		{0, "0 mm", "0 in"},
		{22.5, "22.5 mm", "~57/64 in"},
		{22.621875, "22.62 mm", "57/64 in"},
		{6.35, "6.35 mm", "1/4 in"},
		{25.4, "25.4 mm", "1 in"},
		{63.5, "63.5 mm", "2 1/2 in"},
		{-63.5, "-63.5 mm", "-2 1/2 in"},
		{-3, "-3 mm", "~-1/8 in"},
		{0.1, "0.1 mm", "~0 in"},
		{0.001, "0 mm", "0 in"},
		{-0.001, "0 mm", "0 in"},
		{25.3, "25.3 mm", "~1 in"},
		{1.0 / 3, "0.33 mm", "~1/64 in"},
		{100, "100 mm", "~3 15/16 in"},
		{9.525, "9.53 mm", "3/8 in"},
	} {
		if got := Format(Length(c.mm), MM); got != c.mmS {
			t.Errorf("%v mm: got %q, want %q", c.mm, got, c.mmS)
		}
		if got := Inches(Length(c.mm)); got != c.inS {
			t.Errorf("%v mm in inches: got %q, want %q", c.mm, got, c.inS)
		}
	}
	if got := Angle(12.5).String(); got != "12.5 deg" {
		t.Error(got)
	}
	if got := Plain(-0.004); got != "0" {
		t.Error(got)
	}
	if got := Angle(180).Radians(); got != math.Pi {
		t.Error(got)
	}
}

// The table's sources are in its rows: the fractional series in steps of 1/64 in, and a few of the numbered and lettered sizes.
func TestDrillTable(t *testing.T) {
	f, err := os.Open("testdata/drills.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, r := range rows[1:] {
		mm, err := strconv.ParseFloat(r[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		texts := []string{r[2] + " in"}
		if r[0] == "fraction" {
			texts = append(texts, r[1]+" in", r[1]+`"`)
		}
		for _, s := range texts {
			l, err := Parse(s, MM)
			if err != nil || math.Abs(l.MM()-mm) > 6e-5 { // the table has four decimals
				t.Errorf("%s %s: Parse(%q) = %v, %v; the table has %v", r[0], r[1], s, l.MM(), err, mm)
			}
			if r[0] == "fraction" {
				if got := Inches(l); got != r[1]+" in" && r[2] != "1.0000" {
					t.Errorf("Inches(%v) = %q, want %q", l, got, r[1])
				}
			}
		}
		n++
	}
	if n < 64 {
		t.Errorf("only %d rows", n)
	}
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Length(rapid.Float64Range(-1e6, 1e6).Draw(t, "l"))
		back, err := Parse(l.String(), Inch)
		if err != nil || math.Abs(float64(back-l)) > 0.005000001 {
			t.Fatalf("%v: %q reads as %v, %v", float64(l), l.String(), float64(back), err)
		}
		s := Inches(l)
		back, err = Parse(strings.TrimPrefix(s, "~"), MM)
		if err != nil && math.Abs(float64(l)) < 999999 || err == nil && math.Abs(float64(back-l)) > 25.4/128+1e-9 {
			t.Fatalf("%v: %q reads as %v, %v", float64(l), s, float64(back), err)
		}
		if exact := math.Abs(float64(back-l)) <= 0.005; exact == strings.HasPrefix(s, "~") && err == nil && math.Abs(math.Abs(float64(back-l))-0.005) > 1e-9 {
			t.Fatalf("%v: %q is marked wrongly", float64(l), s)
		}
	})
}

// Every 64th of an inch up to four feet prints and reads back to the last bit.
func TestSixtyFourths(t *testing.T) {
	for n := int64(-48 * 64); n <= 48*64; n++ {
		l, err := Parse(strconv.FormatInt(n, 10)+"/64 in", MM)
		if err != nil {
			t.Fatal(err)
		}
		if want := Length(float64(n*127) / 320); l != want { // 25.4/64 = 127/320
			t.Fatalf("%d/64 in = %v, want %v", n, float64(l), float64(want))
		}
		back, err := Parse(Inches(l), MM)
		if err != nil || back != l {
			t.Fatalf("%q reads as %v, %v; want %v", Inches(l), float64(back), err, float64(l))
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"3 mm", "1/4 in", "2 1/2\"", "-2-1/2 in", "½″", "1e3", "1e-9999999999 in", "0.1e400 in", "\xff", "- - 3", "1/0", "٣ mm", "3\u2009mm", "5'6\"",
	} {
		f.Add(s, string(Inch))
	}
	f.Add("3", "")
	f.Fuzz(func(t *testing.T, s, bare string) {
		l, err := Parse(s, Unit(bare))
		if err != nil {
			checkSentence(t, err, l == 0)
			return
		}
		if math.IsNaN(float64(l)) || math.Abs(float64(l)) > longest {
			t.Fatalf("Parse(%q) = %v", s, float64(l))
		}
		if l == 0 && math.Signbit(float64(l)) {
			t.Fatalf("Parse(%q) is minus nothing", s)
		}
		if again, err := Parse("  "+s+"\t", Unit(bare)); err != nil || again != l {
			t.Fatalf("with spaces %q gives %v, %v; without %v", s, again, err, l)
		}
		if back, err := Parse(l.String(), Inch); err != nil || math.Abs(float64(back-l)) > 0.005000001 {
			t.Fatalf("%q prints as %q, which reads as %v, %v", s, l.String(), float64(back), err)
		}
		if digit(s, 0) {
			if minus, err := Parse("-"+s, Unit(bare)); err != nil || minus != -l {
				t.Fatalf("-%q gives %v, %v", s, minus, err)
			}
		}
	})
}

func FuzzParseAngle(f *testing.F) {
	for _, s := range []string{"12 deg", "12°", "0.2 rad", "-45", "1/2 rad", "1e99", "3 mm", "°"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := ParseAngle(s)
		if err != nil {
			checkSentence(t, err, a == 0)
			return
		}
		if !(math.Abs(float64(a)) <= 3600) {
			t.Fatalf("ParseAngle(%q) = %v", s, float64(a))
		}
		if back, err := ParseAngle(a.String()); err != nil || math.Abs(float64(back-a)) > 0.005000001 {
			t.Fatalf("%q prints as %q, which reads as %v, %v", s, a.String(), float64(back), err)
		}
	})
}

// checkSentence holds errors to what a person can read: whole text, short, no package names, nothing half-made beside it.
func checkSentence(t *testing.T, err error, zero bool) {
	t.Helper()
	s := err.Error()
	if !zero || s == "" || !utf8.ValidString(s) || utf8.RuneCountInString(s) > 300 || strings.Contains(s, "strconv") || strings.ContainsAny(s, "\n\r") {
		t.Fatalf("poor error %q", s)
	}
}
