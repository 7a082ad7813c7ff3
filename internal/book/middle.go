package book

import (
	"fmt"
	"strconv"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/box"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/view"
)

func (m *maker) planOf(d drilled) drilling.Result {
	if d.side < 0 {
		return m.r.Drilling
	}
	return m.r.Sides[d.side].Drilling
}

// owner is the control that a cut-out belongs to.
func owner(c *panel.Cut) []string {
	if c == nil || c.Owner == nil {
		return nil
	}
	return []string{c.Owner.Name}
}

// drilling is every sheet that is drilled: cautions, bits, the map of holes, every hole, every job.
func (m *maker) drilling() {
	some := false
	for _, d := range m.sheets() {
		some = some || len(m.planOf(d).Holes) > 0
	}
	if !some {
		return
	}
	m.add(Signs{[]Caution{
		{drawing.SignGoggles, m.say("drill.goggles"), m.say("drill.clamp")}, {drawing.SignNoGloves, m.say("drill.gloves"), m.say("drill.sleeves")},
		{drawing.SignMask, m.say("drill.mask"), m.say("drill.chips")},
	}})
	m.para("drill.template")
	for _, d := range m.sheets() {
		if plan := m.planOf(d); len(plan.Holes) > 0 {
			m.drillSheet(d, plan)
		}
	}
}

func (m *maker) drillSheet(d drilled, plan drilling.Result) {
	name := m.board(d.name)
	key := id(d.name)
	m.head("map-"+key, m.say("drill.map", "board", name))
	var do []string
	for _, s := range append(append([]string{}, plan.Cautions...), plan.Marking, plan.Backing) {
		if s != "" {
			do = append(do, s)
		}
	}
	m.add(List{Items: do, Tick: true, En: true})
	if len(plan.Bits) > 0 {
		t := Table{ID: "bits-" + key, Name: m.say("drill.bits"), Cols: []Col{{Tick: true}, {Head: m.say("drill.bits"), Bold: true, En: true}, {Head: m.say("for"), En: true}, {Head: m.say("turns"), Right: true, Never: true}, {Head: m.say("jobs"), Small: true}}}
		for _, u := range plan.Bits {
			t.Rows = append(t.Rows, Row{Cells: []string{"x", finding.Capital(u.Name), u.Why, speed(u.RPMLow, u.RPMHigh), strconv.Itoa(len(u.Jobs))}})
		}
		m.add(t)
	}
	fig, k := m.fit(d.p.Face.Outline.Bounds().Grow(4), 150, 1, func(k float64) *drawing.Scene { return holeMap(d.p, plan, k) })
	m.add(Figure{ID: "holes-" + key, Title: m.say("drill.map-title"), Alt: m.say("drill.map", "board", name), View: drawing.FrontView, Scene: fig, NoScale: m.scale(k)})

	m.head("holes-"+key, m.say("drill.holes", "board", name))
	m.quiet("drill.holes-use", "unit", m.unit())
	t := Table{ID: "holes-" + key, Name: m.say("drill.holes", "board", name), Cols: []Col{
		{Tick: true}, {Head: m.say("number"), Right: true, Never: true}, {Head: m.say("hole"), Bold: true, En: true}, {Head: m.say("bit"), En: true}, {Head: m.say("across"), Right: true, Never: true}, {Head: m.say("up"), Right: true, Never: true},
		{Head: m.say("as-cut"), Never: !m.both(), Small: true}, {Head: m.say("finished"), Never: !m.both(), Small: true},
	}}
	for _, h := range plan.Holes {
		bit := h.Bit
		if h.Size > 0 && bit == number(h.Size) {
			bit = m.num(h.Size)
		}
		t.Rows = append(t.Rows, Row{Cells: []string{"x", strconv.Itoa(h.N), h.Name, bit, m.coord(h.Cut.At.X), m.coord(h.Cut.At.Y), m.tell(m.sizes(h.AsCut)), m.tell(m.sizes(h.Finished))}, Of: owner(h.Cut)})
	}
	m.add(t)
	var how []string
	seen := map[string]bool{}
	for _, h := range plan.Holes {
		if (strings.Contains(h.Bit, "file") || strings.Contains(h.Bit, "corner") || strings.Contains(h.Bit, "saw")) && !seen[h.How] {
			seen[h.How] = true
			how = append(how, strconv.Itoa(h.N)+" "+h.Name+": "+h.How)
		}
	}
	if len(how) > 0 {
		m.add(Para{Text: m.say("drill.shaped"), Bold: true}, List{Items: how, En: true})
	}
	m.head("jobs-"+key, m.say("drill.jobs", "board", name))
	m.english(plan.Order)
	m.quiet("drill.jobs-use", "unit", m.unit())
	t = Table{ID: "jobs-" + key, Name: m.say("drill.jobs", "board", name), Cols: []Col{
		{Tick: true}, {Head: m.say("job"), Right: true, Never: true}, {Head: m.say("hole-no"), Right: true, Never: true}, {Head: m.say("for"), Bold: true}, {Head: m.say("across"), Right: true, Never: true}, {Head: m.say("up"), Right: true, Never: true}, {Head: m.say("mind"), Small: true, En: true},
	}}
	for _, u := range plan.Bits {
		t.Rows = append(t.Rows, Row{Band: finding.Capital(u.Name), Note: speedNote(u)})
		last := ""
		for _, n := range u.Jobs {
			j := plan.Jobs[n-1]
			say := j.Say
			if say == last {
				say = m.say("ditto")
			} else {
				last = say
			}
			t.Rows = append(t.Rows, Row{Cells: []string{"x", strconv.Itoa(j.N), strconv.Itoa(j.Hole), m.ownerLabel(j.Cut), m.coord(j.At.X), m.coord(j.At.Y), say}, Of: owner(j.Cut)})
		}
	}
	m.add(t)
	if len(plan.Coupons) > 0 {
		m.head("trial-"+key, m.say("drill.trial"))
		var items []string
		for _, c := range plan.Coupons {
			items = append(items, m.ownerLabel(c.Cut)+", "+c.Bit.Name+": "+c.Why)
		}
		m.add(List{Items: items, Tick: true, En: true})
	}
}

func (m *maker) ownerLabel(c *panel.Cut) string {
	if c == nil {
		return ""
	}
	if c.Owner != nil {
		return c.Owner.Label
	}
	return c.Origin.Name
}

func speed(lo, hi int) string {
	switch {
	case hi <= 0:
		return ""
	case lo == hi:
		return strconv.Itoa(hi)
	}
	return fmt.Sprintf("%d–%d", lo, hi)
}

func speedNote(u drilling.BitUse) string {
	if s := speed(u.RPMLow, u.RPMHigh); s != "" {
		return s + " / min"
	}
	return ""
}

// holeMap is a sheet with its holes and their numbers, for a drawing shown k times its size.
func holeMap(p *panel.Panel, plan drilling.Result, k float64) *drawing.Scene {
	s := &drawing.Scene{Title: p.Title, Bounds: p.Face.Outline.Bounds().Grow(4)}
	s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: drawing.Edge, Fill: drawing.AcrylicWash}, p.Face.Outline))
	l := &view.Labeller{Sheet: p.Face.Outline.Bounds().Grow(3)}
	for i, h := range plan.Holes {
		if !h.Cut.Outline.Empty() {
			l.Own(i+1, h.Cut.Outline.Bounds())
			s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, h.Cut.Outline))
		}
	}
	size := drawing.CapSize(drawing.Lettering, 2.3/k)
	for i, h := range plan.Holes {
		if h.Cut.Outline.Empty() {
			continue
		}
		text := strconv.Itoa(h.N)
		b := h.Cut.Outline.Bounds()
		w, hi := drawing.TextWidth(drawing.Lettering, size, text), 2.3/k
		at := b.Centre()
		if b.Size().X < w+1.2/k || b.Size().Y < hi+1.6/k {
			at = l.Find(i+1, b, w, hi, 0.7/k, view.AboveFirst)
		}
		s.Items = append(s.Items, &drawing.Text{At: at, S: text, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true})
	}
	s.Items = append(s.Items, drawing.DatumCorner(geom.Vec2{}, false)...)
	return s
}

// covering is what lies on the face, and how it gets there.
func (m *maker) covering() {
	for _, d := range m.sheets() {
		st := d.p.Stack
		if st.CoverThickness <= 0 {
			continue
		}
		m.head("on-"+id(d.name), m.tell(st.Covering.Title)+": "+m.board(d.name))
		allow := 0.0
		if st.Wrap > 0 {
			allow = st.SheetThickness + st.Wrap
		}
		w, h := d.p.Face.Width+2*allow, d.p.Face.Height+2*allow
		t := m.size(st.CoverThickness)
		if st.CoverThickness < 1 && !m.inch() {
			t = number(st.CoverThickness) + " mm"
		}
		if st.Covering.Kind == "paint" {
			m.add(List{Tick: true, Items: []string{m.say("paint.first"), m.say("paint.holes", "t", t), m.say("paint.coat"), m.say("paint.hard")}})
		} else {
			items := []string{m.say("film.first"), m.say("film.blank", "w", m.num(w), "h", m.size(h))}
			if allow > 0 {
				items = append(items, m.say("film.lay", "a", m.size(allow)), m.say("film.fold"))
			} else {
				items = append(items, m.say("film.flush"))
			}
			if st.CoverHoles == "folded" {
				items = append(items, m.say("film.cross"))
			} else {
				items = append(items, m.say("film.trim"))
			}
			m.add(List{Tick: true, Items: items})
		}
		blank := d.p.Face.Outline.Bounds().Grow(allow + 2)
		fig, k := m.fit(blank, 120, 1, func(float64) *drawing.Scene {
			s := &drawing.Scene{Bounds: blank}
			if allow > 0 {
				b := d.p.Face.Outline.Bounds().Grow(allow)
				s.Items = append(s.Items, drawing.Box(drawing.Style{Line: drawing.Edge}, b.Min, b.Max), drawing.Outl(drawing.Style{Line: drawing.Hidden, Ink: drawing.Pencil}, d.p.Face.Outline))
			} else {
				s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: drawing.Edge}, d.p.Face.Outline))
			}
			for _, c := range view.AllCuts(d.p) {
				if c.Blind == 0 {
					s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: drawing.Thin}, c.Outline))
				}
			}
			s.Items = append(s.Items, drawing.DatumCorner(geom.Vec2{}, false)...)
			return s
		})
		m.add(Figure{ID: "cover-" + id(d.name), Title: m.say("cover-title"), Alt: m.say("cover-title"), View: drawing.FrontView, Scene: fig, NoScale: m.scale(k)})
	}
}

// legends are the letters: how they will stand, and each with its place.
func (m *maker) legends() {
	for _, d := range m.sheets() {
		t := Table{ID: "legends-" + id(d.name), Name: m.say("ch.legends"), Cols: []Col{
			{Tick: true}, {Head: m.say("letters"), Bold: true}, {Head: m.say("for")}, {Head: m.with("high"), Right: true, Never: true}, {Head: m.say("across"), Right: true, Never: true}, {Head: m.say("up"), Right: true, Never: true},
		}}
		for _, c := range d.p.Controls {
			if l := c.Legend; l.Text != "" {
				t.Rows = append(t.Rows, Row{Cells: []string{"x", strings.Join(l.Lines, " / "), c.Label, m.coord(l.Cap), m.coord(round1(l.Middle.X)), m.coord(round1(l.Middle.Y))}, Of: []string{c.Name}})
			}
		}
		for _, x := range d.p.Texts {
			t.Rows = append(t.Rows, Row{Cells: []string{"x", strings.Join(x.Lines, " / "), "", m.coord(x.Cap), m.coord(round1(x.Middle.X)), m.coord(round1(x.Middle.Y))}})
		}
		if len(t.Rows) == 0 {
			continue
		}
		m.head("on-"+id(d.name), finding.Capital(m.board(d.name)))
		by := d.p.Legend.By
		if by == "" {
			by = "print"
		}
		m.para("legend." + by)
		fig, k := m.fit(d.p.Face.Outline.Bounds().Grow(2), 130, 1, func(float64) *drawing.Scene { return view.Front(d.p) })
		m.add(Figure{ID: "front-" + id(d.name), Title: m.say("front-title"), Alt: m.say("front-title"), View: drawing.FrontView, Scene: fig, NoScale: m.scale(k)})
		m.quiet("legend-use", "unit", m.unit())
		m.add(t)
	}
}

// box is how the boards become a box.
func (m *maker) box() {
	b := m.r.Box
	c := m.r.Panel.Carcass
	if c == nil || len(b.Boards) == 0 {
		return
	}
	size := c.Bounds.Max.Sub(c.Bounds.Min)
	m.para("box-size", "w", m.num(size.X), "d", m.num(size.Y), "h", m.size(size.Z), "kg", fmt.Sprintf("%.1f", b.Stand.Grams/1000))
	m.add(List{Items: b.Cautions, En: true})
	m.head("joints", m.say("joints"))
	pairs := map[string][]string{}
	var hows []string
	for _, j := range b.Joints {
		if len(j.Screws) == 0 && strings.HasPrefix(j.How, "touches") {
			continue
		}
		if pairs[j.How] == nil {
			hows = append(hows, j.How)
		}
		pairs[j.How] = append(pairs[j.How], m.board(j.A)+" – "+m.board(j.B))
	}
	t := Table{ID: "joints", Name: m.say("joints"), Cols: []Col{{Tick: true}, {Head: m.say("how"), Bold: true, En: true}, {Head: m.say("these-boards")}}}
	for _, how := range hows {
		t.Rows = append(t.Rows, Row{Cells: []string{"x", finding.Capital(how), strings.Join(pairs[how], "; ")}})
	}
	m.add(t)
	m.boxHoles()
	m.head("opens", m.say("opens"))
	var open []string
	for _, o := range b.Opening {
		open = append(open, o.Say)
	}
	m.add(List{Items: open, Number: true, En: true})
	if x := b.Exit; x != nil {
		m.english(x.Say)
	}
	if len(b.Feet) > 0 {
		m.para("feet", "n", len(b.Feet), "d", m.size(b.Feet[0].Diameter))
	}
	for _, l := range b.Boards {
		if l.Board.Role.Shell() || len(l.Bevels) > 0 {
			m.boardOf(l)
		}
	}
}

// boxHoles are the screws of the box, and inserts.
func (m *maker) boxHoles() {
	b := m.r.Box
	if len(b.Screws) > 0 {
		m.head("screws", m.say("box-screws"))
		m.quiet("screws-use")
		t := Table{ID: "screws", Name: m.say("box-screws"), Cols: []Col{{Tick: true}, {Head: m.say("number"), Right: true}, {Head: m.say("through"), Bold: true}, {Head: m.say("into")}, {Head: m.say("screw"), Never: true}, {Head: m.say("clearance"), En: true}, {Head: m.say("pilot"), En: true}}}
		for _, s := range b.Screws {
			pilot, shank := s.Names()
			t.Rows = append(t.Rows, Row{Cells: []string{"x", strconv.Itoa(s.N), m.board(s.Through), m.board(s.Into), s.Size.Sold(s.Length, m.inch()), shank, pilot}})
		}
		m.add(t)
	}
	if len(b.Inserts) > 0 {
		m.head("inserts", m.say("inserts"))
		t := Table{ID: "inserts", Name: m.say("inserts"), Cols: []Col{{Tick: true}, {Head: m.say("for"), Bold: true}, {Head: m.say("insert")}, {Head: m.say("into")}, {Head: m.say("bit"), En: true}}}
		for _, x := range b.Inserts {
			bit := m.size(x.Hole.Want)
			if x.Hole.OK {
				bit = x.Hole.Bit.Name
			}
			t.Rows = append(t.Rows, Row{Cells: []string{"x", x.Fixing, x.Size.Thread + ", " + m.size(x.Size.Length), m.board(x.Board), bit}})
		}
		m.add(t)
	}
}

// boardOf is one board: its drawing, its edges, its holes.
func (m *maker) boardOf(l box.BoardLine) {
	m.head("board-"+strconv.Itoa(l.N), finding.Capital(m.board(l.Name)))
	var fig *drawing.Scene
	k := 0.5
	for _, p := range m.o.Drawings.Boxes {
		if p.Title == l.Name {
			fig = p.Scene
		}
	}
	if fig == nil {
		s := view.BoardScene(l, m.r.Box)
		fig, k = m.fit(s.Bounds.Grow(3), 80, 1, func(float64) *drawing.Scene { return s })
	}
	m.add(Figure{ID: "board-" + strconv.Itoa(l.N), Title: m.say("board-title", "w", m.num(l.Blank.X), "h", m.size(l.Blank.Y), "t", m.size(l.Thickness)), Alt: m.board(l.Name), Scene: fig, NoScale: m.boardScale(k)})
	m.english(l.Say)
	t := Table{Name: m.say("edges"), Cols: []Col{{Head: m.say("edge"), Bold: true, En: true}, {Head: m.with("long"), Right: true, Never: true}, {Head: m.say("cut")}, {Head: m.say("meets")}}}
	for _, e := range l.Board.Edges {
		how := m.say("square")
		if e.Bevel > 0.01 {
			how = m.say("tilted", "deg", number(round1(e.Bevel)))
		}
		if e.Rebate != nil {
			how += "; " + m.say("rebate", "w", m.num(e.Rebate.Width), "d", m.size(e.Rebate.Depth))
		}
		if e.Comb != nil {
			how += "; " + m.say("fingers", "w", m.size(e.Comb.Finger()))
		}
		meets := ""
		if e.Neighbour != "" {
			meets = m.board(e.Neighbour) + ", " + m.tell(e.Joint.String())
		}
		t.Rows = append(t.Rows, Row{Cells: []string{e.Name, m.coord(round1(e.Length)), how, meets}})
	}
	m.add(t)
	t = Table{ID: "board-holes-" + strconv.Itoa(l.N), Name: m.say("box-holes"), Cols: []Col{{Tick: true}, {Head: m.with("across"), Right: true, Never: true}, {Head: m.say("up"), Right: true, Never: true}, {Head: m.say("what")}, {Head: m.say("bit"), Bold: true, En: true}}}
	for _, x := range m.r.Box.Screws {
		if x.Through == l.Name {
			_, shank := x.Names()
			at := datum(l.Board, x.Seen)
			t.Rows = append(t.Rows, Row{Cells: []string{"x", m.coord(round1(at.X)), m.coord(round1(at.Y)), m.say("screw") + " " + strconv.Itoa(x.N) + ", " + m.board(x.Into), shank}})
		}
	}
	for _, f := range m.r.Box.Feet {
		if f.Board == l.Name {
			at := datum(l.Board, f.Seen)
			t.Rows = append(t.Rows, Row{Cells: []string{"x", m.coord(round1(at.X)), m.coord(round1(at.Y)), m.say("foot-of", "d", m.size(f.Diameter)), ""}})
		}
	}
	if x := m.r.Box.Exit; x != nil && x.Board == l.Name {
		at := datum(l.Board, x.At)
		t.Rows = append(t.Rows, Row{Cells: []string{"x", m.coord(round1(at.X)), m.coord(round1(at.Y)), m.say("lead-hole"), m.size(x.Round)}})
	}
	if len(t.Rows) > 0 {
		m.quiet("board-holes-use")
		m.add(t)
	}
}

// boardScale says that a drawing with sizes is not to be measured.
func (m *maker) boardScale(k float64) string {
	if len(m.o.Drawings.Boxes) > 0 {
		return m.say("no-measure")
	}
	return m.scale(k)
}

// datum is a place of a board counted from its heavy corner, both ways without a sign.
func datum(b *carcass.Board, at geom.Vec2) geom.Vec2 {
	d := at.Sub(b.Datum)
	if d.X < 0 {
		d.X = -d.X
	}
	if d.Y < 0 {
		d.Y = -d.Y
	}
	return d
}
