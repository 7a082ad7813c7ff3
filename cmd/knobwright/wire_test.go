package main

import (
	"strings"
	"testing"
)

// Pins stand under each other whatever the names are, and no line of them is wider than a terminal.
func TestPinLines(t *testing.T) {
	long := "the-name-of-a-control-that-somebody-gave-in-a-hurry/lamp"
	lines := pinLines([]pinData{
		{Signal: "go", Way: "direct", Board: "module", Pin: "7", Name: "GP5", Why: "short lead"},
		{Signal: long, Way: "direct", Board: "module", Pin: "32", Name: "GP27", Fixed: true, Why: "can interrupt, for quick turns; could read a voltage, but no other was left; beside the other leads of its body"},
		{Signal: "key", Way: "matrix", Row: "matrix/row-1", Column: "matrix/column-10", Why: "shares a row and a column"},
	})
	at := -1
	for _, l := range lines {
		if len(l.text)+len(l.why) > 80 {
			t.Errorf("%d wide: %q", len(l.text)+len(l.why), l.text+l.why)
		}
		for _, pin := range []string{"7 GP5", "32 GP27", "row-1 x"} {
			if k := strings.Index(l.text, pin); k >= 0 {
				if at >= 0 && k != at {
					t.Errorf("%s stands at %d, the others at %d", pin, k, at)
				}
				at = k
			}
		}
	}
	if len(lines) < 6 || strings.TrimSpace(lines[1].text) != long {
		t.Errorf("%q", lines)
	}
}
