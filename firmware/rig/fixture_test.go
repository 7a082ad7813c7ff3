package rig

import (
	"encoding/binary"
	"testing"
	"unicode/utf16"

	"knobwright/firmware"
	"knobwright/internal/hid"
)

// Two panels have all that the firmware can read and do. Their pins and channels are numbered from 0 here; pins says which of a chip's
// they are.
type pinMap struct{ pins, channels []uint8 }

var pinMaps = map[firmware.Chip]pinMap{
	firmware.Host:       {seq(0, 26), seq(0, 4)},
	firmware.RP2040:     {seq(0, 26), seq(0, 3)},                                                                                                    // GPIO 0 to 25; channels are GPIO 26 to 28
	firmware.ATmega32U4: {[]uint8{0, 1, 2, 3, 4, 5, 6, 7, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 30, 26, 33, 36, 37, 38, 39}, []uint8{0, 5, 6, 7}}, // port B, C6 C7, D, E6 E2, F1 F4 to F7; channel 0 is F0, and 5 to 7 are F5 to F7
}

func seq(from, to uint8) []uint8 {
	var out []uint8
	for n := from; n < to; n++ {
		out = append(out, n)
	}
	return out
}

const (
	reportStick = 1
	reportKeys  = 2
	reportLamps = 3
	epLamps     = 2
	epBench     = 3
)

// fixture is a panel: its table as bytes, and what the host can read of it.
type fixture struct {
	table      firmware.Table
	board      firmware.Board
	raw        []byte
	descriptor *hid.Descriptor
	report     []byte // report descriptor of the controls
	bench      []byte
}

func stringOf(s string) []byte {
	out := []byte{0, 3}
	for _, u := range utf16.Encode([]rune(s)) {
		out = binary.LittleEndian.AppendUint16(out, u)
	}
	out[0] = byte(len(out))
	return out
}

// longName makes a string descriptor of exactly 64 bytes: a whole packet, which an empty one must follow.
const longName = "Signal desk of the puppet stage"

// finish adds what the host is told to a table and a board.
func finish(t testing.TB, chip firmware.Chip, table firmware.Table, board firmware.Board, boot bool, parts ...hid.Part) *fixture {
	t.Helper()
	f := &fixture{}
	var err error
	if f.report, f.descriptor, err = hid.Build(parts...); err != nil {
		t.Fatal(err)
	}
	f.bench, _, err = hid.Build(hid.Vendor{Reports: []hid.VendorReport{
		{Kind: hid.Feature, ID: 0xF0, Bytes: 20}, {Kind: hid.Feature, ID: 0xF1, Bytes: rawBytes(chip)}, {Kind: hid.Feature, ID: 0xF2, Bytes: 4}, {Kind: hid.Feature, ID: 0xF3, Bytes: 4},
	}})
	if err != nil {
		t.Fatal(err)
	}
	subclass := byte(one(boot))
	body := []byte{9, 4, 0, 0, 2, 3, subclass, subclass, 0, 9, 0x21, 0x11, 0x01, 0, 1, 0x22, byte(len(f.report)), byte(len(f.report) >> 8), 7, 5, 0x81, 3, 64, 0, 1, 7, 5, epLamps, 3, 64, 0, 1}
	body = append(body, 9, 4, 1, 0, 1, 3, 0, 0, 0, 9, 0x21, 0x11, 0x01, 0, 1, 0x22, byte(len(f.bench)), byte(len(f.bench)>>8), 7, 5, 0x80|epBench, 3, 16, 0, 10)
	board.Device = []byte{18, 1, 0x00, 0x02, 0, 0, 0, 64, 0x09, 0x12, 0x01, 0x00, 0x00, 0x01, 1, 2, 3, 1}
	board.Configuration = append([]byte{9, 2, byte(9 + len(body)), 0, 2, 1, 0, 0xA0, 50}, body...)
	board.HID = map[int][]byte{0: f.report, 1: f.bench}
	board.Strings = map[int][]byte{0: {4, 3, 9, 4}, 1: stringOf("hand-built"), 2: stringOf(longName), 3: stringOf("0001")}
	board.Endpoints = []firmware.Endpoint{{Number: 1, In: true, Size: 64}, {Number: epLamps, Size: 64}, {Number: epBench, In: true, Interface: 1, Size: 16}}
	table.Chip = chip
	at := 0
	for _, r := range f.descriptor.Reports {
		table.Reports = append(table.Reports, firmware.Report{ID: r.ID, Output: r.Kind == hid.Output, Length: uint8(r.Bytes()), Start: uint8(at)})
		at += r.Bytes()
	}
	table.Extra = append(table.Extra, board.Sections()...)
	f.table, f.board = table, board
	if f.raw, err = table.Bytes(); err != nil {
		t.Fatal(err)
	}
	return f
}

func rawBytes(chip firmware.Chip) int {
	if chip == firmware.ATmega32U4 {
		return 96 / 8
	}
	return 248 / 8
}

// Raw bits of the desk.
const (
	deskPush, deskHeld, deskPulse, deskUp, deskDown, deskShift, deskGesture, deskMacro = 0, 1, 2, 3, 4, 5, 6, 7
	deskA, deskB, deskWheelA, deskWheelB, deskDialA, deskDialB, deskStable, deskNC     = 8, 9, 10, 11, 12, 13, 14, 15
	deskLampFollows, deskLampPC                                                        = 16, 17 // pins
	deskTick                                                                           = 500
)

// ms gives a time in ticks of the desk.
func ms(n int) uint16 { return uint16(n * 1000 / deskTick) }

// desk has contacts on pins of their own, three encoders, a slide, and lamps. Report 1 is 16 buttons and three axes, report 2 keys.
func desk(t testing.TB, chip firmware.Chip) *fixture {
	p := pinMaps[chip]
	const (
		slide, dial, wheel = 16, 32, 40 // bits of report 1
		keys               = 48         // of report 2: modifiers, then keys from a on
	)
	button := func(n int) uint16 { return uint16(n - 1) }
	hold := func(raw int, bit uint16) firmware.Input {
		return firmware.Input{Raw: uint16(raw), Bit: bit, Second: firmware.None, Debounce: uint8(ms(5))}
	}
	inputs := []firmware.Input{
		hold(deskPush, button(1)), hold(deskHeld, button(3)), hold(deskPulse, firmware.None), hold(deskUp, button(6)), hold(deskDown, button(7)),
		hold(deskShift, firmware.None), hold(deskGesture, firmware.None), hold(deskMacro, firmware.None), hold(deskStable, button(14)), hold(deskNC, button(15)),
	}
	inputs[0].Second = button(2)
	inputs[5].Shift = true
	inputs[8].Stable = true
	inputs[9].Invert = true
	pulse := func(n int) firmware.Pulse { return firmware.Pulse{Bit: button(n), Length: ms(8), Gap: ms(4)} }
	table := firmware.Table{
		Tick: deskTick, Inputs: inputs,
		Pulses:  []firmware.Pulse{pulse(4), pulse(5), pulse(8), pulse(9), pulse(10), pulse(12), pulse(13)},
		Toggles: []firmware.Toggle{{Input: 2, On: 0, Off: 1}, {Input: 7, On: 7, Off: firmware.No}},
		Gestures: []firmware.Gesture{
			{Input: 6, Short: 2, Long: 3, Double: 4, LongTime: ms(100), Pause: ms(60)},
		},
		Macros: []firmware.Macro{{{Bit: keys, Press: true, Wait: ms(5)}, {Bit: keys + 8 + 2, Press: true, Wait: ms(10)}, {Bit: keys + 8 + 2, Wait: ms(5)}, {Bit: keys, Wait: ms(20)}, {Bit: button(11), Press: true, Wait: ms(10)}, {Bit: button(11), Wait: ms(1)}}},
		Encoders: []firmware.Encoder{
			{A: deskA, B: deskB, Rest: 1, Steps: 4, Kind: firmware.Pulses, Up: 5, Down: 6, Bit: firmware.None},
			{A: deskWheelA, B: deskWheelB, Rest: 1, Steps: 4, Kind: firmware.Relative, Up: firmware.No, Down: firmware.No, Bit: wheel, Width: 8, Min: -127, Max: 127, Step: 1},
			{A: deskDialA, B: deskDialB, Rest: 9, Steps: 2, Kind: firmware.Stops, Up: firmware.No, Down: firmware.No, Bit: dial, Width: 8, Min: 0, Max: 9, Step: 1, Start: 5},
		},
		Axes:  []firmware.Axis{{Channel: p.channels[0], Filter: 3, Width: 16, Bit: slide, Still: 200, Lo: 1000, Mid: 32768, Hi: 64500, AtHi: 1023}},
		Lamps: []firmware.Lamp{{Kind: firmware.Follows, Refers: 0}, {Kind: firmware.FromPC, Refers: 0}},
	}
	board := firmware.Board{
		Analog: []firmware.Analog{{Channel: p.channels[0], Mux: firmware.No}},
		Lamps:  []firmware.LampPin{{Pin: p.pins[deskLampFollows], Lamp: 0}, {Pin: p.pins[deskLampPC], Lamp: 1, Low: true}},
	}
	for raw := range 16 {
		board.Direct = append(board.Direct, firmware.DirectPin{Raw: uint8(raw), Pin: p.pins[raw], PullUp: true, Often: raw >= deskA && raw <= deskDialB})
	}
	parts := []hid.Part{
		hid.Joystick{ID: reportStick, Buttons: 16, Axes: []hid.Axis{{Usage: hid.Slider, Max: 1023, Bits: 16}, {Usage: hid.Dial, Max: 9, Bits: 8}, {Usage: hid.Wheel, Min: -127, Max: 127, Bits: 8, Flags: hid.Relative}}},
		hid.Keyboard{ID: reportKeys, First: 0x04, Last: 0x0B},
		hid.Lamps{ID: reportLamps, Count: 2},
	}
	// The lamp's bit follows both input reports in the row.
	table.Lamps[1].Refers = keys + 16
	return finish(t, chip, table, board, true, parts...)
}

// Raw bits of the wall.
const (
	wallMatrix, wallChain, wallFirst, wallSecond, wallLadder = 0, 16, 32, 48, 64
	wallSlides                                               = 80 // first bit of the axes
)

// wall has contacts in a matrix, a chain, two expanders and a ladder, a multiplexer with two slides, a hat, and lamps on an expander.
// Report 1 is 64 + 3 buttons, a hat and two axes.
func wall(t testing.TB, chip firmware.Chip) *fixture {
	p := pinMaps[chip]
	const hatBit, slides = 72, wallSlides
	table := firmware.Table{Tick: deskTick}
	for raw := range 67 {
		if raw >= wallSecond+8 && raw < wallLadder {
			continue
		}
		in := firmware.Input{Raw: uint16(raw), Bit: uint16(raw), Second: firmware.None, Debounce: uint8(ms(5))}
		if raw >= wallFirst && raw < wallFirst+4 {
			in.Bit = firmware.None // of the hat
		}
		table.Inputs = append(table.Inputs, in)
	}
	table.Hats = []firmware.Hat{{Bit: hatBit, Up: wallFirst, Right: wallFirst + 1, Down: wallFirst + 2, Left: wallFirst + 3}}
	axis := func(n int) firmware.Axis {
		return firmware.Axis{Channel: p.channels[0], Filter: 2, Width: 16, Bit: uint16(slides + 16*n), Still: 100, Hi: 65535, HasMiddle: true, Mid: 32768, Dead: 2000, AtLo: -512, AtHi: 512}
	}
	table.Axes = []firmware.Axis{axis(0), axis(1)}
	lamp := func(kind firmware.LampKind, refers int) firmware.Lamp {
		return firmware.Lamp{Kind: kind, Refers: uint16(refers)}
	}
	const fromPC = slides + 32
	table.Lamps = []firmware.Lamp{
		lamp(firmware.Steady, 0), lamp(firmware.Follows, 0), lamp(firmware.Flips, 1), lamp(firmware.FromPC, fromPC), lamp(firmware.FromPC, fromPC+1), {Kind: firmware.FromPC, Invert: true, Refers: fromPC + 2},
		lamp(firmware.Follows, wallChain), lamp(firmware.Follows, wallSecond),
	}
	board := firmware.Board{
		Matrix: &firmware.Matrix{Raw: wallMatrix, Settle: 3, Rows: p.pins[0:4], Columns: p.pins[4:8]},
		Chains: []firmware.Chain{{Raw: wallChain, Bits: 16, Load: p.pins[8], Clock: p.pins[9], Data: p.pins[10]}},
		Expanders: []firmware.Expander{
			{Raw: wallFirst, Address: 0x20, Data: p.pins[11], Clock: p.pins[12], Inputs: 0xFFFF, FirstLamp: firmware.No},
			{Raw: wallSecond, Address: 0x21, Data: p.pins[11], Clock: p.pins[12], Inputs: 0x00FF, FirstLamp: 0},
		},
		Muxes:   []firmware.Mux{{Channel: p.channels[0], Select: [3]uint8{p.pins[13], p.pins[14], p.pins[15]}}},
		Analog:  []firmware.Analog{{Axis: 0, Channel: p.channels[0], Mux: 0, Line: 1}, {Axis: 1, Channel: p.channels[0], Mux: 0, Line: 6}},
		Ladders: []firmware.Ladder{{Channel: p.channels[1], Raw: wallLadder, Limits: []uint16{12000, 30000, 50000}}},
	}
	parts := []hid.Part{
		hid.Joystick{ID: reportStick, Buttons: 67, Hats: 1, Axes: []hid.Axis{{Usage: hid.X, Min: -512, Max: 512, Bits: 16}, {Usage: hid.Y, Min: -512, Max: 512, Bits: 16}}},
		hid.Lamps{ID: reportLamps, Count: 3},
	}
	return finish(t, chip, table, board, false, parts...)
}
