package geom

import (
	"math"
	"slices"
)

// A fan tells for each direction what carries the support of an outline there: a corner (r = 0) or a convex arc, as a
// run of pieces round the full turn. In a piece the support is c·u + r, a plain sine wave, so that the least overlap of
// two outlines is found in closed form, piece by piece.
type fan []fanPiece

type fanPiece struct {
	to float64 // end of the piece, an angle in (0, 2π]; it starts where the one before ends
	c  Vec2
	r  float64
}

// carrier is a candidate for a piece of the fan. Corners carry any direction, arcs those that they face.
type carrier struct {
	c  Vec2
	r  float64
	of *edge
}

func (k *carrier) support(u Vec2) float64 {
	if k.of != nil && !k.of.faces(u) {
		return math.Inf(-1)
	}
	return k.c.Dot(u) + k.r
}

// newFan builds the fan of the convex hull of the edges. For a convex outline the pieces change only at the normals of
// its edges; otherwise also where two carriers reach equally far.
func newFan(es []edge) fan {
	ks := make([]carrier, 0, 2*len(es))
	cuts := []float64{2 * math.Pi}
	cut := func(u Vec2) { cuts = append(cuts, turn2(u)) }
	for i := range es {
		e := &es[i]
		ks = append(ks, carrier{c: e.a})
		in, out := e.dirs()
		cut(in.Left().Mul(-1))
		if e.sweep > 0 {
			cut(out.Left().Mul(-1))
			ks = append(ks, carrier{e.c, e.r, e})
		}
	}
	if !convexEdges(es) {
		for i := range ks {
			for j := range ks[:i] {
				// (ci - cj)·u = rj - ri
				w := ks[i].c.Sub(ks[j].c)
				d := w.Len()
				h := ks[j].r - ks[i].r
				if d < tiny || math.Abs(h) > d {
					continue
				}
				x, y := h/d, math.Sqrt(max(0, 1-h*h/(d*d)))
				w = w.Mul(1 / d)
				cut(w.Mul(x).Add(w.Left().Mul(y)))
				cut(w.Mul(x).Sub(w.Left().Mul(y)))
			}
		}
	}
	slices.Sort(cuts)
	var f fan
	from := 0.0
	for _, to := range cuts {
		if !(to > from) {
			continue
		}
		s, c := math.Sincos((from + to) / 2)
		u := Vec2{c, s}
		best, far := 0, math.Inf(-1)
		for i := range ks {
			if h := ks[i].support(u); h > far {
				best, far = i, h
			}
		}
		p := fanPiece{to, ks[best].c, ks[best].r}
		if n := len(f); n > 0 && f[n-1].c == p.c && f[n-1].r == p.r {
			f[n-1].to = to
		} else {
			f = append(f, p)
		}
		from = to
	}
	return f
}

// turn2 gives the angle of u in [0, 2π).
func turn2(u Vec2) float64 {
	t := math.Atan2(u.Y, u.X)
	if t < 0 {
		t += 2 * math.Pi
	}
	if t >= 2*math.Pi {
		return 0
	}
	return t
}

// overlap gives the least of f(u) + g(-u) over all unit directions u, and that u: the least way to go along u that
// parts the two shapes; negative when they are apart already, by that much. It is the signed distance of the origin from
// the edge of the Minkowski difference of the two hulls.
func (f fan) overlap(g fan) (least float64, dir Vec2) {
	least = math.Inf(1)
	if len(f) == 0 || len(g) == 0 {
		return
	}
	try := func(c Vec2, r float64, u Vec2) {
		if s := c.Dot(u) + r; s < least {
			least, dir = s, u
		}
	}
	// walk both fans in step, g half a turn ahead
	i, j := 0, 0
	for j < len(g)-1 && g[j].to <= math.Pi {
		j++
	}
	shift := -math.Pi
	from := 0.0
	for from < 2*math.Pi {
		to := min(f[i].to, g[j].to+shift)
		c, r := f[i].c.Sub(g[j].c), f[i].r+g[j].r
		if to > from {
			s0, c0 := math.Sincos(from)
			try(c, r, Vec2{c0, s0})
			s1, c1 := math.Sincos(to)
			try(c, r, Vec2{c1, s1})
			if u := c.Mul(-1).Unit(); u != (Vec2{}) {
				if t := turn2(u); t >= from && t <= to {
					try(c, r, u)
				}
			}
			from = to
		}
		stepF, stepG := f[i].to <= to, g[j].to+shift <= to
		if stepF {
			if i++; i == len(f) {
				break
			}
		}
		if stepG {
			if j++; j == len(g) {
				j, shift = 0, math.Pi
			}
		}
	}
	return least, dir
}
