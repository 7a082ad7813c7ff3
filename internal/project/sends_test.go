package project_test

import (
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
	"pgregory.net/rapid"

	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// asked reads a value of sends:.
func asked(t testing.TB, text string) (project.Asked, []yamlfile.Problem) {
	t.Helper()
	doc := project.Read("x.yaml", []byte("knobwright: 1\ncontrols:\n  a: {sends: "+text+"}\n"))
	c, ok := doc.File.Controls.Map["a"]
	if !ok || c.Sends.Node == nil {
		t.Fatalf("%s is not read: %v", text, doc.Findings)
	}
	return project.ReadSends(c.Sends, "x.yaml", "controls.a.sends")
}

func TestDeeds(t *testing.T) {
	for text, want := range map[string]string{
		"button": "button", "button 5": "button 5", "Button  5": "button 5", "button 128": "button 128", "key a": "key a", "key ctrl+shift+f5": "key ctrl+shift+f5",
		"key ctrl + s": "key ctrl+s", "key altgr+e": "key right-alt+e", "key shift": "key shift", "key keypad-plus": "key keypad-plus", "key control+ctrl+a": "key ctrl+a",
		"consumer volume-up": "consumer volume-up", "consumer volume up": "consumer volume-up", "system sleep": "system sleep", "axis": "axis", "axis slider": "axis slider",
		"hat": "hat", "hat up": "hat up", "hat 2 left": "hat 2 left", "note 60": "note 60", "note 60 channel 2 velocity 100": "note 60 channel 2 velocity 100",
		"note 0": "note 0", "note C4": "note 60", "note f#3 velocity 1": "note 54 velocity 1", "note Bb2 channel 16": "note 46 channel 16", "note C-1": "note 0", "note G9": "note 127", "note B3": "note 59", "program 5": "program 5", "program 0 channel 3": "program 0 channel 3", "control 7 value 64": "control 7 value 64", "shift": "shift", "none": "none", "steady": "steady", "follows itself": "follows itself",
		"follows fog": "follows fog", "flips curtain/up": "flips curtain/up", "host": "host", "host 3": "host 3", "wait 50 ms": "wait 50 ms", "wait 0.5 s": "wait 500 ms",
	} {
		d, slip := project.ParseDeed(text)
		if slip != nil || d.String() != want {
			t.Errorf("%q: %q, %+v; want %q", text, d.String(), slip, want)
			continue
		}
		if again, slip := project.ParseDeed(d.String()); slip != nil || again.String() != want {
			t.Errorf("%q told back as %q is not understood: %+v", text, d.String(), slip)
		}
	}
}

// Usage numbers of some keys, from the HID Usage Tables.
func TestUsages(t *testing.T) {
	for text, want := range map[string]uint16{
		"key a": 0x04, "key z": 0x1D, "key 1": 0x1E, "key 0": 0x27, "key enter": 0x28, "key f1": 0x3A, "key f12": 0x45, "key f13": 0x68, "key f24": 0x73, "key up": 0x52,
		"key keypad-1": 0x59, "key keypad-0": 0x62, "consumer volume-up": 0xE9, "consumer mute": 0xE2, "consumer play-pause": 0xCD, "system sleep": 0x82,
	} {
		if d, slip := project.ParseDeed(text); slip != nil || d.Usage != want {
			t.Errorf("%s: 0x%X, want 0x%X", text, d.Usage, want)
		}
	}
	if d, _ := project.ParseDeed("key right-gui+left-ctrl+a"); d.Mask != 0x81 {
		t.Errorf("modifiers 0x%X", d.Mask)
	}
}

// What cannot be understood is told with what was probably meant.
func TestSlips(t *testing.T) {
	for text, want := range map[string]string{
		"buton 5": "button 5", "5": "button 5", "key contrl+s": "key control+s", "key escpae": "key escape", "consumer volum-up": "consumer volume-up", "consmer mute": "consumer mute",
		"axis slide": "axis slider", "hat upp": "hat up", "f5": "key f5", "volume-up": "consumer volume-up", "shift now": "shift", "key ctrl++": "key ctrl+keypad-plus",
	} {
		d, slip := project.ParseDeed(text)
		if slip == nil || slip.Better != want {
			t.Errorf("%q: %+v %+v; want %q", text, d, slip, want)
		}
	}
	for _, text := range []string{
		"", "  ", "button 0", "button 129", "button x", "button 1 2", "key", "key a+b", "key ¤", "consumer", "consumer 5", "axis 7", "hat 5", "hat 0", "hat sideways", "note", "note 128",
		"note 60 channel", "note 60 channel 17", "note 60 channel 0", "note 60 pitch 3", "note 60 velocity 0", "note 60 value 3", "note G#9", "note Cb-1", "note H4", "note C", "program", "program 128", "program 5 value 3", "program C4", "control C4", "control 200", "wait", "wait 0 ms", "wait 1 min", "wait 1e9 s", "wait NaN s", "text hello", "type hello",
	} {
		if d, slip := project.ParseDeed(text); slip == nil || slip.Say == "" || !d.Zero() {
			t.Errorf("%q is taken: %+v", text, d)
		}
	}
}

func TestReadSends(t *testing.T) {
	a, ps := asked(t, "{turn: [button 2, key ctrl+z], press: button 4, pulse: 30 ms, gap: 0.01 s, shifted: button 9, long: [key a, wait 50 ms, key b], up: button 7, bounce: stable}")
	if len(ps) > 0 {
		t.Fatalf("%+v", ps)
	}
	if len(a.Turns) != 2 || a.Turns[0].Number != 2 || a.Turns[1].String() != "key ctrl+z" || a.Main.Number != 4 || a.PulseMS != 30 || a.GapMS != 10 ||
		len(a.Second) != 1 || a.Second[0].Deed.Number != 9 || a.Longer.String() != "key a, wait 50 ms, key b" || len(a.Places) != 1 || a.Places[0].Name != "up" || a.Bounce != "stable" {
		t.Errorf("%+v", a)
	}
	if p := a.Places[0].Pos; p.Line != 3 || p.Column < 20 {
		t.Errorf("up stands at %+v", p)
	}
	if p := a.Turns[1].Pos; p.Line != 3 || a.Turns[1].Path != "controls.a.sends.turn.1" {
		t.Errorf("%+v %s", p, a.Turns[1].Path)
	}
	a, ps = asked(t, "axis slider")
	if len(ps) > 0 || a.Main.Kind != project.AxisDeed || a.Main.Name != "slider" || a.Main.Path != "controls.a.sends" {
		t.Errorf("%+v %+v", a.Main, ps)
	}
	a, ps = asked(t, "{turn: axis x, step: -2, wrap: yes, mode: relative, range: [0, 99], start: 5}")
	if len(ps) > 0 || len(a.Turns) != 1 || a.Step != -2 || !a.Wrap || a.Mode != "relative" || a.Range[1] != 99 || *a.Start != 5 {
		t.Errorf("%+v %+v", a, ps)
	}
	a, ps = asked(t, "{press: axis x, low: 2 %, high: 0.97, middle: 50 %, dead: 3 %, filter: 4, reverse: yes}")
	if len(ps) > 0 || a.LowPart != 0.02 || a.HighPart != 0.97 || a.MiddlePart != 0.5 || a.DeadPart != 0.03 || *a.Filter != 4 || !a.Reverse || len(a.Places) > 0 {
		t.Errorf("%+v %+v", a, ps)
	}
	a, ps = asked(t, "{up: button 1, middle: button 2, down: button 3, shifted: {up: button 4, press: button 5}}")
	if len(ps) > 0 || len(a.Places) != 3 || a.Places[1].Name != "middle" || a.MiddlePart >= 0 || len(a.Second) != 2 || a.Second[1].Name != "" {
		t.Errorf("%+v %+v", a, ps)
	}
	a, ps = asked(t, "{note: F#3, channel: 2, velocity: 90}")
	if len(ps) > 0 || a.Main.Kind != project.Note || a.Main.Number != 54 || a.Main.Channel != 2 || a.Main.Value != 90 || a.Main.Path != "controls.a.sends.note" {
		t.Errorf("%+v %+v", a.Main, ps)
	}
	a, ps = asked(t, "{up: note 60, down: note 62 channel 4, shifted: {up: control 7 value 10}, long: [program 3, wait 50 ms, note 1], channel: 3}")
	if len(ps) > 0 || a.Places[0].Deed.Channel != 3 || a.Places[1].Deed.Channel != 4 || a.Second[0].Deed.Channel != 3 || a.Second[0].Deed.Value != 10 || a.Longer.Steps[2].Channel != 3 {
		t.Errorf("%+v %+v", a, ps)
	}
	a, ps = asked(t, "{turn: control 7, mode: relative}")
	if len(ps) > 0 || len(a.Turns) != 1 || a.Turns[0].Kind != project.MIDIControl || a.Turns[0].Channel != 1 {
		t.Errorf("%+v %+v", a, ps)
	}
	a, ps = asked(t, "{control: 0, value: 0}")
	if len(ps) > 0 || a.Main.Kind != project.MIDIControl || a.Main.Number != 0 || a.Main.Value != 0 {
		t.Errorf("%+v %+v", a.Main, ps)
	}
	if a, ps = asked(t, "[key a, key b]"); len(ps) > 0 || a.Main.Kind != project.Macro {
		t.Errorf("%+v %+v", a, ps)
	}
	for text, want := range map[string]string{
		"{turn: [button 2]}": "send.bad-value", "{pulse: 3 min}": "send.bad-value", "{filter: 9}": "send.bad-value", "{low: 130 %}": "send.bad-value", "wait 5 ms": "send.bad-value",
		"buton 5": "send.unknown-word", "{turn: [buton 2, button 3]}": "send.unknown-word", "{as: hold}": "file.unknown-word", "{wrap: perhaps}": "file.not-a-yes-or-no",
		"{press: {does: button 1, dose: 2}}": "file.unknown-key", "[axis x]": "send.bad-value", "{note: 128}": "send.bad-value", "{note: H4}": "send.bad-value", "{note: 60, press: key a}": "send.bad-value", "{note: 60, control: 7}": "send.bad-value", "{note: 60, channel: 17}": "send.bad-value",
		"{note: 60, value: 5}": "send.bad-value", "{program: 5, velocity: 5}": "send.bad-value", "{press: key a, channel: 2}": "send.bad-value", "{note: 60, velocity: 0}": "send.bad-value", "{control: x}": "send.bad-value", "[" + strings.Repeat("key a, ", 16) + "key b]": "send.bad-value",
	} {
		_, ps := asked(t, text)
		if len(ps) != 1 || ps[0].Rule != want || ps[0].Pos.Line != 3 || ps[0].Say == "" {
			t.Errorf("%s: %+v; want %s", text, ps, want)
		}
	}
}

// The fix of a slip, written into the file, mends it.
func TestSlipFixes(t *testing.T) {
	src := "knobwright: 1\ncontrols:\n  a: {sends: {turn: [buton 2, button 3], press: key contrl+s}}\n"
	for range 2 {
		doc := project.Read("x.yaml", []byte(src))
		_, ps := project.ReadSends(doc.File.Controls.Get("a").Sends, "x.yaml", "controls.a.sends")
		if len(ps) == 0 || len(ps[0].Fixes) != 1 {
			t.Fatalf("%+v", ps)
		}
		out, err := doc.Apply(ps[0].Fixes[0].Edits)
		if err != nil {
			t.Fatal(err)
		}
		src = string(out)
	}
	if want := "knobwright: 1\ncontrols:\n  a: {sends: {turn: [button 2, button 3], press: key control+s}}\n"; src != want {
		t.Errorf("%s", src)
	}
}

// Whatever is understood, is told back in words that are understood the same way.
func TestDeedsToldBack(t *testing.T) {
	words := []string{"button", "key", "consumer", "hat", "note", "axis", "a", "f5", "ctrl+b", "shift", "5", "60", "channel", "2", "velocity", "up", "mute", "host", "follows", "wait", "ms", "slider", "system", "sleep"}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 1, 5).Draw(t, "words"), " ")
		d, slip := project.ParseDeed(text)
		if (slip == nil) == d.Zero() {
			t.Fatalf("%q: %+v, %+v", text, d, slip)
		}
		if slip != nil {
			if slip.Better != "" {
				if _, again := project.ParseDeed(slip.Better); again != nil {
					t.Fatalf("%q: %q is proposed, and not understood either", text, slip.Better)
				}
			}
			return
		}
		again, slip := project.ParseDeed(d.String())
		if slip != nil || again.String() != d.String() || again.Usage != d.Usage || again.Mask != d.Mask || again.Number != d.Number {
			t.Fatalf("%q told back as %q: %+v %+v", text, d, again, slip)
		}
	})
}

func FuzzReadSends(f *testing.F) {
	for _, s := range []string{
		"button 5", "{turn: [button 2, button 3], press: button 4}", "[key ctrl+c, wait 50 ms]", "{middle: 50 %}", "{shifted: {up: x}}", "&a {b: *a}", "{range: [1, 2], <<: {a: b}}",
		"{turn: {both: [a]}}", "{1: button 1, up: {steps: [key a]}}", "{press: }", "{shifted: [note 3, note 4]}",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, src string) {
		if d, slip := project.ParseDeed(src); (slip == nil) == d.Zero() || slip != nil && slip.Say == "" {
			t.Errorf("%q: %+v %+v", src, d, slip)
		}
		var n yaml.Node
		if yaml.Unmarshal([]byte(src), &n) != nil || len(n.Content) == 0 || deep(&n, 0) {
			return
		}
		_, ps := project.ReadSends(yamlfile.Any{Node: n.Content[0]}, "x.yaml", "controls.a.sends")
		for _, p := range ps {
			if p.Rule == "" || p.Say == "" {
				t.Errorf("%q: %+v", src, p)
			}
		}
	})
}

// deep reports whether a tree has aliases or is deeper than a file's reader lets through.
func deep(n *yaml.Node, level int) bool {
	if level > 40 || n.Kind == yaml.AliasNode {
		return true
	}
	for _, c := range n.Content {
		if deep(c, level+1) {
			return true
		}
	}
	return false
}
