package firmware

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/finding"
	"knobwright/internal/hid"
)

// Explained is what an image is and does.
type Explained struct {
	Chip      string   `json:"chip"` // "RP2040"
	Format    string   `json:"format"`
	HasCore   bool     `json:"has_core"`
	Bytes     int      `json:"bytes"` // of the table
	Checksum  string   `json:"checksum"`
	Name      string   `json:"name"`
	Maker     string   `json:"maker"`
	Serial    string   `json:"serial"`
	Vendor    uint16   `json:"vendor"`
	Product   uint16   `json:"product"`
	TickMS    float64  `json:"tick_ms"`
	Controls  []string `json:"controls"` // a sentence for each
	Lamps     []string `json:"lamps,omitempty"`
	Reports   []string `json:"reports"`
	Wiring    []string `json:"wiring"` // how contacts reach the chip
	Layout    string   `json:"-"`      // of the reports, field by field
	table     Parsed
	chipFound *chip
}

// ExplainTable tells in words what a table does.
func ExplainTable(p Parsed) Explained {
	t := &p.Table
	e := Explained{
		Chip: chipName(t.Chip), Bytes: p.Length, Checksum: fmt.Sprintf("%08X", p.Checksum), Name: p.Device.Name, Maker: p.Device.Maker, Serial: p.Device.Serial,
		Vendor: p.Device.Vendor, Product: p.Device.Product, TickMS: float64(t.Tick) / 1000, table: p, chipFound: chipOf(t.Chip),
	}
	for _, x := range p.Reports {
		switch x.Name {
		case nameControls:
			e.Layout = x.Means.Layout()
			for _, r := range x.Means.Reports {
				way := "to the computer"
				if r.Kind == hid.Output {
					way = "from the computer"
				}
				e.Reports = append(e.Reports, fmt.Sprintf("Report %d, %s, %s: %s.", r.ID, way, count(r.Bytes(), "byte", "bytes"), reportSays(r)))
			}
		case nameKeyboard:
			e.Layout += x.Means.Layout()
			e.Reports = append(e.Reports, "A keyboard in an interface of its own, which start-up menus understand: six keys at once there, all of them elsewhere.")
		default:
			e.Reports = append(e.Reports, "An interface of its own for the bench: identity, raw contacts, counters, and a command, on request only.")
		}
	}
	if slices.ContainsFunc(t.Lamps, func(l core.Lamp) bool { return l.Kind == core.Hears }) && len(t.Events) == 0 {
		e.Reports = append(e.Reports, "A MIDI device beside it, which listens.")
	}
	if n := len(t.Events); n > 0 {
		e.Reports = append(e.Reports, "A MIDI device beside it: "+count(n, "note, control or program", "notes, controls and programs")+".")
	}
	for i, in := range t.Inputs {
		if s := e.input(i, in); s != "" {
			e.Controls = append(e.Controls, s)
		}
	}
	for i, x := range t.Encoders {
		e.Controls = append(e.Controls, e.encoder(i, x))
	}
	for i, x := range t.Axes {
		e.Controls = append(e.Controls, e.axis(i, x))
	}
	for i := range t.Choices {
		if s := e.choice(i); s != "" {
			e.Controls = append(e.Controls, s)
		}
	}
	for i, x := range t.Neithers {
		e.Controls = append(e.Controls, e.called(nameMiddle, i, "no contact")+": "+e.bit(x.Bit)+" while none of its contacts is closed.")
	}
	for i, x := range t.Lamps {
		e.Lamps = append(e.Lamps, e.lamp(i, x))
	}
	e.scan()
	return e
}

// reportSays lists what a report holds.
func reportSays(r *hid.Report) string {
	var out []string
	for i := range r.Fields {
		f := &r.Fields[i]
		if f.IsFill() || len(f.Usages) == 0 {
			continue
		}
		first, _ := f.Usage(0)
		last, _ := f.Usage(f.Count - 1)
		switch {
		case first.Page() == hid.PageButton:
			if first == last {
				out = append(out, lower(first.String()))
				break
			}
			out = append(out, "buttons "+itoa(int(first.ID()))+" to "+itoa(int(last.ID())))
		case f.Count > 8 && first.Page() == hid.PageKeyboard:
			out = append(out, "keys")
		case first == hid.GenericIndicator:
			out = append(out, count(f.Count, "lamp", "lamps"))
		default:
			for k := range min(f.Count, 12) {
				u, _ := f.Usage(k)
				out = append(out, u.String())
			}
		}
	}
	return strings.Join(out, ", ")
}

func lower(s string) string {
	if strings.HasPrefix(s, "Button ") {
		return "b" + s[1:]
	}
	return s
}

func (e *Explained) called(kind, n int, usual string) string {
	if s, ok := e.table.Names[[2]int{kind, n}]; ok && s != "" {
		return finding.Capital(s)
	}
	return finding.Capital(usual)
}

func (e *Explained) ms(ticks int) string {
	return plainMS(float64(ticks) * e.TickMS)
}

// action tells what a pulse or a macro sends.
func (e *Explained) action(n uint8) string {
	t := &e.table.Table
	switch {
	case n == core.No:
		return "nothing"
	case int(n) < len(t.Pulses):
		p := t.Pulses[n]
		return e.bit(p.Bit) + " for " + e.ms(int(p.Length))
	case int(n)-len(t.Pulses) < len(t.Macros):
		return e.steps(t.Macros[int(n)-len(t.Pulses)])
	}
	return "nothing"
}

// input tells what an input does, and those that are joined to it; "" for one that only helps others.
func (e *Explained) input(i int, in core.Input) string {
	t := &e.table.Table
	if e.joined(i) {
		return ""
	}
	name := e.called(nameInput, i, "contact "+itoa(int(in.Raw)))
	for k := i - 1; k >= 0 && t.Inputs[k].Raw == in.Raw; k-- { // a further input of the same contact
		if s, ok := e.table.Names[[2]int{nameInput, k}]; ok && t.Inputs[k].Invert == in.Invert {
			name = finding.Capital(s)
		}
	}
	var says, one, two []string
	for k := i; k == i || e.joined(k); k++ {
		if b := t.Inputs[k].Bit; b != core.None {
			one = append(one, e.one(b))
		}
		if b := t.Inputs[k].Second; b != core.None {
			if s := e.one(b); !slices.Contains(two, s) {
				two = append(two, s)
			}
		}
	}
	if len(one) > 0 {
		says = append(says, strings.Join(one, " + ")+map[bool]string{true: " while open", false: ""}[in.Invert])
	}
	if len(two) > 0 {
		says = append(says, strings.Join(two, " + ")+" on the second layer")
	}
	if in.Shift {
		says = append(says, "brings the second layer")
	}
	for _, g := range t.Toggles {
		if int(g.Input) == i {
			switch {
			case g.On == g.Off:
				says = append(says, e.action(g.On)+" at every change")
			case g.Off == core.No:
				says = append(says, e.action(g.On)+" at each press")
			default:
				says = append(says, e.action(g.On)+" when it closes, "+e.action(g.Off)+" when it opens")
			}
		}
	}
	for _, g := range t.Gestures {
		if int(g.Input) == i {
			says = append(says, "short press: "+e.action(g.Short)+"; long press ("+e.ms(int(g.LongTime))+"): "+e.action(g.Long)+"; double press: "+e.action(g.Double))
		}
	}
	for n, h := range t.Hats {
		for k, d := range []uint8{h.Up, h.Right, h.Down, h.Left} {
			if int(d) == i && in.Debounce > 0 {
				says = append(says, "hat "+itoa(n+1)+" "+[]string{"up", "right", "down", "left"}[k])
			}
		}
	}
	if len(says) == 0 {
		return ""
	}
	how := "at once, then deaf for "
	if in.Stable {
		how = "when still for "
	}
	return name + ": " + strings.Join(says, "; ") + " (" + how + e.ms(int(in.Debounce)) + ")."
}

func (e *Explained) encoder(i int, x core.Encoder) string {
	name := e.called(nameEncoder, i, "encoder "+itoa(i+1))
	s := name + ": "
	switch x.Kind {
	case core.Pulses:
		s += "right " + e.action(x.Up) + ", left " + e.action(x.Down)
	case core.Relative:
		s += e.bit(x.Bit) + ", relative, " + itoa(int(x.Step)) + " a click"
	default:
		s += e.bit(x.Bit) + ", " + itoa(int(x.Min)) + " to " + itoa(int(x.Max)) + ", " + itoa(int(x.Step)) + " a click, " + map[bool]string{true: "goes round", false: "stops at its ends"}[x.Kind == core.Wraps]
	}
	if !x.Reverse { // as wired here, right is the core's reverse
		s += ", reversed"
	}
	return s + " (" + count(int(x.Steps), "step", "steps") + " a click)."
}

func (e *Explained) axis(i int, x core.Axis) string {
	s := e.called(nameAxis, i, "voltage "+itoa(i+1)) + ": " + e.bit(x.Bit) + ", " + itoa(int(x.AtLo)) + " to " + itoa(int(x.AtHi))
	if x.Invert {
		s += ", reversed"
	}
	pc := func(v uint16) string { return strconv.FormatFloat(float64(v)*100/65535, 'f', 1, 64) + " %" }
	s += "; ends at " + pc(x.Lo) + " and " + pc(x.Hi)
	if x.HasMiddle {
		s += ", middle at " + pc(x.Mid) + " with " + pc(x.Dead) + " to either side"
	}
	return s + "."
}

func (e *Explained) lamp(i int, x core.Lamp) string {
	s := e.called(nameLamp, i, "lamp "+itoa(i+1)) + ": "
	switch {
	case x.Kind == core.Steady && x.Invert:
		return s + "dark."
	case x.Kind == core.Steady:
		return s + "steady."
	case x.Kind == core.Hears:
		return s + midiWords(core.Event{Status: uint8(x.Refers), Number: uint8(x.Refers >> 8), On: 127, Width: 1}) + ", from the computer."
	case x.Kind == core.FromPC:
		return s + e.bit(x.Refers) + "."
	}
	by := e.called(nameInput, int(x.Refers), "input "+itoa(int(x.Refers)))
	if x.Kind == core.Flips {
		return s + "on and off at each press of " + by + "."
	}
	return s + "follows " + by + "."
}

// scan tells how contacts reach the chip.
func (e *Explained) scan() {
	for _, s := range e.table.Sections {
		switch s.Type {
		case secDirect:
			if c := e.chipFound; c != nil {
				var pins []string
				records(s, func(r []byte) {
					if len(r) > 1 {
						pins = append(pins, c.portName(r[1]))
					}
				})
				e.Wiring = append(e.Wiring, count(len(pins), "contact", "contacts")+" on pins of the module: "+strings.Join(pins, ", ")+".")
			}
		case secMatrix:
			records(s, func(r []byte) {
				if len(r) > 2 {
					e.Wiring = append(e.Wiring, fmt.Sprintf("A matrix of %d rows and %d columns.", r[1], r[2]))
				}
			})
		case secChains:
			records(s, func(r []byte) {
				if len(r) > 1 {
					e.Wiring = append(e.Wiring, "A shift-in chain of "+itoa(int(r[1]))+" lines.")
				}
			})
		case secExpanders:
			records(s, func(r []byte) {
				if len(r) > 1 {
					e.Wiring = append(e.Wiring, fmt.Sprintf("An expander at address 0x%02X.", r[1]))
				}
			})
		case secLadders:
			e.Wiring = append(e.Wiring, count(int(s.Count), "voltage ladder", "voltage ladders")+".")
		case secAnalog:
			e.Wiring = append(e.Wiring, count(int(s.Count), "voltage", "voltages")+" read.")
		case secLamps:
			e.Wiring = append(e.Wiring, count(int(s.Count), "lamp", "lamps")+" on pins of the module.")
		}
	}
}

// Text writes it for people.
func (e Explained) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s for %s: %s\n", e.Format, e.Chip, map[bool]string{true: "core and table.", false: "the table of one panel; the core is not in it."}[e.HasCore])
	fmt.Fprintf(&b, "Table of %d bytes, checksum %s. Contacts are looked at every %s.\n", e.Bytes, e.Checksum, plainMS(e.TickMS))
	fmt.Fprintf(&b, "It names itself %q by %q, vendor 0x%04X, product 0x%04X, serial %s.\n", e.Name, e.Maker, e.Vendor, e.Product, e.Serial)
	for _, part := range []struct {
		head  string
		lines []string
	}{{"Controls", e.Controls}, {"Lamps", e.Lamps}, {"Reports", e.Reports}, {"Wiring", e.Wiring}} {
		if len(part.lines) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n%s\n", part.head)
		for _, l := range part.lines {
			fmt.Fprintf(&b, "  %s\n", l)
		}
	}
	return b.String()
}
