package view

import (
	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// PartFront is what the finger meets of a part, true to size, with its hole dashed: a picture to find it by.
func PartFront(p catalog.Part) *drawing.Scene {
	c := ControlOf(p)
	box := geom.EmptyBox2()
	for _, b := range c.Front {
		if !b.Outline.Empty() && b.Role != panel.RoleTool {
			box = box.Union(b.Outline.Bounds())
		}
	}
	s := &drawing.Scene{Title: p.Title, Items: frontOf(c)}
	for _, x := range c.Cuts {
		if !x.Outline.Empty() {
			box = box.Union(x.Outline.Bounds())
			s.Items = append(s.Items, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, x.Outline))
		}
	}
	if box.Min.X > box.Max.X { // a circuit board: its rear is all there is to see
		for _, b := range c.Rear {
			if !b.Outline.Empty() {
				box = box.Union(b.Outline.Bounds())
				s.Items = append(s.Items, outl(drawing.Thin, drawing.CapWash, b.Outline))
			}
		}
	}
	if box.Min.X > box.Max.X {
		box = geom.Box2{Min: geom.Vec2{X: -5, Y: -5}, Max: geom.Vec2{X: 5, Y: 5}}
	}
	s.Bounds = box.Grow(1.5)
	return s
}
