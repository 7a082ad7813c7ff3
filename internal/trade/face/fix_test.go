package face_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
	"knobwright/internal/trade/face"
)

// same reports whether two findings are about the same things under the same rule.
func same(a, b finding.Finding) bool {
	if a.Rule != b.Rule {
		return false
	}
	for _, e := range a.Ends {
		found := false
		for _, f := range b.Ends {
			found = found || e.Path == f.Path
		}
		if !found {
			return false
		}
	}
	return true
}

// cures applies every fix of every finding of a panel, one at a time and by the file, and checks that the finding is gone
// and that no finding as grave has come instead. It gives the numbers of findings and of fixes.
func cures(t *testing.T, cat *catalog.Catalog, src string) (findings, fixes int) {
	t.Helper()
	doc, p := place(t, cat, src)
	before := face.Check(p).Findings
	for _, f := range before {
		if len(f.Fixes) == 0 {
			continue
		}
		findings++
		for _, fix := range f.Fixes {
			fixes++
			out, err := doc.Apply(fix.Edits)
			if err != nil {
				t.Errorf("%s: %s: %v", f.Head, fix.Short, err)
				continue
			}
			_, q := place(t, cat, string(out))
			after := face.Check(q).Findings
			for _, g := range after {
				if same(g, f) && g.Severity >= f.Severity {
					t.Errorf("%s [%s] is not cured by %q: %s %+v\n%s", f.Head, f.Rule, fix.Short, g.Head, g.Measure, src)
				}
				if g.Severity < f.Severity {
					continue
				}
				known := false // also where one of the two things was said to be wrong in another way, as grave
				for _, h := range before {
					known = known || same(g, h) && h.Severity >= g.Severity || h.Rule == g.Rule && overlaps(g, h) || !same(h, f) && h.Severity >= g.Severity && sameThings(g, h)
				}
				if !known {
					t.Errorf("%q, meant to cure %q, brings %q\n%s", fix.Short, f.Head, g.Head, src)
				}
			}
		}
	}
	return findings, fixes
}

// sameThings reports whether two findings are about the same two things.
func sameThings(a, b finding.Finding) bool {
	b.Rule = a.Rule
	return same(a, b)
}

// overlaps reports whether a finding about several things has been there about some of them.
func overlaps(a, b finding.Finding) bool {
	if len(b.Ends) <= 2 {
		return false
	}
	for _, e := range a.Ends {
		found := false
		for _, f := range b.Ends {
			found = found || e.Path == f.Path
		}
		if !found {
			return false
		}
	}
	return true
}

// Every fix of the cases of this package cures.
func TestFixesOfCases(t *testing.T) {
	cat := testCatalogue(t)
	n := 0
	for _, c := range ruleCases {
		t.Run(c.name, func(t *testing.T) {
			_, f := cures(t, cat, c.set.file(c.file))
			n += f
		})
	}
	for _, c := range ownCases {
		t.Run(c.name, func(t *testing.T) {
			src := c.set.file(c.file)
			if strings.Contains(c.set.corner, "legend") {
				src = strings.Replace(src, ", legend: {cap: 4}", "", 1)
			}
			_, f := cures(t, cat, src)
			n += f
		})
	}
	if n < 80 {
		t.Errorf("only %d fixes were tried", n)
	}
}

// crowd is a panel of controls thrown down anyhow, most of them too close to something.
func crowd(r *rand.Rand, n int) string {
	parts := []string{"t-push", "t-toggle", "t-pot", "t-lamp", "t-rocker", "t-wide"}
	var b strings.Builder
	b.WriteString(setting{sheet: []string{"t-alu", "t-acrylic"}[r.IntN(2)], hand: []string{"bare", "glove", "tight"}[r.IntN(3)], fixings: "{screw: M3, inset: 5}"}.file(""))
	if r.IntN(2) == 0 {
		b.WriteString(rib)
	}
	b.WriteString("controls:\n")
	for i := range n {
		pin := ""
		if r.IntN(6) == 0 {
			pin = ", pinned: true"
		}
		fmt.Fprintf(&b, "  c%d: {part: %s, at: [%.1f, %.1f], legend: C%d%s}\n", i, parts[r.IntN(len(parts))], 15+r.Float64()*270, 15+r.Float64()*170, i, pin)
	}
	fmt.Fprintf(&b, "groups:\n  g: {part: t-push, row: {from: [%.1f, %.1f], step: %.1f}, controls: {g1: {legend: \"\"}, g2: {legend: \"\"}, g3: {legend: \"\"}}}\n", 20+r.Float64()*100, 20+r.Float64()*160, 15+r.Float64()*10)
	fmt.Fprintf(&b, "  m: {mirror: {of: [c0]}}\n")
	return b.String()
}

// Every fix offered on panels thrown down anyhow cures, through the file.
func TestFixesOfCrowds(t *testing.T) {
	cat := testCatalogue(t)
	rounds := thorough.Of(30, 6)
	r := rand.New(rand.NewPCG(3, 14))
	all, fixes := 0, 0
	for range rounds {
		a, f := cures(t, cat, crowd(r, 4+r.IntN(14)))
		all, fixes = all+a, fixes+f
	}
	t.Logf("%d fixes of %d findings were tried", fixes, all)
	if fixes < rounds*3 {
		t.Errorf("only %d fixes were tried", fixes)
	}
}

// Moves are multiples of half a millimetre and never farther than 40 mm, and a pinned control is never moved.
func TestMovesAreModest(t *testing.T) {
	cat := testCatalogue(t)
	r := rand.New(rand.NewPCG(2, 71))
	for range 10 {
		src := crowd(r, 12)
		doc, p := place(t, cat, src)
		at := map[string]*panel.Control{}
		for _, c := range p.Controls {
			at[c.Name] = c
		}
		for _, f := range face.Check(p).Findings {
			for _, fix := range f.Fixes {
				out, err := doc.Apply(fix.Edits)
				if err != nil {
					t.Fatal(err)
				}
				q, _ := panel.Place(project.Read("t.yaml", out), cat)
				for _, c := range q.Controls {
					d := c.At.Sub(at[c.Name].At.Vec2)
					if d.Len() > 40*3 { // the third of a row moves by two steps
						t.Errorf("%q moves %s by %.1f mm", fix.Short, c.Name, d.Len())
					}
					if d.Len() > 1e-6 && at[c.Name].Pinned {
						t.Errorf("%q moves %s, which is pinned", fix.Short, c.Name)
					}
				}
			}
		}
	}
}

// The least move, worked out by hand: what is missing, rounded up to half a millimetre.
func TestLeastFixes(t *testing.T) {
	cat := testCatalogue(t)
	for _, c := range []struct {
		file, rule string
		want       []string
	}{
		// 12.9 of 13 between the caps: 0.1 more, so 0.5; sideways is as good, but right is tried first
		{two("t-push", "t-push", "124.9", "100"), "reach.neighbours", []string{"bb: at: [125.4, 100]"}},
		// rib to 155, tool 26 across: its middle at 168
		{rib + one("t-push", "161.5", "100"), "fit.body-rib", []string{"at: [168, 100]"}},
		// knob 24 across, 2 in from the edge: its middle 14 below it
		{one("t-pot", "100", "190"), "reach.edge", []string{"at: [100, 186]"}},
		// caps 17 across, 6 apart; as long as one is alone with the other it may also move by itself
		{row("t-wide", "22.9", "2"), "reach.neighbours", []string{"g: step: 23", "k2: shift: [0.5, 0]"}},
		{row("t-wide", "22.9", "6"), "reach.neighbours", []string{"g: step: 23"}},
		{"groups:\n  g: {part: t-wide, grid: {from: [60, 100], step: [22.9, 40], columns: 3, rows: 2}, names: \"k{n}\"}\n", "reach.neighbours", []string{"g: step: [23, 40]"}},
		{"groups:\n  g: {part: t-wide, grid: {from: [60, 100], step: [40, 22.2], columns: 3, rows: 2}, names: \"k{n}\"}\n", "reach.neighbours", []string{"g: step: [40, 23]"}},
		// lugs down to 26, less 2 of sheet, and 2 of air; by itself: wires down to 40, less 2 of sheet
		{boxed("22", one("t-push", "100", "100")), "fit.depth", []string{"depth: 26", "depth: 38"}},
		{boxed("25", one("t-push", "100", "100")), "fit.depth", []string{"depth: 26", "depth: 38"}},
		{boxed("30", one("t-push", "100", "100")), "fit.depth", []string{"depth: 38"}},
	} {
		_, p := place(t, cat, setting{sheet: "t-alu"}.file(c.file))
		var got []string
		for _, f := range findRule(face.Check(p).Findings, c.rule) {
			for _, x := range f.Fixes {
				got = append(got, x.Short)
			}
		}
		if strings.Join(got, "; ") != strings.Join(c.want, "; ") {
			t.Errorf("%s: %q, worked out %q\n%s", c.rule, got, c.want, c.file)
		}
	}
}

// What cannot be moved says so.
func TestNoFixSaysWhy(t *testing.T) {
	cat := testCatalogue(t)
	for _, c := range []struct{ file, rule, want string }{
		{"controls:\n  aa: {part: t-push, at: [100, 100], legend: \"\", pinned: true}\n  bb: {part: t-push, at: [124, 100], legend: \"\", pinned: true}\n", "reach.neighbours", "AA is pinned."},
		{"controls:\n  aa: {part: t-push, at: [145, 100], legend: \"\"}\ngroups:\n  m: {mirror: {of: [aa], at: 150}}\n", "reach.touch", "AA has a mirror image or a copy that would move with it."},
	} {
		_, p := place(t, cat, setting{}.file(c.file))
		fs := findRule(face.Check(p).Findings, c.rule)
		if len(fs) != 1 || len(fs[0].Fixes) > 0 || !strings.HasSuffix(fs[0].Body, c.want) {
			t.Errorf("%+v, wanted no fix and %q", fs, c.want)
		}
	}
}

// A move touches only the coordinate that changes, and is written as the file writes: in inches to the thousandth.
func TestMovesKeepTheOtherCoordinate(t *testing.T) {
	cat := testCatalogue(t)
	for _, c := range []struct{ file, from, to, short string }{
		// caps 12 across, 13 apart: 0.1 is missing
		{
			"knobwright: 1\nface: {width: 300, height: 200, sheet: t-acrylic}\ncontrols:\n  aa: {part: t-push, at: [100, 100], legend: \"\"}\n  bb: {part: t-push, at: [124.90 , 100.0], legend: \"\"} # later\n",
			"[124.90 , 100.0]", "[125.4 , 100.0]", "bb: at: [125.4, 100]",
		},
		// 0.98 in are 24.892 mm: 0.108 is missing, two hundredths of an inch are 0.508
		{
			"knobwright: 1\nunits: in\nface: {width: 300 mm, height: 200 mm, sheet: t-acrylic}\ncontrols:\n  aa: {part: t-push, at: [4, 3 1/2], legend: \"\"}\n  bb: {part: t-push, at: [4.98, 3 1/2], legend: \"\"}\n",
			"[4.98, 3 1/2]", "[5, 3 1/2]", "bb: at: [5, 3.5]",
		},
		{
			"knobwright: 1\nunits: in\nface: {width: 300 mm, height: 200 mm, sheet: t-acrylic}\ncontrols:\n  aa: {part: t-push, at: [4, 3.5003], legend: \"\"}\n  bb: {part: t-push, at: [4.98, 3.5003], legend: \"\"}\n",
			"[4.98, 3.5003]", "[5, 3.5003]", "bb: at: [5, 3.501]",
		},
		// a shift that is not yet in the file is written whole
		{
			"knobwright: 1\nunits: in\nface: {width: 300 mm, height: 200 mm, sheet: t-acrylic}\ngroups:\n  g: {part: t-wide, row: {from: [4, 3 1/2], step: 0.9}, controls: {aa: {legend: \"\"}, bb: {legend: \"\"}}}\n",
			"bb: {legend: \"\"}", "bb: {legend: \"\", shift: [0.02, 0]}", "bb: shift: [0.02, 0]",
		},
	} {
		doc, p := place(t, cat, c.file)
		found := false
		for _, f := range findRule(face.Check(p).Findings, "reach.neighbours") {
			for _, x := range f.Fixes {
				if x.Short != c.short {
					continue
				}
				found = true
				out, err := doc.Apply(x.Edits)
				if want := strings.Replace(c.file, c.from, c.to, 1); err != nil || string(out) != want {
					t.Errorf("%v\n%s\nwanted\n%s", err, out, want)
				}
			}
		}
		if !found {
			t.Errorf("no fix %q: %+v", c.short, face.Check(p).Findings)
		}
	}
}

// A grid's step changes by itself.
func TestGridStepKeepsTheOther(t *testing.T) {
	cat := testCatalogue(t)
	src := setting{sheet: "t-alu"}.file("groups:\n  g: {part: t-wide, grid: {from: [60, 100], step: [22.9, 40.00], columns: 3, rows: 2}, names: \"k{n}\"}\n")
	doc, p := place(t, cat, src)
	fs := findRule(face.Check(p).Findings, "reach.neighbours")
	if len(fs) != 1 || len(fs[0].Fixes) == 0 {
		t.Fatalf("%+v", fs)
	}
	out, err := doc.Apply(fs[0].Fixes[0].Edits)
	if want := strings.Replace(src, "[22.9, 40.00]", "[23, 40.00]", 1); err != nil || string(out) != want {
		t.Errorf("%v\n%s", err, out)
	}
}
