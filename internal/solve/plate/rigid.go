package plate

import (
	"math"
	"slices"
)

// hold gathers what keeps a rigid piece from moving: sums of squares of (1, x, y)·motion over supports.
type hold struct {
	m     [3][3]float64
	names []string // of the supports that touch it, once each
}

func (h *hold) add(row [3]float64, name string) {
	for i := range 3 {
		for j := range 3 {
			h.m[i][j] += row[i] * row[j]
		}
	}
	if !slices.Contains(h.names, name) {
		h.names = append(h.names, name)
	}
}

// free gives the motions (a, b, c): a + b·x + c·y that nothing resists.
func (h *hold) free() [][3]float64 {
	val, vec := jacobi(h.m)
	top := max(val[0], val[1], val[2])
	if top == 0 {
		return [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	}
	var out [][3]float64
	for i, v := range val {
		if v < 1e-8*top {
			out = append(out, [3]float64{vec[0][i], vec[1][i], vec[2][i]})
		}
	}
	return out
}

// jacobi gives eigenvalues and eigenvectors (columns) of a symmetric 3 x 3 matrix.
func jacobi(a [3][3]float64) (val [3]float64, v [3][3]float64) {
	for i := range 3 {
		v[i][i] = 1
	}
	for range 30 {
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			p, q := pq[0], pq[1]
			if a[p][q] == 0 {
				continue
			}
			th := (a[q][q] - a[p][p]) / (2 * a[p][q])
			t := sign(th) / (math.Abs(th) + math.Sqrt(th*th+1))
			c := 1 / math.Sqrt(t*t+1)
			s := t * c
			for k := range 3 {
				a[k][p], a[k][q] = c*a[k][p]-s*a[k][q], s*a[k][p]+c*a[k][q]
			}
			for k := range 3 {
				a[p][k], a[q][k] = c*a[p][k]-s*a[q][k], s*a[p][k]+c*a[q][k]
			}
			for k := range 3 {
				v[k][p], v[k][q] = c*v[k][p]-s*v[k][q], s*v[k][p]+c*v[k][q]
			}
		}
	}
	for i := range 3 {
		val[i] = a[i][i]
	}
	return
}

// connect finds the pieces of the sheet and how each is held, and names what is free to move.
func (p *Plate) connect() error {
	s := p.newSlabs()
	total := 0.0
	for _, q := range s.list {
		total += q.area
	}
	if len(s.list) == 0 || !(total > 1e-6*p.outline.area) {
		return p.empty()
	}
	if p.area == 0 {
		return p.empty()
	}
	scale := p.outline.hi.Sub(p.outline.lo)
	mid := p.outline.lo.Add(p.outline.hi).Mul(0.5)
	row := func(q vec) [3]float64 { return [3]float64{1, (q.X - mid.X) / scale.X, (q.Y - mid.Y) / scale.Y} }
	less := min(scale.X, scale.Y)
	holds := make([]hold, len(s.list))
	m := &p.model
	for i, l := range m.Lines {
		a, b := p.frame.in(l.A), p.frame.in(l.B)
		n := b.Sub(a).Unit().Left()
		const steps = 24
		met := false
		for k := range steps {
			q := a.Add(b.Sub(a).Mul((float64(k) + 0.5) / steps))
			part, off := s.find(q)
			if part < 0 || off > merge*p.grid.h {
				continue
			}
			met = true
			holds[part].add(row(q), l.Name)
			if l.Spring > 0 {
				holds[part].add([3]float64{0, n.X * less / scale.X, n.Y * less / scale.Y}, l.Name)
			}
		}
		if !met {
			return &InputError{Thing: "line", Index: i, Name: l.Name, Field: "place", Value: l.A.X, Want: "a line on the sheet", At: l.A}
		}
	}
	for i, pt := range m.Points {
		q := p.frame.in(pt.At)
		part, off := s.find(q)
		if part < 0 || off > max(pt.Diameter/2, p.st.t) {
			return &InputError{Thing: "point", Index: i, Name: pt.Name, Field: "place", Value: pt.At.X, Want: "a point on the sheet", At: pt.At}
		}
		holds[part].add(row(q), pt.Name)
	}
	var motions []Motion
	big := 0
	for k, q := range s.list {
		if q.area < smallPiece*total {
			if q.area > 1e-9*total {
				p.notices = append(p.notices, Notice{SmallPiece, -1, p.frame.out(q.inside), q.area})
			}
			continue
		}
		big++
		for _, f := range p.motions(&holds[k], scale, mid) {
			f.Piece, f.Whole = p.frame.out(q.inside), len(s.list) == 1
			motions = append(motions, f)
		}
	}
	if len(motions) > 0 {
		return &MechanismError{motions}
	}
	if big > 1 {
		least := slices.MinFunc(s.list, func(a, b piecePart) int {
			if a.area < smallPiece*total {
				return 1
			}
			return int(sign(a.area - b.area))
		})
		p.notices = append(p.notices, Notice{CutInTwo, -1, p.frame.out(least.inside), least.area})
	}
	p.lookForSlits()
	if err := p.lookAtRibs(s); err != nil {
		return err
	}
	p.dropDust()
	return nil
}

// smallPiece is the share of the sheet below which a loose piece is left out without more ado.
const smallPiece = 1e-4

// empty says that nothing is left, and which opening is to blame if one alone is.
func (p *Plate) empty() error {
	for i, o := range p.openings {
		if o.area >= p.outline.area*(1-1e-6) {
			name := p.model.Openings[i].Name
			if name == "" {
				name = "an opening"
			}
			return &EmptyError{name}
		}
	}
	return &EmptyError{}
}

// motions names the free motions of a piece.
func (p *Plate) motions(h *hold, scale, mid vec) []Motion {
	free := h.free()
	switch len(free) {
	case 0:
		return nil
	case 3:
		return []Motion{{Kind: Floats}}
	case 2:
		// held at one point: it tips along x and along y; combine so that one of the slopes is zero
		u, v := free[0], free[1]
		comb := func(k int) [3]float64 {
			a, b := v[k], -u[k]
			return [3]float64{a*u[0] + b*v[0], a*u[1] + b*v[1], a*u[2] + b*v[2]}
		}
		free = [][3]float64{comb(1), comb(2)}
	}
	var out []Motion
	for _, f := range free {
		g := vec{X: f[1] / scale.X, Y: f[2] / scale.Y}
		l := g.Len()
		if l == 0 {
			out = append(out, Motion{Kind: Floats})
			continue
		}
		n := g.Mul(1 / l)
		on := mid.Sub(n.Mul(f[0] / l)) // a + g·(q - mid) = 0
		m := Motion{Kind: Tips, On: p.frame.out(on), Along: p.frame.outDir(n.Left())}
		if m.Along.X < -1e-12 || math.Abs(m.Along.X) <= 1e-12 && m.Along.Y < 0 {
			m.Along = m.Along.Mul(-1)
		}
		m.About = p.onAxis(h, m)
		out = append(out, m)
	}
	return out
}

// onAxis names the support, or the two points, that lie on an axis.
func (p *Plate) onAxis(h *hold, m Motion) string {
	off := func(q vec) float64 { return math.Abs(q.Sub(m.On).Cross(m.Along)) }
	near := 1e-3 * max(p.outline.hi.X-p.outline.lo.X, p.outline.hi.Y-p.outline.lo.Y)
	for _, l := range p.model.Lines {
		if l.Name != "" && slices.Contains(h.names, l.Name) && off(l.A) < near && off(l.B) < near {
			return l.Name
		}
	}
	var on []string
	for _, pt := range p.model.Points {
		if pt.Name != "" && slices.Contains(h.names, pt.Name) && off(pt.At) < near {
			on = append(on, pt.Name)
		}
	}
	switch {
	case len(on) == 1:
		return on[0]
	case len(on) > 1:
		return on[0] + " and " + on[len(on)-1]
	}
	return ""
}

// group numbers the cells with sheet by which of them share nodes; -1 for empty ones.
func (p *Plate) group() (of []int, n int) {
	g := &p.grid
	link := make([]int32, len(g.xs)*len(g.ys))
	for i := range link {
		link[i] = int32(i)
	}
	find := func(i int32) int32 {
		for link[i] != i {
			link[i] = link[link[i]]
			i = link[i]
		}
		return i
	}
	for c := range p.cells {
		if p.cells[c].state == void {
			continue
		}
		ns := g.nodes(c)
		for _, v := range ns[1:] {
			link[find(int32(v))] = find(int32(ns[0]))
		}
	}
	of = make([]int, len(p.cells))
	number := map[int32]int{}
	for c := range p.cells {
		of[c] = -1
		if p.cells[c].state == void {
			continue
		}
		r := find(int32(g.nodes(c)[0]))
		k, ok := number[r]
		if !ok {
			k = n
			number[r] = k
			n++
		}
		of[c] = k
	}
	return of, n
}

// dropDust empties groups of cells that no support reaches: only pieces too small to matter can be among them.
func (p *Plate) dropDust() {
	of, n := p.group()
	if n <= 1 {
		return
	}
	keep := make([]bool, n)
	reach := func(q vec) {
		if c, ok := p.cellAt(q); ok {
			keep[of[c]] = true
		}
	}
	for _, l := range p.model.Lines {
		for _, s := range p.split(p.frame.in(l.A), p.frame.in(l.B)) {
			reach(s.a.Add(s.b).Mul(0.5))
		}
	}
	for _, pt := range p.model.Points {
		reach(p.frame.in(pt.At))
	}
	for c, k := range of {
		if k >= 0 && !keep[k] {
			p.dusty = true
			p.cells[c] = cell{state: void, near: p.cells[c].near}
		}
	}
	clear(p.live)
	for c := range p.cells {
		if p.cells[c].state != void {
			for _, v := range p.grid.nodes(c) {
				p.live[v] = true
			}
		}
	}
}

// choosePegs finds which groups of cells the lines alone leave free to move; three of their nodes get springs, which bonds
// take out again. Groups without any line get one node that holds the movement from shear.
func (p *Plate) choosePegs() {
	g := &p.grid
	of, n := p.group()
	holds := make([]hold, n)
	scale := max(p.outline.hi.X-p.outline.lo.X, p.outline.hi.Y-p.outline.lo.Y)
	wide := p.outline.hi.Sub(p.outline.lo)
	row := func(q vec) [3]float64 {
		return [3]float64{1, (q.X - p.outline.lo.X) / wide.X, (q.Y - p.outline.lo.Y) / wide.Y}
	}
	less := min(wide.X, wide.Y)
	lined := make([]bool, n)
	for i := range p.lines {
		r := &p.lines[i]
		across := r.dir.Left()
		for _, s := range r.pieces {
			k := of[s.cell]
			lined[k] = true
			holds[k].add(row(s.a), "")
			holds[k].add(row(s.b), "")
			if r.spring > 0 {
				holds[k].add([3]float64{0, across.X * less / wide.X, across.Y * less / wide.Y}, "")
			}
		}
	}
	nodes := make([][]int, n)
	seen := make([]bool, len(g.xs)*len(g.ys))
	for c, k := range of {
		if k < 0 {
			continue
		}
		for _, v := range g.nodes(c) {
			if !seen[v] && p.held.bend[v]&1 == 0 {
				seen[v] = true
				nodes[k] = append(nodes[k], v)
			}
		}
	}
	d := (p.st.d11 + p.st.d22) / 2
	p.pegStiff = 50 * d / (scale * scale)
	for k := range n {
		if len(nodes[k]) == 0 {
			continue
		}
		far := func(score func(vec) float64) int {
			return slices.MaxFunc(nodes[k], func(a, b int) int {
				return int(sign0(score(g.point(a)) - score(g.point(b))))
			})
		}
		a := far(func(q vec) float64 { return q.X + q.Y })
		if !lined[k] {
			p.pins = append(p.pins, a)
		}
		if len(holds[k].free()) == 0 {
			continue
		}
		pa := g.point(a)
		b := far(func(q vec) float64 { return q.Sub(pa).Len() })
		ab := g.point(b).Sub(pa)
		c := far(func(q vec) float64 { return math.Abs(ab.Cross(q.Sub(pa))) })
		p.pegs = append(p.pegs, a, b, c)
	}
}

func sign0(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

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
