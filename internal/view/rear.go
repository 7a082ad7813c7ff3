package view

import (
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// leastLetters is the least height of letters that are read at the bench, mm on paper.
const leastLetters = 1.8

// Rear is the panel from behind, mirrored left to right: bodies, lugs by name, walls, ribs, module. The datum corner is at
// the lower right, as it is when one looks from there. It is meant to be shown at true size.
func Rear(p *panel.Panel) *drawing.Scene { return RearScaled(p, 1) }

// RearScaled is Rear for a drawing that will be shown k times its size: names keep their height on paper. Names that find no
// room, and lug names that would be too small to read, are left out.
func RearScaled(p *panel.Panel, k float64) *drawing.Scene { return rearWith(p, k, nil) }

// rearWith draws the rear view with something between the bodies and their names.
func rearWith(p *panel.Panel, k float64, between []drawing.Item) *drawing.Scene {
	w := p.Face.Width
	mirror := geom.Place{Flip: true, At: geom.Vec2{X: w}}
	inner := []drawing.Item{outl(drawing.Edge, drawing.AcrylicWash, p.Face.Outline)}
	var boards []drawing.Item
	for _, b := range p.Behind {
		o := footprint(p, b)
		if o.Empty() {
			continue
		}
		switch b.Role {
		case panel.RoleWall, panel.RoleRib, panel.RoleBlock, panel.RoleBase:
			boards = append(boards, &drawing.Path{Outlines: []geom.Outline{o}, Style: drawing.Style{Line: drawing.Visible, Fill: drawing.PlyWash, Hatch: drawing.HatchPly}})
		case panel.RoleLedge:
			boards = append(boards, outl(drawing.Thin, drawing.PlyWash, o))
		}
	}
	if len(boards) > 0 { // what stands out beyond the sheet is another sheet's
		inner = append(inner, &drawing.Group{Clip: p.Face.Outline, Items: boards})
	}
	for _, f := range p.Fixings {
		inner = append(inner, outl(drawing.Visible, drawing.Paper, f.Cut.Outline))
	}
	for _, o := range p.Openings {
		inner = append(inner, outl(drawing.Visible, drawing.Paper, o.Outline))
	}
	for _, c := range p.Controls {
		inner = append(inner, &drawing.Group{Note: c.Label, Items: rearOf(c, 1.8*k >= leastLetters-0.4)})
	}
	l := rearRoom(p)
	inner = append(inner, moduleBehind(p, l, k)...)
	inner = append(inner, between...)
	names := rearLabels(p, l, k)
	if len(between) > 0 {
		names = haloed(names, k)
	}
	inner = append(inner, names...)
	s := &drawing.Scene{Title: p.Title, Bounds: p.Face.Outline.Bounds().Grow(2)}
	s.Items = append(s.Items, &drawing.Group{Place: mirror, Items: inner})
	s.Items = append(s.Items, drawing.DatumCorner(geom.Vec2{X: w}, true)...)
	return s
}

// moduleBehind draws the module's outline and its word.
func moduleBehind(p *panel.Panel, l *Labeller, k float64) []drawing.Item {
	m := p.Module
	if m == nil || !m.Placed {
		return nil
	}
	var items []drawing.Item
	for _, b := range p.Behind {
		if b.Role == panel.RoleModule && !b.Outline.Empty() {
			items = append(items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, b.Outline))
		}
	}
	size := drawing.CapSize(drawing.Lettering, 2.5/k)
	w := drawing.TextWidth(drawing.Lettering, size, "MODULE")
	at := m.At.Vec2
	if box := boxAt(at, w, 2.5/k); l.shares(l.taken, box) > Free { // something hangs over it: the word goes where it shows
		var bad float64
		if at, bad, _ = l.Best(0, geom.Box2{Min: at, Max: at}, w, 2.5/k, 1, AboveFirst); bad > Free {
			return items
		}
	}
	l.Block(boxAt(at, w, 2.5/k))
	return append(items, &drawing.Text{At: at, S: "MODULE", Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true, Ink: drawing.Pencil})
}

// rearRoom blocks what must stay free of names behind: bodies, lugs, walls.
func rearRoom(p *panel.Panel) *Labeller {
	l := &Labeller{Sheet: p.Face.Outline.Bounds()}
	for i, c := range p.Controls {
		if b := RearBounds(c); b.Min.X <= b.Max.X {
			l.Own(i+1, b)
		}
	}
	for _, b := range p.Behind {
		if b.Role == panel.RoleWall || b.Role == panel.RoleRib || b.Role == panel.RoleBlock {
			if o := footprint(p, b); !o.Empty() {
				l.Block(o.Bounds())
			}
		}
	}
	for _, f := range p.Fixings {
		l.Block(f.Cut.Outline.Bounds())
	}
	for _, o := range p.Openings {
		if !o.Outline.Empty() {
			l.Block(o.Outline.Bounds())
		}
	}
	return l
}

// RearBounds is the room that a control takes in the rear view, in the face frame: body, nut, lugs and their names. It is
// empty for what has nothing behind.
func RearBounds(c *panel.Control) geom.Box2 {
	b := geom.EmptyBox2()
	for _, x := range c.Rear {
		if (x.Role == panel.RoleBody || x.Role == panel.RoleNut) && !x.Outline.Empty() {
			b = b.Union(x.Outline.Bounds())
		}
	}
	for _, x := range c.Lugs {
		b = b.Union(geom.Box2{Min: x.At.Vec2, Max: x.At.Vec2}.Grow(2.8))
	}
	return b
}

// rearLabels names every control beside its body, where nothing else stands.
func rearLabels(p *panel.Panel, l *Labeller, k float64) []drawing.Item {
	var items []drawing.Item
	for i, c := range p.Controls {
		of := RearBounds(c)
		if of.Min.X > of.Max.X {
			continue
		}
		for _, h := range []float64{2.5 / k, leastLetters / k} {
			lines := nameLines(c.Label, h)
			size := drawing.CapSize(drawing.Lettering, h)
			w := 0.0
			for _, t := range lines {
				w = max(w, drawing.TextWidth(drawing.Lettering, size, t))
			}
			high := h + h*panel.LineStep*float64(len(lines)-1)
			at, bad, stray := l.Best(i+1, of, w+0.6/k, high+0.4/k, 1/k, AboveFirst)
			box := boxAt(at, w+0.6/k, high+0.4/k)
			if k < 0.8 && (bad > Free || stray > 0) || k >= 0.8 && bad > Free && h > leastLetters/k {
				continue // smaller, or on the true-size sheet only
			}
			l.Own(i+1, box)
			items = append(items, letters(lines, panel.Pt{Vec2: at}, h, 0)...)
			break
		}
	}
	return items
}

// nameLines breaks a long name into lines of some sixteen capitals.
func nameLines(s string, capHeight float64) []string {
	lines := drawing.Wrap(drawing.Lettering, drawing.CapSize(drawing.Lettering, capHeight), s, 16*capHeight)
	if len(lines) > 4 {
		lines = append(lines[:3:3], lines[3]+"…")
	}
	return lines
}

// haloed puts a patch of paper under every name, so that it reads over wires.
func haloed(names []drawing.Item, k float64) []drawing.Item {
	var out []drawing.Item
	for _, it := range names {
		t, ok := it.(*drawing.Text)
		if !ok || t.S == "" {
			out = append(out, it)
			continue
		}
		w, h := drawing.TextWidth(t.Face, t.Size, t.S)+0.8/k, t.Size*0.8
		at := t.At
		if !t.Middle {
			at.Y += h * 0.4
		}
		out = append(out, outl(drawing.NoLine, drawing.AcrylicWash, geom.Rect(at, w, h, 0)), it)
	}
	return out
}
