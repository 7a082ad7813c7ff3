package steps

import (
	"math"
	"regexp"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/panel"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// time writes a kind of waiting as people say it: "1 h", "45 min".
func (m *maker) time(kind string) string {
	v, _ := m.wait(kind)
	return Span(v)
}

// mount makes the steps in which controls and boards get their places.
func (m *maker) mount() {
	if m.faceGlued() && m.Panel.Carcass != nil && len(m.Box.Opening) > 0 {
		g := m.add("glue-face", "box", "glue-face").do("glue-face.do").do("glue-box.clamps", "time", m.time("glue-clamp"))
		g.Minutes, g.OneGo = 4*m.per("glue-joint"), true
		m.leave(g, "glue-full", "full")
		m.gluing(g)
		g.noReturn("glue-face").after("seat-face", "dry-fitted").after("glue-ribs", "ribs-first").dry("glue-battens", "ledges-hold", 0)
		m.dressed(m.sheets[0], g)
		m.finished(g, "finish-first")
	}
	for _, s := range m.sheets {
		if len(s.p.Controls) == 0 {
			continue
		}
		x := m.add(s.id("mount"), "mount", "mount", "board", slugName(s.slug)).do("mount.do").do("mount.turn")
		for _, c := range s.p.Controls {
			x.item(c.Name, "mount.item", "control", c.Label, "part", partTitle(c))
		}
		x.Minutes = float64(len(s.p.Controls)) * m.per("mount-control")
		x.Board, x.Controls, x.Papers = s.on(), s.controls(), []string{"front.pdf", "rear.pdf"}
		x.noReturn("mount")
		x.NoReturn = false // nuts come off again; the look before is worth it all the same
		m.dressed(s, x)
		if !s.face {
			m.finished(x, "finish-first")
		}
		x.after("inserts", "inserts-first").dry("glue-face", "glue-full", 0)
	}
	if c := m.Panel.Carcass; c != nil && m.Panel.Box != nil && m.hinged() {
		h := m.add("hang-face", "mount", "hang-face").do("hang-face.do")
		h.Minutes = 15
		m.finished(h, "finish-first")
		h.after("seat-face", "dry-fitted")
		m.dressed(m.sheets[0], h)
	}
	if len(m.boards()) > 0 {
		x := m.add("mount-boards", "mount", "mount-boards").do("mount-boards.do")
		for _, b := range m.boards() {
			x.item(b.Name, "mount-boards.item", "what", partName(b), "on", "@steps.on."+or(b.On, "base"))
		}
		x.Minutes = float64(len(m.boards())) * m.per("mount-board")
		x.Papers = []string{"wiring.pdf"}
		if len(m.Box.Boards) > 0 {
			m.finished(x, "finish-first")
		}
		x.dry("glue-ribs", "glue-full", 0).after("feet", "feet-first")
		for _, b := range m.boards() {
			if b.On == "face" {
				m.dressed(m.sheets[0], x)
				break
			}
		}
	}
	if m.Box.Exit != nil {
		x := m.add("cable", "mount", "cable").do("cable.do")
		x.Minutes = m.per("cable")
		m.finished(x, "finish-first")
		x.after("mount-boards", "board-first")
		x.Papers = []string{"box.pdf"}
	}
}

func partName(b *panel.Module) string {
	name := or(b.Part.Title, b.Part.ID)
	if b.Name != "module" {
		return strings.ToUpper(b.Name) + ", " + name
	}
	return name
}

// hinged reports whether the face hangs on a hinge.
func (m *maker) hinged() bool {
	c := m.Panel.Carcass
	return c != nil && c.Spec.Build.FaceHeld == carcass.Hinged || m.Harness.Opening.By == "hinge"
}

// boards are the circuit boards in their places.
func (m *maker) boards() (out []*panel.Module) {
	if m.Panel.Module != nil {
		out = append(out, m.Panel.Module)
	}
	return append(out, m.Panel.Extras...)
}

// What a task of the harness is a part of.
var taskOf = []struct{ begins, step string }{
	{"cut, strip", "wires"}, {"crimp", "wires"}, {"bend a small part", "fittings"}, {"solder a pin", "boards"}, {"set a tie", "close"},
}

// wire makes the steps of the harness: wires made ready, small parts, grounds, supplies, signals.
func (m *maker) wire() {
	h := m.Harness
	if len(h.Wires) == 0 && len(h.Joints) == 0 {
		return
	}
	time := map[string]float64{}
next:
	for _, t := range h.Tasks {
		for _, k := range taskOf {
			if strings.HasPrefix(t.What, k.begins) {
				time[k.step] += t.Minutes
				continue next
			}
		}
		time["joints"] += t.Minutes
	}
	w := m.add("wires", "wire", "wires", "n", len(h.Wires)).do("wires.do").do("wires.tags")
	for i, c := range h.Cut {
		w.item("c"+itoa(i+1), "wires.item", "n", c.Count, "wire", c.Wire, "colour", c.Colour, "size", m.mm(c.Length), "ids", strings.Join(c.IDs, " "))
	}
	w.Minutes, w.Papers = time["wires"], []string{"wires.csv", "wiring.pdf"}
	w.after("shop", "parts").mind("eyes", "eyes-snip")

	nets := map[string]wiring.NetKind{}
	for _, n := range m.Wiring.Nets {
		nets[n.Name] = n.Kind
	}
	groups := [4][]harness.Joint{} // small parts, grounds, supplies, signals
	count := 0
	for _, j := range h.Joints {
		if h.Boards[j.At.Of] {
			continue // at the boards: when the continuity list says so
		}
		k := 3
		switch nets[j.Group] {
		case wiring.NetGround, wiring.NetAGround:
			k = 1
		case wiring.NetSupply:
			k = 2
		}
		if len(j.Wires) == 0 {
			k = 0
		}
		groups[k] = append(groups[k], j)
		count++
	}
	soldered := count - len(groups[0])
	prev := ""
	for k, key := range []string{"fittings", "wire-ground", "wire-supply", "wire-signal"} {
		g := groups[k]
		if len(g) == 0 {
			continue
		}
		x := m.add(key, "wire", key, "n", len(g)).do(key + ".do")
		for _, j := range g {
			m.joint(x, j)
		}
		if k == 0 {
			x.Minutes = time["fittings"]
			if soldered == 0 {
				x.Minutes += time["joints"]
			}
		} else {
			x.Minutes = time["joints"] * float64(len(g)) / float64(soldered)
		}
		x.Papers = []string{"solder.pdf", "rear.pdf", "wiring.pdf"}
		m.solder(x)
		for _, s := range m.sheets {
			x.after(s.id("mount"), "mounted")
		}
		x.after("wires", "wires-first").after("mount-boards", "board-reachable").after("hang-face", "hung").after(prev, "wire-order")
		prev = key
	}
	m.by["wired"] = m.by[prev]
}

// joint adds a joint to tick.
func (m *maker) joint(x *Step, j harness.Joint) {
	var ids []string
	for _, i := range j.Wires {
		if i >= 0 && i < len(m.Harness.Wires) {
			ids = append(ids, m.Harness.Wires[i].ID)
		}
	}
	ids = append(ids, j.Fits...)
	x.item("j"+itoa(j.N), "joint.item", "n", j.N, "at", m.label(j.At.Of), "lug", j.At.Lug, "what", strings.Join(ids, ", "), "iron", j.Iron, "dwell", j.Dwell)
}

// label is how people call a control or a board.
func (m *maker) label(of string) string {
	for _, s := range m.sheets {
		for _, c := range s.p.Controls {
			if c.Name == of {
				return c.Label
			}
		}
	}
	return of
}

// solder puts the cautions of soldering at a step.
func (m *maker) solder(s *Step) {
	s.mind("heat", "iron").mind("vapour", "solder-fumes").mind("lead", "lead").mind("eyes", "eyes-snip").mind("sheet", "sheet-tool")
}

var measureAt = regexp.MustCompile(`^Measure (.+) at (.+) against (.+)\.$`)

// power makes the steps from the continuity list to the test sheet.
func (m *maker) power() {
	h := m.Harness
	last := ""
	if w := m.by["wired"]; w != nil {
		last = w.ID
		delete(m.by, "wired")
	}
	if n := len(h.Rings); n > 0 {
		x := m.add("ring", "power", "ring", "n", n).do("ring.do").do("ring.off")
		x.Minutes = float64(n) * m.per("ring")
		x.Papers = []string{"continuity.csv", "wiring.pdf"}
		x.after(last, "wired-first").after("wire-ground", "wired-first").after("wire-supply", "wired-first").after("fittings", "wired-first")
	}
	if len(h.Power) > 2 {
		x := m.add("power-alone", "power", "power-alone").do("power-alone.do")
		x.item("alone", "power-alone.item", "expect", h.Power[1].Expect)
		x.Minutes = 2 * m.per("power-line")
		x.Papers = []string{"wiring.pdf"}
		x.after("ring", "ring-before-power").after("mount-boards", "board-first").after(last, "wired-first").mind("current", "usb-only").mind("sheet", "sheet-power")
		x.noReturn("power")
	}
	if m.Firmware.Image.Name != "" {
		x := m.add("flash", "firmware", "flash", "image", m.Firmware.Image.Name).do("flash.do", "image", m.Firmware.Image.Name).do("flash.name", "name", m.Firmware.Device.Name)
		x.Minutes = m.per("flash")
		x.Papers = []string{"flashing.txt", m.Firmware.Image.Name, "mapping.pdf"}
		x.after("power-alone", "alone-first").after("ring", "ring-before-power")
	}
	if n := len(h.Power); n > 2 {
		x := m.add("power", "power", "power").do("power.do")
		crimped := m.Panel.Wiring.Ends == "crimped"
		for i, p := range h.Power[2:] {
			id := "p" + itoa(i+3)
			at := measureAt.FindStringSubmatch(p.Do)
			switch {
			case i == 0 && crimped:
				x.item(id, "power.plug", "expect", p.Expect)
			case i == 0:
				x.item(id, "power.solder", "expect", p.Expect)
			case at != nil:
				x.item(id, "power.rail", "what", at[1], "at", at[2], "against", at[3], "expect", p.Expect)
			case p.MA[1] > 0:
				x.item(id, "power.lamps", "expect", p.Expect)
			}
		}
		boards := 0.0
		for _, t := range h.Tasks {
			if strings.HasPrefix(t.What, "solder a pin") {
				boards += t.Minutes
			}
		}
		x.Minutes = float64(len(x.Items))*m.per("power-line") + boards
		x.Papers = []string{"wiring.pdf", "continuity.csv"}
		m.solder(x)
		x.mind("current", "usb-only").mind("sheet", "sheet-power")
		x.noReturn("power-on")
		x.after("ring", "ring-before-power").after("power-alone", "alone-first").after("flash", "flash-first").after("cable", "cable-first").after(last, "wired-first")
	}
	rows := m.Firmware.Rows
	if len(rows) > 0 && (len(h.Power) > 0 || m.Firmware.Image.Name != "") {
		x := m.add("test", "test", "test", "n", len(rows)).do("test.do").do("test.soak")
		for _, r := range rows {
			if r.Lamp {
				x.item(r.Name, "test.lamp", "control", r.Label, "sends", r.Sends)
			} else {
				x.item(r.Name, "test.item", "control", r.Label, "sends", r.Sends)
			}
		}
		x.Minutes = math.Max(5, float64(len(rows))*m.per("test-line"))
		x.Papers = []string{"mapping.pdf"}
		m.leave(x, "soak", "soak")
		x.after("power", "powered").after("flash", "flash-first").after("power-alone", "alone-first")
	}
}

// close makes the last step.
func (m *maker) close() {
	key := "close"
	switch {
	case len(m.Box.Boards) == 0:
		key = "place"
	case len(m.Box.Opening) == 0:
		key = "close-glued"
	case !m.comesOff("face") && !m.comesOff("upper face"):
		key = "close-base"
	case m.hinged():
		key = "close-hinged"
	}
	x := m.add("close", "test", key).do("close.ties").do(key + ".do").do("close.keep")
	x.Minutes = m.per("close")
	for _, t := range m.Harness.Tasks {
		if strings.HasPrefix(t.What, "set a tie") {
			x.Minutes += t.Minutes
		}
	}
	if key != "close-glued" {
		x.Minutes += float64(len(m.Panel.Fixings)) * 0.5
	} else {
		x.OneGo = true
		m.leave(x, "glue-full", "full")
		m.gluing(x)
	}
	x.noReturn("close")
	x.NoReturn = key == "close-glued"
	x.Papers = []string{"wiring.pdf", "mapping.pdf"}
	x.dry("test", "test-before-close", 0).after("power", "power-before-close").after("ring", "board-reachable").after("feet", "feet-first").after("cable", "cable-first")
	x.after("inserts", "inserts-first").after("seat-face", "seated").dry("glue-ribs", "glue-full", 0).after("mount-boards", "board-reachable").after("hang-face", "hung").dry("glue-face", "glue-full", 0)
	for _, s := range m.sheets {
		x.after(s.id("mount"), "mounted").after(s.id("fit"), "fitted")
		m.dressed(s, x)
	}
	if len(m.Box.Boards) > 0 {
		m.finished(x, "finish-first")
	}
	if w := m.by["wire-signal"]; w != nil {
		x.after("wire-signal", "wired-first").after("wire-ground", "wired-first")
	}
}
