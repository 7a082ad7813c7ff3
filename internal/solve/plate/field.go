package plate

// field holds the shape functions of a cell at a point.
type field struct {
	x, y basis
	even [4]float64 // bilinear
}

// fieldAt gives the shape functions of cell c at q, which may lie outside the cell.
func (p *Plate) fieldAt(c int, q vec) *field {
	f := &p.scratch
	g := &p.grid
	i, j := c%g.nx(), c/g.nx()
	a, b := g.xs[i+1]-g.xs[i], g.ys[j+1]-g.ys[j]
	f.x.set((q.X-g.xs[i])/a, a)
	f.y.set((q.Y-g.ys[j])/b, b)
	for k := range 4 {
		f.even[k] = f.x.l[k&1] * f.y.l[k>>1]
	}
	return f
}

// value gives the row of w.
func (f *field) value() (r [16]float64) {
	for k := range 16 {
		r[k] = f.x.h[inX[k]] * f.y.h[inY[k]]
	}
	return
}

// slope gives the row of the slope of w in direction n.
func (f *field) slope(n vec) (r [16]float64) {
	for k := range 16 {
		r[k] = n.X*f.x.d[inX[k]]*f.y.h[inY[k]] + n.Y*f.x.h[inX[k]]*f.y.d[inY[k]]
	}
	return
}

// curve gives the row of the second derivative of w by directions n and s.
func (f *field) curve(n, s vec) (r [16]float64) {
	a, b, c := n.X*s.X, n.Y*s.Y, n.X*s.Y+n.Y*s.X
	for k := range 16 {
		i, j := inX[k], inY[k]
		r[k] = a*f.x.e[i]*f.y.h[j] + b*f.x.h[i]*f.y.e[j] + c*f.x.d[i]*f.y.d[j]
	}
	return
}

// curves gives the rows of w_xx, w_yy and w_xy.
func (f *field) curves() (xx, yy, xy [16]float64) {
	for k := range 16 {
		i, j := inX[k], inY[k]
		xx[k] = f.x.e[i] * f.y.h[j]
		yy[k] = f.x.h[i] * f.y.e[j]
		xy[k] = f.x.d[i] * f.y.d[j]
	}
	return
}

// grad gives the rows of the slopes of a bilinear field.
func (f *field) grad() (dx, dy [4]float64) {
	for k := range 4 {
		dx[k] = f.x.g[k&1] * f.y.l[k>>1]
		dy[k] = f.x.l[k&1] * f.y.g[k>>1]
	}
	return
}
