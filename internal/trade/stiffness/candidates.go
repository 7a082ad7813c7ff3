package stiffness

import (
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Places of ribs that are looked at: lines this far apart across and up, twice as far when that makes too many; pieces of at least
// leastRib.
const (
	lineStep   = 5.0
	leastRib   = 50.0
	mostPlaces = 108
)

// stock is what ribs are made from.
type stock struct {
	width, height, young, shear float64
	air, ends                   float64
}

// stockOf gives the rib stock that the person has.
func (f *Face) stockOf() stock {
	l := f.Panel.Limits
	s := stock{
		width: l.Value(limRibWidth), height: l.Value(limRibHeight), air: l.Value(limRibAir), ends: l.Value(limRibEnds),
	}
	s.young, s.shear = f.ribWood()
	if s.width <= 0 {
		s.width = 9
		if b := f.Panel.Box; b != nil && b.Walls.Thickness > 0 {
			s.width = b.Walls.Thickness
		}
	}
	s.width, s.height = min(s.width, 100), min(max(s.height, 1), 200)
	return s
}

// obstacle is something that a rib must not come near: a polygon, and by how much.
type obstacle struct {
	pts []geom.Vec2
	box geom.Box2
	air float64
}

func newObstacle(pts []geom.Vec2, air float64) obstacle {
	o := obstacle{pts: pts, air: air, box: geom.EmptyBox2()}
	for _, q := range pts {
		o.box = o.box.Extend(q)
	}
	return o
}

// obstacles lists everything that a rib of some height meets behind the sheet.
func (f *Face) obstacles(s stock) (out []obstacle) {
	p := f.Panel
	back := -p.Stack.Total
	for _, o := range f.model.Openings {
		out = append(out, newObstacle(o.Outline.Flatten(0.2), s.air))
	}
	for _, x := range p.Fixings { // a rib over a screw hole takes its wood away
		out = append(out, newObstacle(geom.Circle(x.At.Vec2, max(x.Head, 4)).Flatten(0.3), s.air))
	}
	for _, c := range p.Controls {
		for _, k := range c.Cuts {
			if k.What == "screw" {
				out = append(out, newObstacle(k.Outline.Flatten(0.2), s.air))
			}
		}
		for _, b := range c.Rear {
			if b.Z1 > back-s.height-s.air && !b.Outline.Empty() {
				out = append(out, newObstacle(b.Outline.Flatten(0.2), s.air))
			}
		}
		for _, l := range c.Lugs {
			if l.Z > back-s.height-s.air {
				w := geom.Vec2{X: max(l.W, 1), Y: max(l.H, 1)}
				out = append(out, newObstacle(geom.Rect(l.At.Vec2, w.X, w.Y, 0).Flatten(0.2), s.air))
			}
		}
	}
	if p.Box != nil && p.Board == "" {
		for _, r := range p.Box.Written.RibFree {
			x0, y0, x1, y1 := r[0][0].MM(), r[0][1].MM(), r[1][0].MM(), r[1][1].MM()
			out = append(out, newObstacle([]geom.Vec2{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}, 0))
		}
	}
	for _, b := range p.Behind {
		if b.Role == panel.RoleBase || f.aside[b.Origin.Path] || b.Z1 < back-s.height-s.air || b.Outline.Empty() {
			continue
		}
		air := s.air
		if b.Role == panel.RoleWall || b.Role == panel.RoleLedge {
			air = s.ends
		}
		if pts := shadow(b, back-s.height-s.air); len(pts) > 2 {
			out = append(out, newObstacle(pts, air))
		}
	}
	return out
}

// shadow is the outline of what a body has above a height, seen along z: of a body that leans only that part counts.
func shadow(b panel.Body, z float64) []geom.Vec2 {
	h, ok := b.Solid.(*geom.Hull)
	if !ok || b.Z0 >= z {
		return b.Outline.Flatten(0.2)
	}
	cut, ok := geom.CutHull(h, geom.HalfSpace{N: geom.Vec3{Z: -1}, D: -z})
	if !ok {
		return nil
	}
	pts := make([]geom.Vec2, len(cut.Points))
	for i, q := range cut.Points {
		pts[i] = q.XY()
	}
	return convexHull(pts)
}

// convexHull gives the hull of points, counter-clockwise (Andrew's monotone chain).
func convexHull(pts []geom.Vec2) []geom.Vec2 {
	slices.SortFunc(pts, func(a, b geom.Vec2) int {
		if a.X != b.X {
			return sign(a.X - b.X)
		}
		return sign(a.Y - b.Y)
	})
	var out []geom.Vec2
	for pass := range 2 {
		start := len(out)
		for _, q := range pts {
			for len(out) >= start+2 && out[len(out)-1].Sub(out[len(out)-2]).Cross(q.Sub(out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, q)
		}
		if len(out) > 0 {
			out = out[:len(out)-1]
		}
		if pass == 0 {
			slices.Reverse(pts)
		}
	}
	return out
}

func sign(v float64) int {
	switch {
	case v < 0:
		return -1
	case v > 0:
		return 1
	}
	return 0
}

// reach gives how far an obstacle reaches along x within a band lo ≤ y ≤ hi; ok is false when it stays out of it.
func (o *obstacle) reach(lo, hi float64) (from, to float64, ok bool) {
	if o.box.Max.Y <= lo || o.box.Min.Y >= hi {
		return 0, 0, false
	}
	from, to = math.Inf(1), math.Inf(-1)
	add := func(x float64) { from, to = min(from, x), max(to, x) }
	for i, a := range o.pts {
		b := o.pts[(i+1)%len(o.pts)]
		if a.Y >= lo && a.Y <= hi {
			add(a.X)
		}
		for _, y := range [2]float64{lo, hi} {
			if (a.Y-y)*(b.Y-y) < 0 {
				add(a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
			}
		}
	}
	return from, to, from <= to
}

// turned gives the obstacle with x and y changed.
func (o obstacle) turned() obstacle {
	pts := make([]geom.Vec2, len(o.pts))
	for i, q := range o.pts {
		pts[i] = geom.Vec2{X: q.Y, Y: q.X}
	}
	return newObstacle(pts, o.air)
}

// candidates lists every place for a rib along x and along y, as long as what is in the way lets it, on lines so far apart, mm.
func (f *Face) candidates(s stock) (out []Rib, apart float64) {
	for apart = lineStep; ; apart *= 2 {
		if out = f.onLines(s, apart); len(out) <= mostPlaces || apart >= 8*lineStep {
			return out, apart
		}
	}
}

func (f *Face) onLines(s stock, apart float64) (out []Rib) {
	size := f.Panel.Face.Outline.Bounds()
	obs := f.obstacles(s)
	turned := make([]obstacle, len(obs))
	for i := range obs {
		turned[i] = obs[i].turned()
	}
	lay := func(obs []obstacle, box geom.Box2, at func(x, y float64) geom.Vec2) {
		for y := math.Ceil((box.Min.Y+s.width/2+s.ends)/apart) * apart; y <= box.Max.Y-s.width/2-s.ends; y += apart {
			type span struct{ from, to float64 }
			var blocked []span
			for i := range obs {
				o := &obs[i]
				if from, to, ok := o.reach(y-s.width/2-o.air, y+s.width/2+o.air); ok {
					blocked = append(blocked, span{from - o.air, to + o.air})
				}
			}
			slices.SortFunc(blocked, func(a, b span) int { return sign(a.from - b.from) })
			x := box.Min.X + s.ends
			take := func(to float64) {
				a, b := math.Ceil(x*2)/2, math.Floor(to*2)/2
				if b-a >= leastRib {
					r := Rib{A: at(a, y), B: at(b, y), Width: s.width, Height: s.height, Young: s.young, Shear: s.shear}
					if f.deepEnough(r, s) {
						out = append(out, r)
					}
				}
			}
			for _, b := range blocked {
				if b.from > x {
					take(min(b.from, box.Max.X-s.ends))
				}
				x = max(x, b.to)
			}
			take(box.Max.X - s.ends)
		}
	}
	lay(obs, size, func(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} })
	lay(turned, geom.Box2{Min: geom.Vec2{X: size.Min.Y, Y: size.Min.X}, Max: geom.Vec2{X: size.Max.Y, Y: size.Max.X}}, func(x, y float64) geom.Vec2 { return geom.Vec2{X: y, Y: x} })
	return out
}

// deepEnough reports whether the base is far enough behind a rib.
func (f *Face) deepEnough(r Rib, s stock) bool {
	d, ok := f.Panel.DepthUnder(r.outline(0))
	return !ok || d >= r.Height+s.air
}

// ribGap is the least room between two proposed ribs, mm: for a clamp.
const ribGap = 15.0

// clash reports whether two ribs cannot both be there.
func clash(a, b Rib) bool {
	d := a.B.Sub(a.A)
	if math.Abs(d.Unit().Cross(b.B.Sub(b.A).Unit())) > 0.5 { // across each other: they must not meet
		g, _, _ := a.outline(0).Gap(b.outline(0))
		return g < 1
	}
	g, _, _ := a.outline(0).Gap(b.outline(0))
	return g < ribGap
}
