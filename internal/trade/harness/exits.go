package harness

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// exit is where the wires of a sheet leave it on their way to a board, and how they go on: the bundle is held at the exit and at the
// dock, and what lies between is free to move.
type exit struct {
	cell  int         // on the sheet
	dock  int         // cell at the board
	tree  *tree       // ways from lugs to the exit
	last  *tree       // ways from pins to the dock
	loop  []geom.Vec3 // from exit to dock with the box closed, both included
	open  float64     // longest distance of the two while the box opens
	more  float64     // what the loop must be longer than it lies
	moves bool
}

// from and to are the ends of the loop.
func (x *exit) from() geom.Vec3 { return x.loop[0] }
func (x *exit) to() geom.Vec3   { return x.loop[len(x.loop)-1] }

// ends counts what a sheet and a board have to do with each other.
type ends struct {
	lugs map[int]float64 // by cell of the sheet
	pins map[int]bool    // cells of the board's pins
}

// sheetOf tells over which sheet a wire to a spot runs: its own face, or that under which its board hangs; -1 = it is on the base, or in
// a wall, which stays with it. When the base comes off, the walls go with the face.
func (w *worker) sheetOf(s spot) int {
	switch {
	case s.board >= 0:
		return w.boards[s.board].on
	case s.sheet == 0 || w.grids[s.sheet].sheet.Board == "upper face":
		return s.sheet
	case w.group(s.sheet) >= 0:
		return 0
	}
	return -1
}

// cellOf gives the cell of a spot on a sheet.
func (w *worker) cellOf(s spot, sheet int) int {
	if s.sheet == sheet {
		return s.cell
	}
	return w.above(s, sheet).cell
}

// over is the place straight above a pin of a board that lies in the free room behind a sheet.
type over struct {
	at   geom.Vec3
	cell int
}

// above goes up from a pin, square to its board, or inwards from a lug in a wall, until there is room behind the sheet.
func (w *worker) above(s spot, sheet int) over {
	g := w.grids[sheet]
	k := [2]geom.Vec3{s.at, {X: float64(sheet)}}
	if o, ok := w.cells[k]; ok {
		return o
	}
	o := over{at: s.at, cell: g.free(w.back[sheet].Apply(s.at).XY())}
	up, most := geom.Vec3{Z: 1}, 20.0
	switch {
	case s.board >= 0:
		up = w.boards[s.board].pose.Z
		most = w.boards[s.board].top() + 6 // clear of the board itself; what is in the way beyond that stays in the way
	case s.sheet >= 0:
		up = w.grids[s.sheet].sheet.ToBox.Z.Mul(-1)
	}
	for h := 1.0; h < most; h++ {
		at := s.at.Add(up.Mul(h))
		q := w.back[sheet].Apply(at)
		c := g.cell(q.XY())
		if d := -g.sheet.Stack.Total - q.Z; g.holds(q.XY()) && d >= g.low[c] && d <= g.high[c] {
			o = over{at, c}
			break
		}
	}
	w.cells[k] = o
	return o
}

// exits finds for every sheet and board that exchange wires where the bundle leaves the sheet: beside the board, on the way to the
// hinge, or at it, wherever all wires together come out shortest.
func (w *worker) exits() {
	count := map[[2]int]*ends{}
	var keys [][2]int
	note := func(s spot, board int) {
		k := [2]int{w.sheetOf(s), board}
		if count[k] == nil {
			count[k] = &ends{map[int]float64{}, map[int]bool{}}
			keys = append(keys, k)
		}
		count[k].lugs[w.cellOf(s, k[0])]++
	}
	for _, l := range w.link {
		a, b := w.spot[l.from], w.spot[l.to]
		if a.board >= 0 && b.board < 0 {
			a, b = b, a
		}
		switch u, v := w.sheetOf(a), w.sheetOf(b); {
		case u >= 0 && b.board >= 0 && u != v:
			note(a, b.board)
			k := [2]int{u, b.board}
			count[k].pins[w.cellOf(b, u)] = true
		case v >= 0 && a.board >= 0 && u != v:
			note(b, a.board)
			k := [2]int{v, a.board}
			count[k].pins[w.cellOf(a, v)] = true
		case u >= 0 && b.board >= 0 && a.board < 0: // a board that hangs under the sheet
			note(a, b.board)
			count[[2]int{u, b.board}].pins[w.cellOf(b, u)] = true
		case u >= 0 && v >= 0 && u != v && len(w.boards) > 0:
			note(a, 0)
			note(b, 0)
			pu, pv := w.meet(u, v)
			if pu.board >= 0 {
				count[[2]int{u, 0}].pins[w.cellOf(pu, u)] = true
			}
			if pv.board >= 0 {
				count[[2]int{v, 0}].pins[w.cellOf(pv, v)] = true
			}
		}
	}
	w.exit = map[[2]int]*exit{}
	for pass := range 2 { // once to see where wires run together, once more to gather them there
		for _, k := range keys {
			if pass == 0 {
				w.exit[k] = w.findExit(k[0], k[1], count[k])
			}
			x := w.exit[k]
			x.tree = w.grids[k[0]].grow(x.cell, onSheet, sortedKeys(count[k].lugs))
		}
		if pass == 1 {
			break
		}
		for _, k := range keys {
			g, x := w.grids[k[0]], w.exit[k]
			for _, c := range sortedKeys(count[k].lugs) {
				for _, i := range x.tree.path(c) {
					g.flow[i] += count[k].lugs[c]
				}
			}
		}
	}
}

// findExit tries the places where a bundle may leave a sheet, and the sides of the board where it may come in.
func (w *worker) findExit(sheet, board int, n *ends) *exit {
	g, b, l := w.grids[sheet], w.boards[board], w.lid[sheet]
	back := w.back[sheet]
	u, v := w.group(sheet), w.group(b.on)
	var docks []int
	half := b.size.Mul(0.5).Add(geom.Vec2{X: 6, Y: 6})
	for _, e := range [4]geom.Vec2{{Y: -half.Y}, {X: half.X}, {X: -half.X}, {Y: half.Y}} {
		c := g.free(back.Apply(b.pose.Apply(e.At(b.lift))).XY())
		if !slices.Contains(docks, c) {
			docks = append(docks, c)
		}
	}
	layer := onBase
	if b.on == sheet {
		layer = onSheet
	}
	lugs, pins := sortedKeys(n.lugs), sortedKeys(n.pins)
	total := 0.0
	for _, c := range lugs {
		total += n.lugs[c]
	}
	best, least := &exit{}, math.Inf(1)
	for _, d := range docks {
		to := g.at(d, layer)
		tries := []int{d}
		if u != v && l.moves {
			at := g.middle(d)
			q := geom.Vec2{X: at.X, Y: l.edge.Y}
			if l.sideways {
				q = geom.Vec2{X: l.edge.X, Y: at.Y}
			}
			for _, most := range []float64{0.5, 0.95} {
				for t := most; t > 0.1; t -= 0.03 { // clear of ledges, at which the bundle would catch
					if c := g.cell(at.Add(q.Sub(at).Mul(t))); g.clear(c) {
						tries = append(tries, c)
						break
					}
				}
			}
		}
		near := 0.0
		for _, p := range pins {
			near += g.middle(p).Sub(g.middle(d)).Len() * total / float64(max(1, len(pins)))
		}
		for _, c := range tries {
			from := g.at(c, onSheet)
			way := from.Sub(to).Len()
			open := way
			if u != v {
				open = w.apart(from, u, to, v) + w.service
			}
			cost := near + total*max(way, open)
			for _, i := range lugs {
				cost += n.lugs[i] * 1.1 * g.middle(i).Sub(g.middle(c)).Len()
			}
			if cost < least-1e-6 {
				best, least = &exit{cell: c, dock: d}, cost
			}
		}
	}
	x := best
	x.moves = u != v
	x.loop = append(x.loop, g.at(x.cell, onSheet))
	if cells := g.between(&w.search, x.cell, x.dock, layer); cells != nil {
		x.loop = append(x.loop, g.points(cells, layer)...)
	} else {
		x.loop = append(x.loop, g.at(x.dock, layer))
	}
	x.last = g.grow(x.dock, layer, pins)
	x.open = w.apart(x.from(), u, x.to(), v)
	if x.moves {
		x.more = max(0, x.open+w.service-run(x.loop))
	}
	return x
}
