package firmware

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// presses gives the ticks at which a bit of report byte 0 rises and falls.
func presses(all []sent, bit int) (up, down []int) {
	was := false
	for _, s := range all {
		is := s.data[0]>>bit&1 == 1
		if is && !was {
			up = append(up, s.tick)
		} else if was && !is {
			down = append(down, s.tick)
		}
		was = is
	}
	return up, down
}

// atOnce is debouncing by its definition: the state follows the contact, but stays for n ticks after each change.
func atOnce(raw []bool, n int) []bool {
	out := make([]bool, len(raw))
	state, free := false, 0
	for i, r := range raw {
		if i >= free && r != state {
			state, free = r, i+n
		}
		out[i] = state
	}
	return out
}

// stable is debouncing by its definition: the state at a tick is that of the contact if it has not moved for n ticks, else as before.
func stable(raw []bool, n int) []bool {
	out := make([]bool, len(raw))
	state := false
	for i := range raw {
		still := true
		for k := max(0, i-n); k < i; k++ {
			still = still && raw[k] == raw[i]
		}
		if still && i >= n {
			state = raw[i]
		}
		out[i] = state
	}
	return out
}

// TestDebounce: random contacts, both ways of debouncing, any time: tick for tick what the definitions say.
func TestDebounce(t *testing.T) {
	w := start(t)
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(0, 12).Draw(rt, "debounce")
		invert := rapid.Bool().Draw(rt, "invert")
		table := bare(1)
		table.Inputs = []Input{
			{Raw: 3, Bit: 0, Second: None, Debounce: uint8(n), Invert: invert},
			{Raw: 3, Bit: 1, Second: None, Debounce: uint8(n), Invert: invert, Stable: true},
		}
		off, on := 0, 1
		if invert {
			off, on = 1, 0
		}
		w.load(rt, table, append(quiet(), raws(3, off)...)...)
		var raw []bool
		for range n + 1 { // at rest for a while, as the definition of stable looks back
			raw = append(raw, false)
		}
		for range rapid.IntRange(1, 30).Draw(rt, "runs") {
			v := !raw[len(raw)-1]
			for range rapid.IntRange(1, 2*n+3).Draw(rt, "ticks") {
				raw = append(raw, v)
			}
		}
		var lines []string
		for _, r := range raw {
			v := off
			if r {
				v = on
			}
			lines = append(lines, fmt.Sprintf("raw 3 %d", v), "tick 1")
		}
		got := make([]byte, len(raw))
		all := reports(rt, w.say(rt, lines...))
		for i, k, state := 0, 0, byte(0); i < len(raw); i++ {
			for ; k < len(all) && all[k].tick == i+1; k++ {
				state = all[k].data[0]
			}
			got[i] = state
		}
		a, s := atOnce(raw, n), stable(raw, n)
		for i := range raw {
			if got[i]&1 == 1 != a[i] || got[i]>>1&1 == 1 != s[i] {
				rt.Fatalf("tick %d: %02b, want at once %v, stable %v", i+1, got[i], a[i], s[i])
			}
		}
	})
}

// TestPublishedBounce replays measured bounce times, with a contact that moves at every tick of 0.1 ms while it bounces: one press, one
// release, for a debounce time of 20 ms. The one observation beyond that, of a switch that its source calls faulty, gives more.
func TestPublishedBounce(t *testing.T) {
	f, err := os.Open("testdata/bounce.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	w := start(t)
	for _, row := range rows[1:] {
		ms, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		for _, still := range []bool{false, true} {
			table := bare(1)
			table.Tick = 100
			table.Inputs = []Input{{Raw: 0, Bit: 0, Second: None, Debounce: 200, Stable: still}}
			w.load(t, table, quiet()...)
			var lines []string
			move := func(to int) {
				for i := range int(ms * 10) {
					lines = append(lines, fmt.Sprintf("raw 0 %d", (i+to)&1), "tick 1")
				}
				lines = append(lines, fmt.Sprintf("raw 0 %d", to), "tick 2500")
			}
			move(1)
			move(0)
			up, down := presses(reports(t, w.say(t, lines...)), 0)
			one := len(up) == 1 && len(down) == 1
			if faulty := ms > 20 && !still; one == faulty {
				t.Errorf("%s, %g ms, stable %v: %d presses, %d releases", row[0], ms, still, len(up), len(down))
			}
		}
	}
}

// TestLatency: a contact that counts at once is in the report of the same tick; a stable one after the time stated.
func TestLatency(t *testing.T) {
	w := start(t)
	table := bare(1)
	table.Inputs = []Input{
		{Raw: 0, Bit: 0, Second: None, Debounce: 20}, {Raw: 1, Bit: 1, Second: None, Debounce: 20, Stable: true},
		{Raw: 2, Bit: 2, Second: None},
	}
	w.load(t, table, quiet()...)
	all := reports(t, w.say(t, append([]string{"tick 10"}, append(raws(0, 1, 1, 1), "tick 50")...)...))
	if len(all) != 2 || all[0].tick != 11 || all[0].data[0] != 5 || all[1].tick != 31 || all[1].data[0] != 7 {
		t.Errorf("%v; want 05 at tick 11 and 07 at tick 31", all)
	}
}

// TestStart: contacts that are closed from the start count as held, and make no pulse.
func TestStart(t *testing.T) {
	w := start(t)
	table := bare(1)
	table.Inputs = []Input{{Raw: 0, Bit: 0, Second: None, Debounce: 5}, {Raw: 1, Bit: 1, Second: None, Debounce: 5}}
	table.Pulses = []Pulse{{Bit: 2, Length: 3, Gap: 3}, {Bit: 3, Length: 3, Gap: 3}}
	table.Toggles = []Toggle{{Input: 0, On: 0, Off: 1}}
	w.load(t, table, append(quiet(), raws(0, 1)...)...)
	got := w.say(t, "now 0", "held 0", "held 1", "tick 20")
	all := reports(t, got[3:])
	if got[0] != "now 01" || got[1] != "held 1" || got[2] != "held 0" {
		t.Errorf("%v", got)
	}
	for _, s := range all {
		if s.data[0] != 1 {
			t.Errorf("tick %d: %02X", s.tick, s.data)
		}
	}
}

// TestShift: the second layer holds for what is pressed while the shift is held, until that is released.
func TestShift(t *testing.T) {
	w := start(t)
	table := bare(1)
	table.Inputs = []Input{
		{Raw: 0, Bit: 7, Second: None, Shift: true},
		{Raw: 1, Bit: 0, Second: 1},
		{Raw: 2, Bit: 2, Second: None},
	}
	w.load(t, table, quiet()...)
	for i, step := range []struct {
		raw, value int
		want       string
	}{
		{1, 1, "01"}, {0, 1, "81"}, {1, 0, "80"}, {1, 1, "82"}, {0, 0, "02"}, {2, 1, "06"}, {1, 0, "04"}, {1, 1, "05"}, {1, 0, "04"},
		{2, 0, "00"}, {0, 1, "80"}, {2, 1, "84"},
	} {
		w.say(t, fmt.Sprintf("raw %d %d", step.raw, step.value), "tick 1")
		if got := w.say(t, "now 0"); got[0] != "now "+step.want {
			t.Errorf("step %d: %s, want %s", i, got[0], step.want)
		}
	}
	// Held from the start, shift and key alike, whatever their order.
	w.load(t, table, append(quiet(), raws(0, 1, 1, 0)...)...)
	if got := w.say(t, "now 0"); got[0] != "now 82" {
		t.Errorf("held from the start: %s, want 82", got[0])
	}
}

// TestSharedBits: what several controls send is on while any of them is held: modifiers of shortcuts, a button with two controls, and what a
// macro sends too.
func TestSharedBits(t *testing.T) {
	w := start(t)
	table := bare(1)
	table.Inputs = []Input{
		{Raw: 0, Bit: 0, Second: None, Shared: true}, {Raw: 0, Bit: 1, Second: None}, // a modifier and a key
		{Raw: 1, Bit: 0, Second: None, Shared: true}, {Raw: 1, Bit: 2, Second: None}, // the same modifier and another key
		{Raw: 2, Bit: 3, Second: 0, Shared: true}, // the modifier on the second layer
		{Raw: 3, Bit: None, Second: None, Shift: true},
		{Raw: 4, Bit: None, Second: None}, // a macro that presses the modifier
	}
	table.Macros = []Macro{{{Bit: 0, Press: true, Wait: 1}, {Bit: 0, Wait: 1}}}
	table.Toggles = []Toggle{{Input: 6, On: 0, Off: No}}
	w.load(t, table, quiet()...)
	for i, step := range []struct {
		raw, value int
		want       string
	}{
		{0, 1, "03"}, {1, 1, "07"}, {0, 0, "05"}, {0, 1, "07"}, {1, 0, "03"}, {0, 0, "00"},
		{3, 1, "00"}, {2, 1, "01"}, {0, 1, "03"}, {2, 0, "03"}, {2, 1, "03"}, {0, 0, "01"}, {2, 0, "00"}, {3, 0, "00"}, // the layer counts that it was pressed on
		{2, 1, "08"}, {0, 1, "0B"}, {0, 0, "08"}, {2, 0, "00"}, // pressed on the first layer it holds nothing of the second
		{0, 1, "03"}, {4, 1, "03"}, {4, 0, "03"}, {0, 0, "00"}, {4, 1, "00"}, {4, 0, "00"},
	} {
		w.say(t, fmt.Sprintf("raw %d %d", step.raw, step.value), "tick 10")
		if got := w.say(t, "now 0"); got[0] != "now "+step.want {
			t.Errorf("step %d: %s, want %s", i, got[0], step.want)
		}
	}
}

// TestHat: all sixteen positions of four contacts; opposite ones cancel.
func TestHat(t *testing.T) {
	w := start(t)
	table := bare(1)
	for i := range 4 {
		table.Inputs = append(table.Inputs, Input{Raw: uint16(i), Bit: None, Second: None})
	}
	table.Hats = []Hat{{Bit: 2, Up: 0, Right: 1, Down: 2, Left: 3}}
	w.load(t, table, quiet()...)
	want := map[int]int{0: 8, 1: 0, 2: 2, 4: 4, 8: 6, 3: 1, 6: 3, 12: 5, 9: 7, 5: 8, 10: 8, 7: 2, 11: 0, 13: 6, 14: 4, 15: 8}
	for m := range 16 {
		w.say(t, append(raws(0, m&1, m>>1&1, m>>2&1, m>>3&1), "tick 1")...)
		if got := w.say(t, "now 0"); got[0] != fmt.Sprintf("now %02X", want[m]<<2) {
			t.Errorf("contacts %04b: %s, want %d", m, got[0], want[m])
		}
	}
}
