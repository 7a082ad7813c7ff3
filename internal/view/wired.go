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

// sheetBox is what a view from behind shows: wires that leave it for another board of the box end there.
func sheetBox(p *panel.Panel) geom.Box2 { return p.Face.Outline.Bounds().Grow(1.5) }

// onSheet gives the parts of a run that lie in a box, and for each whether it was cut at its start and at its end.
func onSheet(b geom.Box2, pts []geom.Vec2) (parts [][]geom.Vec2, cut [][2]bool) {
	var now []geom.Vec2
	var began bool
	end := func(atEdge bool) {
		if len(now) > 1 {
			parts, cut = append(parts, now), append(cut, [2]bool{began, atEdge})
		}
		now, began = nil, false
	}
	for i := 1; i < len(pts); i++ {
		from, to, ok := inBox(b, pts[i-1], pts[i])
		if !ok {
			end(true)
			continue
		}
		if now == nil {
			began = from != 0
			now = append(now, pts[i-1].Add(pts[i].Sub(pts[i-1]).Mul(from)))
		}
		now = append(now, pts[i-1].Add(pts[i].Sub(pts[i-1]).Mul(to)))
		if to < 1 {
			end(true)
		}
	}
	end(false)
	return parts, cut
}

// inBox gives the part of a stretch that lies in a box, as shares of its length (Liang and Barsky).
func inBox(b geom.Box2, p, q geom.Vec2) (from, to float64, ok bool) {
	to = 1
	d := q.Sub(p)
	for _, e := range [4][2]float64{{-d.X, p.X - b.Min.X}, {d.X, b.Max.X - p.X}, {-d.Y, p.Y - b.Min.Y}, {d.Y, b.Max.Y - p.Y}} {
		switch {
		case e[0] == 0 && e[1] < 0:
			return 0, 0, false
		case e[0] < 0:
			from = max(from, e[1]/e[0])
		case e[0] > 0:
			to = min(to, e[1]/e[0])
		}
	}
	return from, to, from < to
}

func holds(b geom.Box2, q geom.Vec2) bool {
	return q.X >= b.Min.X && q.X <= b.Max.X && q.Y >= b.Min.Y && q.Y <= b.Max.Y
}

// labelOf is how people call the control or the board at the end of a wire.
func labelOf(p *panel.Panel, of string) string {
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			if c.Name == of {
				return c.Label
			}
		}
	}
	return strings.ToUpper(of)
}

// leaves marks where a wire leaves the drawing, and says for which control.
func leaves(l *Labeller, p *panel.Panel, pts []geom.Vec2, to string, k float64) []drawing.Item {
	n := len(pts)
	at, dir := pts[n-1], pts[n-1].Sub(pts[n-2]).Unit()
	items := []drawing.Item{drawing.Arrow(at, dir, drawing.Ink0)}
	size := drawing.CapSize(drawing.Lettering, 1.8/k)
	text := labelOf(p, to)
	w := drawing.TextWidth(drawing.Lettering, size, text) + 0.8/k
	for _, back := range []float64{4, 8, 12, 16} {
		mid := at.Sub(dir.Mul(back / k))
		box := boxAt(mid, w, 2.6/k)
		if box.Min.X < l.Sheet.Min.X || box.Max.X > l.Sheet.Max.X || l.shares(l.taken, box) > Free {
			continue // the list has it
		}
		l.Block(box)
		return append(items, outl(drawing.NoLine, drawing.Paper, geom.Rect(mid, w, 2.6/k, 0)),
			&drawing.Text{At: mid, S: text, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true})
	}
	return items
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
		wide := max(b.Diameter*k, 0.7)
		parts, _ := onSheet(sheetBox(p), pts)
		if len(parts) == 0 {
			continue
		}
		items = append(items, &drawing.Path{Outlines: opened(parts), Open: true, Style: drawing.Style{Line: drawing.Wire, Ink: drawing.Faint, Width: wide + 0.3, Round: true}})
	}
	for _, b := range h.Bundles {
		if parts, _ := onSheet(sheetBox(p), flat(p, b.Path)); len(parts) > 0 {
			items = append(items, &drawing.Path{Outlines: opened(parts), Open: true, Style: drawing.Style{Line: drawing.Wire, Ink: drawing.Paper, Width: max(b.Diameter*k, 0.7) - 0.2, Round: true}})
		}
	}
	for _, t := range h.Ties {
		at := p.ToBox.Inverse().Apply(t.At).XY()
		if !holds(sheetBox(p), at) {
			continue
		}
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

func opened(parts [][]geom.Vec2) []geom.Outline {
	out := make([]geom.Outline, len(parts))
	for i, pts := range parts {
		out[i] = open(pts)
	}
	return out
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
		parts, cut := onSheet(sheetBox(p), pts)
		if len(parts) == 0 {
			continue
		}
		for i, part := range parts {
			items = append(items, run(drawing.Wire, drawing.Ink0, part...))
			items = append(items, edges(l, p, x, part, cut[i], k)...)
		}
		pts = parts[0]
		if onBoard(h, x.From) {
			pts = append([]geom.Vec2{}, parts[len(parts)-1]...)
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

// edges marks the ends of a part of a wire that lie at the edge of the drawing.
func edges(l *Labeller, p *panel.Panel, x harness.Wire, part []geom.Vec2, cut [2]bool, k float64) []drawing.Item {
	var items []drawing.Item
	if cut[1] {
		items = append(items, leaves(l, p, part, x.To.Of, k)...)
	}
	if cut[0] {
		back := append([]geom.Vec2{}, part...)
		reverse(back)
		items = append(items, leaves(l, p, back, x.From.Of, k)...)
	}
	return items
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
		parts, cut := onSheet(sheetBox(p), shifted(pts, off))
		if len(parts) == 0 {
			continue
		}
		ink := &drawing.Path{Outlines: opened(parts), Open: true, Style: drawing.Style{Line: drawing.WireDone, Width: 0.55, Round: true}}
		items = append(items, &drawing.Path{Outlines: opened(parts), Open: true, Style: drawing.Style{Line: drawing.WireDone, Ink: drawing.Paper, Width: 1.1, Round: true}}, ink)
		longest := parts[0]
		for i, part := range parts {
			if !cut[i][0] {
				items = append(items, drawing.Dot(part[0], 1.5/k, drawing.Ink0))
			}
			if !cut[i][1] {
				items = append(items, drawing.Dot(part[len(part)-1], 1.5/k, drawing.Ink0))
			}
			marks = append(marks, edges(l, p, x, part, cut[i], k)...)
			if lengthOf(part) > lengthOf(longest) {
				longest = part
			}
		}
		marks = append(marks, hopMark(l, longest, onBoard(h, x.From) && len(parts) == 1 && !cut[0][1], hop.N, k)...)
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
			if !holds(sheetBox(p), q) {
				continue
			}
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
