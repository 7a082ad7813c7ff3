package firmware

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"unicode/utf16"

	core "knobwright/firmware"

	"knobwright/internal/hid"
)

// ErrNoTable says that no table stands where one should.
var ErrNoTable = errors.New("there is no table of a panel in it")

// mostTable is the longest table that is read: four times the room that the chips have.
const mostTable = 16384

// Read reads a table back out of its bytes; bytes behind it are passed over. Whatever the bytes, it does not panic: what is wrong is an
// error in a sentence. It judges no more than it must to read; the core judges every field.
func Read(b []byte) (Parsed, error) {
	h := layoutV1
	var p Parsed
	if len(b) < h.end || string(b[:4]) != "KWT1" {
		return p, ErrNoTable
	}
	if b[h.format] != 1 {
		return p, fmt.Errorf("the table is of format %d; this program reads format 1", b[h.format])
	}
	p.Length = le16(b, h.length)
	n := int(b[h.sections])
	if p.Length > len(b) || p.Length < h.end+6*n {
		return p, fmt.Errorf("the table says that it has %d bytes; there are %d", p.Length, len(b))
	}
	if p.Length > mostTable {
		return p, fmt.Errorf("the table has %d bytes; no core has room for more than %d", p.Length, mostTable)
	}
	b = b[:p.Length]
	p.Checksum = binary.LittleEndian.Uint32(b[h.crc:])
	if sum := crc32.ChecksumIEEE(b[h.from:]); sum != p.Checksum {
		return p, fmt.Errorf("the table is damaged: its checksum is %08X, and %08X is right", p.Checksum, sum)
	}
	p.Table.Chip, p.Table.Tick = core.Chip(b[h.chip]), uint16(le16(b, h.tick))
	p.Names = map[[2]int]string{}
	seen := [256]bool{}
	for i := range n {
		e := b[h.end+6*i:]
		s := core.Section{Type: e[0], Stride: e[1], Count: uint16(le16(e, 2))}
		at, size := le16(e, 4), int(e[1])*le16(e, 2)
		if at > len(b) || size > len(b)-at {
			return p, fmt.Errorf("section 0x%02X lies outside of the table", s.Type)
		}
		if seen[s.Type] {
			return p, fmt.Errorf("section 0x%02X stands in the table twice", s.Type)
		}
		seen[s.Type] = true
		s.Data = b[at : at+size]
		p.Sections = append(p.Sections, s)
		if err := p.section(s); err != nil {
			return p, err
		}
	}
	if err := p.join(); err != nil {
		return p, err
	}
	return p, nil
}

// Least lengths of the records of the core.
var strides = map[uint8]uint8{0x81: 6, 0x82: 8, 0x83: 6, 0x84: 4, 0x85: 20, 0x86: 24, 0x87: 6, 0x88: 4, 0x89: 8, 0x8A: 6, 0x8B: 2, 0x8C: 8, 0x8D: 6, 0x8E: 6}

// records calls f for every record of a section.
func records(s core.Section, f func(r []byte)) {
	for i := range int(s.Count) {
		f(s.Data[i*int(s.Stride):][:s.Stride])
	}
}

// section reads one section.
func (p *Parsed) section(s core.Section) error {
	t := &p.Table
	if least, ok := strides[s.Type]; ok && s.Stride < least {
		return fmt.Errorf("the records of section 0x%02X have %d bytes; %d are the least", s.Type, s.Stride, least)
	}
	i16 := func(r []byte, at int) int16 { return int16(le16(r, at)) }
	u16 := func(r []byte, at int) uint16 { return uint16(le16(r, at)) }
	i32 := func(r []byte, at int) int32 { return int32(binary.LittleEndian.Uint32(r[at:])) }
	switch s.Type {
	case 0x81:
		records(s, func(r []byte) {
			t.Reports = append(t.Reports, core.Report{ID: r[0], Output: r[1] == 1, MIDI: r[1] == 2, Length: r[2], Start: r[3], Interface: r[4], Keys: r[5]})
		})
	case 0x82:
		records(s, func(r []byte) {
			t.Inputs = append(t.Inputs, core.Input{Raw: u16(r, 0), Bit: u16(r, 2), Second: u16(r, 4), Debounce: r[6], Invert: r[7]&1 != 0, Stable: r[7]&2 != 0, Shift: r[7]&4 != 0, Shared: r[7]&8 != 0})
		})
	case 0x83:
		records(s, func(r []byte) {
			t.Pulses = append(t.Pulses, core.Pulse{Bit: u16(r, 0), Length: u16(r, 2), Gap: u16(r, 4)})
		})
	case 0x84:
		records(s, func(r []byte) { t.Toggles = append(t.Toggles, core.Toggle{Input: r[0], On: r[1], Off: r[2]}) })
	case 0x85:
		records(s, func(r []byte) {
			t.Encoders = append(t.Encoders, core.Encoder{
				A: r[0], B: r[1], Rest: r[2], Steps: r[3], Kind: core.EncoderKind(r[4]), Reverse: r[5]&1 != 0, Up: r[6], Down: r[7], Bit: u16(r, 8), Width: r[10],
				Min: i16(r, 12), Max: i16(r, 14), Step: i16(r, 16), Start: i16(r, 18),
			})
		})
	case 0x86:
		records(s, func(r []byte) {
			t.Axes = append(t.Axes, core.Axis{
				Channel: r[0], Filter: r[1], Invert: r[2]&1 != 0, HasMiddle: r[2]&2 != 0, Width: r[3], Bit: u16(r, 4), Still: u16(r, 6), Lo: u16(r, 8), Mid: u16(r, 10),
				Hi: u16(r, 12), Dead: u16(r, 14), AtLo: i32(r, 16), AtHi: i32(r, 20),
			})
		})
	case 0x87:
		records(s, func(r []byte) {
			t.Hats = append(t.Hats, core.Hat{Bit: u16(r, 0), Up: r[2], Right: r[3], Down: r[4], Left: r[5]})
		})
	case 0x88:
		records(s, func(r []byte) {
			t.Lamps = append(t.Lamps, core.Lamp{Kind: core.LampKind(r[0]), Invert: r[1]&1 != 0, Refers: u16(r, 2)})
		})
	case 0x89:
		records(s, func(r []byte) {
			t.Gestures = append(t.Gestures, core.Gesture{Input: r[0], Short: r[1], Long: r[2], Double: r[3], LongTime: u16(r, 4), Pause: u16(r, 6)})
		})
	case 0x8C:
		records(s, func(r []byte) {
			t.Events = append(t.Events, core.Event{Bit: u16(r, 0), Width: r[2], Relative: r[3] == 1, Status: r[4], Number: r[5], On: r[6], Off: r[7]})
		})
	case 0x8D:
		records(s, func(r []byte) {
			t.Choices = append(t.Choices, core.Choice{Input: r[0], Width: r[1], Bit: u16(r, 2), Value: u16(r, 4)})
		})
	case 0x8E:
		records(s, func(r []byte) {
			t.Neithers = append(t.Neithers, core.Neither{Bit: u16(r, 0), Inputs: [4]uint8(r[2:6])})
		})
	case 0x8A, 0x8B: // read together, when both are there
	default:
		t.Extra = append(t.Extra, s)
		p.blob(s)
	}
	return nil
}

// join cuts the steps into macros.
func (p *Parsed) join() error {
	var steps []core.Step
	for _, s := range p.Sections {
		if s.Type == 0x8A {
			records(s, func(r []byte) {
				steps = append(steps, core.Step{Bit: uint16(le16(r, 0)), Press: r[2] == 1, Wait: uint16(le16(r, 4))})
			})
		}
	}
	var err error
	for _, s := range p.Sections {
		if s.Type == 0x8B {
			records(s, func(r []byte) {
				if int(r[0])+int(r[1]) > len(steps) {
					err = errors.New("a sequence of the table has steps that are not there")
					return
				}
				p.Table.Macros = append(p.Table.Macros, steps[r[0]:][:r[1]:r[1]])
			})
		}
	}
	return err
}

// blob reads a section that is not of the core.
func (p *Parsed) blob(s core.Section) {
	d := &p.Device
	switch {
	case s.Type == secDevice && len(s.Data) == 18:
		d.Device = s.Data
		d.Vendor, d.Product = uint16(le16(s.Data, 8)), uint16(le16(s.Data, 10))
		d.TestID = d.Vendor == testVendor && d.Product == testProduct
	case s.Type == secConfiguration && len(s.Data) >= 9:
		d.Configuration = s.Data
		d.MilliAmp = 2 * int(s.Data[8])
	case s.Type >= secReport && s.Type < secReport+8:
		name := nameControls
		desc, _ := hid.Parse(s.Data)
		if len(desc.Collections) > 0 && desc.Collections[0].Usage.Page() >= hid.PageVendor && desc.Report(hid.Feature, benchIdentity) != nil {
			name = nameBench
		} else if len(desc.Reports) > 0 && !desc.HasIDs() {
			name = nameKeyboard
		}
		p.Reports = append(p.Reports, Interface{name, int(s.Type - secReport), s.Data, desc})
	case s.Type > secString && s.Type < secString+16 && len(s.Data) >= 2:
		var u []uint16
		for i := 2; i+1 < len(s.Data); i += 2 {
			u = append(u, uint16(le16(s.Data, i)))
		}
		text := string(utf16.Decode(u))
		switch s.Type - secString {
		case 1:
			d.Maker = text
		case 2:
			d.Name = text
		case 3:
			d.Serial = text
		}
		p.Strings = append(p.Strings, text)
	case s.Type == secNames:
		for b := s.Data; len(b) >= 3 && len(b) >= 3+int(b[2]); b = b[3+int(b[2]):] {
			p.Names[[2]int{int(b[0]), int(b[1])}] = string(b[3 : 3+int(b[2])])
		}
	}
}
