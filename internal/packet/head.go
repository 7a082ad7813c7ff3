package packet

import (
	"fmt"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// sheet is what is said at the head and in the strip of a page.
type sheet struct {
	name  string // what the sheet is
	view  drawing.View
	n, of int    // page; of = 0 when there is one only
	use   string // one sentence of use
	where string // right-hand end of that line
	cells []cell // of the strip, between the view and the state
}

// cell is one cell of the title strip: a bold word and a smaller line.
type cell struct{ head, line string }

// frame gives a page its head and its strip.
func (d desk) frame(w, h float64, s sheet) []drawing.Item {
	return append(d.head(w, h, s), d.strip(w, s.view, s.cells)...)
}

// head letters the top of a sheet: its name, the face mark with FRONT or REAR, a banner while there are stops, its number, and
// one sentence of use.
func (d desk) head(w, h float64, s sheet) []drawing.Item {
	const capital = 5.6
	if d.board != "" {
		s.name += ", " + d.board
	}
	x, y := marginX+rulerX-6, h-15.5
	items := []drawing.Item{drawing.Lettered(v(x, y), capital, drawing.Left, s.name)}
	width := func(t string) float64 {
		return drawing.TextWidth(drawing.Lettering, drawing.CapSize(drawing.Lettering, capital), t)
	}
	x += width(s.name) + 9
	if s.view != drawing.NoView {
		items = append(items, drawing.FaceMark(v(x, y-2), s.view == drawing.RearView)...)
		items = append(items, drawing.Lettered(v(x+10, y), capital, drawing.Left, s.view.Word()))
		x += 10 + width(s.view.Word()) + 9
	}
	right := w - marginX
	if s.of > 0 {
		n := fmt.Sprintf("%d of %d", s.n, s.of)
		items = append(items, drawing.Lettered(v(right, y), capital, drawing.Right, n))
		right -= width(n) + 6
	}
	if d.stop {
		items = append(items, stopBanner(x, right, y+capital/2, d.state+": do not cut yet")...)
	}
	right = w - marginX
	if s.where != "" {
		items = append(items, &drawing.Text{At: v(right, y-6.3), S: s.where, Face: drawing.Read, Size: pt(10.5), Anchor: drawing.Right, Ink: drawing.Pencil})
		right -= drawing.TextWidth(drawing.Read, pt(10.5), s.where) + 4
	}
	left := marginX + rulerX - 6
	return append(items, fitted(v(left, y-6.3), drawing.Read, pt(10.5), right-left, s.use, drawing.Ink0))
}

// stopBanner says between two places across, about a height, that this must not be cut.
func stopBanner(left, right, y float64, state string) []drawing.Item {
	s, size := drawing.Fit(drawing.ReadBold, pt(11), "STOP   "+state, right-left-6)
	w := drawing.TextWidth(drawing.ReadBold, size, s)
	box := drawing.Box(drawing.Style{Fill: drawing.Ink0}, v(right-w-6, y-3.2), v(right, y+3.2))
	return []drawing.Item{box, &drawing.Text{At: v(right-3-w/2, y), S: s, Face: drawing.ReadBold, Size: size, Anchor: drawing.Centre, Middle: true, Ink: drawing.Paper}}
}

// strip is the foot of every sheet: the view, what the sheet adds, the state and the mark of the file.
func (d desk) strip(w float64, view drawing.View, cells []cell) []drawing.Item {
	var out []drawing.StripCell
	switch view {
	case drawing.FrontView:
		out = append(out, drawing.StripCell{View: view, Small: d.seen(), Share: 39})
	case drawing.RearView:
		small := "mirrored, from behind"
		if d.board != "" {
			small = "mirrored, from inside"
		}
		out = append(out, drawing.StripCell{View: view, Small: small, Share: 39})
	}
	state := cell{d.state, "mark " + d.mark}
	if d.stop {
		state.line = "do not cut yet · " + state.line
	}
	all := append(append([]cell{}, cells...), state)
	asks := make([]float64, len(all))
	for i, c := range all {
		asks[i] = max(drawing.TextWidth(drawing.ReadBold, 4.4, c.head), drawing.TextWidth(drawing.Read, 3.4, c.line)) + 6
	}
	width := w - 2*marginX
	for i, share := range shareOut(width-39*float64(len(out)), asks) { // the word of the view is never squeezed
		out = append(out, drawing.StripCell{Head: all[i].head, Small: all[i].line, Share: share})
	}
	return drawing.TitleStrip(v(marginX, stripY), width, out)
}

// shareOut parts a width among cells: those that ask for little get it, those that ask for much share what is left; what
// nobody asks for goes to all alike.
func shareOut(width float64, asks []float64) []float64 {
	out := make([]float64, len(asks))
	left, open := width, len(asks)
	for open > 0 {
		fair, gave := left/float64(open), false
		for i, a := range asks {
			if out[i] == 0 && a <= fair {
				out[i], left, open, gave = a, left-a, open-1, true
			}
		}
		if gave {
			continue
		}
		for i := range out {
			if out[i] == 0 {
				out[i] = fair
			}
		}
		return out
	}
	for i := range out {
		out[i] += left / float64(len(out))
	}
	return out
}

// panelCell names the panel in the strip, and the board when it is not the face.
func (d desk) panelCell() cell {
	if d.board != "" {
		return cell{d.title, "the " + d.board + " of its box"}
	}
	return cell{d.title, d.sub}
}

// seen says from where a front view is seen.
func (d desk) seen() string {
	if d.board != "" {
		return "seen from outside"
	}
	return "seen from the front"
}

// printCells say how a true-size sheet is printed and checked.
func (d desk) printCells() []cell {
	off := "0.3 mm off: do not use"
	if d.inches {
		off = "1/64 in off: do not use"
	}
	return []cell{{"Bars first", off}, {"Print at 100 %", d.paper.name + ", no “fit to page”"}}
}

// fitted is a line of text made smaller, then shorter, where it would not fit.
func fitted(at geom.Vec2, f drawing.Face, size, width float64, s string, ink drawing.Ink) *drawing.Text {
	s, size = drawing.Fit(f, size, s, width)
	return &drawing.Text{At: at, S: s, Face: f, Size: size, Ink: ink}
}
