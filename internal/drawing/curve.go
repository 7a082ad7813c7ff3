package drawing

import (
	"math"

	"knobwright/internal/geom"
)

// curveTo goes on from the last vertex of a run, which stands at p0, along a cubic curve, as pairs of arcs that stray from it by
// at most tol.
func curveTo(o geom.Outline, p0, p1, p2, p3 geom.Vec2, tol float64) geom.Outline {
	return curveSplit(o, p0, p1, p2, p3, tol, 0)
}

func curveSplit(o geom.Outline, p0, p1, p2, p3 geom.Vec2, tol float64, deep int) geom.Outline {
	mid, b1, b2, ok := biarc(p0, p1, p2, p3)
	if deep >= 10 || (ok && biarcError(p0, p1, p2, p3, mid, b1, b2) <= tol) {
		if !ok {
			return append(o, geom.Vertex{P: p3})
		}
		o[len(o)-1].Bulge = b1
		return append(o, geom.Vertex{P: mid, Bulge: b2}, geom.Vertex{P: p3})
	}
	a, b, c := p0.Add(p1).Mul(.5), p1.Add(p2).Mul(.5), p2.Add(p3).Mul(.5)
	d, e := a.Add(b).Mul(.5), b.Add(c).Mul(.5)
	m := d.Add(e).Mul(.5)
	o = curveSplit(o, p0, a, d, m, tol, deep+1)
	return curveSplit(o, m, e, c, p3, tol, deep+1)
}

// biarc gives two arcs that meet with one tangent and leave and arrive along the curve's ends: the arcs whose tangent lengths are
// equal.
func biarc(p0, p1, p2, p3 geom.Vec2) (mid geom.Vec2, b1, b2 float64, ok bool) {
	t0, t3 := p1.Sub(p0), p3.Sub(p2)
	if t0.Len() < 1e-12 {
		t0 = p2.Sub(p0)
	}
	if t3.Len() < 1e-12 {
		t3 = p3.Sub(p1)
	}
	t0, t3 = t0.Unit(), t3.Unit()
	v := p3.Sub(p0)
	if v.Len() < 1e-12 {
		return mid, 0, 0, false
	}
	t := t0.Add(t3)
	vt := v.Dot(t)
	den := 2 * (1 - t0.Dot(t3))
	var d float64
	if den < 1e-9 {
		vt3 := v.Dot(t3)
		if math.Abs(vt3) < 1e-12 {
			return mid, 0, 0, false
		}
		d = v.Dot(v) / (4 * vt3)
	} else {
		d = (-vt + math.Sqrt(vt*vt+den*v.Dot(v))) / den
	}
	if !(d > 0) || math.IsInf(d, 0) {
		return mid, 0, 0, false
	}
	q0, q3 := p0.Add(t0.Mul(d)), p3.Sub(t3.Mul(d))
	mid = q0.Add(q3).Mul(.5)
	return mid, bulgeOf(t0, mid.Sub(p0)), -bulgeOf(t3.Mul(-1), mid.Sub(p3)), true
}

// bulgeOf is the bulge of the arc that leaves along t and ends at v from its start.
func bulgeOf(t, v geom.Vec2) float64 {
	return math.Tan(math.Atan2(t.Cross(v), t.Dot(v)) / 2)
}

// biarcError is the greatest distance of sampled points of the curve from the arcs.
func biarcError(p0, p1, p2, p3, mid geom.Vec2, b1, b2 float64) float64 {
	worst := 0.0
	for i := 1; i < 8; i++ {
		u := float64(i) / 8
		w := 1 - u
		p := p0.Mul(w * w * w).Add(p1.Mul(3 * w * w * u)).Add(p2.Mul(3 * w * u * u)).Add(p3.Mul(u * u * u))
		worst = max(worst, min(offArc(p, p0, mid, b1), offArc(p, mid, p3, b2)))
	}
	return worst
}

// offArc is the distance of p from the arc from a to b.
func offArc(p, a, b geom.Vec2, bulge float64) float64 {
	if math.Abs(bulge) < 1e-9 {
		v := b.Sub(a)
		u := 0.0
		if l := v.Dot(v); l > 0 {
			u = min(1, max(0, p.Sub(a).Dot(v)/l))
		}
		return p.Sub(a.Add(v.Mul(u))).Len()
	}
	c := arcOf(a, b, bulge)
	d := p.Sub(c.c)
	along := math.Mod((math.Atan2(d.Y, d.X)-c.a0)*sign(c.ang)+4*math.Pi, 2*math.Pi)
	if along <= math.Abs(c.ang) {
		return math.Abs(d.Len() - c.r)
	}
	return min(p.Sub(a).Len(), p.Sub(b).Len())
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// arcRun is a run along an arc, in pieces of a third of a turn at most.
func arcRun(c geom.Vec2, r, from, to float64) geom.Outline {
	sweep := max(-360, min(360, to-from))
	n := max(1, int(math.Ceil(math.Abs(sweep)/120)))
	if math.Abs(sweep) < 360 && math.Abs(sweep) > 0 {
		n = 1
	}
	at := func(deg float64) geom.Vec2 { return geom.Place{At: c, Turn: deg}.Apply(geom.Vec2{X: r}) }
	bulge := math.Tan(sweep / float64(n) * math.Pi / 180 / 4)
	o := geom.Outline{{P: at(from)}}
	for i := 1; i <= n; i++ {
		o[i-1].Bulge = bulge
		o = append(o, geom.Vertex{P: at(from + sweep*float64(i)/float64(n))})
	}
	return o
}
