package firmware

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// midiBit is where the MIDI report of full begins.
const midiBit = 30 * 8

// full is a table with something of everything, as a signal desk might have it.
func full() Table {
	t := Table{
		Tick: 500,
		Reports: []Report{
			{ID: 1, Length: 9, Start: 0}, {ID: 2, Length: 15, Start: 9}, {ID: 1, Output: true, Length: 2, Start: 24},
			{Length: 3, Start: 26, Interface: 1, Keys: 4}, {Length: 1, Start: 29, Interface: 1, Output: true}, {MIDI: true, Length: 4, Start: 30, Interface: 2},
		},
		Pulses: []Pulse{{Bit: 20, Length: 80, Gap: 40}, {Bit: 21, Length: 80, Gap: 40}, {Bit: 22, Length: 80, Gap: 40}},
		Encoders: []Encoder{
			{A: 100, B: 101, Rest: 8, Steps: 4, Up: 0, Down: 1},
			{A: 102, B: 103, Rest: 9, Steps: 2, Kind: Relative, Bit: 48, Width: 8, Min: -127, Max: 127, Step: 1},
			{A: 104, B: 105, Rest: 15, Steps: 1, Kind: Wraps, Bit: 56, Width: 10, Max: 359, Step: 5},
		},
		Axes: []Axis{
			{Channel: 0, Filter: 3, Width: 12, Bit: 24, Still: 24, Lo: 500, Hi: 65000, AtHi: 4095},
			{Channel: 1, Filter: 3, HasMiddle: true, Width: 12, Bit: 36, Still: 24, Lo: 500, Mid: 32000, Hi: 65000, Dead: 300, AtLo: -2048, AtHi: 2047},
		},
	}
	for i := range 20 {
		t.Inputs = append(t.Inputs, Input{Raw: uint16(i), Bit: uint16(i), Second: uint16(72 + i), Debounce: 40, Stable: i%3 == 0})
	}
	t.Inputs[19].Second, t.Inputs[19].Shift = None, true
	t.Toggles = []Toggle{{Input: 3, On: 2, Off: No}}
	t.Gestures = []Gesture{{Input: 8, Short: 0, Long: 2, Double: 3, LongTime: 900, Pause: 500}}
	t.Macros = []Macro{{{Bit: 23, Press: true, Wait: 30}, {Bit: 22, Press: true, Wait: 30}, {Bit: 22, Wait: 30}, {Bit: 23, Wait: 30}}}
	t.Hats = []Hat{{Bit: 66, Up: 4, Right: 5, Down: 6, Left: 7}}
	t.Lamps = []Lamp{{Kind: Steady}, {Kind: Follows, Refers: 3}, {Kind: Flips, Refers: 4}, {Kind: FromPC, Refers: 24*8 + 9}}
	const midi = midiBit
	t.Events = []Event{
		{Bit: midi, Width: 7, Relative: true, Status: 0xB0, Number: 1}, {Bit: midi + 8, Width: 7, Status: 0xB1, Number: 2},
		{Bit: midi + 16, Width: 1, Status: 0x90, Number: 60, On: 100, Off: 64}, {Bit: midi + 17, Width: 1, Status: 0xC3, Number: 5},
	}
	t.Choices = []Choice{{Input: 10, Width: 2, Bit: 70, Value: 3}}
	t.Neithers = []Neither{{Bit: midi + 18, Inputs: [4]uint8{11, 12, 11, 12}}}
	return t
}

func mustBytes(t fataler, table Table) []byte {
	raw, err := table.Bytes()
	if err != nil {
		t.Fatalf("%v", err)
	}
	return raw
}

// TestRefusedTables: every rule of the table, broken one at a time; the core says which section and record, and stays silent.
func TestRefusedTables(t *testing.T) {
	w := start(t)
	w.load(t, full(), quiet()...)
	le := binary.LittleEndian
	for _, c := range []struct {
		name string
		want string // begin ERROR SECTION RECORD
		edit func(t *Table)
	}{
		{"other chip", "3 0 0", func(t *Table) { t.Chip = RP2040 }},
		{"tick of 49 us", "8 0 0", func(t *Table) { t.Tick = 49 }},
		{"unknown section that matters", "6 192 0", func(t *Table) { t.Extra = []Section{{Type: 0xC0, Stride: 1, Count: 1, Data: []byte{0}}} }},
		{"a section twice", "6 136 0", func(t *Table) { t.Extra = []Section{{Type: 0x88, Stride: 4, Count: 1, Data: make([]byte, 4)}} }},
		{"short records", "6 136 0", func(t *Table) {
			t.Lamps, t.Extra = nil, []Section{{Type: 0x88, Stride: 3, Count: 1, Data: make([]byte, 3)}}
		}},
		{"too many lamps", "7 136 96", func(t *Table) { t.Lamps = make([]Lamp, 97) }},
		{"too many inputs", "7 130 240", func(t *Table) { t.Inputs = make([]Input, 241) }},
		{"report of no bytes", "8 129 1", func(t *Table) { t.Reports[1].Length = 0 }},
		{"report of 64 bytes", "8 129 1", func(t *Table) { t.Reports[1].Length = 64 }},
		{"reports overlap", "8 129 1", func(t *Table) { t.Reports[1].Start = 8 }},
		{"reports beyond the row", "8 129 2", func(t *Table) { t.Reports[2].Start = 95 }},
		{"same number", "8 129 1", func(t *Table) { t.Reports[1].ID = 1 }},
		{"a report without a number", "8 129 1", func(t *Table) { t.Reports[1].ID = 0 }},
		{"raw bit outside", "8 130 19", func(t *Table) { t.Inputs[19].Raw = 248 }},
		{"raw bits not in order", "8 130 4", func(t *Table) { t.Inputs[4].Raw = 2 }},
		{"bit outside", "8 130 4", func(t *Table) { t.Inputs[4].Bit = 9999 }},
		{"bit of an output", "8 130 4", func(t *Table) { t.Inputs[4].Bit = 24 * 8 }},
		{"second bit outside", "8 130 4", func(t *Table) { t.Inputs[4].Second = 34 * 8 }},
		{"pulse of no length", "8 131 1", func(t *Table) { t.Pulses[1].Length = 0 }},
		{"pulse of no gap", "8 131 1", func(t *Table) { t.Pulses[1].Gap = 0 }},
		{"pulse without a bit", "8 131 1", func(t *Table) { t.Pulses[1].Bit = None }},
		{"toggle of no input", "8 132 0", func(t *Table) { t.Toggles[0].Input = 20 }},
		{"toggle of no action", "8 132 0", func(t *Table) { t.Toggles[0].On = 4 }},
		{"one contact for both", "8 133 0", func(t *Table) { t.Encoders[0].B = 100 }},
		{"encoder outside", "8 133 0", func(t *Table) { t.Encoders[0].A = 248 }},
		{"rest that does not fit the steps", "8 133 1", func(t *Table) { t.Encoders[1].Rest = 3 }},
		{"three steps", "8 133 1", func(t *Table) { t.Encoders[1].Steps = 3 }},
		{"encoder kind", "8 133 1", func(t *Table) { t.Encoders[1].Kind = 4 }},
		{"encoder action", "8 133 0", func(t *Table) { t.Encoders[0].Down = 4 }},
		{"encoder range too wide", "8 133 2", func(t *Table) { t.Encoders[2].Max = 1024 }},
		{"encoder range too wide below", "8 133 1", func(t *Table) { t.Encoders[1].Min = -129 }},
		{"encoder range empty", "8 133 2", func(t *Table) { t.Encoders[2].Max = 0 }},
		{"encoder steps all one way", "8 133 1", func(t *Table) { t.Encoders[1].Min = 1 }},
		{"encoder without a step", "8 133 2", func(t *Table) { t.Encoders[2].Step = 0 }},
		{"encoder step beyond the range", "8 133 2", func(t *Table) { t.Encoders[2].Step = 360 }},
		{"encoder start outside", "8 133 2", func(t *Table) { t.Encoders[2].Start = 360 }},
		{"encoder over the end of a report", "8 133 2", func(t *Table) { t.Encoders[2].Bit = 64 }},
		{"filter of 9", "8 134 0", func(t *Table) { t.Axes[0].Filter = 9 }},
		{"ends swapped", "8 134 0", func(t *Table) { t.Axes[0].Lo = 65001 }},
		{"middle outside", "8 134 1", func(t *Table) { t.Axes[1].Mid = 700 }},
		{"axis too wide", "8 134 0", func(t *Table) { t.Axes[0].AtHi = 4096 }},
		{"axis too wide below", "8 134 1", func(t *Table) { t.Axes[1].AtLo = -2049 }},
		{"axis of no width", "8 134 0", func(t *Table) { t.Axes[0].Width = 0 }},
		{"axis of no range", "8 134 0", func(t *Table) { t.Axes[0].AtHi = 0 }},
		{"axis of 65536 values", "8 134 0", func(t *Table) { t.Axes[0].AtHi, t.Axes[0].Width = 65536, 17 }},
		{"hat of no input", "8 135 0", func(t *Table) { t.Hats[0].Left = 20 }},
		{"hat over the end", "8 135 0", func(t *Table) { t.Hats[0].Bit = 70 }},
		{"lamp kind", "8 136 0", func(t *Table) { t.Lamps[0].Kind = 4 }},
		{"lamp of no input", "8 136 1", func(t *Table) { t.Lamps[1].Refers = 20 }},
		{"report of an interface that cannot be", "8 129 1", func(t *Table) { t.Reports[1].Interface = 6 }},
		{"report of no kind", "8 129 2", func(t *Table) { t.Reports[2].MIDI = true }},
		{"two reports of MIDI", "8 129 5", func(t *Table) { t.Reports[4].Output, t.Reports[4].MIDI = false, true }},
		{"keys of a numbered report", "8 129 1", func(t *Table) { t.Reports[1].Keys = 4 }},
		{"keys of a report from the host", "8 129 4", func(t *Table) { t.Reports[4].Keys = 4 }},
		{"keys beyond the page", "8 129 3", func(t *Table) { t.Reports[3].Keys = 250 }},
		{"MIDI sends what an input report has", "8 140 1", func(t *Table) { t.Events[1].Bit = 0 }},
		{"event of three bits", "8 140 2", func(t *Table) { t.Events[2].Width = 3 }},
		{"event beyond the end", "8 140 1", func(t *Table) { t.Events[1].Bit = 33*8 + 2 }},
		{"note beyond the numbers", "8 140 2", func(t *Table) { t.Events[2].Number = 128 }},
		{"velocity beyond the numbers", "8 140 2", func(t *Table) { t.Events[2].On = 128 }},
		{"value beyond the numbers", "8 140 2", func(t *Table) { t.Events[2].Off = 128 }},
		{"pitch bend", "8 140 2", func(t *Table) { t.Events[2].Status = 0xE0 }},
		{"a note of seven bits", "8 140 1", func(t *Table) { t.Events[1].Status = 0x91 }},
		{"a program of two numbers", "8 140 3", func(t *Table) { t.Events[3].On = 1 }},
		{"a relative event behind another", "8 140 2", func(t *Table) { t.Events[2] = Event{Bit: midiBit, Width: 7, Relative: true, Status: 0xB0} }},
		{"a relative note", "8 140 0", func(t *Table) { t.Events[0] = Event{Bit: midiBit, Width: 1, Relative: true, Status: 0x90} }},
		{"too many events", "7 140 128", func(t *Table) { t.Events = make([]Event, 129) }},
		{"choice of no input", "8 141 0", func(t *Table) { t.Choices[0].Input = 20 }},
		{"choice too great", "8 141 0", func(t *Table) { t.Choices[0].Value = 4 }},
		{"choice of 17 bits", "8 141 0", func(t *Table) { t.Choices[0].Width, t.Choices[0].Bit = 17, 0 }},
		{"choice beyond the end", "8 141 0", func(t *Table) { t.Choices[0].Bit = 71 }},
		{"neither of no input", "8 142 0", func(t *Table) { t.Neithers[0].Inputs[3] = 20 }},
		{"neither of a lamp of the host", "8 142 0", func(t *Table) { t.Neithers[0].Bit = 24 * 8 }},
		{"lamp of an input report", "8 136 3", func(t *Table) { t.Lamps[3].Refers = 9 }},
	} {
		table := full()
		c.edit(&table)
		got := w.say(t, append(quiet(), fmt.Sprintf("table %X", mustBytes(t, table)))...)
		if got[0] != "begin "+c.want {
			t.Errorf("%s: %s, want %s", c.name, got[0], c.want)
		}
		lines := append(raws(0, 1, 1, 1, 1), "tick 100", "now 1", "lamps")
		if got := w.say(t, lines...); strings.Join(got, "|") != "now |lamps " {
			t.Errorf("%s: refused, but %v", c.name, got)
		}
	}
	good := mustBytes(t, full())
	for _, c := range []struct {
		name, want string
		edit       func(b []byte) []byte
	}{
		{"nothing", "1 0 0", func([]byte) []byte { return nil }},
		{"erased", "1 0 0", func(b []byte) []byte { return []byte(strings.Repeat("\xFF", 400)) }},
		{"mark", "1 0 0", func(b []byte) []byte { b[3]++; return b }},
		{"format 2", "2 0 0", func(b []byte) []byte { b[8] = 2; Seal(b); return b }},
		{"later revision", "0 0 0", func(b []byte) []byte { b[9] = 9; Seal(b); return b }},
		{"newer core wanted", "2 0 0", func(b []byte) []byte { b[11] = 4; Seal(b); return b }},
		{"flags", "2 0 0", func(b []byte) []byte { b[14] = 1; Seal(b); return b }},
		{"cut off", "4 0 0", func(b []byte) []byte { return b[:len(b)-1] }},
		{"room behind it", "0 0 0", func(b []byte) []byte { return append(b, 0xFF, 0xFF) }},
		{"length shorter than itself", "4 0 0", func(b []byte) []byte { le.PutUint16(b[12:], 24); Seal(b); return b }},
		{"section before the directory's end", "6 129 0", func(b []byte) []byte { le.PutUint16(b[24:], 20); Seal(b); return b }},
		{"section beyond the end", "6 129 0", func(b []byte) []byte { le.PutUint16(b[24:], 60000); Seal(b); return b }},
		{"section too long", "6 129 0", func(b []byte) []byte { le.PutUint16(b[22:], 60000); Seal(b); return b }},
		{"more lamps than there are", "6 136 0", func(b []byte) []byte { b[20+7*6+2] = 40; Seal(b); return b }},
		{"reserved byte", "8 0 0", func(b []byte) []byte { b[19] = 1; Seal(b); return b }},
	} {
		got := w.say(t, fmt.Sprintf("table %X", c.edit(append([]byte(nil), good...))))
		if got[0] != "begin "+c.want {
			t.Errorf("%s: %s, want %s", c.name, got[0], c.want)
		}
	}
	// Any single damaged bit is seen.
	var lines []string
	for bit := range len(good) * 8 {
		b := append([]byte(nil), good...)
		b[bit/8] ^= 1 << (bit % 8)
		lines = append(lines, fmt.Sprintf("table %X", b))
	}
	for bit, a := range w.say(t, lines...) {
		if a == "begin 0 0 0" {
			t.Errorf("bit %d of byte %d flipped, and the table is taken", bit%8, bit/8)
		}
	}
	// Sections and fields of later revisions are passed over.
	table := full()
	table.Extra = []Section{{Type: 0x40, Stride: 3, Count: 2, Data: make([]byte, 6)}}
	w.load(t, table)
}

// FuzzTable gives the core tables with any bytes behind a sound header, then moves contacts, encoders, axes and outputs. The sanitizers
// stop the core at the first step beyond an array or undefined sum. The fuzz target's bytes replace the table from byte 16 on.
func FuzzTable(f *testing.F) {
	f.Add(mustBytes(f, full())[16:], uint64(1))
	f.Add(mustBytes(f, counter(1, 4))[16:], uint64(2))
	w := start(f)
	f.Fuzz(func(t *testing.T, body []byte, seed uint64) {
		if len(body) < 4 || len(body) > 8000 {
			return
		}
		shake(t, w, body, seed)
	})
}

// shake loads a table of this body and moves everything.
func shake(t fataler, w *twin, body []byte, seed uint64) bool {
	b := append([]byte("KWT1\x00\x00\x00\x00\x01\x00\x00\x01\x00\x00\x00\x00"), body...)
	binary.LittleEndian.PutUint16(b[12:], uint16(len(b)))
	Seal(b)
	lines := []string{fmt.Sprintf("table %X", b)}
	for i := range 200 {
		seed = seed*6364136223846793005 + 1442695040888963407
		x := seed >> 33
		lines = append(lines, fmt.Sprintf("raw %d %d", x%248, x>>9&1))
		switch i % 10 {
		case 3:
			lines = append(lines, fmt.Sprintf("read %d %d", x%13, x>>8&0xFFFF))
		case 5:
			lines = append(lines, fmt.Sprintf("give %d %04X", x%3, x>>8&0xFFFF), "lamps")
		case 7:
			lines = append(lines, "tick 7")
		default:
			lines = append(lines, "sample", "tick 1")
		}
	}
	answers := w.say(t, append(lines, "now 0", "now 1", "now 2", "held 255")...)
	return answers[0] == "begin 0 0 0"
}

// TestShakenTables does what FuzzTable does with tables near sound ones, so that many pass the check.
func TestShakenTables(t *testing.T) {
	w := start(t)
	good := mustBytes(t, full())[16:]
	taken, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		body := append([]byte(nil), good...)
		for range rapid.IntRange(0, 4).Draw(rt, "changes") {
			i := rapid.IntRange(0, len(body)-1).Draw(rt, "at")
			body[i] = rapid.Byte().Draw(rt, "byte")
		}
		if shake(rt, w, body, rapid.Uint64().Draw(rt, "seed")) {
			taken++
		} else {
			refused++
		}
	})
	t.Logf("%d tables taken, %d refused", taken, refused)
	if taken == 0 || refused == 0 {
		t.Errorf("%d taken, %d refused: too one-sided to test anything", taken, refused)
	}
}
