package packet

import (
	"fmt"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/view"
)

// Template is the drilling template: true size, one page a tile, and a map of the pages first when there are several.
func template(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	t := newTiling(d.paper, p.Face.Outline.Bounds().Grow(1))
	items, taken := templateFace(r)
	doc := &drawing.Document{Title: "Drill sheets: " + joinTitle(d), Subject: "true size; print at 100 %"}
	tiles := t.tiles()
	if len(tiles) > 1 {
		doc.Pages = append(doc.Pages, pageMap(d, t, tiles, view.Front(p)))
	}
	for _, x := range tiles {
		page := drawing.Page{Width: t.w, Height: t.h, Name: fmt.Sprintf("Drill sheet %d", x.n)}
		page.Items = append(page.Items, d.head(t.w, t.h, "Drill sheet", front, x.n, len(tiles), "True size. Stick it on the face you will look at, drill through it.", t.where(x))...)
		page.Items = append(page.Items, &drawing.Group{Clip: clipRect(x.see), Place: geom.Place{At: x.shift}, Items: items})
		page.Items = append(page.Items, t.edgeRuler(x, p)...)
		page.Items = append(page.Items, t.seams(x, taken)...)
		page.Items = append(page.Items, t.bars()...)
		page.Items = append(page.Items, d.strip(t.w,
			cell{"Bars first", "0.3 mm off: do not use"},
			cell{d.title, d.sub},
			cell{"Print at 100 %", d.paper.name + ", no “fit to page”"},
			cell{fmt.Sprintf("%d holes, %d bits", len(r.Drilling.Holes), len(r.Drilling.Bits)), d.state + " · mark " + d.mark})...)
		doc.Pages = append(doc.Pages, page)
	}
	return doc
}

// joinTitle gives the panel's whole title again.
func joinTitle(d desk) string { return strings.TrimSpace(d.title + " " + d.sub) }

// clipRect is a rectangle to clip to.
func clipRect(b geom.Box2) geom.Outline {
	s := b.Size()
	return geom.Rect(b.Centre(), s.X, s.Y, 0)
}

// templateFace draws the face with every hole as it is cut: outline, centre, pilot, number, and the bit as the biggest word. It
// says what room all that takes.
func templateFace(r *job.Result) ([]drawing.Item, []geom.Box2) {
	p := r.Panel
	items := []drawing.Item{drawing.Outl(drawing.Style{Line: drawing.Edge}, p.Face.Outline)}
	if s := p.Interior.Size(); p.HasBox && s.X > 0 && s.Y > 0 {
		items = append(items, drawing.Outl(drawing.Style{Line: drawing.Hidden, Ink: drawing.Pencil}, geom.Rect(p.Interior.Centre(), s.X, s.Y, 0)))
	}
	items = append(items, drawing.DatumCorner(geom.Vec2{}, false)...)
	l := &view.Labeller{Sheet: p.Face.Outline.Bounds()}
	for _, h := range r.Drilling.Holes {
		b := crossed(h)
		l.Block(b)
		c := b.Centre() // and the arms of its cross
		l.Block(geom.Box2{Min: v(b.Min.X-3, c.Y-0.4), Max: v(b.Max.X+3, c.Y+0.4)})
		l.Block(geom.Box2{Min: v(c.X-0.4, b.Min.Y-3), Max: v(c.X+0.4, b.Max.Y+3)})
	}
	for _, h := range r.Drilling.Holes {
		items = append(items, holeMarks(h, r)...)
	}
	for _, h := range r.Drilling.Holes {
		items = append(items, number(l, h)...)
	}
	for _, h := range r.Drilling.Holes {
		items = append(items, words(l, h)...)
	}
	return items, l.Taken()
}

// crossed is the room of a hole with its centre cross.
func crossed(h drilling.Hole) geom.Box2 {
	return view.AsCut(h.Cut).Bounds().Grow(1)
}

// holeMarks draws one opening.
func holeMarks(h drilling.Hole, r *job.Result) []drawing.Item {
	o := view.AsCut(h.Cut)
	if c, _, ok := o.AsCircle(); ok && h.Size > 0 {
		o = geom.Circle(c, h.Size)
	}
	style := drawing.Style{Line: drawing.Visible}
	if h.Covered {
		style.Hatch = drawing.HatchCovered
	}
	if h.Cut.Blind > 0 {
		style.Line = drawing.Hidden
	}
	items := []drawing.Item{drawing.Outl(style, o)}
	at := h.Cut.At.Vec2
	s := o.Bounds().Size()
	arm := v(s.X/2+4, s.Y/2+4)
	items = append(items, drawing.Ln(v(at.X-arm.X, at.Y), v(at.X+arm.X, at.Y), drawing.Dim), drawing.Ln(v(at.X, at.Y-arm.Y), v(at.X, at.Y+arm.Y), drawing.Dim))
	if max(s.X, s.Y) > 4 {
		items = append(items, drawing.Circ(at, 3, drawing.Visible))
	}
	items = append(items, drawing.Dot(at, 0.7, drawing.Ink0))
	for _, j := range r.Drilling.Jobs {
		if j.Cut == h.Cut && j.At.Sub(at).Len() > 0.05 && (j.Do == "drill" || j.Do == "pilot" || j.Do == "chain") {
			if j.Do != "pilot" {
				items = append(items, drawing.Circ(j.At.Vec2, j.Bit.Diameter, drawing.Thin))
			}
			items = append(items, drawing.Dot(j.At.Vec2, 0.5, drawing.Ink0))
		}
	}
	return items
}

// number rings the hole's number at a corner of it.
func number(l *view.Labeller, h drilling.Hole) []drawing.Item {
	const d = 6.0
	b := view.AsCut(h.Cut).Bounds()
	if _, _, ok := h.Cut.Outline.AsCircle(); ok {
		b = geom.Box2{Min: b.Min.Add(b.Size().Mul(0.1)), Max: b.Max.Sub(b.Size().Mul(0.1))} // a circle leaves its corners free
	}
	at := l.Find(b, d, d, 0.6, view.CornerFirst)
	return drawing.NumberRing(at, fmt.Sprint(h.N))
}

// words letters the bit, biggest, the control's name under it, and how it is made beyond one bit.
func words(l *view.Labeller, h drilling.Hole) []drawing.Item {
	big, how := bigWord(h.Bit)
	lines := []*drawing.Text{{S: big, Face: drawing.ReadBold, Size: pt(17)}}
	small := h.Cut.What == "fixing" || h.Cut.What == "screw" || h.Cut.What == "anti-turn"
	if _, d, ok := h.Cut.Outline.AsCircle(); small || ok && d < 4.5 {
		lines[0].Size = pt(12)
	}
	if !small {
		lines = append(lines, &drawing.Text{S: ownerName(h.Cut), Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, 2.2)})
	}
	if how != "" {
		lines = append(lines, &drawing.Text{S: how, Face: drawing.Read, Size: pt(8.5), Ink: drawing.Pencil})
	}
	w, height := 0.0, 0.0
	for _, t := range lines {
		w = max(w, drawing.TextWidth(t.Face, t.Size, t.S))
		height += t.Size*0.72 + 1.2
	}
	height -= 1.2
	b := view.AsCut(h.Cut).Bounds()
	at := l.Find(geom.Box2{Min: b.Min.Sub(v(0, 3.4)), Max: b.Max.Add(v(0, 3.4))}, w+0.6, height, 0.8, view.BelowFirst)
	y := at.Y + height/2
	var items []drawing.Item
	for _, t := range lines {
		y -= t.Size * 0.72
		t.At, t.Anchor = v(at.X, y), drawing.Centre
		y -= 1.2
		items = append(items, t)
	}
	return items
}

// bigWord parts the drilling plan's word for a hole, "step 16 + file", into the size that the hand looks for and the rest.
func bigWord(s string) (big, how string) {
	var size, rest []string
	for _, f := range strings.Fields(s) {
		switch {
		case f == "+":
		case strings.ContainsAny(f, "0123456789#") || len(size) > 0 && f == "in":
			size = append(size, f)
		default:
			rest = append(rest, f)
		}
	}
	if len(size) == 0 {
		return s, ""
	}
	return strings.Join(size, " "), strings.Join(rest, ", ")
}

// ownerName is what a hole is for, as short as a drawing wants it.
func ownerName(c *panel.Cut) string {
	if c.Owner != nil {
		return c.Owner.Label
	}
	return strings.ToUpper(strings.TrimPrefix(strings.TrimPrefix(c.ID, "hole-"), "opening-"))
}

// edgeRuler draws millimetre ticks along the left and the lower edge of the face, numbered from the datum corner, as far as
// this tile shows them.
func (t tiling) edgeRuler(x tile, p *panel.Panel) []drawing.Item {
	var items []drawing.Item
	leftIn := x.see.Min.X <= 0 && x.see.Max.X >= 0
	bottomIn := x.see.Min.Y <= 0 && x.see.Max.Y >= 0
	edgeX, edgeY := x.shift.X, x.shift.Y
	if !leftIn {
		edgeX = t.win.Min.X - 1
	}
	if !bottomIn {
		edgeY = t.win.Min.Y - 1
	}
	clip := func(lo, hi, size float64) (float64, float64) { return max(lo, 0), min(hi, size) }
	from, to := clip(x.see.Min.X, x.see.Max.X, p.Face.Width)
	items = append(items, drawing.Ruler{Zero: v(x.shift.X, edgeY-0.6), From: from, To: to, Numbers: true}.Items()...)
	from, to = clip(x.see.Min.Y, x.see.Max.Y, p.Face.Height)
	items = append(items, drawing.Ruler{Zero: v(edgeX-0.6, x.shift.Y), From: from, To: to, Vertical: true, Numbers: true}.Items()...)
	if leftIn && bottomIn {
		items = append(items, drawing.Txt(v(max(edgeX, marginX+rulerX), edgeY-11.5), drawing.Read, pt(9.5), drawing.Left, "Datum corner: every number is measured from here"))
	}
	return items
}

// pageMap is the first sheet: how the others go together.
func pageMap(d desk, t tiling, tiles []tile, s *drawing.Scene) drawing.Page {
	w, h := d.paper.h, d.paper.w // lying
	page := drawing.Page{Width: w, Height: h, Name: "How the sheets go together"}
	page.Items = append(page.Items, d.head(w, h, "How the sheets go together", front, 0, 0, "Not to scale: do not measure here. Print the sheets, check both bars, lay them so that every diamond closes.", "")...)
	area := geom.Box2{Min: v(marginX+12, 34), Max: v(w-marginX-4, h-topY-6)}
	size := s.Bounds.Size()
	k := min(area.Size().X/size.X, area.Size().Y/size.Y)
	mid := area.Centre().Sub(s.Bounds.Centre().Mul(k))
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: mid}, Items: s.Items})
	at := func(pnt geom.Vec2) geom.Vec2 { return mid.Add(pnt.Mul(k)) }
	for _, x := range tiles {
		see := geom.Box2{
			Min: v(max(x.see.Min.X, s.Bounds.Min.X-4), max(x.see.Min.Y, s.Bounds.Min.Y-4)),
			Max: v(min(x.see.Max.X, s.Bounds.Max.X+4), min(x.see.Max.Y, s.Bounds.Max.Y+4)),
		}
		page.Items = append(page.Items, drawing.Box(drawing.Style{Line: drawing.CentreLn, Width: 0.35}, at(see.Min), at(see.Max)))
	}
	for _, x := range tiles {
		c := at(v((max(x.see.Min.X, 0)+min(x.see.Max.X, s.Bounds.Max.X))/2, (max(x.see.Min.Y, 0)+min(x.see.Max.Y, s.Bounds.Max.Y))/2))
		page.Items = append(page.Items,
			drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, geom.Circle(c, 15)),
			&drawing.Text{At: c, S: fmt.Sprint(x.n), Face: drawing.ReadBold, Size: pt(24), Anchor: drawing.Centre, Middle: true})
	}
	page.Items = append(page.Items, d.strip(w,
		cell{joinTitle(d), d.state + " · mark " + d.mark},
		cell{fmt.Sprintf("%d sheets", len(tiles)), fmt.Sprintf("%d across, %d down, %s", t.cols, t.rows, d.paper.name)},
		cell{"Print at 100 %", "no “fit to page”"},
		cell{"Bars first", "0.3 mm off: do not use"})...)
	return page
}
