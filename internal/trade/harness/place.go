package harness

import (
	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// spot is where a terminal is.
type spot struct {
	at    geom.Vec3 // box frame
	sheet int       // index into worker.grids; -1 = on a circuit board
	face  geom.Vec2 // on its sheet
	cell  int
	board int // index into worker.boards; -1 = on a sheet
}

// boardAt is a circuit board in space.
type boardAt struct {
	name   string
	part   catalog.Part
	pose   geom.Pose    // from its record's x and y, and height over what carries it, to the box frame
	pins   float64      // height of the pins
	middle geom.Vec3    // of its pins' plane
	in     [4]geom.Vec3 // middles of its four edges, where a bundle comes in
	on     int          // sheet that carries it; -1 = base
	real   bool         // its place stands in the file
	module *panel.Module
}

// spots finds where every terminal is.
func (w *worker) spots() {
	w.spot = map[wiring.Terminal]spot{}
	for si, g := range w.grids {
		for _, c := range g.sheet.Controls {
			for _, l := range c.Lugs {
				w.spot[wiring.Terminal{Of: c.Name, Lug: l.Name}] = spot{at: g.sheet.ToBox.Apply(l.At.At(l.Z)), sheet: si, face: l.At.Vec2, cell: g.cell(l.At.Vec2), board: -1}
			}
		}
	}
	for bi, b := range w.boards {
		for _, l := range b.part.Lugs {
			at := geom.Vec3{X: l.At[0].MM(), Y: l.At[1].MM(), Z: b.pins}
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

// place puts the circuit boards in space. One without a place lies beside the one before it, the first in the middle of the box.
func (w *worker) place() {
	var beside *boardAt
	for _, b := range w.w.Boards {
		x := boardAt{name: b.Name, part: b.Part, on: -1}
		size := boardSize(b.Part)
		lift := 5.0
		switch m := b.Module; {
		case m != nil && m.Placed:
			x.real, x.module, lift = true, m, m.Lift
			x.pose = m.Frame.Pose()
			if m.On == "face" {
				x.on = 0
			}
		case beside != nil:
			was := boardSize(beside.part)
			d := (was.X+size.X)/2 + 10
			x.pose, x.on = beside.pose, beside.on
			x.pose.At = beside.pose.Apply(geom.Vec3{X: d})
			if far := x.pose.Apply(geom.Vec3{X: size.X / 2}); !w.inside(far) {
				x.pose.At = beside.pose.Apply(geom.Vec3{X: -d})
			}
			lift = 5
		default:
			x.pose = w.floor()
		}
		x.pins = lift
		x.middle = x.pose.Apply(geom.Vec3{Z: lift})
		for i, e := range [4]geom.Vec2{{X: 0, Y: -size.Y / 2}, {X: size.X / 2}, {X: -size.X / 2}, {X: 0, Y: size.Y / 2}} {
			x.in[i] = x.pose.Apply(e.At(lift + 8))
		}
		w.boards = append(w.boards, x)
		beside = &w.boards[len(w.boards)-1]
	}
}

// floor is the pose of a board that has no place: in the middle, on the base, or where the base would be.
func (w *worker) floor() geom.Pose {
	p := w.p
	g := w.grids[0]
	c := geom.Vec2{X: g.lo.X + float64(g.w)*g.step/2, Y: g.lo.Y + float64(g.h)*g.step/2}
	d, ok := p.DepthAt(panel.Pt{Vec2: c})
	if !ok || d > 500 || d < 10 {
		d = 60
	}
	at := p.ToBox.Apply(c.At(-p.Stack.Total - d))
	return geom.Pose{X: p.ToBox.X, Y: p.ToBox.Y, Z: p.ToBox.Z, At: at}
}

// inside reports whether a point lies behind the face within the walls.
func (w *worker) inside(at geom.Vec3) bool {
	q := w.p.ToBox.Inverse().Apply(at)
	g := w.grids[0]
	return q.X >= g.lo.X && q.X <= g.lo.X+float64(g.w)*g.step && q.Y >= g.lo.Y && q.Y <= g.lo.Y+float64(g.h)*g.step
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
