package diagnosis

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// Spot is a place on the panel.
type Spot struct {
	Board   string    `json:"board,omitempty"`   // the board of the box that carries the control, "" = the face; of a pin the circuit board
	Control string    `json:"control,omitempty"` // the control
	Lug     string    `json:"lug,omitempty"`
	X       float64   `json:"x"`              // on the face or the board that carries the control, mm, as seen from the front
	Y       float64   `json:"y"`              //
	Known   bool      `json:"known"`          // X and Y say something
	At      geom.Vec3 `json:"at,omitzero"`    // in the frame of the harness: box frame, or face frame without a box
	Wire    string    `json:"wire,omitempty"` // ID of the wire
	Colour  string    `json:"colour,omitempty"`
	Label   string    `json:"label"` // "GO, lug no"
}

// Line is one line of the test sheet. Its ID stays the same as long as the control keeps its name.
type Line struct {
	ID     string     `json:"id"`
	Act    Act        `json:"act"`
	Device string     `json:"device,omitempty"`
	Say    words.Text `json:"say"`    // what to do
	Expect words.Text `json:"expect"` // what is to be seen then
	Spot   Spot       `json:"spot"`
	Raw    []int      `json:"raw,omitempty"`  // raw bits that move
	Axes   []int      `json:"axes,omitempty"` // axes that move
}

// Sheet makes the test sheet of a design: first whether the right table is in the module, then what is seen with nothing touched, then
// every device in file order, then presses of several at once where one could show that is not pressed.
func Sheet(in Inputs) []Line { return New(in).Sheet() }

// Sheet makes the test sheet.
func (m *Model) Sheet() []Line {
	c := m.c
	out := []Line{}
	if m.table != 0 {
		out = append(out, Line{ID: "table", Act: Act{Do: Rest}, Say: words.T("walk.say.table"), Expect: words.T("walk.expect.table", "sum", hex(m.table))})
	}
	if c.bits+c.axes > 0 || len(m.acts) > 1 {
		m.mu.Lock()
		out = append(out, Line{ID: "rest", Act: Act{Do: Rest}, Say: c.restSay(), Expect: m.restExpect()})
		m.mu.Unlock()
	}
	n := 0
	for _, a := range m.acts {
		if a.Do == Rest {
			continue
		}
		l := m.line(a)
		if a.Do == Hold {
			n++
			l.ID = "together/" + strconv.Itoa(n)
		}
		out = append(out, l)
	}
	return out
}

// restSay asks to leave everything alone, and says where levers stand then.
func (c *circuit) restSay() words.Text {
	var at []string
	for i := range c.in.Wiring.Devices {
		d := &c.in.Wiring.Devices[i]
		if k := d.Control.Part.Circuit.Positions; d.Kind == wiring.DevSwitch && d.Holds && len(k) > 1 && !slices.Contains(at, k[0]) {
			at = append(at, k[0])
		}
	}
	if len(at) == 0 || len(at) > 5 {
		return words.T("walk.say.rest")
	}
	return words.T("walk.say.rest-at", "at", strings.Join(at, ", "))
}

// restExpect says what is to be seen with everything left alone: a lever that closes a contact where it stands, a switch on its first place.
func (m *Model) restExpect() words.Text {
	var on []string
	for i := range m.c.in.Firmware.Bits {
		if n := m.bitName(i); m.c.in.Firmware.Bits[i].Signal >= 0 && !m.openAtRest(i) && !slices.Contains(on, n) {
			on = append(on, n)
		}
	}
	if len(on) == 0 {
		return words.T("walk.expect.rest")
	}
	if len(on) > 6 {
		on = append(on[:5], "… ("+strconv.Itoa(len(on))+")")
	}
	return words.T("walk.expect.rest-on", "what", strings.Join(on, ", "))
}

func hex(v uint32) string {
	s := strconv.FormatUint(uint64(v), 16)
	return strings.ToUpper(strings.Repeat("0", 8-len(s)) + s)
}

// labelOf gives what people call a device.
func (c *circuit) labelOf(id string) string {
	if d := c.deviceNamed(id); d >= 0 {
		return c.in.Wiring.Devices[d].Label
	}
	return id
}

func (m *Model) line(a Act) Line {
	c := m.c
	l := Line{Act: a, Device: a.Device}
	dev := c.deviceNamed(a.Device)
	if dev < 0 {
		l.ID = string(a.Do)
		return l
	}
	d := &c.in.Wiring.Devices[dev]
	l.Spot = c.spotOf(d.Control, "")
	l.Raw, l.Axes = m.moving(a)
	name := d.Label
	switch a.Do {
	case Press:
		if a.Position != "" {
			l.ID = a.Device + "/" + a.Position
			l.Say, l.Expect = words.T("walk.say.flick", "what", name, "position", a.Position), words.T("walk.expect.flick", "what", m.signalsNamed(l.Raw, name))
			break
		}
		l.ID = a.Device + "/press"
		l.Say, l.Expect = words.T("walk.say.press", "what", name), words.T("walk.expect.press", "what", m.signalsNamed(l.Raw, name))
	case Put:
		l.ID = a.Device + "/" + a.Position
		l.Say = words.T("walk.say.put", "what", name, "position", a.Position)
		l.Expect = words.T("walk.expect.put", "what", m.signalsNamed(m.closedAt(d, a.Position), name))
		if len(m.closedAt(d, a.Position)) == 0 {
			l.Expect = words.T("walk.expect.off", "what", name)
		}
	case Turn:
		if a.Clicks > 0 {
			l.ID = a.Device + "/right"
			l.Say, l.Expect = words.T("walk.say.right", "what", name), words.T("walk.expect.right", "what", name)
		} else {
			l.ID = a.Device + "/left"
			l.Say, l.Expect = words.T("walk.say.left", "what", name), words.T("walk.expect.left", "what", name)
		}
	case Slide:
		key := "middle"
		switch a.Part {
		case 0:
			key = "low"
		case 1:
			key = "high"
		}
		l.ID = a.Device + "/" + key
		l.Say, l.Expect = words.T("walk.say."+key, "what", name), words.T("walk.expect."+key, "what", name)
	case Light, Dark:
		key := string(a.Do)
		if d.Kind == wiring.DevPowered {
			key = map[Do]string{Light: "sound", Dark: "silent"}[a.Do]
		}
		l.ID = a.Device + "/" + map[string]string{"light": "lit", "dark": "dark", "sound": "on", "silent": "off"}[key]
		l.Say, l.Expect = words.T("walk.say."+key, "what", name), words.T("walk.expect."+key, "what", name)
	case Hold:
		var names []string
		key := "together"
		for _, x := range append([]Act{a}, a.With...) {
			n := c.labelOf(x.Device)
			if x.Position != "" {
				n += " (" + x.Position + ")"
			}
			if k := c.deviceNamed(x.Device); k >= 0 && c.in.Wiring.Devices[k].Holds {
				key = "together-levers"
			}
			names = append(names, n)
		}
		l.Say = words.T("walk.say."+key, "what", strings.Join(names, ", "))
		l.Expect = words.T("walk.expect.together", "what", strings.Join(names, ", "))
	}
	return l
}

// moving lists the raw bits and the axes that an act moves when all is right.
func (m *Model) moving(a Act) (raw, axes []int) {
	c := m.c
	dev := map[int]bool{}
	for _, x := range append([]Act{a}, a.With...) {
		if d := c.deviceNamed(x.Device); d >= 0 {
			dev[int(d)] = true
		}
	}
	from := c.rest()
	for i, b := range c.in.Firmware.Bits {
		if b.Signal < 0 || !dev[c.in.Wiring.Signals[b.Signal].Device] {
			continue
		}
		z := m.baseOf(int32(i))
		k, ok := slices.BinarySearch(z.obs, int32(i))
		if !ok {
			continue
		}
		w := m.ways(z, a, from)
		moved := false
		for _, r := range w.reads {
			moved = moved || r.bits[k] != w.reads[0].bits[k]
		}
		if a.Do == Put && !moved { // back into its first position: what was closed before opens
			x := c.in.Wiring.Devices[c.in.Wiring.Signals[b.Signal].Device].Control
			moved = position(x, a.Position) == 0
		}
		if moved {
			raw = append(raw, i)
		}
	}
	for i, r := range c.in.Firmware.Readings {
		if r.Signal >= 0 && dev[c.in.Wiring.Signals[r.Signal].Device] && a.Do == Slide {
			axes = append(axes, i)
		}
	}
	return raw, axes
}

// closedAt lists the raw bits that are set while a device stands in a position.
func (m *Model) closedAt(d *wiring.Device, pos string) []int {
	var out []int
	k := &d.Control.Part.Circuit
	for i, b := range m.c.in.Firmware.Bits {
		if b.Signal < 0 {
			continue
		}
		s := &m.c.in.Wiring.Signals[b.Signal]
		if s.Device < 0 || &m.c.in.Wiring.Devices[s.Device] != d {
			continue
		}
		for _, n := range d.Contact {
			if x := k.Contacts[n]; x.Lugs[1] == s.Lug && slices.Contains(x.Closed, pos) {
				out = append(out, i)
			}
		}
	}
	return out
}

// signalsNamed gives what people call the signals of raw bits.
func (m *Model) signalsNamed(raw []int, otherwise string) string {
	var out []string
	for _, i := range raw {
		if n := m.bitName(i); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	if len(out) == 0 {
		return otherwise
	}
	return strings.Join(out, ", ")
}

// bitName gives what people call a raw bit: its signal, or the pin that nothing should be on.
func (m *Model) bitName(i int) string {
	if i < 0 || i >= m.c.bits {
		return "?"
	}
	b := m.c.in.Firmware.Bits[i]
	if b.Signal >= 0 {
		return m.c.in.Wiring.Signals[b.Signal].Label
	}
	if d := m.deviceOfBit(i); d >= 0 { // between two positions
		return m.c.in.Wiring.Devices[d].Label
	}
	if b.Pin.Zero() {
		return "?"
	}
	return m.c.name(b.Pin)
}

// axisName gives what people call an axis.
func (m *Model) axisName(i int) string {
	if i < len(m.c.in.Firmware.Readings) {
		if s := m.c.in.Firmware.Readings[i].Signal; s >= 0 {
			return m.c.in.Wiring.Signals[s].Label
		}
	}
	return "?"
}

// spotOf gives the place of a control, or of one of its lugs.
func (c *circuit) spotOf(x *panel.Control, lug string) Spot {
	s := Spot{Control: x.Name, Lug: lug, X: x.At.X, Y: x.At.Y, Known: true, Label: x.Label}
	if c.in.Panel != nil {
		for _, sh := range c.in.Panel.Sheets() {
			if slices.Contains(sh.Controls, x) {
				s.Board = sh.Board
			}
		}
	}
	for _, l := range x.Lugs {
		if l.Name == lug {
			s.X, s.Y = l.At.X, l.At.Y
		}
	}
	if lug != "" {
		s.Label += ", " + lug
		s.At = c.in.Harness.At[wiring.Terminal{Of: x.Name, Lug: lug}]
	}
	return s
}

// spotAt gives the place of a terminal.
func (c *circuit) spotAt(t wiring.Terminal) Spot {
	for i := range c.in.Wiring.Fittings {
		if f := &c.in.Wiring.Fittings[i]; f.Name == t.Of {
			s := c.spotAt(f.At)
			s.Label = f.Name + " (" + s.Label + ")"
			return s
		}
	}
	if k, ok := c.ctrlOf[t.Of]; ok {
		return c.spotOf(c.controls[k], t.Lug)
	}
	s := Spot{Board: t.Of, Lug: t.Lug, Label: c.name(t)}
	at, ok := c.in.Harness.At[t]
	if ok {
		s.At = at
		p := at
		if c.in.Panel != nil {
			p = c.in.Panel.ToBox.Inverse().Apply(at)
		}
		s.X, s.Y, s.Known = p.X, p.Y, true
	}
	return s
}

// name gives what a terminal is called, without a language's words: "GO no", "module 4 (GP2)", "expander A5", "R3 1".
func (c *circuit) name(t wiring.Terminal) string {
	if k, ok := c.ctrlOf[t.Of]; ok {
		return c.controls[k].Label + " " + t.Lug
	}
	return cmp.Or(t.Of) + " " + c.label(t)
}
