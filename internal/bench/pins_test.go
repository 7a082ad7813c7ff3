package bench

import (
	"strings"
	"testing"
)

// What a person types of pins that ring.
func TestPins(t *testing.T) {
	for text, want := range map[string]string{"20": "20", "gp15": "20", "20, 21": "20,21", "GP0 and 2": "1,2", "o": "", "None": ""} {
		if got, ok := Pins(cue(), "module", text); !ok || strings.Join(got, ",") != want {
			t.Errorf("%q: %v %v", text, got, ok)
		}
	}
	for _, text := range []string{"", "41", "x", "20 x", " , "} {
		if got, ok := Pins(cue(), "module", text); ok {
			t.Errorf("%q is taken for %v", text, got)
		}
	}
	if got, ok := Pins(cue(), "expander", "B6"); !ok || len(got) != 1 {
		t.Error(got, ok)
	}
	if _, ok := Pins(cue(), "nowhere", "1"); ok {
		t.Error("a pin of no board")
	}
}
