package view

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// Hop is a wire that a drawing follows, with the number that its list gives it.
type Hop struct {
	Wire int
	N    int
}

// Wired is the panel from behind with wires, for a drawing shown k times its size: those of hops heavy and numbered, all others as a
// quiet loom. Without hops every wire has the letters of its colour where it leaves its lug. Mirrored left to right like Rear.
func Wired(p *panel.Panel, w wiring.Result, h harness.Result, hops []Hop, k float64) *drawing.Scene {
	inner := loom(p, h, k)
	inner = append(inner, boardPins(p, w, hops, h, k)...)
	if hops == nil {
		inner = append(inner, leads(p, h, k)...)
	} else {
		inner = append(inner, followed(p, h, hops, k)...)
	}
	return rearWith(p, k, inner)
}

// flat lays a way of the box frame on the face.
func flat(p *panel.Panel, path []geom.Vec3) []geom.Vec2 {
	back := p.ToBox.Inverse()
	var out []geom.Vec2
	for _, q := range path {
		v := back.Apply(q).XY()
		if n := len(out); n > 0 && out[n-1].Sub(v).Len() < 0.3 {
			continue
		}
		out = append(out, v)
	}
	return out
}

// loom draws where wires run together: a band as wide as the bundle, edged.
func loom(p *panel.Panel, h harness.Result, k float64) []drawing.Item {
	var items []drawing.Item
	for _, b := range h.Bundles {
		pts := flat(p, b.Path)
		if len(pts) < 2 {
			continue
		}
		o := open(pts)
		wide := max(b.Diameter*k, 0.7)
		items = append(items, &drawing.Path{Outlines: []geom.Outline{o}, Open: true, Style: drawing.Style{Line: drawing.Wire, Ink: drawing.Faint, Width: wide + 0.3, Round: true}})
	}
	for _, b := range h.Bundles {
		if pts := flat(p, b.Path); len(pts) >= 2 {
			items = append(items, &drawing.Path{Outlines: []geom.Outline{open(pts)}, Open: true, Style: drawing.Style{Line: drawing.Wire, Ink: drawing.Paper, Width: max(b.Diameter*k, 0.7) - 0.2, Round: true}})
		}
	}
	for _, t := range h.Ties {
		at := p.ToBox.Inverse().Apply(t.At).XY()
		items = append(items, &drawing.Path{Outlines: []geom.Outline{geom.Circle(at, 1.6/k)}, Style: drawing.Style{Line: drawing.Thin, Ink: drawing.Pencil, Fill: drawing.Paper}})
	}
	return items
}

func open(pts []geom.Vec2) geom.Outline {
	o := make(geom.Outline, len(pts))
	for i, q := range pts {
		o[i].P = q
	}
	return o
}

// leads draws every wire thin, with the letters of its colour near its lug.
func leads(p *panel.Panel, h harness.Result, k float64) []drawing.Item {
	var items, tags []drawing.Item
	l := &Labeller{Sheet: p.Face.Outline.Bounds()}
	size := drawing.CapSize(drawing.Lettering, 1.8/k)
	for _, x := range h.Wires {
		pts := flat(p, x.Path)
		if len(pts) < 2 {
			continue
		}
		items = append(items, run(drawing.Wire, drawing.Ink0, pts...))
		if onBoard(h, x.From) {
			reverse(pts)
		}
		at := alongFlat(pts, min(9/k, lengthOf(pts)/2))
		w := drawing.TextWidth(drawing.Lettering, size, x.Colour) + 0.8/k
		box := boxAt(at, w, 2.6/k)
		if l.shares(l.taken, box) > Free {
			continue // the list has it; here two letters would cover each other
		}
		l.Block(box)
		tags = append(tags, outl(drawing.NoLine, drawing.Paper, geom.Rect(at, w, 2.6/k, 0)),
			&drawing.Text{At: at, S: x.Colour, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true})
	}
	return append(items, tags...)
}

func onBoard(h harness.Result, t wiring.Terminal) bool { return h.Boards[t.Of] }

// followed draws the wires of a list heavy, each in a lane of its own, with its number.
func followed(p *panel.Panel, h harness.Result, hops []Hop, k float64) []drawing.Item {
	var items, marks []drawing.Item
	l := &Labeller{Sheet: p.Face.Outline.Bounds().Grow(4)}
	lane := 1.1 / k
	for i, hop := range hops {
		x := h.Wires[hop.Wire]
		pts := flat(p, x.Path)
		if len(pts) < 2 {
			continue
		}
		off := 0.0
		if len(pts) > 3 {
			off = lane * (float64(i%9) - 4)
		}
		pts = shifted(pts, off)
		ink := &drawing.Path{Outlines: []geom.Outline{open(pts)}, Open: true, Style: drawing.Style{Line: drawing.WireDone, Width: 0.55, Round: true}}
		items = append(items, &drawing.Path{Outlines: []geom.Outline{open(pts)}, Open: true, Style: drawing.Style{Line: drawing.WireDone, Ink: drawing.Paper, Width: 1.1, Round: true}}, ink)
		for _, end := range []geom.Vec2{pts[0], pts[len(pts)-1]} {
			items = append(items, drawing.Dot(end, 1.5/k, drawing.Ink0))
		}
		marks = append(marks, hopMark(l, pts, onBoard(h, x.From), hop.N, k)...)
	}
	return append(items, marks...)
}

// hopMark is a number in a ring on a wire, where no other ring is: near the lug of a lead, in the middle between two lugs.
func hopMark(l *Labeller, pts []geom.Vec2, fromBoard bool, n int, k float64) []drawing.Item {
	d := 4.6 / k
	long := lengthOf(pts)
	if fromBoard {
		pts = append([]geom.Vec2{}, pts...)
		reverse(pts)
	}
	best, least := geom.Vec2{}, math.Inf(1)
	for _, t := range []float64{0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85} {
		s := long * t
		if fromBoard {
			s = min(long*0.9, (6+26*t)/k)
		}
		at := alongFlat(pts, s)
		if bad := l.shares(l.taken, boxAt(at, d, d)); bad < least-1e-6 {
			best, least = at, bad
		}
		if least <= Free {
			break
		}
	}
	l.Block(boxAt(best, d, d))
	return []drawing.Item{
		outl(drawing.Thin, drawing.Paper, geom.Circle(best, d)),
		&drawing.Text{At: best, S: strconv.Itoa(n), Face: drawing.ReadBold, Size: 2.7 / k, Anchor: drawing.Centre, Middle: true},
	}
}

// shifted moves the inner corners of a run sideways; its ends stay.
func shifted(pts []geom.Vec2, off float64) []geom.Vec2 {
	if off == 0 || len(pts) < 3 {
		return pts
	}
	out := append([]geom.Vec2{}, pts...)
	for i := 1; i < len(pts)-1; i++ {
		a, b := pts[i].Sub(pts[i-1]).Unit(), pts[i+1].Sub(pts[i]).Unit()
		n := a.Add(b).Unit().Left()
		if c := n.Dot(a.Left()); c > 0.3 {
			n = n.Mul(1 / c)
		}
		out[i] = pts[i].Add(n.Mul(off))
	}
	return out
}

func lengthOf(pts []geom.Vec2) float64 {
	s := 0.0
	for i := 1; i < len(pts); i++ {
		s += pts[i].Sub(pts[i-1]).Len()
	}
	return s
}

func alongFlat(pts []geom.Vec2, d float64) geom.Vec2 {
	for i := 1; i < len(pts); i++ {
		l := pts[i].Sub(pts[i-1]).Len()
		if d <= l && l > 0 {
			return pts[i-1].Add(pts[i].Sub(pts[i-1]).Mul(d / l))
		}
		d -= l
	}
	return pts[len(pts)-1]
}

func reverse(pts []geom.Vec2) {
	for i, j := 0, len(pts)-1; i < j; i, j = i+1, j-1 {
		pts[i], pts[j] = pts[j], pts[i]
	}
}

// boardPins draws the pins of the circuit boards where they lie: all as dots, those that the hops end at by number.
func boardPins(p *panel.Panel, w wiring.Result, hops []Hop, h harness.Result, k float64) []drawing.Item {
	named := map[wiring.Terminal]bool{}
	for _, x := range hops {
		named[h.Wires[x.Wire].From], named[h.Wires[x.Wire].To] = true, true
	}
	var items []drawing.Item
	back := p.ToBox.Inverse()
	for _, b := range w.Boards {
		box := geom.EmptyBox2()
		for _, t := range sortedPins(b) {
			if at, ok := h.At[t]; ok {
				box = box.Extend(back.Apply(at).XY())
			}
		}
		if (b.Module == nil || !b.Module.Placed) && box.Max.X >= box.Min.X {
			box = box.Grow(2)
			items = append(items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, geom.Rect(box.Centre(), box.Size().X, box.Size().Y, 0)),
				&drawing.Text{At: geom.Vec2{X: box.Centre().X, Y: box.Min.Y - 2.4/k}, S: strings.ToUpper(b.Label), Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, 1.8/k), Anchor: drawing.Centre, Middle: true, Ink: drawing.Pencil})
		}
		for _, t := range sortedPins(b) {
			at, ok := h.At[t]
			if !ok {
				continue
			}
			q := back.Apply(at).XY()
			fill := drawing.Paper
			if named[t] {
				fill = drawing.Ink0
			}
			items = append(items, outl(drawing.Thin, fill, geom.Circle(q, 1.5)))
			if named[t] {
				items = append(items, &drawing.Text{At: q.Add(geom.Vec2{X: 2.2 / k}), S: t.Lug, Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, 1.8/k), Anchor: drawing.Right, Middle: true})
			}
		}
	}
	return items
}

func sortedPins(b wiring.Board) []wiring.Terminal {
	var out []wiring.Terminal
	for _, l := range b.Part.Lugs {
		out = append(out, wiring.Terminal{Of: b.Name, Lug: l.Name})
	}
	return out
}
