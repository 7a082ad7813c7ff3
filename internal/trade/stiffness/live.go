package stiffness

import (
	"errors"
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/solve/plate"
)

// Live keeps the faces of a panel ready while a hand changes it: a control that moves redoes of the equations only what its hole
// touches. It is not safe for use by several goroutines at once. The zero value is ready.
type Live struct {
	plates map[string]*plate.Plate // by the face's path
}

// See works out how far every face gives under every press. Stress, frequency and proposals are left out: [Work] and [See] tell them.
// The numbers are the same as theirs.
func (l *Live) See(p *panel.Panel) (out []*Face) {
	if p == nil || !p.Face.HasSize() {
		return nil
	}
	for _, f := range faces(unwatched(p)) {
		out = append(out, f)
		if f.Failed != "" {
			continue
		}
		if old := l.plates[f.path]; old != nil && f.updated(old) == nil {
			f.gives(old)
			continue
		}
		ready, err := f.bend() // says what is wrong, and leaves out what has no sheet over it
		delete(l.plates, f.path)
		if !f.cannot(err) {
			if l.plates == nil {
				l.plates = map[string]*plate.Plate{}
			}
			l.plates[f.path] = ready
			f.gives(ready)
		}
	}
	return out
}

// updated makes an earlier plate ready for this face.
func (f *Face) updated(old *plate.Plate) error {
	m := f.model
	m.Cases = nil
	return old.Update(m)
}

// gives reads off the movements alone.
func (f *Face) gives(p *plate.Plate) {
	res := &plate.Result{}
	for _, row := range p.Compliance() {
		res.Cases = append(res.Cases, plate.CaseResult{Give: row})
	}
	f.read(res)
}

// cannot notes why a face could not be reckoned, and reports whether that is so.
func (f *Face) cannot(err error) bool {
	var loose *plate.MechanismError
	switch {
	case err == nil:
		return false
	case errors.As(err, &loose):
		for _, m := range loose.Motions {
			if s := m.String(); !slices.Contains(f.Loose, s) {
				f.Loose = append(f.Loose, s)
			}
		}
	default:
		f.Failed = err.Error()
	}
	return true
}

// See works out all faces as Work does, without proposals and findings.
func See(p *panel.Panel) (out []*Face) {
	if p == nil || !p.Face.HasSize() {
		return nil
	}
	for _, f := range faces(unwatched(p)) {
		f.reckon()
		out = append(out, f)
	}
	return out
}

// unwatched is the panel with limits that do not note who asked for them, so that several may read it at once.
func unwatched(p *panel.Panel) *panel.Panel {
	q := *p
	q.Limits.Used = nil
	q.Sides = slices.Clone(p.Sides)
	for i, s := range q.Sides {
		if s == nil || s.Panel == nil {
			continue
		}
		side, own := *s, *s.Panel
		own.Limits.Used = nil
		side.Panel = &own
		q.Sides[i] = &side
	}
	return &q
}

// Judge says what is wrong with a face that was seen; fixes that take longer to find are left out.
func (f *Face) Judge() []finding.Finding { return f.judge(nil) }

// RibPath and FreePath are where ribs and rectangles without ribs stand in the file; the upper face has none of the latter.
func (f *Face) RibPath() string { return f.path }

// FreePath is where rectangles stand under which no rib is to be proposed; "" = this face has none.
func (f *Face) FreePath() string {
	if f.Panel.Board != "" || f.Panel.Box == nil {
		return ""
	}
	return "box.rib-free"
}

// ProposeAfresh looks for ribs as Propose does, as if those of the file that are not pinned were not there; its edits take them out.
func (f *Face) ProposeAfresh(target float64) {
	f.Proposal = nil
	aside := map[string]bool{}
	for _, r := range f.Ribs {
		if !r.Pinned && r.Path != "" {
			aside[r.Path] = true
		}
	}
	if len(aside) == 0 || f.Failed != "" || len(f.Loose) > 0 {
		f.Propose(target)
		return
	}
	g := f.copied()
	g.aside = aside
	g.Ribs, g.model.Ribs = nil, nil
	for i, r := range f.Ribs {
		if !aside[r.Path] {
			g.Ribs, g.model.Ribs = append(g.Ribs, r), append(g.model.Ribs, f.model.Ribs[i])
		}
	}
	g.reckon()
	g.Propose(target)
	pr := g.Proposal
	if pr == nil {
		return
	}
	pr.Before = f.Springiest()
	var edits []finding.Edit
	for _, r := range f.Ribs {
		if aside[r.Path] {
			edits = append(edits, finding.Edit{Op: finding.Delete, Path: r.Path})
			pr.Without = append(pr.Without, r)
		}
	}
	pr.Edits = append(edits, pr.Edits...)
	f.Proposal = pr
}

// MapOf is the map with a proposal carried out.
func (f *Face) MapOf(pr *Proposal, places int) (Map, bool) {
	if len(pr.Without) == 0 {
		return f.Map(pr.Ribs, places)
	}
	g := f.copied()
	g.Ribs, g.model.Ribs = nil, nil
	for i, r := range f.Ribs {
		if !slices.ContainsFunc(pr.Without, func(o Rib) bool { return o.Path == r.Path }) {
			g.Ribs, g.model.Ribs = append(g.Ribs, r), append(g.model.Ribs, f.model.Ribs[i])
		}
	}
	return g.Map(pr.Ribs, places)
}

// Shape is how a face bends: how far it moves away from the person at the places of a lattice.
type Shape struct {
	Xs, Ys []float64   // mm, face frame
	Move   [][]float64 // mm, by row (Ys) and column (Xs)
	On     [][]bool    // whether there is sheet, or an opening in it
	Most   float64     // mm
}

// Bent gives the shape of a face under a push of so many newtons at one of its presses, with about so many places along its longer
// side. ok is false when the face could not be reckoned.
func (f *Face) Bent(press int, newton float64, places int) (s Shape, ok bool) {
	if f.Failed != "" || len(f.Loose) > 0 || press < 0 || press >= len(f.Presses) || places < 2 {
		return s, false
	}
	m := f.model
	m.Cases = []plate.Case{{Forces: []plate.Force{{Spot: press, Newton: newton}}}}
	p, err := plate.New(m)
	if err != nil {
		return s, false
	}
	res, err := p.Solve()
	if err != nil {
		return s, false
	}
	c := &res.Cases[0]
	box := f.Panel.Face.Outline.Bounds()
	s.Xs, s.Ys = lattice(box, places)
	for _, y := range s.Ys {
		row, on := make([]float64, len(s.Xs)), make([]bool, len(s.Xs))
		for i, x := range s.Xs {
			q := geom.Vec2{X: x, Y: y}
			row[i], on[i] = c.At(q)
		}
		s.Move, s.On = append(s.Move, row), append(s.On, on)
	}
	s.fill()
	for j, row := range s.Move {
		for i, v := range row {
			if s.On[j][i] {
				s.Most = max(s.Most, v)
			}
		}
	}
	return s, true
}

// fill gives places over openings the mean of their neighbours, so that what sits in them moves along.
func (s *Shape) fill() {
	for changed := true; changed; {
		changed = false
		type add struct {
			i, j int
			v    float64
		}
		var adds []add
		for j := range s.Ys {
			for i := range s.Xs {
				if s.On[j][i] {
					continue
				}
				sum, n := 0.0, 0.0
				for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					a, b := i+d[0], j+d[1]
					if a >= 0 && b >= 0 && a < len(s.Xs) && b < len(s.Ys) && s.On[b][a] {
						sum += s.Move[b][a]
						n++
					}
				}
				if n >= 2 {
					adds = append(adds, add{i, j, sum / n})
				}
			}
		}
		for _, a := range adds {
			s.Move[a.j][a.i], s.On[a.j][a.i], changed = a.v, true, true
		}
	}
}

// At gives how far the face moves at a place, between those of the lattice.
func (s Shape) At(q geom.Vec2) float64 {
	if len(s.Xs) < 2 || len(s.Ys) < 2 {
		return 0
	}
	cell := func(xs []float64, x float64) (int, float64) {
		i, _ := slices.BinarySearch(xs, x)
		i = min(max(i-1, 0), len(xs)-2)
		return i, min(max((x-xs[i])/(xs[i+1]-xs[i]), 0), 1)
	}
	i, u := cell(s.Xs, q.X)
	j, v := cell(s.Ys, q.Y)
	return (1-v)*((1-u)*s.Move[j][i]+u*s.Move[j][i+1]) + v*((1-u)*s.Move[j+1][i]+u*s.Move[j+1][i+1])
}

// Laid gives the faces of a panel as models, nothing reckoned yet.
func Laid(p *panel.Panel) []*Face {
	if p == nil || !p.Face.HasSize() {
		return nil
	}
	return faces(unwatched(p))
}

// Stock is the width and height of the ribs that are proposed for this face, mm.
func (f *Face) Stock() (width, height float64) {
	s := f.stockOf()
	return s.width, s.height
}

// Say tells in a sentence what a proposal does.
func (pr *Proposal) Say() string {
	to := " the worst press goes from " + give(pr.Before, pr.Inches) + " to " + give(pr.After, pr.Inches)
	if !pr.Reached {
		to += ", still more than " + give(pr.Target, pr.Inches)
	}
	switch {
	case len(pr.Without) > 0 && len(pr.Ribs) > 0:
		return "With " + plural(len(pr.Ribs), "rib") + " in place of " + plain(float64(len(pr.Without)), 0) + to + "."
	case len(pr.Without) > 0 && pr.Reached:
		return "Without " + plural(len(pr.Without), "rib") + to + ": it is not needed."
	case len(pr.Ribs) > 0:
		return "With " + plural(len(pr.Ribs), "more rib") + to + "."
	case pr.Reached:
		return "No rib is needed: no press gives more than " + give(pr.Target, pr.Inches) + "."
	case pr.Places == 0:
		return "There is no room behind the face for a rib of this stock."
	}
	return "None of " + plural(pr.Places, "place") + " for a rib helps."
}
