package drilling

import (
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

var (
	twists = series(catalog.Twist, 1, 13, 0.5)
	brads  = series(catalog.BradPoint, 3, 12, 1)
	step20 = series(catalog.Step, 4, 20, 2)
	step30 = series(catalog.Step, 6, 30, 2)
	saws   = sizes(catalog.HoleSaw, 16, 19, 20, 22, 25, 28, 30, 32, 35)
	fors   = sizes(catalog.Forstner, 15, 16, 20, 25, 30, 35)
	spades = sizes(catalog.Spade, 10, 16, 20, 25, 30)
)

// The ways are reasoned by hand from the trade's preferences: twist in thin sheet up to 10 (plastic) or 13 mm (metal), step drill
// above while the sheet is no thicker than a step, hole saw for what is large; in wood twist below 3, brad-point to 13, Forstner above.
func TestRoundWays(t *testing.T) {
	for _, c := range []struct {
		name   string
		sheet  string
		thick  float64
		bits   []catalog.Bit
		d, tol float64
		word   string
		steps  string
		rules  string
	}{
		{"small hole in acrylic", "acrylic", 3, join(twists, step20), 7, 0.2, "7", "pilot 3, drill 7", ""},
		{"no pilot up to 6", "acrylic", 3, join(twists, step20), 6, 0.2, "6", "drill 6", ""},
		{"12 in acrylic goes to the step drill", "acrylic", 3, join(twists, step20), 12, 0.2, "step 12", "pilot 3, step 12", ""},
		{"12 in aluminium stays with the twist bit, a bit between", "aluminium", 2, join(twists, step20), 12, 0.2, "12", "pilot 3, drill 7, drill 12", ""},
		{"7 in steel needs no bit between", "steel", 1.5, join(twists, step20), 7, 0.2, "7", "pilot 3, drill 7", ""},
		{"16 in aluminium", "aluminium", 2, join(twists, step20, saws), 16, 0.2, "step 16", "pilot 3, step 16", ""},
		{"a sheet of just one step", "aluminium", 4, join(twists, step20), 16, 0.2, "step 16", "pilot 3, step 16", ""},
		{"thicker than a step: a saw does it from one face", "acrylic", 5, join(twists, step20, saws), 16, 0.2, "saw 16", "pilot 3, saw 16", ""},
		{"thicker than a step, no saw: both faces", "acrylic", 5, join(twists, step20), 16, 0.2, "step 16", "pilot 3, step 16", "step-too-thick"},
		{"twice a step still goes", "acrylic", 8, join(twists, step20), 16, 0.2, "step 16", "pilot 3, step 16", "step-too-thick"},
		{"more than twice does not", "acrylic", 8.1, join(twists, step20), 16, 0.2, "chain 4", "chain 4 x6, file", "no-bit"},
		{"large hole in thin plastic", "polycarbonate", 3, join(twists, step20, saws), 28, 0.5, "saw 28", "pilot 3, saw 28", ""},
		{"between two sizes: the smaller one and the file", "acrylic", 3, join(twists, step30), 22.3, 0.4, "step 22 + file", "pilot 3, step 22, file", "no-bit"},
		{"22.5 class and a bit inside", "acrylic", 3, join(twists, sizes(catalog.HoleSaw, 22.5)), 22.3, 0.4, "saw 22.5", "pilot 3, saw 22.5", ""},
		{"ply, 2 mm", "plywood", 6, join(twists, brads), 2, 0.2, "2", "drill 2", ""},
		{"ply, 7 mm: the point finds the mark, no pilot", "plywood", 6, join(twists, brads), 7, 0.2, "7", "drill 7", ""},
		{"ply, 7.5: twist, since no brad-point has it", "plywood", 6, join(twists, brads), 7.5, 0.2, "7.5", "pilot 3, drill 7.5", ""},
		{"ply, 16: Forstner before spade", "plywood", 9, join(twists, brads, spades, fors), 16, 0.2, "bore 16", "bore 16", ""},
		{"ply, 16: spade when nothing else", "plywood", 9, join(twists, brads, spades), 16, 0.2, "spade 16", "bore 16", ""},
		{"mdf, 28: hole saw", "mdf", 9, join(twists, brads, fors, saws), 28, 0.3, "saw 28", "pilot 3, saw 28", ""},
		// Ring of 4 mm holes at radius 12.5 - 0.5 - 2 = 10: 62.8 round, a hole every 5 mm.
		{"no Forstner in acrylic", "acrylic", 5, join(twists, fors), 25, 0.5, "chain 4", "chain 4 x12, file", "no-bit"},
		{"no wood saw in steel", "steel", 1.5, join(twists, sizes(catalog.HoleSaw, 25)), 25, 0.5, "saw 25", "pilot 3, saw 25", ""},
		{"a little too large for every bit", "aluminium", 2, sizes(catalog.Twist, 3, 6, 9), 10, 0.1, "9 + file", "pilot 3, drill 6, drill 9, file", "no-bit"},
		{"nothing near, too small for a chain", "aluminium", 2, sizes(catalog.Twist, 3, 5), 7, 0.1, "no bit", "", "no-way"},
		{"nothing at all", "aluminium", 2, nil, 7, 0.1, "no bit", "", "no-way"},
		{"only too large", "aluminium", 2, sizes(catalog.Twist, 8), 7, 0.1, "no bit", "", "no-way"},
		{"a window the press does not hold", "aluminium", 2, twists, 7, 0.05, "7", "pilot 3, drill 7", "too-tight"},
		{"no pilot bit", "aluminium", 2, sizes(catalog.Twist, 7), 7, 0.2, "7", "drill 7", "pilot"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := Plan(add(sheet(c.sheet, c.thick, c.bits...), cutAt(roundCut(c.d, c.tol), 50, 60, 0, 0)))
			if got := r.Holes[0].Bit; got != c.word {
				t.Errorf("word %q, want %q", got, c.word)
			}
			if got := steps(r); got != c.steps {
				t.Errorf("steps %q, want %q", got, c.steps)
			}
			if got := strings.Join(rules(r.Findings), " "); got != c.rules {
				t.Errorf("findings %q, want %q: %+v", got, c.rules, r.Findings)
			}
		})
	}
}

func TestWoodSawKeptFromMetal(t *testing.T) {
	bits := join(twists, catalog.BitSet{ID: "hole-saws-wood", Kind: catalog.HoleSaw, Sizes: []length.Length{25}}.Bits())
	r := Plan(add(sheet("aluminium", 2, bits...), cutAt(roundCut(25, 0.5), 50, 60, 0, 0)))
	if got := steps(r); got != "chain 4 x12, file" {
		t.Error(got)
	}
	if r := Plan(add(sheet("plywood", 6, bits...), cutAt(roundCut(25, 0.5), 50, 60, 0, 0))); steps(r) != "pilot 3, saw 25" {
		t.Error(steps(r))
	}
}

func TestWithoutFiles(t *testing.T) {
	p := add(sheet("acrylic", 3, join(twists, step30)...), cutAt(roundCut(22.3, 0.4), 50, 60, 0, 0))
	p.Files = false
	r := Plan(p)
	f := find(t, r, "drill.no-way")
	if f.Measure == nil || f.Measure.Have != 22 || f.Measure.Want != 22.3 || f.Measure.WantMax != 22.7 {
		t.Errorf("%+v", f.Measure)
	}
	if !strings.Contains(f.Body, "Buy or borrow a 22.5 mm hole saw") {
		t.Error(f.Body)
	}
	if len(r.Jobs) != 0 || len(r.Holes) != 1 || len(r.Holes[0].Jobs) != 0 {
		t.Error("a hole that cannot be made has jobs")
	}
}

// A film folded into the hole takes 0.2 across: the bit is chosen for the hole as cut.
func TestCoveringMovesTheWindow(t *testing.T) {
	r := Plan(add(sheet("aluminium", 2, series(catalog.Twist, 1, 13, 0.1)...), cutAt(roundCut(12.1, 0.1), 50, 60, 0, 0.2)))
	h := r.Holes[0]
	if h.Bit != "12.3" || h.AsCut != "12.3 to 12.4" || h.Finished != "12.1 to 12.2" {
		t.Errorf("%+v", h)
	}
}

func TestShapes(t *testing.T) {
	tol := [2]length.Length{0, 0.2}
	for _, c := range []struct {
		name  string
		cut   catalog.Cut
		bits  []catalog.Bit
		word  string
		steps string
		says  string // part of how
	}{
		// The flats stand 10.5 apart: a 12 mm drill would take them away. 10.5 leaves (12 - 10.5)/2 = 0.75 to file on both sides.
		{"double-D", catalog.Cut{DoubleD: pair(12, 10.5), Tol: tol}, join(twists, step20), "10.5 + file", "pilot 3, drill 6.5, drill 10.5, file", "two round sides by 0.75 mm"},
		// Without 10.5 the next smaller: flats are filed too.
		{"double-D, no bit for the flats", catalog.Cut{DoubleD: pair(12, 10.5), Tol: tol}, sizes(catalog.Twist, 3, 6, 10, 12), "10 + file", "pilot 3, drill 6, drill 10, file", "file the flats to 10.5 to 10.7 mm apart and the two round sides out by 1 mm"},
		// Largest circle under the flat: 14.5 across, 0.75 below the middle. Farthest corner: sqrt(8² + 2·0.75·6.5 + 0.75²) - 7.25 = 1.37.
		{"single-D", catalog.Cut{SingleD: pair(16, 14.5), Tol: tol}, join(twists, sizes(catalog.Step, 6, 10, 14.5)), "step 14.5 + file", "pilot 3, step 14.5, file", "file out the round by up to 1.37 mm"},
		{"notch", catalog.Cut{Round: 16.2, Notch: &catalog.Notch{Width: 1.7, Height: 17.9}, Tol: tol}, join(twists, sizes(catalog.Step, 6, 16.2)), "step 16.2 + file", "pilot 3, step 16.2, file", "key notch 1.7 mm wide at the top, 17.9 mm"},
		{"notch and undersize", catalog.Cut{Round: 16.2, Notch: &catalog.Notch{Width: 1.7, Height: 17.9}, Tol: tol}, join(twists, step20), "step 16 + file", "pilot 3, step 16, file", "file 0.1 mm all round, until it measures 16.2 to 16.4 mm, and file the key notch"},
		// 66 by 3: end holes 63 apart, a hole every 4 mm (web 1): 15 spaces, 16 holes.
		{"slider slot", catalog.Cut{Slot: pair(66, 3), Tol: [2]length.Length{0, 1}}, twists, "3 + file", "chain 3 x16, file", "hain-drill 16 holes of 3 mm on the middle line, the two end holes first"},
		{"slot shorter than two holes", catalog.Cut{Slot: pair(6, 4), Tol: tol}, twists, "4 + file", "drill 4, file", "file it long by 1 mm at each end"},
		{"slot as high as long", catalog.Cut{Slot: pair(8, 8), Tol: tol}, twists, "8", "pilot 3, drill 8", ""},
		// 19.2 by 12.9: edge 64 mm, so it is chained. Sharp corners: 3 mm relief holes.
		{"rocker", catalog.Cut{Rect: pair(19.2, 12.9), Tol: tol}, twists, "corners 3", "drill 3, drill 3, drill 3, drill 3, chain 4 x6, file", "corners square"},
		// 71 by 25: edge 192 mm, more than 120, so it is sawn. Corners may be 2 round: 4 mm holes make them.
		{"display window", catalog.Cut{Rect: pair(71, 25), Corner: 2, Tol: tol}, twists, "corners 4", "drill 4, drill 4, drill 4, drill 4, saw, file", "saw from corner hole to corner hole"},
		{"slim rectangle", catalog.Cut{Rect: pair(20, 3), Tol: tol}, twists, "chain 2", "chain 2 x6, file", "file the webs away"},
		// A press wanders 0.2, the slot may grow by 0.1 on each side: the holes between are at least 0.2 smaller.
		{"rectangle with round ends", catalog.Cut{Rect: pair(20, 5), Corner: 2.5, Tol: tol}, twists, "5 + file", "chain 4.5 x1, drill 5, drill 5, file", "Drill one hole of 4.5 mm between them on the middle line, drill 5 mm at each end"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := Plan(add(sheet("aluminium", 2, c.bits...), cutAt(c.cut, 50, 60, 0, 0)))
			h := r.Holes[0]
			if h.Bit != c.word || steps(r) != c.steps {
				t.Errorf("%q: %s\nwant %q: %s", h.Bit, steps(r), c.word, c.steps)
			}
			if !strings.Contains(h.How, c.says) {
				t.Errorf("says %q, want %q in it", h.How, c.says)
			}
			if c.steps != "pilot 3, drill 8" {
				find(t, r, "drill.file")
			}
		})
	}
}

// The corner holes of a window: 71 x 25, 4 mm bit, 0.2 mm in from the line because the press wanders that much:
// middles at 35.5 - 0.2 - 2 = 33.3 and 12.5 - 2.2 = 10.3 from the middle of the opening.
func TestCornerHoles(t *testing.T) {
	r := Plan(add(sheet("aluminium", 2, twists...), cutAt(catalog.Cut{Rect: pair(71, 25), Corner: 2, Tol: [2]length.Length{0, 0.2}}, 100, 60, 90, 0)))
	seen := map[string]bool{}
	for _, j := range r.Jobs[:4] {
		seen[length.Plain(j.At.X)+" "+length.Plain(j.At.Y)] = true
	}
	for _, want := range []string{"110.3 93.3", "89.7 93.3", "110.3 26.7", "89.7 26.7"} { // turned a quarter: x and y change places
		if !seen[want] {
			t.Errorf("no corner hole at %s: %v", want, seen)
		}
	}
}

func TestNotchPointsWhereThePartTurns(t *testing.T) {
	for turn, want := range map[float64]string{0: "at the top", 90: "at the left", 180: "at the bottom", 270: "at the right", 45: "at the upper left"} {
		c := catalog.Cut{Round: 16, Notch: &catalog.Notch{Width: 1.7, Height: 17.9}, Tol: [2]length.Length{0, 0.2}}
		r := Plan(add(sheet("aluminium", 2, join(twists, step20)...), cutAt(c, 50, 60, turn, 0)))
		if how := r.Holes[0].How; !strings.Contains(how, want+",") {
			t.Errorf("turned %g: %s", turn, how)
		}
	}
}

func TestBlindHole(t *testing.T) {
	c := roundCut(3.5, 0.2)
	c.What, c.Depth, c.Optional = "anti-turn", 1, "break the tab off and trust the nut"
	// 1 deep, and the 118 degree tip of 3.5 mm goes 3.5/2/tan 59 = 1.05 deeper: 0.95 is left of 3 mm, 0.45 of 2.5 mm.
	p := add(sheet("acrylic", 3, twists...), cutAt(c, 50, 60, 0, 0))
	p.Stack.Covering.Kind = "film"
	r := Plan(p)
	if j := r.Jobs[0]; steps(r) != "drill 3.5" || j.Depth != 1 || !j.Back || !r.Holes[0].Covered {
		t.Errorf("%s %+v", steps(r), j)
	}
	if len(r.Findings) != 0 {
		t.Error(r.Findings)
	}
	p.Stack.SheetThickness = 2.5
	f := find(t, Plan(p), "drill.blind")
	if f.Measure.Have != 0.448 || f.Measure.Want != 0.5 || !strings.Contains(f.Body, "do without it: break the tab off") {
		t.Errorf("%+v %+v", f, f.Measure)
	}
	p.Stack.SheetThickness = 1.5
	if f := find(t, Plan(p), "drill.blind"); !strings.Contains(f.Head, "through the front") {
		t.Error(f.Head)
	}
}

// Screw holes that must meet a part: 3.4 for M3 leaves 0.2 all round; a press holds 0.2, a hand drill 0.5.
func TestPattern(t *testing.T) {
	p := sheet("acrylic", 3, twists...)
	screw := func(x float64) catalog.Cut {
		c := roundCut(3.4, 0)
		c.What, c.Screw, c.At = "screw", "M3", [2]length.Length{mm(x), 0}
		return c
	}
	main, a, b := cutAt(roundCut(7, 0.2), 50, 60, 0, 0), cutAt(screw(-12), 38, 60, 0, 0), cutAt(screw(12), 62, 60, 0, 0)
	add(p, main)
	for _, c := range []*panel.Cut{a, b} {
		c.Owner = p.Controls[0]
		p.Controls[0].Cuts = append(p.Controls[0].Cuts, c)
	}
	if r := Plan(p); strings.Contains(strings.Join(rules(r.Findings), " "), "pattern") {
		t.Error("a press holds it")
	}
	p.Wander, p.Press = 0.5, false
	f := find(t, Plan(p), "drill.pattern")
	if f.Measure.Have != 0.2 || f.Measure.Want != 0.5 {
		t.Errorf("%+v", f.Measure)
	}
}

func TestOneThingToBuyIsOneFinding(t *testing.T) {
	p := sheet("acrylic", 3, join(twists, step30)...)
	for i := range 5 {
		add(p, cutAt(roundCut(22.3, 0.4), 30+40*float64(i), 60, 0, 0))
	}
	r := Plan(p)
	if len(r.Findings) != 1 || len(r.Findings[0].Ends) != 5 {
		t.Fatalf("%+v", r.Findings)
	}
	if f := r.Findings[0]; f.Head != "C0, C1 and 3 more want 22.3 to 22.7 mm; no bit you own makes that here." {
		t.Error(f.Head)
	}
}

func TestInchUsers(t *testing.T) {
	frac := catalog.BitSet{ID: "f", Kind: catalog.Twist}
	for i := 4; i <= 32; i++ {
		frac.Sizes = append(frac.Sizes, mm(float64(i)*25.4/64))
		s, _ := fraction(float64(i) * 25.4 / 64)
		frac.Names = append(frac.Names, s)
	}
	p := add(sheet("aluminium", 2, frac.Bits()...), cutAt(catalog.Cut{Round: 6.35, Tol: [2]length.Length{0, 0.2}}, 50, 60, 0, 0),
		cutAt(roundCut(28.575, 0.3), 100, 60, 0, 0))
	p.Units, p.Files = "in", false
	r := Plan(p)
	if h := r.Holes[0]; h.Bit != "1/4 in" || h.Finished != "0.250 to 0.258 in" || h.How != "Pilot 1/8 in, then drill 1/4 in." {
		t.Errorf("%+v", h)
	}
	if f := find(t, r, "drill.no-way"); !strings.Contains(f.Body, "a step drill with a 1 1/8 in step") || !strings.Contains(f.Body, "Nearest in your drawer: 1/2 in twist bit") {
		t.Error(f.Body)
	}
}

// No shop has 16.25; but hole saws for control holes come in 16.3.
func TestBuyUnder(t *testing.T) {
	r := Plan(add(sheet("acrylic", 3, join(twists, step20)...), cutAt(roundCut(16.2, 0.2), 50, 60, 0, 0)))
	if f := find(t, r, "drill.no-bit"); f.Severity != finding.Warn || !strings.Contains(f.Body, "A 16.3 mm hole saw would do it at once.") {
		t.Errorf("%v %s", f.Severity, f.Body)
	}
	// Nothing sold makes 17.25 to 17.35: the plan says which size would leave least to file.
	r = Plan(add(sheet("acrylic", 3, twists...), cutAt(roundCut(17.25, 0.1), 50, 60, 0, 0)))
	if f := find(t, r, "drill.no-bit"); f.Severity != finding.Warn || !strings.Contains(f.Body, "A 17 mm twist bit would leave only 0.12 mm to file.") {
		t.Errorf("%v %s", f.Severity, f.Body)
	}
}

// A screw's hole may be a little large under its head before anybody files six holes.
func TestClearanceBeforeFiling(t *testing.T) {
	c := cutAt(roundCut(4.6, 0.3), 50, 60, 0, 0)
	c.What = "fixing"
	bits := []catalog.Bit{{Kind: catalog.Twist, Diameter: 4, Name: "4.0 mm"}, {Kind: catalog.Twist, Diameter: 5, Name: "5.0 mm"}}
	r := Plan(add(sheet("aluminium", 2, bits...), c))
	if h := r.Holes[0]; h.Bit != "5" {
		t.Errorf("%q by %s", h.Bit, h.How)
	}
	// the same window for a part's main hole is filed, not drilled too large
	r = Plan(add(sheet("aluminium", 2, bits...), cutAt(roundCut(4.6, 0.3), 50, 60, 0, 0)))
	if h := r.Holes[0]; h.Bit == "5" {
		t.Errorf("%q by %s", h.Bit, h.How)
	}
}
