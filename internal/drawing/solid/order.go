package solid

import (
	"math"

	"knobwright/internal/geom"
)

const (
	hairArea = 1e-4 // mm² on paper: what overlaps less does not hide anything
	hairDeep = 1e-3 // mm: what lies no deeper than this touches
)

// inOrder sorts panes from the farthest to the nearest, cutting strips that pass through a flat pane in two.
func inOrder(panes []*pane) []*pane {
	panes = cutThrough(panes)
	n := len(panes)
	infront := make([][]int, n) // of each pane, those that must come later
	waits := make([]int, n)
	for i, j := range geom.Pairs(boxesOf(panes), 0) {
		before, behind := compare(panes[i], panes[j])
		switch {
		case before <= hairDeep && behind <= hairDeep:
		case before > behind:
			infront[j] = append(infront[j], i)
			waits[i]++
		default:
			infront[i] = append(infront[i], j)
			waits[j]++
		}
	}
	deep := make([]float64, n)
	for i, p := range panes {
		k := 0.0
		for _, t := range p.tris {
			for _, v := range t {
				deep[i], k = deep[i]+v.Z, k+1
			}
		}
		deep[i] /= k
	}
	out := make([]*pane, 0, n)
	done := make([]bool, n)
	for len(out) < n {
		// the one that waits for the fewest, which is none unless panes overlap in a ring; then the farthest
		best := -1
		for i := range n {
			if !done[i] && (best < 0 || waits[i] < waits[best] || waits[i] == waits[best] && deep[i] < deep[best]) {
				best = i
			}
		}
		done[best] = true
		out = append(out, panes[best])
		for _, j := range infront[best] {
			waits[j]--
		}
	}
	return out
}

func boxesOf(panes []*pane) []geom.Box2 {
	boxes := make([]geom.Box2, len(panes))
	for i, p := range panes {
		boxes[i] = geom.EmptyBox2()
		for _, t := range p.tris {
			for _, v := range t {
				boxes[i] = boxes[i].Extend(v.XY())
			}
		}
	}
	return boxes
}

// compare gives how far, at most, p lies before q where they overlap on paper, and how far behind.
func compare(p, q *pane) (before, behind float64) {
	before, behind = math.Inf(-1), math.Inf(-1)
	var one, two [8]geom.Vec2 // room for what two triangles share
	pb, qb := p.triBoxes(), q.triBoxes()
	whole := geom.EmptyBox2()
	for _, b := range qb {
		whole = whole.Union(b)
	}
	for i, s := range p.tris {
		if !pb[i].Overlaps(whole) {
			continue
		}
		for j, t := range q.tris {
			if !pb[i].Overlaps(qb[j]) {
				continue
			}
			over := overlap(s, t, one[:0], two[:0])
			if len(over) < 3 {
				continue
			}
			var area float64
			for k := 2; k < len(over); k++ {
				area += over[k-1].Sub(over[0]).Cross(over[k].Sub(over[0])) / 2
			}
			if math.Abs(area) < hairArea {
				continue
			}
			for _, v := range over {
				d := depthAt(s, v) - depthAt(t, v)
				before, behind = max(before, d), max(behind, -d)
			}
		}
	}
	return before, behind
}

// triBoxes gives the box of each triangle on paper, reckoned once.
func (p *pane) triBoxes() []geom.Box2 {
	if p.boxes == nil {
		p.boxes = make([]geom.Box2, len(p.tris))
		for i, t := range p.tris {
			p.boxes[i] = geom.EmptyBox2().Extend(t[0].XY()).Extend(t[1].XY()).Extend(t[2].XY())
		}
	}
	return p.boxes
}

// overlap gives the common area of two triangles on paper, which both run counter-clockwise there, after Sutherland and Hodgman. It is made
// in one of the two rooms that it is given.
func overlap(s, t [3]geom.Vec3, poly, next []geom.Vec2) []geom.Vec2 {
	poly = append(poly, s[0].XY(), s[1].XY(), s[2].XY())
	for k := range 3 {
		a, b := t[k].XY(), t[(k+1)%3].XY()
		way := b.Sub(a)
		x := way.Cross(poly[0].Sub(a)) // of how far the corner lies on the inner side
		first := x
		for i, p := range poly {
			q, y := poly[0], first
			if i+1 < len(poly) {
				q = poly[i+1]
				y = way.Cross(q.Sub(a))
			}
			if x >= 0 {
				next = append(next, p)
			}
			if x*y < 0 {
				next = append(next, p.Add(q.Sub(p).Mul(x/(x-y))))
			}
			x = y
		}
		if len(next) < 3 {
			return nil
		}
		poly, next = next, poly[:0]
	}
	return poly
}

// depthAt gives the depth of a triangle's plane over a place on paper.
func depthAt(t [3]geom.Vec3, p geom.Vec2) float64 {
	u, v := t[1].Sub(t[0]), t[2].Sub(t[0])
	n := u.Cross(v)
	if math.Abs(n.Z) < 1e-12*n.Len() || n.Z == 0 {
		return max(t[0].Z, t[1].Z, t[2].Z)
	}
	d := p.Sub(t[0].XY())
	z := t[0].Z - (n.X*d.X+n.Y*d.Y)/n.Z
	// no deeper or nearer than the triangle itself, whatever rounding makes of one seen almost edge-on
	return min(max(z, min(t[0].Z, t[1].Z, t[2].Z)), max(t[0].Z, t[1].Z, t[2].Z))
}

// cutThrough cuts strips in two where they pass through the plane of a flat pane that they lie partly before and partly behind.
func cutThrough(panes []*pane) []*pane {
	for {
		boxes := boxesOf(panes)
		var more []*pane
		for i, j := range geom.Pairs(boxes, 0) {
			for _, c := range [2][2]*pane{{panes[i], panes[j]}, {panes[j], panes[i]}} {
				flat, strip := c[0], c[1]
				if !flat.flat || strip.a == nil || !straddles(flat, strip) {
					continue
				}
				if before, behind := compare(flat, strip); before > hairDeep && behind > hairDeep {
					more = append(more, strip.cut(flat))
				}
			}
		}
		if len(more) == 0 || len(panes) > 20000 {
			return panes
		}
		panes = append(panes, more...)
	}
}

// over gives the distance of a point before the plane of a flat pane.
func (p *pane) over(v geom.Vec3) float64 { return v.Sub(p.tris[0][0]).Dot(p.n) }

// straddles reports whether one side of the strip lies before the plane of the pane and the other behind.
func straddles(flat, strip *pane) bool {
	sign := 0.0
	for i := range strip.a {
		x, y := flat.over(strip.a[i]), flat.over(strip.b[i])
		if math.Abs(x) < hairDeep || math.Abs(y) < hairDeep || x*y > 0 || sign*x < 0 {
			return false
		}
		sign = x
	}
	return true
}

// cut shortens the strip to what lies between its first side and the plane, and gives the rest.
func (p *pane) cut(flat *pane) *pane {
	rest := *p
	rest.a, rest.head, rest.tail = nil, nil, nil
	mid := make([]geom.Vec3, len(p.a))
	for i := range p.a {
		x, y := flat.over(p.a[i]), flat.over(p.b[i])
		mid[i] = p.a[i].Add(p.b[i].Sub(p.a[i]).Mul(x / (x - y)))
	}
	n := len(mid) - 1
	front := flat.over(p.a[0]) > 0 // what lies before the plane is drawn over the rest
	rest.a, p.b = mid, mid
	if p.head != nil {
		rest.head = polyline{rest.b[0], mid[0]}
		p.head = polyline{mid[0], p.a[0]}
		if front {
			p.head[0] = overshoot(mid, p.a[0])
		} else {
			rest.head[1] = overshoot(mid, rest.b[0])
		}
	}
	if p.tail != nil {
		dim := reversed(mid)
		rest.tail = polyline{mid[n], rest.b[n]}
		p.tail = polyline{p.a[n], mid[n]}
		if front {
			p.tail[1] = overshoot(dim, p.a[n])
		} else {
			rest.tail[0] = overshoot(dim, rest.b[n])
		}
	}
	rest.aCut, p.bCut = true, true
	if front {
		p.seams = append(p.seams, mid)
	} else {
		rest.seams = append(append([]polyline(nil), p.seams...), mid)
	}
	rest.lay()
	p.lay()
	return &rest
}

// overshoot gives the point to which the line from a to the start of a cut goes on beyond it, for as long as the cut keeps within half the
// width of a line from it: there the nearer half's wash would lie on the farther half's line.
func overshoot(cut []geom.Vec3, a geom.Vec3) geom.Vec3 {
	const half = 0.2
	way := cut[0].Sub(a).XY().Unit()
	far := 0.0
	for _, p := range cut {
		d := p.Sub(cut[0]).XY()
		far = max(far, d.Dot(way))
		if math.Abs(way.Cross(d)) > half {
			break
		}
	}
	end := cut[0].XY().Add(way.Mul(far))
	return end.At(cut[0].Z)
}

func reversed(ps []geom.Vec3) []geom.Vec3 {
	out := make([]geom.Vec3, len(ps))
	for i, p := range ps {
		out[len(ps)-1-i] = p
	}
	return out
}
