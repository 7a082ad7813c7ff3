package job

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// block is a part of our own that seats behind: a body of 20 x 20, 30 deep, and a knob of 20 x 20, 11 high over the back of the sheet.
const block = `parts:
  block:
    title: test block
    class: push
    seat: rear
    hole: {round: 10}
    grip: [1 mm, 20 mm]
    front: [{role: knob, rect: [20, 20], z: [1, 11]}]
    rear: [{role: body, rect: [20, 20], z: [-30, 0]}]
`

func withBlock(t *testing.T) *catalog.Catalog {
	t.Helper()
	cat, ps := catalog.Builtin().With("own.yaml", []byte(block))
	if len(ps) != 0 {
		t.Fatal(ps)
	}
	return cat
}

func check(t *testing.T, text string) *Result {
	t.Helper()
	doc := project.Read("test.yaml", []byte(text))
	if len(doc.Findings) != 0 {
		t.Fatal(list(doc.Findings))
	}
	return Check(doc, withBlock(t))
}

const levelBox = "knobwright: 1\nface: {width: 200, height: 150, sheet: {use: acrylic-3mm, actual: 3}}\n" +
	"box: {form: flat, walls: {use: birch-ply-9mm, actual: 9}, depth: 80}\n"

// A level box: 9 of base, 80 of room, 3 of face; the back stands upright at the upper edge of the face. A body in the face comes down
// to 92 - 3 - 30 = 59 over the table; a body in the back comes in to 150 - 9 - 30 = 111 up the face. The back begins at 9.
func TestAcrossBoards(t *testing.T) {
	for _, c := range []struct {
		name     string
		up, x    float64 // of the one in the face, and of the one in the back, from its lower left corner seen from behind
		high     float64
		gap      float64 // NaN: nothing is said
		severity finding.Severity
	}{
		{"below", 106, 100, 37, math.NaN(), 0}, // 9 + 37 + 10 = 56 against 59
		{"meet", 106, 100, 60, -5, finding.Stop},
		{"close", 100, 100, 60, 1, finding.Warn},
		{"beside", 106, 60, 60, math.NaN(), 0}, // 60 from the right end: 140 from the left
		{"corner", 100, 121, 60, math.Hypot(1, 1), finding.Warn},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := levelBox + "controls:\n  a: {part: block, at: [100, " + num(c.up) + "], legend: \"\"}\n  b: {part: block, at: [" + num(c.x) + ", " + num(c.high) + "], on: back, legend: \"\"}\n"
			r := check(t, text)
			fs := withRule(r.Findings, "fit.across-boards")
			if math.IsNaN(c.gap) {
				if len(fs) != 0 {
					t.Fatal(list(fs))
				}
				return
			}
			if len(fs) != 1 {
				t.Fatalf("%d findings\n%s", len(fs), list(r.Findings))
			}
			f := fs[0]
			if f.Severity != c.severity || math.Abs(f.Measure.Have-c.gap) > 1e-6 || f.Measure.Want != 2 || len(f.Ends) != 2 || f.Ends[0].Pos.Line != 6 || f.Ends[1].Pos.Line != 5 || f.On != "the back" {
				t.Errorf("%+v %+v", f, f.Measure)
			}
			if len(f.Fixes) == 0 {
				t.Fatalf("no fix: %+v", f)
			}
			src, err := project.Read("test.yaml", []byte(text)).Apply(f.Fixes[0].Edits)
			if err != nil {
				t.Fatal(err)
			}
			if again := withRule(check(t, string(src)).Findings, "fit.across-boards"); len(again) != 0 {
				t.Errorf("after %q:\n%s", f.Fixes[0].Say, list(again))
			}
		})
	}
}

func num(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// A knob of the hand rest against the face that rises before it.
func TestAcrossInFront(t *testing.T) {
	desk := "knobwright: 1\nface: {width: 200, height: 150, sheet: {use: acrylic-3mm, actual: 3}}\nbox: {form: desk, walls: birch-ply-9mm, front: 60, slope: 45 deg, rest: {depth: 100, sheet: {use: acrylic-3mm, actual: 3}}}\n"
	// The knob on the face stands from 2 to 22 along it and 8 high: its lower corner comes to 100 + 2 cos 45 - 8 sin 45 = 95.76, at a
	// height of (2 + 8) sin 45 = 7.07 over the rest. The knob on the rest is 8 high and reaches 10 beyond its middle.
	for _, c := range []struct {
		at   string
		meet bool
	}{{"88", true}, {"85", false}} {
		r := check(t, desk+"controls: {k: {part: block, at: [100, "+c.at+"], on: rest, legend: \"\"}, f: {part: block, at: [100, 12], legend: \"\"}}\n")
		fs := withRule(r.Findings, "fit.across-boards")
		if got := len(fs) > 0; got != c.meet {
			t.Errorf("knob at %s: %s", c.at, list(fs))
		}
	}
}

func TestSides(t *testing.T) {
	r := check(t, levelBox+`controls:
  a: {part: block, at: [100, 75], legend: ""}
  b: {part: block, at: [40, 12], on: left, legend: ""}
  c: {part: block, at: [130, 46], on: base, legend: ""}
`)
	if len(r.Panel.Controls) != 1 || len(r.Sides) != 2 {
		t.Fatalf("%d on the face, %d sides", len(r.Panel.Controls), len(r.Sides))
	}
	left, base := r.Sides[0], r.Sides[1]
	if left.Name != "the left side" || left.Panel.Board != "left side" || len(left.Panel.Controls) != 1 || len(left.Face.Fits) != 1 || len(left.Drilling.Holes) != 1 {
		t.Errorf("%s: %d controls, %d fits, %d holes", left.Name, len(left.Panel.Controls), len(left.Face.Fits), len(left.Drilling.Holes))
	}
	// the left side stands between front and back: 150 - 18 long, 80 high; its sheet is the wall
	if f := left.Panel.Face; math.Abs(f.Width-132) > 1e-6 || math.Abs(f.Height-80) > 1e-6 || left.Panel.Stack.Total != 9 {
		t.Errorf("%v x %v, %v thick", f.Width, f.Height, left.Panel.Stack.Total)
	}
	if base.Name != "the base" || math.Abs(base.Panel.Face.Width-200) > 1e-6 {
		t.Errorf("%s %v", base.Name, base.Panel.Face.Width)
	}
	// its body reaches down to 2 above the lower edge of the wall, where the base begins
	for _, f := range r.Findings {
		if f.On != "" && f.Rule != "fit.across-boards" && (!strings.HasPrefix(f.Head, "In "+f.On+": ") || strings.Contains(f.Head+f.Body+f.Why, "the face")) {
			t.Errorf("%s: %s %s %s", f.Rule, f.Head, f.Body, f.Why)
		}
	}
	// openings in the boards
	c := r.Panel.Carcass
	if n := len(c.Board("left side").Cutouts); n != 1 {
		t.Errorf("%d openings in the left side", n)
	}
	if k := c.Board("left side").Cutouts[0].Outline.Bounds().Centre(); math.Hypot(k.X-40, k.Y-12) > 1e-6 {
		t.Errorf("the opening of the left side is at %v", k)
	}
	if n := len(c.Board("face").Cutouts); n != 1 {
		t.Errorf("%d openings in the face", n)
	}
	// a keep by the name of a control in a side
	text := levelBox + "controls: {b: {part: block, at: [40, 11], on: left, legend: \"\"}}\n"
	fs := check(t, text).Findings
	if len(fs) == 0 {
		t.Fatal("nothing is said of a hole 6 mm from the edge of plywood: this test tests nothing")
	}
	kept := check(t, text+"keep: [{rule: "+fs[0].Rule+", of: [b], why: w}]\n").Findings
	if fs[0].Severity != finding.Stop && len(withRule(kept, "file.keep-unused")) != 0 {
		t.Errorf("%s", list(kept))
	}
}
