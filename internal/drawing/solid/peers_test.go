package solid

import (
	"encoding/json"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/geom"
	"knobwright/internal/thorough"
	"knobwright/internal/witness"
)

// examples draws boards from the same generator as the property tests, from fixed seeds.
func examples(n int) (out []board) {
	g := rapid.Custom(randomBoard)
	for i := range n {
		out = append(out, g.Example(i+1))
	}
	return out
}

// tilted gives bars with slanted ends, and a block drilled aslant to its other faces.
func tilted(t testing.TB) (out []Body) {
	for i, o := range []geom.Outline{geom.Circle(geom.Vec2{}, 20), geom.DoubleD(geom.Vec2{}, 20, 14), geom.NotchedCircle(geom.Vec2{}, 16, 4, 18)} {
		p := Bar(v3(float64(40*i), 0, 0), v3(0.2, 0.3, 1), o, 30)
		for k := range p.Ends {
			n := v3(0.4, -0.2*float64(i), float64(2*k-1))
			p.Ends[k] = geom.HalfSpace{N: n, D: n.Dot(p.Pose.Apply(v3(0, 0, 30*float64(k))))}
		}
		out = append(out, Body{Name: fmt.Sprintf("bar %d", i), Pieces: []Piece{p}})
	}
	wedge := block(t, v3(-60, -60, 0), v3(-20, -20, 50), geom.HalfSpace{N: v3(0.5, -1, 2), D: 80})
	return append(out, Body{Name: "wedge", Pieces: []Piece{Block{Hull: wedge, Holes: []Hole{
		Drill(v3(-45, -45, 60), v3(0, 0, -1), 6, 0), Drill(v3(-30, -60, 12), v3(0, 1, 0), 5, 20),
	}}}})
}

// everything is a model of all kinds of surfaces, and the body that each solid of its file belongs to.
func everything(t testing.TB, boards int) (*Model, []int) {
	bodies := append(cueDesk(t), tilted(t)...)
	for i, b := range examples(boards) {
		bodies = append(bodies, Body{Name: fmt.Sprintf("board %d", i), Colour: Colour{200, 30, 90}, Pieces: []Piece{b.piece(t)}})
	}
	m := build(t, bodies...)
	var of []int
	for i := range m.bodies {
		for range m.bodies[i].pieces {
			of = append(of, i)
		}
	}
	return m, of
}

// The geometry kernel of the Debian package occt-draw works out volumes by integrating over the true surfaces: they must agree
// with ours to a thousand-millionth (where cylinders end in ellipses its sums stop at some 3e-8), and the blocks round the solids
// to a millionth of a millimetre.
func TestSTEPForDraw(t *testing.T) {
	draw := witness.Tool(t, "occt-draw")
	if out, err := exec.Command("dpkg", "-s", "libocct-draw-dev").CombinedOutput(); err != nil {
		t.Skipf("SKIPPED: libocct-draw-dev, without which occt-draw does not start, is not installed; this check against an outside program was not made (%s)", out)
	}
	m, _ := everything(t, 12)
	step := witness.Keep(t, "everything.step", m.STEP(STEPOptions{Title: "everything"}))
	script := witness.Keep(t, "everything.tcl", fmt.Appendf(nil, `pload ALL
stepread %s a *
explode a_1 so
set n 1
while {[isdraw a_1_$n]} {
  bounding a_1_$n -noTriangulation -optimal -nodraw -save x0 y0 z0 x1 y1 z1
  set box ""
  foreach v {x0 y0 z0 x1 y1 z1} { append box " [format %%.15g [dval $v]]" }
  regexp {Mass :\s*(\S+)} [vprops a_1_$n 1e-12 -full] all mass
  regexp {FACE\s*:\s*(\d+)} [nbshapes a_1_$n] all faces
  puts "SOLID $mass$box $faces [string match *valid* [checkshape a_1_$n]]"
  incr n
}
ReadStep D %s
puts [XStat D]
`, step, step))
	out := witness.Run(t, draw, "-b", "-f", script)
	var pieces []*brep
	for _, b := range m.bodies {
		pieces = append(pieces, b.pieces...)
	}
	if want := fmt.Sprintf("labels with color link = %d\n", len(pieces)); !strings.Contains(out, want) {
		t.Errorf("the kernel does not count %d coloured solids: %s", len(pieces), out)
	}
	var lines [][]string
	for _, l := range strings.Split(out, "\n") {
		if f := strings.Fields(l); len(f) == 10 && f[0] == "SOLID" {
			lines = append(lines, f[1:])
		}
	}
	if len(lines) != len(pieces) {
		t.Fatalf("%d solids, want %d\n%s", len(lines), len(pieces), out)
	}
	worst, worstBox := 0.0, 0.0
	for i, p := range pieces {
		var x [8]float64
		for k := range x {
			x[k], _ = strconv.ParseFloat(lines[i][k], 64)
		}
		b := p.bounds()
		rel := math.Abs(x[0]/p.volume - 1)
		worst = max(worst, rel)
		allowed := 1e-9
		for k := range p.edges {
			if e := &p.edges[k]; e.sweep > 0 && math.Abs(e.a.Len()-e.b.Len()) > 1e-6 {
				allowed = 1e-7
			}
		}
		if !(rel < allowed) {
			t.Errorf("solid %d: volume %.12g, the kernel says %.12g", i, p.volume, x[0])
		}
		for k, want := range [6]float64{b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z} {
			worstBox = max(worstBox, math.Abs(x[1+k]-want))
			if !(math.Abs(x[1+k]-want) < 1e-6) {
				t.Errorf("solid %d: block %v, the kernel says %v", i, b, x[1:7])
			}
		}
		if int(x[7]) != len(p.faces) {
			t.Errorf("solid %d: %d faces, the kernel says %g", i, len(p.faces), x[7])
		}
		if lines[i][8] != "1" {
			t.Errorf("solid %d: not a valid shape", i)
		}
	}
	if worst == 0 {
		t.Error("no difference at all: are these two reckonings?")
	}
	t.Logf("%d solids: volumes differ by %.1e of themselves at most, blocks by %.1e mm", len(pieces), worst, worstBox)
}

// The npm package occt-import-js reads names, colours and meshes.
func TestSTEPForImport(t *testing.T) {
	thorough.Only(t)
	dir, node := peers(t, "occt-import-js"), witness.Tool(t, "node")
	m, of := everything(t, 2)
	const deflection = 0.05
	file := witness.Keep(t, "import.step", m.STEP(STEPOptions{Title: "everything"}))
	out := witness.Run(t, node, filepath.Join("testdata", "step.mjs"), dir, file, fmt.Sprint(deflection))
	var got struct {
		OK     bool
		Names  []string
		Meshes []struct {
			Name   string
			Colour []float64
			Volume float64
			Lo, Hi []float64
			Faces  int
		}
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatalf("%v in %s", err, out)
	}
	if !got.OK || len(got.Meshes) != len(of) {
		t.Fatalf("read %v, %d solids, want %d", got.OK, len(got.Meshes), len(of))
	}
	var names []string
	for i := range m.bodies {
		names = append(names, m.Name(i))
	}
	for _, n := range names {
		if !strings.Contains("\n"+strings.Join(got.Names, "\n")+"\n", "\n"+n+"\n") {
			t.Errorf("no product %q in %q", n, got.Names)
		}
	}
	at := 0
	for i := range m.bodies {
		b := &m.bodies[i]
		var volume, curved float64
		box := geom.EmptyBox3()
		for _, p := range b.pieces {
			g := got.Meshes[at]
			at++
			volume += g.Volume
			box = box.Extend(v3(g.Lo[0], g.Lo[1], g.Lo[2])).Extend(v3(g.Hi[0], g.Hi[1], g.Hi[2]))
			curved += curvedPiece(t, p)
			if g.Faces != len(p.faces) {
				t.Errorf("%s: %d faces, want %d", b.name, g.Faces, len(p.faces))
			}
			for k, c := range [3]uint8{b.colour.R, b.colour.G, b.colour.B} {
				if len(b.pieces) > 1 {
					break // of several solids in one product the package gives no colours; TestSTEPForDraw counts them
				}
				if len(g.Colour) != 3 || math.Abs(sRGB(g.Colour[k])-float64(c)/255) > 0.003 {
					t.Errorf("%s: colour %v, want %v", b.name, g.Colour, b.colour)
					break
				}
			}
		}
		// the kernel chooses chords after the deflection, but for each face alone
		if off := math.Abs(volume - m.Volume(i)); off > 3*deflection*curved+1e-6*m.Volume(i) {
			t.Errorf("%s: volume %g, the kernel's mesh has %g", b.name, m.Volume(i), volume)
		}
		want := m.Bounds(i)
		for _, d := range [2]geom.Vec3{box.Min.Sub(want.Min), box.Max.Sub(want.Max)} {
			if d.Len() > 0.2 {
				t.Errorf("%s: block %v, the kernel's mesh has %v", b.name, want, box)
			}
		}
	}
}

// sRGB turns a linear colour part into the screen's (IEC 61966-2-1).
func sRGB(x float64) float64 {
	if x <= 0.0031308 {
		return 12.92 * x
	}
	return 1.055*math.Pow(x, 1/2.4) - 0.055
}

// An independent kernel of meshes builds the same boards by subtraction, from chords of its own; and takes ours for closed.
func TestBoardsForKernel(t *testing.T) {
	thorough.Only(t)
	dir, node := peers(t, "manifold-3d"), witness.Tool(t, "node")
	type hole struct {
		Outline              [][2]float64
		Low, High            float64
		OpenBelow, OpenAbove bool
		Cone                 []float64 // middle, foot, height, radius below and above
		Steps                int
	}
	type job struct {
		Outline   [][2]float64
		Points    [][3]float64
		Low, High float64
		Holes     []hole
		Mesh      struct {
			Vertices  []float64
			Triangles []int
		}
	}
	const tol = 0.004
	flatten := func(o geom.Outline) (ps [][2]float64) {
		for _, p := range o.Flatten(tol) {
			ps = append(ps, [2]float64{p.X, p.Y})
		}
		return ps
	}
	var jobs []job
	var models []*Model
	boards := examples(20)
	for _, b := range boards {
		b.pose = geom.NoPose() // 32-bit numbers are scarce far from the origin
		m := build(t, one(b.piece(t)))
		models = append(models, m)
		j := job{Outline: flatten(b.outline), Low: -b.thickness, Holes: []hole{}}
		if b.cuts != nil {
			for _, p := range b.hull(t).Points {
				j.Points = append(j.Points, [3]float64{p.X, p.Y, p.Z})
			}
		}
		for _, o := range b.openings {
			h := hole{Outline: flatten(o.outline), Low: min(o.from, o.to), High: max(o.from, o.to), Steps: 400}
			h.OpenAbove, h.OpenBelow = o.through || !o.back, o.through || o.back
			if c, d, ok := o.outline.AsCircle(); ok && o.sink.D > 0 {
				wide, drop := o.sink.D/2, o.sink.Depth
				narrow := wide
				if o.sink.Angle > 0 {
					drop = (o.sink.D - d) / 2 / math.Tan(o.sink.Angle*math.Pi/360)
					narrow = d / 2
				}
				// the same cone, drawn on past the surface
				slope := (wide - narrow) / drop
				h.Cone = []float64{c.X, c.Y, o.from - drop, drop + 0.5, narrow, wide + 0.5*slope}
				if o.back {
					h.Cone = []float64{c.X, c.Y, o.from - 0.5, drop + 0.5, wide + 0.5*slope, narrow}
				}
			}
			j.Holes = append(j.Holes, h)
		}
		mesh, err := m.Mesh(0, tol)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range mesh.Vertices {
			j.Mesh.Vertices = append(j.Mesh.Vertices, v.X, v.Y, v.Z)
		}
		for _, tri := range mesh.Triangles {
			j.Mesh.Triangles = append(j.Mesh.Triangles, tri[:]...)
		}
		jobs = append(jobs, j)
	}
	data, err := json.Marshal(jobs)
	if err != nil {
		t.Fatal(err)
	}
	out := witness.Run(t, node, filepath.Join("testdata", "kernel.mjs"), dir, witness.Keep(t, "boards.json", data))
	var got []struct {
		Volume, Own     float64
		Genus, OwnGenus int
		Status          string
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil || len(got) != len(jobs) {
		t.Fatalf("%v in %s", err, out)
	}
	worst := 0.0
	for i, g := range got {
		m, curved := models[i], curvedOf(t, models[i])
		volume := m.Volume(0)
		worst = max(worst, math.Abs(g.Volume/volume-1))
		if off := math.Abs(g.Volume - volume); off > 1.1*tol*curved+2e-5*volume {
			t.Errorf("board %d: volume %g, the kernel builds %g; chords allow %g", i, volume, g.Volume, tol*curved)
		}
		if g.Genus != boards[i].throughs() || g.OwnGenus != g.Genus {
			t.Errorf("board %d: genus %d, of our mesh %d, want %d", i, g.Genus, g.OwnGenus, boards[i].throughs())
		}
		mesh, _ := m.Mesh(0, tol)
		if g.Status != "NoError" && g.Status != "0" || math.Abs(g.Own/mesh.Volume()-1) > 1e-5 {
			t.Errorf("board %d: our mesh is %s with volume %g, want %g", i, g.Status, g.Own, mesh.Volume())
		}
	}
	t.Logf("%d boards: volumes differ by %.1e of themselves at most", len(got), worst)
}

// admesh looks at facets only: all must be joined, none turned, none without area, before it mends anything.
func TestSTLForAdmesh(t *testing.T) {
	admesh := witness.Tool(t, "admesh")
	m, of := everything(t, 25)
	const tol = 0.05
	b, err := m.STL("everything", tol)
	if err != nil {
		t.Fatal(err)
	}
	text, err := m.STLText("everything", tol)
	if err != nil {
		t.Fatal(err)
	}
	var want float64
	box := geom.EmptyBox3()
	facets := 0
	for i := range m.bodies {
		mesh, err := m.Mesh(i, tol)
		if err != nil {
			t.Fatal(err)
		}
		want += mesh.Volume()
		box = box.Union(mesh.Bounds())
		facets += len(mesh.Triangles)
	}
	for name, data := range map[string][]byte{"everything.stl": b, "everything-text.stl": text} {
		out := witness.Run(t, admesh, witness.Keep(t, name, data))
		num := func(word string, columns int) (x []float64) {
			r := regexp.MustCompile(regexp.QuoteMeta(word) + `\s*[:=]` + strings.Repeat(`\s*(-?[0-9.]+)`, columns))
			f := r.FindAllStringSubmatch(out, -1)
			if f == nil {
				t.Fatalf("no %q in %s", word, out)
			}
			for _, s := range f[len(f)-1][1:] {
				v, _ := strconv.ParseFloat(s, 64)
				x = append(x, v)
			}
			return x
		}
		for _, w := range []string{"Facets with 1 disconnected edge", "Facets with 2 disconnected edges", "Facets with 3 disconnected edges", "Total disconnected facets"} {
			if x := num(w, 2); x[0] != 0 || x[1] != 0 {
				t.Errorf("%s: %s: %v", name, w, x)
			}
		}
		for _, w := range []string{"Degenerate facets", "Edges fixed", "Facets removed", "Facets added", "Facets reversed", "Backwards edges", "Normals fixed"} {
			if x := num(w, 1); x[0] != 0 {
				t.Errorf("%s: %s: %v", name, w, x)
			}
		}
		if x := num("Number of facets", 2); int(x[0]) != facets || x[0] != x[1] {
			t.Errorf("%s: %v facets, want %d", name, x, facets)
		}
		if x := num("Number of parts", 1); int(x[0]) > len(of) {
			t.Errorf("%s: %v parts, want %d at most", name, x, len(of))
		}
		if x := num("Volume", 1); math.Abs(x[0]/want-1) > 1e-5 {
			t.Errorf("%s: volume %v, want %g", name, x, want)
		}
		for _, c := range []struct {
			word string
			want float64
		}{{"Min X", box.Min.X}, {"Max X", box.Max.X}, {"Min Y", box.Min.Y}, {"Max Y", box.Max.Y}, {"Min Z", box.Min.Z}, {"Max Z", box.Max.Z}} {
			if x := num(c.word, 1); math.Abs(x[0]-c.want) > 1e-4 {
				t.Errorf("%s: %s %v, want %g", name, c.word, x, c.want)
			}
		}
	}
}

// assimp reads both mesh formats: extents and counts.
func TestMeshesForAssimp(t *testing.T) {
	assimp := witness.Tool(t, "assimp")
	m := build(t, cueDesk(t)...)
	stl, err := m.STL("desk", 0)
	if err != nil {
		t.Fatal(err)
	}
	mf, err := m.ThreeMF("desk", 0)
	if err != nil {
		t.Fatal(err)
	}
	box := geom.EmptyBox3()
	facets := 0
	for i := range m.bodies {
		mesh, err := m.Mesh(i, 0)
		if err != nil {
			t.Fatal(err)
		}
		box = box.Union(mesh.Bounds())
		facets += len(mesh.Triangles)
	}
	for name, data := range map[string][]byte{"desk.stl": stl, "desk.3mf": mf} {
		out := witness.Run(t, assimp, "info", witness.Keep(t, name, data))
		faces := regexp.MustCompile(`Faces:\s+(\d+)`).FindStringSubmatch(out)
		lo := regexp.MustCompile(`Minimum point\s+\(([^)]*)\)`).FindStringSubmatch(out)
		hi := regexp.MustCompile(`Maximum point\s+\(([^)]*)\)`).FindStringSubmatch(out)
		if faces == nil || lo == nil || hi == nil {
			t.Fatalf("%s: %s", name, out)
		}
		if n, _ := strconv.Atoi(faces[1]); n != facets {
			t.Errorf("%s: %d triangles, want %d", name, n, facets)
		}
		for k, s := range append(strings.Fields(lo[1]), strings.Fields(hi[1])...) {
			x, err := strconv.ParseFloat(s, 64)
			want := [6]float64{box.Min.X, box.Min.Y, box.Min.Z, box.Max.X, box.Max.Y, box.Max.Z}[k]
			if err != nil || math.Abs(x-want) > 1e-3 {
				t.Errorf("%s: extents %v %v, want %v", name, lo[1], hi[1], box)
			}
		}
		if name == "desk.3mf" {
			meshes := regexp.MustCompile(`Meshes:\s+(\d+)`).FindStringSubmatch(out)
			if n, _ := strconv.Atoi(meshes[1]); n != m.Bodies() {
				t.Errorf("%d meshes, want %d", n, m.Bodies())
			}
		}
	}
}
