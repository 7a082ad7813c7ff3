package harness

import (
	"strings"
	"testing"
)

// TestWaysToPins: a board that hangs on the face has its pins on the side away from it; a board under the lower face of two is reached from the upper
// one over the side; a board with a body right over it is not, and that body is named, not the board.
func TestWaysToPins(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"on the face", "knobwright: 1\nface: {width: 240, height: 120, sheet: aluminium-2mm}\nbox: {form: flat, depth: 60, walls: birch-ply-12mm}\n" +
			"module: {part: rp2040-small, at: [60, 60], on: face}\ncontrols:\n  go: {part: push-16mm, at: [160, 60]}\n", ""},
		{"under the other face", "knobwright: 1\nface: {width: 320, height: 180, sheet: acrylic-3mm}\nbox: {form: two-slope, front: 60, slope: 10 deg, upper: {slope: 45 deg, height: 100}, walls: birch-ply-9mm}\n" +
			"module: {part: rp2040-40pin, at: [160, 90]}\ncontrols:\n  ready: {part: lamp-5mm-holder, at: [60, 50], on: upper}\n", ""},
		{"under a body", "knobwright: 1\nface: {width: 240, height: 120, sheet: aluminium-2mm}\nbox: {form: flat, depth: 34, walls: birch-ply-12mm}\n" +
			"module: {part: rp2040-40pin, at: [60, 60]}\ncontrols:\n  go: {part: push-22mm, at: [60, 60]}\n", "GO leaves no room over them"},
	} {
		_, _, r := work(t, c.name+".yaml", []byte(c.src))
		found := ""
		for _, f := range of(r.Findings, "harness.no-way") {
			if strings.Contains(f.Head, "to the pins") {
				found += f.Head
			}
		}
		if c.want == "" && found != "" || !strings.Contains(found, c.want) {
			t.Errorf("%s: %q, want %q", c.name, found, c.want)
		}
	}
}
