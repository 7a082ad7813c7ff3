package book

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/view"
	"knobwright/internal/words"
)

// maker makes the chapters.
type maker struct {
	*Book
	r *job.Result
	o Options
	c *Chapter
	n names
}

// Make makes the book of a job. It never gives nil; what is not decided yet has no chapter.
func Make(r *job.Result, o Options) *Book {
	if o.Lang == "" || !slices.Contains(words.Langs(), o.Lang) {
		o.Lang = words.English
	}
	if o.Units == "" {
		o.Units = r.Panel.Units
	}
	b := &Book{Lang: o.Lang, File: o.File, Mark: o.Mark, Letter: r.Panel.Paper == "letter"}
	m := &maker{Book: b, r: r, o: o}
	m.n = newNames(m)
	b.Title, b.Sub = splitTitle(r.Panel.Title)
	if b.Title == "" {
		b.Title = m.say("panel")
	}
	stops, warns, _ := finding.Count(r.Findings)
	b.Stop = stops > 0
	b.State = m.say("state.stops", "n", stops)
	if stops == 0 {
		b.State = m.say("state.none") + ", " + m.say("state.warnings", "n", warns)
	}
	for _, x := range m.chapters() {
		m.c = &Chapter{ID: x.id, Title: m.say("ch." + x.id)}
		if key := "use." + x.id; words.English.Has("book." + key) {
			m.c.Use = m.say(key)
		}
		x.fill()
		if len(m.c.Blocks) > 0 {
			b.Chapters = append(b.Chapters, *m.c)
		}
	}
	m.c = nil
	for _, p := range r.Panel.Sheets() {
		for _, c := range p.Controls {
			b.Names = append(b.Names, Name{c.Name, c.Label, c.Part.ID})
		}
	}
	slices.SortStableFunc(b.Names, func(x, y Name) int {
		return cmp.Or(strings.Compare(strings.ToLower(x.Label), strings.ToLower(y.Label)), strings.Compare(x.Control, y.Control))
	})
	m.cover()
	return b
}

// told is a chapter to be made, and the part of the work that it tells of.
type told struct {
	id, part string
	fill     func()
}

// chapters are the chapters in the order of work: those that tell of a part of the work stand where its last step does, the others where they
// usually do.
func (m *maker) chapters() []told {
	all := []told{
		{"findings", "", m.findings},
		{"order", "", m.order},
		{"shopping", "shop", m.shopping},
		{"cutting", "cut", m.cutting},
		{"drilling", "drill", m.drilling},
		{"covering", "cover", m.covering},
		{"legends", "letter", m.legends},
		{"box", "box", m.box},
		{"wiring", "wire", m.wiring},
		{"firmware", "firmware", m.firmware},
		{"power", "power", m.power},
		{"test", "test", m.test},
		{"repair", "", m.repair},
		{"changes", "", m.changes},
		{"trust", "", m.trusted},
	}
	if m.o.Steps == nil {
		return all
	}
	at := map[string]int{} // the last step: much is begun while something else dries
	for i, s := range m.o.Steps.Steps {
		at[s.Part] = i
	}
	if _, ok := at["shop"]; ok {
		at["shop"] = -1
	}
	// only chapters with a step change places among each other
	var slots []int
	var moved []told
	for i, x := range all {
		if _, ok := at[x.part]; ok && x.part != "" {
			slots, moved = append(slots, i), append(moved, x)
		}
	}
	slices.SortStableFunc(moved, func(a, b told) int { return at[a.part] - at[b.part] })
	for k, i := range slots {
		all[i] = moved[k]
	}
	return all
}

// splitTitle parts a title before its first small linking word, so that the first part can be big.
func splitTitle(t string) (head, rest string) {
	for _, w := range []string{" for ", " of ", ", ", ": "} {
		if i := strings.Index(t, w); i >= 4 && i+len(w) < len(t) {
			if w[0] != ' ' {
				return t[:i], t[i+len(w):]
			}
			return t[:i], t[i+1:]
		}
	}
	return t, ""
}

func (m *maker) add(bs ...Block) {
	for _, b := range bs {
		m.c.Blocks = append(m.c.Blocks, m.told(b))
	}
}

// head begins a section that the contents name; id tells it apart within the book.
func (m *maker) head(id, text string) { m.add(Heading{Text: text, ID: m.c.ID + "-" + id}) }

func (m *maker) para(key string, args ...any) { m.add(Para{Text: m.say(key, args...)}) }

func (m *maker) quiet(key string, args ...any) {
	m.add(Para{Text: m.say(key, args...), Quiet: true})
}

// english adds a sentence of a trade.
func (m *maker) english(s string) {
	if s != "" {
		m.add(Para{Text: s, En: true})
	}
}

func (m *maker) both() bool { return m.o.Units == "both" }
func (m *maker) inch() bool { return m.o.Units == "in" }

// num is a length without its unit, as the reader wants it.
func (m *maker) num(mm float64) string {
	in := strings.TrimSuffix(length.Inches(length.Length(mm)), " in")
	switch {
	case m.inch():
		return in
	case m.both():
		return length.Plain(round1(mm)) + " (" + in + ")"
	}
	return length.Plain(round1(mm))
}

// coord is a place from the datum corner: with two decimals at most, one at least.
func (m *maker) coord(mm float64) string {
	if m.inch() {
		return m.num(mm)
	}
	s := strconv.FormatFloat(mm, 'f', 2, 64)
	s = strings.TrimSuffix(s, "0")
	if strings.Trim(s, "-0.") == "" {
		s = "0.0"
	}
	if m.both() {
		s += " (" + strings.TrimSuffix(length.Inches(length.Length(mm)), " in") + ")"
	}
	return s
}

// size is a length with its unit: "22.5 mm", "57/64 in", "22.5 mm (57/64 in)".
func (m *maker) size(mm float64) string {
	in := length.Inches(length.Length(mm))
	switch {
	case m.inch():
		return in
	case m.both():
		return length.Plain(round1(mm)) + " mm (" + in + ")"
	}
	return length.Plain(round1(mm)) + " mm"
}

// sizes turns sizes of the trade in mm ("600 x 300", "22.5 to 22.9") into the reader's units, number by number.
func (m *maker) sizes(s string) string {
	if !m.inch() && !m.both() {
		return s
	}
	f := strings.Fields(s)
	for i, w := range f {
		if x, err := strconv.ParseFloat(w, 64); err == nil {
			f[i] = m.num(x)
		}
	}
	return strings.Join(f, " ")
}

func (m *maker) unit() string {
	switch {
	case m.inch():
		return "in"
	case m.both():
		return "mm (in)"
	}
	return "mm"
}

// with is the head of a column with its unit.
func (m *maker) with(key string) string { return m.say(key) + ", " + m.unit() }

// board names a board of the box in the book's language.
func (m *maker) board(name string) string {
	if name == "" {
		name = "face"
	}
	if key := "book.board." + id(name); words.English.Has(key) {
		return m.Lang.Say(words.T(key))
	}
	return m.tell(name)
}

func (m *maker) section(name string) string { return m.say("section." + id(name)) }

// paper is the room for a figure, mm.
func (m *maker) room() geom.Vec2 {
	if m.Letter {
		return v(215.9-leftX-rightX, 226)
	}
	return v(210-leftX-rightX, 243)
}

// fit makes a scene of paper size out of one of true size: as large as the width and so much height allow.
func (m *maker) fit(bounds geom.Box2, tall, most float64, draw func(k float64) *drawing.Scene) (*drawing.Scene, float64) {
	size := bounds.Size()
	if size.X <= 0 || size.Y <= 0 {
		return nil, 0
	}
	k := min(m.room().X/size.X, tall/size.Y, most)
	s := draw(k)
	return scaled(s, bounds, k), k
}

// scaled is a scene at another size; line widths stay what they are on paper.
func scaled(s *drawing.Scene, bounds geom.Box2, k float64) *drawing.Scene {
	out := geom.Box2{Min: bounds.Min.Mul(k), Max: bounds.Max.Mul(k)}.Grow(1)
	return &drawing.Scene{Title: s.Title, Bounds: out, Layers: s.Layers, Items: []drawing.Item{&drawing.Group{Scale: k, Items: s.Items}}}
}

func (m *maker) scale(k float64) string {
	if k > 0.9999 {
		return m.say("no-measure")
	}
	return m.say("scale", "k", fmt.Sprintf("%.1f", 1/k)) + " · " + m.say("no-measure")
}

// sheet is a board that is drilled, with what the trades found about it.
type drilled struct {
	name string // "face", "back"
	p    *panel.Panel
	side int // -1 = the face
}

func (m *maker) sheets() []drilled {
	out := []drilled{{"face", m.r.Panel, -1}}
	for i, s := range m.r.Sides {
		out = append(out, drilled{s.Panel.Board, s.Panel, i})
	}
	return out
}

func (m *maker) cover() {
	b, r := m.Book, m.r
	c := &b.Cover
	if w := m.o.Drawings.Whole; w != nil {
		c.Whole = w
	} else if r.Panel.Face.HasSize() {
		c.Whole, _ = m.fit(r.Panel.Face.Outline.Bounds().Grow(2), 100, 1, func(float64) *drawing.Scene { return view.Front(r.Panel) })
	}
	n := len(b.Names)
	c.Pencil = []string{m.say("pencil.controls", "n", n)}
	if n > 0 && len(r.Wiring.Boards) > 0 {
		c.Pencil[0] = m.say("pencil.usb", "n", n)
	}
	if f := r.Panel.Face; f.HasSize() {
		c.Pencil = append(c.Pencil, m.say("pencil.size", "w", m.num(f.Width), "h", m.size(f.Height)))
	}
	if s := m.o.Steps; s != nil && s.Hands > 0 {
		c.Pencil = append(c.Pencil, m.say("pencil.time", "hours", m.hours(s.Hands)))
	}
	c.HeadRows = m.say("order-of-work")
	m.coverRows()
	c.Start = []Caution{
		{drawing.SignGoggles, m.say("start.goggles"), m.say("start.clamp")},
		{drawing.SignMask, m.say("start.mask"), m.say("start.window")},
	}
	for _, a := range r.Panel.Assumed[:min(2, len(r.Panel.Assumed))] {
		c.Trust = append(c.Trust, [2]string{finding.Capital(a.What) + ": " + a.Source.String() + ".", m.say("on-trust-more", "n", len(r.Panel.Assumed))})
	}
	for i := range c.Trust[:max(0, len(c.Trust)-1)] {
		c.Trust[i][1] = m.say("measure-yours")
	}
	from := m.say("from", "file", b.File)
	if b.Mark != "" {
		from += ", " + m.say("mark") + " " + b.Mark
	}
	c.Foot = [2]string{m.say("foot"), from + ". " + b.State + "."}
}

// coverRows are the parts of the work with their times, or the chapters.
func (m *maker) coverRows() {
	c := &m.Book.Cover
	has := map[string]bool{}
	for _, x := range m.Chapters {
		has[x.ID] = true
	}
	chapter := map[string]string{}
	for _, x := range m.chapters() {
		if x.part != "" && has[x.id] {
			chapter[x.part] = x.id
		}
	}
	if s := m.o.Steps; s != nil && len(s.Steps) > 0 {
		c.Steps = true
		var order []string
		hands, wait := map[string]float64{}, map[string]float64{}
		for _, x := range s.Steps {
			if _, ok := hands[x.Part]; !ok {
				order = append(order, x.Part)
			}
			hands[x.Part] += x.Minutes
			if x.Wait != nil {
				wait[x.Part] = max(wait[x.Part], x.Wait.Minutes)
			}
		}
		for _, p := range order {
			row := CoverRow{Text: m.say("part." + p), Bench: m.hours(hands[p]), Chapter: chapter[p]}
			if row.Chapter == "" && has["order"] {
				row.Chapter = "order"
			}
			if wait[p] > 0 {
				row.Wait = m.hours(wait[p])
			}
			c.Rows = append(c.Rows, row)
		}
		return
	}
	for _, x := range m.Chapters {
		if x.ID != "findings" && x.ID != "trust" {
			c.Rows = append(c.Rows, CoverRow{Text: x.Title, Chapter: x.ID})
		}
	}
}

// hours writes a time: "0 h 40", "24 h".
func (m *maker) hours(minutes float64) string {
	t := int(minutes/5+0.5) * 5
	if minutes > 0 && t == 0 {
		t = 5
	}
	if t >= 600 && t%60 == 0 || t >= 1440 {
		return fmt.Sprintf("%d h", (t+30)/60)
	}
	return fmt.Sprintf("%d h %02d", t/60, t%60)
}

// span writes a stretch of time that goes on day and night: hours, and from three days on days.
func (m *maker) span(minutes float64) string {
	if minutes < 3*24*60 {
		return m.hours(minutes)
	}
	return m.say("days", "n", number(math.Round(minutes/(24*60))))
}
