package project

import (
	"testing"

	"knobwright/internal/finding"
)

// Names that follow each other get a line each, also where the section is new; names of leads may have parts.
func TestPinsGetLines(t *testing.T) {
	edits := []finding.Edit{
		{Op: finding.Set, Path: "wiring.pins.go", Value: "GP3"}, {Op: finding.Set, Path: "wiring.pins.scene/a", Value: "GP4"}, {Op: finding.Set, Path: "wiring.boards.left", Value: "{part: io-expander-16}"},
	}
	for src, want := range map[string]string{
		"knobwright: 1\ntitle: X\n":                               "knobwright: 1\ntitle: X\nwiring:\n  pins:\n    go: GP3\n    scene/a: GP4\n  boards:\n    left: {part: io-expander-16}\n",
		"knobwright: 1\nwiring:\n  by: direct   # so\ntitle: X\n": "knobwright: 1\nwiring:\n  by: direct   # so\n  pins:\n    go: GP3\n    scene/a: GP4\n  boards:\n    left: {part: io-expander-16}\ntitle: X\n",
		"knobwright: 1\nwiring: {by: direct}\n":                   "knobwright: 1\nwiring: {by: direct, pins: {go: GP3, scene/a: GP4}, boards: {left: {part: io-expander-16}}}\n",
	} {
		out, err := Read("x.yaml", []byte(src)).Apply(edits)
		if err != nil || string(out) != want {
			t.Errorf("%v\n%s\nwant\n%s", err, out, want)
		}
		if d := Read("x.yaml", out); len(d.Findings) > 0 && d.Findings[0].Rule != "file.unfinished" || d.File.Wiring.Pins.Get("scene/a").Pin != "GP4" {
			t.Errorf("%+v", d.Findings)
		}
	}
}
