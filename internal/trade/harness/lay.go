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

// links turns nets into wires that are wanted: a lead where a net has two ends, chains where it has more.
func (w *worker) links() {
	for ni, n := range w.w.Nets {
		if n.Kind == wiring.NetInner {
			continue
		}
		var pins, lugs []wiring.Terminal
		at := map[spot]bool{} // a fitting on a lug of its own net wants no second wire
		for _, t := range n.Terms {
			s, ok := w.spot[t]
			switch {
			case !ok:
			case s.board >= 0:
				pins = append(pins, t)
			case !at[s]:
				at[s] = true
				lugs = append(lugs, t)
			}
		}
		switch {
		case len(pins) == 1 && len(lugs) == 1:
			w.link = append(w.link, link{ni, pins[0], lugs[0], -1})
		case len(pins)+len(lugs) > 1:
			w.chains(ni, n, pins, lugs)
		}
	}
}

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
	for i, l := range w.link {
		x := Wire{ID: "W" + itoa(i+1), Net: l.net, From: l.from, To: l.to, Ribbon: -1}
		var extra float64
		x.Path, extra = w.way(l.from, l.to)
		x.Run = run(x.Path)
		x.Moves = w.carrier(w.spot[l.from]) != w.carrier(w.spot[l.to])
		x.Slack = x.Run*loose/100 + extra
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

// way gives the polyline of a wire in the box frame and what it needs beyond that when the box opens.
func (w *worker) way(from, to wiring.Terminal) (path []geom.Vec3, extra float64) {
	a, b := w.spot[from], w.spot[to]
	switch {
	case a.board >= 0 && b.board >= 0:
		if a.board == b.board {
			return []geom.Vec3{a.at, b.at}, 0
		}
		u, v := w.carrier(a), w.carrier(b)
		return []geom.Vec3{a.at, b.at}, w.apart(a.at, u, b.at, v) - a.at.Sub(b.at).Len() + 20
	case a.board < 0 && b.board < 0 && a.sheet == b.sheet:
		g := w.grids[a.sheet]
		cells := g.between(a.cell, b.cell)
		path = append(path, a.at)
		if len(cells) > 2 {
			path = append(path, g.points(cells[1:len(cells)-1])...)
		}
		return append(path, b.at), 0
	case a.board < 0 && b.board < 0:
		pa, ea := w.half(a, 0)
		pb, eb := w.half(b, 0)
		slices.Reverse(pb)
		return append(pa, pb...), ea + eb
	case a.board >= 0:
		p, e := w.half(b, a.board)
		p = append(p, a.at)
		slices.Reverse(p)
		return p, e
	}
	p, e := w.half(a, b.board)
	return append(p, b.at), e
}

// half is the way from a lug over its sheet to where the bundle meets a board.
func (w *worker) half(a spot, board int) (path []geom.Vec3, extra float64) {
	g, x := w.grids[a.sheet], w.exit[[2]int{a.sheet, board}]
	path = append(path, a.at)
	if x == nil {
		return path, 0
	}
	if cells := x.tree.path(a.cell); len(cells) > 1 {
		path = append(path, g.points(cells[1:])...)
	} else {
		path = append(path, x.at)
	}
	if w.boards[board].on == a.sheet {
		return path, 0
	}
	return append(path, x.in), x.open - x.at.Sub(x.in).Len()
}

// strip is how much insulation comes off at an end, mm: through a lug's eye and round it, or into a board. Common practice.
func (w *worker) strip(t wiring.Terminal) float64 {
	if w.spot[t].board >= 0 {
		return 4
	}
	return 7
}
