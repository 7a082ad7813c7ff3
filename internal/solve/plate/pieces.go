package plate

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// vec is a point in the frame of the grid.
type vec = geom.Vec2

// span is an interval of y.
type span struct{ lo, hi float64 }

// piece is a part of an edge that runs from left to right without turning back: a line, or the upper or lower part of an arc.
type piece struct {
	x0, x1 float64 // x0 < x1
	y0, y1 float64
	c      vec     // middle of an arc
	r      float64 // 0 for a line
	up     float64 // 1 for the upper half of a circle, -1 for the lower
}

// y gives the height of the piece at x.
func (p *piece) y(x float64) float64 {
	if p.r == 0 {
		return p.y0 + (p.y1-p.y0)*((x-p.x0)/(p.x1-p.x0))
	}
	d := x - p.c.X
	return p.c.Y + p.up*math.Sqrt(max(0, (p.r-d)*(p.r+d)))
}

// at adds to xs where the piece has height y.
func (p *piece) at(y float64, xs []float64) []float64 {
	if p.r == 0 {
		if (p.y0 > y) != (p.y1 > y) {
			xs = append(xs, p.x0+(p.x1-p.x0)*((y-p.y0)/(p.y1-p.y0)))
		}
		return xs
	}
	d := (y - p.c.Y) * p.up
	if d < 0 || d > p.r {
		return xs
	}
	w := math.Sqrt((p.r - d) * (p.r + d))
	for _, x := range [2]float64{p.c.X - w, p.c.X + w} {
		if x > p.x0 && x < p.x1 {
			xs = append(xs, x)
		}
	}
	return xs
}

// run is a stretch of an edge in its own direction, solid ground on the left of the outline, on the right of an opening.
type run struct {
	a, b  vec
	c     vec     // middle of an arc
	r     float64 // 0 for a line
	sweep float64 // radians, counter-clockwise positive
}

// length gives the length along the run.
func (r *run) length() float64 {
	if r.r == 0 {
		return r.b.Sub(r.a).Len()
	}
	return r.r * math.Abs(r.sweep)
}

// at gives the point at share t, and the direction of travel there.
func (r *run) at(t float64) (p, dir vec) {
	if r.r == 0 {
		d := r.b.Sub(r.a)
		return r.a.Add(d.Mul(t)), d.Unit()
	}
	s, c := math.Sincos(r.sweep * t)
	d := r.a.Sub(r.c)
	d = vec{X: c*d.X - s*d.Y, Y: s*d.X + c*d.Y}
	dir = d.Left().Mul(1 / r.r)
	if r.sweep < 0 {
		dir = dir.Mul(-1)
	}
	return r.c.Add(d), dir
}

// shape is a closed edge in the frame of the grid.
type shape struct {
	runs   []run
	pieces []piece
	lo, hi vec     // box
	area   float64 // mm²
	circle bool
}

// newShape takes an outline into the frame of the grid. snap moves the coordinates of corners onto grid lines.
func newShape(o geom.Outline, f frame, snap func(vec) vec) *shape {
	s := &shape{lo: vec{X: math.Inf(1), Y: math.Inf(1)}, hi: vec{X: math.Inf(-1), Y: math.Inf(-1)}, area: o.Area()}
	_, _, s.circle = o.AsCircle()
	n := len(o)
	for i, v := range o {
		a, b := snap(f.in(v.P)), snap(f.in(o[(i+1)%n].P))
		if a == b {
			continue
		}
		r := run{a: a, b: b}
		if k := math.Abs(v.Bulge); k >= 1e-6 && k < 1e6 {
			d := b.Sub(a)
			r.sweep = 4 * math.Atan(v.Bulge)
			r.r = d.Len() * (1 + k*k) / (4 * k)
			r.c = a.Add(b).Mul(0.5).Add(d.Left().Mul((1 - k*k) / (4 * v.Bulge)))
		}
		s.runs = append(s.runs, r)
		s.cut(&r)
	}
	return s
}

// cut adds the pieces of a run, and takes it into the box.
func (s *shape) cut(r *run) {
	grow := func(p vec) {
		s.lo = vec{X: min(s.lo.X, p.X), Y: min(s.lo.Y, p.Y)}
		s.hi = vec{X: max(s.hi.X, p.X), Y: max(s.hi.Y, p.Y)}
	}
	grow(r.a)
	grow(r.b)
	if r.r == 0 {
		a, b := r.a, r.b
		if a.X > b.X {
			a, b = b, a
		}
		if a.X < b.X {
			s.pieces = append(s.pieces, piece{x0: a.X, x1: b.X, y0: a.Y, y1: b.Y})
		}
		return
	}
	// cut where the arc turns back: at its leftmost and rightmost points; note top and bottom for the box
	d := r.a.Sub(r.c)
	start := math.Atan2(d.Y, d.X)
	turn := func(to float64) float64 { // share of the arc at which it faces the direction to, or -1
		t := math.Mod((to-start)*sign(r.sweep), 2*math.Pi)
		if t < 0 {
			t += 2 * math.Pi
		}
		if t < math.Abs(r.sweep) {
			return t / math.Abs(r.sweep)
		}
		return -1
	}
	for _, u := range [2]float64{math.Pi / 2, -math.Pi / 2} {
		if turn(u) >= 0 {
			grow(vec{X: r.c.X, Y: r.c.Y + math.Copysign(r.r, u)})
		}
	}
	ts := []float64{0}
	for _, u := range [2]float64{0, math.Pi} {
		if t := turn(u); t > 0 {
			ts = append(ts, t)
			grow(vec{X: r.c.X + math.Copysign(r.r, math.Cos(u)), Y: r.c.Y})
		}
	}
	ts = append(ts, 1)
	slices.Sort(ts)
	for i := 1; i < len(ts); i++ {
		a, _ := r.at(ts[i-1])
		b, _ := r.at(ts[i])
		if ts[i-1] == 0 {
			a = r.a
		}
		if ts[i] == 1 {
			b = r.b
		}
		m, _ := r.at((ts[i-1] + ts[i]) / 2)
		if a.X > b.X {
			a, b = b, a
		}
		if a.X < b.X {
			s.pieces = append(s.pieces, piece{x0: a.X, x1: b.X, y0: a.Y, y1: b.Y, c: r.c, r: r.r, up: sign(m.Y - r.c.Y)})
		}
	}
}

// spans gives where the upright line at x runs inside the shape, ascending. buf is room to work in.
func (s *shape) spans(x float64, buf []span) []span {
	buf = buf[:0]
	if x < s.lo.X || x > s.hi.X {
		return buf
	}
	var room [16]float64
	ys := room[:0]
	for i := range s.pieces {
		if p := &s.pieces[i]; x >= p.x0 && x < p.x1 {
			ys = append(ys, p.y(x))
		}
	}
	if len(ys) == 2 {
		if ys[0] > ys[1] {
			ys[0], ys[1] = ys[1], ys[0]
		}
	} else {
		slices.Sort(ys)
	}
	for i := 0; i+1 < len(ys); i += 2 {
		buf = append(buf, span{ys[i], ys[i+1]})
	}
	return buf
}

// contains reports whether p lies inside.
func (s *shape) contains(p vec) bool {
	if p.X < s.lo.X || p.X > s.hi.X || p.Y < s.lo.Y || p.Y > s.hi.Y {
		return false
	}
	in := false
	for i := range s.pieces {
		if q := &s.pieces[i]; p.X >= q.x0 && p.X < q.x1 && q.y(p.X) > p.Y {
			in = !in
		}
	}
	return in
}

// without takes the spans b out of the spans a; both ascend.
func without(a, b, buf []span) []span {
	buf = buf[:0]
	for _, s := range a {
		lo := s.lo
		for _, t := range b {
			if t.hi <= lo || t.lo >= s.hi {
				continue
			}
			if t.lo > lo {
				buf = append(buf, span{lo, t.lo})
			}
			lo = max(lo, t.hi)
		}
		if lo < s.hi {
			buf = append(buf, span{lo, s.hi})
		}
	}
	return buf
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}
