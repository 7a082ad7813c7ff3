package terminal

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/length"
)

// ruler is the have/want ruler of one measure: three lines of plain ASCII.
//
//	-3   -2   -1    0    1    2    3    4   mm
//	 |----|--#-|----|----|----[====|====|
//	   have -1.5             want 2 or more
//
// '=' marks where it may be, '#' where it is.
type ruler struct {
	labels, bar, words string
	mark               int // column of '#' in bar
	haveAt, wantAt     int // columns in words
	haveTo             int
}

const (
	perStep  = 5 // columns between two ticks
	maxTicks = 10
)

// newRuler lays out the ruler. Its labels, marks and words always agree: a value is rounded to the column only for
// the mark, never in the words.
func newRuler(m finding.Measure) ruler {
	lo, hi := min(m.Have, m.Want), max(m.Have, m.Want)
	if m.Sense == finding.Between {
		lo, hi = min(lo, m.WantMax), max(hi, m.WantMax)
	}
	if hi-lo < 1e-9 {
		hi = lo + 1
	}
	step := niceStep((hi - lo) / 5)
	first := math.Floor(lo/step-0.2) * step
	last := math.Ceil(hi/step+0.8) * step
	for (last-first)/step > maxTicks {
		step = niceStep(step * 1.01)
		first = math.Floor(lo/step-0.2) * step
		last = math.Ceil(hi/step+0.8) * step
	}
	n := int(math.Round((last - first) / step))
	col := func(v float64) int { return int(math.Round((v - first) / step * perStep)) }
	width := n*perStep + 1

	bar := []byte(strings.Repeat("-", width))
	for i := 0; i <= n; i++ {
		bar[i*perStep] = '|'
	}
	from, to := zone(m, col, width)
	for i := from; i <= to; i++ {
		if bar[i] == '-' {
			bar[i] = '='
		}
	}
	switch m.Sense {
	case finding.AtLeast:
		bar[from] = '['
	case finding.AtMost:
		bar[to] = ']'
	case finding.Between:
		bar[from], bar[to] = '[', ']'
	}
	mark := min(max(col(m.Have), 0), width-1)
	// the mark must not read as inside when it is not
	if !inside(m) && bar[mark] != '-' && bar[mark] != '|' {
		if m.Have < m.Want {
			mark = max(from-1, 0)
		} else {
			mark = min(to+1, width-1)
		}
	}
	bar[mark] = '#'

	const pad = 4 // room for the first label to stand centred over its tick
	labels := []byte(strings.Repeat(" ", pad+width+8))
	word := func(i int) string { return decimal(first+float64(i)*step, places(step)) }
	widest := 0
	for i := range n + 1 {
		widest = max(widest, len(word(i)))
	}
	every := (widest + perStep) / perStep // so that two labels never touch
	for i := 0; i <= n; i += every {
		copy(labels[max(pad+i*perStep-len(word(i))/2, 0):], word(i))
	}
	unit := m.Unit
	head := strings.TrimRight(string(labels), " ")
	if unit != "" {
		head += "   " + unit
	}
	r := ruler{labels: head, bar: strings.Repeat(" ", pad) + string(bar), mark: pad + mark}
	r.words, r.haveAt, r.haveTo, r.wantAt = words(m, pad+mark, pad+from, pad+to)
	return r
}

func inside(m finding.Measure) bool {
	switch m.Sense {
	case finding.AtLeast:
		return m.Have >= m.Want
	case finding.AtMost:
		return m.Have <= m.Want
	}
	return m.Have >= m.Want && m.Have <= m.WantMax
}

func zone(m finding.Measure, col func(float64) int, width int) (from, to int) {
	clamp := func(c int) int { return min(max(c, 0), width-1) }
	switch m.Sense {
	case finding.AtLeast:
		return clamp(col(m.Want)), width - 1
	case finding.AtMost:
		return 0, clamp(col(m.Want))
	}
	return clamp(col(m.Want)), clamp(max(col(m.WantMax), col(m.Want)+1))
}

// words puts "have -1.5" under the mark and "want 2 or more" under the zone, side by side without touching.
func words(m finding.Measure, mark, from, to int) (line string, haveAt, haveTo, wantAt int) {
	d := places(math.Abs(m.Have-m.Want) / 4) // enough to tell the two apart, never fewer than the sentence has
	if m.Sense == finding.Between && m.Have > m.Want {
		d = places(math.Abs(m.Have-m.WantMax) / 4)
	}
	num := func(v float64) string { return decimal(v, max(d, 2)) }
	have, want := "have "+num(m.Have), "want "+num(m.Want)
	switch m.Sense {
	case finding.AtLeast:
		want += " or more"
	case finding.AtMost:
		want += " or less"
	case finding.Between:
		want += " to " + num(m.WantMax)
	}
	anchor := from
	if m.Sense == finding.AtMost {
		anchor = max(to-len(want)+1, 0)
	}
	haveAt = max(mark-len(have)/2, 0)
	wantAt = max(anchor, 0)
	if mark < anchor || (mark <= to && m.Sense != finding.AtMost) {
		haveAt = min(haveAt, max(wantAt-len(have)-3, 0))
		wantAt = max(wantAt, haveAt+len(have)+3)
	} else {
		haveAt = max(haveAt, wantAt+len(want)+3)
	}
	buf := []byte(strings.Repeat(" ", max(haveAt+len(have), wantAt+len(want))))
	copy(buf[haveAt:], have)
	copy(buf[wantAt:], want)
	return string(buf), haveAt, haveAt + len(have), wantAt
}

// niceStep gives the least of 1, 2, 5 times a power of ten that is at least v.
func niceStep(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*p >= v*(1-1e-12) {
			return k * p
		}
	}
	return 10 * p
}

// places is how many decimals tell v from nothing: enough for its first digit, at most four.
func places(v float64) int {
	v = math.Abs(v)
	if v < 1e-9 {
		return 0
	}
	return min(max(int(math.Ceil(-math.Log10(v)-1e-9)), 0), 4)
}

// decimal prints a number with at most so many decimals and no trailing zeros.
func decimal(v float64, places int) string {
	if places <= 2 {
		return length.Plain(math.Round(v*math.Pow10(places)) / math.Pow10(places))
	}
	s := strings.TrimRight(strconv.FormatFloat(v, 'f', places, 64), "0")
	return strings.TrimSuffix(s, ".")
}
