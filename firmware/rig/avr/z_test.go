package avr

import (
	"knobwright/firmware"
	"knobwright/firmware/rig"
	"testing"
)

func TestZ(t *testing.T) {
	b, err := rig.Start("", "sh", "-c", "exec /tmp/kw/avr/prof/rig 2>/tmp/kw/avr/prof/trace.txt")
	if err != nil {
		t.Fatal(err)
	}
	m := &module{b, t}
	raw := busy{"matrix", "pins and chain", 0, 0}.table(t)
	w, _ := m.Wire(raw, firmware.ATmega32U4)
	m.load(raw)
	m.join()
	m.say("run 50000")
	for i := range 2 {
		m.say("run 20000")
		m.last()
		m.sayf("run %d", 20000+i*100)
		m.say(w.Contact(3, i%2 == 0)...)
		a := m.say("time")
		for range 200 {
			g := m.say("in 1")
			if g != "nak" {
				t.Log(g, a, m.say("time"))
				break
			}
			m.say("run 5")
		}
	}
	b.Close()
}
