package catalog

import (
	"math"
	"strconv"
	"testing"

	"knobwright/internal/witness"
)

// ISO 273 and ASME B18.2.8, every size and fit of the tables.
func TestClearanceHole(t *testing.T) {
	n := 0
	for _, r := range witness.Table(t, "testdata/clearance_holes.csv") {
		if r["system"] == "US drill practice" || r["confidence"] != "high" {
			continue
		}
		for fit, col := range map[string]string{"close": "close_or_fine", "normal": "normal_or_medium_or_free", "loose": "loose_or_coarse", "": "normal_or_medium_or_free"} {
			d, src, ok := ClearanceHole(r["screw"], fit)
			if !ok || d != witness.Number(t, r[col]) || src.OnTrust() {
				t.Errorf("%s %s: got %v %v, the table has %s", r["screw"], fit, d, ok, r[col])
			}
			n++
		}
	}
	if n < 60 {
		t.Errorf("only %d values compared", n)
	}
	for _, bad := range []string{"", "M99", "x", "#"} {
		if _, _, ok := ClearanceHole(bad, "normal"); ok {
			t.Errorf("%q is taken for a screw", bad)
		}
	}
	if _, _, ok := ClearanceHole("M3", "sloppy"); ok {
		t.Error("an unknown fit is taken")
	}
	for in, want := range map[string]string{"m3 x 10": "M3", "No. 6": "#6", "#6-32": "#6", "1/4\"-20": "1/4", "6": "#6", "M2.5": "M2.5", "1/4 in": "1/4"} {
		if got := ScrewName(in); got != want {
			t.Errorf("ScrewName(%q) = %q, want %q", in, got, want)
		}
	}
}

// A head must cover the loose hole it stands on, and heads grow with the screw.
func TestScrewHead(t *testing.T) {
	last := 0.0
	for _, s := range []string{"M1.6", "M2", "M2.5", "M3", "M3.5", "M4", "M5", "M6", "M8", "M10"} {
		d, _, _ := ClearanceHole(s, "close")
		h := ScrewHead(s)
		if h <= d || h <= last {
			t.Errorf("%s: head %v over a hole of %v, after a head of %v", s, h, d, last)
		}
		last = h
	}
	if ScrewHead("M3") != 5.7 || ScrewHead("#6") != 6.86 || ScrewHead("M77") != 0 {
		t.Error(ScrewHead("M3"), ScrewHead("#6"), ScrewHead("M77"))
	}
}

// The 19-inch grid of EIA-310-D and IEC 60297-3-100.
func TestRack(t *testing.T) {
	got := map[string]float64{
		"unit_height_U": RackU, "panel_width": RackWidth, "hole_centres_across": RackAcross, "rail_opening_min": RackClear,
		"hole_gap_1": RackGaps[0], "hole_gap_2": RackGaps[1], "hole_gap_3_across_U_boundary": RackGaps[2], "first_hole_from_U_boundary": RackEdge,
		"panel_slot_width": RackSlotWidth, "panel_slot_height": RackSlotHeight,
	}
	for n := range 9 {
		got["panel_height_"+strconv.Itoa(n)+"U"] = RackHeight(n)
	}
	for _, r := range witness.Table(t, "testdata/rack.csv") {
		v, ok := got[r["parameter"]]
		if want := witness.Number(t, r["value"]); !ok || math.Abs(v-want) > 0.005 {
			t.Errorf("%s: got %v, the table has %v", r["parameter"], v, want)
		}
	}
	if s := RackGaps[0] + RackGaps[1] + RackGaps[2]; math.Abs(s-RackU) > 1e-9 {
		t.Errorf("the three gaps add up to %v, not to one unit", s)
	}
	// Every slot meets a hole of the rail: a whole number of units and gaps above the lowest.
	for n := 1; n <= 12; n++ {
		ps := RackSlots(n)
		for _, p := range ps {
			up := math.Mod(p.Y-ps[0].Y+1e-6, RackU)
			if d := min(up, math.Abs(up-15.875), math.Abs(up-31.75)); d > 1e-3 {
				t.Errorf("%d units: a slot at %v meets no hole", n, p.Y)
			}
			if p.Y < 5 || p.Y > RackHeight(n)-5 || p.X < 5 || p.X > RackWidth-5 {
				t.Errorf("%d units: slot off the panel at %v", n, p)
			}
		}
	}
}
