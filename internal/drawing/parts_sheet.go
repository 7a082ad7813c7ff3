package drawing

import (
	"strconv"

	"knobwright/internal/geom"
)

// FaceMark is the woodworker's face mark, a loop with a tail, 10 mm high with its lower left corner at at: solid seen from the front,
// dashed and mirrored seen from behind.
func FaceMark(at geom.Vec2, rear bool) []Item { return FaceMarkSized(at, 10, rear) }

// FaceMarkSized is a face mark of another height.
func FaceMarkSized(at geom.Vec2, height float64, rear bool) []Item {
	k := height / 40
	p := func(x, y float64) geom.Vec2 {
		if rear {
			x = 20 - x
		}
		return at.Add(geom.Vec2{X: (x + 2) * k, Y: y * k})
	}
	o := geom.Outline{{P: p(-2, 0)}}
	o = curveTo(o, p(-2, 0), p(4, 10), p(12, 20), p(15, 28), 0.005)
	o = curveTo(o, p(15, 28), p(18, 37), p(9, 40), p(6, 32), 0.005)
	o = curveTo(o, p(6, 32), p(3, 23), p(12, 18), p(22, 22), 0.005)
	s := Style{Line: Edge, Round: true}
	if rear {
		s.Dash = [2]float64{1.3 * height / 10, 1.1 * height / 10}
	}
	return []Item{&Path{Outlines: []geom.Outline{o}, Open: true, Style: s}}
}

// DatumCorner is the heavy corner that every number is measured from: lower left seen from the front, lower right from behind. Its
// outer edges lie on the corner.
func DatumCorner(at geom.Vec2, rear bool) []Item {
	const arm, half = 7.0, 0.6
	x := 1.0
	if rear {
		x = -1
	}
	p := func(dx, dy float64) geom.Vec2 { return at.Add(geom.Vec2{X: x * dx, Y: dy}) }
	return []Item{Area(Style{Fill: Ink0}, p(0, 0), p(arm, 0), p(arm, 2*half), p(2*half, 2*half), p(2*half, arm), p(0, arm))}
}

// CheckBar is a bar of exactly 100 mm between the outer edges of its ink, in blocks of 10 mm, with the words to measure it by. Its
// lower left corner stands at at; it takes 100 by 2 mm and the words beyond.
func CheckBar(at geom.Vec2, vertical bool) []Item {
	return checkBar(at, vertical, 10, 10, "measure: 100 mm")
}

// CheckBarInch is a bar of exactly 4 in (101.6 mm) in blocks of half an inch, for those whose rule has no millimetres.
func CheckBarInch(at geom.Vec2, vertical bool) []Item {
	return checkBar(at, vertical, 8, 12.7, "measure: 4 in")
}

// checkBar is a bar of n blocks, every other one filled.
func checkBar(at geom.Vec2, vertical bool, n int, block float64, say string) []Item {
	const wide, line = 2.0, 0.18
	p := func(along, across float64) geom.Vec2 {
		if vertical {
			return at.Add(geom.Vec2{X: across, Y: along})
		}
		return at.Add(geom.Vec2{X: along, Y: across})
	}
	box := func(x0, x1, in float64) geom.Outline {
		lo, hi := p(x0+in, in), p(x1-in, wide-in)
		return geom.Outline{{P: lo}, {P: geom.Vec2{X: hi.X, Y: lo.Y}}, {P: hi}, {P: geom.Vec2{X: lo.X, Y: hi.Y}}}
	}
	black := &Path{Style: Style{Fill: Ink0}}
	for i := 0; i < n; i += 2 {
		black.Outlines = append(black.Outlines, box(float64(i)*block, float64(i+1)*block, 0))
	}
	long := float64(n) * block
	words := Lettered(at.Add(geom.Vec2{X: long + 5, Y: wide / 2}), 2.5, Left, say)
	words.Middle = true
	if vertical {
		words.At, words.Turn, words.Middle = at.Add(geom.Vec2{X: -1.2, Y: 2}), 90, false
	}
	return []Item{Outl(Style{Line: Dim, Width: line}, box(0, long, line/2)), black, words}
}

// RegisterDiamond stands on the seam where two sheets meet, half black and half white, 10 mm from point to point: laid over each
// other, the diamonds of two sheets close. An upright seam parts the black half from the white one left and right, a level
// seam below and above. The name stands on both sides of the seam.
func RegisterDiamond(at geom.Vec2, name string, upright bool) []Item {
	const r = 5.0
	p := func(along, across float64) geom.Vec2 {
		if upright {
			return at.Add(geom.Vec2{X: across, Y: along})
		}
		return at.Add(geom.Vec2{X: along, Y: across})
	}
	out := []Item{
		Area(Style{Line: Visible, Fill: Paper}, p(-r, 0), p(0, r), p(r, 0), p(0, -r)),
		Area(Style{Fill: Ink0}, p(-r, 0), p(0, -r), p(r, 0)),
	}
	if name == "" {
		return out
	}
	for _, side := range [2]float64{-1, 1} {
		t := Lettered(p(0, side*(r+2)), 2.7, Centre, name)
		t.Middle = true
		if upright {
			t.Anchor = Left
			if side < 0 {
				t.Anchor = Right
			}
		} else {
			t.At.Y += side * 1.2
		}
		out = append(out, t)
	}
	return out
}

// StripCell is one cell of a title strip: a bold head and a small line under it.
type StripCell struct {
	Head, Small string
	View        View    // with a view, its face mark and its word stand in the head's place
	Share       float64 // share of the width; 0 = as wide as its words ask
}

// View is the side a drawing shows.
type View int

// The views; what is neither from the front nor from behind carries no face mark.
const (
	NoView View = iota
	FrontView
	RearView
)

// Word is FRONT or REAR.
func (v View) Word() string { return [...]string{"", "FRONT", "REAR"}[v] }

// StripHeight is how much a title strip takes, mm.
const StripHeight = 17.0

// TitleStrip is the strip along the foot of every sheet, from at (lower left) over a width: a heavy line on top, cells parted by fine
// lines. Words that do not fit are set smaller, then cut short.
func TitleStrip(at geom.Vec2, width float64, cells []StripCell) []Item {
	const head, small, pad = 4.4, 3.4, 2.0
	const viewCap, viewMark = 4.4, 9.0 // capitals of the word; room for the mark
	out := []Item{Ln(at.Add(geom.Vec2{Y: StripHeight}), at.Add(geom.Vec2{X: width, Y: StripHeight}), Edge)}
	shares, sum := make([]float64, len(cells)), 0.0
	for i, c := range cells {
		shares[i] = c.Share
		if c.Share <= 0 {
			w := TextWidth(ReadBold, head, c.Head)
			if c.View != NoView {
				w = viewMark + TextWidth(Lettering, CapSize(Lettering, viewCap), c.View.Word())
			}
			shares[i] = max(w, TextWidth(Read, small, c.Small)) + 3*pad
		}
		sum += shares[i]
	}
	x := at.X
	for i, c := range cells {
		w := shares[i] / sum * width
		if i > 0 {
			out = append(out, Ln(geom.Vec2{X: x, Y: at.Y}, geom.Vec2{X: x, Y: at.Y + StripHeight}, Dim))
		}
		switch {
		case c.View != NoView:
			out = append(out, FaceMarkSized(geom.Vec2{X: x + pad, Y: at.Y + 8}, 8, c.View == RearView)...)
			out = append(out, Lettered(geom.Vec2{X: x + pad + viewMark, Y: at.Y + 9.6}, viewCap, Left, c.View.Word()))
		case c.Head != "":
			s, size := Fit(ReadBold, head, c.Head, w-2*pad)
			out = append(out, Txt(geom.Vec2{X: x + pad, Y: at.Y + 10}, ReadBold, size, Left, s))
		}
		if c.Small != "" {
			s, size := Fit(Read, small, c.Small, w-2*pad)
			t := Txt(geom.Vec2{X: x + pad, Y: at.Y + 3.5}, Read, size, Left, s)
			t.Ink = Pencil
			out = append(out, t)
		}
		x += w
	}
	return out
}

// Ruler is a row of ticks along an edge: every 5 mm, longer every 10, numbered every 50; in inches every eighth, longer every
// half, longest and numbered every inch. The zero is left to the datum corner.
type Ruler struct {
	Zero     geom.Vec2 // where the ruler's zero is
	From, To float64   // the values it shows, mm
	Inch     bool      // in inches
	Vertical bool      // runs up, else to the right
	Back     bool      // runs to the left: a rear view counts from the right
	Inward   bool      // ticks and numbers point right or up, else left or down
	Numbers  bool
}

// Items draws the ruler.
func (r Ruler) Items() []Item {
	out := []Item{}
	side := -1.0
	if r.Inward {
		side = 1
	}
	p := func(v, across float64) geom.Vec2 {
		if r.Back {
			v = -v
		}
		if r.Vertical {
			return r.Zero.Add(geom.Vec2{X: across * side, Y: v})
		}
		return r.Zero.Add(geom.Vec2{X: v, Y: across * side})
	}
	ticks := &Path{Open: true, Style: Style{Line: Dim}}
	step, half, number := 5.0, 2, 10
	if r.Inch {
		step, half, number = 25.4/8, 4, 8
	}
	for i := firstTick(r.From, step); float64(i)*step <= r.To+1e-9; i++ {
		v, long := float64(i)*step, 1.5
		if i%half == 0 {
			long = 2.6
		}
		if r.Inch && i%number == 0 {
			long = 3.2
		}
		ticks.Outlines = append(ticks.Outlines, geom.Outline{{P: p(v, 0)}, {P: p(v, long)}})
		if !r.Numbers || i%number != 0 || i == 0 {
			continue
		}
		s := strconv.Itoa(i * 5)
		if r.Inch {
			s = strconv.Itoa(i / number)
		}
		t := Lettered(p(v, 3.4), 2.3, Centre, minus(s))
		switch {
		case r.Vertical && r.Inward:
			t.Anchor, t.Middle = Left, true
		case r.Vertical:
			t.Anchor, t.Middle = Right, true
		case !r.Inward:
			t.At.Y -= 2.3
		}
		out = append(out, t)
	}
	if len(ticks.Outlines) == 0 {
		return nil
	}
	return append([]Item{ticks}, out...)
}

func firstTick(from, step float64) int {
	i := int(from / step)
	for float64(i)*step < from-1e-9 {
		i++
	}
	return i
}

// minus writes a number's minus with the sign that is as wide as a plus.
func minus(s string) string {
	if len(s) > 1 && s[0] == '-' {
		return "−" + s[1:]
	}
	return s
}
