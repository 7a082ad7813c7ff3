package carcass

import "math"

// Spec is a whole order for a box.
type Spec struct {
	Form  Form
	Sizes Sizes
	Build Build
}

// unknowns are what settles the profile of a form: names for the reader of the code, a middling value to judge by which sizes
// settle what, and which of them are angles.
//
//	Flat:     depth, height
//	Wedge:    length of the sides along the face, front height, slope
//	Desk:     depth, front height, slope
//	TwoSlope: depth below the lower and below the upper face, front height, slopes of both
//	Rack:     slope, and depth when there is a top
type unknowns struct {
	middling []float64
	angle    []bool
}

func (s Spec) unknowns() unknowns {
	switch s.Form {
	case Flat:
		return unknowns{[]float64{203, 61}, []bool{false, false}}
	case Wedge, Desk:
		return unknowns{[]float64{203 + s.Sizes.HandRest, 61, 13}, []bool{false, false, true}}
	case TwoSlope:
		return unknowns{[]float64{151, 127, 61, 17, 43}, []bool{false, false, false, true, true}}
	}
	if s.hasTop() {
		return unknowns{[]float64{57, 2*PanelHeight(s.Sizes.Units) + 100}, []bool{true, false}}
	}
	return unknowns{[]float64{57}, []bool{true}}
}

// hasTop reports whether a rack has a top: it does when it has a depth of its own, other than what the leaning panel takes.
func (s Spec) hasTop() bool {
	z := s.Sizes
	if z.Slope > 0 && z.Slope < 90 && z.Depth > 0 {
		sn, cs := sincos(z.Slope)
		return math.Abs(s.Build.Face/sn+PanelHeight(z.Units)*cs-z.Depth) > agree
	}
	return z.Depth > 0 || z.Clear > 0 || z.Slope == 0 && z.BackHeight == 0 || z.Slope >= 90
}

// measured is one size that follows from the profile.
type measured struct {
	field Field
	angle bool
	given func(*Sizes) *float64
	of    func(p *profile, q []float64) float64
}

// measures lists the sizes that a form has beside its width, those first that people think of first.
func (s Spec) measures() []measured {
	slopeAt := [...]int{Flat: 0, Wedge: 2, Desk: 2, TwoSlope: 3, Rack: 0}[s.Form]
	slope := measured{FSlope, true, func(z *Sizes) *float64 { return &z.Slope }, func(_ *profile, q []float64) float64 { return q[slopeAt] }}
	upper := measured{FUpperSlope, true, func(z *Sizes) *float64 { return &z.UpperSlope }, func(_ *profile, q []float64) float64 { return q[4] }}
	front := measured{FFrontHeight, false, func(z *Sizes) *float64 { return &z.FrontHeight }, func(p *profile, _ []float64) float64 {
		return p.height(p.tops[0].outer.meet(p.frontOut()))
	}}
	back := measured{FBackHeight, false, func(z *Sizes) *float64 { return &z.BackHeight }, func(p *profile, _ []float64) float64 {
		k := p.tops[len(p.tops)-1]
		if p.form == Rack && len(p.tops) == 1 {
			return p.height(k.outer.meet(k.back))
		}
		return p.height(k.outer.meet(p.backOut()))
	}}
	depth := measured{FDepth, false, func(z *Sizes) *float64 { return &z.Depth }, func(p *profile, _ []float64) float64 {
		return p.away(p.bottom.meet(p.backOut()))
	}}
	high := measured{FFaceHeight, false, func(z *Sizes) *float64 { return &z.FaceHeight }, func(p *profile, _ []float64) float64 {
		return p.face().length()
	}}
	up := measured{FUpperHeight, false, func(z *Sizes) *float64 { return &z.UpperHeight }, func(p *profile, _ []float64) float64 {
		return p.tops[1].length()
	}}
	middle := measured{FMiddleHeight, false, func(z *Sizes) *float64 { return &z.MiddleHeight }, func(p *profile, _ []float64) float64 {
		return p.height(p.tops[0].outer.meet(p.joint))
	}}
	clear := measured{FClear, false, func(z *Sizes) *float64 { return &z.Clear }, func(p *profile, _ []float64) float64 { return p.clear() }}
	switch s.Form {
	case Flat:
		return []measured{front, high, depth, back, clear}
	case TwoSlope:
		return []measured{slope, upper, front, high, depth, up, middle, back, clear}
	case Rack:
		return []measured{slope, depth, back, clear}
	}
	return []measured{slope, front, high, depth, back, clear}
}

// solve finds unknowns at which the chosen sizes come out as given, by Newton's method from several slopes; of the answers found, the
// one that leans least. The matrix is square. ok is false when it finds none.
func (s Spec) solve(width float64, chosen []measured, want []float64) (q []float64, ok bool) {
	u := s.unknowns()
	least := math.Inf(1)
	for _, turn := range []float64{-16, -8, 0, 12, 25, 38, 50, 62} {
		x := append([]float64(nil), u.middling...)
		for i := range x {
			if u.angle[i] {
				x[i] = math.Max(1, math.Min(x[i]+turn, 89))
			}
		}
		if !s.newton(width, chosen, want, x) {
			continue
		}
		lean := 0.0
		for i := range x {
			if u.angle[i] {
				lean += math.Abs(x[i])
			}
		}
		if lean < least-1e-6 {
			least, q, ok = lean, x, true
		}
	}
	return q, ok
}

// newton improves x in place and reports whether it came to rest at an answer.
func (s Spec) newton(width float64, chosen []measured, want, x []float64) bool {
	u := s.unknowns()
	rest := func(x []float64) (r []float64, size float64) {
		p := newProfile(s, width, x)
		r = make([]float64, len(chosen))
		for i, m := range chosen {
			r[i] = m.of(p, x) - want[i]
			size = math.Max(size, math.Abs(r[i]))
		}
		if math.IsNaN(size) {
			size = math.Inf(1)
		}
		return r, size
	}
	r, size := rest(x)
	for range 60 {
		if size < 1e-10 {
			return true
		}
		step, ok := linear(s.slopes(width, chosen, x), r)
		if !ok {
			return false
		}
		better := false
		for h := 1.0; h > 1e-4; h /= 2 {
			y := append([]float64(nil), x...)
			for i := range y {
				y[i] -= h * step[i]
				if u.angle[i] {
					y[i] = math.Max(-20, math.Min(y[i], 90))
				}
			}
			if ry, sy := rest(y); sy < size {
				copy(x, y)
				r, size, better = ry, sy, true
				break
			}
		}
		if !better {
			break
		}
	}
	return size < 1e-7
}

// slopes gives the matrix of how the sizes change with the unknowns, by central differences.
func (s Spec) slopes(width float64, ms []measured, x []float64) [][]float64 {
	rows := make([][]float64, len(ms))
	for i := range rows {
		rows[i] = make([]float64, len(x))
	}
	y := append([]float64(nil), x...)
	const h = 1e-4
	for k := range x {
		y[k] = x[k] + h
		up := newProfile(s, width, y)
		yu := append([]float64(nil), y...)
		y[k] = x[k] - h
		down := newProfile(s, width, y)
		for i, m := range ms {
			rows[i][k] = (m.of(up, yu) - m.of(down, y)) / (2 * h)
		}
		y[k] = x[k]
	}
	return rows
}

// linear solves a·x = b by elimination with the greatest pivot of each column.
func linear(a [][]float64, b []float64) (x []float64, ok bool) {
	n := len(b)
	m := make([][]float64, n)
	for i := range m {
		m[i] = append(append([]float64(nil), a[i]...), b[i])
	}
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		if !(math.Abs(m[p][c]) > 1e-9) || math.IsInf(m[p][c], 0) {
			return nil, false
		}
		m[c], m[p] = m[p], m[c]
		for r := range n {
			if r == c {
				continue
			}
			f := m[r][c] / m[c][c]
			for k := c; k <= n; k++ {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	x = make([]float64, n)
	for i := range x {
		x[i] = m[i][n] / m[i][i]
	}
	return x, true
}
