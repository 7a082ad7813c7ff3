package book

import (
	"strconv"
	"strings"

	"knobwright/internal/drawing"
)

func itoa(n int) string { return strconv.Itoa(n) }

func faceOf(c Col) drawing.Face {
	if c.Bold {
		return drawing.ReadBold
	}
	return drawing.Read
}

func sizeOf(c Col) float64 {
	if c.Small {
		return pt(smallPt)
	}
	return pt(bodyPt)
}

// tickWide is how wide a column of boxes is, mm.
const tickWide = 6.5

// widest is the most, mm, that a column's longest text counts for when width is shared out.
const widest = 150

// widths shares the width of a page out among the columns of a table: a column that asks for little gets it, those that ask for much share what is
// left by how much they ask for.
func (s *setter) widths(t Table) []float64 {
	const gap = 2.6
	n := len(t.Cols)
	ask, least := make([]float64, n), make([]float64, n)
	for j, c := range t.Cols {
		switch {
		case c.Tick:
			ask[j], least[j] = tickWide, tickWide
			continue
		case c.Write:
			ask[j], least[j] = max(34, c.Least), max(20, c.Least)
		}
		face, size := faceOf(c), sizeOf(c)
		head := drawing.TextWidth(drawing.Read, pt(smallPt), c.Head)
		ask[j], least[j] = max(ask[j], head+gap), max(least[j], head+gap)
		for _, r := range t.Rows {
			if j >= len(r.Cells) || r.Cells[j] == "" {
				continue
			}
			cell := r.Cells[j]
			if len(cell) < 8 && ask[j] > 18 {
				continue
			}
			w := drawing.TextWidth(face, size, cell) + gap
			ask[j] = max(ask[j], w)
			if c.Never || len(cell) <= 6 {
				least[j] = max(least[j], min(w, 40))
				continue
			}
			for _, word := range strings.Fields(cell) { // a word is not broken while that can be helped
				if len(word) > 4 {
					least[j] = max(least[j], min(drawing.TextWidth(face, size, word)+gap, 30))
				}
			}
		}
		if c.Never {
			least[j] = max(least[j], min(ask[j], 60))
		}
	}
	total, sum := s.wide(), 0.0
	for _, a := range ask {
		sum += a
	}
	if sum <= total {
		// a little of what is over goes to every column, the rest stays white: numbers stand near what they belong to
		open := 0
		for _, c := range t.Cols {
			if !c.Tick {
				open++
			}
		}
		for j, c := range t.Cols {
			switch {
			case c.Tick:
			case c.Write:
				ask[j] += (total - sum) / float64(open)
			default:
				ask[j] += min((total-sum)/float64(open), 7)
			}
		}
		return ask
	}
	// fair shares: who asks for less than a share gets it
	out := make([]float64, n)
	left, open := total, n
	for open > 0 {
		fair, gave := left/float64(open), false
		for j := range out {
			if out[j] == 0 && (ask[j] <= fair || t.Cols[j].Tick) {
				out[j] = ask[j]
				left, open, gave = left-ask[j], open-1, true
			}
		}
		if gave {
			continue
		}
		rest, weigh := 0.0, 0.0
		for j := range out {
			if out[j] == 0 {
				rest += least[j]
				weigh += min(ask[j], widest)
			}
		}
		for j := range out {
			if out[j] == 0 {
				out[j] = least[j] + max(0, left-rest)*min(ask[j], widest)/weigh
			}
		}
		if rest > left { // not even the least fits: everything is squeezed alike
			for j := range out {
				out[j] *= total / (total - left + rest)
			}
		}
		return out
	}
	return out
}

// table sets rows; its heads are set again on every page.
func (s *setter) table(t Table) {
	if len(t.Rows) == 0 {
		return
	}
	ws := s.widths(t)
	heads := func() {
		some := false
		for _, c := range t.Cols {
			some = some || c.Head != ""
		}
		x := s.left()
		if some {
			s.y -= 4.8
			for j, c := range t.Cols {
				head, size := drawing.Fit(drawing.Read, pt(smallPt), c.Head, ws[j]-1)
				s.cell(c, x, s.y, ws[j], head, drawing.Read, size, drawing.Pencil)
				x += ws[j]
			}
			s.y -= 1.5
		} else {
			s.y -= 1
		}
		s.add(drawing.Ln(v(s.left(), s.y), v(s.right(), s.y), drawing.Visible))
	}
	s.room(22)
	heads()
	s.again = heads
	for i, r := range t.Rows {
		if r.Band != "" {
			need := 18.0
			if r.Note != "" {
				need += 5
			}
			if i+1 < len(t.Rows) { // a band does not stand alone at the foot of a page
				most := 1
				for j, c := range t.Cols {
					if next := t.Rows[i+1].Cells; j < len(next) && !c.Tick && !c.Write {
						most = max(most, len(wrapCell(c, next[j], ws[j]-2.2)))
					}
				}
				need += float64(most-1)*step + 4*float64(len(wrapNote(t.Rows[i+1].Under, s.wide()-tickWide)))
			}
			s.room(need)
			s.band(r)
			continue
		}
		lines, most := make([][]string, len(t.Cols)), 1
		for j, c := range t.Cols {
			if j < len(r.Cells) && !c.Tick && !c.Write && r.Cells[j] != "" {
				lines[j] = wrapCell(c, r.Cells[j], ws[j]-2.2)
				most = max(most, len(lines[j]))
			}
		}
		high := float64(most)*step + 2*pad
		in := 0.0
		if t.Cols[0].Tick {
			in = ws[0]
		}
		under := wrapNote(r.Under, s.wide()-in)
		high += float64(len(under)) * 4
		s.room(high)
		s.meet(r.Of)
		x, top := s.left(), s.y-pad
		for j, c := range t.Cols {
			switch {
			case j >= len(r.Cells):
			case c.Tick && r.Cells[j] != "":
				s.add(drawing.TickBox(v(x+0.5, top-step/2-1.8), 3.6, false)...)
			case c.Write:
				if r.Cells[j] != "" {
					s.add(drawing.Ln(v(x+1, top-step+0.6), v(x+ws[j]-1, top-step+0.6), drawing.Dim))
				}
			default:
				ink := drawing.Ink0
				if c.Quiet {
					ink = drawing.Pencil
				}
				for k, text := range lines[j] {
					s.cell(c, x, top-step*float64(k)-3.6, ws[j], text, faceOf(c), sizeOf(c), ink)
				}
			}
			x += ws[j]
		}
		for k, text := range under {
			s.add(&drawing.Text{At: v(s.left()+in, top-step*float64(most)-4*float64(k)-2.8), S: text, Face: drawing.Read, Size: pt(smallPt)})
		}
		s.y -= high
		if i+1 == len(t.Rows) || t.Rows[i+1].Band == "" {
			s.add(drawing.Ln(v(s.left(), s.y), v(s.right(), s.y), drawing.Rule))
		}
	}
	s.again = nil
	s.y -= 3
}

func wrapCell(c Col, text string, wide float64) []string {
	if c.Never {
		if fit, size := drawing.Fit(faceOf(c), sizeOf(c), text, wide+1); fit == text && size == sizeOf(c) {
			return []string{text}
		}
	}
	return drawing.Wrap(faceOf(c), sizeOf(c), text, wide)
}

func (s *setter) band(r Row) {
	s.y -= 7.2
	text, size := drawing.Fit(drawing.ReadBold, pt(bodyPt), r.Band, s.wide())
	s.add(&drawing.Text{At: v(s.left(), s.y+1.2), S: text, Face: drawing.ReadBold, Size: size})
	for _, t := range wrapNote(r.Note, s.wide()) {
		s.y -= 4
		s.add(&drawing.Text{At: v(s.left(), s.y+1), S: t, Face: drawing.Read, Size: pt(smallPt), Ink: drawing.Pencil})
	}
	s.add(drawing.Ln(v(s.left(), s.y-0.6), v(s.right(), s.y-0.6), drawing.Thin))
	s.y -= 0.6
}

func wrapNote(s string, wide float64) []string {
	if s == "" {
		return nil
	}
	return drawing.Wrap(drawing.Read, pt(smallPt), s, wide)
}

func (s *setter) cell(c Col, x, y, w float64, text string, f drawing.Face, size float64, ink drawing.Ink) {
	t := &drawing.Text{At: v(x, y), S: text, Face: f, Size: size, Ink: ink}
	if c.Right {
		t.At.X, t.Anchor = x+w-2.4, drawing.Right
	}
	s.add(t)
}
