package job

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// Each piece of the guide about what controls send is understood to the last word, and nothing in it is refused.
func TestGuideSends(t *testing.T) {
	page, err := os.ReadFile("../../docs/guide.md")
	if err != nil {
		t.Fatal(err)
	}
	pieces := regexp.MustCompile("(?s)```yaml for sends\n(.*?)```").FindAllStringSubmatch(string(page), -1)
	if len(pieces) < 6 {
		t.Fatalf("the guide shows %d pieces", len(pieces))
	}
	control := regexp.MustCompile(`(?m)^  ([a-z-]+): +\{part: `)
	for _, p := range pieces {
		n := 0
		text := control.ReplaceAllStringFunc(p[1], func(s string) string {
			n++
			return strings.Replace(s, "{part:", fmt.Sprintf("{at: [%d, 60], part:", 60*n), 1)
		})
		if !strings.Contains(text, "module:") {
			text = "module: rp2040-40pin\n" + text
		}
		r := Check(project.Read("guide.md", []byte("knobwright: 1\ntitle: Guide\nface: {width: 900, height: 200, sheet: acrylic-3mm}\n"+text)), catalog.Builtin())
		for _, f := range r.Findings {
			if f.Severity == finding.Stop && (strings.HasPrefix(f.Rule, "send.") || strings.HasPrefix(f.Rule, "file.") || strings.HasPrefix(f.Rule, "usb.")) || f.Rule == "send.duplicate" || f.Rule == "send.shift" || f.Rule == "place.unknown-part" {
				t.Errorf("%s: %s %s\n%s", f.Rule, f.Head, f.Body, p[1])
			}
		}
		if len(r.Firmware.Rows) == 0 || len(r.Firmware.Image.Data) == 0 {
			t.Errorf("no image:\n%s\n%s", p[1], list(r.Findings))
		}
	}
}
