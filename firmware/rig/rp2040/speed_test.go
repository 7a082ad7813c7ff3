package rp2040

import (
	"fmt"
	"os"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/thorough"
)

// TestLatency measures, in simulated time, from the edge at a pin to the report that waits for the host. 64 contacts on 22 pins: a matrix of
// 7 by 8, and 8 of their own. With edges at all phases of the tick the average must be under 0.3 ms, and the worst under 0.6 ms.
func TestLatency(t *testing.T) {
	tab, b, _ := desk(t)
	tab.Inputs, tab.Encoders, tab.Axes, tab.Lamps = nil, nil, nil, nil
	for raw := range uint16(64) {
		tab.Inputs = append(tab.Inputs, firmware.Input{Raw: raw, Bit: raw, Second: firmware.None})
	}
	plain := b
	plain.Direct, plain.Chains, plain.Expanders, plain.Muxes, plain.Analog, plain.Ladders, plain.Lamps = nil, nil, nil, nil, nil, nil, nil
	for i := range uint8(8) {
		plain.Direct = append(plain.Direct, firmware.DirectPin{Raw: i, Pin: i, PullUp: true})
	}
	plain.Matrix = &firmware.Matrix{Raw: 8, Settle: 3, Rows: []uint8{8, 9, 10, 11, 12, 13, 14}, Columns: []uint8{15, 18, 19, 20, 21, 22, 23, 24}}
	// The same with all that works in slices besides: two axes, an expander that is there and one that is not.
	busy := plain
	busy.Analog = []firmware.Analog{{Axis: 0, Channel: 0, Mux: firmware.No}, {Axis: 1, Channel: 1, Mux: firmware.No}}
	busy.Expanders = []firmware.Expander{
		{Raw: 64, Address: 0x20, Data: 16, Clock: 17, Inputs: 0xFFFF, FirstLamp: firmware.No},
		{Raw: 80, Address: 0x27, Data: 16, Clock: 17, Inputs: 0xFFFF, FirstLamp: firmware.No},
	}
	for _, c := range []struct {
		what  string
		board firmware.Board
		axes  int
	}{{"64 contacts", plain, 0}, {"64 contacts, two axes, two expanders", busy, 2}} {
		if c.axes == 0 && !thorough.Is() { // the busier one is harder
			continue
		}
		t.Run(c.what, func(t *testing.T) {
			tab := tab
			for i := range c.axes {
				tab.Axes = append(tab.Axes, firmware.Axis{Width: 16, Bit: uint16(bitAxes + 16*i), Still: 64, Hi: 65535, AtHi: 65535})
			}
			tab.Extra = c.board.Sections()
			raw, err := tab.Bytes()
			if err != nil {
				t.Fatal(err)
			}
			r := start(t)
			for i := range 8 {
				r.say("switch s%d %d gnd", i, i)
			}
			for k := range 56 {
				r.say("switch s%d %d %d diode", 8+k, plain.Matrix.Columns[k%8], plain.Matrix.Rows[k/8])
			}
			r.say("expander box 16 17 0x20")
			r.load(raw)
			r.join()
			r.say("run 50000")
			r.last()
			sum, worst, least, n := 0, 0, 1<<30, 0
			phase := uint32(1)
			edges := thorough.Of(128, 64)
			if long() {
				edges = 640
			}
			for i := range edges {
				phase = phase*1664525 + 1013904223 // all phases; numbers of a linear congruence, from memory
				r.say("run %d", 1000+phase>>22)
				k := i * 27 % 64 // 27 and 64 have no common divisor: all of them
				r.say("%s s%d", []string{"close", "open"}[i/64%2], k)
				ns := r.number("ready 1 5000")
				got := r.data("in 1")
				if bit(got, k) != (i/64%2 == 0) {
					t.Fatalf("contact %d: %X", k, got)
				}
				sum += ns
				n++
				worst, least = max(worst, ns), min(least, ns)
			}
			t.Logf("edge to report, %d edges: %d us on average, %d at least, %d at most", n, sum/n/1000, least/1000, worst/1000)
			t.Logf("ticks of %d us: %s (average, worst; stack)", tab.Tick, r.say("cycles"))
			if got := r.data("setup A101F30301000500"); got[3] != 0 || got[4] != 0 {
				t.Errorf("ticks came late: %X", got)
			}
			if sum/n >= 300e3 || worst >= 600e3 {
				t.Errorf("%d us on average, %d at most; 300 and 600 are the limits", sum/n/1000, worst/1000)
			}
			r.clean()
		})
	}
}

// long says whether the whole of what takes long is asked for.
func long() bool { return os.Getenv("RIG") == "long" }

// TestEncoderSpeed turns an encoder, back and forth, at up to 1000 detents of four edges a second, with everything else going on: not one
// detent may be lost. Where it begins to lose some is told.
func TestEncoderSpeed(t *testing.T) {
	_, _, raw := desk(t)
	r := start(t)
	r.wire()
	r.load(raw)
	r.join()
	r.say("run 50000")
	r.last()
	turn := func(perSecond, detents int, jitter bool) (counted int) {
		edge := 1000000 / perSecond / 4
		state, at := 0, 0
		levels := [4][2]string{{"high", "high"}, {"high", "low"}, {"low", "low"}, {"low", "high"}}
		steps := detents * 4
		direction := 1
		if steps < 0 {
			steps, direction = -steps, -1
		}
		take := func() {
			for {
				a := r.say("in 1")
				if a == "nak" {
					return
				}
				var got []byte
				if _, err := fmt.Sscanf(a, "data %X", &got); err != nil {
					t.Fatal(a)
				}
				counted += int(int8(got[1+bitSteps/8]))
				r.say("run 300")
				at += 300
			}
		}
		for i := range steps {
			state = (state + direction + 4) % 4
			r.say("wire 2 %s", levels[state][0])
			r.say("wire 3 %s", levels[state][1])
			wait := edge
			if jitter { // edges of real encoders are not evenly spaced: every second one comes early
				wait += edge / 4 * (1 - 2*(i%2))
			}
			// the host polls within this time once a ms, which takes some of it
			r.say("run %d", wait)
			if at += wait; at > 1000 && i%4 == 3 {
				at = 0
				if i%16 == 3 {
					r.data("setup A101F30301000500") // the bench asks as well
				}
			}
		}
		r.say("run 5000")
		take()
		return counted
	}
	r.say("wire 2 high")
	r.say("wire 3 high")
	r.say("run 5000")
	r.last()
	// 100 detents fit into one report's ±127, so that the host can poll when the turn is over
	for i, c := range []struct {
		perSecond, detents int
		jitter             bool
	}{{1000, -100, true}, {1000, 120, true}, {50, 12, true}, {250, 40, true}, {500, 100, true}, {1000, 100, false}, {1000, -100, false}, {1000, 100, true}} {
		if i > 1 && !thorough.Is() {
			break
		}
		if got := turn(c.perSecond, c.detents, c.jitter); got != c.detents {
			t.Errorf("%d detents at %d a second: %d counted", c.detents, c.perSecond, got)
		}
	}
	if !thorough.Is() {
		r.clean()
		return
	}
	lost := 0
	step := 1000
	if long() {
		step = 250
	}
	for perSecond := 1000; perSecond <= 5000 && lost == 0; perSecond += step {
		if got := turn(perSecond, 100, false); got != 100 {
			lost = perSecond
		}
	}
	t.Logf("detents begin to be lost at %d a second with even edges (sampled 10,000 times a second)", lost)
	t.Logf("%s (average, worst; stack)", r.say("cycles"))
	r.clean()
}
