package drawing

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// HaveWantHeight is how far the have/want ruler reaches above and below its line, mm.
const (
	HaveWantAbove = 6.8
	HaveWantBelow = 5.2
)

// HaveWant is the small ruler behind every measured finding: hatched where the number may be, a filled mark where it is. The line starts
// at at and is so long; the unit stands beyond its end.
func HaveWant(at geom.Vec2, width float64, m finding.Measure) []Item {
	if s := m.Have + m.Want + m.WantMax; math.IsNaN(s) || math.Abs(s) > 1e12 {
		return []Item{Txt(at, Lettering, CapSize(Lettering, 2), Left, "have "+shortNum(m.Have)+", want "+shortNum(m.Want))}
	}
	lo, hi, step := haveWantScale(m)
	x := func(v float64) float64 { return at.X + (v-lo)/(hi-lo)*width }
	p := func(v, dy float64) geom.Vec2 { return geom.Vec2{X: x(v), Y: at.Y + dy} }
	const cap, hatch = 2.0, 2.2

	from, to := haveWantZone(m, lo, hi)
	out := []Item{
		Box(Style{Hatch: HatchAcrylic, Ink: Pencil}, p(from, 0), p(to, hatch)),
		Ln(p(lo, 0), p(hi, 0), Thin),
	}
	ticks := &Path{Open: true, Style: Style{Line: Thin}}
	n, first := int(math.Round((hi-lo)/step)), int(math.Round(lo/step))
	every := 1 // numbers thin out until they stand apart
	for i := 0; i <= n; i++ {
		w := TextWidth(Lettering, CapSize(Lettering, cap), shortNum(float64(first+i)*step)) + 1.5
		for w > width/float64(n)*float64(every) && every < n {
			every++
		}
	}
	for i := range n + 1 {
		v := float64(first+i) * step
		ticks.Outlines = append(ticks.Outlines, geom.Outline{{P: p(v, 0)}, {P: p(v, -1.2)}})
		if (first+i)%every == 0 {
			out = append(out, pencilled(Lettered(p(v, -1.9-cap), cap, Centre, shortNum(v))))
		}
		if i < n {
			h := v + step/2
			ticks.Outlines = append(ticks.Outlines, geom.Outline{{P: p(h, 0)}, {P: p(h, -0.8)}})
		}
	}
	out = append(out, ticks)
	if m.Unit != "" {
		out = append(out, pencilled(Lettered(geom.Vec2{X: at.X + width + 1.8, Y: at.Y - cap/2}, cap, Left, m.Unit)))
	}
	for _, w := range haveWantEdges(m) {
		out = append(out, Ln(p(w, -1.2), p(w, 3.4), Visible))
	}

	have := p(m.Have, 0.5)
	out = append(out, Area(Style{Fill: Bad}, have, have.Add(geom.Vec2{X: 1.5, Y: 2.7}), have.Add(geom.Vec2{X: -1.5, Y: 2.7})))
	return append(out, haveWantWords(m, at, width, x, cap)...)
}

func pencilled(t *Text) *Text {
	t.Ink = Pencil
	return t
}

// haveWantWords sets "have" over its mark and "want" on the side where the number may be; they give way to each other.
func haveWantWords(m finding.Measure, at geom.Vec2, width float64, x func(float64) float64, cap float64) []Item {
	size := CapSize(Lettering, cap)
	have, want := "have "+shortNum(m.Have), "want "+shortNum(m.Want)
	if m.Sense == finding.Between {
		want += " to " + shortNum(m.WantMax)
	}
	hw, ww := TextWidth(Lettering, size, have), TextWidth(Lettering, size, want)
	const room = 1.0
	wx := x(m.Want) + room // left end of the want words
	switch {
	case m.Sense == finding.AtMost:
		wx = x(m.Want) - room - ww
	case m.Sense == finding.Between && m.Have > m.WantMax:
		wx = x(m.WantMax) - room - ww
	}
	clamp := func(l, w float64) float64 { return max(at.X-2, min(l, at.X+width+8-w)) }
	wx = clamp(wx, ww)
	hx := clamp(x(m.Have)-hw/2, hw)
	if x(m.Have) <= wx+ww/2 {
		hx = min(hx, wx-1.5-hw)
	} else {
		hx = max(hx, wx+ww+1.5)
	}
	h := Txt(geom.Vec2{X: hx, Y: at.Y + 4.3}, Lettering, size, Left, have)
	h.Ink = Bad
	return []Item{h, Txt(geom.Vec2{X: wx, Y: at.Y + 4.3}, Lettering, size, Left, want)}
}

func haveWantEdges(m finding.Measure) []float64 {
	if m.Sense == finding.Between {
		return []float64{m.Want, m.WantMax}
	}
	return []float64{m.Want}
}

func haveWantZone(m finding.Measure, lo, hi float64) (from, to float64) {
	switch m.Sense {
	case finding.AtMost:
		return lo, m.Want
	case finding.Between:
		return m.Want, m.WantMax
	}
	return m.Want, hi
}

// haveWantScale picks the ends of the ruler and its steps: both numbers inside, room on the good side, five to nine numbers, zero as
// an end when it is near.
func haveWantScale(m finding.Measure) (lo, hi, step float64) {
	lo, hi = min(m.Have, m.Want), max(m.Have, m.Want)
	if m.Sense == finding.Between {
		hi = max(hi, m.WantMax)
	}
	span := hi - lo
	if !(span > 0) {
		span = max(math.Abs(hi)*0.2, 1)
	}
	if near := lo >= 0 && lo <= span; near {
		lo = 0
	} else {
		lo -= 0.3 * span
	}
	hi += 0.3 * span
	if m.Sense == finding.AtLeast {
		hi += 0.3 * span
	}
	step = math.Pow(10, math.Floor(math.Log10((hi-lo)/6)))
	for _, k := range [...]float64{1, 2, 5, 10} {
		if (hi-lo)/(step*k) <= 8 {
			step *= k
			break
		}
	}
	return math.Floor(lo/step+1e-9) * step, math.Ceil(hi/step-1e-9) * step, step
}

// shortNum writes a number with as few decimals as it needs, three at most.
func shortNum(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		s = "0"
	}
	return minus(s)
}
