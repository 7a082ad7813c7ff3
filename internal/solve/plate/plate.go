package plate

import (
	"errors"
	"math"

	"knobwright/internal/solve/sparse"
)

// Plate is a model made ready: its grid, its equations factored, and how its spots give under pushes on each other.
type Plate struct {
	model       Model
	frame       frame
	grid        grid
	fine        grid // of the movement from shear
	parts       int  // its cells along a side of a cell
	st          stiffness
	outline     *shape
	openings    []*shape
	maker       *cellMaker
	cells       []cell
	live        []bool // nodes with sheet about them
	liveFine    []bool // and those of the finer grid
	usedFine    []bool
	used        []bool // cells that may hold sheet, wherever openings move
	held        held
	lines       []lineRun
	ribs        []ribRun
	extras      []extra
	shearExtras []shearExtra
	layer       []edgePoint         // edge layer
	layerOf     map[int]*bending    // its sum for each cell
	layerAt     map[int][]edgePoint // the places in each cell
	react       [][3]sparse.Vector
	dusty       bool  // dust was dropped
	broken      bool  // its equations went to a failed update
	pegs        []int // nodes held by springs that bonds take out again
	pegStiff    float64
	pins        []int // nodes that hold the movement from shear where no line does

	bend, shear, stretch *system
	bonds                []bond
	spots                []parts
	under                [][]placed // places of the spots
	even                 parts      // the whole face, for pressure: area-weighted
	area                 float64    // mm² of sheet
	notices              []Notice
	halves               [3]*sparse.Half
	gram                 [][]float64 // spots, even, bonds
	inner                dense       // of the bonds
	work                 Work
	same                 []bool // cells taken over from the plate before
	rows                 [][]edgeRow
	before               *Plate // while it is updated: the plate before, on the same grid and equations

	scratch field
}

// Work tells how much was done to make a plate ready.
type Work struct {
	Unknowns  int // of bending, shear and stretching together
	Cells     int // in the grid
	CutCells  int // of them with an edge through
	NewCells  int // of them worked out in this step
	Fronts    int // of the factors
	NewFronts int // of them done in this step
}

// New makes a model ready. It gives [*InputError], [*EmptyError], [*MechanismError], [*SizeError] or [*StiffnessError].
func New(m Model) (*Plate, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	p := &Plate{model: m.clone()}
	if err := p.lay(); err != nil {
		return nil, err
	}
	p.makeCells(nil)
	if err := p.connect(); err != nil {
		return nil, err
	}
	p.supports()
	if err := p.equations(); err != nil {
		return nil, err
	}
	if err := p.factor(); err != nil {
		return nil, err
	}
	return p, p.couple()
}

// lay places the grid and the shapes on it.
func (p *Plate) lay() error {
	m := &p.model
	p.frame = newFrame(m.Outline, m.Options.Turn)
	same := func(q vec) vec { return q }
	raw := newShape(m.Outline, p.frame, same)
	h := m.Options.Cell
	if h == 0 {
		h = cellSize(raw.lo, raw.hi)
		if f := m.Material.filled(); min(f.Through, f.Rolling) < f.Along/softInShear {
			h = min(h, shearCell)
		}
		for _, r := range m.Ribs {
			if d := p.frame.in(r.B).Sub(p.frame.in(r.A)); min(math.Abs(d.X), math.Abs(d.Y)) > 1e-3*d.Len() {
				h = min(h, slantCell)
			}
		}
	}
	phi := m.Material.Grain*deg - math.Atan2(p.frame.s, p.frame.c)
	p.st = newStiffness(m.Material, m.Thickness, phi)
	for _, r := range m.Ribs {
		p.ribs = append(p.ribs, p.newRib(r))
	}
	p.flanges(raw)
	var w wants
	for _, r := range raw.runs {
		if r.r == 0 && r.length() > h/2 {
			w.segment(r.a, r.b, 1, false)
		}
	}
	for _, l := range m.Lines {
		w.segment(p.frame.in(l.A), p.frame.in(l.B), 1, true)
	}
	for _, o := range m.Openings {
		for _, r := range newShape(o.Outline, p.frame, same).runs {
			if r.r == 0 && r.length() >= straightEdge*h {
				w.segment(r.a, r.b, 2, false)
			}
		}
	}
	p.ribWants(&w)
	var err error
	if p.grid, err = newGrid(raw.lo, raw.hi, w, h); err != nil {
		return err
	}
	p.refine()
	p.outline = newShape(m.Outline, p.frame, p.grid.snap)
	for _, o := range m.Openings {
		p.openings = append(p.openings, newShape(o.Outline, p.frame, p.grid.snap))
	}
	return nil
}

// A sheet whose shear modulus through its thickness is this much lower than its modulus gives much by shear, which wants cells that are no
// larger than shearCell, mm, beside openings and presses.
const (
	softInShear = 10
	shearCell   = 8
)

// slantCell is the largest cell, mm, for ribs that slant through the grid, where no lines of their own can follow them: in cells of 10 mm they
// hold what is pressed beside them up to a tenth too stiff.
const slantCell = 7

// straightEdge is how long a straight edge of an opening must be, in cells, to get a grid line of its own.
const straightEdge = 1.2

// makeCells works out the cells, taking from an earlier plate on the same grid those that have not changed.
func (p *Plate) makeCells(old *Plate) {
	g := &p.grid
	if old != nil {
		m := *old.maker
		m.g, m.st, m.outline, m.openings = g, &p.st, p.outline, p.openings
		p.maker = &m
	} else {
		p.maker = newCellMaker(g, p.parts, &p.st, p.outline, p.openings)
	}
	near := p.maker.nearCells()
	n := g.nx() * g.ny()
	p.cells, p.used = make([]cell, n), make([]bool, n)
	p.live = make([]bool, len(g.xs)*len(g.ys))
	p.area = 0
	p.work = Work{Cells: n}
	p.same = make([]bool, n)
	for c := range n {
		if old != nil && p.sameCell(old, c, near[c]) {
			p.cells[c] = old.cells[c]
			p.cells[c].near = near[c]
			p.same[c] = true
		} else {
			p.cells[c] = p.maker.make(c%g.nx(), c/g.nx(), near[c])
			p.work.NewCells++
		}
		k := &p.cells[c]
		p.used[c] = k.state != void || len(near[c]) > 0 &&
			(p.maker.plain || p.maker.make(c%g.nx(), c/g.nx(), nil).state != void)
		if k.state == void {
			continue
		}
		if k.state == cut {
			p.work.CutCells++
		}
		p.area += k.share * (g.xs[c%g.nx()+1] - g.xs[c%g.nx()]) * (g.ys[c/g.nx()+1] - g.ys[c/g.nx()])
		for _, v := range g.nodes(c) {
			p.live[v] = true
		}
	}
}

// supports puts lines and ribs on the grid.
func (p *Plate) supports() {
	p.placeLines()
	p.choosePegs()
	if !p.model.Options.Thin {
		for _, n := range p.pins {
			p.held.shear[p.fineNode(n)] |= 1
		}
	}
	p.markFine()
	p.springs()
	p.placeRibs()
}

// equations lays out the three systems.
func (p *Plate) equations() error {
	var err error
	if p.bend, err = newSystem(&p.grid, 4, p.held.bend, p.used); err != nil {
		return err
	}
	if !p.model.Options.Thin {
		if p.shear, err = newSystem(&p.fine, 1, p.held.shear, p.usedFine); err != nil {
			return err
		}
	}
	if len(p.ribs) > 0 && p.model.Options.Ribs == Membrane {
		if p.stretch, err = newSystem(&p.grid, 2, p.held.stretch, p.used); err != nil {
			return err
		}
	}
	return nil
}

// systems lists those in use.
func (p *Plate) systems() []*system {
	var out []*system
	for _, s := range []*system{p.bend, p.shear, p.stretch} {
		if s != nil {
			out = append(out, s)
		}
	}
	return out
}

// couple gathers spots and bonds, and works out how they give.
func (p *Plate) couple() error {
	b := newGatherer(p)
	p.spots, p.under = p.spots[:0], p.under[:0]
	for i, s := range p.model.Spots {
		at := p.frame.in(s.At)
		if old := p.before; old != nil && i < len(old.spots) && p.keepsSpot(old, i, at) {
			p.under, p.spots = append(p.under, old.under[i]), append(p.spots, old.spots[i])
			continue
		}
		places, lost := p.mean(b, s, at)
		p.under = append(p.under, places)
		if lost {
			p.notices = append(p.notices, Notice{Kind: SpotLost, Index: i, At: s.At})
		}
		p.spots = append(p.spots, b.take())
	}
	for c := range p.cells {
		k := &p.cells[c]
		if k.state == void {
			continue
		}
		for v, n := range p.grid.nodes(c) {
			s := b.bend.node(n)
			q := p.grid.point(n)
			for d := range 4 {
				s[d] += k.load[4*v+d]
				for i, r := range rigid(q, d) {
					b.first[i] += r * k.load[4*v+d]
				}
			}
		}
		for m := range k.fine {
			f := &k.fine[m]
			if f.void {
				continue
			}
			for v, n := range p.fine.nodes(p.fineCell(c, m)) {
				b.shear.node(n)[0] += f.even[v]
			}
		}
	}
	p.even = b.take()
	p.makeBonds(b)
	all := append(append([]parts(nil), p.spots...), p.even)
	for _, q := range p.bonds {
		all = append(all, q.parts)
	}
	var err error
	if p.gram, p.halves, err = p.grams(p.halves, all); err != nil {
		return err
	}
	first := len(p.spots) + 1
	nb := len(p.bonds)
	a := make([][]float64, nb)
	for i := range a {
		a[i] = append([]float64(nil), p.gram[first+i][first:]...)
		a[i][i] += p.bonds[i].give
		if i+1 < nb {
			a[i][i+1] += p.bonds[i].next
		}
		if i > 0 {
			a[i][i-1] += p.bonds[i-1].next
		}
	}
	var ok bool
	if p.inner, ok = newDense(a); !ok {
		return &StiffnessError{errors.New("the supports contradict each other")}
	}
	return nil
}

// grams gives how each of several loads works on the movement under each other, bonds aside, and the half-solved loads, in the
// room of old ones.
func (p *Plate) grams(old [3]*sparse.Half, all []parts) (gram [][]float64, halves [3]*sparse.Half, err error) {
	n := len(all)
	gram = make([][]float64, n)
	for i := range gram {
		gram[i] = make([]float64, n)
	}
	for k, s := range []*system{p.bend, p.shear, p.stretch} {
		if s == nil {
			continue
		}
		vs := make([]sparse.Vector, n)
		for i := range all {
			vs[i] = [3]sparse.Vector{all[i].bend, all[i].shear, all[i].stretch}[k]
		}
		h, err := s.factor.ForwardIn(old[k], vs)
		if err != nil {
			return nil, halves, &StiffnessError{err}
		}
		halves[k] = h
		for i, row := range h.Gram() {
			for j, v := range row {
				gram[i][j] += v
			}
		}
	}
	return gram, halves, nil
}

// bondForces gives the forces in the bonds under loads on the spots and on the whole face.
func (p *Plate) bondForces(load []float64) []float64 {
	first := len(p.spots) + 1
	b := make([]float64, len(p.bonds))
	for i := range b {
		row := p.gram[first+i]
		for j, f := range load {
			b[i] += row[j] * f
		}
	}
	return p.inner.solve(b)
}

// Notices lists what to know about the model.
func (p *Plate) Notices() []Notice { return p.notices }

// Work tells how much the last step did.
func (p *Plate) Work() Work { return p.work }
