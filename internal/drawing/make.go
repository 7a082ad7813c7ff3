package drawing

import "knobwright/internal/geom"

// Ln is a straight line.
func Ln(a, b geom.Vec2, line Line) *Path {
	return &Path{Outlines: []geom.Outline{{{P: a}, {P: b}}}, Open: true, Style: Style{Line: line}}
}

// Poly is an open run of straight lines.
func Poly(line Line, pts ...geom.Vec2) *Path {
	o := make(geom.Outline, len(pts))
	for i, p := range pts {
		o[i].P = p
	}
	return &Path{Outlines: []geom.Outline{o}, Open: true, Style: Style{Line: line}}
}

// Arc is an open arc round c, from one angle to another in degrees, counter-clockwise when to is greater. A full turn or more is
// a whole circle.
func Arc(c geom.Vec2, d, from, to float64, line Line) *Path {
	o := arcRun(c, d/2, from, to)
	return &Path{Outlines: []geom.Outline{o}, Open: true, Style: Style{Line: line}}
}

// Circ is a circle of diameter d.
func Circ(c geom.Vec2, d float64, line Line) *Path {
	return &Path{Outlines: []geom.Outline{geom.Circle(c, d)}, Style: Style{Line: line}}
}

// Dot is a filled disc.
func Dot(c geom.Vec2, d float64, ink Ink) *Path {
	return &Path{Outlines: []geom.Outline{geom.Circle(c, d)}, Style: Style{Fill: ink}}
}

// Outl is one or more closed outlines in one style; several fill even-odd.
func Outl(s Style, outlines ...geom.Outline) *Path {
	return &Path{Outlines: outlines, Style: s}
}

// Area is a closed run of straight lines.
func Area(s Style, pts ...geom.Vec2) *Path {
	o := make(geom.Outline, len(pts))
	for i, p := range pts {
		o[i].P = p
	}
	return &Path{Outlines: []geom.Outline{o}, Style: s}
}

// Box is an upright rectangle between two corners.
func Box(s Style, lo, hi geom.Vec2) *Path {
	return Area(s, lo, geom.Vec2{X: hi.X, Y: lo.Y}, hi, geom.Vec2{X: lo.X, Y: hi.Y})
}

// Txt is a line of text on its baseline, in ink, at a type size (em, mm).
func Txt(at geom.Vec2, f Face, size float64, a Anchor, s string) *Text {
	return &Text{At: at, S: s, Face: f, Size: size, Anchor: a}
}

// Lettered is a line of drawn lettering with capitals cap mm high.
func Lettered(at geom.Vec2, cap float64, a Anchor, s string) *Text {
	return Txt(at, Lettering, CapSize(Lettering, cap), a, s)
}

// On puts items onto a layer, groups and all they hold included, and gives them back.
func On(layer string, items ...Item) []Item {
	for _, it := range items {
		switch it := it.(type) {
		case *Path:
			it.Layer = layer
		case *Text:
			it.Layer = layer
		case *Group:
			On(layer, it.Items...)
		}
	}
	return items
}
