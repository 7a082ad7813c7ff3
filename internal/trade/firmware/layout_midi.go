package firmware

import (
	"fmt"

	core "knobwright/firmware"

	"knobwright/internal/project"
)

// idMIDI is the number under which the row of all reports has what MIDI sends; no host sees it.
const idMIDI = 0xFF

// midi is what is sent as events of MIDI: bits of a report that never leaves the panel as it stands.
type midi struct {
	number   int // of the streaming interface
	bytes    int
	contacts []midiBit
	fields   []midiField
	events   []core.Event
	heard    bool // lamps go by what the host plays
}

// any reports whether the panel is a MIDI device.
func (m *midi) any() bool { return len(m.events) > 0 || m.heard }

type midiBit struct {
	status, number, value uint8
}

type midiField struct {
	deed     *project.Deed
	relative bool
}

// Status bytes of MIDI 1.0, channel 1.
var midiStatus = map[project.DeedKind]uint8{project.Note: 0x90, project.MIDIControl: 0xB0, project.Program: 0xC0}

// noteOff is the velocity with which notes end: of a panel that does not measure it. Source: MIDI 1.0, note off.
const noteOff = 64

func midiOf(d *project.Deed) midiBit {
	b := midiBit{status: midiStatus[d.Kind] | uint8(max(d.Channel, 1)-1)&15, number: uint8(d.Number), value: uint8(d.Value)}
	if d.Kind == project.Program {
		b.value = 0
	}
	return b
}

// message writes what a deed sends as it is on the wire.
func message(d *project.Deed, whole bool) string {
	b := midiOf(d)
	switch {
	case !d.MIDI():
		return ""
	case d.Kind == project.Program:
		return fmt.Sprintf("%02X %02X", b.status, b.number)
	case whole:
		return fmt.Sprintf("%02X %02X nn", b.status, b.number)
	}
	return fmt.Sprintf("%02X %02X %02X", b.status, b.number, b.value)
}

// collect notes a deed of MIDI. Contacts that send the same share a bit.
func (m *midi) collect(d *project.Deed, x *piece) {
	if x.kind == lamp {
		m.heard = true
		return
	}
	if x.whole() && d == &x.does {
		m.fields = append(m.fields, midiField{d, x.kind == turn && x.asked.Mode == "relative"})
		return
	}
	b := midiOf(d)
	for _, c := range m.contacts {
		if c == b {
			return
		}
	}
	m.contacts = append(m.contacts, b)
}

// layMIDI gives places, from a byte of the row on, and makes the events: relative ones first, as the core wants it.
func (l *layout) layMIDI(at int) {
	m := &l.midi
	if len(m.contacts)+len(m.fields) == 0 && !m.heard {
		return
	}
	m.number = l.interfaces + 1
	l.interfaces += 2
	if len(m.contacts)+len(m.fields) == 0 {
		return
	}
	first := (len(m.contacts) + 7) / 8
	m.bytes = first + len(m.fields)
	l.starts[[2]int{0, idMIDI}] = at * 8
	l.reports = append(l.reports, core.Report{ID: idMIDI, MIDI: true, Length: byte8(m.bytes), Start: byte8(at), Interface: uint8(m.number)})
	for _, relative := range []bool{true, false} {
		if !relative {
			for i, c := range m.contacts {
				e := core.Event{Bit: uint16(at*8 + i), Width: 1, Status: c.status, Number: c.number, On: c.value}
				if c.status&0xF0 == midiStatus[project.Note] {
					e.Off = noteOff
				}
				m.events = append(m.events, e)
			}
		}
		for i, f := range m.fields {
			p := Place{Report: idMIDI, Bit: 8 * (first + i), Width: 7}
			l.axisAt[f.deed] = p
			if f.relative == relative {
				b := midiOf(f.deed)
				m.events = append(m.events, core.Event{Bit: l.row(p), Width: 7, Relative: relative, Status: b.status, Number: b.number})
			}
		}
	}
}

// midiRow gives the bit of a contact's deed in the row of all reports.
func (l *layout) midiRow(d *project.Deed) uint16 {
	b := midiOf(d)
	for i, c := range l.midi.contacts {
		if c == b {
			return uint16(l.starts[[2]int{0, idMIDI}] + i)
		}
	}
	return core.None
}
