// Package length reads, prints and compares lengths and angles with units: "1/4 in", "6.35 mm", "2 1/2 in", "12 deg".
// Inside Knobwright a length is always millimetres and an angle always degrees; units exist at the door only.
package length

import (
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
