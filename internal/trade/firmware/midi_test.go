package firmware

import (
	"fmt"
	"strings"
	"testing"

	core "knobwright/firmware"
	"knobwright/internal/hid"
)

// organ sends MIDI in all the ways that the file knows, beside a button and keys of a keyboard of its own.
func organ(module string) string {
	return desk(
		module, "go: part: push-16mm, sends: button 1", "fog: part: push-16mm, sends: {note: C4, velocity: 100, channel: 2}", "bell: part: push-16mm, sends: note 62",
		"scene: part: push-16mm, sends: program 5", "hold: part: push-16mm, sends: control 64", "save: part: push-16mm, sends: key ctrl+s",
		"level: part: pot-16mm, sends: {control: 7, reverse: yes}", "pan: part: encoder-m7, sends: {turn: control 10}", "jog: part: encoder-m7, sends: {turn: control 60, mode: relative, channel: 16}",
		"step: part: encoder-m7, sends: {turn: [note 70, key ctrl+z]}", "mood: part: rotary-6way, sends: {as: axis, press: axis dial}", "bank: part: rotary-6way, sends: control 20",
		"way: part: toggle-mini-3, sends: {as: three, middle: note 48}",
	) + "usb: {boot-keyboard: yes}\n"
}

// hear gives what came, all in one line.
func hear(t *testing.T, h *host, ms int) string {
	t.Helper()
	got, err := h.p.Hear(ms)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, p := range got {
		out = append(out, p.String())
	}
	return strings.Join(out, " ")
}

// TestMIDIOnTheSimulatedPanel: each control gives exactly the packets of its line in the mapping table.
func TestMIDIOnTheSimulatedPanel(t *testing.T) {
	r, _ := worked(organ(pico))
	if r.Bytes == nil {
		t.Fatal(heads(r.Findings))
	}
	c, err := hid.ParseConfiguration(r.Device.Configuration)
	if err != nil || len(c.Interfaces) != 5 || c.Interfaces[1].Protocol != hid.ProtocolKeyboard || c.Interfaces[3].Subclass != hid.SubclassStreaming {
		t.Fatalf("%v, %+v", err, c)
	}
	p := plug(t, r)
	defer p.Close()
	h := &host{t: t, p: p, on: map[string]int64{}}
	hear(t, h, 200)
	raw := func(name string, k int) int {
		t.Helper()
		return row(t, r, name).Raw[k]
	}
	press := func(name string, on bool) {
		t.Helper()
		if ok, err := p.Press(raw(name, 0), on); !ok || err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	const controls, keys, midi = 1, 2, 4
	is := func(what, want string) {
		t.Helper()
		if got := hear(t, h, 60); got != want {
			t.Errorf("%s: %q; want %q", what, got, want)
		}
	}
	at := func(end int, s string) string { return fmt.Sprintf("%d:%s", end, s) }
	for _, c := range []struct{ name, down, up string }{
		{"fog", "09913C64", "08813C40"}, {"bell", "09903E7F", "08803E40"}, {"scene", "0CC00500", ""}, {"hold", "0BB0407F", "0BB04000"},
	} {
		press(c.name, true)
		is(c.name, at(midi, c.down))
		press(c.name, false)
		want := ""
		if c.up != "" {
			want = at(midi, c.up)
		}
		is(c.name+" let go", want)
	}
	press("go", true)
	is("a button goes its own way", at(controls, "010100"))
	press("go", false)
	is("and back", at(controls, "010000"))
	press("save", true)
	is("a shortcut on the keyboard", at(keys, "01000004"+strings.Repeat("00", 11)))
	press("save", false)
	hear(t, h, 60)
	for _, c := range []struct {
		value int
		want  string
	}{{65535, "00"}, {0, "7F"}} {
		if _, err := p.Slide(0, c.value); err != nil {
			t.Fatal(err)
		}
		if got := hear(t, h, 150); !strings.HasSuffix(got, "0BB007"+c.want) {
			t.Errorf("the pot at %d: %q", c.value, got)
		}
	}
	turn := func(name string, quarters int) string {
		t.Helper()
		state := 0
		x := row(t, r, name)
		if _, err := p.Turn(x.Raw[1], x.Raw[0], &state, quarters, 1000); err != nil {
			t.Fatal(err)
		}
		return hear(t, h, 150)
	}
	if got := turn("pan", 8); !strings.HasSuffix(got, at(midi, "0BB00A41")) {
		t.Errorf("two clicks of an absolute control: %q", got)
	}
	if got := turn("jog", 4); got != at(midi, "0BBF3C01") {
		t.Errorf("a click of a relative one: %q", got)
	}
	if got := turn("jog", -4); got != at(midi, "0BBF3C7F") {
		t.Errorf("and back: %q", got)
	}
	if got := turn("step/right", 4); got != at(midi, "0990467F")+" "+at(midi, "08804640") {
		t.Errorf("a note at each click: %q", got)
	}
	if got := turn("step/right", -4); got != at(keys, "0100000002"+strings.Repeat("00", 10))+" "+at(keys, strings.Repeat("00", 15)) {
		t.Errorf("a shortcut at each click: %q", got)
	}
	for k, v := range []string{"00", "01", "02", "03", "04", "05"} {
		x := row(t, r, "mood")
		for i, b := range x.Raw {
			if _, err := p.Press(b, i == k); err != nil {
				t.Fatal(err)
			}
		}
		if got := hear(t, h, 60); k > 0 && got != at(controls, "0100"+v) {
			t.Errorf("position %d: %q", k+1, got)
		}
	}
	for k, v := range []string{"00", "19", "33", "4C", "66", "7F"} { // 127 over six positions
		x := row(t, r, "bank")
		for i, b := range x.Raw {
			if _, err := p.Press(b, i == k); err != nil {
				t.Fatal(err)
			}
		}
		if got := hear(t, h, 60); k > 0 && got != at(midi, "0BB014"+v) {
			t.Errorf("position %d: %q", k+1, got)
		}
	}
	press("way/up", true)
	if got := hear(t, h, 60); !strings.Contains(got, at(midi, "08803040")) || !strings.Contains(got, at(controls, "01")) {
		t.Errorf("from the middle up: %q", got)
	}
	press("way/up", false)
	if got := hear(t, h, 60); !strings.Contains(got, at(midi, "0990307F")) {
		t.Errorf("back to the middle: %q", got)
	}
}

// The lines of the mapping table say which message comes.
func TestMIDIRows(t *testing.T) {
	r, _ := worked(organ(pico))
	for name, want := range map[string]string{
		"fog": "91 3C 64|sounds while held: C4", "bell": "90 3E 7F|sounds while held: D4", "scene": "C0 05|at each press", "hold": "B0 40 7F|value 127 while held, then 0",
		"level": "B0 07 nn|0 to 127, reversed", "pan": "B0 0A nn|0 to 127, stops at its ends, 1 a click", "jog": "BF 3C nn|relative, 1 a click", "step/right": "90 46 7F|pulse of 20 ms each click",
		"mood": "|0 to 5 over its 6 positions", "bank": "B0 14 nn|0 to 127 over its 6 positions", "way/middle": "90 30 7F|while no contact is closed", "go": "|held",
	} {
		if x := row(t, r, name); x.MIDI+"|"+x.How != want {
			t.Errorf("%s: %q, %q; want %q", name, x.MIDI, x.How, want)
		}
		if x := row(t, r, name); x.MIDI != "" && x.Place.Width > 0 {
			t.Errorf("%s stands in a report: %+v", name, x.Place)
		}
	}
	for _, f := range r.Findings {
		if f.Severity.String() == "stop" || f.Severity.String() == "warning" {
			t.Errorf("%s %s", f.Rule, f.Head)
		}
	}
	e, err := Explain(r.Image.Data)
	if err != nil {
		t.Fatal(err)
	}
	text := e.Text()
	for _, want := range []string{
		"FOG: note 60 (C4) velocity 100 of MIDI, channel 2", "SCENE: program 5 of MIDI, channel 1", "LEVEL: control 7 of MIDI", "PAN: control 10 of MIDI", "JOG: control 60 of MIDI, channel 16, relative",
		"MOOD: axis Dial, by position 0, 1, 2, 3, 4, 5.", "BANK: control 20 of MIDI, channel 1, by position 0, 25, 51, 76, 102, 127.", "WAY middle: note 48 (C3) of MIDI, channel 1 while none",
		"A keyboard in an interface of its own", "A MIDI device beside it: 10 notes, controls and programs.", "SAVE: ",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}

// A panel that sends MIDI alone has no interface of controls, and is whole all the same; on either chip.
func TestMIDIAlone(t *testing.T) {
	for _, module := range []string{pico, "atmega32u4-24pin"} {
		r, _ := worked(desk(module, "a: part: push-16mm, sends: note 60", "p: part: pot-16mm, sends: control 7", "l: part: lamp-5mm, sends: follows a"))
		if r.Bytes == nil || !r.MIDI || len(r.Interfaces) != 1 || len(r.Image.Data) == 0 {
			t.Fatalf("%s: %d interfaces\n%s", module, len(r.Interfaces), heads(r.Findings))
		}
		p := plug(t, r)
		h := &host{t: t, p: p, on: map[string]int64{}}
		hear(t, h, 200)
		for _, on := range []bool{true, false} {
			if _, err := p.Press(row(t, r, "a").Raw[0], on); err != nil {
				t.Fatal(err)
			}
			want := map[bool]string{true: "3:09903C7F", false: "3:08803C40"}[on]
			if got := hear(t, h, 40); got != want {
				t.Errorf("%s: %q; want %q", module, got, want)
			}
		}
		if err := p.Close(); err != nil {
			t.Error(err)
		}
	}
}

// More than the chip has room for is said, and no image is made.
func TestTooManyNotes(t *testing.T) {
	var list []string
	for i := range 40 {
		list = append(list, fmt.Sprintf("n%d: part: push-16mm, sends: note %d", i, i))
	}
	r, _ := worked(desk("atmega32u4-24pin", list...) + "wiring: {by: expander}\n")
	if c := chipOf(core.ATmega32U4); c.Events >= 40 {
		t.Skipf("SKIPPED: that chip has room for %d", c.Events)
	}
	if r.Bytes != nil || !strings.Contains(heads(r.Findings), "40 notes, controls and programs; the firmware of the ATmega32U4 has room for 32") {
		t.Errorf("%s", heads(r.Findings))
	}
}
