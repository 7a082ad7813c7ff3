package job

import (
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// The module of 21 by 51 mm stands free, in a wall, in a glue block, or outside the box.
func TestModuleAgainstTheBox(t *testing.T) {
	for at, want := range map[string]string{
		"[150, 90]":  "",
		"[150, 150]": "", // upper end at 175.5, the back wall's inside at 190.8
		"[150, 170]": "The module meets the back",
		"[12, 90]":   "The module meets the left side",
		"[30, 40]":   "The module meets the glue block",
		"[600, 400]": "The module lies outside the box.",
	} {
		src := "knobwright: 1\ntitle: M\nface: {width: 300, height: 200, sheet: aluminium-2mm}\n" +
			"box: {form: flat, depth: 60, walls: birch-ply-9mm, blocks: 20}\nmodule: {part: rp2040-40pin, at: " + at + "}\n"
		got := ""
		for _, f := range Check(project.Read("m.yaml", []byte(src)), catalog.Builtin()).Findings {
			if f.Rule == "box.module-room" {
				if got != "" || f.Severity != finding.Stop {
					t.Errorf("%s: %v %s", at, f.Severity, f.Head)
				}
				got = f.Head
			}
		}
		if want == "" && got != "" || !strings.HasPrefix(got, want) {
			t.Errorf("module at %s: %q, want %q", at, got, want)
		}
	}
}
