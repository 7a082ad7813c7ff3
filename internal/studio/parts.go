package studio

import (
	"math"
	"net/http"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/trust"
	"knobwright/internal/view"
)

// PartsData are the parts that were looked for.
type PartsData struct {
	Classes []string   `json:"classes"` // of the trade, to narrow the list by
	Found   int        `json:"found"`
	Parts   []PartData `json:"parts"` // at most partsMost of them
}

// partsMost is how many parts are listed at once.
const partsMost = 60

// PartData is a part to choose from.
type PartData struct {
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Class   string  `json:"class"`
	Hole    float64 `json:"hole"`    // mm; diameter, or width
	Said    string  `json:"said"`    // the hole in words: "16.2 mm", "22.2 x 30 mm"
	From    float64 `json:"from"`    // price
	To      float64 `json:"to"`      //
	Yours   bool    `json:"yours"`   // of the person's own catalogue
	Picture string  `json:"picture"` // SVG from the front, true to size, in the page's colours
}

// near is how far a hole may be from the one that was asked for, mm: what a file takes off, or a washer covers.
const near = 0.5

// parts lists the parts whose name, title or class has every word of q, of a class, with a hole near one.
func (v *Server) parts(w http.ResponseWriter, r *http.Request) {
	now, _, _ := v.session.Now()
	q := r.URL.Query()
	words := strings.Fields(strings.ToLower(q.Get("q")))
	hole := 0.0
	if t := strings.TrimSpace(q.Get("hole")); t != "" {
		l, err := length.Parse(strings.ReplaceAll(t, ",", "."), length.Unit(now.Result.Panel.Units))
		if err != nil {
			say(w, http.StatusUnprocessableEntity, finding.Capital(err.Error())+".")
			return
		}
		if hole = l.MM(); hole <= 0 {
			say(w, http.StatusUnprocessableEntity, "A hole is wider than nothing: write its diameter.")
			return
		}
	}
	d := PartsData{Classes: []string{}, Parts: []PartData{}}
	for _, c := range catalog.Classes {
		d.Classes = append(d.Classes, string(c))
	}
	cat := now.Catalog
next:
	for _, id := range cat.PartIDs() {
		p, ok := cat.Part(id)
		if !ok || q.Get("class") != "" && string(p.Class) != q.Get("class") {
			continue
		}
		if hole > 0 && math.Abs(p.Hole.Nominal()-hole) > near {
			continue
		}
		hay := strings.ToLower(id + " " + p.Title + " " + string(p.Class))
		for _, q := range words {
			if !strings.Contains(hay, q) {
				continue next
			}
		}
		if d.Found++; d.Found <= partsMost {
			d.Parts = append(d.Parts, partData(p, length.Unit(now.Result.Panel.Units)))
		}
	}
	answer(w, d)
}

func partData(p catalog.Part, u length.Unit) PartData {
	d := PartData{ID: p.ID, Title: p.Title, Class: string(p.Class), Hole: p.Hole.Nominal(), From: p.Price.From, To: p.Price.To, Yours: p.Source("hole").Provenance == trust.Yours}
	if o := p.Hole.Outline(); !o.Empty() {
		s := o.Bounds().Size()
		d.Said = length.Format(length.Length(s.X), u)
		if math.Abs(s.X-s.Y) > 0.01 {
			d.Said = strings.TrimSuffix(d.Said, " "+string(u)) + " x " + length.Format(length.Length(s.Y), u)
		}
	}
	if svg, err := drawing.SVGWith(view.PartFront(p), drawing.SVGOptions{Vars: true, Prefix: p.ID + "-"}); err == nil {
		d.Picture = string(svg)
	}
	return d
}

// part draws one part true to size: front, side and rear, with the numbers that decide most fits.
func (v *Server) part(w http.ResponseWriter, r *http.Request) {
	now, _, _ := v.session.Now()
	p, ok := now.Catalog.Part(r.PathValue("id"))
	if !ok {
		say(w, http.StatusNotFound, "There is no such part.")
		return
	}
	svg, err := drawing.SVGWith(view.PartSheet(p), drawing.SVGOptions{Vars: true, Prefix: "part-"})
	if err != nil {
		say(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	answer(w, map[string]string{"svg": string(svg)})
}

// NameData is a name of the catalogue or the rules, and what it means.
type NameData struct {
	Name  string `json:"name"`
	Title string `json:"title"`
}

// names lists what may be named in the file, by what it is: part, sheet, covering, bits, wire, rule.
func (v *Server) names(w http.ResponseWriter, _ *http.Request) {
	now, _, _ := v.session.Now()
	c := now.Catalog
	d := map[string][]NameData{}
	add := func(what, name, title string) { d[what] = append(d[what], NameData{name, title}) }
	for _, id := range c.PartIDs() {
		if p, ok := c.Part(id); ok {
			add("part", id, p.Title)
		}
	}
	for _, id := range c.SheetIDs() {
		if x, ok := c.Sheet(id); ok {
			add("sheet", id, x.Title)
		}
	}
	for _, id := range c.CoveringIDs() {
		if x, ok := c.Covering(id); ok {
			add("covering", id, x.Title)
		}
	}
	for _, id := range c.BitSetIDs() {
		if x, ok := c.BitSet(id); ok {
			add("bits", id, x.Title)
		}
	}
	for _, id := range c.WireIDs() {
		if x, ok := c.Wire(id); ok {
			add("wire", id, x.Title)
		}
	}
	for _, r := range job.Rules() {
		add("rule", r.Name, r.Title)
	}
	answer(w, d)
}
