package length

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode"
)

// unitTenths is each unit in tenths of a micrometre, so that all are whole numbers (an inch is 254000).
var unitTenths = map[string]int64{
	"mm": 1e4, "millimetre": 1e4, "millimetres": 1e4, "millimeter": 1e4, "millimeters": 1e4,
	"cm": 1e5, "centimetre": 1e5, "centimetres": 1e5, "centimeter": 1e5, "centimeters": 1e5,
	"m": 1e7, "metre": 1e7, "metres": 1e7, "meter": 1e7, "meters": 1e7,
	"um": 10, "µm": 10, "μm": 10,
	"in": 254000, "inch": 254000, "inches": 254000, `"`: 254000, "″": 254000, "”": 254000, "''": 254000, "′′": 254000,
	"ft": 3048000, "foot": 3048000, "feet": 3048000, "'": 3048000, "′": 3048000, "’": 3048000,
	"thou": 254,
}

// longest is the greatest length that is taken seriously, in millimetres: a kilometre.
const longest = 1e6

// Parse reads a length. A number without a unit is taken in the unit bare (millimetres when bare is empty). Mixed numbers
// and fractions are understood: "2 1/2 in", "3/8 in", "2-1/2 in", "2½ in", "1.5 mm", `3/4"`. The result is the float64 nearest
// to what is written, up to a kilometre either way. Errors are sentences for the person who wrote the text; beside an error the
// length is 0.
func Parse(s string, bare Unit) (Length, error) {
	n, unit, err := split(s)
	if err != nil {
		return 0, err
	}
	if unit == "" {
		if unit = string(bare); unit == "" {
			unit = string(MM)
		}
	}
	f, ok := unitTenths[unit]
	if !ok {
		return 0, unitError(unit)
	}
	l := n.times(f, 1e4)
	if !(math.Abs(l) <= longest) {
		return 0, fmt.Errorf("%q is longer than a kilometre", clip(s))
	}
	return Length(l), nil
}

func unitError(unit string) error {
	switch strings.TrimSuffix(unit, "s") {
	case "mil":
		return fmt.Errorf("%q is a millimetre to some and a thousandth of an inch to others; write mm or thou", unit)
	case "deg", "°", "degree", "rad":
		return fmt.Errorf("%q is an angle, and a length is wanted; write mm, cm, in or ft", unit)
	}
	if strings.ContainsAny(unit, "0123456789") {
		return fmt.Errorf("%q comes after the number, and a unit is wanted there; write one number and mm, cm, in or ft", clip(unit))
	}
	return fmt.Errorf("%q is not a unit of length; write mm, cm, in or ft", clip(unit))
}

// ParseAngle reads an angle, at most ten turns either way: "12 deg", "12°", "12 1/2 deg", "0.2 rad", or a bare number of
// degrees. Errors are sentences; beside an error the angle is 0.
func ParseAngle(s string) (Angle, error) {
	n, unit, err := split(s)
	if err != nil {
		return 0, err
	}
	v := n.times(1, 1)
	switch unit {
	case "", "deg", "degree", "degrees", "°", "º":
	case "rad", "radian", "radians":
		v *= 180 / math.Pi
	default:
		if _, ok := unitTenths[unit]; ok {
			return 0, fmt.Errorf("%q is a length, and an angle is wanted; write deg", unit)
		}
		return 0, fmt.Errorf("%q is not a unit of angle; write deg", clip(unit))
	}
	if !(math.Abs(v) <= 3600) {
		return 0, fmt.Errorf("%q is more than ten turns", clip(s))
	}
	return Angle(v), nil
}

// number is what was written, before any rounding: a fraction when d > 0, else decimal text.
type number struct {
	neg  bool
	n, d int64 // n/d
	text string
	v    float64 // the text's nearest float64
}

// times gives the number times f/g as the nearest float64.
func (x number) times(f, g int64) float64 {
	v := 0.0
	switch {
	case x.d > 0:
		v, _ = new(big.Rat).Mul(big.NewRat(x.n, x.d), big.NewRat(f, g)).Float64()
	case f == g:
		v = x.v
	case x.v >= 1e-12 && x.v <= 1e12 && len(x.text) <= 40:
		// the bounds keep the exact arithmetic from running away with exponents such as e-9999999
		if r, ok := new(big.Rat).SetString(x.text); ok {
			v, _ = r.Mul(r, big.NewRat(f, g)).Float64()
		}
	default:
		v = x.v * float64(f) / float64(g)
	}
	if x.neg && v != 0 {
		v = -v
	}
	return v
}

// glyphs are the fractions that have a character of their own.
var glyphs = map[rune]string{
	'½': "1/2", '⅓': "1/3", '⅔': "2/3", '¼': "1/4", '¾': "3/4", '⅕': "1/5", '⅖': "2/5", '⅗': "3/5", '⅘': "4/5",
	'⅙': "1/6", '⅚': "5/6", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
}

// tidy brings the ways of writing the same thing together: one kind of space, minus and fraction bar, fraction characters
// spelled out, no space round a bar.
func tidy(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case glyphs[r] != "":
			b.WriteString(" " + glyphs[r])
		case r == '−' || r == '‐' || r == '‑' || r == '–':
			b.WriteByte('-')
		case r == '⁄' || r == '∕':
			b.WriteByte('/')
		case unicode.IsSpace(r) || r == '\u202f' || r == '\u2009':
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// split parts "2 1/2 in" into 5/2 and "in". The unit comes back in small letters, without a closing stop.
func split(s string) (number, string, error) {
	t := tidy(s)
	if t == "" {
		return number{}, "", errors.New(`nothing is written here; write a number with a unit, as in "3 mm" or "1/8 in"`)
	}
	body, unit := t, ""
	for i, r := range t {
		if r >= '0' && r <= '9' || strings.ContainsRune(".,+-/ ", r) {
			continue
		}
		// e belongs to the number in 1e3 and 1e-3
		if (r == 'e' || r == 'E') && i > 0 && digit(t, i-1) && (digit(t, i+1) || i+2 < len(t) && (t[i+1] == '+' || t[i+1] == '-') && digit(t, i+2)) {
			continue
		}
		body, unit = t[:i], t[i:]
		break
	}
	body = strings.TrimSpace(body)
	unit = strings.TrimSuffix(strings.ToLower(strings.TrimSpace(unit)), ".")
	if !strings.ContainsAny(body, "0123456789") {
		return number{}, "", fmt.Errorf(`%q does not begin with a number; write it as in "3 mm" or "1/8 in"`, clip(s))
	}
	n, err := readNumber(body, s)
	return n, unit, err
}

func digit(s string, i int) bool { return i < len(s) && s[i] >= '0' && s[i] <= '9' }

func readNumber(body, whole string) (x number, err error) {
	if body[0] == '-' || body[0] == '+' {
		x.neg = body[0] == '-'
		body = strings.TrimSpace(body[1:])
	}
	if body == "" || !digit(body, 0) && body[0] != '.' {
		return number{}, fmt.Errorf("%q is not one number", clip(whole))
	}
	body = strings.ReplaceAll(strings.ReplaceAll(body, " /", "/"), "/ ", "/")
	if strings.Contains(body, ",") {
		return number{}, fmt.Errorf("%q has a comma; write a point, as in 1.5", clip(whole))
	}
	if !strings.Contains(body, "/") {
		if strings.Contains(body, " ") {
			return number{}, fmt.Errorf("%q is not one number", clip(whole))
		}
		v, err := strconv.ParseFloat(body, 64)
		if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
			return number{}, fmt.Errorf("%q is not a number", clip(body))
		}
		x.text, x.v = body, v
		return x, nil
	}
	w, f := "0", body
	if i := strings.IndexAny(body[:strings.Index(body, "/")], " -"); i >= 0 {
		w, f = body[:i], strings.TrimSpace(body[i+1:]) // 2 1/2 or 2-1/2
	}
	top, bottom, _ := strings.Cut(f, "/")
	a, err1 := strconv.ParseUint(w, 10, 31)
	b, err2 := strconv.ParseUint(top, 10, 31)
	c, err3 := strconv.ParseUint(bottom, 10, 20)
	switch {
	case err1 != nil && digit(w, 0):
		return number{}, fmt.Errorf("%q before a fraction is not a whole number", clip(w))
	case err1 != nil || err2 != nil || err3 != nil || c == 0:
		return number{}, fmt.Errorf("%q is not a fraction", clip(f))
	case a > 0 && b >= c:
		return number{}, fmt.Errorf("%q is not less than one, and it follows a whole number; write the sum", clip(f))
	}
	x.n, x.d = int64(a*c+b), int64(c)
	return x, nil
}

// clip keeps quoted text short.
func clip(s string) string {
	s = strings.ToValidUTF8(s, "?")
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
