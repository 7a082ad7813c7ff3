package job

import (
	"os"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// guide gives the guide's pieces of file put together, and the boxes that it shows beside them.
func guide(t *testing.T) (whole string, boxes []string) {
	t.Helper()
	page, err := os.ReadFile("../../docs/guide.md")
	if err != nil {
		t.Fatal(err)
	}
	var src strings.Builder
	in, box := false, false
	for _, l := range strings.SplitAfter(string(page), "\n") {
		switch {
		case strings.HasPrefix(l, "```yaml for a box"):
			box = true
			boxes = append(boxes, "")
		case strings.HasPrefix(l, "```yaml for sends"): // see TestGuideSends
		case strings.HasPrefix(l, "```yaml for limits"): // see TestGuideLimits
		case strings.HasPrefix(l, "```yaml"):
			in = true
		case strings.HasPrefix(l, "```"):
			in, box = false, false
		case in:
			src.WriteString(l)
		case box:
			boxes[len(boxes)-1] += l
		}
	}
	return src.String(), boxes
}

// The guide's pieces of file, put together, are a panel file that is understood to the last word.
func TestGuideIsUnderstood(t *testing.T) {
	whole, _ := guide(t)
	r := Check(project.Read("guide.md", []byte(whole)), catalog.Builtin())
	if len(r.Panel.Controls) < 40 || len(r.Panel.Sides) != 1 || r.Panel.Carcass == nil {
		t.Errorf("only %d controls were placed, %d other boards", len(r.Panel.Controls), len(r.Panel.Sides))
	}
	for _, f := range r.Findings {
		if strings.HasPrefix(f.Rule, "file.") && f.Rule != "file.keep-unused" || strings.HasPrefix(f.Rule, "place.") && f.Rule != "place.off-sheet" {
			t.Errorf("%s: %s %s (line %d of the pieces)", f.Rule, f.Head, f.Body, f.Pos().Line)
		}
	}
}

// Each box that the guide shows can be made.
func TestGuideBoxes(t *testing.T) {
	_, boxes := guide(t)
	if len(boxes) < 4 {
		t.Fatalf("the guide shows %d boxes", len(boxes))
	}
	for _, b := range boxes {
		r := Check(project.Read("guide.md", []byte("knobwright: 1\nface: {width: 340, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, inset: 12}}\ncontrols: {go: {part: push-16mm, at: [170, 100]}}\n"+b)), catalog.Builtin())
		if r.Panel.Carcass == nil {
			t.Errorf("no box:\n%s%s", b, list(r.Findings))
		}
		for _, f := range r.Findings {
			if f.Severity == finding.Stop && !strings.HasPrefix(f.Rule, "fit.fixing") || strings.HasPrefix(f.Rule, "place.") || strings.HasPrefix(f.Rule, "box.sizes") {
				t.Errorf("%s: %s %s\n%s", f.Rule, f.Head, f.Body, b)
			}
		}
	}
}

// The limits that the guide shows are limits that there are.
func TestGuideLimits(t *testing.T) {
	page, err := os.ReadFile("../../docs/guide.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, ok := strings.Cut(string(page), "```yaml for limits\n")
	block, _, closed := strings.Cut(after, "```")
	if !ok || !closed {
		t.Fatal("the guide shows no limits")
	}
	for _, f := range Check(project.Read("guide.md", []byte("knobwright: 1\n"+block)), catalog.Builtin()).Findings {
		if strings.HasPrefix(f.Rule, "file.") {
			t.Errorf("%s %s", f.Head, f.Body)
		}
	}
}
