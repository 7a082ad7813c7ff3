package view

import (
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// A button 40 mm below the sheet is not cut; one that hangs over its edge is still drawn.
func TestWhatLiesBesideTheSheetIsNotCut(t *testing.T) {
	for at, want := range map[string]int{"[50, 40]": 1, "[50, 2]": 1, "[50, -40]": 0, "[150, 40]": 0} {
		src := "knobwright: 1\ntitle: Off\nface: {width: 100, height: 80, sheet: aluminium-2mm}\ncontrols:\n  a: {part: push-16mm, at: " + at + "}\n"
		p, _ := panel.Place(project.Read("off.yaml", []byte(src)), catalog.Builtin())
		if n := len(AllCuts(p)); n != want {
			t.Errorf("at %s: %d cut-outs, want %d", at, n, want)
		}
	}
}
