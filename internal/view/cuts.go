package view

import (
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// touch is how far behind the sheet a board is looked for that carries or meets it, mm.
const touch = 0.5

// acrossAt gives what of a body a level cut through the face at a height meets: across and z.
func acrossAt(b panel.Body, up float64) []geom.Outline {
	if h, ok := b.Solid.(*geom.Hull); ok && b.Leans {
		return cutFace(h, geom.HalfSpace{N: geom.Vec3{Y: 1}, D: up}, func(p geom.Vec3) geom.Vec2 { return geom.Vec2{X: p.X, Y: p.Z} })
	}
	var out []geom.Outline
	for _, r := range runs(b.Outline, up) {
		if b.Z1 > b.Z0 {
			out = append(out, span(r[0], r[1], b.Z0, b.Z1))
		}
	}
	return out
}

// footprint gives where a body meets the back of the sheet, in the face frame; nil when it stands clear of it.
func footprint(p *panel.Panel, b panel.Body) geom.Outline {
	z := -p.Stack.Total - touch
	if h, ok := b.Solid.(*geom.Hull); ok && b.Leans {
		for _, o := range cutFace(h, geom.HalfSpace{N: geom.Vec3{Z: 1}, D: z}, geom.Vec3.XY) {
			return o
		}
		return nil
	}
	if b.Z0 <= z && z <= b.Z1 {
		return b.Outline
	}
	return nil
}

// cutFace gives the face in which a plane cuts a solid, laid flat; nothing when the plane misses it or only grazes it.
func cutFace(h *geom.Hull, hs geom.HalfSpace, flat func(geom.Vec3) geom.Vec2) []geom.Outline {
	cut, ok := geom.CutHull(h, hs)
	if !ok || cut == h || len(cut.Faces) == 0 {
		return nil
	}
	var pts []geom.Vec2
	for _, i := range cut.Faces[len(cut.Faces)-1] {
		pts = append(pts, flat(cut.Points[i]))
	}
	if o := geom.Polygon(pts...); !o.Empty() {
		return []geom.Outline{o}
	}
	return nil
}

// span is the upright rectangle between two places across and two heights.
func span(x0, x1, z0, z1 float64) geom.Outline {
	return geom.Polygon(geom.Vec2{X: x0, Y: z0}, geom.Vec2{X: x1, Y: z0}, geom.Vec2{X: x1, Y: z1}, geom.Vec2{X: x0, Y: z1})
}

// runs gives where the level line at a height runs inside an outline, left to right.
func runs(o geom.Outline, up float64) [][2]float64 {
	if !spans(o, up) {
		return nil
	}
	pts := o.Flatten(0.01)
	var xs []float64
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if (a.Y > up) != (b.Y > up) {
			xs = append(xs, a.X+(b.X-a.X)*(up-a.Y)/(b.Y-a.Y))
		}
	}
	slices.Sort(xs)
	var out [][2]float64
	for i := 0; i+1 < len(xs); i += 2 {
		out = append(out, [2]float64{xs[i], xs[i+1]})
	}
	return out
}

// spans reports whether a level line at a height passes between the lowest and the highest point of an outline.
func spans(o geom.Outline, up float64) bool {
	if o.Empty() {
		return false
	}
	b := o.Bounds()
	return b.Min.Y < up && up < b.Max.Y
}

// clipped is the part of an outline's bounds above a height.
func clipped(b geom.Box2, low float64) geom.Box2 {
	b.Min.Y = math.Max(b.Min.Y, low)
	return b
}
