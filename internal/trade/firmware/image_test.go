package firmware

import (
	"bytes"
	"encoding/hex"
	"flag"
	"os"
	"strings"
	"testing"

	core "knobwright/firmware"

	"knobwright/examples"
	"knobwright/internal/image"
)

var update = flag.Bool("update", false, "write the golden texts anew; then read the difference")

// golden is a desk with everything that an image can be asked of; its pins are settled, so that the text hangs on nothing else.
func golden() string {
	return desk(pico,
		"go: part: push-22mm-lit, sends: {press: button 1, shifted: key ctrl+f5}", "alt: part: push-16mm, sends: shift", "copy: part: push-16mm, sends: [key ctrl+c, wait 50 ms, button 9]",
		"fog: part: toggle-mini-2, sends: {up: button 11, down: button 12}", "wind: part: toggle-mini-2, sends: {press: button 13, as: pulse}", "scene: part: encoder-m7-push, sends: {turn: [button 18, key right], press: none}",
		"dial: part: encoder-m7, sends: {turn: axis dial, range: [0, 10], wrap: yes}", "house: part: pot-16mm, sends: {press: axis x, reverse: yes, middle: 50 %, dead: 2 %}",
		"cue: part: push-16mm, sends: {press: button 20, long: button 21, double: key a, bounce: stable}", "fog-lamp: part: lamp-5mm, sends: follows fog", "pc: part: lamp-5mm, sends: host 2",
	) + `wiring:
  by: direct
  pins: {go: GP0, go/lamp: GP1, alt: GP2, copy: GP3, fog: GP4, wind: GP5, scene/a: GP6, scene/b: GP7, scene/push: GP8, dial/a: GP9, dial/b: GP10, house: GP26, cue: GP11, fog-lamp: GP12, pc: GP13}
usb: {vendor: 0x1234, product: 0x0002, name: Golden desk, maker: the workshop}
`
}

// What an image says of itself.
func TestExplainGolden(t *testing.T) {
	r, _ := worked(golden())
	e, err := Explain(r.Image.Data)
	if err != nil {
		t.Fatalf("%v\n%s", err, heads(r.Findings))
	}
	if e.Serial != r.Device.Serial {
		t.Errorf("serial %s, %s", e.Serial, r.Device.Serial)
	}
	e.Serial, e.Checksum = "-", "-" // they hang on every byte
	got := e.Text()
	const file = "testdata/golden.txt"
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s\nwant:\n%s", got, want)
	}
}

// The same panel gives the same bytes; another gives another serial number.
func TestSameBytes(t *testing.T) {
	src := desk(pico, "a: part: push-16mm", "b: part: encoder-m7")
	one, _ := worked(src)
	two, _ := worked(src)
	if !bytes.Equal(one.Image.Data, two.Image.Data) || one.Image.Data == nil {
		t.Error("the same panel, two images")
	}
	other, _ := worked(desk(pico, "a: part: push-16mm", "b: part: encoder-m7", "c: part: push-16mm"))
	if other.Device.Serial == one.Device.Serial || len(one.Device.Serial) != 8 {
		t.Errorf("serials %s and %s", one.Device.Serial, other.Device.Serial)
	}
}

// The table lies where the core looks for it, in both files, and only there.
func TestImagePlaces(t *testing.T) {
	r, _ := worked(desk(pico, "a: part: push-16mm"))
	u, err := image.ReadUF2(r.Image.Data)
	if err != nil {
		t.Fatal(err)
	}
	if ps := u.Check(image.FlashRP2040); len(ps) > 0 {
		t.Errorf("%v", ps)
	}
	m, err := u.Image(image.RP2040)
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := m.At(0x1000F000, len(r.Bytes)); !ok || !bytes.Equal(got, r.Bytes) {
		t.Error("the table is not at 0x1000F000 of the UF2 file")
	}
	if c, ok := core.Core(core.RP2040); !ok {
		t.Error("there is no core")
	} else if got, ok := m.At(0x10000000, len(c)); !ok || !bytes.Equal(got, c) {
		t.Error("the core is not at 0x10000000 of the UF2 file")
	}
	r, _ = worked(desk("atmega32u4-24pin", "a: part: push-16mm", "p: part: pot-16mm"))
	if !strings.HasSuffix(r.Image.Name, ".hex") {
		t.Fatalf("%s\n%s", r.Image.Name, heads(r.Findings))
	}
	h, err := image.ReadHEX(r.Image.Data)
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := h.Image.At(0x6000, len(r.Bytes)); !ok || !bytes.Equal(got, r.Bytes) {
		t.Error("the table is not at 0x6000 of the HEX file")
	}
	if c, ok := core.Core(core.ATmega32U4); !ok {
		t.Error("there is no core")
	} else if got, ok := h.Image.At(0, len(c)); !ok || !bytes.Equal(got, c) {
		t.Error("the core is not at 0 of the HEX file")
	}
	if _, hi, _ := h.Image.Span(); hi >= 0x7000 {
		t.Errorf("0x%X lies in the boot loader", hi)
	}
	if r.Table.Axes[0].AtHi != 1023 {
		t.Errorf("a converter of 10 bits gives %d", r.Table.Axes[0].AtHi)
	}
	if e, err := Explain(r.Image.Data); err != nil || e.Format != "Intel HEX" || e.Chip != "ATmega32U4" {
		t.Errorf("%+v %v", e, err)
	}
}

// Descriptors byte for byte, against the layouts of USB 2.0, tables 9-8, 9-10, 9-12, 9-13, and HID 1.11, 6.2.1, written out by hand.
func TestDescriptors(t *testing.T) {
	r, _ := worked(desk(pico, "a: part: push-16mm") + "usb: {vendor: 0x1234, product: 0xABCD, name: Ab, maker: ÿ}\n")
	d := r.Device
	if got := hex.EncodeToString(d.Device); got != "120100020000004034"+"12cdab0001010203"+"01" {
		t.Errorf("device %s", got)
	}
	n, b := len(r.Interfaces[0].Descriptor), len(r.Interfaces[1].Descriptor)
	want := "0902" + "3b00" + "02" + "01" + "00" + "a0" + hex.EncodeToString([]byte{byte(d.MilliAmp / 2)}) +
		"0904" + "00" + "00" + "01" + "030000" + "00" + "0921" + "1101" + "00" + "01" + "22" + hex.EncodeToString([]byte{byte(n), 0}) + "0705" + "81" + "03" + "4000" + "01" +
		"0904" + "01" + "00" + "01" + "030000" + "00" + "0921" + "1101" + "00" + "01" + "22" + hex.EncodeToString([]byte{byte(b), 0}) + "0705" + "82" + "03" + "4000" + "0a"
	if got := hex.EncodeToString(d.Configuration); got != want {
		t.Errorf("configuration\n%s\n%s", got, want)
	}
	if got := hex.EncodeToString(stringDescriptor("Ab")); got != "060341006200" {
		t.Errorf("string %s", got)
	}
	if s := stringDescriptor(fit(strings.Repeat("😀", 200))); len(s) > 254 || int(s[0]) != len(s) {
		t.Errorf("a string of %d bytes says %d", len(s), s[0])
	}
	if d.MilliAmp < 100 || d.MilliAmp > 500 {
		t.Errorf("%d mA", d.MilliAmp)
	}
}

func TestShorten(t *testing.T) {
	for in, want := range map[string]string{
		"Cue desk for a travelling puppet theatre": "Cue desk for a travelling", "Signal desk of a garden railway": "Signal desk of a garden railway",
		"Projector strip for a small planetarium": "Projector strip for a small", "Tide clock for a harbour model of the old town": "Tide clock for a harbour model", "": "",
		strings.Repeat("x", 50): strings.Repeat("x", 31), "Desk for the observatories of the north": "Desk for the observatories",
	} {
		if got := shorten(in, 31); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// What is no image, or a broken one, is told in a sentence.
func TestBrokenImages(t *testing.T) {
	r, _ := worked(desk(pico, "a: part: push-16mm"))
	good := r.Image.Data
	for _, c := range []struct {
		what string
		file []byte
		says string
	}{
		{"nothing", nil, "neither"}, {"text", []byte("hello"), "neither"}, {"spaces", []byte("   \n"), "neither"}, {"half a block", good[:700], "the file ends"},
		{"a hex without a table", []byte(":0400000001020304F2\n:00000001FF\n"), "no table"},
		{"a hex that breaks off", []byte(":04000000010203"), "line"},
	} {
		_, err := Explain(c.file)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.what, err, c.says)
		}
	}
	bad := bytes.Clone(good)
	u, err := image.ReadUF2(good)
	if err != nil {
		t.Fatal(err)
	}
	for i, b := range u.Blocks {
		if b.Addr == 0x1000F000 {
			bad[512*i+32+40] ^= 1
		}
	}
	if _, err := Explain(bad); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("a flipped bit: %v", err)
	}
	twice := r.Table
	twice.Extra = append(twice.Extra[:len(twice.Extra):len(twice.Extra)], twice.Extra[0])
	if b, err := twice.Bytes(); err != nil {
		t.Fatal(err)
	} else if _, err := Read(b); err == nil || !strings.Contains(err.Error(), "twice") {
		t.Errorf("a section twice: %v", err)
	}
	// a table for the other chip
	wrong := r.Table
	wrong.Chip = core.ATmega32U4
	b, err := wrong.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	m, _ := image.Place(image.Piece{Name: "table", Addr: 0x1000F000, Data: b})
	other, _ := image.WriteUF2(m, image.UF2Options{Family: image.RP2040, Sector: 4096})
	if _, err := Explain(other); err == nil || !strings.Contains(err.Error(), "ATmega32U4") {
		t.Errorf("a table for the other chip: %v", err)
	}
}

// Whatever the bytes, a table is read or refused, and told without a panic.
func FuzzRead(f *testing.F) {
	for _, name := range []string{"cue-desk", "tide-clock"} {
		r, _ := worked(string(examples.File(name)))
		f.Add(r.Bytes)
	}
	f.Add([]byte("KWT1"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) >= 20 {
			b = bytes.Clone(b)
			n := le16(b, 12)
			if n >= 8 && n <= len(b) { // a right checksum lets the rest be tried
				core.Seal(b[:n])
			}
		}
		p, err := Read(b)
		if err != nil {
			return
		}
		_ = ExplainTable(p).Text()
	})
}

func FuzzExplain(f *testing.F) {
	r, _ := worked(desk(pico, "a: part: push-16mm"))
	f.Add(r.Image.Data)
	r, _ = worked(desk("atmega32u4-24pin", "a: part: push-16mm"))
	f.Add(r.Image.Data)
	f.Fuzz(func(t *testing.T, b []byte) {
		e, err := Explain(b)
		if err == nil && e.Text() == "" {
			t.Error("nothing is said")
		}
	})
}
