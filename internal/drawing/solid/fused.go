package solid

import (
	"math"

	"knobwright/internal/geom"
)

// Fused is one solid of any shape with flat faces, and holes: a board with fingers, a shell. geom.Fuse makes it out of convex ones. It must
// hang together, without a closed hollow.
type Fused struct {
	Of    *geom.Solid
	Holes []Hole
}

// build gives the boundary.
func (k Fused) build() (*brep, error) {
	s := k.Of
	if s == nil || len(s.Faces) < 4 {
		return nil, ErrHull
	}
	for _, p := range s.Points {
		if !near(p.X) || !near(p.Y) || !near(p.Z) {
			return nil, ErrNumber
		}
	}
	if s.Shells() != 1 {
		return nil, ErrApart
	}
	v := s.Volume()
	if !(v > Thin*Thin*Thin) {
		return nil, ErrThin
	}
	b := &brep{verts: append([]geom.Vec3(nil), s.Points...), volume: v, web: airy}
	type side struct{ i, j int }
	made := map[side]int{}
	for i := range s.Faces {
		f := &s.Faces[i]
		g := face{n: f.Plane.N, o: b.verts[f.Loops[0][0]]}
		long := 0.0
		for _, l := range f.Loops {
			var loop []use
			for k, v := range l {
				w := l[(k+1)%len(l)]
				if d := b.verts[w].Sub(b.verts[v]); d.Len() > long {
					long, g.x = d.Len(), d
				}
				if e, ok := made[side{w, v}]; ok {
					loop = append(loop, use{e, true})
					continue
				}
				made[side{v, w}] = len(b.edges)
				loop = append(loop, use{b.line(v, w), false})
			}
			g.loops = append(g.loops, loop)
		}
		g.x = g.x.Sub(g.n.Mul(g.x.Dot(g.n))).Unit()
		if math.Abs(g.n.Len()-1) > 1e-9 || math.Abs(g.x.Len()-1) > 1e-9 {
			return nil, ErrHull
		}
		b.faces = append(b.faces, g)
	}
	if !closed(b) {
		return nil, ErrHull
	}
	b.outer = len(b.edges)
	d := &base{brep: b, fused: true, faces: len(b.faces)}
	for i := range b.faces {
		d.rims = append(d.rims, len(b.faces[i].loops))
	}
	return drillAll(d, k.Holes)
}

// inFace reports whether the undrilled flat face i, of any shape, holds a point of its plane.
func (s *base) inFace(i int, p geom.Vec3) bool {
	f := &s.brep.faces[i]
	y := f.n.Cross(f.x)
	flat := func(q geom.Vec3) geom.Vec2 {
		d := q.Sub(p)
		return geom.Vec2{X: d.Dot(f.x), Y: d.Dot(y)}
	}
	in := false
	for _, l := range f.loops[:s.rims[i]] {
		for _, u := range l {
			a, b := flat(s.verts[s.start(u)]), flat(s.verts[s.start(use{u.e, !u.rev})])
			if (a.Y > 0) != (b.Y > 0) && a.X-a.Y/(b.Y-a.Y)*(b.X-a.X) > 0 {
				in = !in
			}
		}
	}
	return in
}
