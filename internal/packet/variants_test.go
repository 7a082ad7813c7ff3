package packet

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/internal/thorough"
)

// variants are panels that strain the papers: sizes, units, words, materials, cut-outs of every kind.
func variants(t testing.TB) map[string][]byte {
	t.Helper()
	out := map[string][]byte{"many": many(20, 15)}
	files, err := filepath.Glob("testdata/variants/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no variants", err)
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		out[strings.TrimSuffix(filepath.Base(f), ".yaml")] = b
	}
	return out
}

// many is a panel of columns by rows close-set push buttons and lamps.
func many(columns, rows int) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "knobwright: 1\ntitle: Star map of a planetarium\nface: {width: %d, height: %d, sheet: aluminium-2mm}\nbox: {form: flat, depth: 60, walls: birch-ply-9mm}\n", columns*24+40, rows*24+40)
	b.WriteString("tools: {drill: press, bits: [twist-metric-0.5, step-4-20]}\ngroups:\n")
	fmt.Fprintf(&b, "  stars:\n    part: push-12mm\n    grid: {from: [32, %d], step: [24, 24], columns: %d, rows: %d}\n    names: \"s-{row}-{column}\"\n", rows*24+8, columns, rows)
	return []byte(b.String())
}

func TestVariants(t *testing.T) {
	for name := range variants(t) {
		if testing.Short() && name != "tiny" && name != "bare" && name != "stopped" || name == "many" && !thorough.Is() {
			continue
		}
		m := get(t, name)
		if dir := os.Getenv("KNOBWRIGHT_OUT"); dir != "" {
			if err := Write(dir+"/"+name, m.docs, nil); err != nil {
				t.Error(err)
			}
		}
		if len(m.r.Panel.Controls) == 0 && name != "bare" {
			t.Errorf("%s: nothing was placed: %v", name, m.r.Findings)
		}
	}
}
