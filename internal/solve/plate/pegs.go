package plate

import (
	"math"
	"slices"
)

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
