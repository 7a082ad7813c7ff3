package compare

import (
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Overlay draws the new face over the old one: new cut-outs in full lines, old holes that are not used any more dashed and crossed out, and an
// arrow for every part that moves.
func (r Result) Overlay(old, new *panel.Panel) *drawing.Scene {
	s := &drawing.Scene{Title: new.Title}
	style := func(l drawing.Line, ink, fill drawing.Ink) drawing.Style {
		return drawing.Style{Line: l, Ink: ink, Fill: fill}
	}
	path := func(o geom.Outline, st drawing.Style) {
		s.Items = append(s.Items, &drawing.Path{Outlines: []geom.Outline{o}, Style: st})
	}
	if new.Face.HasSize() {
		path(new.Face.Outline, style(drawing.Edge, drawing.Ink0, drawing.AcrylicWash))
	}
	if old.Face.HasSize() && !r.Sheet.Again {
		path(old.Face.Outline, style(drawing.Hidden, drawing.Pencil, drawing.NoInk))
	}
	for _, c := range new.Controls {
		for _, b := range c.Front {
			if b.Role == panel.RoleBezel || b.Role == panel.RoleKnob || b.Role == panel.RoleCap {
				path(b.Outline, style(drawing.Thin, drawing.Pencil, drawing.NoInk))
			}
		}
	}
	for _, x := range cuts(new) {
		path(x.Outline, style(drawing.Visible, drawing.Ink0, drawing.Paper))
	}
	now := cuts(new)
	for _, x := range cuts(old) {
		kept := false
		for _, y := range now {
			kept = kept || congruent(x.Cut, y.Cut)
		}
		if kept {
			continue
		}
		path(x.Outline, style(drawing.Hidden, drawing.Ink0, drawing.NoInk))
		d := x.Outline.Bounds().Size()
		h := max(min(d.X, d.Y)/2*0.7, 0.8)
		for _, q := range []geom.Vec2{{X: h, Y: h}, {X: h, Y: -h}} {
			s.Items = append(s.Items, drawing.Ln(x.At.Sub(q), x.At.Add(q), drawing.Dim))
		}
	}
	for _, p := range r.Parts {
		if p.What != "moves" || p.Far < 1 {
			continue
		}
		dir := p.To.Sub(p.From).Mul(1 / p.Far)
		from, to := p.From, p.To
		if p.Far > 6 {
			from, to = from.Add(dir.Mul(1.5)), to.Sub(dir.Mul(1.5))
		}
		s.Items = append(s.Items, &drawing.Path{Outlines: []geom.Outline{{{P: from}, {P: to}}}, Open: true, Style: style(drawing.Thin, drawing.You, drawing.NoInk)}, drawing.Arrow(to, dir, drawing.You))
	}
	for _, c := range new.Controls {
		low := c.At.Y
		for _, k := range c.Cuts {
			low = min(low, k.Outline.Bounds().Min.Y)
		}
		for _, b := range c.Front {
			if b.Role == panel.RoleBezel || b.Role == panel.RoleKnob {
				low = min(low, b.Outline.Bounds().Min.Y)
			}
		}
		t := drawing.Lettered(geom.Vec2{X: c.At.X, Y: low - 4}, 2.5, drawing.Centre, c.Label)
		s.Items = append(s.Items, drawing.Knocked(t, 0.5)...)
	}
	b := geom.EmptyBox2()
	if new.Face.HasSize() {
		b = b.Union(new.Face.Outline.Bounds())
	}
	if old.Face.HasSize() {
		b = b.Union(old.Face.Outline.Bounds())
	}
	s.Bounds = b.Grow(4)
	return s
}
