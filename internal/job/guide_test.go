package job

import (
	"os"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/project"
)

// The guide's pieces of file, put together, are a panel file that is understood to the last word.
func TestGuideIsUnderstood(t *testing.T) {
	page, err := os.ReadFile("../../docs/guide.md")
	if err != nil {
		t.Fatal(err)
	}
	var src strings.Builder
	in := false
	for _, l := range strings.SplitAfter(string(page), "\n") {
		switch {
		case strings.HasPrefix(l, "```yaml"):
			in = true
		case strings.HasPrefix(l, "```"):
			in = false
		case in:
			src.WriteString(l)
		}
	}
	r := Check(project.Read("guide.md", []byte(src.String())), catalog.Builtin())
	if len(r.Panel.Controls) < 40 {
		t.Errorf("only %d controls were placed", len(r.Panel.Controls))
	}
	for _, f := range r.Findings {
		if strings.HasPrefix(f.Rule, "file.") && f.Rule != "file.keep-unused" || strings.HasPrefix(f.Rule, "place.") && f.Rule != "place.off-sheet" {
			t.Errorf("%s: %s %s (line %d of the pieces)", f.Rule, f.Head, f.Body, f.Pos().Line)
		}
	}
}
