package firmware

import (
	"fmt"
	"strings"
	"testing"
)

// A coded switch is an axis: each of its contacts is a bit of the value.
func TestCodedSwitchIsAnAxis(t *testing.T) {
	for _, c := range []struct {
		sends string
		want  [8]int
	}{
		{"{as: axis}", [8]int{0, 1, 2, 3, 4, 5, 6, 7}},
		{"axis x", [8]int{0, 1, 2, 3, 4, 5, 6, 7}},
		{"{as: axis, reverse: yes}", [8]int{7, 6, 5, 4, 3, 2, 1, 0}},
		{"{as: axis, range: [0, 31]}", [8]int{0, 4, 9, 13, 18, 22, 27, 31}},
		{"{as: axis, range: [0, 255], reverse: yes}", [8]int{255, 219, 182, 146, 109, 73, 36, 0}},
	} {
		r, _ := worked(desk(pico, "r: part: rotary-8way-coded, sends: "+c.sends))
		if s := heads(r.Findings); strings.Contains(s, "stop") {
			t.Fatalf("%s: %s", c.sends, s)
		}
		x := row(t, r, "r")
		if len(x.Raw) != 3 || !strings.HasSuffix(x.How, "over its 8 positions") || x.Place.Width == 0 {
			t.Fatalf("%s: %+v", c.sends, x)
		}
		w := play(t, r)
		w.tick(t, 400)
		for at := range 8 {
			for k, raw := range x.Raw {
				w.set(t, raw, at>>k&1)
			}
			w.tick(t, 100)
			if got := w.on[x.Place.Usage.String()]; int(got) != c.want[at] {
				t.Errorf("%s: position %d gives %d; want %d", c.sends, at, got, c.want[at])
			}
		}
	}
	r, _ := worked(desk(pico, "r: part: rotary-8way-coded, sends: control 7"))
	if m := r.Table.Events; len(m) != 1 || m[0].Width != 7 || len(r.Table.Inputs) != 7 {
		t.Errorf("as a control of MIDI: %+v, %d inputs", m, len(r.Table.Inputs))
	}
	for _, bad := range []string{"{as: axis, range: [1, 8]}", "{as: axis, range: [0, 6]}", "{as: axis, range: [0, 3]}", "{control: 7, range: [0, 255]}"} {
		if r, _ := worked(desk(pico, "r: part: rotary-8way-coded, sends: "+bad)); !strings.Contains(heads(with(r.Findings, "send.cannot")), "cannot go from") {
			t.Errorf("%s: %s", bad, heads(r.Findings))
		}
	}
}

// What a control of MIDI gets of a pot goes from one end of its range to the other.
func TestRangeOfAPotOfMIDI(t *testing.T) {
	r, _ := worked(desk(pico, "p: part: pot-16mm, sends: {control: 7, range: [20, 50]}"))
	if len(with(r.Findings, "send.cannot")) > 0 || len(r.Table.Axes) != 1 || r.Table.Axes[0].AtLo != 20 || r.Table.Axes[0].AtHi != 50 || row(t, r, "p").How != "20 to 50" {
		t.Errorf("%s\n%+v", heads(r.Findings), r.Table.Axes)
	}
}

// A panel that gets no image cannot be built as it is, and that is said as such.
func TestNoImageStops(t *testing.T) {
	for _, c := range []struct{ rule, file string }{
		{"usb.capacity", desk(pico, "a: part: push-16mm, sends: ["+strings.Repeat("key ctrl+shift+a, ", 15)+"key b]", "b: part: push-16mm, sends: ["+strings.Repeat("key ctrl+shift+a, ", 15)+"key b]", "c: part: push-16mm, sends: ["+strings.Repeat("key ctrl+shift+a, ", 15)+"key b]")},
	} {
		r, _ := worked(c.file)
		fs := with(r.Findings, c.rule)
		if r.Image.Data != nil || len(fs) == 0 || fs[0].Severity.String() != "stop" {
			t.Errorf("%s: image of %d bytes, %s", c.rule, len(r.Image.Data), heads(fs))
		}
	}
}

// Names are what strings of USB can be: no ends of lines, no marks that end a text elsewhere.
func TestNamesAreTidy(t *testing.T) {
	r, _ := worked(desk(pico, "a: part: push-16mm") + "usb: {name: \"a\\tb\\nc\\0d  e\", maker: \"\\u0007\"}\n")
	if r.Device.Name != "a b c d e" || r.Device.Maker != "hand-built" {
		t.Errorf("%q %q", r.Device.Name, r.Device.Maker)
	}
	for text, want := range map[string]uint16{"0x1209": 0x1209, "0X4b9": 0x4B9, "0403": 403, "4617": 4617, "65535": 0xFFFF} {
		if n, ok := number16(text); !ok || n != want {
			t.Errorf("%s is 0x%04X; want 0x%04X", text, n, want)
		}
	}
	for _, text := range []string{"65536", "0x10000", "-1", "12a9", "", "0x"} {
		if n, ok := number16(text); ok {
			t.Errorf("%q is taken as %d", text, n)
		}
	}
}

// What explain says of shortcuts, sequences and values below zero.
func TestExplainSays(t *testing.T) {
	r, _ := worked(desk(pico, "b: part: push-16mm, sends: key ctrl+alt+delete", "m: part: push-16mm, sends: [key ctrl+c, wait 50 ms, button 2]",
		"q: part: rotary-12way, sends: {as: axis, range: [-5, 6], reverse: yes}", "c: part: rotary-8way-coded, sends: {as: axis}", "e: part: encoder-m9, sends: {turn: axis dial, reverse: yes}",
		"s: part: push-16mm, sends: shift", "t: part: push-16mm, sends: {press: key ctrl+x, shifted: key y}"))
	e, err := Explain(r.Image.Data)
	if err != nil {
		t.Fatal(err)
	}
	text := e.Text()
	for _, want := range []string{
		"B: Left Control + Left Alt + Delete (", "M: Left Control + Keyboard c, then a wait of 50 ms, then button 2 at each press", "by position 6, 5, 4, 3, 2, 1, 0, -1, -2, -3, -4, -5.",
		"C 1: bit 0 of axis", "C 4: bit 2 of axis", "stops at its ends, reversed (", "T: Left Control + Keyboard x; Keyboard y on the second layer (",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("explain does not say %q:\n%s", want, text)
		}
	}
	one, _ := worked(desk(pico, "b: part: push-16mm"))
	if e, err := Explain(one.Image.Data); err != nil || !strings.Contains(e.Text(), "1 byte: button 1.") {
		t.Errorf("%v\n%s", err, e.Text())
	}
}

// A lamp goes by a note or a control that the computer plays; the panel is a MIDI device for that alone too.
func TestLampsOfMIDI(t *testing.T) {
	r, _ := worked(desk(pico, "l: part: lamp-5mm, sends: note C4", "m: part: lamp-5mm, sends: {control: 7, channel: 3}", "b: part: push-16mm-lit, sends: {press: note C4, lamp: note C4}"))
	if s := heads(r.Findings); strings.Contains(s, "send.") {
		t.Fatal(s)
	}
	if x, y := row(t, r, "l"), row(t, r, "m"); x.How != "lit while the computer plays it: C4" || x.MIDI != "90 3C" || y.MIDI != "B2 07" || x.Place.Width != 0 {
		t.Errorf("%+v\n%+v", x, y)
	}
	e, err := Explain(r.Image.Data)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"L: note 60 (C4) of MIDI, channel 1, from the computer.", "M: control 7 of MIDI, channel 3, from the computer.", "The lamp of B: note 60 (C4) of MIDI"} {
		if !strings.Contains(e.Text(), want) {
			t.Errorf("explain does not say %q:\n%s", want, e.Text())
		}
	}
	w := play(t, r)
	lit := func(event string) string { return strings.TrimPrefix(w.say(t, "hear "+event, "lamps")[0], "lamps ") }
	for _, x := range [][2]string{{"09903C40", "101"}, {"0BB20740", "111"}, {"08803C40", "010"}, {"0BB00700", "010"}, {"0BB2073F", "000"}} {
		if got := lit(x[0]); got != x[1] {
			t.Errorf("%s: lamps %s; want %s", x[0], got, x[1])
		}
	}
	alone, _ := worked(desk("atmega32u4-24pin", "l: part: lamp-5mm, sends: note 0"))
	if !alone.MIDI || len(alone.Table.Events) > 0 || alone.Image.Data == nil || strings.Count(fmt.Sprintf("% X", alone.Device.Configuration), "09 04 ") != 3 {
		t.Errorf("a lamp alone: %v, % X\n%s", alone.MIDI, alone.Device.Configuration, heads(alone.Findings))
	}
	if e, err := Explain(alone.Image.Data); err != nil || !strings.Contains(e.Text(), "A MIDI device beside it, which listens.") {
		t.Errorf("%v\n%s", err, e.Text())
	}
	if r, _ := worked(desk(pico, "l: part: lamp-5mm, sends: program 5")); !strings.Contains(heads(with(r.Findings, "send.cannot")), "program 5 cannot be") {
		t.Error(heads(r.Findings))
	}
}

// The modifier of two shortcuts stays down until both are let go, and one button of two controls until neither holds it.
func TestSharedStaysOn(t *testing.T) {
	r, _ := worked(desk(pico, "a: part: push-16mm, sends: key ctrl+a", "b: part: push-16mm, sends: key ctrl+b", "c: part: push-16mm, sends: button 3", "d: part: push-16mm, sends: button 3", "e: part: push-16mm, sends: key x"))
	w := play(t, r)
	w.tick(t, 400)
	shared := 0
	for _, in := range r.Table.Inputs {
		if in.Shared {
			shared++
		}
	}
	if shared != 4 {
		t.Errorf("%d inputs are marked as shared; both modifiers and both controls of button 3 are", shared)
	}
	do := func(name string, on int, want string) {
		t.Helper()
		if got := w.during(func() { w.set(t, row(t, r, name).Raw[0], on); w.tick(t, 100) }); got != want {
			t.Errorf("%s %d: %q; want %q", name, on, got, want)
		}
	}
	do("a", 1, "Left Control=1 Keyboard a=1")
	do("b", 1, "Keyboard b=1")
	do("a", 0, "Keyboard a=0")
	do("b", 0, "Left Control=0 Keyboard b=0")
	do("c", 1, "Button 3=1")
	do("d", 1, "")
	do("c", 0, "")
	do("d", 0, "Button 3=0")
	if p, err := Read(r.Bytes); err != nil || !sameTable(p.Table, r.Table) {
		t.Errorf("it does not read back: %v", err)
	}
}
