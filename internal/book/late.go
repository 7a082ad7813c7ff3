package book

import (
	"fmt"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/firmware"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/view"
)

// pinAt says where a row of the mapping is read.
func (m *maker) pinAt(x firmware.Row) string {
	at := x.Pin
	if at == "" {
		return m.say("no-pin")
	}
	if x.Board != "" && x.Board != "module" {
		at = x.Board + " " + at
	}
	return at
}

// firmware is what each control sends, and how the image gets onto the module.
func (m *maker) firmware() {
	f := &m.r.Firmware
	if len(f.Rows) == 0 {
		return
	}
	m.head("mapping", m.say("mapping"))
	m.para("mapping-use")
	t := Table{ID: "mapping", Name: m.say("mapping"), Cols: []Col{{Tick: true}, {Head: m.say("control"), Bold: true}, {Head: m.say("sends"), En: true}, {Head: m.say("how"), Small: true, Quiet: true, En: true}, {Head: m.say("pin"), Small: true}, {Head: m.say("report"), Small: true, Quiet: true, Never: true}}}
	lamps := Table{ID: "lamps", Name: m.say("lamps"), Cols: []Col{{Head: m.say("lamp"), Bold: true}, {Head: m.say("goes-by"), En: true}, {Head: m.say("how"), Small: true, Quiet: true, En: true}, {Head: m.say("pin"), Small: true}}}
	given := false
	for _, x := range f.Rows {
		of := []string{x.Control.Name}
		if x.Lamp {
			lamps.Rows = append(lamps.Rows, Row{Cells: []string{x.Label, x.Sends, x.How, m.pinAt(x)}, Of: of})
			continue
		}
		place, sends := "", x.Sends
		if x.Place.Width > 0 {
			place = fmt.Sprintf("%d.%d", x.Place.Report, x.Place.Bit)
		}
		if x.Auto {
			sends, given = sends+" *", true
		}
		t.Rows = append(t.Rows, Row{Cells: []string{"x", x.Label, sends, x.How, m.pinAt(x), place}, Of: of})
	}
	m.add(t)
	if given {
		m.quiet("mapping-given")
	}
	m.quiet("mapping-report")
	if len(lamps.Rows) > 0 {
		m.head("lamps", m.say("lamps"))
		m.add(lamps)
	}
	if len(f.Image.Data) == 0 {
		return
	}
	m.head("image", m.say("image"))
	m.para("image-is", "image", f.Image.Name, "chip", f.Chip, "name", f.Device.Name, "serial", f.Device.Serial)
	if strings.HasSuffix(f.Image.Name, ".uf2") {
		m.add(List{Number: true, Items: []string{m.say("uf2.plug"), m.say("uf2.copy", "image", f.Image.Name), m.say("uf2.restart", "name", f.Device.Name), m.say("flash.work")}},
			Para{Text: "knobwright flash " + f.Image.Name + " --to DIR", Mono: true},
			List{Items: []string{m.say("flash.safe"), m.say("uf2.no-drive"), m.say("flash.refused")}})
		return
	}
	m.add(List{Number: true, Items: []string{m.say("hex.plug"), m.say("hex.write", "image", f.Image.Name), m.say("hex.restart", "name", f.Device.Name), m.say("flash.work")}},
		Para{Text: "knobwright flash " + f.Image.Name + " --to PORT", Mono: true},
		List{Items: []string{m.say("flash.safe"), m.say("hex.no-port"), m.say("flash.refused")}})
}

// power is the first time that current flows.
func (m *maker) power() {
	h := m.r.Harness
	if len(h.Power) == 0 {
		return
	}
	m.add(Para{Text: m.say("power-first"), Bold: true})
	m.para("power-use")
	t := Table{ID: "power", Name: m.c.Title, Cols: []Col{{Tick: true}, {Head: m.say("do"), En: true}, {Head: m.say("expect"), Bold: true, En: true}, {Head: m.say("if-not"), En: true}}}
	for _, s := range h.Power {
		t.Rows = append(t.Rows, Row{Cells: []string{"x", s.Do, s.Expect, s.Else}})
	}
	m.add(t)
	p := m.r.Wiring.Power
	if len(p.Lamps) > 0 {
		m.head("lamps", m.say("lamps"))
		t := Table{ID: "power-lamps", Name: m.say("lamps"), Cols: []Col{{Head: m.say("lamp"), Bold: true}, {Head: m.say("fed-from")}, {Head: m.say("resistor")}, {Head: "mA", Right: true, Never: true}, {Head: m.say("tolerances"), Right: true, Never: true}}}
		for _, x := range p.Lamps {
			d := m.r.Wiring.Devices[x.Device]
			t.Rows = append(t.Rows, Row{Cells: []string{d.Label, x.Supply, x.Fitting, fmt.Sprintf("%.1f", x.Nominal), fmt.Sprintf("%.1f – %.1f", x.Least, x.Most)}, Of: []string{d.Control.Name}})
		}
		m.add(t)
	}
	if len(p.Checked) > 0 {
		m.head("reckoned", m.say("reckoned"))
		m.add(List{Items: p.Checked, En: true})
	}
}

// test is the test sheet of the finished panel.
func (m *maker) test() {
	tests := m.o.Tests
	said := map[string]string{}
	if m.o.Record != nil {
		for _, t := range m.o.Record.Tests {
			said[t.Line] = t.Said + " " + t.On
		}
	}
	if tests == nil && len(m.r.Firmware.Rows) > 0 {
		for _, x := range diagnosis.Sheet(diagnosis.Inputs{Panel: m.r.Panel, Wiring: m.r.Wiring, Harness: m.r.Harness, Firmware: m.r.Firmware}) {
			tests = append(tests, Test{x.Spot.Control, m.Lang.Say(x.Say), m.Lang.Say(x.Expect)})
		}
	}
	if len(tests) == 0 {
		return
	}
	t := Table{ID: "test", Name: m.c.Title, Cols: []Col{{Tick: true}, {Head: m.say("control"), Bold: true}, {Head: m.say("do")}, {Head: m.say("expect")}, {Head: m.say("seen"), Write: true}}}
	for _, x := range tests {
		row := Row{Cells: []string{"x", "", x.Do, x.Expect, "x"}}
		if x.Control != "" {
			row.Cells[1], row.Of = m.n.of(x.Control), []string{x.Control}
		}
		t.Rows = append(t.Rows, row)
	}
	m.add(t)
	if len(said) > 0 {
		m.head("said", m.say("test-said"))
		var items []string
		for _, x := range m.o.Record.Tests {
			items = append(items, strings.TrimSpace(x.On+"  "+x.Line+": "+x.Said+" "+x.Note))
		}
		m.add(List{Items: items})
	}
}

// repair is what a person wants to know who opens it years later.
func (m *maker) repair() {
	r := m.r
	if len(m.sheets()[0].p.Controls) == 0 && len(r.Sides) == 0 {
		return
	}
	m.add(Para{Text: m.say("repair-first"), Bold: true})
	m.head("open", m.say("opens"))
	var open []string
	for _, o := range r.Box.Opening {
		open = append(open, o.Say)
	}
	if len(open) > 0 {
		m.add(List{Items: open, Number: true, En: true})
	} else {
		m.para("no-box")
	}
	m.english(r.Harness.Opening.Say)
	if r.Panel.Face.HasSize() {
		m.head("where", m.say("where"))
		fig, k := m.fit(r.Panel.Face.Outline.Bounds().Grow(2), 120, 1, func(k float64) *drawing.Scene { return view.RearScaled(r.Panel, k) })
		m.add(Figure{ID: "where", Title: m.say("where"), Alt: m.say("where"), View: drawing.RearView, Scene: fig, NoScale: m.scale(k)})
	}
	wires := map[string][]string{}
	for _, x := range r.Harness.Wires {
		for _, end := range []wiring.Terminal{x.From, x.To} {
			if c := m.n.control(end); c != "" {
				wires[c] = append(wires[c], x.ID+" "+x.Colour)
			}
		}
	}
	for _, d := range m.sheets() {
		if len(d.p.Controls) == 0 {
			continue
		}
		t := Table{ID: "where-" + id(d.name), Name: m.say("where"), Cols: []Col{{Head: m.say("control"), Bold: true}, {Head: m.say("part"), Small: true, En: true}, {Head: m.with("across"), Right: true, Never: true}, {Head: m.say("up"), Right: true, Never: true}, {Head: m.say("nut"), Small: true, En: true}, {Head: m.say("wires"), Small: true}}}
		if d.side >= 0 {
			t.Rows = append(t.Rows, Row{Band: finding.Capital(m.board(d.name))})
		}
		for _, c := range d.p.Controls {
			t.Rows = append(t.Rows, Row{Cells: []string{c.Label, c.Part.ID, m.coord(c.At.X), m.coord(c.At.Y), c.Part.Nut.Tool, strings.Join(wires[c.Name], ", ")}, Of: []string{c.Name}})
		}
		m.add(t)
	}
	m.wireColours()
	m.spares()
}

// wireColours says what each colour is used for.
func (m *maker) wireColours() {
	type use struct{ net, colour string }
	count := map[use]int{}
	var order []use
	for _, x := range m.r.Harness.Wires {
		u := use{string(m.r.Wiring.Nets[x.Net].Kind), x.Colour}
		if u.net == string(wiring.NetInner) {
			u.net = string(wiring.NetSignal)
		}
		if count[u] == 0 {
			order = append(order, u)
		}
		count[u]++
	}
	if len(order) == 0 {
		return
	}
	m.head("colours", m.say("wire-colours"))
	m.quiet("colour-letters")
	t := Table{ID: "colours", Name: m.say("wire-colours"), Cols: []Col{{Head: m.say("what-for"), Bold: true}, {Head: m.say("colour")}, {Head: m.say("how-many"), Right: true}}}
	for _, kind := range []wiring.NetKind{wiring.NetGround, wiring.NetAGround, wiring.NetSupply, wiring.NetBus, wiring.NetLine, wiring.NetSignal} {
		for _, u := range order {
			if u.net == string(kind) {
				t.Rows = append(t.Rows, Row{Cells: []string{m.say("net." + id(u.net)), m.n.colour(u.colour), strconv.Itoa(count[u])}})
			}
		}
	}
	m.add(t)
}

// spares are the parts that a repair wants.
func (m *maker) spares() {
	t := Table{ID: "spares", Name: m.say("spares"), Cols: []Col{{Head: m.say("part"), Bold: true, En: true}, {Head: m.say("title-word"), En: true}, {Head: m.say("in-it"), Right: true}, {Head: m.say("spare"), Right: true}, {Head: m.with("hole-mm"), Right: true, Never: true}}}
	hole := map[string]*panel.Cut{}
	for _, p := range m.r.Panel.Sheets() {
		for _, c := range p.Controls {
			if len(c.Cuts) > 0 && hole[c.Part.ID] == nil {
				hole[c.Part.ID] = c.Cuts[0]
			}
		}
	}
	for _, l := range m.r.Costs.Lines {
		if l.Section != "controls" && l.Section != "boards" {
			continue
		}
		spare, size := "", ""
		if l.Spare > 0 {
			spare = number(l.Spare)
		}
		if c := hole[l.ID]; c != nil && c.Round() {
			size = m.coord(c.Nominal)
		}
		t.Rows = append(t.Rows, Row{Cells: []string{l.ID, l.Title, number(l.Use), spare, size}})
	}
	if len(t.Rows) > 0 {
		m.head("spares", m.say("spares"))
		m.add(t)
	}
}

// changes is what was built otherwise than drawn, and room to write.
func (m *maker) changes() {
	if rec := m.o.Record; rec != nil && len(rec.Facts) > 0 {
		t := Table{ID: "facts", Name: m.c.Title, Cols: []Col{{Head: m.say("date"), Never: true}, {Head: m.say("what"), Bold: true}, {Head: m.say("about"), Small: true}, {Head: m.say("now"), Small: true}}}
		for _, f := range rec.Facts {
			var of, names []string
			for _, n := range f.Of {
				names = append(names, m.n.of(n))
				if m.n.controls[n] != nil {
					of = append(of, n)
				}
			}
			now := ""
			if f.Past {
				now = m.say("mended")
			}
			t.Rows = append(t.Rows, Row{Cells: []string{f.On, f.What, strings.Join(names, ", "), now}, Of: of})
		}
		m.add(t)
	} else {
		m.para("no-facts")
	}
	m.head("log", m.say("log"))
	t := Table{ID: "log", Name: m.say("log"), Cols: []Col{{Head: m.say("date"), Write: true}, {Head: m.say("what-changed"), Write: true, Least: 95}, {Head: m.say("by-whom"), Write: true}}}
	for range 12 {
		t.Rows = append(t.Rows, Row{Cells: []string{"x", "x", "x"}})
	}
	m.add(t)
}

// trusted are the numbers that nobody has measured.
func (m *maker) trusted() {
	if len(m.r.Panel.Assumed) == 0 {
		return
	}
	t := Table{ID: "trust", Name: m.c.Title, Cols: []Col{{Tick: true}, {Head: m.say("what"), Small: true, En: true}, {Head: m.say("comes-from"), Small: true, Quiet: true, En: true}}}
	for _, a := range m.r.Panel.Assumed {
		t.Rows = append(t.Rows, Row{Cells: []string{"x", a.What, a.Source.String()}})
	}
	m.add(t)
}
