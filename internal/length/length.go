// Package length reads, prints and compares lengths and angles with units: "1/4 in", "6.35 mm", "2 1/2 in", "12 deg".
// Inside Knobwright a length is always millimetres and an angle always degrees; units exist at the door only.
package length

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Length is a length in millimetres.
type Length float64

// Angle is an angle in degrees.
type Angle float64

// MM gives the length in millimetres as a plain number.
func (l Length) MM() float64 { return float64(l) }

// Radians gives the angle in radians.
func (a Angle) Radians() float64 { return float64(a) * math.Pi / 180 }

// Unit is a unit of length as a person may write it.
type Unit string

// The units that files are written in.
const (
	MM   Unit = "mm"
	Inch Unit = "in"
)

// PerInch is the number of millimetres in an inch, exact since 1959.
const PerInch = 25.4

var unitMM = map[string]float64{
	"mm": 1, "cm": 10, "m": 1000,
	"in": PerInch, "inch": PerInch, "inches": PerInch, "\"": PerInch, "″": PerInch,
	"ft": 12 * PerInch, "thou": PerInch / 1000, "mil": PerInch / 1000,
}

// Parse reads a length. A number without a unit is taken in the unit bare. Mixed numbers and fractions are understood:
// "2 1/2 in", "3/8 in", "2-1/2 in", "1.5 mm". Errors are sentences for the person who wrote the text.
func Parse(s string, bare Unit) (Length, error) {
	num, unit, err := split(s)
	if err != nil {
		return 0, err
	}
	if unit == "" {
		unit = string(bare)
		if unit == "" {
			unit = string(MM)
		}
	}
	f, ok := unitMM[unit]
	if !ok {
		return 0, fmt.Errorf("%q is not a unit of length; write mm, cm, in or ft", unit)
	}
	l := num * f
	if math.Abs(l) > 1e6 {
		return 0, fmt.Errorf("%q is longer than a kilometre", s)
	}
	return Length(l), nil
}

// ParseAngle reads an angle: "12 deg", "12°", "0.2 rad", or a bare number of degrees.
func ParseAngle(s string) (Angle, error) {
	num, unit, err := split(s)
	if err != nil {
		return 0, err
	}
	switch unit {
	case "", "deg", "degree", "degrees", "°":
	case "rad":
		num *= 180 / math.Pi
	default:
		return 0, fmt.Errorf("%q is not a unit of angle; write deg", unit)
	}
	if math.Abs(num) > 3600 {
		return 0, fmt.Errorf("%q is more than ten turns", s)
	}
	return Angle(num), nil
}

// split parts "2 1/2 in" into 2.5 and "in".
func split(s string) (num float64, unit string, err error) {
	t := strings.TrimSpace(s)
	end := len(t)
	for i, r := range t {
		if (r < '0' || r > '9') && !strings.ContainsRune(".+-/ eE", r) {
			end = i
			break
		}
		if r == 'e' || r == 'E' {
			// an exponent only when a digit or sign follows
			if i+1 >= len(t) || !strings.ContainsRune("0123456789+-", rune(t[i+1])) {
				end = i
				break
			}
		}
	}
	unit = strings.ToLower(strings.TrimSpace(t[end:]))
	body := strings.TrimSpace(t[:end])
	if body == "" {
		return 0, "", fmt.Errorf("%q is not a number with a unit, as in \"3 mm\" or \"1/8 in\"", s)
	}
	neg := false
	if body[0] == '-' || body[0] == '+' {
		neg = body[0] == '-'
		body = strings.TrimSpace(body[1:])
	}
	fields := strings.FieldsFunc(body, func(r rune) bool { return r == ' ' })
	if len(fields) == 1 && strings.Contains(body, "/") && strings.Count(body, "-") == 1 {
		fields = strings.SplitN(body, "-", 2) // 2-1/2
	}
	if len(fields) > 2 || len(fields) == 0 {
		return 0, "", fmt.Errorf("%q is not one number", s)
	}
	for i, f := range fields {
		if n, d, ok := strings.Cut(f, "/"); ok {
			if i != len(fields)-1 {
				return 0, "", fmt.Errorf("%q is not one number", s)
			}
			a, err1 := strconv.ParseUint(n, 10, 32)
			b, err2 := strconv.ParseUint(d, 10, 32)
			if err1 != nil || err2 != nil || b == 0 {
				return 0, "", fmt.Errorf("%q is not a fraction", f)
			}
			num += float64(a) / float64(b)
			continue
		}
		if len(fields) == 2 {
			if i == 1 {
				return 0, "", fmt.Errorf("%q is not one number", s)
			}
			w, err := strconv.ParseUint(f, 10, 32)
			if err != nil {
				return 0, "", fmt.Errorf("%q is not a whole number before a fraction", f)
			}
			num += float64(w)
			continue
		}
		v, err := strconv.ParseFloat(f, 64)
		if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
			return 0, "", fmt.Errorf("%q is not a number", f)
		}
		num += v
	}
	if neg {
		num = -num
	}
	return num, unit, nil
}

// String gives the length in millimetres as a person writes it: at most two decimals, none when whole.
func (l Length) String() string { return Plain(float64(l)) + " mm" }

// String gives the angle in degrees: "12 deg".
func (a Angle) String() string { return Plain(float64(a)) + " deg" }

// Plain prints a number of millimetres or degrees with at most two decimals and no trailing zeros, never "-0".
func Plain(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}
