package plate

import "knobwright/internal/solve/sparse"

// reactions works out, for every line and every rigid motion v of (1, x, y), the row that gives the work of the line's
// reaction on v from the free unknowns of bending: what the sheet does to held unknowns, turned round, and what springs do.
func (p *Plate) reactions() {
	g := &p.grid
	p.react = make([][3]sparse.Vector, len(p.lines))
	sums := make([][3]*adder, len(p.lines))
	for i := range sums {
		for v := range 3 {
			sums[i][v] = newAdder(g, 4)
		}
	}
	rows := func(c int, k *bending) {
		ns := g.nodes(c)
		for i, n := range ns {
			if p.held.owner[n][0] < 0 {
				continue
			}
			for d := range 4 {
				if p.held.bend[n]&(1<<d) == 0 {
					continue
				}
				r := rigid(g.point(n), d)
				a := 4*i + d
				p.held.share(n, func(l int, share float64) {
					for v := range 3 {
						if r[v] == 0 {
							continue
						}
						f := -share * r[v]
						for j, m := range ns {
							u := sums[l][v].node(m)
							for e := range 4 {
								if b := 4*j + e; p.held.bend[m]&(1<<e) == 0 {
									u[e] += f * k[16*max(a, b)+min(a, b)]
								}
							}
						}
					}
				})
			}
		}
	}
	beside := func(c int) bool {
		for _, n := range g.nodes(c) {
			if p.held.owner[n][0] >= 0 {
				return true
			}
		}
		return false
	}
	for c := range p.cells {
		if p.cells[c].state == void || !beside(c) {
			continue
		}
		rows(c, p.cells[c].bend)
		if e := p.layerOf[c]; e != nil {
			rows(c, e)
		}
	}
	for i := range p.extras {
		if e := &p.extras[i]; e.bend != nil && p.cells[e.cell].state != void && beside(e.cell) {
			rows(e.cell, e.bend)
		}
	}
	for i := range p.lines {
		p.springRows(i, &sums[i])
		for v := range 3 {
			p.react[i][v] = sums[i][v].take(p.bend)
		}
	}
}

// springRows adds what the springs of line i do on the rigid motions.
func (p *Plate) springRows(i int, sum *[3]*adder) {
	r := &p.lines[i]
	if r.stiff == 0 && r.stiffRot == 0 {
		return
	}
	n := r.dir.Left()
	for _, s := range r.pieces {
		if p.cells[s.cell].state == void {
			continue
		}
		l := s.b.Sub(s.a)
		for _, q := range gauss2 {
			pt := s.a.Add(l.Mul(q[0]))
			w := q[1] * l.Len()
			f := p.fieldAt(s.cell, pt)
			val, slope := f.value(), f.slope(n)
			tilt := [3]float64{0, n.X, n.Y}
			move := [3]float64{1, pt.X, pt.Y}
			for k, m := range p.grid.nodes(s.cell) {
				for v := range 3 {
					u := sum[v].node(m)
					for d := range 4 {
						u[d] += w * (r.stiff*move[v]*val[4*k+d] + r.stiffRot*tilt[v]*slope[4*k+d])
					}
				}
			}
		}
	}
}
