package plate

import (
	"slices"
)

// cell states
const (
	void     = iota // nothing of the sheet in it
	allSheet        // all sheet
	cut             // part
)

// cell is one rectangle of the grid with what it holds of the sheet.
type cell struct {
	state   int
	share   float64  // how much of it is sheet
	near    []int32  // openings whose box it meets
	bend    *bending // shared between whole cells of one size
	stretch *stretching
	load    [16]float64 // integrals of the shape functions, for even loads
	fine    []fineCell  // its parts on the grid of the movement from shear, row by row
}

// fineCell is a cell of the finer grid of the movement from shear.
type fineCell struct {
	void  bool
	shear *shearing
	even  [4]float64 // integrals of the shape functions
}

// ghost is the share of a whole cell's stiffness given to what is cut away, so that unknowns with hardly any sheet under
// them still have some; leastShare is the share of sheet below which a cell is taken as empty.
const (
	ghost      = 1e-6
	leastShare = 1e-3
)

// cellMaker works out cells; its tables serve all of them.
type cellMaker struct {
	g        *grid
	st       *stiffness
	outline  *shape
	plain    bool // the outline is the whole box
	openings []*shape
	x, y     []*table
	k        int // fine cells along a side of a cell
	kinds    map[[2]*table]*cell
	// room to work in
	breaks     []float64
	s1, s2, s3 []span
}

func newCellMaker(g *grid, k int, st *stiffness, outline *shape, openings []*shape) *cellMaker {
	m := &cellMaker{g: g, k: k, st: st, outline: outline, openings: openings, kinds: map[[2]*table]*cell{}}
	tables := func(xs []float64) []*table {
		known := map[int64]*table{}
		ts := make([]*table, len(xs)-1)
		for i := range ts {
			a := xs[i+1] - xs[i]
			key := int64(a / g.h * 1e10) // sizes that differ by rounding only
			t := known[key]
			if t == nil {
				t = whole(a, st.aniso)
				known[key] = t
			}
			ts[i] = t
		}
		return ts
	}
	m.x, m.y = tables(g.xs), tables(g.ys)
	m.plain = isBox(outline)
	return m
}

// isBox reports whether the outline is its own upright box.
func isBox(s *shape) bool {
	for _, r := range s.runs {
		if r.r > 0 || r.a.X != r.b.X && r.a.Y != r.b.Y {
			return false
		}
		for _, p := range [2]vec{r.a, r.b} {
			if p.X != s.lo.X && p.X != s.hi.X || p.Y != s.lo.Y && p.Y != s.hi.Y {
				return false
			}
		}
	}
	return len(s.runs) >= 4
}

// full gives the whole cell of the size of cell (i, j).
func (m *cellMaker) full(i, j int) *cell {
	key := [2]*table{m.x[i], m.y[j]}
	if c := m.kinds[key]; c != nil {
		return c
	}
	x, y := m.x[i], m.y[j]
	c := &cell{state: allSheet, share: 1, bend: new(bending), stretch: new(stretching)}
	c.bend.add(x, y, m.st)
	c.stretch.add(x, y, m.st)
	c.addLoad(x, y)
	one := fineCell{shear: new(shearing)}
	tx, ty := linear(x.length/float64(m.k)), linear(y.length/float64(m.k))
	one.shear.add(tx, ty, m.st)
	one.addLoad(tx, ty)
	for range m.k * m.k {
		c.fine = append(c.fine, one)
	}
	m.kinds[key] = c
	return c
}

func (c *cell) addLoad(x, y *table) {
	for k := range 16 {
		c.load[k] += x.h[inX[k]] * y.h[inY[k]]
	}
}

func (c *fineCell) addLoad(x, y *table) {
	for k := range 4 {
		c.even[k] += x.l[k&1] * y.l[k>>1]
	}
}

// solid gives the spans of sheet on the upright line at x within cell (i, j), given the openings near it.
func (m *cellMaker) solid(x, y0, y1 float64, near []int32) []span {
	m.s1 = append(m.s1[:0], span{y0, y1})
	if !m.plain {
		m.s2 = m.outline.spans(x, m.s2)
		m.s3 = m.s3[:0]
		for _, s := range m.s2 {
			if lo, hi := max(s.lo, y0), min(s.hi, y1); lo < hi {
				m.s3 = append(m.s3, span{lo, hi})
			}
		}
		m.s1, m.s3 = m.s3, m.s1
	}
	for _, k := range near {
		m.s2 = m.openings[k].spans(x, m.s2)
		m.s3 = without(m.s1, m.s2, m.s3)
		m.s1, m.s3 = m.s3, m.s1
	}
	return m.s1
}

// make works out cell (i, j). near lists the openings whose box meets it.
func (m *cellMaker) make(i, j int, near []int32) cell {
	c := *m.full(i, j)
	c.near = near
	if m.plain && len(near) == 0 {
		return c
	}
	x0, x1, y0, y1 := m.g.xs[i], m.g.xs[i+1], m.g.ys[j], m.g.ys[j+1]
	if !m.breaksIn(x0, x1, y0, y1, near) {
		// no edge inside: all or nothing
		if len(m.solid((x0+x1)/2, y0, y1, near)) == 0 {
			return cell{state: void, near: near}
		}
		return c
	}
	a, b := x1-x0, y1-y0
	fresh := cell{state: cut, near: near, bend: new(bending), stretch: new(stretching)}
	area := 0.0
	var bx, by basis
	for s := 1; s < len(m.breaks); s++ {
		lo, w := m.breaks[s-1], m.breaks[s]-m.breaks[s-1]
		if w < 1e-10*a {
			continue
		}
		for _, q := range gauss4 {
			x := lo + q[0]*w
			spans := m.solid(x, y0, y1, near)
			if len(spans) == 0 {
				continue
			}
			var tx, ty table
			for _, sp := range spans {
				h := sp.hi - sp.lo
				for _, p := range gauss4 {
					by.set((sp.lo+p[0]*h-y0)/b, b)
					ty.add(&by, p[1]*h, m.st.aniso)
				}
			}
			bx.set((x-x0)/a, a)
			tx.add(&bx, q[1]*w, m.st.aniso)
			tx.mirror()
			ty.mirror()
			fresh.bend.add(&tx, &ty, m.st)
			fresh.stretch.add(&tx, &ty, m.st)
			fresh.addLoad(&tx, &ty)
			area += tx.length * ty.length
		}
	}
	fresh.share = area / (a * b)
	switch {
	case fresh.share > 1-1e-9:
		return c
	case fresh.share < leastShare:
		return cell{state: void, near: near}
	}
	for k, v := range c.bend {
		fresh.bend[k] += ghost * v
	}
	for k, v := range c.stretch {
		fresh.stretch[k] += ghost * v
	}
	for n := range c.fine {
		w, h := a/float64(m.k), b/float64(m.k)
		u, v := x0+w*float64(n%m.k), y0+h*float64(n/m.k)
		fresh.fine = append(fresh.fine, m.makeFine(u, u+w, v, v+h, near, &c.fine[n]))
	}
	return fresh
}

// makeFine works out a cell of the finer grid, given what it is when whole.
func (m *cellMaker) makeFine(x0, x1, y0, y1 float64, near []int32, all *fineCell) fineCell {
	if !m.breaksIn(x0, x1, y0, y1, near) {
		if len(m.solid((x0+x1)/2, y0, y1, near)) == 0 {
			return fineCell{void: true}
		}
		return *all
	}
	f := fineCell{shear: new(shearing)}
	a, b := x1-x0, y1-y0
	area := 0.0
	var bx, by basis
	for s := 1; s < len(m.breaks); s++ {
		lo, w := m.breaks[s-1], m.breaks[s]-m.breaks[s-1]
		if w < 1e-10*a {
			continue
		}
		for _, q := range gauss2 {
			x := lo + q[0]*w
			spans := m.solid(x, y0, y1, near)
			if len(spans) == 0 {
				continue
			}
			var tx, ty table
			for _, sp := range spans {
				h := sp.hi - sp.lo
				for _, p := range gauss2 {
					by.setLinear((sp.lo+p[0]*h-y0)/b, b)
					ty.addLinear(&by, p[1]*h)
				}
			}
			bx.setLinear((x-x0)/a, a)
			tx.addLinear(&bx, q[1]*w)
			f.shear.add(&tx, &ty, m.st)
			f.addLoad(&tx, &ty)
			area += tx.length * ty.length
		}
	}
	if area < leastShare*a*b {
		return fineCell{void: true}
	}
	for k, v := range all.shear {
		f.shear[k] += ghost * v
	}
	return f
}

// breaksIn gathers where along x the sheet within a cell changes its shape: ends of pieces of edges and crossings of edges
// with the cell's upper and lower side. It reports whether any edge runs through the cell.
func (m *cellMaker) breaksIn(x0, x1, y0, y1 float64, near []int32) bool {
	m.breaks = append(m.breaks[:0], x0, x1)
	any := false
	hair := 1e-12 * m.g.h
	look := func(s *shape) {
		for k := range s.pieces {
			p := &s.pieces[k]
			if p.x1 <= x0 || p.x0 >= x1 {
				continue
			}
			if p.r == 0 {
				if max(p.y0, p.y1) <= y0+hair || min(p.y0, p.y1) >= y1-hair {
					continue
				}
			} else if p.c.Y-p.r >= y1 || p.c.Y+p.r <= y0 {
				continue
			}
			n := len(m.breaks)
			for _, x := range [2]float64{p.x0, p.x1} {
				if x > x0 && x < x1 {
					m.breaks = append(m.breaks, x)
				}
			}
			for _, y := range [2]float64{y0, y1} {
				at := len(m.breaks)
				m.breaks = p.at(y, m.breaks)
				for _, x := range m.breaks[at:] {
					if x > x0 && x < x1 {
						m.breaks[at] = x
						at++
					}
				}
				m.breaks = m.breaks[:at]
			}
			if len(m.breaks) > n {
				any = true
				continue
			}
			// it may run through from side to side
			if y := p.y((max(p.x0, x0) + min(p.x1, x1)) / 2); y > y0+hair && y < y1-hair {
				any = true
			}
		}
		// upright edges inside the cell
		for k := range s.runs {
			r := &s.runs[k]
			if r.r == 0 && r.a.X == r.b.X && r.a.X > x0 && r.a.X < x1 && max(r.a.Y, r.b.Y) > y0 && min(r.a.Y, r.b.Y) < y1 {
				m.breaks = append(m.breaks, r.a.X)
				any = true
			}
		}
	}
	if !m.plain {
		look(m.outline)
	}
	for _, k := range near {
		look(m.openings[k])
	}
	slices.Sort(m.breaks)
	return any
}

// nearCells lists for every cell the openings whose box meets its inside.
func (m *cellMaker) nearCells() [][]int32 {
	nx, ny := m.g.nx(), m.g.ny()
	near := make([][]int32, nx*ny)
	for k, s := range m.openings {
		i0, j0 := m.g.find(s.lo)
		i1, j1 := m.g.find(s.hi)
		for j := j0; j <= j1; j++ {
			for i := i0; i <= i1; i++ {
				if s.lo.X < m.g.xs[i+1] && s.hi.X > m.g.xs[i] && s.lo.Y < m.g.ys[j+1] && s.hi.Y > m.g.ys[j] {
					near[j*nx+i] = append(near[j*nx+i], int32(k))
				}
			}
		}
	}
	return near
}
