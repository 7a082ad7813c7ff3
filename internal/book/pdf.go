package book

import (
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/words"
)

func (b *Book) say(key string, args ...any) string { return b.Lang.Say(words.T("book."+key, args...)) }

// PDF sets the book on pages: cover, contents, chapters, index by control. Every page but the cover has a running head with the panel and
// the chapter, and a foot with its number, the mark of the file and the state.
func (b *Book) PDF() *drawing.Document {
	s := newSetter(b)
	for i := range b.Chapters {
		n := len(s.pages)
		s.chapter(&b.Chapters[i])
		s.pages[n].begins = true
	}
	// the index needs the pages of the chapters, and these stand behind the cover and the contents
	front := 1 + b.contentsPages(s)
	index := b.index(s, front)
	all := front + len(s.pages) + len(index)
	doc := &drawing.Document{Title: b.say("title") + ": " + b.whole(), Subject: b.say("subject"), Lang: string(b.Lang)}
	doc.Pages = append(doc.Pages, b.cover(s, front, all))
	for _, p := range b.contents(s, front) {
		doc.Pages = append(doc.Pages, b.framed(s, p, len(doc.Pages)+1, all))
	}
	for _, p := range append(s.pages, index...) {
		doc.Pages = append(doc.Pages, b.framed(s, p, len(doc.Pages)+1, all))
	}
	return doc
}

// Chapter sets one chapter alone; nil when the book has none of that name.
func (b *Book) Chapter(id string) *drawing.Document {
	for i := range b.Chapters {
		if b.Chapters[i].ID != id {
			continue
		}
		s := newSetter(b)
		s.chapter(&b.Chapters[i])
		doc := &drawing.Document{Title: b.Chapters[i].Title + ": " + b.whole(), Subject: b.say("title"), Lang: string(b.Lang)}
		for n, p := range s.pages {
			p.begins = n == 0
			doc.Pages = append(doc.Pages, b.framed(s, p, n+1, len(s.pages)))
		}
		return doc
	}
	return nil
}

func (b *Book) whole() string { return strings.TrimSpace(b.Title + " " + b.Sub) }

// framed gives a page its running head and its foot.
func (b *Book) framed(s *setter, p sheet, n, of int) drawing.Page {
	page := drawing.Page{Width: s.w, Height: s.h}
	if p.begins {
		page.Name = p.chapter
	}
	y := s.h - 13
	title, size := drawing.Fit(drawing.Read, pt(smallPt), b.whole(), s.wide()*0.6)
	page.Items = append(page.Items,
		&drawing.Text{At: v(s.left(), y), S: title, Face: drawing.Read, Size: size, Ink: drawing.Pencil},
		&drawing.Text{At: v(s.right(), y), S: p.chapter, Face: drawing.ReadHalf, Size: pt(smallPt), Anchor: drawing.Right},
		drawing.Ln(v(s.left(), y-2), v(s.right(), y-2), drawing.Dim))
	if b.Stop {
		state, sz := drawing.Fit(drawing.ReadBold, pt(10), "STOP   "+b.State+": "+b.say("do-not-cut"), s.wide()-6)
		w := drawing.TextWidth(drawing.ReadBold, sz, state) + 6
		page.Items = append(page.Items, drawing.Box(drawing.Style{Fill: drawing.Ink0}, v(s.right()-w, y-8.2), v(s.right(), y-3)),
			&drawing.Text{At: v(s.right()-w/2, y-5.6), S: state, Face: drawing.ReadBold, Size: sz, Anchor: drawing.Centre, Middle: true, Ink: drawing.Paper})
	}
	foot := b.File
	if b.Mark != "" {
		foot += " · " + b.say("mark") + " " + b.Mark
	}
	foot += " · " + b.State
	foot, size = drawing.Fit(drawing.Read, pt(smallPt), foot, s.wide()*0.75)
	page.Items = append(page.Items, drawing.Ln(v(s.left(), 14.5), v(s.right(), 14.5), drawing.Dim),
		&drawing.Text{At: v(s.left(), 10), S: foot, Face: drawing.Read, Size: size, Ink: drawing.Pencil},
		&drawing.Text{At: v(s.right(), 10), S: b.say("page-of", "page", n, "of", of), Face: drawing.ReadHalf, Size: pt(10.5), Anchor: drawing.Right})
	page.Items = append(page.Items, p.items...)
	return page
}

// contentsPages is how many pages the contents take.
func (b *Book) contentsPages(*setter) int { return 1 }

// contents lists the chapters with their pages, and their sections where there is room.
func (b *Book) contents(s *setter, front int) []sheet {
	c := newSetter(b)
	c.name = b.say("contents")
	c.open()
	c.y -= 6
	c.add(drawing.Lettered(v(c.left(), c.y), 6, drawing.Left, c.name))
	c.y -= 3
	c.add(drawing.Ln(v(c.left(), c.y), v(c.right(), c.y), drawing.Edge))
	c.y -= 2
	sections := 0
	for _, ch := range b.Chapters {
		for _, x := range ch.Blocks {
			if h, ok := x.(Heading); ok && h.ID != "" {
				sections++
			}
		}
	}
	room := c.y - c.low() - 12
	all := float64(len(b.Chapters)+1)*7.4+float64(sections)*4.7 < room
	row := func(text, page string, strong bool) {
		face, size, x, high := drawing.Read, pt(9.5), c.left()+11, 4.7
		if strong {
			face, size, x, high = drawing.ReadBold, pt(11.5), c.left(), 7.4
		}
		c.y -= high
		t, sz := drawing.Fit(face, size, text, c.wide()-26)
		c.add(&drawing.Text{At: v(x, c.y), S: t, Face: face, Size: sz}, &drawing.Text{At: v(c.right(), c.y), S: page, Face: drawing.Read, Size: size, Anchor: drawing.Right})
		from := x + drawing.TextWidth(face, sz, t) + 2
		to := c.right() - drawing.TextWidth(drawing.Read, size, page) - 2
		if to > from+4 {
			c.add(&drawing.Path{Open: true, Outlines: []geom.Outline{{{P: v(from, c.y+0.4)}, {P: v(to, c.y+0.4)}}}, Style: drawing.Style{Line: drawing.Rule, Dash: [2]float64{0.3, 1.2}}})
		}
	}
	for _, ch := range b.Chapters {
		row(ch.Title, strconv.Itoa(front+s.first[ch.ID]+1), true)
		if !all {
			continue
		}
		for _, x := range ch.Blocks {
			if h, ok := x.(Heading); ok && h.ID != "" {
				row(h.Text, strconv.Itoa(front+s.sec[h.ID]+1), false)
			}
		}
	}
	row(b.say("index"), strconv.Itoa(front+len(s.pages)+1), true)
	if b.Lang != words.English {
		c.y -= 6
		c.para(Para{Text: b.say("english-stays"), Quiet: true})
	}
	c.close(true)
	return c.pages
}

// index lists every control with the pages that tell of it, in two columns.
func (b *Book) index(s *setter, front int) []sheet {
	c := newSetter(b)
	c.name = b.say("index")
	c.open()
	c.y -= 6
	c.add(drawing.Lettered(v(c.left(), c.y), 6, drawing.Left, c.name))
	c.y -= 3
	c.add(drawing.Ln(v(c.left(), c.y), v(c.right(), c.y), drawing.Edge))
	c.y -= 2
	c.para(Para{Text: b.say("index-use"), Quiet: true})
	const gap = 8.0
	wide := (c.wide() - gap) / 2
	names := b.Names
	for len(names) > 0 {
		fit := int((c.y - c.low()) / (step + 0.4))
		deep := min((len(names)+1)/2, fit)
		top, low := c.y, c.y
		used := 0
		for col := range 2 {
			c.y = top
			x := c.left() + float64(col)*(wide+gap)
			for used < len(names) {
				if col == 0 && used >= deep || c.y-2*step < c.low() {
					break
				}
				n := names[used]
				var ps []int
				for _, p := range s.on[n.Control] {
					ps = append(ps, front+p+1)
				}
				label, sz := drawing.Fit(drawing.ReadBold, pt(bodyPt), n.Label, wide*0.5)
				lines := drawing.Wrap(drawing.Read, pt(bodyPt), runs(ps), wide*0.47)
				c.y -= step + 0.4
				c.add(&drawing.Text{At: v(x, c.y), S: label, Face: drawing.ReadBold, Size: sz})
				for i, t := range lines {
					if i > 0 {
						c.y -= step - 0.4
					}
					c.add(&drawing.Text{At: v(x+wide*0.52, c.y), S: t, Face: drawing.Read, Size: pt(bodyPt)})
				}
				used++
			}
			low = min(low, c.y)
		}
		c.y = low
		names = names[used:]
		if len(names) > 0 {
			c.close(len(c.pages) == 0)
			c.open()
		}
	}
	c.close(len(c.pages) == 0)
	return c.pages
}

// runs writes page numbers short: "4, 9–11, 20".
func runs(ns []int) string {
	var out []string
	for i := 0; i < len(ns); {
		k := i
		for k+1 < len(ns) && ns[k+1] == ns[k]+1 {
			k++
		}
		switch {
		case k == i:
			out = append(out, strconv.Itoa(ns[i]))
		case k == i+1:
			out = append(out, strconv.Itoa(ns[i]), strconv.Itoa(ns[k]))
		default:
			out = append(out, strconv.Itoa(ns[i])+"–"+strconv.Itoa(ns[k]))
		}
		i = k + 1
	}
	return strings.Join(out, ", ")
}

// cover is the first page: the name, the panel as it will stand, the order of work with its pages, what to mind, what is taken on trust.
func (b *Book) cover(s *setter, front, of int) drawing.Page {
	page := drawing.Page{Width: s.w, Height: s.h, Name: b.say("title")}
	add := func(items ...drawing.Item) { page.Items = append(page.Items, items...) }
	l, r, w := s.left(), s.right(), s.wide()
	y := s.h - 26
	title, size := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, 9), b.Title, w*0.72)
	under := b.Sub
	if title != b.Title && under == "" { // too long for one line
		size = drawing.CapSize(drawing.Lettering, 6)
		lines := drawing.Wrap(drawing.Lettering, size, b.Title, w*0.72)
		title, under = lines[0], strings.Join(lines[1:], " ")
	}
	add(&drawing.Text{At: v(l, y), S: title, Face: drawing.Lettering, Size: size})
	name, nsize := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, 4.6), b.say("title"), w*0.26)
	add(&drawing.Text{At: v(r, y), S: name, Face: drawing.Lettering, Size: nsize, Anchor: drawing.Right},
		&drawing.Text{At: v(r, y-7.5), S: b.say("sheet-of", "page", 1, "of", of), Face: drawing.Read, Size: pt(10.5), Anchor: drawing.Right, Ink: drawing.Pencil})
	y -= 10 // the number of the sheet stands there too
	if under != "" {
		sub, sz := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, 4.6), under, w*0.78)
		add(&drawing.Text{At: v(l, y), S: sub, Face: drawing.Lettering, Size: sz})
	}
	y -= 7
	add(drawing.Ln(v(l, y), v(r, y), drawing.CutEnds))
	// from the foot up: strip, two columns, rows; the picture takes what is left
	foot := 16.0
	add(drawing.Ln(v(l, foot+7), v(r, foot+7), drawing.Visible))
	one, sz := drawing.Fit(drawing.ReadBold, pt(10.5), b.Cover.Foot[0], w-72)
	two, sz2 := drawing.Fit(drawing.Read, pt(9.5), b.Cover.Foot[1], w)
	add(&drawing.Text{At: v(l, foot+1), S: one, Face: drawing.ReadBold, Size: sz}, &drawing.Text{At: v(l, foot-5), S: two, Face: drawing.Read, Size: sz2, Ink: drawing.Pencil})
	rows := float64(len(b.Cover.Rows))
	rowHigh := 6.2
	if rows > 11 {
		rowHigh = max(4.6, 68/rows)
	}
	colsHigh := 12 + 13*float64(max(len(b.Cover.Start), len(b.Cover.Trust)))
	base := foot + 10 + colsHigh
	rowsTop := base + 4 + rows*rowHigh
	b.coverCols(add, l, w, base-4)
	// rows
	top := rowsTop + 8
	add(drawing.Ln(v(l, top+5), v(r, top+5), drawing.Visible), drawing.Lettered(v(l, top-1.5), 3.8, drawing.Left, b.Cover.HeadRows))
	if b.Cover.Steps {
		add(b.small(v(l+w*0.70, top-1.5), drawing.Right, b.say("at-the-bench")), b.small(v(l+w*0.87, top-1.5), drawing.Right, b.say("then-wait")))
	}
	add(b.small(v(r, top-1.5), drawing.Right, b.say("page")))
	yy := top - 3.5
	for i, row := range b.Cover.Rows {
		base := yy - rowHigh + rowHigh*0.28
		add(drawing.TickBox(v(l, base-0.3), min(3.8, rowHigh-1.4), false)...)
		add(&drawing.Text{At: v(l+9.5, base), S: itoa(i + 1), Face: drawing.ReadBold, Size: pt(min(11.5, rowHigh*2.1)), Anchor: drawing.Right})
		room := w - 30
		if b.Cover.Steps {
			room = w*0.56 - 12
		}
		text, sz := drawing.Fit(drawing.Read, pt(min(11.5, rowHigh*2.1)), row.Text, room)
		add(&drawing.Text{At: v(l+13, base), S: text, Face: drawing.Read, Size: sz})
		if row.Bench != "" {
			add(&drawing.Text{At: v(l+w*0.70, base), S: row.Bench, Face: drawing.Read, Size: pt(min(11, rowHigh*2.1)), Anchor: drawing.Right})
		}
		if row.Wait != "" {
			add(&drawing.Text{At: v(l+w*0.87, base), S: row.Wait, Face: drawing.ReadBold, Size: pt(min(11, rowHigh*2.1)), Anchor: drawing.Right})
		}
		if p, ok := s.first[row.Chapter]; ok {
			add(&drawing.Text{At: v(r, base), S: strconv.Itoa(front + p + 1), Face: drawing.Read, Size: pt(min(11, rowHigh*2.1)), Anchor: drawing.Right, Ink: drawing.Pencil})
		}
		yy -= rowHigh
		add(drawing.Ln(v(l, yy), v(r, yy), drawing.Rule))
	}
	// the picture, and the pencilled lines at its upper right
	py := y - 10
	for _, t := range b.Cover.Pencil {
		text, sz := drawing.Fit(drawing.Pencilled, pt(13), t, w*0.62)
		add(&drawing.Text{At: v(r, py), S: text, Face: drawing.Pencilled, Size: sz, Anchor: drawing.Right})
		py -= 7
	}
	if b.Cover.Whole != nil {
		area := geom.Box2{Min: v(l+2, top+9), Max: v(r-2, y-5)}
		bb := b.Cover.Whole.Bounds
		// an isometric picture leaves its upper right corner free: the pencilled lines reach into it a little
		area.Max.Y -= (y - py) * 0.45
		k := min(area.Size().X/bb.Size().X, area.Size().Y/bb.Size().Y, 1)
		if k > 0 {
			mid := area.Centre()
			mid.Y = area.Min.Y + bb.Size().Y*k/2 + max(0, (area.Size().Y-bb.Size().Y*k)/2)
			add(&drawing.Group{Scale: k, Place: geom.Place{At: mid.Sub(bb.Centre().Mul(k))}, Items: b.Cover.Whole.Items})
		}
	}
	if b.Stop {
		state, sz := drawing.Fit(drawing.ReadBold, pt(12), "STOP   "+b.State+": "+b.say("do-not-cut"), w-8)
		tw := drawing.TextWidth(drawing.ReadBold, sz, state) + 8
		add(drawing.Box(drawing.Style{Fill: drawing.Ink0}, v(l, y-10), v(l+tw, y-2.5)), &drawing.Text{At: v(l+tw/2, y-6.2), S: state, Face: drawing.ReadBold, Size: sz, Anchor: drawing.Centre, Middle: true, Ink: drawing.Paper})
	}
	return page
}

func (b *Book) small(at geom.Vec2, a drawing.Anchor, text string) drawing.Item {
	return &drawing.Text{At: at, S: text, Face: drawing.Read, Size: pt(9.5), Anchor: a, Ink: drawing.Pencil}
}

// coverCols sets what to mind at the left and what is taken on trust at the right, downwards from a height.
func (b *Book) coverCols(add func(...drawing.Item), l, w, top float64) {
	half := w/2 - 4
	add(drawing.Lettered(v(l, top-4), 3.5, drawing.Left, b.say("before-you-start")), drawing.Lettered(v(l+w/2+4, top-4), 3.5, drawing.Left, b.say("on-trust")))
	y := top - 8
	for _, c := range b.Cover.Start {
		y -= 12
		add(drawing.SafetySign(v(l+5.5, y+5), 10.5, c.Sign)...)
		head, sz := drawing.Fit(drawing.ReadBold, pt(10.5), c.Head, half-15)
		add(&drawing.Text{At: v(l+14, y+6.3), S: head, Face: drawing.ReadBold, Size: sz})
		for i, t := range drawing.Wrap(drawing.Read, pt(9.5), c.Body, half-15) {
			if i < 2 {
				add(&drawing.Text{At: v(l+14, y+2-4*float64(i)), S: t, Face: drawing.Read, Size: pt(9.5)})
			}
		}
	}
	y = top - 8
	for _, c := range b.Cover.Trust {
		y -= 13
		lines := drawing.Wrap(drawing.Read, pt(9.5), c[0], half)
		if len(lines) > 2 { // the last chapter has all of it
			lines = lines[:2]
			lines[1] += " …"
		}
		for i, t := range lines {
			add(&drawing.Text{At: v(l+w/2+4, y+6.8-4*float64(i)), S: t, Face: drawing.Read, Size: pt(9.5)})
		}
		body, sz := drawing.Fit(drawing.Read, pt(9), c[1], half)
		add(&drawing.Text{At: v(l+w/2+4, y+6.8-4*float64(len(lines))), S: body, Face: drawing.Read, Size: sz, Ink: drawing.Pencil})
	}
}
