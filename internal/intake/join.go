package intake

import (
	"math"

	"knobwright/internal/geom"
)

// piece is an open line or arc, to be joined to closed curves with others that begin where it ends.
type piece struct {
	a, b  geom.Vec2
	bulge float64
	layer string
}

// joined makes closed curves of open pieces whose ends meet within tol. Pieces are joined within a layer first. Where more than two
// ends meet, the straightest way on is taken. It gives how many pieces were left over.
func joined(ps []piece, tol float64) (out []Curve, left int) {
	type key struct{ x, y int }
	cell := func(p geom.Vec2) key { return key{int(math.Floor(p.X / tol)), int(math.Floor(p.Y / tol))} }
	ends := map[key][]int{} // piece*2 + which end
	put := func(p geom.Vec2, i int) { k := cell(p); ends[k] = append(ends[k], i) }
	for i, p := range ps {
		put(p.a, 2*i)
		put(p.b, 2*i+1)
	}
	end := func(i int) geom.Vec2 {
		if i%2 == 0 {
			return ps[i/2].a
		}
		return ps[i/2].b
	}
	used := make([]bool, len(ps))
	near := func(p geom.Vec2, layer string, dir geom.Vec2) int {
		k, best, score := cell(p), -1, math.Inf(-1)
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				for _, e := range ends[key{k.x + dx, k.y + dy}] {
					if used[e/2] || end(e).Sub(p).Len() > tol {
						continue
					}
					s := dir.Dot(leaving(ps[e/2], e%2 == 1))
					if ps[e/2].layer != layer {
						s -= 10
					}
					if s > score {
						best, score = e, s
					}
				}
			}
		}
		return best
	}
	for i := range ps {
		if used[i] {
			continue
		}
		used[i] = true
		chain := []piece{ps[i]}
		for len(chain) <= len(ps) {
			last := chain[len(chain)-1]
			if len(chain) > 1 && last.b.Sub(chain[0].a).Len() <= tol {
				break
			}
			e := near(last.b, last.layer, arriving(last))
			if e < 0 {
				break
			}
			used[e/2] = true
			q := ps[e/2]
			if e%2 == 1 {
				q = piece{q.b, q.a, -q.bulge, q.layer}
			}
			chain = append(chain, q)
		}
		if len(chain) < 2 || chain[len(chain)-1].b.Sub(chain[0].a).Len() > tol {
			left += len(chain)
			continue
		}
		var o geom.Outline
		for _, p := range chain {
			o = append(o, geom.Vertex{P: p.a, Bulge: p.bulge})
		}
		if o = upright(o); o != nil {
			out = append(out, Curve{Outline: o, Layer: chain[0].layer})
		}
	}
	return out, left
}

// leaving is the direction in which a piece starts, from its end b when back is true.
func leaving(p piece, back bool) geom.Vec2 {
	if back {
		p = piece{p.b, p.a, -p.bulge, p.layer}
	}
	return turned(p.b.Sub(p.a), -2*math.Atan(p.bulge))
}

// arriving is the direction in which a piece ends.
func arriving(p piece) geom.Vec2 { return turned(p.b.Sub(p.a), 2*math.Atan(p.bulge)) }

func turned(v geom.Vec2, a float64) geom.Vec2 {
	l := v.Len()
	if l == 0 {
		return v
	}
	s, c := math.Sincos(a)
	return geom.Vec2{X: (v.X*c - v.Y*s) / l, Y: (v.X*s + v.Y*c) / l}
}

// upright gives an outline counter-clockwise, without corners that repeat; nil when it encloses nothing.
func upright(o geom.Outline) geom.Outline {
	var c geom.Outline
	for i, v := range o {
		if q := o[(i+1)%len(o)]; v.P.Sub(q.P).Len() < 1e-9 {
			continue
		}
		c = append(c, v)
	}
	if len(c) < 2 {
		return nil
	}
	if c.Empty() {
		n := len(c)
		r := make(geom.Outline, n)
		for i, v := range c {
			r[n-1-i] = geom.Vertex{P: v.P, Bulge: -c[(i+n-1)%n].Bulge}
		}
		c = r
	}
	if c.Empty() {
		return nil
	}
	return c
}
