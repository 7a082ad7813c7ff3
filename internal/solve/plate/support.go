package plate

import (
	"math"
	"slices"
)

// held says which unknowns are zero: bits of a node's unknowns.
type held struct {
	bend, shear, stretch []uint8
	owner                [][2]int16 // the lines that hold a node, -1 = none; a third one at a node shares with nobody
}

// extra is a stiffness added to a cell by something other than the sheet: a spring, a slanting support, a rib.
type extra struct {
	cell int
	bend *bending
}

// shearExtra is the same for a cell of the finer grid.
type shearExtra struct {
	cell  int
	shear *shearing
}

// share calls f with every line that holds node n and its share of the node.
func (h *held) share(n int, f func(line int, share float64)) {
	switch o := h.owner[n]; {
	case o[0] < 0:
	case o[1] < 0:
		f(int(o[0]), 1)
	default:
		f(int(o[0]), 0.5)
		f(int(o[1]), 0.5)
	}
}

// lineRun is a support in the frame of the grid.
type lineRun struct {
	a, b     vec
	dir      vec
	along    int // 1: on a grid line along x; 2: along y; 0: slanting
	i0, i1   int // nodes along it
	at       int // number of the grid line it lies on
	spring   float64
	clamped  bool
	pieces   []stretch // stretches within one cell each, for springs and slanting lines
	stiff    float64   // of a slanting line: force per movement and length
	stiffRot float64
}

// stretch is a straight piece within one cell.
type stretch struct {
	cell int
	a, b vec
}

// placeLines puts the line supports on the grid.
func (p *Plate) placeLines() {
	g := &p.grid
	nn := len(g.xs) * len(g.ys)
	h := &p.held
	h.bend, h.shear, h.stretch = make([]uint8, nn), make([]uint8, len(p.fine.xs)*len(p.fine.ys)), make([]uint8, nn)
	h.owner = make([][2]int16, nn)
	for i := range h.owner {
		h.owner[i] = [2]int16{-1, -1}
	}
	for k, l := range p.model.Lines {
		r := lineRun{a: g.snap(p.frame.in(l.A)), b: g.snap(p.frame.in(l.B)), spring: l.Spring}
		r.clamped = math.IsInf(l.Spring, 1)
		d := r.b.Sub(r.a)
		r.dir = d.Unit()
		const slant = 1e-6
		near := func(xs []float64, x float64) bool { return math.Abs(xs[nearest(xs, x)]-x) <= merge*g.h }
		switch {
		case math.Abs(d.Y) <= slant*d.Len() && near(g.ys, r.a.Y):
			r.along = 1
			r.at = nearest(g.ys, (r.a.Y+r.b.Y)/2)
			r.i0, r.i1 = nearest(g.xs, min(r.a.X, r.b.X)), nearest(g.xs, max(r.a.X, r.b.X))
		case math.Abs(d.X) <= slant*d.Len() && near(g.xs, r.a.X):
			r.along = 2
			r.at = nearest(g.xs, (r.a.X+r.b.X)/2)
			r.i0, r.i1 = nearest(g.ys, min(r.a.Y, r.b.Y)), nearest(g.ys, max(r.a.Y, r.b.Y))
		}
		if r.along != 0 {
			hold := [3]uint8{0, 1 | 2, 1 | 4}[r.along]
			if r.clamped {
				hold = 15
			}
			for i := r.i0; i <= r.i1; i++ {
				n := r.node(g, i)
				h.bend[n] |= hold
				if r.clamped {
					h.stretch[n] |= 3
				}
				switch o := &h.owner[n]; {
				case o[0] < 0:
					o[0] = int16(k)
				case o[1] < 0:
					o[1] = int16(k)
				}
			}
		}
		if r.along != 0 {
			for i := r.i0 * p.parts; i <= r.i1*p.parts; i++ {
				w := len(p.fine.xs)
				if r.along == 1 {
					h.shear[r.at*p.parts*w+i] = 1
				} else {
					h.shear[i*w+r.at*p.parts] = 1
				}
			}
		}
		r.pieces = p.split(r.a, r.b)
		p.lines = append(p.lines, r)
	}
}

// node gives node i along the support.
func (r *lineRun) node(g *grid, i int) int {
	if r.along == 1 {
		return r.at*len(g.xs) + i
	}
	return i*len(g.xs) + r.at
}

// split cuts a straight line at the grid lines it crosses; each stretch belongs to a cell with sheet in it, if one of the two
// beside it has any. Stretches beside no sheet are left out.
func (p *Plate) split(a, b vec) []stretch {
	var out []stretch
	for _, t := range p.grid.cuts(a, b) {
		if c, ok := p.cellAt(t[0].Add(t[1]).Mul(0.5)); ok {
			out = append(out, stretch{c, t[0], t[1]})
		}
	}
	return out
}

// cuts cuts a straight line at the grid lines it crosses.
func (g *grid) cuts(a, b vec) [][2]vec {
	d := b.Sub(a)
	l := d.Len()
	ts := []float64{0, 1}
	for _, x := range g.xs {
		if t := (x - a.X) / d.X; t > 0 && t < 1 {
			ts = append(ts, t)
		}
	}
	for _, y := range g.ys {
		if t := (y - a.Y) / d.Y; t > 0 && t < 1 {
			ts = append(ts, t)
		}
	}
	slices.Sort(ts)
	var out [][2]vec
	for i := 1; i < len(ts); i++ {
		if (ts[i]-ts[i-1])*l >= 1e-9*g.h {
			out = append(out, [2]vec{a.Add(d.Mul(ts[i-1])), a.Add(d.Mul(ts[i]))})
		}
	}
	return out
}

// cellAt gives the cell that holds q, or one beside it when q lies on a grid line and the first has no sheet. ok is false
// when none of them has.
func (p *Plate) cellAt(q vec) (c int, ok bool) {
	g := &p.grid
	i, j := g.find(q)
	nx := g.nx()
	if p.cells[j*nx+i].state != void {
		return j*nx + i, true
	}
	hair := 1e-6 * g.h
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			k, l := i+di, j+dj
			if k < 0 || l < 0 || k >= nx || l >= g.ny() || p.cells[l*nx+k].state == void {
				continue
			}
			if q.X >= g.xs[k]-hair && q.X <= g.xs[k+1]+hair && q.Y >= g.ys[l]-hair && q.Y <= g.ys[l+1]+hair {
				return l*nx + k, true
			}
		}
	}
	return j*nx + i, false
}

// springs adds the stiffness of springs and slanting supports.
func (p *Plate) springs() {
	for k := range p.lines {
		r := &p.lines[k]
		n := r.dir.Left()
		if r.along != 0 && (r.clamped || r.spring == 0) {
			continue
		}
		turn := r.spring
		if r.along == 0 {
			d := (p.st.d11 + p.st.d22) / 2
			h := p.grid.h
			r.stiff = slantStiff * d / (h * h * h)
			if r.clamped {
				turn = slantStiff * d / h
			}
		}
		r.stiffRot = turn
		for _, s := range r.pieces {
			e := extra{cell: s.cell, bend: new(bending)}
			l := s.b.Sub(s.a)
			for _, q := range gauss2 {
				pt := s.a.Add(l.Mul(q[0]))
				w := q[1] * l.Len()
				f := p.fieldAt(s.cell, pt)
				if turn > 0 {
					row := f.slope(n)
					e.bend.addRow(&row, w*turn)
				}
				if r.along == 0 {
					row := f.value()
					e.bend.addRow(&row, w*r.stiff)
				}
			}
			p.extras = append(p.extras, e)
			if r.along != 0 {
				continue
			}
			for _, s := range p.splitFine(s) {
				e := shearExtra{s.cell, new(shearing)}
				c, _ := p.part(s.cell)
				l := s.b.Sub(s.a)
				for _, q := range gauss2 {
					_, even := p.fineAt(c, s.a.Add(l.Mul(q[0])))
					e.shear.addRow(&even, q[1]*l.Len()*(p.st.s11+p.st.s22)/2*slantStiff/p.grid.h)
				}
				p.shearExtras = append(p.shearExtras, e)
			}
		}
	}
}

// slantStiff scales the stiffness with which slanting lines hold the sheet, in units of D/h³.
const slantStiff = 1e3

// gauss2 is the two-point rule on 0…1.
var gauss2 = [2][2]float64{{0.21132486540518713, 0.5}, {0.78867513459481287, 0.5}}

// addRow adds w·r·rᵀ.
func (k *shearing) addRow(r *[4]float64, w float64) {
	for i := range 4 {
		for j := range i + 1 {
			k[4*i+j] += w * r[i] * r[j]
		}
	}
}
