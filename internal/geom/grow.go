package geom

import (
	"math"
	"slices"
)

// Grow gives the outline m further out, or inwards when m is negative: the edge of all points within m of the area, or of
// all points of the area at least -m from its edge. Corners that open become arcs, the others are cut to length, arcs stay arcs; nothing
// is approximated. When an inward offset falls into several parts the largest is given; holes that an outward offset
// encloses are filled. Less than a ten-thousandth of a millimetre changes nothing. It is nil when nothing is left.
func (o Outline) Grow(m float64) Outline {
	if o.Empty() || math.IsNaN(m) || math.Abs(m) > 1e9 {
		return nil
	}
	if c, d, ok := o.AsCircle(); ok {
		if d+2*m <= tiny {
			return nil
		}
		return Circle(c, d+2*m)
	}
	if math.Abs(m) < 1e-4 {
		return append(Outline(nil), o...)
	}
	es := o.withoutSpecks().edges()
	raw := offsetEdges(es, m)
	if m > 0 && convexEdges(es) {
		return chainAll(raw)
	}
	return trimOffset(es, raw, m)
}

// withoutSpecks leaves out edges shorter than a millionth of a millimetre, which have no sure direction; their neighbours are
// joined.
func (o Outline) withoutSpecks() Outline {
	const speck = 1e-6
	var c Outline
	for _, v := range o {
		if n := len(c); n > 0 && c[n-1].P.Sub(v.P).Len() < speck {
			c[n-1].Bulge = v.Bulge
			continue
		}
		c = append(c, v)
	}
	for len(c) > 2 && c[0].P.Sub(c[len(c)-1].P).Len() < speck {
		c = c[:len(c)-1]
	}
	return c
}

// offsetEdges shifts each edge by m to its right and puts arcs where neighbours part. Where they run into each other by a hair only,
// at a corner that is all but straight, they are cut to length at once: see mitre.
func offsetEdges(es []edge, m float64) []edge {
	n := len(es)
	raw := make([]edge, 0, 2*n)
	moved := make([]edge, n)
	there := make([]bool, n)
	turns := make([]float64, n) // at the end of each edge
	for i := range es {
		e := &es[i]
		in, out := e.dirs()
		next, _ := es[(i+1)%n].dirs()
		turns[i] = math.Atan2(out.Cross(next), out.Dot(next))
		r := e.r + m
		if e.sweep < 0 {
			r = e.r - m
		}
		if e.r == 0 || r > tiny {
			moved[i], there[i] = newEdge(e.a.Sub(in.Left().Mul(m)), e.b.Sub(out.Left().Mul(m)), e.bulge)
		}
	}
	for i := range es {
		if k := (i + 1) % n; there[i] && there[k] && turns[i]*m < 0 {
			mitre(&moved[i], &moved[k], es[i].b, turns[i], m)
		}
	}
	for i := range es {
		if there[i] {
			raw = append(raw, moved[i])
		}
		if turns[i]*m > 0 && math.Abs(turns[i]) > 1e-9 {
			c := es[i].b
			_, out := es[i].dirs()
			next, _ := es[(i+1)%n].dirs()
			if f, ok := arcEdge(c, c.Sub(out.Left().Mul(m)), c.Sub(next.Left().Mul(m)), turns[i]); ok {
				raw = append(raw, f)
			}
		}
	}
	return raw
}

// mitre cuts two offset edges to length where they run into each other by a hair, at a corner c of the old outline that bends by turn. What stands
// over is then hardly nearer to the old edge than it should be, and too short to be told apart from what is to stay: neither its distance nor
// its loose end would give it away. Both edges end on the line that halves the corner, m away from each of them; arcs are taken as straight
// for the length of the hair, which must be true to a hundred-millionth of a millimetre.
func mitre(e, f *edge, c Vec2, turn, m float64) {
	const hair, bent = 1e-4, 1e-8
	over := math.Abs(m * math.Tan(turn/2))
	if over > hair || 4*over > e.length() || 4*over > f.length() {
		return
	}
	for _, x := range [2]*edge{e, f} {
		if x.r > 0 && over*over > bent*x.r {
			return
		}
	}
	_, out := e.dirs()
	in, _ := f.dirs()
	p := c.Sub(out.Left().Add(in.Left()).Mul(m / (1 + out.Dot(in))))
	if g, ok := newEdge(e.a, p, shortened(e, over)); ok {
		*e = g
	}
	if g, ok := newEdge(p, f.b, shortened(f, over)); ok {
		*f = g
	}
}

// shortened is the bulge of an arc that lost so much of its length.
func shortened(e *edge, by float64) float64 {
	if e.r == 0 {
		return 0
	}
	return math.Tan(e.sweep * (1 - by/e.length()) / 4)
}

// chainAll makes an outline of edges that follow each other.
func chainAll(es []edge) Outline {
	o := make(Outline, len(es))
	for i, e := range es {
		o[i] = Vertex{e.a, e.bulge}
	}
	return o
}

// trimOffset cuts the raw edges where they cross each other and keeps the stretches that really are |m| from the old edge;
// what is left hangs together in loops.
func trimOffset(es, raw []edge, m float64) Outline {
	far := math.Abs(m)
	tol := 1e-7 * (1 + far)
	var keep []edge
	for i := range raw {
		e := &raw[i]
		cuts := []float64{0, 1}
		for j := range raw {
			if i == j {
				continue
			}
			for _, p := range e.crossings(&raw[j]) {
				cuts = append(cuts, e.share(p))
			}
			for _, p := range [2]Vec2{raw[j].a, raw[j].b} { // edges that touch or lie on each other
				if q := e.nearest(p); q.Sub(p).Len() < tol/10 {
					cuts = append(cuts, e.share(q))
				}
			}
		}
		slices.Sort(cuts)
		l := e.length()
		from := 0.0
		for k := 1; k < len(cuts); k++ {
			to := cuts[k]
			if (to-from)*l < tol {
				continue
			}
			mid := e.at((from + to) / 2)
			if distanceTo(es, mid) >= far-tol { // then it is on the right side too: the way from its old edge crosses nothing
				if f, ok := newEdge(e.at(from), e.at(to), math.Tan(e.sweep*(to-from)/4)); ok {
					keep = append(keep, f)
				}
			}
			from = to
		}
	}
	return largestLoop(keep, 10*tol)
}

// largestLoop joins edges end to end and gives the loop with the greatest area.
func largestLoop(es []edge, tol float64) Outline {
	es = withoutLooseEnds(es, tol)
	used := make([]bool, len(es))
	var best Outline
	var most float64
	for i := range es {
		if used[i] {
			continue
		}
		var o Outline
		for k := i; k >= 0; {
			used[k] = true
			o = append(o, Vertex{es[k].a, es[k].bulge})
			next, near := -1, tol
			for j := range es {
				if d := es[j].a.Sub(es[k].b).Len(); !used[j] && d <= near {
					next, near = j, d
				}
			}
			if next < 0 && es[k].b.Sub(es[i].a).Len() > tol {
				o = nil // a loose end: not a loop
			}
			k = next
		}
		if len(o) < 2 {
			continue
		}
		if a := o.signedArea(); a > most {
			best, most = o, a
		}
	}
	if most <= tol*tol {
		return nil
	}
	return best
}

// withoutLooseEnds leaves out edges that nothing leads to or that lead nowhere, such as the last stretch of an edge beyond a
// crossing so flat that it stays within tolerance.
func withoutLooseEnds(es []edge, tol float64) []edge {
	for {
		kept := es[:0:0]
		for i := range es {
			before, after := false, false
			for j := range es {
				before = before || es[j].b.Sub(es[i].a).Len() <= tol
				after = after || es[j].a.Sub(es[i].b).Len() <= tol
			}
			if before && after {
				kept = append(kept, es[i])
			}
		}
		if len(kept) == len(es) {
			return es
		}
		es = kept
	}
}
