package rig

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"knobwright/firmware"
)

// TestOddHosts does what hosts do that do not behave, or that come and go.
func TestOddHosts(t *testing.T) {
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		d := plugged(t, m, desk(t, m.chip))
		try := func(name string, f func(d *device)) {
			t.Run(name, func(t *testing.T) {
				d.t = t
				f(d)
				d.listen(60)
				d.expect("at rest", "")
			})
			d.t = t
		}
		try("let go while the bus sleeps", func(d *device) {
			d.set(deskHeld, true)
			d.listen(20)
			d.expect("pressed", "Button 3=1")
			d.say("suspend", "run 50000")
			d.set(deskHeld, false)
			d.say("run 100000", "resume", "run 20000")
			d.listen(50)
			d.expect("after the sleep", "Button 3=0")
		})
		try("pressed while the bus sleeps, and let go before it is awake", func(d *device) {
			d.say("suspend", "run 50000")
			d.set(deskHeld, true)
			d.say("run 50000")
			d.set(deskHeld, false)
			d.say("run 50000", "resume", "run 20000")
			d.listen(50)
			if got := d.changes(); got != "" && got != "Button 3=1 Button 3=0" {
				t.Errorf("a button is left: %q", got)
			}
		})
		try("nobody asks for two seconds while a shaft turns", func(d *device) {
			state := 0
			for range 200 {
				for range 4 {
					state++
					d.say(d.w.Contact(deskWheelA, (state+1)&2 != 0)...)
					d.say(d.w.Contact(deskWheelB, state&2 != 0)...)
					d.say("run 2500")
				}
			}
			sum := 0
			d.listen(100)
			for _, s := range strings.Fields(d.changes()) {
				n := 0
				if _, err := fmt.Sscanf(s, "Wheel%d", &n); err != nil {
					t.Errorf("%s", s)
				}
				sum += n
			}
			if sum != 200 && sum != -200 {
				t.Errorf("200 clicks came as %d", sum)
			}
		})
		try("another host takes over while a contact is held", func(d *device) {
			d.set(deskHeld, true)
			d.listen(20)
			d.expect("pressed", "Button 3=1")
			d.say("run 30000")
			if _, _, err := d.Enumerate(23); err != nil {
				t.Fatal(err)
			}
			d.on = map[string]int64{}
			d.listen(60)
			if got := d.changes(); !strings.Contains(got, "Button 3=1") {
				t.Errorf("the other host is told %q", got)
			}
			d.set(deskHeld, false)
			d.listen(40)
			d.expect("let go", "Button 3=0")
		})
		try("requests at random", func(d *device) {
			r := rand.New(rand.NewPCG(5, 5))
			n := 400
			if m.chip == firmware.RP2040 && !long() {
				n = 60
			}
			for i := range n {
				s := Setup{uint8(r.IntN(256)), uint8(r.IntN(16)), uint16(r.IntN(1 << 16)), uint16(r.IntN(6)), uint16(r.IntN(70))}
				if r.IntN(2) == 0 {
					s.Type = []uint8{0x80, 0x81, 0xA1, 0x21, 0x01, 0x02, 0x82, 0x00}[r.IntN(8)]
				}
				if s.Type == 0 && s.Request == 5 || s.Type == 0 && s.Request == 9 || s.Type == 2 && s.Request == 3 {
					continue
				}
				if s.Type == 0x21 && s.Request == 10 { // a rate would have it tell what has not changed
					continue
				}
				var data []byte
				if s.Type&0x80 == 0 {
					for range s.Length {
						data = append(data, byte(r.IntN(256)))
					}
				}
				got, err := d.Control(s, data)
				if err != nil {
					t.Fatal(err)
				}
				if got.Kind == "timeout" || len(got.Data) > int(s.Length) {
					t.Errorf("request %d, %X: %s", i, s.Bytes(), got)
				}
			}
			if got := d.control(Setup{0x80, 6, 0x0100, 0, 18}); got.Kind != "data" || len(got.Data) != 18 {
				t.Errorf("after all of them: %s", got)
			}
			d.listen(20)
			d.changes()
			d.press(deskPush, 20, 30)
			d.expect("and it still works", "Button 1=1 Button 1=0")
		})
		d.clean()
	})
}
