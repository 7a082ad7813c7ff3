package avr

import (
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"testing"

	"knobwright/firmware"
	"knobwright/firmware/rig"
	"knobwright/internal/thorough"
)

// rigIdentity asks the last interface, whichever device there is.
func rigIdentity(m *module) rig.Identity {
	c := m.data("setup 8006000200000900")
	return m.identity(int(c[4]) - 1)
}

// TestReports: every way of wiring a contact or a voltage ends in its own bits, and nowhere else; with either crystal.
func TestReports(t *testing.T) {
	for _, hz := range thorough.Of([]int{16000000, 8000000}, []int{16000000}) {
		m := start(t, hz)
		tab, _, raw := desk(t)
		w, err := m.Wire(raw, firmware.ATmega32U4)
		if err != nil {
			t.Fatal(err)
		}
		m.load(raw)
		m.join()
		m.say("run 50000")
		m.last()
		check := func(what string, want ...int) {
			t.Helper()
			m.say("run 20000")
			got := m.last()
			if got == nil || got[0] != 1 || len(got) != 1+deskIn {
				t.Fatalf("%s: report %X", what, got)
			}
			if h := held(got); !slices.Equal(h, want) && !(len(h) == 0 && len(want) == 0) {
				t.Errorf("%d Hz, %s: bits %v, not %v", hz, what, h, want)
			}
		}
		for _, in := range tab.Inputs {
			raw := int(in.Raw)
			m.say(w.Contact(raw, true)...)
			check(fmt.Sprintf("contact %d", raw), raw)
			m.say(w.Contact(raw, false)...)
			check(fmt.Sprintf("contact %d open", raw))
		}
		// three corners of a rectangle, and with the diodes not the fourth
		for _, k := range []int{0, 1, 4} {
			m.say(w.Contact(rawMatrix+k, true)...)
		}
		check("three keys", rawMatrix, rawMatrix+1, rawMatrix+4)
		for _, k := range []int{0, 1, 4} {
			m.say(w.Contact(rawMatrix+k, false)...)
		}
		check("no keys")
		axes := func() (int, int) {
			t.Helper()
			m.say("run 30000")
			got := m.last()
			if got == nil {
				t.Fatal("no report of an axis")
			}
			return int(binary.LittleEndian.Uint16(got[axesAt:])), int(binary.LittleEndian.Uint16(got[axesAt+2:]))
		}
		for k := range 8 { // its neighbours on the multiplexer stand elsewhere
			m.sayf("muxline mux0 %d %d", k, []int{5000, 0, 5000, 0, 5000, 2500, 5000, 0}[k])
		}
		if a, _ := axes(); a < 32700 || a > 32850 {
			t.Errorf("half of the voltage on the multiplexer is %d of 65535", a)
		}
		m.say("muxline mux0 5 5000", "adc 7 1250")
		if a, b := axes(); a != 65535 || b < 16350 || b > 16450 {
			t.Errorf("full and a quarter are %d and %d of 65535", a, b)
		}
		// an expander that is away counts as open, is told to the bench, and comes back
		m.say(w.Contact(rawExpander+3, true)...)
		check("line before", rawExpander+3)
		m.say("absent expander0 1")
		check("absent")
		if id := m.identity(1); id.Missing != 1 {
			t.Errorf("an expander is away, and the bench is told %08b", id.Missing)
		}
		m.say("absent expander0 0")
		check("back", rawExpander+3)
		if id := m.identity(1); id.Missing != 0 {
			t.Errorf("no expander is away, and the bench is told %08b", id.Missing)
		}
		// the bench sees the same row of raw bits
		if got := m.data("setup A101F10301000D00"); len(got) != 13 || got[1+(rawExpander+3)/8] != 1<<(3+rawExpander%8) {
			t.Errorf("raw bits %X", got)
		}
		m.clean()
	}
}

// TestSettle: rows of a matrix get the time that the table says, with either crystal: columns here rise very slowly.
func TestSettle(t *testing.T) {
	b := firmware.Board{Matrix: &firmware.Matrix{Settle: 30, Rows: pins("D0", "D1"), Columns: pins("B4")}}
	device(t, &b, 1, 0)
	tab := firmware.Table{
		Chip: firmware.ATmega32U4, Tick: 500, Reports: []firmware.Report{{ID: 1, Length: 1}},
		Inputs: []firmware.Input{{Raw: 0, Bit: 0, Second: firmware.None, Debounce: 10}, {Raw: 1, Bit: 1, Second: firmware.None, Debounce: 10}},
	}
	raw := whole(t, tab, b)
	for _, hz := range thorough.Of([]int{16000000, 8000000}, []int{16000000}) {
		m := start(t, hz)
		w, err := m.Wire(raw, firmware.ATmega32U4)
		if err != nil {
			t.Fatal(err)
		}
		m.say("slow 28")
		m.say(w.Contact(0, true)...)
		m.load(raw)
		m.join()
		m.say("run 50000")
		m.want("data 0101", "setup A101010100000200")
		m.say("slow 60", "run 50000") // and no more than that: the second key seems closed too
		m.want("data 0103", "setup A101010100000200")
		m.clean()
	}
}

// TestChannels: each channel of the converter is its own axis.
func TestChannels(t *testing.T) {
	channels := []uint8{0, 1, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13}
	var b firmware.Board
	tab := firmware.Table{Chip: firmware.ATmega32U4, Tick: 1000, Reports: []firmware.Report{{ID: 1, Length: 24}}}
	for i, c := range channels {
		b.Analog = append(b.Analog, firmware.Analog{Axis: uint8(i), Channel: c, Mux: firmware.No})
		tab.Axes = append(tab.Axes, firmware.Axis{Width: 16, Bit: uint16(16 * i), Still: 20, Hi: 65535, AtHi: 65535})
	}
	device(t, &b, 24, 0)
	m := start(t)
	for i, c := range channels {
		m.sayf("adc %d %d", c, 400*(i+1))
	}
	m.load(whole(t, tab, b))
	m.join()
	m.say("run 50000")
	got := m.data("setup A101010100001900")
	for i, c := range channels {
		v, want := int(binary.LittleEndian.Uint16(got[1+2*i:])), 400*(i+1)*65535/5000
		if v < want-70 || v > want+70 {
			t.Errorf("channel %d: %d, not %d", c, v, want)
		}
	}
	m.clean()
}

// TestToggles: a toggle gives a pulse for each change, and none for how it stands at the start.
func TestToggles(t *testing.T) {
	b := firmware.Board{Direct: []firmware.DirectPin{{Raw: 0, Pin: pin("F4"), PullUp: true}, {Raw: 1, Pin: pin("F7"), PullUp: true}}}
	device(t, &b, 1, 0)
	tab := firmware.Table{
		Chip: firmware.ATmega32U4, Tick: 500, Reports: []firmware.Report{{ID: 1, Length: 1}},
		Inputs:  []firmware.Input{{Raw: 0, Bit: 0, Second: firmware.None, Debounce: 10}, {Raw: 1, Bit: firmware.None, Second: firmware.None, Debounce: 10}},
		Pulses:  []firmware.Pulse{{Bit: 1, Length: 100, Gap: 100}, {Bit: 2, Length: 100, Gap: 100}},
		Toggles: []firmware.Toggle{{Input: 1, On: 0, Off: 1}},
	}
	raw := whole(t, tab, b)
	m := start(t)
	w, err := m.Wire(raw, firmware.ATmega32U4)
	if err != nil {
		t.Fatal(err)
	}
	m.say(w.Contact(0, true)...)
	m.say(w.Contact(1, true)...)
	m.load(raw)
	m.join()
	m.want("data 0101", "setup A101010100000200") // held from the start, and no pulse
	if got := m.last(); len(got) != 2 || got[1] != 1 {
		t.Errorf("the first report is %X", got)
	}
	for i := range 4 {
		m.say(w.Contact(1, i%2 != 0)...)
		got, err := m.Listen(200)
		if err != nil {
			t.Fatal(err)
		}
		on := byte(1 | 4>>(i%2))
		if len(got) != 2 || got[0][1] != on || got[1][1] != 1 {
			t.Errorf("change %d: reports %X", i, got)
		}
	}
	m.clean()
}

// TestPulses: detents as pulsed buttons: as many as were turned, each way.
func TestPulses(t *testing.T) {
	m := start(t)
	_, _, raw := desk(t)
	w, err := m.Wire(raw, firmware.ATmega32U4)
	if err != nil {
		t.Fatal(err)
	}
	m.load(raw)
	m.join()
	state := 0
	for _, quarters := range []int{20, -12, 4, -40} {
		var got [][]byte
		for range max(quarters, -quarters) { // the contact of B leads: up
			state = (state + 4 + min(1, max(-1, quarters))) % 4
			m.say(append(w.Contact(rawEncoder+1, state == 1 || state == 2), w.Contact(rawEncoder, state >= 2)...)...)
			more, err := m.Listen(1)
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, more...)
		}
		up, down, was := 0, 0, []int(nil)
		more, err := m.Listen(150)
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, more...)
		for _, r := range got {
			h := held(r)
			if slices.Contains(h, bitUp) && !slices.Contains(was, bitUp) {
				up++
			}
			if slices.Contains(h, bitDown) && !slices.Contains(was, bitDown) {
				down++
			}
			was = h
		}
		if up != max(0, quarters/4) || down != max(0, -quarters/4) {
			t.Errorf("%d quarters: %d up, %d down", quarters, up, down)
		}
	}
	m.clean()
}

// TestLamps: the output report lights lamps, by the endpoint and by request; lamps follow their input; a sleeping bus is dark.
func TestLamps(t *testing.T) {
	m := start(t)
	_, _, raw := desk(t)
	w, err := m.Wire(raw, firmware.ATmega32U4)
	if err != nil {
		t.Fatal(err)
	}
	m.load(raw)
	m.join()
	see := func(what, one, two, box string) {
		t.Helper()
		m.say("run 30000")
		m.want("level "+one, "level %d", pin("C7"))
		m.want("level "+two, "level %d", pin("E6"))
		if got := m.say("lines expander0"); !strings.HasPrefix(got, "lines "+box) {
			t.Errorf("%s: %s, not %s", what, got, box)
		}
	}
	see("at first", "0", "1", "0")
	m.want("ack", "out 2 0201")
	see("one", "1", "1", "0")
	m.want("ack", "out 2 0206")
	see("two", "0", "1", "3")
	m.want("ack", "setup 2109020200000200 0213")
	see("both", "1", "1", "9")
	m.say(w.Contact(0, true)...)
	see("following", "1", "0", "9")
	m.want("stall", "setup 2109020200000300 020300")
	m.want("stall", "setup 2109030200000200 0303")
	m.want("ack", "out 2 0300")
	see("unchanged", "1", "0", "9")
	m.say("suspend")
	see("asleep", "0", "1", "0")
	m.say("resume")
	see("awake", "1", "0", "9")
	m.clean()
}

// TestSuspend: a contact wakes the host when the host allows it, once; and is sent when the host is awake.
func TestSuspend(t *testing.T) {
	m := start(t)
	_, _, raw := desk(t)
	w, err := m.Wire(raw, firmware.ATmega32U4)
	if err != nil {
		t.Fatal(err)
	}
	m.load(raw)
	m.join()
	m.say("run 50000")
	m.last()
	bit := func(what string, n int, on bool) {
		t.Helper()
		m.say("run 20000")
		if got := m.last(); got == nil || slices.Contains(held(got), n) != on {
			t.Errorf("%s: %X", what, got)
		}
	}
	m.say("suspend")
	m.say(w.Contact(1, true)...)
	m.say("run 200000")
	m.want("wakeup 0", "wakeup") // not allowed
	m.say("resume")
	bit("pressed while asleep", 1, true)
	m.want("ack", "setup 0003010000000000")
	m.want("data 0200", "setup 8000000000000200")
	for _, n := range []int{1, rawMatrix + 5, rawChain + 9, rawExpander + 2, rawExpander + 2} {
		on := n != 1
		m.say("suspend", "run 100000")
		m.want("wakeup 0", "wakeup") // nothing has moved
		m.say(w.Contact(n, on)...)
		m.say("run 100000")
		m.want("wakeup 1", "wakeup")
		m.say("run 100000")
		m.want("wakeup 0", "wakeup")
		m.say("resume")
		bit(fmt.Sprintf("contact %d", n), n, on)
		m.say(w.Contact(n, !on)...)
		bit(fmt.Sprintf("contact %d back", n), n, !on)
	}
	// not before the bus was silent for 5 ms, of which it takes 3 to be asleep and the rig lets 3 more pass
	m.say("suspend")
	m.say(w.Contact(0, true)...)
	m.say("run 1000")
	m.want("wakeup 0", "wakeup")
	m.say("run 100000")
	m.want("wakeup 1", "wakeup")
	m.say("resume")
	bit("pressed at once", 0, true)
	m.say(w.Contact(0, false)...)
	bit("and released", 0, false)
	m.want("ack", "setup 0001010000000000")
	m.say("suspend")
	m.say(w.Contact(0, true)...)
	m.say("run 100000")
	m.want("wakeup 0", "wakeup")
	m.join() // a host that resets instead of resuming
	bit("after a reset", 0, true)
	m.want("restarts 0", "restarts")
	m.clean()
}
