package packet

import (
	"fmt"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/view"
)

// cornerSide is the side of the square in which one corner of the pattern is shown true size, mm.
const cornerSide = 58.0

// coveringSheet is the pattern with its sizes, how it is laid, and one corner at true size. There is none for a bare sheet.
func coveringSheet(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	if p.Stack.CoverThickness <= 0 {
		return nil
	}
	pat := newPattern(p)
	w, h := d.paper.w, d.paper.h
	page := drawing.Page{Width: w, Height: h, Name: "Covering"}
	use, blank := "Cut the covering to this. Drawn smaller than it is: the numbers count.", "blank"
	if p.Stack.Covering.Kind == "paint" {
		use, blank = "What is coated. Drawn smaller than it is: the numbers count.", "the face"
	}
	page.Items = d.frame(w, h, sheet{
		name: "Covering", view: drawing.FrontView, use: use,
		cells: []cell{{p.Stack.Covering.Title, d.thin(p.Stack.CoverThickness) + " thick"}, d.panelCell(), {d.by(pat.w, pat.h), blank}},
	})
	steps := coveringSteps(p, pat, d)
	l := d.list(sheet{})
	if pat.allow > 0 {
		l.narrow = cornerSide + 8
	}
	// the words stand at the foot; what they leave is for the drawing
	l.y = 0
	setSteps(l, steps)
	high := max(-l.y, map[bool]float64{true: cornerSide + 14}[pat.allow > 0])
	l.items, l.y = nil, footY+6+high
	top := l.y
	setSteps(l, steps)
	page.Items = append(page.Items, l.items...)

	b := pat.outline.Bounds()
	area := geom.Box2{Min: v(marginX+20, top+20), Max: v(w-marginX-8, h-topY-14)}
	k := min(area.Size().X/b.Size().X, area.Size().Y/b.Size().Y, 1)
	mid := area.Centre().Sub(b.Centre().Mul(k))
	mid.Y = area.Max.Y - b.Max.Y*k
	at := func(x, y float64) geom.Vec2 { return v(x, y).Mul(k).Add(mid) }
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: mid}, Items: patternItems(p, pat)})
	page.Items = append(page.Items, drawing.DimX(at(b.Min.X, b.Min.Y), at(b.Max.X, b.Min.Y), at(0, b.Min.Y).Y-9, d.size(pat.w)).Items()...)
	page.Items = append(page.Items, drawing.DimY(at(b.Min.X, b.Min.Y), at(b.Min.X, b.Max.Y), at(b.Min.X, 0).X-9, d.size(pat.h)).Items()...)
	if pat.allow > 0 {
		y := at(0, b.Max.Y).Y + 6
		page.Items = append(page.Items, drawing.DimX(at(b.Min.X, b.Max.Y), at(b.Min.X+pat.corner, b.Max.Y), y, d.num(pat.corner)).Items()...)
		page.Items = append(page.Items, drawing.DimX(at(p.Face.Width, p.Face.Height), at(b.Max.X, b.Max.Y), y, d.num(pat.allow)).Items()...)
		page.Items = append(page.Items, drawing.Txt(at(b.Centre().X, b.Min.Y).Add(v(0, -14.5)), drawing.Pencilled, pt(10), drawing.Centre, "dashed: the edge of the sheet; the covering stands over it on every side"))
		page.Items = append(page.Items, cornerDetail(p, pat, v(w-marginX-cornerSide, top-9-cornerSide))...)
	}
	return &drawing.Document{Title: "Covering: " + joinTitle(d), Subject: "cut pattern with allowance", Pages: []drawing.Page{page}}
}

func setSteps(l *lister, steps []string) {
	l.head("How")
	for _, s := range steps {
		l.bulletLines(s, true)
	}
}

// patternItems draws the pattern, the edge of the sheet and the openings in it.
func patternItems(p *panel.Panel, pat pattern) []drawing.Item {
	items := []drawing.Item{drawing.Outl(drawing.Style{Line: drawing.Edge}, pat.outline)}
	if pat.allow > 0 {
		items = append(items, drawing.Outl(drawing.Style{Line: drawing.Hidden, Ink: drawing.Pencil}, p.Face.Outline))
	}
	for _, c := range view.AllCuts(p) {
		if c.Blind == 0 {
			items = append(items, drawing.Outl(drawing.Style{Line: drawing.Dim}, c.Outline))
		}
	}
	return append(items, drawing.DatumCorner(geom.Vec2{}, false)...)
}

// coveringSteps are the sentences of the covering sheet.
func coveringSteps(p *panel.Panel, pat pattern, d desk) []string {
	if p.Stack.Covering.Kind == "paint" {
		return []string{
			"Drill and deburr everything first; try every part in its hole before you paint.",
			fmt.Sprintf("The coat takes %s off each hole all round: the schedule has the sizes that allow for it.", d.thin(p.Stack.CoverThickness)),
			coat(p),
			"Leave it until it is hard, not only dry to the touch, before a nut is tightened on it.",
		}
	}
	steps := []string{
		"Drill, deburr and try every part before covering. Sand the sheet smooth, degrease it; every grain shows through.",
		fmt.Sprintf("Cut the blank %s.", d.by(pat.w, pat.h)),
	}
	if pat.allow > 0 {
		steps = append(steps,
			fmt.Sprintf("Lay it with %s over on every side, smooth it from the middle out, then cut the corners off straight, %s along each edge.", d.size(pat.allow), d.size(pat.corner)),
			fmt.Sprintf("Warm the edges gently, fold the long sides first, then the short ones; behind, the flaps lie over each other by about %s. Mind your fingers and the fumes: a hot-air gun burns.", d.size(roundTo(pat.laps, 0.5))))
	} else {
		steps = append(steps, "Lay it flush, smooth it from the middle out, trim the edges with a new blade drawn away from your hand.")
	}
	if p.Stack.CoverHoles == "folded" {
		return append(steps, "At each hole cut a cross from the front and fold the flaps in: the schedule's holes are larger by twice the film.")
	}
	return append(steps, "At each hole trim the film flush from the front with a new blade; the bezel hides the cut.")
}

// cornerDetail draws the lower right corner of the pattern at true size, its lower left corner at at.
func cornerDetail(p *panel.Panel, pat pattern, at geom.Vec2) []drawing.Item {
	out := 3.0
	see := geom.Box2{Max: v(p.Face.Width+pat.allow+out, -pat.allow-out+cornerSide)}
	see.Min = see.Max.Sub(v(cornerSide, cornerSide))
	return []drawing.Item{
		&drawing.Group{Clip: clipRect(see), Place: geom.Place{At: at.Sub(see.Min)}, Items: patternItems(p, pat)},
		drawing.Txt(v(at.X, at.Y+cornerSide+2.2), drawing.Pencilled, pt(10), drawing.Left, "one corner, true size"),
	}
}

// coat says how the coat gets there.
func coat(p *panel.Panel) string {
	if strings.Contains(p.Stack.Covering.ID, "powder") {
		return "Powder is baked on by a coater, bare metal and nothing else in the oven: no plastics, no glue, no wood. Plug threads and datum edges first."
	}
	return "Paint outside or with a window open and a mask on; keep flames away. Follow the maker's sheet."
}
