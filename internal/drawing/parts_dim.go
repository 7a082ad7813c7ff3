package drawing

import (
	"math"

	"knobwright/internal/geom"
)

// Sizes of dimensions on paper, mm: arrows 3 long and filled, as ISO 129-1 leaves free; letters 2.5 at rest and 3.5 in hand.
const (
	arrowLong = 3.0
	arrowWide = 1.0
	capRest   = 2.5
	capInHand = 3.5
)

// Dimension is a measured distance: extension lines from A and B, a dimension line with arrows, and the number above it, read from
// below or from the right (ISO 129-1).
type Dimension struct {
	A, B   geom.Vec2
	Along  geom.Vec2 // direction measured along; zero = from A to B
	Off    float64   // dimension line stands this far to the left of A, looking along; negative to the right
	S      string    // the number, as it is to be read
	InHand bool      // in the person's hand: larger, in You
	Broken bool      // the number stands in a gap of the line, not above it
	Gap    float64   // from the thing to the start of the extension lines; 0 = 1 mm
}

// Items draws the dimension. Arrows turn to the outside where they do not fit between, and then the number stands beyond
// B's arrow when it does not fit either.
func (d Dimension) Items() []Item {
	u := d.Along.Unit()
	if u == (geom.Vec2{}) {
		u = d.B.Sub(d.A).Unit()
	}
	if u == (geom.Vec2{}) {
		return nil
	}
	n := u.Left()
	ink, cap := Ink0, capRest
	if d.InHand {
		ink, cap = You, capInHand
	}
	a := d.A.Add(n.Mul(d.Off))
	b := a.Add(u.Mul(d.B.Sub(d.A).Dot(u)))
	if b.Sub(a).Dot(u) < 0 {
		a, b = b, a
	}
	out := d.extensions(ink, a, b, n)

	long := b.Sub(a).Len()
	size := CapSize(Lettering, cap)
	width := TextWidth(Lettering, size, d.S)
	fits := long >= width+1
	inside := long >= 2*arrowLong+1 && (!d.Broken || long >= width+2*arrowLong+3)
	line := func(p, q geom.Vec2) { out = append(out, inked(Ln(p, q, Dim), ink)) }

	t := &Text{S: d.S, Face: Lettering, Size: size, Anchor: Centre, Ink: ink}
	up := n
	t.Turn = math.Atan2(u.Y, u.X) * 180 / math.Pi
	if t.Turn > 90+1e-9 || t.Turn <= -90+1e-9 { // never upside down; upright numbers read from the right
		t.Turn += 180
		up = up.Mul(-1)
	}
	mid := a.Add(b).Mul(0.5)
	switch {
	case inside && d.Broken:
		t.At, t.Middle = mid, true
		half := u.Mul(width/2 + 0.8)
		line(a, mid.Sub(half))
		line(mid.Add(half), b)
	case inside:
		t.At = mid.Add(up.Mul(0.8))
		line(a, b)
	default:
		tail := u.Mul(arrowLong + 2)
		end := b.Add(tail)
		if fits {
			t.At = mid.Add(up.Mul(0.8))
		} else {
			end = b.Add(u.Mul(arrowLong + 1.5 + width + 0.5))
			t.At = b.Add(u.Mul(arrowLong + 1.5 + width/2)).Add(up.Mul(0.8))
		}
		line(a.Sub(tail), end)
	}
	dir := u
	if !inside {
		dir = u.Mul(-1)
	}
	out = append(out, Arrow(a, dir.Mul(-1), ink), Arrow(b, dir, ink))
	if d.S != "" {
		out = append(out, t)
	}
	return out
}

// extensions run from just off the thing to 2 mm beyond the dimension line.
func (d Dimension) extensions(ink Ink, a, b, n geom.Vec2) (out []Item) {
	gap := d.Gap
	if gap == 0 {
		gap = 1
	}
	for _, p := range [2]geom.Vec2{d.A, d.B} {
		foot := a
		if p.Sub(b).Cross(n) == 0 || math.Abs(p.Sub(b).Cross(n)) < math.Abs(p.Sub(a).Cross(n)) {
			foot = b
		}
		v := foot.Sub(p)
		if l := v.Len(); l > gap {
			v = v.Unit()
			out = append(out, inked(Ln(p.Add(v.Mul(gap)), foot.Add(v.Mul(2)), Dim), ink))
		}
	}
	return out
}

// DimX measures across from a to b, with the dimension line at height y.
func DimX(a, b geom.Vec2, y float64, s string) Dimension {
	if b.X < a.X {
		a, b = b, a
	}
	return Dimension{A: a, B: b, Along: geom.Vec2{X: 1}, Off: y - a.Y, S: s}
}

// DimY measures upwards from a to b, with the dimension line at x.
func DimY(a, b geom.Vec2, x float64, s string) Dimension {
	if b.Y < a.Y {
		a, b = b, a
	}
	return Dimension{A: a, B: b, Along: geom.Vec2{Y: 1}, Off: a.X - x, S: s}
}

// Arrow is a filled arrow head with its point at p, pointing along dir.
func Arrow(p, dir geom.Vec2, ink Ink) *Path {
	u := dir.Unit()
	back, side := p.Sub(u.Mul(arrowLong)), u.Left().Mul(arrowWide/2)
	return Area(Style{Fill: ink}, p, back.Add(side), back.Sub(side))
}

func inked(p *Path, ink Ink) *Path {
	p.Style.Ink = ink
	return p
}

// Leader joins a note to its spot: a dot on the first point, a line through the rest, in the line kind of its severity.
func Leader(kind Line, ink Ink, pts ...geom.Vec2) []Item {
	if len(pts) == 0 {
		return nil
	}
	return []Item{inked(Poly(kind, pts...), ink), Dot(pts[0], 1.6, ink)}
}

// CentreCross is a fine cross, reaching so far to each side, with a dot to set the punch in.
func CentreCross(at geom.Vec2, reach float64) []Item {
	return []Item{cross(at, reach), Dot(at, 0.9, Ink0)}
}

func cross(at geom.Vec2, reach float64) *Path {
	h, v := geom.Vec2{X: reach}, geom.Vec2{Y: reach}
	return &Path{
		Outlines: []geom.Outline{{{P: at.Sub(h)}, {P: at.Add(h)}}, {{P: at.Sub(v)}, {P: at.Add(v)}}},
		Open:     true, Style: Style{Line: Dim},
	}
}

// HoleMark is a round hole on a drilling sheet: its circle, a cross reaching 4 mm beyond it, a ring for the pilot hole when
// pilot is above 0 and smaller than the hole, and the punch dot.
func HoleMark(at geom.Vec2, d, pilot float64) []Item {
	out := []Item{cross(at, d/2+4), Circ(at, d, Visible)}
	if pilot > 0 && pilot < d-0.5 {
		out = append(out, Circ(at, pilot, Visible))
	}
	return append(out, Dot(at, 0.9, Ink0))
}
