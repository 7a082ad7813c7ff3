package job

import (
	"reflect"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// What a touch finds is found by a check too, word for word.
func TestTouchIsAPartOfCheck(t *testing.T) {
	for _, name := range examples.Names() {
		doc := project.Read(name, examples.File(name))
		doc.File.Keep = nil // what is kept, and keeps that match nothing, differ by what is looked at
		some, all := Touch(doc, catalog.Builtin()), Check(doc, catalog.Builtin())
		for _, f := range some.Findings {
			found := false
			for _, g := range all.Findings {
				found = found || reflect.DeepEqual(f, g)
			}
			if !found {
				t.Errorf("%s: only a touch says: %s", name, f.Head)
			}
		}
		if len(some.Findings) > len(all.Findings) {
			t.Errorf("%s: a touch finds %d, a check %d", name, len(some.Findings), len(all.Findings))
		}
	}
	doc := project.Read("x", []byte("knobwright: 1\nface: {width: 100, height: 80, sheet: acrylic-3mm}\ncontrols: {a: {part: push-22mm, at: [40, 40]}, b: {part: push-22mm, at: [50, 40]}}\n"))
	if stops, _, _ := finding.Count(Touch(doc, catalog.Builtin()).Findings); stops == 0 {
		t.Error("two buttons on one spot are not seen")
	}
}

func BenchmarkTouch(b *testing.B) {
	for _, name := range []string{"cue-desk", "signal-desk"} {
		b.Run(name, func(b *testing.B) {
			src := examples.File(name)
			for b.Loop() {
				Touch(project.Read(name, src), catalog.Builtin())
			}
		})
	}
}
