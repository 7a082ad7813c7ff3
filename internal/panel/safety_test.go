package panel

import (
	"strings"
	"testing"
)

func TestEmergencyWords(t *testing.T) {
	for _, s := range []string{
		"EMERGENCY STOP", "Emergency-Stop", "emergency\nstop", "E-STOP", "e stop", "EStop", "E.STOP", "NOT-HALT", "Not-Aus", "NOTAUS", "Arrêt d'urgence",
		"ARRET D’URGENCE", "parada de emergencia", "noodstop", "nødstop", "Nödstopp", "hätä-seis", "Wyłącznik bezpieczeństwa", "the red emergency stop of the lift",
		"emergency off", "safety stop",
	} {
		if looksLikeEmergencyStop(s) == "" {
			t.Errorf("%q is let through", s)
		}
	}
	for _, s := range []string{
		"STOP", "BUS STOP", "STOP TAPE", "emergency lights", "EMERGENCY EXIT", "halt", "note stop", "urgence", "not aused", "stop e", "pestop", "estopped",
		"NOT READY", "this is no emergency stop", "does not replace the emergency stop", "kein Not-Aus", "halt cues", "pause", "safety catch", "",
	} {
		if w := looksLikeEmergencyStop(s); w != "" {
			t.Errorf("%q is taken for %q", s, w)
		}
	}
}

func TestVoltages(t *testing.T) {
	for _, c := range []struct {
		text, written string
	}{
		{"switches 230 V", "230 V"}, {"230V", "230V"}, {"230 VAC", "230 VAC"}, {"AC 110 V", "110 V"}, {"110V~", "110V~"}, {"24-230 V lamp", "230 V"},
		{"0.4 kV", "0.4 kV"}, {"61 V", "61 V"}, {"60,5 V DC", "60,5 V DC"}, {"26 V AC", "26 V AC"}, {"42 v a.c.", "42 v a.c."}, {"5 V, later 400 volts", "400 volts"},
		{"(240 V)", "240 V"}, {"1 kV", "1 kV"}, {"AC48V", "48V"},
		{"2x115V", "115V"}, {"2 x 115 V lamps", "115 V"}, {"mains-230v", "230v"}, {"230\u00a0V", "230\u00a0V"}, {"lamp_230v", "230v"},
	} {
		if w, v, most := highVoltage(c.text); w != c.written || v <= most {
			t.Errorf("%q: %q, %v V, at most %v", c.text, w, v, most)
		}
	}
	for _, s := range []string{
		"5 V", "3.3V", "12 V DC", "24 V AC", "25 VAC", "48 V", "60 V DC", "button 230", "230 volumes", "V230", "model 230Vx", "230 mm", "1.000.230 V2", "60 VDC", "24~", "",
		"2300 mV", "2x12V", "2x115 lamps",
	} {
		if w, _, _ := highVoltage(s); w != "" {
			t.Errorf("%q is refused for %q", s, w)
		}
	}
}

func TestMainsWords(t *testing.T) {
	for _, s := range []string{"switches the mains", "on MAINS", "Netzspannung liegt an", "tension secteur", "line voltage"} {
		if namesMains(s) == "" {
			t.Errorf("%q is let through", s)
		}
	}
	for _, s := range []string{"no mains here", "main curtain", "not on mains", "without mains", "remains", "mainsail", ""} {
		if w := namesMains(s); w != "" {
			t.Errorf("%q is refused for %q", s, w)
		}
	}
}

func TestWhereSafetyLooks(t *testing.T) {
	for _, c := range []struct{ name, file, want string }{
		{"name", "controls: {e-stop: {part: button, at: [50, 50], legend: RED}}", "safety.emergency-stop"},
		{"name of a control without a place", "controls: {estop: {part: button}}", "place.unfinished safety.emergency-stop"},
		{"legend over two lines", "controls: {a: {part: button, at: [50, 50], legend: \"NOT\\nHALT\"}}", "safety.emergency-stop"},
		{"note", "controls: {a: {part: button, at: [50, 50], note: our emergency stop}}", "safety.emergency-stop"},
		{"notes", "notes: the emergency stop is on the left", "safety.emergency-stop"},
		{"legend and note, once", "controls: {a: {part: button, at: [50, 50], legend: E-STOP, note: our emergency stop}}", "safety.emergency-stop"},
		{"said once of a control and its image", "controls: {a: {part: button, at: [50, 50], legend: E-STOP}}\ngroups: {m: {mirror: {of: [a]}}}", "safety.emergency-stop"},
		{"said again of an image with letters of its own", "controls: {a: {part: button, at: [50, 50], legend: E-STOP}}\ngroups: {m: {mirror: {of: [a]}, controls: {a-m: {legend: NOT-AUS}}}}", "safety.emergency-stop safety.emergency-stop"},
		{"counted", "groups: {g: {part: button, names: \"estop-{n}\", row: {from: [30, 50], step: 30, count: 1}}}", ""},
		{"sends", "controls: {a: {part: button, at: [50, 50], sends: {closes: 230 V relay}}}", "safety.mains"},
		{"adjust", "controls: {a: {part: button, at: [50, 50], adjust: {contacts: 1 NO 250 VAC}}}", "safety.mains"},
		{"lamp", "controls: {a: {part: button, at: [50, 50], adjust: {lamp: {rated: 110}}}}", "safety.mains"},
		{"the curtain called mains", "controls: {mains: {part: button, at: [50, 50], legend: MAINS}}", "safety.mains"},
		{"a legend with the word", "controls: {a: {part: button, at: [50, 50], legend: MAINS SWITCH}}", "safety.mains"},
		{"a name with a voltage", "controls: {mains-230v: {part: button, at: [50, 50], legend: LAMPS}}", "safety.mains"},
		{"a name with two of them", "controls: {a: {part: button, at: [50, 50], legend: 2x115V}}", "safety.mains"},
		{"the remains", "controls: {remains: {part: button, at: [50, 50], legend: REMAINS}}", ""},
		{"a lamp for 24 V", "controls: {a: {part: button, at: [50, 50], adjust: {lamp: {rated: 24}}}}", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, fs := placeText(t, c.file)
			want := c.want
			if c.name == "counted" {
				want = "safety.emergency-stop"
			}
			if got := rules(fs); got != want {
				t.Errorf("got %q, want %q", got, want)
			}
			for _, f := range fs {
				sev := "stop"
				if strings.Contains(f.Head, "speaks of mains") {
					sev = "warn"
				}
				if strings.HasPrefix(f.Rule, "safety.") && (f.Severity.String() != sev || f.Pos().Line == 0 || len(f.Fixes) != 0) {
					t.Errorf("%+v", f)
				}
			}
			if strings.HasPrefix(c.file, "controls") && !strings.Contains(c.file, "groups") && len(p.Controls)+len(p.Waiting) != 1 {
				t.Error("the control is gone")
			}
		})
	}
	for _, c := range []struct{ text, want string }{
		{"title: Mains dimmer", "warn The title speaks of mains."},
		{"title: Dimmer 2 x 115 V", "stop Mains is refused here. Ask a licensed electrician."},
		{"notes: switches the mains", "stop Mains is refused here. Ask a licensed electrician."},
	} {
		_, fs := placeWhole(t, "knobwright: 1\n"+c.text+"\nface: {width: 200, height: 100, sheet: test-3mm}")
		if len(fs) != 1 || fs[0].Severity.String()+" "+fs[0].Head != c.want {
			t.Errorf("%s: %+v", c.text, fs)
		}
		if strings.HasPrefix(c.text, "notes") && !strings.HasPrefix(fs[0].Body, "The notes speak of mains.") {
			t.Errorf("%q", fs[0].Body)
		}
	}
	_, fs := placeWhole(t, "knobwright: 1\ntitle: Emergency stop box\nface: {width: 200, height: 100, sheet: test-3mm, texts: {a: {text: NOT-AUS, at: [100, 80]}}}")
	if rules(fs) != "safety.emergency-stop safety.emergency-stop" {
		t.Errorf("title and text: %s", rules(fs))
	}
}
