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

// layerStep is how deep one pair of places reaches, in cells: with a grain and soft shear the layer is deeper than cells are large, and two places
// for all of it would take more from the cell that they fall into than it has.
const layerStep = 0.45

// layerRoom is how deep the layer may be, as a share of the smaller side of what it runs along: it is that of a long edge, and none is long beside
// a hole as small as the layer is deep.
const layerRoom = 0.5

// edgePoints lists the places of the edge layer along all edges, those of the outline only where they are not clamped or
// glued.
func (p *Plate) edgePoints() []edgePoint {
	if p.model.Options.Thin || p.model.Options.NoEdge {
		return nil
	}
	var out []edgePoint
	add := func(s *shape, outer bool) {
		most := max(layerRoom*min(s.hi.X-s.lo.X, s.hi.Y-s.lo.Y), 0.4*p.grid.h)
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
				out = p.edgePlace(out, q, in, l/float64(n), most)
			}
		}
	}
	add(p.outline, true)
	for _, s := range p.openings {
		add(s, false)
	}
	return out
}

// edgePlace spreads the loss of a length l of edge at q over a depth into the sheet, at most so much.
func (p *Plate) edgePlace(out []edgePoint, q, in vec, l, most float64) []edgePoint {
	t := p.st.t
	if !p.solidAt(q.Add(in.Mul(1e-4 * t))) {
		return out
	}
	c := edgeLayer * t * math.Sqrt(p.st.shearIn(in)/p.st.shearAlong(in.Left()))
	depth := min(max(c/layerShare, 0.4*p.grid.h), most)
	for k := 1; k <= 4; k++ {
		if d := depth * float64(k) / 4; !p.solidAt(q.Add(in.Mul(d))) {
			depth = d - depth/8
			break
		}
	}
	c = min(c, layerShare*depth)
	steps := max(1, math.Ceil(depth/(layerStep*p.grid.h)-1e-9))
	loss := 4 * p.st.twist(in) * c * l / (2 * steps)
	for k := range int(steps) {
		for _, g := range gauss2 {
			at := q.Add(in.Mul(depth * (float64(k) + g[0]) / steps))
			if cell, ok := p.cellAt(at); ok {
				out = append(out, edgePoint{cell, at, in, loss})
			}
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

// Shares of the edge layer that are tried in a cell, and how much stiffness a cell must keep when it is taken away in full.
var layerTries = [...]float64{1, 0.7, 0.5, 0.35, 0.2, 0.1}

const layerKeeps = 0.1

// spare lessens the layer's sum in a cell where it would take away more than the cell has to give, in any bending at all: slivers of cells, corners
// where layers meet, plywood whose layer is deeper than cells are large. As no cell is left without stiffness, the sheet is not either.
func (c *cell) spare(layer *bending) {
	if c.state == void {
		return
	}
	const n = 16
	top := 0.0
	for i := range n {
		top = max(top, c.bend[i*n+i])
	}
	var a [n * n]float64
tries:
	for _, share := range layerTries {
		s := share / (1 - layerKeeps)
		for i := range n {
			for j := range i + 1 {
				v := c.bend[i*n+j] + s*layer[i*n+j]
				if i == j {
					v += 1e-9 * top // rigid motions cost nothing
				}
				for q := range j {
					v -= a[i*n+q] * a[j*n+q]
				}
				switch {
				case i != j:
					a[i*n+j] = v / a[j*n+j]
				case v > 0:
					a[i*n+i] = math.Sqrt(v)
				default:
					continue tries
				}
			}
		}
		if share < 1 {
			for i := range layer {
				layer[i] *= share
			}
		}
		return
	}
	clear(layer[:])
}
