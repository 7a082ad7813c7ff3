package packet

import (
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/thorough"
	"knobwright/internal/trade/drilling"
)

// A wrapped covering, by hand: a face of 100 by 60 in a sheet 3 mm thick with a film of 0.1 mm and 15 mm turned over. The
// allowance is 3 + 15 = 18, the blank 136 by 96. The corner is cut at 1.5 (3 + 0.1) = 4.65 mm from the sheet's corner: a leg of
// 36 - 4.65 √2 = 29.4239 mm.
func TestPatternByHand(t *testing.T) {
	p := &panel.Panel{
		Face:  panel.Face{Width: 100, Height: 60, Outline: geom.Rect(v(50, 30), 100, 60, 0)},
		Stack: panel.Stack{SheetThickness: 3, CoverThickness: 0.1, Wrap: 15, Covering: catalog.Covering{Kind: "film"}},
	}
	pat := newPattern(p)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-3 {
			t.Errorf("%s: %.4f, by hand %.4f", what, got, want)
		}
	}
	near("width", pat.w, 136)
	near("height", pat.h, 96)
	near("allowance", pat.allow, 18)
	near("leg", pat.corner, 29.4239)
	near("area", pat.outline.Area(), 136*96-4*29.4239*29.4239/2)
	// the cut at the lower left runs from (11.4239, -18) to (-18, 11.4239)
	a, b := v(11.4239, -18), v(-18, 11.4239)
	for _, q := range []geom.Vec2{a, b} {
		if _, at := pat.outline.Margin(geom.Circle(q, 1e-6)); at.Sub(q).Len() > 1e-3 {
			t.Errorf("no corner of the pattern at %v", q)
		}
	}
	if d := math.Abs(b.Sub(a).Unit().Cross(a)); math.Abs(d-4.65) > 1e-3 {
		t.Errorf("the cut passes the sheet's corner at %.4f", d)
	}
	// Folded: a point at depth u below the lower edge comes to lie, once past the edge's 3 mm, u-3 above the edge behind. The
	// lower flap's cut edge is x = u - 6.5761 there, so at the height y behind it begins at x = y + 3 - 6.5761 = y - 3.5761; the
	// left flap's, by symmetry, at y = x - 3.5761. Between the two lines they lie double, 2 * 3.5761 / √2 = 5.0574 mm across.
	near("lap", pat.laps, 5.0574)
	// On the edge itself the film of the lower flap reaches x = 3 - 6.5761 < 0 at its lower rim: round the corner, not bare.
	if reach := 3 - 4.65*math.Sqrt2; reach >= 0 {
		t.Errorf("the corner is bare by %.3f", reach)
	}
}

// For every thickness and turn-over that the catalogue can ask for: the corner is never bare, the flaps lap, and the outline
// does not cross itself.
func TestPatternNeverBare(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		sheet, film, wrap := 0.5+rng.Float64()*18, rng.Float64()*2, 1+rng.Float64()*60
		w, h := 20+rng.Float64()*400, 20+rng.Float64()*400
		p := &panel.Panel{
			Face:  panel.Face{Width: w, Height: h, Outline: geom.Rect(v(w/2, h/2), w, h, 0)},
			Stack: panel.Stack{SheetThickness: sheet, CoverThickness: film, Wrap: wrap, Covering: catalog.Covering{Kind: "film"}},
		}
		pat := newPattern(p)
		k := (2*pat.allow - pat.corner) / math.Sqrt2 // from the sheet's corner to the cut
		if k*math.Sqrt2 < sheet || pat.laps < 0 {
			t.Fatalf("sheet %.2f film %.2f wrap %.2f: the cut passes the corner at %.3f, laps %.3f", sheet, film, wrap, k, pat.laps)
		}
		if pat.corner < 0 || 2*pat.corner > min(pat.w, pat.h) {
			t.Fatalf("cuts of %.2f meet on a blank of %.2f by %.2f", pat.corner, pat.w, pat.h)
		}
		if m, _ := pat.outline.Margin(p.Face.Outline); m < 0 {
			t.Fatalf("the sheet stands %.3f out of its covering", -m)
		}
	}
}

// Seams stand in gaps when there are gaps within reach, and every part fits its window.
func TestSeams(t *testing.T) {
	// three things of 30 with gaps of 10 in 200, windows of 110: by hand the seam must stand at 105 to 110, the middle of the gap
	at, cost := findSeams(0, 200, 110, [][2]float64{{30, 60}, {70, 100}, {110, 140}})
	if len(at) != 1 || at[0] < 102 || at[0] > 108 || cost > 10 {
		t.Errorf("seam at %v, cost %v", at, cost)
	}
	if at, _ := findSeams(0, 110, 110, nil); at != nil {
		t.Errorf("one window is parted at %v", at)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		lo := rng.Float64()*20 - 10
		long, win := 60+rng.Float64()*1500, 120+rng.Float64()*150
		var things [][2]float64
		for x := lo; x < lo+long; x += 5 + rng.Float64()*60 {
			things = append(things, [2]float64{x, x + rng.Float64()*40})
		}
		at, _ := findSeams(lo, lo+long, win, things)
		if want := sheetsFor(long, win) - 1; len(at) != want {
			t.Fatalf("%d seams, %d wanted", len(at), want)
		}
		edges := append(append([]float64{lo}, at...), lo+long)
		for i := 0; i+1 < len(edges); i++ {
			shown := edges[i+1] - edges[i]
			if i > 0 {
				shown += seamLap
			}
			if i+2 < len(edges) {
				shown += seamLap
			}
			if shown > win+1e-9 || edges[i+1] <= edges[i] {
				t.Fatalf("part %d from %.2f to %.2f does not fit a window of %.2f", i, edges[i], edges[i+1], win)
			}
		}
	}
}

// Every hole is shown whole on the sheet that holds its middle, if the sheet is large enough at all; the sheets cover the face.
func TestTilesCoverTheFace(t *testing.T) {
	for _, name := range short(thorough.Of([]string{"cue-desk", "inches", "rack-strip", "signal-desk", "long", "many"}, []string{"cue-desk", "inches", "rack-strip", "long"})...) {
		m := made{r: result(t, name)}
		d := newDesk(m.r, nil)
		area := m.r.Panel.Face.Outline.Bounds().Grow(1)
		ti := newTiling(d, area, holeRooms(m.r))
		sum := 0.0
		for _, x := range ti.tiles() {
			s := x.own.Size()
			sum += s.X * s.Y
			if !inside(x.show, x.see.Grow(1e-9)) {
				t.Errorf("%s sheet %d shows more than it can", name, x.n)
			}
		}
		if s := area.Size(); math.Abs(sum-s.X*s.Y) > 1e-6*sum {
			t.Errorf("%s: the sheets cover %.1f of %.1f mm²", name, sum, s.X*s.Y)
		}
		parted := 0
		for _, h := range m.r.Drilling.Holes {
			homes := 0
			for _, x := range ti.tiles() {
				if contains(x.own, h.Cut.At.Vec2) {
					homes++
					if !inside(asCut(h).Bounds(), x.see) {
						t.Errorf("%s: hole %d is cut off at the edge of sheet %d", name, h.N, x.n)
					}
					if !inside(asCut(h).Bounds(), x.own) {
						parted++
					}
				}
			}
			if homes == 0 {
				t.Errorf("%s: hole %d is on no sheet", name, h.N)
			}
		}
		t.Logf("%s: %d sheets, %d of %d holes parted by a seam", name, ti.pages(), parted, len(m.r.Drilling.Holes))
	}
}

// Words at the holes of the examples cover no hole, no number and no other words, and stand on the sheet of their hole.
func TestTemplateWordsStandFree(t *testing.T) {
	for _, name := range short(thorough.Of(append(examples.Names(), "inches", "wooden"), []string{"cue-desk", "lantern-desk", "rack-strip", "inches", "wooden"})...) {
		m := made{r: result(t, name)}
		d := newDesk(m.r, nil)
		ti := newTiling(d, m.r.Panel.Face.Outline.Bounds().Grow(1), holeRooms(m.r))
		ps, _ := templateFace(m.r, d, ti, ti.diamonds(holeRooms(m.r)))
		var units [][]piece
		for i, p := range ps {
			if p.unit != nil && (i == 0 || ps[i-1].unit != p.unit) {
				units = append(units, ps[i:i+3])
			}
		}
		if len(units) != len(m.r.Drilling.Holes) {
			t.Fatalf("%s: %d of %d holes are on the sheet", name, len(units), len(m.r.Drilling.Holes))
		}
		bad := 0
		for i, u := range units {
			for k, o := range units {
				hole := asCut(m.r.Drilling.Holes[k])
				for _, w := range lines(u[2].item) {
					for _, other := range lines(o[2].item) {
						if i != k && overlap(w, other) > 0 {
							bad++
							t.Errorf("%s: the words of hole %d meet those of hole %d", name, i+1, k+1)
						}
					}
					if overlap(w, o[1].box) > 0.1 { // the ring is round, its box is not
						bad++
						t.Errorf("%s: the words of hole %d meet the number of hole %d", name, i+1, k+1)
					}
					if gap, _, _ := hole.Gap(geom.Rect(w.Centre(), w.Size().X, w.Size().Y, 0)); gap < 0 {
						bad++
						t.Errorf("%s: the words of hole %d stand %.2f mm in hole %d", name, i+1, -gap, k+1)
					}
				}
				if i < k && overlap(u[1].box, o[1].box) > 0.1 {
					bad++
					t.Errorf("%s: the numbers of holes %d and %d meet", name, i+1, k+1)
				}
			}
		}
		t.Logf("%s: %d holes, %d clashes", name, len(units), bad)
	}
}

// lines gives the boxes of the lines of text in an item, from the baseline to the capitals.
func lines(it drawing.Item) []geom.Box2 {
	switch x := it.(type) {
	case *drawing.Text:
		b := textBox(x)
		b.Min.Y = x.At.Y
		return []geom.Box2{b}
	case *drawing.Group:
		var out []geom.Box2
		for _, i := range x.Items {
			out = append(out, lines(i)...)
		}
		return out
	}
	return nil
}

func overlap(a, b geom.Box2) float64 { return covers(a, []geom.Box2{b}) }

func TestNumbers(t *testing.T) {
	for want, ns := range map[string][]int{"": nil, "4": {4}, "4, 5": {4, 5}, "1 to 5, 8, 11": {1, 2, 3, 4, 5, 8, 11}, "2, 4 to 6": {2, 4, 5, 6}} {
		if got := numbers(ns); got != want {
			t.Errorf("%v becomes %q, not %q", ns, got, want)
		}
	}
}

func TestShareOut(t *testing.T) {
	for _, c := range []struct {
		width      float64
		asks, want []float64
	}{
		{100, []float64{10, 20, 200}, []float64{10, 20, 70}},
		{100, []float64{60, 60}, []float64{50, 50}},
		{100, []float64{20, 20}, []float64{50, 50}},
		{90, []float64{10, 50, 60}, []float64{10, 40, 40}},
	} {
		got := shareOut(c.width, c.asks)
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%v of %v: %v, by hand %v", c.asks, c.width, got, c.want)
			}
		}
	}
}

func TestBigWord(t *testing.T) {
	for in, want := range map[string][2]string{
		"22.5": {"22.5", ""}, "step 16 + file": {"16", "step, file"}, "saw 28": {"28", "saw"}, "step 7/8 in + file": {"7/8 in", "step, file"},
		"1 3/8 in": {"1 3/8 in", ""}, "no bit": {"no bit", ""}, "corners 4": {"4", "corners"},
	} {
		if big, how := bigWord(in); big != want[0] || how != want[1] {
			t.Errorf("%q: %q and %q", in, big, how)
		}
	}
}

// What the grid leaves to its band and its sentence is only the plain pilot and the plain hole.
func TestSentence(t *testing.T) {
	for say, want := range map[string]string{"Pilot 3 mm.": "", "Drill 6.5 mm.": "", "Drill 2 mm in each corner, then stop.": "Drill 2 mm in each corner, then stop."} {
		if got := sentence(drilling.Job{Do: "drill", Say: say}); got != want {
			t.Errorf("%q: %q", say, got)
		}
	}
}

func TestUnits(t *testing.T) {
	in, mm := desk{inches: true}, desk{}
	for got, want := range map[string]string{
		in.size(25.4 * 2.5): "2 1/2 in", in.num(44.45): "1 3/4", in.both(19.05): "3/4 in (19.05 mm)", mm.size(22.5): "22.5 mm", mm.coord(44): "44.0", mm.coord(167.495): "167.5", mm.coord(8.25): "8.25",
		mm.by(420, 240): "420 x 240 mm", in.thin(0.1): "0.004 in", mm.far(4742.4): "4742 mm", in.far(254): "10 in", mm.coord(-0.001): "0.0",
	} {
		if got != want {
			t.Errorf("%q, wanted %q", got, want)
		}
	}
}

// short gives all names, or two with -short.
func short(names ...string) []string {
	if !thorough.Is() {
		return names[:2]
	}
	return names
}
