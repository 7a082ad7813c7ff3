package plate

import (
	"math"

	"knobwright/internal/solve/sparse"
)

// checkSums compares the work of the loads with what the sheet holds, and the equations with their solution, for the sum of
// all cases with uneven weights: a fault in any case shows in it.
func (p *Plate) checkSums(r *Result) {
	c := CaseResult{p: p, load: make([]float64, len(p.spots)+1), bonds: make([]float64, len(p.bonds))}
	c.Give = make([]float64, len(p.spots))
	c.bend = make([]float64, p.bend.pattern.Unknowns())
	if p.shear != nil {
		c.shear = make([]float64, p.shear.pattern.Unknowns())
	}
	if p.stretch != nil {
		c.stretch = make([]float64, p.stretch.pattern.Unknowns())
	}
	any := false
	for i := range r.Cases {
		q := &r.Cases[i]
		w := 1 + 0.5*math.Sin(float64(7*i+3)) // no two alike
		any = true
		for _, v := range [6][2][]float64{
			{c.load, q.load}, {c.bonds, q.bonds}, {c.Give, q.Give}, {c.bend, q.bend}, {c.shear, q.shear}, {c.stretch, q.stretch},
		} {
			for k, x := range v[1] {
				v[0][k] += w * x
			}
		}
	}
	if any {
		energy, residual := c.energy()
		r.Checks.Energy, r.Checks.Residual = energy, residual
	}
}

// energy gives the share by which work and energy differ, and the residual of the equations.
func (c *CaseResult) energy() (energy, residual float64) {
	p := c.p
	outer, inner := 0.0, 0.0
	for i, f := range c.load {
		if i < len(p.spots) {
			outer += f * c.Give[i]
		} else if f != 0 {
			outer += f * (p.even.bend.Dot(c.bend) + p.even.shear.Dot(c.shear))
		}
	}
	for k, s := range []*system{p.bend, p.shear, p.stretch} {
		if s == nil {
			continue
		}
		x := [3][]float64{c.bend, c.shear, c.stretch}[k]
		y := s.matrix.Mul(x)
		for i, v := range x {
			inner += v * y[i]
		}
		// K·x less loads
		less := func(q *parts, f float64) {
			v := [3]*sparse.Vector{&q.bend, &q.shear, &q.stretch}[k]
			for i, u := range v.Index {
				y[u] -= f * v.Value[i]
			}
		}
		for i, f := range c.load {
			switch {
			case f == 0:
			case i < len(p.spots):
				less(&p.spots[i], f)
			default:
				less(&p.even, f)
			}
		}
		for i, f := range c.bonds {
			less(&p.bonds[i].parts, -f)
		}
		residual = max(residual, largest(y)/s.scale(x))
	}
	for i, f := range c.bonds {
		inner += f * f * p.bonds[i].give
		if i+1 < len(c.bonds) {
			inner += 2 * f * c.bonds[i+1] * p.bonds[i].next
		}
	}
	if m := max(math.Abs(outer), math.Abs(inner)); m > 0 {
		energy = math.Abs(outer-inner) / m
	}
	return energy, residual
}

// largest gives the size of the largest number; NaN when one is none.
func largest(x []float64) float64 {
	big := 0.0
	for _, v := range x {
		if v > big {
			big = v
		} else if -v > big {
			big = -v
		} else if v != v {
			return v
		}
	}
	return big
}

// scale gives the size of the numbers that cancel in the equations: the largest diagonal times the largest unknown.
func (s *system) scale(x []float64) float64 {
	if s.top == 0 {
		for n := range s.pattern.Blocks() {
			if k := s.pattern.Size(n); k > 0 {
				at := s.pattern.Find(n, n)
				for d := range k {
					s.top = max(s.top, s.matrix.Values[at+d*k+d])
				}
			}
		}
	}
	return s.top*largest(x) + 1e-300
}
