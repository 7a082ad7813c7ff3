package view

import (
	"fmt"
	"math"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

// ControlOf stands a part on a bare sheet by itself, so that it can be drawn as a control is.
func ControlOf(p catalog.Part) *panel.Control {
	c := &panel.Control{Name: p.ID, Label: p.Title, Part: p}
	for _, x := range p.AllCuts() {
		c.Cuts = append(c.Cuts, &panel.Cut{ID: p.ID, Owner: c, What: x.What, Spec: x, Outline: x.Outline(), Nominal: x.Nominal()})
	}
	for _, s := range p.Front {
		c.Front = append(c.Front, bodyOf(s))
	}
	for _, s := range p.Rear {
		c.Rear = append(c.Rear, bodyOf(s))
	}
	if n := p.Nut; n.Flats > 0 {
		o := geom.Circle(geom.Vec2{}, n.Flats.MM())
		if n.Shape == "hex" {
			o = geom.Hexagon(geom.Vec2{}, n.Flats.MM())
		}
		b := panel.Body{Role: panel.RoleNut, Outline: o}
		if n.Side == "front" {
			c.Front = append(c.Front, b)
		} else {
			c.Rear = append(c.Rear, b)
		}
	}
	for _, l := range p.Lugs {
		c.Lugs = append(c.Lugs, panel.Lug{Name: l.Name, Does: l.Does, At: panel.P(l.At[0].MM(), l.At[1].MM()), W: l.Size[0].MM(), H: l.Size[1].MM()})
	}
	return c
}

func bodyOf(s catalog.Shape) panel.Body {
	z0, z1 := s.Z[0].MM(), s.Z[1].MM()
	return panel.Body{Role: panel.Role(s.Role), Outline: s.Outline(), Z0: min(z0, z1), Z1: max(z0, z1)}
}

// PartSheet is a part true to size: from the front, in its hole from the side, and from behind, with the six numbers that
// decide most fits.
func PartSheet(p catalog.Part) *drawing.Scene {
	c := ControlOf(p)
	box := geom.EmptyBox2()
	for _, b := range append(append([]panel.Body{}, c.Front...), c.Rear...) {
		if !b.Outline.Empty() && b.Role != panel.RoleTool {
			box = box.Union(b.Outline.Bounds())
		}
	}
	for _, x := range c.Cuts {
		if !x.Outline.Empty() {
			box = box.Union(x.Outline.Bounds())
		}
	}
	if box.Min.X > box.Max.X {
		box = geom.Box2{Min: geom.Vec2{X: -5, Y: -5}, Max: geom.Vec2{X: 5, Y: 5}}
	}
	grip := p.Grip[1].MM()
	if grip <= 0 {
		grip = 3
	}
	thick := min(grip, 3)
	zs := geom.Box2{Min: geom.Vec2{X: -thick}, Max: geom.Vec2{X: 2}}
	for _, b := range append(append([]panel.Body{}, c.Front...), c.Rear...) {
		zs.Min.X, zs.Max.X = min(zs.Min.X, b.Z0), max(zs.Max.X, b.Z1)
	}
	gap := 22.0
	size := box.Size()
	side := geom.Vec2{X: box.Max.X + gap - zs.Min.X + 4}
	back := geom.Vec2{X: side.X + zs.Max.X + gap + size.X/2 + 4}
	s := &drawing.Scene{Title: p.Title}

	// front, with the hole dashed
	s.Items = append(s.Items, frontOf(c)...)
	for _, x := range c.Cuts {
		s.Items = append(s.Items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, x.Outline))
	}
	s.Items = append(s.Items,
		run(drawing.Dim, drawing.Ink0, geom.Vec2{X: box.Min.X - 3}, geom.Vec2{X: box.Max.X + 3}),
		run(drawing.Dim, drawing.Ink0, geom.Vec2{Y: box.Min.Y - 3}, geom.Vec2{Y: box.Max.Y + 3}))
	// side: the sheet in section, what stands before and behind it as silhouettes
	s.Items = append(s.Items, sideOf(p, c, side, box, thick)...)
	// rear, mirrored
	s.Items = append(s.Items, &drawing.Group{Place: geom.Place{Flip: true, At: back}, Items: rearOf(c, true)})
	low, high := box.Min.Y-6, box.Max.Y+7
	for _, t := range []struct {
		at geom.Vec2
		s  string
	}{{geom.Vec2{}, "FRONT"}, {side.Add(geom.Vec2{X: (zs.Min.X + zs.Max.X) / 2}), "SIDE"}, {back, "REAR"}} {
		s.Items = append(s.Items, drawing.Lettered(geom.Vec2{X: t.at.X, Y: high}, 2.5, drawing.Centre, t.s))
	}
	y := low - 6
	for _, line := range partLines(p) {
		s.Items = append(s.Items, drawing.Txt(geom.Vec2{X: box.Min.X, Y: y}, drawing.Read, 3.4, drawing.Left, line))
		y -= 5
	}
	right := max(back.X+size.X/2+8, box.Min.X+120)
	s.Items = append(s.Items, drawing.Lettered(geom.Vec2{X: box.Min.X, Y: high + 8}, 4, drawing.Left, p.Title))
	s.Items = append(s.Items, drawing.CheckBar(geom.Vec2{X: box.Min.X, Y: y - 4}, false)...)
	s.Bounds = geom.Box2{Min: geom.Vec2{X: box.Min.X - 12, Y: y - 8}, Max: geom.Vec2{X: right + 8, Y: high + 16}}
	return s
}

// sideOf draws the part from the right: z runs to the right, the person is on the right.
func sideOf(p catalog.Part, c *panel.Control, at geom.Vec2, box geom.Box2, thick float64) []drawing.Item {
	var items []drawing.Item
	z0, z1 := -thick, 0.0 // of the sheet
	if p.SeatsRear() {
		z0, z1 = 0, thick
	}
	hole := 0.0
	if len(c.Cuts) > 0 && !c.Cuts[0].Outline.Empty() {
		hole = c.Cuts[0].Outline.Bounds().Size().Y / 2
	}
	rect := func(za, zb, ya, yb float64) geom.Outline {
		return geom.Polygon(at.Add(geom.Vec2{X: za, Y: ya}), at.Add(geom.Vec2{X: zb, Y: ya}), at.Add(geom.Vec2{X: zb, Y: yb}), at.Add(geom.Vec2{X: za, Y: yb}))
	}
	sheet := drawing.Style{Line: drawing.Edge, Fill: drawing.AcrylicWash, Hatch: drawing.HatchAcrylic}
	for _, o := range []geom.Outline{rect(z0, z1, hole, box.Max.Y+3), rect(z0, z1, box.Min.Y-3, -hole)} {
		items = append(items, &drawing.Path{Outlines: []geom.Outline{o}, Style: sheet})
	}
	for _, b := range append(append([]panel.Body{}, c.Rear...), c.Front...) {
		if b.Outline.Empty() || b.Z1-b.Z0 <= 0 {
			continue
		}
		y := b.Outline.Bounds()
		st := drawing.Style{Line: drawing.Visible, Fill: drawing.CapWash}
		switch b.Role {
		case panel.RoleSweep, panel.RoleBend, panel.RoleTool, panel.RolePlug:
			st = drawing.Style{Line: drawing.Hidden, Ink: drawing.Pencil}
		case panel.RoleLugs:
			st.Line, st.Fill = drawing.Thin, drawing.MetalWash
		}
		items = append(items, &drawing.Path{Outlines: []geom.Outline{rect(b.Z0, b.Z1, y.Min.Y, y.Max.Y)}, Style: st})
	}
	deepest := 0.0
	for _, b := range c.Rear {
		deepest = min(deepest, b.Z0)
	}
	if deepest < 0 {
		ref := 0.0
		items = append(items, drawing.DimX(at.Add(geom.Vec2{X: deepest, Y: box.Min.Y}), at.Add(geom.Vec2{X: ref, Y: box.Min.Y}), at.Y+box.Min.Y-4, length.Plain(-deepest)).Items()...)
	}
	return items
}

// partLines are the six numbers in words.
func partLines(p catalog.Part) []string {
	pl := func(l length.Length) string { return length.Plain(l.MM()) }
	var lines []string
	hole := "Hole " + pl(length.Length(p.Hole.Nominal()))
	if p.Hole.Tol != ([2]length.Length{}) {
		hole += fmt.Sprintf(" (%s to %s)", pl(length.Length(p.Hole.Nominal())+p.Hole.Tol[0]), pl(length.Length(p.Hole.Nominal())+p.Hole.Tol[1]))
	}
	lines = append(lines, hole+fmt.Sprintf(", takes a face of %s to %s mm", pl(p.Grip[0]), pl(p.Grip[1])))
	if p.Thread.Size != "" {
		lines = append(lines, fmt.Sprintf("Thread %s, %s mm long; nut %s mm, %s across", p.Thread.Size, pl(p.Thread.Length), pl(p.Nut.Thickness), pl(p.Nut.Flats)))
	}
	if d := p.TotalDepth(); d > 0 {
		lines = append(lines, fmt.Sprintf("Needs %s mm behind, wire bend included; %s without it", length.Plain(d), length.Plain(math.Abs(p.LugDepth()))))
	}
	lines = append(lines, "Lugs are named as you see them when you solder. Measure yours.")
	return lines
}
