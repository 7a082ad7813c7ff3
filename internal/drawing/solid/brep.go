package solid

import (
	"math"

	"knobwright/internal/geom"
)

// brep is the boundary of one piece: faces that meet in shared edges that meet in shared corners. Every writer reads it.
type brep struct {
	verts []geom.Vec3
	edges []edge
	faces []face
	// volume is exact, from areas and heights.
	volume float64
	// outer is the number of edges of the piece before it was drilled: what bounds it lies among them.
	outer int
	// web is the least thickness of anything in it, as far as that is below airy.
	web float64
}

// edge runs from corner v[0] to corner v[1]: straight when sweep is 0, else along c + a·cos t + b·sin t, t from 0 to sweep. a and b
// are conjugate half diameters: equal and square to each other on a circle, not on the ellipses in slanted faces.
type edge struct {
	v       [2]int
	c, a, b geom.Vec3
	sweep   float64
	r       float64 // radius that says how finely the edge is divided: the greatest of those that must be divided alike
}

// use is an edge as a side of a face, run backwards when rev.
type use struct {
	e   int
	rev bool
}

// kind says what surface a face lies on.
type kind int

const (
	planar kind = iota
	round       // cylinder, or cone when slope is not 0
)

// face is a piece of a plane or of a cylinder or cone. Its loops run counter-clockwise as seen from outside the solid, with the first
// loop round the others. A round face has one loop of four sides: an arc, a straight side along the axis, an arc, a
// straight side.
type face struct {
	kind  kind
	loops [][]use
	o     geom.Vec3 // a point of the plane, or of the axis
	n     geom.Vec3 // unit: out of the solid, or along the axis
	x     geom.Vec3 // unit: a direction in the plane; or from the axis to where the first arc starts
	r     float64   // radius at o
	slope float64   // growth of the radius along n
	bore  bool      // the solid lies outside the cylinder
	wall  bool      // has four sides like a round face, whatever its kind
}

// strip reports whether the face lies between two sides that are divided alike, the first and the third, and holds nothing else.
func (f *face) strip() bool { return f.wall && len(f.loops) == 1 }

// at gives the point of an edge at angle t.
func (e *edge) at(t float64) geom.Vec3 {
	s, c := math.Sincos(t)
	return e.c.Add(e.a.Mul(c)).Add(e.b.Mul(s))
}

// support gives the point of edge e that lies farthest in direction d.
func (b *brep) support(e *edge, d geom.Vec3) geom.Vec3 {
	p := b.verts[e.v[0]]
	if q := b.verts[e.v[1]]; q.Dot(d) > p.Dot(d) {
		p = q
	}
	if e.sweep > 0 {
		t := math.Atan2(e.b.Dot(d), e.a.Dot(d))
		if t < 0 {
			t += 2 * math.Pi
		}
		if t < e.sweep {
			if q := e.at(t); q.Dot(d) > p.Dot(d) {
				return q
			}
		}
	}
	return p
}

// bounds gives the exact block round the piece: the extremes of its outer edges, for a cylinder bulges nowhere but along them.
func (b *brep) bounds() geom.Box3 {
	box := geom.EmptyBox3()
	for i := range b.edges[:b.outer] {
		for _, d := range [3]geom.Vec3{{X: 1}, {Y: 1}, {Z: 1}} {
			box = box.Extend(b.support(&b.edges[i], d)).Extend(b.support(&b.edges[i], d.Mul(-1)))
		}
	}
	return box
}

// start gives the corner at which a side begins.
func (b *brep) start(u use) int {
	if u.rev {
		return b.edges[u.e].v[1]
	}
	return b.edges[u.e].v[0]
}

func (b *brep) vertex(p geom.Vec3) int {
	b.verts = append(b.verts, p)
	return len(b.verts) - 1
}

func (b *brep) line(from, to int) int {
	b.edges = append(b.edges, edge{v: [2]int{from, to}})
	return len(b.edges) - 1
}

// level is a plane as a height over the x-y plane of a frame: z = z + x·X + y·Y.
type level struct{ z, x, y float64 }

func (l level) at(p geom.Vec2) float64 { return l.z + l.x*p.X + l.y*p.Y }

// levelOf gives the plane h as a level of the frame p. It must not stand upright in it.
func levelOf(p geom.Pose, h geom.HalfSpace) level {
	k := h.N.Dot(p.Z)
	return level{(h.D - h.N.Dot(p.At)) / k, -h.N.Dot(p.X) / k, -h.N.Dot(p.Y) / k}
}

// normal gives the unit normal of the level, upwards.
func (l level) normal(p geom.Pose) geom.Vec3 {
	if l.x == 0 && l.y == 0 {
		return p.Z
	}
	return p.Turn(geom.Vec3{X: -l.x, Y: -l.y, Z: 1}).Unit()
}

// ring is an outline laid onto a plane: corners and edges, one of each to a segment.
type ring struct{ v, e []int }

// ring lays segments that lie in the x-y plane of p onto the level l. r, where greater than its own, is the radius by which arcs are
// divided.
func (b *brep) ring(p geom.Pose, segs []seg, l level, r float64) ring {
	var out ring
	lift := func(v geom.Vec2) geom.Vec3 { return p.Apply(v.At(l.at(v))) }
	turn := func(v geom.Vec2) geom.Vec3 { return p.Turn(v.At(l.x*v.X + l.y*v.Y)) }
	for i := range segs {
		out.v = append(out.v, b.vertex(lift(segs[i].a)))
	}
	for i := range segs {
		s := &segs[i]
		e := edge{v: [2]int{out.v[i], out.v[(i+1)%len(segs)]}}
		if s.r > 0 {
			d := s.a.Sub(s.c)
			e.c, e.a, e.b, e.sweep, e.r = lift(s.c), turn(d), turn(d.Left()), s.sweep, max(r, s.r)
			if s.sweep < 0 {
				e.b, e.sweep = e.b.Mul(-1), -s.sweep
			}
		}
		b.edges = append(b.edges, e)
		out.e = append(out.e, len(b.edges)-1)
	}
	return out
}

// loop gives the sides of a ring, backwards when rev.
func (r ring) loop(rev bool) []use {
	n := len(r.e)
	out := make([]use, n)
	for i, e := range r.e {
		if rev {
			out[n-1-i] = use{e, true}
		} else {
			out[i] = use{e, false}
		}
	}
	return out
}

// walls joins two rings of the same segments by upright faces: the sides of a bar, or, with bore, of a hole in it. tops and bottoms are
// the segments as they lie on the upper and the lower ring; they differ only where a mouth is widened by a cone.
func (b *brep) walls(p geom.Pose, bottoms, tops []seg, lower, upper ring, bore bool) {
	n := len(tops)
	up := make([]int, n)
	for i := range n {
		up[i] = b.line(lower.v[i], upper.v[i])
	}
	for i := range n {
		j := (i + 1) % n
		lo, hi := use{lower.e[i], false}, use{upper.e[i], false}
		f := face{wall: true, loops: [][]use{{lo, {up[j], false}, {upper.e[i], true}, {up[i], true}}}}
		if bore {
			f.loops = [][]use{{hi, {up[j], true}, {lower.e[i], true}, {up[i], false}}}
		}
		s, t := &bottoms[i], &tops[i]
		from, to := b.verts[lower.v[i]], b.verts[upper.v[i]]
		if s.r == 0 {
			f.o = from
			f.x = p.Turn(s.b.Sub(s.a).Unit().At(0))
			f.n = f.x.Cross(p.Z)
			if bore {
				f.n = f.n.Mul(-1)
			}
		} else {
			// the axis starts at the height of the lower corner
			f.kind, f.n, f.r, f.bore = round, p.Z, s.r, bore != (s.sweep < 0)
			d := s.a.Sub(s.c)
			f.o, f.x = from.Sub(p.Turn(d.At(0))), p.Turn(d.Unit().At(0))
			if t.r != s.r {
				f.slope = (t.r - s.r) / to.Sub(from).Dot(p.Z)
			}
		}
		b.faces = append(b.faces, f)
	}
}

// cap adds a flat face with normal n through the ring.
func (b *brep) cap(n, x geom.Vec3, r ring, rev bool) {
	x = x.Sub(n.Mul(x.Dot(n))).Unit()
	b.faces = append(b.faces, face{loops: [][]use{r.loop(rev)}, o: b.verts[r.v[0]], n: n, x: x})
}
