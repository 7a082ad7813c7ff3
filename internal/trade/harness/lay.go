package harness

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/trade/wiring"
)

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }

// lay finds the way of every wire and its length.
func (w *worker) lay() {
	spare := 10.0
	if s := w.p.Wiring.Wire.Spare.MM(); s > 0 {
		spare = s
	}
	loose := 10.0
	if l := w.p.Wiring.Wire.Lay; l > 0 && l <= 100 {
		loose = l
	}
	w.raw = make([][]geom.Vec3, len(w.link))
	for i, l := range w.link {
		x := Wire{ID: "W" + itoa(i+1), Net: l.net, From: l.from, To: l.to, Ribbon: -1}
		a, b := w.spot[l.from], w.spot[l.to]
		var more float64
		w.raw[i], more = w.way(a, b)
		x.Path = plainer(w.raw[i])
		if len(x.Path) == 1 {
			x.Path = append(x.Path, x.Path[0])
		}
		x.Run = run(x.Path)
		x.Moves = w.group(w.sheetOf(a)) != w.group(w.sheetOf(b))
		x.Slack = x.Run*loose/100 + more
		x.Length = math.Ceil((x.Run+x.Slack+2*spare)/5-1e-9) * 5
		x.Strip = [2]float64{w.strip(l.from), w.strip(l.to)}
		x.Wire = w.use[w.useOf(l.net)].ID
		if l.chain >= 0 {
			c := &w.r.Chains[l.chain]
			c.Wires = append(c.Wires, i)
		}
		w.r.Wires = append(w.r.Wires, x)
	}
}

// way gives the polyline of a wire in the box frame, cell by cell, and what it needs beyond that when the box opens.
func (w *worker) way(a, b spot) (path []geom.Vec3, more float64) {
	if a.board >= 0 && b.board < 0 {
		path, more = w.way(b, a)
		slices.Reverse(path)
		return path, more
	}
	u, v := w.sheetOf(a), w.sheetOf(b)
	switch {
	case a.at == b.at:
		return []geom.Vec3{a.at, b.at}, 0
	case a.board < 0 && b.board < 0 && a.sheet == b.sheet:
		return w.across(w.grids[a.sheet], a, b, a.sheet, onSheet), 0
	case u == v && a.board >= 0 && a.board == b.board: // on one board
		g, layer := w.grids[max(u, 0)], onBase
		if u >= 0 {
			layer = onSheet
		}
		return w.across(g, a, b, max(u, 0), layer), 0
	case u < 0 && v < 0:
		return w.across(w.grids[0], a, b, 0, onBase), 0
	case u == v && (a.board < 0) == (b.board < 0):
		return w.across(w.grids[u], a, b, u, onSheet), 0
	case b.board >= 0 && u >= 0:
		return w.half(a, b, u, b.board)
	case a.board >= 0 && v >= 0:
		path, more = w.half(b, a, v, a.board)
		slices.Reverse(path)
		return path, more
	}
	if u < 0 || v < 0 { // from something in a wall, or on the base, to something else that goes with the face
		k := max(u, v, 0)
		path = w.across(w.grids[k], a, b, k, onBase)
		if g, h := w.group(u), w.group(v); g != h {
			more = max(0, w.apart(a.at, g, b.at, h)+w.service-run(path))
		}
		return path, more
	}
	// from one face to the other: by way of the board, past one of its pins
	pu, pv := w.meet(u, v)
	pa, ea := w.half(a, pu, u, 0)
	pb, eb := w.half(b, pv, v, 0)
	over := w.boards[0].pose.Z.Mul(w.boards[0].top() + 3) // not down to the pins, but across above them
	if pu.board >= 0 {
		pa[len(pa)-1] = pu.at.Add(over)
	}
	if pv.board >= 0 {
		pb[len(pb)-1] = pv.at.Add(over)
	}
	slices.Reverse(pb)
	return append(pa, pb...), ea + eb
}

// meet gives pins of the module over which there is room behind each of two sheets, the same for both where there is one; without a board
// when there is none.
func (w *worker) meet(u, v int) (pu, pv spot) {
	pu, pv = spot{sheet: -1, board: -1}, spot{sheet: -1, board: -1}
	for _, l := range w.boards[0].part.Lugs {
		p := w.spot[wiring.Terminal{Of: w.boards[0].name, Lug: l.Name}]
		a, b := w.above(p, u).at != p.at, w.above(p, v).at != p.at
		if a && b {
			return p, p
		}
		if a && pu.board < 0 {
			pu = p
		}
		if b && pv.board < 0 {
			pv = p
		}
	}
	return pu, pv
}

// across runs from a spot to another in one layer.
func (w *worker) across(g *grid, a, b spot, sheet, layer int) []geom.Vec3 {
	ca, cb := w.cellOf(a, sheet), w.cellOf(b, sheet)
	if a.sheet == sheet && b.sheet == sheet {
		if path := w.jump(g, a, b); path != nil {
			return path
		}
	}
	path := w.reach(g, a, ca, sheet, layer)
	if cells := g.between(&w.search, ca, cb, layer); cells != nil {
		path = append(path, g.points(cells, layer)...)
	}
	down := w.reach(g, b, cb, sheet, layer)
	slices.Reverse(down)
	return append(path, down...)
}

// jumper is how far apart lugs may be to be joined straight from tip to tip, mm. Common practice: a jumper of a hand's breadth holds
// itself.
const jumper = 90

// jump joins two lugs of a sheet straight, at the depth of the deeper one, over whatever stands between; nil when that does not do.
func (w *worker) jump(g *grid, a, b spot) []geom.Vec3 {
	p, q := w.back[a.sheet].Apply(a.at).XY(), w.back[b.sheet].Apply(b.at).XY()
	d := q.Sub(p)
	far := d.Len()
	if far > jumper || far == 0 || !g.open(a.cell) || !g.open(b.cell) {
		return nil
	}
	depth := max(g.low[a.cell], g.low[b.cell])
	side := geom.Vec2{X: -d.Y, Y: d.X}.Mul(1 / far)
	n := max(1, int(math.Ceil(far)))
	for i := 0; i <= n; i++ {
		for _, off := range [3]float64{0, -1, 1} {
			c := g.cell(p.Add(d.Mul(float64(i) / float64(n))).Add(side.Mul(off)))
			if depth < g.low[c] || depth > g.high[c] {
				return nil
			}
		}
	}
	return []geom.Vec3{a.at, g.point(p, depth), g.point(q, depth), b.at}
}

// reach leads from a spot straight away from what it sits on, to the depth where wires lie in its cell.
func (w *worker) reach(g *grid, s spot, cell, sheet, layer int) []geom.Vec3 {
	if s.sheet == sheet {
		return []geom.Vec3{s.at, g.point(w.back[sheet].Apply(s.at).XY(), g.level[layer][cell])}
	}
	o := w.above(s, sheet)
	return []geom.Vec3{s.at, o.at, g.point(w.back[sheet].Apply(o.at).XY(), g.level[layer][cell])}
}

// half is the way from a spot over its sheet to the board, and to a pin of it when that is given.
func (w *worker) half(a, pin spot, sheet, board int) (path []geom.Vec3, more float64) {
	g, x := w.grids[sheet], w.exit[[2]int{sheet, board}]
	c := w.cellOf(a, sheet)
	path = w.reach(g, a, c, sheet, onSheet)
	if x == nil {
		if pin.board >= 0 {
			path = append(path, pin.at)
		}
		return path, 0
	}
	path = append(path, g.points(x.tree.path(c), onSheet)...)
	path = append(path, x.loop...)
	if pin.board < 0 {
		return path, x.more
	}
	cp := w.cellOf(pin, sheet)
	cells := x.last.path(cp)
	slices.Reverse(cells)
	path = append(path, g.points(cells, x.last.layer)...)
	down := w.reach(g, pin, cp, sheet, x.last.layer)
	slices.Reverse(down)
	return append(path, down...), x.more
}

// strip is how much insulation comes off at an end, mm: through a lug's eye and round it, or into a board. Common practice.
func (w *worker) strip(t wiring.Terminal) float64 {
	if w.spot[t].board >= 0 {
		if w.p.Wiring.Ends == "crimped" {
			return 2.5
		}
		return 4
	}
	return 7
}
