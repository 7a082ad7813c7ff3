package solid

import (
	"math"

	"knobwright/internal/geom"
)

// base is an undrilled piece and what drilling asks of it.
type base struct {
	*brep
	convex bool         // with flat faces only
	pose   geom.Pose    // of a prism
	segs   []seg        // of a prism; nil for a block
	out    geom.Outline // segs as an outline
	fused  bool         // with flat faces only, of any shape
	faces  int          // of the undrilled piece
	rims   []int        // of a fused piece: the loops of each undrilled face
	facets [][]triangle // of its faces, made when first wanted
	holes  []cavity
}

// build gives the boundary of the block.
func (k Block) build() (*brep, error) {
	if k.Hull == nil || len(k.Hull.Faces) < 4 {
		return nil, ErrHull
	}
	for _, p := range k.Hull.Points {
		if !near(p.X) || !near(p.Y) || !near(p.Z) {
			return nil, ErrNumber
		}
	}
	if v := k.Hull.Volume(); !(v > Thin*Thin*Thin) {
		return nil, ErrThin
	}
	b := &brep{verts: append([]geom.Vec3(nil), k.Hull.Points...), volume: k.Hull.Volume(), web: airy}
	type side struct{ i, j int }
	made := map[side]int{}
	for i := range k.Hull.Faces {
		for _, f := range flatFaces(k.Hull, i) {
			g := face{o: b.verts[f.v[0]], n: f.n}
			var loop []use
			long := 0.0
			for k, v := range f.v {
				w := f.v[(k+1)%len(f.v)]
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
			g.x = g.x.Sub(g.n.Mul(g.x.Dot(g.n))).Unit()
			g.loops = [][]use{loop}
			if math.Abs(g.n.Len()-1) > 1e-9 || math.Abs(g.x.Len()-1) > 1e-9 {
				return nil, ErrHull
			}
			b.faces = append(b.faces, g)
		}
	}
	if !closed(b) {
		return nil, ErrHull
	}
	b.outer = len(b.edges)
	return drillAll(&base{brep: b, convex: true, faces: len(b.faces)}, k.Holes)
}

// corners is a flat face of a hull.
type corners struct {
	v []int
	n geom.Vec3
}

// flatFaces gives face i of a hull, in triangles where it is bent: a hull takes faces for one that bend by less than some
// thousand-millionths of its size, which in a large one is more than other programs stand.
func flatFaces(h *geom.Hull, i int) (out []corners) {
	const bent = 1e-8
	f, p := h.Faces[i], h.Plane(i)
	whole := true
	for _, v := range f {
		whole = whole && math.Abs(h.Points[v].Sub(h.Points[f[0]]).Dot(p.N)) < bent
	}
	if whole {
		return []corners{{f, p.N}}
	}
	for k := 2; k < len(f); k++ {
		a := h.Points[f[0]]
		n := h.Points[f[k-1]].Sub(a).Cross(h.Points[f[k]].Sub(a)).Unit()
		out = append(out, corners{[]int{f[0], f[k-1], f[k]}, n})
	}
	return out
}

// closed reports whether every edge has its two faces.
func closed(b *brep) bool {
	seen := make([]int, len(b.edges))
	for i := range b.faces {
		for _, l := range b.faces[i].loops {
			for _, u := range l {
				if u.rev {
					seen[u.e] += 10
				} else {
					seen[u.e]++
				}
			}
		}
	}
	for _, n := range seen {
		if n != 11 {
			return false
		}
	}
	return true
}

// build gives the boundary of the prism.
func (k Prism) build() (*brep, error) {
	if err := checkPose(k.Pose); err != nil {
		return nil, err
	}
	if !near(k.From) || !near(k.To) {
		return nil, ErrNumber
	}
	segs, web, err := segments(k.Outline)
	if err != nil {
		return nil, err
	}
	low, high := level{z: k.From}, level{z: k.To}
	for i, l := range [2]*level{&low, &high} {
		h := k.Ends[i]
		if h.N == (geom.Vec3{}) {
			continue
		}
		n := h.N.Len()
		if !(n > 0) || math.IsInf(n, 0) || math.IsNaN(h.D) {
			return nil, ErrNumber
		}
		h.N, h.D = h.N.Mul(1/n), h.D/n
		if lean := h.N.Dot(k.Pose.Z) * float64(2*i-1); !(lean > 0.05) { // within three degrees of upright, or the wrong way round
			return nil, ErrThin
		}
		*l = levelOf(k.Pose, h)
	}
	for i := range segs {
		d := geom.Vec2{X: low.x - high.x, Y: low.y - high.y} // where the bar is lowest
		p := segs[i].a
		if s := (geom.Outline{{P: segs[i].a, Bulge: math.Tan(segs[i].sweep / 4)}, {P: segs[i].b}}); d != (geom.Vec2{}) && segs[i].r > 0 {
			p = s.Support(d)
		}
		if !(high.at(p)-low.at(p) >= Thin) {
			return nil, ErrThin
		}
	}
	b := &brep{web: web}
	lower, upper := b.ring(k.Pose, segs, low, 0), b.ring(k.Pose, segs, high, 0)
	b.cap(low.normal(k.Pose).Mul(-1), k.Pose.X, lower, true)
	b.cap(high.normal(k.Pose), k.Pose.X, upper, false)
	b.walls(k.Pose, segs, segs, lower, upper, false)
	for _, v := range b.verts {
		if !near(v.X) || !near(v.Y) || !near(v.Z) {
			return nil, ErrNumber
		}
	}
	m := momentsOf(segs)
	b.volume = m.area * (high.at(m.centre()) - low.at(m.centre()))
	b.outer = len(b.edges)
	return drillAll(&base{brep: b, pose: k.Pose, segs: segs, out: outlineOf(segs), faces: len(b.faces)}, k.Holes)
}

// outlineOf gives segments back as an outline.
func outlineOf(segs []seg) geom.Outline {
	o := make(geom.Outline, len(segs))
	for i := range segs {
		o[i].P = segs[i].a
		if segs[i].r > 0 {
			o[i].Bulge = math.Tan(segs[i].sweep / 4)
		}
	}
	return o
}

// checkPose refuses frames that stretch, mirror or lead too far off.
func checkPose(p geom.Pose) error {
	if !near(p.At.X) || !near(p.At.Y) || !near(p.At.Z) {
		return ErrNumber
	}
	off := max(math.Abs(p.X.Dot(p.X)-1), math.Abs(p.Y.Dot(p.Y)-1), math.Abs(p.X.Dot(p.Y)), p.X.Cross(p.Y).Sub(p.Z).Len())
	if !(off < 1e-9) {
		return ErrFrame
	}
	return nil
}
