package firmware

import (
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/hid"
)

// field finds the field of a report that a bit of the row of all reports lies in, and the bit's place in that report; nil where there is none.
func (e *Explained) field(bit uint16) (*hid.Field, int) {
	for _, r := range e.table.Table.Reports {
		if int(bit) < 8*int(r.Start) || int(bit) >= 8*(int(r.Start)+int(r.Length)) || r.MIDI {
			continue
		}
		kind := hid.Input
		if r.Output {
			kind = hid.Output
		}
		for _, x := range e.table.Reports {
			if x.Number != int(r.Interface) {
				continue
			}
			rep := x.Means.Report(kind, r.ID)
			if rep == nil {
				continue
			}
			at := int(bit) - 8*int(r.Start)
			for i := range rep.Fields {
				if f := &rep.Fields[i]; !f.IsFill() && at >= f.Offset && at < f.Offset+f.Bits() {
					return f, at
				}
			}
		}
	}
	return nil, 0
}

// bit tells what a bit of the row of all reports is.
func (e *Explained) bit(bit uint16) string {
	for _, r := range e.table.Table.Reports {
		if r.MIDI && int(bit) >= 8*int(r.Start) && int(bit) < 8*(int(r.Start)+int(r.Length)) {
			return e.event(bit)
		}
	}
	f, at := e.field(bit)
	if f == nil {
		return "nothing"
	}
	k := (at - f.Offset) / f.Size
	u, _ := f.Usage(k)
	switch {
	case u == hid.GenericIndicator:
		return "lamp " + itoa(k+1) + " of the computer"
	case u.Page() == hid.PageDesktop && u != hid.HatSwitch && f.Size > 1:
		return "axis " + u.String()
	}
	return lower(u.String())
}

// one tells what an input sets: a bit by itself, or one bit of a value.
func (e *Explained) one(bit uint16) string {
	if f, at := e.field(bit); f != nil && f.Size > 1 {
		return "bit " + itoa((at-f.Offset)%f.Size) + " of " + e.bit(bit)
	}
	for _, x := range e.table.Table.Events {
		if x.Width > 1 && bit >= x.Bit && bit < x.Bit+uint16(x.Width) {
			return "bit " + itoa(int(bit-x.Bit)) + " of " + e.bit(bit)
		}
	}
	return e.bit(bit)
}

// steps tells a macro: what is pressed together with +, and waits that are longer than the usual ones between steps.
func (e *Explained) steps(m core.Macro) string {
	var out, held []string
	usual := 0
	for _, s := range m {
		if !s.Press && s.Wait > 1 && (usual == 0 || int(s.Wait) < usual) {
			usual = int(s.Wait)
		}
	}
	for _, s := range m {
		switch {
		case s.Press:
			held = append(held, e.bit(s.Bit))
		case len(held) > 0:
			out, held = append(out, strings.Join(held, " + ")), nil
		}
		if !s.Press && int(s.Wait) > usual {
			out = append(out, "a wait of "+e.ms(int(s.Wait)-usual))
		}
	}
	return strings.Join(out, ", then ")
}

// joined reports whether an input is a further bit of the shortcut that the input before it begins: the same contact, seen the same way.
func (e *Explained) joined(i int) bool {
	in := e.table.Table.Inputs
	if i == 0 || i >= len(in) {
		return false
	}
	_, named := e.table.Names[[2]int{nameInput, i}]
	a, b := in[i-1], in[i]
	return !named && a.Raw == b.Raw && a.Invert == b.Invert && a.Stable == b.Stable && a.Debounce == b.Debounce && !b.Shift && (a.Bit != core.None || a.Second != core.None) && (b.Bit != core.None || b.Second != core.None)
}
