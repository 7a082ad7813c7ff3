package firmware

import (
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/hid"
	"knobwright/internal/project"
)

// Numbers of the reports of the controls' interface.
const (
	idJoystick = 1
	idKeyboard = 2
	idConsumer = 3
	idSystem   = 4
	idLamps    = 5
)

// Names of the interfaces.
const (
	nameControls = "controls"
	nameKeyboard = "keyboard"
	nameBench    = "bench"
)

// firstKey is the first key of the keyboard of its own. Source: HID Usage Tables, Keyboard/Keypad page: a.
const firstKey = 0x04

var reportNames = map[int]string{0: "keyboard", idJoystick: "joystick", idKeyboard: "keyboard", idConsumer: "media keys", idSystem: "system keys", idLamps: "lamps"}

// layout is what stands where in the reports.
type layout struct {
	desc       *hid.Descriptor
	keys       *hid.Descriptor // of a keyboard in an interface of its own, whose reports have no numbers
	interfaces int             // how many there are so far
	reports    []core.Report
	starts     map[[2]int]int // by kind (0 input, 1 output) and number: first bit in the row of all reports
	axisAt     map[*project.Deed]Place
	midi       midi
}

// bits is a part of one bit for each usage.
type bits struct {
	id     uint8
	top    hid.Usage
	usages []hid.Usage
}

// Append writes the part.
func (p bits) Append(b *hid.Builder) {
	f := hid.Field{Size: 1, Count: len(p.usages), Flags: hid.Variable, LogicalMax: 1}
	for _, u := range p.usages {
		f.Usages = append(f.Usages, hid.Span{Min: u, Max: u})
	}
	b.Begin(hid.Application, p.top)
	b.ID(p.id)
	b.Field(hid.Input, f)
	b.Fill(hid.Input)
	b.End()
}

// every calls f for everything that is sent, steps of macros too.
func (w *worker) every(f func(d *project.Deed, x *piece)) {
	for i := range w.list {
		x := &w.list[i]
		for _, d := range []*project.Deed{&x.does, &x.left, &x.release, &x.second, &x.long, &x.twice} {
			if d.Zero() {
				continue
			}
			f(d, x)
			for k := range d.Steps {
				f(&d.Steps[k], x)
			}
		}
	}
}

// axis is one axis of the report.
type axis struct {
	deed *project.Deed
	hid.Axis
}

// layOut makes the reports from all that is sent, reads the descriptor back, and finds the places.
func (w *worker) layOut() {
	l := &w.layout
	l.starts, l.axisAt = map[[2]int]int{}, map[*project.Deed]Place{}
	buttons, hats, lamps := 0, 0, 0
	keys := false
	var consumer, system []hid.Usage
	var axes []axis
	w.every(func(d *project.Deed, x *piece) {
		switch d.Kind {
		case project.Button:
			buttons = max(buttons, d.Number)
		case project.HatDeed:
			hats = max(hats, d.Number)
		case project.Key:
			keys = true
		case project.Consumer:
			consumer = append(consumer, hid.U(hid.PageConsumer, d.Usage))
		case project.System:
			system = append(system, hid.U(hid.PageDesktop, d.Usage))
		case project.HostDeed:
			lamps = max(lamps, d.Number)
		case project.AxisDeed:
			axes = append(axes, axis{d, w.axisOf(d, x)})
		case project.Note, project.MIDIControl, project.Program:
			l.midi.collect(d, x)
		}
	})
	slices.SortStableFunc(axes, func(a, b axis) int {
		return slices.Index(project.AxisNames, a.deed.Name) - slices.Index(project.AxisNames, b.deed.Name)
	})
	var parts []hid.Part
	if buttons+hats+len(axes) > 0 {
		j := hid.Joystick{ID: idJoystick, Buttons: buttons, Hats: hats}
		if w.p.USB.As == "gamepad" {
			j.Usage = hid.GamePad
		}
		for _, a := range axes {
			j.Axes = append(j.Axes, a.Axis)
		}
		parts = append(parts, j)
	}
	own := keys && w.p.USB.BootKeyboard
	if keys && !own {
		parts = append(parts, hid.Keyboard{ID: idKeyboard})
	}
	distinct := func(us []hid.Usage) []hid.Usage {
		slices.Sort(us)
		return slices.Compact(us)
	}
	if len(consumer) > 0 {
		parts = append(parts, bits{idConsumer, hid.ConsumerControl, distinct(consumer)})
	}
	if len(system) > 0 {
		parts = append(parts, bits{idSystem, hid.SystemControl, distinct(system)})
	}
	if lamps > 0 {
		parts = append(parts, hid.Lamps{ID: idLamps, Count: lamps})
	}
	at := 0
	if len(parts) > 0 {
		l.desc, at = w.interfaceOf(nameControls, at, parts...)
	}
	if own {
		l.keys, at = w.interfaceOf(nameKeyboard, at, hid.Keyboard{First: firstKey, Lamps: true})
	}
	l.layMIDI(at)
	w.r.MIDI = l.midi.any()
	count := map[hid.Usage]int{}
	for _, a := range axes {
		if p, ok := l.find(hid.Input, a.Usage, count[a.Usage]); ok {
			l.axisAt[a.deed] = p
		}
		count[a.Usage]++
	}
}

// interfaceOf makes an interface of HID, and gives its reports their places in the row of all, from a byte on.
func (w *worker) interfaceOf(name string, at int, parts ...hid.Part) (*hid.Descriptor, int) {
	l := &w.layout
	raw, desc, err := hid.Build(parts...)
	if err != nil { // nothing that a file can say leads here; if it does, there is no table
		w.refused = true
		return nil, at
	}
	w.r.Interfaces = append(w.r.Interfaces, Interface{name, l.interfaces, raw, desc})
	for _, r := range desc.Reports {
		x := core.Report{ID: r.ID, Output: r.Kind == hid.Output, Length: uint8(r.Bytes()), Start: byte8(at), Interface: uint8(l.interfaces)}
		kind := 0
		if x.Output {
			kind = 1
		} else if name == nameKeyboard {
			x.Keys = firstKey
		}
		l.starts[[2]int{kind, int(r.ID)}] = at * 8
		l.reports = append(l.reports, x)
		at += r.Bytes()
	}
	l.interfaces++
	return desc, at
}

// axisOf gives the axis that a piece asks for.
func (w *worker) axisOf(d *project.Deed, x *piece) hid.Axis {
	u, _ := hid.FindUsage(hid.PageDesktop, d.Name)
	if x.kind == track {
		return hid.Axis{Usage: u, Max: int32(w.fullScale()), Bits: 16}
	}
	lo, hi := x.span()
	a := hid.Axis{Usage: u, Min: int32(lo), Max: int32(hi)}
	switch {
	case x.kind == choose:
	case x.asked.Mode == "relative":
		a.Min, a.Max, a.Flags = -127, 127, hid.Relative
	case x.asked.Wrap:
		a.Flags = hid.Wrap
	}
	return a
}

// fullScale is the greatest value of an axis that reads a voltage.
func (w *worker) fullScale() int {
	if w.chip == nil {
		return 4095
	}
	return 1<<w.chip.bits - 1
}

// find finds the nth place of a usage.
func (l *layout) find(kind hid.Kind, u hid.Usage, nth int) (Place, bool) {
	var all []*hid.Report
	for _, d := range []*hid.Descriptor{l.desc, l.keys} {
		if d != nil {
			all = append(all, d.Reports...)
		}
	}
	for _, r := range all {
		if r.Kind != kind {
			continue
		}
		for i := range r.Fields {
			f := &r.Fields[i]
			for k := range f.Count {
				if got, ok := f.Usage(k); !ok || got != u || f.IsFill() {
					continue
				}
				if nth--; nth < 0 {
					return Place{reportNames[int(r.ID)], int(r.ID), f.Offset + k*f.Size, f.Size, u}, true
				}
			}
		}
	}
	return Place{}, false
}

// place gives where a deed stands; zero for what stands in no report, or in several places.
func (l *layout) place(d *project.Deed) Place {
	var p Place
	switch d.Kind {
	case project.Button:
		p, _ = l.find(hid.Input, hid.Button(d.Number), 0)
	case project.HatDeed:
		p, _ = l.find(hid.Input, hid.HatSwitch, d.Number-1)
	case project.AxisDeed:
		p = l.axisAt[d]
	case project.Key:
		u := hid.U(hid.PageKeyboard, d.Usage)
		if d.Usage == 0 {
			for m := range 8 {
				if d.Mask>>m&1 != 0 {
					u = hid.LeftControl + hid.Usage(m)
				}
			}
		}
		p, _ = l.find(hid.Input, u, 0)
	case project.Consumer:
		p, _ = l.find(hid.Input, hid.U(hid.PageConsumer, d.Usage), 0)
	case project.System:
		p, _ = l.find(hid.Input, hid.U(hid.PageDesktop, d.Usage), 0)
	}
	return p
}

// lampPlace gives the bit of a lamp of the host.
func (l *layout) lampPlace(n int) Place {
	p, _ := l.find(hid.Output, hid.GenericIndicator, n-1)
	return p
}

// row gives the bit in the row of all reports.
func (l *layout) row(p Place) uint16 {
	kind := 0
	if p.Report == idLamps {
		kind = 1
	}
	start, ok := l.starts[[2]int{kind, p.Report}]
	if !ok || p.Width == 0 {
		return core.None
	}
	return uint16(start + p.Bit)
}

// bitsOf gives the bits that a deed sets in the row of all reports, modifiers first; none for what has none.
func (l *layout) bitsOf(d *project.Deed) []uint16 {
	var out []uint16
	switch d.Kind {
	case project.Key:
		for m := range 8 {
			if d.Mask>>m&1 != 0 {
				if p, ok := l.find(hid.Input, hid.LeftControl+hid.Usage(m), 0); ok {
					out = append(out, l.row(p))
				}
			}
		}
		if d.Usage != 0 {
			if p, ok := l.find(hid.Input, hid.U(hid.PageKeyboard, d.Usage), 0); ok {
				out = append(out, l.row(p))
			}
		}
	case project.Note, project.MIDIControl, project.Program:
		if b := l.midiRow(d); b != core.None {
			out = append(out, b)
		}
	case project.Button, project.Consumer, project.System:
		if p := l.place(d); p.Width > 0 {
			out = append(out, l.row(p))
		}
	}
	return out
}
