package book

import (
	"math"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// Measures of a page, mm.
const (
	leftX   = 18.0 // room to punch
	rightX  = 14.0
	topY    = 24.0
	footY   = 18.0
	bodyPt  = 10.5
	smallPt = 9.0
	step    = 4.75 // from line to line
	pad     = 0.6  // over and under the lines of a row
)

func v(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }

func pt(p float64) float64 { return p * 25.4 / 72 }

// setter sets blocks on pages, from top to bottom.
type setter struct {
	b     *Book
	w, h  float64
	pages []sheet
	items []drawing.Item
	y     float64
	name  string // of the chapter, for the running head
	again func() // heads of the table being set, for the top of the next page
	on    map[string][]int
	first map[string]int // page on which a chapter begins
	sec   map[string]int
	used  bool // something stands on the page
}

// sheet is a page that was set.
type sheet struct {
	chapter string
	begins  bool
	items   []drawing.Item
}

func newSetter(b *Book) *setter {
	s := &setter{b: b, w: 210, h: 297, on: map[string][]int{}, first: map[string]int{}, sec: map[string]int{}}
	if b.Letter {
		s.w, s.h = 215.9, 279.4
	}
	return s
}

func (s *setter) left() float64  { return leftX }
func (s *setter) right() float64 { return s.w - rightX }
func (s *setter) wide() float64  { return s.right() - s.left() }
func (s *setter) low() float64   { return footY + 4 }

// page is the number of the page being set, counted from 0.
func (s *setter) page() int { return len(s.pages) }

func (s *setter) open() { s.items, s.y, s.used = nil, s.h-topY, false }

func (s *setter) close(begins bool) {
	s.pages = append(s.pages, sheet{chapter: s.name, items: s.items, begins: begins})
}

// room turns the page when less than h is left.
func (s *setter) room(h float64) {
	if s.y-h >= s.low() || !s.used {
		return
	}
	s.turn()
}

func (s *setter) turn() {
	s.close(false)
	s.open()
	if s.again != nil {
		s.again()
	}
}

func (s *setter) add(items ...drawing.Item) { s.items = append(s.items, items...); s.used = true }

// meet notes that a control is told of on this page.
func (s *setter) meet(names []string) {
	for _, n := range names {
		ps := s.on[n]
		if len(ps) == 0 || ps[len(ps)-1] != s.page() {
			s.on[n] = append(ps, s.page())
		}
	}
}

func (s *setter) chapter(c *Chapter) {
	s.name = c.Title
	s.open()
	s.first[c.ID] = s.page()
	s.y -= 6
	s.add(drawing.Lettered(v(s.left(), s.y), 6, drawing.Left, c.Title))
	s.y -= 3
	s.add(drawing.Ln(v(s.left(), s.y), v(s.right(), s.y), drawing.Edge))
	s.y -= 2
	if c.Use != "" {
		s.para(Para{Text: c.Use, Quiet: true})
	}
	for i, b := range c.Blocks {
		if _, ok := b.(Heading); ok && s.used {
			s.room(s.together(c.Blocks[i:]))
		}
		s.block(b)
	}
	s.close(false)
}

// together is how much room a heading wants so that it does not stand alone: up to the drawing, or the first rows, that follow it.
func (s *setter) together(bs []Block) float64 {
	high := 14.0
	for _, b := range bs[1:] {
		switch x := b.(type) {
		case Para:
			high += step*float64(len(drawing.Wrap(drawing.Read, pt(bodyPt), x.Text, min(s.wide(), 168)))) + 1.6
		case Figure:
			high += s.tall(x)
			if high > s.h-topY-s.low() {
				return s.h - topY - s.low()
			}
			return high
		case Table:
			return high + 24
		default:
			return high + 16
		}
		if high > 90 {
			break
		}
	}
	return high
}

// leastFree is how much smaller a drawing without a scale is set at most, so that it need not part from its heading.
const leastFree = 0.75

// tall is how much room a drawing takes.
func (s *setter) tall(f Figure) float64 {
	if f.Scene == nil {
		return 0
	}
	size, over := f.Scene.Bounds.Size(), 3.0
	if f.View != drawing.NoView {
		over = 13
	}
	k := min(1, s.wide()/size.X, (s.h-topY-s.low()-over-9)/size.Y)
	return size.Y*k + over + 9
}

func (s *setter) block(b Block) {
	switch x := b.(type) {
	case Heading:
		if x.New && s.used {
			s.turn()
		}
		s.heading(x)
	case Para:
		s.para(x)
	case List:
		s.list(x)
	case Table:
		s.table(x)
	case Figure:
		s.figure(x)
	case Finding:
		s.finding(x)
	case Signs:
		s.signs(x.Of)
	case Write:
		for range x.Lines {
			s.room(9)
			s.y -= 9
			s.add(drawing.Ln(v(s.left(), s.y), v(s.right(), s.y), drawing.Rule))
		}
		s.y -= 3
	}
}

func (s *setter) heading(h Heading) {
	s.room(26)
	if h.ID != "" {
		s.sec[h.ID] = s.page()
	}
	s.y -= 8
	text, size := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, 3.5), h.Text, s.wide())
	s.add(&drawing.Text{At: v(s.left(), s.y), S: text, Face: drawing.Lettering, Size: size})
	s.y -= 2.5
}

func (s *setter) para(p Para) {
	face, size, ink := drawing.Read, pt(bodyPt), drawing.Ink0
	if p.Quiet {
		ink = drawing.Pencil
	}
	if p.Bold {
		face = drawing.ReadBold
	}
	if p.Mono {
		face, size = drawing.FileFace, pt(smallPt)
	}
	for _, t := range drawing.Wrap(face, size, p.Text, min(s.wide(), 168)) {
		s.room(step)
		s.y -= step
		s.add(&drawing.Text{At: v(s.left(), s.y), S: t, Face: face, Size: size, Ink: ink})
	}
	s.y -= 1.6
}

func (s *setter) list(l List) {
	const in = 7.5
	for i, text := range l.Items {
		lines := drawing.Wrap(drawing.Read, pt(bodyPt), text, min(s.wide()-in, 162))
		s.room(float64(len(lines))*step + 1.2)
		s.y -= 0.8
		for k, t := range lines {
			s.y -= step
			if k == 0 {
				switch {
				case l.Tick:
					s.add(drawing.TickBox(v(s.left(), s.y-0.4), 3.6, false)...)
				case l.Number:
					s.add(drawing.Txt(v(s.left()+4.5, s.y), drawing.ReadBold, pt(bodyPt), drawing.Right, itoa(i+1)))
				default:
					s.add(drawing.Txt(v(s.left()+1.5, s.y), drawing.Read, pt(bodyPt), drawing.Left, "–"))
				}
			}
			s.add(drawing.Txt(v(s.left()+in, s.y), drawing.Read, pt(bodyPt), drawing.Left, t))
		}
	}
	s.y -= 2
}

// figure sets a drawing over its words; a page is begun when it does not fit on what is left.
func (s *setter) figure(f Figure) {
	if f.Scene == nil {
		return
	}
	size := f.Scene.Bounds.Size()
	over := 3.0
	if f.View != drawing.NoView {
		over = 13
	}
	most := s.h - topY - s.low() - over - 9
	k := min(1, s.wide()/size.X, most/size.Y)
	if rest := (s.y - s.low() - over - 9) / size.Y; f.Free && s.used && rest < k && rest >= leastFree*k {
		k = rest
	}
	high := size.Y*k + over + 9
	s.room(min(high, s.h-topY-s.low()))
	s.meet(f.Of)
	s.y -= over
	if f.View != drawing.NoView {
		s.add(drawing.FaceMark(v(s.left()+3, s.y+2.5), f.View == drawing.RearView)...)
		s.add(drawing.Lettered(v(s.left()+11, s.y+2.5), 4.2, drawing.Left, f.View.Word()))
		if f.NoScale != "" {
			s.add(&drawing.Text{At: v(s.right(), s.y+2.5), S: f.NoScale, Face: drawing.Read, Size: pt(smallPt), Anchor: drawing.Right, Ink: drawing.Pencil})
		}
	}
	x := s.left() + (s.wide()-size.X*k)/2
	s.y -= size.Y * k
	at := v(x, s.y).Sub(f.Scene.Bounds.Min.Mul(k))
	s.add(&drawing.Group{Scale: k, Place: geom.Place{At: at}, Items: f.Scene.Items, Note: f.Alt})
	s.y -= 4.6
	title := f.Title
	if f.View == drawing.NoView && f.NoScale != "" {
		title += "  " + f.NoScale
	}
	if title != "" {
		text, sz := drawing.Fit(drawing.Pencilled, pt(10.5), title, s.wide())
		s.add(&drawing.Text{At: v(s.left(), s.y), S: text, Face: drawing.Pencilled, Size: sz, Ink: drawing.Pencil})
	}
	s.y -= 4
}

func (s *setter) signs(cs []Caution) {
	for _, c := range cs {
		s.room(13)
		s.y -= 12.5
		x := s.left()
		if c.Sign != "" {
			s.add(drawing.SafetySign(v(x+5.5, s.y+5), 11, c.Sign)...)
		}
		lines := drawing.Wrap(drawing.Read, pt(9.5), c.Body, s.wide()-16)
		s.add(drawing.Txt(v(x+15, s.y+6.4), drawing.ReadBold, pt(bodyPt), drawing.Left, c.Head))
		for i, t := range lines {
			if i < 2 {
				s.add(drawing.Txt(v(x+15, s.y+2-float64(i)*4), drawing.Read, pt(9.5), drawing.Left, t))
			}
		}
	}
	s.y -= 3
}

// finding sets a pencil note: its mark, what is so, what follows, what to do, and the have/want ruler.
func (s *setter) finding(x Finding) {
	f := x.F
	const in = 9.0
	defer s.meet(x.Of)
	wide := s.wide() - in
	type line struct {
		face drawing.Face
		size float64
		ink  drawing.Ink
		s    string
	}
	var lines []line
	set := func(face drawing.Face, size float64, ink drawing.Ink, text string) {
		if text == "" {
			return
		}
		for _, t := range drawing.Wrap(face, pt(size), text, wide) {
			lines = append(lines, line{face, pt(size), ink, t})
		}
	}
	set(drawing.ReadBold, bodyPt, drawing.Ink0, f.Head)
	set(drawing.Read, bodyPt, drawing.Ink0, f.Body)
	for _, fix := range f.Fixes[:min(1, len(f.Fixes))] {
		set(drawing.Read, bodyPt, drawing.Ink0, "→ "+fix.Say+".")
	}
	set(drawing.Read, smallPt, drawing.Pencil, f.Why)
	if f.Kept != "" {
		set(drawing.Read, smallPt, drawing.Pencil, "✓ "+f.Kept)
	}
	high := float64(len(lines))*step + 3
	if f.Measure != nil {
		high += 17
	}
	s.room(min(high, s.h-topY-s.low()))
	s.y -= 1.5
	s.add(drawing.Mark(v(s.left()+2.6, s.y-step+1.4), 5, f.Severity)...)
	for i, l := range lines {
		if i > 0 {
			s.room(step)
		}
		s.y -= step
		s.add(&drawing.Text{At: v(s.left()+in, s.y), S: l.s, Face: l.face, Size: l.size, Ink: l.ink})
	}
	if f.Measure != nil {
		s.room(17)
		s.add(s.b.ruler(v(s.left()+in, s.y-9.5), *f.Measure)...)
		s.y -= 16
	}
	s.y -= 2.5
	s.add(drawing.Ln(v(s.left()+in, s.y+0.8), v(s.right(), s.y+0.8), drawing.Rule))
}

func round1(x float64) float64 { return math.Round(x*10) / 10 }
