package rig

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"testing"

	"knobwright/firmware"
)

// TestRefusedTables gives tables that must be refused. Each panel must show itself as the device that says so, by name and by number, and
// take no input.
func TestRefusedTables(t *testing.T) {
	t.Parallel()
	le := func(b []byte, at int, v uint16) { b[at], b[at+1] = byte(v), byte(v>>8) }
	cases := []struct {
		name  string
		err   uint8
		spoil func(b []byte, chip firmware.Chip) []byte
	}{
		{"erased", 1, func(b []byte, _ firmware.Chip) []byte { return bytes.Repeat([]byte{0xFF}, len(b)) }},
		{"zeros", 1, func(b []byte, _ firmware.Chip) []byte { return make([]byte, len(b)) }},
		{"a flipped bit", 5, func(b []byte, _ firmware.Chip) []byte { b[len(b)/2] ^= 0x10; return b }},
		{"its end is missing", 5, func(b []byte, _ firmware.Chip) []byte {
			copy(b[len(b)-40:], bytes.Repeat([]byte{0xFF}, 40))
			return b
		}},
		{"for another chip", 3, func(b []byte, chip firmware.Chip) []byte {
			b[10] = byte(firmware.RP2040)
			if chip == firmware.RP2040 {
				b[10] = byte(firmware.ATmega32U4)
			}
			firmware.Seal(b)
			return b
		}},
		{"a later format", 2, func(b []byte, _ firmware.Chip) []byte { b[8] = 2; firmware.Seal(b); return b }},
		{"a later interface of the core", 2, func(b []byte, _ firmware.Chip) []byte { b[11] = 99; firmware.Seal(b); return b }},
		{"longer than its place", 4, func(b []byte, _ firmware.Chip) []byte { le(b, 12, 0xFFF0); firmware.Seal(b); return b }},
		{"a section that must be known", 6, func(b []byte, _ firmware.Chip) []byte { b[20] = 0xEE; firmware.Seal(b); return b }},
		{"a section twice", 6, func(b []byte, _ firmware.Chip) []byte {
			for i := range int(b[18]) {
				if b[20+6*i] == 0x11 {
					b[20+6*i] = 0x12
				}
			}
			firmware.Seal(b)
			return b
		}},
		{"a string whose bytes take no room", 6, func(b []byte, _ firmware.Chip) []byte {
			for i := range int(b[18]) {
				if b[20+6*i] == 0x12 {
					b[20+6*i+1] = 0
				}
			}
			firmware.Seal(b)
			return b
		}},
		{"a pin that the chip has not", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x30, 1, 0xFA) }},
		{"a contact beyond the last raw bit", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x30, 0, 0xFA) }},
		{"a channel that the chip has not", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x37, 1, 0x1E) }},
		{"an endpoint that the chip has not", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x20, 0, 0x8F) }},
		{"an endpoint too small for its report", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x20, 2, 4) }},
		{"a lamp on a pin that the chip has not", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x3A, 0, 0xFA) }},
		{"a device descriptor of the wrong length", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x01, 0, 17) }},
		{"a descriptor that ends before its kind does", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x02, 18, 8) }},
		{"a configuration of the wrong length", 8, func(b []byte, _ firmware.Chip) []byte { return spoilRecord(b, 0x02, 2, 9) }},
	}
	each(t, func(t *testing.T, m maker) {
		f := desk(t, m.chip)
		d := &device{Back: m.start(t), t: t, m: m, f: f, pins: pinMaps[m.chip].pins}
		var err error
		if d.w, err = d.Wire(f.raw, m.chip); err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			d.set(deskPush, false)
			d.load(c.spoil(bytes.Clone(f.raw), m.chip))
			d.enumerate()
			r := d.control(Setup{0xA1, 1, 0x03F0, 0, 64})
			id, err := ReadIdentity(r.Data)
			if err != nil {
				t.Fatalf("%s: %v", c.name, err)
			}
			if id.Error != c.err || id.Chip != m.chip || id.CRC != 0 {
				t.Errorf("%s: it says %d for chip %d (%v); want %d", c.name, id.Error, id.Chip, id.Refusal(), c.err)
			}
			if r := d.control(Setup{0x80, 6, 0x0302, 0x0409, 255}); !bytes.Equal(r.Data, stringOf("table refused")) {
				t.Errorf("%s: its name: %s", c.name, r)
			}
			d.set(deskPush, true)
			d.say("run 20000")
			if r, err := d.In(1); err != nil || r.Kind != "nak" {
				t.Errorf("%s: an input gave %s, %v", c.name, r, err)
			}
			d.clean()
		}
	})
}

// spoilRecord changes a byte of the first record of a section.
func spoilRecord(b []byte, kind uint8, at int, to byte) []byte {
	for i := range int(b[18]) {
		e := b[20+6*i:]
		if e[0] == kind {
			b[int(e[4])|int(e[5])<<8+at] = to
		}
	}
	firmware.Seal(b)
	return b
}

// TestCommands asks for a restart, and for the boot loader.
func TestCommands(t *testing.T) {
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		d := plugged(t, m, desk(t, m.chip))
		command := func(n byte) {
			if r := d.control(Setup{0x21, 9, 0x03F2, 1, 5}, 0xF2, 'K', 'W', 'B', n); r.Kind != "ack" {
				t.Fatalf("command %d: %s", n, r)
			}
		}
		command(2)
		d.say("run 400000")
		for range 50 {
			if d.flag("attached") {
				break
			}
			d.say("run 10000")
		}
		d.say("run 10000")
		d.enumerate()
		d.listen(60)
		d.seen = nil
		d.press(deskPush, 20, 20)
		d.expect("after a restart", "Button 1=1 Button 1=0")
		if d.flag("loader") {
			t.Error("it is in the boot loader without having been asked")
		}
		command(1)
		d.say("run 400000")
		if !d.flag("loader") {
			t.Error("it has not gone to the boot loader")
		}
		if d.flag("attached") {
			t.Error("it is still on the bus as a panel")
		}
	})
}

// bounces reads the published bounce times, in ms.
func bounces(t *testing.T) map[string]float64 {
	f, err := os.Open("../testdata/bounce.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for i, r := range rows[1:] {
		ms, err := strconv.ParseFloat(r[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		out[fmt.Sprintf("%d: %s, %s", i+1, r[0], r[1])] = ms
	}
	if len(out) < 10 {
		t.Fatalf("%d bounce times", len(out))
	}
	return out
}

// TestBounces replays the published bounce times: one press and one release each. The lockout of the desk is 5 ms, and the times beyond
// it (a worst case of 6.2 ms, and one switch of 157 ms) need a panel that says so: here a lockout of 12 ms, and of 160 ms.
func TestBounces(t *testing.T) {
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		for _, lock := range []int{5, 12, 160} {
			if lock == 160 && m.chip == firmware.RP2040 && !long() { // its emulator is slow
				continue
			}
			d := plugged(t, m, bouncing(t, m.chip, lock))
			for name, bounce := range bounces(t) {
				if bounce >= float64(lock) || lock == 160 && bounce < 12 || lock == 12 && bounce < 5 {
					continue
				}
				const edges = 9
				step := int(bounce*1000) / edges
				for _, to := range []bool{true, false} {
					for i := range edges {
						d.set(deskPush, (i%2 == 0) == to)
						d.say(fmt.Sprintf("run %d", step))
					}
					d.set(deskPush, to)
					d.listen(lock + 20)
				}
				d.expect(name, "Button 1=1 Button 1=0")
			}
		}
	})
}

// bouncing is the desk with a lockout of some ms on its first button; a tick of 1 ms keeps the longest in its byte.
func bouncing(t testing.TB, chip firmware.Chip, lock int) *fixture {
	f := desk(t, chip)
	f.table.Tick = 1000
	f.table.Inputs[0].Debounce = uint8(lock)
	raw, err := f.table.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	f.raw = raw
	return f
}
