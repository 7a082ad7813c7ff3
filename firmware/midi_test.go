package firmware

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// organ sends MIDI: three notes, a control, a program, a control of any value by a pot, and two encoders.
func organ() Table {
	t := Table{Tick: 1000, Reports: []Report{{MIDI: true, Length: 6, Interface: 1}}}
	for i := range 5 {
		t.Inputs = append(t.Inputs, Input{Raw: uint16(i), Bit: uint16(i), Second: None})
	}
	t.Encoders = []Encoder{
		{A: 8, B: 9, Rest: 15, Steps: 1, Kind: Relative, Up: No, Down: No, Bit: 24, Width: 7, Min: -63, Max: 63, Step: 1},
		{A: 10, B: 11, Rest: 15, Steps: 1, Kind: Stops, Up: No, Down: No, Bit: 16, Width: 7, Max: 127, Step: 1, Start: 64},
	}
	t.Axes = []Axis{{Width: 7, Bit: 8, Hi: 65535, AtHi: 127}}
	t.Events = []Event{
		{Bit: 24, Width: 7, Relative: true, Status: 0xB0, Number: 20},
		{Bit: 0, Width: 1, Status: 0x90, Number: 60, On: 127, Off: 64}, {Bit: 1, Width: 1, Status: 0x91, Number: 64, On: 80, Off: 64},
		{Bit: 2, Width: 1, Status: 0x9F, Number: 127, On: 1, Off: 0}, {Bit: 3, Width: 1, Status: 0xB2, Number: 64, On: 127, Off: 10},
		{Bit: 4, Width: 1, Status: 0xC0, Number: 5}, {Bit: 8, Width: 7, Status: 0xB0, Number: 7}, {Bit: 16, Width: 7, Status: 0xB0, Number: 10},
	}
	return t
}

// packets splits an answer.
func packets(t fataler, answer string) []string {
	text := strings.TrimSpace(strings.TrimPrefix(answer, "midi"))
	if len(text)%8 != 0 {
		t.Fatalf("answer %q", answer)
	}
	var out []string
	for ; text != ""; text = text[8:] {
		out = append(out, text[:8])
	}
	return out
}

// TestMIDI holds events against the bytes of MIDI 1.0 in packets of USB-MIDI: code index, status, and two bytes.
func TestMIDI(t *testing.T) {
	w := start(t)
	w.load(t, organ(), quiet()...)
	midi := func(what string, want string, lines ...string) {
		t.Helper()
		got := w.say(t, append(lines, "tick 1", "midi")...)
		if all := strings.Join(packets(t, got[len(got)-1]), " "); all != want || len(got) != 1 {
			t.Errorf("%s: %q of %q; want %q", what, all, got, want)
		}
	}
	midi("a host that begins", "0BB00700 0BB00A40", "anew")
	midi("nothing", "")
	midi("a note", "09903C7F", "raw 0 1")
	midi("it goes on", "")
	midi("and ends", "08803C40", "raw 0 0")
	midi("channel 2, another velocity", "09914050", "raw 1 1")
	midi("two at once", "08814040 099F7F01", "raw 1 0", "raw 2 1")
	midi("a control", "088F7F00 0BB2407F", "raw 2 0", "raw 3 1")
	midi("and its other value", "0BB2400A", "raw 3 0")
	midi("a program", "0CC00500", "raw 4 1")
	midi("which has no end", "", "raw 4 0")
	midi("a pot", "0BB0077F", "read 0 65535")
	midi("in the middle", "0BB00740", "read 0 32768")
	midi("an encoder that stops", "0BB00A41", "raw 11 1", "sample")
	midi("and back", "0BB00A40", "raw 11 0", "sample")
	midi("steps up", "0BB01401", "raw 9 1", "sample")
	midi("down, as seven bits with a sign", "0BB0147F", "raw 9 0", "sample")
	midi("a note begins and ends while nobody listens", "", "raw 0 1", "tick 1", "raw 0 0", "tick 1")
	midi("another note", "09903C7F", "raw 0 1")
	midi("a host that begins is told what sounds", "09903C7F 0BB00740 0BB00A40", "anew")
}

// TestMIDIPacket: sixteen events are what a packet holds; the others come with the next one, and steps of encoders are never among those
// that wait.
func TestMIDIPacket(t *testing.T) {
	table := Table{Tick: 1000, Reports: []Report{{MIDI: true, Length: 5}}}
	table.Encoders = []Encoder{{A: 100, B: 101, Rest: 15, Steps: 1, Kind: Relative, Up: No, Down: No, Bit: 32, Width: 7, Min: -63, Max: 63, Step: 1}}
	table.Events = []Event{{Bit: 32, Width: 7, Relative: true, Status: 0xB0, Number: 20}}
	var down []string
	for i := range 25 {
		table.Inputs = append(table.Inputs, Input{Raw: uint16(i), Bit: uint16(i), Second: None})
		table.Events = append(table.Events, Event{Bit: uint16(i), Width: 1, Status: 0x90, Number: uint8(i), On: 1})
		down = append(down, fmt.Sprintf("raw %d 1", i))
	}
	w := start(t)
	w.load(t, table, quiet()...)
	got := w.say(t, append(slices.Clone(down), "raw 101 1", "sample", "tick 1", "midi", "midi", "midi")...)
	var all []string
	for i, a := range got {
		p := packets(t, a)
		if want := []int{16, 10, 0}[i]; len(p) != want {
			t.Errorf("packet %d has %d events; want %d", i, len(p), want)
		}
		all = append(all, p...)
	}
	if len(all) != 26 || all[0] != "0BB01401" || all[25] != "09901801" {
		t.Errorf("%q", all)
	}
	// 100 steps are told in two packets, and all of them.
	lines := []string{}
	for i := range 100 {
		a, b := []int{0, 0, 1, 1}[(i+2)%4], []int{0, 1, 1, 0}[(i+2)%4]
		lines = append(lines, fmt.Sprintf("raw 100 %d", a), fmt.Sprintf("raw 101 %d", b), "sample")
	}
	got = w.say(t, append(lines, "tick 1", "midi", "midi", "midi")...)
	if strings.Join(got, ",") != "midi 0BB0143F,midi 0BB01425,midi " {
		t.Errorf("%q", got)
	}
}

// TestNoNoteIsLeft: contacts move at random, the host listens at random; when all is at rest and it has listened once more, what it
// believes is what is held. A note never begins twice, nor ends twice.
func TestNoNoteIsLeft(t *testing.T) {
	w := start(t)
	rapid.Check(t, func(t *rapid.T) {
		w.load(t, organ(), quiet()...)
		held := map[int]bool{}
		sounds := map[string]bool{}
		listen := func() {
			for _, p := range packets(t, w.say(t, "tick 1", "midi")[0]) {
				on := p[1] == '9'
				if p[1] != '8' && !on {
					continue
				}
				key := p[3:6]
				if sounds[key] == on {
					t.Fatalf("%s twice", p)
				}
				sounds[key] = on
			}
		}
		for range rapid.IntRange(1, 60).Draw(t, "moves") {
			raw := rapid.IntRange(0, 2).Draw(t, "raw")
			held[raw] = !held[raw]
			on := 0
			if held[raw] {
				on = 1
			}
			w.say(t, fmt.Sprintf("raw %d %d", raw, on), "tick 1")
			if rapid.Bool().Draw(t, "listen") {
				listen()
			}
		}
		listen()
		for raw, key := range []string{"03C", "140", "F7F"} {
			if sounds[key] != held[raw] {
				t.Fatalf("note %s sounds: %v, held: %v", key, sounds[key], held[raw])
			}
		}
	})
}

// TestBootKeys: the keys of an interface as a boot keyboard's report, against the layout of HID 1.11, Appendix B.1.
func TestBootKeys(t *testing.T) {
	table := Table{Tick: 1000, Reports: []Report{{ID: 1, Length: 1}, {Length: 4, Start: 1, Interface: 1, Keys: 4}, {Output: true, Length: 1, Start: 5, Interface: 1}}}
	for i := range 32 {
		table.Inputs = append(table.Inputs, Input{Raw: uint16(i), Bit: uint16(8 + i), Second: None})
	}
	w := start(t)
	w.load(t, table, quiet()...)
	boot := func(want string, keys ...int) {
		t.Helper()
		lines := raws(0, make([]int, 32)...)
		for _, k := range keys {
			lines = append(lines, fmt.Sprintf("raw %d 1", k))
		}
		got := w.say(t, append(lines, "interface 0", "tick 1", "interface 1", "boot")...)
		if got[len(got)-1] != "boot "+want {
			t.Errorf("%v: %s; want %s", keys, got[len(got)-1], want)
		}
	}
	boot("0000000000000000")
	boot("0000040000000000", 8)
	boot("2100041B00000000", 0, 5, 8, 31)
	boot("0000040506070809", 8, 9, 10, 11, 12, 13)
	boot("8000010101010101", 7, 8, 9, 10, 11, 12, 13, 14)
	boot("0000000000000000")
	if got := w.say(t, "interface 0", "boot")[0]; got != "boot " {
		t.Errorf("an interface that is no keyboard: %s", got)
	}
	// Each interface has its own reports, and its own lamps of the host.
	got := w.say(t, "raw 8 1", "interface 0", "tick 1", "take", "interface 1", "take", "take", "give 0 01", "give 0 0102", "give 1 01", "interface 0", "give 0 01")
	if want := "0 |0 00010000|0 |given 1|given 0|given 0|given 0"; strings.Join(got, "|") != want {
		t.Errorf("%s; want %s", strings.Join(got, "|"), want)
	}
}

// TestChoices: a rotary switch of four positions that opens one contact before it closes the next, as an axis.
func TestChoices(t *testing.T) {
	table := bare(2)
	for i := range 4 {
		table.Inputs = append(table.Inputs, Input{Raw: uint16(i), Bit: None, Second: None})
		table.Choices = append(table.Choices, Choice{Input: uint8(i), Width: 8, Bit: 8, Value: uint16(i * 85)})
	}
	w := start(t)
	w.load(t, table, append(quiet(), "raw 2 1")...)
	if got := w.say(t, "now 0")[0]; got != "now 00AA" {
		t.Errorf("at the start: %s", got)
	}
	var heard []string
	for _, to := range []int{3, 2, 1, 0, 1} {
		for _, l := range [][]string{raws(0, 0, 0, 0, 0), {fmt.Sprintf("raw %d 1", to)}} {
			for _, r := range reports(t, w.say(t, append(l, "tick 3")...)) {
				heard = append(heard, fmt.Sprintf("%X", r.data))
			}
		}
	}
	if got := strings.Join(heard, " "); got != "00AA 00FF 00AA 0055 0000 0055" {
		t.Errorf("%s", got)
	}
}

// TestNeither: the middle of a switch of three positions.
func TestNeither(t *testing.T) {
	table := bare(1)
	for i := range 2 {
		table.Inputs = append(table.Inputs, Input{Raw: uint16(i), Bit: uint16(i), Second: None})
	}
	table.Neithers = []Neither{{Bit: 2, Inputs: [4]uint8{0, 1, 0, 1}}}
	w := start(t)
	w.load(t, table, quiet()...)
	for _, c := range [][3]string{{"raw 0 0", "raw 1 0", "04"}, {"raw 0 1", "raw 1 0", "01"}, {"raw 0 0", "raw 1 0", "04"}, {"raw 0 0", "raw 1 1", "02"}, {"raw 0 1", "raw 1 1", "03"}} {
		w.say(t, c[0], c[1], "tick 1")
		if got := w.say(t, "now 0")[0]; got != "now "+c[2] {
			t.Errorf("%s, %s: %s", c[0], c[1], got)
		}
	}
}

// TestChordsOfDetents: an encoder may send macros, and nothing to one side; a detent back takes away one that waits.
func TestChordsOfDetents(t *testing.T) {
	table := bare(1)
	table.Macros = []Macro{{{Bit: 0, Press: true, Wait: 1}, {Bit: 1, Press: true, Wait: 4}, {Bit: 1, Wait: 1}, {Bit: 0, Wait: 4}}}
	table.Encoders = []Encoder{{A: 8, B: 9, Rest: 15, Steps: 1, Up: 0, Down: No}}
	w := start(t)
	w.load(t, table, quiet()...)
	heard := func(lines ...string) string {
		var out []string
		for _, r := range reports(t, w.say(t, append(lines, "tick 60")...)) {
			out = append(out, fmt.Sprintf("%X", r.data))
		}
		return strings.Join(out, " ")
	}
	if got := heard("raw 9 1"); got != "01 03 01 00" {
		t.Errorf("up: %s", got)
	}
	if got := heard("raw 9 0"); got != "" {
		t.Errorf("down, which sends nothing: %s", got)
	}
	// three up and two back before the first is through: the first runs, and of the other two none is left
	if got := heard("raw 9 1", "sample", "tick 1", "raw 8 1", "sample", "raw 9 0", "sample", "raw 9 1", "sample", "raw 8 0", "sample"); got != "01 03 01 00" {
		t.Errorf("three up and two back: %s", got)
	}
}
