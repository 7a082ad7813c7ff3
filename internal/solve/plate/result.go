package plate

import (
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/solve/sparse"
)

// Result is what the load cases do.
type Result struct {
	Cases   []CaseResult
	Notices []Notice // what to know about the model
	Work    Work
}

// CaseResult is what one load case does. Positive movements and forces go through the face, like loads.
type CaseResult struct {
	Name   string
	Give   []float64 // mean movement of each spot, mm
	Lines  []float64 // force of the sheet on each line, N; two lines that share a corner share its force
	Points []float64 // force of the sheet on each point support, N; negative: the sheet lifts
	Load   float64   // all loads together, N
	Edges  []EdgeStress
	Checks Checks

	p                    *Plate
	bend, shear, stretch []float64 // unknowns
	load                 []float64 // on spots and the face
	bonds                []float64
}

// EdgeStress is the stress along one opening's edge, on the face where it is greater.
type EdgeStress struct {
	Peak  float64   // largest size of the stress along the edge, MPa; 0 when the edge has no sheet beside it
	At    geom.Vec2 // where
	Mean  float64   // mean along the edge on the far face, MPa, pull positive
	Along []float64 // on the far face at the places of [Plate.EdgePlaces]
}

// Checks tell how well the numbers hold together; all are near the rounding of float64 in a sound result.
type Checks struct {
	Balance  float64 // loads less reactions, as a share of the loads
	Tip      float64 // their moments about two axes, as a share of loads times the sheet's size
	Energy   float64 // work of the loads less energy in the sheet, as a share
	Residual float64 // backward error of the equations
}

// Compliance gives how far each spot moves per newton on each spot, mm/N, symmetric. It needs no load cases.
func (p *Plate) Compliance() [][]float64 {
	n := len(p.spots)
	out := make([][]float64, n)
	load := make([]float64, n+1)
	for i := range out {
		clear(load)
		load[i] = 1
		out[i] = p.gives(load, p.bondForces(load))
	}
	for i := range out { // rounding in the small system of bonds
		for j := range i {
			m := (out[i][j] + out[j][i]) / 2
			out[i][j], out[j][i] = m, m
		}
	}
	return out
}

// gives gives the movements of the spots under loads and bond forces.
func (p *Plate) gives(load, bonds []float64) []float64 {
	first := len(p.spots) + 1
	out := make([]float64, len(p.spots))
	for i := range out {
		row := p.gram[i]
		var s float64
		for j, f := range load {
			s += row[j] * f
		}
		for j, f := range bonds {
			s -= row[first+j] * f
		}
		out[i] = s
	}
	return out
}

// Solve works out all load cases with their fields, reactions, stresses and checks.
func (p *Plate) Solve() (*Result, error) {
	r := &Result{Notices: p.notices, Work: p.work, Cases: make([]CaseResult, len(p.model.Cases))}
	nb := len(p.spots) + 1 + len(p.bonds)
	coef := make([][]float64, len(r.Cases))
	for i, c := range p.model.Cases {
		cr := &r.Cases[i]
		cr.Name, cr.p = c.Name, p
		cr.load = make([]float64, len(p.spots)+1)
		for _, f := range c.Forces {
			cr.load[f.Spot] += f.Newton
		}
		cr.load[len(p.spots)] = c.Pressure + c.Weight*p.st.weight
		cr.bonds = p.bondForces(cr.load)
		cr.Give = p.gives(cr.load, cr.bonds)
		coef[i] = make([]float64, nb)
		copy(coef[i], cr.load)
		for j, f := range cr.bonds {
			coef[i][len(cr.load)+j] = -f
		}
	}
	var force [3][][]float64 // what the matrices make of the fields
	for k, h := range p.halves {
		if h == nil {
			continue
		}
		sum, err := h.Combine(coef)
		if err != nil {
			return nil, err
		}
		xs := sum.Back()
		for i, x := range xs {
			*[3]*[]float64{&r.Cases[i].bend, &r.Cases[i].shear, &r.Cases[i].stretch}[k] = x
		}
		force[k] = [3]*system{p.bend, p.shear, p.stretch}[k].matrix.MulMany(xs)
	}
	if p.react == nil {
		p.reactions()
	}
	stress := p.edgeRows()
	for i := range r.Cases {
		var f [3][]float64
		for k := range f {
			if force[k] != nil {
				f[k] = force[k][i]
			}
		}
		r.Cases[i].finish(stress, f)
	}
	return r, nil
}

// finish works out what follows from the fields of a case.
func (c *CaseResult) finish(stress [][]edgeRow, force [3][]float64) {
	p := c.p
	var want, have [3]float64
	size := 0.0
	add := func(q *parts, f float64) {
		for v := range 3 {
			want[v] += f * q.first[v]
		}
		size += math.Abs(f * q.first[0])
	}
	c.Lines = make([]float64, len(p.lines))
	work := make([][3]float64, len(p.lines))
	through := func(q *parts, f float64) {
		for _, h := range q.held {
			for v := range 3 {
				work[h.line][v] += f * h.v[v]
			}
		}
	}
	for i, f := range c.load {
		q := &p.even
		if i < len(p.spots) {
			q = &p.spots[i]
		}
		if f != 0 {
			add(q, f)
			through(q, f)
		}
	}
	for i, f := range c.bonds {
		through(&p.bonds[i].parts, -f)
	}
	for i := range p.lines {
		for v := range 3 {
			work[i][v] += p.react[i][v].Dot(c.bend)
			have[v] += work[i][v]
		}
		c.Lines[i] = work[i][0]
	}
	c.Points = make([]float64, len(p.model.Points))
	for i := range c.Points {
		f := c.bonds[i]
		c.Points[i] = f
		for v := range 3 {
			have[v] += f * p.bonds[i].first[v]
		}
	}
	c.Load = want[0]
	if size > 0 {
		span := max(p.outline.hi.X-p.outline.lo.X, p.outline.hi.Y-p.outline.lo.Y)
		c.Checks.Balance = math.Abs(want[0]-have[0]) / size
		c.Checks.Tip = max(math.Abs(want[1]-have[1]), math.Abs(want[2]-have[2])) / (size * span)
	}
	c.energy(force)
	c.edges(stress)
}

// energy compares the work of the loads with what the sheet holds, and the equations with their solution.
func (c *CaseResult) energy(force [3][]float64) {
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
		y := force[k]
		for i, v := range x {
			inner += v * y[i]
		}
		// loads less K·x
		less := func(q *parts, f float64) {
			v := [3]*sparse.Vector{&q.bend, &q.shear, &q.stretch}[k]
			for i, u := range v.Index {
				y[u] -= f * v.Value[i]
			}
		}
		for i, f := range c.load {
			if f == 0 {
				continue
			}
			if i < len(p.spots) {
				less(&p.spots[i], f)
			} else {
				less(&p.even, f)
			}
		}
		for i, f := range c.bonds {
			less(&p.bonds[i].parts, -f)
		}
		left := 0.0
		for _, v := range y {
			left = max(left, math.Abs(v))
		}
		c.Checks.Residual = max(c.Checks.Residual, left/s.scale(x))
	}
	for i, f := range c.bonds {
		inner += f * f * p.bonds[i].give
		if i+1 < len(c.bonds) {
			inner += 2 * f * c.bonds[i+1] * p.bonds[i].next
		}
	}
	if m := max(math.Abs(outer), math.Abs(inner)); m > 0 {
		c.Checks.Energy = math.Abs(outer-inner) / m
	}
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
	big := 1e-300
	for _, v := range x {
		big = max(big, math.Abs(v))
	}
	return s.top * big
}
