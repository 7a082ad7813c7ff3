package avr

import (
	"encoding/binary"
	"fmt"
	"testing"
)

// TestTicks counts the ticks that come late while four encoders turn at 52 detents a second, 830 contacts a second close or open, and the host
// listens. With the tick that is taken for each crystal, 400 us at 16 MHz and 1000 us at 8, at most one in a hundred may. RIG=long measures
// others too, and at three times that speed.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		hz    int
		tick  uint16
		taken bool
	}{{16000000, 400, true}, {16000000, 500, false}, {8000000, 500, false}, {8000000, 750, false}, {8000000, 1000, true}, {8000000, 1500, false}, {8000000, 2000, false}} {
		if !c.taken && !long() {
			continue
		}
		for _, quick := range []bool{false, true} {
			if quick && !long() {
				continue
			}
			for _, contacts := range []string{"matrix", "expanders"} {
				y := busy{contacts, contacts, 4, 2, c.tick}
				if contacts == "expanders" {
					y.axes, y.lamps = 0, 0
				}
				n, all, cycles := y.late(t, c.hz, map[bool]int{false: 1200, true: 400}[quick])
				t.Logf("%2d MHz, ticks of %d us, %s, three times as quick %v: %d of %d are late; %s", c.hz/1000000, c.tick, contacts, quick, n, all, cycles)
				if c.taken && !quick && n*100 > all {
					t.Errorf("%d MHz, ticks of %d us: %d of %d are late", c.hz/1000000, c.tick, n, all)
				}
			}
		}
	}
}

// late gives how many ticks came late, of how many.
func (y busy) late(t *testing.T, hz, us int) (late, all int, cycles string) {
	t.Helper()
	m, w := y.begin(t, hz)
	counter := func() int { return int(binary.LittleEndian.Uint16(m.data("setup A101F30301000500")[3:])) }
	now := func() (at int) {
		fmt.Sscanf(m.say("time"), "time %d", &at)
		return at
	}
	before, begin := counter(), now()
	for q := range 200 {
		var lines []string
		for e := range 4 {
			lines = append(lines, shaft(w, e, q)...)
			lines = append(lines, w.Contact((q*4+e)%busyRaws, q/8%2 == 0)...)
			lines = append(lines, fmt.Sprintf("run %d", us))
		}
		if _, err := m.Ask(append(lines, "in 1")...); err != nil {
			t.Fatal(err)
		}
	}
	all = (now() - begin) / int(y.tick)
	late = counter() - before
	cycles = m.say("cycles")
	m.clean()
	return late, all, cycles
}
