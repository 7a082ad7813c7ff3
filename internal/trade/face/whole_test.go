package face

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trust"
)

func ownCatalogue(t testing.TB) *catalog.Catalog {
	t.Helper()
	src, err := os.ReadFile("testdata/parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, problems := catalog.Builtin().With("parts.yaml", src)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return c
}

// drawPanel makes a panel of up to n controls anywhere on a face.
func drawPanel(t *rapid.T, cat *catalog.Catalog, n int) *panel.Panel {
	ids := []string{"t-push", "t-toggle", "t-pot", "t-lamp", "t-rocker", "t-bent", "t-pot-high"}
	var b strings.Builder
	fmt.Fprintf(&b, "knobwright: 1\nface: {width: 200, height: 150, corner: 20, sheet: t-acrylic, fixings: {screw: M3, inset: 6}, texts: {name: {text: LIGHTS, at: [100, 75]}}, holes: {cable: {round: 9, at: [60, 60]}}}\n")
	fmt.Fprintf(&b, "hand: %s\nbox: {form: flat, depth: 40, walls: t-board, blocks: 20, ribs: {middle: {from: [120, 10], to: [120, 140], width: 8, height: 20}}}\ncontrols:\n", rapid.SampledFrom([]string{"bare", "glove", "tight"}).Draw(t, "hand"))
	for i := range rapid.IntRange(2, n).Draw(t, "n") {
		x := rapid.IntRange(0, 2000).Draw(t, "x")
		y := rapid.IntRange(0, 1500).Draw(t, "y")
		turn := rapid.SampledFrom([]string{"0", "90", "30"}).Draw(t, "turn")
		fmt.Fprintf(&b, "  c%d: {part: %s, at: [%.1f, %.1f], turn: %s, legend: C%d}\n", i, rapid.SampledFrom(ids).Draw(t, "part"), float64(x)/10, float64(y)/10, turn, i)
	}
	p, _ := panel.Place(project.Read("t.yaml", []byte(b.String())), cat)
	return p
}

func key(k *checker, h *hit) string {
	return fmt.Sprintf("%s %s %d %d %.6f", h.rule.Name, h.sev, h.a, h.b, h.have)
}

// Looking only at what lies near each other finds what looking at every pair finds.
func TestNearPairsAreEnough(t *testing.T) {
	cat := ownCatalogue(t)
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		k := newChecker(drawPanel(t, cat, 14))
		var got, want []string
		for _, h := range k.hits() {
			got = append(got, key(k, &h))
		}
		var all []hit
		for i := range k.items {
			all = keep(all, k.alone(nil, &k.items[i], geom.Vec2{}))
			for j := i + 1; j < len(k.items); j++ {
				all = keep(all, k.pair(nil, &k.items[i], geom.Vec2{}, &k.items[j]))
			}
		}
		for i := range all {
			want = append(want, key(k, &all[i]))
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Fatalf("near pairs find %v, all pairs %v", got, want)
		}
		found += len(want)
	})
	if found < 100 {
		t.Errorf("only %d findings in all: the panels are too roomy to show anything", found)
	}
}

// spacing are the rules of two controls that moving them apart can only help.
var spacing = []*finding.Rule{&ruleNeighbours, &ruleTouch, &ruleWeb, &ruleBodyBody, &ruleNut, &ruleTool, &ruleLegendOverlap, &ruleLegendHidden}

// Two convex things moved straight apart, along the line on which they are measured, come no closer: no spacing rule finds more than before.
func TestApartIsNeverWorse(t *testing.T) {
	cat := ownCatalogue(t)
	rapid.Check(t, func(t *rapid.T) {
		k := newChecker(drawPanel(t, cat, 2))
		if len(k.p.Controls) < 2 {
			return
		}
		a, b := &k.items[0], &k.items[1]
		before := k.pair(nil, a, geom.Vec2{}, b)
		for i := range before {
			h := &before[i]
			if h.dir == (geom.Vec2{}) || !slices.Contains(spacing, h.rule) {
				continue
			}
			last := h.have
			for step := 1; step <= 12; step++ {
				d := h.dir.Mul(float64(step) * 2)
				now := k.pair(nil, a, d, b)
				for j := range now {
					g := &now[j]
					if g.rule == h.rule && g.have < last-1e-6 && g.sev > h.sev {
						t.Fatalf("%s: moved apart by %d mm it has %.3f (%s), before %.3f (%s)", h.rule.Name, 2*step, g.have, g.sev, last, h.sev)
					}
				}
			}
		}
		// far enough apart along any line there is nothing left
		far := geom.Vec2{X: 500, Y: 300}
		if now := k.pair(nil, a, far, b); len(now) > 0 {
			t.Fatalf("half a metre apart there is still %s", now[0].rule.Name)
		}
	})
}

// Along the line of the two middles, a pair of round controls gains exactly what it is moved.
func TestGapsGrowWithTheMove(t *testing.T) {
	cat := ownCatalogue(t)
	p, _ := panel.Place(project.Read("t.yaml", []byte("knobwright: 1\nface: {width: 300, height: 200, sheet: t-acrylic}\ncontrols:\n  a: {part: t-push, at: [100, 100], legend: \"\"}\n  b: {part: t-push, at: [112, 109], legend: \"\"}\n")), cat)
	k := newChecker(p)
	u := geom.Vec2{X: -12, Y: -9}.Unit()
	first := map[*finding.Rule]float64{}
	for _, h := range k.pair(nil, &k.items[0], geom.Vec2{}, &k.items[1]) {
		first[h.rule] = h.have
	}
	seen := 0
	for step := range 40 {
		d := float64(step) * 0.5
		for _, h := range k.pair(nil, &k.items[0], u.Mul(d), &k.items[1]) {
			seen++
			if got, want := h.have, first[h.rule]+d; got < want-1e-9 || got > want+1e-9 {
				t.Errorf("%s: moved %.1f apart it has %.4f, not %.4f", h.rule.Name, d, got, want)
			}
		}
	}
	if len(first) < 5 || seen < 50 {
		t.Errorf("%d rules and %d findings are too few to show anything", len(first), seen)
	}
}

// The same panel gives the same bytes, and the names of the limits it asked for are limits of these rules or of the panel.
func TestSamePanelSameFindings(t *testing.T) {
	cat := ownCatalogue(t)
	known := map[string]bool{panel.ToolReach.Name: true}
	for _, r := range Rules {
		for _, l := range r.Limits {
			known[l.Name] = true
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		p := drawPanel(t, cat, 16)
		p.Limits.Used = map[string]bool{}
		r := Check(p)
		one, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		two, _ := json.Marshal(Check(p))
		if string(one) != string(two) {
			t.Fatal("two checks of one panel differ")
		}
		for n := range p.Limits.Used {
			if !known[n] {
				t.Fatalf("the limit %s belongs to no rule", n)
			}
		}
		for _, f := range r.Findings {
			if strings.Contains(f.Head+f.Body+f.Why, "NaN") || strings.Contains(f.Head+f.Body, "  ") || f.Head == "" || !strings.HasSuffix(f.Head, ".") {
				t.Fatalf("odd words: %q %q %q", f.Head, f.Body, f.Why)
			}
			if f.Measure != nil && f.Measure.Sense == finding.AtLeast && f.Measure.Have >= f.Measure.Want {
				t.Fatalf("%s: has %g, wants %g: nothing is wrong", f.Head, f.Measure.Have, f.Measure.Want)
			}
			if len(f.Ends) == 0 {
				t.Fatalf("%s: about nothing", f.Head)
			}
		}
		if len(r.Fits) != len(p.Controls) {
			t.Fatalf("%d fits of %d controls", len(r.Fits), len(p.Controls))
		}
	})
}

// Nothing at all, and panels that are half finished, are no trouble.
func TestUnfinished(t *testing.T) {
	if r := Check(nil); len(r.Findings) > 0 {
		t.Error("nothing has findings")
	}
	cat := ownCatalogue(t)
	for _, src := range []string{"", "knobwright: 1\n", "knobwright: 1\ncontrols: {a: {part: t-push, at: [1, 1]}, b: {part: t-push, at: [1, 1]}}\n", "knobwright: 1\nface: {width: 100, height: 100}\ncontrols: {a: {part: t-push, at: [50, 50]}, b: {part: t-push, at: [50, 50]}}\n"} {
		p, _ := panel.Place(project.Read("t.yaml", []byte(src)), cat)
		Check(p)
	}
	Check(&panel.Panel{Controls: []*panel.Control{{Name: "a"}, {Name: "b"}}, Fixings: []*panel.Fixing{{}}, Openings: []*panel.Cut{{}}, Texts: []panel.Text{{}}, Behind: []panel.Body{{}}})
}

// A finding that the person keeps for one control is not lumped together with the others.
func TestKeptStandsAlone(t *testing.T) {
	cat := ownCatalogue(t)
	src := "knobwright: 1\nface: {width: 300, height: 100, sheet: t-acrylic}\nkeep: [{rule: fit.grip, of: [b], why: it is thinned}]\ncontrols:\n"
	for i, n := range []string{"a", "b", "c"} {
		src += fmt.Sprintf("  %s: {part: t-rocker, at: [%d, 50]}\n", n, 60+i*80)
	}
	p, _ := panel.Place(project.Read("t.yaml", []byte(src)), cat)
	var got []string
	for _, f := range Check(p).Findings {
		if f.Rule == ruleGrip.Name {
			got = append(got, f.Head)
		}
	}
	if want := []string{"A and C cannot hold this sheet.", "B cannot hold this sheet."}; !slices.Equal(got, want) {
		t.Errorf("%q, wanted %q", got, want)
	}
}

// What a source says is what the number says: a source in diameters stands at numbers in diameters, and nothing that was seen
// elsewhere stands at millimetres that nobody gave.
func TestEdgeSources(t *testing.T) {
	for i := range stocks {
		s := &stocks[i]
		for _, l := range []finding.Limit{s.edgeLeast, s.edgeGood} {
			if l.Source.Provenance != trust.Practice || l.Source.Confidence != trust.Low || strings.Contains(l.Source.Text, "2 diameters") || strings.Contains(l.Source.Text, "1.5") {
				t.Errorf("%s is said to come from %s (%s)", l.Name, l.Source, l.Source.Confidence)
			}
		}
	}
	alu := stockOf("aluminium").fixingDia
	if alu.Default != 2 || !strings.Contains(alu.Source.Text, "2 diameters") {
		t.Errorf("%s: %g from %s", alu.Name, alu.Default, alu.Source)
	}
}

// Numbers of the person's own decide.
func TestOwnLimits(t *testing.T) {
	cat := ownCatalogue(t)
	src := "knobwright: 1\nface: {width: 300, height: 100, sheet: t-acrylic}\nLIMITScontrols:\n  a: {part: t-push, at: [100, 50], legend: \"\"}\n  b: {part: t-push, at: [122, 50], legend: \"\"}\n"
	for _, c := range []struct {
		limits string
		want   bool
	}{{"", true}, {"limits: {reach.push-push: 9}\n", false}, {"limits: {reach.push-push: 11}\n", true}} {
		p, _ := panel.Place(project.Read("t.yaml", []byte(strings.Replace(src, "LIMITS", c.limits, 1))), cat)
		got := false
		for _, f := range Check(p).Findings {
			if f.Rule == ruleNeighbours.Name {
				got = true
				if c.limits != "" && f.Source.Provenance != "yours" {
					t.Errorf("the limit is said to come from %s", f.Source)
				}
			}
		}
		if got != c.want {
			t.Errorf("with %q: found %v", c.limits, got)
		}
	}
}
