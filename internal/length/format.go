package length

import (
	"math"
	"strconv"
)

// sixtyFourth is the finest division of a workshop rule in inches, in millimetres.
const sixtyFourth = PerInch / 64

// hair is the difference in millimetres that no printed length shows: half of the last decimal of String.
const hair = 0.005

// Format prints a length in the unit u: "22.5 mm", or in inches as the nearest 64th in its lowest terms, "57/64 in", "2 1/2 in".
// A length that is not that 64th to within 0.005 mm is marked: "~57/64 in". Any other unit is taken as millimetres.
func Format(l Length, u Unit) string {
	if u != Inch {
		return l.String()
	}
	v := float64(l)
	if math.IsNaN(v) || math.Abs(v) > 1e12 {
		return Plain(v/PerInch) + " in"
	}
	n := int64(math.Round(v / sixtyFourth))
	s := ""
	if math.Abs(v-float64(n)*sixtyFourth) > hair {
		s = "~"
	}
	if n < 0 {
		s += "-"
		n = -n
	}
	whole, top, bottom := n/64, n%64, int64(64)
	for top > 0 && top%2 == 0 {
		top, bottom = top/2, bottom/2
	}
	if whole > 0 || top == 0 {
		s += strconv.FormatInt(whole, 10)
		if top > 0 {
			s += " "
		}
	}
	if top > 0 {
		s += strconv.FormatInt(top, 10) + "/" + strconv.FormatInt(bottom, 10)
	}
	return s + " in"
}

// Inches prints a length in inches, as Format does.
func Inches(l Length) string { return Format(l, Inch) }
