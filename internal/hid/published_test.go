package hid

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/witness"
)

// TestPublishedDescriptors reads every descriptor of the reference table (HID 1.11 appendices, the Linux kernel's documentation, open
// libraries): length, number of items, bits of every report; and writes its items back to the same bytes.
func TestPublishedDescriptors(t *testing.T) {
	for _, r := range witness.Table(t, "testdata/hid_descriptors.csv") {
		t.Run(r["name"], func(t *testing.T) {
			desc := unhex(t, r["hex"])
			if strconv.Itoa(len(desc)) != r["length_bytes"] {
				t.Fatalf("%d bytes, want %s", len(desc), r["length_bytes"])
			}
			d, err := Parse(desc)
			if err != nil {
				t.Fatal(err)
			}
			if strconv.Itoa(len(d.Items)) != r["item_count"] {
				t.Errorf("%d items, want %s", len(d.Items), r["item_count"])
			}
			var got []string
			for _, rep := range d.Reports {
				word := map[Kind]string{Input: "in", Output: "out", Feature: "feat"}[rep.Kind]
				got = append(got, fmt.Sprintf("id%d %s %d bits", rep.ID, word, rep.Bits))
			}
			want := strings.Split(r["report_bits_without_id"], "; ")
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("reports %q, want %q", got, want)
			}
			again, err := Bytes(d.Items)
			if err != nil || !bytes.Equal(again, desc) {
				t.Errorf("the items give % X, %v", again, err)
			}
		})
	}
}

// TestEmitPublished writes published descriptors byte for byte: the two of the standard's appendix by their builders, further ones
// item by item.
func TestEmitPublished(t *testing.T) {
	for _, c := range []struct {
		name string
		part Part
	}{{"boot_mouse_E10_printed", BootMouse{}}, {"boot_keyboard_E6_printed", BootKeyboard{}}} {
		got, _, err := Build(c.part)
		if want := published(t, c.name); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: % X, %v; want % X", c.name, got, err, want)
		}
	}
	steps := map[string]func(b *Builder){
		"mouse_3button_wheel": func(b *Builder) {
			b.Begin(Application, MousePointer)
			b.Begin(Physical, Pointer)
			b.UsageRange(Button(1), Button(3))
			b.Logical(0, 1)
			b.Size(1)
			b.Count(3)
			b.Main(Input, Variable)
			b.Size(5)
			b.Count(1)
			b.Main(Input, Constant)
			for _, u := range []Usage{X, Y, Wheel} {
				b.Usage(u)
			}
			b.Logical(-127, 127)
			b.Size(8)
			b.Count(3)
			b.Main(Input, Variable|Relative)
			b.End()
			b.End()
		},
		"joystick_2axis_8button": func(b *Builder) {
			b.Begin(Application, JoystickUsage)
			b.Begin(Physical, Pointer)
			b.Usage(X)
			b.Usage(Y)
			b.Logical(-127, 127)
			b.Size(8)
			b.Count(2)
			b.Main(Input, Variable)
			b.End()
			b.UsageRange(Button(1), Button(8))
			b.Logical(0, 1)
			b.Size(1)
			b.Count(8)
			b.Main(Input, Variable)
			b.End()
		},
		"consumer_feature_only": func(b *Builder) {
			b.Begin(Application, ConsumerControl)
			b.ID(3)
			b.Usage(U(PageConsumer, 5))
			b.Logical(0, 255)
			b.Size(8)
			b.Count(2)
			b.Main(Feature, Variable)
			b.End()
		},
	}
	for name, write := range steps {
		var b Builder
		write(&b)
		got, _, err := b.Finish()
		if want := published(t, name); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: % X, %v; want % X", name, got, err, want)
		}
	}
}

// TestRecordedReports decodes the reports recorded in the Linux kernel's documentation.
func TestRecordedReports(t *testing.T) {
	n := 0
	for _, r := range witness.Sure(t, "testdata/hid_reports.csv") {
		if r["descriptor"] == "gamepad_HUT_example" {
			continue // a layout, not a record: TestUsageTablesGamePad
		}
		d, err := Parse(published(t, r["descriptor"]))
		if err != nil {
			t.Fatal(err)
		}
		got, err := d.Decode(Input, unhex(t, r["bytes"]))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range got {
			want := int64(0)
			if c.Usage.Page() == PageButton && strings.HasSuffix(r["state"], " down") &&
				strings.Contains(r["state"], strconv.Itoa(int(c.Usage.ID()))) {
				want = 1
			}
			if c.Value != want || c.Null {
				t.Errorf("%s: %s is %d, want %d", r["state"], c.Usage, c.Value, want)
			}
		}
		if len(got) != 6 {
			t.Errorf("%s: %d controls, want 3 buttons and 3 axes", r["state"], len(got))
		}
		again, err := d.Encode(Input, 0, got)
		if err != nil || !bytes.Equal(again, unhex(t, r["bytes"])) {
			t.Errorf("%s: written back as % X, %v", r["state"], again, err)
		}
		n++
	}
	if n < 5 {
		t.Errorf("only %d records", n)
	}
}

// TestUsageTablesGamePad builds the game pad of the HID Usage Tables' example and finds its fields where the figure has them: X and Y
// of two bits, four bits of fill, six buttons, two bits of fill.
func TestUsageTablesGamePad(t *testing.T) {
	var b Builder
	b.Begin(Application, GamePad)
	b.Field(Input, Field{Size: 2, Count: 2, Flags: Variable, LogicalMin: -1, LogicalMax: 1, Usages: []Span{{Min: X, Max: X}, {Min: Y, Max: Y}}})
	b.Fill(Input)
	b.Field(Input, bitmap(Button(1), Button(6)))
	b.Fill(Input)
	b.End()
	_, d, err := b.Finish()
	if err != nil {
		t.Fatal(err)
	}
	r := d.Reports[0]
	var got []string
	for _, f := range r.Fields {
		got = append(got, fmt.Sprintf("%d+%dx%d", f.Offset, f.Count, f.Size))
	}
	if want := "0+2x2 4+1x4 8+6x1 14+1x2"; strings.Join(got, " ") != want || r.Bytes() != 2 {
		t.Errorf("%s in %d bytes, want %s in 2", strings.Join(got, " "), r.Bytes(), want)
	}
	wire, err := d.Encode(Input, 0, []Control{{Usage: X, Value: -1}, {Usage: Y, Value: 1}, {Usage: Button(6), Value: 1}})
	if err != nil || !bytes.Equal(wire, []byte{0b0111, 0b100000}) {
		t.Errorf("%08b, %v", wire, err)
	}
}

// TestBootKeyboardReport decodes arrays: modifiers as bits, keys by number; zeros are no keys; six keys at most.
func TestBootKeyboardReport(t *testing.T) {
	_, d, err := Build(BootKeyboard{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := d.Decode(Input, []byte{0x02, 0, 0x04, 0, 0x1E, 0, 0, 0xFF})
	if err != nil {
		t.Fatal(err)
	}
	var on []string
	for _, c := range got {
		if c.Value != 0 {
			on = append(on, c.Usage.String())
		}
	}
	if want := "Left Shift, Keyboard a, Keyboard 1"; strings.Join(on, ", ") != want {
		t.Errorf("%s, want %s", strings.Join(on, ", "), want)
	}
	var keys []Control
	for i := range 7 {
		keys = append(keys, Control{Usage: U(PageKeyboard, uint16(4+i)), Value: 1})
	}
	if _, err := d.Encode(Input, 0, keys); !errors.Is(err, ErrNoPlace) {
		t.Errorf("seven keys give %v", err)
	}
	wire, err := d.Encode(Input, 0, append(keys[:6:6], Control{Usage: RightGUI, Value: 1}))
	if err != nil || !bytes.Equal(wire, []byte{0x80, 0, 4, 5, 6, 7, 8, 9}) {
		t.Errorf("% X, %v", wire, err)
	}
	if _, err := d.Encode(Input, 0, []Control{{Usage: X}}); !errors.Is(err, ErrNoPlace) {
		t.Errorf("an axis on a keyboard gives %v", err)
	}
	if _, err := d.Encode(Feature, 0, nil); !errors.Is(err, ErrNoReport) {
		t.Errorf("a feature of a keyboard gives %v", err)
	}
	if _, err := d.Decode(Input, []byte{1, 2}); !errors.Is(err, ErrLength) {
		t.Errorf("a short report gives %v", err)
	}
}
