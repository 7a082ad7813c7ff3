package book

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html"
	"io/fs"
	"math"
	"strings"
	"sync"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/terminal"
	"knobwright/internal/words"
)

//go:embed book.css
var sheetOfStyle string

// fonts are the faces that the page brings along, as CSS.
var fonts = sync.OnceValue(func() string {
	var b strings.Builder
	for _, f := range []struct{ family, file, weight string }{
		{"Bench", "AtkinsonHyperlegibleNext_400Regular.ttf", "400"}, {"Bench", "AtkinsonHyperlegibleNext_700Bold.ttf", "700"}, {"Drawn", "routed-gothic.ttf", "400"},
	} {
		data, err := fs.ReadFile(drawing.FontFiles(), f.file)
		if err != nil {
			panic(err) // embedded
		}
		fmt.Fprintf(&b, "@font-face{font-family:%s;font-weight:%s;font-display:swap;src:url(data:font/ttf;base64,%s) format(\"truetype\")}\n", f.family, f.weight, base64.StdEncoding.EncodeToString(data))
	}
	return b.String()
})

// page writes the book as HTML.
type page struct {
	b   *Book
	w   bytes.Buffer
	n   int // figures so far
	err error
	ids map[string]bool
	at  map[string][]string // sections that tell of a control, in order
	sec string              // section being written
	say map[string]string   // titles of sections
}

// HTML writes the book as one file: nothing is loaded from elsewhere, drawings stand in it as SVG, and it works without scripts.
func (b *Book) HTML() ([]byte, error) {
	p := &page{b: b, ids: map[string]bool{}, at: map[string][]string{}, say: map[string]string{}}
	p.f("<!DOCTYPE html>\n<html lang=\"%s\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n", b.Lang)
	p.f("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:\">\n")
	p.f("<title>%s: %s</title>\n<style>\n%s%s</style>\n</head>\n<body>\n", esc(b.say("title")), esc(b.whole()), fonts(), sheetOfStyle)
	p.f("<a class=\"skip\" href=\"#contents\">%s</a>\n", esc(b.say("skip")))
	p.cover()
	p.f("<nav id=\"contents\" aria-labelledby=\"contents-title\">\n<h2 id=\"contents-title\">%s</h2>\n<ol>\n", esc(b.say("contents")))
	for _, c := range b.Chapters {
		p.f("<li><a href=\"#%s\">%s</a></li>\n", id(c.ID), esc(c.Title))
	}
	p.f("<li><a href=\"#index\">%s</a></li>\n</ol>\n", esc(b.say("index")))
	if b.Lang != "en" {
		p.f("<p class=\"quiet\">%s</p>\n", esc(b.say("english-stays")))
	}
	p.f("</nav>\n<main>\n")
	for _, c := range b.Chapters {
		p.sec = id(c.ID)
		p.say[p.sec] = c.Title
		p.f("<section id=\"%s\" aria-labelledby=\"%s-title\">\n<h2 id=\"%s-title\">%s</h2>\n", p.sec, p.sec, p.sec, esc(c.Title))
		if c.Use != "" {
			p.f("<p class=\"use\">%s</p>\n", esc(c.Use))
		}
		for _, x := range c.Blocks {
			p.block(x)
		}
		p.f("<p class=\"up\"><a href=\"#contents\">%s</a></p>\n</section>\n", esc(b.say("contents")))
	}
	p.index()
	p.f("</main>\n<footer><p>%s</p><p class=\"quiet\">%s</p></footer>\n</body>\n</html>\n", esc(b.Cover.Foot[0]), esc(b.Cover.Foot[1]))
	return p.w.Bytes(), p.err
}

func (p *page) f(format string, a ...any) { fmt.Fprintf(&p.w, format, a...) }

// esc makes any text safe to stand in HTML: markup is quoted, control characters and those that turn the direction of writing are dropped.
func esc(s string) string { return html.EscapeString(terminal.Clean(s)) }

// id makes a name for an anchor.
func id(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 32
		}
		return '-'
	}, s)
}

func (p *page) cover() {
	b := p.b
	p.f("<header>\n<p class=\"kind\">%s</p>\n<h1>%s", esc(b.say("title")), esc(b.Title))
	if b.Sub != "" {
		p.f("<span class=\"sub\"> %s</span>", esc(b.Sub))
	}
	p.f("</h1>\n")
	if b.Stop {
		p.f("<p class=\"stop\"><strong>STOP</strong> %s: %s</p>\n", esc(b.State), esc(b.say("do-not-cut")))
	}
	p.f("<p class=\"pencil\">")
	for i, t := range b.Cover.Pencil {
		if i > 0 {
			p.f("<br>")
		}
		p.f("%s", esc(t))
	}
	p.f("</p>\n")
	if b.Cover.Whole != nil {
		p.figure(Figure{ID: "whole", Alt: b.say("whole-alt"), Scene: b.Cover.Whole})
	}
	p.f("<h2>%s</h2>\n<div class=\"scroll\"><table class=\"rows\">\n<thead><tr><th scope=\"col\">%s</th><th scope=\"col\">%s</th>", esc(b.Cover.HeadRows), esc(b.say("number")), esc(b.say("what")))
	if b.Cover.Steps {
		p.f("<th scope=\"col\" class=\"r\">%s</th><th scope=\"col\" class=\"r\">%s</th>", esc(b.say("at-the-bench")), esc(b.say("then-wait")))
	}
	p.f("</tr></thead>\n<tbody>\n")
	for i, r := range b.Cover.Rows {
		p.f("<tr><td>%d</td><td><a href=\"#%s\">%s</a></td>", i+1, id(r.Chapter), esc(r.Text))
		if b.Cover.Steps {
			p.f("<td class=\"r\">%s</td><td class=\"r b\">%s</td>", esc(r.Bench), esc(r.Wait))
		}
		p.f("</tr>\n")
	}
	p.f("</tbody></table></div>\n<h2>%s</h2>\n", esc(b.say("before-you-start")))
	p.signs(b.Cover.Start)
	p.f("<h2>%s</h2>\n<ul>\n", esc(b.say("on-trust")))
	for _, t := range b.Cover.Trust {
		p.f("<li>%s <span class=\"quiet\">%s</span></li>\n", esc(t[0]), esc(t[1]))
	}
	p.f("</ul>\n</header>\n")
}

func (p *page) meet(names []string) {
	for _, n := range names {
		if have := p.at[n]; len(have) == 0 || have[len(have)-1] != p.sec {
			p.at[n] = append(have, p.sec)
		}
	}
}

func (p *page) block(b Block) {
	en := func(x bool) string {
		if x && p.b.Lang != "en" {
			return " lang=\"en\""
		}
		return ""
	}
	switch x := b.(type) {
	case Heading:
		p.f("<h3")
		if x.ID != "" {
			p.sec = id(x.ID)
			if p.ids[p.sec] {
				p.err = fmt.Errorf("two sections are called %s", p.sec)
			}
			p.ids[p.sec] = true
			p.say[p.sec] = x.Text
			p.f(" id=\"%s\"", p.sec)
		}
		p.f(">%s</h3>\n", esc(x.Text))
	case Para:
		class := ""
		switch {
		case x.Mono:
			p.f("<p%s><code>%s</code></p>\n", en(x.En), esc(x.Text))
			return
		case x.Quiet:
			class = " class=\"quiet\""
		case x.Bold:
			class = " class=\"bold\""
		}
		p.f("<p%s%s>%s</p>\n", class, en(x.En), esc(x.Text))
	case List:
		tag := "ul"
		if x.Number {
			tag = "ol"
		}
		class := ""
		if x.Tick {
			class = " class=\"tick\""
		}
		p.f("<%s%s>\n", tag, class)
		for i, t := range x.Items {
			box := ""
			if x.Tick {
				box = "<span class=\"box\" aria-hidden=\"true\"></span>"
			}
			p.f("<li%s>%s%s</li>\n", en(x.En && !x.told[i]), box, esc(t))
		}
		p.f("</%s>\n", tag)
	case Table:
		p.table(x)
	case Figure:
		p.figure(x)
	case Finding:
		p.meet(x.Of)
		p.finding(x)
	case Signs:
		p.signs(x.Of)
	case Write:
		for range x.Lines {
			p.f("<div class=\"write\"></div>\n")
		}
	}
}

func (p *page) table(t Table) {
	if len(t.Rows) == 0 {
		return
	}
	p.f("<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"%s\">\n<table", esc(t.Name))
	if t.ID != "" {
		p.f(" id=\"t-%s\"", id(t.ID))
	}
	p.f(">\n<thead><tr>")
	for _, c := range t.Cols {
		head := c.Head
		switch {
		case c.Tick && head == "":
			p.f("<th scope=\"col\"><span class=\"hide\">%s</span></th>", esc(p.b.say("tick")))
			continue
		case head == "":
			p.f("<th scope=\"col\"><span class=\"hide\">%s</span></th>", esc(p.b.say("note")))
			continue
		}
		p.f("<th scope=\"col\"%s>%s</th>", classOf(Col{Right: c.Right}), esc(head))
	}
	p.f("</tr></thead>\n<tbody>\n")
	for _, r := range t.Rows {
		if r.Band != "" {
			p.f("<tr class=\"band\"><th scope=\"rowgroup\" colspan=\"%d\">%s", len(t.Cols), esc(r.Band))
			if r.Note != "" {
				p.f(" <span class=\"quiet\">%s</span>", esc(r.Note))
			}
			p.f("</th></tr>\n")
			continue
		}
		p.meet(r.Of)
		if r.Under != "" {
			p.f("<tr class=\"over\">")
		} else {
			p.f("<tr>")
		}
		for j, c := range t.Cols {
			cell := ""
			if j < len(r.Cells) {
				cell = r.Cells[j]
			}
			switch {
			case c.Tick && cell != "":
				p.f("<td><span class=\"box\" aria-hidden=\"true\"></span></td>")
			case c.Write:
				p.f("<td class=\"line\"></td>")
			default:
				lang := ""
				if c.En && !r.told[j] && p.b.Lang != "en" && cell != "" {
					lang = " lang=\"en\""
				}
				p.f("<td%s%s>%s</td>", classOf(c), lang, esc(cell))
			}
		}
		p.f("</tr>\n")
		if r.Under != "" {
			p.f("<tr class=\"under\"><td colspan=\"%d\">%s</td></tr>\n", len(t.Cols), esc(r.Under))
		}
	}
	p.f("</tbody></table></div>\n")
}

func classOf(c Col) string {
	var k []string
	for _, x := range []struct {
		on   bool
		name string
	}{{c.Right, "r"}, {c.Bold, "b"}, {c.Quiet, "q"}, {c.Small, "s"}} {
		if x.on {
			k = append(k, x.name)
		}
	}
	if len(k) == 0 {
		return ""
	}
	return " class=\"" + strings.Join(k, " ") + "\""
}

// figure writes a drawing. What is wide and dense may be shifted sideways on a small screen.
func (p *page) figure(f Figure) {
	if f.Scene == nil {
		return
	}
	p.meet(f.Of)
	p.n++
	alt := f.Alt
	if alt == "" {
		alt = f.Title
	}
	svg, err := inlineSVG(f.Scene, fmt.Sprintf("f%d-", p.n), alt)
	if err != nil {
		p.err = err
		return
	}
	p.f("<figure")
	if f.ID != "" {
		p.f(" id=\"fig-%s\"", id(f.ID))
	}
	p.f(">\n")
	if f.View != drawing.NoView {
		p.n++
		mark := &drawing.Scene{Bounds: geom.Box2{Min: v(-5, -6), Max: v(5, 6)}, Items: drawing.FaceMark(v(0, 0), f.View == drawing.RearView)}
		svg, err := inlineSVG(mark, fmt.Sprintf("f%d-", p.n), f.View.Word())
		if err != nil {
			p.err = err
		}
		p.f("<p class=\"view\">%s%s", bytes.ReplaceAll(svg, []byte("role=\"img\" aria-label=\""+f.View.Word()+"\""), []byte("aria-hidden=\"true\"")), f.View.Word())
		if f.NoScale != "" {
			p.f(" <span class=\"quiet\">%s</span>", esc(f.NoScale))
		}
		p.f("</p>\n")
	}
	dense := ""
	if f.Scene.Bounds.Size().X > 130 && len(svg) > 20000 && f.ID != "whole" {
		dense = " dense"
	}
	p.f("<div class=\"scroll%s\" tabindex=\"0\" role=\"group\" aria-label=\"%s\">\n", dense, esc(alt))
	p.w.Write(svg)
	p.f("</div>\n")
	if f.Title != "" {
		title := f.Title
		if f.View == drawing.NoView && f.NoScale != "" {
			title += " " + f.NoScale
		}
		p.f("<figcaption>%s</figcaption>\n", esc(title))
	}
	p.f("</figure>\n")
}

// inlineSVG is a scene as SVG to stand in a page: text stays text.
func inlineSVG(s *drawing.Scene, prefix, alt string) ([]byte, error) {
	svg, err := drawing.SVGWith(&drawing.Scene{Bounds: s.Bounds, Layers: s.Layers, Items: s.Items}, drawing.SVGOptions{Prefix: prefix, Words: true})
	if err != nil {
		return nil, err
	}
	size := s.Bounds.Size()
	old, rest, _ := bytes.Cut(svg, []byte(">\n"))
	_ = old
	var b bytes.Buffer
	fmt.Fprintf(&b, "<svg role=\"img\" aria-label=\"%s\" viewBox=\"0 0 %.4g %.4g\" style=\"max-width:%.0fmm\" fill=\"none\">\n", esc(alt), size.X, size.Y, math.Ceil(size.X))
	b.Write(bytes.ReplaceAll(rest, []byte("xlink:href="), []byte("href=")))
	return b.Bytes(), nil
}

func (p *page) signs(cs []Caution) {
	if len(cs) == 0 {
		return
	}
	p.f("<ul class=\"signs\">\n")
	for _, c := range cs {
		p.f("<li>")
		if c.Sign != "" {
			p.n++
			s := &drawing.Scene{Bounds: geom.Box2{Min: v(-6, -6), Max: v(6, 6)}, Items: drawing.SafetySign(v(0, 0), 11, c.Sign)}
			svg, err := inlineSVG(s, fmt.Sprintf("f%d-", p.n), p.b.say("sign-"+string(c.Sign)))
			if err != nil {
				p.err = err
			}
			p.w.Write(svg)
		}
		p.f("<span><b>%s</b> %s</span></li>\n", esc(c.Head), esc(c.Body))
	}
	p.f("</ul>\n")
}

func (p *page) finding(x Finding) {
	f := x.F
	en := func(i int) string {
		if p.b.Lang != "en" && x.En[i] {
			return " lang=\"en\""
		}
		return ""
	}
	p.f("<div class=\"note %s\">\n<p><b class=\"word\">%s</b> <b%s>%s</b> <span%s>%s</span></p>\n", f.Severity, esc(p.b.tell(strings.ToUpper(f.Severity.String()))), en(0), esc(f.Head), en(1), esc(f.Body))
	if f.Measure != nil {
		p.n++
		s := &drawing.Scene{Bounds: geom.Box2{Min: v(-6, -7), Max: v(112, 8.5)}, Items: p.b.ruler(v(0, 0), *f.Measure)}
		if svg, err := inlineSVG(s, fmt.Sprintf("f%d-", p.n), p.b.haveWant(f.Measure)); err == nil {
			p.w.Write(svg)
		}
	}
	for _, fix := range f.Fixes[:min(1, len(f.Fixes))] {
		p.f("<p%s>&rarr; %s.</p>\n", en(2), esc(fix.Say))
	}
	if f.Why != "" {
		p.f("<p class=\"quiet\"%s>%s</p>\n", en(3), esc(f.Why))
	}
	if f.Kept != "" {
		p.f("<p class=\"quiet\">%s</p>\n", esc(f.Kept))
	}
	p.f("</div>\n")
}

// ruler is the have/want ruler in the book's words.
func (b *Book) ruler(at geom.Vec2, m finding.Measure) []drawing.Item {
	items := drawing.HaveWant(at, 88, m)
	if b.Lang == words.English {
		return items
	}
	for _, it := range items {
		if t, ok := it.(*drawing.Text); ok {
			for _, w := range []string{"have", "want"} {
				if rest, ok := strings.CutPrefix(t.S, w+" "); ok {
					t.S = b.say(w) + " " + rest
				}
			}
		}
	}
	return items
}

// haveWant says a ruler in words.
func (b *Book) haveWant(m *finding.Measure) string {
	unit := m.Unit
	if unit != "" {
		unit = " " + unit
	}
	n := func(v float64) string { return fmt.Sprintf("%.4g%s", v, unit) }
	switch m.Sense {
	case finding.AtMost:
		return b.say("have-most", "have", n(m.Have), "want", n(m.Want))
	case finding.Between:
		return b.say("have-between", "have", n(m.Have), "want", fmt.Sprintf("%.4g", m.Want), "most", n(m.WantMax))
	}
	return b.say("have-least", "have", n(m.Have), "want", n(m.Want))
}

func (p *page) index() {
	b := p.b
	p.f("<section id=\"index\" aria-labelledby=\"index-title\">\n<h2 id=\"index-title\">%s</h2>\n<dl class=\"index\">\n", esc(b.say("index")))
	for _, n := range b.Names {
		p.f("<div><dt>%s</dt><dd>", esc(n.Label))
		for i, s := range p.at[n.Control] {
			if i > 0 {
				p.f(", ")
			}
			p.f("<a href=\"#%s\">%s</a>", s, esc(p.say[s]))
		}
		if len(p.at[n.Control]) == 0 {
			p.f("&ndash;")
		}
		p.f("</dd></div>\n")
	}
	p.f("</dl>\n</section>\n")
}
