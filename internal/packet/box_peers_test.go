package packet

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/drawing/solid"
	"knobwright/internal/thorough"
	"knobwright/internal/witness"
)

// TestBoxSTEPForDraw: an outside geometry kernel (Debian occt-draw) opens the box of every form and joint, of boards and printed: one solid for every
// board, body and part, each valid, each of the volume that we have to a millionth, and the same block round it to a millionth of a millimetre.
func TestBoxSTEPForDraw(t *testing.T) {
	thorough.Only(t)
	draw := witness.Tool(t, "occt-draw")
	if out, err := exec.Command("dpkg", "-s", "libocct-draw-dev").CombinedOutput(); err != nil {
		t.Skipf("SKIPPED: libocct-draw-dev, without which occt-draw does not start, is not installed; this check against an outside program was not made (%s)", out)
	}
	desk, docs := desked(t)
	first, err := boxModel(desk)
	if err != nil {
		t.Fatal(err)
	}
	models := map[string]*solid.Model{"as in the packet": first}
	files := map[string][]byte{"as in the packet": docOf(docs, "box.step")}
	for _, name := range formNames("desk with rest", "wedge") {
		r := boxOf(t, name, "")
		m, err := boxModel(r)
		if err != nil {
			t.Fatal(err)
		}
		models[name], files[name] = m, m.STEP(solid.STEPOptions{Title: name})
		p := printed(t, boxOf(t, name, "\n  bed: [220, 220, 250]"))
		var whole []solid.Body
		for _, q := range p.parts {
			whole = append(whole, posed(q.body, q.bed.Inverse()))
		}
		if m, err = solid.Build(whole); err != nil {
			t.Fatal(err)
		}
		models[name+", printed"], files[name+", printed"] = m, m.STEP(solid.STEPOptions{Title: name})
		for _, l := range r.Box.Boards {
			if n := bytes.Count(files[name], []byte("MANIFOLD_SOLID_BREP('"+l.Name+"'")); n != 1 {
				t.Errorf("%s: %d solids for the %s", name, n, l.Name)
			}
		}
	}
	names := slices.Sorted(maps.Keys(models))
	dir := t.TempDir()
	text := "pload ALL\n"
	for i, name := range names {
		file := filepath.Join(dir, fmt.Sprintf("box-%d.step", i))
		if err := os.WriteFile(file, files[name], 0o600); err != nil {
			t.Fatal(err)
		}
		text += fmt.Sprintf(`stepread %s a%d *
explode a%d_1 so
set n 1
while {[isdraw a%d_1_$n]} {
  bounding a%d_1_$n -noTriangulation -optimal -nodraw -save x0 y0 z0 x1 y1 z1
  set box ""
  foreach v {x0 y0 z0 x1 y1 z1} { append box " [format %%.15g [dval $v]]" }
  regexp {Mass :\s*(\S+)} [vprops a%d_1_$n 1e-10 -full] all mass
  puts "SOLID %d $mass$box [string match *valid* [checkshape a%d_1_$n]]"
  incr n
}
`, file, i, i, i, i, i, i, i)
	}
	script := filepath.Join(dir, "box.tcl")
	if err := os.WriteFile(script, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	seen := map[int][][]float64{}
	for _, s := range regexp.MustCompile(`(?m)^SOLID (\d+) (.*)$`).FindAllStringSubmatch(witness.Run(t, draw, "-b", "-f", script), -1) {
		i, _ := strconv.Atoi(s[1])
		var x []float64
		for _, f := range strings.Fields(s[2]) {
			v, _ := strconv.ParseFloat(f, 64)
			x = append(x, v)
		}
		seen[i] = append(seen[i], x)
	}
	total := 0
	for n, name := range names {
		m := models[name]
		if len(seen[n]) != m.Bodies() {
			t.Errorf("%s: the kernel finds %d solids, want %d", name, len(seen[n]), m.Bodies())
			continue
		}
		for i, x := range seen[n] {
			total++
			if x[7] != 1 {
				t.Errorf("%s: %s is not valid", name, m.Name(i))
			}
			if want := m.Volume(i); math.Abs(x[0]-want) > 1e-6*want {
				t.Errorf("%s: %s has %.3f mm³, want %.3f", name, m.Name(i), x[0], want)
			}
			b := m.Bounds(i)
			for k, want := range []float64{b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z} {
				if math.Abs(x[k+1]-want) > 1.1e-6 {
					t.Errorf("%s: %s is bounded by %v, want %v", name, m.Name(i), x[1:], b)
					break
				}
			}
		}
	}
	t.Logf("%d boxes, %d solids", len(names), total)
}
