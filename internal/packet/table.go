package packet

import (
	"strings"

	"knobwright/internal/drawing"
)

// column is one column of a printed list.
type column struct {
	head  string
	w     float64 // mm; the one column with 0 takes what is left
	right bool
	bold  bool
	quiet bool
	tick  bool // a box to tick instead of text
}

// row is one row of a printed list: a cell a column. A row with band set is a heading across the list.
type row struct {
	band  string
	cells []string
}

// lister sets lists on as many upright pages as they need.
type lister struct {
	d     desk
	name  string // of the sheet
	use   string
	pages []drawing.Page
	y     float64 // where the next line goes
	items []drawing.Item
	foot  []cell
}

const (
	listSize = 10.5 // pt
	lineStep = 4.7  // mm
	rowPad   = 1.3  // mm above and below
)

func (d desk) list(name, use string, foot ...cell) *lister {
	l := &lister{d: d, name: name, use: use, foot: foot}
	l.open()
	return l
}

func (l *lister) open() {
	l.items = nil
	l.y = l.d.paper.h - topY - 2
}

// close ends the page that is being set.
func (l *lister) close() {
	l.pages = append(l.pages, drawing.Page{Width: l.d.paper.w, Height: l.d.paper.h, Items: l.items})
}

func (l *lister) left() float64  { return marginX + 5 }
func (l *lister) right() float64 { return l.d.paper.w - marginX }

// room starts a new page when less than h is left, and says whether it did.
func (l *lister) room(h float64) bool {
	if l.y-h > 29 {
		return false
	}
	l.close()
	l.open()
	return true
}

// done numbers the pages and gives them.
func (l *lister) done() []drawing.Page {
	l.close()
	for i := range l.pages {
		p := &l.pages[i]
		p.Name = l.name
		head := l.d.head(p.Width, p.Height, l.name, noSide, i+1, len(l.pages), l.use, "")
		p.Items = append(head, p.Items...)
		p.Items = append(p.Items, l.d.strip(p.Width, l.foot...)...)
	}
	return l.pages
}

// heading letters a heading.
func (l *lister) heading(s string) {
	l.room(22)
	l.y -= 7.5
	l.items = append(l.items, drawing.Lettered(v(l.left(), l.y), 3.5, drawing.Left, s))
	l.y -= 3
}

// para sets a paragraph.
func (l *lister) para(s string, quiet bool) {
	ink := drawing.Ink0
	if quiet {
		ink = drawing.Pencil
	}
	for _, t := range wrapText(drawing.Read, pt(listSize), l.right()-l.left(), s) {
		l.room(lineStep)
		l.y -= lineStep
		l.items = append(l.items, &drawing.Text{At: v(l.left(), l.y), S: t, Face: drawing.Read, Size: pt(listSize), Ink: ink})
	}
	l.y -= 1.5
}

// bullet sets a paragraph behind a box to tick or a dash.
func (l *lister) bullet(s string, tick bool) {
	for i, t := range wrapText(drawing.Read, pt(listSize), l.right()-l.left()-8, s) {
		l.room(lineStep + 1)
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

// table sets rows; its head is set again on every page.
func (l *lister) table(cols []column, rows []row) {
	total, flex := 0.0, -1
	for i, c := range cols {
		total += c.w
		if c.w == 0 {
			flex = i
		}
	}
	if flex >= 0 {
		cols = append([]column(nil), cols...)
		cols[flex].w = l.right() - l.left() - total
	}
	head := func() {
		l.y -= 5
		x := l.left()
		for _, c := range cols {
			l.cellText(c, x, l.y, c.head, drawing.Read, pt(9), drawing.Pencil)
			x += c.w
		}
		l.y -= 1.8
		l.items = append(l.items, drawing.Ln(v(l.left(), l.y), v(l.right(), l.y), drawing.Visible))
	}
	l.room(20)
	head()
	for i, r := range rows {
		if r.band != "" {
			if l.room(2*lineStep + 10) {
				head()
			}
			l.y -= lineStep + 2.5
			l.items = append(l.items, fitted(v(l.left(), l.y), drawing.ReadBold, pt(listSize), l.right()-l.left(), r.band, drawing.Ink0))
			l.y -= 1.6
			l.items = append(l.items, drawing.Ln(v(l.left(), l.y), v(l.right(), l.y), drawing.Rule))
			continue
		}
		texts := make([][]string, len(cols))
		lines := 1
		for j, c := range cols {
			if j < len(r.cells) && !c.tick {
				texts[j] = wrapText(faceOf(c), pt(listSize), c.w-2, r.cells[j])
				lines = max(lines, len(texts[j]))
			}
		}
		h := float64(lines)*lineStep + 2*rowPad
		if l.room(h) {
			head()
		}
		x, top := l.left(), l.y-rowPad
		for j, c := range cols {
			if c.tick && j < len(r.cells) && r.cells[j] != "" {
				l.items = append(l.items, drawing.TickBox(v(x+0.5, top-lineStep/2-1.9), 3.6, false)...)
			}
			for k, t := range texts[j] {
				ink := drawing.Ink0
				if c.quiet {
					ink = drawing.Pencil
				}
				l.cellText(c, x, top-lineStep*float64(k)-3.6, t, faceOf(c), pt(listSize), ink)
			}
			x += c.w
		}
		l.y -= h
		if i+1 < len(rows) && rows[i+1].band == "" {
			l.items = append(l.items, drawing.Ln(v(l.left(), l.y), v(l.right(), l.y), drawing.Rule))
		}
	}
	l.items = append(l.items, drawing.Ln(v(l.left(), l.y), v(l.right(), l.y), drawing.Rule))
	l.y -= 3
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

// wrapText breaks text into lines no wider than w; a word that is wider is broken.
func wrapText(f drawing.Face, size, w float64, s string) []string {
	var lines []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.Fields(para) {
			try := word
			if line != "" {
				try = line + " " + word
			}
			if drawing.TextWidth(f, size, try) <= w {
				line = try
				continue
			}
			if line != "" {
				lines = append(lines, line)
			}
			for drawing.TextWidth(f, size, word) > w && len([]rune(word)) > 1 {
				r := []rune(word)
				n := len(r)
				for n > 1 && drawing.TextWidth(f, size, string(r[:n])) > w {
					n--
				}
				lines = append(lines, string(r[:n]))
				word = string(r[n:])
			}
			line = word
		}
		lines = append(lines, line)
	}
	return lines
}
