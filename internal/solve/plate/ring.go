package plate

import "math"

// Round holes not much larger than a cell are more than the bent field can follow: beside one of half a cell it shows next to nothing of
// the stress that the hole brings. There the stress is worked out from the moments around: their mean over a circle about a
// hole, in fixed directions, is what the sheet would carry without it (the hole's own part is all in harmonics that cancel),
// and round the hole the moment along the edge is then
//
//	M_t = (M1 + M2) - g·(M1 - M2)·cos 2θ,   g = 2·(1 + ν)/(3 + ν)
//
// for moments M1 ≥ M2 of the sheet, θ from the direction of M1 (Goodier 1936; any text on stress concentration). That
// is for an even sheet; with a grain it is a rough guide.

// A press between the hole and the circle, such as one on a rim that rests round the hole, adds to the mean moment along the
// edge: the sum of both moments is a harmonic function that a force P at distance r raises by (1 + ν)·P/2π·ln(R/r) over its mean
// on the circle of radius R.

// ring is what a round hole needs.
type ring struct {
	rows  []ringRow
	press []float64 // rise of the mean moment per newton on each spot; nil when there is none
}

// ringRow gives the curvatures at one place of the circle from the unknowns of a cell.
type ringRow struct {
	cell       int
	xx, yy, xy [16]float64
}

// places on the circle
const ringPlaces = 16

// fieldShare tells how much of the stress along a round hole is taken from the bent field, the rest being taken from the circle
// around it: none up to 0.8 cells of diameter, all from 1.6 on.
func fieldShare(d, h float64) float64 { return min(1, max(0, (d/h-0.8)/0.8)) }

// ring makes the rows about a round hole; nil when less than three quarters of the circle lie on the sheet.
func (p *Plate) ring(s *shape) *ring {
	c := s.lo.Add(s.hi).Mul(0.5)
	d := s.hi.X - s.lo.X
	r := max(0.75*d, 0.9*p.grid.h)
	out := new(ring)
	for k := range ringPlaces {
		sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / ringPlaces)
		q := vec{X: c.X + r*cos, Y: c.Y + r*sin}
		if !p.solidAt(q) {
			continue
		}
		if cell, ok := p.cellAt(q); ok {
			row := ringRow{cell: cell}
			row.xx, row.yy, row.xy = p.fieldAt(cell, q).curves()
			out.rows = append(out.rows, row)
		}
	}
	if len(out.rows) < ringPlaces*3/4 {
		return nil
	}
	nu := p.st.a12 / math.Sqrt(p.st.a11*p.st.a22)
	for i, places := range p.under {
		var sum float64
		for _, q := range places {
			if l := q.q.Sub(c).Len(); l < r {
				sum += q.w * math.Log(r/max(l, d/2))
			}
		}
		if sum != 0 {
			if out.press == nil {
				out.press = make([]float64, len(p.under))
			}
			out.press[i] = (1 + nu) / (2 * math.Pi) * sum
		}
	}
	return out
}

// around gives the stress on the far face along a round hole at the places of its edge, from the moments around it: the mean, and
// the variation as a function of direction in its cosine and sine of the double angle.
func (c *CaseResult) around(o *ring) (mean, cos2, sin2 float64) {
	p := c.p
	var k [3]float64
	var u [16]float64
	for i := range o.rows {
		r := &o.rows[i]
		p.bend.local(&p.grid, r.cell, c.bend, u[:])
		for j, x := range u {
			k[0] += r.xx[j] * x
			k[1] += r.yy[j] * x
			k[2] += r.xy[j] * x
		}
	}
	for j := range k {
		k[j] /= float64(len(o.rows))
	}
	xx, yy, xy := p.st.moments(k)
	nu := p.st.a12 / math.Sqrt(p.st.a11*p.st.a22)
	g := 2 * (1 + nu) / (3 + nu)
	w := 6 / (p.st.t * p.st.t)
	mean = xx + yy
	for i, v := range o.press {
		mean += v * c.load[i]
	}
	return w * mean, -w * g * (xx - yy), -w * g * 2 * xy
}
