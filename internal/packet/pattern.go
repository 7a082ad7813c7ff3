package packet

import (
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// pattern is the outline of the covering before it is laid: the face and, when it is wrapped, the allowance round it with the
// corners cut so that the flaps meet in a mitre behind and no corner stays bare.
type pattern struct {
	outline geom.Outline // face frame
	w, h    float64      // of the blank, mm
	allow   float64      // beyond the face on each side: thickness of the sheet and the turn-over; 0 when laid flush
	corner  float64      // cut off at each corner of the blank, along each edge, mm
	laps    float64      // how far the flaps lie over each other behind, across the mitre, mm
}

// newPattern works the pattern out for a sheet t thick with wrap mm turned over behind. On every side the film goes down the edge
// and then behind, so the blank is a = t + wrap larger than the face. Each corner of the blank is cut off at 45 degrees along a
// line that passes the sheet's corner at the distance k = 1.5 (t + film), as bookbinders cut theirs (common practice). The leg
// of the cut is then
//
//	c = 2 a - k √2
//
// Folded down, the film stands past the corner of the edge by k √2 - t, which is above 0 for every t: the corner is
// never bare. Behind, the flaps lie over each other by √2 (k √2 - t) = 2 k - t √2 across the mitre. On a face so small that
// the cuts would meet, they are held to half the shorter side of the blank.
func newPattern(p *panel.Panel) pattern {
	f, t := p.Face, p.Stack.SheetThickness
	if p.Stack.Wrap <= 0 {
		return pattern{outline: f.Outline, w: f.Width, h: f.Height}
	}
	a := t + p.Stack.Wrap
	w, h := f.Width+2*a, f.Height+2*a
	c := max(2*a-1.5*(t+p.Stack.CoverThickness)*math.Sqrt2, 0)
	c = min(c, min(w, h)/2-1)
	k := (2*a - c) / math.Sqrt2
	x0, y0, x1, y1 := -a, -a, f.Width+a, f.Height+a
	return pattern{
		outline: geom.Polygon(
			v(x0+c, y0), v(x1-c, y0), v(x1, y0+c), v(x1, y1-c),
			v(x1-c, y1), v(x0+c, y1), v(x0, y1-c), v(x0, y0+c)),
		w: w, h: h, allow: a, corner: c, laps: 2*k - t*math.Sqrt2,
	}
}
