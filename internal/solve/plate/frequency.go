package plate

import (
	"fmt"
	"math"

	"knobwright/internal/solve/sparse"
)

// Mass is something fastened to the sheet.
type Mass struct {
	Spot int     // index of its spot
	Kg   float64 // 0 or more
}

// Frequency gives the lowest natural frequency of the sheet with masses on it, in hertz: the first shape w is that under its own
// weight, the next one v that under forces m·w, and (2·π·f)² = Σm·w² / Σm·w·v (Schwarz's quotient, a step better than
// Rayleigh's). It comes out a little high, by less than a hundredth. Everything that moves must have weight: with neither density
// nor masses there is an error. Source: Rayleigh, Theory of Sound; any text on vibration.
func (p *Plate) Frequency(masses []Mass) (hertz float64, err error) {
	load := make([]float64, len(p.spots)+1)
	load[len(p.spots)] = p.st.weight
	for i, m := range masses {
		if m.Spot < 0 || m.Spot >= len(p.spots) || !(m.Kg >= 0) || m.Kg > 1e6 {
			return 0, &InputError{Thing: "mass", Index: i, Field: "kg", Value: m.Kg, Want: "0 or more, on a spot there is"}
		}
		load[m.Spot] += m.Kg * standardFall
	}
	bonds := p.bondForces(load)
	c := CaseResult{p: p, load: load, bonds: bonds, Give: p.gives(load, bonds)}
	coef := append(append([]float64(nil), load...), bonds...)
	for i := range bonds {
		coef[len(load)+i] = -bonds[i]
	}
	for k, h := range p.halves {
		if h == nil {
			continue
		}
		x, err := h.BackSums([][]float64{coef})
		if err != nil {
			return 0, err
		}
		*[3]*[]float64{&c.bend, &c.shear, &c.stretch}[k] = x[0]
	}
	// forces that go with the shape, gathered as one load; two = Σm·w²
	b := newGatherer(p)
	two := 0.0
	add := func(k int, q vec, m, w float64) {
		two += m * w * w
		b.deflection(k, q, m*w)
	}
	g := &p.grid
	for k := range p.cells {
		if p.cells[k].state == void {
			continue
		}
		i, j := k%g.nx(), k/g.nx()
		dx, dy := g.xs[i+1]-g.xs[i], g.ys[j+1]-g.ys[j]
		for _, u := range gauss2 {
			for _, v := range gauss2 {
				q := vec{X: g.xs[i] + u[0]*dx, Y: g.ys[j] + v[0]*dy}
				add(k, q, p.st.weight/standardFall*dx*dy*p.cells[k].share*u[1]*v[1], c.move(k, q))
			}
		}
	}
	all := []parts{b.take()}
	for _, m := range masses {
		two += m.Kg * c.Give[m.Spot] * c.Give[m.Spot]
		s := p.spots[m.Spot]
		all[0] = all[0].plus(&s, m.Kg*c.Give[m.Spot])
	}
	for i := range p.bonds {
		all = append(all, p.bonds[i].parts)
	}
	gram, _, err := p.grams([3]*sparse.Half{}, all)
	if err != nil {
		return 0, err
	}
	next := gram[0][0]
	for i, f := range p.inner.solve(gram[0][1:]) {
		next -= f * gram[0][1+i]
	}
	if !(next > 0) || !(two > 0) {
		return 0, fmt.Errorf("nothing on the sheet has weight: no frequency")
	}
	return math.Sqrt(1e3*two/next) / (2 * math.Pi), nil
}

// plus gives the sum of a load and f times another one; what goes straight into lines is left out.
func (a parts) plus(b *parts, f float64) parts {
	join := func(x, y sparse.Vector) sparse.Vector {
		for i, k := range y.Index {
			x.Index = append(x.Index, k)
			x.Value = append(x.Value, f*y.Value[i])
		}
		return x
	}
	return parts{bend: join(a.bend, b.bend), shear: join(a.shear, b.shear), stretch: join(a.stretch, b.stretch)}
}
