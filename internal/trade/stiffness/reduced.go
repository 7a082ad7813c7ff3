package stiffness

import (
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/solve/plate"
)

// The quick reckoning of ribs. The face without new ribs gives, at every press and at points along every place for a rib, by so much
// per newton anywhere else. A rib is a spline through its points that resists being bent; what it changes follows from the
// small table alone:
//
//	C' = C - Y'(I + G)^-1·Y,  Y = B·C_rl,  G = B·C_rr·B',  with B'·B the spline's bending energy (Reinsch 1967)
//
// Each rib has the bending stiffness of bar and sheet together, the sheet as a flange of a third of the rib's length (von Kármán; Timoshenko &
// Goodier). It comes out a few per cent softer or stiffer than the full model, by which every plan is worked out again.

// ribPoints is at how many points a rib is known to the quick reckoning.
const ribPoints = 9

// bends is how many numbers its bending takes.
const bends = ribPoints - 2

// insetShare is how much of a rib's ends does not stiffen, in thicknesses of the sheet.
const insetShare = 0.55

// points are where a rib is looked at: its stiffening length, evenly.
func (r Rib) points(t float64) (at [ribPoints]geom.Vec2, step float64) {
	d := r.B.Sub(r.A).Unit()
	a := r.A.Add(d.Mul(insetShare * t))
	step = (r.Length() - 2*insetShare*t) / (ribPoints - 1)
	for i := range at {
		at[i] = a.Add(d.Mul(step * float64(i)))
	}
	return at, step
}

// bar gives the bending stiffness of a rib with its part of the sheet, about their common axis, less what the sheet has of its own,
// N·mm².
func (f *Face) bar(r Rib) float64 {
	t, m := f.Thickness, f.Material.Elastic
	e := m.Along
	if d := r.B.Sub(r.A).Unit(); m.Across > 0 {
		if m.Grain != 0 { // it runs up
			d.X, d.Y = d.Y, d.X
		}
		e = m.Along*d.X*d.X + m.Across*d.Y*d.Y
	}
	nu := m.Poisson
	flange := e * t * 4 * r.Length() / (math.Pi * (3 + 2*nu - nu*nu))
	area := r.Young * r.Width * r.Height
	apart := (t + r.Height) / 2
	stiff := r.Young*r.Width*math.Pow(r.Height, 3)/12 + area*flange/(area+flange)*apart*apart
	if beyond := 1/r.Shear - 2*(1+ribPoisson)/r.Young; r.Shear > 0 && beyond > 0 { // it gives by shear: see package plate
		web := 1 + 0.75*t/r.Height
		stiff /= 1 + 12*stiff*beyond/(5.0/6*r.Width*r.Height*web*web*r.Length()*r.Length())
	}
	return stiff
}

// bending gives B of a rib: bends rows of ribPoints numbers.
func bending(step, stiff float64) (b [bends][ribPoints]float64) {
	// R = L·L' is tridiagonal: 2h/3, h/6
	var diag, low [bends]float64
	for i := range diag {
		diag[i] = 2 * step / 3
		if i > 0 {
			low[i] = step / 6 / diag[i-1]
			diag[i] -= low[i] * low[i]
		}
		diag[i] = math.Sqrt(diag[i])
	}
	k := math.Sqrt(stiff)
	for i := range b {
		b[i][i], b[i][i+1], b[i][i+2] = k/step, -2*k/step, k/step
		if i > 0 {
			for j := range b[i] {
				b[i][j] -= low[i] * b[i-1][j]
			}
		}
		for j := range b[i] {
			b[i][j] /= diag[i]
		}
	}
	return b
}

// reduced is a face with places for ribs, known by small tables.
type reduced struct {
	ribs  []Rib
	each  []float64     // of the presses looked at, mm/N without ribs
	y     [][]float64   // of each rib: bends rows of as many numbers as presses
	g     [][][]float64 // of each two ribs: bends x bends; nil for pairs that were not worked out
	apart [][]bool      // whether two ribs can be there together
}

// reduce works out the tables for places of ribs. With pairs false only each rib with itself is known.
func (f *Face) reduce(presses []int, ribs []Rib, pairs bool) (*reduced, error) {
	m := f.model
	m.Cases = nil
	m.Spots = nil
	for _, i := range presses {
		m.Spots = append(m.Spots, f.model.Spots[i])
	}
	n := len(presses)
	bs := make([][bends][ribPoints]float64, len(ribs))
	for k, r := range ribs {
		at, step := r.points(f.Thickness)
		for _, q := range at {
			m.Spots = append(m.Spots, plate.Spot{At: q})
		}
		bs[k] = bending(step, f.bar(r))
	}
	m.Options.Ribs = plate.EffectiveWidth
	m.Options.Cell = f.coarse()
	p, err := plate.New(m)
	if err != nil {
		return nil, err
	}
	c := p.Compliance()
	x := &reduced{ribs: ribs, each: make([]float64, n), y: make([][]float64, len(ribs)), g: make([][][]float64, len(ribs))}
	for i := range n {
		x.each[i] = c[i][i]
	}
	for k := range ribs {
		x.y[k] = make([]float64, bends*n)
		for d := range bends {
			for i := range n {
				s := 0.0
				for j, b := range bs[k][d] {
					s += b * c[n+k*ribPoints+j][i]
				}
				x.y[k][d*n+i] = s
			}
		}
		x.g[k] = make([][]float64, len(ribs))
		for l := range ribs {
			if l != k && !pairs {
				continue
			}
			x.g[k][l] = make([]float64, bends*bends)
			var half [bends][ribPoints]float64
			for d := range bends {
				for j := range ribPoints {
					s := 0.0
					for i, b := range bs[k][d] {
						s += b * c[n+k*ribPoints+i][n+l*ribPoints+j]
					}
					half[d][j] = s
				}
			}
			for d := range bends {
				for q := range bends {
					s := 0.0
					for j, b := range bs[l][q] {
						s += b * half[d][j]
					}
					x.g[k][l][d*bends+q] = s
				}
			}
		}
	}
	if pairs {
		x.apart = make([][]bool, len(ribs))
		for k := range ribs {
			x.apart[k] = make([]bool, len(ribs))
			for l := range k {
				ok := !clash(ribs[k], ribs[l])
				x.apart[k][l], x.apart[l][k] = ok, ok
			}
		}
	}
	return x, nil
}

// coarse is the cell of the quick reckoning, mm.
func (f *Face) coarse() float64 {
	s := f.Panel.Face.Outline.Bounds().Size()
	return max(min(14, min(s.X, s.Y)/10), max(s.X, s.Y)/60)
}

// worst gives how much the press that gives most gives per newton with a set of ribs; +Inf when the sum cannot be done.
func (x *reduced) worst(set []int) float64 {
	n := len(x.each)
	k := len(set) * bends
	a := make([]float64, k*k)
	for i, r := range set {
		for j, s := range set {
			for d := range bends {
				for q := range bends {
					a[(i*bends+d)*k+j*bends+q] = x.g[r][s][d*bends+q]
				}
			}
		}
	}
	for i := range k {
		a[i*k+i]++
	}
	for i := range k { // Cholesky
		for j := range i + 1 {
			s := a[i*k+j]
			for q := range j {
				s -= a[i*k+q] * a[j*k+q]
			}
			switch {
			case i != j:
				a[i*k+j] = s / a[j*k+j]
			case s > 0:
				a[i*k+i] = math.Sqrt(s)
			default:
				return math.Inf(1)
			}
		}
	}
	most := 0.0
	z := make([]float64, k)
	for i := range n {
		left := x.each[i]
		for r := range k {
			s := x.y[set[r/bends]][(r%bends)*n+i]
			for q := range r {
				s -= a[r*k+q] * z[q]
			}
			z[r] = s / a[r*k+r]
			left -= z[r] * z[r]
		}
		most = max(most, left)
	}
	return most
}
