package packet

import (
	"fmt"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/view"
)

// legendSheet is the lettering at true size, to print on card or film, or to rub on: letters in place, the holes to trim in
// fine lines, the datum corner to lay it on the face by.
func legendSheet(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	n := len(p.Texts)
	for _, c := range p.Controls {
		if c.Legend.Text != "" {
			n++
		}
	}
	if n == 0 && d.board != "" {
		return nil // the face always has its sheet
	}
	room := frontBoxes(p)
	t := newTiling(d, p.Face.Outline.Bounds().Grow(1), room)
	dia := t.diamonds(room)
	items := []drawing.Item{drawing.Outl(drawing.Style{Line: drawing.Dim}, p.Face.Outline)}
	for _, c := range view.AllCuts(p) {
		if c.Blind > 0 {
			continue
		}
		items = append(items, drawing.Outl(drawing.Style{Line: drawing.Dim, Ink: drawing.Pencil}, c.Outline))
	}
	items = append(items, view.Lettering(p)...)
	items = append(items, together("datum corner", drawing.DatumCorner(geom.Vec2{}, false)))
	ps := pieces(items)
	doc := &drawing.Document{Title: "Legends: " + joinTitle(d), Subject: "true size; print at 100 %"}
	s := sheet{
		name: "Legends", view: drawing.FrontView, use: legendUse(p),
		cells: append(d.printCells(), d.panelCell()),
	}
	tiles := t.tiles()
	if len(tiles) > 1 {
		s.of = len(tiles)
	}
	for _, x := range tiles {
		s.n, s.where = x.n, count(n, "legend", "legends")
		if w := t.where(x); w != "" {
			s.where = w + " · " + s.where
		}
		page := drawing.Page{Width: t.w, Height: t.h, Name: fmt.Sprintf("Legends %d", x.n), Items: d.frame(t.w, t.h, s)}
		page.Items = append(page.Items, &drawing.Group{Place: geom.Place{At: x.shift}, Items: t.draw(x, ps)})
		page.Items = append(page.Items, t.seams(x, dia, room)...)
		page.Items = append(page.Items, t.bars()...)
		doc.Pages = append(doc.Pages, page)
	}
	return doc
}

// legendUse says what to do with the sheet, by the way of lettering.
func legendUse(p *panel.Panel) string {
	const where = "True size, seen from the FRONT. "
	switch p.Legend.By {
	case "engrave":
		return where + "What the engraver cuts; check it against the holes before you send it."
	case "transfer":
		return where + "Lay its corner on the datum corner and rub the letters on in place."
	case "label":
		return where + "Where each label goes; trim them on their own tape."
	}
	return where + "Trim on the fine lines; lay its corner on the datum corner."
}

// frontBoxes is the room that holes and letters take on the face.
func frontBoxes(p *panel.Panel) []geom.Box2 {
	var out []geom.Box2
	for _, c := range view.AllCuts(p) {
		if !c.Outline.Empty() {
			out = append(out, c.Outline.Bounds())
		}
	}
	for _, c := range p.Controls {
		if c.Legend.Text != "" {
			out = append(out, c.Legend.Box)
		}
	}
	for _, t := range p.Texts {
		out = append(out, t.Box)
	}
	return out
}
