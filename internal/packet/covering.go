package packet

import (
	"fmt"
	"math"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

// pattern is the outline of the covering before it is laid: the face and, when it is wrapped, the allowance round it with the
// corners cut so that the flaps meet in a mitre behind and no film lies double over a corner.
type pattern struct {
	outline geom.Outline
	w, h    float64 // of the blank, mm
	allow   float64 // beyond the face on each side: thickness of the sheet and the turn-over
	corner  float64 // left standing at each corner, along the edge of the face, mm
}

// newPattern works the pattern out. The allowance is the sheet's thickness plus the turn-over behind; at each corner the cut
// runs at 45 degrees and passes the corner of the sheet at one and a half thicknesses, which is what the film needs to go
// round the edge without showing the sheet (common practice).
func newPattern(p *panel.Panel) pattern {
	f := p.Face
	if p.Stack.Wrap <= 0 {
		return pattern{outline: f.Outline, w: f.Width, h: f.Height}
	}
	a := p.Stack.SheetThickness + p.Stack.Wrap
	keep := 1.5 * (p.Stack.SheetThickness + p.Stack.CoverThickness)
	c := a - keep*math.Sqrt2/2*1.0 // leg of the corner cut, so that it passes keep from the sheet's corner
	c = 2*a - keep*math.Sqrt2
	c = min(max(c, 0), 2*a)
	w, h := f.Width+2*a, f.Height+2*a
	x0, y0, x1, y1 := -a, -a, f.Width+a, f.Height+a
	o := geom.Polygon(
		v(x0+c, y0), v(x1-c, y0), v(x1, y0+c), v(x1, y1-c),
		v(x1-c, y1), v(x0+c, y1), v(x0, y1-c), v(x0, y0+c))
	return pattern{outline: o, w: w, h: h, allow: a, corner: c}
}

// coveringSheet is the pattern with its sizes, and a corner at true size.
func coveringSheet(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	if p.Stack.CoverThickness <= 0 {
		return nil
	}
	pat := newPattern(p)
	paint := p.Stack.Covering.Kind == "paint"
	doc := &drawing.Document{Title: "Covering: " + joinTitle(d), Subject: "cut pattern with allowance"}
	w, h := d.paper.w, d.paper.h
	page := drawing.Page{Width: w, Height: h, Name: "Covering"}
	use := "Cut the film to this. Seen from the FRONT; drawn smaller than it is, the numbers count."
	if paint {
		use = "What is coated, and what to keep free of paint. Seen from the FRONT."
	}
	page.Items = append(page.Items, d.head(w, h, "Covering", front, 0, 0, use, "")...)

	b := pat.outline.Bounds()
	area := geom.Box2{Min: v(marginX+26, h*0.46), Max: v(w-marginX-8, h-topY-12)}
	k := min(area.Size().X/b.Size().X, area.Size().Y/b.Size().Y, 1)
	mid := area.Centre().Sub(b.Centre().Mul(k))
	at := func(q geom.Vec2) geom.Vec2 { return q.Mul(k).Add(mid) }
	var items []drawing.Item
	items = append(items, drawing.Outl(drawing.Style{Line: drawing.Edge}, pat.outline))
	if pat.allow > 0 {
		items = append(items, drawing.Outl(drawing.Style{Line: drawing.Hidden, Ink: drawing.Pencil}, p.Face.Outline))
	}
	for _, c := range allThrough(p) {
		items = append(items, drawing.Outl(drawing.Style{Line: drawing.Dim}, c.Outline))
	}
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: mid}, Items: items})
	page.Items = append(page.Items, dimLevel(at(b.Min), at(v(b.Max.X, b.Min.Y)), -9, length.Plain(pat.w))...)
	page.Items = append(page.Items, dimUpright(at(b.Min), at(v(b.Min.X, b.Max.Y)), -9, length.Plain(pat.h))...)
	if pat.allow > 0 {
		page.Items = append(page.Items, dimLevel(at(v(b.Min.X, b.Max.Y)), at(v(0, b.Max.Y)), 6, length.Plain(pat.allow))...)
		page.Items = append(page.Items, drawing.Txt(at(v(p.Face.Width/2, -pat.allow/2)).Sub(v(0, 1)), drawing.Pencilled, pt(10), drawing.Centre, "dashed: the edge of the sheet"))
	}
	l := &lister{d: d, y: h*0.46 - 14}
	l.heading("How")
	for _, s := range coveringSteps(p, pat) {
		l.bullet(s, true)
	}
	page.Items = append(page.Items, l.items...)
	if pat.allow > 0 {
		page.Items = append(page.Items, cornerDetail(p, pat, v(w-marginX-62, 34), l.y)...)
	}
	page.Items = append(page.Items, d.strip(w,
		cell{p.Stack.Covering.Title, length.Plain(p.Stack.CoverThickness) + " mm thick"},
		cell{d.title, d.sub},
		cell{fmt.Sprintf("%s x %s", length.Plain(pat.w), length.Plain(pat.h)), "blank, mm"},
		cell{d.state, "mark " + d.mark})...)
	doc.Pages = append(doc.Pages, page)
	return doc
}

// allThrough lists the openings that go through the sheet.
func allThrough(p *panel.Panel) []*panel.Cut {
	var cuts []*panel.Cut
	for _, c := range p.Controls {
		for _, x := range c.Cuts {
			if x.Blind == 0 {
				cuts = append(cuts, x)
			}
		}
	}
	for _, f := range p.Fixings {
		cuts = append(cuts, f.Cut)
	}
	return append(cuts, p.Openings...)
}

// coveringSteps are the sentences of the covering sheet.
func coveringSteps(p *panel.Panel, pat pattern) []string {
	if p.Stack.Covering.Kind == "paint" {
		return []string{
			"Drill and deburr everything first; try every part in its hole before you paint.",
			fmt.Sprintf("The coat takes %s mm off each hole all round: the schedule has the sizes that allow for it.", length.Plain(p.Stack.CoverThickness)),
			"Paint outside or with a window open and a mask on; keep flames away. Follow the maker's sheet.",
			"Leave it until it is hard, not only dry to the touch, before a nut is tightened on it.",
		}
	}
	steps := []string{
		"Drill, deburr and try every part before covering. Sand the sheet smooth, degrease it; every grain shows through.",
		fmt.Sprintf("Cut the blank %s x %s mm.", length.Plain(pat.w), length.Plain(pat.h)),
	}
	if pat.allow > 0 {
		steps = append(steps,
			fmt.Sprintf("Lay it with %s mm over on every side, smooth it from the middle out, then cut the corners: %s mm along each edge, straight across.", length.Plain(pat.allow), length.Plain(math.Round(pat.corner*10)/10)),
			"Warm the edges gently, fold the long sides first, then the short ones. Mind your fingers and the fumes: a hot-air gun burns.")
	} else {
		steps = append(steps, "Lay it flush, smooth it from the middle out, trim the edges with a new blade drawn away from your hand.")
	}
	switch p.Stack.CoverHoles {
	case "folded":
		steps = append(steps, "At each hole cut a cross from the front and fold the flaps in: the schedule's holes are larger by twice the film.")
	default:
		steps = append(steps, "At each hole trim the film flush from the front with a new blade; the bezel hides the cut.")
	}
	return steps
}

// cornerDetail draws the lower right corner of the pattern at true size, as far as there is room above the strip.
func cornerDetail(p *panel.Panel, pat pattern, at geom.Vec2, top float64) []drawing.Item {
	const size = 52.0
	if top-at.Y < size+8 {
		return nil
	}
	see := geom.Box2{Min: v(p.Face.Width+pat.allow+4-size, -pat.allow-4), Max: v(p.Face.Width+pat.allow+4, -pat.allow-4+size)}
	shift := at.Sub(see.Min)
	inner := []drawing.Item{
		drawing.Outl(drawing.Style{Line: drawing.Edge}, pat.outline),
		drawing.Outl(drawing.Style{Line: drawing.Hidden, Ink: drawing.Pencil}, p.Face.Outline),
	}
	return []drawing.Item{
		&drawing.Group{Clip: clipRect(see), Place: geom.Place{At: shift}, Items: inner},
		drawing.Txt(v(at.X, at.Y+size+2), drawing.Pencilled, pt(10), drawing.Left, "one corner, true size"),
	}
}
