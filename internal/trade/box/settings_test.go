package box

import (
	"math"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/carcass"

	"pgregory.net/rapid"
)

// TestSettings: over random boxes every cut stands in exactly one setting, with its own fence and tilt; only what strip has already is left
// out; small pieces and battens come last.
func TestSettings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawBox(t)
		cuts := c.Order()
		settings := Settings(c, cuts, false)
		last := 0
		for _, s := range settings {
			g := slices.Index(settingGroups, s.Group)
			if g < last {
				t.Fatalf("%s comes after %s", s.Group, settingGroups[last])
			}
			last = g
		}
		for _, k := range cuts {
			b := c.Board(k.Board)
			n := 0
			for _, s := range settings {
				if s.Work != k.Work || !slices.Contains(s.Boards, k.Board) && !slices.Contains(s.Edges, k.Edge+" of the "+k.Board) {
					continue
				}
				if math.Abs(s.Fence-k.Size) > 0.1 || math.Abs(s.Tilt-k.Tilt) > 0.1 || (s.Tilt > 0.05 && s.Longer != k.Longer) {
					continue // another edge of the same name
				}
				n++
				if want := k.Small && b.Role.Shell(); want != (s.Group == SmallOnes) {
					t.Fatalf("%s, small %v, in %s", k.Board, k.Small, s.Group)
				}
			}
			want := 1
			if !b.Role.Shell() && k.Tilt == 0 && k.Work == carcass.WorkRip {
				want = 0
			}
			if n != want {
				t.Fatalf("%s: the %s of the %s stands in %d settings", k.Work, k.Edge, k.Board, n)
			}
		}
	})
}

// TestSettingsOfADesk: front and back of a desk of 12 degrees are bevelled with one setting each, for they are of different heights, and cut to
// length with one.
func TestSettingsOfADesk(t *testing.T) {
	c := made(t, desk())
	tilted, length := 0, ""
	for _, s := range Settings(c, c.Order(), false) {
		if s.Tilt > 0 {
			tilted++
			if math.Abs(s.Tilt-12) > 1e-9 || math.Abs(s.Over-12*math.Tan(12*math.Pi/180)) > 1e-9 {
				t.Errorf("%+v", s)
			}
		}
		if s.Group == AcrossIt && s.Fence == 440 {
			length = s.Say()
		}
	}
	for _, s := range Settings(c, Judge(cutBy(c, "laser")).Order, true) {
		if s.Group != ByPlane {
			t.Errorf("a laser leaves %+v", s)
		}
	}
	if tilted != 2 || !strings.Contains(length, "front") || !strings.Contains(length, "back") {
		t.Errorf("%d tilted; to length: %s", tilted, length)
	}
	if s := gathered([]string{"ledge, front", "ledge, back", "rib"}); s != "ledge front, back, rib" {
		t.Error(s)
	}
}
