package drilling

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

// Every rule is complete, every limit stands once and says where it comes from.
func TestRulesAreComplete(t *testing.T) {
	seen := map[string]bool{}
	once := func(name string) {
		if seen[name] || !strings.HasPrefix(name, "drill.") {
			t.Errorf("%s", name)
		}
		seen[name] = true
	}
	for _, r := range Rules {
		if seen["rule "+r.Name] || !strings.HasPrefix(r.Name, "drill.") || r.Title == "" || len(r.Explain) < 120 {
			t.Errorf("rule %s is not complete", r.Name)
		}
		seen["rule "+r.Name] = true
		for _, l := range r.Limits {
			once(l.Name)
			if l.Means == "" || l.Source.Text == "" || l.Source.Confidence == "" {
				t.Errorf("limit %s is not complete", l.Name)
			}
		}
	}
	for _, u := range panel.Usual {
		if seen[u.Name] {
			t.Errorf("%s stands twice", u.Name)
		}
	}
}

// Findings name rules of the catalogue, gravest first, and carry a measure that is really outside its limit.
func TestFindingsHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	met := map[string]int{}
	for range 400 {
		p := randomPanel(rng, 1+rng.IntN(10))
		p.BitsAssumed = rng.IntN(2) == 0
		last := finding.Stop
		for _, f := range Plan(p).Findings {
			i := slices.IndexFunc(Rules, func(r finding.Rule) bool { return r.Name == f.Rule })
			if i < 0 || f.Head == "" || !strings.HasSuffix(f.Head, ".") || len(f.Ends) == 0 || f.Severity > last {
				t.Fatalf("%+v", f)
			}
			last = f.Severity
			met[f.Rule]++
			if m := f.Measure; m != nil {
				ok := m.Have >= m.Want
				switch m.Sense {
				case finding.AtMost:
					ok = m.Have <= m.Want
				case finding.Between:
					ok = m.Have >= m.Want && m.Have <= m.WantMax
				}
				if ok { // the nearest bit to a slot that no drill in the drawer can chain
					t.Fatalf("%s: %+v is no fault", f.Head, *m)
				}
			}
		}
	}
	for _, want := range []string{"no-way", "no-bit", "file", "step-too-thick", "too-tight", "pilot", "blind", "speed", "bits-assumed"} {
		if met["drill."+want] == 0 {
			t.Errorf("no %s among %v", want, met)
		}
	}
}

func TestBitsAssumedOffersToWriteThem(t *testing.T) {
	p := sheet("acrylic", 3, join(twists, step20)...)
	p.BitsAssumed = true
	f := find(t, Plan(p), "drill.bits-assumed")
	if f.Severity != finding.Note || len(f.Fixes) != 1 || f.Fixes[0].Edits[0] != (finding.Edit{Op: finding.Set, Path: "tools.bits", Value: "[set-twist, set-step]"}) {
		t.Errorf("%+v", f)
	}
}

// A limit in the file is the limit in force.
func TestOwnLimits(t *testing.T) {
	p := add(sheet("acrylic", 3, join(twists, step20)...), cutAt(roundCut(12, 0.2), 50, 60, 0, 0))
	p.Limits.Own = map[string]float64{"drill.twist-plastic": 12, "drill.pilot-above": 12, "drill.rpm-most": 800}
	r := Plan(p)
	if steps(r) != "drill 12" || r.Jobs[0].RPMHigh != 800 {
		t.Errorf("%s %+v", steps(r), r.Jobs)
	}
	p = add(sheet("acrylic", 5, join(twists, fors)...), cutAt(roundCut(25, 0.5), 50, 60, 0, 0))
	p.Limits.Own = map[string]float64{"drill.wood-bits-in-plastic": 1}
	if got := steps(Plan(p)); got != "bore 25" {
		t.Error(got)
	}
}

func TestCautionsAndAdviceFitTheSheet(t *testing.T) {
	for _, c := range []struct{ sheet, caution, backing, mark string }{
		{"acrylic", "Acrylic grabs", "masking film", "No blow"},
		{"polycarbonate", "hot", "masking film", "No blow"},
		{"abs", "hot", "scrap board", "No blow"},
		{"plywood", "fine dust", "tape", "awl"},
		{"mdf", "fine dust", "scrap board", "awl"},
		{"hardboard", "fine dust", "scrap board", "awl"},
		{"aluminium", "hot and sharp", "scrap board", "punch"},
		{"steel", "hot and sharp", "scrap board", "punch"},
	} {
		r := Plan(add(sheet(c.sheet, 3, twists...), cutAt(roundCut(7, 0.2), 50, 60, 0, 0)))
		all := strings.Join(r.Cautions, " ")
		for _, want := range []string{"eye protection", "Clamp", "No gloves", "sleeves", c.caution} {
			if !strings.Contains(all, want) {
				t.Errorf("%s: no word of %q", c.sheet, want)
			}
		}
		if !strings.Contains(r.Backing, c.backing) || !strings.Contains(r.Marking, c.mark) {
			t.Errorf("%s: %s %s", c.sheet, r.Backing, r.Marking)
		}
	}
}

func TestCoupons(t *testing.T) {
	p := sheet("acrylic", 3, join(twists, step20, saws)...)
	rocker := cutAt(catalog.Cut{Rect: pair(19.2, 12.9), Tol: [2]length.Length{0, 0.2}}, 200, 60, 0, 0)
	add(p, cutAt(roundCut(7, 0.2), 20, 60, 0, 0), cutAt(roundCut(7, 0.2), 60, 60, 0, 0), cutAt(roundCut(8, 0.8), 100, 60, 0, 0),
		cutAt(catalog.Cut{DoubleD: pair(12, 10.5), Tol: [2]length.Length{0, 0.2}}, 140, 60, 0, 0), rocker, cutAt(roundCut(28, 0.8), 300, 60, 0, 0))
	rocker.Owner.Part.Grip[1] = 2
	screw := cutAt(roundCut(3.5, 0.1), 10, 10, 0, 0)
	screw.What = "fixing"
	p.Fixings = append(p.Fixings, &panel.Fixing{Cut: screw})
	var got []string
	for _, c := range Plan(p).Coupons {
		got = append(got, c.Cut.ID)
	}
	// The snap-in first, then the flatted one, then the tight one once, then the first large one; nothing for the roomy 8 mm.
	if want := []string{"c4", "c3", "c0", "c5"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
