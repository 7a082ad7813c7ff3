package view

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// outl draws outlines.
func outl(line drawing.Line, fill drawing.Ink, os ...geom.Outline) *drawing.Path {
	return &drawing.Path{Outlines: os, Style: drawing.Style{Line: line, Fill: fill}}
}

// inked draws outlines in an ink.
func inked(line drawing.Line, ink, fill drawing.Ink, os ...geom.Outline) *drawing.Path {
	return &drawing.Path{Outlines: os, Style: drawing.Style{Line: line, Ink: ink, Fill: fill}}
}

// run draws an open run of straight lines.
func run(line drawing.Line, ink drawing.Ink, pts ...geom.Vec2) *drawing.Path {
	o := make(geom.Outline, len(pts))
	for i, p := range pts {
		o[i].P = p
	}
	return &drawing.Path{Outlines: []geom.Outline{o}, Open: true, Style: drawing.Style{Line: line, Ink: ink}}
}

// polar is the point at distance r from c in direction deg, counter-clockwise from the right.
func polar(c geom.Vec2, r, deg float64) geom.Vec2 {
	s, k := math.Sincos(deg * math.Pi / 180)
	return geom.Vec2{X: c.X + r*k, Y: c.Y + r*s}
}

// ring draws short ticks between two radii at even angles.
func ring(c geom.Vec2, r0, r1, from, to float64, n int, line drawing.Line, ink drawing.Ink) []drawing.Item {
	var items []drawing.Item
	for i := range n {
		a := from
		if n > 1 {
			a += (to - from) * float64(i) / float64(n-1)
		}
		items = append(items, run(line, ink, polar(c, r0, a), polar(c, r1, a)))
	}
	return items
}

// frontOf draws what the finger meets, at true size: the outlines of the part's own front shapes, with the few strokes
// that tell one trade class from another.
func frontOf(c *panel.Control) []drawing.Item {
	var items, top []drawing.Item
	at := c.At.Vec2
	widest := geom.Outline(nil)
	bodies := slices.Clone(c.Front)
	slices.SortStableFunc(bodies, func(a, b panel.Body) int { return cmp.Compare(a.Z1, b.Z1) }) // what stands nearer covers the rest
	for _, b := range bodies {
		if b.Outline.Empty() {
			continue
		}
		switch b.Role {
		case panel.RoleSweep, panel.RoleTool:
			if b.Role == panel.RoleSweep {
				items = append(items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, b.Outline))
			}
		case panel.RoleNut:
			items = append(items, outl(drawing.Thin, drawing.CapWash, b.Outline))
		case panel.RoleBezel, panel.RoleKnob, panel.RoleBody, panel.RoleGuard:
			items = append(items, outl(drawing.Visible, drawing.CapWash, b.Outline))
			if widest == nil || b.Outline.Area() > widest.Area() {
				widest = b.Outline
			}
		case panel.RoleLever:
			top = append(top, outl(drawing.Visible, drawing.CapWash, b.Outline))
		default: // cap, handle
			top = append(top, outl(drawing.Thin, drawing.CapWash, b.Outline))
		}
	}
	if widest == nil && len(c.Cuts) > 0 {
		widest = c.Cuts[0].Outline
		if len(c.Front) == 0 {
			items = append(items, outl(drawing.Visible, drawing.CapWash, widest))
		}
	}
	items = append(items, top...)
	r := reach(widest, at)
	turn := func(d float64) float64 { return d + c.Turn }
	switch c.Part.Class {
	case catalog.Push:
		if c.Part.Lamp != (catalog.LampData{}) {
			items = append(items, ring(at, r*0.8, r*0.96, turn(0), turn(315), 8, drawing.Thin, drawing.Ink0)...)
		}
	case catalog.Toggle:
		items = append(items, lever(c, at)...)
	case catalog.Key:
		for _, b := range c.Front {
			if b.Role == panel.RoleHandle {
				return items
			}
		}
		slot := geom.Rect(geom.Vec2{}, r*0.22, r*0.95, 0).Move(geom.Place{At: at, Turn: c.Turn})
		items = append(items, inked(drawing.Thin, drawing.Ink0, drawing.Ink0, slot))
		items = append(items, ring(at, r*1.06, r*1.25, turn(90), turn(30), 2, drawing.Thin, drawing.Ink0)...)
	case catalog.Encoder:
		items = append(items, outl(drawing.Thin, drawing.NoInk, geom.Circle(at, 2*r*0.84)))
		items = append(items, ring(at, r*0.84, r*0.95, 0, 350, 36, drawing.Dim, drawing.Ink0)...)
		items = append(items, turnArrow(at, r*1.14, turn(125), turn(95))...)
		items = append(items, turnArrow(at, r*1.14, turn(55), turn(85))...)
	case catalog.Pot:
		items = append(items, outl(drawing.Thin, drawing.NoInk, geom.Circle(at, 2*r*0.62)))
		items = append(items, run(drawing.Visible, drawing.Ink0, polar(at, r*0.1, turn(150)), polar(at, r*0.92, turn(150))))
		items = append(items, ring(at, r*1.08, r*1.26, turn(225), turn(-45), 9, drawing.Thin, drawing.Ink0)...)
	case catalog.Rotary:
		items = append(items, run(drawing.Visible, drawing.Ink0, polar(at, r*0.2, turn(90)), polar(at, r*0.92, turn(90))))
		n := max(c.Part.Positions, 2)
		span := min(30*float64(n-1), 330)
		items = append(items, ring(at, r*1.08, r*1.24, turn(90+span/2), turn(90-span/2), n, drawing.Thin, drawing.Ink0)...)
	case catalog.Lamp:
		items = append(items, ring(at, r*1.1, r*1.45, turn(45), turn(315), 4, drawing.Thin, drawing.Ink0)...)
	case catalog.SlidePot:
		for _, cut := range c.Cuts {
			if cut.What == "slot" || cut.What == "hole" {
				items = append([]drawing.Item{outl(drawing.Thin, drawing.NoInk, cut.Outline)}, items...)
			}
		}
	}
	return items
}

// reach is the mean of the half width and height of an outline: the radius of a round one.
func reach(o geom.Outline, at geom.Vec2) float64 {
	if o.Empty() {
		return 3
	}
	s := o.Bounds().Size()
	return (s.X + s.Y) / 4
}

// lever draws a toggle's lever in its upper position when the record has no lever shape of its own.
func lever(c *panel.Control, at geom.Vec2) []drawing.Item {
	for _, b := range c.Front {
		if b.Role == panel.RoleLever && !b.Outline.Empty() {
			s := b.Outline.Bounds()
			if s.Max.Sub(at).Len() > 4 {
				return nil
			}
		}
	}
	l, w := 10.0, 3.0
	for _, b := range c.Front {
		if b.Role == panel.RoleSweep && !b.Outline.Empty() {
			s := b.Outline.Bounds().Size()
			l, w = max(s.X, s.Y)/2, min(s.X, s.Y)*0.75
		}
	}
	pl := geom.Place{At: at, Turn: c.Turn}
	stem := geom.Rect(geom.Vec2{Y: l/2 - w/4}, w*0.7, l, w*0.35).Move(pl)
	tip := geom.Circle(pl.Apply(geom.Vec2{Y: l - w*0.2}), w)
	return []drawing.Item{outl(drawing.Visible, drawing.CapWash, stem), outl(drawing.Visible, drawing.CapWash, tip)}
}

// turnArrow is a thin arc with a small head at its end: it can be turned.
func turnArrow(c geom.Vec2, r, from, to float64) []drawing.Item {
	bulge := math.Tan((to - from) * math.Pi / 180 / 4)
	arc := geom.Outline{{P: polar(c, r, from), Bulge: bulge}, {P: polar(c, r, to)}}
	dir := 1.0
	if to < from {
		dir = -1
	}
	tip := polar(c, r, from)
	head := geom.Polygon(tip, polar(c, r+0.7, from+dir*9), polar(c, r-0.7, from+dir*9))
	return []drawing.Item{
		&drawing.Path{Outlines: []geom.Outline{arc}, Open: true, Style: drawing.Style{Line: drawing.Dim}},
		&drawing.Path{Outlines: []geom.Outline{head}, Style: drawing.Style{Fill: drawing.Ink0}},
	}
}

// rearOf draws what the iron meets: the body and every lug, named. Coordinates are the face frame; the caller mirrors.
func rearOf(c *panel.Control, names bool) []drawing.Item {
	var items []drawing.Item
	for _, b := range c.Rear {
		if b.Outline.Empty() {
			continue
		}
		switch b.Role {
		case panel.RoleBody:
			items = append(items, outl(drawing.Visible, drawing.CapWash, b.Outline))
		case panel.RoleNut:
			items = append(items, outl(drawing.Thin, drawing.NoInk, b.Outline))
		}
	}
	for _, l := range c.Lugs {
		w, h := l.W, l.H
		if w <= 0 || h <= 0 {
			w, h = 1.2, 2
		}
		items = append(items, outl(drawing.Thin, drawing.MetalWash, geom.Rect(geom.Vec2{}, w, h, 0).Move(geom.Place{At: l.At.Vec2, Turn: c.Turn})))
	}
	if names {
		items = append(items, lugNames(c)...)
	}
	return items
}

// lugNames letters the lugs outside the row they stand in, so that no name covers another lug.
func lugNames(c *panel.Control) []drawing.Item {
	var items []drawing.Item
	size := drawing.CapSize(drawing.Lettering, 1.8)
	for i, l := range c.Lugs {
		// away from the nearest other lug
		best, dir := math.Inf(1), geom.Vec2{Y: -1}
		for j, o := range c.Lugs {
			if d := l.At.Sub(o.At.Vec2); i != j && d.Len() < best && d.Len() > 0 {
				best = d.Len()
				dir = d
			}
		}
		off := geom.Vec2{Y: -(max(l.H, 2)/2 + 1.6)}
		if math.Abs(dir.Y) > math.Abs(dir.X) {
			if dir.Y > 0 {
				off = geom.Vec2{Y: max(l.H, 2)/2 + 1.6}
			}
			if len(c.Lugs) > 2 {
				off = geom.Vec2{X: max(l.W, 1.2)/2 + 1.4}
			}
		}
		items = append(items, &drawing.Text{At: l.At.Add(off), S: l.Name, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true})
	}
	return items
}
