package panel

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
)

// grid puts a number on a grid of a millionth of a micrometre, so that edges which are one stay one after a turn in space.
func grid(v float64) float64 { return math.Round(v*1e9)/1e9 + 0 }

// hull2 gives the convex hull of the points' places on the face, counter-clockwise from the lowest left one; nil when they lie in
// a line.
func hull2(pts []geom.Vec3) geom.Outline {
	ps := make([]geom.Vec2, len(pts))
	for i, p := range pts {
		ps[i] = p.XY()
	}
	slices.SortFunc(ps, func(a, b geom.Vec2) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	ps = slices.Compact(ps)
	half := func(ps []geom.Vec2) []geom.Vec2 {
		var h []geom.Vec2
		for _, p := range ps {
			for len(h) > 1 && h[len(h)-1].Sub(h[len(h)-2]).Unit().Cross(p.Sub(h[len(h)-1])) < 1e-7 {
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h[:len(h)-1]
	}
	if len(ps) < 3 {
		return nil
	}
	lower := half(ps)
	slices.Reverse(ps)
	ring := append(lower, half(ps)...)
	if len(ring) < 3 {
		return nil
	}
	if o := geom.Polygon(ring...); !o.Empty() {
		return o
	}
	return nil
}

// solid makes a body of the convex solid round corners in the face frame. One that is a prism square to the face becomes an upright
// prism; any other one leans, and its outline is only its shadow on the face.
func solid(role Role, owner string, pts []geom.Vec3, from Origin) (Body, bool) {
	z0, z1 := math.Inf(1), math.Inf(-1)
	for i, p := range pts {
		pts[i] = geom.Vec3{X: grid(p.X), Y: grid(p.Y), Z: grid(p.Z)}
		z0, z1 = min(z0, p.Z), max(z1, p.Z)
	}
	const same = 1e-6
	var low, high []geom.Vec3
	for _, p := range pts {
		switch {
		case p.Z < z0+same:
			low = append(low, p)
		case p.Z > z1-same:
			high = append(high, p)
		}
	}
	shadow := hull2(pts)
	if shadow == nil || z1-z0 < same {
		return Body{}, false
	}
	if len(low)+len(high) == len(pts) && alike(hull2(low), shadow) && alike(hull2(high), shadow) {
		return body(role, owner, shadow, grid(z0), grid(z1), from)
	}
	h, err := geom.NewHull(pts)
	if err != nil {
		return Body{}, false
	}
	return Body{Role: role, Owner: owner, Solid: h, Outline: shadow, Z0: grid(z0), Z1: grid(z1), Leans: true, Origin: from}, true
}

// alike reports whether two rings of corners are the same.
func alike(a, b geom.Outline) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].P.Sub(b[i].P).Len() > 1e-6 {
			return false
		}
	}
	return true
}

// posed makes a body of an upright prism of another frame: o and the heights are in that frame, to leads from it to the face frame.
func posed(role Role, owner string, o geom.Outline, z0, z1 float64, to geom.Pose, from Origin) (Body, bool) {
	if o.Empty() {
		return Body{}, false
	}
	const level = 1e-9
	if math.Abs(to.Z.X) < level && math.Abs(to.Z.Y) < level {
		at := geom.Place{At: geom.Vec2{X: grid(to.At.X), Y: grid(to.At.Y)}, Flip: to.Z.Z < 0}
		x, s := to.X, 1.0
		if at.Flip {
			x, s = x.Mul(-1), -1
		}
		at.Turn = grid(math.Atan2(x.Y, x.X) * 180 / math.Pi)
		return body(role, owner, o.Move(at), grid(to.At.Z+s*z0), grid(to.At.Z+s*z1), from)
	}
	var pts []geom.Vec3
	for _, p := range o.Flatten(0.02) {
		pts = append(pts, to.Apply(p.At(z0)), to.Apply(p.At(z1)))
	}
	return solid(role, owner, pts, from)
}

// AtHeight gives the cut through a body at a height z of the face frame, as an outline on the face; nil where it is not. Bodies that
// are neither upright prisms nor hulls have none.
func (b Body) AtHeight(z float64) geom.Outline {
	if z < b.Z0 || z > b.Z1 {
		return nil
	}
	if !b.Leans {
		return b.Outline
	}
	return cutHull(b.Solid, geom.Vec3{Z: 1}, z, func(p geom.Vec3) geom.Vec3 { return p })
}

// AtUp gives the cut through a body along the level line at a height of the face: across to the right, and z upwards; nil where it
// is not. It is meant for bodies that lean; of a prism over a curved outline it gives only the outermost points.
func (b Body) AtUp(up float64) geom.Outline {
	if !b.Leans {
		x := b.Outline.Bounds()
		if b.Outline.Empty() || up <= x.Min.Y || up >= x.Max.Y {
			return nil
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		pts := b.Outline.Flatten(0.02)
		for i, p := range pts {
			if q := pts[(i+1)%len(pts)]; (p.Y > up) != (q.Y > up) {
				at := p.X + (q.X-p.X)*(up-p.Y)/(q.Y-p.Y)
				lo, hi = min(lo, at), max(hi, at)
			}
		}
		return rectangle(lo, b.Z0, hi, b.Z1)
	}
	return cutHull(b.Solid, geom.Vec3{Y: 1}, up, func(p geom.Vec3) geom.Vec3 { return geom.Vec3{X: p.X, Y: p.Z} })
}

// cutHull gives the cut of a hull with the plane n·p = d, seen by what flat makes of its points.
func cutHull(c geom.Convex, n geom.Vec3, d float64, flat func(geom.Vec3) geom.Vec3) geom.Outline {
	h, ok := c.(*geom.Hull)
	if !ok {
		return nil
	}
	var pts []geom.Vec3
	for _, f := range h.Faces {
		for k, i := range f {
			a, b := h.Points[i], h.Points[f[(k+1)%len(f)]]
			u, v := a.Dot(n)-d, b.Dot(n)-d
			switch {
			case math.Abs(u) < 1e-9:
				pts = append(pts, flat(a))
			case u*v < 0:
				pts = append(pts, flat(a.Add(b.Sub(a).Mul(u/(u-v)))))
			}
		}
	}
	for i := range pts {
		pts[i] = geom.Vec3{X: grid(pts[i].X), Y: grid(pts[i].Y)}
	}
	return hull2(pts)
}
