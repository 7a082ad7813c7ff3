package packet

import (
	"fmt"
	"math"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/view"
)

// template is the drilling template: true size, one page a tile, and a map of the pages first when there are several.
func template(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	t := newTiling(d, p.Face.Outline.Bounds().Grow(1), holeRooms(r))
	dia := t.diamonds(holeRooms(r))
	ps, taken := templateFace(r, d, t, dia)
	doc := &drawing.Document{Title: "Drill sheets: " + joinTitle(d), Subject: "true size; print at 100 %"}
	tiles := t.tiles()
	s := sheet{name: "Drill sheet", view: drawing.FrontView, use: "True size. Stick it on the face you will look at, drill through it."}
	if d.board != "" {
		s.use = "True size. Stick it on the outside of the " + d.board + ", drill through it."
	}
	s.cells = append(d.printCells(), d.panelCell())
	if len(tiles) > 1 {
		doc.Pages = append(doc.Pages, pageMap(d, t, tiles, p))
		s.of = len(tiles)
	}
	many := fmt.Sprintf("%s, %s", count(len(r.Drilling.Holes), "hole", "holes"), count(drills(r), "bit", "bits"))
	for _, x := range tiles {
		s.n, s.where = x.n, many
		if w := t.where(x); w != "" {
			s.where = w + " · " + many
		}
		page := drawing.Page{Width: t.w, Height: t.h, Name: fmt.Sprintf("Drill sheet %d", x.n), Items: d.frame(t.w, t.h, s)}
		page.Items = append(page.Items, &drawing.Group{Place: geom.Place{At: x.shift}, Items: t.draw(x, ps)})
		page.Items = append(page.Items, t.edgeRuler(x, p)...)
		page.Items = append(page.Items, t.seams(x, dia, taken)...)
		page.Items = append(page.Items, t.bars()...)
		doc.Pages = append(doc.Pages, page)
	}
	return doc
}

// drills counts the bits of a plan, saws and files left out.
func drills(r *job.Result) int {
	n := 0
	for _, b := range r.Drilling.Bits {
		if b.Bit.Kind != "" {
			n++
		}
	}
	return n
}

// count is a number with its noun: "1 hole", "4 holes".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// joinTitle gives the panel's whole title again.
func joinTitle(d desk) string { return strings.TrimSpace(d.title + " " + d.sub) }

// edgeRuler draws ticks along the left and the lower edge of what a page shows, numbered from the datum corner.
func (t tiling) edgeRuler(x tile, p *panel.Panel) []drawing.Item {
	var items []drawing.Item
	f := p.Face
	edge := geom.Box2{Min: v(max(x.show.Min.X, 0), max(x.show.Min.Y, 0)), Max: v(min(x.show.Max.X, f.Width), min(x.show.Max.Y, f.Height))}
	if x.col > 0 {
		edge.Min.X--
	}
	if x.row < t.rows()-1 {
		edge.Min.Y--
	}
	items = append(items, drawing.Ruler{Zero: v(x.shift.X, edge.Min.Y-0.6+x.shift.Y), From: max(edge.Min.X, 0), To: edge.Max.X, Numbers: true, Inch: t.inch}.Items()...)
	items = append(items, drawing.Ruler{Zero: v(edge.Min.X-0.6+x.shift.X, x.shift.Y), From: max(edge.Min.Y, 0), To: edge.Max.Y, Vertical: true, Numbers: true, Inch: t.inch}.Items()...)
	if x.col == 0 && x.row == t.rows()-1 {
		items = append(items, t.datumWords(edge.Min.Y+x.shift.Y, max(edge.Min.X+x.shift.X, marginX+rulerX)))
	}
	return items
}

// datumWords say what the heavy corner is: below the ruler where there is room, else beside the level check bar.
func (t tiling) datumWords(edge, left float64) drawing.Item {
	const size = 9.5
	if edge-11.5 > barY+3.5 {
		return drawing.Txt(v(left, edge-11.5), drawing.Read, pt(size), drawing.Left, "Datum corner: every number is measured from here")
	}
	x := marginX + rulerX + 144
	at := v(x, barY+0.2)
	return fitted(at, drawing.Read, pt(size), t.w-marginX-x, "numbers start at the heavy corner", drawing.Ink0)
}

// pageMap is the first sheet: how the others go together.
func pageMap(d desk, t tiling, tiles []tile, p *panel.Panel) drawing.Page {
	s := view.Front(p)
	w, h := d.paper.h, d.paper.w // lying
	size := s.Bounds.Size()
	area := geom.Box2{Min: v(marginX+6, footY+5), Max: v(w-marginX-4, h-topY-4)}
	k := min(area.Size().X/size.X, area.Size().Y/size.Y)
	page := drawing.Page{Width: w, Height: h, Name: "How the sheets go together"}
	page.Items = d.frame(w, h, sheet{
		name: "How the sheets go together", view: drawing.FrontView,
		use: "Not to scale: do not measure here. Print the sheets, check both bars, lay them so that every diamond closes.",
		cells: append(d.printCells(), d.panelCell(),
			cell{count(len(tiles), "sheet", "sheets"), fmt.Sprintf("%d across, %d down", t.cols(), t.rows())}),
	})
	mid := area.Centre().Sub(s.Bounds.Centre().Mul(k))
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: mid}, Items: s.Items})
	at := func(q geom.Vec2) geom.Vec2 { return mid.Add(q.Mul(k)) }
	line := func(a, b geom.Vec2) {
		page.Items = append(page.Items, drawing.Outl(drawing.Style{Line: drawing.CentreLn, Ink: drawing.Ink0, Width: 0.5}, geom.Outline{{P: at(a)}, {P: at(b)}}))
	}
	over := 6 / k
	for _, x := range t.xs {
		line(v(x, t.area.Min.Y-over/2), v(x, t.area.Max.Y+over/2))
	}
	for _, y := range t.ys {
		line(v(t.area.Min.X-over/2, y), v(t.area.Max.X+over/2, y))
	}
	busy := frontBoxes(p)
	for _, x := range tiles {
		r := min(7, 0.3*k*min(x.own.Size().X, x.own.Size().Y))
		c := at(freeSpot(x.own, r/k, busy))
		page.Items = append(page.Items,
			drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, geom.Circle(c, 2*r)),
			&drawing.Text{At: c, S: fmt.Sprint(x.n), Face: drawing.ReadBold, Size: r, Anchor: drawing.Centre, Middle: true})
	}
	return page
}

// freeSpot is the middle of a disc of radius r in a box, where it covers least of what is there, near the middle of the box.
func freeSpot(in geom.Box2, r float64, busy []geom.Box2) geom.Vec2 {
	best, spot := math.Inf(1), in.Centre()
	busy = touching(busy, in)
	const n = 12
	for i := range n + 1 {
		for k := range n + 1 {
			room := in.Grow(-r - 1).Size()
			q := in.Min.Add(v(r+1+room.X*float64(i)/n, r+1+room.Y*float64(k)/n))
			c := covers(geom.Box2{Min: q, Max: q}.Grow(r), busy) + 0.02*r*q.Sub(in.Centre()).Len()
			if c < best {
				best, spot = c, q
			}
		}
	}
	return spot
}
