package plate

// lookForSlits notes long thin openings whose edges have no grid lines.
func (p *Plate) lookForSlits() {
	g := &p.grid
	for i, s := range p.openings {
		round := 0.0
		lined := true
		for k := range s.runs {
			r := &s.runs[k]
			l := r.length()
			round += l
			if r.r > 0 || l < straightEdge*g.h {
				continue
			}
			onX := r.a.X == r.b.X && g.xs[nearest(g.xs, r.a.X)] == r.a.X
			onY := r.a.Y == r.b.Y && g.ys[nearest(g.ys, r.a.Y)] == r.a.Y
			lined = lined && (onX || onY)
		}
		if width := 2 * s.area / round; width < thinSlit*g.h && round/2 > straightEdge*g.h && !lined {
			at := s.lo.Add(s.hi).Mul(0.5)
			p.notices = append(p.notices, Notice{ThinSlit, i, p.frame.out(at), width})
		}
		for j, q := range p.openings[:i] {
			if s.lo.X < q.hi.X && q.lo.X < s.hi.X && s.lo.Y < q.hi.Y && q.lo.Y < s.hi.Y {
				o, n := p.model.Openings[i].Outline, p.model.Openings[j].Outline
				if gap, at, _ := o.Gap(n); gap < 0 {
					p.notices = append(p.notices, Notice{Overlap, i, at, -gap})
				}
			}
		}
	}
}

// thinSlit is the width of an opening, in cells, below which a cell may hold both its edges and tie them together.
const thinSlit = 0.5

// lookAtRibs notes ribs over openings.
func (p *Plate) lookAtRibs(s *slabs) error {
	for i := range p.ribs {
		r := &p.ribs[i]
		const steps = 64
		over := 0
		var at vec
		for k := range steps {
			q := r.a.Add(r.b.Sub(r.a).Mul((float64(k) + 0.5) / steps))
			if _, off := s.find(q); off > 1e-6*p.grid.h {
				if over == 0 {
					at = q
				}
				over++
			}
		}
		if over == steps {
			rib := p.model.Ribs[i]
			return &InputError{Thing: "rib", Index: i, Name: rib.Name, Field: "place", Value: rib.A.X, Want: "a rib on the sheet", At: rib.A}
		}
		if over > 0 {
			p.notices = append(p.notices, Notice{RibOverOpening, i, p.frame.out(at), r.length * float64(over) / steps})
		}
	}
	return nil
}
