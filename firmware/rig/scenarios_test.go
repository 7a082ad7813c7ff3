package rig

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"knobwright/firmware"
)

// scenario is something a person does at a panel, and what the host then hears. It leaves the panel at rest.
type scenario struct {
	name string
	do   func(d *device)
}

var deskScenarios = []scenario{
	{"a button", func(d *device) {
		d.press(deskPush, 20, 20)
		d.expect("pressed and let go", "Button 1=1 Button 1=0")
	}},
	{"a button that bounces", func(d *device) {
		bounce := func(to bool) {
			for i := range 8 {
				d.set(deskPush, (i%2 == 0) == to)
				d.say("run 370")
			}
			d.set(deskPush, to)
		}
		bounce(true)
		d.listen(20)
		bounce(false)
		d.listen(20)
		d.expect("bounces of 3 ms", "Button 1=1 Button 1=0")
	}},
	{"a contact that must be still first", func(d *device) {
		d.press(deskStable, 2, 20)
		d.expect("closed for 2 ms", "")
		d.press(deskStable, 12, 20)
		d.expect("closed for 12 ms", "Button 14=1 Button 14=0")
	}},
	{"a contact that opens", func(d *device) {
		d.set(deskNC, true)
		d.listen(12)
		d.set(deskNC, false)
		d.listen(12)
		d.expect("closed and opened", "Button 15=0 Button 15=1")
	}},
	{"a toggle, held", func(d *device) {
		d.press(deskHeld, 50, 30)
		d.expect("on and off", "Button 3=1 Button 3=0")
	}},
	{"a toggle, as pulses", func(d *device) {
		d.set(deskPulse, true)
		d.listen(50)
		d.expect("on", "Button 4=1 Button 4=0")
		d.set(deskPulse, false)
		d.listen(50)
		d.expect("off", "Button 5=1 Button 5=0")
	}},
	{"three positions", func(d *device) {
		d.press(deskUp, 20, 20)
		d.press(deskDown, 20, 20)
		d.expect("up, middle, down, middle", "Button 6=1 Button 6=0 Button 7=1 Button 7=0")
	}},
	{"second layer", func(d *device) {
		d.set(deskShift, true)
		d.listen(12)
		d.press(deskPush, 20, 20)
		d.set(deskShift, false)
		d.listen(12)
		d.press(deskPush, 20, 20)
		d.expect("with the shift and without", "Button 2=1 Button 2=0 Button 1=1 Button 1=0")
	}},
	{"short, long and double press", func(d *device) {
		d.press(deskGesture, 30, 100)
		d.expect("short", "Button 8=1 Button 8=0")
		d.press(deskGesture, 200, 100)
		d.expect("long", "Button 9=1 Button 9=0")
		d.press(deskGesture, 20, 30)
		d.press(deskGesture, 20, 100)
		d.expect("double", "Button 10=1 Button 10=0")
	}},
	{"a macro", func(d *device) {
		d.press(deskMacro, 30, 150)
		d.expect("once", "Left Control=1 Keyboard c=1 Keyboard c=0 Left Control=0 Button 11=1 Button 11=0")
	}},
	{"an encoder as two buttons", func(d *device) {
		d.turn(deskA, deskB, 12, 4000)
		d.listen(60)
		d.expect("three detents", strings.TrimSpace(strings.Repeat("Button 12=1 Button 12=0 ", 3)))
		d.turn(deskA, deskB, -8, 4000)
		d.listen(60)
		d.expect("two back", strings.TrimSpace(strings.Repeat("Button 13=1 Button 13=0 ", 2)))
		d.turn(deskA, deskB, 3, 2000)
		d.turn(deskA, deskB, -3, 2000)
		d.listen(40)
		d.expect("almost a detent, and back", "")
		d.turn(deskA, deskB, 20, 2000)
		d.turn(deskA, deskB, -12, 2000)
		d.listen(120)
		net := count(d.seen, "Button 12=1") - count(d.seen, "Button 13=1")
		if net != 2 {
			d.t.Errorf("five detents and three back are %d: %s", net, d.seen)
		}
		d.changes()
		d.turn(deskA, deskB, -8, 2000) // to where it stood
		d.listen(60)
		d.changes()
	}},
	{"an encoder that chatters", func(d *device) {
		for range 5 {
			d.turn(deskA, deskB, 1, 300)
			for range 3 {
				d.turn(deskA, deskB, -1, 300)
				d.turn(deskA, deskB, 1, 300)
			}
			d.turn(deskA, deskB, 3, 1500)
			d.listen(15)
		}
		d.listen(40)
		d.expect("five detents", strings.TrimSpace(strings.Repeat("Button 12=1 Button 12=0 ", 5)))
	}},
	{"an encoder as a relative axis", func(d *device) {
		sum := func() int {
			n := 0
			for _, s := range d.seen {
				v, err := strconv.Atoi(strings.TrimPrefix(s, "Wheel"))
				if err != nil {
					d.t.Fatalf("%q", s)
				}
				n += v
			}
			d.changes()
			return n
		}
		for _, detents := range []int{7, -4, 40, -43} {
			d.turn(deskWheelA, deskWheelB, 4*detents, 1500)
			d.listen(20)
			if got := sum(); got != detents {
				d.t.Errorf("%d detents are %d steps", detents, got)
			}
		}
	}},
	{"an encoder as an absolute axis", func(d *device) {
		d.turn(deskDialA, deskDialB, 4, 3000)
		d.listen(10)
		d.expectLast("two detents", "Dial=7")
		d.turn(deskDialA, deskDialB, 12, 3000)
		d.listen(10)
		d.expectLast("six more, of which two count", "Dial=9")
		d.turn(deskDialA, deskDialB, -2, 3000)
		d.listen(10)
		d.expect("one back", "Dial=8")
		d.turn(deskDialA, deskDialB, -6, 3000)
		d.listen(10)
		d.expectLast("to where it began", "Dial=5")
	}},
	{"a slide", func(d *device) {
		for _, c := range []struct{ at, lo, hi int64 }{{65535, 1023, 1023}, {0, 0, 0}, {32768, 506, 517}, {16000, 234, 249}, {0, 0, 0}} {
			d.say(d.w.Voltage(0, int(c.at)))
			d.listen(150)
			if v := d.on["Slider"]; v < c.lo || v > c.hi {
				d.t.Errorf("%d of 65535: the slide is at %d; want %d to %d", c.at, v, c.lo, c.hi)
			}
		}
		d.changes()
		d.say(d.w.Voltage(0, 30000))
		d.listen(300)
		d.changes()
		d.listen(500)
		d.expect("at rest for half a second", "")
		for i := range 100 { // less than it passes over
			d.say(d.w.Voltage(0, 30000+(i%3-1)*40))
			d.listen(3)
		}
		d.expect("with noise", "")
		d.say(d.w.Voltage(0, 0))
		d.listen(300)
		d.changes()
	}},
	{"a lamp that follows", func(d *device) {
		lit := func(want string) {
			if got := d.level(deskLampFollows); got != want {
				d.t.Errorf("the lamp's pin shows %s; want %s", got, want)
			}
		}
		lit("0")
		d.set(deskPush, true)
		d.listen(12)
		lit("1")
		d.set(deskPush, false)
		d.listen(12)
		lit("0")
		d.changes()
	}},
	{"a lamp of the host", func(d *device) {
		lit := func(what, want string) {
			d.listen(4)
			if got := d.level(deskLampPC); got != want {
				d.t.Errorf("%s: the pin shows %s; want %s", what, got, want)
			}
		}
		lit("dark: the pin is high", "1")
		d.control(Setup{0x21, 9, 0x0203, 0, 2}, 3, 1)
		lit("by request", "0")
		d.control(Setup{0x21, 9, 0x0203, 0, 2}, 3, 0)
		lit("by request", "1")
		d.say(fmt.Sprintf("out %d 0301", epLamps))
		lit("by endpoint", "0")
		d.say(fmt.Sprintf("out %d 0300", epLamps))
		lit("by endpoint", "1")
		d.say(fmt.Sprintf("out %d 0901", epLamps), "run 2000", fmt.Sprintf("out %d 030101", epLamps), "run 2000", fmt.Sprintf("out %d 03", epLamps))
		lit("of another number, too long, too short", "1")
	}},
	{"the bus sleeps", func(d *device) {
		d.set(deskPush, true)
		d.listen(12)
		d.expect("pressed", "Button 1=1")
		d.control(Setup{0x00, 3, 1, 0, 0})
		d.say("suspend", "run 100000")
		if got := d.level(deskLampFollows); got != "0" {
			d.t.Errorf("the lamp is lit while the bus sleeps: %s", got)
		}
		if d.flag("wakeup") {
			d.t.Error("it woke the host though nothing moved")
		}
		d.set(deskPush, false)
		d.say("run 100000")
		if !d.flag("wakeup") {
			d.t.Error("a contact moved and the host was not woken")
		}
		d.say("resume")
		d.listen(30)
		d.expect("awake again", "Button 1=0")
		d.control(Setup{0x00, 1, 1, 0, 0})
		d.say("suspend", "run 100000")
		d.press2(deskPush)
		if d.flag("wakeup") {
			d.t.Error("it woke the host that does not want to be woken")
		}
		d.say("resume")
		d.listen(30)
		d.set(deskPush, true)
		d.listen(20)
		d.set(deskPush, false)
		d.listen(20)
		if d.on["Button 1"] != 0 || count(d.seen, "Button 1=1") == 0 {
			d.t.Errorf("after the sleep: %s", d.seen)
		}
		d.changes()
	}},
}

// press2 presses for 50 ms without a host that listens.
func (d *device) press2(raw int) {
	d.set(raw, true)
	d.say("run 50000")
	d.set(raw, false)
	d.say("run 50000")
}

// expectLast compares the last change.
func (d *device) expectLast(what, want string) {
	d.t.Helper()
	got := ""
	if len(d.seen) > 0 {
		got = d.seen[len(d.seen)-1]
	}
	if got != want {
		d.t.Errorf("%s: %q; want %q (%s)", what, got, want, d.seen)
	}
	d.changes()
}

func (d *device) each(what string, raws ...int) {
	d.t.Helper()
	for i, raw := range raws {
		if d.m.chip == firmware.RP2040 && i%6 != 0 && !long() { // its emulator is slow
			continue
		}
		d.press(raw, 25, 25)
		d.expect(fmt.Sprintf("%s, raw bit %d", what, raw), fmt.Sprintf("Button %d=1 Button %d=0", raw+1, raw+1))
	}
}

func ints(from, n int) []int {
	var out []int
	for i := range n {
		out = append(out, from+i)
	}
	return out
}

func (d *device) lamps() string {
	d.t.Helper()
	d.listen(25)
	got := d.say("lines expander1")[0]
	v, err := strconv.ParseUint(strings.TrimPrefix(got, "lines "), 16, 16)
	if err != nil {
		d.t.Fatal(got)
	}
	return fmt.Sprintf("%08b", v>>8) // the last lamp first
}

var wallScenarios = []scenario{
	{"a matrix", func(d *device) { d.each("matrix", ints(wallMatrix, 16)...) }},
	{"three corners of a matrix", func(d *device) {
		for _, raw := range []int{0, 1, 4} { // the fourth would be 5
			d.set(raw, true)
			d.listen(15)
		}
		d.expect("with diodes, three are three", "Button 1=1 Button 2=1 Button 5=1")
		for _, raw := range []int{0, 1, 4} {
			d.set(raw, false)
			d.listen(15)
		}
		d.changes()
	}},
	{"a whole matrix", func(d *device) {
		for raw := range 16 {
			d.set(raw, true)
		}
		d.listen(30)
		for raw := range 16 {
			if d.on[fmt.Sprintf("Button %d", raw+1)] != 1 {
				d.t.Errorf("button %d is not held", raw+1)
			}
			d.set(raw, false)
		}
		d.listen(30)
		d.changes()
	}},
	{"a chain", func(d *device) { d.each("chain", ints(wallChain, 16)...) }},
	{"a rotary switch of four positions", func(d *device) {
		d.set(wallChain, true)
		d.listen(25)
		for k := 1; k < 4; k++ { // it opens one contact before it closes the next
			d.set(wallChain+k-1, false)
			d.say("run 2000")
			d.set(wallChain+k, true)
			d.listen(25)
		}
		d.set(wallChain+3, false)
		d.listen(25)
		d.expect("through all of them", "Button 17=1 Button 17=0 Button 18=1 Button 18=0 Button 19=1 Button 19=0 Button 20=1 Button 20=0")
	}},
	{"two expanders", func(d *device) {
		d.each("first expander", ints(wallFirst+4, 12)...)
		d.each("second expander", ints(wallSecond, 8)...)
	}},
	{"a hat", func(d *device) {
		up, right, down, left := wallFirst, wallFirst+1, wallFirst+2, wallFirst+3
		for _, c := range []struct {
			want string
			raws []int
		}{{"0", []int{up}}, {"1", []int{up, right}}, {"2", []int{right}}, {"3", []int{right, down}}, {"4", []int{down}}, {"5", []int{down, left}}, {"6", []int{left}}, {"7", []int{left, up}}, {"-1", []int{up, down}}} {
			for _, raw := range c.raws {
				d.set(raw, true)
			}
			d.listen(25)
			if got := fmt.Sprint(d.on["Hat switch"]); got != c.want {
				d.t.Errorf("%v: the hat is %s; want %s", c.raws, got, c.want)
			}
			for _, raw := range c.raws {
				d.set(raw, false)
			}
			d.listen(25)
			if d.on["Hat switch"] != -1 {
				d.t.Errorf("let go: %d", d.on["Hat switch"])
			}
		}
		d.changes()
	}},
	{"a ladder", func(d *device) {
		d.each("ladder", ints(wallLadder, 3)...)
		d.set(wallLadder, true)
		d.listen(25)
		d.set(wallLadder+2, true)
		d.listen(25)
		d.set(wallLadder+2, false)
		d.listen(25)
		got := d.changes()
		if strings.Count(got, "Button 65=1") != 1 || strings.Count(got, "Button 67=1") != 1 || !strings.HasSuffix(got, "Button 67=0") {
			d.t.Errorf("from step to step: %s", got)
		}
	}},
	{"two slides on a multiplexer", func(d *device) {
		for _, c := range [][4]int64{{0, 0, -512, -512}, {65535, 0, 512, -512}, {65535, 65535, 512, 512}, {0, 65535, -512, 512}, {32768, 33500, 0, 0}} {
			d.say(d.w.Voltage(0, int(c[0])), d.w.Voltage(1, int(c[1])))
			d.listen(120)
			if d.on["X"] != c[2] || d.on["Y"] != c[3] {
				d.t.Errorf("%d, %d: the slides are at %d, %d", c[0], c[1], d.on["X"], d.on["Y"])
			}
		}
		d.changes()
		d.listen(300)
		d.expect("at rest", "")
	}},
	{"lamps on an expander", func(d *device) {
		is := func(what, want string) {
			d.t.Helper()
			if got := d.lamps(); got != want {
				d.t.Errorf("%s: %s; want %s", what, got, want)
			}
		}
		if d.lamps()[5] == '1' {
			d.press(1, 20, 20) // it was pressed an odd number of times before
		}
		is("at rest: the steady one, and the host's inverted one", "00100001")
		d.set(0, true)
		is("one follows", "00100011")
		d.set(0, false)
		d.press(1, 20, 20)
		is("one flips", "00100101")
		d.press(1, 20, 20)
		is("and back", "00100001")
		d.control(Setup{0x21, 9, 0x0203, 0, 2}, 3, 7)
		is("the host's", "00011001")
		d.say(fmt.Sprintf("out %d 0300", epLamps))
		is("the host's", "00100001")
		d.set(wallChain, true)
		is("one follows a chain", "01100001")
		d.set(wallSecond, true)
		is("one follows an expander", "11100001")
		d.set(wallChain, false)
		d.set(wallSecond, false)
		is("at rest", "00100001")
		d.changes()
	}},
	{"an expander that comes loose", func(d *device) {
		d.set(wallFirst+8, true)
		d.set(wallSecond, true)
		d.listen(30)
		d.changes()
		d.say("absent expander0 1")
		d.listen(40)
		d.expect("its contacts count as open", "Button 41=0")
		if m := d.identity().Missing; m != 1 {
			d.t.Errorf("missing: %08b", m)
		}
		d.each("the other one", wallSecond+3)
		d.say("absent expander0 0")
		d.listen(40)
		d.expect("back again", "Button 41=1")
		if m := d.identity().Missing; m != 0 {
			d.t.Errorf("missing: %08b", m)
		}
		d.say("absent expander1 1")
		d.listen(40)
		d.say("absent expander1 0")
		if got := d.lamps(); got != "10100001" {
			d.t.Errorf("lamps after the second one came back: %s", got)
		}
		d.set(wallFirst+8, false)
		d.set(wallSecond, false)
		d.listen(40)
		if d.on["Button 41"]+d.on["Button 49"] != 0 {
			d.t.Errorf("at rest: %s", d.seen)
		}
		d.changes()
	}},
}

// TestDesk and TestWall do all scenarios, one after the other, on every back end.
func TestDesk(t *testing.T) {
	t.Parallel()
	play(t, desk, deskScenarios)
}

func TestWall(t *testing.T) {
	t.Parallel()
	play(t, wall, wallScenarios)
}

func play(t *testing.T, panel func(testing.TB, firmware.Chip) *fixture, list []scenario) {
	each(t, func(t *testing.T, m maker) {
		d := plugged(t, m, panel(t, m.chip))
		for _, s := range list {
			t.Run(s.name, func(t *testing.T) {
				d.t = t
				s.do(d)
				d.listen(10)
				d.expect("at rest", "")
			})
		}
		d.t = t
		d.clean()
	})
}

// TestHeldAtStart starts panels with toggles on: no pulses, and the host is told.
func TestHeldAtStart(t *testing.T) {
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		d := boot(t, m, desk(t, m.chip), func(d *device) {
			d.set(deskHeld, true)
			d.set(deskPulse, true)
			d.set(deskGesture, true)
			d.set(deskNC, true)
		})
		d.enumerate()
		d.listen(100)
		d.expect("after the start", "Button 3=1 Dial=5")
		d.clean()
	})
}

// TestWallAtStart starts with contacts held that are read slowly, and with an expander that comes later.
func TestWallAtStart(t *testing.T) {
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		d := boot(t, m, wall(t, m.chip), func(d *device) {
			for _, raw := range []int{2, wallChain + 3, wallFirst + 9, wallSecond + 2} {
				d.set(raw, true)
			}
			d.say("absent expander1 1")
		})
		d.enumerate()
		d.listen(150)
		d.changes()
		for button, want := range map[int]int64{3: 1, wallChain + 4: 1, wallFirst + 10: 1, wallSecond + 3: 0} {
			if got := d.on[fmt.Sprintf("Button %d", button)]; got != want {
				t.Errorf("button %d is %d; want %d", button, got, want)
			}
		}
		if m := d.identity().Missing; m != 2 {
			t.Errorf("missing: %08b", m)
		}
		d.say("absent expander1 0")
		d.listen(50)
		d.expect("it is plugged in", fmt.Sprintf("Button %d=1", wallSecond+3))
		d.clean()
	})
}
