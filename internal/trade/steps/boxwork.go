package steps

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/trade/box"
)

// shop makes the steps before anything is cut: what has come, what was measured, what was printed.
func (m *maker) shop() {
	s := m.add("shop", "shop", "shop").do("shop.do")
	type line struct {
		id, title string
		n         int
	}
	var lines []line
	count := func(id, title string) {
		if id == "" {
			return
		}
		for i := range lines {
			if lines[i].id == id {
				lines[i].n++
				return
			}
		}
		lines = append(lines, line{id, or(title, id), 1})
	}
	for _, x := range m.sheets {
		for _, c := range x.p.Controls {
			count(c.Part.ID, c.Part.Title)
		}
	}
	kinds := len(lines)
	for _, b := range m.Wiring.Boards {
		count(b.Part.ID, b.Part.Title)
	}
	if len(m.Wiring.Boards) == 0 && m.Panel.Module != nil {
		count(m.Panel.Module.Part.ID, m.Panel.Module.Part.Title)
	}
	if st := m.Panel.Stack; st.Sheet.ID != "" {
		count(st.Sheet.ID, st.Sheet.Title)
	}
	seen := map[string]bool{m.Panel.Stack.Sheet.ID: true}
	for _, b := range m.Box.Boards {
		if id := b.Material.ID; id != "" && !seen[id] {
			seen[id] = true
			count(id, b.Material.Title)
		}
	}
	for _, l := range lines {
		s.item(l.id, "shop.item", "n", l.n, "what", l.title)
	}
	s.Minutes = math.Max(5, float64(len(lines))*m.per("check-kind"))
	s.Papers = []string{"parts.csv"}

	x := m.add("measure", "shop", "measure").do("measure.do").do("measure.write")
	x.Minutes = math.Max(2, float64(kinds)*m.per("measure-part"))
	for _, l := range lines[:kinds] {
		x.item(l.id, "measure.item", "what", l.title)
	}
	x.after("shop", "parts")
	x.Papers = []string{"assumed.txt"}

	if !m.printed() {
		return
	}
	p := m.add("print", "shop", "print").do("print.do").do("print.bars")
	n := 0
	for range m.sheets {
		n += 3
	}
	p.Minutes = float64(n) * m.per("print-sheet")
	p.Papers = []string{"template.pdf", "legends.pdf", "drilling.pdf"}
	p.after("measure", "measured-print")
}

// printed reports whether anything is to be printed at true size.
func (m *maker) printed() bool {
	for _, s := range m.sheets {
		if s.openings() > 0 || s.legends() > 0 || strings.HasPrefix(s.p.Stack.Covering.ID, "printed") {
			return true
		}
	}
	return false
}

// trial makes the steps in scrap.
func (m *maker) trial() {
	n := 0
	var t *Step
	for _, s := range m.sheets {
		for _, c := range s.d.Coupons {
			if t == nil {
				t = m.add("trial", "drill", "trial").do("trial.do").do("trial.same")
			}
			n++
			size := c.Bit.Diameter
			if size <= 0 {
				size = c.Cut.Nominal
			}
			t.item(s.slug+"-"+itoa(n), "trial.item", "size", m.mm(size), "of", c.Cut.Origin.Name, "board", slugName(s.slug))
		}
	}
	if t != nil {
		t.Minutes = float64(n) * m.per("test-hole")
		t.mind("eyes", "eyes").mind("clamp", "clamp-drill")
		t.after("shop", "parts").after("measure", "measured")
	}
	if m.sawn() && m.jointed() {
		c := m.add("trial-cut", "cut", "trial-cut").do("trial-cut.do").do("trial-cut.kerf")
		c.Minutes = 2 * m.per("test-cut")
		c.after("shop", "parts")
		m.saw(c)
	}
}

// jointed reports whether the boards have edges on the slant or cut joints: then the saw is set in scrap first.
func (m *maker) jointed() bool {
	for _, b := range m.Box.Boards {
		if len(b.Bevels) > 0 {
			return true
		}
		for _, e := range b.Board.Edges {
			if e.Rebate != nil || e.Comb != nil || e.Joint == carcass.Mitred {
				return true
			}
		}
	}
	return false
}

// sawn reports whether there are boards to be sawn.
func (m *maker) sawn() bool { return len(m.Box.Boards) > 0 && !m.Box.Laser }

// saw puts the cautions of sawing at a step.
func (m *maker) saw(s *Step) *Step {
	switch m.Box.Saw {
	case "laser":
		return s.mind("eyes", "laser").mind("vapour", "laser-fumes").mind("sheet", "sheet-tool")
	case "table":
		s.mind("eyes", "eyes").mind("guard", "table-saw")
	default:
		s.mind("eyes", "eyes").mind("blade", "hand-saw")
	}
	return s.mind("dust", "dust-wood").mind("clamp", "clamp-saw").mind("sheet", "sheet-tool")
}

// cut makes the steps of cutting.
func (m *maker) cut() {
	for _, s := range m.sheets {
		if !s.face {
			continue
		}
		c := m.add(s.id("cut"), "cut", "cut-face", "board", slugName(s.slug)).do("cut-face.size", "w", m.mm(s.p.Face.Width), "h", m.mm(s.p.Face.Height)).do("cut-face.square")
		if s.p.Face.Rack > 0 {
			c.do("cut-face.rack")
		}
		if s.p.Face.Corner > 0 {
			c.do("cut-face.corner", "r", m.mm(s.p.Face.Corner))
		}
		c.Minutes, c.Board, c.Papers = m.per("cut-face"), s.on(), []string{"face.dxf", "face.svg"}
		m.saw(c)
		c.noReturn("cut-face").after("shop", "parts").after("measure", "measured-sheet")
	}
	if len(m.Box.Boards) == 0 {
		return
	}
	c := m.add("cut-boards", "cut", "cut-boards").do("cut-boards.do").do("cut-boards.mark")
	small := false
	var battens []box.BoardLine
	joints := 0
	for _, b := range m.Box.Boards {
		if !b.Board.Role.Shell() {
			battens = append(battens, b)
			continue
		}
		if m.isFace(b) {
			continue
		}
		c.item(itoa(b.N), "cut-boards.item", "board", boardName(b.Name), "w", m.mm(b.Blank.X), "h", m.mm(b.Blank.Y))
		c.Minutes += m.per("cut-board")
		small = small || b.Small
		for _, e := range b.Board.Edges {
			if e.Rebate != nil || e.Comb != nil {
				joints++
			}
		}
	}
	if m.Box.Laser {
		c.Minutes /= 3
	}
	m.saw(c)
	if small && !m.Box.Laser {
		c.mind("small-piece", "small-piece").do("cut-boards.small")
	}
	c.Papers = []string{"cutlist.csv", "box.pdf"}
	c.noReturn("cut-boards").after("shop", "parts").after("trial-cut", "tried-cut").after("measure", "measured-sheet")
	if joints > 0 && !m.Box.Laser {
		j := m.add("cut-joints", "cut", "cut-joints", "n", joints).do("cut-joints.do")
		j.Minutes = float64(joints) * m.per("joint-edge")
		j.Papers = []string{"box.pdf", "joints.csv"}
		m.saw(j)
		j.noReturn("cut-joints").after(c.ID, "cut-first").after("trial-cut", "tried-cut")
	}
	if len(battens) > 0 {
		b := m.add("cut-battens", "cut", "cut-battens").do("cut-battens.do")
		for _, l := range battens {
			b.item(itoa(l.N), "cut-battens.item", "board", boardName(l.Name), "w", m.mm(l.Thickness), "h", m.mm(l.Blank.Y), "long", m.mm(l.Blank.X))
			b.Minutes += m.per("cut-batten")
			if l.Small {
				b.mind("small-piece", "small-piece")
			}
		}
		b.Papers = []string{"cutlist.csv"}
		if m.Box.Saw == "table" {
			b.mind("guard", "table-saw")
		} else {
			b.mind("blade", "hand-saw")
		}
		b.mind("eyes", "eyes")
		b.after("shop", "parts").after(c.ID, "battens-after")
	}
}

// isFace reports whether a board of the box is one of the faces, which have steps of their own.
func (m *maker) isFace(b box.BoardLine) bool { return b.Board.Role == carcass.RoleFace }

// comesOff reports whether a board comes off when the box is opened.
func (m *maker) comesOff(name string) bool {
	return slices.ContainsFunc(m.Box.Opening, func(o box.Open) bool { return o.Board == name })
}

// faceGlued reports whether the face is glued on; the box is then opened elsewhere, or not at all.
func (m *maker) faceGlued() bool {
	c := m.Panel.Carcass
	return c != nil && c.Spec.Build.FaceHeld == carcass.GluedDown
}

// box makes the steps of putting the box together.
func (m *maker) box() {
	if len(m.Box.Boards) == 0 {
		return
	}
	var glued []box.Joint
	battens, ribs := 0, []string{}
	face, batten := map[string]bool{}, map[string]bool{}
	for _, b := range m.Box.Boards {
		face[b.Name] = m.isFace(b)
		batten[b.Name] = !b.Board.Role.Shell()
		switch {
		case b.Board.Role == carcass.RoleRib:
			ribs = append(ribs, b.Name)
		case batten[b.Name]:
			battens++
		}
	}
	walls := 0
	for _, j := range m.Box.Joints {
		if strings.HasPrefix(j.How, "glued") && !face[j.A] && !face[j.B] && !batten[j.A] && !batten[j.B] {
			glued = append(glued, j)
		}
		if !face[j.A] && !face[j.B] && !batten[j.A] && !batten[j.B] {
			walls++
		}
	}
	d := m.add("dry-fit", "box", "dry-fit").do("dry-fit.do").do("dry-fit.face")
	d.Minutes = m.per("dry-fit")
	d.Papers = []string{"box.pdf", "joints.csv"}
	d.after("cut-boards", "cut-first").after("cut-joints", "cut-first").after("cut-face", "box-from-face").after("cut-upper", "box-from-face")

	g := m.add("glue-box", "box", "glue-box").do("glue-box.do").do("glue-box.clamps", "time", m.time("glue-clamp")).do("glue-box.wipe")
	for _, j := range glued {
		g.item(strings.ReplaceAll(j.A+"-"+j.B, " ", "-"), "glue-box.item", "a", boardName(j.A), "b", boardName(j.B))
	}
	if len(glued) == 0 {
		g.do("glue-box.screwed")
	}
	g.Minutes, g.OneGo = math.Max(10, float64(max(len(glued), 1))*m.per("glue-joint")), true
	g.Papers = []string{"joints.csv", "box.pdf"}
	m.leave(g, "glue-full", "full")
	m.gluing(g)
	g.noReturn("glue-box")
	g.after(d.ID, "dry-fitted")
	for _, s := range m.sheets {
		if !s.face {
			g.after(s.id("drill"), "drill-flat").after(s.id("fit"), "drill-flat")
			if m.by[s.id("deburr")] != nil {
				d.after(s.id("deburr"), "drill-flat")
			}
		}
	}
	clamp, _ := m.wait("glue-clamp")
	if n := len(m.Box.Screws); n > 0 {
		s := m.add("screw-box", "box", "screw-box", "n", n).do("screw-box.do")
		s.Minutes = float64(n) * m.per("screw")
		s.Papers = []string{"joints.csv", "patterns.pdf"}
		s.dry(g.ID, "clamps-off", clamp).mind("eyes", "eyes")
	}
	if battens > 0 {
		b := m.add("glue-battens", "box", "glue-battens", "n", battens).do("glue-battens.do").do("glue-box.clamps", "time", m.time("glue-clamp"))
		b.Minutes, b.OneGo = float64(battens)*m.per("glue-joint"), true
		b.Papers = []string{"box.pdf", "joints.csv"}
		m.leave(b, "glue-full", "full")
		m.gluing(b)
		b.dry(g.ID, "clamps-off", clamp).after("cut-battens", "cut-first").after("screw-box", "screws-first")
	}
	if len(ribs) > 0 {
		r := m.add("glue-ribs", "box", "glue-ribs", "n", len(ribs)).do("glue-ribs.do")
		for _, x := range ribs {
			r.item(strings.ReplaceAll(x, " ", "-"), "glue-ribs.item", "rib", strings.TrimPrefix(x, "rib "))
		}
		r.Minutes, r.OneGo = float64(len(ribs))*2*m.per("glue-joint"), true
		r.Papers = []string{"box.pdf", "press.pdf"}
		m.leave(r, "glue-full", "full")
		m.gluing(r)
		r.noReturn("glue-ribs")
		r.dry("glue-battens", "clamps-off", clamp).dry(g.ID, "clamps-off", clamp).after("cut-battens", "cut-first").after("fit-face", "rib-clear").after("fit-upper", "rib-clear")
	}
	m.seat(clamp)
	m.finishBox()
}

// seat makes the step in which the bare face is tried on the box.
func (m *maker) seat(clamp float64) {
	s := m.add("seat-face", "box", "seat-face").do("seat-face.do")
	s.Minutes = 6
	n := len(m.Panel.Fixings)
	if n > 0 && !m.faceGlued() {
		s.do("seat-face.screws", "n", n)
		s.Minutes += float64(n) * m.per("screw")
	}
	s.Papers = []string{"box.pdf"}
	s.after("drill-face", "drilled").after("fit-face", "fitted").after("drill-upper", "drilled").after("cut-face", "cut-first")
	s.dry("glue-box", "clamps-off", clamp).dry("glue-battens", "ledges-hold", clamp).dry("glue-ribs", "ledges-hold", clamp).after("screw-box", "screws-first")
}

// finishBox makes the steps from sanding to the feet.
func (m *maker) finishBox() {
	s := m.add("sand-box", "box", "sand-box").do("sand-box.do")
	n := 0
	for _, b := range m.Box.Boards {
		if b.Board.Role.Shell() && !m.isFace(b) {
			n++
		}
	}
	s.Minutes = float64(n) * m.per("sand-board")
	s.mind("dust", "dust-wood")
	s.dry("glue-box", "glue-full", 0).dry("glue-battens", "glue-full", 0).dry("glue-ribs", "glue-full", 0).after("screw-box", "screws-first").after("seat-face", "seat-before-sand")
	prev := s.ID
	coats := m.coats
	if m.finish == "none" {
		coats = 0
	}
	recoat, hard := "paint-recoat", "paint-handle"
	if m.finish == "varnish" {
		recoat, hard = "varnish-recoat", "varnish-handle"
	}
	for i := 1; i <= coats; i++ {
		x := m.add("finish-box-"+itoa(i), "paint", "finish-"+m.finish, "i", i, "of", coats).do("coat.thin")
		x.Minutes, x.OneGo = m.per("coat"), true
		if i == 1 {
			x.do("finish.mask").noReturn("finish").after(prev, "sanded")
		} else {
			x.do("coat.between").dry(prev, "recoat", 0)
		}
		if i < coats {
			m.leave(x, recoat, "recoat")
		} else {
			m.leave(x, hard, "hard")
		}
		m.chemical(x)
		prev = x.ID
	}
	if n := len(m.Box.Inserts); n > 0 {
		x := m.add("inserts", "box", "inserts", "n", n).do("inserts.do")
		x.Minutes = float64(n) * m.per("insert")
		x.Papers = []string{"box.pdf", "joints.csv"}
		x.dry(prev, "paint-before-inserts", 0).dry("glue-battens", "glue-full", 0).after("seat-face", "marked-through")
		x.noReturn("inserts").mind("eyes", "eyes")
	}
	if n := len(m.Box.Feet); n > 0 {
		x := m.add("feet", "box", "feet", "n", n).do("feet.do")
		x.Minutes = float64(n) * m.per("foot")
		x.Papers = []string{"box.pdf"}
		m.finished(x, "paint-before-feet")
	}
}

// finished makes a step wait for the finish of the box to be hard, or the box to be sanded when it stays bare.
func (m *maker) finished(x *Step, why string) {
	if m.finish == "none" {
		x.after("sand-box", why)
		return
	}
	x.dry("finish-box-"+itoa(m.coats), why, 0)
}
