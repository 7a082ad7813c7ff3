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

// Room round the front view and the cut on paper, mm.
const (
	dimRoom   = 9.0  // one row of dimensions
	cutRoom   = 8.0  // beside the face, for the ends of the cutting plane
	underRoom = 17.0 // between the face and the cut under it: a dimension and the word
)

// finishedFace is the panel as it will look, on one page, with its main dimensions; under it, on the same places across, the cut
// through the row that reaches deepest (ISO 128: views line up).
func finishedFace(r *job.Result, d desk) *drawing.Document {
	p := r.Panel
	var cut *view.Section
	if up, ok := view.DeepestRow(p); ok {
		cut = view.NewSection(p, up)
	}
	fw, fh := p.Face.Width, p.Face.Height
	left, right, down := 0.0, 0.0, 0.0 // of the cut, beyond the face
	deep := 0.0
	if cut != nil {
		b := cut.Scene.Bounds
		left, right = max(-b.Min.X, 0), max(b.Max.X-fw, 0)
		deep = b.Size().Y
		down = underRoom + dimRoom + 4
	}
	// the page that shows it larger
	var w, h, k float64
	var area geom.Box2
	for _, lying := range []bool{false, true} {
		pw, ph := d.paper.w, d.paper.h
		if lying {
			pw, ph = ph, pw
		}
		a := geom.Box2{Min: v(marginX+cutRoom+dimRoom, footY+5+down), Max: v(pw-marginX-cutRoom-6, ph-topY-3-dimRoom)}
		kk := min(a.Size().X/(fw+left+right), a.Size().Y/(fh+deep), 1)
		if kk > k*1.02 {
			w, h, k, area = pw, ph, kk, a
		}
	}
	what := "Face"
	if d.board != "" {
		what = "Board"
	}
	page := drawing.Page{Width: w, Height: h, Name: what}
	page.Items = d.frame(w, h, sheet{
		name: what, view: drawing.FrontView, use: "As it will look. Dashed: what lies behind. Do not measure here: the numbers count.",
		cells: []cell{d.panelCell(), {scaleWords(k), d.by(fw, fh)}},
	})
	// the face stands on the cut, both in the middle
	low := area.Min.Y + (area.Size().Y-k*(fh+deep))/2
	org := v(area.Centre().X-k*(fw+right-left)/2, low+k*deep)
	at := func(x, y float64) geom.Vec2 { return org.Add(v(x, y).Mul(k)) }
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: org}, Items: view.Front(p).Items})
	page.Items = append(page.Items, drawing.DimX(at(0, fh), at(fw, fh), at(0, fh).Y+5, d.size(fw)).Items()...)
	page.Items = append(page.Items, drawing.DimY(at(0, 0), at(0, fh), org.X-k*left-cutRoom-3, d.size(fh)).Items()...)
	if cut == nil {
		return &drawing.Document{Title: "Front: " + joinTitle(d), Subject: "the finished face", Pages: []drawing.Page{page}}
	}
	page.Items = append(page.Items, cuttingPlane(at(min(-left, 0), cut.Up), at(fw+right, cut.Up))...)
	zero := v(org.X, org.Y-underRoom-k*cut.Scene.Bounds.Max.Y) // where z = 0 comes to stand
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: zero}, Items: cut.Scene.Items})
	page.Items = append(page.Items, cutDims(p, d, cut, zero, k)...)
	word := "Cut A–A"
	if cut.Deep != nil {
		word += ", through " + cut.Deep.Label
	}
	page.Items = append(page.Items, fitted(v(marginX+cutRoom+dimRoom, org.Y-7.5), drawing.Lettering, drawing.CapSize(drawing.Lettering, 2.8), area.Size().X, word, drawing.Ink0))
	return &drawing.Document{Title: "Front: " + joinTitle(d), Subject: "the finished face", Pages: []drawing.Page{page}}
}

// cuttingPlane draws the ends of the cutting plane beside the face, arrows in the direction of sight, and the letters.
func cuttingPlane(a, b geom.Vec2) []drawing.Item {
	items := []drawing.Item{drawing.Poly(drawing.CentreLn, a.Sub(v(2, 0)), b.Add(v(2, 0)))}
	for _, e := range []struct {
		p   geom.Vec2
		dir float64
	}{{a, -1}, {b, 1}} {
		from, to := e.p.Add(v(e.dir*1.5, 0)), e.p.Add(v(e.dir*6.5, 0))
		items = append(items, drawing.Ln(from, to, drawing.CutEnds))
		tip := e.p.Add(v(e.dir*5.2, 5))
		items = append(items, drawing.Ln(v(tip.X, e.p.Y), v(tip.X, tip.Y-2), drawing.Dim), drawing.Arrow(tip, v(0, 1), drawing.Ink0))
		t := drawing.Lettered(v(tip.X, tip.Y+1.2), 3.5, drawing.Centre, "A")
		items = append(items, t)
	}
	return items
}

// cutDims dimensions the cut: walls and clear width, the room under the deepest part, the depth behind the sheet.
func cutDims(p *panel.Panel, d desk, cut *view.Section, zero geom.Vec2, k float64) []drawing.Item {
	at := func(x, z float64) geom.Vec2 { return zero.Add(v(x, z).Mul(k)) }
	b := cut.Scene.Bounds
	back := -p.Stack.Total
	var items []drawing.Item
	known := !math.IsNaN(cut.Floor)
	if p.HasBox {
		in := p.Interior
		y := zero.Y + k*b.Min.Y
		if known {
			items = append(items, drawing.Dimension{A: at(in.Min.X, cut.Floor), B: at(in.Max.X, cut.Floor), Along: v(1, 0), Off: y - 6 - at(0, cut.Floor).Y, S: d.size(in.Size().X) + " clear", Gap: 0.6}.Items()...)
		}
		wall := in.Min.X - wallOuter(p)
		items = append(items, drawing.DimX(at(wallOuter(p), b.Min.Y), at(in.Min.X, b.Min.Y), y-6, "").Items()...)
		items = append(items, drawing.Lettered(v(at(wallOuter(p), 0).X-6, y-5.2), 2.5, drawing.Right, d.num(wall)))
	}
	if known {
		if !p.HasBox { // the depth is given, nothing stands there
			items = append(items, drawing.Ln(at(0, cut.Floor), at(p.Face.Width, cut.Floor), drawing.Hidden))
		}
		x := zero.X + k*max(b.Max.X, p.Face.Width)
		items = append(items, drawing.DimY(at(max(b.Max.X, p.Face.Width), cut.Floor), at(p.Face.Width, back), x+6, d.size(roundTo(back-cut.Floor, 0.1))).Items()...)
	}
	if cut.Deep != nil && cut.Bottom.Y < back-0.5 {
		items = append(items, underDeepest(p, d, cut, zero, k)...)
	}
	return items
}

// wallOuter is where the left wall begins.
func wallOuter(p *panel.Panel) float64 {
	x := p.Interior.Min.X
	for _, b := range p.Behind {
		if b.Role == panel.RoleWall && !b.Outline.Empty() {
			x = min(x, b.Outline.Bounds().Min.X)
		}
	}
	return x
}

// underDeepest says how much room is left under the deepest part, or, when the box has no depth, how deep it reaches behind
// the sheet.
func underDeepest(p *panel.Panel, d desk, cut *view.Section, zero geom.Vec2, k float64) []drawing.Item {
	at := func(x, z float64) geom.Vec2 { return zero.Add(v(x, z).Mul(k)) }
	from, to, say := cut.Bottom.Y, -p.Stack.Total, "reaches %s behind the sheet"
	if !math.IsNaN(cut.Under) {
		from, to, say = cut.Under, cut.Bottom.Y, "%s to the base"
		if from > to { // it is through the base; the check says so
			from, to, say = to, from, "%s too deep"
		}
	}
	if !p.HasBox || p.Board != "" {
		say = strings.Replace(say, "to the base", "to spare", 1)
	}
	say = fmt.Sprintf(say, d.size(roundTo(to-from, 0.1)))
	size := drawing.CapSize(drawing.Lettering, 2.5)
	w := drawing.TextWidth(drawing.Lettering, size, say)
	// beside the part where its own dimension stands clear of its neighbours
	x := cut.Bottom.X
	a, b := at(x, from), at(x, to)
	items := drawing.DimY(a, b, a.X, "").Items()
	side := v(a.X+2, max((a.Y+b.Y)/2, a.Y+2.6)) // clear of the base's own line
	anchor := drawing.Left
	if side.X+w > zero.X+k*p.Face.Width-2 {
		side.X, anchor = a.X-2, drawing.Right
	}
	if math.IsNaN(cut.Under) { // open below: the words stand under the arrow
		side, anchor = v(min(max(a.X, zero.X+w/2), zero.X+k*p.Face.Width-w/2), zero.Y+k*cut.Scene.Bounds.Min.Y-4), drawing.Centre
	}
	t := &drawing.Text{At: side, S: say, Face: drawing.Lettering, Size: size, Anchor: anchor, Middle: true}
	return append(items, drawing.Knocked(t, 0.6)...)
}
