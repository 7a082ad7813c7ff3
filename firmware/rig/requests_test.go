package rig

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"strings"
	"testing"
)

// state is how far the host has come before a request.
type state int

const (
	fresh      state = iota // after a bus reset, at address 0
	addressed               // has an address, not configured
	configured              // the usual
	refused                 // configured, with a table that is refused
	composed                // configured, with a table of five interfaces: controls, a boot keyboard, audio control, MIDI, the bench
)

// request is a line of the table of requests: what the host does, and what must come of it. Sources: USB 2.0, chapter 9; HID 1.11,
// chapter 7; the bench's reports are our own.
type request struct {
	name  string
	state state
	do    func(d *device) string // gives what came
	want  string                 // "data N" stands for N bytes
}

// ctl does a transfer and gives kind and length, or kind and bytes when there are at most four of them.
func ctl(t, r uint8, value, index, length uint16, data ...byte) func(*device) string {
	return func(d *device) string {
		a := d.control(Setup{t, r, value, index, length}, data...)
		if a.Kind == "data" && len(a.Data) > 4 {
			return fmt.Sprintf("data %d", len(a.Data))
		}
		return a.String()
	}
}

// then does several, and gives the last answer; the ones before must not be refused.
func then(steps ...func(*device) string) func(*device) string {
	return func(d *device) string {
		var got string
		for i, s := range steps {
			got = s(d)
			if i < len(steps)-1 && (got == "stall" || got == "timeout") {
				return fmt.Sprintf("step %d: %s", i+1, got)
			}
		}
		return got
	}
}

func line(format string, args ...any) func(*device) string {
	text := fmt.Sprintf(format, args...)
	return func(d *device) string { return d.say(text)[0] }
}

// same compares the whole answer with bytes of the table.
func same(t, r uint8, value, index, length uint16, want func(f *fixture) []byte) func(*device) string {
	return func(d *device) string {
		a := d.control(Setup{t, r, value, index, length})
		if !bytes.Equal(a.Data, want(d.f)) {
			return a.String()
		}
		return "the table's"
	}
}

func device_(f *fixture) []byte       { return f.board.Device }
func configuration(f *fixture) []byte { return f.board.Configuration }
func first(n int, g func(*fixture) []byte) func(*fixture) []byte {
	return func(f *fixture) []byte { return g(f)[:n] }
}

const whole = "the table's"

var requests = []request{
	{"GET_DESCRIPTOR device, 64 bytes asked, address 0", fresh, same(0x80, 6, 0x0100, 0, 64, device_), whole},
	{"GET_DESCRIPTOR device, 8 bytes", fresh, same(0x80, 6, 0x0100, 0, 8, first(8, device_)), whole},
	{"GET_DESCRIPTOR device, 18 bytes", addressed, same(0x80, 6, 0x0100, 0, 18, device_), whole},
	{"GET_DESCRIPTOR device, 65535 bytes asked", addressed, same(0x80, 6, 0x0100, 0, 0xFFFF, device_), whole},
	{"GET_DESCRIPTOR device, index 1", addressed, ctl(0x80, 6, 0x0101, 0, 18), "stall"},
	{"GET_DESCRIPTOR device, language given", addressed, ctl(0x80, 6, 0x0100, 0x0409, 18), "stall"},
	{"GET_DESCRIPTOR configuration, 9 bytes", addressed, same(0x80, 6, 0x0200, 0, 9, first(9, configuration)), whole},
	{"GET_DESCRIPTOR configuration, 64 bytes: one full packet", addressed, same(0x80, 6, 0x0200, 0, 64, first(64, configuration)), whole},
	{"GET_DESCRIPTOR configuration, 65 bytes", addressed, same(0x80, 6, 0x0200, 0, 65, first(65, configuration)), whole},
	{"GET_DESCRIPTOR configuration, whole", addressed, same(0x80, 6, 0x0200, 0, 255, configuration), whole},
	{"GET_DESCRIPTOR configuration, index 1", addressed, ctl(0x80, 6, 0x0201, 0, 9), "stall"},
	{"GET_DESCRIPTOR device qualifier (full speed only)", addressed, ctl(0x80, 6, 0x0600, 0, 10), "stall"},
	{"GET_DESCRIPTOR unknown type", addressed, ctl(0x80, 6, 0x4400, 0, 10), "stall"},
	{"GET_DESCRIPTOR in the wrong direction", addressed, ctl(0x00, 6, 0x0100, 0, 0), "stall"},
	{"GET_DESCRIPTOR string 0: languages", addressed, ctl(0x80, 6, 0x0300, 0, 255), "data 04030904"},
	{"GET_DESCRIPTOR string 1", addressed, same(0x80, 6, 0x0301, 0x0409, 255, func(f *fixture) []byte { return f.board.Strings[1] }), whole},
	{"GET_DESCRIPTOR string 2: exactly a packet, an empty one follows", addressed, same(0x80, 6, 0x0302, 0x0409, 255, func(f *fixture) []byte { return f.board.Strings[2] }), whole},
	{"GET_DESCRIPTOR string 2, 64 bytes asked: none follows", addressed, same(0x80, 6, 0x0302, 0x0409, 64, func(f *fixture) []byte { return f.board.Strings[2] }), whole},
	{"GET_DESCRIPTOR string 3, 2 bytes", addressed, same(0x80, 6, 0x0303, 0x0409, 2, func(f *fixture) []byte { return f.board.Strings[3][:2] }), whole},
	{"GET_DESCRIPTOR string 4: there is none", addressed, ctl(0x80, 6, 0x0304, 0x0409, 255), "stall"},
	{"GET_DESCRIPTOR string 16: out of range", addressed, ctl(0x80, 6, 0x0310, 0x0409, 255), "stall"},
	{"GET_DESCRIPTOR string 238", addressed, ctl(0x80, 6, 0x03EE, 0, 18), "stall"},
	{"GET_DESCRIPTOR HID of interface 0", configured, same(0x81, 6, 0x2100, 0, 9, func(f *fixture) []byte { return f.board.Configuration[18:27] }), whole},
	{"GET_DESCRIPTOR HID, index 1", configured, ctl(0x81, 6, 0x2101, 0, 9), "stall"},
	{"GET_DESCRIPTOR report of interface 0", configured, same(0x81, 6, 0x2200, 0, 255, func(f *fixture) []byte { return f.report }), whole},
	{"GET_DESCRIPTOR report of interface 0, not configured", addressed, same(0x81, 6, 0x2200, 0, 255, func(f *fixture) []byte { return f.report }), whole},
	{"GET_DESCRIPTOR report of interface 1", configured, same(0x81, 6, 0x2200, 1, 255, func(f *fixture) []byte { return f.bench }), whole},
	{"GET_DESCRIPTOR report of interface 2: there is none", configured, ctl(0x81, 6, 0x2200, 2, 255), "stall"},
	{"GET_DESCRIPTOR report, index 1", configured, ctl(0x81, 6, 0x2201, 0, 255), "stall"},
	{"GET_DESCRIPTOR physical: there is none", configured, ctl(0x81, 6, 0x2300, 0, 255), "stall"},
	{"GET_DESCRIPTOR report asked of the device", configured, ctl(0x80, 6, 0x2200, 0, 255), "stall"},
	{"SET_DESCRIPTOR", configured, ctl(0x00, 7, 0x0100, 0, 18, make([]byte, 18)...), "stall"},

	{"SET_ADDRESS 7, then the device answers there", fresh, then(ctl(0x00, 5, 7, 0, 0), line("address 7"), line("run 2000"), ctl(0x80, 6, 0x0100, 0, 18)), "data 18"},
	{"SET_ADDRESS 7, then nothing answers at 0", fresh, func(d *device) string {
		ctl(0x00, 5, 7, 0, 0)(d)
		d.say("run 2000")
		return ctl(0x80, 6, 0x0100, 0, 18)(d)
	}, "timeout"},
	{"SET_ADDRESS 7 ended by another request before its status stage: address 0 stays", fresh, func(d *device) string {
		d.say(fmt.Sprintf("token %X", Setup{0x00, 5, 7, 0, 0}.Bytes()), "run 500")
		ctl(0x80, 6, 0x0100, 0, 18)(d)
		return ctl(0x80, 6, 0x0100, 0, 18)(d)
	}, "data 18"},
	{"SET_ADDRESS 7 ended by a request without data: address 0 stays", fresh, func(d *device) string {
		d.say(fmt.Sprintf("token %X", Setup{0x00, 5, 7, 0, 0}.Bytes()), "run 500")
		ctl(0x00, 9, 0, 0, 0)(d)
		d.say("run 2000")
		return ctl(0x80, 6, 0x0100, 0, 18)(d)
	}, "data 18"},
	{"SET_ADDRESS 128", fresh, ctl(0x00, 5, 128, 0, 0), "stall"},
	{"SET_ADDRESS with data", fresh, ctl(0x00, 5, 7, 0, 1, 0), "stall"},
	{"SET_ADDRESS with an index", fresh, ctl(0x00, 5, 7, 1, 0), "stall"},
	{"SET_ADDRESS asked of an interface", fresh, ctl(0x01, 5, 7, 0, 0), "stall"},

	{"GET_CONFIGURATION, not configured", addressed, ctl(0x80, 8, 0, 0, 1), "data 00"},
	{"GET_CONFIGURATION", configured, ctl(0x80, 8, 0, 0, 1), "data 01"},
	{"GET_CONFIGURATION, 2 bytes", configured, ctl(0x80, 8, 0, 0, 2), "stall"},
	{"GET_CONFIGURATION with a value", configured, ctl(0x80, 8, 1, 0, 1), "stall"},
	{"SET_CONFIGURATION 2: there is none", configured, ctl(0x00, 9, 2, 0, 0), "stall"},
	{"SET_CONFIGURATION 0, then GET_CONFIGURATION", configured, then(ctl(0x00, 9, 0, 0, 0), ctl(0x80, 8, 0, 0, 1)), "data 00"},
	{"SET_CONFIGURATION 257", configured, ctl(0x00, 9, 257, 0, 0), "stall"},
	{"SET_CONFIGURATION with data", configured, ctl(0x00, 9, 1, 0, 1, 0), "stall"},
	{"SET_CONFIGURATION again, then reports come", configured, then(ctl(0x00, 9, 1, 0, 0), pressed, line("in 1")), "data of report 1"},
	{"SET_CONFIGURATION: the host is told how things stand", configured, func(d *device) string {
		ctl(0x00, 9, 1, 0, 0)(d)
		d.raw = nil
		d.listen(10)
		return fmt.Sprintf("%d reports", len(d.raw))
	}, "2 reports"},
	{"IN of a report, not configured", addressed, line("in 1"), "timeout"},

	{"GET_STATUS of the device", configured, ctl(0x80, 0, 0, 0, 2), "data 0000"},
	{"GET_STATUS of the device, not configured", addressed, ctl(0x80, 0, 0, 0, 2), "data 0000"},
	{"GET_STATUS of the device, 1 byte", configured, ctl(0x80, 0, 0, 0, 1), "stall"},
	{"GET_STATUS of the device with an index", configured, ctl(0x80, 0, 0, 1, 2), "stall"},
	{"SET_FEATURE remote wake-up, then GET_STATUS", configured, then(ctl(0x00, 3, 1, 0, 0), ctl(0x80, 0, 0, 0, 2)), "data 0200"},
	{"CLEAR_FEATURE remote wake-up, then GET_STATUS", configured, then(ctl(0x00, 3, 1, 0, 0), ctl(0x00, 1, 1, 0, 0), ctl(0x80, 0, 0, 0, 2)), "data 0000"},
	{"remote wake-up is off after a bus reset", configured, func(d *device) string {
		ctl(0x00, 3, 1, 0, 0)(d)
		d.enumerate()
		return ctl(0x80, 0, 0, 0, 2)(d)
	}, "data 0000"},
	{"SET_FEATURE test mode (full speed only)", configured, ctl(0x00, 3, 2, 0x0100, 0), "stall"},
	{"SET_FEATURE endpoint halt asked of the device", configured, ctl(0x00, 3, 0, 0, 0), "stall"},
	{"GET_STATUS of interface 1", configured, ctl(0x81, 0, 0, 1, 2), "data 0000"},
	{"GET_STATUS of interface 2: there is none", configured, ctl(0x81, 0, 0, 2, 2), "stall"},
	{"GET_STATUS of an interface, not configured", addressed, ctl(0x81, 0, 0, 0, 2), "stall"},
	{"SET_FEATURE of an interface: there is none", configured, ctl(0x01, 3, 0, 0, 0), "stall"},
	{"GET_INTERFACE", configured, ctl(0x81, 10, 0, 0, 1), "data 00"},
	{"GET_INTERFACE, 2 bytes", configured, ctl(0x81, 10, 0, 0, 2), "stall"},
	{"GET_INTERFACE, not configured", addressed, ctl(0x81, 10, 0, 0, 1), "stall"},
	{"GET_INTERFACE of interface 2", configured, ctl(0x81, 10, 0, 2, 1), "stall"},
	{"SET_INTERFACE 0", configured, ctl(0x01, 11, 0, 0, 0), "ack"},
	{"SET_INTERFACE 1: there is none", configured, ctl(0x01, 11, 1, 0, 0), "stall"},
	{"SYNCH_FRAME", configured, ctl(0x82, 12, 0, 0x81, 2), "stall"},

	{"GET_STATUS of endpoint 0", configured, ctl(0x82, 0, 0, 0, 2), "data 0000"},
	{"GET_STATUS of endpoint 0, not configured", addressed, ctl(0x82, 0, 0, 0x80, 2), "data 0000"},
	{"GET_STATUS of endpoint 1 in", configured, ctl(0x82, 0, 0, 0x81, 2), "data 0000"},
	{"GET_STATUS of endpoint 1 in, not configured", addressed, ctl(0x82, 0, 0, 0x81, 2), "stall"},
	{"GET_STATUS of endpoint 1 out: there is none", configured, ctl(0x82, 0, 0, 0x01, 2), "stall"},
	{"GET_STATUS of endpoint 2 out", configured, ctl(0x82, 0, 0, 0x02, 2), "data 0000"},
	{"GET_STATUS of endpoint 5 in: there is none", configured, ctl(0x82, 0, 0, 0x85, 2), "stall"},
	{"GET_STATUS of endpoint 0x91: reserved bits", configured, ctl(0x82, 0, 0, 0x91, 2), "stall"},
	{"GET_STATUS of endpoint 0x0181: reserved bits", configured, ctl(0x82, 0, 0, 0x0181, 2), "stall"},
	{"SET_FEATURE halt of endpoint 1 in, then GET_STATUS", configured, then(ctl(0x02, 3, 0, 0x81, 0), ctl(0x82, 0, 0, 0x81, 2)), "data 0100"},
	{"a halted endpoint refuses", configured, func(d *device) string {
		ctl(0x02, 3, 0, 0x81, 0)(d)
		d.say("run 2000")
		return line("in 1")(d)
	}, "stall"},
	{"a halted endpoint refuses, with a report waiting", configured, func(d *device) string {
		pressed(d)
		ctl(0x02, 3, 0, 0x81, 0)(d)
		d.say("run 2000")
		return line("in 1")(d)
	}, "stall"},
	{"CLEAR_FEATURE halt, then reports come again", configured, func(d *device) string {
		ctl(0x02, 3, 0, 0x81, 0)(d)
		d.say("run 2000", "in 1")
		ctl(0x02, 1, 0, 0x81, 0)(d)
		pressed(d)
		return line("in 1")(d)
	}, "data of report 1"},
	{"a halted OUT endpoint refuses", configured, func(d *device) string {
		ctl(0x02, 3, 0, epLamps, 0)(d)
		d.say("run 2000")
		return line("out %d 0301", epLamps)(d)
	}, "stall"},
	{"CLEAR_FEATURE halt of the OUT endpoint", configured, func(d *device) string {
		ctl(0x02, 3, 0, epLamps, 0)(d)
		d.say("run 2000", fmt.Sprintf("out %d 0301", epLamps))
		ctl(0x02, 1, 0, epLamps, 0)(d)
		d.say("run 2000")
		return line("out %d 0301", epLamps)(d)
	}, "ack"},
	{"SET_CONFIGURATION ends a halt", configured, then(ctl(0x02, 3, 0, 0x81, 0), ctl(0x00, 9, 1, 0, 0), ctl(0x82, 0, 0, 0x81, 2)), "data 0000"},
	{"SET_FEATURE halt of endpoint 0: taken, and without effect", configured, then(ctl(0x02, 3, 0, 0, 0), ctl(0x82, 0, 0, 0, 2)), "data 0000"},
	{"SET_FEATURE 1 of an endpoint: there is none", configured, ctl(0x02, 3, 1, 0x81, 0), "stall"},
	{"SET_FEATURE halt of endpoint 1 in, not configured", addressed, ctl(0x02, 3, 0, 0x81, 0), "stall"},

	{"SET_IDLE 0 of interface 0", configured, ctl(0x21, 10, 0, 0, 0), "ack"},
	{"SET_IDLE 20 ms, then GET_IDLE", configured, then(ctl(0x21, 10, 0x0500, 0, 0), ctl(0xA1, 2, 0, 0, 1)), "data 05"},
	{"SET_IDLE 20 ms: reports come each 20 ms though nothing changes", configured, func(d *device) string {
		ctl(0x21, 10, 0x0500, 0, 0)(d)
		d.listen(8)
		d.raw = nil
		d.listen(200)
		if n := len(d.raw); n < 9 || n > 11 {
			return fmt.Sprintf("%d reports in 200 ms", n)
		}
		return "10 in 200 ms"
	}, "10 in 200 ms"},
	{"SET_IDLE 0: no reports while nothing changes", configured, func(d *device) string {
		ctl(0x21, 10, 0x0500, 0, 0)(d)
		ctl(0x21, 10, 0, 0, 0)(d)
		d.listen(30)
		d.raw = nil
		d.listen(200)
		return fmt.Sprintf("%d in 200 ms", len(d.raw))
	}, "0 in 200 ms"},
	{"the idle rate is 0 after a bus reset", configured, func(d *device) string {
		ctl(0x21, 10, 0x0500, 0, 0)(d)
		d.enumerate()
		return ctl(0xA1, 2, 0, 0, 1)(d)
	}, "data 00"},
	{"SET_IDLE with data", configured, ctl(0x21, 10, 0, 0, 1, 0), "stall"},
	{"SET_IDLE of interface 2: there is none", configured, ctl(0x21, 10, 0, 2, 0), "stall"},
	{"SET_IDLE, not configured", addressed, ctl(0x21, 10, 0, 0, 0), "stall"},
	{"GET_IDLE, 2 bytes", configured, ctl(0xA1, 2, 0, 0, 2), "stall"},
	{"GET_IDLE in the wrong direction", configured, ctl(0x21, 2, 0, 0, 0), "stall"},
	{"GET_PROTOCOL of the boot interface", configured, ctl(0xA1, 3, 0, 0, 1), "data 01"},
	{"SET_PROTOCOL 0, then GET_PROTOCOL", configured, then(ctl(0x21, 11, 0, 0, 0), ctl(0xA1, 3, 0, 0, 1)), "data 00"},
	{"the protocol is 1 after a bus reset", configured, func(d *device) string {
		ctl(0x21, 11, 0, 0, 0)(d)
		d.enumerate()
		return ctl(0xA1, 3, 0, 0, 1)(d)
	}, "data 01"},
	{"SET_PROTOCOL 2", configured, ctl(0x21, 11, 2, 0, 0), "stall"},
	{"SET_PROTOCOL of an interface that has none", configured, ctl(0x21, 11, 1, 1, 0), "stall"},
	{"GET_PROTOCOL of an interface that has none", configured, ctl(0xA1, 3, 0, 1, 1), "stall"},
	{"GET_PROTOCOL, 2 bytes", configured, ctl(0xA1, 3, 0, 0, 2), "stall"},

	{"GET_REPORT input 1", configured, ctl(0xA1, 1, 0x0101, 0, 64), "data 7"},
	{"GET_REPORT input 2", configured, ctl(0xA1, 1, 0x0102, 0, 64), "data 020000"},
	{"GET_REPORT input 1, 3 bytes", configured, func(d *device) string {
		return fmt.Sprint(len(d.control(Setup{0xA1, 1, 0x0101, 0, 3}).Data))
	}, "3"},
	{"GET_REPORT input 9: there is none", configured, ctl(0xA1, 1, 0x0109, 0, 64), "stall"},
	{"GET_REPORT input 0: reports have numbers", configured, ctl(0xA1, 1, 0x0100, 0, 64), "stall"},
	{"GET_REPORT feature of interface 0: there is none", configured, ctl(0xA1, 1, 0x0301, 0, 64), "stall"},
	{"GET_REPORT of no length", configured, ctl(0xA1, 1, 0x0101, 0, 0), "stall"},
	{"GET_REPORT, not configured", addressed, ctl(0xA1, 1, 0x0101, 0, 64), "stall"},
	{"GET_REPORT of interface 2: there is none", configured, ctl(0xA1, 1, 0x0101, 2, 64), "stall"},
	{"GET_REPORT asked of the device", configured, ctl(0xA0, 1, 0x0101, 0, 64), "stall"},
	{"GET_REPORT gives what is pressed", configured, func(d *device) string {
		d.set(deskPush, true)
		d.say("run 10000")
		return fmt.Sprintf("%X", d.control(Setup{0xA1, 1, 0x0101, 0, 64}).Data[:2])
	}, "0101"},
	{"SET_REPORT output 3", configured, ctl(0x21, 9, 0x0203, 0, 2, 3, 1), "ack"},
	{"SET_REPORT output 3, too long", configured, ctl(0x21, 9, 0x0203, 0, 3, 3, 1, 0), "stall"},
	{"SET_REPORT output 3, too short", configured, ctl(0x21, 9, 0x0203, 0, 1, 3), "stall"},
	{"SET_REPORT output 3, another number in the data", configured, ctl(0x21, 9, 0x0203, 0, 2, 4, 1), "stall"},
	{"SET_REPORT output 1: that is an input", configured, ctl(0x21, 9, 0x0201, 0, 2, 1, 1), "stall"},
	{"SET_REPORT input", configured, ctl(0x21, 9, 0x0101, 0, 7, 1, 0, 0, 0, 0, 0, 0), "stall"},
	{"SET_REPORT of no kind", configured, ctl(0x21, 9, 0x0003, 0, 2, 3, 1), "stall"},
	{"SET_REPORT of 200 bytes", configured, ctl(0x21, 9, 0x0203, 0, 200, make([]byte, 200)...), "stall"},
	{"SET_REPORT, not configured", addressed, ctl(0x21, 9, 0x0203, 0, 2, 3, 1), "stall"},
	{"unknown class request", configured, ctl(0x21, 12, 0, 0, 0), "stall"},
	{"vendor request", configured, ctl(0xC0, 1, 0, 0, 8), "stall"},
	{"request of reserved type", configured, ctl(0x60, 1, 0, 0, 0), "stall"},
	{"request to 'other'", configured, ctl(0x83, 0, 0, 0, 2), "stall"},

	{"bench: identity", configured, ctl(0xA1, 1, 0x03F0, 1, 64), "data 21"},
	{"bench: identity has the table's checksum, and no error", configured, func(d *device) string {
		id := d.identity()
		return fmt.Sprint(id.CRC == binary.LittleEndian.Uint32(d.f.raw[4:]), id.Error, id.Chip == d.m.chip)
	}, "true 0 true"},
	{"bench: identity asked of interface 0", configured, ctl(0xA1, 1, 0x03F0, 0, 64), "stall"},
	{"bench: raw bits", configured, func(d *device) string {
		d.set(deskHeld, true)
		d.say("run 10000")
		r := d.control(Setup{0xA1, 1, 0x03F1, 1, 64})
		return fmt.Sprintf("%d bytes, %02X", len(r.Data)-rawBytes(d.m.chip), r.Data[1])
	}, "1 bytes, 02"},
	{"bench: counters", configured, ctl(0xA1, 1, 0x03F3, 1, 64), "data 5"},
	{"bench: command without its letters", configured, ctl(0x21, 9, 0x03F2, 1, 5, 0xF2, 'X', 'W', 'B', 1), "stall"},
	{"bench: unknown command", configured, ctl(0x21, 9, 0x03F2, 1, 5, 0xF2, 'K', 'W', 'B', 9), "stall"},
	{"bench: command of wrong length", configured, ctl(0x21, 9, 0x03F2, 1, 4, 0xF2, 'K', 'W', 'B'), "stall"},

	{"a refusal is over with the next request", configured, func(d *device) string {
		ctl(0x80, 6, 0x4400, 0, 10)(d)
		return ctl(0x80, 6, 0x0100, 0, 18)(d)
	}, "data 18"},
	{"two SETUPs: the second overtakes a read", configured, line("setup2 %X %X", Setup{0x80, 6, 0x0200, 0, 255}.Bytes(), Setup{0x80, 8, 0, 0, 1}.Bytes()), "data 01"},
	{"two SETUPs: the second overtakes a write", configured, line("setup2 %X %X", Setup{0x21, 9, 0x0203, 0, 2}.Bytes(), Setup{0x80, 8, 0, 0, 1}.Bytes()), "data 01"},
	{"two SETUPs: the second overtakes a refusal", configured, line("setup2 %X %X", Setup{0x80, 6, 0x4400, 0, 9}.Bytes(), Setup{0x80, 8, 0, 0, 1}.Bytes()), "data 01"},
	{"two SETUPs: the second is refused", configured, line("setup2 %X %X", Setup{0x80, 8, 0, 0, 1}.Bytes(), Setup{0x80, 6, 0x4400, 0, 9}.Bytes()), "stall"},
	{"a read that the host ends after one packet", configured, func(d *device) string {
		d.say(fmt.Sprintf("token %X", Setup{0x80, 6, 0x0200, 0, 255}.Bytes()), "run 1000", "in 0", "run 1000", "out 0", "run 1000")
		return ctl(0x80, 8, 0, 0, 1)(d)
	}, "data 01"},
	{"a read that the host gives up after one packet", configured, func(d *device) string {
		d.say(fmt.Sprintf("token %X", Setup{0x80, 6, 0x0200, 0, 255}.Bytes()), "run 1000", "in 0", "run 1000")
		return ctl(0x80, 8, 0, 0, 1)(d)
	}, "data 01"},
	{"a bus reset amidst a read, then an enumeration", configured, func(d *device) string {
		d.say(fmt.Sprintf("token %X", Setup{0x80, 6, 0x0200, 0, 255}.Bytes()), "run 1000", "in 0", "run 300")
		d.enumerate()
		return ctl(0x80, 8, 0, 0, 1)(d)
	}, "data 01"},
	{"a bus reset amidst a write, then an enumeration", configured, func(d *device) string {
		d.say(fmt.Sprintf("token %X", Setup{0x21, 9, 0x0203, 0, 2}.Bytes()), "run 300")
		d.enumerate()
		return ctl(0x80, 8, 0, 0, 1)(d)
	}, "data 01"},
	{"a bus reset before the status stage of SET_ADDRESS", fresh, func(d *device) string {
		d.say(fmt.Sprintf("token %X", Setup{0x00, 5, 9, 0, 0}.Bytes()), "run 300", "reset")
		return ctl(0x80, 6, 0x0100, 0, 18)(d)
	}, "data 18"},
	{"three bus resets, then an enumeration", configured, func(d *device) string {
		d.say("reset", "reset", "reset")
		d.enumerate()
		return ctl(0x80, 8, 0, 0, 1)(d)
	}, "data 01"},
	{"a report waits through a bus reset and is not lost", configured, func(d *device) string {
		d.set(deskHeld, true)
		d.say("run 10000")
		d.enumerate()
		d.listen(20)
		return fmt.Sprint(d.on["Button 3"])
	}, "1"},

	{"refused table: device descriptor", refused, ctl(0x80, 6, 0x0100, 0, 18), "data 18"},
	{"refused table: name", refused, ctl(0x80, 6, 0x0302, 0x0409, 255), "data 28"},
	{"refused table: identity", refused, ctl(0xA1, 1, 0x03F0, 0, 64), "data 21"},
	{"refused table: raw bits", refused, ctl(0xA1, 1, 0x03F1, 0, 64), "stall"},
	{"refused table: counters", refused, ctl(0xA1, 1, 0x03F3, 0, 64), "stall"},
	{"refused table: input report", refused, ctl(0xA1, 1, 0x0101, 0, 64), "stall"},
	{"refused table: SET_IDLE", refused, ctl(0x21, 10, 0, 0, 0), "ack"},

	{"five interfaces: configuration, whole", composed, same(0x80, 6, 0x0200, 0, 512, configuration), whole},
	{"five interfaces: report of the keyboard", composed, same(0x81, 6, 0x2200, organKeyboard, 255, func(f *fixture) []byte { return f.board.HID[organKeyboard] }), whole},
	{"five interfaces: report of the bench", composed, same(0x81, 6, 0x2200, organBench, 255, func(f *fixture) []byte { return f.bench }), whole},
	{"five interfaces: report of audio control: there is none", composed, ctl(0x81, 6, 0x2200, organStream-1, 255), "stall"},
	{"five interfaces: HID of MIDI: there is none", composed, ctl(0x81, 6, 0x2100, organStream, 9), "stall"},
	{"five interfaces: report of interface 5: there is none", composed, ctl(0x81, 6, 0x2200, 5, 255), "stall"},
	{"five interfaces: GET_STATUS of MIDI", composed, ctl(0x81, 0, 0, organStream, 2), "data 0000"},
	{"five interfaces: GET_INTERFACE of MIDI", composed, ctl(0x81, 10, 0, organStream, 1), "data 00"},
	{"five interfaces: SET_INTERFACE 0 of MIDI, then events come", composed, then(ctl(0x01, 11, 0, organStream, 0), pressed, line("in %d", organEndIn)), "data 09903C7F"},
	{"five interfaces: SET_INTERFACE 1 of MIDI: there is none", composed, ctl(0x01, 11, 1, organStream, 0), "stall"},
	{"MIDI: GET_STATUS of its IN endpoint", composed, ctl(0x82, 0, 0, 0x80|organEndIn, 2), "data 0000"},
	{"MIDI: GET_STATUS of its OUT endpoint", composed, ctl(0x82, 0, 0, organEndOut, 2), "data 0000"},
	{"MIDI: IN, and nothing has changed", composed, line("in %d", organEndIn), "nak"},
	{"MIDI: IN, not configured", composed, then(ctl(0x00, 9, 0, 0, 0), line("in %d", organEndIn)), "timeout"},
	{"MIDI: OUT is taken", composed, line("out %d 09903C7F", organEndOut), "ack"},
	{"MIDI: a halted endpoint refuses", composed, func(d *device) string {
		ctl(0x02, 3, 0, 0x80|organEndIn, 0)(d)
		d.say("run 2000")
		return line("in %d", organEndIn)(d)
	}, "stall"},
	{"MIDI: CLEAR_FEATURE halt, then events come", composed, func(d *device) string {
		ctl(0x02, 3, 0, 0x80|organEndIn, 0)(d)
		d.say("run 2000", fmt.Sprintf("in %d", organEndIn))
		ctl(0x02, 1, 0, 0x80|organEndIn, 0)(d)
		pressed(d)
		return line("in %d", organEndIn)(d)
	}, "data 09903C7F"},
	{"MIDI: an event waits through a bus reset, and is not told twice", composed, func(d *device) string {
		pressed(d)
		d.enumerate()
		return fmt.Sprint(strings.Count(d.heard(40), "09903C7F"))
	}, "1"},
	{"audio: GET_CUR of the control", composed, ctl(0xA1, 0x81, 0x0100, organStream-1, 1), "stall"},
	{"audio: SET_CUR of the control", composed, ctl(0x21, 0x01, 0x0100, organStream-1, 1, 0), "stall"},
	{"audio: GET_CUR of an endpoint", composed, ctl(0xA2, 0x81, 0x0100, 0x80|organEndIn, 1), "stall"},
	{"audio: SET_IDLE of the control", composed, ctl(0x21, 10, 0, organStream-1, 0), "stall"},
	{"keyboard: GET_PROTOCOL", composed, ctl(0xA1, 3, 0, organKeyboard, 1), "data 01"},
	{"keyboard: SET_PROTOCOL 0, then GET_PROTOCOL", composed, then(ctl(0x21, 11, 0, organKeyboard, 0), ctl(0xA1, 3, 0, organKeyboard, 1)), "data 00"},
	{"keyboard: SET_PROTOCOL 0, then GET_REPORT", composed, then(ctl(0x21, 11, 0, organKeyboard, 0), ctl(0xA1, 1, 0x0100, organKeyboard, 64)), "data 8"},
	{"keyboard: GET_REPORT in the report protocol", composed, ctl(0xA1, 1, 0x0100, organKeyboard, 64), "data 5"},
	{"keyboard: SET_CONFIGURATION brings the report protocol back", composed, then(ctl(0x21, 11, 0, organKeyboard, 0), ctl(0x00, 9, 1, 0, 0), ctl(0xA1, 3, 0, organKeyboard, 1)), "data 01"},
	{"keyboard: SET_PROTOCOL of the controls, which have none", composed, ctl(0x21, 11, 0, organControls, 0), "stall"},
	{"keyboard: SET_REPORT of its lamps", composed, ctl(0x21, 9, 0x0200, organKeyboard, 1, 1), "ack"},
	{"keyboard: SET_REPORT of its lamps, too long", composed, ctl(0x21, 9, 0x0200, organKeyboard, 2, 1, 0), "stall"},
	{"keyboard: SET_REPORT of the controls' lamps asked of it", composed, ctl(0x21, 9, 0x0200|reportLamps, organKeyboard, 2, reportLamps, 1), "stall"},
	{"keyboard: SET_IDLE 20 ms: its reports come each 20 ms, and no others", composed, func(d *device) string {
		d.heard(20)
		ctl(0x21, 10, 0x0500, organKeyboard, 0)(d)
		d.heard(8)
		got := d.heard(200)
		keys := strings.Count(got, fmt.Sprintf("%d:", organEndKeys))
		return fmt.Sprintf("%t, %d others", keys >= 9 && keys <= 11, len(strings.Fields(got))-keys)
	}, "true, 0 others"},
	{"bench of five interfaces: identity", composed, ctl(0xA1, 1, 0x03F0, organBench, 64), "data 21"},
	{"bench of five interfaces: identity asked of MIDI", composed, ctl(0xA1, 1, 0x03F0, organStream, 64), "stall"},
}

// pressed presses a button long enough for its report to be ready.
func pressed(d *device) string {
	d.set(deskPush, true)
	d.say("run 10000")
	return ""
}

// TestRequests does every request of the table on every back end. The results stand in docs/firmware.md, which is compared.
func TestRequests(t *testing.T) {
	t.Parallel()
	results := map[string]map[string]string{} // by request and back end
	each(t, func(t *testing.T, m maker) {
		good := desk(t, m.chip)
		bad := desk(t, m.chip)
		bad.raw[len(bad.raw)-1] ^= 1
		five := organ(t, m.chip)
		d := boot(t, m, good)
		now, failed := good, 0
		for _, r := range requests {
			want := good
			switch r.state {
			case refused:
				want = bad
			case composed:
				want = five
			}
			if want != now {
				now, d.f = want, want
				d.load(now.raw)
			}
			for raw := range 16 {
				d.set(raw, false)
			}
			d.on, d.seen, d.raw = map[string]int64{}, nil, nil
			switch r.state {
			case fresh:
				d.say("reset")
			case addressed:
				d.say("reset")
				if got := ctl(0x00, 5, 5, 0, 0)(d); got != "ack" {
					t.Fatalf("SET_ADDRESS: %s", got)
				}
				d.say("address 5", "run 2000")
			default:
				d.enumerate()
				switch r.state {
				case configured:
					d.listen(12)
				case composed:
					d.heard(12)
				}
			}
			got := r.do(d)
			if strings.HasPrefix(got, "data 01") && strings.HasPrefix(r.want, "data of report 1") {
				got = r.want
			}
			if results[r.name] == nil {
				results[r.name] = map[string]string{}
			}
			results[r.name][m.name] = "as it should"
			if got != r.want {
				failed++
				results[r.name][m.name] = got
				t.Errorf("%s: %s; want %s", r.name, got, r.want)
			}
		}
		d.clean()
		t.Logf("%d requests, %d not as they should be", len(requests), failed)
	})
	if os.Getenv("KNOBWRIGHT_PANEL") == "" {
		document(t, "requests", requestTable(results))
	}
}

// requestTable writes the results for the document: a column for each back end that ran.
func requestTable(results map[string]map[string]string) map[string]string {
	out := map[string]string{}
	for _, m := range makers {
		var b strings.Builder
		ran := false
		for _, r := range requests {
			got, ok := results[r.name][m.name]
			ran = ran || ok
			fmt.Fprintf(&b, "%s\n", got)
		}
		if ran {
			out[m.name] = b.String()
		}
	}
	return out
}
