package packet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

// printers are the printed boxes made so far. Tests only read them.
var printers = map[*job.Result]*printer{}

func printed(t testing.TB, r *job.Result) *printer {
	t.Helper()
	if p := printers[r]; p != nil {
		return p
	}
	p, err := printParts(r)
	if err != nil {
		t.Fatal(err)
	}
	if p == nil {
		t.Fatal("no printed box")
	}
	printers[r] = p
	return p
}

// randomBoxes are boxes of every form, drawn from a fixed seed, with a bed that they mostly do not fit.
func randomBoxes(t testing.TB, each int) (out []*job.Result, names []string) {
	g := rand.New(rand.NewPCG(7, 11))
	num := func(lo, hi float64) float64 { return math.Round(10*(lo+(hi-lo)*g.Float64())) / 10 }
	one := func(ss ...string) string { return ss[g.IntN(len(ss))] }
	for range each {
		for _, x := range [][2]string{
			{"flat", fmt.Sprintf("form: flat\n  depth: %g", num(45, 90))},
			{"wedge", fmt.Sprintf("form: wedge\n  front: %g\n  slope: %g", num(45, 70), num(3, 25))},
			{"desk", fmt.Sprintf("form: desk\n  front: %g\n  slope: %g", num(50, 80), num(4, 40))},
			{"desk with rest", fmt.Sprintf("form: desk\n  front: %g\n  slope: %g\n  rest: %g", num(55, 80), num(4, 40), num(45, 80))},
			{"two-slope", fmt.Sprintf("form: two-slope\n  front: %g\n  slope: %g\n  upper: {slope: %g, height: %g}", num(50, 80), num(3, 20), num(25, 55), num(80, 160))},
			{"rack", fmt.Sprintf("form: rack\n  slope: %g\n  outside: [482.6, %g]", num(60, 90), num(200, 260))},
		} {
			form, sizes := x[0], x[1]
			face := fmt.Sprintf("face: {width: %g, height: %g, sheet: acrylic-3mm, fixings: {screw: %s, inset: %g, across: %d, up: 2}}\n", num(180, 420), num(140, 320), one("M3", "M4"), num(12, 20), 2+g.IntN(3))
			at := "[90, 70]"
			if form == "rack" {
				face, at = fmt.Sprintf("face: {rack: %d, sheet: aluminium-2mm}\n", 3+g.IntN(3)), "[300, 60]"
			}
			fit := one("", "\n  face: let-in\n  play: 0.4")
			if form == "rack" {
				fit = ""
			}
			src := "knobwright: 1\ntitle: A box for a planetarium\n" + face + "box:\n  " + sizes + fit + "\n  walls: " + one("birch-ply-9mm", "birch-ply-12mm") +
				fmt.Sprintf("\n  cable: {on: back, plug: [12, 8, 30], relief: clip%s}", one("", ", notch: true")) +
				fmt.Sprintf("\n  bed: [%g, %g, %g]\ncontrols:\n  go: {part: push-16mm, at: %s}\n", num(180, 350), num(180, 350), num(180, 300), at)
			r := judged(src)
			if r.Panel.Carcass != nil {
				out, names = append(out, r), append(names, form)
			}
		}
	}
	if len(out) < each*4 {
		t.Fatalf("only %d of %d random boxes are any", len(out), each*6)
	}
	return out, names
}

// TestPrintedForms: the box of every form, on a bed that takes it and on one that does not: every part is one closed solid within the bed, flat
// on it, with a hole under every screw of the face, and both sides of a seam have the same holes.
func TestPrintedForms(t *testing.T) {
	for name := range boxForms {
		for _, bed := range thorough.Of([]string{"[600, 600, 400]", "[220, 220, 250]", "[150, 160, 90]"}, []string{"[600, 600, 400]", "[220, 220, 250]"}) {
			r := boxOf(t, name, "\n  bed: "+bed)
			p := printed(t, r)
			if len(p.parts) == 1 != strings.HasPrefix(bed, "[600") {
				t.Errorf("%s on %s: %d parts", name, bed, len(p.parts))
			}
			// of a box parted in height no post stands in the middle, and none in the notch for the lead
			hard := len(p.ends[p.up]) > 2 || r.Box.Exit != nil && r.Box.Exit.Notch
			if len(p.skipped) > 0 && !hard || len(p.skipped) > 1 {
				t.Errorf("%s on %s: no post under %v", name, bed, p.skipped)
			}
			deep := 0 // blind holes: of inserts
			for n, q := range p.parts {
				checkPart(t, name+" on "+bed, r, q)
				for _, h := range q.body.Pieces[0].(solid.Fused).Holes {
					if h.Depth > 0 {
						deep++
					}
				}
				if len(p.parts) > 1 && joins(p, n) < 2 && q.of.Volume() > 3000 { // strips smaller than that are cemented
					t.Errorf("%s on %s: %d holes in the seams of %s", name, bed, joins(p, n), q.name)
				}
			}
			if deep != len(r.Panel.Fixings)-len(p.skipped) {
				t.Errorf("%s on %s: %d holes under %d screws", name, bed, deep, len(r.Panel.Fixings))
			}
		}
	}
}

// checkPart looks at one part.
func checkPart(t *testing.T, name string, r *job.Result, q printPart) {
	t.Helper()
	m, err := solid.Build([]solid.Body{q.body})
	if err != nil {
		t.Errorf("%s, %s: %v", name, q.name, err)
		return
	}
	b, bed := m.Bounds(0), r.Panel.Box.Written.Bed
	if b.Min.Len() > 1e-9 || b.Max.X > bed[0].MM()-2*printEdge+1e-6 || b.Max.Y > bed[1].MM()-2*printEdge+1e-6 || b.Max.Z > bed[2].MM() {
		t.Errorf("%s, %s: %v on a bed of %v", name, q.name, b, bed)
	}
	flat := 0.0
	for i, f := range q.of.Faces {
		if f.Plane.N.Z < -1+1e-9 && math.Abs(f.Plane.D) < 1e-6 {
			flat += q.of.Area(i)
		}
	}
	if flat < 60 {
		t.Errorf("%s, %s: %g mm² lie on the bed, %g mm³ %v", name, q.name, flat, q.of.Volume(), q.of.Points)
	}
	if q.of.Shells() != 1 {
		t.Errorf("%s, %s: %d shells", name, q.name, q.of.Shells())
	}
	mesh, err := m.Mesh(0, 0)
	if err == nil {
		err = mesh.Check()
	}
	if err != nil {
		t.Errorf("%s, %s: %v", name, q.name, err)
	}
}

// joins gives the number of holes in the seams of a part; every one of them must be in the part, and in its fellow.
func joins(p *printer, n int) (out int) {
	for _, h := range p.parts[n].body.Pieces[0].(solid.Fused).Holes {
		if _, d, ok := h.Outline.AsCircle(); ok && (d == seamBolt || d == seamPeg) {
			out++
		}
	}
	return out
}

// TestPrintedVolume: a flat box on a great bed, without screws, is the block less the room inside, which is 3 mm smaller all round and open above.
func TestPrintedVolume(t *testing.T) {
	src := "knobwright: 1\ntitle: A box\nface: {width: 200, height: 120, sheet: acrylic-3mm}\nbox: {form: flat, depth: 50, walls: birch-ply-9mm, bed: [300, 300, 300]}\n" +
		"controls:\n  go: {part: push-30mm, at: [80, 60]}\n"
	r := judged(src)
	p := printed(t, r)
	high := p.c.Bounds.Max.Z - p.c.Faces[0].Thickness
	b := p.c.Bounds.Max.Sub(p.c.Bounds.Min)
	want := b.X*b.Y*high - (b.X-6)*(b.Y-6)*(high-3)
	if got := p.parts[0].of.Volume(); len(p.parts) != 1 || math.Abs(got-want) > 1e-6 {
		t.Errorf("%d parts, %g mm³, want %g", len(p.parts), got, want)
	}
	if p.parts[0].hang != 0 {
		t.Errorf("%g mm² hang over", p.parts[0].hang)
	}
}

// TestPrintedOverhang: only the hand rest hangs over: its room inside, less what posts take, is its depth to the joint times the inner width.
func TestPrintedOverhang(t *testing.T) {
	p := printed(t, boxOf(t, "desk with rest", "\n  bed: [600, 600, 400]"))
	if a := p.parts[0].hang; a < 294*55 || a > 294*68 {
		t.Errorf("%g mm² hang over", a)
	}
	for _, form := range []string{"flat", "wedge", "wedge of fingers", "desk", "two-slope", "rack"} {
		if a := printed(t, boxOf(t, form, "\n  bed: [600, 600, 400]")).parts[0].hang; a > 1 {
			t.Errorf("%s: %g mm² hang over", form, a)
		}
	}
}

// TestPrintedCable: the hole for the lead goes through the back of one part, on every bed.
func TestPrintedCable(t *testing.T) {
	for _, bed := range []string{"[600, 600, 400]", "[220, 220, 250]"} {
		r := boxOf(t, "flat", "\n  cable: {on: back, plug: [12, 8, 30], relief: clip}\n  bed: "+bed)
		n := 0
		for _, q := range printed(t, r).parts {
			for _, h := range q.body.Pieces[0].(solid.Fused).Holes {
				if _, d, ok := h.Outline.AsCircle(); ok && math.Abs(d-r.Box.Exit.Round) < 1e-9 && math.Abs(h.Pose.Z.Y-1) < 1e-9 {
					n++
				}
			}
		}
		if n != 1 {
			t.Errorf("bed %s: %d holes for the lead", bed, n)
		}
	}
}

// TestPrintedOpenings: what sits in the back has its opening in one part of the printed box, of the volume of the wall there.
func TestPrintedOpenings(t *testing.T) {
	src := func(on string) string {
		return "knobwright: 1\ntitle: A box\nface: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, inset: 20}}\n" +
			"box: {form: desk, front: 80, slope: 10, walls: birch-ply-9mm, bed: [220, 220, 220]}\ncontrols:\n  go: {part: push-16mm, at: [60, 50]" + on + "}\n"
	}
	made := func(on string) (p *printer, v float64) {
		p = printed(t, judged(src(on)))
		for _, q := range p.parts {
			m, err := solid.Build([]solid.Body{q.body})
			if err != nil {
				t.Fatal(err)
			}
			v += m.Volume(0)
		}
		return p, v
	}
	p, v := made(", on: back")
	b := p.c.Board("back")
	if len(b.Cutouts) != 1 {
		t.Fatalf("%d openings in the back", len(b.Cutouts))
	}
	_, whole := made("")
	if want := b.Cutouts[0].Outline.Area() * printWall; math.Abs(whole-v-want) > 1e-6*whole {
		t.Errorf("the opening takes %g mm³, want %g", whole-v, want)
	}
}

// TestPrintedClashes: a deep key beside a seam meets its flange, one in the middle of a part meets nothing.
func TestPrintedClashes(t *testing.T) {
	for _, c := range []struct {
		at   string
		want int
	}{{"[150, 16]", 1}, {"[75, 60]", 0}} {
		src := "knobwright: 1\ntitle: A box\nface: {width: 300, height: 120, sheet: acrylic-3mm}\nbox: {form: flat, depth: 70, walls: birch-ply-9mm, bed: [160, 160, 160]}\n" +
			"controls:\n  go: {part: push-30mm, at: " + c.at + "}\n"
		p := printed(t, job.Check(project.Read("box.yaml", []byte(src)), catalog.Builtin())) // its own, which is changed below
		p.ends[0] = []float64{0, 150, 300}                                                   // a seam that has not kept off
		if got := p.clashes(); len(got) != c.want {
			t.Errorf("at %s: %q", c.at, got)
		}
	}
}

// TestPrintedWords: the sheet is there with a bed, also when the bed is none, and never without one.
func TestPrintedWords(t *testing.T) {
	for _, c := range []struct {
		bed  string
		want []string
		not  string
	}{
		{"\n  bed: [220, 220, 250]", []string{"print.pdf", "print.3mf", "print.step", "print-1.stl", "print-4.stl"}, "print.stl"},
		{"\n  bed: [600, 600, 400]", []string{"print.pdf", "print.3mf", "print.step", "print.stl"}, "print-1.stl"},
		{"\n  bed: [50, 50, 50]", []string{"print.pdf"}, "print.3mf"},
		{"", nil, "print.pdf"},
	} {
		r := boxOf(t, "desk with rest", c.bed)
		files := map[string]int{}
		printPapers(r, newDesk(r, nil), func(name, _ string, data []byte, err error) {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			files[name] = len(data)
		})
		for _, w := range c.want {
			if files[w] == 0 {
				t.Errorf("bed %q: no %s in %v", c.bed, w, files)
			}
		}
		if _, ok := files[c.not]; ok {
			t.Errorf("bed %q: %s", c.bed, c.not)
		}
	}
}

// TestSeamsKeepOff: a seam keeps off screws.
func TestSeamsKeepOff(t *testing.T) {
	thorough.Only(t)
	rs, names := randomBoxes(t, 3)
	for i, r := range rs {
		p := printed(t, r)
		for a := range 3 {
			for _, x := range p.ends[a][1 : len(p.ends[a])-1] {
				for _, q := range p.heads {
					if off := math.Abs(along(q.mouth, a) - x); off < 5 {
						t.Errorf("%s: a seam %g mm beside a screw", names[i], off)
					}
				}
			}
		}
		for _, q := range p.parts {
			checkPart(t, names[i], r, q)
		}
	}
}

// BenchmarkPrint makes the printed parts of a desk with a hand rest, in four parts.
func BenchmarkPrint(b *testing.B) {
	r := boxOf(b, "desk with rest", "\n  bed: [220, 220, 250]")
	for range b.N {
		if _, err := printParts(r); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBoxModel makes the solids of a desk with finger joints.
func BenchmarkBoxModel(b *testing.B) {
	r := boxOf(b, "desk with rest", "")
	for range b.N {
		m, err := boxModel(r)
		if err != nil {
			b.Fatal(err)
		}
		m.STEP(solid.STEPOptions{})
	}
}

// less takes a convex solid out of others.
func less(in []*geom.Hull, h *geom.Hull) (out []*geom.Hull) {
	for _, g := range in {
		if commonHull(g, h) == nil {
			out = append(out, g)
			continue
		}
		for i := range h.Faces {
			w := h.Plane(i)
			if o := cutBy(g, geom.HalfSpace{N: w.N.Mul(-1), D: -w.D}); o != nil {
				out = append(out, o)
			}
			if g = cutBy(g, w); g == nil {
				break
			}
		}
	}
	return out
}

// volumeOf is the volume of layers, reckoned by cutting up: what is filled less all that comes later.
func volumeOf(ls []geom.Layer) (v float64) {
	for i, l := range ls {
		if l.Cut {
			continue
		}
		left := []*geom.Hull{l.Hull}
		for _, m := range ls[i+1:] {
			left = less(left, m.Hull)
		}
		for _, h := range left {
			v += h.Volume()
		}
	}
	return v
}

// TestPrintedSums: for random boxes of every form the volume is that of the solids they are made of, cut up so that they share no room.
func TestPrintedSums(t *testing.T) {
	thorough.Only(t)
	rs, names := randomBoxes(t, 5)
	worst := 0.0
	for i, r := range rs {
		p := printed(t, r)
		for n, cell := range p.cells() {
			got, parts := 0.0, 0
			for _, q := range p.parts {
				if q.n == n {
					got += q.of.Volume()
					parts++
				}
			}
			want := volumeOf(p.layers(cell))
			if parts == 0 && want < 1e-6 {
				continue
			}
			worst = max(worst, math.Abs(got/want-1))
			if math.Abs(got/want-1) > 1e-9 {
				t.Errorf("%s, cell %d: %.4f mm³, want %.4f", names[i], n, got, want)
			}
		}
	}
	t.Logf("%d boxes: volumes differ by %.1e of themselves at most", len(rs), worst)
}
