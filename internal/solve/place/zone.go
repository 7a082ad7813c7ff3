package place

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
)

// tol is what no room is missed by.
const tol = 1e-6

// zone is where the way from one body to another must not end: a convex polygon, line or point grown by a radius. Every two pieces
// with a room make one.
type zone struct {
	core        []geom.Vec2
	good, least float64 // radii; least may be -Inf
	box         geom.Box2
}

// zones are those of two kinds, with a box round all of them.
type zones struct {
	list []zone
	box  geom.Box2
}

// zonesOf works out where the way from a body of kind a to one of kind b must not end.
func zonesOf(a, b Kind, rooms [][]Room) *zones {
	z := &zones{box: geom.EmptyBox2()}
	for i := range a {
		for j := range b {
			r := rooms[a[i].Class][b[j].Class]
			if math.IsInf(r.Good, -1) {
				continue
			}
			grow := a[i].R + b[j].R
			n := zone{core: apartCore(a[i].Core, b[j].Core), good: r.Good + grow, least: r.Least + grow}
			if n.good <= tol && len(n.core) < 3 {
				continue
			}
			z.list = append(z.list, n)
		}
	}
	z.prune()
	for i := range z.list {
		n := &z.list[i]
		n.box = geom.EmptyBox2()
		for _, v := range n.core {
			n.box = n.box.Extend(v)
		}
		n.box = n.box.Grow(n.good)
		z.box = z.box.Union(n.box)
	}
	return z
}

// apartCore is the hull of all ways d for which a meets b + d: the differences of their points.
func apartCore(a, b []geom.Vec2) []geom.Vec2 {
	out := make([]geom.Vec2, 0, len(a)*len(b))
	for _, p := range a {
		for _, q := range b {
			out = append(out, p.Sub(q))
		}
	}
	return hull(out)
}

// hull is the convex hull, counter-clockwise, without points on its sides.
func hull(ps []geom.Vec2) []geom.Vec2 {
	slices.SortFunc(ps, func(a, b geom.Vec2) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	ps = slices.CompactFunc(ps, func(a, b geom.Vec2) bool { return math.Abs(a.X-b.X) < 1e-9 && math.Abs(a.Y-b.Y) < 1e-9 })
	if len(ps) < 3 {
		return ps
	}
	var out []geom.Vec2
	push := func(p geom.Vec2, from int) {
		for len(out) >= from+2 && out[len(out)-1].Sub(out[len(out)-2]).Cross(p.Sub(out[len(out)-1])) <= 1e-9 {
			out = out[:len(out)-1]
		}
		out = append(out, p)
	}
	for _, p := range ps {
		push(p, 0)
	}
	from := len(out) - 1
	for i := len(ps) - 2; i >= 0; i-- {
		push(ps[i], from)
	}
	return out[:len(out)-1]
}

// dist is how far a point lies outside a polygon, line or point; negative inside: minus the way to the nearest side.
func dist(core []geom.Vec2, p geom.Vec2) float64 {
	switch len(core) {
	case 1:
		return math.Hypot(p.X-core[0].X, p.Y-core[0].Y)
	case 2:
		return toLine(p, core[0], core[1])
	}
	inside, worst := true, math.Inf(-1)
	best := math.Inf(1)
	a := core[len(core)-1]
	for _, b := range core {
		ex, ey := b.X-a.X, b.Y-a.Y
		px, py := p.X-a.X, p.Y-a.Y
		l2 := ex*ex + ey*ey
		over := px*ey - py*ex // to the right of the side: outside
		if over > 0 {
			inside = false
			t := px*ex + py*ey
			var d2 float64
			switch {
			case t <= 0:
				d2 = px*px + py*py
			case t >= l2:
				d2 = (px-ex)*(px-ex) + (py-ey)*(py-ey)
			default:
				d2 = over * over / l2
			}
			best = min(best, d2)
		} else if inside {
			worst = max(worst, over/math.Sqrt(l2))
		}
		a = b
	}
	if inside {
		return worst
	}
	return math.Sqrt(best)
}

func toLine(p, a, b geom.Vec2) float64 {
	e, w := b.Sub(a), p.Sub(a)
	l2 := e.Dot(e)
	t := 0.0
	if l2 > 0 {
		t = min(max(w.Dot(e)/l2, 0), 1)
	}
	return math.Hypot(w.X-e.X*t, w.Y-e.Y*t)
}

// prune leaves out zones that lie in others, with their good and their least rooms.
func (z *zones) prune() {
	slices.SortStableFunc(z.list, func(a, b zone) int { return -cmp.Compare(a.good, b.good) })
	var keep []zone
	for i := range z.list {
		n := &z.list[i]
		held := false
		for j := range keep {
			if within(n, &keep[j]) {
				held = true
				break
			}
		}
		if !held {
			keep = append(keep, *n)
		}
	}
	// what came first may lie in what came later
	out := keep[:0:0]
	for i := range keep {
		held := false
		for j := range keep {
			held = held || i != j && within(&keep[i], &keep[j]) && !(j > i && within(&keep[j], &keep[i]))
		}
		if !held {
			out = append(out, keep[i])
		}
	}
	z.list = out
}

// within reports whether n lies in m.
func within(n, m *zone) bool {
	if !math.IsInf(n.least, -1) && math.IsInf(m.least, -1) {
		return false
	}
	for _, v := range n.core {
		d := dist(m.core, v)
		if d+n.good > m.good+1e-9 || !math.IsInf(n.least, -1) && d+n.least > m.least+1e-9 {
			return false
		}
	}
	return true
}

// meets tells by how much a way ends too near: lack below the good radius, hard below the least one; 0 = not at all.
func (z *zones) meets(d geom.Vec2) (lack, hard, part float64) {
	if d.X <= z.box.Min.X || d.X >= z.box.Max.X || d.Y <= z.box.Min.Y || d.Y >= z.box.Max.Y {
		return 0, 0, 0
	}
	for i := range z.list {
		n := &z.list[i]
		if d.X <= n.box.Min.X || d.X >= n.box.Max.X || d.Y <= n.box.Min.Y || d.Y >= n.box.Max.Y {
			continue
		}
		w := dist(n.core, d)
		if l := n.good - w; l > tol {
			lack = max(lack, l)
			part = max(part, min(l/max(n.good, 1), 1))
			if h := n.least - w; h > tol {
				hard = max(hard, h)
			}
		}
	}
	return lack, hard, part
}
