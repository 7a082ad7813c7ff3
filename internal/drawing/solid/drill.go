package solid

import (
	"errors"
	"math"

	"knobwright/internal/geom"
)

// cavity is a drilled hole, as later holes must keep clear of it.
type cavity struct {
	pose  geom.Pose
	mouth geom.Outline // the widest outline, in the frame of the hole
	parts []part
	box   geom.Box3
}

// part is a convex stretch of a hole, between two rings.
type part struct {
	b     *brep
	edges []int
	mid   geom.Vec3
	box   geom.Box3
}

func newPart(b *brep, lower, upper ring) part {
	p := part{b: b, edges: append(append([]int(nil), lower.e...), upper.e...)}
	for _, i := range lower.v {
		p.mid = p.mid.Add(b.verts[i])
	}
	for _, i := range upper.v {
		p.mid = p.mid.Add(b.verts[i])
	}
	p.mid = p.mid.Mul(1 / float64(len(lower.v)+len(upper.v)))
	p.box = geom.EmptyBox3()
	for _, d := range [3]geom.Vec3{{X: 1}, {Y: 1}, {Z: 1}} {
		p.box = p.box.Extend(p.Support(d)).Extend(p.Support(d.Mul(-1)))
	}
	return p
}

// Support gives the farthest point in direction d.
func (p part) Support(d geom.Vec3) (best geom.Vec3) {
	far := math.Inf(-1)
	for _, e := range p.edges {
		if q := p.b.support(&p.b.edges[e], d); q.Dot(d) > far {
			best, far = q, q.Dot(d)
		}
	}
	return best
}

// Centre gives an inner point.
func (p part) Centre() geom.Vec3 { return p.mid }

// Bounds gives the block round it.
func (p part) Bounds() geom.Box3 { return p.box }

// triangle is a flat solid.
type triangle [3]geom.Vec3

// Support gives the farthest corner in direction d.
func (t triangle) Support(d geom.Vec3) geom.Vec3 {
	best := t[0]
	for _, p := range t[1:] {
		if p.Dot(d) > best.Dot(d) {
			best = p
		}
	}
	return best
}

// Centre gives the middle.
func (t triangle) Centre() geom.Vec3 { return t[0].Add(t[1]).Add(t[2]).Mul(1. / 3) }

// Bounds gives the block round it.
func (t triangle) Bounds() geom.Box3 { return geom.EmptyBox3().Extend(t[0]).Extend(t[1]).Extend(t[2]) }

func grown(b geom.Box3, m float64) geom.Box3 {
	v := geom.Vec3{X: m, Y: m, Z: m}
	return geom.Box3{Min: b.Min.Sub(v), Max: b.Max.Add(v)}
}

// drillAll makes the holes in order.
func drillAll(s *base, holes []Hole) (*brep, error) {
	for i, h := range holes {
		if err := s.drill(h); err != nil {
			var e *Error
			if errors.As(err, &e) {
				e.Hole = i
				return nil, e
			}
			return nil, holeErr(i, err)
		}
	}
	return s.brep, nil
}

// drill makes one hole.
func (s *base) drill(h Hole) error {
	if err := checkPose(h.Pose); err != nil {
		return err
	}
	if !near(h.Depth) || h.Depth < 0 {
		return ErrNumber
	}
	segs, web, err := segments(h.Outline)
	if err != nil {
		return err
	}
	s.web = min(s.web, web)
	wide, drop, err := h.Sink.mouth(segs)
	if err != nil {
		return err
	}
	entry, top, ok := s.entry(h.Pose, segs[0].a)
	if !ok {
		return ErrNoFace
	}
	exit, bottom := -1, level{z: -h.Depth}
	if h.Depth == 0 {
		if exit, bottom, ok = s.exit(h.Pose, segs[0].a, top); !ok {
			return ErrMeets
		}
	}
	r := 0.0
	if wide != nil {
		r = wide[0].r // the cone's two ends are divided alike
		if math.Hypot(top.x, top.y) > 1e-9 {
			return ErrSink
		}
		top.x, top.y = 0, 0
	}
	neckAt := top
	neckAt.z -= drop
	if !thick(segs, bottom, neckAt) {
		if wide != nil {
			return ErrSink
		}
		return ErrThin
	}

	// the surfaces, from the mouth down
	c := cavity{pose: h.Pose, mouth: outlineOf(segs)}
	m := momentsOf(segs)
	s.volume -= m.area * (top.at(m.centre()) - bottom.at(m.centre()))
	mouth := s.ring(h.Pose, segs, neckAt, r)
	neck := mouth
	if wide != nil {
		mouth = s.ring(h.Pose, wide, top, r)
		c.mouth = outlineOf(wide)
		if h.Sink.Angle > 0 {
			s.walls(h.Pose, segs, wide, neck, mouth, true)
			c.parts = append(c.parts, newPart(s.brep, neck, mouth))
			a, b := wide[0].r, segs[0].r
			s.volume -= math.Pi * drop * ((a*a+a*b+b*b)/3 - b*b)
		} else {
			step := s.ring(h.Pose, wide, neckAt, r)
			s.walls(h.Pose, wide, wide, step, mouth, true)
			s.cap(h.Pose.Z, h.Pose.X, step, false)
			f := &s.brep.faces[len(s.brep.faces)-1]
			f.loops = append(f.loops, neck.loop(true))
			c.parts = append(c.parts, newPart(s.brep, step, mouth))
			s.volume -= math.Pi * drop * (wide[0].r*wide[0].r - segs[0].r*segs[0].r)
		}
	}
	lower := s.ring(h.Pose, segs, bottom, r)
	s.walls(h.Pose, segs, segs, lower, neck, true)
	c.parts = append(c.parts, newPart(s.brep, lower, neck))
	s.brep.faces[entry].loops = append(s.brep.faces[entry].loops, mouth.loop(true))
	if exit >= 0 {
		s.brep.faces[exit].loops = append(s.brep.faces[exit].loops, lower.loop(false))
	} else {
		s.cap(h.Pose.Z, h.Pose.X, lower, false)
	}
	c.box = geom.EmptyBox3()
	for _, p := range c.parts {
		c.box = c.box.Union(p.box)
	}
	if err := s.inside(&c, entry, exit); err != nil {
		return err
	}
	if err := s.clear(&c); err != nil {
		return err
	}
	s.holes = append(s.holes, c)
	return nil
}

// thick reports whether a hole of these segments leaves the upper level at least Thin above the lower.
func thick(segs []seg, lower, upper level) bool {
	o := outlineOf(segs)
	p := o.Support(geom.Vec2{X: lower.x - upper.x, Y: lower.y - upper.y})
	if lower.x == upper.x && lower.y == upper.y {
		p = segs[0].a
	}
	return upper.at(p)-lower.at(p) >= Thin
}

// mouth gives the widened outline and how deep it goes; nil for a plain hole.
func (k Sink) mouth(segs []seg) (wide []seg, drop float64, err error) {
	if k == (Sink{}) {
		return nil, 0, nil
	}
	if !near(k.D) || !near(k.Angle) || !near(k.Depth) {
		return nil, 0, ErrNumber
	}
	if len(segs) != 2 || segs[0].r == 0 || segs[0].c != segs[1].c || k.D < 2*segs[0].r+2*Thin || k.Angle < 0 || k.Angle >= 180 {
		return nil, 0, ErrSink
	}
	drop = k.Depth
	if k.Angle > 0 {
		drop = (k.D/2 - segs[0].r) / math.Tan(k.Angle*math.Pi/360)
	}
	if !(drop >= Thin) {
		return nil, 0, ErrSink
	}
	g := k.D / 2 / segs[0].r
	for _, s := range segs {
		s.a, s.b, s.r = s.c.Add(s.a.Sub(s.c).Mul(g)), s.c.Add(s.b.Sub(s.c).Mul(g)), k.D/2
		wide = append(wide, s)
	}
	return wide, drop, nil
}

// entry finds the flat face in which a hole starts: of those that look along the hole's z and hold its first corner the one nearest to
// its origin.
func (s *base) entry(p geom.Pose, first geom.Vec2) (k int, l level, ok bool) {
	for i := range s.faces {
		f := &s.brep.faces[i]
		if f.kind != planar || f.n.Dot(p.Z) < 0.05 {
			continue
		}
		m := levelOf(p, geom.HalfSpace{N: f.n, D: f.n.Dot(f.o)})
		if s.holds(i, p.Apply(first.At(m.at(first)))) && (!ok || math.Abs(m.z) < math.Abs(l.z)) {
			k, l, ok = i, m, true
		}
	}
	return k, l, ok
}

// exit finds the next flat face below the level top that looks the other way.
func (s *base) exit(p geom.Pose, first geom.Vec2, top level) (k int, l level, ok bool) {
	for i := range s.faces {
		f := &s.brep.faces[i]
		if f.kind != planar || f.n.Dot(p.Z) > -0.05 {
			continue
		}
		m := levelOf(p, geom.HalfSpace{N: f.n, D: f.n.Dot(f.o)})
		if z := m.at(first); z < top.at(first) && (!ok || z > l.at(first)) && s.holds(i, p.Apply(first.At(z))) {
			k, l, ok = i, m, true
		}
	}
	return k, l, ok
}

// holds reports whether the undrilled flat face i holds a point of its plane.
func (s *base) holds(i int, p geom.Vec3) bool {
	if s.fused {
		return s.inFace(i, p)
	}
	if s.segs != nil && i < 2 {
		return s.out.Contains(s.pose.Inverse().Apply(p).XY())
	}
	f := &s.brep.faces[i]
	for _, u := range f.loops[0] { // convex, with straight sides
		a, b := s.verts[s.start(u)], s.verts[s.start(use{u.e, !u.rev})]
		if b.Sub(a).Cross(p.Sub(a)).Dot(f.n) < 0 {
			return false
		}
	}
	return true
}
