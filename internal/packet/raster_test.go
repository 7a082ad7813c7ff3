package packet

import (
	"math"
	"testing"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/thorough"
)

// tolerance of what is measured in a raster of 254 dots to the inch, mm.
const within = 0.05

// templatePages gives the tiles of a template and the page of the PDF on which the first stands.
func templatePages(m made) (tiling, []tile, int) {
	t := newTiling(newDesk(m.r, nil), m.r.Panel.Face.Outline.Bounds().Grow(1), holeRooms(m.r))
	first := 1
	if t.pages() > 1 {
		first = 2
	}
	return t, t.tiles(), first
}

// bare is the diameter of a round hole in the bare sheet, from the panel: the finished size and what the covering takes.
func bare(c *panel.Cut) (d float64, ok bool) {
	_, d, ok = c.Outline.AsCircle()
	return d + c.CutMin - c.FinishedMin, ok
}

// Check bars and holes of real templates are measured in the raster of another program and held against the panel.
func TestTemplateIsTrueToSize(t *testing.T) {
	names := []string{"first-panel"}
	if thorough.Is() {
		names = append(names, "cue-desk", "rack-strip", "inches")
	}
	for _, name := range names {
		m := get(t, name)
		ti, tiles, first := templatePages(m)
		long := 100.0
		if ti.inch {
			long = 101.6
		}
		worst, holes := 0.0, 0
		found := map[int]bool{}
		marks := map[string][]geom.Vec2{} // diamonds by name, in the drawing frame
		for i, x := range tiles {
			r := rasterPage(t, m.path("template.pdf"), first+i)
			checkBars(t, name, r, ti, long)
			for _, h := range m.r.Drilling.Holes {
				d, round := bare(h.Cut)
				if !round || d < 4 || h.Cut.Blind > 0 || !contains(x.own, h.Cut.At.Vec2) {
					continue
				}
				at := h.Cut.At.Vec2.Add(x.shift)
				cx, cy, dia, ok := r.circle(at.X, at.Y, d, 0.35)
				if !ok {
					continue
				}
				off := math.Max(math.Hypot(cx-at.X, cy-at.Y), math.Abs(dia-d))
				worst = math.Max(worst, off)
				holes++
				found[h.N] = true
				if off > within {
					t.Errorf("%s: hole %d is drawn at %.3f, %.3f with %.3f across; the panel has %.3f, %.3f and %.3f", name, h.N, cx-x.shift.X, cy-x.shift.Y, dia, h.Cut.At.X, h.Cut.At.Y, d)
				}
			}
			for _, dm := range ti.diamonds(holeRooms(m.r)) {
				if contains(x.own.Grow(0.01), dm.at) {
					marks[dm.name] = append(marks[dm.name], diamondIn(r, dm, x).Sub(x.shift))
				}
			}
		}
		if holes < 4 {
			t.Errorf("%s: only %d holes stood free enough to be measured", name, holes)
		}
		far := 0.0
		for k, ms := range marks {
			if len(ms) < 2 {
				t.Errorf("%s: diamond %s stands on %d sheets", name, k, len(ms))
			}
			for _, p := range ms {
				d := p.Sub(ms[0]).Len()
				if far = math.Max(far, d); !(d <= within) {
					t.Errorf("%s: diamond %s is %.3f mm off from one sheet to the other", name, k, d)
				}
			}
		}
		t.Logf("%s: %d of %d holes measured, worst %.3f mm off; %d diamonds, worst %.3f mm apart", name, holes, len(m.r.Drilling.Holes), worst, len(marks), far)
	}
}

// checkBars measures both check bars from outer edge to outer edge.
func checkBars(t *testing.T, name string, r raster, ti tiling, long float64) {
	t.Helper()
	x, y := marginX+rulerX, barY+1
	lo, hi := r.edgeAt(x, y, 1, 0, -2, 2), r.edgeAt(x+long, y, -1, 0, -2, 2)
	if got := long - hi - lo; !(math.Abs(got-long) <= within) {
		t.Errorf("%s: the level bar measures %.3f mm, not %.1f", name, got, long)
	}
	x, y = ti.w-marginX-1, max(ti.win.Min.Y, 40)
	lo, hi = r.edgeAt(x, y, 0, 1, -2, 2), r.edgeAt(x, y+long, 0, -1, -2, 2)
	if got := long - hi - lo; !(math.Abs(got-long) <= within) {
		t.Errorf("%s: the upright bar measures %.3f mm, not %.1f", name, got, long)
	}
}

// diamondIn finds the middle of a register diamond on a page: across the seam where black turns white, along it half way
// between the outer edges.
func diamondIn(r raster, m diamond, x tile) geom.Vec2 {
	at := m.at.Add(x.shift)
	// a little off the seam, in the black half, the outline shows on both sides
	if m.upright {
		turn := r.edgeAt(at.X, at.Y+1.2, 1, 0, -2, 2)
		up, down := r.edgeAt(at.X-1.5, at.Y, 0, 1, 1, 6), r.edgeAt(at.X-1.5, at.Y, 0, -1, 1, 6)
		return at.Add(v(turn, (up-down)/2))
	}
	turn := r.edgeAt(at.X+1.2, at.Y, 0, 1, -2, 2)
	right, left := r.edgeAt(at.X, at.Y-1.5, 1, 0, 1, 6), r.edgeAt(at.X, at.Y-1.5, -1, 0, 1, 6)
	return at.Add(v((right-left)/2, turn))
}

// The cutting file and the template agree at the edges of the holes; the face's edge stands where the panel has it.
func TestCuttingFileAgreesWithTemplate(t *testing.T) {
	names := []string{"first-panel"}
	if thorough.Is() {
		names = append(names, "cue-desk", "inches")
	}
	for _, name := range names {
		m := get(t, name)
		_, tiles, first := templatePages(m)
		sheet := m.r.Panel.Face.Outline.Bounds().Grow(5)
		svg, org := rasterSVG(t, m.path("face.svg"), sheet.Size().Y), sheet.Min
		n, worst := 0, 0.0
		for i, x := range tiles {
			r := rasterPage(t, m.path("template.pdf"), first+i)
			for _, h := range m.r.Drilling.Holes {
				d, round := bare(h.Cut)
				if !round || d < 4 || !contains(x.own, h.Cut.At.Vec2) {
					continue
				}
				at, there := h.Cut.At.Vec2.Add(x.shift), h.Cut.At.Vec2.Sub(org)
				ax, ay, ad, ok := r.circle(at.X, at.Y, d, 0.35)
				bx, by, bd, okb := svg.circle(there.X, there.Y, d, 0.05)
				if !ok || !okb {
					continue
				}
				n++
				off := math.Max(math.Hypot(ax-at.X-bx+there.X, ay-at.Y-by+there.Y), math.Abs(ad-bd))
				if worst = math.Max(worst, off); off > within {
					t.Errorf("%s: hole %d differs by %.3f mm between face.svg and template.pdf", name, h.N, off)
				}
			}
		}
		if n < 3 {
			t.Errorf("%s: only %d holes could be compared", name, n)
		}
		t.Logf("%s: %d holes compared, worst %.3f mm", name, n, worst)
	}
}

// The letters of the legend sheet stand in the middle of their boxes: across by the words another program reads, up by ink.
func TestLegendsStandInTheirPlace(t *testing.T) {
	const off = 0.1
	for _, name := range short("first-panel", "kerf", "rack-strip") {
		m := get(t, name)
		p := m.r.Panel
		room := frontBoxes(p)
		ti := newTiling(newDesk(m.r, nil), p.Face.Outline.Bounds().Grow(1), room)
		ws := wordsOf(t, m.path("legends.pdf"))
		n, worst := 0, 0.0
		for i, x := range ti.tiles() {
			r := rasterPage(t, m.path("legends.pdf"), i+1)
			for _, c := range p.Controls {
				l := c.Legend
				if len(l.Lines) != 1 || !inside(l.Box, x.own) {
					continue
				}
				mid := l.Middle.Vec2.Add(x.shift)
				box := geom.Box2{Min: l.Box.Min.Add(x.shift), Max: l.Box.Max.Add(x.shift)}.Grow(0.6)
				lo, hi := math.Inf(1), math.Inf(-1)
				for _, w := range ws {
					if w.page == i+1 && contains(box, v((w.x0+w.x1)/2, mid.Y)) && w.y0 < mid.Y && mid.Y < w.y1 {
						lo, hi = min(lo, w.x0), max(hi, w.x1)
					}
				}
				across := (lo+hi)/2 - mid.X
				bottom, top := inkSpan(r, box)
				up := (bottom+top)/2 - mid.Y
				n++
				worst = math.Max(worst, math.Max(math.Abs(across), math.Abs(up)))
				if !(math.Abs(across) <= off) || !(math.Abs(up) <= off) {
					t.Errorf("%s: %s stands %.3f right and %.3f above the middle of its place", name, l.Text, across, up)
				}
				if size := top - bottom; math.Abs(size-l.Cap) > 0.45 { // the pen's width and round letters come on top
					t.Errorf("%s: %s is %.2f high, not %.2f", name, l.Text, size, l.Cap)
				}
			}
		}
		if n < 4 {
			t.Errorf("%s: only %d legends measured", name, n)
		}
		t.Logf("%s: %d legends, worst %.3f mm off", name, n, worst)
	}
}

// inkSpan finds the lowest and the highest ink in a box.
func inkSpan(r raster, b geom.Box2) (lo, hi float64) {
	lo, hi = math.NaN(), math.NaN()
	for y := b.Min.Y; y <= b.Max.Y; y += 0.02 {
		dark := false
		for x := b.Min.X; x <= b.Max.X && !dark; x += 0.05 {
			dark = r.ink(x, y) > 0.5
		}
		if dark {
			if math.IsNaN(lo) {
				lo = y
			}
			hi = y
		}
	}
	return lo, hi
}

// A ruler in inches has its ticks every eighth and its numbers every inch.
func TestInchRuler(t *testing.T) {
	items := drawing.Ruler{Zero: v(0, 0), From: 0, To: 3 * 25.4, Numbers: true, Inch: true}.Items()
	ticks, numbers := 0, map[string]float64{}
	for _, it := range items {
		switch x := it.(type) {
		case *drawing.Path:
			ticks += len(x.Outlines)
			for i, o := range x.Outlines {
				if want := float64(i) * 3.175; math.Abs(o[0].P.X-want) > 1e-9 {
					t.Errorf("tick %d stands at %v, not %v", i, o[0].P.X, want)
				}
			}
		case *drawing.Text:
			numbers[x.S] = x.At.X
		}
	}
	if ticks != 25 || len(numbers) != 3 || math.Abs(numbers["2"]-50.8) > 1e-9 {
		t.Errorf("%d ticks, numbers %v", ticks, numbers)
	}
}
