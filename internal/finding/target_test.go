package finding

import "testing"

func TestTarget(t *testing.T) {
	for path, want := range map[string]string{
		"controls.go.at":                    "go",
		"groups.sounds.controls.door.shift": "door",
		"groups.sounds.row.step":            "sounds",
		"face.fixings.at.0":                 "fixings",
		"face.sheet":                        "face",
		"box.ribs.middle.from":              "middle",
		"box.depth":                         "box",
		"tools.bits":                        "tools",
		"knobwright":                        "knobwright",
		"controls.go":                       "go",
		"face.texts.name.at":                "name",
	} {
		if got := (Fix{Edits: []Edit{{Op: Set, Path: path}}}).Target(); got != want {
			t.Errorf("%s is %q, want %q", path, got, want)
		}
	}
	if (Fix{}).Target() != "" {
		t.Error("a fix without edits has no target")
	}
}
