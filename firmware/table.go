package firmware

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"
)

// Chip names what a table is for.
type Chip uint8

// The chips. Host is the core on a PC.
const (
	Host       Chip = 0
	RP2040     Chip = 1
	ATmega32U4 Chip = 2
)

// None stands for no report bit.
const None = 0xFFFF

// No stands for no pulse and no input.
const No = 0xFF

// Table tells the core what one panel does. The numbers of bits count from the start of the row that all reports make together.
type Table struct {
	Chip     Chip
	Tick     uint16 // microseconds, 50 and up
	Reports  []Report
	Inputs   []Input // in order of Raw
	Pulses   []Pulse
	Toggles  []Toggle
	Encoders []Encoder
	Axes     []Axis
	Hats     []Hat
	Lamps    []Lamp
	Gestures []Gesture
	Macros   []Macro
	Events   []Event // relative ones first
	Choices  []Choice
	Neithers []Neither
	Extra    []Section // sections that this version of the core passes over, or must refuse
}

// Section is a part of a table as bytes.
type Section struct {
	Type   uint8 // bit 7: a core that does not know it refuses the table
	Stride uint8
	Count  uint16
	Data   []byte
}

// Report is one report: its number (0 for none), whether it comes from the host, its length and its place in the row, in bytes.
type Report struct {
	ID     uint8
	Output bool
	Length uint8 // without the number, 1 to 63
	Start  uint8
	// Interface of USB whose report it is.
	Interface uint8
	// Keys, other than 0, says that it is modifiers and then a bit for each key from that one on: in the boot protocol the host gets it as
	// a boot keyboard's report.
	Keys uint8
	// MIDI says that it is not sent as it stands: Events are made of what changes in it. One report is the most.
	MIDI bool
}

// Event is what a field of the MIDI report becomes.
type Event struct {
	Bit      uint16
	Width    uint8 // 1: a contact; 7: a control that takes any value
	Relative bool  // of an encoder that sends steps
	Status   uint8 // 0x90 note, 0xB0 control, 0xC0 program; with the channel, 0 to 15
	Number   uint8
	On, Off  uint8 // of width 1: velocities, or values
}

// Choice is what a field takes when an input closes.
type Choice struct {
	Input uint8
	Width uint8
	Bit   uint16
	Value uint16
}

// Neither is a bit that is on while none of four inputs is held.
type Neither struct {
	Bit    uint16
	Inputs [4]uint8
}

// Input is a contact.
type Input struct {
	Raw      uint16 // its place in the row of raw bits
	Bit      uint16 // report bit, or None
	Second   uint16 // report bit while a shift is held, or None
	Debounce uint8  // ticks
	Invert   bool   // held when the raw bit is 0
	Stable   bool   // counts when still for Debounce; else at once, and then locked for Debounce
	Shift    bool   // holding it brings the second layer
	Shared   bool   // one of its bits is another input's too: it goes off with the last of them
}

// Pulse is a button that the core presses by itself.
type Pulse struct {
	Bit         uint16
	Length, Gap uint16 // ticks, 1 and up
}

// Toggle makes actions of the changes of an input. An action is a pulse by its number, or a macro by the number of pulses plus its own.
type Toggle struct {
	Input   uint8
	On, Off uint8 // actions, or No
}

// Gesture makes actions of short, long and double presses of an input.
type Gesture struct {
	Input               uint8
	Short, Long, Double uint8  // actions, or No
	LongTime            uint16 // ticks from which a press is long
	Pause               uint16 // ticks within which a second press makes a double one
}

// Macro is a few steps, one after the other.
type Macro []Step

// Step presses or releases a button, and then waits.
type Step struct {
	Bit   uint16
	Press bool
	Wait  uint16 // ticks, 1 and up
}

// EncoderKind says what an encoder's detents become.
type EncoderKind uint8

// The kinds.
const (
	Pulses   EncoderKind = 0
	Relative EncoderKind = 1
	Stops    EncoderKind = 2 // an absolute axis that stops at its ends
	Wraps    EncoderKind = 3 // one that goes round
)

// Encoder is a rotary encoder.
type Encoder struct {
	A, B     uint8 // raw bits
	Rest     uint8 // bit n is set when the shaft rests in state n = 2A + B
	Steps    uint8 // in a detent: 1, 2 or 4
	Kind     EncoderKind
	Reverse  bool
	Up, Down uint8 // actions, or No
	Bit      uint16
	Width    uint8
	Min, Max int16
	Step     int16 // of one detent
	Start    int16
}

// Axis is a voltage.
type Axis struct {
	Channel     uint8
	Filter      uint8 // a reading counts 1/2^Filter, 0 to 8
	Invert      bool
	HasMiddle   bool
	Width       uint8
	Bit         uint16
	Still       uint16 // change of the reading, of 65535, that is passed over
	Lo, Mid, Hi uint16 // readings at the ends and, with HasMiddle, in the middle
	Dead        uint16 // to either side of the middle
	AtLo, AtHi  int32  // values at the ends, at most 65535 apart
}

// Hat is four contacts as one direction.
type Hat struct {
	Bit                   uint16
	Up, Right, Down, Left uint8 // inputs
}

// LampKind says what lights a lamp.
type LampKind uint8

// The kinds.
const (
	Steady  LampKind = 0
	Follows LampKind = 1 // an input
	Flips   LampKind = 2 // at each press of an input
	FromPC  LampKind = 3 // a bit of an output report
	Hears   LampKind = 4 // a note or a control of MIDI
)

// Lamp is a lamp.
type Lamp struct {
	Kind   LampKind
	Invert bool
	Refers uint16 // input or bit; of MIDI the status byte with its channel, and the number in the upper byte
}

const (
	headerLength = 20
	entryLength  = 6
	checkedFrom  = 8 // the checksum covers all from here on
)

func flag(on bool, bit uint8) uint8 {
	if on {
		return bit
	}
	return 0
}

// Bytes writes the table as the core reads it: see core/table.c. What the fields say is not judged here; the core judges it. A table
// that does not fit into 65535 bytes is an error.
func (t Table) Bytes() ([]byte, error) {
	le := binary.LittleEndian
	var all []Section
	add := func(kind, stride uint8, n int, record func(b []byte, i int) []byte) {
		if n == 0 {
			return
		}
		s := Section{Type: kind, Stride: stride, Count: uint16(n)}
		for i := range n {
			s.Data = record(s.Data, i)
		}
		all = append(all, s)
	}
	add(0x81, 6, len(t.Reports), func(b []byte, i int) []byte {
		r := t.Reports[i]
		return append(b, r.ID, flag(r.Output, 1)|flag(r.MIDI, 2), r.Length, r.Start, r.Interface, r.Keys)
	})
	add(0x82, 8, len(t.Inputs), func(b []byte, i int) []byte {
		x := t.Inputs[i]
		b = le.AppendUint16(le.AppendUint16(le.AppendUint16(b, x.Raw), x.Bit), x.Second)
		return append(b, x.Debounce, flag(x.Invert, 1)|flag(x.Stable, 2)|flag(x.Shift, 4)|flag(x.Shared, 8))
	})
	add(0x83, 6, len(t.Pulses), func(b []byte, i int) []byte {
		p := t.Pulses[i]
		return le.AppendUint16(le.AppendUint16(le.AppendUint16(b, p.Bit), p.Length), p.Gap)
	})
	add(0x84, 4, len(t.Toggles), func(b []byte, i int) []byte {
		g := t.Toggles[i]
		return append(b, g.Input, g.On, g.Off, 0)
	})
	add(0x85, 20, len(t.Encoders), func(b []byte, i int) []byte {
		e := t.Encoders[i]
		b = append(b, e.A, e.B, e.Rest, e.Steps, uint8(e.Kind), flag(e.Reverse, 1), e.Up, e.Down)
		b = append(le.AppendUint16(b, e.Bit), e.Width, 0)
		for _, v := range []int16{e.Min, e.Max, e.Step, e.Start} {
			b = le.AppendUint16(b, uint16(v))
		}
		return b
	})
	add(0x86, 24, len(t.Axes), func(b []byte, i int) []byte {
		a := t.Axes[i]
		b = append(b, a.Channel, a.Filter, flag(a.Invert, 1)|flag(a.HasMiddle, 2), a.Width)
		for _, v := range []uint16{a.Bit, a.Still, a.Lo, a.Mid, a.Hi, a.Dead} {
			b = le.AppendUint16(b, v)
		}
		return le.AppendUint32(le.AppendUint32(b, uint32(a.AtLo)), uint32(a.AtHi))
	})
	add(0x87, 6, len(t.Hats), func(b []byte, i int) []byte {
		h := t.Hats[i]
		return append(le.AppendUint16(b, h.Bit), h.Up, h.Right, h.Down, h.Left)
	})
	add(0x88, 4, len(t.Lamps), func(b []byte, i int) []byte {
		l := t.Lamps[i]
		return le.AppendUint16(append(b, uint8(l.Kind), flag(l.Invert, 1)), l.Refers)
	})
	add(0x89, 8, len(t.Gestures), func(b []byte, i int) []byte {
		g := t.Gestures[i]
		return le.AppendUint16(le.AppendUint16(append(b, g.Input, g.Short, g.Long, g.Double), g.LongTime), g.Pause)
	})
	var steps []Step
	for _, m := range t.Macros {
		steps = append(steps, m...)
	}
	add(0x8A, 6, len(steps), func(b []byte, i int) []byte {
		b = append(le.AppendUint16(b, steps[i].Bit), flag(steps[i].Press, 1), 0)
		return le.AppendUint16(b, steps[i].Wait)
	})
	first := 0
	add(0x8B, 2, len(t.Macros), func(b []byte, i int) []byte {
		b = append(b, uint8(first), uint8(len(t.Macros[i])))
		first += len(t.Macros[i])
		return b
	})
	add(0x8C, 8, len(t.Events), func(b []byte, i int) []byte {
		e := t.Events[i]
		return append(le.AppendUint16(b, e.Bit), e.Width, flag(e.Relative, 1), e.Status, e.Number, e.On, e.Off)
	})
	add(0x8D, 6, len(t.Choices), func(b []byte, i int) []byte {
		c := t.Choices[i]
		return le.AppendUint16(le.AppendUint16(append(b, c.Input, c.Width), c.Bit), c.Value)
	})
	add(0x8E, 6, len(t.Neithers), func(b []byte, i int) []byte {
		n := t.Neithers[i]
		return append(le.AppendUint16(b, n.Bit), n.Inputs[:]...)
	})
	out, err := Assemble(t.Chip, t.Tick, append(all, t.Extra...))
	switch {
	case err != nil:
	case slices.ContainsFunc(t.Lamps, func(l Lamp) bool { return l.Kind == Hears }) || slices.ContainsFunc(t.Inputs, func(i Input) bool { return i.Shared }): // the third interface of the core
		out[leastAt] = 3
		Seal(out)
	case t.second():
		out[leastAt] = 2
		Seal(out)
	}
	return out, err
}

// second reports whether the table needs the second interface of the core: more than one interface of USB, MIDI, choices, neithers.
func (t Table) second() bool {
	return len(t.Events)+len(t.Choices)+len(t.Neithers) > 0 || slices.ContainsFunc(t.Reports, func(r Report) bool { return r.MIDI || r.Interface > 0 || r.Keys > 0 })
}

// leastAt is where a table says which interface of the core it needs.
const leastAt = 11

// Assemble writes the header, the directory and the sections, with the checksum.
func Assemble(chip Chip, tick uint16, sections []Section) ([]byte, error) {
	le := binary.LittleEndian
	if len(sections) > 255 {
		return nil, fmt.Errorf("%d sections; 255 are the most", len(sections))
	}
	out := make([]byte, headerLength+entryLength*len(sections))
	copy(out, "KWT1")
	out[8], out[10], out[11] = 1, uint8(chip), 1
	le.PutUint16(out[16:], tick)
	out[18] = uint8(len(sections))
	for i, s := range sections {
		e := out[headerLength+entryLength*i:]
		e[0], e[1] = s.Type, s.Stride
		le.PutUint16(e[2:], s.Count)
		le.PutUint16(e[4:], uint16(len(out)))
		out = append(out, s.Data...)
		if len(out) > 65535 {
			return nil, fmt.Errorf("the table has more than 65535 bytes with section 0x%02X", s.Type)
		}
	}
	le.PutUint16(out[12:], uint16(len(out)))
	Seal(out)
	return out, nil
}

// Seal writes the checksum into a table anew. It needs at least a header.
func Seal(table []byte) {
	binary.LittleEndian.PutUint32(table[4:], crc32.ChecksumIEEE(table[checkedFrom:]))
}
