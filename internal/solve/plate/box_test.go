package plate

import "knobwright/internal/geom"

func box(w, h float64) geom.Outline { return geom.Rect(geom.Vec2{X: w / 2, Y: h / 2}, w, h, 0) }

// sides gives line supports along the edges of a box: springs left, right, bottom, top; a negative one leaves the edge free.
func sides(w, h float64, l, r, b, t float64) []Line {
	var out []Line
	for _, e := range []Line{
		{"the left edge", at(0, 0), at(0, h), l}, {"the right edge", at(w, 0), at(w, h), r},
		{"the bottom edge", at(0, 0), at(w, 0), b}, {"the top edge", at(0, h), at(w, h), t},
	} {
		if e.Spring >= 0 {
			out = append(out, e)
		}
	}
	return out
}
