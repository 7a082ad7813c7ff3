package firmware

import (
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/project"
)

// event tells what a bit of the MIDI report becomes.
func (e *Explained) event(bit uint16) string {
	for _, x := range e.table.Table.Events {
		if bit < x.Bit || bit >= x.Bit+uint16(x.Width) {
			continue
		}
		return midiWords(x)
	}
	return "nothing"
}

func midiWords(x core.Event) string {
	s := ""
	switch x.Status & 0xF0 {
	case midiStatus[project.Note]:
		s = "note " + itoa(int(x.Number)) + " (" + project.NoteName(int(x.Number)) + ")"
		if x.On != 127 {
			s += " velocity " + itoa(int(x.On))
		}
	case midiStatus[project.Program]:
		s = "program " + itoa(int(x.Number))
	default:
		s = "control " + itoa(int(x.Number))
		if x.Width == 1 && x.On != 127 {
			s += " value " + itoa(int(x.On))
		}
	}
	return s + " of MIDI, channel " + itoa(int(x.Status&15)+1)
}

// choice tells what the positions of a switch choose; "" for all but its first.
func (e *Explained) choice(i int) string {
	all := e.table.Table.Choices
	x := all[i]
	if i > 0 && all[i-1].Bit == x.Bit {
		return ""
	}
	var values []string
	for _, y := range all[i:] {
		if y.Bit != x.Bit {
			break
		}
		v := int(y.Value)
		if w := int(y.Width); e.signed(y.Bit) && w > 0 && w < 32 && v >= 1<<(w-1) {
			v -= 1 << w
		}
		values = append(values, itoa(v))
	}
	return e.called(nameChoice, i, "switch") + ": " + e.bit(x.Bit) + ", by position " + strings.Join(values, ", ") + "."
}

// signed reports whether the field that a bit of the row of all reports lies in has values below 0.
func (e *Explained) signed(bit uint16) bool {
	f, _ := e.field(bit)
	return f != nil && f.LogicalMin < 0
}
