package plate

import (
	"slices"

	"knobwright/internal/geom"
)

// Update makes the plate ready for a changed model, doing again only what the change touches: while openings without grid
// lines of their own move (round ones, short edges), the grid stays, and of the equations only those along the way from the
// place to the root of the order. Any other change is worked out anew. The result is the same to the last bit as that of New.
//
// Results from before an update can no longer be asked for movements and moments at places.
//
// After an error of kind [*StiffnessError] the plate can only be updated again; after any other it is as before.
func (p *Plate) Update(m Model) error {
	if err := m.check(); err != nil {
		return err
	}
	q := &Plate{model: m.clone()}
	if err := q.lay(); err != nil {
		return err
	}
	if p.broken || !p.sameGrid(q) {
		q, err := New(m)
		if err != nil {
			return err
		}
		*p = *q
		return nil
	}
	for i := range q.openings {
		if i < len(p.openings) && sameOutline(m.Openings[i].Outline, p.model.Openings[i].Outline) {
			q.openings[i] = p.openings[i]
		}
	}
	q.makeCells(p)
	if err := q.connect(); err != nil {
		return err
	}
	q.supports()
	if !slices.Equal(q.held.bend, p.held.bend) || !slices.Equal(q.held.shear, p.held.shear) ||
		!slices.Equal(q.held.stretch, p.held.stretch) || !slices.Equal(q.used, p.used) || len(q.ribs) > 0 != (len(p.ribs) > 0) {
		if err := q.equations(); err != nil {
			return err
		}
	} else {
		q.bend, q.shear, q.stretch, q.halves = p.bend, p.shear, p.stretch, p.halves
		q.keepRows(p)
		q.before = p
		q.layerOf, q.layerAt = p.layerOf, p.layerAt
		p.broken = true // until the equations are whole again
	}
	if err := q.factor(); err != nil {
		return err
	}
	if err := q.couple(); err != nil {
		return err
	}
	q.before = nil
	*p = *q
	return nil
}

// keepsSpot reports whether a spot is what it was on the plate before: a ring or a disc on cells that hold the same of the sheet.
func (p *Plate) keepsSpot(old *Plate, i int, at vec) bool {
	s, o := p.model.Spots[i], old.model.Spots[i]
	if s.At != o.At || s.Outer != o.Outer || s.Inner != o.Inner || s.Outline != nil || o.Outline != nil || len(old.under[i]) < 2 {
		return false
	}
	r := vec{X: s.Outer / 2, Y: s.Outer / 2}
	i0, j0 := p.grid.find(at.Sub(r))
	i1, j1 := p.grid.find(at.Add(r))
	for y := j0; y <= j1; y++ {
		for x := i0; x <= i1; x++ {
			if !p.same[y*p.grid.nx()+x] {
				return false
			}
		}
	}
	return true
}

// sameGrid reports whether two plates have the same grid, sheet and options.
func (p *Plate) sameGrid(q *Plate) bool {
	return slices.Equal(p.grid.xs, q.grid.xs) && slices.Equal(p.grid.ys, q.grid.ys) && p.st == q.st && p.frame == q.frame &&
		p.model.Options == q.model.Options && slices.Equal(p.outline.runs, q.outline.runs)
}

func sameOutline(a, b geom.Outline) bool { return slices.Equal(a, b) }

// sameCell reports whether cell c holds the same of the sheet as in an earlier plate on the same grid.
func (p *Plate) sameCell(old *Plate, c int, near []int32) bool {
	if old.dusty || !slices.Equal(near, old.cells[c].near) {
		return false
	}
	for _, k := range near {
		if p.openings[k] != old.openings[k] {
			return false
		}
	}
	return true
}
