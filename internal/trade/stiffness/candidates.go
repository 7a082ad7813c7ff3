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
	lineStep = 5.0
	leastRib = 50.0
	// leastRibHeight is the height below which a strip is none, mm.
	leastRibHeight = 1.0
	mostPlaces     = 108
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
	s.width, s.height = min(s.width, 100), min(max(s.height, 0), 200)
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
	back := -p.Stack.Total - f.raised
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

// seen gives the obstacle in the frame of lines that run along u.
func (o obstacle) seen(u geom.Vec2) obstacle {
	pts := make([]geom.Vec2, len(o.pts))
	for i, q := range o.pts {
		pts[i] = geom.Vec2{X: u.Dot(q), Y: u.Cross(q)}
	}
	return newObstacle(pts, o.air)
}

// candidates lists every place for a rib along x, along y and along slanted rows of controls, as long as what is in the way lets it, on lines so
// far apart, mm.
func (f *Face) candidates(s stock) (out []Rib, apart float64) {
	if s.height < leastRibHeight {
		return nil, lineStep
	}
	obs := f.obstacles(s)
	along := func(apart float64, us ...geom.Vec2) (out []Rib) {
		for _, u := range us {
			out = append(out, f.onLines(s, obs, u, apart)...)
		}
		return out
	}
	for apart = lineStep; ; apart *= 2 {
		if out = along(apart, geom.Vec2{X: 1}, geom.Vec2{Y: 1}); len(out) <= mostPlaces || apart >= 8*lineStep {
			break
		}
	}
	if us := f.slants(); len(us) > 0 {
		for step := apart; step <= 8*lineStep; step *= 2 {
			if more := along(step, us...); len(more) <= mostSlanted || step == 8*lineStep {
				out = append(out, more...)
				break
			}
		}
	}
	return out, apart
}

// onLines lists the places on lines along u.
func (f *Face) onLines(s stock, obs []obstacle, u geom.Vec2, apart float64) (out []Rib) {
	b := f.Panel.Face.Outline.Bounds()
	face := newObstacle([]geom.Vec2{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}, 0).seen(u)
	n := u.Left()
	slanted := u.X*u.Y != 0
	turned := make([]obstacle, len(obs))
	for i := range obs {
		turned[i] = obs[i].seen(u)
	}
	in := s.width/2 + s.ends
	for y := math.Ceil((face.box.Min.Y+in)/apart) * apart; y <= face.box.Max.Y-in; y += apart {
		lo, hi := face.box.Min.X+s.ends, face.box.Max.X-s.ends
		if slanted {
			lo, hi = face.within(y-in, y+in)
			lo, hi = lo+s.ends, hi-s.ends
		}
		type span struct{ from, to float64 }
		var blocked []span
		for i := range turned {
			o := &turned[i]
			if from, to, ok := o.reach(y-s.width/2-o.air, y+s.width/2+o.air); ok {
				blocked = append(blocked, span{from - o.air, to + o.air})
			}
		}
		slices.SortFunc(blocked, func(a, b span) int { return sign(a.from - b.from) })
		at := func(x float64) geom.Vec2 {
			q := u.Mul(x).Add(n.Mul(y))
			if slanted { // tenths of a millimetre can be marked
				q = geom.Vec2{X: math.Round(q.X*10) / 10, Y: math.Round(q.Y*10) / 10}
			}
			return q
		}
		x := lo
		take := func(to float64) {
			a, b := math.Ceil(x*2)/2, math.Floor(to*2)/2
			if b-a >= leastRib {
				r := Rib{A: at(a), B: at(b), Width: s.width, Height: s.height, Young: s.young, Shear: s.shear}
				if f.deepEnough(r, s) {
					out = append(out, r)
				}
			}
		}
		for _, b := range blocked {
			if b.from > x {
				take(min(b.from, hi))
			}
			x = max(x, b.to)
		}
		take(hi)
	}
	return out
}

// within gives between which x the whole of the band lo ≤ y ≤ hi lies in a convex polygon.
func (o *obstacle) within(lo, hi float64) (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	for _, y := range [2]float64{lo, hi} {
		a, b, ok := o.reach(y, y)
		if !ok {
			return 0, 0
		}
		from, to = max(from, a), min(to, b)
	}
	return from, to
}

// A slanted row is three controls or more that follow each other in one direction, each the nearest to another, more than leastSlant from
// across and up. Ribs are looked for along two such directions at most.
const (
	mostSlanted = 54
	mostSlants  = 2
	leastSlant  = 4.0 // degrees
	sameSlant   = 1.0 // degrees
)

// slants lists the directions of slanted rows of controls, those of most controls first.
func (f *Face) slants() (out []geom.Vec2) {
	var at []geom.Vec2
	for _, p := range f.Presses {
		if p.Judged && !p.OnWood {
			at = append(at, p.Control.At.Vec2)
		}
	}
	type row struct {
		angle float64
		n     int
	}
	var rows []row
	for i, a := range at {
		near := math.Inf(1)
		for j, b := range at {
			if d := b.Sub(a).Len(); j != i && d > 1 {
				near = min(near, d)
			}
		}
		for j, b := range at { // every nearest one: in a row there are two
			d := b.Sub(a)
			if j == i || d.Len() < 1 || d.Len() > 1.02*near {
				continue
			}
			angle := math.Mod(math.Atan2(d.Y, d.X)*180/math.Pi+360, 180)
			if off := math.Mod(angle, 90); min(off, 90-off) < leastSlant {
				continue
			}
			k := slices.IndexFunc(rows, func(r row) bool { return math.Abs(r.angle-angle) < sameSlant })
			if k < 0 {
				k = len(rows)
				rows = append(rows, row{angle: angle})
			}
			rows[k].n++
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return b.n - a.n })
	for _, r := range rows {
		if r.n >= 3 && len(out) < mostSlants { // three controls in a row are each other's nearest four times, a pair twice
			sin, cos := math.Sincos(r.angle * math.Pi / 180)
			out = append(out, geom.Vec2{X: cos, Y: sin})
		}
	}
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
