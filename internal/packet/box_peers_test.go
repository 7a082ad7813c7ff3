package packet

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestBoxSTEPForDraw: an outside geometry kernel (Debian occt-draw) opens box.step: as many solids as bodies, each valid, each of the
// volume that we have to a millionth, and the same block round the boards to a millionth of a millimetre.
func TestBoxSTEPForDraw(t *testing.T) {
	draw := tool(t, "occt-draw")
	if out, err := exec.Command("dpkg", "-s", "libocct-draw-dev").CombinedOutput(); err != nil {
		t.Skipf("SKIPPED: libocct-draw-dev, without which occt-draw does not start, is not installed; this check against an outside program was not made (%s)", out)
	}
	r, docs := desked(t)
	m, err := boxModel(r)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file, script := filepath.Join(dir, "box.step"), filepath.Join(dir, "box.tcl")
	if err := os.WriteFile(file, docOf(docs, "box.step"), 0o600); err != nil {
		t.Fatal(err)
	}
	text := fmt.Sprintf(`pload ALL
stepread %s a *
explode a_1 so
set n 1
while {[isdraw a_1_$n]} {
  bounding a_1_$n -noTriangulation -optimal -nodraw -save x0 y0 z0 x1 y1 z1
  set box ""
  foreach v {x0 y0 z0 x1 y1 z1} { append box " [format %%.15g [dval $v]]" }
  regexp {Mass :\s*(\S+)} [vprops a_1_$n 1e-10 -full] all mass
  puts "SOLID $mass$box [string match *valid* [checkshape a_1_$n]]"
  incr n
}
`, file)
	if err := os.WriteFile(script, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	seen := regexp.MustCompile(`(?m)^SOLID (.*)$`).FindAllStringSubmatch(runTool(t, draw, "-b", "-f", script), -1)
	if len(seen) != m.Bodies() {
		t.Fatalf("the kernel finds %d solids, want %d", len(seen), m.Bodies())
	}
	for i, s := range seen {
		f := strings.Fields(s[1])
		var x [7]float64
		for k := range x {
			x[k], _ = strconv.ParseFloat(f[k], 64)
		}
		if f[7] != "1" {
			t.Errorf("%s is not valid", m.Name(i))
		}
		if want := m.Volume(i); math.Abs(x[0]-want) > 1e-6*want {
			t.Errorf("%s has %.3f mm³, want %.3f", m.Name(i), x[0], want)
		}
		b := m.Bounds(i)
		for k, want := range []float64{b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z} {
			if math.Abs(x[k+1]-want) > 1.1e-6 {
				t.Errorf("%s is bounded by %v, want %v", m.Name(i), x[1:], b)
				break
			}
		}
	}
}

// TestPrintSTLForADMesh: an outside mesh program finds every printed part closed, with no facet turned over, and of our volume.
func TestPrintSTLForADMesh(t *testing.T) {
	admesh := tool(t, "admesh")
	r, docs := deskOn(t, "[250, 250, 250]")
	if p, ok := printParts(r); !ok || len(p.parts) != 4 {
		t.Fatal("no four parts")
	}
	for n := 1; n <= 4; n++ {
		file := filepath.Join(t.TempDir(), "part.stl")
		if err := os.WriteFile(file, docOf(docs, fmt.Sprintf("print-%d.stl", n)), 0o600); err != nil {
			t.Fatal(err)
		}
		out := runTool(t, admesh, file)
		for _, want := range []string{`Total disconnected facets\s*:\s*0\s+0`, `Degenerate facets\s*:\s*0`, `Facets reversed\s*:\s*0`, `Backwards edges\s*:\s*0`} {
			if !regexp.MustCompile(want).MatchString(out) {
				t.Errorf("part %d: no %q in %s", n, want, out)
			}
		}
	}
}
