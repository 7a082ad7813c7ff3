package plate

import (
	"math"
)

// placed is one place of a spot, with its share of the spot.
type placed struct {
	c int
	q vec
	w float64
}

// mean adds the mean movement over a spot about at; lost when nothing of it lies on the sheet.
func (p *Plate) mean(b *gatherer, s Spot, at vec) (places []placed, lost bool) {
	places, lost = p.spotPlaces(s, at)
	for _, q := range places {
		b.deflection(q.c, q.q, q.w)
	}
	return places, lost
}

// spotPlaces lists places that stand for a spot about at.
func (p *Plate) spotPlaces(s Spot, at vec) (places []placed, lost bool) {
	total := 0.0
	add := func(q vec, w float64) {
		if !p.solidAt(q) {
			return
		}
		if c, ok := p.cellAt(q); ok {
			places = append(places, placed{c, q, w})
			total += w
		}
	}
	switch {
	case s.Outline != nil:
		sh := newShape(s.Outline, p.frame, func(q vec) vec { return q })
		const strips = 6
		w := (sh.hi.X - sh.lo.X) / strips
		var spans []span
		for i := range strips {
			for _, g := range gauss2 {
				x := sh.lo.X + w*(float64(i)+g[0])
				spans = sh.spans(x, spans)
				for _, sp := range spans {
					h := (sp.hi - sp.lo) / strips
					for j := range strips {
						for _, k := range gauss2 {
							add(vec{X: x, Y: sp.lo + h*(float64(j)+k[0])}, g[1]*w*k[1]*h)
						}
					}
				}
			}
		}
	case s.Outer > 0:
		r0, r1 := s.Inner/2, s.Outer/2
		if r0 >= r1 {
			r0 = 0
		}
		rings, around := gauss4[:], 16
		if r0 > 0 {
			rings, around = gauss2[:], 24
		}
		for _, g := range rings { // by area: even in the square of the radius
			r := math.Sqrt(r0*r0 + g[0]*(r1*r1-r0*r0))
			for i := range around {
				s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(around))
				add(vec{X: at.X + r*c, Y: at.Y + r*s}, g[1]/float64(around))
			}
		}
	default:
		add(at, 1)
	}
	if len(places) == 0 {
		c := p.nearestCell(at)
		g := &p.grid
		i, j := c%g.nx(), c/g.nx()
		q := vec{X: min(max(at.X, g.xs[i]), g.xs[i+1]), Y: min(max(at.Y, g.ys[j]), g.ys[j+1])}
		places, total, lost = append(places, placed{c, q, 1}), 1, s.Outer > 0 || s.Outline != nil || !p.solidNear(at)
	}
	for i := range places {
		places[i].w /= total
	}
	return places, lost
}

// solidNear reports whether q lies on the sheet or on its very edge.
func (p *Plate) solidNear(q vec) bool {
	h := 1e-6 * p.grid.h
	for _, d := range [5]vec{{}, {X: h}, {X: -h}, {Y: h}, {Y: -h}} {
		if p.solidAt(q.Add(d)) {
			return true
		}
	}
	for _, d := range [4]vec{{X: h, Y: h}, {X: -h, Y: h}, {X: h, Y: -h}, {X: -h, Y: -h}} {
		if p.solidAt(q.Add(d)) {
			return true
		}
	}
	return false
}

// nearestCell gives the cell with sheet whose box lies nearest to q.
func (p *Plate) nearestCell(q vec) int {
	g := &p.grid
	best, far := 0, math.Inf(1)
	for c := range p.cells {
		if p.cells[c].state == void {
			continue
		}
		i, j := c%g.nx(), c/g.nx()
		dx := max(g.xs[i]-q.X, q.X-g.xs[i+1], 0)
		dy := max(g.ys[j]-q.Y, q.Y-g.ys[j+1], 0)
		if d := dx*dx + dy*dy; d < far {
			best, far = c, d
		}
	}
	return best
}
