package plate

// The movement from shear has a grid of its own, with nodes only for its one unknown: under a small press it is as pointed as the
// movement of a stretched skin, and on sheets soft in shear (plywood) cells as large as those of bending would be too stiff by
// several per cent.

// softShear is the ratio of the length over which shear matters, squared, to that of a cell, from which on cells are halved.
const softShear = 0.1

// refine lays the finer grid.
func (p *Plate) refine() {
	st := &p.st
	p.parts = 1
	if max(st.d11, st.d22)/min(st.s11, st.s22) > softShear*p.grid.h*p.grid.h {
		p.parts = 2
	}
	split := func(xs []float64) []float64 {
		out := xs[:1:1]
		for i := 1; i < len(xs); i++ {
			for k := 1; k < p.parts; k++ {
				out = append(out, xs[i-1]+(xs[i]-xs[i-1])*float64(k)/float64(p.parts))
			}
			out = append(out, xs[i])
		}
		return out
	}
	p.fine = grid{p.grid.h / float64(p.parts), split(p.grid.xs), split(p.grid.ys)}
}

// fineCell gives the number of part n of cell c on the finer grid.
func (p *Plate) fineCell(c, n int) int {
	nx := p.grid.nx()
	return (c/nx*p.parts+n/p.parts)*p.fine.nx() + c%nx*p.parts + n%p.parts
}

// part gives the cell, and the part of it, that fine cell f is.
func (p *Plate) part(f int) (c, n int) {
	nx := p.fine.nx()
	i, j := f%nx, f/nx
	return j/p.parts*p.grid.nx() + i/p.parts, j%p.parts*p.parts + i%p.parts
}

// fineNode gives the number of node n on the finer grid.
func (p *Plate) fineNode(n int) int {
	w := len(p.grid.xs)
	return n/w*p.parts*len(p.fine.xs) + n%w*p.parts
}

// fineVoid reports whether a fine cell holds nothing of the sheet.
func (p *Plate) fineVoid(f int) bool {
	c, n := p.part(f)
	return p.cells[c].state == void || p.cells[c].fine[n].void
}

// markFine notes which fine cells and nodes are in use.
func (p *Plate) markFine() {
	p.usedFine = make([]bool, p.fine.nx()*p.fine.ny())
	p.liveFine = make([]bool, len(p.fine.xs)*len(p.fine.ys))
	for f := range p.usedFine {
		c, _ := p.part(f)
		p.usedFine[f] = p.used[c]
		if !p.fineVoid(f) {
			for _, n := range p.fine.nodes(f) {
				p.liveFine[n] = true
			}
		}
	}
}

// fineAt gives the fine cell for q, one with sheet in it if there is one in the same cell c, and the values of its four shape
// functions there.
func (p *Plate) fineAt(c int, q vec) (f int, even [4]float64) {
	g := &p.fine
	i := min(max(slot(g.xs, q.X), c%p.grid.nx()*p.parts), (c%p.grid.nx()+1)*p.parts-1)
	j := min(max(slot(g.ys, q.Y), c/p.grid.nx()*p.parts), (c/p.grid.nx()+1)*p.parts-1)
	f = j*g.nx() + i
	if p.cells[c].state != void && p.fineVoid(f) {
		for n := range p.cells[c].fine {
			if k := p.fineCell(c, n); !p.fineVoid(k) {
				f, i, j = k, k%g.nx(), k/g.nx()
				break
			}
		}
	}
	var bx, by basis
	bx.setLinear((q.X-g.xs[i])/(g.xs[i+1]-g.xs[i]), g.xs[i+1]-g.xs[i])
	by.setLinear((q.Y-g.ys[j])/(g.ys[j+1]-g.ys[j]), g.ys[j+1]-g.ys[j])
	for k := range 4 {
		even[k] = bx.l[k&1] * by.l[k>>1]
	}
	return f, even
}

// splitFine cuts a stretch within one cell at the lines of the finer grid; the cells it gives are fine ones.
func (p *Plate) splitFine(s stretch) []stretch {
	mid := func(a, b vec) vec { return a.Add(b).Mul(0.5) }
	var out []stretch
	for _, t := range p.fine.cuts(s.a, s.b) {
		f, _ := p.fineAt(s.cell, mid(t[0], t[1]))
		out = append(out, stretch{f, t[0], t[1]})
	}
	return out
}
