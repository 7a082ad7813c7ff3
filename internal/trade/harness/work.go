package harness

import (
	"math"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// Work lays the wires. It never panics on a plan that is half finished: what can be wired is. The same panel and plan give the same
// result.
func Work(p *panel.Panel, plan wiring.Result, cat *catalog.Catalog) Result {
	w := &worker{p: p, w: plan, cat: cat}
	w.r.Partial = plan.Plan.Partial
	if len(plan.Nets) == 0 || len(plan.Boards) == 0 || !p.Face.HasSize() {
		return w.r
	}
	for _, s := range p.Sheets() {
		w.grids = append(w.grids, newGrid(s))
	}
	w.lids()
	w.place()
	w.spots()
	w.choose()
	w.links()
	w.exits()
	w.lay()
	w.colours()
	w.bundles()
	w.joints()
	w.cut()
	w.rings()
	w.power()
	w.judge()
	w.r.Findings = w.found
	return w.r
}

// worker carries what is constant while one harness is laid.
type worker struct {
	p     *panel.Panel
	w     wiring.Result
	cat   *catalog.Catalog
	r     Result
	found []finding.Finding

	grids  []*grid
	lid    []lid // by grid
	boards []boardAt
	spot   map[wiring.Terminal]spot
	link   []link
	exit   map[[2]int]*exit // by sheet and board
	use    [4]catalog.Wire  // by useOf
}

// link is a wire that is wanted, before it is laid.
type link struct {
	net      int
	from, to wiring.Terminal
	chain    int // index into Result.Chains, -1 = single
}

// exit is where the wires of a sheet leave it on their way to a board.
type exit struct {
	cell int
	tree *tree
	at   geom.Vec3 // last point on the sheet
	in   geom.Vec3 // first point at the board
	open float64   // longest distance between the two while the box opens
}

// mm writes a length as the person reads it.
func (w *worker) mm(v float64) string {
	if w.p.Units == "in" {
		return length.Format(length.Length(v), length.Inch)
	}
	return plain(v) + " mm"
}

// say files a finding under a rule.
func (w *worker) say(r finding.Rule, f finding.Finding) {
	f.Rule = r.Name
	if f.Severity < r.Severity {
		f.Severity = r.Severity
	}
	w.found = append(w.found, f)
}

// carrier tells what a spot moves with: a sheet that opens, or -1 for all that stays.
func (w *worker) carrier(s spot) int {
	i := s.sheet
	if s.board >= 0 {
		i = w.boards[s.board].on
	}
	if i >= 0 && w.lid[i].moves {
		return i
	}
	return -1
}

// apart gives the longest distance of two points while the box opens; u and v are their carriers.
func (w *worker) apart(a geom.Vec3, u int, b geom.Vec3, v int) float64 {
	far := a.Sub(b).Len()
	switch {
	case u == v:
		return far
	case v < 0:
		return w.lid[u].open(a, b)
	case u < 0:
		return w.lid[v].open(b, a)
	}
	return w.lid[u].open(a, b) + w.lid[v].open(b, a) - far
}

// exits finds for every sheet and board that exchange wires where the bundle leaves the sheet: behind the board, on the way to the
// hinge, or at it, wherever all wires together come out shortest.
func (w *worker) exits() {
	count := map[[2]int]map[int]float64{}
	var keys [][2]int
	note := func(s spot, board int) {
		k := [2]int{s.sheet, board}
		if count[k] == nil {
			count[k] = map[int]float64{}
			keys = append(keys, k)
		}
		count[k][s.cell]++
	}
	for _, l := range w.link {
		a, b := w.spot[l.from], w.spot[l.to]
		switch {
		case a.board < 0 && b.board >= 0:
			note(a, b.board)
		case b.board < 0 && a.board >= 0:
			note(b, a.board)
		case a.board < 0 && b.board < 0 && a.sheet != b.sheet:
			note(a, 0)
			note(b, 0)
		}
	}
	w.exit = map[[2]int]*exit{}
	for range 2 { // once to see where wires run together, once more to gather them there
		for _, k := range keys {
			w.exit[k] = w.findExit(k[0], k[1], count[k])
		}
		for _, g := range w.grids {
			clear(g.flow)
		}
		for _, k := range keys {
			g, x := w.grids[k[0]], w.exit[k]
			for c, n := range count[k] {
				for _, i := range x.tree.path(c) {
					g.flow[i] += n
				}
			}
		}
	}
}

// findExit tries the places where a bundle may leave a sheet.
func (w *worker) findExit(sheet, board int, count map[int]float64) *exit {
	g, b, l := w.grids[sheet], w.boards[board], w.lid[sheet]
	back := g.sheet.ToBox.Inverse()
	over := back.Apply(b.middle).XY()
	tries := []geom.Vec2{over}
	if b.on != sheet && l.moves {
		for _, t := range []float64{0.5, 0.9} {
			tries = append(tries, over.Add(geom.Vec2{X: over.X, Y: l.edge.Y}.Sub(over).Mul(t)))
			if l.edge.Y != g.sheet.Face.Height && l.edge.Y != 0 { // hinged at a side
				tries[len(tries)-1] = over.Add(geom.Vec2{X: l.edge.X, Y: over.Y}.Sub(over).Mul(t))
			}
		}
	}
	var best *exit
	least := math.Inf(1)
	for _, at := range tries {
		x := &exit{cell: g.free(at)}
		x.at = g.sheet.ToBox.Apply(g.at(x.cell))
		x.tree = g.grow(x.cell)
		x.in = b.in[0]
		for _, in := range b.in {
			if in.Sub(x.at).Len() < x.in.Sub(x.at).Len()-1e-6 {
				x.in = in
			}
		}
		u, v := -1, -1
		if l.moves {
			u = sheet
		}
		if b.on >= 0 && w.lid[b.on].moves {
			v = b.on
		}
		x.open = w.apart(x.at, u, x.in, v)
		sum := 0.0
		for _, c := range sortedKeys(count) {
			cost := x.tree.cost[c]
			if math.IsInf(cost, 1) {
				cost = 1e5
			}
			sum += count[c] * (cost + x.open)
		}
		if sum < least-1e-6 {
			best, least = x, sum
		}
	}
	return best
}

// free gives the cell nearest to a point that wires can come to.
func (g *grid) free(at geom.Vec2) int {
	c := g.cell(at)
	if !math.IsInf(g.pay[c], 1) {
		return c
	}
	best, least := c, math.Inf(1)
	for i := range g.pay {
		if d := g.middle(i%g.w, i/g.w).Sub(at).Len(); d < least && !math.IsInf(g.pay[i], 1) {
			best, least = i, d
		}
	}
	return best
}
