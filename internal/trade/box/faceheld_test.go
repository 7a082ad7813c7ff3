package box_test

import (
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

const unheldDesk = `knobwright: 1
title: Signal desk
face: {width: 300, height: 180, sheet: acrylic-3mm}
box:
  form: flat
  depth: 80
  walls: birch-ply-12mm
  HELD
  LEDGE
  cable: {on: back, relief: clip}
module: {part: rp2040-40pin, at: [150, 90], on: base}
controls:
  go: {part: push-22mm, at: [150, 38], legend: GO}
  moon: {part: pot-16mm, at: [80, 110], legend: MOON}
`

func unheld(held, ledge string) []byte {
	return []byte(strings.NewReplacer("  HELD\n", held, "  LEDGE\n", ledge).Replace(unheldDesk))
}

func found(r *job.Result, rule string) (out []finding.Finding) {
	for _, f := range r.Findings {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

// TestFaceWithoutScrews: a face that is to be screwed, put on inserts or hinged and has no screws is a finding; its fix, put into the
// file, takes it away and brings no other stop or warning; and how the box opens speaks of no screws that are not there.
func TestFaceWithoutScrews(t *testing.T) {
	for _, tc := range []struct {
		name, held, ledge string
		fix               bool
	}{
		{"as usual", "", "  ledge: {width: 18, height: 16}\n", true},
		{"inserts", "  held: inserts\n  screws: {insert: M3}\n", "  ledge: {width: 18, height: 16}\n", true},
		{"hinged", "  held: hinged\n", "  ledge: {width: 18, height: 16}\n", true},
		{"no ledge", "", "", false},
	} {
		src := unheld(tc.held, tc.ledge)
		doc := project.Read("desk.yaml", src)
		r := job.Run(doc, catalog.Builtin())
		fs := found(r, "box.no-face-screws")
		if len(fs) != 1 || len(fs[0].Ends) != 2 || fs[0].Ends[0].Pos.Line == 0 {
			t.Errorf("%s: %+v", tc.name, fs)
			continue
		}
		for _, o := range r.Box.Opening {
			if strings.Contains(o.Say, "Undo the 0") || o.Board == "face" && len(o.Screws) > 0 && strings.Contains(o.Screws[0], "screw") {
				t.Errorf("%s: %+v", tc.name, o)
			}
		}
		if (len(fs[0].Fixes) == 1) != tc.fix {
			t.Errorf("%s: %+v", tc.name, fs[0].Fixes)
		}
		if !tc.fix {
			if !strings.Contains(fs[0].Body, "give it a ledge") {
				t.Errorf("%s: %s", tc.name, fs[0].Body)
			}
			continue
		}
		text, err := doc.Apply(fs[0].Fixes[0].Edits)
		if err != nil {
			t.Fatal(err)
		}
		after := job.Run(project.Read("desk.yaml", text), catalog.Builtin())
		if len(found(after, "box.no-face-screws")) > 0 || len(after.Panel.Fixings) < 2 {
			t.Errorf("%s: the fix does not mend it:\n%s", tc.name, text)
		}
		was := map[string]bool{}
		for _, f := range r.Findings {
			was[f.Rule+f.Head] = true
		}
		for _, f := range after.Findings {
			if f.Severity >= finding.Warn && !was[f.Rule+f.Head] {
				t.Errorf("%s: the fix brings %s: %s", tc.name, f.Rule, f.Head)
			}
		}
		if tc.name == "inserts" && len(after.Box.Inserts) != len(after.Panel.Fixings) {
			t.Errorf("%d inserts for %d screws", len(after.Box.Inserts), len(after.Panel.Fixings))
		}
	}
	glued := job.Run(project.Read("desk.yaml", unheld("  held: glued\n", "")), catalog.Builtin())
	if fs := found(glued, "box.no-face-screws"); len(fs) > 0 {
		t.Error("a glued face wants no screws")
	}
}

// TestScrewsOverNothing: screws beside the ledge hold in nothing; how the box opens does not have them undone.
func TestScrewsOverNothing(t *testing.T) {
	src := strings.Replace(string(unheld("  held: inserts\n  screws: {insert: M3}\n", "")), "sheet: acrylic-3mm}", "sheet: acrylic-3mm, fixings: {screw: M3, inset: 30}}", 1)
	r := job.Run(project.Read("desk.yaml", []byte(src)), catalog.Builtin())
	if len(found(r, "box.fixing")) == 0 {
		t.Error("no word of screws over nothing")
	}
	for _, o := range r.Box.Opening {
		if o.Board == "face" && (strings.Contains(o.Say, "Undo") || len(o.Screws) > 0) {
			t.Errorf("%+v", o)
		}
	}
}
