package face_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/face"
)

// testCatalogue lays parts with round numbers over the built-in catalogue, so that what is wanted can be worked out by hand.
func testCatalogue(t testing.TB) *catalog.Catalog {
	t.Helper()
	src, err := os.ReadFile("testdata/parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, problems := catalog.Builtin().With("parts.yaml", src)
	for _, p := range problems {
		t.Fatalf("parts.yaml: %+v", p)
	}
	return c
}

// place reads and places a panel; a file with a slip fails the test.
func place(t testing.TB, cat *catalog.Catalog, src string) (*project.Doc, *panel.Panel) {
	t.Helper()
	doc := project.Read("t.yaml", []byte(src))
	for _, f := range doc.Findings {
		t.Fatalf("%s %s\n%s", f.Head, f.Body, src)
	}
	p, _ := panel.Place(doc, cat)
	return doc, p
}

// base is a face of 3 mm test acrylic, larger than any case needs; a setting replaces its words in capitals.
const base = `knobwright: 1
face: {width: 300, height: 200, sheet: SHEET, covering: COVER, corner: CORNER, legend: {cap: 4}FIXINGS}
tools: {wander: 0.2}
hand: HAND
reading: 500
`

type setting struct{ sheet, cover, corner, fixings, hand string }

func (s setting) file(rest string) string {
	or := func(v, usual string) string {
		if v == "" {
			return usual
		}
		return v
	}
	fix := ""
	if s.fixings != "" {
		fix = ", fixings: " + s.fixings
	}
	return strings.NewReplacer("SHEET", or(s.sheet, "t-acrylic"), "COVER", or(s.cover, "none"), "CORNER", or(s.corner, "0"), "FIXINGS", fix, "HAND", or(s.hand, "bare")).Replace(base) + rest
}

// two puts two controls of given parts at a distance along x, clear of everything else. Without legends.
func two(a, b string, dx, dy string) string {
	return "controls:\n  aa: {part: " + a + ", at: [100, 100], legend: \"\"}\n  bb: {part: " + b + ", at: [" + dx + ", " + dy + "], legend: \"\"}\n"
}

func row(part, step string, n string) string {
	return "groups:\n  g: {part: " + part + ", row: {from: [60, 100], step: " + step + ", count: " + n + "}, names: \"k{n}\"}\n"
}

func one(part, x, y string) string {
	return "controls:\n  aa: {part: " + part + ", at: [" + x + ", " + y + "], legend: \"\"}\n"
}

const flatBox = "box: {form: flat, depth: DEPTH, walls: t-board}\n"

func boxed(depth, rest string) string {
	return strings.Replace(flatBox, "DEPTH", depth, 1) + rest
}

const rib = "box: {form: flat, depth: 60, walls: t-board, ribs: {middle: {from: [150, 9], to: [150, 191], width: 10, height: 25}}}\n"

const leaning = "box: {form: desk, front: 60, slope: 10 deg, walls: t-board, ledge: {width: 14, height: 14}}\n"

// Each case works out by hand what a rule has to say; parts.yaml has the sizes. A case with silent wants nothing said.
var ruleCases = []struct {
	name       string
	set        setting
	file       string
	rule       string
	silent     bool
	sev        finding.Severity
	have, want float64
	head       string // part of it
}{
	// caps 12 across: 24.9 - 12 = 12.9 of 13
	{name: "push to push", file: two("t-push", "t-push", "124.9", "100"), rule: "reach.neighbours", sev: finding.Warn, have: 12.9, want: 13, head: "AA and BB sit close."},
	{name: "push to push enough", file: two("t-push", "t-push", "125", "100"), rule: "reach.neighbours", silent: true},
	// caps 17 across, 22.9 apart: 5.9 of 6 within a group
	{name: "pushes in a group", file: row("t-wide", "22.9", "2"), rule: "reach.neighbours", sev: finding.Warn, have: 5.9, want: 6, head: "K1 and K2"},
	{name: "pushes in a group enough", file: row("t-wide", "23", "2"), rule: "reach.neighbours", silent: true},
	{name: "row is one finding", file: row("t-wide", "22.9", "5"), rule: "reach.neighbours", sev: finding.Warn, have: 5.9, want: 6, head: "K1, K2 and 3 more"},
	{name: "glove", set: setting{hand: "glove"}, file: two("t-push", "t-push", "132.9", "100"), rule: "reach.neighbours", sev: finding.Warn, have: 20.9, want: 21},
	{name: "glove enough", set: setting{hand: "glove"}, file: two("t-push", "t-push", "133", "100"), rule: "reach.neighbours", silent: true},
	// rims 18 across
	{name: "tight", set: setting{hand: "tight"}, file: two("t-push", "t-push", "120.9", "100"), rule: "reach.neighbours", sev: finding.Warn, have: 2.9, want: 3},
	// the washer, 20 across, lies under the neighbour's knob: lever to knob 20 - 1.5 - 12
	{name: "tight over a washer", set: setting{hand: "tight"}, file: two("t-toggle-washer", "t-pot-high", "120", "100"), rule: "reach.neighbours", silent: true},
	{name: "tight lever to knob", set: setting{hand: "tight"}, file: two("t-toggle-washer", "t-pot-high", "116", "100"), rule: "reach.neighbours", sev: finding.Warn, have: 2.5, want: 3},
	{name: "tight enough", set: setting{hand: "tight"}, file: two("t-push", "t-push", "121", "100"), rule: "reach.neighbours", silent: true},
	// levers 3 across, edge to edge
	{name: "toggles", file: two("t-toggle", "t-toggle", "121.9", "100"), rule: "reach.neighbours", sev: finding.Warn, have: 18.9, want: 19},
	{name: "toggles enough", file: two("t-toggle", "t-toggle", "122", "100"), rule: "reach.neighbours", silent: true},
	// middles of the levers
	{name: "toggles in a group", file: row("t-toggle", "12.9", "2"), rule: "reach.neighbours", sev: finding.Warn, have: 12.9, want: 13},
	{name: "toggles in a group enough", file: row("t-toggle", "13", "2"), rule: "reach.neighbours", silent: true},
	// the sweep of a lever upwards does not count for fingers: lever to cap 1.5 + 6
	{name: "toggle to push", file: two("t-toggle", "t-push", "100", "120.4"), rule: "reach.neighbours", sev: finding.Warn, have: 12.9, want: 13},
	{name: "knobs", file: two("t-pot", "t-pot", "148.9", "100"), rule: "reach.neighbours", sev: finding.Warn, have: 24.9, want: 25},
	{name: "knobs enough", file: two("t-pot", "t-pot", "149", "100"), rule: "reach.neighbours", silent: true},
	{name: "knob to rocker, slanting", file: two("t-pot", "t-rocker", "125", "123"), rule: "reach.neighbours", sev: finding.Warn, have: math.Hypot(25-8.5, 23-5.5) - 12, want: 13},
	{name: "lamps have no fingers", file: two("t-push", "t-lamp", "114", "100"), rule: "reach.neighbours", silent: true},

	// knob 24 across from 3 to 17 above the face; cap 12 across from 2 to 5
	{name: "knob on cap", file: two("t-pot", "t-push", "117", "100"), rule: "reach.touch", sev: finding.Stop, have: -1, want: 0.5, head: "AA and BB meet in front."},
	{name: "knob over low bezel", file: two("t-pot", "t-lamp", "112", "100"), rule: "reach.touch", silent: true},
	{name: "bezels all but touch", file: two("t-push", "t-push", "118.3", "100"), rule: "reach.touch", sev: finding.Warn, have: 0.3, want: 0.5},
	{name: "bezels apart", file: two("t-push", "t-push", "118.5", "100"), rule: "reach.touch", silent: true},
	// sweep 14 tall from 4 to 15 above the face, against the cap 17 across from 2 to 5
	{name: "lever into cap", file: two("t-toggle", "t-wide", "100", "115"), rule: "reach.touch", sev: finding.Stop, have: -0.5, want: 0.5},
	{name: "lever past cap", file: two("t-toggle", "t-wide", "100", "116"), rule: "reach.touch", silent: true},
	// nut in front 8 / cos 30 deg across, bezel 18
	{name: "corners of a nut in front", file: two("t-toggle", "t-push", "100", "113.5"), rule: "reach.touch", sev: finding.Stop, have: 13.5 - 9 - 4/math.Cos(math.Pi/6), want: 0.5, head: "AA and BB meet in front."},
	{name: "knob rubs", file: one("t-pot-low", "100", "100"), rule: "reach.touch", sev: finding.Stop, have: 0, want: 0.5, head: "The knob of AA rubs on the face."},
	{name: "knob close over the face", file: one("t-pot-close", "100", "100"), rule: "reach.touch", sev: finding.Warn, have: 0.2, want: 0.5},
	{name: "knob free", file: one("t-pot", "100", "100"), rule: "reach.touch", silent: true},

	{name: "bezel over the edge", file: one("t-push", "8", "100"), rule: "reach.edge", sev: finding.Stop, have: -1, want: 2, head: "AA hangs over the left edge."},
	{name: "bezel close to the edge", file: one("t-push", "100", "10.5"), rule: "reach.edge", sev: finding.Warn, have: 1.5, want: 2, head: "AA sits close to the bottom edge."},
	{name: "bezel in", file: one("t-push", "289", "189"), rule: "reach.edge", silent: true},
	{name: "knob over the edge", file: one("t-pot", "100", "190"), rule: "reach.edge", sev: finding.Warn, have: -2, want: 2, head: "top edge"},
	// corner of radius 30 about (30, 30): 30 - 9 - |(-15, -15)|
	{name: "bezel at a round corner", set: setting{corner: "30"}, file: one("t-push", "15", "15"), rule: "reach.edge", sev: finding.Stop, have: 21 - 15*math.Sqrt2, want: 2, head: "the corner of the face"},

	// head 6 across
	{name: "bezel on a screw", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 50]]}"}, file: one("t-push", "111.5", "50"), rule: "reach.frame", sev: finding.Stop, have: -0.5, want: 1, head: "AA covers fixing 1."},
	{name: "bezel by a screw", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 50]]}"}, file: one("t-push", "112.5", "50"), rule: "reach.frame", sev: finding.Warn, have: 0.5, want: 1},
	{name: "bezel clear of a screw", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 50]]}"}, file: one("t-push", "113", "50"), rule: "reach.frame", silent: true},
	// knob 24 across, 6 above the face: the head is below it, the driver is not
	{name: "knob over a screw", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 50]]}"}, file: one("t-pot-high", "114", "50"), rule: "reach.frame", sev: finding.Warn, have: -1, want: 0, head: "AA stands in the way of fixing 1."},

	// holes 16, each up to 0.1 larger all round and 0.2 off: distance - 16 - 0.2 - 0.4
	{name: "web", file: two("t-push", "t-push", "120.5", "100"), rule: "sheet.web", sev: finding.Warn, have: 3.9, want: 4, head: "Little sheet between AA and BB."},
	{name: "web enough", file: two("t-push", "t-push", "120.6", "100"), rule: "sheet.web", silent: true},
	{name: "web too little", file: two("t-push", "t-push", "118.9", "100"), rule: "sheet.web", sev: finding.Stop, have: 2.3, want: 4, head: "Too little sheet between AA and BB."},
	{name: "web enough on paper for no stop", file: two("t-push", "t-push", "119", "100"), rule: "sheet.web", sev: finding.Warn, have: 2.4, want: 4, head: "Little sheet between"},
	// what a machine cuts is on its mark: distance - 16 - 0.2
	{name: "web cut by machine", set: setting{corner: "0, kerf: 0.2"}, file: two("t-push", "t-push", "120.1", "100"), rule: "sheet.web", sev: finding.Warn, have: 3.9, want: 4},
	{name: "web cut by machine enough", set: setting{corner: "0, kerf: 0.2"}, file: two("t-push", "t-push", "120.2", "100"), rule: "sheet.web", silent: true},
	{name: "holes run together", file: two("t-push", "t-push", "115.5", "100"), rule: "sheet.web", sev: finding.Stop, have: -1.1, want: 4, head: "run into each other"},
	{name: "web in aluminium", set: setting{sheet: "t-alu"}, file: two("t-push", "t-push", "118.5", "100"), rule: "sheet.web", sev: finding.Warn, have: 1.9, want: 2},
	{name: "web in aluminium enough", set: setting{sheet: "t-alu"}, file: two("t-push", "t-push", "118.6", "100"), rule: "sheet.web", silent: true},
	// one thickness of 9 mm ply
	{name: "web in thick ply", set: setting{sheet: "t-ply"}, file: two("t-push", "t-push", "125.5", "100"), rule: "sheet.web", sev: finding.Warn, have: 8.9, want: 9},

	// 1.5 diameters from the middle: one diameter beside the rim
	{name: "edge", file: one("t-push", "23.9", "100"), rule: "sheet.edge", sev: finding.Warn, have: 15.9, want: 16, head: "The hole of AA is close to the left edge."},
	{name: "edge enough", file: one("t-push", "24", "100"), rule: "sheet.edge", silent: true},
	{name: "edge too little", file: one("t-push", "100", "189.1"), rule: "sheet.edge", sev: finding.Stop, have: 2.9, want: 16, head: "The hole of AA is too close to the top edge"},
	{name: "edge enough on paper for no stop", file: one("t-push", "100", "189"), rule: "sheet.edge", sev: finding.Warn, have: 3, want: 16, head: "close to the top edge"},
	// the tab's hole is 2 across and stands 6 above the middle: 200 - 189.9 - 6 - 1 = 3.1 on paper, less 0.1 and 0.2
	{name: "anti-turn hole at the edge", file: one("t-toggle", "100", "189.9"), rule: "sheet.edge", sev: finding.Warn, have: 2.8, want: 3, head: "The anti-turn hole of AA is close to the top edge."},
	{name: "anti-turn hole too near the edge", file: one("t-toggle", "100", "190.1"), rule: "sheet.edge", sev: finding.Stop, have: 2.9, want: 3, head: "The anti-turn hole of AA is too close to the top edge."},
	// M3 has 3.4: 1.7 + 3 from the middle is what makers do
	{name: "fixing in acrylic, 5 in", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 5]]}"}, file: one("t-push", "150", "100"), rule: "sheet.edge", sev: finding.Warn, have: 3.3, want: 3.4},
	{name: "fixing in acrylic, 4.6 in", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 4.6]]}"}, file: one("t-push", "150", "100"), rule: "sheet.edge", sev: finding.Stop, have: 2.9, want: 3.4},
	// off the sheet: the placing says it, and once is enough
	{name: "off the sheet", file: one("t-push", "1", "100"), rule: "sheet.edge", silent: true},
	{name: "bezel off the sheet with its hole", file: one("t-push", "1", "100"), rule: "reach.edge", silent: true},
	{name: "letters off the sheet with their hole", file: named("t-push", "100", "1", "GO"), rule: "legend.off-sheet", silent: true},
	{name: "edge at a round corner", set: setting{corner: "30"}, file: one("t-push", "24", "24"), rule: "sheet.edge", sev: finding.Warn, have: 22 - 6*math.Sqrt2, want: 16},
	{name: "edge in ply", set: setting{sheet: "t-ply"}, file: one("t-push", "17.9", "100"), rule: "sheet.edge", sev: finding.Warn, have: 9.9, want: 10},
	// fixings in aluminium: 2 diameters
	{name: "fixing at the edge", set: setting{sheet: "t-alu", fixings: "{screw: M3, head: 6, at: [[6.7, 100]]}"}, file: one("t-push", "150", "100"), rule: "sheet.edge", sev: finding.Warn, have: 5, want: 5.1},
	{name: "fixing in", set: setting{sheet: "t-alu", fixings: "{screw: M3, head: 6, at: [[6.8, 100]]}"}, file: one("t-push", "150", "100"), rule: "sheet.edge", silent: true},

	// main hole 6.2 at most, anti-turn hole 2.2 at most, middles 4.9 apart
	{name: "anti-turn close", file: one("t-tab-close", "100", "100"), rule: "sheet.anti-turn", sev: finding.Warn, have: 0.7, want: 0.8},
	{name: "anti-turn apart", file: one("t-toggle", "100", "100"), rule: "sheet.anti-turn", silent: true},
	{name: "blind hole deep", file: one("t-tab-deep", "100", "100"), rule: "sheet.anti-turn", sev: finding.Warn, have: 0.5, want: 0.8},
	{name: "sharp corners", file: one("t-rocker", "100", "100"), rule: "sheet.corner", sev: finding.Note, have: 0.5, want: 1},
	{name: "sharp corners in aluminium", set: setting{sheet: "t-alu"}, file: one("t-rocker", "100", "100"), rule: "sheet.corner", silent: true},

	// bodies 8 wide
	{name: "bodies close", file: two("t-toggle", "t-toggle", "109.5", "100"), rule: "fit.body-body", sev: finding.Warn, have: 1.5, want: 2, head: "AA and BB sit close behind the face."},
	{name: "bodies meet", file: two("t-toggle", "t-toggle", "107.5", "100"), rule: "fit.body-body", sev: finding.Stop, have: -0.5, want: 2, head: "AA and BB meet behind the face."},
	{name: "bodies apart", file: two("t-toggle", "t-toggle", "110", "100"), rule: "fit.body-body", silent: true},
	// the bend is 8 wide below 26; the lamp's body ends at 15 but its lugs go down to 35
	{name: "wire against body", file: two("t-push", "t-lamp-deep", "100", "113"), rule: "fit.body-body", silent: true},
	{name: "wire into lugs", file: two("t-bent", "t-lamp-deep", "112.6", "100"), rule: "fit.body-body", sev: finding.Warn, have: -0.9, want: 0, head: "The wires of AA have little room beside BB."},
	// rib from 145 to 155; body 16 across
	{name: "body by the rib", file: rib + one("t-push", "164.5", "100"), rule: "fit.body-rib", sev: finding.Warn, have: 1.5, want: 2, head: "AA sits close to the rib"},
	{name: "body in the rib", file: rib + one("t-push", "161.5", "100"), rule: "fit.body-rib", sev: finding.Stop, have: -1.5, want: 2, head: "AA meets the rib"},
	{name: "body clear of the rib", file: rib + one("t-push", "165", "100"), rule: "fit.body-rib", silent: true},
	// a rib 25 high; the long part of the body starts deeper
	{name: "body under the rib", file: rib + one("t-hanging", "150", "100"), rule: "fit.body-rib", silent: true},
	{name: "body in the wall", file: boxed("60", one("t-push", "100", "17")), rule: "fit.body-wall", sev: finding.Stop, have: -1, want: 2, head: "AA meets the"},
	{name: "body clear of the wall", file: boxed("60", one("t-push", "100", "19.9")), rule: "fit.body-wall", sev: finding.Warn, have: 1.9, want: 2},

	// seated in front on 3 mm: lugs to 32 behind the sheet; of the button wires to 37
	{name: "too deep", file: boxed("31", one("t-lamp-deep", "100", "100")), rule: "fit.depth", sev: finding.Stop, have: -1, want: 2, head: "AA is too deep for the box."},
	{name: "nearly too deep", file: boxed("33", one("t-lamp-deep", "100", "100")), rule: "fit.depth", sev: finding.Warn, have: 1, want: 2},
	{name: "no room for wires", file: boxed("36", one("t-push", "100", "100")), rule: "fit.depth", sev: finding.Warn, have: -1, want: 0, head: "The wires of AA"},
	{name: "deep enough", file: boxed("37", one("t-push", "100", "100")), rule: "fit.depth", silent: true},

	// nuts 20 across
	{name: "nuts close", file: two("t-push", "t-push", "120.3", "100"), rule: "fit.nut", sev: finding.Warn, have: 0.3, want: 0.5},
	{name: "nuts meet", file: two("t-push", "t-push", "119.9", "100"), rule: "fit.nut", sev: finding.Stop, have: -0.1, want: 0.5, head: "The nuts of AA and BB meet."},
	{name: "nuts apart", file: two("t-push", "t-push", "120.5", "100"), rule: "fit.nut", silent: true},
	{name: "nut in the rib with its body", file: rib + one("t-push", "161.5", "100"), rule: "fit.nut", silent: true},
	{name: "nut on the rib", file: rib + one("t-push", "164.9", "100"), rule: "fit.nut", sev: finding.Stop, have: -0.1, want: 0.5, head: "The nut of AA does not seat."},

	// six corners, 18 / cos 30 deg = 20.785 across, whichever way they stand
	{name: "corners of nuts close", file: two("t-hex", "t-hex", "120.9", "100"), rule: "fit.nut", sev: finding.Warn, have: 20.9 - 18/math.Cos(math.Pi/6), want: 0.5, head: "The nuts of AA and BB all but touch."},
	{name: "corners of nuts close, turned", file: "controls:\n  aa: {part: t-hex, at: [100, 100], turn: 30, legend: \"\"}\n  bb: {part: t-hex, at: [120.9, 100], turn: 17, legend: \"\"}\n", rule: "fit.nut", sev: finding.Warn, have: 20.9 - 18/math.Cos(math.Pi/6), want: 0.5},
	{name: "corners of nuts meet", file: two("t-hex", "t-hex", "120.5", "100"), rule: "fit.nut", sev: finding.Stop, have: 20.5 - 18/math.Cos(math.Pi/6), want: 0.5, head: "The nuts of AA and BB meet."},

	// tool 26 across, the other's ring nut 20
	{name: "tools block each other", file: two("t-push", "t-push", "122.8", "100"), rule: "fit.tool", sev: finding.Stop, have: -0.2, want: 0, head: "block each other"},
	{name: "tools turn", file: two("t-push", "t-push", "123", "100"), rule: "fit.tool", silent: true},
	// tool 24 across, the other's corners 20.785: together 22.392 from the middle
	{name: "tool meets corners", file: two("t-hex", "t-hex", "122.3", "100"), rule: "fit.tool", sev: finding.Stop, have: 22.3 - 12 - 9/math.Cos(math.Pi/6), want: 0, head: "block each other"},
	{name: "tool passes corners", file: two("t-hex", "t-hex", "122.4", "100"), rule: "fit.tool", silent: true},
	// tool 22 and nut 11.547 across want 16.8; the washers, 20 across, lie below the tool
	{name: "tool over a washer", file: two("t-washer", "t-washer", "120.6", "100"), rule: "fit.tool", silent: true},
	{name: "order of mounting", file: two("t-push", "t-lamp", "115.4", "100"), rule: "fit.tool", sev: finding.Warn, have: -0.1, want: 0, head: "Mount AA before BB."},
	{name: "order of mounting, the other way round", file: two("t-lamp", "t-push", "115.4", "100"), rule: "fit.tool", sev: finding.Warn, have: -0.1, want: 0, head: "Mount BB before AA."},
	{name: "tool by the rib", file: rib + one("t-push", "167.8", "100"), rule: "fit.tool", sev: finding.Warn, have: -0.2, want: 0},
	// in front: tool 14 across, bezel 18
	{name: "tool in front", file: two("t-toggle", "t-lamp", "110.4", "100"), rule: "fit.tool", sev: finding.Warn, have: -0.1, want: 0, head: "Mount AA before BB."},

	// screw hole 3.4 in an opening of the box; body 10
	{name: "screw into a body", set: setting{fixings: "{screw: M3, head: 1, at: [[100, 50]]}"}, file: one("t-pot", "106", "50"), rule: "fit.fixing", sev: finding.Stop, have: 6 - 5 - 1.7, want: 1},
	{name: "screw finds no wood", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 50]]}"}, file: boxed("60", one("t-lamp", "200", "100")), rule: "fit.fixing", sev: finding.Stop, have: -(50 - 10), want: 2, head: "finds no wood"},
	// wall 10 thick, hole 3.4 in its middle: 5 - 1.7
	{name: "screw in the middle of the wall", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 5]]}"}, file: boxed("60", one("t-lamp", "200", "100")), rule: "fit.fixing", silent: true},
	{name: "screw at the side of the wall", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 7]]}"}, file: boxed("60", one("t-lamp", "200", "100")), rule: "fit.fixing", sev: finding.Warn, have: 1.3, want: 2, head: "little wood"},
	// in the corner of mitred walls, on the very line where they meet
	{name: "screw in a mitre", set: setting{fixings: "{screw: M3, head: 6, at: [[5, 5], [295, 195]]}"}, file: "box: {form: flat, depth: 60, walls: t-board, corners: mitre}\n" + one("t-lamp", "200", "100"), rule: "fit.fixing", silent: true},
	// a wall 10 thick and a ledge of 14 x 14 under a face that leans 10 degrees: the screw, 16 long, comes out where the ledge ends, and has wood all the way
	{name: "screw through a leaning ledge", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 12]]}"}, file: leaning + one("t-lamp", "200", "100"), rule: "fit.fixing", silent: true},
	{name: "screw beside a leaning ledge", set: setting{fixings: "{screw: M3, head: 6, at: [[100, 30]]}"}, file: leaning + one("t-lamp", "200", "100"), rule: "fit.fixing", sev: finding.Stop, have: -(30 - 24/math.Cos(10*math.Pi/180)), want: 2, head: "finds no wood"},
}

func findRule(fs []finding.Finding, rule string) []finding.Finding {
	var out []finding.Finding
	for _, f := range fs {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

func TestRules(t *testing.T) {
	cat := testCatalogue(t)
	for _, c := range ruleCases {
		t.Run(c.name, func(t *testing.T) {
			_, p := place(t, cat, c.set.file(c.file))
			r := face.Check(p)
			fs := findRule(r.Findings, c.rule)
			if c.silent {
				for _, f := range fs {
					t.Errorf("nothing was to be said, but: %s %s (%v)", f.Head, f.Body, f.Measure)
				}
				return
			}
			if len(fs) != 1 {
				t.Fatalf("%d findings of %s: %v", len(fs), c.rule, heads(r.Findings))
			}
			f := fs[0]
			if f.Severity != c.sev {
				t.Errorf("%s, wanted %s: %s", f.Severity, c.sev, f.Head)
			}
			if m := f.Measure; m == nil || math.Abs(m.Have-c.have) > 0.0011 || math.Abs(m.Want-c.want) > 0.0011 {
				t.Errorf("measured %+v, worked out %g of %g", m, c.have, c.want)
			}
			if !strings.Contains(f.Head, c.head) {
				t.Errorf("head %q, wanted %q in it", f.Head, c.head)
			}
			if f.Why == "" || len(f.Ends) == 0 || f.Place == nil {
				t.Errorf("the finding says too little: %+v", f)
			}
		})
	}
}

func heads(fs []finding.Finding) []string {
	var out []string
	for _, f := range fs {
		out = append(out, f.Rule+": "+f.Head)
	}
	return out
}
