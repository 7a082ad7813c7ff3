package electric

import (
	"fmt"
	"math"
	"slices"
)

// Colour is a colour by its English word.
type Colour string

type band struct {
	colour  Colour
	letters string
	digit   int     // -1 = none
	power   int     // of ten, as multiplier
	tol     float64 // per cent; 0 = none
}

// ColourSource is where the bands come from. Violet and grey as tolerance differ between charts.
var ColourSource = seen("IEC 60062:2016; letters IEC 60757")

var bands = []band{
	{"black", "BK", 0, 0, 0}, {"brown", "BN", 1, 1, 1}, {"red", "RD", 2, 2, 2}, {"orange", "OG", 3, 3, 0.05}, {"yellow", "YE", 4, 4, 0.02},
	{"green", "GN", 5, 5, 0.5}, {"blue", "BU", 6, 6, 0.25}, {"violet", "VT", 7, 7, 0.1}, {"grey", "GY", 8, 8, 0.01}, {"white", "WH", 9, 9, 0},
	{"pink", "PK", -1, -3, 0}, {"silver", "SR", -1, -2, 10}, {"gold", "GD", -1, -1, 5},
}

// wireOnly are colours of wires that are no bands.
var wireOnly = []band{{"turquoise", "TQ", -1, 99, 0}, {"green-yellow", "GNYE", -1, 99, 0}}

// Letters gives the IEC 60757 letters of a colour, "BN" for brown; empty if it has none.
func (c Colour) Letters() string {
	for _, b := range slices.Concat(bands, wireOnly) {
		if b.colour == c {
			return b.letters
		}
	}
	return ""
}

// ColourOf gives the colour of IEC 60757 letters; empty if there is none.
func ColourOf(letters string) Colour {
	for _, b := range slices.Concat(bands, wireOnly) {
		if b.letters == letters {
			return b.colour
		}
	}
	return ""
}

// Bands gives the colour bands of a resistor: with count 4 two digits, with 5 three, then the multiplier and the tolerance, per cent.
// A tolerance of 20 has no band, so that three are left of four. Values that need more digits than there are bands are refused.
func Bands(ohm, tolerance float64, count int) ([]Colour, error) {
	if count != 4 && count != 5 {
		return nil, fmt.Errorf("there are resistors with 4 or 5 bands, not %d", count)
	}
	if err := within("resistance", "ohm", ohm, 1e-3, most); err != nil {
		return nil, err
	}
	last := -1
	for i, b := range bands {
		if b.tol == tolerance && tolerance != 0 {
			last = i
		}
	}
	if last < 0 && (tolerance != 20 || count != 4) {
		return nil, fmt.Errorf("no band means a tolerance of %g %%", tolerance)
	}
	digits := count - 2
	power := int(math.Floor(math.Log10(ohm)*(1+1e-15))) - digits + 1
	m := int(math.Round(ohm / math.Pow10(power)))
	switch low := int(math.Pow10(digits - 1)); {
	case m >= 10*low:
		m, power = m/10, power+1
	case m < low:
		m, power = m*10, power-1
	}
	if v := decimal(m, power); math.Abs(v-ohm) > 1e-6*ohm {
		return nil, fmt.Errorf("%s has more digits than %d bands can say", FormatOhms(ohm), count)
	}
	var out []Colour
	for p := digits - 1; p >= 0; p-- {
		out = append(out, bands[m/int(math.Pow10(p))%10].colour)
	}
	at := slices.IndexFunc(bands, func(b band) bool { return b.power == power })
	if at < 0 {
		return nil, fmt.Errorf("no band multiplies by ten to the power %d", power)
	}
	out = append(out, bands[at].colour)
	if last >= 0 {
		out = append(out, bands[last].colour)
	}
	return out, nil
}

// ReadBands reads 3, 4 or 5 colour bands: resistance and tolerance, per cent. Three bands mean 20 %.
func ReadBands(colours []Colour) (ohm, tolerance float64, err error) {
	n := len(colours)
	if n < 3 || n > 5 {
		return 0, 0, fmt.Errorf("3, 4 or 5 bands can be read, not %d", n)
	}
	digits := 2
	if n == 5 {
		digits = 3
	}
	m := 0
	for i, c := range colours {
		at := slices.IndexFunc(bands, func(b band) bool { return b.colour == c })
		if at < 0 {
			return 0, 0, fmt.Errorf("no band is %s", c)
		}
		b := bands[at]
		switch {
		case i < digits && b.digit < 0:
			return 0, 0, fmt.Errorf("%s as band %d means no digit", c, i+1)
		case i < digits:
			m = 10*m + b.digit
		case i == digits:
			ohm, tolerance = decimal(m, b.power), 20
		case b.tol == 0:
			return 0, 0, fmt.Errorf("%s means no tolerance", c)
		default:
			tolerance = b.tol
		}
	}
	return ohm, tolerance, nil
}
