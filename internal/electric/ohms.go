package electric

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ParseOhms reads a resistance as people write it: "330", "330 ohm", "4k7", "4.7k", "4,7 kΩ", "10k", "1M", "0R47", "R47", "470R".
// A small m is refused without "ohm" or "Ω" behind it, because 1m might mean a million. The result is from 0 to 1e12 ohm.
func ParseOhms(text string) (float64, error) {
	s := strings.ReplaceAll(strings.TrimSpace(text), "\u2126", "Ω") // the ohm sign and the Greek letter look alike
	s = strings.ReplaceAll(s, ",", ".")
	named := false
	for _, unit := range []string{"ohms", "ohm", "Ω"} {
		if at := len(s) - len(unit); at >= 0 && strings.EqualFold(s[at:], unit) {
			s, named = s[:at], true
			break
		}
	}
	s = strings.TrimSpace(s)
	letter, at := byte(0), strings.IndexFunc(s, func(r rune) bool { return r != '.' && (r < '0' || r > '9') })
	number := s
	if at >= 0 {
		left, rest := s[:at], strings.TrimSpace(s[at:])
		letter = rest[0]
		right := rest[1:]
		number = left
		if right != "" {
			if strings.Contains(left, ".") || !digitsOnly(right) {
				return 0, ohmsError(text)
			}
			number = left + "." + right
		}
	}
	power := 0
	switch letter {
	case 0:
	case 'R', 'r', 'E':
		if named {
			return 0, ohmsError(text)
		}
	case 'k', 'K':
		power = 3
	case 'M':
		power = 6
	case 'G':
		power = 9
	case 'm':
		if !named {
			return 0, fmt.Errorf("%q may mean a million or a thousandth; write 1M or 0.001 ohm", text)
		}
		power = -3
	default:
		return 0, ohmsError(text)
	}
	if !strings.ContainsFunc(number, func(r rune) bool { return r != '.' }) {
		return 0, ohmsError(text)
	}
	v, err := strconv.ParseFloat(number+"e"+strconv.Itoa(power), 64)
	if err != nil || !(v >= 0 && v <= most) {
		return 0, ohmsError(text)
	}
	return v, nil
}

func digitsOnly(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return r < '0' || r > '9' })
}

func ohmsError(text string) error {
	return fmt.Errorf("%q is no resistance; write it like 330 ohm, 4k7, 10k or 1M", text)
}

// FormatOhms writes a resistance for people, with up to three digits that count: "330 Ω", "4.7 kΩ", "1 MΩ", "0.47 Ω".
func FormatOhms(ohm float64) string {
	number, prefix := scaled(ohm)
	return number + " " + prefix + "Ω"
}

// ShortOhms writes a resistance as it is printed on parts and beside symbols (IEC 60062): "330R", "4k7", "1M", "0R47".
func ShortOhms(ohm float64) string {
	number, prefix := scaled(ohm)
	if prefix == "" {
		prefix = "R"
	}
	if strings.Contains(number, ".") {
		return strings.Replace(number, ".", prefix, 1)
	}
	return number + prefix
}

func scaled(ohm float64) (number, prefix string) {
	v := ohm
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(math.Abs(ohm), 'g', 3, 64), 64)
	if err == nil {
		switch {
		case rounded >= 1e9:
			v, prefix = ohm/1e9, "G"
		case rounded >= 1e6:
			v, prefix = ohm/1e6, "M"
		case rounded >= 1e3:
			v, prefix = ohm/1e3, "k"
		}
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return strconv.FormatFloat(v, 'g', -1, 64), ""
	}
	short, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return strconv.FormatFloat(short, 'f', -1, 64), prefix
}
