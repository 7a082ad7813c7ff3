package firmware

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestTogglePulses: each change of a toggle presses its own button for the stated time; changes in quick succession wait their turn.
func TestTogglePulses(t *testing.T) {
	w := start(t)
	rapid.Check(t, func(rt *rapid.T) {
		length, gap := rapid.IntRange(1, 20).Draw(rt, "length"), rapid.IntRange(1, 20).Draw(rt, "gap")
		table := bare(1)
		table.Inputs = []Input{{Raw: 9, Bit: None, Second: None, Debounce: 1}}
		table.Pulses = []Pulse{{Bit: 4, Length: uint16(length), Gap: uint16(gap)}, {Bit: 5, Length: uint16(length), Gap: uint16(gap)}}
		table.Toggles = []Toggle{{Input: 0, On: 0, Off: 1}}
		w.load(rt, table, quiet()...)
		var lines []string
		n := rapid.IntRange(1, 9).Draw(rt, "changes")
		for i := range n {
			lines = append(lines, fmt.Sprintf("raw 9 %d", (i+1)%2), fmt.Sprintf("tick %d", rapid.IntRange(2, 30).Draw(rt, "wait")))
		}
		all := reports(rt, w.say(rt, append(lines, "tick 1000")...))
		for bit, want := range map[int]int{4: (n + 1) / 2, 5: n / 2} {
			up, down := presses(all, bit)
			if len(up) != want || len(down) != want {
				rt.Fatalf("%d changes: %d presses, %d releases, want %d", n, len(up), len(down), want)
			}
			for i := range up {
				if down[i]-up[i] != length || i > 0 && up[i]-down[i-1] < gap {
					rt.Fatalf("presses at %v, releases at %v; length %d, gap %d", up, down, length, gap)
				}
			}
		}
	})
}

// wantAxis is what an axis shows for a reading, in exact arithmetic.
func wantAxis(a Axis, x int) float64 {
	part := func(x, a, b float64) float64 { return math.Max(0, math.Min(1, (x-a)/(b-a))) }
	lo, mid, hi, dead := float64(a.Lo), float64(a.Mid), float64(a.Hi), float64(a.Dead)
	v := part(float64(x), lo, hi)
	span := float64(a.AtHi - a.AtLo)
	if a.HasMiddle {
		half := math.Floor(span / 2)
		if float64(x) < mid {
			v = part(float64(x), lo, mid-dead) * half
		} else {
			v = half + part(float64(x), mid+dead, hi)*(span-half)
		}
	} else {
		v *= span
	}
	if a.Invert {
		v = span - v
	}
	return float64(a.AtLo) + v
}

// TestAxis: random calibrations and readings, without a filter: the value is the nearest one to exact arithmetic.
func TestAxis(t *testing.T) {
	w := start(t)
	rapid.Check(t, func(rt *rapid.T) {
		a := Axis{Channel: 2, Bit: 3, Invert: rapid.Bool().Draw(rt, "invert"), HasMiddle: rapid.Bool().Draw(rt, "middle")}
		lo := rapid.IntRange(0, 60000).Draw(rt, "lo")
		hi := rapid.IntRange(lo+4, 65535).Draw(rt, "hi")
		mid := rapid.IntRange(lo+2, hi-2).Draw(rt, "mid")
		a.Lo, a.Mid, a.Hi = uint16(lo), uint16(mid), uint16(hi)
		a.Dead = uint16(rapid.IntRange(0, min(mid-lo, hi-mid)-1).Draw(rt, "dead"))
		a.AtLo = rapid.SampledFrom([]int32{0, -512, -32768, 100}).Draw(rt, "at lo")
		a.AtHi = a.AtLo + rapid.SampledFrom([]int32{1, 255, 1023, 4095, 65535}).Draw(rt, "span")
		a.Width = 17
		table := bare(3)
		table.Axes = []Axis{a}
		w.load(rt, table, quiet()...)
		for range 20 {
			x := rapid.IntRange(0, 65535).Draw(rt, "reading")
			got := w.say(rt, fmt.Sprintf("read 0 %d", x), "now 0")
			var b0, b1, b2 uint32
			if _, err := fmt.Sscanf(got[0], "now %02X%02X%02X", &b0, &b1, &b2); err != nil {
				rt.Fatalf("%v", got)
			}
			v := int32((b0|b1<<8|b2<<16)>>3) & 0x1FFFF
			if a.AtLo < 0 && v>>16 == 1 {
				v -= 1 << 17
			}
			if want := wantAxis(a, x); math.Abs(float64(v)-want) > 0.5+1e-9 {
				rt.Fatalf("reading %d shows %d, want %g", x, v, want)
			}
		}
	})
}

// TestAxisMiddle: nothing moves within the dead zone, and both ends are reached.
func TestAxisMiddle(t *testing.T) {
	w := start(t)
	table := bare(2)
	table.Axes = []Axis{{HasMiddle: true, Bit: 0, Width: 16, Lo: 1000, Mid: 30000, Hi: 61000, Dead: 1000, AtLo: -1000, AtHi: 1000}}
	w.load(t, table, quiet()...)
	for _, c := range []struct{ x, want int }{
		{0, -1000}, {1000, -1000}, {15000, -500}, {28999, 0}, {29000, 0}, {30000, 0}, {30999, 0}, {31000, 0}, {46000, 500}, {61000, 1000},
		{65535, 1000},
	} {
		v := uint16(c.want)
		if got := w.say(t, fmt.Sprintf("read 0 %d", c.x), "now 0"); got[0] != fmt.Sprintf("now %02X%02X", v&0xFF, v>>8) {
			t.Errorf("reading %d: %s, want %d", c.x, got[0], c.want)
		}
	}
}

// TestAxisQuiet: a slide at rest with noise sends nothing; one that was moved comes to the reading, and then is silent.
func TestAxisQuiet(t *testing.T) {
	w := start(t)
	table := bare(2)
	table.Axes = []Axis{{Filter: 4, Bit: 0, Width: 16, Still: 200, Lo: 1000, Hi: 64000, AtHi: 4095}}
	w.load(t, table, quiet()...)
	noise := func(at, n int) []string {
		var lines []string
		for i := range n {
			lines = append(lines, fmt.Sprintf("read 0 %d", at+[]int{-150, 40, 150, -90, 0, 120}[i*5%6]), "tick 1")
		}
		return lines
	}
	w.say(t, noise(20000, 200)...)
	if all := reports(t, w.say(t, noise(20000, 2000)...)); len(all) != 0 {
		t.Errorf("at rest: %d reports", len(all))
	}
	moved := reports(t, w.say(t, noise(40000, 300)...))
	if len(moved) == 0 || len(moved) > 100 {
		t.Fatalf("moved: %d reports", len(moved))
	}
	last := moved[len(moved)-1]
	got := float64(int(last.data[0]) | int(last.data[1])<<8)
	if want := wantAxis(table.Axes[0], 40000); math.Abs(got-want) > 200.0/63000*4095+1 {
		t.Errorf("comes to %g, want %g", got, want)
	}
	if all := reports(t, w.say(t, noise(40000, 2000)...)); len(all) != 0 {
		t.Errorf("at rest again: %d reports", len(all))
	}
	// At the ends the value is reached in full, whatever the filter and the stillness, and also where the readings end there.
	for _, ends := range [][2]uint16{{1000, 64000}, {0, 65535}} {
		table.Axes[0].Lo, table.Axes[0].Hi, table.Axes[0].Still = ends[0], ends[1], 2000
		w.load(t, table, quiet()...)
		for _, c := range []struct{ at, want int }{{30000, -1}, {0, 0}, {65535, 4095}, {0, 0}} {
			var lines []string
			for range 400 {
				lines = append(lines, fmt.Sprintf("read 0 %d", c.at), "tick 1")
			}
			w.say(t, lines...)
			if got := w.say(t, "now 0"); c.want >= 0 && got[0] != fmt.Sprintf("now %02X%02X", c.want&0xFF, c.want>>8) {
				t.Errorf("ends %v, at %d: %s, want %d", ends, c.at, got[0], c.want)
			}
		}
	}
}

// TestLamps: steady, following, flipping at each press, from the host; and each the other way round.
func TestLamps(t *testing.T) {
	w := start(t)
	table := Table{
		Tick:    1000,
		Reports: []Report{{ID: 1, Length: 1, Start: 0}, {ID: 1, Output: true, Length: 2, Start: 1}},
		Inputs:  []Input{{Raw: 0, Bit: 0, Second: None}},
	}
	for _, inv := range []bool{false, true} {
		table.Lamps = append(table.Lamps, Lamp{Kind: Steady, Invert: inv}, Lamp{Kind: Follows, Invert: inv},
			Lamp{Kind: Flips, Invert: inv}, Lamp{Kind: FromPC, Invert: inv, Refers: 8 + 11})
	}
	w.load(t, table, quiet()...)
	for i, step := range []struct{ line, want string }{
		{"tick 1", "1000"}, {"raw 0 1", "1110"}, {"raw 0 0", "1010"}, {"give 1 0008", "1011"}, {"raw 0 1", "1101"},
		{"give 1 FFF7", "1100"}, {"give 1 FF", "1100"}, {"give 2 0008", "1100"}, {"give 1 0008", "1101"},
	} {
		got := w.say(t, step.line, "tick 1", "lamps")
		want := "lamps " + step.want
		for _, c := range step.want {
			want += string('0' + '1' - c)
		}
		if got[len(got)-1] != want {
			t.Errorf("step %d, %s: %s, want %s", i, step.line, got[len(got)-1], want)
		}
	}
	for line, want := range map[string]string{"give 1 0008": "given 1", "give 1 00": "given 0", "give 1 000800": "given 0", "give 0 0008": "given 0"} {
		if got := w.say(t, line); got[0] != want {
			t.Errorf("%s: %s", line, got[0])
		}
	}
}

// TestLampsHear: a note that sounds lights a lamp, and a control from 64 on; of its channel and its number only, and nothing else does.
func TestLampsHear(t *testing.T) {
	w := start(t)
	table := Table{Tick: 1000, Reports: []Report{{Length: 1}}, Inputs: []Input{{Raw: 0, Bit: 0, Second: None}}}
	for _, refers := range []uint16{0x3C90, 0x3C91, 0x07B0, 0x3D90} {
		table.Lamps = append(table.Lamps, Lamp{Kind: Hears, Refers: refers})
	}
	for range 6 { // one beyond the first byte of them
		table.Lamps = append(table.Lamps, Lamp{Kind: Hears, Invert: true, Refers: 0x009F})
	}
	w.load(t, table, quiet()...)
	for i, step := range []struct{ line, want string }{
		{"tick 1", "0000111111"}, {"hear 09903C7F", "1000111111"}, {"hear 09913C01", "1100111111"}, {"hear 08803C40", "0100111111"}, {"hear 09913C00", "0000111111"},
		{"hear 0BB00740", "0010111111"}, {"hear 0BB0073F", "0000111111"}, {"hear 0BB0077F", "0010111111"}, {"hear 0AA0077F", "0010111111"}, {"hear 0AA00700", "0010111111"}, {"hear 0CC0077F", "0010111111"},
		{"hear 0BB10700", "0010111111"}, {"hear 0BB00800", "0010111111"}, {"hear 0EE03C7F", "0010111111"}, {"hear 0DD03C00", "0010111111"}, {"hear 099F0001", "0010000000"}, {"hear 088F007F", "0010111111"}, {"hear 09903D7F", "0011111111"},
		{"raw 0 1", "0011111111"}, {"hear 0FFFFFFF", "0011111111"}, {"hear 00000000", "0011111111"},
	} {
		got := w.say(t, step.line, "tick 1", "lamps")
		if got[len(got)-1] != "lamps "+step.want {
			t.Errorf("step %d, %s: %s, want %s", i, step.line, got[len(got)-1], step.want)
		}
	}
	for _, refers := range []uint16{0x8090, 0x3C80, 0x3CC0, 0x3CA0, 0x3CE0, 0x3CD0, 0x3CF0, 0x3C10, 0xFFFF} {
		table.Lamps = []Lamp{{Kind: Hears, Refers: refers}}
		raw, err := table.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		if got := w.say(t, fmt.Sprintf("table %X", raw)); got[0] != "begin 8 136 0" {
			t.Errorf("%04X is taken: %s", refers, got[0])
		}
	}
}

// TestReports: numbers first, only what has changed, taking turns.
func TestReports(t *testing.T) {
	w := start(t)
	table := Table{Tick: 1000, Reports: []Report{{ID: 5, Length: 2, Start: 0}, {ID: 9, Length: 1, Start: 4}}}
	for i, bit := range []uint16{0, 15, 32, 39} {
		table.Inputs = append(table.Inputs, Input{Raw: uint16(i), Bit: bit, Second: None})
	}
	w.load(t, table, quiet()...)
	check := func(want string, lines ...string) {
		t.Helper()
		if got := fmt.Sprint(w.say(t, lines...)); got != want {
			t.Errorf("%v: %s, want %s", lines, got, want)
		}
	}
	check("[]", "tick 5")
	check("[6 050080]", "raw 1 1", "tick 1")
	check("[7 0901]", "raw 2 1", "tick 1")
	check("[8 050180 8 0981]", "raw 0 1", "raw 3 1", "tick 1")
	check("[now 050180 now 0981 now ]", "now 5", "now 9", "now 1")
	// While the host does not take them, changes gather into one report with the newest state.
	check("[10 050080]", "poll 10", "raw 0 0", "tick 3", "raw 0 1", "tick 1", "raw 0 0", "raw 1 0", "tick 6")
	check("[20 050000]", "tick 4")
	// A report that changes all the time does not keep the others waiting.
	check("[0 ]", "take")
	check("[0 050100]", "poll 1000", "raw 0 1", "tick 1", "take")
	check("[0 0980]", "raw 0 0", "raw 2 0", "tick 1", "take")
	check("[0 050000 0 ]", "take", "take")
}
