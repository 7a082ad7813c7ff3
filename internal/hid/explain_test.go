package hid

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden explanations anew")

// TestExplain holds explanations against golden files, which were read by eye, and counts their lines against the items.
func TestExplain(t *testing.T) {
	puppets, _, err := Build(
		Joystick{
			ID: 1, Buttons: 37, Hats: 1, Lamps: 9,
			Axes: []Axis{{Usage: X, Max: 4095}, {Usage: Y, Max: 4095}, {Usage: Dial, Min: -127, Max: 127, Flags: Relative}},
		},
		Keyboard{ID: 2, Lamps: true}, Consumer{ID: 3}, System{ID: 4}, Mouse{ID: 5, Buttons: 3, Wheel: true, Pan: true},
		Lamps{ID: 6, Count: 4, Bits: 8},
		Vendor{Reports: []VendorReport{{Kind: Feature, ID: 0xF0, Bytes: 32}, {Kind: Input, ID: 0xF1, Bytes: 8}, {Kind: Output, ID: 0xF1, Bytes: 8}}},
	)
	if err != nil {
		t.Fatal(err)
	}
	for name, desc := range map[string][]byte{
		"theatre":  puppets,
		"stick":    published(t, "joystick_HID111_D1"),
		"keyboard": published(t, "boot_keyboard_E6_printed"),
		"broken":   unhex(t, "05 01 09 04 A1 01 A9 01 09 30 0B 05 00 02 00 A9 00 A4 05 02 09 BB B4 15 00 25 FF 55 0E 65 11 75 08 95 03 81 02 FE 02 33 AA BB 85 00"),
	} {
		got := Explain(desc)
		file := filepath.Join("testdata", "explain_"+name+".txt")
		if *update {
			if err := os.WriteFile(file, []byte(got), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s:\n%s\nwant\n%s", name, got, want)
		}
		items, _ := Items(desc)
		first, _, _ := strings.Cut(got, "\n\n")
		if n := strings.Count(first, "\n") + 1; n != len(items) {
			t.Errorf("%s: %d lines for %d items", name, n, len(items))
		}
	}
}

// TestDeviceLayouts holds the reports of the builders against layouts written down by hand: what the firmware will pack.
func TestDeviceLayouts(t *testing.T) {
	for _, c := range []struct {
		name  string
		part  Part
		bytes map[Kind]int // on the wire
	}{
		{"joystick", Joystick{Buttons: 128, Hats: 4, Axes: []Axis{{Usage: X, Max: 1023, Bits: 10}, {Usage: Y, Max: 1023, Bits: 10}}}, map[Kind]int{Input: 16 + 2 + 3}},
		{"one button", Joystick{ID: 9, Buttons: 1}, map[Kind]int{Input: 1 + 1}},
		{"lamps only beside", Joystick{Buttons: 8, Lamps: 17}, map[Kind]int{Input: 1, Output: 3}},
		{"boot keyboard", BootKeyboard{}, map[Kind]int{Input: 8, Output: 1}},
		{"boot mouse", BootMouse{}, map[Kind]int{Input: 3}},
		{"keyboard", Keyboard{ID: 1, Lamps: true}, map[Kind]int{Input: 1 + 1 + 14, Output: 1 + 1}},
		{"keyboard of ten keys", Keyboard{First: 0x1E, Last: 0x27}, map[Kind]int{Input: 1 + 2}},
		{"media", Consumer{Slots: 3}, map[Kind]int{Input: 6}},
		{"system", System{}, map[Kind]int{Input: 1}},
		{"mouse", Mouse{Buttons: 5, Wheel: true, Pan: true}, map[Kind]int{Input: 5}},
		{"dimmed lamps", Lamps{Count: 5, Bits: 8}, map[Kind]int{Output: 5}},
		{"vendor", Vendor{Reports: []VendorReport{{Kind: Feature, Bytes: 63}}}, map[Kind]int{Feature: 63}},
	} {
		_, d, err := Build(c.part)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(d.Reports) != len(c.bytes) {
			t.Errorf("%s: %d reports, want %d", c.name, len(d.Reports), len(c.bytes))
		}
		for _, r := range d.Reports {
			if r.WireBytes() != c.bytes[r.Kind] {
				t.Errorf("%s: %s of %d bytes, want %d", c.name, r.Kind, r.WireBytes(), c.bytes[r.Kind])
			}
			if r.Bits%8 != 0 {
				t.Errorf("%s: %s ends within a byte", c.name, r.Kind)
			}
		}
		if len(d.Notes) > 0 {
			t.Errorf("%s: %v", c.name, d.Notes)
		}
	}
}

// TestRest: what is not said is at rest: hats at none, arrays empty, axes at 0 or as near as they come.
func TestRest(t *testing.T) {
	_, d, err := Build(Joystick{ID: 1, Buttons: 3, Hats: 2, Axes: []Axis{{Usage: X, Min: 100, Max: 200}, {Usage: Y, Min: -300, Max: -5}}}, System{ID: 2})
	if err != nil {
		t.Fatal(err)
	}
	wire, err := d.Encode(Input, 1, nil)
	if want := "01 00 88 64 FB FF"; err != nil || hexText(wire) != want {
		t.Errorf("%s, %v; want %s", hexText(wire), err, want)
	}
	if wire, err = d.Encode(Input, 2, nil); err != nil || hexText(wire) != "02 00" {
		t.Errorf("%s, %v", hexText(wire), err)
	}
	if wire, err = d.Encode(Input, 2, []Control{{Usage: SystemSleep, Value: 1}}); err != nil || hexText(wire) != "02 02" {
		t.Errorf("%s, %v", hexText(wire), err)
	}
	if _, err = d.Encode(Input, 1, []Control{{Usage: X, Value: 99}}); err == nil {
		t.Error("99 is taken where 100 is the least")
	}
	if _, err = d.Encode(Input, 1, []Control{{Usage: X, Null: true}}); err == nil {
		t.Error("null is taken where there is none")
	}
}

// TestNull: the value that means none lies outside of the range and within the bits, or there is none.
func TestNull(t *testing.T) {
	for _, c := range []struct {
		f    Field
		want int64
		ok   bool
	}{
		{Field{Size: 4, LogicalMin: 0, LogicalMax: 7}, 8, true},
		{Field{Size: 4, LogicalMin: 1, LogicalMax: 8}, 9, true},
		{Field{Size: 3, LogicalMin: 0, LogicalMax: 7}, 0, false},
		{Field{Size: 3, LogicalMin: 1, LogicalMax: 7}, 0, true},
		{Field{Size: 8, LogicalMin: -127, LogicalMax: 127}, -128, true},
		{Field{Size: 8, LogicalMin: -128, LogicalMax: 127}, 0, false},
		{Field{Size: 8, LogicalMin: -128, LogicalMax: -5}, -4, true},
		{Field{Size: 32, LogicalMin: -1 << 31, LogicalMax: 1<<31 - 1}, 0, false},
		{Field{Size: 33, LogicalMax: 1}, 0, false},
		{Field{Size: 8, LogicalMin: 0, LogicalMax: -1}, 0, false},
	} {
		if v, ok := c.f.Null(); v != c.want || ok != c.ok {
			t.Errorf("%d bits, %d to %d: %d, %v; want %d, %v", c.f.Size, c.f.LogicalMin, c.f.LogicalMax, v, ok, c.want, c.ok)
		}
	}
}

func hexText(b []byte) string { return fmt.Sprintf("% X", b) }
