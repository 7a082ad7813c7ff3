package face_test

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/trade/face"
)

func named(part, x, y, legend string) string {
	return "controls:\n  aa: {part: " + part + ", at: [" + x + ", " + y + "], legend: " + legend + "}\n"
}

func faced(extra string) setting {
	return setting{corner: "0, " + extra}
}

// What a thing has to say for itself, and its letters.
var ownCases = []struct {
	name   string
	set    setting
	file   string
	rule   string
	silent bool
	sev    finding.Severity
	want   *finding.Measure // nil: not looked at
	head   string
	body   string
}{
	// grip 1 to 2.5 with a clip
	{name: "too thick for a clip", file: one("t-rocker", "100", "100"), rule: "fit.grip", sev: finding.Stop, want: &finding.Measure{Have: 3, Want: 1, WantMax: 2.5, Unit: "mm", Sense: finding.Between}, head: "AA cannot hold this sheet.", body: "0.5 mm too much"},
	// nothing grips these: 5 - 4 and 3 - 2.5 too thick
	{name: "bare lamp in a thick sheet", set: setting{sheet: "{use: t-acrylic, actual: 5}"}, file: one("t-led", "100", "100"), rule: "fit.grip", sev: finding.Warn, want: &finding.Measure{Have: 5, Want: 4, Unit: "mm", Sense: finding.AtMost}, head: "AA sits deep in this sheet.", body: "Its head ends 1 mm too far back"},
	{name: "bare lamp in a thin sheet", set: setting{sheet: "{use: t-alu, actual: 0.5}"}, file: one("t-led", "100", "100"), rule: "fit.grip", silent: true},
	{name: "bare lamp a hair deep", set: setting{sheet: "{use: t-acrylic, actual: 4.04}"}, file: one("t-led", "100", "100"), rule: "fit.grip", silent: true},
	{name: "socket on screws", file: one("t-socket", "100", "100"), rule: "fit.grip", sev: finding.Warn, want: &finding.Measure{Have: 3, Want: 2.5, Unit: "mm", Sense: finding.AtMost}, head: "AA sits deep", body: "It sits 0.5 mm too far back: a plug may not reach in."},
	// a clip rattles when more than a tenth is missing, also of the sheet as sold: 2.6
	{name: "clip of 2.7 in sheet as sold", set: setting{sheet: "t-acrylic-rough"}, file: "controls:\n  aa: {part: t-rocker, at: [100, 100], legend: \"\", adjust: {grip: [2.7, 4]}}\n", rule: "fit.grip", silent: true},
	{name: "grips", set: setting{sheet: "t-alu"}, file: one("t-rocker", "100", "100"), rule: "fit.grip", silent: true},
	{name: "film counts", set: setting{sheet: "t-alu", cover: "{use: t-film, thickness: 0.6}"}, file: one("t-rocker", "100", "100"), rule: "fit.grip", sev: finding.Stop, want: &finding.Measure{Have: 2.6, Want: 1, WantMax: 2.5, Unit: "mm", Sense: finding.Between}},
	{name: "too thin for a clip", set: setting{sheet: "{use: t-alu, actual: 0.8}"}, file: one("t-rocker", "100", "100"), rule: "fit.grip", sev: finding.Stop, head: "AA rattles in this sheet."},
	{name: "too thin for a nut", set: setting{sheet: "{use: t-alu, actual: 0.4}"}, file: one("t-push", "100", "100"), rule: "fit.grip", sev: finding.Warn, head: "AA needs a washer behind the sheet."},
	{name: "as sold too thick", set: setting{sheet: "t-acrylic-rough"}, file: "controls:\n  aa: {part: t-rocker, at: [100, 100], legend: \"\", adjust: {grip: [1, 3.2]}}\n", rule: "fit.grip", sev: finding.Warn, want: &finding.Measure{Have: 3.4, Want: 1, WantMax: 3.2, Unit: "mm", Sense: finding.Between}, head: "AA may not hold this sheet."},
	{name: "measured", set: setting{sheet: "{use: t-acrylic-rough, actual: 3.1}"}, file: "controls:\n  aa: {part: t-rocker, at: [100, 100], legend: \"\", adjust: {grip: [1, 3.2]}}\n", rule: "fit.grip", silent: true},
	{name: "as sold too thin", set: setting{sheet: "t-acrylic-rough"}, file: "controls:\n  aa: {part: t-rocker, at: [100, 100], legend: \"\", adjust: {grip: [2.8, 4]}}\n", rule: "fit.grip", sev: finding.Warn, head: "AA may rattle in this sheet."},
	{name: "one part, one finding", file: "controls:\n  aa: {part: t-rocker, at: [50, 100]}\n  bb: {part: t-rocker, at: [100, 100]}\n  cc: {part: t-rocker, at: [150, 100]}\n  dd: {part: t-rocker, at: [200, 100]}\n", rule: "fit.grip", sev: finding.Stop, head: "AA, BB and 2 more cannot hold this sheet."},

	// thread 7, sheet 3, nut 2: 2 left of 1.5 x 0.75
	{name: "thread", file: one("t-pot", "100", "100"), rule: "fit.thread", silent: true},
	{name: "no thread left", set: setting{sheet: "{use: t-acrylic, actual: 4}"}, file: "controls:\n  aa: {part: t-pot, at: [100, 100], legend: \"\", adjust: {thread: {length: 5}}}\n", rule: "fit.thread", sev: finding.Stop, want: &finding.Measure{Have: -1, Want: 1.125, Unit: "mm"}, head: "The nut of AA has too little thread."},
	{name: "barely full", set: setting{sheet: "{use: t-acrylic, actual: 4}"}, file: one("t-pot", "100", "100"), rule: "fit.thread", sev: finding.Warn, want: &finding.Measure{Have: 1, Want: 1.125, Unit: "mm"}, head: "barely full"},
	// thread 7.1, sheet 4, nut 2: 1.1 of 1.125 is no matter
	{name: "all but full", set: setting{sheet: "{use: t-acrylic, actual: 4}"}, file: "controls:\n  aa: {part: t-pot, at: [100, 100], legend: \"\", adjust: {thread: {length: 7.1}}}\n", rule: "fit.thread", silent: true},
	{name: "as sold too little", set: setting{sheet: "t-acrylic-rough"}, file: "controls:\n  aa: {part: t-pot, at: [100, 100], legend: \"\", adjust: {thread: {length: 6.2, pitch: 0.5}}}\n", rule: "fit.thread", silent: true},
	{name: "proud", file: one("t-pot-proud", "100", "100"), rule: "fit.thread", sev: finding.Note, want: &finding.Measure{Have: 5, Want: 4, Unit: "mm", Sense: finding.AtMost}, head: "Much thread of AA stands out"},
	{name: "grip says it already", set: setting{sheet: "{use: t-acrylic, actual: 5.5}"}, file: one("t-pot", "100", "100"), rule: "fit.thread", silent: true},

	{name: "folded film", set: setting{cover: "t-folded"}, file: two("t-push", "t-toggle", "200", "100"), rule: "fit.hole-cover", sev: finding.Note, head: "The covering makes the holes of AA and BB smaller by 0.2 mm."},
	{name: "trimmed film", set: setting{cover: "t-film"}, file: one("t-push", "100", "100"), rule: "fit.hole-cover", silent: true},
	// bezel 5.4 on a hole of up to 5.2, 0.2 off
	{name: "hole shows", file: one("t-lamp-narrow", "100", "100"), rule: "fit.bezel-hides", sev: finding.Warn, want: &finding.Measure{Have: 0.2 - 0.1 - 0.2, Want: 0.3, Unit: "mm"}, head: "AA barely hides its hole."},
	{name: "hole hidden", file: one("t-lamp", "100", "100"), rule: "fit.bezel-hides", silent: true},
	{name: "anti-turn hole shows", file: one("t-tab-through", "100", "100"), rule: "fit.bezel-hides", sev: finding.Note, head: "The anti-turn hole of AA shows in front."},
	{name: "anti-turn hole blind", file: one("t-toggle", "100", "100"), rule: "fit.bezel-hides", silent: true},

	// 2 x 500 x tan(8') = 2.327
	{name: "small letters", set: faced("legend: {cap: 2.2}"), file: named("t-push", "100", "100", "GO"), rule: "legend.size", sev: finding.Warn, want: &finding.Measure{Have: 2.2, Want: 1000 * math.Tan(8.0/60*math.Pi/180), Unit: "mm"}, head: "The letters of GO are small."},
	{name: "large letters", set: faced("legend: {cap: 2.4}"), file: named("t-push", "100", "100", "GO"), rule: "legend.size", silent: true},
	{name: "letters of one height", set: faced("legend: {cap: 2.2}"), file: "controls:\n  aa: {part: t-push, at: [50, 100]}\n  bb: {part: t-push, at: [100, 100]}\n  cc: {part: t-push, at: [150, 100], legend: {text: CC, cap: 3}}\n", rule: "legend.size", sev: finding.Warn, head: "The letters of AA and BB are small."},
	{name: "letters off the face", file: named("t-push", "100", "14", "GO"), rule: "legend.off-sheet", sev: finding.Stop, head: "The letters of GO leave the face."},
	{name: "letters on the face", file: named("t-push", "100", "25", "GO"), rule: "legend.off-sheet", silent: true},
	{name: "no such letter", file: named("t-push", "100", "100", "\"GO \\uE000\""), rule: "legend.glyph", sev: finding.Stop},
	{name: "coarse letters", file: named("t-push", "100", "100", "\"GO \u5149\""), rule: "legend.glyph", sev: finding.Note},
	{name: "from right to left", file: named("t-push", "100", "100", "\"\u05D0\u05D1\""), rule: "legend.glyph", silent: true},
	{name: "such letters", file: named("t-push", "100", "100", "GRÖSSE"), rule: "legend.glyph", silent: true},
	// letters stand 2 below the bezel, 4 high; the other bezel reaches up to 9 above its middle
	{name: "letters under a bezel", file: "controls:\n  aa: {part: t-push, at: [100, 100], legend: GO}\n  bb: {part: t-push, at: [100, 78], legend: \"\"}\n", rule: "legend.hidden", sev: finding.Warn, head: "The letters of GO are under the bezel of BB."},
	{name: "letters clear of a bezel", file: "controls:\n  aa: {part: t-push, at: [100, 100], legend: GO}\n  bb: {part: t-push, at: [100, 70], legend: \"\"}\n", rule: "legend.hidden", silent: true},
	{name: "letters meet", file: "controls:\n  aa: {part: t-push, at: [100, 100], legend: SOUNDS AND LIGHTS}\n  bb: {part: t-push, at: [130, 100], legend: LIGHTS AND SOUNDS}\n", rule: "legend.overlap", sev: finding.Warn, head: "The letters of SOUNDS AND LIGHTS and LIGHTS AND SOUNDS meet."},
	{name: "letters apart", file: "controls:\n  aa: {part: t-push, at: [100, 100], legend: S}\n  bb: {part: t-push, at: [130, 100], legend: L}\n", rule: "legend.overlap", silent: true},
	{name: "letters on an opening", set: faced("holes: {cable: {round: 10, at: [100, 85]}}"), file: named("t-push", "100", "100", "GO"), rule: "legend.overlap", sev: finding.Warn, head: "GO"},

	// the rib reaches to 155, the wall to 10, the socket's body 6 up from its middle, the knob 12
	{name: "opening over a rib", set: faced("holes: {cable: {round: 10, at: [159, 100]}}"), file: rib + one("t-push", "60", "100"), rule: "fit.opening", sev: finding.Warn, want: &finding.Measure{Have: -1, Want: 0, Unit: "mm"}, head: "The opening CABLE is blocked by the rib MIDDLE."},
	{name: "opening beside a rib", set: faced("holes: {cable: {round: 10, at: [160, 100]}}"), file: rib + one("t-push", "60", "100"), rule: "fit.opening", silent: true},
	{name: "opening over a wall", set: faced("holes: {cable: {rect: [20, 10], at: [19, 100]}}"), file: boxed("60", one("t-push", "100", "100")), rule: "fit.opening", sev: finding.Warn, want: &finding.Measure{Have: -1, Want: 0, Unit: "mm"}, head: "the left side"},
	// the lamp's wide part is 32 mm behind: a cable gets past
	{name: "opening far over a body", set: faced("holes: {cable: {round: 6, at: [112, 100]}}"), file: one("t-hanging", "100", "100"), rule: "fit.opening", silent: true},
	{name: "opening over a body", set: faced("holes: {cable: {round: 2, at: [109, 105]}}"), file: one("t-socket", "100", "100"), rule: "fit.opening", sev: finding.Warn, want: &finding.Measure{Have: -2, Want: 0, Unit: "mm"}, head: "by the body of AA"},
	{name: "opening under a nut", set: faced("holes: {cable: {round: 2, at: [109.5, 100]}}"), file: one("t-push", "100", "100"), rule: "fit.opening", sev: finding.Warn, want: &finding.Measure{Have: -1.5, Want: 0, Unit: "mm"}, head: "The opening CABLE is blocked by the ring of AA."},
	{name: "opening that runs into a hole", set: faced("holes: {cable: {round: 10, at: [110, 100]}}"), file: one("t-push", "100", "100"), rule: "fit.opening", silent: true},
	{name: "opening under a knob", set: faced("holes: {vent: {round: 4, at: [100, 113]}}"), file: one("t-pot", "100", "100"), rule: "fit.opening", sev: finding.Warn, want: &finding.Measure{Have: -1, Want: 0, Unit: "mm"}, head: "The opening VENT is under the knob of AA."},
	{name: "opening beside a knob", set: faced("holes: {vent: {round: 4, at: [100, 114]}}"), file: one("t-pot", "100", "100"), rule: "fit.opening", silent: true},
	{name: "corner block", file: "box: {form: flat, depth: 60, walls: t-board, blocks: 20}\n" + one("t-push", "37", "37"), rule: "fit.body-block", sev: finding.Warn, want: &finding.Measure{Have: 7*math.Sqrt2 - 8, Want: 2, Unit: "mm"}},
	{name: "ledge", file: "box: {form: flat, depth: 60, walls: t-board, ledge: {width: 12, height: 12}}\n" + one("t-push", "100", "29"), rule: "fit.body-ledge", sev: finding.Stop, want: &finding.Measure{Have: -1, Want: 2, Unit: "mm"}},
	{name: "module", file: "box: {form: flat, depth: 30, walls: t-board}\nmodule: {part: rp2040-40pin, at: [100, 100], on: base}\n" + one("t-push", "100", "100"), rule: "fit.body-module", sev: finding.Stop},
	{name: "module elsewhere", file: "box: {form: flat, depth: 40, walls: t-board}\nmodule: {part: rp2040-40pin, at: [200, 100], on: base}\n" + one("t-push", "60", "100"), rule: "fit.body-module", silent: true},
}

func TestOwnRules(t *testing.T) {
	cat := testCatalogue(t)
	for _, c := range ownCases {
		t.Run(c.name, func(t *testing.T) {
			src := c.set.file(c.file)
			if strings.Contains(c.set.corner, "legend") { // the usual lettering of the base gives way
				src = strings.Replace(src, ", legend: {cap: 4}", "", 1)
			}
			_, p := place(t, cat, src)
			fs := findRule(face.Check(p).Findings, c.rule)
			if c.silent {
				for _, f := range fs {
					t.Errorf("nothing was to be said, but: %s %s (%v)", f.Head, f.Body, f.Measure)
				}
				return
			}
			if len(fs) != 1 {
				t.Fatalf("%d findings of %s: %v", len(fs), c.rule, heads(face.Check(p).Findings))
			}
			f := fs[0]
			if f.Severity != c.sev {
				t.Errorf("%s, wanted %s: %s", f.Severity, c.sev, f.Head)
			}
			if w := c.want; w != nil {
				m := f.Measure
				if m == nil || math.Abs(m.Have-w.Have) > 0.001 || math.Abs(m.Want-w.Want) > 0.001 || math.Abs(m.WantMax-w.WantMax) > 0.001 || m.Sense != w.Sense || m.Unit != w.Unit {
					t.Errorf("measured %+v, worked out %+v", m, w)
				}
			}
			if !strings.Contains(f.Head, c.head) || !strings.Contains(f.Body, c.body) {
				t.Errorf("%q %q, wanted %q %q in it", f.Head, f.Body, c.head, c.body)
			}
		})
	}
}

// Less than a twentieth of a millimetre is no matter for a warning; an overlap stays one, however small.
func TestPetty(t *testing.T) {
	cat := testCatalogue(t)
	for _, c := range []struct {
		dx   string
		rule string
		want int
	}{
		{"124.96", "reach.neighbours", 0}, // caps 12 across: 12.96 of 13
		{"124.94", "reach.neighbours", 1},
		{"120.46", "fit.nut", 0}, // rings 20 across: 0.46 of 0.5
		{"119.98", "fit.nut", 1}, // they overlap
	} {
		_, p := place(t, cat, setting{}.file(two("t-push", "t-push", c.dx, "100")))
		if got := len(findRule(face.Check(p).Findings, c.rule)); got != c.want {
			t.Errorf("%s: %d findings of %s, wanted %d", c.dx, got, c.rule, c.want)
		}
	}
}

// Many screws are counted, not listed.
func TestManyFixings(t *testing.T) {
	cat := testCatalogue(t)
	_, p := place(t, cat, setting{fixings: "{screw: M3, inset: 4.8, across: 4, up: 4}"}.file(one("t-push", "100", "100")))
	fs := findRule(face.Check(p).Findings, "sheet.edge")
	if len(fs) != 1 || fs[0].Head != "The holes of 12 fixings are close to an edge." {
		t.Errorf("%+v", fs)
	}
}

// A ring nut and a washer are called so, a nut with corners is called a nut.
func TestNutWords(t *testing.T) {
	cat := testCatalogue(t)
	for _, c := range []struct{ file, want string }{
		{two("t-push", "t-push", "119.9", "100"), "Their rings overlap by 0.1 mm;"},
		{two("t-hex", "t-hex", "120.5", "100"), "Their nuts overlap by 0.28 mm;"}, // 20.785 - 20.5
		{two("t-washer", "t-washer", "119.9", "100"), "Their washers overlap by 0.1 mm;"},
		{rib + one("t-push", "164.9", "100"), "Its ring runs 0.1 mm into the rib MIDDLE."},
		{rib + one("t-washer", "164.9", "100"), "Its washer runs 0.1 mm into the rib MIDDLE."},
		{rib + one("t-hex", "165", "100"), "It runs 0.39 mm into the rib MIDDLE."}, // 155 + 10.392 - 165
	} {
		_, p := place(t, cat, setting{}.file(c.file))
		fs := findRule(face.Check(p).Findings, "fit.nut")
		if len(fs) != 1 || !strings.Contains(fs[0].Body, c.want) {
			t.Errorf("%+v, wanted %q", fs, c.want)
		}
	}
}
