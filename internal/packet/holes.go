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

// armReach is how far the centre cross of a hole reaches beyond its edge, mm.
const armReach = 4.0

// seamRoom is the width that labels keep clear along a seam, mm.
const seamRoom = 1.6

// templateFace draws the face with every hole as it is cut: outline, centre, pilot, number, and the bit as the biggest word.
// Words keep clear of holes, of seams and of register diamonds. It says what room all that takes.
func templateFace(r *job.Result, d desk, t tiling, dia []diamond) ([]piece, []geom.Box2) {
	p := r.Panel
	items := []drawing.Item{drawing.Outl(drawing.Style{Line: drawing.Edge}, p.Face.Outline)}
	if s := p.Interior.Size(); p.HasBox && s.X > 0 && s.Y > 0 {
		items = append(items, drawing.Outl(drawing.Style{Line: drawing.Hidden, Ink: drawing.Pencil}, geom.Rect(p.Interior.Centre(), s.X, s.Y, 0)))
	}
	items = append(items, together("datum corner", drawing.DatumCorner(geom.Vec2{}, false)))
	l := &view.Labeller{}
	l.Block(geom.Box2{Max: v(7, 1.2)})
	l.Block(geom.Box2{Max: v(1.2, 7)})
	for _, m := range dia {
		l.Block(m.box())
	}
	for _, h := range r.Drilling.Holes {
		blockHole(l, h.N, asCut(h))
	}
	ps := pieces(items)
	rings := make([]drawing.Item, len(r.Drilling.Holes))
	for i, h := range r.Drilling.Holes {
		l.Sheet = t.homeOf(h, p.Face.Outline.Bounds())
		rings[i] = together("number", number(l, h))
	}
	said := make([]drawing.Item, len(r.Drilling.Holes))
	for _, few := range []bool{true, false} { // what has one small word goes first: it can stand in few places
		for i, h := range r.Drilling.Holes {
			if lesser(h.Cut) == few {
				l.Sheet, l.Kin = t.homeOf(h, p.Face.Outline.Bounds()), nil
				if !few {
					l.Kin = kin(h, r)
				}
				said[i] = together("bit", words(l, h, d, t.beyond(h)))
			}
		}
	}
	for i, h := range r.Drilling.Holes {
		ps = append(ps, unitOf(asCut(h).Bounds(), together(h.Name, holeMarks(h, r)), rings[i], said[i])...)
	}
	return ps, l.Taken()
}

// homeOf is where the words of a hole may stand: on the sheet that holds its middle, and on the face.
func (t tiling) homeOf(h drilling.Hole, face geom.Box2) geom.Box2 {
	for _, x := range t.tiles() {
		if contains(x.own, h.Cut.At.Vec2) {
			in := x.own.Grow(-seamRoom / 2)
			if x.col == 0 {
				in.Min.X = face.Min.X
			}
			if x.col == t.cols()-1 {
				in.Max.X = face.Max.X
			}
			if x.row == 0 {
				in.Max.Y = face.Max.Y
			}
			if x.row == t.rows()-1 {
				in.Min.Y = face.Min.Y
			}
			return in
		}
	}
	return face
}

// beyond is how far the page that holds a hole goes on beyond the right and the upper edge of the face, mm, where nothing
// else is drawn; at most so much that words stay near their hole.
func (t tiling) beyond(h drilling.Hole) geom.Vec2 {
	var out geom.Vec2
	for _, x := range t.tiles() {
		if contains(x.own, h.Cut.At.Vec2) {
			if x.col == t.cols()-1 {
				out.X = min(max(x.see.Max.X-t.area.Max.X-2, 0), 30)
			}
			if x.row == 0 {
				out.Y = min(max(x.see.Max.Y-t.area.Max.Y-2, 0), 30)
			}
		}
	}
	return out
}

// blockHole keeps words off a hole and off the arms of its cross. A round hole leaves the corners of its box free.
func blockHole(l *view.Labeller, n int, o geom.Outline) {
	b := o.Bounds()
	c, s := b.Centre(), b.Size()
	if _, d, ok := o.AsCircle(); ok && d > 4 {
		for _, k := range [][2]float64{{1, 0.39}, {0.39, 1}, {0.708, 0.708}, {0.93, 0.56}, {0.56, 0.93}} { // under a circle's edge, step by step
			h := v(s.X*k[0]/2+0.8, s.Y*k[1]/2+0.8)
			l.Own(n, geom.Box2{Min: c.Sub(h), Max: c.Add(h)})
		}
	} else {
		l.Own(n, b.Grow(0.8))
	}
	l.Block(geom.Box2{Min: v(b.Min.X-armReach, c.Y-0.3), Max: v(b.Max.X+armReach, c.Y+0.3)})
	l.Block(geom.Box2{Min: v(c.X-0.3, b.Min.Y-armReach), Max: v(c.X+0.3, b.Max.Y+armReach)})
}

// asCut is the outline of an opening as it is cut in the bare sheet.
func asCut(h drilling.Hole) geom.Outline { return view.AsCut(h.Cut) }

// kin are the other holes of a control.
func kin(h drilling.Hole, r *job.Result) []int {
	var out []int
	for _, o := range r.Drilling.Holes {
		if h.Cut.Owner != nil && o.Cut.Owner == h.Cut.Owner && o.N != h.N {
			out = append(out, o.N)
		}
	}
	return out
}

// holeRooms is the room of each hole with its cross.
func holeRooms(r *job.Result) []geom.Box2 {
	var out []geom.Box2
	for _, h := range r.Drilling.Holes {
		out = append(out, asCut(h).Bounds().Grow(armReach))
	}
	return out
}

// holeMarks draws one opening: its edge, dashed when it does not go through and slanted when it is covered later, its centre,
// the pilot, and every other place where a bit goes.
func holeMarks(h drilling.Hole, r *job.Result) []drawing.Item {
	o := asCut(h)
	style := drawing.Style{Line: drawing.Visible}
	if h.Covered {
		style.Hatch = drawing.HatchCovered
	}
	if h.Cut.Blind > 0 {
		style.Line = drawing.Hidden
	}
	items := []drawing.Item{drawing.Outl(style, o)}
	at := h.Cut.At.Vec2
	b := o.Bounds()
	items = append(items, drawing.Ln(v(b.Min.X-armReach, at.Y), v(b.Max.X+armReach, at.Y), drawing.Dim), drawing.Ln(v(at.X, b.Min.Y-armReach), v(at.X, b.Max.Y+armReach), drawing.Dim))
	elsewhere, piloted := false, 0.0
	for _, j := range jobsOf(h, r) {
		switch {
		case j.Do == "chain":
			for _, q := range j.Points {
				items = append(items, drawing.Circ(q.Vec2, j.Bit.Diameter, drawing.Dim), drawing.Dot(q.Vec2, 0.5, drawing.Ink0))
			}
			elsewhere = true
		case j.At.Sub(at).Len() > 0.05 && (j.Do == "drill" || j.Do == "pilot"):
			if j.Do == "drill" {
				items = append(items, drawing.Circ(j.At.Vec2, j.Bit.Diameter, drawing.Thin))
			}
			items = append(items, drawing.Dot(j.At.Vec2, 0.5, drawing.Ink0))
			elsewhere = true
		case j.Do == "pilot":
			piloted = j.Bit.Diameter
		}
	}
	if s := b.Size(); piloted > 0 && min(s.X, s.Y) > piloted+1 {
		items = append(items, drawing.Circ(at, piloted, drawing.Visible))
	}
	if !elsewhere {
		items = append(items, drawing.Dot(at, 0.7, drawing.Ink0))
	}
	return items
}

// jobsOf lists the jobs of a hole.
func jobsOf(h drilling.Hole, r *job.Result) []drilling.Job {
	var out []drilling.Job
	for _, n := range h.Jobs {
		if n >= 1 && n <= len(r.Drilling.Jobs) {
			out = append(out, r.Drilling.Jobs[n-1])
		}
	}
	return out
}

// number rings the hole's number at a corner of it.
func number(l *view.Labeller, h drilling.Hole) []drawing.Item {
	const d = 6.0
	b := asCut(h).Bounds()
	if _, _, ok := h.Cut.Outline.AsCircle(); ok {
		b = geom.Box2{Min: b.Min.Add(b.Size().Mul(0.15)), Max: b.Max.Sub(b.Size().Mul(0.15))} // a circle leaves its corners free
	}
	at := l.Find(h.N, b, d, d, 0.6, view.CornerFirst)
	return drawing.NumberRing(at, fmt.Sprint(h.N))
}

// wordLine is one line of what stands at a hole.
type wordLine struct {
	s    string
	face drawing.Face
	size float64
	ink  drawing.Ink
}

// words letters the bit, biggest, the control's name under it, and how it is made beyond one bit. Where that finds no room, the
// least needed words go first: the schedule has them all by the hole's number.
func words(l *view.Labeller, h drilling.Hole, d desk, outside geom.Vec2) []drawing.Item {
	lines := holeWordLines(h, d)
	b := asCut(h).Bounds()
	of := geom.Box2{Min: b.Min.Sub(v(armReach, armReach)), Max: b.Max.Add(v(armReach, armReach))}
	inner := l.Sheet
	outer := geom.Box2{Min: inner.Min, Max: inner.Max}
	outer.Max.X += outside.X // what the page has beyond the face: better there than over a hole
	outer.Max.Y += outside.Y
	type try struct {
		lines []wordLine
		of    geom.Box2
		sheet geom.Box2
		loss  float64 // what leaving words out costs, in mm of straying
	}
	var tries []try
	small, least := append([]wordLine{}, lines...), append([]wordLine{}, lines...)
	small[0].size, least[0].size = pt(12), pt(9)
	for _, set := range []struct {
		lines []wordLine
		loss  float64
	}{{lines, 0}, {lines[:min(2, len(lines))], 1}, {small[:min(2, len(small))], 3}, {small[:1], 9}, {least[:1], 12}} {
		tries = append(tries, try{set.lines, of, inner, set.loss}, try{set.lines, b, inner, set.loss + 0.5})
		if outside.X > 0 || outside.Y > 0 {
			tries = append(tries, try{set.lines, of, outer, set.loss + 0.8})
		}
	}
	best, bestCost, bestBad := -1, 0.0, 0.0
	var at geom.Vec2
	for i, x := range tries {
		if best >= 0 && x.loss >= bestCost {
			continue
		}
		w, hh := blockSize(x.lines)
		l.Sheet, l.Arm = x.sheet, (x.of.Size().X-b.Size().X)/2
		q, bad, stray := l.Best(h.N, x.of, w+0.6, hh+0.6, 0.4, view.BelowFirst)
		cost := 40*bad + stray + x.loss
		if bad <= view.Free {
			cost = stray + x.loss
		}
		if best < 0 || cost < bestCost-1e-9 {
			best, bestCost, bestBad, at = i, cost, bad, q
		}
	}
	l.Sheet = inner
	x := tries[best]
	w, hh := blockSize(x.lines)
	room := geom.Box2{Min: v(at.X-w/2-0.3, at.Y-hh/2-0.3), Max: v(at.X+w/2+0.3, at.Y+hh/2+0.3)}
	l.Own(h.N, room)
	y := at.Y + hh/2
	var items []drawing.Item
	if bestBad <= view.Free { // no dashed line runs through the words
		items = append(items, drawing.Box(drawing.Style{Fill: drawing.Paper}, room.Min, room.Max))
	}
	for _, t := range x.lines {
		y -= t.size * 0.72
		items = append(items, &drawing.Text{At: v(at.X, y), S: t.s, Face: t.face, Size: t.size, Ink: t.ink, Anchor: drawing.Centre})
		y -= 1.2
	}
	return items
}

// blockSize is the room that lines of words take.
func blockSize(lines []wordLine) (w, h float64) {
	for _, t := range lines {
		w = max(w, drawing.TextWidth(t.face, t.size, t.s))
		h += t.size*0.72 + 1.2
	}
	return w, h - 1.2
}

// holeWordLines are the lines at a hole, the most needed first.
func holeWordLines(h drilling.Hole, d desk) []wordLine {
	big, how := bigWord(h.Bit)
	lines := []wordLine{{s: big, face: drawing.ReadBold, size: pt(17)}}
	less := lesser(h.Cut)
	if _, d, ok := h.Cut.Outline.AsCircle(); less || ok && d < 4.5 {
		lines[0].size = pt(12)
	}
	if !less {
		size := drawing.CapSize(drawing.Lettering, 2.2)
		name, size := drawing.Fit(drawing.Lettering, size, ownerName(h.Cut), 44)
		lines = append(lines, wordLine{s: name, face: drawing.Lettering, size: size})
	}
	if h.Cut.Blind > 0 {
		how = strings.TrimPrefix(how+", from BEHIND, "+d.size(h.Cut.Blind)+" deep", ", ")
	}
	if how != "" {
		lines = append(lines, wordLine{s: how, face: drawing.Read, size: pt(8.5), ink: drawing.Pencil})
	}
	return lines
}

// lesser reports whether an opening belongs to another, or is a screw hole of the face: its size alone is lettered.
func lesser(c *panel.Cut) bool {
	return c.What == "fixing" || c.Owner != nil && len(c.Owner.Cuts) > 0 && c.Owner.Cuts[0] != c
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
