package plate

import (
	"math"
	"slices"
)

// hold gathers what keeps a rigid piece from moving: sums of squares of (1, x, y)·motion over supports.
type hold struct {
	m     [3][3]float64
	names []string // of the supports that touch it, once each
}

func (h *hold) add(row [3]float64, name string) {
	for i := range 3 {
		for j := range 3 {
			h.m[i][j] += row[i] * row[j]
		}
	}
	if !slices.Contains(h.names, name) {
		h.names = append(h.names, name)
	}
}

// free gives the motions (a, b, c): a + b·x + c·y that nothing resists.
func (h *hold) free() [][3]float64 {
	val, vec := jacobi(h.m)
	top := max(val[0], val[1], val[2])
	if top == 0 {
		return [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	}
	var out [][3]float64
	for i, v := range val {
		if v < 1e-8*top {
			out = append(out, [3]float64{vec[0][i], vec[1][i], vec[2][i]})
		}
	}
	return out
}

// jacobi gives eigenvalues and eigenvectors (columns) of a symmetric 3 x 3 matrix.
func jacobi(a [3][3]float64) (val [3]float64, v [3][3]float64) {
	for i := range 3 {
		v[i][i] = 1
	}
	for range 30 {
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			p, q := pq[0], pq[1]
			if a[p][q] == 0 {
				continue
			}
			th := (a[q][q] - a[p][p]) / (2 * a[p][q])
			t := sign(th) / (math.Abs(th) + math.Sqrt(th*th+1))
			c := 1 / math.Sqrt(t*t+1)
			s := t * c
			for k := range 3 {
				a[k][p], a[k][q] = c*a[k][p]-s*a[k][q], s*a[k][p]+c*a[k][q]
			}
			for k := range 3 {
				a[p][k], a[q][k] = c*a[p][k]-s*a[q][k], s*a[p][k]+c*a[q][k]
			}
			for k := range 3 {
				v[k][p], v[k][q] = c*v[k][p]-s*v[k][q], s*v[k][p]+c*v[k][q]
			}
		}
	}
	for i := range 3 {
		val[i] = a[i][i]
	}
	return
}

// connect finds the pieces of the sheet and how each is held, and names what is free to move.
func (p *Plate) connect() error {
	s := p.newSlabs()
	total := 0.0
	for _, q := range s.list {
		total += q.area
	}
	if len(s.list) == 0 || !(total > 1e-6*p.outline.area) {
		return p.empty()
	}
	if p.area == 0 {
		return p.empty()
	}
	scale := p.outline.hi.Sub(p.outline.lo)
	mid := p.outline.lo.Add(p.outline.hi).Mul(0.5)
	row := func(q vec) [3]float64 { return [3]float64{1, (q.X - mid.X) / scale.X, (q.Y - mid.Y) / scale.Y} }
	less := min(scale.X, scale.Y)
	holds := make([]hold, len(s.list))
	m := &p.model
	for i, l := range m.Lines {
		a, b := p.frame.in(l.A), p.frame.in(l.B)
		n := b.Sub(a).Unit().Left()
		const steps = 24
		met := false
		for k := range steps {
			q := a.Add(b.Sub(a).Mul((float64(k) + 0.5) / steps))
			part, off := s.find(q)
			if part < 0 || off > merge*p.grid.h {
				continue
			}
			met = true
			holds[part].add(row(q), l.Name)
			if l.Spring > 0 {
				holds[part].add([3]float64{0, n.X * less / scale.X, n.Y * less / scale.Y}, l.Name)
			}
		}
		if !met {
			return &InputError{Thing: "line", Index: i, Name: l.Name, Field: "place", Value: l.A.X, Want: "a line on the sheet", At: l.A}
		}
	}
	for i, pt := range m.Points {
		q := p.frame.in(pt.At)
		part, off := s.find(q)
		if part < 0 || off > max(pt.Diameter/2, p.st.t) {
			return &InputError{Thing: "point", Index: i, Name: pt.Name, Field: "place", Value: pt.At.X, Want: "a point on the sheet", At: pt.At}
		}
		holds[part].add(row(q), pt.Name)
	}
	var motions []Motion
	big := 0
	for k, q := range s.list {
		if q.area < smallPiece*total {
			if q.area > 1e-9*total {
				p.notices = append(p.notices, Notice{SmallPiece, -1, p.frame.out(q.inside), q.area})
			}
			continue
		}
		big++
		for _, f := range p.motions(&holds[k], scale, mid) {
			f.Piece, f.Whole = p.frame.out(q.inside), len(s.list) == 1
			motions = append(motions, f)
		}
	}
	if len(motions) > 0 {
		return &MechanismError{motions}
	}
	if big > 1 {
		least := slices.MinFunc(s.list, func(a, b piecePart) int {
			if a.area < smallPiece*total {
				return 1
			}
			return int(sign(a.area - b.area))
		})
		p.notices = append(p.notices, Notice{CutInTwo, -1, p.frame.out(least.inside), least.area})
	}
	p.lookForSlits()
	if err := p.lookAtRibs(s); err != nil {
		return err
	}
	p.dropDust()
	return nil
}

// smallPiece is the share of the sheet below which a loose piece is left out without more ado.
const smallPiece = 1e-4

// empty says that nothing is left, and which opening is to blame if one alone is.
func (p *Plate) empty() error {
	for i, o := range p.openings {
		if o.area >= p.outline.area*(1-1e-6) {
			name := p.model.Openings[i].Name
			if name == "" {
				name = "an opening"
			}
			return &EmptyError{name}
		}
	}
	return &EmptyError{}
}

// motions names the free motions of a piece.
func (p *Plate) motions(h *hold, scale, mid vec) []Motion {
	free := h.free()
	switch len(free) {
	case 0:
		return nil
	case 3:
		return []Motion{{Kind: Floats}}
	case 2:
		// held at one point: it tips along x and along y; combine so that one of the slopes is zero
		u, v := free[0], free[1]
		comb := func(k int) [3]float64 {
			a, b := v[k], -u[k]
			return [3]float64{a*u[0] + b*v[0], a*u[1] + b*v[1], a*u[2] + b*v[2]}
		}
		free = [][3]float64{comb(1), comb(2)}
	}
	var out []Motion
	for _, f := range free {
		g := vec{X: f[1] / scale.X, Y: f[2] / scale.Y}
		l := g.Len()
		if l == 0 {
			out = append(out, Motion{Kind: Floats})
			continue
		}
		n := g.Mul(1 / l)
		on := mid.Sub(n.Mul(f[0] / l)) // a + g·(q - mid) = 0
		m := Motion{Kind: Tips, On: p.frame.out(on), Along: p.frame.outDir(n.Left())}
		if m.Along.X < -1e-12 || math.Abs(m.Along.X) <= 1e-12 && m.Along.Y < 0 {
			m.Along = m.Along.Mul(-1)
		}
		m.About = p.onAxis(h, m)
		out = append(out, m)
	}
	return out
}

// onAxis names the support, or the two points, that lie on an axis.
func (p *Plate) onAxis(h *hold, m Motion) string {
	off := func(q vec) float64 { return math.Abs(q.Sub(m.On).Cross(m.Along)) }
	near := 1e-3 * max(p.outline.hi.X-p.outline.lo.X, p.outline.hi.Y-p.outline.lo.Y)
	for _, l := range p.model.Lines {
		if l.Name != "" && slices.Contains(h.names, l.Name) && off(l.A) < near && off(l.B) < near {
			return l.Name
		}
	}
	var on []string
	for _, pt := range p.model.Points {
		if pt.Name != "" && slices.Contains(h.names, pt.Name) && off(pt.At) < near {
			on = append(on, pt.Name)
		}
	}
	switch {
	case len(on) == 1:
		return on[0]
	case len(on) > 1:
		return on[0] + " and " + on[len(on)-1]
	}
	return ""
}
