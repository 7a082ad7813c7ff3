package firmware

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/finding"
)

// Every rule speaks where it must, of the control that it is about, and not of the file beside it that is right.
func TestRules(t *testing.T) {
	big := make([]string, 0, 24)
	for i := range 24 {
		big = append(big, fmt.Sprintf("b%d: part: push-16mm, sends: [key ctrl+c, key ctrl+v, key ctrl+x]", i))
	}
	for _, c := range []struct{ rule, file, says string }{
		{"send.unknown-word", desk("", "a: part: push-16mm, sends: buton 5"), "button"},
		{"send.unknown-word", desk("", "a: part: toggle-mini-3, sends: {upp: button 5}"), "no position upp"},
		{"send.unknown-word", desk("", "a: part: push-16mm", "l: part: lamp-5mm, sends: follows b"), "no contact of that name"},
		{"send.bad-value", desk("", "a: part: push-16mm, sends: button 200"), "1 to 128"},
		{"send.bad-value", desk("", "a: part: push-16mm") + "numbers: {a: red}\n", "neither a number"},
		{"send.bad-value", desk(pico, "a: part: push-16mm") + "usb: {tick: 5}\n", "every 5"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: button 5"), "without a push switch"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: {turn: [axis x, axis y]}"), "cannot send axis x"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: {turn: button 5}"), "turns two ways"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: {turn: axis x, range: [5, 5]}"), "from 5 to 5"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: {turn: axis x, step: 300}"), "cannot be 300"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: {turn: axis x, start: 300}"), "start at 300"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: {mode: relative}"), "change nothing"},
		{"send.cannot", desk("", "a: part: pot-16mm, sends: button 5"), "gives a voltage"},
		{"send.cannot", desk(pico, "a: part: pot-16mm, sends: {press: axis, low: 80 %, high: 20 %}"), "reverse: yes"},
		{"send.cannot", desk(pico, "a: part: pot-16mm, sends: {press: axis, middle: 99 %, dead: 3 %}"), "does not lie between"},
		{"send.cannot", desk("", "a: part: lamp-5mm, sends: button 5"), "A lamp sends nothing"},
		{"send.cannot", desk("", "a: part: toggle-mini-3, sends: button 5"), "2 contacts"},
		{"send.cannot", desk("", "a: part: toggle-mini-3, sends: {up: button 5, long: button 6}"), "several contacts"},
		{"send.cannot", desk("", "a: part: toggle-mini-2, sends: {as: three}"), "one contact"},
		{"send.cannot", desk("", "a: part: rotary-6way, sends: hat"), "no direction"},
		{"send.cannot", desk(pico, "a: part: push-16mm, sends: {press: button, as: pulse, shifted: button}", "s: part: push-16mm, sends: shift"), "second layer"},
		{"send.cannot", desk(pico, "a: part: push-16mm, sends: {press: shift, as: pulse}", "b: part: push-16mm, sends: {press: button, shifted: button}"), "as a pulse"},
		{"send.cannot", desk("", "a: part: push-16mm, via: none, sends: button 5"), "not wired"},
		{"send.cannot", desk(pico, "a: part: encoder-m7, adjust: {pulses: 7}"), "quarter"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: {press: button 1, turn: axis x}"), "is no encoder"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: {press: button 1, low: 3 %}"), "gives no voltage"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: {press: button 1, reverse: yes}"), "neither turns nor slides"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: {press: button 1, lamp: steady}"), "has no lamp"},
		{"send.cannot", desk("", "a: part: pot-16mm, sends: {press: axis x, long: button 1}"), "no contact that is pressed"},
		{"send.core", desk("", "a: part: toggle-mini-3, sends: {as: axis}"), "not one contact each"},
		{"send.core", desk("", "a: part: rotary-6way, sends: {as: three}"), "no contact is closed"},
		{"send.core", desk(pico, "s: part: push-16mm, sends: shift", "a: part: push-16mm, sends: {press: button 1, shifted: hat up}"), "second layer"},
		{"send.cannot", desk("", "a: part: toggle-mini-3, sends: {as: three, middle: hat up}"), "in position middle"},
		{"send.cannot", desk("", "a: part: rotary-6way, sends: {as: axis, press: key a}"), "key a is none"},
		{"send.cannot", desk("", "a: part: rotary-6way, sends: {as: axis, \"3\": key a}"), "nothing of their own"},
		{"send.cannot", desk("", "a: part: pot-16mm, sends: note 60"), "wants a contact"},
		{"send.cannot", desk("", "a: part: toggle-mini-3, sends: note 60"), "note 60 is for one"},
		{"send.cannot", desk("", "a: part: encoder-m7, sends: {turn: control 7, range: [0, 200]}"), "0 to 200"},
		{"send.bad-value", desk("", "a: part: push-16mm, sends: note 128"), "0 to 127"},
		{"send.bad-value", desk("", "a: part: push-16mm, sends: {note: 60, channel: 17}"), "1 to 16"},
		{"send.bad-value", desk("", "a: part: push-16mm, sends: program 200"), "0 to 127"},
		{"send.duplicate", desk("", "a: part: push-16mm, sends: note 60", "b: part: push-16mm, sends: note C4"), "send the same: note 60"},
		{"usb.capacity", desk(pico, big...), "steps of all sequences"},
		{"send.duplicate", desk("", "a: part: push-16mm, sends: button 5", "b: part: push-16mm, sends: button 5"), "A and B send the same: button 5"},
		{"send.duplicate", desk("", "a: part: pot-16mm, sends: axis x", "b: part: pot-16mm, sends: axis x"), "one against the other"},
		{"send.duplicate", desk("", "a: part: push-16mm, sends: key a", "b: part: push-16mm, sends: key a"), "key a"},
		{"send.gap", desk("", "a: part: push-16mm, sends: button 3"), "Buttons 1 and 2 send nothing"},
		{"send.unwritten", desk("", "a: part: push-16mm"), "1 button has its number"},
		{"send.kept", desk("", "a: part: push-16mm, sends: button 1") + "numbers: {a: 5}\n", "changes nothing"},
		{"send.many-buttons", desk("", "a: part: push-16mm, sends: button 33"), "number 33"},
		{"send.relative", desk("", "a: part: encoder-m7, sends: {turn: axis dial, mode: relative}"), "relative axis"},
		{"send.shift", desk("", "a: part: push-16mm, sends: shift"), "no control has a second layer"},
		{"send.shift", desk("", "a: part: push-16mm, sends: {press: button, shifted: button}"), "no control is a shift"},
		{"send.steady", desk("", "a: part: lamp-5mm"), "A is lit"},
		{"send.not-driven", desk(pico, "a: part: display-oled-0.96"), "does not drive it"},
		{"usb.id", desk(pico, "a: part: push-16mm") + "usb: {vendor: 0x12345, product: 1}\n", "0x12345"},
		{"usb.id", desk(pico, "a: part: push-16mm") + "usb: {vendor: 0x1209}\n", "none"},
		{"usb.test-id", desk(pico, "a: part: push-16mm"), "0x1209 and 0x0001"},
		{"usb.test-id", desk(pico, "a: part: push-16mm") + "usb: {vendor: 0x1209, product: 1}\n", "are kept for trials"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: axis x"), "on or off"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: hat"), "which way"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: host"), "what a lamp goes by"},
		{"send.cannot", desk("", "a: part: push-16mm-lit, sends: {press: steady}"), "lamp: steady"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: {press: button 1, long: axis x}"), "on or off"},
		{"send.cannot", desk("", "s: part: push-16mm, sends: shift", "a: part: push-16mm, sends: {press: button 1, shifted: axis x}"), "on or off"},
		{"send.cannot", desk("", "a: part: push-16mm, sends: {press: shift, shifted: button 4}"), "would never be sent"},
		{"send.cannot", desk("", "a: part: toggle-mini-3, sends: {up: axis x}"), "on or off"},
		{"send.cannot", desk("", "a: part: encoder-m9-push, sends: {turn: axis x, press: axis y}"), "on or off"},
		{"send.cannot", desk("", "a: part: encoder-m9, sends: {turn: [steady, button 2]}"), "what a lamp goes by"},
		{"send.cannot", desk("", "a: part: joystick-thumb, sends: axis z"), "for one"},
		{"send.cannot", desk("", "a: part: pot-16mm, sends: {control: 7, range: [50, 20]}"), "50 to 20"},
		{"send.cannot", desk("", "a: part: pot-16mm, sends: {press: axis x, range: [0, 20]}"), "range: under its sends: changes nothing"},
		{"send.core", desk("", "s: part: push-16mm, sends: shift", "a: part: toggle-mini-3, sends: {up: button 1, shifted: {middle: button 6}}"), "second layer in position middle"},
		{"send.core", desk("", "a: part: toggle-mini-3, sends: {as: pulse, middle: key c}"), "as a pulse"},
		{"send.core", desk(pico, "a: part: push-16mm, sends: {press: button 1, debounce: 300 ms}"), "counts to 63.75 ms"},
		{"send.core", desk(pico, "a: part: push-16mm, sends: {press: button 1, as: pulse, pulse: 9 s}") + "usb: {tick: 100}\n", "counts to 6553.5 ms"},
		{"send.core", desk(pico, "a: part: push-16mm, sends: [key a, wait 10 s, wait 10 s, key b]"), "a wait of 20020 ms"},
		{"send.unknown-word", desk("", "a: part: pot-16mm, sends: {axis: x}"), "press: axis x"},
		{"send.unknown-word", desk("", "a: part: push-16mm, sends: {button: 5, long: button 6}"), "press: button 5"},
		{"usb.id", desk(pico, "a: part: push-16mm") + "usb: {vendor: 1209, product: 0x0001}\n", "0x04B9"},
		{"usb.name", desk(pico, "a: part: push-16mm") + "usb: {name: The desk of the third projector in the east}\n", "43 characters"},
	} {
		r, doc := worked(c.file)
		fs := with(r.Findings, c.rule)
		for _, f := range fs {
			for _, fix := range f.Fixes {
				out, err := doc.Apply(fix.Edits)
				if err != nil {
					t.Errorf("%s: %s: %v", c.rule, fix.Say, err)
					continue
				}
				if after, _ := worked(string(out)); len(with(after.Findings, c.rule)) >= len(fs) {
					t.Errorf("%s: %q mends nothing:\n%s%s", c.rule, fix.Say, out, heads(with(after.Findings, c.rule)))
				}
			}
		}
		if len(fs) == 0 || !strings.Contains(heads(fs), c.says) {
			t.Errorf("%s, %q: %s\n%s", c.rule, c.says, heads(r.Findings), c.file[strings.Index(c.file, "controls:"):])
			continue
		}
		for _, f := range fs {
			if len(f.Ends) == 0 || f.Head == "" {
				t.Errorf("%s says nothing, or of nothing: %+v", c.rule, f)
			}
		}
		if c.rule == "send.duplicate" && len(fs[0].Ends) != 2 {
			t.Errorf("%+v", fs[0].Ends)
		}
	}
	r, _ := worked(desk(pico, "a: part: push-16mm, sends: button 1", "l: part: lamp-5mm, sends: follows a", "p: part: pot-16mm, sends: {press: axis x, middle: 50 %, dead: 3 %}",
		"e: part: encoder-m7-push, sends: {turn: [button 2, key f13], press: button 3}") + "usb: {vendor: 0x1234, product: 0x5678, name: Right desk, maker: Me}\n")
	for _, f := range r.Findings {
		t.Errorf("said of a file that is right: %s %s", f.Rule, f.Head)
	}
	if r.Device.Vendor != 0x1234 || r.Device.Product != 0x5678 || r.Device.TestID || r.Device.Maker != "Me" || len(r.Bytes) == 0 {
		t.Errorf("%+v", r.Device)
	}
}

// All rules can be found and all are tested above, but for those that a right file and a right tool do not reach.
func TestRulesAreAllTested(t *testing.T) {
	src, err := os.ReadFile("rules_test.go")
	if err != nil {
		t.Fatal(err)
	}
	others := []string{"usb.no-chip", "usb.room", "send.many-axes", "send.too-many"} // below, and in numbers_test.go
	for _, r := range Rules {
		if !strings.Contains(string(src), `{"`+r.Name+`", `) && !slices.Contains(others, r.Name) {
			t.Errorf("%s is not tested", r.Name)
		}
	}
}

func TestRoomAndChip(t *testing.T) {
	var all []string
	for i := range 90 {
		all = append(all, fmt.Sprintf("b%d: part: push-12mm-lit, legend: A LEGEND OF SOME LENGTH %d", i, i))
	}
	r, _ := worked(desk(pico, all...))
	if len(r.Bytes) > 4096 {
		t.Errorf("a table of %d bytes", len(r.Bytes))
	}
	if r.Bytes != nil {
		if p, err := Read(r.Bytes); err != nil || len(p.Names) != 0 && len(r.Bytes) > 4000 {
			t.Errorf("%v %d", err, len(p.Names))
		}
	}
	r, _ = worked(desk("rp2040-40pin", "a: part: push-16mm") + "")
	if r.Chip != "RP2040" {
		t.Errorf("chip %q", r.Chip)
	}
	src := strings.Replace(desk(pico, "a: part: push-16mm"), "module: {part: rp2040-40pin, ", "module: {part: io-expander-16, ", 1)
	if r, _ = worked(src); r.Bytes != nil || r.Chip != "" {
		t.Errorf("an expander is a module: %+v", r.Chip)
	}
}

func TestFindingsNeverPanic(t *testing.T) {
	for _, src := range []string{
		"", "controls: {a: {sends: {}}}", "controls: {a: {part: push-16mm, sends: [[], {}]}}", "controls: {a: {part: encoder-m7, at: [1, 2], sends: {turn: {both: [], axis: x}}}}",
		desk(pico, "a: part: push-16mm, sends: {shifted: {press: {steps: []}}}"), desk(pico, "a: part: joystick-thumb, sends: {x: button 3, y: none, pressed: key a}"),
		desk(pico, "a: part: toggle-mini-2, sends: {up: [key a, key b], down: hat up, as: pulse}"), desk(pico) + "numbers: {a: , b: 0, c: -1}\nusb: {vendor: , name: \"\"}\n",
		desk("atmega32u4-24pin", "a: part: rotary-12way, via: ladder", "b: part: push-16mm, via: ladder", "c: part: push-16mm, via: expander", "d: part: push-16mm, via: shift-in", "e: part: push-16mm, via: matrix"),
	} {
		r, _ := worked(src)
		for _, f := range r.Findings {
			if f.Rule == "" || f.Head == "" || f.Severity > finding.Stop {
				t.Errorf("%+v", f)
			}
		}
	}
}
