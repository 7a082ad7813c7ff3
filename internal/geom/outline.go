package geom

// Vertex is a corner of an outline, and how the outline goes on from it: straight when Bulge is 0, else along an arc whose
// included angle is 4·atan(Bulge), counter-clockwise when positive (the convention of DXF).
type Vertex struct {
	P     Vec2
	Bulge float64
}

// Outline is a closed curve of lines and circular arcs that does not cross itself, counter-clockwise. The zero value is
// the empty outline. Outlines are values: no method changes its receiver.
type Outline []Vertex

// Circle is a round outline, made of two half circles, starting at its rightmost point.
func Circle(c Vec2, d float64) Outline {
	r := d / 2
	return Outline{{Vec2{c.X + r, c.Y}, 1}, {Vec2{c.X - r, c.Y}, 1}}
}

// AsCircle reports centre and diameter when the outline is one full circle as made by Circle (also after a move).
func (o Outline) AsCircle() (c Vec2, d float64, ok bool) {
	if len(o) == 2 && o[0].Bulge == 1 && o[1].Bulge == 1 {
		return o[0].P.Add(o[1].P).Mul(0.5), o[0].P.Sub(o[1].P).Len(), true
	}
	return
}
