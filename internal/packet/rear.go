package packet

import (
	"fmt"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/view"
)

// rearView is the panel from behind at true size, for the soldering iron; with more than one sheet, a page with all of it first.
func rearView(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	doc := &drawing.Document{Title: "Rear view: " + joinTitle(d), Subject: "seen from behind, mirrored left to right"}
	show := func(k float64) *drawing.Scene { return view.RearScaled(p, k) }
	if d.board == "" && len(r.Harness.Wires) > 0 {
		show = func(k float64) *drawing.Scene { return view.Wired(p, r.Wiring, r.Harness, nil, k) }
	}
	full := show(1)
	ps := pieces(full.Items)
	room := boxesOf(ps, 120)
	t := newTiling(d, p.Face.Outline.Bounds().Grow(1), room)
	dia := t.diamonds(room)
	tiles := t.tiles()
	s := sheet{name: "Behind", view: drawing.RearView}
	if len(tiles) > 1 {
		s.of = len(tiles)
		doc.Pages = append(doc.Pages, d.fitted("Behind", p.Face.Outline.Bounds().Grow(2), show, sheet{
			name: "Behind", view: drawing.RearView, use: "As you see it when you solder: your left hand is at the right of the face. Do not measure here.",
			cells: []cell{d.panelCell(), {"", "every name: true-size sheets"}},
		}))
	}
	s.use = "True size, seen from behind. Lugs are named as you see them when you solder; letters on wires are colours."
	s.cells = append(d.printCells(), d.panelCell())
	for _, x := range tiles {
		s.n, s.where = x.n, t.where(x)
		page := drawing.Page{Width: t.w, Height: t.h, Name: fmt.Sprintf("Behind, true size %d", x.n), Items: d.frame(t.w, t.h, s)}
		page.Items = append(page.Items, &drawing.Group{Place: geom.Place{At: x.shift}, Items: t.draw(x, ps)})
		page.Items = append(page.Items, t.seams(x, dia, room)...)
		page.Items = append(page.Items, t.bars()...)
		doc.Pages = append(doc.Pages, page)
	}
	return doc
}

// fitted is one page with a drawing made as large as it will go, up to true size. draw makes it for a scale; an empty head in
// the last cell is filled with the scale.
func (d desk) fitted(name string, bounds geom.Box2, draw func(k float64) *drawing.Scene, s sheet) drawing.Page {
	size := bounds.Size()
	w, h := d.paper.w, d.paper.h
	if size.X > size.Y {
		w, h = h, w
	}
	area := geom.Box2{Min: v(marginX+3, footY+4), Max: v(w-marginX-2, h-topY-2)}
	k := min(area.Size().X/size.X, area.Size().Y/size.Y, 1)
	s.cells = append([]cell{}, s.cells...)
	for i := range s.cells {
		if s.cells[i].head == "" {
			s.cells[i].head = scaleWords(k)
		}
	}
	page := drawing.Page{Width: w, Height: h, Name: name, Items: d.frame(w, h, s)}
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: area.Centre().Sub(bounds.Centre().Mul(k))}, Items: draw(k).Items})
	return page
}

// scaleWords names a scale: "True size", "Scale 1 : 1.7".
func scaleWords(k float64) string {
	if k > 0.9999 {
		return "True size"
	}
	return fmt.Sprintf("Scale 1 : %.1f", 1/k)
}
