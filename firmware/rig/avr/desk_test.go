package avr

import (
	"encoding/binary"
	"testing"
	"unicode/utf16"

	"knobwright/firmware"
	"knobwright/internal/hid"
)

// pin is the chip's own number of a pin, as "B3".
func pin(name string) uint8 { return 8*(name[0]-'B') + name[1] - '0' }

func pins(names ...string) []uint8 {
	var out []uint8
	for _, n := range names {
		out = append(out, pin(n))
	}
	return out
}

func text(s string) []byte {
	u := utf16.Encode([]rune(s))
	b := []byte{byte(2 + 2*len(u)), 3}
	for _, x := range u {
		b = binary.LittleEndian.AppendUint16(b, x)
	}
	return b
}

// device gives a board the descriptors of a panel: an interface with its report, output by endpoint 2 where there is any, and the bench.
func device(t testing.TB, b *firmware.Board, in, out int) {
	t.Helper()
	reports := []hid.VendorReport{{Kind: hid.Input, ID: 1, Bytes: in}}
	b.Endpoints = []firmware.Endpoint{{Number: 1, In: true, Size: 64}}
	if out > 0 {
		reports = append(reports, hid.VendorReport{Kind: hid.Output, ID: 2, Bytes: out})
		b.Endpoints = append(b.Endpoints, firmware.Endpoint{Number: 2, Size: 16})
	}
	b.Endpoints = append(b.Endpoints, firmware.Endpoint{Number: 3, In: true, Interface: 1, Size: 8})
	main, _, err := hid.Build(hid.Vendor{Reports: reports})
	if err != nil {
		t.Fatal(err)
	}
	bench, _, err := hid.Build(hid.Vendor{Reports: []hid.VendorReport{
		{Kind: hid.Feature, ID: 0xF0, Bytes: 20}, {Kind: hid.Feature, ID: 0xF1, Bytes: 12}, {Kind: hid.Feature, ID: 0xF2, Bytes: 4}, {Kind: hid.Feature, ID: 0xF3, Bytes: 4},
	}})
	if err != nil {
		t.Fatal(err)
	}
	b.HID = map[int][]byte{0: main, 1: bench}
	b.Strings = map[int][]byte{0: {4, 3, 9, 4}, 1: text("The Lantern Theatre in the Mill"), 2: text("Cue desk")}
	b.Device = []byte{18, 1, 0, 2, 0, 0, 0, 64, 9, 0x12, 1, 0, 0, 1, 1, 2, 0, 1}
	var c []byte
	for i := range 2 {
		var ends []byte
		n := byte(0)
		for _, e := range b.Endpoints {
			if int(e.Interface) != i {
				continue
			}
			address := e.Number
			if e.In {
				address |= 0x80
			}
			ends = append(ends, 7, 5, address, 3, e.Size, 0, 1)
			n++
		}
		c = append(c, 9, 4, byte(i), 0, n, 3, 0, 0, 0)
		c = append(c, 9, 0x21, 0x11, 1, 0, 1, 0x22, byte(len(b.HID[i])), byte(len(b.HID[i])>>8))
		c = append(c, ends...)
	}
	b.Configuration = append([]byte{9, 2, byte(9 + len(c)), byte((9 + len(c)) >> 8), 2, 1, 0, 0xA0, 50}, c...)
}

// Raw bits of the desk, which has contacts wired in all ways. Each has the report bit of its own number; the encoder's pulses come after.
const (
	rawButtons, rawEncoder, rawMatrix, rawChain, rawExpander, rawLadder = 0, 2, 8, 24, 40, 56

	bitUp, bitDown = 60, 61
	axesAt         = 9 // bytes in the report, its number before them
	deskIn         = 12
)

// desk is a table of everything at once.
func desk(t testing.TB) (firmware.Table, firmware.Board, []byte) {
	t.Helper()
	b := firmware.Board{
		Direct: []firmware.DirectPin{
			{Raw: 0, Pin: pin("B0"), PullUp: true}, {Raw: 1, Pin: pin("B1"), PullUp: true},
			{Raw: 2, Pin: pin("B2"), PullUp: true, Often: true}, {Raw: 3, Pin: pin("B3"), PullUp: true, Often: true},
		},
		Matrix:    &firmware.Matrix{Raw: rawMatrix, Settle: 3, Rows: pins("D0", "D1", "D2", "D3"), Columns: pins("B4", "B5", "B6", "B7")},
		Chains:    []firmware.Chain{{Raw: rawChain, Bits: 16, Load: pin("D4"), Clock: pin("D5"), Data: pin("D6")}},
		Expanders: []firmware.Expander{{Raw: rawExpander, Address: 0x20, Data: pin("D7"), Clock: pin("C6"), Inputs: 0x0FFF, FirstLamp: 2}},
		Muxes:     []firmware.Mux{{Channel: 1, Select: [3]uint8{pin("F4"), pin("F5"), pin("F6")}}},
		Analog:    []firmware.Analog{{Axis: 0, Mux: 0, Line: 5}, {Axis: 1, Channel: 7, Mux: firmware.No}},
		Ladders:   []firmware.Ladder{{Channel: 0, Raw: rawLadder, Limits: []uint16{8000, 20000, 40000, 56000}}},
		Lamps:     []firmware.LampPin{{Pin: pin("C7"), Lamp: 0}, {Pin: pin("E6"), Lamp: 1, Low: true}},
	}
	device(t, &b, deskIn, 1)
	tab := firmware.Table{
		Chip: firmware.ATmega32U4, Tick: 500,
		Reports:  []firmware.Report{{ID: 1, Length: deskIn}, {ID: 2, Output: true, Length: 1, Start: deskIn}},
		Pulses:   []firmware.Pulse{{Bit: bitUp, Length: 8, Gap: 8}, {Bit: bitDown, Length: 8, Gap: 8}},
		Encoders: []firmware.Encoder{{A: rawEncoder, B: rawEncoder + 1, Rest: 1, Steps: 4, Kind: firmware.Pulses, Up: 0, Down: 1}},
	}
	for raw := range 60 {
		if raw >= 2 && raw < 8 || raw >= rawExpander+12 && raw < rawLadder {
			continue
		}
		tab.Inputs = append(tab.Inputs, firmware.Input{Raw: uint16(raw), Bit: uint16(raw), Second: firmware.None, Debounce: 10})
	}
	for i := range 2 {
		tab.Axes = append(tab.Axes, firmware.Axis{Width: 16, Bit: uint16(64 + 16*i), Still: 100, Hi: 65535, AtHi: 65535})
	}
	tab.Lamps = []firmware.Lamp{{Kind: firmware.FromPC, Refers: 96}, {Kind: firmware.Follows, Refers: 0}}
	for i := range 4 {
		tab.Lamps = append(tab.Lamps, firmware.Lamp{Kind: firmware.FromPC, Refers: uint16(97 + i)})
	}
	return tab, b, whole(t, tab, b)
}

// whole writes a table with its board.
func whole(t testing.TB, tab firmware.Table, b firmware.Board) []byte {
	t.Helper()
	tab.Extra = b.Sections()
	raw, err := tab.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// held gives the bits that are set, of the contacts and pulses.
func held(report []byte) []int {
	var out []int
	for i := range 62 {
		if report[1+i/8]>>(i&7)&1 != 0 {
			out = append(out, i)
		}
	}
	return out
}
