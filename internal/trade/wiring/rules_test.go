package wiring

import (
	"strings"
	"testing"

	"knobwright/internal/finding"
)

// Each case breaks one thing; its finding names both ends, and its first fix, tried out, mends it.
func TestRules(t *testing.T) {
	for _, c := range []struct {
		name, rule, src, head string
		severity              finding.Severity
		ends                  int
		fix                   bool
	}{
		{"no module", "wire.no-module", strings.Replace(desk, "module:", "#", 1) + "controls:\n  go: {part: push-16mm, at: [50, 150]}\n", "There is no module for the 1 lead", finding.Note, 1, true},
		{
			"two on one pin", "wire.pin-taken", desk + "wiring: {pins: {go: GP3, stop-it: 5}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n  stop-it: {part: push-16mm, at: [90, 150]}\n",
			"STOP IT and GO share pin 5 (GP3).", finding.Stop, 2, true,
		},
		{"unknown pin", "wire.unknown-pin", desk + "wiring: {pins: {go: GP33}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "The module has no pin GP33.", finding.Stop, 2, true},
		{"unknown board", "wire.unknown-pin", desk + "wiring: {pins: {go: {pin: A0, on: expander-1}}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "There is no board called expander-1.", finding.Stop, 1, false},
		{"free pin unknown", "wire.unknown-pin", desk + "wiring: {free: [GP99]}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "The module has no pin GP99.", finding.Stop, 2, true},
		{"wiper on a digital pin", "wire.cannot", desk + "wiring: {pins: {house: GP3}}\ncontrols:\n  house: {part: pot-16mm, at: [50, 150]}\n", "HOUSE cannot go to pin 5 (GP3): it cannot read a voltage.", finding.Stop, 2, true},
		{"lead on ground", "wire.shorted", desk + "wiring: {pins: {go: GND}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "Go is put on pin 3 (GND), which is ground.", finding.Stop, 2, true},
		{"lead on a supply", "wire.shorted", desk + "wiring: {pins: {go: \"40\"}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "which is a supply.", finding.Stop, 2, true},
		{"lead on reset", "wire.cannot", desk + "wiring: {pins: {go: RUN}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "cannot take go", finding.Stop, 2, true},
		{"unknown lead", "wire.unknown-lead", desk + "wiring: {pins: {goo: GP3}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "No lead is called goo.", finding.Stop, 1, true},
		{"a control of many leads", "wire.unknown-lead", desk + "wiring: {pins: {blind: GP3}}\ncontrols:\n  blind: {part: toggle-mini-3, at: [50, 150]}\n", "Blind has 2 leads, and one pin is given.", finding.Stop, 1, false},
		{"unknown lug", "wire.unknown-lug", desk + "controls:\n  light: {part: toggle-mini-2, at: [50, 150], use: [\"7\"]}\n", "LIGHT has no contact at a lug 7.", finding.Stop, 1, false},
		{
			"serial pin", "wire.boot-pin", strings.Replace(desk, "rp2040-40pin", "atmega32u4-24pin", 1) + "wiring: {pins: {go: TXO}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n",
			"GO is on pin 1 (TXO), which has another duty", finding.Note, 2, true,
		},
		{"encoder in a matrix", "wire.matrix-encoder", desk + "wiring: {by: matrix}\ncontrols:\n  scene: {part: encoder-m7, at: [50, 150], via: matrix}\n", "The turning of SCENE cannot go through a matrix.", finding.Warn, 1, true},
		{"pot over an expander", "wire.cannot", desk + "controls:\n  house: {part: pot-16mm, at: [50, 150], via: expander}\n", "HOUSE cannot go over an expander.", finding.Stop, 1, true},
		{"latching button in a ladder", "wire.cannot", desk + "controls:\n  hold: {part: push-16mm-latching, at: [50, 150], via: ladder}\n", "HOLD cannot share a voltage ladder.", finding.Stop, 1, true},
		{
			"held contacts without diodes", "wire.matrix-held", desk + "wiring: {by: matrix, matrix: {rows: 2, columns: 2, diodes: none}}\ncontrols:\n" +
				"  a: {part: toggle-mini-2, at: [50, 150]}\n  b: {part: toggle-mini-2, at: [90, 150]}\n  c: {part: toggle-mini-2, at: [50, 100]}\n  d: {part: push-16mm, at: [90, 100]}\n",
			"While A, B and C are on, D shows too, though it is off.", finding.Warn, 4, true,
		},
		{"a buzzer for 12 V", "wire.no-supply", desk + "controls:\n  bell: {part: buzzer-22mm, at: [50, 150]}\n", "A pin cannot feed BELL: it wants 6 to 24 V.", finding.Warn, 1, true},
		{
			"one address twice", "wire.same-address", desk + "wiring: {boards: {left: {part: io-expander-16, address: 33}, right: {part: io-expander-16, address: 33}, third: {part: io-expander-16, address: 33}}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n",
			"have the same address on the bus, 33.", finding.Stop, 2, false,
		},
		{
			"a board called as a control", "wire.same-name", desk + "wiring: {boards: {go: {part: io-expander-16}}}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n",
			"A board and a control are both called go.", finding.Stop, 2, false,
		},
		{
			"a matrix too small", "wire.pins-short", desk + "wiring: {by: matrix, matrix: {rows: 2, columns: 2}}\ngroups:\n" + row("a", "push-12mm", 7, 150), "A matrix cannot be had as the file asks.", finding.Warn, 1, true,
		},
		{
			"free and taken", "wire.pin-taken", desk + "wiring: {pins: {go: GP3}, free: [GP2, GP3]}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n",
			"Pin 5 (GP3) is to stay free, and go is put on it.", finding.Warn, 2, true,
		},
		{"a resistor that is none", "wire.unknown-resistor", desk + "wiring: {resistors: [220, E13, 1k]}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "“E13” is neither a resistor nor a series of them.", finding.Warn, 1, true},
		{"no resistor at all", "wire.unknown-resistor", desk + "wiring: {resistors: [many]}\ncontrols:\n  go: {part: push-16mm, at: [50, 150]}\n", "“many” is neither", finding.Warn, 1, true},
		{"more than a lamp bears", "lamp.bright", desk + "wiring: {lamps: {current: 400}}\ncontrols:\n  ready: {part: lamp-5mm-holder, at: [50, 150], lit: always}\n", "READY cannot have 400 mA.", finding.Warn, 2, true},
		{"less than nothing", "lamp.bright", desk + "wiring: {lamps: {current: -4}}\ncontrols:\n  ready: {part: lamp-5mm-holder, at: [50, 150]}\n", "The lamps cannot have -4 mA.", finding.Warn, 1, true},
		{"nothing to be lit", "wire.lit-nothing", desk + "controls:\n  go: {part: push-16mm, at: [50, 150], lit: always}\n", "GO has no lamp to be lit.", finding.Note, 1, true},
		{"lit by a contact that is not there", "wire.lit-nothing", desk + "controls:\n  ready: {part: lamp-5mm-holder, at: [50, 150], lit: contact}\n", "No contact lights READY: it has none of its own.", finding.Note, 1, true},
		{
			"a lamp lit by a contact that crosses", "wire.lamp-shares", desk + "controls:\n  a: {part: push-16mm-lit, at: [50, 150], lit: contact, via: matrix}\n  b: {part: push-16mm, at: [90, 150], via: matrix}\n",
			"The contact of A cannot light its lamp.", finding.Warn, 1, true,
		},
		{
			"a matrix that nobody asked for", "wire.added", strings.Replace(desk, "rp2040-40pin", "rp2040-14pin", 1) + "limits: {wire.fitting-worth: 0, wire.kind-worth: 0}\ngroups:\n" + row("a", "push-12mm", 25, 150),
			"25 leads want a pin, and the module has 11: the plan takes a matrix of", finding.Note, 1, false,
		},
		{
			"analog pins short", "wire.pins-short", strings.Replace(desk, "rp2040-40pin", "rp2040-14pin", 1) + "wiring: {by: direct}\ngroups:\n" + row("a", "push-12mm", 13, 150),
			"want 12 pins, and there are 11 left for them. In all 13 leads can have nothing else: 2 too few.", finding.Stop, 13, true,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc, p, r := work(t, c.src)
			check(t, p, &r)
			f := one(t, r, c.rule)
			if !strings.Contains(f.Head, c.head) || f.Severity != c.severity || len(f.Ends) != c.ends {
				t.Errorf("%s %q with %d ends; want %s %q with %d", f.Severity, f.Head, len(f.Ends), c.severity, c.head, c.ends)
			}
			if strings.HasPrefix(f.Ends[0].Path, "controls.") && strings.Count(f.Ends[0].Path, ".") == 1 && f.Place == nil {
				t.Errorf("it is not said where on the face: %+v", f.Ends[0])
			}
			if c.fix != (len(f.Fixes) > 0) {
				t.Errorf("fixes: %+v", f.Fixes)
			}
			for _, x := range f.Fixes {
				if s := mend(t, doc, x); len(of(s, c.rule)) > 0 {
					t.Errorf("%q does not mend it: %s", x.Say, of(s, c.rule)[0].Head)
				}
			}
		})
	}
}

// No module has pins enough, whatever is done: a partial plan, and the smallest set that competes.
func TestTooManyWhateverIsDone(t *testing.T) {
	src := strings.Replace(desk, "rp2040-40pin", "rp2040-14pin", 1) + "groups:\n" + row("a", "encoder-m7", 9, 150) + row("b", "push-12mm", 3, 100)
	doc, p, r := work(t, src)
	check(t, p, &r)
	f := of(r, "wire.pins-short")
	if len(f) > 0 {
		for _, x := range f[0].Fixes {
			if s := mend(t, doc, x); s.Plan.Partial {
				t.Errorf("%q does not help", x.Say)
			}
		}
	}
	if !r.Plan.Partial || len(f) == 0 || f[0].Severity != finding.Stop || len(r.Plan.Short) == 0 {
		t.Fatal(dump(r))
	}
	s := r.Plan.Short[0]
	if len(s.Signals) != len(s.Pins)+1 {
		t.Errorf("%d leads, %d pins", len(s.Signals), len(s.Pins))
	}
	if seats := len(r.Signals) - waiting(&r.Plan); seats < 11 {
		t.Errorf("only %d leads are served", seats)
	}
}

// A thousand buttons, a hundred pots: an answer, and soon.
func TestAbsurdPanels(t *testing.T) {
	src := desk + "groups:\n"
	for i := range 10 {
		src += row(string(rune('a'+i)), "push-12mm", 100, 20+float64(i)*20)
	}
	src += row("pots", "pot-16mm", 100, 230)
	_, p, r := work(t, src)
	check(t, p, &r)
	if len(r.Signals) < 1100 {
		t.Errorf("%d signals", len(r.Signals))
	}
}

// Every rule that is in the catalogue is one that something says, and nothing else is said.
func TestRulesAreListed(t *testing.T) {
	known := map[string]bool{}
	for _, r := range Rules {
		head, _, _ := strings.Cut(r.Name, ".")
		if known[r.Name] || !strings.Contains(" wire volt amp lamp bus analog encoder ", " "+head+" ") || len(r.Explain) < 40 {
			t.Errorf("rule %+v", r)
		}
		known[r.Name] = true
	}
}

// TestMatrixTooSmall: two rows and two columns have four places; seven buttons are three too many.
func TestMatrixTooSmall(t *testing.T) {
	_, _, r := work(t, desk+"wiring: {by: matrix, matrix: {rows: 2, columns: 2}}\ngroups:\n"+row("a", "push-12mm", 7, 150))
	if f := one(t, r, "wire.pins-short"); !strings.HasPrefix(f.Body, "2 rows and 2 columns have 4 places, and 7 contacts are to share them. Give it more, or write via: direct at controls with 3 contacts.") {
		t.Error(f.Body)
	}
}
