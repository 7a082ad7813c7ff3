package plate

import (
	"math"

	"knobwright/internal/geom"
)

// Result is what the load cases do.
type Result struct {
	Cases   []CaseResult
	Notices []Notice // what to know about the model
	Checks  Checks   // over all cases
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
	// Loads less reactions as a share of the loads, and their moments about two axes as a share of loads times the sheet's size.
	Balance, Tip float64

	p                    *Plate
	bend, shear, stretch []float64 // unknowns
	load                 []float64 // on spots and the face
	bonds                []float64
}

// trusted is the worst check with which results are handed out.
const trusted = 1e-4

// EdgeStress is the stress along one opening's edge, on the face where it is greater. At a sharp corner the theory has no finite
// value; what is given there is what the grid sees, and rises as it gets finer.
type EdgeStress struct {
	Peak  float64   // largest size of the stress along the edge, MPa; 0 when the edge has no sheet beside it
	At    geom.Vec2 // where
	Bears float64   // MPa that the sheet bears along the edge there; 0 when the material does not say
	Mean  float64   // mean along the edge on the far face, MPa, pull positive
	Along []float64 // on the far face at the places of [Plate.EdgePlaces]
}

// Checks tell how well the numbers hold together; all are near the rounding of float64 in a sound result.
type Checks struct {
	Balance  float64 // the worst of the cases
	Tip      float64 // the worst of the cases
	Energy   float64 // work of the loads less energy in the sheet, as a share: of a sum in which every case has its weight
	Residual float64 // what the equations of that sum leave over, as a share of the numbers that cancel in them
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
//
// It gives [*StiffnessError] when the stiffnesses lie so far apart that loads and reactions no longer agree.
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
	for k, h := range p.halves {
		if h == nil {
			continue
		}
		xs, err := h.BackSums(coef)
		if err != nil {
			return nil, err
		}
		for i, x := range xs {
			*[3]*[]float64{&r.Cases[i].bend, &r.Cases[i].shear, &r.Cases[i].stretch}[k] = x
		}
	}
	if p.react == nil {
		p.reactions()
	}
	p.edgeStress(r.Cases, p.edgeRows())
	for i := range r.Cases {
		r.Cases[i].finish()
		r.Checks.Balance = max(r.Checks.Balance, r.Cases[i].Balance)
		r.Checks.Tip = max(r.Checks.Tip, r.Cases[i].Tip)
	}
	p.checkSums(r)
	if c := r.Checks; !(max(c.Balance, c.Tip, c.Energy) < trusted) {
		return nil, &StiffnessError{errDigits}
	}
	return r, nil
}

// finish works out what follows from the fields of a case.
func (c *CaseResult) finish() {
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
		c.Balance = math.Abs(want[0]-have[0]) / size
		c.Tip = max(math.Abs(want[1]-have[1]), math.Abs(want[2]-have[2])) / (size * span)
	}
}
