package plate

import (
	"math"

	"knobwright/internal/solve/sparse"
)

// parts is a functional of the three fields: a mean movement, the stretch of a rib segment.
type parts struct {
	bend, shear, stretch sparse.Vector
	first                [3]float64 // what it makes of the rigid motions 1, x, y
	held                 []heldPart // what acts on held unknowns goes straight into lines
}

// heldPart is a load that goes straight into a line: its work on 1, x, y.
type heldPart struct {
	line int
	v    [3]float64
}

// bond joins the fields: the force in it is what keeps  functional = give · force.
type bond struct {
	parts
	give float64 // diagonal of the flexibility, mm/N; negative where a spring is to be taken out again
	next float64 // flexibility shared with the following bond, for glue that slips
}

// gatherer makes functionals.
type gatherer struct {
	p                    *Plate
	bend, shear, stretch *adder
	first                [3]float64
}

func newGatherer(p *Plate) *gatherer {
	return &gatherer{p: p, bend: newAdder(&p.grid, 4), shear: newAdder(&p.fine, 1), stretch: newAdder(&p.grid, 2)}
}

// deflection adds w times the movement at q in cell c, bending and shear together.
func (b *gatherer) deflection(c int, q vec, w float64) {
	b.first[0] += w
	b.first[1] += w * q.X
	b.first[2] += w * q.Y
	f := b.p.fieldAt(c, q)
	ns := b.p.grid.nodes(c)
	for k, n := range ns {
		s := b.bend.node(n)
		xh, yh := f.x.h[2*(k&1):], f.y.h[2*(k>>1):]
		a0, a1 := w*yh[0], w*yh[1]
		s[0] += a0 * xh[0]
		s[1] += a0 * xh[1]
		s[2] += a1 * xh[0]
		s[3] += a1 * xh[1]
	}
	if b.p.shear != nil {
		fc, even := b.p.fineAt(c, q)
		for k, n := range b.p.fine.nodes(fc) {
			b.shear.node(n)[0] += w * even[k]
		}
	}
}

// tilt adds w times the slope along dir from bending.
func (b *gatherer) tilt(c int, q, dir vec, w float64) {
	row := b.p.fieldAt(c, q).slope(dir)
	for k, n := range b.p.grid.nodes(c) {
		s := b.bend.node(n)
		for d := range 4 {
			s[d] += w * row[4*k+d]
		}
	}
}

// shift adds w times the movement in the plane along dir.
func (b *gatherer) shift(c int, q, dir vec, w float64) {
	f := b.p.fieldAt(c, q)
	for k, n := range b.p.grid.nodes(c) {
		s := b.stretch.node(n)
		s[0] += w * dir.X * f.even[k]
		s[1] += w * dir.Y * f.even[k]
	}
}

// take gives what was gathered.
func (b *gatherer) take() parts {
	var out parts
	p := b.p
	out.first, b.first = b.first, [3]float64{}
	for _, n := range b.bend.touched {
		if p.held.owner[n][0] < 0 {
			continue
		}
		s := b.bend.sum[4*n : 4*n+4]
		q := p.grid.point(n)
		var v [3]float64
		for d, x := range s {
			if p.held.bend[n]&(1<<d) != 0 {
				for i, r := range rigid(q, d) {
					v[i] += x * r
				}
			}
		}
		p.held.share(n, func(line int, share float64) {
			out.held = append(out.held, heldPart{line, [3]float64{share * v[0], share * v[1], share * v[2]}})
		})
	}
	out.bend = b.bend.take(p.bend)
	if p.shear != nil {
		out.shear = b.shear.take(p.shear)
	} else {
		b.shear.drop()
	}
	if p.stretch != nil {
		out.stretch = b.stretch.take(p.stretch)
	} else {
		b.stretch.drop()
	}
	return out
}

// rigid gives the value of unknown d (w, w_x, w_y, w_xy) at q in the motions 1, x, y.
func rigid(q vec, d int) [3]float64 {
	switch d {
	case 0:
		return [3]float64{1, q.X, q.Y}
	case 1:
		return [3]float64{0, 1, 0}
	case 2:
		return [3]float64{0, 0, 1}
	}
	return [3]float64{}
}

func (a *adder) drop() {
	for _, n := range a.touched {
		clear(a.sum[n*a.per : (n+1)*a.per])
		a.mark[n] = false
	}
	a.touched = a.touched[:0]
}

// bonds makes the bonds: point supports, rib segments, and springs that are taken out again.
func (p *Plate) makeBonds(b *gatherer) {
	p.bonds = p.bonds[:0]
	for _, pt := range p.model.Points {
		d := pt.Diameter
		if d == 0 {
			d = 2 * p.st.t
		}
		p.mean(b, Spot{Outer: d}, p.frame.in(pt.At))
		p.bonds = append(p.bonds, bond{parts: b.take(), give: pt.Give})
	}
	for i := range p.ribs {
		p.ribBonds(b, &p.ribs[i])
	}
	for _, n := range p.pegs {
		b.bend.node(n)[0] = 1
		p.bonds = append(p.bonds, bond{parts: b.take(), give: -1 / p.pegStiff})
	}
}

// ribBonds makes one bond for each segment of a rib: the stretch of the sheet along it, at the height of the rib's middle,
// equals the rib's own.
func (p *Plate) ribBonds(b *gatherer, r *ribRun) {
	if len(r.stops) < 2 {
		return
	}
	side := r.n.Mul(r.width / 2 / math.Sqrt(3))
	end := func(t, w float64) {
		q := r.a.Add(r.dir.Mul(t))
		for _, s := range [2]vec{side, side.Mul(-1)} {
			if c, ok := p.cellAt(q.Add(s)); ok {
				b.shift(c, q.Add(s), r.dir, w/2)
			}
		}
		if c, ok := p.cellAt(q); ok {
			b.tilt(c, q, r.dir, -w*r.e)
		}
	}
	for k := 1; k < len(r.stops); k++ {
		t0, t1 := r.stops[k-1], r.stops[k]
		end(t0, -1)
		end(t1, 1)
		l := t1 - t0
		give, next := l/r.ea, 0.0
		if r.slip > 0 {
			// the slip at a stop is the step of pull there, by stiffness and length of the joint on both sides
			slip := func(i int) float64 {
				var half float64
				if i > 0 {
					half += r.stops[i] - r.stops[i-1]
				}
				if i < len(r.stops)-1 {
					half += r.stops[i+1] - r.stops[i]
				}
				return 2 * r.slip / half
			}
			give += slip(k-1) + slip(k)
			if k < len(r.stops)-1 {
				next = -slip(k)
			}
		}
		p.bonds = append(p.bonds, bond{parts: b.take(), give: give, next: next})
	}
}

// dense is a small full system, factored once.
type dense struct {
	lu   [][]float64
	perm []int
}

// newDense factors a, with row exchanges; ok is false when it is singular.
func newDense(a [][]float64) (d dense, ok bool) {
	n := len(a)
	d.lu, d.perm = a, make([]int, n)
	for i := range d.perm {
		d.perm[i] = i
	}
	for k := range n {
		p := k
		for i := k + 1; i < n; i++ {
			if math.Abs(a[i][k]) > math.Abs(a[p][k]) {
				p = i
			}
		}
		if !(math.Abs(a[p][k]) > 0) || math.IsInf(a[p][k], 0) {
			return d, false
		}
		a[k], a[p] = a[p], a[k]
		d.perm[k], d.perm[p] = d.perm[p], d.perm[k]
		for i := k + 1; i < n; i++ {
			f := a[i][k] / a[k][k]
			a[i][k] = f
			if f == 0 {
				continue
			}
			row, top := a[i], a[k]
			for j := k + 1; j < n; j++ {
				row[j] -= f * top[j]
			}
		}
	}
	return d, true
}

// solve gives the solution for one right-hand side.
func (d dense) solve(b []float64) []float64 {
	n := len(d.perm)
	x := make([]float64, n)
	for i, p := range d.perm {
		s := b[p]
		for k := range i {
			s -= d.lu[i][k] * x[k]
		}
		x[i] = s
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= d.lu[i][k] * x[k]
		}
		x[i] /= d.lu[i][i]
	}
	return x
}
