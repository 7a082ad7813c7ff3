package panel

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// slip is a file with one thing wrong and what is said of it.
type slip struct {
	name, file string // file goes under the usual head, or is whole when it begins with "knobwright"
	rule       string
	line       int    // of the main position
	head       string // part of the sentence
	ends       int
}

var slips = []slip{
	{"no part", "controls: {a: {at: [20, 30]}}", "place.unfinished", 4, "A has no part yet.", 1},
	{"no place", "controls: {a: {part: button}}", "place.unfinished", 4, "A has no place yet.", 1},
	{"neither", "controls: {a: {}}", "place.unfinished", 4, "A has neither a part nor a place yet.", 1},
	{"no size", "knobwright: 1\nface: {sheet: test-3mm}", "place.unfinished", 2, "The face has no size yet.", 1},
	{"no sheet", "knobwright: 1\nface: {width: 100, height: 50}", "place.unfinished", 2, "The face has no sheet yet.", 1},
	{"group without rule", "groups: {g: {part: button, controls: {a: {}}}}", "place.unfinished", 4, "has no row, column", 1},
	{"mirror before the face", "knobwright: 1\ncontrols: {a: {part: button, at: [1, 1]}}\nface: {width: 0, sheet: test-3mm, height: 10}\ngroups: {m: {mirror: {of: [a]}}}", "place.unfinished place.bad-size", 4, "no line yet", 1},
	{"opening without size", "  holes: {a: {at: [20, 30]}}", "place.unfinished", 4, "The opening a has no size yet.", 1},
	{"text without place", "  texts: {a: CUES}", "place.unfinished", 4, "The text a has no place yet.", 1},
	{"fixings without screw", "  fixings: {inset: 7}", "place.unfinished", 4, "have no size yet", 1},
	{"fixings without inset", "  fixings: {screw: M3, across: 3}", "place.unfinished", 4, "have no inset yet", 1},
	{"rib without height", "box: {walls: test-9mm, depth: 50, ribs: {m: {from: [20, 50], to: [180, 50], width: 9}}}", "place.unfinished", 4, "The rib M has no section yet.", 1},
	{"box without depth", "box: {walls: test-9mm}", "place.unfinished", 4, "The box has no depth yet.", 1},
	{"module before the depth", "module: {part: rp2040-40pin, at: [60, 50]}", "place.unfinished", 4, "The module lies on the base", 1},
	{"ledge without size", "box: {walls: test-9mm, depth: 50, ledge: {width: 9}}", "place.unfinished", 4, "The ledge has no size yet.", 1},

	{"width beside rack", "knobwright: 1\nface: {rack: 2, width: 100, sheet: test-3mm}", "place.no-effect", 2, "The width of the face has no effect", 1},
	{"count without names", "groups: {g: {part: button, row: {from: [20, 30], step: 20, count: 3}, controls: {a: {}}}}", "place.no-effect", 4, "The count of g has no effect", 1},
	{"step and to", "groups: {g: {part: button, row: {from: [20, 30], step: 20, to: 90}, controls: {a: {}, b: {}}}}", "place.no-effect", 4, "The step of g has no effect", 1},
	{"knob on a button", "controls: {a: {part: button, at: [40, 40], knob: 20}}", "place.no-effect", 4, "The knob of A has no effect", 1},
	{"knob on a button, mirrored", "controls: {a: {part: button, at: [40, 40], knob: 20}}\ngroups: {m: {mirror: {of: [a]}}}", "place.no-effect", 4, "The knob of A has no effect", 1},
	{"walls of no box", "box: {form: none, walls: test-9mm}", "place.no-effect", 4, "The walls have no effect", 1},

	{"part", "controls: {a: {part: buton, at: [20, 30]}}", "place.unknown-part", 4, "There is no part buton.", 1},
	{"part of a group, said once", "groups: {g: {part: buton, row: {from: [20, 30], step: 20}, controls: {a: {}, b: {}}}}", "place.unknown-part", 4, "There is no part buton.", 1},
	{"module", "box: {walls: test-9mm, depth: 50}\nmodule: {part: rp2040-40pins, at: [60, 50]}", "place.unknown-part", 5, "There is no part rp2040-40pins.", 1},
	{"sheet", "knobwright: 1\nface: {width: 100, height: 50, sheet: test-4mm}", "place.unknown-sheet", 2, "There is no sheet test-4mm.", 1},
	{"walls", "box: {walls: test-8mm, depth: 50}", "place.unknown-sheet", 4, "There is no sheet test-8mm.", 1},
	{"covering", "knobwright: 1\nface: {width: 100, height: 50, sheet: test-3mm, covering: test-fil}", "place.unknown-covering", 2, "There is no covering test-fil.", 1},
	{"bits", "tools: {bits: [twist-metric-0.5, step-4-21]}", "place.unknown-bits", 4, "There is no bit set step-4-21.", 1},
	{"screw", "  fixings: {screw: M33, inset: 7}", "place.unknown-screw", 4, "There is no screw M33.", 1},
	{"mirror of nobody", "controls: {go: {part: button, at: [40, 40]}}\ngroups: {m: {mirror: {of: [goo]}}}", "place.unknown-name", 5, "The group m names goo, but nothing bears that name.", 1},
	{"change to nobody", "groups: {g: {part: button, names: \"k-{n}\", row: {from: [20, 30], step: 20, count: 2}, controls: {k-3: {}}}}", "place.unknown-name", 4, "The group g has no member k-3.", 1},

	{"counted onto a name", "controls: {k-2: {part: button, at: [40, 80]}}\ngroups: {g: {part: button, names: \"k-{n}\", row: {from: [20, 30], step: 20, count: 2}}}", "place.duplicate", 5, "Two controls are called k-2.", 2},
	{"mirrored onto a name", "controls: {a: {part: button, at: [40, 80]}, a-m: {part: button, at: [90, 80]}}\ngroups: {g: {mirror: {of: [a]}}}", "place.duplicate", 5, "Two controls are called a-m.", 2},
	{"two rules", "groups: {g: {part: button, row: {from: [20, 30], step: 20}, column: {from: [20, 30], step: 20}, controls: {a: {}}}}", "place.group", 4, "a row and a column at once", 1},
	{"row without step", "groups: {g: {part: button, row: {from: [20, 30]}, controls: {a: {}, b: {}, c: {}}}}", "place.group", 4, "puts several controls on one spot", 1},
	{"arc without angles", "groups: {g: {part: button, arc: {centre: [50, 50], radius: 20}, controls: {a: {}, b: {}}}}", "place.group", 4, "puts several controls on one spot", 1},
	{"grid too small", "groups: {g: {part: button, grid: {from: [30, 70], step: [30, 30], columns: 2, rows: 1}, controls: {a: {}, b: {}, c: {}}}}", "place.group", 4, "has 2 places for 3 controls", 1},
	{"names without count", "groups: {g: {part: button, names: \"k-{n}\", row: {from: [20, 30], step: 20}}}", "place.group", 4, "does not say how many", 1},
	{"names with an unknown count", "groups: {g: {part: button, names: \"k-{m}\", row: {from: [20, 30], step: 20, count: 2}}}", "place.group", 4, "cannot be made from", 1},
	{"names that repeat", "groups: {g: {part: button, names: \"k-{row}\", row: {from: [20, 30], step: 20, count: 2}}}", "place.group", 4, "cannot be made from", 1},
	{"mirror of itself", "groups: {g: {mirror: {of: [h]}}, h: {copy: {of: [g], by: [1, 1]}}}", "place.cycle", 4, "is made of itself", 2},
	{"mirror of its own member", "groups: {g: {mirror: {of: [a-m-m, a]}}}\ncontrols: {a: {part: button, at: [40, 40]}}", "place.unknown-name", 4, "names a-m-m", 1},

	{"off to the left", "controls: {a: {part: button, at: [5, 50]}}", "place.off-sheet", 4, "leaves the sheet by 3 mm", 2},
	{"far off", "controls: {a: {part: button, at: [250, -20]}}", "place.off-sheet", 4, "leaves the sheet by 58 mm", 2},
	// the pilot hole of the tab, 3 across, stands 9 above the middle: 91 + 9 + 1.5 of 100
	{"anti-turn hole off", "controls: {a: {part: knob, at: [60, 91]}}", "place.off-sheet", 4, "The anti-turn hole of A leaves the sheet by 1.5 mm.", 2},
	{"opening off", "  holes: {a: {round: 10, at: [2, 50]}}", "place.off-sheet", 4, "The hole of A leaves the sheet by 3 mm", 2},
	{"fixing off", "  fixings: {screw: M3, at: [[1, 50]]}", "place.off-sheet", 4, "The hole of fixing 1 leaves the sheet", 2},

	{"zero width", "knobwright: 1\nface: {width: 0, height: 50, sheet: test-3mm}", "place.bad-size", 2, "The width of the face cannot be 0 mm.", 1},
	{"negative height", "knobwright: 1\nface: {width: 100, height: -50, sheet: test-3mm}", "place.bad-size", 2, "cannot be -50 mm", 1},
	{"absurd width", "knobwright: 1\nface: {width: 100 m, height: 50, sheet: test-3mm}", "place.bad-size", 2, "cannot be 100000 mm", 1},
	{"corner too round", "knobwright: 1\nface: {width: 100, height: 50, corner: 26, sheet: test-3mm}", "place.bad-size", 2, "The corner radius of the face", 1},
	{"sheet of no thickness", "knobwright: 1\nface: {width: 100, height: 50, sheet: {use: test-3mm, actual: 0}}", "place.bad-size", 2, "The thickness of the sheet of the face cannot be 0 mm.", 1},
	{"rack of no units", "knobwright: 1\nface: {rack: -1, sheet: test-3mm}", "place.bad-size", 2, "cannot be -1 units high", 1},
	{"walls in the rails", "knobwright: 1\nface: {rack: 3, sheet: test-3mm}\nbox: {walls: test-9mm, depth: 50}", "place.bad-size", 3, "The walls stand in the rails of the rack by 16.3 mm.", 2},
	{"no room between the walls", "knobwright: 1\nface: {width: 100, height: 17, sheet: test-3mm}\nbox: {walls: test-9mm, depth: 50}", "box.impossible", 3, "Front and back leave no room between them", 2},
	{"negative letters", "  legend: {cap: -3}", "place.bad-size", 4, "The height of the letters cannot be -3 mm.", 1},
	{"negative opening", "  holes: {a: {rect: [10, -4], at: [50, 50]}}", "place.bad-size", 4, "The opening a cannot be -4 mm.", 1},
	{"round and square", "  holes: {a: {round: 4, rect: [10, 4], at: [50, 50]}}", "place.bad-size", 4, "two of them are given", 1},
	{"a knob below zero, mirrored", "controls: {a: {part: knob, at: [40, 40], knob: -20}}\ngroups: {m: {mirror: {of: [a]}}}", "place.bad-size", 4, "The knob of A cannot be -20 mm.", 1},
	{"negative depth", "box: {walls: test-9mm, depth: -5}", "place.bad-size", 4, "The depth of the box cannot be -5 mm.", 1},
	{"rib outside", "box: {walls: test-9mm, depth: 50, ribs: {m: {from: [20, 50], to: [220, 50], width: 9, height: 20}}}", "place.bad-size", 4, "The rib M stands out beyond the face by 20 mm.", 2},
	{"rib of no length", "box: {walls: test-9mm, depth: 50, ribs: {m: {from: [20, 50], to: [20, 50], width: 9, height: 20}}}", "place.bad-size", 4, "has no length", 1},
	{"rib taller than the box", "box: {walls: test-9mm, depth: 50, ribs: {m: {from: [20, 50], to: [90, 50], width: 9, height: 60}}}", "place.bad-size", 4, "The height of the rib M cannot be 60 mm.", 1},
	{"too many screws", "  fixings: {screw: M3, inset: 7, across: 1000}", "place.bad-size", 4, "There cannot be 1000 screws along an edge.", 1},
	{"countless", "groups: {g: {part: button, names: \"k-{n}\", row: {from: [20, 30], step: 20, count: 2000000}}}", "place.bad-size", 4, "cannot have 2000000 places", 1},
	{"columns below zero", "groups: {g: {part: button, names: \"k-{n}\", grid: {from: [20, 30], step: [20, 20], columns: -1, rows: 2}}}", "place.bad-size", 4, "cannot have -1 columns", 1},

	{"wedge without sizes", "box: {form: wedge, walls: test-9mm}", "box.sizes-missing", 4, "The box is not settled yet: 2 sizes are wanted.", 1},
	{"wedge without a slope", "box: {form: wedge, walls: test-9mm, front: 45}", "box.sizes-missing", 4, "The box is not settled yet: one size is wanted.", 1},
	{"heights against a depth", "box: {walls: test-9mm, depth: 50, front: 90}", "box.sizes-disagree", 4, "The clear depth is given as 50 mm", 2},
	{"height behind against the slope", "box: {form: wedge, walls: test-9mm, front: 45, slope: 14 deg, back: 100}", "box.sizes-disagree", 4, "The back height is given as 100 mm", 4},
	{"outside against the face", "box: {walls: test-9mm, depth: 50, outside: [250, 100]}", "box.sizes-disagree", 4, "The width is given as 250 mm", 2},
	{"steep desk", "box: {form: desk, walls: test-9mm, front: 40, back: 400}", "box.impossible", 4, "No box has front height 40 mm", 3},
	{"face upright", "box: {form: wedge, walls: test-9mm, front: 40, slope: 85 deg}", "box.impossible", 4, "steeper than 75", 1},
	{"wedge of no slope", "box: {form: wedge, walls: test-9mm, front: 40, slope: 0}", "place.bad-size", 4, "a wedge whose face lies level is a flat box.", 2},
	{"desk of no slope", "box: {form: desk, walls: test-9mm, front: 40, slope: 0 deg}", "place.bad-size", 4, "a desk whose face lies level is a flat box.", 2},
	{"desk as high in front as behind", "box: {form: desk, walls: test-9mm, front: 60, back: 60}", "box.impossible", 4, "The slope comes out at 0°", 2},
	{"slope beyond upright", "box: {form: wedge, walls: test-9mm, front: 40, slope: 95 deg}", "place.bad-size", 4, "The slope cannot be 95°.", 1},
	{"lower behind than in front", "box: {form: desk, walls: test-9mm, front: 90, back: 60}", "box.impossible", 4, "must not be less than 0", 1},
	{"base that cannot enter", "knobwright: 1\nface: {width: 19.5, height: 60, sheet: test-3mm}\nbox: {walls: test-9mm, depth: 50, base-fit: let-in, play: 0.5}", "box.no-entry", 3, "The base cannot enter", 2},
	{"rib into a ledge", "box: {walls: test-9mm, depth: 50, blocks: 30, ribs: {m: {from: [100, 30], to: [180, 30], width: 9, height: 20}}}", "box.impossible", 4, "meets the", 2},
	{"upper face of a wedge", "box: {form: wedge, walls: test-9mm, front: 45, slope: 10 deg}\ncontrols: {a: {part: button, at: [40, 20], on: upper}}", "box.no-board", 5, "A is on upper, which a box of the form wedge has not.", 2},
	{"side of no box", "controls: {a: {part: button, at: [40, 20], on: left}}", "box.no-board", 4, "A is on left, but the panel has no box.", 2},
	{"side of a box unsettled", "box: {form: wedge, walls: test-9mm}\ncontrols: {a: {part: button, at: [40, 20], on: left}}", "place.unfinished box.sizes-missing", 5, "the boards of the box are not known yet", 2},
	{"slope of a flat box", "box: {walls: test-9mm, depth: 50, slope: 5 deg}", "place.no-effect", 4, "The slope has no effect", 1},
	{"hand rest of a wedge", "box: {form: wedge, walls: test-9mm, front: 45, slope: 10 deg, rest: 60}", "place.no-effect", 4, "The hand rest has no effect", 1},
	{"cleat of a base laid under", "box: {walls: test-9mm, depth: 50, cleat: {width: 9, height: 9}}", "place.no-effect", 4, "The cleat has no effect", 1},
	{"square edges of a flat box", "box: {walls: test-9mm, depth: 50, edges: square}", "place.no-effect", 4, "The square edges have no effect", 1},
	{"play of nothing", "box: {walls: test-9mm, depth: 50, play: 1}", "place.no-effect", 4, "The play has no effect", 1},
	{"slope below zero", "box: {form: wedge, walls: test-9mm, front: 45, slope: -5 deg}", "place.bad-size", 4, "The slope cannot be -5°.", 1},
	{"negative kerf", "box: {walls: test-9mm, depth: 50, saw: {kerf: -1}}", "place.bad-size", 4, "The kerf of the saw cannot be -1 mm.", 1},
	{"walls thicker than the box", "knobwright: 1\nface: {width: 17, height: 60, sheet: test-3mm}\nbox: {walls: test-9mm, depth: 50}", "box.impossible", 3, "The sides leave no room between them", 2},

	{"emergency stop", "controls: {a: {part: button, at: [50, 50], legend: E-STOP}}", "safety.emergency-stop", 4, "E-STOP reads like an emergency stop", 1},
	{"mains", "controls: {a: {part: button, at: [50, 50], note: switches the 230 V lamps}}", "safety.mains", 4, "Mains is refused here. Ask a licensed electrician.", 1},
}

func (s slip) text() string {
	switch {
	case strings.HasPrefix(s.file, "knobwright"):
		return s.file
	case strings.HasPrefix(s.file, "  "): // goes on under face:
		return "knobwright: 1\ntitle: Test\nface: {width: 200, height: 100, sheet: test-3mm, covering: test-film, " + s.file[2:] + "}"
	}
	return head + s.file
}

func TestSlips(t *testing.T) {
	seen := map[string]bool{}
	usual := map[string]finding.Severity{}
	for _, r := range Rules {
		usual[r.Name] = r.Severity
	}
	for _, s := range slips {
		t.Run(s.name, func(t *testing.T) {
			text := s.text()
			line := s.line
			if strings.HasPrefix(s.file, "  ") {
				line = 3 // within face:
			}
			_, fs := placeWhole(t, text)
			want := strings.Fields(s.rule) // the finding, then others that cannot be helped
			if len(fs) != len(want) {
				t.Fatalf("%d findings, %d are wanted: %s", len(fs), len(want), rules(fs))
			}
			if !slices.ContainsFunc(fs, func(f finding.Finding) bool { return f.Rule == want[0] }) {
				t.Fatalf("%s is wanted: %s", want[0], rules(fs))
			}
			f := fs[slices.IndexFunc(fs, func(f finding.Finding) bool { return f.Rule == want[0] })]
			seen[f.Rule] = true
			if f.Pos().Line != line || !strings.Contains(f.Head, s.head) || len(f.Ends) != s.ends {
				t.Errorf("got %s at line %d with %d ends: %s %s", f.Rule, f.Pos().Line, len(f.Ends), f.Head, f.Body)
			}
			if f.Severity != usual[f.Rule] {
				t.Errorf("%s is %s, its rule says %s", f.Rule, f.Severity, usual[f.Rule])
			}
			for _, e := range f.Ends {
				if e.Name == "" || e.Path == "" || e.Pos.Line == 0 {
					t.Errorf("an end without name or place: %+v", e)
				}
			}
			if strings.Contains(f.Head, "  ") || !strings.HasSuffix(f.Head, ".") || f.Body != "" && !strings.ContainsAny(f.Body[len(f.Body)-1:], ".?:") {
				t.Errorf("not plain sentences: %q %q", f.Head, f.Body)
			}
		})
	}
	for _, r := range Rules {
		if !seen[r.Name] {
			t.Errorf("no slip here breaks %s", r.Name)
		}
	}
}

// A fix that is offered must mend: applied, its finding is gone and no new one has come.
func TestFixesMend(t *testing.T) {
	offered := 0
	for _, s := range slips {
		doc := project.Read("test.yaml", []byte(s.text()))
		_, before := Place(doc, testCatalog(t))
		for _, f := range before {
			for _, fix := range f.Fixes {
				offered++
				src, err := doc.Apply(fix.Edits)
				if err != nil {
					t.Errorf("%s: %s: %v", s.name, fix.Say, err)
					continue
				}
				again := project.Read("test.yaml", src)
				_, after := Place(again, testCatalog(t))
				if len(after) >= len(before) || len(again.Findings) > len(doc.Findings) {
					t.Errorf("%s: %s leaves %s\n%s", s.name, fix.Say, rules(after), src)
				}
			}
		}
	}
	if offered < 15 {
		t.Errorf("only %d fixes were offered", offered)
	}
}

// The edit of Move shifts exactly its control by exactly its vector.
func TestMoveMoves(t *testing.T) {
	const file = `
controls:
  a: {part: button, at: [20, 20]}
  z: {part: button, at: [120, 20], shift: [5, 5]}
groups:
  r:
    part: button
    row: {from: [20, 50], step: 30}
    turn: 10
    controls:
      c: {}
      d: {shift: [1, 2]}
      e: {at: [150, 50]}
      f:
  n: {part: button, row: {from: [20, 80], step: 30, count: 3}, names: "g{n}", controls: {g2: {shift: [0, 1]}}}
`
	p, fs := placeText(t, file)
	wantClean(t, fs)
	doc := project.Read("test.yaml", []byte(head+file))
	for _, c := range p.Controls {
		by := P(3.5, -2.25).Vec2
		fix, ok := p.Move(c.Origin, by)
		if !ok {
			t.Errorf("%s cannot be moved", c.Name)
			continue
		}
		if fix.Say != "Move it 3.5 mm right and 2.25 mm down" {
			t.Errorf("%s: %q", c.Name, fix.Say)
		}
		src, err := doc.Apply(fix.Edits)
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		q, _ := Place(project.Read("test.yaml", src), testCatalog(t))
		for i, d := range q.Controls {
			want := p.Controls[i].At.Vec2
			if d.Name == c.Name {
				want = want.Add(by)
			}
			if d.At.Sub(want).Len() > 0.006 { // a place is written to a hundredth
				t.Errorf("moving %s puts %s at %v, not %v\n%s", c.Name, d.Name, d.At, want, src)
			}
		}
	}
}

func TestInchFilesKeepInches(t *testing.T) {
	p, fs := placeWhole(t, `knobwright: 1
units: in
face: {width: 8, height: 4, sheet: test-3mm}
controls: {a: {part: button, at: [0, 2]}}
`)
	if len(fs) != 1 || !near(p.Face.Width, 203.2) {
		t.Fatalf("%s, width %v", rules(fs), p.Face.Width)
	}
	// the hole, 16 across, comes in by 8 mm, and by 3 more for its rim: 11 mm are 0.4331 in
	want := []finding.Edit{{Op: finding.Set, Path: "controls.a.at.0", Value: "0.434"}}
	if f := fs[0]; !strings.Contains(f.Head, " in.") || !slices.Equal(f.Fixes[0].Edits, want) || f.Fixes[0].Short != "at: [0.434, 2]" {
		t.Errorf("%s %+v", f.Head, f.Fixes)
	}
}

func TestHalfFinishedFilesKeepTheRest(t *testing.T) {
	p, _ := placeWhole(t, `knobwright: 1
controls:
  a: {part: knob, at: [20, 30]}
  b: {part: knob}
  c: {at: [60, 30]}
  d:
`)
	if len(p.Controls) != 1 || len(p.Waiting) != 3 || p.Face.HasSize() {
		t.Errorf("%d placed, %d waiting", len(p.Controls), len(p.Waiting))
	}
	if c := p.Controls[0]; len(c.Cuts) != 2 || len(c.Rear) != 2 || len(c.Front) == 0 {
		t.Errorf("%+v", c)
	}
	if p.Waiting[0].Part.ID != "knob" || p.Waiting[1].At != P(60, 30) {
		t.Errorf("%+v", p.Waiting)
	}
}

// What may not be zero must be more than zero; there is no line on a ruler for that.
func TestBadSizeWords(t *testing.T) {
	for _, c := range []struct {
		height, body string
		want         *finding.Measure
	}{
		{"0", "It must be more than 0 mm, and 3000 mm at most.", nil},
		{"-3", "It must be more than 0 mm, and 3000 mm at most.", nil},
		{"3001", "It must be more than 0 mm, and 3000 mm at most.", &finding.Measure{Have: 3001, Want: 3000, Unit: "mm", Sense: finding.AtMost}},
	} {
		_, fs := placeWhole(t, "knobwright: 1\nface: {width: 100, height: "+c.height+", sheet: test-3mm}")
		if len(fs) != 1 || fs[0].Body != c.body || !reflect.DeepEqual(fs[0].Measure, c.want) {
			t.Errorf("%s: %+v", c.height, fs)
		}
	}
	_, fs := placeWhole(t, "knobwright: 1\nface: {width: 100, height: 50, corner: -1, sheet: test-3mm}")
	if want := (&finding.Measure{Have: -1, Want: 0, WantMax: 25, Unit: "mm", Sense: finding.Between}); len(fs) != 1 || fs[0].Body != "It can be from 0 mm to 25 mm." || !reflect.DeepEqual(fs[0].Measure, want) {
		t.Errorf("%+v", fs)
	}
}

// A control is brought in with all of its holes: the tab's hole reaches 10.5 above the middle, and 3 mm of sheet stay.
func TestAllHolesComeIn(t *testing.T) {
	_, fs := placeText(t, "controls: {a: {part: knob, at: [60, 91]}}")
	var got []string
	for _, f := range fs {
		if f.Rule == "place.off-sheet" {
			for _, x := range f.Fixes {
				got = append(got, x.Say, x.Short)
			}
		}
	}
	if want := "Move it 4.5 mm down; at: [60, 86.5]"; strings.Join(got, "; ") != want {
		t.Errorf("%q, worked out %q", got, want)
	}
}
