package plate

import (
	"math"

	"knobwright/internal/geom"
)

// Moment is the bending of the sheet at a place, N·mm per mm, in the model's directions: positive moments pull on the far
// face. The largest stress from XX is 6·XX/t².
type Moment struct{ XX, YY, XY float64 }

// At gives the movement at a place of the sheet, mm; ok is false where there is no sheet.
func (c *CaseResult) At(q geom.Vec2) (w float64, ok bool) {
	p := c.p
	at := p.frame.in(q)
	if !p.solidNear(at) {
		return 0, false
	}
	k, ok := p.cellAt(at)
	if !ok {
		return 0, false
	}
	return c.move(k, at), true
}

// move gives the movement of cell k at q, both in the grid's frame.
func (c *CaseResult) move(k int, q vec) (w float64) {
	p := c.p
	var u [16]float64
	p.bend.local(&p.grid, k, c.bend, u[:])
	f := p.fieldAt(k, q)
	for i, v := range f.value() {
		w += v * u[i]
	}
	if p.shear != nil {
		var s [4]float64
		fc, even := p.fineAt(k, q)
		p.shear.local(&p.fine, fc, c.shear, s[:])
		for i, v := range even {
			w += v * s[i]
		}
	}
	return w
}

// Moment gives the bending moments at a place of the sheet. The curvatures of the cells are most exact at their four Gauss
// points (Barlow 1976); a polynomial of the third degree in each direction through those of the nine whole cells around the
// place smooths them (Zienkiewicz & Zhu 1992). Close to openings, where there are too few whole cells, the bare
// curvatures at the place are taken.
func (c *CaseResult) Moment(q geom.Vec2) (m Moment, ok bool) {
	p := c.p
	at := p.frame.in(q)
	if !p.solidNear(at) {
		return m, false
	}
	k, ok := p.cellAt(at)
	if !ok {
		return m, false
	}
	curve, fine := c.smoothCurve(at)
	if !fine {
		curve[0] = c.curveAt(k, at)
	}
	xx, yy, xy := p.st.moments(curve[0])
	cc, ss, cs := p.frame.c*p.frame.c, p.frame.s*p.frame.s, p.frame.c*p.frame.s
	return Moment{cc*xx + ss*yy - 2*cs*xy, ss*xx + cc*yy + 2*cs*xy, cs*(xx-yy) + (cc-ss)*xy}, true
}

// moments gives the moments of curvatures w_xx, w_yy, w_xy.
func (st *stiffness) moments(c [3]float64) (xx, yy, xy float64) {
	return -(st.d11*c[0] + st.d12*c[1] + st.d16*2*c[2]),
		-(st.d12*c[0] + st.d22*c[1] + st.d26*2*c[2]),
		-(st.d16*c[0] + st.d26*c[1] + st.d66*2*c[2])
}

// EdgeForce gives the force with which the sheet presses on a line of support along the edge at q, N per mm, n being the
// direction out of the sheet there: Kirchhoff's V = ∂M_nn/∂n + 2·∂M_ns/∂s, turned round. It needs whole cells about
// the place; ok is false where there are none.
func (c *CaseResult) EdgeForce(q, n geom.Vec2) (v float64, ok bool) {
	p := c.p
	curve, ok := c.smoothCurve(p.frame.in(q))
	if !ok {
		return 0, false
	}
	u := p.frame.inDir(n).Unit()
	s := u.Left()
	// derivatives of the moments by x and y, then along u and s
	var d [2][3]float64
	for k := range 2 {
		d[k][0], d[k][1], d[k][2] = p.st.moments(curve[1+k])
	}
	along := func(m [3]float64, a, b vec) float64 { return m[0]*a.X*b.X + m[1]*a.Y*b.Y + m[2]*(a.X*b.Y+a.Y*b.X) }
	nn := u.X*along(d[0], u, u) + u.Y*along(d[1], u, u)
	ns := s.X*along(d[0], u, s) + s.Y*along(d[1], u, s)
	return -(nn + 2*ns), true
}

// curveAt gives w_xx, w_yy and w_xy of cell k at q.
func (c *CaseResult) curveAt(k int, q vec) (out [3]float64) {
	p := c.p
	var u [16]float64
	p.bend.local(&p.grid, k, c.bend, u[:])
	xx, yy, xy := p.fieldAt(k, q).curves()
	for i, v := range u {
		out[0] += xx[i] * v
		out[1] += yy[i] * v
		out[2] += xy[i] * v
	}
	return
}

// degree is the number of terms in each direction of the smoothing polynomial, reach the number of cells it spans.
const (
	degree = 4
	reach  = 3
)

// patch gives the first cell of those around x, and the one past the last.
func patch(xs []float64, x float64) (i0, i1 int) {
	n := len(xs) - 1
	i0 = min(max(nearest(xs, x)-reach/2, 0), max(n-reach, 0))
	return i0, min(i0+reach, n)
}

// smoothCurve gives the smoothed curvatures at q, and their derivatives by x and by y.
func (c *CaseResult) smoothCurve(q vec) (out [3][3]float64, ok bool) {
	p := c.p
	g := &p.grid
	i0, i1 := patch(g.xs, q.X)
	j0, j1 := patch(g.ys, q.Y)
	sx, sy := g.xs[i1]-g.xs[i0], g.ys[j1]-g.ys[j0]
	const terms = degree * degree
	var a [terms][terms]float64
	var b [terms][3]float64
	n := 0
	for j := j0; j < j1; j++ {
		for i := i0; i < i1; i++ {
			k := j*g.nx() + i
			if p.cells[k].state != allSheet {
				continue
			}
			for _, gy := range gauss2 {
				for _, gx := range gauss2 {
					at := vec{X: g.xs[i] + gx[0]*(g.xs[i+1]-g.xs[i]), Y: g.ys[j] + gy[0]*(g.ys[j+1]-g.ys[j])}
					v := c.curveAt(k, at)
					x, y := (at.X-q.X)/sx, (at.Y-q.Y)/sy
					var t [terms]float64
					for r, py := 0, 1.0; r < degree; r, py = r+1, py*y {
						for s, px := 0, 1.0; s < degree; s, px = s+1, px*x {
							t[degree*r+s] = px * py
						}
					}
					for r := range terms {
						for s := range terms {
							a[r][s] += t[r] * t[s]
						}
						for s := range 3 {
							b[r][s] += t[r] * v[s]
						}
					}
					n++
				}
			}
		}
	}
	if n < 3*terms/2 {
		return out, false
	}
	rows := make([][]float64, terms)
	for r := range rows {
		rows[r] = a[r][:]
	}
	d, ok := newDense(rows)
	if !ok {
		return out, false
	}
	for s := range 3 {
		rhs := make([]float64, terms)
		for r := range rhs {
			rhs[r] = b[r][s]
		}
		v := d.solve(rhs)
		out[0][s], out[1][s], out[2][s] = v[0], v[1]/sx, v[degree]/sy
		if math.IsNaN(out[0][s]) {
			return out, false
		}
	}
	return out, true
}
