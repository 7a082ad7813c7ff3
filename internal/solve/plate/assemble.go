package plate

import (
	"errors"
	"slices"

	"knobwright/internal/solve/sparse"
)

// factor fills and factors the matrices; of those factored before, only what has changed.
func (p *Plate) factor() error {
	p.layer = p.edgePoints()
	err := p.assembleAndFactor()
	var pe *sparse.PivotError
	if errors.As(err, &pe) && len(p.layer) > 0 {
		// the layer is too much for some sliver: better a little stiff than no answer
		p.layer = nil
		p.notices = append(p.notices, Notice{Kind: EdgeLayerOff, Index: -1})
		err = p.assembleAndFactor()
	}
	if err != nil {
		return &StiffnessError{err}
	}
	return nil
}

func (p *Plate) assembleAndFactor() error {
	for _, s := range p.systems() {
		s.before = append(s.before[:0], s.matrix.Values...)
	}
	p.assemble()
	p.work.Unknowns, p.work.Fronts, p.work.NewFronts = 0, 0, 0
	all := p.systems()
	for i, s := range all {
		p.work.Unknowns += s.pattern.Unknowns()
		p.work.Fronts += s.plan.Fronts()
		done := s.plan.Fronts()
		var err error
		switch {
		case s.factor == nil:
			s.factor, err = s.plan.Factor(s.matrix)
		case s.lost:
			err = s.factor.Refactor(s.matrix)
		default:
			done, err = s.factor.Update(s.matrix, s.matrix.Changed(s.before))
		}
		s.lost = false
		p.work.NewFronts += done
		if err != nil {
			for _, r := range all[i:] {
				r.lost = true // their matrices are new, their factors are not
			}
			return err
		}
	}
	return nil
}

// assemble fills the matrices.
func (p *Plate) assemble() {
	g := &p.grid
	for _, s := range p.systems() {
		s.clear()
	}
	p.sumLayer()
	for c := range p.cells {
		k := &p.cells[c]
		if k.state == void {
			continue
		}
		p.bend.add(g, c, k.bend[:])
		if e := p.layerOf[c]; e != nil {
			p.bend.add(g, c, e[:])
		}
		if p.shear != nil {
			for n := range k.fine {
				if f := &k.fine[n]; !f.void {
					p.shear.add(&p.fine, p.fineCell(c, n), f.shear[:])
				}
			}
		}
		if p.stretch != nil {
			p.stretch.add(g, c, k.stretch[:])
		}
	}
	for i := range p.extras {
		e := &p.extras[i]
		if p.cells[e.cell].state == void {
			continue
		}
		p.bend.add(g, e.cell, e.bend[:])
	}
	for i := range p.shearExtras {
		e := &p.shearExtras[i]
		if p.shear != nil && !p.fineVoid(e.cell) {
			p.shear.add(&p.fine, e.cell, e.shear[:])
		}
	}
	d := (p.st.d11 + p.st.d22) / 2
	p.bend.ground(p.live, d, 0)
	for _, n := range p.pegs {
		at := p.bend.pattern.Find(n, n)
		p.bend.matrix.Values[at] += p.pegStiff
	}
	if p.shear != nil {
		p.shear.ground(p.liveFine, p.st.s11+p.st.s22, 0)
	}
	if p.stretch != nil {
		a := (p.st.a11 + p.st.a22) / 2
		p.stretch.ground(p.live, a, softGround*a)
	}
}

// softGround is the spring, as a share of the sheet's own stiffness, that keeps the sheet from drifting in its plane. The
// pull of ribs is in balance, so that nothing leans on it.
const softGround = 1e-9

// sumLayer adds up the edge layer in each cell, or takes the sum over from the plate before.
func (p *Plate) sumLayer() {
	before, points := p.layerOf, p.layerAt
	p.layerOf, p.layerAt = map[int]*bending{}, map[int][]edgePoint{}
	for _, e := range p.layer {
		p.layerAt[e.cell] = append(p.layerAt[e.cell], e)
	}
	for c, es := range p.layerAt { // in no order, but each sum by itself
		if c < len(p.same) && p.same[c] && slices.Equal(es, points[c]) {
			p.layerOf[c] = before[c]
			continue
		}
		k := new(bending)
		for _, e := range es {
			row := p.fieldAt(c, e.at).curve(e.n, e.n.Left())
			k.addRow(&row, -e.loss)
		}
		p.cells[c].spare(k)
		p.layerOf[c] = k
	}
}
