package job

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// Under a leaning face the room behind a part depends on where it sits. Worked out by hand for boards 9 thick, a sheet of 3 and a body
// of 20 x 20 that goes 30 behind the sheet: the base lies (h - 9) / cos s + y tan s - 3 behind the sheet at y up, h high in front; the
// lower edge of the body comes closest to it.
func TestDepthUnderALeaningFace(t *testing.T) {
	const slope = 20.0
	s, c := math.Sincos(slope * math.Pi / 180)
	for _, w := range []struct {
		front, up float64
		severity  finding.Severity
		said      bool
	}{{32, 30, finding.Stop, true}, {33, 35, finding.Warn, true}, {33, 60, 0, false}, {40, 30, 0, false}} {
		text := fmt.Sprintf("knobwright: 1\nface: {width: 200, height: 150, sheet: {use: acrylic-3mm, actual: 3}}\n"+
			"box: {form: wedge, walls: {use: birch-ply-9mm, actual: 9}, front: %v, slope: 20 deg}\ncontrols: {a: {part: block, at: [100, %v], legend: \"\"}}\n", w.front, w.up)
		left := (w.front-9)/c + (w.up-10)*s/c - 3 - 30
		fs := withRule(check(t, text).Findings, "fit.depth")
		if len(fs) == 0 {
			if w.said || left < 2 {
				t.Errorf("%v high, %v up: nothing is said, %v is left", w.front, w.up, left)
			}
			continue
		}
		f := fs[0]
		if !w.said || f.Severity != w.severity || math.Abs(f.Measure.Have-left) > 1e-3 {
			t.Errorf("%v high, %v up: %s %v, by hand %v", w.front, w.up, f.Severity, f.Measure, left)
		}
		if len(f.Fixes) != 1 || f.Fixes[0].Edits[0].Path != "box.front" {
			t.Fatalf("%+v", f.Fixes)
		}
		mended := applied(t, text, f)
		if fs := withRule(check(t, mended).Findings, "fit.depth"); len(fs) != 0 {
			t.Errorf("after %q: %s", f.Fixes[0].Say, list(fs))
		}
	}
}

// Near the upper edge a part leans into the back of a box with upright walls, before it meets the base. A desk of 60 in front under 30
// degrees: the lowest upper corner of the body is at y = (v - 3 tan s) cos s + 33 sin s from the front, v up the face.
func TestBackWallUnderALeaningFace(t *testing.T) {
	const slope = 30.0
	s, c := math.Sincos(slope * math.Pi / 180)
	// the size of the face follows from the outside
	const text = "knobwright: 1\nface: {sheet: {use: acrylic-3mm, actual: 3}}\n" +
		"box: {form: desk, walls: {use: birch-ply-9mm, actual: 9}, front: 60, slope: 30 deg, outside: [200, 130]}\ncontrols: {a: {part: block, at: [100, %v], legend: \"\"}}\n"
	for _, up := range []float64{105, 111, 112, 116} {
		r := check(t, fmt.Sprintf(text, up))
		gap := 130 - 9 - ((up+10-3*s/c)*c + 33*s)
		fs := withRule(r.Findings, "fit.body-wall")
		if gap >= 2 {
			if len(fs) != 0 {
				t.Errorf("%v up: %s", up, list(fs))
			}
			continue
		}
		if len(fs) != 1 || fs[0].Ends[1].Name != "the back wall" {
			t.Fatalf("%v up, %v by hand: %s", up, gap, list(r.Findings))
		}
		if f := fs[0]; gap > 0 && math.Abs(f.Measure.Have-gap) > 1e-3 || (gap < 0) != (f.Severity == finding.Stop) {
			t.Errorf("%v up: %s %v, by hand %v", up, f.Severity, f.Measure, gap)
		}
	}
}

// applied writes the first fix of a finding into a file.
func applied(t *testing.T, text string, f finding.Finding) string {
	t.Helper()
	src, err := project.Read("test.yaml", []byte(text)).Apply(f.Fixes[0].Edits)
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

// A rack panel that leans stands on the base: its lower screws run out of the cheek into the base, and both are wood. Cheeks of 12 mm are too thin
// beside holes of 6.8 mm whose middle is (482.6 - 465.1) / 2 = 8.75 mm from the end: 12 - 8.75 - 3.4 = -0.15, and 2 mm are wanted; those of 15 mm are not.
func TestLeaningRackIsScrewedIntoCheekAndBase(t *testing.T) {
	for _, slope := range []int{45, 60, 75} {
		for _, wall := range []string{"12", "15"} {
			text := fmt.Sprintf("knobwright: 1\nface: {rack: 3, sheet: aluminium-3mm}\nbox: {form: rack, slope: %d deg, depth: 140, walls: birch-ply-%smm}\n", slope, wall)
			fs := withRule(check(t, text).Findings, "fit.fixing")
			if wall == "15" && len(fs) > 0 {
				t.Errorf("%d degrees, %s mm: %s", slope, wall, list(fs))
			}
			if wall == "12" && (len(fs) != 1 || fs[0].Severity != finding.Warn || !strings.Contains(fs[0].Body, "Take cheeks 2.2 mm thicker.")) {
				t.Errorf("%d degrees, %s mm: %s", slope, wall, list(fs))
			}
		}
	}
}
