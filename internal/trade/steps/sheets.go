package steps

import (
	"strings"

	"knobwright/internal/panel"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/words"
)

// sheet is one board that is drilled: a face, or a board of the box.
type sheet struct {
	slug string // face, upper, back ...
	p    *panel.Panel
	d    drilling.Result
	face bool // it is no board of the box: covered, lettered and mounted by itself
}

// name gives the id of a step about the sheet.
func (s sheet) id(step string) string { return step + "-" + s.slug }

// on gives the board of a step, "" for the face.
func (s sheet) on() string {
	if s.slug == "face" {
		return ""
	}
	return s.slug
}

// controls names what sits in the sheet.
func (s sheet) controls() (out []string) {
	for _, c := range s.p.Controls {
		out = append(out, c.Name)
	}
	return out
}

func (s sheet) kind() string { return s.p.Stack.Sheet.Kind }

func plastic(kind string) bool { return kind == "acrylic" || kind == "polycarbonate" || kind == "abs" }
func metal(kind string) bool   { return kind == "aluminium" || kind == "steel" }
func wood(kind string) bool    { return kind == "plywood" || kind == "mdf" || kind == "hardboard" }

// cut is the id of the step that makes the board.
func (s sheet) cut() string {
	if s.face {
		return s.id("cut")
	}
	return "cut-boards"
}

// openings counts what can be made in the sheet.
func (s sheet) openings() (n int) {
	for _, h := range s.d.Holes {
		if len(h.Jobs) > 0 {
			n++
		}
	}
	return n
}

// legends counts the lines of lettering on the sheet.
func (s sheet) legends() int {
	n := len(s.p.Texts)
	for _, c := range s.p.Controls {
		if c.Legend.Text != "" {
			n++
		}
	}
	return n
}

// drill makes the steps from the template to the test-fit.
func (m *maker) drill(s sheet) {
	n := s.openings()
	if n == 0 {
		return
	}
	name := slugName(s.slug)
	t := m.add(s.id("template"), "drill", "template", "board", name).do("template.do").do("template.register").do("template.centres", "n", n)
	if plastic(s.kind()) {
		t.do("template.plastic")
	}
	t.Minutes = m.per("template") + float64(n)*m.per("centre")
	t.Board, t.Papers = s.on(), []string{"template.pdf"}
	t.after("print", "bars").after(s.cut(), "cut-first")

	d := m.add(s.id("drill"), "drill", "drill", "board", name, "n", n).do("drill.do", "bits", len(s.d.Bits))
	last := ""
	for _, j := range s.d.Jobs {
		kind, bit := doing(j)
		d.Minutes += m.per(kind)
		switch kind {
		case "drill-file":
		case "drill-chain":
			d.Minutes += float64(max(len(j.Points), 1)-1) * m.per("drill-chain")
			fallthrough
		default:
			if !m.Panel.Press {
				d.Minutes += m.per("drill-by-hand")
			}
		}
		if k := string(j.Bit.Kind) + j.Bit.Name; j.Bit.Name != "" && k != last {
			d.Minutes += m.per("change-bit")
			last = k
		}
		d.item(itoa(j.N), "drill.item."+bit, "hole", holeName(s.d, j), "size", m.mm(bitSize(s.d, j)), "n", max(len(j.Points), 1))
	}
	if wood(s.kind()) {
		d.do("drill.backing").mind("dust", "dust-wood")
	}
	if plastic(s.kind()) {
		d.do("drill.plastic")
	}
	d.Board, d.Papers, d.Controls = s.on(), []string{"drilling.pdf", "template.pdf"}, s.controls()
	d.mind("eyes", "eyes").mind("clamp", "clamp-drill")
	d.noReturn("drill")
	d.after(t.ID, "marked").after("measure", "measured").after("trial", "tried")

	b := m.add(s.id("deburr"), "drill", "deburr", "board", name).do("deburr.do").do("deburr.size")
	b.Minutes = float64(n) * m.per("deburr-hole")
	b.Board = s.on()
	b.after(d.ID, "drilled")
	if metal(s.kind()) {
		b.mind("blade", "sharp-edges")
	}

	f := m.add(s.id("fit"), "drill", "fit", "board", name).do("fit.do")
	for _, c := range s.p.Controls {
		f.item(c.Name, "fit.item", "control", c.Label, "part", partTitle(c))
		f.Minutes += m.per("try-part")
	}
	if len(f.Items) == 0 {
		f.do("fit.openings")
	}
	f.Minutes = max(f.Minutes, 3)
	f.Board, f.Controls = s.on(), s.controls()
	f.after(b.ID, "deburred").after("shop", "parts")
}

func partTitle(c *panel.Control) string {
	if c.Part.Title != "" {
		return c.Part.Title
	}
	return c.Part.ID
}

// doing gives the kind of work of a drilling job, and the word of its line.
func doing(j drilling.Job) (kind, line string) {
	switch j.Do {
	case "pilot":
		return "drill-pilot", "pilot"
	case "step":
		return "drill-step", "step"
	case "chain":
		return "drill-chain", "chain"
	case "file":
		return "drill-file", "file"
	case "saw", "bore":
		if j.Bit.Name == "" {
			return "drill-file", "saw"
		}
		return "drill-saw", "bore"
	}
	return "drill-hole", "hole"
}

// bitSize is the size that a job makes, mm: of a step drill how far it goes.
func bitSize(d drilling.Result, j drilling.Job) float64 {
	if j.Do == "step" || j.Bit.Diameter <= 0 {
		for _, h := range d.Holes {
			if h.N == j.Hole {
				return h.Size
			}
		}
	}
	return j.Bit.Diameter
}

// holeName is how people call the hole of a job.
func holeName(d drilling.Result, j drilling.Job) string {
	for _, h := range d.Holes {
		if h.N == j.Hole {
			return itoa(h.N) + " " + h.Name
		}
	}
	return itoa(j.Hole)
}

// ready lists the steps after which a face is fit to be covered, and why.
func (m *maker) ready(s sheet, x *Step) {
	x.after(s.cut(), "cut-first").after(s.id("drill"), "drill-before-cover").after(s.id("deburr"), "deburred").after(s.id("fit"), "fit-before-cover")
	x.after("seat-face", "seat-before-cover")
}

// cover makes the steps of the covering.
func (m *maker) cover(s sheet) {
	c := s.p.Stack.Covering
	if !s.face || c.Kind == "" || c.Kind == "none" {
		if s.face && plastic(s.kind()) {
			p := m.add(s.id("prepare"), "cover", "unmask", "board", slugName(s.slug)).do("unmask.do")
			p.Minutes = m.per("prepare-face") / 3
			p.Board = s.on()
			m.ready(s, p)
		}
		return
	}
	name := slugName(s.slug)
	p := m.add(s.id("prepare"), "cover", "prepare", "board", name).do("prepare." + prepareKey(s.kind()))
	p.Minutes = m.per("prepare-face")
	p.Board = s.on()
	p.mind("vapour", "vapour-clean")
	if !plastic(s.kind()) {
		p.mind("dust", "dust")
	}
	m.ready(s, p)
	switch c.Kind {
	case "paint":
		m.paintFace(s, p)
	default:
		m.layCover(s, p)
	}
}

func prepareKey(kind string) string {
	switch {
	case plastic(kind):
		return "plastic"
	case metal(kind):
		return "metal"
	}
	return "wood"
}

// paintFace makes a step for each coat, or sends the face to the coating shop.
func (m *maker) paintFace(s sheet, before *Step) {
	name := slugName(s.slug)
	if strings.HasPrefix(s.p.Stack.Covering.ID, "powder") {
		x := m.add(s.id("powder"), "cover", "powder", "board", name).do("powder.do")
		x.Minutes, x.Board = m.per("prepare-face"), s.on()
		m.leave(x, "powder", "powder")
		x.noReturn("paint")
		x.after(before.ID, "prepared")
		return
	}
	recoat, hard, key := "paint-recoat", "paint-handle", "coat"
	if strings.HasPrefix(s.p.Stack.Covering.ID, "lacquer") {
		recoat, hard, key = "varnish-recoat", "varnish-handle", "lacquer"
	}
	prev := before.ID
	for i := 1; i <= m.coats; i++ {
		x := m.add(s.id("paint")+"-"+itoa(i), "cover", key, "board", name, "i", i, "of", m.coats).do("coat.thin")
		x.Minutes, x.Board, x.OneGo = m.per("coat"), s.on(), true
		if i == 1 {
			x.do("coat.holes").noReturn("paint").after(prev, "prepared")
		} else {
			x.do("coat.between").dry(prev, "recoat", 0)
		}
		if i < m.coats {
			m.leave(x, recoat, "recoat")
		} else {
			m.leave(x, hard, "hard")
		}
		m.chemical(x)
		prev = x.ID
	}
}

// gluing puts the cautions of wood glue at a step; only wood glue itself gives off nothing that burns.
func (m *maker) gluing(s *Step) {
	if m.glue != "pva" {
		s.mind("vapour", "vapour")
	}
	s.mind("clamp", "clamp-glue").mind("sheet", "sheet")
}

// chemical puts the cautions of paint and contact adhesive at a step.
func (m *maker) chemical(s *Step) {
	s.mind("vapour", "vapour").mind("sheet", "sheet")
}

// layCover makes the steps of film, card and laminate.
func (m *maker) layCover(s sheet, before *Step) {
	c := s.p.Stack.Covering
	name := slugName(s.slug)
	key := "film"
	switch {
	case c.Kind == "laminate", strings.HasPrefix(c.ID, "leathercloth"):
		key = "laminate"
	case c.Kind == "card":
		key = "card"
	}
	printed := strings.HasPrefix(c.ID, "printed")
	if printed {
		l := m.add(s.id("letter"), "letter", "print-cover", "board", name).do("print-cover.do")
		l.Minutes, l.Board, l.Papers = m.per("print-letters"), s.on(), []string{"legends.pdf", "covering.pdf"}
		l.after("print", "bars").after(s.id("fit"), "fit-before-print")
	}
	x := m.add(s.id("cover"), "cover", key, "board", name).do(key + ".do").do("film.middle")
	x.Minutes, x.Board, x.Papers = m.per("cover-face"), s.on(), []string{"covering.pdf"}
	x.noReturn("cover").after(before.ID, "prepared").mind("blade", "blade")
	x.OneGo = true
	if printed {
		x.after(s.id("letter"), "printed")
	}
	if key == "laminate" {
		m.leave(x, "laminate-glue", "glued")
		m.chemical(x)
	} else {
		m.stuffs["vinyl_film"] = append(m.stuffs["vinyl_film"], x)
	}
	t := m.add(s.id("trim"), "cover", "trim", "board", name).do("trim.holes", "n", s.openings())
	t.Minutes = m.per("trim-edge") + float64(s.openings())*m.per("trim-hole")
	t.Board, t.Papers = s.on(), []string{"covering.pdf"}
	if s.p.Stack.Wrap > 0 {
		t.do("trim.wrap", "size", m.mm(s.p.Stack.Wrap)).mind("heat", "heat-gun")
	} else {
		t.do("trim.flush")
	}
	t.noReturn("trim").dry(x.ID, "laid", 0).mind("blade", "blade")
}

// dressed gives the last steps of the covering and lettering of a sheet, after which things may be mounted in it.
func (m *maker) dressed(s sheet, x *Step) {
	x.after(s.id("prepare"), "clean").dry(s.id("powder"), "coated", 0).dry(s.id("paint")+"-"+itoa(m.coats), "paint-hard", m.hard(s))
	x.dry(s.id("cover"), "cover-before-mount", 0).after(s.id("trim"), "trim-before-mount").dry(s.id("letter"), "letters-before-mount", 0)
	x.after(s.id("fit"), "fitted")
}

// hard is how long the last coat on a sheet dries before it may be handled, minutes.
func (m *maker) hard(s sheet) float64 {
	kind := "paint-handle"
	if strings.HasPrefix(s.p.Stack.Covering.ID, "lacquer") {
		kind = "varnish-handle"
	}
	v, _ := m.wait(kind)
	return v
}

// longWait makes labels wait until fresh paint has given off what they would catch.
func (m *maker) longWait(s sheet, x *Step) {
	last := m.by[s.id("paint")+"-"+itoa(m.coats)]
	if last == nil || last.Wait == nil {
		return
	}
	v, src := m.wait("label-on-paint")
	if v > last.Wait.Minutes {
		last.Wait.Minutes, last.Wait.What, last.Wait.Source = v, words.T("steps.until.label-on-paint"), src
		for i := range x.After {
			if x.After[i].Step == last.ID {
				x.After[i].Least = 0
			}
		}
		m.sayFilmOnPaint(s, v)
	}
}

// letter makes the step of the lettering.
func (m *maker) letter(s sheet) {
	n := s.legends()
	if n == 0 || m.by[s.id("letter")] != nil {
		return
	}
	by := or(s.p.Legend.By, "print")
	x := m.add(s.id("letter"), "letter", "letter-"+by, "board", slugName(s.slug), "n", n).do("letter-" + by + ".do")
	x.Board, x.Papers, x.Controls = s.on(), []string{"legends.pdf"}, s.controls()
	if !s.face { // a board of the box: lettered when the box is finished
		m.finished(x, "letters-last")
	}
	x.after(s.id("fit"), "fitted").after(s.id("prepare"), "clean").dry(s.id("powder"), "coated", 0).dry(s.id("paint")+"-"+itoa(m.coats), "paint-hard", 0)
	x.dry(s.id("cover"), "cover-before-letters", 0).after(s.id("trim"), "trim-before-letters").after("print", "bars")
	painted := s.p.Stack.Covering.Kind == "paint" && s.face && !strings.HasPrefix(s.p.Stack.Covering.ID, "powder")
	switch by {
	case "engrave":
		x.Minutes = float64(n) * m.per("engrave")
		x.noReturn("engrave").mind("eyes", "eyes").mind("dust", "dust").mind("clamp", "clamp-drill")
		if !strings.HasPrefix(s.p.Stack.Covering.ID, "engraving") {
			m.leave(x, "fill", "filled")
		}
	case "label":
		x.Minutes = m.per("print-letters") + float64(n)*m.per("legend")
		x.mind("blade", "blade")
		if painted {
			m.longWait(s, x)
		}
	case "transfer":
		x.Minutes = float64(n) * 2 * m.per("legend")
		x.do("letter-transfer.seal")
		m.leave(x, "varnish-recoat", "sealed")
		m.chemical(x)
	default:
		x.Minutes = m.per("print-letters") + float64(n)*m.per("legend")
		x.mind("blade", "blade")
	}
	x.do("letter.check")
}
