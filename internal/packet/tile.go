package packet

import (
	"fmt"
	"math"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// tiling is how a drawing larger than a page is spread over pages.
type tiling struct {
	w, h       float64 // of the page, mm
	win        geom.Box2
	area       geom.Box2 // what is covered, drawing frame
	cols, rows int
	stepX      float64
	stepY      float64
}

// tile is one page of a tiling.
type tile struct {
	col, row int       // row 0 is the top
	n        int       // 1-based, reading order
	shift    geom.Vec2 // add to a drawing point to get the point on paper
	see      geom.Box2 // what of the drawing is seen
}

// newTiling lays out the fewest pages: upright or lying, whichever needs fewer.
func newTiling(p paper, area geom.Box2) tiling {
	best := tiling{}
	for _, lying := range []bool{false, true} {
		w, h := p.w, p.h
		if lying {
			w, h = h, w
		}
		t := tiling{w: w, h: h, area: area, win: geom.Box2{Min: v(marginX+rulerX, bottomY), Max: v(w-marginX-barX, h-topY)}}
		size, win := area.Size(), t.win.Size()
		t.cols, t.stepX = spread(size.X, win.X)
		t.rows, t.stepY = spread(size.Y, win.Y)
		if best.cols == 0 || t.cols*t.rows < best.cols*best.rows {
			best = t
		}
	}
	return best
}

// spread gives how many windows cover a length when neighbours share overlapW, and the step between them.
func spread(size, win float64) (n int, step float64) {
	if size <= win {
		return 1, 0
	}
	n = int(math.Ceil((size-overlapW)/(win-overlapW) - 1e-9))
	return n, (size - win) / float64(n-1)
}

// tiles lists the pages in reading order, top left first.
func (t tiling) tiles() []tile {
	var ts []tile
	for row := range t.rows {
		for col := range t.cols {
			lo := v(t.area.Min.X+float64(col)*t.stepX, t.area.Max.Y-t.win.Size().Y-float64(row)*t.stepY)
			if t.rows == 1 {
				lo.Y = t.area.Min.Y - (t.win.Size().Y-t.area.Size().Y)/2 // in the middle of the page
			}
			if t.cols == 1 {
				lo.X = t.area.Min.X - min((t.win.Size().X-t.area.Size().X)/2, 30)
			}
			ts = append(ts, tile{col: col, row: row, n: len(ts) + 1, shift: t.win.Min.Sub(lo), see: geom.Box2{Min: lo, Max: lo.Add(t.win.Size())}})
		}
	}
	return ts
}

// where names a tile's place: "upper left", "middle", "lower right".
func (t tiling) where(x tile) string {
	if t.cols*t.rows == 1 {
		return ""
	}
	name := func(i, n int, first, mid, last string) string {
		switch {
		case n == 1:
			return ""
		case i == 0:
			return first
		case i == n-1:
			return last
		case n == 3:
			return mid
		}
		return fmt.Sprintf("%s %d", mid, i+1)
	}
	a := name(x.row, t.rows, "upper", "middle", "lower")
	b := name(x.col, t.cols, "left", "middle", "right")
	if a != "" && b != "" {
		return a + " " + b
	}
	return a + b
}

// seams draws the lines where sheets meet, with register diamonds at the same spots of the drawing on both sheets.
func (t tiling) seams(x tile, avoid []geom.Box2) []drawing.Item {
	var items []drawing.Item
	letter := func(i int) string { return string(rune('a' + i%26)) }
	lo, hi := t.win.Min, t.win.Max
	upright := func(cx float64, left int) {
		at := cx + x.shift.X
		items = append(items, drawing.Poly(drawing.CentreLn, v(at, lo.Y-3), v(at, hi.Y+3)))
		for i, f := range []float64{0.14, 0.5, 0.86} {
			y := t.area.Max.Y - t.stepY*float64(x.row) - t.win.Size().Y*f
			if t.rows == 1 {
				y = x.see.Max.Y - x.see.Size().Y*f
			}
			y = clearOf(y, t.win.Size().Y*0.12, func(y float64) geom.Vec2 { return v(cx, y) }, avoid)
			items = append(items, drawing.RegisterDiamond(v(at, y+x.shift.Y), letter(left*3+i), true)...)
		}
	}
	level := func(cy float64, above int) {
		at := cy + x.shift.Y
		items = append(items, drawing.Poly(drawing.CentreLn, v(lo.X-3, at), v(hi.X+3, at)))
		for i, f := range []float64{0.25, 0.75} {
			xx := t.area.Min.X + t.stepX*float64(x.col) + t.win.Size().X*f
			if t.cols == 1 {
				xx = x.see.Min.X + x.see.Size().X*f
			}
			xx = clearOf(xx, t.win.Size().X*0.2, func(a float64) geom.Vec2 { return v(a, cy) }, avoid)
			items = append(items, drawing.RegisterDiamond(v(xx+x.shift.X, at), letter(12+above*2+i), false)...)
		}
	}
	seamX := func(col int) float64 { // middle of what col and col+1 share
		return t.area.Min.X + float64(col+1)*t.stepX + (t.win.Size().X-t.stepX)/2
	}
	seamY := func(row int) float64 {
		return t.area.Max.Y - float64(row+1)*t.stepY - (t.win.Size().Y-t.stepY)/2
	}
	if x.col > 0 {
		upright(seamX(x.col-1), x.col-1)
	}
	if x.col < t.cols-1 {
		upright(seamX(x.col), x.col)
	}
	if x.row > 0 {
		level(seamY(x.row-1), x.row-1)
	}
	if x.row < t.rows-1 {
		level(seamY(x.row), x.row)
	}
	return items
}

// bars draws the two check bars, one an axis, 100 mm each.
func (t tiling) bars() []drawing.Item {
	items := drawing.CheckBar(v(marginX+rulerX, 30), false)
	return append(items, drawing.CheckBar(v(t.w-marginX-2, max(t.win.Min.Y, 50)), true)...)
}

// clearOf moves a register diamond along its seam, by at most reach either way, to where it covers least of what is drawn. It
// depends on the seam only, so that the sheets on both sides agree.
func clearOf(a, reach float64, point func(float64) geom.Vec2, avoid []geom.Box2) float64 {
	best, bestCost := a, math.Inf(1)
	for i := 0; i <= 40; i++ {
		d := float64((i+1)/2) / 20 * reach
		if i%2 == 1 {
			d = -d
		}
		p := point(a + d)
		b := geom.Box2{Min: p, Max: p}.Grow(9)
		cost := math.Abs(d) * 0.01
		for _, o := range avoid {
			w := min(b.Max.X, o.Max.X) - max(b.Min.X, o.Min.X)
			h := min(b.Max.Y, o.Max.Y) - max(b.Min.Y, o.Min.Y)
			if w > 0 && h > 0 {
				cost += w * h
			}
		}
		if cost < bestCost {
			best, bestCost = a+d, cost
		}
	}
	return best
}
