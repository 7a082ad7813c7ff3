// Package view draws a panel: from the front, from behind, and its parts one by one. Everything is at true size, in the face
// frame, on scenes that any writer can write. It computes nothing but where ink goes.
package view

import (
	"slices"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Layers of a face drawing, by what is done with them, lowest first.
var layers = []drawing.Layer{
	{Name: "CUT", Means: "cut through: outline and openings", Colour: 1, Process: true},
	{Name: "BLIND", Means: "not through: blind holes, depth in the schedule", Colour: 6, Process: true},
	{Name: "CENTRE", Means: "for reference: hole centres", Colour: 5},
	{Name: "BEHIND", Means: "for reference: what lies behind", Colour: 8},
	{Name: "FRONT", Means: "for reference: what will be seen", Colour: 7},
	{Name: "LEGEND", Means: "letters: print, engrave or transfer", Colour: 3}, // over what they stand on
}

// Front is the finished face as the person sees it: controls, legends, screws; what lies behind in dashed lines.
func Front(p *panel.Panel) *drawing.Scene {
	s := &drawing.Scene{Title: p.Title, Layers: layers}
	s.Items = append(s.Items, outl(drawing.Edge, drawing.AcrylicWash, p.Face.Outline))
	s.Items = append(s.Items, Hidden(p)...)
	s.Items = append(s.Items, FrontParts(p)...)
	s.Items = append(s.Items, layered("FRONT", patches(p))...)
	s.Items = append(s.Items, Lettering(p)...)
	s.Items = append(s.Items, drawing.DatumCorner(geom.Vec2{}, false)...)
	s.Bounds = p.Face.Outline.Bounds().Grow(2)
	return s
}

// FrontParts draws every control and screw from the front.
func FrontParts(p *panel.Panel) []drawing.Item {
	var items []drawing.Item
	for _, f := range p.Fixings {
		d := f.Head
		if d <= 0 {
			d = f.Cut.Nominal
		}
		r := d / 2
		items = append(items, outl(drawing.Thin, drawing.CapWash, geom.Circle(f.At.Vec2, d)),
			run(drawing.Thin, drawing.Ink0, f.At.Add(geom.Vec2{X: -r * 0.6, Y: -r * 0.6}), f.At.Add(geom.Vec2{X: r * 0.6, Y: r * 0.6})))
	}
	for _, o := range p.Openings {
		items = append(items, outl(drawing.Visible, drawing.Paper, o.Outline))
	}
	for _, c := range p.Controls {
		items = append(items, &drawing.Group{Note: c.Label, Items: layered("FRONT", frontOf(c))})
	}
	return items
}

// Hidden draws what lies behind the face, dashed and quiet: walls, ribs, blocks, module.
func Hidden(p *panel.Panel) []drawing.Item {
	var items []drawing.Item
	if p.HasBox {
		if s := p.Interior.Size(); s.X > 0 && s.Y > 0 {
			items = append(items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, geom.Rect(p.Interior.Centre(), s.X, s.Y, 0)))
		}
	}
	for _, b := range p.Behind {
		switch b.Role {
		case panel.RoleRib, panel.RoleBlock:
			if o := footprint(p, b); !o.Empty() {
				items = append(items, inked(drawing.Hidden, drawing.Pencil, drawing.PlyWash, o))
			}
		case panel.RoleWall, panel.RoleLedge:
			if o := footprint(p, b); !o.Empty() && (b.Role == panel.RoleLedge || !p.HasBox) {
				items = append(items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, o))
			}
		case panel.RoleModule:
			if !b.Outline.Empty() && p.Board == "" {
				items = append(items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, b.Outline))
			}
		}
	}
	if len(items) > 0 {
		items = []drawing.Item{&drawing.Group{Clip: p.Face.Outline, Items: items}}
	}
	return layered("BEHIND", items)
}

// patches are what lettering stands on, so that no dashed line runs through a word.
func patches(p *panel.Panel) []drawing.Item {
	var items []drawing.Item
	patch := func(b geom.Box2) {
		s := b.Size()
		items = append(items, outl(drawing.NoLine, drawing.AcrylicWash, geom.Rect(b.Centre(), s.X+0.8, s.Y+0.8, 0)))
	}
	for _, c := range p.Controls {
		if c.Legend.Text != "" {
			patch(c.Legend.Box)
		}
	}
	for _, t := range p.Texts {
		patch(t.Box)
	}
	return items
}

// Lettering draws the legends and texts where they will stand, at their cap height.
func Lettering(p *panel.Panel) []drawing.Item {
	var items []drawing.Item
	for _, c := range p.Controls {
		if l := c.Legend; l.Text != "" {
			items = append(items, letters(l.Lines, l.Middle, l.Cap, 0)...)
		}
	}
	for _, t := range p.Texts {
		items = append(items, letters(t.Lines, t.Middle, t.Cap, t.Turn)...)
	}
	return layered("LEGEND", items)
}

// letters draws centred lettering, one text a line.
func letters(lines []string, middle panel.Pt, capHeight, turn float64) []drawing.Item {
	var items []drawing.Item
	pitch := capHeight * panel.LineStep
	for i, s := range lines {
		off := geom.Vec2{Y: pitch * (float64(len(lines)-1)/2 - float64(i))}
		at := middle.Add(geom.Place{Turn: turn}.Apply(off))
		items = append(items, &drawing.Text{At: at, S: s, Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, capHeight),
			Anchor: drawing.Centre, Middle: true, Turn: turn})
	}
	return items
}

// layered puts items on a layer.
func layered(layer string, items []drawing.Item) []drawing.Item {
	for _, it := range items {
		switch x := it.(type) {
		case *drawing.Path:
			x.Layer = layer
		case *drawing.Text:
			x.Layer = layer
		case *drawing.Group:
			layered(layer, x.Items)
		}
	}
	return items
}

// Cutting is the face for a machine: true outlines on layers by process, kerf taken into account when there is one, so that
// the finished edge comes out at size. Legends and centres are layers of their own.
func Cutting(p *panel.Panel) *drawing.Scene {
	s := &drawing.Scene{Title: p.Title, Layers: layers, Bounds: p.Face.Outline.Bounds().Grow(5)}
	k := p.Kerf / 2
	add := func(o geom.Outline, layer string) {
		s.Items = append(s.Items, &drawing.Path{Outlines: []geom.Outline{o}, Style: drawing.Style{Line: drawing.Hairline}, Layer: layer})
	}
	add(grown(p.Face.Outline, k), "CUT")
	for _, c := range AllCuts(p) {
		layer := "CUT"
		if c.Blind > 0 {
			layer = "BLIND"
		}
		add(grown(AsCut(c), -k), layer)
		s.Items = append(s.Items, layered("CENTRE", cross(c.At.Vec2, 2))...)
	}
	s.Items = append(s.Items, Lettering(p)...)
	return s
}

// AsCut is the outline to cut in the bare sheet: the finished outline grown by what the covering takes away again.
func AsCut(c *panel.Cut) geom.Outline {
	return grown(c.Outline, (c.CutMin-c.FinishedMin)/2)
}

// grown offsets an outline; it stays as it is when the offset is nothing.
func grown(o geom.Outline, m float64) geom.Outline {
	if m == 0 {
		return o
	}
	if g := o.Grow(m); !g.Empty() {
		return g
	}
	return o
}

// cross is a fine centre cross.
func cross(at geom.Vec2, r float64) []drawing.Item {
	return []drawing.Item{
		run(drawing.Dim, drawing.Ink0, at.Add(geom.Vec2{X: -r}), at.Add(geom.Vec2{X: r})),
		run(drawing.Dim, drawing.Ink0, at.Add(geom.Vec2{Y: -r}), at.Add(geom.Vec2{Y: r})),
	}
}

// AllCuts lists every cut-out of the face: controls in file order, then screws, then bare openings.
func AllCuts(p *panel.Panel) []*panel.Cut {
	var cuts []*panel.Cut
	for _, c := range p.Controls {
		cuts = append(cuts, c.Cuts...)
	}
	for _, f := range p.Fixings {
		cuts = append(cuts, f.Cut)
	}
	cuts = append(cuts, p.Openings...)
	return slices.DeleteFunc(cuts, p.OffSheet) // what lies beside the sheet is not cut; a finding says so
}
