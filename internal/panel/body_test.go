package panel

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/internal/geom"
)

// solids says what stands where: "knob d20 at 50,40 z 5.9..20.9".
func solids(bs []Body) string {
	var s []string
	for _, b := range bs {
		form := ""
		if c, d, ok := b.Outline.AsCircle(); ok {
			form = fmt.Sprintf("d%s at %s,%s", short(d), short(c.X), short(c.Y))
		} else {
			o := b.Outline.Bounds()
			form = fmt.Sprintf("%s,%s..%s,%s", short(o.Min.X), short(o.Min.Y), short(o.Max.X), short(o.Max.Y))
		}
		s = append(s, fmt.Sprintf("%s %s z %s..%s", b.Role, form, short(b.Z0), short(b.Z1)))
	}
	return strings.Join(s, "\n")
}

func wantText(t *testing.T, what, got, want string) {
	t.Helper()
	want = strings.TrimSpace(want)
	if got != want {
		t.Errorf("%s:\n%s\nwant:\n%s", what, got, want)
	}
}

// The stack is 3 mm of sheet and 0.1 mm of film, so the back of the sheet is at -3.1.
func TestBodiesOfAPartThatSeatsBehind(t *testing.T) {
	p, fs := placeText(t, "controls: {a: {part: knob, at: [50, 40], turn: 90}}")
	wantClean(t, fs)
	c := p.Controls[0]
	// knob 9..24 from the back of the sheet; washer 0..1 and nut 1..3 on the face; the tool as tall as fit.tool-reach says
	wantText(t, "front", solids(c.Front), `
knob d20 at 50,40 z 5.9..20.9
nut d12 at 50,40 z 0..1
nut 45,34.226..55,45.774 z 1..3
tool d16 at 50,40 z 0..10`)
	// turned a quarter: the body 16 x 20 below the middle comes to the right of it
	wantText(t, "rear", solids(c.Rear), `
body 42,32..62,48 z -12.1..-3.1
lugs 62,34..66,46 z -12.1..-5.1`)
	if l := c.Lugs[0]; l.Name != "1" || !nearVec(l.At.Vec2, geom.Vec2{X: 64, Y: 35}) || l.W != 2 {
		t.Errorf("lug %+v", l)
	}
	if k := c.Cuts[1]; k.ID != "a/anti-turn" || k.Blind != 1.5 || !nearVec(k.At.Vec2, geom.Vec2{X: 41, Y: 40}) || k.CutMin != 3 || !near(k.CutMax, 3.3) {
		t.Errorf("cut %+v", k)
	}
	for _, b := range append(append([]Body{}, c.Front...), c.Rear...) {
		x := b.Solid.Bounds()
		o := b.Outline.Bounds()
		if b.Owner != "a" || b.Origin.Path != "controls.a" || !near(x.Min.Z, b.Z0) || !near(x.Max.Z, b.Z1) || x.Min.XY().Sub(o.Min).Len() > 1e-6 {
			t.Errorf("solid and outline differ: %+v", b)
		}
	}
}

func TestBodiesOfAPartThatSeatsInFront(t *testing.T) {
	p, fs := placeText(t, "controls: {a: {part: button, at: [50, 40]}}")
	wantClean(t, fs)
	c := p.Controls[0]
	wantText(t, "front", solids(c.Front), "bezel d18 at 50,40 z 0..2")
	// The body reaches 25 behind the front of the face; what is in the hole meets nobody. A washer without a diameter
	// takes no room, but lifts the nut.
	wantText(t, "rear", solids(c.Rear), `
body d15 at 50,40 z -25..-3.1
nut d20 at 50,40 z -6.1..-4.1
tool d26 at 50,40 z -13.1..-3.1`)
	if k := c.Cuts[0]; k.ID != "a" || k.Owner != c || k.Nominal != 16 || k.FinishedMin != 16 || !near(k.FinishedMax, 16.3) || !k.Round() {
		t.Errorf("cut %+v", k)
	}
}

func TestKnobs(t *testing.T) {
	p, fs := placeText(t, `
controls:
  a: {part: knob, at: [50, 40], knob: 26}
  b: {part: knob, at: [120, 40], adjust: {front: []}, knob: 30}
`)
	wantClean(t, fs)
	if got := solids(p.Controls[0].Front[:1]); got != "knob d26 at 50,40 z 5.9..20.9" {
		t.Error(got)
	}
	// no knob in the record: it sits 1 mm above the nut, which is 3 mm high with its washer
	if got := solids(p.Controls[1].Front[3:]); got != "knob d30 at 120,40 z 4..19" {
		t.Error(got)
	}
}

func TestStackAndHoles(t *testing.T) {
	for _, c := range []struct {
		face           string
		total          float64
		holes          string
		wrap           float64
		min, max, blue float64 // main hole of the knob as cut; largest of its blind hole
	}{
		// knob: 8 +0.2, anti-turn 3 blind without tolerance: +0.3
		{"sheet: test-3mm", 3, "trimmed", 0, 8, 8.2, 3.3},
		{"sheet: test-3mm, covering: test-film", 3.1, "trimmed", 20, 8, 8.2, 3.3},
		{"sheet: test-3mm, covering: {use: test-film, holes: folded}", 3.1, "folded", 20, 8.2, 8.4, 3.3},
		{"sheet: test-3mm, covering: {use: test-film, holes: coated, thickness: 0.15}", 3.15, "coated", 20, 8.3, 8.5, 3.3},
		{"sheet: {use: test-3mm, actual: 2.8}, covering: {use: test-film, edge: flush}", 2.9, "trimmed", 0, 8, 8.2, 3.3},
		{"sheet: {use: test-3mm, actual: 1.2}, covering: {use: test-film, wrap: 12, holes: folded}", 1.3, "folded", 12, 8.2, 8.4, 3.5}, // thinner than the blind hole is deep: it goes through
		{"sheet: {actual: 4}, covering: {thickness: 0.5}", 4.5, "trimmed", 0, 8, 8.2, 3.3},
	} {
		p, fs := placeWhole(t, "knobwright: 1\nface: {width: 200, height: 100, "+c.face+"}\ncontrols: {a: {part: knob, at: [50, 40]}}")
		wantClean(t, fs)
		s, k := p.Stack, p.Controls[0].Cuts
		if !near(s.Total, c.total) || s.CoverHoles != c.holes || s.Wrap != c.wrap {
			t.Errorf("%s: total %v, holes %s, wrap %v", c.face, s.Total, s.CoverHoles, s.Wrap)
		}
		if !near(k[0].CutMin, c.min) || !near(k[0].CutMax, c.max) || !near(k[1].CutMax, c.blue) {
			t.Errorf("%s: cut %v to %v, anti-turn up to %v", c.face, k[0].CutMin, k[0].CutMax, k[1].CutMax)
		}
		if k[0].FinishedMin != 8 || !near(k[0].FinishedMax, 8.2) {
			t.Errorf("%s: the covering changes the finished hole: %v to %v", c.face, k[0].FinishedMin, k[0].FinishedMax)
		}
	}
}

func TestLegends(t *testing.T) {
	p, fs := placeText(t, `
controls:
  go-now: {part: button, at: [50, 50]}
  b: {part: button, at: [90, 50], legend: {text: "TWO\nLINES", place: above, cap: 4, gap: 1}}
  c: {part: button, at: [130, 50], legend: {place: right}}
  d: {part: button, at: [160, 50], legend: ""}
  e: {part: knob, at: [50, 20], knob: 30, legend: {text: Pyg, place: left}}
`)
	wantClean(t, fs)
	a, b, c, d, e := p.Controls[0], p.Controls[1], p.Controls[2], p.Controls[3], p.Controls[4]
	// below: bezel 9, gap 2, half a capital 1.5
	if l := a.Legend; l.Text != "GO NOW" || a.Label != "GO NOW" || !nearVec(l.Middle.Vec2, geom.Vec2{X: 50, Y: 50 - 9 - 2 - 1.5}) {
		t.Errorf("%+v", l)
	}
	if s := a.Legend.Box.Size(); !near(s.Y, 3) || s.X < 8 || s.X > 20 {
		t.Errorf("box %v", s)
	}
	// above: two lines are 4 + 1.6 x 4 high
	if l := b.Legend; len(l.Lines) != 2 || b.Label != "TWO LINES" || !near(l.Middle.Y, 50+9+1+5.2) || !near(l.Box.Size().Y, 10.4) {
		t.Errorf("%+v", l)
	}
	if l := c.Legend; l.Text != "C" || l.Place != "right" || !near(l.Box.Min.X, 130+9+2) || !near(l.Middle.Y, 50) {
		t.Errorf("%+v", l)
	}
	if l := d.Legend; l.Text != "" || l.Lines != nil || d.Label != "D" {
		t.Errorf("%+v", l)
	}
	// left of the knob, with room for the tails of y and g
	if l := e.Legend; !near(l.Box.Max.X, 50-15-2) || !near(l.Box.Min.Y, 20-1.5-tail*3) || !near(l.Box.Max.Y, 21.5) {
		t.Errorf("%+v", l)
	}
	if o := b.Legend.Origin; o.Path != "controls.b.legend" || o.Pos.Line != 7 {
		t.Errorf("%+v", o)
	}
}

// No legend lies on anything that its control has in front, wherever it is placed and however the control is turned.
func TestLegendsKeepClear(t *testing.T) {
	for _, place := range []string{"below", "above", "left", "right"} {
		for _, turn := range []int{0, 30, 90, 200} {
			p, _ := placeText(t, fmt.Sprintf("controls: {lever: {part: toggle-mini-2, at: [100, 50], turn: %d, legend: {place: %s}}}", turn, place))
			c := p.Controls[0]
			box := geom.Polygon(c.Legend.Box.Min, geom.Vec2{X: c.Legend.Box.Max.X, Y: c.Legend.Box.Min.Y}, c.Legend.Box.Max, geom.Vec2{X: c.Legend.Box.Min.X, Y: c.Legend.Box.Max.Y})
			sweeps := 0
			for _, b := range c.Front {
				if b.Role == RoleTool {
					continue
				}
				if b.Role == RoleSweep {
					sweeps++
				}
				if gap, _, _ := b.Outline.Gap(box); gap < p.Legend.Gap-1e-6 {
					t.Errorf("%s, turned %d: %v mm to the %s", place, turn, gap, b.Role)
				}
			}
			if sweeps == 0 {
				t.Error("a lever without a sweep checks nothing")
			}
		}
	}
}

func TestTexts(t *testing.T) {
	p, fs := placeWhole(t, `knobwright: 1
face: {width: 200, height: 100, sheet: test-3mm, texts: {a: {text: HALL, at: [100, 80], cap: 6, turn: 90}}}
`)
	wantClean(t, fs)
	x := p.Texts[0]
	s := x.Box.Size()
	if !near(s.X, 6) || s.Y < 12 || s.Y > 30 || !nearVec(x.Box.Centre(), geom.Vec2{X: 100, Y: 80}) || x.Origin.MovePath != "face.texts.a.at" {
		t.Errorf("%+v", x)
	}
}
