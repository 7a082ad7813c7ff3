package packet

import (
	"fmt"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// tiling is how a drawing larger than a page is spread over pages.
type tiling struct {
	w, h float64   // of the page, mm
	win  geom.Box2 // where on the page the drawing may stand
	area geom.Box2 // what is covered, drawing frame
	xs   []float64 // upright seams, left to right, drawing frame
	ys   []float64 // level seams, bottom to top
	inch bool      // check bars and rulers in inches
}

// tile is one page of a tiling.
type tile struct {
	col, row int       // row 0 is the top
	n        int       // 1-based, reading order
	shift    geom.Vec2 // add to a drawing point to get the point on paper
	own      geom.Box2 // from seam to seam, drawing frame
	show     geom.Box2 // own and what is shown beyond its seams
	see      geom.Box2 // all that the page could show
}

// newTiling lays out the fewest pages, upright or lying, with seams that cut through as little as possible of things.
func newTiling(d desk, area geom.Box2, things []geom.Box2) tiling {
	best, bestCost := tiling{}, 0.0
	xs, ys := make([][2]float64, len(things)), make([][2]float64, len(things))
	for i, b := range things {
		xs[i], ys[i] = [2]float64{b.Min.X, b.Max.X}, [2]float64{b.Min.Y, b.Max.Y}
	}
	for _, lying := range []bool{false, true} {
		w, h := d.paper.w, d.paper.h
		if lying {
			w, h = h, w
		}
		t := tiling{w: w, h: h, area: area, inch: d.inches, win: geom.Box2{Min: v(marginX+rulerX, bottomY), Max: v(w-marginX-barX, h-topY)}}
		var cost, more float64
		t.xs, cost = findSeams(area.Min.X, area.Max.X, t.win.Size().X, xs)
		t.ys, more = findSeams(area.Min.Y, area.Max.Y, t.win.Size().Y, ys)
		cost += more
		if best.w == 0 || t.pages() < best.pages() || t.pages() == best.pages() && cost < bestCost-1e-9 {
			best, bestCost = t, cost
		}
	}
	return best
}

func (t tiling) cols() int  { return len(t.xs) + 1 }
func (t tiling) rows() int  { return len(t.ys) + 1 }
func (t tiling) pages() int { return t.cols() * t.rows() }

// at gives the page that stands in a column and a row.
func (t tiling) at(col, row int) int { return row*t.cols() + col + 1 }

// tiles lists the pages in reading order, top left first.
func (t tiling) tiles() []tile {
	var ts []tile
	for row := range t.rows() {
		for col := range t.cols() {
			x := tile{col: col, row: row, n: t.at(col, row), own: t.area}
			low := t.rows() - 1 - row // counted from the bottom
			if col > 0 {
				x.own.Min.X = t.xs[col-1]
			}
			if col < t.cols()-1 {
				x.own.Max.X = t.xs[col]
			}
			if low > 0 {
				x.own.Min.Y = t.ys[low-1]
			}
			if low < t.rows()-1 {
				x.own.Max.Y = t.ys[low]
			}
			x.show = x.own
			if col > 0 {
				x.show.Min.X -= seamLap
			}
			if col < t.cols()-1 {
				x.show.Max.X += seamLap
			}
			if low > 0 {
				x.show.Min.Y -= seamLap
			}
			if low < t.rows()-1 {
				x.show.Max.Y += seamLap
			}
			slack := t.win.Size().Sub(x.show.Size())
			x.shift = t.win.Min.Add(v(min(slack.X/2, 30), slack.Y/2)).Sub(x.show.Min)
			x.see = geom.Box2{Min: t.win.Min.Sub(x.shift), Max: t.win.Max.Sub(x.shift)}
			ts = append(ts, x)
		}
	}
	return ts
}

// where names a tile's place: "upper left", "middle", "lower right".
func (t tiling) where(x tile) string {
	if t.pages() == 1 {
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
	a := name(x.row, t.rows(), "upper", "middle", "lower")
	b := name(x.col, t.cols(), "left", "middle", "right")
	if a != "" && b != "" {
		return a + " " + b
	}
	return a + b
}

// bars draws the two check bars, one an axis.
func (t tiling) bars() []drawing.Item {
	bar := drawing.CheckBar
	if t.inch {
		bar = drawing.CheckBarInch
	}
	items := bar(v(marginX+rulerX, barY), false)
	return append(items, bar(v(t.w-marginX-2, max(t.win.Min.Y, 40)), true)...)
}

// draw gives what a page shows of the drawing, in the drawing frame: large things as far as the page's own part and a little
// beyond, small things whole on every page that they touch, words nowhere cut in two.
func (t tiling) draw(x tile, ps []piece) []drawing.Item {
	var out []drawing.Item
	var run *drawing.Group
	put := func(clip *geom.Box2, it drawing.Item) {
		c := geom.Outline(nil)
		if clip != nil {
			c = clipRect(*clip)
		}
		if run == nil || !sameClip(run.Clip, c) {
			run = &drawing.Group{Clip: c}
			out = append(out, run)
		}
		run.Items = append(run.Items, it)
	}
	ground := x.show
	for _, side := range []struct {
		at  *float64
		out float64
		do  bool
	}{
		{&ground.Min.X, x.see.Min.X, x.col == 0}, {&ground.Max.X, x.see.Max.X, x.col == t.cols()-1},
		{&ground.Min.Y, x.see.Min.Y, x.row == t.rows()-1}, {&ground.Max.Y, x.see.Max.Y, x.row == 0},
	} {
		if side.do {
			*side.at = side.out
		}
	}
	win := t.win.Size()
	for _, p := range ps {
		s := p.box.Size()
		switch {
		case !p.box.Overlaps(x.see):
		case p.unit != nil && !p.unit.core.Overlaps(x.own.Grow(-0.2)) && !inside(p.unit.all, ground):
		case !p.words && (s.X > 0.6*win.X || s.Y > 0.6*win.Y):
			put(&ground, p.item)
		case inside(p.box, ground):
			put(nil, p.item)
		case !p.box.Overlaps(x.own.Grow(-0.2)) && (p.unit == nil || !inside(p.box, x.see)):
		case inside(p.box, x.see):
			put(nil, p.item)
		case !p.words:
			put(&x.see, p.item)
		case contains(x.own, p.box.Centre()):
			put(nil, p.item) // it hangs over the edge of the page's room: better there than nowhere
		}
	}
	return out
}

func sameClip(a, b geom.Outline) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// clipRect is a rectangle to clip to.
func clipRect(b geom.Box2) geom.Outline {
	s := b.Size()
	return geom.Rect(b.Centre(), s.X, s.Y, 0)
}

func inside(b, in geom.Box2) bool {
	return b.Min.X >= in.Min.X && b.Min.Y >= in.Min.Y && b.Max.X <= in.Max.X && b.Max.Y <= in.Max.Y
}

func contains(b geom.Box2, p geom.Vec2) bool {
	return p.X >= b.Min.X && p.Y >= b.Min.Y && p.X <= b.Max.X && p.Y <= b.Max.Y
}
