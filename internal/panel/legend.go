package panel

import (
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// The usual lettering: capitals 3 mm high, 2 mm from the control. Common practice; whether it can be read from where
// the eyes are is another rule.
const (
	usualCap = 3
	usualGap = 2
	maxCap   = 100
)

// LineStep is the distance between the feet of two lines of lettering, in capital heights (ISO 3098-1 asks for 1.5 at
// least for lettering with accents).
const LineStep = 1.6

// How far letters reach beyond their capitals, in capital heights: tails below, accents above. Rounded up from the
// lettering face.
const (
	tail   = 0.35
	accent = 0.45
)

func (pl *placer) style() {
	l := pl.f.Face.Legend
	s := &pl.p.Legend
	s.Cap, s.Gap = usualCap, usualGap
	if pl.size("face.legend.cap", l.Cap, 0, maxCap, "The height of the letters") {
		s.Cap = l.Cap.MM()
	}
	if pl.sizeOr0("face.legend.gap", l.Gap, 0, maxCap, "The gap before the letters") {
		s.Gap = l.Gap.MM()
	}
	s.Place = or(l.Place, "below")
	s.By = or(l.By, "print")
	s.Ink = or(l.Ink, "dark")
}

// legend places a control's letters beside all that can be seen of it from the front, the sweep of a lever included: no
// position of the control hides them.
func (pl *placer) legend(c *Control, s seat) {
	l := &c.Legend
	l.Origin = c.Origin
	if pl.written(s.legend) {
		l.Origin.Path, l.Origin.Pos = s.legend, pl.pos(s.legend)
	}
	l.Cap, l.Place = pl.p.Legend.Cap, pl.p.Legend.Place
	gap := pl.p.Legend.Gap
	if own := s.rec.Legend; own != nil {
		l.Place = or(own.Place, l.Place)
		if pl.size(s.legend+".cap", own.Cap, 0, maxCap, "The height of the letters of "+c.Label) {
			l.Cap = own.Cap.MM()
		}
		if pl.sizeOr0(s.legend+".gap", own.Gap, 0, maxCap, "The gap before the letters of "+c.Label) {
			gap = own.Gap.MM()
		}
	}
	l.Place = or(s.letters, l.Place)
	l.Text = pl.legendOf(s)
	l.Lines = lines(l.Text)
	if len(l.Lines) == 0 {
		l.Text = ""
		return
	}
	l.Gap = gap
	l.Middle, l.Box = c.Beside(l.Place)
}

// Beside gives where a control's letters stand on a side of it: above, below, left or right; their middle and the box round
// them.
func (c *Control) Beside(place string) (Pt, geom.Box2) {
	l := &c.Legend
	w, h := lettersSize(l.Lines, l.Cap)
	b := c.FrontBounds()
	m := c.At.Vec2
	switch place {
	case "above":
		m.Y = b.Max.Y + l.Gap + h/2
	case "left":
		m.X = b.Min.X - l.Gap - w/2
	case "right":
		m.X = b.Max.X + l.Gap + w/2
	default:
		m.Y = b.Min.Y - l.Gap - h/2
	}
	return Pt{m}, lettersBox(l.Lines, l.Cap, m, 0)
}

// FrontBounds is the box round all that can be seen of a control from the front: what stands there, sweep and knob
// included but not tools, and the holes that go through the sheet.
func (c *Control) FrontBounds() geom.Box2 {
	b := geom.EmptyBox2().Extend(c.At.Vec2)
	for _, f := range c.Front {
		if f.Role != RoleTool {
			b = b.Union(f.Outline.Bounds())
		}
	}
	for _, k := range c.Cuts {
		if k.Blind == 0 {
			b = b.Union(k.Outline.Bounds())
		}
	}
	return b
}

// lines parts a text into lines; a text of nothing but space has none.
func lines(text string) []string {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	s := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i := range s {
		s[i] = strings.TrimSpace(s[i])
	}
	return s
}

// lettersSize gives the width of the longest line and the height from the foot of the last line to the top of the first
// line's capitals.
func lettersSize(lines []string, capital float64) (w, h float64) {
	size := drawing.CapSize(drawing.Lettering, capital)
	for _, s := range lines {
		w = max(w, drawing.TextWidth(drawing.Lettering, size, s))
	}
	return w, capital * (1 + LineStep*float64(len(lines)-1))
}

// lettersBox gives the upright box round turned lettering whose capitals have their middle at m, with room for tails
// below the last line and accents above the first, where it has any.
func lettersBox(lines []string, capital float64, m geom.Vec2, turn float64) geom.Box2 {
	w, h := lettersSize(lines, capital)
	lo, hi := -h/2, h/2
	if strings.ContainsAny(lines[len(lines)-1], "gjpqy,;Qçşţąę()[]{}|_/\\") {
		lo -= tail * capital
	}
	if strings.ContainsFunc(lines[0], func(r rune) bool { return r >= 0xC0 && r != '×' && r != '÷' || strings.ContainsRune("()[]{}|/\\", r) }) {
		hi += accent * capital
	}
	b := geom.EmptyBox2()
	at := geom.Place{At: m, Turn: turn}
	for _, p := range []geom.Vec2{{X: -w / 2, Y: lo}, {X: w / 2, Y: lo}, {X: w / 2, Y: hi}, {X: -w / 2, Y: hi}} {
		b = b.Extend(at.Apply(p))
	}
	return b
}

// texts places the lettering that belongs to no control.
func (pl *placer) texts() {
	for _, name := range pl.f.Face.Texts.Keys {
		t := pl.f.Face.Texts.Get(name)
		path := "face.texts." + name
		x := Text{
			Name: name, Text: t.Text, Lines: lines(t.Text), Middle: Pt{vec(t.At)}, Cap: pl.p.Legend.Cap, Turn: norm(float64(t.Turn)),
			Origin: Origin{Name: quoted(strings.Join(strings.Fields(t.Text), " ")), Path: path, Pos: pl.pos(path)},
		}
		if len(x.Lines) == 0 {
			continue
		}
		if pl.size(path+".cap", t.Cap, 0, maxCap, "The height of the letters of "+name) {
			x.Cap = t.Cap.MM()
		}
		if !pl.written(path + ".at") {
			pl.missing(name, path, "The text "+name+" has no place yet.", "Write at: [across, up], the middle of its capitals.")
			continue
		}
		x.Origin.MovePath, x.Origin.MoveBase = path+".at", vec(t.At)
		x.Box = lettersBox(x.Lines, x.Cap, x.Middle.Vec2, x.Turn)
		pl.p.Texts = append(pl.p.Texts, x)
	}
}
