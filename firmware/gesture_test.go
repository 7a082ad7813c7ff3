package firmware

import (
	"fmt"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// press is a time during which a contact is closed: from a tick on, to the tick before another; to is 0 when it is never opened.
type press struct{ from, to int }

// gesturesOf gives the ticks of short, long and double presses by their definition: a press of at least long ticks is long, at the tick
// when that is reached; of the others, one that is followed by a press within less than gap ticks is, with that, a double one, at the
// second press; the rest are short, at the release if there is no double press to wait for, else when the gap is over.
func gesturesOf(presses []press, long, gap, end int) (shorts, longs, doubles []int) {
	add := func(list *[]int, tick int) {
		if tick <= end {
			*list = append(*list, tick)
		}
	}
	for i := 0; i < len(presses); i++ {
		p := presses[i]
		open := p.to
		if open == 0 {
			open = end + 100000
		}
		switch {
		case long > 0 && open-p.from >= long:
			add(&longs, p.from+long)
		case gap == 0:
			add(&shorts, open)
		case i+1 < len(presses) && presses[i+1].from < open+gap:
			add(&doubles, presses[i+1].from)
			i++
		default:
			add(&shorts, open+gap)
		}
	}
	return shorts, longs, doubles
}

// TestGestures: random presses, with and without long and double ones: tick for tick what the definition says.
func TestGestures(t *testing.T) {
	w := start(t)
	kinds := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		long := rapid.SampledFrom([]int{0, 1, 5, 20}).Draw(rt, "long")
		gap := rapid.SampledFrom([]int{0, 1, 4, 15}).Draw(rt, "gap")
		table := bare(1)
		table.Inputs = []Input{{Raw: 7, Bit: None, Second: None}}
		table.Pulses = []Pulse{{Bit: 0, Length: 1, Gap: 1}, {Bit: 1, Length: 1, Gap: 1}, {Bit: 2, Length: 1, Gap: 1}}
		g := Gesture{Short: 0, Long: No, Double: No, LongTime: uint16(long), Pause: uint16(gap)}
		if long > 0 {
			g.Long = 1
		}
		if gap > 0 {
			g.Double = 2
		}
		table.Gestures = []Gesture{g}
		w.load(rt, table, quiet()...)
		var lines []string
		var list []press
		now := 1
		for range rapid.IntRange(1, 12).Draw(rt, "presses") {
			idle := rapid.IntRange(1, 25).Draw(rt, "idle")
			lines = append(lines, fmt.Sprintf("tick %d", idle))
			now += idle
			held := rapid.IntRange(1, 30).Draw(rt, "held")
			lines = append(lines, "raw 7 1", fmt.Sprintf("tick %d", held), "raw 7 0")
			list = append(list, press{now, now + held})
			now += held
		}
		lines = append(lines, "tick 100")
		end := now + 99
		all := reports(rt, w.say(rt, lines...))
		shorts, longs, doubles := gesturesOf(list, long, gap, end)
		for bit, want := range [][]int{shorts, longs, doubles} {
			got, _ := presses(all, bit)
			kinds[fmt.Sprint(bit)] += len(want)
			if !reflect.DeepEqual(got, want) {
				rt.Fatalf("long %d, gap %d, presses %v: action %d at %v, want %v", long, gap, list, bit, got, want)
			}
		}
	})
	for _, bit := range []string{"0", "1", "2"} {
		if kinds[bit] == 0 {
			t.Errorf("no press of kind %s came about", bit)
		}
	}
	// A contact that is closed from the start makes nothing, until it is pressed anew.
	table := bare(1)
	table.Inputs = []Input{{Raw: 7, Bit: None, Second: None}}
	table.Pulses = []Pulse{{Bit: 0, Length: 2, Gap: 1}, {Bit: 1, Length: 2, Gap: 1}}
	table.Gestures = []Gesture{{Short: 0, Long: 1, Double: No, LongTime: 10}}
	w.load(t, table, append(quiet(), "raw 7 1")...)
	if got := w.say(t, "tick 50", "raw 7 0", "tick 50"); len(got) != 0 {
		t.Errorf("held from the start: %v", got)
	}
	if got := w.say(t, "raw 7 1", "tick 3", "raw 7 0", "tick 10"); len(got) != 2 {
		t.Errorf("then pressed: %v", got)
	}
}

// TestMacros: every step at its tick; a second request waits for the end of the first; a toggle can ask for one.
func TestMacros(t *testing.T) {
	w := start(t)
	table := bare(1)
	table.Inputs = []Input{{Raw: 0, Bit: None, Second: None}}
	table.Pulses = []Pulse{{Bit: 7, Length: 3, Gap: 3}}
	table.Macros = []Macro{
		{{Bit: 0, Press: true, Wait: 5}, {Bit: 1, Press: true, Wait: 2}, {Bit: 1, Wait: 4}, {Bit: 0, Wait: 10}},
		{{Bit: 4, Press: true, Wait: 1}, {Bit: 4, Wait: 1}},
	}
	table.Toggles = []Toggle{{Input: 0, On: 1, Off: 2}} // action 0 is the pulse, 1 and 2 the macros
	w.load(t, table, quiet()...)
	got := fmt.Sprint(w.say(t, "tick 9", "raw 0 1", "tick 40"))
	if want := "[10 01 15 03 17 01 21 00]"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	// Ticks from 50 on: off, on, off, on within four ticks: both macros twice, each one in turn with itself.
	got = fmt.Sprint(w.say(t, "raw 0 0", "tick 1", "raw 0 1", "tick 1", "raw 0 0", "tick 1", "raw 0 1", "tick 60"))
	if want := "[50 10 51 01 52 11 53 01 56 03 58 01 62 00 72 01 77 03 79 01 83 00]"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	// Three requests while the first runs: three times, one after the other.
	table.Pulses, table.Toggles = nil, []Toggle{{Input: 0, On: 1, Off: No}}
	table.Macros[1] = Macro{{Bit: 4, Press: true, Wait: 10}, {Bit: 4, Wait: 5}}
	w.load(t, table, quiet()...)
	var lines []string
	for range 3 {
		lines = append(lines, "raw 0 1", "tick 1", "raw 0 0", "tick 1")
	}
	if up, down := presses(reports(t, w.say(t, append(lines, "tick 100")...)), 4); fmt.Sprint(up, down) != "[1 16 31] [11 26 41]" {
		t.Errorf("three requests: pressed at %v, released at %v", up, down)
	}
	table.Pulses = []Pulse{{Bit: 7, Length: 3, Gap: 3}}
	table.Toggles = []Toggle{{Input: 0, On: 1, Off: 2}}
	good := table
	for _, c := range []struct {
		name, want string
		edit       func(t *Table)
	}{
		{"left pressed", "8 139 0", func(t *Table) { t.Macros[0][3].Press = true }},
		{"pressed and left", "8 139 1", func(t *Table) { t.Macros[1] = Macro{{Bit: 4, Press: true, Wait: 1}} }},
		{"pressed again at the end", "8 139 0", func(t *Table) { t.Macros[0] = append(t.Macros[0], Step{Bit: 1, Press: true, Wait: 1}) }},
		{"no wait", "8 138 2", func(t *Table) { t.Macros[0][2].Wait = 0 }},
		{"no bit", "8 138 1", func(t *Table) { t.Macros[0][1].Bit = None }},
		{"no steps", "8 139 1", func(t *Table) { t.Macros[1] = nil }},
		{"toggle of no macro", "8 132 0", func(t *Table) { t.Toggles[0].Off = 3 }},
		{"gesture of no input", "8 137 0", func(t *Table) { t.Gestures = []Gesture{{Input: 1, Short: 0, Long: No, Double: No}} }},
		{"gesture of no action", "8 137 0", func(t *Table) { t.Gestures = []Gesture{{Short: 3, Long: No, Double: No}} }},
		{"long of no time", "8 137 0", func(t *Table) { t.Gestures = []Gesture{{Short: 0, Long: 1, Double: No, Pause: 5}} }},
		{"double of no pause", "8 137 0", func(t *Table) { t.Gestures = []Gesture{{Short: 0, Long: No, Double: 1, LongTime: 5}} }},
	} {
		table := good
		table.Macros = []Macro{append(Macro{}, good.Macros[0]...), append(Macro{}, good.Macros[1]...)}
		table.Toggles = append([]Toggle{}, good.Toggles...)
		c.edit(&table)
		if got := w.say(t, fmt.Sprintf("table %X", mustBytes(t, table))); got[0] != "begin "+c.want {
			t.Errorf("%s: %s, want %s", c.name, got[0], c.want)
		}
	}
}
