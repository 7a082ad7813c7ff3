package book

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/view"
)

// wiring is the wires, page by page: all of it from behind, group by group, pins, schematic, wires to cut, joints, continuity.
func (m *maker) wiring() {
	h, w := m.r.Harness, m.r.Wiring
	if len(h.Wires) == 0 {
		return
	}
	if w.Plan.Partial {
		m.add(Para{Text: m.say("partial"), Bold: true})
	}
	m.para("wire-sum", "wires", len(h.Wires), "joints", len(h.Joints), "hours", m.hours(h.Minutes))
	m.add(Signs{[]Caution{{drawing.SignGoggles, m.say("solder.goggles"), m.say("solder.smoke")}}})
	m.english(h.Opening.Say)
	m.head("behind", m.say("behind"))
	m.para("behind-use")
	bounds := m.r.Panel.Face.Outline.Bounds().Grow(2)
	if m.r.Panel.Face.HasSize() {
		fig, k := m.fit(bounds, 200, 1, func(k float64) *drawing.Scene { return view.Wired(m.r.Panel, w, h, nil, k) })
		m.add(Figure{ID: "behind", Title: m.say("letters-colours"), Alt: m.say("behind"), View: drawing.RearView, Scene: fig, NoScale: m.scale(k)})
	}
	for i, g := range m.o.Drawings.Groups {
		m.group(i, g)
	}
	m.pins()
	for i, p := range m.o.Drawings.Schematic {
		if i == 0 {
			m.head("schematic", m.say("schematic"))
			m.para("schematic-use")
		}
		m.add(Figure{ID: fmt.Sprintf("schematic-%d", i+1), Title: fmt.Sprintf("%s %d", m.say("schematic"), i+1), Alt: m.say("schematic"), Scene: p.Scene, Free: true})
	}
	m.fittings()
	m.cut()
	m.allWires()
	m.joints()
	m.rings()
}

// group is one group of wires: from behind, and wire by wire.
func (m *maker) group(i int, g WireGroup) {
	g.Name = m.tell(g.Name)
	m.head(fmt.Sprintf("group-%d", i+1), g.Name)
	m.para("group-use")
	var of []string
	t := Table{ID: fmt.Sprintf("group-%d", i+1), Name: g.Name, Cols: []Col{{Tick: true}, {Head: m.say("number"), Right: true, Never: true, Bold: true}, {Head: m.say("wire"), Never: true}, {Head: m.say("colour"), Never: true}, {Head: m.say("from-end")}, {Head: m.say("to-end")}, {Head: m.say("cut-to"), Right: true, Never: true}}}
	for _, hop := range g.Hops {
		x := m.r.Harness.Wires[hop.Wire]
		touched := m.n.touched(x.From, x.To)
		of = append(of, touched...)
		t.Rows = append(t.Rows, Row{Cells: []string{"x", strconv.Itoa(hop.N), x.ID, m.n.short(x), m.n.terminal(x.From), m.n.terminal(x.To), m.size(x.Length)}, Of: touched})
	}
	m.add(Figure{ID: fmt.Sprintf("group-%d", i+1), Title: g.Name, Alt: g.Name, View: drawing.RearView, Scene: g.Scene, NoScale: m.say("no-measure"), Of: of}, t)
}

// pinEnd is what a wire at a pin leads to.
type pinEnd struct {
	to, colour, wire string
	of               []string
}

func (m *maker) pinEnds() map[wiring.Terminal][]pinEnd {
	at := map[wiring.Terminal][]pinEnd{}
	put := func(pin, to wiring.Terminal, x harness.Wire) {
		if _, ok := m.n.pin[pin]; !ok {
			return
		}
		name := m.n.terminal(to)
		switch net := m.r.Wiring.Nets[x.Net]; net.Kind {
		case wiring.NetGround, wiring.NetAGround, wiring.NetSupply, wiring.NetLine:
			name = m.tell(net.Name) + ": " + name
		}
		at[pin] = append(at[pin], pinEnd{name, x.Colour, x.ID, m.n.touched(to)})
	}
	for _, x := range m.r.Harness.Wires {
		put(x.From, x.To, x)
		put(x.To, x.From, x)
	}
	return at
}

// pins is what goes to every pin of the boards.
func (m *maker) pins() {
	m.head("pins", m.say("pins"))
	m.para("plan-is", "plan", m.r.Wiring.Plan.Title)
	if p := m.r.Wiring.Plan.Matrix; p != nil {
		m.english(p.Say)
	}
	ends := m.pinEnds()
	for i, b := range m.r.Wiring.Boards {
		m.add(Para{Text: finding.Capital(m.n.board(b)) + ": " + m.tell(b.Part.Title), Bold: true})
		if i < len(m.o.Drawings.Boards) && m.o.Drawings.Boards[i].Scene != nil {
			m.add(Figure{ID: "board-front-" + strconv.Itoa(i+1), Title: m.say("board-front"), Alt: m.n.board(b), Scene: m.o.Drawings.Boards[i].Scene})
		}
		t := Table{ID: "pins-" + strconv.Itoa(i+1), Name: m.say("pins"), Cols: []Col{{Head: m.say("pin"), Bold: true, Never: true}, {Head: m.say("printed"), Never: true}, {Head: m.say("goes-to")}, {Head: m.say("colour"), Never: true}, {Head: m.say("wire"), Never: true}}}
		for _, pin := range pinsOf(b.Part) {
			x := ends[wiring.Terminal{Of: b.Name, Lug: pin.Lug}]
			if len(x) == 0 && pin.Kind != catalog.PinIO {
				continue
			}
			if len(x) == 0 {
				t.Rows = append(t.Rows, Row{Cells: []string{pin.Lug, pin.Name, m.say("free"), "", ""}})
			}
			for _, y := range x {
				t.Rows = append(t.Rows, Row{Cells: []string{pin.Lug, pin.Name, y.to, y.colour, y.wire}, Of: y.of})
			}
		}
		m.add(t)
	}
	if len(m.r.Wiring.Idle) > 0 {
		m.add(Para{Text: m.say("not-wired"), Bold: true})
		var items []string
		for _, x := range m.r.Wiring.Idle {
			s := strings.TrimSpace(m.n.of(x.Of)+" "+x.Lug) + ": " + x.Why
			if !slices.Contains(items, s) {
				items = append(items, s)
			}
		}
		m.add(List{Items: items, En: true})
	}
}

func (m *maker) fittings() {
	fs := m.r.Wiring.Fittings
	if len(fs) == 0 {
		return
	}
	m.head("fittings", m.say("fittings"))
	t := Table{ID: "fittings", Name: m.say("fittings"), Cols: []Col{{Tick: true}, {Head: m.say("name"), Bold: true, Never: true}, {Head: m.say("value"), Never: true}, {Head: m.say("at-word")}, {Head: m.say("bands"), Small: true}, {Head: m.say("which-way"), Small: true, En: true}}}
	for _, f := range fs {
		t.Rows = append(t.Rows, Row{Cells: []string{"x", f.Name, f.Value, m.n.terminal(f.At), m.tellWords(f.Bands), f.Way}, Of: m.n.touched(f.At)})
	}
	m.add(t)
}

func (m *maker) metres(mm float64) string {
	if m.inch() {
		return fmt.Sprintf("%.1f ft", mm/304.8)
	}
	s := fmt.Sprintf("%.1f m", mm/1000)
	if m.both() {
		s += fmt.Sprintf(" (%.1f ft)", mm/304.8)
	}
	return s
}

func (m *maker) cut() {
	h := m.r.Harness
	m.head("cut-wire", m.say("cut-wire"))
	m.para("cut-wire-use")
	t := Table{ID: "wire-use", Name: m.say("cut-wire"), Cols: []Col{{Tick: true}, {Head: m.say("colour"), Bold: true, Never: true}, {Head: m.say("wire")}, {Head: m.say("needed"), Right: true, Never: true}}}
	for _, u := range h.Use {
		t.Rows = append(t.Rows, Row{Cells: []string{"x", m.n.colour(u.Colour), m.n.wire(u.Wire), m.metres(u.Need)}})
	}
	m.add(t)
	t = Table{ID: "cuts-wire", Name: m.say("cut-wire"), Cols: []Col{{Tick: true}, {Head: m.say("cut-to"), Bold: true, Right: true, Never: true}, {Head: m.say("how-many"), Right: true, Never: true}, {Head: m.say("wires")}}}
	last := ""
	for _, c := range h.Cut {
		if name := m.n.colour(c.Colour) + ", " + m.n.wire(c.Wire); name != last {
			last = name
			t.Rows = append(t.Rows, Row{Band: name})
		}
		t.Rows = append(t.Rows, Row{Cells: []string{"x", m.size(c.Length), strconv.Itoa(c.Count), strings.Join(c.IDs, " ")}})
	}
	m.add(t)
	for _, rb := range h.Ribbons {
		m.para("ribbon", "name", rb.Name, "wire", m.n.wire(rb.Wire), "long", m.size(rb.Length), "cores", rb.Cores)
	}
}

func (m *maker) allWires() {
	m.head("wires", m.say("every-wire"))
	t := Table{ID: "wires", Name: m.say("every-wire"), Cols: []Col{{Head: m.say("wire"), Bold: true, Never: true}, {Head: m.say("colour"), Never: true}, {Head: m.say("from-end")}, {Head: m.say("to-end")}, {Head: m.say("cut-to"), Right: true, Never: true}, {Head: "", Quiet: true, Small: true, Never: true}}}
	for _, x := range m.r.Harness.Wires {
		bends := ""
		if x.Moves {
			bends = m.say("bends")
		}
		t.Rows = append(t.Rows, Row{Cells: []string{x.ID, m.n.short(x), m.n.terminal(x.From), m.n.terminal(x.To), m.size(x.Length), bends}, Of: m.n.touched(x.From, x.To)})
	}
	m.add(t)
}

func (m *maker) joints() {
	h := m.r.Harness
	m.head("joints", m.say("soldering"))
	m.add(List{Items: []string{m.say("solder.lugs"), m.say("solder.last")}})
	t := Table{ID: "irons", Name: m.say("soldering"), Cols: []Col{{Head: m.say("place"), Bold: true}, {Head: "°C", Right: true}, {Head: m.say("tip"), En: true}, {Head: m.say("at-most-s"), Right: true}, {Head: m.say("mind"), Small: true, En: true}}}
	seen := map[string]bool{}
	for _, j := range h.Joints {
		if !seen[j.Heat] && !j.Crimped {
			seen[j.Heat] = true
			t.Rows = append(t.Rows, Row{Cells: []string{m.say("heat." + id(j.Heat)), strconv.Itoa(j.Iron), j.Tip, number(round1(j.Dwell)), harness.Irons[j.Heat].Say}})
		}
	}
	m.add(t)
	t = Table{ID: "solder", Name: m.say("soldering"), Cols: []Col{{Tick: true}, {Head: m.say("joint"), Right: true, Never: true}, {Head: m.say("at-word"), Bold: true}, {Head: m.say("ends-there")}, {Head: m.say("iron"), Small: true, Never: true}, {Head: m.say("note"), Small: true, En: true}}}
	rests := map[string]bool{}
	for _, j := range h.Joints {
		var with []string
		for _, w := range j.Wires {
			x := h.Wires[w]
			with = append(with, x.ID+" "+x.Colour)
		}
		with = append(with, j.Fits...)
		note := ""
		if j.Rest != "" && !rests[j.At.Of] {
			rests[j.At.Of] = true
			note = j.Rest
		}
		how := fmt.Sprintf("%d °C %s s", j.Iron, number(round1(j.Dwell)))
		if j.Crimped {
			how = m.say("crimp")
		}
		t.Rows = append(t.Rows, Row{Cells: []string{"x", strconv.Itoa(j.N), m.n.terminal(j.At), strings.Join(with, ", "), how, note}, Of: m.n.touched(j.At)})
	}
	m.add(t)
}

// rings is the continuity list.
func (m *maker) rings() {
	if len(m.r.Harness.Rings) == 0 {
		return
	}
	m.head("rings", m.say("continuity"))
	m.para("ring-use")
	free := func(x harness.Ring) bool { return x.Kind != harness.RingNeighbour }
	kinds := []struct {
		key  string
		keep func(x harness.Ring) bool
	}{
		{"silent", func(x harness.Ring) bool { return free(x) && !x.Rings && x.Do == "" }},
		{"ring", func(x harness.Ring) bool { return free(x) && x.Rings && x.Do == "" && x.Kind != harness.RingLamp }},
		{"held", func(x harness.Ring) bool {
			return free(x) && x.Do != "" && x.Kind != harness.RingMatrix && x.Kind != harness.RingLamp
		}},
		{"matrix", func(x harness.Ring) bool { return x.Kind == harness.RingMatrix }},
		{"lamps", func(x harness.Ring) bool { return x.Kind == harness.RingLamp && (x.Rings || x.Do != "") }},
		{"boards", func(x harness.Ring) bool { return !free(x) }},
	}
	t := Table{ID: "rings", Name: m.say("continuity"), Cols: []Col{{Tick: true}, {Head: m.say("from-end")}, {Head: m.say("to-end")}, {Head: m.say("do"), En: true}, {Head: m.say("meter"), Bold: true}}}
	for _, k := range kinds {
		first := true
		for _, x := range m.r.Harness.Rings {
			if !k.keep(x) {
				continue
			}
			if first {
				t.Rows = append(t.Rows, Row{Band: m.say("rings." + k.key)})
				first = false
			}
			t.Rows = append(t.Rows, Row{Cells: []string{"x", m.n.terminal(x.A), m.n.terminal(x.B), x.Do, m.ring(x)}, Of: m.n.touched(x.A, x.B)})
		}
	}
	m.add(t)
}

func (m *maker) ring(x harness.Ring) string {
	switch {
	case x.Rings && x.Volts[1] > 0:
		return fmt.Sprintf("%.1f – %.1f V", x.Volts[0], x.Volts[1])
	case !x.Rings && x.Ohms[0] > 0:
		return m.say("silent-over", "ohms", ohms(x.Ohms[0]))
	case !x.Rings:
		return m.say("silent")
	case x.Ohms[1] > 0 && x.Ohms[1] <= 5:
		return m.say("rings-under", "ohms", ohms(x.Ohms[1]))
	case x.Ohms[1] > 0:
		return ohms(x.Ohms[0]) + " – " + ohms(x.Ohms[1])
	}
	return m.say("rings-word")
}

func ohms(v float64) string {
	switch {
	case v >= 1e6:
		return number(round1(v/1e6)) + " MΩ"
	case v >= 1e3:
		return number(round1(v/1e3)) + " kΩ"
	}
	return number(round1(v)) + " Ω"
}
