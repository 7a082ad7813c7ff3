package packet

import (
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// column is one column of a printed list.
type column struct {
	head  string
	w     float64 // mm; the one column with 0 takes what is left
	right bool
	bold  bool
	quiet bool
	tick  bool // a box to tick instead of text
	write bool // a line to write on
	small bool // smaller type
	slant bool // a box of slant lines: covered
}

// row is one row of a printed list: a cell a column.
type row []string

// lister sets lists on as many upright pages as they need.
type lister struct {
	d      desk
	sheet  sheet
	pages  []drawing.Page
	y      float64 // where the next line goes
	items  []drawing.Item
	narrow float64 // room left free at the right, mm
	again  func()  // heads set again at the top of a new page, while a table is being set
}

const (
	listSize = 10.5 // pt
	lineStep = 4.7  // mm
	rowPad   = 0.55 // mm above and below
	listFoot = footY + 4
)

func (d desk) list(s sheet) *lister {
	l := &lister{d: d, sheet: s}
	l.open()
	return l
}

func (l *lister) open() {
	l.items = nil
	l.y = l.d.paper.h - topY - 1
}

// close ends the page that is being set.
func (l *lister) close() {
	l.pages = append(l.pages, drawing.Page{Width: l.d.paper.w, Height: l.d.paper.h, Items: l.items})
}

func (l *lister) left() float64  { return marginX + 5 }
func (l *lister) right() float64 { return l.d.paper.w - marginX - l.narrow }

// room starts a new page when less than h is left.
func (l *lister) room(h float64) {
	if l.y-h > listFoot {
		return
	}
	l.close()
	l.open()
	if l.again != nil {
		l.again()
	}
}

// done numbers the pages and gives them.
func (l *lister) done() []drawing.Page {
	l.close()
	for i := range l.pages {
		p, s := &l.pages[i], l.sheet
		p.Name = s.name
		if len(l.pages) > 1 {
			s.n, s.of = i+1, len(l.pages)
		}
		p.Items = append(l.d.frame(p.Width, p.Height, s), p.Items...)
	}
	return l.pages
}

// heading letters a heading, with room for something under it.
func (l *lister) heading(s string) {
	l.room(24)
	l.head(s)
}

// head letters a heading here.
func (l *lister) head(s string) {
	l.y -= 7
	l.items = append(l.items, drawing.Lettered(v(l.left(), l.y), 3.5, drawing.Left, s))
	l.y -= 3
}

// para sets a paragraph.
func (l *lister) para(s string, quiet bool) {
	ink := drawing.Ink0
	if quiet {
		ink = drawing.Pencil
	}
	for _, t := range drawing.Wrap(drawing.Read, pt(listSize), s, l.right()-l.left()) {
		l.room(lineStep)
		l.y -= lineStep
		l.items = append(l.items, &drawing.Text{At: v(l.left(), l.y), S: t, Face: drawing.Read, Size: pt(listSize), Ink: ink})
	}
	l.y -= 1.5
}

// bullet sets a paragraph behind a box to tick or a dash; it is not parted between pages.
func (l *lister) bullet(s string, tick bool) {
	l.room(lineStep*float64(len(l.wrapped(s))) + 1.6)
	l.bulletLines(s, tick)
}

func (l *lister) wrapped(s string) []string {
	return drawing.Wrap(drawing.Read, pt(listSize), s, l.right()-l.left()-8)
}

// bulletLines sets a bullet here.
func (l *lister) bulletLines(s string, tick bool) {
	for i, t := range l.wrapped(s) {
		l.y -= lineStep
		if i == 0 {
			l.y -= 0.8
			if tick {
				l.items = append(l.items, drawing.TickBox(v(l.left(), l.y-0.4), 3.6, false)...)
			} else {
				l.items = append(l.items, drawing.Txt(v(l.left()+1, l.y), drawing.Read, pt(listSize), drawing.Left, "–"))
			}
		}
		l.items = append(l.items, drawing.Txt(v(l.left()+7, l.y), drawing.Read, pt(listSize), drawing.Left, t))
	}
	l.y -= 0.8
}

// widths gives the one column without a width what the others leave.
func widths(cols []column, total float64) []column {
	cols = append([]column(nil), cols...)
	flex := -1
	for i, c := range cols {
		total -= c.w
		if c.w == 0 {
			flex = i
		}
	}
	if flex >= 0 {
		cols[flex].w = total
	}
	return cols
}

// heads letters the heads of columns over a heavy line.
func (l *lister) heads(cols []column, xs ...float64) {
	l.y -= 4.6
	for _, x := range xs {
		from := x
		for _, c := range cols {
			l.cellText(c, x, l.y, c.head, drawing.Read, pt(9), drawing.Pencil)
			x += c.w
		}
		l.items = append(l.items, drawing.Ln(v(from, l.y-1.6), v(x, l.y-1.6), drawing.Visible))
	}
	l.y -= 1.6
}

// table sets rows; its heads are set again on every page.
func (l *lister) table(cols []column, rows []row) {
	cols = widths(cols, l.right()-l.left())
	head := func() { l.heads(cols, l.left()) }
	l.room(18)
	head()
	l.again = head
	for _, r := range rows {
		lines := 1
		for j, c := range cols {
			lines = max(lines, len(l.lines(c, r, j)))
		}
		l.room(float64(lines)*lineStep + 2*rowPad)
		l.setRow(cols, r, l.left(), lines)
		l.y -= float64(lines)*lineStep + 2*rowPad
		l.items = append(l.items, drawing.Ln(v(l.left(), l.y), v(l.right(), l.y), drawing.Rule))
	}
	l.again = nil
	l.y -= 2
}

// gridGap lies between the two columns of a grid, mm.
const gridGap = 5.0

// grid sets rows of one line in two columns, down the left one first; heads is what is set again on a new page.
func (l *lister) grid(cols []column, rows []row) {
	wide := l.half()
	cols = widths(cols, wide)
	const high = lineStep + 2*rowPad
	for len(rows) > 0 {
		l.room(high)
		fit := int((l.y - listFoot) / high)
		deep := min((len(rows)+1)/2, fit)
		for i := range min(2*deep, len(rows)) {
			x := l.left()
			if i >= deep {
				x += wide + gridGap
			}
			top := l.y
			l.y -= float64(i%deep) * high
			l.setRow(cols, rows[i], x, 1)
			l.items = append(l.items, drawing.Ln(v(x, l.y-high), v(x+wide, l.y-high), drawing.Rule))
			l.y = top
		}
		l.y -= float64(deep) * high
		rows = rows[min(2*deep, len(rows)):]
	}
}

// twinFrom is the number of rows from which a list of narrow columns is set in two columns: fewer are easier to read in one.
const twinFrom = 16

// half is the width of one of two columns of a list, mm.
func (l *lister) half() float64 { return (l.right() - l.left() - gridGap) / 2 }

// halves reports whether a row wants no more than one line of half the width, in type hardly smaller.
func (l *lister) halves(cols []column, r row) bool {
	for j, c := range widths(cols, l.half()) {
		if j < len(r) && !c.tick && drawing.TextWidth(faceOf(c), sizeOfType(c), r[j])*0.85 > c.w-1.5 {
			return false
		}
	}
	return true
}

// twin sets rows of one line in two columns with their heads, down the left one first.
func (l *lister) twin(cols []column, rows []row) {
	cols = widths(cols, l.half())
	head := func() { l.heads(cols, l.left(), l.left()+l.half()+gridGap) }
	l.room(18)
	head()
	l.again = head
	l.grid(cols, rows)
	l.again = nil
	l.y -= 2
}

// lines breaks one cell into lines.
func (l *lister) lines(c column, r row, j int) []string {
	if j >= len(r) || c.tick || c.write || c.slant || r[j] == "" {
		return nil
	}
	f, size := faceOf(c), sizeOfType(c)
	if s, _ := drawing.Fit(f, size, r[j], c.w-1.5); s == r[j] {
		return []string{s}
	}
	return drawing.Wrap(f, size, r[j], c.w-1.5)
}

// setRow sets one row from x, its top at the current height.
func (l *lister) setRow(cols []column, r row, x float64, lines int) {
	top := l.y - rowPad
	for j, c := range cols {
		if j < len(r) && r[j] != "" {
			switch {
			case c.tick:
				l.items = append(l.items, drawing.TickBox(v(x+0.5, top-lineStep/2-1.8), 3.6, false)...)
			case c.slant:
				l.items = append(l.items, slantBox(v(x+0.5, top-lineStep/2-1.8)))
			case c.write:
				l.items = append(l.items, drawing.Ln(v(x+1, top-lineStep+0.4), v(x+c.w-1, top-lineStep+0.4), drawing.Dim))
			}
		}
		for k, t := range l.lines(c, r, j) {
			if k >= lines {
				break
			}
			ink := drawing.Ink0
			if c.quiet {
				ink = drawing.Pencil
			}
			if lines == 1 && len(l.lines(c, r, j)) > 1 {
				t = r[j] // no room for a second line: cut short
			}
			s, size := drawing.Fit(faceOf(c), sizeOfType(c), t, c.w-1.5)
			l.cellText(c, x, top-lineStep*float64(k)-3.6, s, faceOf(c), size, ink)
		}
		x += c.w
	}
}

func sizeOfType(c column) float64 {
	if c.small {
		return pt(9)
	}
	return pt(listSize)
}

func faceOf(c column) drawing.Face {
	if c.bold {
		return drawing.ReadBold
	}
	return drawing.Read
}

func (l *lister) cellText(c column, x, y float64, s string, f drawing.Face, size float64, ink drawing.Ink) {
	t := &drawing.Text{At: v(x, y), S: s, Face: f, Size: size, Ink: ink}
	if c.right {
		t.At.X, t.Anchor = x+c.w-2, drawing.Right
	}
	l.items = append(l.items, t)
}

// slantBox is the mark of what is covered: slant lines in a box.
func slantBox(at geom.Vec2) drawing.Item {
	return drawing.Box(drawing.Style{Line: drawing.Thin, Hatch: drawing.HatchCovered}, at, at.Add(v(3.6, 3.6)))
}
