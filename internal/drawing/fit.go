package drawing

import "strings"

// Fit makes a line of text fit a width: first by a smaller size, down to three quarters, then by cutting it short with "…".
func Fit(f Face, size float64, s string, width float64) (string, float64) {
	w := TextWidth(f, size, s)
	if w <= width {
		return s, size
	}
	if k := width / w; k >= 0.75 {
		return s, size * k
	}
	size *= 0.75
	r := []rune(clean(s))
	lo, hi := 0, len(r)
	for lo < hi { // the longest start that fits
		mid := (lo + hi + 1) / 2
		if TextWidth(f, size, string(r[:mid])+"…") <= width {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	if lo == 0 {
		return "", size
	}
	return string(r[:lo]) + "…", size
}

// Wrap breaks a text into lines no wider than width, at spaces and line ends; a word too wide for a line is broken inside.
func Wrap(f Face, size float64, s string, width float64) []string {
	var out []string
	for para := range strings.SplitSeq(s, "\n") {
		line := ""
		for _, word := range strings.Fields(clean(para)) {
			if line != "" && TextWidth(f, size, line+" "+word) <= width {
				line += " " + word
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			for r := []rune(word); TextWidth(f, size, string(r)) > width && len(r) > 1; word = string(r) {
				n := len(r) - 1
				for n > 1 && TextWidth(f, size, string(r[:n])) > width {
					n--
				}
				out = append(out, string(r[:n]))
				r = r[n:]
			}
			line = word
		}
		out = append(out, line)
	}
	return out
}
