package panel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// boxText writes a file of a box from numbers; a size of 0 is left out.
func boxText(form, joint, fit, base string, ns ...float64) string {
	keys := []string{"depth", "front", "back", "rest", "inset", "play"}
	var s strings.Builder
	s.WriteString("knobwright: 1\nface: {sheet: test-3mm")
	num := func(v float64) string { return fmt.Sprintf("%.3f", v) }
	for i, k := range []string{"width", "height"} {
		if ns[i] != 0 {
			s.WriteString(", " + k + ": " + num(ns[i]))
		}
	}
	s.WriteString("}\nbox:\n  form: " + form + "\n  walls: {use: test-9mm, actual: " + num(ns[2]) + "}\n  corners: " + joint + "\n  face: " + fit + "\n  base-fit: " + base + "\n")
	for i, k := range keys {
		if ns[3+i] != 0 {
			s.WriteString("  " + k + ": " + num(ns[3+i]) + "\n")
		}
	}
	if ns[9] != 0 {
		s.WriteString("  slope: " + num(ns[9]) + " deg\n")
	}
	if ns[10] != 0 {
		s.WriteString("  outside: [" + num(ns[10]) + ", " + num(ns[11]) + "]\n")
	}
	if ns[12] != 0 {
		s.WriteString("  upper: {slope: " + num(ns[12]) + " deg, height: " + num(ns[13]) + "}\n")
	}
	if ns[14] != 0 {
		s.WriteString("  ledge: {width: " + num(ns[14]) + ", height: " + num(ns[15]) + "}\n  blocks: " + num(ns[16]) + "\n")
	}
	if ns[17] != 0 {
		s.WriteString("  ribs: {m: {from: [10, " + num(ns[17]) + "], to: [150, " + num(ns[18]) + "], width: 8, height: 20}}\n")
	}
	s.WriteString("module: {part: rp2040-40pin, at: [60, 40], turn: " + num(ns[9]) + "}\ncontrols: {a: {part: button, at: [60, 40], on: " + []string{"face", "back", "left", "base", "upper", "rest"}[int(math.Abs(ns[13]))%6] + "}}\n")
	return s.String()
}

func FuzzBox(f *testing.F) {
	forms := []string{"flat", "wedge", "desk", "two-slope", "rack", "none"}
	joints := []string{"butt", "rebate", "mitre", "finger"}
	for i := range forms {
		f.Add(uint8(i), uint8(i), uint8(i), 200.0, 100.0, 9.0, 0.0, 45.0, 0.0, 0.0, 0.0, 0.0, 14.0, 0.0, 0.0, 40.0, 60.0, 8.0, 10.0, 12.0, 40.0, 60.0)
		f.Add(uint8(i), uint8(i+1), uint8(3-i), 200.0, 100.0, 9.0, 50.0, 0.0, 0.0, 40.0, 2.0, 0.5, 14.0, 0.0, 0.0, 40.0, 60.0, 0.0, 10.0, 12.0, 0.0, 60.0)
		f.Add(uint8(i), uint8(i+2), uint8(i), 0.0, 0.0, 9.0, 0.0, 45.0, 90.0, 0.0, 0.0, 0.0, 0.0, 200.0, 150.0, 40.0, 60.0, 8.0, 10.0, 12.0, 40.0, 60.0)
		f.Add(uint8(i), uint8(i+3), uint8(i), 200.0, 100.0, 90.0, -5.0, 450.0, 900.0, 500.0, 300.0, 50.0, 89.0, 20.0, 1500.0, 140.0, 0.1, 800.0, 0.1, 1200.0, 40.0, 60.0)
	}
	cat := testCatalog(f)
	f.Fuzz(func(t *testing.T, form, joint, fits uint8, a, b, c, d, e, g, h, i, j, k, l, m, n, o, p, q, r, u, v float64) {
		ns := []float64{a, b, c, d, e, g, h, i, j, k, l, m, n, o, p, q, r, u, v}
		for _, x := range ns {
			if math.IsNaN(x) || math.Abs(x) > 1e7 {
				t.Skip()
			}
		}
		text := boxText(forms[int(form)%len(forms)], joints[int(joint)%len(joints)], []string{"laid-on", "let-in"}[fits%2], []string{"under", "let-in"}[fits/2%2], ns...)
		judgeBox(t, text, cat)
	})
}

// judgeBox holds for every file: what is said is said of something, and a box that is there is one.
func judgeBox(t *testing.T, text string, cat *catalog.Catalog) {
	t.Helper()
	pn, fs := Place(project.Read("box.yaml", []byte(text)), cat)
	check(t, pn)
	for _, x := range fs {
		if x.Head == "" || x.Rule == "" || len(x.Ends) == 0 || x.Measure != nil && (math.IsNaN(x.Measure.Have) || math.IsNaN(x.Measure.Want)) {
			t.Errorf("%+v\n%s", x, text)
		}
		for _, e := range x.Ends {
			if e.Pos.Line == 0 {
				t.Errorf("%s: %s stands nowhere\n%s", x.Rule, e.Name, text)
			}
		}
	}
	for _, s := range pn.Sheets() {
		for _, b := range s.Behind {
			x := b.Solid.Bounds()
			if math.IsNaN(x.Min.X+x.Min.Y+x.Min.Z+x.Max.X+x.Max.Y+x.Max.Z) || b.Outline.Empty() {
				t.Errorf("%s: %v\n%s", b.Owner, x, text)
			}
		}
		if d, ok := s.DepthAt(Pt{s.Face.Outline.Bounds().Centre()}); math.IsNaN(d) || ok && d > 1e5 {
			t.Errorf("depth %v\n%s", d, text)
		}
	}
	if c := pn.Carcass; c != nil {
		for _, b := range c.Boards {
			if !(b.Volume > 0) {
				t.Errorf("%s has a volume of %v\n%s", b.Name, b.Volume, text)
			}
		}
		if !(pn.BoxDepth > 0) && pn.Box.Form != carcass.Rack {
			t.Errorf("depth %v\n%s", pn.BoxDepth, text)
		}
	}
}

// A box may be given by any sizes that settle it, and the face may follow from the outside.
func TestSizesAnyWayRound(t *testing.T) {
	full, fs := placeText(t, "box: {form: wedge, walls: test-9mm, front: 45, slope: 14 deg}")
	wantClean(t, fs)
	z := full.Carcass.Spec.Sizes
	for _, w := range []string{
		fmt.Sprintf("front: 45, back: %v", z.BackHeight), fmt.Sprintf("depth: %v, slope: 14 deg", z.Clear), fmt.Sprintf("depth: %v, front: 45", z.Clear),
		fmt.Sprintf("front: 45, slope: 14 deg, back: %v, depth: %v", z.BackHeight, z.Clear),
	} {
		p, fs := placeText(t, "box: {form: wedge, walls: test-9mm, "+w+"}")
		if len(fs) != 0 || p.Carcass == nil {
			t.Errorf("%s: %s", w, rules(fs))
			continue
		}
		y := p.Carcass.Spec.Sizes
		for _, d := range []float64{y.FrontHeight - 45, y.BackHeight - z.BackHeight, y.Slope - 14, y.Clear - z.Clear, y.Depth - z.Depth} {
			if math.Abs(d) > 1e-4 {
				t.Errorf("%s: %+v against %+v", w, y, z)
			}
		}
	}
	p, fs := placeWhole(t, fmt.Sprintf("knobwright: 1\nface: {sheet: test-3mm, covering: test-film}\nbox: {form: wedge, walls: test-9mm, front: 45, slope: 14 deg, outside: [200, %v]}", z.Depth))
	wantClean(t, fs)
	if math.Abs(p.Face.Width-200) > 1e-6 || math.Abs(p.Face.Height-100) > 1e-4 || !p.Face.HasSize() {
		t.Errorf("the face comes out at %v x %v", p.Face.Width, p.Face.Height)
	}
}

// What disagrees is said with both ends and what it should be; the rest of the panel is still held against a box.
func TestBoxGoesOnWithoutWhatIsWrong(t *testing.T) {
	p, fs := placeText(t, "box: {form: wedge, walls: test-9mm, front: 45, slope: 14 deg, back: 100}")
	if len(fs) != 1 || p.Carcass == nil || !p.HasBox || len(p.Behind) != 5 {
		t.Fatalf("%s, %d behind", rules(fs), len(p.Behind))
	}
	f := fs[0]
	// 45 in front and 100 along the face at 14 degrees: 45 + 100 sin 14 = 69.19 behind
	if m := f.Measure; m == nil || m.Have != 100 || math.Abs(m.Want-69.192) > 0.001 || m.WantMax != m.Want || m.Sense != finding.Between || m.Unit != "mm" {
		t.Errorf("%+v", f.Measure)
	}
	if len(f.Fixes) != 2 || f.Fixes[0].Edits[0].Path != "box.back" || f.Fixes[1].Edits[0].Op != finding.Delete {
		t.Errorf("%+v", f.Fixes)
	}
	p, fs = placeText(t, "box: {walls: test-9mm, depth: 50, blocks: 30, ribs: {m: {from: [100, 30], to: [180, 30], width: 9, height: 20}, n: {from: [60, 20], to: [60, 80], width: 9, height: 20}}}")
	if len(fs) != 1 || p.Carcass == nil || !strings.Contains(owners(p.Behind), "rib N") || strings.Contains(owners(p.Behind), "rib M") {
		t.Errorf("%s\n%s", rules(fs), owners(p.Behind))
	}
}

func TestProblemsInInches(t *testing.T) {
	_, fs := placeWhole(t, "knobwright: 1\nunits: in\nface: {width: 8, height: 4, sheet: test-3mm}\nbox: {form: wedge, walls: test-9mm, front: 2, slope: 14 deg, back: 5}")
	if len(fs) != 1 || strings.Contains(fs[0].Head+fs[0].Body, " mm") || !strings.Contains(fs[0].Head, "5 in") {
		t.Errorf("%+v", fs)
	}
}

// Boxes of likely sizes: most of them can be made, and whatever is said of the others holds together.
func TestRandomBoxes(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 7))
	cat := testCatalog(t)
	made := map[string]int{}
	for i := range 240 {
		form := []string{"flat", "wedge", "desk", "two-slope"}[i%4]
		size := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
		maybe := func(v float64) float64 {
			if rng.IntN(3) > 0 {
				return 0
			}
			return v
		}
		ns := []float64{size(160, 400), size(90, 250), size(3, 15), 0, 0, 0, 0, maybe(size(0, 10)), 0, 0, 0, 0, 0, 0, maybe(size(8, 15)), size(8, 15), size(10, 20), maybe(size(50, 80)), size(50, 80)}
		if form == "flat" {
			ns[3] = size(40, 90)
		} else {
			ns[4], ns[9] = size(40, 90), size(2, 40)
		}
		switch form {
		case "desk":
			ns[6] = maybe(size(30, 90))
		case "two-slope":
			ns[12], ns[13] = size(30, 60), size(60, 120)
		}
		text := boxText(form, []string{"butt", "rebate", "mitre", "finger"}[rng.IntN(4)], []string{"laid-on", "let-in"}[rng.IntN(2)], []string{"under", "let-in"}[rng.IntN(2)], ns...)
		judgeBox(t, text, cat)
		if p, _ := Place(project.Read("box.yaml", []byte(text)), cat); p.Carcass != nil {
			made[form]++
		}
	}
	for _, form := range []string{"flat", "wedge", "desk", "two-slope"} {
		if made[form] < 30 {
			t.Errorf("only %d of 60 boxes of the form %s could be made", made[form], form)
		}
	}
	t.Log(made)
}

// TestStockSizes: a sheet on hand has two sides of some length.
func TestStockSizes(t *testing.T) {
	for size, bad := range map[string]bool{"[250, 100]": false, "[-250, 100]": true, "[250, 0]": true, "[250, 20000]": true} {
		src := "knobwright: 1\ntitle: Bell desk\nface: {width: 300, height: 180, sheet: acrylic-3mm}\nbox: {form: flat, depth: 50, walls: birch-ply-12mm, stock: [{sheet: birch-ply-12mm, size: " + size + ", name: scrap}]}\n"
		_, fs := Place(project.Read("bell.yaml", []byte(src)), catalog.Builtin())
		said := false
		for _, f := range fs {
			said = said || strings.Contains(f.Head, "side of the scrap cannot be")
		}
		if said != bad {
			t.Errorf("%s: said %t", size, said)
		}
	}
}

// TestStockSheets: a slip in the name of a sheet on hand is told, with the likely one.
func TestStockSheets(t *testing.T) {
	src := "knobwright: 1\nface: {width: 300, height: 180, sheet: acrylic-3mm}\nbox: {form: flat, depth: 50, walls: birch-ply-12mm, stock: [{sheet: birch-ply-12mm, size: [250, 100]}, {sheet: birch-ply-12m, size: [250, 100], name: scrap}]}\n"
	_, fs := Place(project.Read("bell.yaml", []byte(src)), catalog.Builtin())
	n := 0
	for _, f := range fs {
		if f.Rule != ruleUnknownSheet.Name {
			continue
		}
		n++
		if f.Head != "There is no sheet birch-ply-12m." || len(f.Fixes) != 1 || f.Ends[0].Name != "the scrap" || f.Ends[0].Path != "box.stock.1.sheet" {
			t.Errorf("%+v", f)
		}
	}
	if n != 1 {
		t.Errorf("told %d times", n)
	}
}
