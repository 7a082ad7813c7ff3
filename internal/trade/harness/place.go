package harness

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// spot is where a terminal is.
type spot struct {
	at    geom.Vec3 // box frame
	sheet int       // index into worker.grids; -1 = on a circuit board
	cell  int       // of its sheet
	board int       // index into worker.boards; -1 = on a sheet
}

// boardAt is a circuit board in space.
type boardAt struct {
	name   string
	label  string
	part   catalog.Part
	pose   geom.Pose // from its record's x and y, and the height over what carries it, to the box frame
	lift   float64   // height of its stand-offs
	middle geom.Vec3 // of its pins' plane
	size   geom.Vec2 // of the board
	on     int       // sheet that carries it; -1 = base
	real   bool      // its place stands in the file
	module *panel.Module
	rank   map[string]int // lugs in the order of the record
}

// boardGap is how far boards that the plan adds stand from each other and from what stands on the base, mm.
const boardGap = 8

// spots finds where every terminal is.
func (w *worker) spots() {
	w.spot = map[wiring.Terminal]spot{}
	for si, g := range w.grids {
		for _, c := range g.sheet.Controls {
			for _, l := range c.Lugs {
				w.spot[wiring.Terminal{Of: c.Name, Lug: l.Name}] = spot{at: g.sheet.ToBox.Apply(l.At.At(l.Z)), sheet: si, cell: g.cell(l.At.Vec2), board: -1}
			}
		}
	}
	for bi, b := range w.boards {
		for _, l := range b.part.Lugs {
			at := geom.Vec3{X: l.At[0].MM(), Y: l.At[1].MM(), Z: b.lift}
			w.spot[wiring.Terminal{Of: b.name, Lug: l.Name}] = spot{at: b.pose.Apply(at), sheet: -1, board: bi}
		}
	}
	for _, f := range w.w.Fittings { // a fitting hangs on its lug
		s, ok := w.spot[f.At]
		if !ok {
			continue
		}
		for _, end := range []string{"1", "2", "a", "k"} {
			w.spot[wiring.Terminal{Of: f.Name, Lug: end}] = s
		}
	}
}

// place puts the circuit boards in space. Those without a place lie where there is room on the base, as near to the module as can be;
// a module without one in the middle.
func (w *worker) place() {
	g := w.grids[0]
	var taken []geom.Box2 // footprints on the face
	frame := w.base()
	mid := g.lo.Add(geom.Vec2{X: float64(g.w), Y: float64(g.h)}.Mul(g.step / 2))
	first := mid
	for pass := range 2 {
		for i, b := range w.w.Boards {
			m := b.Module
			if placed := m != nil && m.Placed; placed != (pass == 0) {
				continue
			}
			x := boardAt{name: b.Name, label: b.Label, part: b.Part, on: -1, lift: 5, size: boardSize(b.Part), rank: map[string]int{}}
			for k, l := range b.Part.Lugs {
				x.rank[l.Name] = k
			}
			if pass == 0 {
				x.real, x.module, x.lift, x.pose = true, m, m.Lift, m.Frame.Pose()
				if m.On == "face" {
					x.on = 0
				}
				if len(w.boards) == 0 {
					first = m.At.Vec2
				}
			} else {
				at := w.roomFor(x, frame, first, taken)
				if i == 0 {
					first = at
				}
				x.pose = frame(at)
				for _, t := range x.things() {
					for _, h := range w.grids {
						h.add(t, h.sheet.ToBox.Inverse())
					}
				}
			}
			x.middle = x.pose.Apply(geom.Vec3{Z: x.lift})
			taken = append(taken, x.footprint(g.sheet.ToBox.Inverse()))
			w.boards = append(w.boards, x)
		}
	}
	order := map[string]int{} // as the plan lists them
	for i, b := range w.w.Boards {
		order[b.Name] = i
	}
	slices.SortStableFunc(w.boards, func(a, b boardAt) int { return cmp.Compare(order[a.name], order[b.name]) })
	for _, h := range w.grids {
		h.levels()
	}
}

// things are the solids of a board.
func (b boardAt) things() []thing {
	var out []thing
	for _, s := range b.part.Rear {
		z0, z1 := b.lift-s.Z[0].MM(), b.lift-s.Z[1].MM()
		out = append(out, thing{outline: s.Outline(), z0: min(z0, z1), z1: max(z0, z1), toBox: b.pose, of: b.name})
	}
	return out
}

// top is how high a board reaches over its pins.
func (b boardAt) top() float64 {
	top := b.lift
	for _, s := range b.part.Rear {
		top = max(top, b.lift-s.Z[0].MM(), b.lift-s.Z[1].MM())
	}
	return top - b.lift
}

// footprint is the room that a board and its plug take, on the face.
func (b boardAt) footprint(back geom.Pose) geom.Box2 {
	out := geom.EmptyBox2()
	for _, t := range b.things() {
		o := t.outline.Bounds()
		for _, q := range [4]geom.Vec2{o.Min, {X: o.Max.X, Y: o.Min.Y}, o.Max, {X: o.Min.X, Y: o.Max.Y}} {
			out = out.Extend(back.Apply(b.pose.Apply(q.At(b.lift))).XY())
		}
	}
	return out
}

// base gives the pose of a board on the base whose middle lies behind a point of the face.
func (w *worker) base() func(at geom.Vec2) geom.Pose {
	p, g := w.p, w.grids[0]
	if p.Carcass != nil {
		for i := range p.Carcass.Boards {
			b := &p.Carcass.Boards[i]
			up := b.Frame.N.Mul(-1)
			if b.Role != carcass.RoleBase || p.ToBox.Z.Dot(up) < 0.05 {
				continue
			}
			x := geom.Vec3{X: 1}
			y := up.Cross(x)
			return func(at geom.Vec2) geom.Pose {
				from := p.ToBox.Apply(at.At(-p.Stack.Total))
				inner := b.Frame.O.Add(up.Mul(b.Thickness))
				d := inner.Sub(from).Dot(up) / p.ToBox.Z.Mul(-1).Dot(up)
				return geom.Pose{X: x, Y: y, Z: up, At: from.Sub(p.ToBox.Z.Mul(d))}
			}
		}
	}
	return func(at geom.Vec2) geom.Pose {
		d, ok := p.DepthAt(panel.Pt{Vec2: at})
		if !ok || math.IsInf(d, 0) || d < 10 {
			d = g.flat
		}
		return geom.Pose{X: p.ToBox.X, Y: p.ToBox.Y, Z: p.ToBox.Z, At: g.point(at, d)}
	}
}

// roomFor finds a place for a board on the base as near as can be to a point: clear of other boards, and with room for wires between it
// and what hangs under the face. Where there is none, beside the others all the same.
func (w *worker) roomFor(b boardAt, frame func(geom.Vec2) geom.Pose, near geom.Vec2, taken []geom.Box2) geom.Vec2 {
	g := w.grids[0]
	back := g.sheet.ToBox.Inverse()
	b.pose = frame(near)
	size := b.footprint(back)
	top := 0.0
	for _, t := range b.things() {
		top = max(top, t.z1)
	}
	wide := geom.Box2{Min: g.lo, Max: g.lo.Add(geom.Vec2{X: float64(g.w), Y: float64(g.h)}.Mul(g.step))}
	type try struct {
		at   geom.Vec2
		cost float64
	}
	best, spare := try{near, math.Inf(1)}, try{near, math.Inf(1)}
	const step = 10
	for y := wide.Min.Y + step; y < wide.Max.Y; y += step {
		for x := wide.Min.X + step; x < wide.Max.X; x += step {
			at := geom.Vec2{X: x, Y: y}
			by := at.Sub(near)
			t := try{at, by.Len()}
			if t.cost >= best.cost-1e-9 {
				continue
			}
			f := geom.Box2{Min: size.Min.Add(by), Max: size.Max.Add(by)}.Grow(boardGap)
			if f.Min.X < wide.Min.X || f.Max.X > wide.Max.X || f.Min.Y < wide.Min.Y || f.Max.Y > wide.Max.Y {
				continue
			}
			clash := slices.ContainsFunc(taken, func(o geom.Box2) bool {
				return f.Min.X < o.Max.X && o.Min.X < f.Max.X && f.Min.Y < o.Max.Y && o.Min.Y < f.Max.Y
			})
			if clash {
				continue
			}
			if t.cost < spare.cost-1e-9 {
				spare = t
			}
			if g.tall(f, top+8) {
				best = t
			}
		}
	}
	switch {
	case !math.IsInf(best.cost, 1):
		return best.at
	case !math.IsInf(spare.cost, 1):
		return spare.at
	}
	return near
}

// tall reports whether the room over all cells of a rectangle is at least so high.
func (g *grid) tall(f geom.Box2, h float64) bool {
	x0, y0 := g.index(f.Min)
	x1, y1 := g.index(f.Max)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if i := y*g.w + x; g.high[i]-g.low[i] < h {
				return false
			}
		}
	}
	return true
}

// boardSize is the size of a circuit board, mm.
func boardSize(p catalog.Part) geom.Vec2 {
	box := geom.EmptyBox2()
	for _, s := range p.Rear {
		if s.Role == string(panel.RoleBody) {
			box = box.Union(s.Outline().Bounds())
		}
	}
	for _, l := range p.Lugs {
		box = box.Extend(geom.Vec2{X: l.At[0].MM(), Y: l.At[1].MM()})
	}
	if !(box.Max.X > box.Min.X) {
		return geom.Vec2{X: 20, Y: 50}
	}
	return box.Size()
}
