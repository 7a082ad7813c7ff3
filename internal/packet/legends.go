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
// fine lines, corners to lay it on the face by.
func legendSheet(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	t := newTiling(d.paper, p.Face.Outline.Bounds().Grow(1))
	var items []drawing.Item
	items = append(items, drawing.Outl(drawing.Style{Line: drawing.Dim}, p.Face.Outline))
	for _, c := range view.AllCuts(p) {
		if c.Blind > 0 {
			continue
		}
		items = append(items, drawing.Outl(drawing.Style{Line: drawing.Dim, Ink: drawing.Pencil}, c.Outline))
	}
	items = append(items, view.Lettering(p)...)
	items = append(items, drawing.DatumCorner(geom.Vec2{}, false)...)
	doc := &drawing.Document{Title: "Legends: " + joinTitle(d), Subject: "true size; print at 100 %"}
	tiles := t.tiles()
	n := len(p.Texts)
	for _, c := range p.Controls {
		if c.Legend.Text != "" {
			n++
		}
	}
	how := map[string]string{"print": "to print", "engrave": "to engrave", "transfer": "to rub on", "label": "on label tape"}[p.Legend.By]
	for _, x := range tiles {
		page := drawing.Page{Width: t.w, Height: t.h, Name: fmt.Sprintf("Legends %d", x.n)}
		page.Items = append(page.Items, d.head(t.w, t.h, "Legends", front, x.n, len(tiles), "True size. Trim on the fine lines; lay its corner on the datum corner.", t.where(x))...)
		page.Items = append(page.Items, &drawing.Group{Clip: clipRect(x.see), Place: geom.Place{At: x.shift}, Items: items})
		page.Items = append(page.Items, t.seams(x, frontBoxes(p))...)
		page.Items = append(page.Items, t.bars()...)
		page.Items = append(page.Items, d.strip(t.w,
			cell{"Bars first", "0.3 mm off: do not use"},
			cell{d.title, d.sub},
			cell{fmt.Sprintf("%d legends", n), how},
			cell{"Print at 100 %", d.state + " · mark " + d.mark})...)
		doc.Pages = append(doc.Pages, page)
	}
	return doc
}

// rearView is the panel from behind, fitted to one page and then at true size.
func rearView(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	doc := &drawing.Document{Title: "Rear view: " + joinTitle(d), Subject: "seen from behind, mirrored left to right"}
	s := view.Rear(p)
	strip := func(w float64, scale string) []drawing.Item {
		return d.strip(w,
			cell{"REAR", "left when you sit before it is right here"},
			cell{d.title, d.sub},
			cell{scale, "lugs named as seen from behind"},
			cell{d.state, "mark " + d.mark})
	}
	doc.Pages = append(doc.Pages, d.fitted("Behind", rear, s, "Seen from behind, as you see it when you solder. Do not measure here.", strip))
	t := newTiling(d.paper, p.Face.Outline.Bounds().Grow(1))
	tiles := t.tiles()
	for _, x := range tiles {
		page := drawing.Page{Width: t.w, Height: t.h, Name: fmt.Sprintf("Behind, true size %d", x.n)}
		page.Items = append(page.Items, d.head(t.w, t.h, "Behind", rear, x.n, len(tiles), "True size, seen from behind.", t.where(x))...)
		page.Items = append(page.Items, &drawing.Group{Clip: clipRect(x.see), Place: geom.Place{At: x.shift}, Items: s.Items})
		page.Items = append(page.Items, t.seams(x, mirrored(rearBoxes(p), p.Face.Width))...)
		page.Items = append(page.Items, t.bars()...)
		page.Items = append(page.Items, strip(t.w, "Print at 100 %")...)
		doc.Pages = append(doc.Pages, page)
	}
	return doc
}

// fitted is one page with a scene made as large as it will go.
func (d desk) fitted(name string, sd side, s *drawing.Scene, use string, strip func(w float64, scale string) []drawing.Item) drawing.Page {
	size := s.Bounds.Size()
	w, h := d.paper.w, d.paper.h
	if size.X > size.Y {
		w, h = h, w
	}
	area := geom.Box2{Min: v(marginX+5, 30), Max: v(w-marginX-2, h-topY-2)}
	k := min(area.Size().X/size.X, area.Size().Y/size.Y, 1)
	mid := area.Centre().Sub(s.Bounds.Centre().Mul(k))
	scale := "True size"
	if k < 1 {
		scale = fmt.Sprintf("Scale 1 : %.1f", 1/k)
	}
	page := drawing.Page{Width: w, Height: h, Name: name}
	page.Items = append(page.Items, d.head(w, h, name, sd, 0, 0, use, "")...)
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: mid}, Items: s.Items})
	page.Items = append(page.Items, strip(w, scale)...)
	return page
}

// finishedFace is the panel as it will look, on one page.
func finishedFace(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	doc := &drawing.Document{Title: "Front: " + joinTitle(d), Subject: "the finished face"}
	doc.Pages = append(doc.Pages, d.fitted("Face", front, view.Front(p), "As it will look. Dashed: what lies behind.", func(w float64, scale string) []drawing.Item {
		return d.strip(w,
			cell{"FRONT", "seen from the front"},
			cell{d.title, d.sub},
			cell{scale, fmt.Sprintf("%s by %s mm", mm1(p.Face.Width), mm1(p.Face.Height))},
			cell{d.state, "mark " + d.mark})
	}))
	return doc
}

// frontBoxes is the room that holes and letters take on the face.
func frontBoxes(p *panel.Panel) []geom.Box2 {
	var out []geom.Box2
	for _, c := range view.AllCuts(p) {
		out = append(out, c.Outline.Bounds())
	}
	for _, c := range p.Controls {
		if c.Legend.Text != "" {
			out = append(out, c.Legend.Box)
		}
	}
	return out
}

// rearBoxes is the room that bodies take behind it.
func rearBoxes(p *panel.Panel) []geom.Box2 {
	var out []geom.Box2
	for _, c := range p.Controls {
		for _, b := range c.Rear {
			if b.Role == panel.RoleBody && !b.Outline.Empty() {
				out = append(out, b.Outline.Bounds().Grow(3))
			}
		}
	}
	return out
}

// mirrored turns boxes of the face into boxes of the rear view.
func mirrored(in []geom.Box2, width float64) []geom.Box2 {
	out := make([]geom.Box2, len(in))
	for i, b := range in {
		out[i] = geom.Box2{Min: v(width-b.Max.X, b.Min.Y), Max: v(width-b.Min.X, b.Max.Y)}
	}
	return out
}
