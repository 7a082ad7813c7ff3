package packet

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"knobwright/internal/drawing/solid"
	"knobwright/internal/thorough"
	"knobwright/internal/witness"
)

// TestPrintForKernel: an independent kernel of meshes (npm package manifold-3d) adds and takes away the same solids, for random boxes of every
// form: the volumes agree to a millionth. The kernel does so step by step, and all at once; where faces fall together one of the two is off by
// up to a thousandth now and then, so that the nearer counts, and both must agree for nearly all parts. Of our meshes, holes drilled, it says that they are sound, one piece each, and of our volume.
func TestPrintForKernel(t *testing.T) {
	thorough.Only(t)
	if !thorough.Is() {
		t.Skip("SKIPPED: takes seconds")
	}
	node := witness.Tool(t, "node")
	dir := os.Getenv("KNOBWRIGHT_PEERS")
	if dir == "" {
		dir = filepath.Join("..", "..", "testdata", "peers")
	}
	dir, _ = filepath.Abs(dir)
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "manifold-3d")); err != nil {
		t.Skip("SKIPPED: no node_modules/manifold-3d in testdata/peers or $KNOBWRIGHT_PEERS; this check against an outside program was not made")
	}
	type layer struct {
		Points [][3]float64
		Cut    bool
	}
	type part struct {
		Layers []layer
		Mesh   struct {
			Vertices  []float64
			Triangles []int
		}
		cell, mesh float64
		name       string
		exact      float64
	}
	var all []part
	rs, names := randomBoxes(t, 5)
	for i, r := range rs {
		p := printed(t, r)
		for _, q := range p.parts {
			var x part
			x.name = names[i] + ", " + q.name
			for _, o := range p.parts {
				if o.n == q.n {
					x.cell += o.of.Volume()
				}
			}
			for _, l := range p.layers(q.cell) {
				y := layer{Cut: l.Cut}
				for _, v := range l.Hull.Points {
					y.Points = append(y.Points, [3]float64{v.X, v.Y, v.Z})
				}
				x.Layers = append(x.Layers, y)
			}
			m, err := solid.Build([]solid.Body{q.body})
			if err != nil {
				t.Fatal(err)
			}
			mesh, err := m.Mesh(0, 0.01)
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range mesh.Vertices {
				x.Mesh.Vertices = append(x.Mesh.Vertices, v.X, v.Y, v.Z)
			}
			for _, tri := range mesh.Triangles {
				x.Mesh.Triangles = append(x.Mesh.Triangles, tri[:]...)
			}
			x.mesh, x.exact = mesh.Volume(), m.Volume(0)
			all = append(all, x)
		}
	}
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "parts.json")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	var got []struct {
		Volumes             [2]float64
		Own                 float64
		OwnGenus, OwnPieces int
		Status              string
	}
	out := witness.Run(t, node, filepath.Join("testdata", "union.mjs"), dir, file)
	if err := json.Unmarshal([]byte(out), &got); err != nil || len(got) != len(all) {
		t.Fatalf("%v in %s", err, out)
	}
	worst, odd := 0.0, 0
	for i, g := range got {
		x := all[i]
		one, two := math.Abs(g.Volumes[0]/x.cell-1), math.Abs(g.Volumes[1]/x.cell-1)
		worst = max(worst, min(one, two))
		if max(one, two) > 1e-6 {
			odd++
		}
		if min(one, two) > 1e-6 || max(one, two) > 1e-2 {
			t.Errorf("%s: %.3f mm³, the kernel makes %.3f", x.name, x.cell, g.Volumes)
		}
		if g.Status != "NoError" && g.Status != "0" || g.OwnPieces != 1 || math.Abs(g.Own/x.mesh-1) > 1e-5 || math.Abs(x.mesh/x.exact-1) > 1e-3 {
			t.Errorf("%s: our mesh is %s, of %d pieces and %.3f mm³, want %.3f (%.3f with true arcs)", x.name, g.Status, g.OwnPieces, g.Own, x.mesh, x.exact)
		}
	}
	if worst == 0 {
		t.Error("no difference at all: are these two reckonings?")
	}
	if odd*20 > len(all) {
		t.Errorf("of %d parts of %d one way of the kernel is off", odd, len(all))
	}
	t.Logf("%d boxes, %d parts: volumes differ by %.1e of themselves at most; one way off for %d", len(rs), len(all), worst, odd)
}

// TestPrintFilesForReaders: an outside mesh program (Debian admesh) finds every printed part of every form to be one, closed, with no facet turned
// over or without area, and of our volume; another (Debian assimp) finds as many bodies in the 3MF file as there are parts.
func TestPrintFilesForReaders(t *testing.T) {
	admesh, assimp := witness.Tool(t, "admesh"), witness.Tool(t, "assimp")
	for _, name := range formNames("desk with rest", "wedge") {
		for _, bed := range []string{"[600, 600, 400]", "[220, 220, 250]"} {
			r := boxOf(t, name, "\n  bed: "+bed)
			p := printed(t, r)
			files := map[string][]byte{}
			printPapers(r, newDesk(r, nil), func(name, _ string, data []byte, err error) {
				if err != nil {
					t.Errorf("%s: %v", name, err)
				}
				files[name] = data
			})
			dir := t.TempDir()
			write := func(name string) string {
				file := filepath.Join(dir, name)
				if err := os.WriteFile(file, files[name], 0o600); err != nil {
					t.Fatal(err)
				}
				return file
			}
			for n, q := range p.parts {
				file := "print.stl"
				if len(p.parts) > 1 {
					file = fmt.Sprintf("print-%d.stl", n+1)
				}
				out := witness.Run(t, admesh, write(file))
				for _, want := range []string{`Number of parts\s*:\s*1\b`, `Total disconnected facets\s*:\s*0\s+0`, `Degenerate facets\s*:\s*0`, `Facets reversed\s*:\s*0`, `Backwards edges\s*:\s*0`, `Edges fixed\s*:\s*0`, `Facets removed\s*:\s*0`} {
					if !regexp.MustCompile(want).MatchString(out) {
						t.Errorf("%s on %s, part %d: no %q in %s", name, bed, n+1, want, out)
					}
				}
				m, err := solid.Build([]solid.Body{q.body})
				if err != nil {
					t.Fatal(err)
				}
				v := regexp.MustCompile(`Volume\s*:\s*([0-9.]+)`).FindStringSubmatch(out)
				if got, _ := strconv.ParseFloat(v[1], 64); math.Abs(got/m.Volume(0)-1) > 1e-3 {
					t.Errorf("%s on %s, part %d: %g mm³, want %g", name, bed, n+1, got, m.Volume(0))
				}
			}
			out := witness.Run(t, assimp, "info", write("print.3mf"))
			meshes := regexp.MustCompile(`Meshes:\s+(\d+)`).FindStringSubmatch(out)
			if meshes == nil || meshes[1] != strconv.Itoa(len(p.parts)) {
				t.Errorf("%s on %s: %v meshes, want %d", name, bed, meshes, len(p.parts))
			}
		}
	}
}
