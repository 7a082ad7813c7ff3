package drawing

import (
	"math"

	"knobwright/internal/geom"
)

// arc is the circular arc of one edge of an outline.
type arc struct {
	c       geom.Vec2
	r       float64
	a0, ang float64 // start angle, swept angle (positive ccw), radians
}

// straight is the bulge below which an edge is a straight line: the sagitta of a 10 m chord would be 5 nm.
const straight = 1e-12

// arcOf gives the arc from p to q with a bulge that is not zero.
func arcOf(p, q geom.Vec2, bulge float64) arc {
	chord := q.Sub(p)
	mid := p.Add(q).Mul(0.5)
	// The centre lies on the chord's middle line, (1-b²)/(4b) chords to the left.
	c := mid.Add(chord.Left().Mul((1 - bulge*bulge) / (4 * bulge)))
	r := chord.Len() * (1 + bulge*bulge) / (4 * math.Abs(bulge))
	d := p.Sub(c)
	return arc{c: c, r: r, a0: math.Atan2(d.Y, d.X), ang: 4 * math.Atan(bulge)}
}

func (a arc) at(angle float64) geom.Vec2 {
	s, c := math.Sincos(angle)
	return geom.Vec2{X: a.c.X + a.r*c, Y: a.c.Y + a.r*s}
}

// edges calls line or curve for each edge of an outline in turn.
func edges(o geom.Outline, open bool, line func(p, q geom.Vec2), curve func(p, q geom.Vec2, bulge float64)) {
	n := len(o)
	if open {
		n--
	}
	for i := range max(n, 0) {
		p, q := o[i], o[(i+1)%len(o)]
		if math.Abs(p.Bulge) < straight || p.P == q.P {
			line(p.P, q.P)
			continue
		}
		curve(p.P, q.P, p.Bulge)
	}
}

// beziers gives the control points of cubic curves for an arc: three points for each curve after the first's start. A quarter
// turn is off by 2.7e-4 of the radius, an eighth by 4.2e-6, and each halving divides that by 64; steps are chosen so that the
// error stays below tol.
func (a arc) beziers(p, q geom.Vec2, tol float64) [][3]geom.Vec2 {
	n := max(1, int(math.Ceil(math.Abs(a.ang)/(math.Pi/2)-1e-9)))
	for n < 64 {
		step := math.Abs(a.ang) / float64(n)
		if 2.73e-4*math.Pow(step/(math.Pi/2), 6)*a.r < tol {
			break
		}
		n++
	}
	step := a.ang / float64(n)
	k := 4.0 / 3 * math.Tan(step/4)
	out := make([][3]geom.Vec2, n)
	from := p
	for i := range n {
		to := q
		if i < n-1 {
			to = a.at(a.a0 + step*float64(i+1))
		}
		out[i] = [3]geom.Vec2{from.Add(from.Sub(a.c).Left().Mul(k)), to.Sub(to.Sub(a.c).Left().Mul(k)), to}
		from = to
	}
	return out
}

// polyline walks an outline as points that stray from it by at most tol; closed outlines end where they began.
func polyline(o geom.Outline, open bool, tol float64) []geom.Vec2 {
	if len(o) == 0 {
		return nil
	}
	out := []geom.Vec2{o[0].P}
	edges(o, open, func(_, q geom.Vec2) { out = append(out, q) }, func(p, q geom.Vec2, bulge float64) {
		a := arcOf(p, q, bulge)
		n := 4
		if a.r > tol { // the sagitta of a step of angle s is r·s²/8 at most
			n = int(math.Ceil(math.Abs(a.ang) / math.Sqrt(8*tol/a.r)))
		}
		for i := 1; i < n; i++ {
			out = append(out, a.at(a.a0+a.ang*float64(i)/float64(n)))
		}
		out = append(out, q)
	})
	return out
}

// extent gives the box round an outline.
func extent(o geom.Outline, open bool, b geom.Box2) geom.Box2 {
	for _, v := range o {
		b = b.Extend(v.P)
	}
	edges(o, open, func(_, _ geom.Vec2) {}, func(p, q geom.Vec2, bulge float64) {
		a := arcOf(p, q, bulge)
		lo, hi := a.a0, a.a0+a.ang
		if lo > hi {
			lo, hi = hi, lo
		}
		for k := math.Ceil(lo / (math.Pi / 2)); k*math.Pi/2 <= hi; k++ {
			b = b.Extend(a.at(k * math.Pi / 2))
		}
	})
	return b
}

// move is a similarity of the plane: p -> A·p + T with A = [a -s; s a]·(mirror in y when flip is set).
type move struct {
	c, s float64 // cosine and sine times the scale
	flip bool    // mirror top to bottom before turning
	t    geom.Vec2
}

var still = move{c: 1}

func (m move) apply(p geom.Vec2) geom.Vec2 { return m.dir(p).Add(m.t) }

func (m move) dir(p geom.Vec2) geom.Vec2 {
	if m.flip {
		p.Y = -p.Y
	}
	return geom.Vec2{X: m.c*p.X - m.s*p.Y, Y: m.s*p.X + m.c*p.Y}
}

func (m move) scale() float64 { return math.Hypot(m.c, m.s) }

// then gives the move that does m first for what n holds: p -> m(n(p)).
func (m move) then(n move) move {
	x, y := m.dir(n.dir(geom.Vec2{X: 1})), m.apply(n.t)
	return move{c: x.X, s: x.Y, flip: m.flip != n.flip, t: y}
}

func moveOf(p geom.Place, scale float64) move {
	if scale == 0 {
		scale = 1
	}
	o := p.Apply(geom.Vec2{})
	x := p.Apply(geom.Vec2{X: 1}).Sub(o).Mul(scale)
	return move{c: x.X, s: x.Y, flip: p.Flip, t: o}
}

// outline moves an outline; its sense turns round when the move mirrors.
func (m move) outline(o geom.Outline) geom.Outline {
	if m == still {
		return o
	}
	out := make(geom.Outline, len(o))
	for i, v := range o {
		b := v.Bulge
		if m.flip {
			b = -b
		}
		out[i] = geom.Vertex{P: m.apply(v.P), Bulge: b}
	}
	return out
}

// asCircle reports centre and diameter of a full circle of two half circles, whichever way round.
func asCircle(o geom.Outline) (c geom.Vec2, d float64, ok bool) {
	if len(o) == 2 && o[0].Bulge == o[1].Bulge && math.Abs(o[0].Bulge) == 1 {
		return o[0].P.Add(o[1].P).Mul(0.5), o[0].P.Sub(o[1].P).Len(), true
	}
	return c, 0, false
}
