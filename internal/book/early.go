package book

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/trade/box"
	"knobwright/internal/trade/costing"
	"knobwright/internal/trade/steps"
	"knobwright/internal/view"
	"knobwright/internal/words"

	"knobwright/internal/drawing"
)

// findings are the verdict and all that is open.
func (m *maker) findings() {
	m.add(Para{Text: m.State + ".", Bold: true})
	if len(m.r.Findings) == 0 {
		m.para("nothing-found")
		return
	}
	kept := false
	for _, f := range m.r.Findings {
		if f.Kept != "" && !kept {
			kept = true
			m.head("kept", m.say("kept"))
		}
		m.add(Finding{F: f, Of: m.about(f)})
	}
}

// about lists the controls that a finding is about.
func (m *maker) about(f finding.Finding) (out []string) {
	for _, p := range m.r.Panel.Sheets() {
		for _, c := range p.Controls {
			if slices.ContainsFunc(f.Ends, func(e finding.End) bool { return e.Path != "" && e.Path == c.Origin.Path }) && m.names(f, c.Label) {
				out = append(out, c.Name)
			}
		}
	}
	return out
}

// names reports whether a finding says a name: of many it says only the first.
func (m *maker) names(f finding.Finding, label string) bool {
	return strings.Contains(f.Head+" "+f.Body, label)
}

// order is the order of work, step by step.
func (m *maker) order() {
	s := m.o.Steps
	if s == nil || len(s.Steps) == 0 {
		return
	}
	m.para("order-sum", "hours", m.hours(s.Hands), "span", m.span(s.Span), "n", s.Sessions)
	t := Table{ID: "steps", Name: m.c.Title, Cols: []Col{{Tick: true}, {Head: m.say("number"), Right: true, Never: true}, {Head: m.say("step"), Bold: true}, {Head: m.say("what-to-do")}, {Head: m.say("at-the-bench"), Right: true, Never: true}, {Head: m.say("then-wait"), Right: true, Never: true}}}
	part, before := "", map[string]bool{}
	for i, x := range s.Steps {
		if x.Part != part {
			part = x.Part
			t.Rows = append(t.Rows, Row{Band: m.say("part." + part)})
			before = map[string]bool{}
		}
		var do, mind []string
		for _, d := range x.Do {
			do = append(do, m.Lang.Say(d))
		}
		if !x.Check.Zero() {
			mind = append(mind, m.say("check-first")+" "+m.Lang.Say(x.Check))
		}
		if x.NoReturn {
			mind = append(mind, m.say("no-return"))
		}
		again := false
		now := map[string]bool{}
		for _, c := range x.Cautions {
			say := m.Lang.Say(c.Text)
			now[say] = true
			if before[say] {
				again = true
				continue
			}
			mind = append(mind, say)
		}
		if again {
			mind = append(mind, m.say("mind-again"))
		}
		before = now
		wait := ""
		if x.Wait != nil {
			wait = m.span(x.Wait.Minutes)
			say := m.Lang.Say(words.T("steps.page.wait", "time", wait, "what", m.Lang.Say(x.Wait.What)))
			if x.Wait.To > 0 {
				say += " " + m.Lang.Say(words.T("steps.page.warm", "from", number(round1(x.Wait.From)), "to", number(round1(x.Wait.To))))
			}
			mind = append(mind, say)
		}
		t.Rows = append(t.Rows, Row{Cells: []string{"x", strconv.Itoa(i + 1), m.Lang.Say(x.Title), strings.Join(do, " "), m.hours(x.Minutes), wait}, Under: strings.Join(mind, " ")})
	}
	m.add(t)
	m.timeline()
}

// timeline is when there is time for the steps, and what dries meanwhile.
func (m *maker) timeline() {
	s, d := m.o.Steps, m.o.Drawings
	if len(d.Sessions) == 0 {
		return
	}
	say := func(key string, args ...any) string { return m.Lang.Say(words.T("steps.page."+key, args...)) }
	m.head("timeline", say("timeline"))
	bound := say("exact")
	if !s.Exact {
		bound = say("bound", "bound", steps.Span(s.Bound))
	}
	m.add(Para{Text: m.say("timeline-use") + " " + bound})
	for i, x := range d.Sessions {
		m.add(Figure{ID: "sessions-" + strconv.Itoa(i+1), Alt: say("timeline"), Scene: x.Scene, Free: true})
	}
	if d.Drying != nil {
		m.head("drying", say("drying"))
		m.add(Figure{ID: "drying", Alt: say("drying"), Scene: d.Drying, Free: true})
	}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func money(v float64) string { return fmt.Sprintf("%.2f", v) }

// span is a price: one number when both ends are the same.
func span(r costing.Range) string {
	if money(r.From) == money(r.To) {
		return money(r.From)
	}
	return money(r.From) + " – " + money(r.To)
}

// amount is how much of a line is bought: "2", "1 x 10", "5 m".
func (m *maker) amount(x costing.Line) string {
	switch {
	case x.Packs == 0:
		return "–"
	case x.Unit == "m" && m.inch():
		return fmt.Sprintf("%.1f ft", float64(x.Packs)*x.Pack/0.3048)
	case x.Unit == "m2":
		return number(float64(x.Packs)*x.Pack) + " m²"
	case x.Unit != "":
		return number(float64(x.Packs)*x.Pack) + " " + x.Unit
	case x.Pack > 1:
		return fmt.Sprintf("%d x %s", x.Packs, number(x.Pack))
	}
	return strconv.Itoa(x.Packs)
}

// shopping is what to buy, and what it costs.
func (m *maker) shopping() {
	c := m.r.Costs
	if len(c.Lines) == 0 {
		return
	}
	priced := !m.o.NoPrices
	if priced {
		m.para("shop-sum", "sum", span(c.Total), "cur", c.Currency, "whole", span(c.Whole))
		if c.Budget > 0 {
			m.para("shop-budget", "budget", money(c.Budget), "cur", c.Currency)
		}
		m.quiet("shop-range")
	}
	cols := []Col{{Tick: true}, {Head: m.say("buy"), Never: true, Bold: true}, {Head: m.say("what"), En: true}, {Head: m.say("of-it-spare"), Right: true, Never: true}, {Head: m.say("for"), Small: true, Quiet: true}}
	if priced {
		cols = append(cols, Col{Head: c.Currency, Right: true, Never: true, Small: true})
	}
	t := Table{ID: "buy", Name: m.c.Title, Cols: cols}
	for _, sec := range c.Sections {
		band := Row{Band: m.section(sec.Name)}
		if priced {
			band.Band += "   " + span(sec.Sum)
		}
		t.Rows = append(t.Rows, band)
		for _, x := range c.Lines {
			if x.Section != sec.Name {
				continue
			}
			name := x.Title
			if x.Size != "" && !strings.Contains(name, x.Size) {
				name += ", " + m.sizes(x.Size) + " " + m.unit()
			}
			spare := ""
			if x.Spare > 0 && x.Packs > 0 {
				spare = number(x.Spare)
			}
			row := Row{Cells: []string{"x", m.amount(x), name, spare, few(m.tellAll(x.For), 4)}}
			if x.Packs == 0 {
				row.Cells[0], row.Cells[1] = "", m.say("on-hand")
			}
			if priced {
				sum := span(x.Sum)
				if x.Packs == 0 {
					sum = ""
				} else if !x.Priced {
					sum = "?"
				}
				row.Cells = append(row.Cells, sum)
			}
			for _, p := range m.r.Panel.Sheets() {
				for _, k := range p.Controls {
					if k.Part.ID == x.ID {
						row.Of = append(row.Of, k.Name)
					}
				}
			}
			t.Rows = append(t.Rows, row)
		}
	}
	m.add(t)
	if !priced {
		return
	}
	if len(c.Shops) > 0 {
		m.head("shops", m.say("shops"))
		st := Table{Name: m.say("shops"), Cols: []Col{{Head: m.say("shop"), Bold: true}, {Head: c.Currency, Right: true}, {Head: m.say("lacks"), Right: true}}}
		for _, s := range c.Shops {
			st.Rows = append(st.Rows, Row{Cells: []string{s.Name, money(s.Total), strconv.Itoa(s.Lacks)}})
		}
		if s := c.Split; s != nil {
			st.Rows = append(st.Rows, Row{Cells: []string{m.say("split"), money(s.Total), strconv.Itoa(s.Lacks)}})
		}
		m.add(st)
	}
	if len(c.Cheaper) > 0 {
		m.head("cheaper", m.say("cheaper"))
		var say []string
		for _, x := range c.Cheaper {
			say = append(say, x.Say)
		}
		m.add(List{Items: say, En: true})
	}
}

func few(names []string, most int) string {
	if len(names) > most {
		return strings.Join(names[:most-1], ", ") + fmt.Sprintf(" + %d", len(names)-most+1)
	}
	return strings.Join(names, ", ")
}

// cutting is the cut list, the plans and the order of cuts.
func (m *maker) cutting() {
	b := m.r.Box
	if len(b.Boards) == 0 {
		return
	}
	m.add(Signs{[]Caution{{drawing.SignGoggles, m.say("saw.goggles"), m.say("saw.small")}, {drawing.SignMask, m.say("saw.mask"), m.say("saw.guard")}}})
	m.head("boards", m.say("boards"))
	m.quiet("blank-note")
	t := Table{ID: "boards", Name: m.say("boards"), Cols: []Col{{Tick: true}, {Head: m.say("board-word"), Bold: true}, {Head: m.say("of"), Small: true, En: true}, {Head: m.with("along"), Right: true, Never: true}, {Head: m.say("across-grain"), Right: true, Never: true}, {Head: m.say("thick"), Right: true, Never: true}, {Head: m.say("bevels"), Small: true}}}
	for _, x := range b.Boards {
		var bev []string
		for _, e := range x.Bevels {
			bev = append(bev, fmt.Sprintf("%s %s°", m.tell(string(e.Edge)), number(round1(e.Tilt))))
		}
		t.Rows = append(t.Rows, Row{Cells: []string{"x", m.board(x.Name), x.Material.Title, m.coord(round1(x.Blank.X)), m.coord(round1(x.Blank.Y)), m.coord(round1(x.Thickness)), strings.Join(bev, ", ")}})
	}
	m.add(t)
	if len(b.Strips) > 0 {
		m.head("strips", m.say("strips"))
		var items []string
		for _, s := range b.Strips {
			items = append(items, fmt.Sprintf("%s x %s: %s; %s", m.num(s.Width), m.size(s.Height), m.size(s.Total), strings.Join(m.tellAll(s.Pieces), ", ")))
		}
		m.add(List{Items: items, Tick: true})
	}
	m.plans()
	settings := box.Settings(m.r.Panel.Carcass, b.Order, b.Laser)
	if len(settings) == 0 {
		return
	}
	m.head("cuts", m.say("order-of-cuts"))
	m.para("cuts-use")
	t = Table{ID: "cuts", Name: m.say("order-of-cuts"), Cols: []Col{{Tick: true}, {Head: m.with("fence"), Right: true, Never: true, Bold: true}, {Head: m.say("blade")}, {Head: m.say("boards-edges"), En: true}}}
	group := ""
	for _, s := range settings {
		if s.Group != group {
			group = s.Group
			t.Rows = append(t.Rows, Row{Band: group})
		}
		at := m.say("line")
		if s.Fence > 0 {
			at = m.coord(round1(s.Fence))
		}
		blade := m.say("square")
		switch {
		case s.Detail != "":
			blade = s.Detail
		case s.Tilt != 0:
			blade = m.say("tilted", "deg", number(round1(s.Tilt)))
		}
		t.Rows = append(t.Rows, Row{Cells: []string{"x", at, blade, s.Say()}})
	}
	m.add(t)
}

// plans are the cutting plans.
func (m *maker) plans() {
	for i, p := range m.r.Box.Plans {
		for j, s := range p.Sheets {
			lay := s.Layout
			title := m.tell(p.Material.Title) + ", " + m.num(lay.Width) + " x " + m.size(lay.Height)
			m.head(fmt.Sprintf("plan-%d-%d", i+1, j+1), m.say("plan")+": "+title)
			if s.Buy {
				m.para("plan-buy")
			} else {
				m.para("plan-hand")
			}
			scene := view.PlanScene(p, s)
			fig, k := m.fit(scene.Bounds.Grow(2), 90, 4, func(k float64) *drawing.Scene {
				out := *scene
				out.Items = slices.Clone(scene.Items)
				for _, q := range lay.Placed {
					text, turn, w := m.board(p.Pieces[q.Piece].Name), 0.0, q.Width
					h := q.Height
					if h > w {
						turn, w, h = 90, h, w
					}
					fit, size := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, min(3.0/k, h*0.5)), text, w-2/k)
					out.Items = append(out.Items, &drawing.Text{At: v(q.X+q.Width/2, q.Y+q.Height/2), S: fit, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true, Turn: turn})
				}
				return &out
			})
			m.add(Figure{Title: m.say("plan-used", "percent", fmt.Sprintf("%.0f", 100*lay.Area()/(lay.Width*lay.Height))), Alt: m.say("plan") + ": " + title, Scene: fig, NoScale: m.scale(min(k, 1))})
			if len(s.Cuts) > 0 && !p.Free {
				t := Table{Name: m.say("plan"), Cols: []Col{{Tick: true}, {Head: m.say("number"), Right: true}, {Head: m.say("piece"), Bold: true}, {Head: m.with("fence"), Right: true, Never: true}, {Head: m.say("from-edge")}, {Head: m.say("gives")}}}
				for n, c := range s.Cuts {
					piece := m.say("whole-sheet")
					if c.Panel != 1 {
						piece = m.say("part-no", "no", c.Panel)
					}
					t.Rows = append(t.Rows, Row{Cells: []string{"x", strconv.Itoa(n + 1), piece, m.coord(round1(c.Distance)), m.tell(c.From.String()), m.gives(p, c.Keeps, c.KeepsIs, c.KeepsOff, c.Leaves, c.LeavesIs, c.LeaveOff)}})
				}
				m.add(t)
			}
			var rest []string
			for _, o := range s.Rests {
				rest = append(rest, m.num(round1(o.Width))+" x "+m.size(round1(o.Height)))
			}
			if len(rest) > 0 {
				m.quiet("left-over", "what", strings.Join(rest, ", "))
			}
		}
	}
}

// gives says what a cut makes.
func (m *maker) gives(p box.Plan, an, ais int, aoff bool, bn, bis int, boff bool) string {
	one := func(n, is int, off bool) string {
		switch {
		case n == 0:
			return ""
		case is >= 0 && is < len(p.Pieces):
			return m.board(p.Pieces[is].Name)
		case off:
			return m.say("rest")
		}
		return m.say("part-no", "no", n)
	}
	a, b := one(an, ais, aoff), one(bn, bis, boff)
	switch {
	case a == "":
		return finding.Capital(b)
	case b == "":
		return finding.Capital(a)
	}
	return finding.Capital(a) + ", " + b
}
