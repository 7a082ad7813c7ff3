package steps

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"knobwright/internal/length"
)

// The guide lists every kind of work and of waiting, with the numbers that are taken.
func TestGuide(t *testing.T) {
	src, err := os.ReadFile("../../../docs/steps.md")
	if err != nil {
		t.Fatal(err)
	}
	guide := string(src)
	for _, k := range Kinds {
		if line := fmt.Sprintf("| `%s` | %s | %s |", k.Name, length.Plain(k.Minutes), k.Means); !strings.Contains(guide, line) {
			t.Errorf("the guide lacks %s", line)
		}
	}
	for _, w := range Waits {
		if !strings.Contains(guide, "| `"+w.Name+"` | ") || !strings.Contains(guide, "| "+w.Means+" |") {
			t.Errorf("the guide lacks %s", w.Name)
		}
	}
	for _, line := range []string{"PVA_wood_glue clamp", "PVA_wood_glue full_strength", "epoxy clamp", "epoxy full_strength", "polyurethane_glue clamp", "latex_paint recoat", "oil_paint recoat", "vinyl_film over_fresh_paint", "soak_test watch"} {
		if c, ok := cures()[line]; !ok || c.High <= 0 || c.Source.Text == "" {
			t.Errorf("no drying time for %s", line)
		}
	}
	// Rows of the reference table that are read with high confidence.
	if c := cures()["PVA_wood_glue full_strength"]; c.Low != 24*60 || c.High != 24*60 {
		t.Errorf("wood glue: %v to %v minutes", c.Low, c.High)
	}
}
