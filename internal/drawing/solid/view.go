package solid

import (
	"math"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// View is a parallel projection: the viewer stands far off, turned by Turn degrees from the front (from where x runs to the right
// and y away) to the viewer's right, and looks down by Tilt degrees. Turn 0 and Tilt 0 is the front, Tilt 90 the plan. Seen from
// -90 ≤ Tilt ≤ 90.
type View struct {
	Turn, Tilt float64
	Scale      float64 // millimetres on paper to a millimetre square to the view; 0 is 1
}

// Isometric sees all three axes alike, 30 degrees above level to the left and the right (ISO 5456-3). Its lengths along the axes are
// √(2/3) times true at Scale 1.
func Isometric() View { return View{Turn: 45, Tilt: math.Atan(1/math.Sqrt2) * 180 / math.Pi} }

// Dimetric sees the front almost square: x and z alike, y at half their length, at 7 and 42 degrees (ISO 5456-3).
func Dimetric() View {
	return View{Turn: math.Asin(1/math.Sqrt(8)) * 180 / math.Pi, Tilt: math.Asin(1./3) * 180 / math.Pi}
}

// Desk looks down on a sloping face steeply enough to see all that stands on it, with the right side in view.
func Desk() View { return View{Turn: 32, Tilt: 40} }

// camera is a view's frame: right, up, and towards the viewer.
type camera struct {
	right, up, near geom.Vec3
	scale           float64
}

func (v View) camera() camera {
	s, c := math.Sincos(v.Turn * math.Pi / 180)
	sin, cos := math.Sincos(v.Tilt * math.Pi / 180)
	k := camera{right: geom.Vec3{X: c, Y: s}, near: geom.Vec3{X: s * cos, Y: -c * cos, Z: sin}, scale: v.Scale}
	k.up = k.near.Cross(k.right)
	if k.scale == 0 {
		k.scale = 1
	}
	return k
}

// see gives the place of p on paper, and how near it is.
func (c *camera) see(p geom.Vec3) geom.Vec3 {
	return geom.Vec3{X: c.scale * p.Dot(c.right), Y: c.scale * p.Dot(c.up), Z: c.scale * p.Dot(c.near)}
}

// Project gives the place of a point on paper, for what is to be written beside a drawing.
func (v View) Project(p geom.Vec3) geom.Vec2 {
	c := v.camera()
	return c.see(p).XY()
}

// sound reports whether the view has numbers.
func (v View) sound() bool {
	return math.Abs(v.Turn) <= 1e6 && math.Abs(v.Tilt) <= 90 && (v.Scale == 0 || v.Scale >= 1e-4 && v.Scale <= 1e3)
}

// Extent gives the rectangle on paper that all bodies fill, without the width of lines.
func (m *Model) Extent(v View) geom.Box2 {
	c := v.camera()
	out := geom.EmptyBox2()
	for i := range m.bodies {
		for _, p := range m.bodies[i].pieces {
			for k := range p.edges[:p.outer] {
				for _, d := range [4]geom.Vec3{c.right, c.right.Mul(-1), c.up, c.up.Mul(-1)} {
					out = out.Extend(c.see(p.support(&p.edges[k], d)).XY())
				}
			}
		}
	}
	return out
}

// sagitta is how far lines of drawings stray from true curves, mm on paper.
const sagitta = 0.01

// Drawing draws the bodies as seen: surfaces that look at the viewer, washed with their material, from the farthest to the
// nearest, each with its visible edges. What lies behind is covered by what lies before it; tangent surfaces have no line
// between them, and round ones get one where they turn away.
//
// The order is found surface by surface. Bars that pass through holes are cut at the surface they pass; other surfaces
// that pass through each other, or overlap each other in a ring, come out in the order of their middles.
func (m *Model) Drawing(v View) ([]drawing.Item, error) {
	if !v.sound() {
		return nil, ErrView
	}
	c := v.camera()
	var panes []*pane
	for i := range m.bodies {
		for k, p := range m.bodies[i].pieces {
			t, err := p.tessellate(sagitta / c.scale)
			if err != nil {
				return nil, &Error{Body: m.bodies[i].name, Piece: k, Hole: -1, Other: -1, Err: err}
			}
			panes = append(panes, panesOf(p, t, &c, m.bodies[i].look)...)
		}
	}
	var items []drawing.Item
	for _, p := range inOrder(panes) {
		items = append(items, p.items()...)
	}
	return items, nil
}
