package carcass

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestResolveAnyWay: whichever of its sizes settle a box, the others come out the same. A few sizes are shared by two boxes (a wedge's
// depth with both its heights; a face hardly longer than the depth below it): then it is enough that those given are met.
func TestResolveAnyWay(t *testing.T) {
	for _, form := range forms {
		settled, same, tried := 0, 0, 0
		rapid.Check(t, func(t *rapid.T) {
			s := drawSpec(t, form, Butt)
			tried++
			full, ps := Resolve(s)
			if len(ps) > 0 {
				return
			}
			part := s
			part.Sizes = Sizes{Width: full.Width, HandRest: full.HandRest, Units: full.Units}
			if rapid.Bool().Draw(t, "by face") {
				part.Sizes.Width, part.Sizes.FaceWidth = 0, full.FaceWidth
			}
			ms := s.measures()
			for _, i := range rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7, 8}).Draw(t, "order") {
				if i < len(ms) {
					*ms[i].given(&part.Sizes) = *ms[i].given(&full)
					if _, ps := Resolve(part); len(ps) == 0 || ps[0].Kind != Missing {
						break
					}
				}
			}
			if s.Form == Rack && s.hasTop() != part.hasTop() {
				return // another box: with a top, or without
			}
			got, ps := Resolve(part)
			other := math.Abs(got.Slope-full.Slope)+math.Abs(got.UpperSlope-full.UpperSlope) > 1e-4
			if len(ps) > 0 {
				if other && ps[0].Kind != Missing && ps[0].Kind != Disagree {
					return // the other answer, which is no box
				}
				t.Fatalf("%+v: %v", part.Sizes, ps)
			}
			settled++
			for _, m := range ms {
				a, b := *m.given(&got), *m.given(&full)
				if *m.given(&part.Sizes) == 0 && other {
					continue
				}
				if math.Abs(a-b) > 1e-4 {
					t.Fatalf("%s: have %g, want %g, from %+v", m.field, a, b, part.Sizes)
				}
			}
			same += bit(!other)
		})
		enough(t, settled, tried, 4)
		enough(t, same, settled, 2)
	}
}

// TestAgain: a box made from the sizes that another resolved to is the same box.
func TestAgain(t *testing.T) {
	eachBox(t, withBattens, func(t *rapid.T, c *Carcass) {
		d, ps := Make(c.Spec)
		if len(ps) > 0 {
			t.Fatal(ps)
		}
		if len(d.Boards) != len(c.Boards) {
			t.Fatalf("%d boards, then %d", len(c.Boards), len(d.Boards))
		}
		for i := range c.Boards {
			near(t, c.Boards[i].Name, d.Boards[i].Volume, c.Boards[i].Volume, 1e-6*c.Boards[i].Volume)
		}
	})
}

// TestResolveDisagree: a size that contradicts the others is named, and so are those it contradicts.
func TestResolveDisagree(t *testing.T) {
	for _, form := range forms {
		told, tried := 0, 0
		rapid.Check(t, func(t *rapid.T) {
			s := drawSpec(t, form, Butt)
			tried++
			full, ps := Resolve(s)
			if len(ps) > 0 {
				return
			}
			if form == Rack {
				full.FaceWidth, full.FaceHeight = 0, 0
				if !s.hasTop() { // a depth of its own would give it a top
					full.Depth, full.Clear = 0, 0
				}
			}
			ms := slices.DeleteFunc(s.measures(), func(m measured) bool { return *m.given(&full) == 0 })
			wrong := ms[rapid.IntRange(0, len(ms)-1).Draw(t, "wrong")]
			full.Width = s.Sizes.Width
			bad := s
			bad.Sizes = full
			*wrong.given(&bad.Sizes) += rapid.SampledFrom([]float64{2, 0.5, 0.1}).Draw(t, "by")
			_, ps = Resolve(bad)
			if len(ps) == 0 {
				// a small change may move a size that hardly depends on it by less than what counts as the same
				t.Skip()
			}
			told++
			for _, p := range ps {
				if p.Kind == Disagree && (len(p.Ends) < 2 || math.Abs(p.Have-p.Want) <= agree) {
					t.Fatalf("one-sided: %+v", p)
				}
			}
			// each Disagree holds the wrong size, or a size that follows from it
			named := slices.ContainsFunc(ps, func(p Problem) bool {
				return slices.ContainsFunc(p.Ends, func(e End) bool { return e.Name == wrong.field })
			})
			if !named {
				t.Fatalf("%s is not named in %v", wrong.field, ps)
			}
		})
		enough(t, told, tried, 3)
	}
}

// cueDesk is a desk for a travelling puppet theatre.
func cueDesk() Spec {
	return Spec{Desk, Sizes{FaceWidth: 340, FaceHeight: 200, FrontHeight: 45, Slope: 14}, Build{Wall: 9, Base: 6, Face: 3}}
}

// TestResolveByHand: sizes worked out by trigonometry.
func TestResolveByHand(t *testing.T) {
	z, ps := Resolve(cueDesk())
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	s, c := math.Sincos(14 * math.Pi / 180)
	inner := 45 + 9*s/c - 3/c - 6 // at the inside of the front, upright
	for _, k := range []struct {
		name       string
		have, want float64
	}{
		{"width", z.Width, 340}, {"depth", z.Depth, 200 * c}, {"back height", z.BackHeight, 45 + 200*s}, {"clear", z.Clear, inner / c},
	} {
		if math.Abs(k.have-k.want) > 1e-9 {
			t.Errorf("%s: have %.12g, want %.12g", k.name, k.have, k.want)
		}
	}
	w := cueDesk()
	w.Form = Wedge
	z, ps = Resolve(w)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	back := 45 + 200*s
	if d := 200*c + back*s/c; math.Abs(z.Depth-d) > 1e-9 || math.Abs(z.BackHeight-back) > 1e-9 {
		t.Errorf("wedge: %+v, want depth %g, back %g", z, d, back)
	}
	if r, ps := Resolve(Spec{Rack, Sizes{Units: 3, Depth: 200}, Build{Wall: 12, Base: 9, Face: 3}}); len(ps) > 0 || r.Slope != 90 || r.FaceWidth != 482.6 || math.Abs(r.FaceHeight-132.56) > 1e-9 || math.Abs(r.BackHeight-141.56) > 1e-9 {
		t.Errorf("rack: %+v %v", r, ps)
	}
}

// TestProblems: each wrong order is refused in the words that help.
func TestProblems(t *testing.T) {
	with := func(f func(*Spec)) Spec { s := cueDesk(); f(&s); return s }
	for _, k := range []struct {
		name string
		s    Spec
		kind Kind
		ends []Field // in any order, at least these
	}{
		{"nothing", Spec{}, Missing, nil},
		{"no slope", with(func(s *Spec) { s.Sizes.Slope = 0 }), Missing, []Field{FSlope, FBackHeight, FDepth}},
		{"no width", with(func(s *Spec) { s.Sizes.FaceWidth = 0 }), Missing, []Field{FWidth, FFaceWidth}},
		{"two heights and slope", with(func(s *Spec) { s.Sizes.BackHeight = 110 }), Disagree, []Field{FBackHeight, FSlope, FFrontHeight, FFaceHeight}},
		{"face and depth", with(func(s *Spec) { s.Sizes.Depth = 200 }), Disagree, []Field{FDepth, FSlope, FFaceHeight}},
		{"both widths", with(func(s *Spec) { s.Sizes.Width = 350 }), Disagree, []Field{FWidth, FFaceWidth}},
		{"too steep", with(func(s *Spec) { s.Sizes.Slope = 80 }), NoBox, []Field{FSlope}},
		{"too steep by heights", with(func(s *Spec) { s.Sizes = Sizes{Width: 300, Depth: 100, FrontHeight: 50, BackHeight: 500} }), NoBox, []Field{FSlope}},
		{"rise longer than the face", with(func(s *Spec) { s.Sizes = Sizes{Width: 300, FaceHeight: 100, FrontHeight: 50, BackHeight: 500} }), NoBox, []Field{FFaceHeight, FBackHeight}},
		{"falls to the back", with(func(s *Spec) { s.Sizes = Sizes{Width: 300, Depth: 200, FrontHeight: 80, BackHeight: 60} }), NoBox, []Field{FSlope}},
		{"negative", with(func(s *Spec) { s.Sizes.FrontHeight = -45 }), NotASize, []Field{FFrontHeight}},
		{"no number", with(func(s *Spec) { s.Sizes.FrontHeight = math.NaN() }), NotASize, []Field{FFrontHeight}},
		{"endless", with(func(s *Spec) { s.Sizes.FaceWidth = math.Inf(1) }), NotASize, []Field{FFaceWidth}},
		{"thick walls", with(func(s *Spec) { s.Build.Wall = 120 }), NoRoom, []Field{"thickness of the walls"}},
		{"no walls", with(func(s *Spec) { s.Build.Wall = 0 }), Missing, []Field{"thickness of the walls"}},
		{"low front", with(func(s *Spec) { s.Sizes.FrontHeight, s.Build.BaseFit = 7, Between }), NoRoom, []Field{FFrontHeight}},
		{"lower front", with(func(s *Spec) { s.Sizes.FrontHeight = 5 }), NoBox, []Field{FFrontHeight}},
		{"deep rebate", with(func(s *Spec) { s.Build.Corner, s.Build.RebateDepth = Rebated, 9 }), NoRoom, []Field{"depth of the rebate"}},
		{"wide rebate", with(func(s *Spec) { s.Build.Corner, s.Build.RebateWidth = Rebated, 12 }), NoRoom, []Field{"width of the rebate"}},
		{"fat fingers", with(func(s *Spec) { s.Build.Corner, s.Build.Fingers.Width = Fingered, 30 }), NoRoom, []Field{"width of a finger"}},
		{"hand rest too deep", with(func(s *Spec) {
			s.Sizes = Sizes{Width: 300, Depth: 200, FrontHeight: 50, Slope: 15, HandRest: 195}
		}), NoRoom, []Field{FHandRest, FDepth}},
		{"hand rest over the front", with(func(s *Spec) { s.Sizes.HandRest = 8 }), NoRoom, []Field{FHandRest}},
		{"no units", Spec{Rack, Sizes{Depth: 200}, cueDesk().Build}, Missing, []Field{FUnits}},
		{"rack of another width", Spec{Rack, Sizes{Units: 3, Depth: 200, FaceWidth: 450}, cueDesk().Build}, Disagree, []Field{FFaceWidth, FUnits}},
		{"thick cheeks", Spec{Rack, Sizes{Units: 3, Depth: 200}, Build{Wall: 18, Base: 9, Face: 3}}, NoRoom, []Field{"thickness of the walls"}},
		{"flat rack", Spec{Rack, Sizes{Units: 3, Slope: 5}, cueDesk().Build}, NoBox, []Field{FSlope}},
		{"slope of a flat box", with(func(s *Spec) { s.Form = Flat }), NoUse, []Field{FSlope}},
		{"base cannot enter", with(func(s *Spec) {
			s.Form, s.Sizes = Wedge, Sizes{FaceWidth: 300, FaceHeight: 60, FrontHeight: 80, Slope: 60}
			s.Build.BaseFit, s.Build.BaseEdges, s.Build.Base = Between, Squared, 52
		}), NoEntry, []Field{"thickness of the base"}},
		{"cleats meet ledges", with(func(s *Spec) {
			s.Build.FaceFit, s.Build.BaseFit, s.Build.Ledge, s.Build.Cleat = In, Between, Batten{20, 25}, Batten{20, 25}
		}), NoRoom, []Field{"ledge, front", "cleat, front"}},
		{"no such form", Spec{Form: 9}, NotASize, nil},
	} {
		c, ps := Make(k.s)
		if c != nil || len(ps) == 0 {
			t.Errorf("%s: not refused", k.name)
			continue
		}
		found := slices.ContainsFunc(ps, func(p Problem) bool {
			all := p.Kind == k.kind
			for _, f := range k.ends {
				all = all && slices.ContainsFunc(p.Ends, func(e End) bool { return e.Name == f })
			}
			return all
		})
		if !found {
			t.Errorf("%s: want %s about %v, have", k.name, k.kind, k.ends)
		}
		for _, p := range ps {
			if !found || testing.Verbose() {
				t.Logf("%s: %s: %s", k.name, p.Kind, p.Text)
			}
			if p.Text == "" || !strings.HasSuffix(p.Text, ".") {
				t.Errorf("%s: text %q is no sentence", k.name, p.Text)
			}
		}
	}
}

// TestNoBoxSaysHowFar: in a wedge the back stands the sine of its slope over the front. A face of 100 mm cannot rise 160; at the steepest slope, 75
// degrees, it rises 96.6 mm.
func TestNoBoxSaysHowFar(t *testing.T) {
	s := Spec{Form: Wedge, Sizes: Sizes{Width: 200, FaceHeight: 100, FrontHeight: 30, BackHeight: 190}, Build: Build{Wall: 12, Base: 12, Face: 3}}
	_, ps := Resolve(s)
	if len(ps) != 1 || ps[0].Kind != NoBox || ps[0].Ends[0].Name != FBackHeight || ps[0].Have != 190 || !ps[0].AtMost || len(ps[0].Ends) != 3 {
		t.Fatalf("%+v", ps)
	}
	if most := 30 + 100*math.Sin(75*math.Pi/180); !(ps[0].Want > 35 && ps[0].Want <= most) || !strings.Contains(ps[0].Text, "the back height is "+mm(ps[0].Want)+" at most.") {
		t.Errorf("%+v, the sine gives %.2f", ps[0], most)
	}
	for d, ok := range map[float64]bool{-0.01: true, 0.2: false} { // what is said is true, to a tenth of a millimetre
		s.Sizes.BackHeight = ps[0].Want + d
		if _, ps := Resolve(s); (len(ps) == 0) != ok {
			t.Errorf("back height %g: %+v", s.Sizes.BackHeight, ps)
		}
	}
}
