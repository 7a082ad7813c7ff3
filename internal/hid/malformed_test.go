package hid

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/witness"
)

// TestMalformed: what cannot be read says where it breaks, and why.
func TestMalformed(t *testing.T) {
	const open = "05 01 09 04 A1 01 " // 6 bytes
	for _, c := range []struct {
		name, hex string
		at        int
		says      string
	}{
		{"cut short", "05 01 09", 2, "0 of 1 bytes"},
		{"cut in four bytes", "05 01 27 01 02 03", 2, "3 of 4 bytes"},
		{"long item cut", "FE 05 10 01", 0, "long item"},
		{"long item prefix only", "FE", 0, "long item"},
		{"reserved type", "0D 00", 0, "reserved type"},
		{"end without begin", "C0", 0, "without Collection"},
		{"never ended", open, 4, "never ended"},
		{"pop without push", "B4", 0, "without Push"},
		{"report number 0", open + "85 00", 6, "1 to 255"},
		{"report number 256", open + "86 00 01", 6, "1 to 255"},
		{"page of 17 bits", "07 00 00 01 00", 0, "16 bits"},
		{"field outside", "75 08 95 01 81 02", 4, "outside of any collection"},
		{"no size", open + "95 01 81 02 C0", 8, "Report Size"},
		{"no count", open + "75 01 81 02 C0", 8, "Report Count"},
		{"usage without page", "09 04 A1 01", 2, "without a Usage Page"},
		{"too long", open + "77 FF FF FF FF 97 FF FF FF FF 81 02 C0", 16, "longer than 65535 bytes"},
		{"numbers begin late", open + "75 08 95 01 81 02 85 01", 12, "either all reports have one or none"},
		{"number popped away", open + "A4 85 01 75 08 95 01 81 02 B4 75 08 95 01 81 02 C0", 20, "without a report number"},
		{"maximum first", open + "29 05", 6, "without a minimum"},
		{"maximum below", open + "19 05 29 04", 8, "below the minimum"},
		{"minimum twice", open + "19 05 19 06", 8, "twice"},
		{"minimum alone", open + "19 05 C0", 6, "without Usage Maximum"},
		{"string minimum alone", open + "89 05 C0", 6, "without String Maximum"},
		{"designator maximum first", open + "59 05", 6, "without a minimum"},
		{"mixed range", open + "19 01 2B 03 00 01 00", 8, "must both carry their page"},
		{"range over pages", open + "1B FF FF 01 00 2B 01 00 02 00 A1 00", 16, "two pages"},
		{"nested delimiters", open + "A9 01 A9 01", 8, "within delimiters"},
		{"delimiter closed first", open + "A9 00", 6, "without an opening one"},
		{"empty delimiters", open + "A9 01 A9 00", 8, "no usage"},
		{"delimiter 2", open + "A9 02", 6, "1 opens, 0 closes"},
		{"delimiter left open", open + "A9 01 09 30 C0", 10, "within delimiters"},
		{"collection 256", "05 01 09 04 A2 00 01", 4, "0 to 255"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := Parse(unhex(t, c.hex))
			var pe *ParseError
			if !errors.As(err, &pe) {
				t.Fatalf("gives %v", err)
			}
			if pe.Offset != c.at || !strings.Contains(pe.Text, c.says) {
				t.Errorf("gives %v, want byte %d and %q", err, c.at, c.says)
			}
			if d == nil {
				t.Error("no descriptor beside the error")
			}
			if text := Explain(unhex(t, c.hex)); !strings.Contains(text, c.says) {
				t.Errorf("the explanation does not say %q:\n%s", c.says, text)
			}
		})
	}
	if _, err := Parse(make([]byte, MaxDescriptor+1)); err == nil {
		t.Error("a descriptor of 65536 bytes is taken")
	}
}

// TestOdd: what hosts bear with is noted, and read all the same.
func TestOdd(t *testing.T) {
	const open = "05 01 09 04 A1 01 "
	for _, c := range []struct{ name, hex, says string }{
		{"maximum written in one byte", open + "09 30 15 00 25 FF 75 08 95 01 81 02 C0", "maximum -1 is below the minimum 0"},
		{"range too wide", open + "09 30 15 00 26 FF 00 75 04 95 01 81 02 C0", "needs more than 4 bits"},
		{"no range", open + "09 30 75 04 95 01 81 02 C0", "no logical range"},
		{"no usage", open + "15 00 25 01 75 01 95 08 81 02 C0", "without a usage"},
		{"too many usages", open + "05 09 19 01 29 08 15 00 25 01 75 01 95 04 81 02 C0", "8 usages for 4 controls"},
		{"no bits", open + "75 01 95 00 81 02 C0", "of no bits"},
		{"top not application", "05 01 09 01 A1 00 C0", "look for Application"},
		{"no usage of collection", "05 01 A1 01 C0", "without a usage"},
		{"long item", "FE 02 33 AA BB", "tag 0x33"},
		{"push left", open + "A4 C0", "1 Push without Pop"},
		{"reserved global", "C5 01", "reserved item 0xC4"},
		{"reserved local", "C9 01", "reserved item 0xC8"},
		{"reserved main", "D1 01", "reserved item 0xD0"},
		{"across five bytes", open + "75 07 95 01 81 01 09 30 15 00 25 7F 75 20 81 02 C0", "more than 4 bytes"},
		{"two tops", open + "85 01 09 30 15 00 25 7F 75 08 95 01 81 02 C0 09 05 A1 01 09 31 81 02 C0", "two outermost collections"},
	} {
		d, err := Parse(unhex(t, c.hex))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		found := false
		for _, n := range d.Notes {
			found = found || strings.Contains(n.Text, c.says)
		}
		if !found {
			t.Errorf("%s: notes %v, want %q", c.name, d.Notes, c.says)
		}
	}
	for _, r := range witness.Table(t, "testdata/hid_descriptors.csv") {
		d, _ := Parse(unhex(t, r["hex"]))
		for _, n := range d.Notes {
			// The kernel's long example has a field of no bits.
			if r["name"] != "composite_5_reports" {
				t.Errorf("%s: byte %d: %s", r["name"], n.Offset, n.Text)
			}
		}
	}
}

// TestLocals reads delimiters, extended usages, designators and strings.
func TestLocals(t *testing.T) {
	d, err := Parse(unhex(t, "05 01 09 04 A1 01 A9 01 09 30 0B 05 00 02 00 09 31 A9 00 09 32 "+
		"39 03 49 04 59 06 79 01 89 02 99 05 15 00 25 7F 75 08 95 02 81 02 C0"))
	if err != nil {
		t.Fatal(err)
	}
	f := d.Reports[0].Fields[0]
	if len(f.Usages) != 2 || f.Usages[0].Min != X || f.Usages[1].Min != Z {
		t.Fatalf("usages %v, want X and Z", f.Usages)
	}
	if a := f.Usages[0].Also; len(a) != 2 || a[0].Min != U(2, 5) || a[1].Min != Y {
		t.Errorf("further meanings %v, want usage 5 of page 2 and Y", a)
	}
	if len(f.Designators) != 2 || f.Designators[0] != (IndexSpan{3, 3}) || f.Designators[1] != (IndexSpan{4, 6}) {
		t.Errorf("designators %v", f.Designators)
	}
	if len(f.Strings) != 2 || f.Strings[0] != (IndexSpan{1, 1}) || f.Strings[1] != (IndexSpan{2, 5}) {
		t.Errorf("strings %v", f.Strings)
	}
	d, err = Parse(unhex(t, "05 01 09 04 A1 01 19 30 29 30 15 00 25 7F 75 08 95 01 81 02 C0"))
	if u := d.Reports; err != nil || len(u) != 1 || u[0].Fields[0].Choices() != 1 {
		t.Errorf("a range of one usage gives %v", err)
	}
	// The page that counts is the one in force at the main item, not at the usage.
	d, err = Parse(unhex(t, "05 01 09 04 A1 01 09 30 05 02 15 00 25 7F 75 08 95 01 81 02 C0"))
	if err != nil || d.Reports[0].Fields[0].Usages[0].Min != U(2, 0x30) {
		t.Errorf("usage %v, %v; want 0x30 of page 2", d.Reports[0].Fields[0].Usages, err)
	}
}

// TestUnits reads unit codes and exponents. The codes are the examples of HID 1.11, 6.2.2.7, from memory.
func TestUnits(t *testing.T) {
	for u, want := range map[Unit]string{
		0: "none", 0x14: "degrees", 0x12: "radians", 0x11: "cm", 0x13: "in", 0x1001: "s", 0xF011: "cm s^-1", 0xE011: "cm s^-2",
		0xE111: "cm g s^-2", 0x01: "unit 0x1", 0x0F: "unit 0xF", 0x100001: "A",
	} {
		if u.String() != want {
			t.Errorf("unit 0x%X is %q, want %q", uint32(u), u, want)
		}
	}
	for data, want := range map[byte]int{0: 0, 7: 7, 8: -8, 0x0F: -1, 0xFE: -2, 0x0E: -2} {
		if got := exponent(Item{Kind: UnitExponent, Data: []byte{data}}); got != want {
			t.Errorf("exponent 0x%02X is %d, want %d", data, got, want)
		}
	}
}

// TestRefused: what builders cannot write is an error.
func TestRefused(t *testing.T) {
	axis := func(a Axis) Part { return Joystick{Axes: []Axis{a}} }
	for name, parts := range map[string][]Part{
		"nothing":             nil,
		"empty joystick":      {Joystick{}},
		"129 buttons":         {Joystick{Buttons: 129}},
		"5 hats":              {Joystick{Hats: 5}},
		"empty range":         {axis(Axis{Usage: X, Min: 3, Max: 3})},
		"too few bits":        {axis(Axis{Usage: X, Max: 256, Bits: 8})},
		"33 bits":             {axis(Axis{Usage: X, Max: 256, Bits: 33})},
		"1025 lamps":          {Lamps{Count: 1025}},
		"no lamps":            {Lamps{}},
		"9 bits of lamp":      {Lamps{Count: 1, Bits: 9}},
		"keys backwards":      {Keyboard{First: 9, Last: 8}},
		"keys into modifiers": {Keyboard{Last: 0xE0}},
		"17 slots":            {Consumer{Slots: 17}},
		"media up to 0x8000":  {Consumer{Last: 0x8000}},
		"9 mouse buttons":     {Mouse{Buttons: 9}},
		"vendor on a page":    {Vendor{Page: 1}},
		"vendor of 0 bytes":   {Vendor{Reports: []VendorReport{{Kind: Feature}}}},
		"vendor collection":   {Vendor{Reports: []VendorReport{{Kind: Collect, Bytes: 1}}}},
		"no numbers":          {BootMouse{}, BootKeyboard{}},
		"half numbers":        {Joystick{ID: 1, Buttons: 8}, BootKeyboard{}},
		"other half numbers":  {BootKeyboard{}, Joystick{ID: 1, Buttons: 8}},
		"same number":         {Joystick{ID: 1, Buttons: 8}, Keyboard{ID: 1}},
	} {
		if desc, _, err := Build(parts...); err == nil {
			t.Errorf("%s: gives % X", name, desc)
		}
	}
	// Reports of different kinds may share a number, whatever collection they are in.
	if _, _, err := Build(Joystick{ID: 1, Buttons: 8}, Lamps{ID: 1, Count: 3}); err != nil {
		t.Errorf("an input and an output of one number: %v", err)
	}
}

// TestRawBytes: whatever the bytes, nothing panics.
func TestRawBytes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		exercise(rt.Fatalf, rapid.SliceOfN(rapid.Byte(), 0, 200).Draw(rt, "bytes"))
	})
}

func FuzzParse(f *testing.F) {
	for _, r := range witness.Table(f, "testdata/hid_descriptors.csv") {
		f.Add(unhex(f, r["hex"]))
	}
	f.Fuzz(func(t *testing.T, desc []byte) { exercise(t.Fatalf, desc) })
}

// exercise reads, explains, decodes and encodes, and checks what must hold for any bytes.
func exercise(fatalf func(string, ...any), desc []byte) {
	items, cut := Items(desc)
	end := len(desc)
	var pe *ParseError
	if errors.As(cut, &pe) {
		end = pe.Offset
	}
	if again, err := Bytes(items); err != nil || string(again) != string(desc[:end]) {
		fatalf("% X: items give % X, %v", desc, again, err)
	}
	d, err := Parse(desc)
	if err != nil && (!errors.As(err, &pe) || pe.Offset < 0 || pe.Offset > len(desc)) {
		fatalf("% X: %v", desc, err)
	}
	if Explain(desc) == "" && len(desc) > 0 {
		fatalf("% X: no explanation", desc)
	}
	for _, r := range d.Reports {
		at := 0
		for i := range r.Fields {
			if f := &r.Fields[i]; f.Offset != at {
				fatalf("% X: field %d begins at bit %d, want %d", desc, i, f.Offset, at)
			}
			at += r.Fields[i].Bits()
		}
		if at != r.Bits {
			fatalf("% X: fields of %d bits in a report of %d", desc, at, r.Bits)
		}
		if err != nil || r.Bytes() > 1000 {
			continue
		}
		wire := make([]byte, r.WireBytes())
		for i := range wire {
			wire[i] = byte(37 * i)
		}
		if r.ID != 0 {
			wire[0] = r.ID
		}
		controls, err := d.Decode(r.Kind, wire)
		if err != nil {
			fatalf("% X: %v", desc, err)
		}
		_, _ = d.Encode(r.Kind, r.ID, controls)
	}
}
