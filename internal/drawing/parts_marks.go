package drawing

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// Mark is the mark of a severity, about so high, centred at at: stop is a saw cut with the waste cross, filled; warn a level's
// vial with the bubble off, open; note a punch mark, ring and dot.
func Mark(at geom.Vec2, height float64, s finding.Severity) []Item {
	switch s {
	case finding.Stop:
		return StopMark(at, height)
	case finding.Warn:
		return WarnMark(at, height)
	}
	return NoteMark(at, height)
}

// unit places things drawn round the origin; k is mm for one of their units.
type unit struct {
	at geom.Vec2
	k  float64
}

func (u unit) p(x, y float64) geom.Vec2 { return u.at.Add(geom.Vec2{X: x * u.k, Y: y * u.k}) }

func (u unit) box(s Style, x0, y0, x1, y1 float64) *Path { return Box(s, u.p(x0, y0), u.p(x1, y1)) }

// StopMark is a saw cut with the waste cross.
func StopMark(at geom.Vec2, height float64) []Item {
	u := unit{at, height / 28}
	s := Style{Fill: Bad}
	cut := Style{Line: Visible, Ink: Paper, Width: 3.4 * u.k, Round: true}
	return []Item{
		u.box(s, -17, -14, -12, 14), u.box(s, -8.5, -14, 17, 14),
		&Path{Open: true, Style: cut, Outlines: []geom.Outline{
			{{P: u.p(-2.5, 7.5)}, {P: u.p(11, -7.5)}}, {{P: u.p(11, 7.5)}, {P: u.p(-2.5, -7.5)}},
		}},
	}
}

// WarnMark is a level's vial with its bubble off the middle.
func WarnMark(at geom.Vec2, height float64) []Item {
	k := height / 24
	v := unit{geom.Vec2{}, k}
	line := Style{Line: Visible, Ink: Bad, Width: 1.6 * k}
	glass := Style{Line: Visible, Ink: Bad, Fill: Paper, Width: 2.2 * k}
	return []Item{&Group{Place: geom.Place{At: at, Turn: 13}, Items: []Item{
		Outl(glass, roundBox(v.p(-18, -8.5), v.p(18, 8.5), 4.5*k)),
		&Path{Open: true, Style: line, Outlines: []geom.Outline{{{P: v.p(-6, -8)}, {P: v.p(-6, 8)}}, {{P: v.p(6, -8)}, {P: v.p(6, 8)}}}},
		Outl(Style{Fill: Bad}, ellipse(v.p(8.6, 1), 6.4*k, 4.2*k)),
	}}}
}

// NoteMark is a punch mark: ring and dot.
func NoteMark(at geom.Vec2, height float64) []Item {
	k := height / 20
	return []Item{
		Outl(Style{Line: Visible, Fill: Paper, Width: 1.8 * k}, geom.Circle(at, 20*k-1.8*k)),
		Dot(at, 5.2*k, Ink0),
	}
}

func roundBox(lo, hi geom.Vec2, r float64) geom.Outline {
	k := math.Tan(math.Pi / 8)
	v := func(x, y, b float64) geom.Vertex { return geom.Vertex{P: geom.Vec2{X: x, Y: y}, Bulge: b} }
	return geom.Outline{
		v(lo.X+r, lo.Y, 0), v(hi.X-r, lo.Y, k), v(hi.X, lo.Y+r, 0), v(hi.X, hi.Y-r, k),
		v(hi.X-r, hi.Y, 0), v(lo.X+r, hi.Y, k), v(lo.X, hi.Y-r, 0), v(lo.X, lo.Y+r, k),
	}
}

// ellipse is an upright ellipse made of arcs, off by less than 5 µm up to 100 mm.
func ellipse(c geom.Vec2, rx, ry float64) geom.Outline {
	const k = 0.5522847498307936 // 4/3·(√2-1)
	p := func(x, y float64) geom.Vec2 { return c.Add(geom.Vec2{X: x * rx, Y: y * ry}) }
	o := geom.Outline{{P: p(1, 0)}}
	o = curveTo(o, p(1, 0), p(1, k), p(k, 1), p(0, 1), 0.002)
	o = curveTo(o, p(0, 1), p(-k, 1), p(-1, k), p(-1, 0), 0.002)
	o = curveTo(o, p(-1, 0), p(-1, -k), p(-k, -1), p(0, -1), 0.002)
	o = curveTo(o, p(0, -1), p(k, -1), p(1, -k), p(1, 0), 0.002)
	return o[:len(o)-1]
}

// TickBox is a box to tick, its lower left corner at at; a tick that is set overshoots it.
func TickBox(at geom.Vec2, size float64, ticked bool) []Item {
	out := []Item{Outl(Style{Line: Thin}, roundBox(at, at.Add(geom.Vec2{X: size, Y: size}), size*0.08))}
	if ticked {
		out = append(out, Tick(at.Add(geom.Vec2{X: size * 0.55, Y: size * 0.61}), size*0.9, Ink0))
	}
	return out
}

// Tick is a tick mark about so wide, round its middle.
func Tick(at geom.Vec2, width float64, ink Ink) *Path {
	u := unit{at, width / 19}
	p := Poly(Visible, u.p(-9, 0), u.p(-3, -7), u.p(10, 9))
	p.Style.Ink, p.Style.Width, p.Style.Round = ink, 3.2*u.k, true
	return p
}

// NumberRing is a small ring with a number in it, for holes in the order they are drilled.
func NumberRing(at geom.Vec2, n string) []Item {
	size := 3.5
	if w := TextWidth(ReadHalf, size, n); w > 4 {
		size *= 4 / w
	}
	t := Txt(at, ReadHalf, size, Centre, n)
	t.Middle = true
	return []Item{Outl(Style{Line: Dim, Fill: Paper}, geom.Circle(at, 5.4)), t}
}

// GripTicks are the four marks round what is in the person's hand, at the corners of a square round a circle of diameter d.
func GripTicks(c geom.Vec2, d float64) []Item {
	out := &Path{Open: true, Style: Style{Line: Visible, Ink: You, Width: 0.8, Round: true}}
	for _, turn := range [4]float64{45, 135, 225, 315} {
		u := geom.Place{Turn: turn}.Apply(geom.Vec2{X: 1})
		out.Outlines = append(out.Outlines, geom.Outline{{P: c.Add(u.Mul(d/2 + 1.5))}, {P: c.Add(u.Mul(d/2 + 3.5))}})
	}
	return []Item{out}
}

// Nails are the two nails of a thing that will not be moved, at the shoulders of a circle of diameter d.
func Nails(c geom.Vec2, d float64) []Item {
	var out []Item
	for _, x := range [2]float64{-1, 1} {
		head := c.Add(geom.Vec2{X: x * (d/2 + 1.5), Y: d/2*0.72 + 0.6})
		out = append(out, Ln(head, head.Add(geom.Vec2{X: -x * 1.5, Y: -3}), Visible), Dot(head, 2.1, Ink0))
	}
	return out
}

// Drilled is a hole that is done: filled, the tick knocked out.
func Drilled(c geom.Vec2, d float64) []Item {
	return []Item{Dot(c, d, Ink0), Tick(c, d*0.48, Paper)}
}

// Knocked is a line of text on a patch of paper with so much margin, so that what lies under it does not cross it.
func Knocked(t *Text, margin float64) []Item {
	w, cap := TextWidth(t.Face, t.Size, t.S), capHeight(t.Face, t.Size)
	if n := len([]rune(t.S)); t.Track != 0 && n > 1 {
		w += t.Track * t.Size * float64(n-1)
	}
	x := -w * float64(t.Anchor) / 2
	y := 0.0
	if t.Middle {
		y = -cap / 2
	}
	lo, hi := geom.Vec2{X: x - margin, Y: y - margin}, geom.Vec2{X: x + w + margin, Y: y + cap + margin}
	return []Item{&Group{Place: geom.Place{At: t.At, Turn: t.Turn}, Items: []Item{Box(Style{Fill: Paper}, lo, hi)}}, t}
}
