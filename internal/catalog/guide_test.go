package catalog

import (
	"os"
	"strings"
	"testing"
)

// The records in the guide to one's own catalogue are read to the last word, each block as a file.
func TestCatalogueGuide(t *testing.T) {
	page, err := os.ReadFile("../../docs/catalogue.md")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for i, block := range strings.Split(string(page), "```") {
		src, ok := strings.CutPrefix(block, "yaml\n")
		if i%2 == 0 || !ok {
			continue
		}
		n++
		c, problems := Builtin().With("docs/catalogue.md", []byte(src))
		for _, p := range problems {
			t.Errorf("block %d, line %d: %s %s", n, p.Pos.Line, p.Rule, p.Say)
		}
		if p, ok := c.Part("organ-stop"); ok && (len(p.Circuit.Contacts) != 2 || p.Circuit.Bounce != 5 || len(p.Circuit.Springs) != 0) {
			t.Errorf("%+v", p.Circuit)
		}
		if p, ok := c.Part("drawer-board"); ok && len(p.Board.Pins) != 8 {
			t.Errorf("%+v", p.Board)
		}
	}
	if n != 3 {
		t.Errorf("%d blocks", n)
	}
}
