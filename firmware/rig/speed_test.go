package rig

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/hid"
	"knobwright/internal/thorough"
)

// The limits of how long it may take from a contact to the report that lies ready for the host, in us. Simulated time is exact and the
// same in every run.
var latencyLimits = map[firmware.Chip]struct {
	average, worst float64
	detents        int // a second, at four edges a detent, without loss
}{
	firmware.RP2040:     {300, 600, 1000},
	firmware.ATmega32U4: {600, 1200, 250},
}

// crowded has as many contacts as the limits speak of: 64 on an RP2040, in a matrix of 56 and eight of their own, and one encoder; 32 on an
// ATmega32U4, in a matrix of 30 and two of their own, and four encoders. Raw bits from 0 are the contacts, the encoders' follow.
func crowded(t testing.TB, chip firmware.Chip) *fixture {
	p := pinMaps[chip].pins
	rows, columns, alone, encoders, tick := 8, 7, 8, 1, 250
	if chip == firmware.ATmega32U4 {
		rows, columns, alone, encoders, tick = 5, 6, 2, 4, 500
	}
	inputs := rows*columns + alone
	table := firmware.Table{Tick: uint16(tick)}
	board := firmware.Board{Matrix: &firmware.Matrix{Raw: uint8(alone), Settle: 3, Rows: p[:rows], Columns: p[rows : rows+columns]}}
	next := rows + columns
	for raw := range inputs {
		table.Inputs = append(table.Inputs, firmware.Input{Raw: uint16(raw), Bit: uint16(raw), Second: firmware.None, Debounce: 10})
	}
	for raw := range alone {
		board.Direct = append(board.Direct, firmware.DirectPin{Raw: uint8(raw), Pin: p[next], PullUp: true})
		next++
	}
	bits := (inputs + 7) / 8 * 8
	var axes []hid.Axis
	for e := range encoders {
		a := inputs + 2*e
		for k := range 2 {
			board.Direct = append(board.Direct, firmware.DirectPin{Raw: uint8(a + k), Pin: p[next], PullUp: true, Often: true})
			next++
		}
		table.Encoders = append(table.Encoders, firmware.Encoder{A: uint8(a), B: uint8(a + 1), Rest: 1, Steps: 4, Kind: firmware.Wraps, Up: firmware.No, Down: firmware.No, Bit: uint16(bits + 16*e), Width: 16, Max: 29999, Step: 1})
		axes = append(axes, hid.Axis{Usage: hid.X + hid.Usage(e), Max: 29999, Bits: 16})
	}
	return finish(t, chip, table, board, false, hid.Joystick{ID: reportStick, Buttons: inputs, Axes: axes}, hid.Lamps{ID: reportLamps, Count: 1})
}

func (d *device) now() int {
	d.t.Helper()
	var us int
	if _, err := fmt.Sscanf(d.say("time")[0], "time %d", &us); err != nil {
		d.t.Fatal(err)
	}
	return us
}

// TestLatency closes and opens contacts at all phases of a tick and asks every few microseconds for the report.
func TestLatency(t *testing.T) {
	t.Parallel()
	presses := thorough.Of(60, 24)
	each(t, func(t *testing.T, m maker) {
		limit, ok := latencyLimits[m.chip]
		if !ok {
			t.Skip("a PC has no time of its own to be measured")
		}
		d := plugged(t, m, crowded(t, m.chip))
		inputs := len(d.f.table.Inputs)
		var sum, worst float64
		n := 0
		for i := range presses {
			raw := i * 7 % inputs
			for _, to := range []bool{true, false} {
				d.set(raw, to)
				from := d.now()
				lines := make([]string, 0, 400)
				for range 100 {
					lines = append(lines, "run 10", "in 1", "time")
				}
				got := d.say(lines...)
				took := -1
				for k := 1; k < len(got); k += 3 {
					if strings.HasPrefix(got[k], "data ") {
						var at int
						fmt.Sscanf(got[k+1], "time %d", &at)
						took = at - from
						break
					}
				}
				if took < 0 {
					t.Fatalf("no report of contact %d after %d us", raw, d.now()-from)
				}
				sum += float64(took)
				worst = max(worst, float64(took))
				n++
				d.say(fmt.Sprintf("run %d", 7000+(i*37)%997)) // any phase; the lockout is over
			}
		}
		average := sum / float64(n)
		t.Logf("%s, %d contacts, %d encoders: average %.0f us, worst %.0f us of %d; %s", m.name, inputs, len(d.f.table.Encoders), average, worst, n, d.say("cycles")[0])
		if average > limit.average || worst > limit.worst {
			t.Errorf("average %.0f us of %.0f, worst %.0f us of %.0f", average, limit.average, worst, limit.worst)
		}
		d.clean()
	})
}

// TestEncoderSpeed turns all encoders at once at the stated speed, to and fro, and then ever faster until detents are lost.
func TestEncoderSpeed(t *testing.T) {
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		limit, ok := latencyLimits[m.chip]
		if !ok {
			t.Skip("a PC has no time of its own to be measured")
		}
		d := plugged(t, m, crowded(t, m.chip))
		inputs := len(d.f.table.Inputs)
		encoders := len(d.f.table.Encoders)
		state, want := 0, 0
		// spin turns all shafts by detents, the edges of the encoders spread over the time of a quarter.
		spin := func(detents, rate int) {
			step := 1
			if detents < 0 {
				step = 3
			}
			var lines []string
			period := 1000000 / (4 * rate)
			for range 4 * max(detents, -detents) {
				was := state
				state = (state + step) & 3
				left := period
				for e := range encoders {
					a, b := inputs+2*e, inputs+2*e+1
					if (was >= 2) != (state >= 2) {
						lines = append(lines, d.w.Contact(a, state >= 2)...)
					}
					if (was == 1 || was == 2) != (state == 1 || state == 2) {
						lines = append(lines, d.w.Contact(b, state == 1 || state == 2)...)
					}
					lines = append(lines, fmt.Sprintf("run %d", period/encoders))
					left -= period / encoders
				}
				lines = append(lines, fmt.Sprintf("run %d", left))
			}
			d.say(lines...)
			d.say("run 3000", "in 1", "run 3000", "in 1")
			want += detents
		}
		right := func() bool {
			d.t.Helper()
			r := d.control(Setup{0xA1, 1, 0x0101, 0, 64})
			all := true
			for e := range encoders {
				at := 1 + (inputs+7)/8 + 2*e
				got := int(r.Data[at]) | int(r.Data[at+1])<<8
				if got != (want+30000)%30000 {
					all = false
				}
			}
			return all
		}
		for _, detents := range []int{60, -25, 13, -48} {
			spin(detents, limit.detents)
			if !right() {
				t.Fatalf("detents were lost at %d a second", limit.detents)
			}
		}
		lossless := limit.detents
		for rate := limit.detents * 5 / 4; rate < 40000; rate = rate * 5 / 4 {
			spin(50, rate)
			if !right() {
				t.Logf("%s, %d encoders at once: no detent is lost at %d a second, some are at %d", m.name, encoders, lossless, rate)
				return
			}
			lossless = rate
		}
		t.Logf("%s: no detent is lost at %d a second", m.name, lossless)
	})
}
