package rig

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/hid"
)

// The organ has the desk's wires and another table: five interfaces, controls with lamps, a keyboard of its own, MIDI, and the bench.
const (
	organNote, organSecond, organProgram, organUp, organDown, organFirst = 0, 1, 2, 3, 4, 5 // from organFirst on, three positions
	organChordA, organChordB, organJogA, organJogB, organPanA, organPanB = 8, 9, 10, 11, 12, 13
	organKey, organManyKeys                                              = 14, 15

	organLampNote, organLampControl = 18, 19 // pins

	organControls, organKeyboard, organStream, organBench = 0, 1, 3, 4
	organEndLamps, organEndKeys, organEndOut, organEndIn  = 2, 3, 4, 5
)

var organEnds = []hid.Endpoint{{Number: 1}, {Number: organEndKeys}, {Number: organEndIn, Bulk: true}}

func organ(t testing.TB, chip firmware.Chip) *fixture {
	t.Helper()
	p := pinMaps[chip]
	const (
		dial, keys, midi = 8, 24, 24 + 40 // bits: axis, keyboard, MIDI
		key              = keys + 8       // of the key a
		pan, slide, jog  = midi + 8, midi + 16, midi + 24
	)
	f := &fixture{}
	var err error
	if f.report, f.descriptor, err = hid.Build(hid.Joystick{ID: 1, Buttons: 3, Axes: []hid.Axis{{Usage: hid.Dial, Max: 255}}}, hid.Lamps{ID: reportLamps, Count: 2}); err != nil {
		t.Fatal(err)
	}
	keyboard, _, err := hid.Build(hid.Keyboard{First: 4, Last: 4 + 31, Lamps: true})
	if err != nil {
		t.Fatal(err)
	}
	f.bench = desk(t, chip).bench
	c := hid.Configuration{MilliAmp: 100, Wakes: true, Interfaces: []hid.Interface{
		hid.HIDInterface(organControls, len(f.report), false, hid.Endpoint{Number: 1, In: true, Size: 64, Interval: 1}, hid.Endpoint{Number: organEndLamps, Size: 64, Interval: 1}),
		hid.HIDInterface(organKeyboard, len(keyboard), true, hid.Endpoint{Number: organEndKeys, In: true, Size: 64, Interval: 1}),
	}}
	c.Interfaces = append(c.Interfaces, hid.MIDIInterfaces(organStream-1, organEndOut, organEndIn)...)
	c.Interfaces = append(c.Interfaces, hid.HIDInterface(organBench, len(f.bench), false, hid.Endpoint{Number: 6, In: true, Size: 16, Interval: 10}))
	b := desk(t, chip).board
	b.Lamps = []firmware.LampPin{{Pin: p.pins[deskLampFollows], Lamp: 0}, {Pin: p.pins[deskLampPC], Lamp: 1, Low: true}, {Pin: p.pins[organLampNote], Lamp: 2}, {Pin: p.pins[organLampControl], Lamp: 3}}
	if b.Configuration, err = c.Bytes(); err != nil {
		t.Fatal(err)
	}
	b.HID = map[int][]byte{organControls: f.report, organKeyboard: keyboard, organBench: f.bench}
	b.Endpoints = []firmware.Endpoint{
		{Number: 1, In: true, Size: 64}, {Number: organEndLamps, Size: 64}, {Number: organEndKeys, In: true, Interface: organKeyboard, Size: 64},
		{Number: organEndOut, Interface: organStream, Size: 64, Bulk: true}, {Number: organEndIn, In: true, Interface: organStream, Size: 64, Bulk: true},
		{Number: 6, In: true, Interface: organBench, Size: 16},
	}
	table := firmware.Table{Chip: chip, Tick: deskTick, Reports: []firmware.Report{
		{ID: 1, Length: 2}, {ID: reportLamps, Output: true, Length: 1, Start: 2}, {Length: 5, Start: 3, Interface: organKeyboard, Keys: 4},
		{MIDI: true, ID: 0xFF, Length: 4, Start: 8, Interface: organStream}, {Output: true, Length: 1, Start: 12, Interface: organKeyboard},
	}}
	in := func(raw int, bit uint16) {
		table.Inputs = append(table.Inputs, firmware.Input{Raw: uint16(raw), Bit: bit, Second: firmware.None, Debounce: uint8(ms(5))})
	}
	in(organNote, midi)
	in(organSecond, midi+1)
	in(organProgram, midi+2)
	in(organUp, 0)
	in(organDown, 1)
	for k := range 3 {
		in(organFirst+k, firmware.None)
		table.Choices = append(table.Choices, firmware.Choice{Input: uint8(organFirst + k), Width: 8, Bit: dial, Value: uint16(k * 127)})
	}
	in(organKey, key)
	for k := range 7 {
		in(organManyKeys, key+8+uint16(k))
	}
	table.Neithers = []firmware.Neither{{Bit: 2, Inputs: [4]uint8{organUp, organDown, organUp, organDown}}}
	table.Macros = []firmware.Macro{{{Bit: keys, Press: true, Wait: ms(5)}, {Bit: key + 1, Press: true, Wait: ms(10)}, {Bit: key + 1, Wait: ms(5)}, {Bit: keys, Wait: ms(5)}}}
	table.Encoders = []firmware.Encoder{
		{A: organChordA, B: organChordB, Rest: 1, Steps: 4, Kind: firmware.Pulses, Up: 0, Down: firmware.No, Bit: firmware.None},
		{A: organJogA, B: organJogB, Rest: 1, Steps: 4, Kind: firmware.Relative, Up: firmware.No, Down: firmware.No, Bit: jog, Width: 7, Min: -63, Max: 63, Step: 1},
		{A: organPanA, B: organPanB, Rest: 1, Steps: 4, Kind: firmware.Stops, Up: firmware.No, Down: firmware.No, Bit: pan, Width: 7, Max: 127, Step: 1, Start: 64},
	}
	table.Axes = []firmware.Axis{{Channel: p.channels[0], Filter: 3, Width: 7, Bit: slide, Still: 200, Lo: 1000, Mid: 32768, Hi: 64500, AtHi: 127}}
	table.Lamps = []firmware.Lamp{{Kind: firmware.FromPC, Refers: 16}, {Kind: firmware.FromPC, Refers: 17}, {Kind: firmware.Hears, Refers: 0x3C91}, {Kind: firmware.Hears, Refers: 0x07B0}}
	table.Events = []firmware.Event{
		{Bit: jog, Width: 7, Relative: true, Status: 0xBF, Number: 60},
		{Bit: midi, Width: 1, Status: 0x90, Number: 60, On: 127, Off: 64}, {Bit: midi + 1, Width: 1, Status: 0x91, Number: 64, On: 80, Off: 64},
		{Bit: midi + 2, Width: 1, Status: 0xC0, Number: 5}, {Bit: pan, Width: 7, Status: 0xB0, Number: 10}, {Bit: slide, Width: 7, Status: 0xB0, Number: 7},
	}
	table.Extra = b.Sections()
	f.table, f.board = table, b
	if f.raw, err = table.Bytes(); err != nil {
		t.Fatal(err)
	}
	return f
}

// heard listens to all endpoints for some ms.
func (d *device) heard(ms int) string {
	d.t.Helper()
	got, err := d.Hear(ms, organEnds...)
	if err != nil {
		d.t.Fatal(err)
	}
	var out []string
	for _, p := range got {
		out = append(out, p.String())
	}
	return strings.Join(out, " ")
}

// gives compares what came on all endpoints.
func (d *device) gives(what, want string) {
	d.t.Helper()
	if got := d.heard(25); got != want {
		d.t.Errorf("%s:\n got %q\nwant %q", what, got, want)
	}
}

// spin turns a shaft by detents and hears on all endpoints what comes.
func (d *device) spin(a, b, detents, listen int) string {
	d.t.Helper()
	var out []string
	step := 1
	if detents < 0 {
		step, detents = 3, -detents
	}
	for range 4 * detents {
		d.at[a] = (d.at[a] + step) & 3
		d.set(a, d.at[a] >= 2)
		d.set(b, d.at[a] == 1 || d.at[a] == 2)
		if s := d.heard(2); s != "" {
			out = append(out, s)
		}
	}
	if s := d.heard(listen); s != "" {
		out = append(out, s)
	}
	return strings.Join(out, " ")
}

var organScenarios = []scenario{
	{"notes", func(d *device) {
		d.set(organNote, true)
		d.gives("one", "5:09903C7F")
		d.set(organSecond, true)
		d.gives("another, of channel 2", "5:09914050")
		d.set(organNote, false)
		d.gives("the first ends", "5:08803C40")
		d.set(organSecond, false)
		d.gives("the other", "5:08814040")
		d.set(organProgram, true)
		d.gives("a program", "5:0CC00500")
		d.set(organProgram, false)
		d.gives("which has no end", "")
	}},
	{"lamps hear what the host plays", func(d *device) {
		for _, x := range []struct{ events, note, control string }{
			{"09913C7F", "1", "0"}, {"0BB0077F", "1", "1"}, {"08913C40", "1", "1"}, {"08813C40", "0", "1"}, {"0BB0070009913C01", "1", "0"},
			{"09903C00" + "09913C00" + "0BB00740", "0", "1"}, {"09903D7F09903D7F", "0", "1"}, {"0BB0073F" + "09913C", "0", "0"}, {strings.Repeat("09913C7F09913C00", 7) + "0BB0077F09913C7F", "1", "1"}, {"09913C00" + "0BB00700", "0", "0"},
		} {
			d.say(fmt.Sprintf("out %d %s", organEndOut, x.events), "run 30000")
			if note, control := d.level(organLampNote), d.level(organLampControl); note != x.note || control != x.control {
				d.t.Errorf("%s: %s %s; want %s %s", x.events, note, control, x.note, x.control)
			}
		}
	}},
	{"two notes at once are one packet", func(d *device) {
		d.set(organNote, true)
		d.set(organSecond, true)
		got := strings.ReplaceAll(d.heard(25), " 5:", "") // they may fall into two ticks
		if got != "5:09903C7F09914050" {
			d.t.Errorf("%q", got)
		}
		d.set(organNote, false)
		d.set(organSecond, false)
		d.heard(25)
	}},
	{"controls", func(d *device) {
		if got := d.spin(organPanA, organPanB, 2, 10); got != "5:0BB00A41 5:0BB00A42" {
			d.t.Errorf("absolute: %q", got)
		}
		if got := d.spin(organJogA, organJogB, 2, 10); got != "5:0BBF3C01 5:0BBF3C01" {
			d.t.Errorf("relative: %q", got)
		}
		if got := d.spin(organJogA, organJogB, -2, 10); got != "5:0BBF3C7F 5:0BBF3C7F" {
			d.t.Errorf("back: %q", got)
		}
		d.spin(organPanA, organPanB, -2, 10)
		for _, v := range []struct {
			at   int
			want string
		}{{65535, "7F"}, {0, "00"}} {
			d.say(d.w.Voltage(0, v.at))
			if got := d.heard(150); !strings.HasSuffix(got, "0BB007"+v.want) {
				d.t.Errorf("a slide: %q", got)
			}
		}
	}},
	{"nobody listens", func(d *device) {
		for range 3 { // the first one waits at the endpoint; of the others none is left
			d.set(organNote, true)
			d.say("run 20000")
			d.set(organNote, false)
			d.say("run 20000")
		}
		on, off := 0, 0
		for _, p := range strings.Fields(d.heard(20)) {
			on += strings.Count(p, "09903C7F")
			off += strings.Count(p, "08803C40")
		}
		if on != off || on > 2 {
			d.t.Errorf("%d notes begin and %d end", on, off)
		}
	}},
	{"controls, keyboard and MIDI beside one another", func(d *device) {
		d.set(organUp, true)
		d.gives("up, of three positions", "1:0101"+d.dialed())
		d.set(organUp, false)
		d.gives("the middle is a button too", "1:0104"+d.dialed())
		d.set(organDown, true)
		d.gives("down", "1:0102"+d.dialed())
		d.set(organDown, false)
		d.gives("the middle", "1:0104"+d.dialed())
		d.set(organKey, true)
		d.gives("a key", "3:0001000000")
		d.set(organKey, false)
		d.gives("a key", "3:0000000000")
	}},
	{"a switch as an axis", func(d *device) {
		for k := range 3 {
			d.set(organFirst+k, true)
			got := d.heard(25)
			if want := fmt.Sprintf("1:0104%02X", k*127); got != want && k > 0 {
				d.t.Errorf("position %d: %q; want %q", k+1, got, want)
			}
			d.set(organFirst+k, false)
			if got := d.heard(25); got != "" {
				d.t.Errorf("between two: %q", got)
			}
		}
		d.set(organFirst, true)
		d.heard(25)
		d.set(organFirst, false)
		d.heard(25)
	}},
	{"a shortcut at each click", func(d *device) {
		want := "3:0100000000 3:0102000000 3:0100000000 3:0000000000"
		if got := d.spin(organChordA, organChordB, 1, 60); got != want {
			d.t.Errorf("right: %q", got)
		}
		if got := d.spin(organChordA, organChordB, -1, 60); got != "" {
			d.t.Errorf("left, which sends nothing: %q", got)
		}
	}},
	{"the boot protocol", func(d *device) {
		d.control(Setup{0x21, 11, 0, organKeyboard, 0})
		d.set(organKey, true)
		d.gives("a key", "3:0000040000000000")
		d.set(organManyKeys, true)
		d.gives("eight at once", "3:0000010101010101")
		if r := d.control(Setup{0xA1, 1, 0x0100, organKeyboard, 64}); r.String() != "data 0000010101010101" {
			d.t.Errorf("asked for: %s", r)
		}
		d.set(organKey, false)
		d.gives("seven at once", "3:0000010101010101")
		d.set(organManyKeys, false)
		d.gives("none", "3:0000000000000000")
		d.control(Setup{0x21, 11, 1, organKeyboard, 0})
		d.set(organManyKeys, true)
		d.gives("in the other protocol", "3:00007F0000")
		d.set(organManyKeys, false)
		d.gives("none", "3:0000000000")
	}},
	{"lamps of the host", func(d *device) {
		lit := func(what, a, b string) {
			d.t.Helper()
			d.say("run 4000")
			if x, y := d.level(deskLampFollows), d.level(deskLampPC); x != a || y != b {
				d.t.Errorf("%s: the pins show %s and %s; want %s and %s", what, x, y, a, b)
			}
		}
		lit("dark", "0", "1")
		d.control(Setup{0x21, 9, 0x0200 | reportLamps, organControls, 2}, reportLamps, 1)
		lit("one, by request", "1", "1")
		d.say(fmt.Sprintf("out %d %02X02", organEndLamps, reportLamps))
		lit("the other, by endpoint", "0", "0")
		d.control(Setup{0x21, 9, 0x0200, organKeyboard, 1}, 1)
		lit("lamps of the keyboard are not those of the panel", "0", "0")
		d.say(fmt.Sprintf("out %d 0990%02X7F", organEndOut, 60), "run 2000", fmt.Sprintf("out %d %02X00", organEndOut, reportLamps))
		lit("what is played to the panel changes nothing", "0", "0")
		d.control(Setup{0x00, 3, 1, 0, 0})
		d.say("suspend", "run 100000")
		lit("the bus sleeps", "0", "1")
		d.set(organNote, true)
		d.say("run 100000")
		if !d.flag("wakeup") {
			d.t.Error("a note did not wake the host")
		}
		d.say("resume")
		if got := d.heard(30); got != "5:09903C7F" {
			d.t.Errorf("awake again: %q", got)
		}
		lit("lit again", "0", "0")
		d.set(organNote, false)
		d.heard(25)
		d.control(Setup{0x00, 1, 1, 0, 0})
		d.control(Setup{0x21, 9, 0x0200 | reportLamps, organControls, 2}, reportLamps, 0)
	}},
	{"a host that begins", func(d *device) {
		d.set(organSecond, true)
		d.heard(20)
		d.enumerate()
		got := d.heard(40)
		for _, want := range []string{"09914050", "0BB00A40", "0BB00700", "1:0104", "3:0000000000"} {
			if !strings.Contains(got, want) {
				d.t.Errorf("%s is not in %q", want, got)
			}
		}
		d.set(organSecond, false)
		d.heard(20)
	}},
}

// dialed is the last value of the switch that is an axis.
func (d *device) dialed() string {
	d.t.Helper()
	r := d.control(Setup{0xA1, 1, 0x0101, organControls, 64})
	if len(r.Data) != 3 {
		d.t.Fatalf("%s", r)
	}
	return fmt.Sprintf("%02X", r.Data[2])
}

// TestOrgan plays the organ on each back end.
func TestOrgan(t *testing.T) {
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		d := plugged(t, m, organ(t, m.chip))
		d.heard(100)
		for _, s := range organScenarios {
			t.Run(s.name, func(t *testing.T) {
				d.t = t
				s.do(d)
			})
		}
		d.t = t
		d.clean()
	})
}
