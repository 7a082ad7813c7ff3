package hid

import (
	"bytes"
	"encoding/hex"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func unhexed(t *testing.T, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.Join(strings.Fields(s), ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// adapter is the configuration of the standard's example, a plain MIDI adapter. Source: USB Device Class Definition for MIDI Devices 1.0,
// Appendix B, tables B-2 to B-14, as written down from memory.
const adapter = `
	09 02 65 00 02 01 00 80 32
	09 04 00 00 00 01 01 00 00  09 24 01 00 01 09 00 01 01
	09 04 01 00 02 01 03 00 00  07 24 01 00 01 41 00
	06 24 02 01 01 00  06 24 02 02 02 00  09 24 03 01 03 01 02 01 00  09 24 03 02 04 01 01 01 00
	09 05 01 02 40 00 00 00 00  05 25 01 01 01
	09 05 81 02 40 00 00 00 00  05 25 01 01 03`

func TestAdapterOfTheStandard(t *testing.T) {
	want := unhexed(t, adapter)
	c := Configuration{MilliAmp: 100, Interfaces: MIDIInterfaces(0, 1, 1)}
	got, err := c.Bytes()
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%v\n got %X\nwant %X", err, got, want)
	}
	back, err := ParseConfiguration(want)
	if err != nil || len(back.Interfaces) != 2 || len(back.Interfaces[1].Jacks) != 4 || back.Interfaces[1].Endpoints[1].Jacks[0] != 3 {
		t.Errorf("%v, %+v", err, back)
	}
}

// The keyboard of HID 1.11, Appendix E: configuration, interface, HID descriptor with a report descriptor of 63 bytes, endpoint of 8 bytes
// asked each 10 ms.
func TestKeyboardOfTheStandard(t *testing.T) {
	want := unhexed(t, "09 02 22 00 01 01 00 A0 32  09 04 00 00 01 03 01 01 00  09 21 11 01 00 01 22 3F 00  07 05 81 03 08 00 0A")
	c := Configuration{MilliAmp: 100, Wakes: true, Interfaces: []Interface{HIDInterface(0, 63, true, Endpoint{Number: 1, In: true, Size: 8, Interval: 10})}}
	got, err := c.Bytes()
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%v\n got %X\nwant %X", err, got, want)
	}
	if back, err := ParseConfiguration(want); err != nil || !reflect.DeepEqual(back, c) {
		t.Errorf("%v, %+v", err, back)
	}
}

// whole is a device of all kinds of interfaces.
func whole() Configuration {
	c := Configuration{MilliAmp: 250, Wakes: true, Interfaces: []Interface{
		HIDInterface(0, 120, false, Endpoint{Number: 1, In: true, Size: 64, Interval: 1}, Endpoint{Number: 2, Size: 64, Interval: 1}),
		HIDInterface(1, 60, true, Endpoint{Number: 3, In: true, Size: 64, Interval: 1}),
	}}
	c.Interfaces = append(c.Interfaces, MIDIInterfaces(2, 5, 4)...)
	c.Interfaces = append(c.Interfaces, HIDInterface(4, 44, false, Endpoint{Number: 6, In: true, Size: 64, Interval: 10}))
	return c
}

// TestWrongConfigurations breaks a good one at one place after the other.
func TestWrongConfigurations(t *testing.T) {
	for _, c := range []struct {
		name, says string
		edit       func(c *Configuration)
	}{
		{"the same endpoint twice", "stands twice", func(c *Configuration) { c.Interfaces[1].Endpoints[0].Number = 1 }},
		{"endpoint 0", "cannot be", func(c *Configuration) { c.Interfaces[1].Endpoints[0].Number = 0 }},
		{"packets of 65 bytes", "65 bytes", func(c *Configuration) { c.Interfaces[1].Endpoints[0].Size = 65 }},
		{"bulk packets of 60 bytes", "60 bytes", func(c *Configuration) { c.Interfaces[3].Endpoints[0].Size = 60 }},
		{"no interval", "without an interval", func(c *Configuration) { c.Interfaces[0].Endpoints[0].Interval = 0 }},
		{"a jack twice", "jack 1", func(c *Configuration) { c.Interfaces[3].Jacks[1].ID = 1 }},
		{"fed by none", "jack 3 is fed by 9", func(c *Configuration) { c.Interfaces[3].Jacks[2].From[0] = 9 }},
		{"fed by one that takes", "jack 3 is fed by 4", func(c *Configuration) { c.Interfaces[3].Jacks[2].From[0] = 4 }},
		{"an endpoint to an external jack", "leads to jack 2", func(c *Configuration) { c.Interfaces[3].Endpoints[0].Jacks[0] = 2 }},
		{"an endpoint the wrong way", "leads to jack 3", func(c *Configuration) { c.Interfaces[3].Endpoints[0].Jacks[0] = 3 }},
		{"a stream without its control", "0 controls", func(c *Configuration) { c.Interfaces[2].Streams = nil }},
		{"a control of what is not there", "interface 7", func(c *Configuration) { c.Interfaces[2].Streams = []int{3, 7} }},
		{"numbers with a gap", "where 4 belongs", func(c *Configuration) { c.Interfaces[4].Number = 5 }},
		{"a number twice", "stands twice", func(c *Configuration) { c.Interfaces[4].Number = 0 }},
		{"an odd current", "reads back", func(c *Configuration) { c.MilliAmp = 251 }},
	} {
		x := whole()
		c.edit(&x)
		if _, err := x.Bytes(); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	good, err := whole().Bytes()
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.Index(good, []byte{7, 0x24, 1, 0, 1})
	for _, c := range []struct {
		name, says string
		edit       func(b []byte) []byte
	}{
		{"nothing", "no configuration", func([]byte) []byte { return nil }},
		{"cut off", "there are", func(b []byte) []byte { return b[:len(b)-1] }},
		{"an interface less", "4 interfaces", func(b []byte) []byte { b[4] = 4; return b }},
		{"an endpoint less", "1 endpoint", func(b []byte) []byte { b[13] = 1; return b }},
		{"a descriptor of no length", "length of 0", func(b []byte) []byte { b[18] = 0; return b }},
		{"a stream's total", "speaks of", func(b []byte) []byte { b[at+5]++; return b }},
		{"a header twice", "2 headers", func(b []byte) []byte {
			b[at+7+1], b[at+7+2] = 0x24, 1
			b[at+12], b[at+11] = 0, 0
			b[at+7+5] = 0
			return b
		}},
	} {
		b := c.edit(slices.Clone(good))
		_, err := ParseConfiguration(b)
		if c.name == "a header twice" { // the first jack becomes a header that is too short
			c.says = "header"
		}
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Whatever the bytes, reading does not panic; what is read without an error can be written, and reads back the same.
func TestAnyConfiguration(t *testing.T) {
	good, err := whole().Bytes()
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	rapid.Check(t, func(t *rapid.T) {
		b := slices.Clone(good)
		for range rapid.IntRange(0, 3).Draw(t, "changes") {
			b[rapid.IntRange(0, len(b)-1).Draw(t, "at")] = rapid.Byte().Draw(t, "to")
		}
		c, err := ParseConfiguration(b)
		if err != nil {
			return
		}
		read++
		out, err := c.Bytes()
		if err != nil {
			return // what it passes over cannot be written
		}
		if back, err := ParseConfiguration(out); err != nil || !reflect.DeepEqual(back, c) {
			t.Fatalf("%v\n%+v\n%+v", err, back, c)
		}
	})
	if read == 0 {
		t.Error("nothing could be read")
	}
}
