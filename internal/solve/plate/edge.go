package plate

import "math"

// edgePoint is a place in the sheet near an edge where twist costs less than in the middle of the sheet.
//
// A sheet of thickness t carries twist by shear that turns round at its edges; within about t of a free edge, or one that is
// held up and down only, it carries less. A long strip of width b has J = b·t³/3·(1 - 0.630·t/b) (Saint-Venant), so each edge
// takes away 0.315·t of width; the same layer is the difference between thin plates and elasticity at first order (Friedrichs
// & Dressler 1961). With a grain the layer scales with the root of the ratio of the two shear moduli.
type edgePoint struct {
	cell int
	at   vec
	n    vec
	loss float64 // twist stiffness taken away: 4·D_twist·c·length
}

const edgeLayer = 0.315

// layerShare is how much of the twist of the layer may be taken away: more, and the equations are no longer those of a solid sheet.
const layerShare = 0.3

// edgePoints lists the places of the edge layer along all edges, those of the outline only where they are not clamped or
// glued.
func (p *Plate) edgePoints() []edgePoint {
	if p.model.Options.Thin || p.model.Options.NoEdge {
		return nil
	}
	var out []edgePoint
	add := func(s *shape, outer bool) {
		for k := range s.runs {
			r := &s.runs[k]
			l := r.length()
			step := p.grid.h / 4
			if r.r > 0 {
				step = min(step, 2*math.Pi*r.r/12)
			}
			n := max(1, int(math.Ceil(l/step)))
			for i := range n {
				q, dir := r.at((float64(i) + 0.5) / float64(n))
				in := dir.Left()
				if !outer {
					in = in.Mul(-1)
				}
				if outer && p.heldEdge(q) {
					continue
				}
				out = p.edgePlace(out, q, in, l/float64(n))
			}
		}
	}
	add(p.outline, true)
	for _, s := range p.openings {
		add(s, false)
	}
	return out
}

// edgePlace spreads the loss of a length l of edge at q over a depth into the sheet.
func (p *Plate) edgePlace(out []edgePoint, q, in vec, l float64) []edgePoint {
	t := p.st.t
	if !p.solidAt(q.Add(in.Mul(1e-4 * t))) {
		return out
	}
	c := edgeLayer * t * math.Sqrt(p.st.shearIn(in)/p.st.shearAlong(in.Left()))
	depth := max(c/layerShare, 0.4*p.grid.h)
	for k := 1; k <= 4; k++ {
		if d := depth * float64(k) / 4; !p.solidAt(q.Add(in.Mul(d))) {
			depth = d - depth/8
			break
		}
	}
	c = min(c, layerShare*depth)
	loss := 4 * p.st.twist(in) * c * l / 2
	for _, g := range gauss2 {
		at := q.Add(in.Mul(depth * g[0]))
		if cell, ok := p.cellAt(at); ok {
			out = append(out, edgePoint{cell, at, in, loss})
		}
	}
	return out
}

// heldEdge reports whether a line support that does not turn freely runs along the edge at q.
func (p *Plate) heldEdge(q vec) bool {
	for i := range p.lines {
		r := &p.lines[i]
		if r.spring == 0 {
			continue
		}
		d := q.Sub(r.a)
		along := d.Dot(r.dir)
		if math.Abs(d.Cross(r.dir)) < merge*p.grid.h && along >= 0 && along <= r.b.Sub(r.a).Len() {
			return true
		}
	}
	return false
}

// solidAt reports whether there is sheet at q.
func (p *Plate) solidAt(q vec) bool {
	g := &p.grid
	if q.X < g.xs[0] || q.Y < g.ys[0] || q.X > g.xs[g.nx()] || q.Y > g.ys[g.ny()] {
		return false
	}
	i, j := g.find(q)
	c := &p.cells[j*g.nx()+i]
	switch c.state {
	case void:
		return false
	case allSheet:
		return true
	}
	if !p.maker.plain && !p.outline.contains(q) {
		return false
	}
	for _, k := range c.near {
		if p.openings[k].contains(q) {
			return false
		}
	}
	return true
}
