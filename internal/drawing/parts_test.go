package drawing

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/witness"
)

// specimens is a sheet with every part of sheets on it.
func specimens() Page {
	p := Page{Width: 210, Height: 297, Name: "Specimens"}
	add := func(it ...Item) { p.Items = append(p.Items, it...) }
	add(Lettered(v(17, 278), 6.2, Left, "Drill sheet"), Lettered(v(82, 278), 6.2, Left, "FRONT"))
	add(FaceMark(v(70, 277), false)...)
	add(FaceMark(v(120, 277), true)...)
	add(Lettered(v(132, 278), 6.2, Left, "REAR"))

	add(Box(Style{Line: Edge}, v(30, 200), v(90, 250)))
	add(DatumCorner(v(30, 200), false)...)
	add(DimX(v(30, 200), v(90, 200), 188, "60").Items()...)
	add(DimY(v(30, 200), v(30, 250), 20, "50").Items()...)
	add(HoleMark(v(60, 225), 22.5, 3)...)
	add(Knocked(Txt(v(60, 207), ReadBold, 6.2, Centre, "22.5"), 0.4)...)
	add(NumberRing(v(46, 238), "15")...)
	d := DimX(v(30, 200), v(60, 225), 256, "30.0")
	d.InHand, d.Broken = true, true
	add(d.Items()...)
	add(Dimension{A: v(90, 200), B: v(90, 203), Off: -8, S: "3"}.Items()...)
	add(Dimension{A: v(90, 230), B: v(90, 250), Off: -8, S: "20"}.Items()...)

	add(Box(Style{Line: Edge}, v(120, 200), v(180, 250)))
	add(DatumCorner(v(180, 200), true)...)
	add(Ruler{Zero: v(180, 200), To: 60, Back: true, Numbers: true}.Items()...)
	add(Ruler{Zero: v(180, 200), To: 50, Vertical: true, Inward: true, Numbers: true}.Items()...)
	add(Dimension{A: v(128, 208), B: v(168, 238), Off: 3, S: "50"}.Items()...)
	add(CentreCross(v(165, 235), 5)...)
	add(RegisterDiamond(v(120, 215), "a", true)...)
	add(RegisterDiamond(v(150, 250), "b", false)...)

	add(HaveWant(v(20, 160), 50, finding.Measure{Have: 6, Want: 19, Unit: "mm"})...)
	add(HaveWant(v(90, 160), 50, finding.Measure{Have: -1.5, Want: 2, Unit: "mm"})...)
	add(HaveWant(v(20, 140), 50, finding.Measure{Have: 6.2, Want: 5, Unit: "mm", Sense: finding.AtMost})...)
	add(HaveWant(v(90, 140), 50, finding.Measure{Have: 4.9, Want: 1, WantMax: 3.5, Unit: "mm", Sense: finding.Between})...)
	add(HaveWant(v(154, 160), 28, finding.Measure{Have: 1.95, Want: 2, Unit: "mm"})...)
	add(HaveWant(v(154, 140), 24, finding.Measure{Have: 400, Want: 1200, WantMax: 1500, Unit: "arcmin", Sense: finding.Between})...)

	add(Mark(v(25, 120), 7, finding.Stop)...)
	add(Mark(v(40, 120), 6, finding.Warn)...)
	add(Mark(v(55, 120), 5, finding.Note)...)
	add(TickBox(v(65, 117.5), 5, false)...)
	add(TickBox(v(75, 117.5), 5, true)...)
	add(Circ(v(95, 120), 10, Visible))
	add(GripTicks(v(95, 120), 10)...)
	add(Circ(v(115, 120), 10, Visible))
	add(Nails(v(115, 120), 10)...)
	add(Drilled(v(135, 120), 10)...)
	add(Leader(LeadStop, Bad, v(150, 115), v(158, 123), v(170, 123))...)
	add(Leader(LeadWarn, Bad, v(175, 115), v(183, 123), v(195, 123))...)

	for i, s := range []Sign{SignCaution, SignGoggles, SignMask, SignNoGloves} {
		add(SafetySign(v(30+25*float64(i), 90), 18, s)...)
		add(SafetySign(v(130+15*float64(i), 90), 10, s)...)
	}
	add(CheckBar(v(25, 50), false)...)
	add(CheckBar(v(200, 28), true)...)
	add(TitleStrip(v(10, 10), 190, []StripCell{
		{View: RearView, Small: "seen from behind"},
		{Head: "Bars first", Small: "0.3 mm off: do not use"},
		{Head: "Cue desk", Small: "travelling puppet theatre"},
		{Head: "Print at 100 %", Small: "A4, no “fit to page”"},
		{Head: "21 holes, 6 bits", Small: "no stop · mark 7f3a 91c2"},
	})...)
	return p
}

func TestSpecimensAreDrawn(t *testing.T) {
	b, err := PDF(&Document{Title: "Specimens", Pages: []Page{specimens()}})
	if err != nil {
		t.Fatal(err)
	}
	witness.Keep(t, "specimens.pdf", b)
	p := specimens()
	s, err := SVGWith(&Scene{Title: "Specimens", Bounds: geom.Box2{Max: v(210, 297)}, Items: p.Items}, SVGOptions{Theme: LightTheme})
	if err != nil {
		t.Fatal(err)
	}
	witness.Keep(t, "specimens.svg", s)
}

// boxOf is the box round what is drawn, lines with their widths.
func boxOf(t *testing.T, items ...Item) geom.Box2 {
	t.Helper()
	prims, err := flatten(items)
	if err != nil {
		t.Fatal(err)
	}
	b := geom.EmptyBox2()
	for _, g := range prims {
		one := primBounds([]prim{g})
		if p, ok := penOf(g.style); ok && g.text == nil {
			one = one.Grow(p.width / 2)
		}
		b = b.Union(one)
	}
	return b
}

func TestCheckBarIsExactly100mm(t *testing.T) {
	for _, upright := range []bool{false, true} {
		items := CheckBar(v(7, 9), upright)
		var shapes []Item
		for _, it := range items {
			if _, word := it.(*Text); !word {
				shapes = append(shapes, it)
			}
		}
		b, want := boxOf(t, shapes...), v(100, 2)
		if upright {
			want = v(2, 100)
		}
		if b.Size().Sub(want).Len() > 1e-9 || b.Min.Sub(v(7, 9)).Len() > 1e-9 {
			t.Errorf("upright %v: ink reaches %v by %v from %v", upright, b.Size().X, b.Size().Y, b.Min)
		}
	}
}

// Two sheets laid over each other at the seam: where the left one is black the right one is too.
func TestRegisterDiamondsClose(t *testing.T) {
	for _, upright := range []bool{true, false} {
		left := Page{Width: 60, Height: 40, Items: RegisterDiamond(v(30, 20), "a", upright)}
		right := Page{Width: 60, Height: 40, Items: []Item{&Group{Place: geom.Place{At: v(-20, -10)}, Items: RegisterDiamond(v(50, 30), "a", upright)}}}
		a, err := PDF(&Document{Pages: []Page{left}})
		if err != nil {
			t.Fatal(err)
		}
		b, err := PDF(&Document{Pages: []Page{right}})
		if err != nil {
			t.Fatal(err)
		}
		p, q := rasterPDF(t, a, 1, 127), rasterPDF(t, b, 1, 127)
		if mean, worst := greyDifference(p, q); mean > 0.01 || worst > 0.1 {
			t.Errorf("the diamonds differ: mean %.3f, worst %.3f", mean, worst)
		}
		black, area := 0, 0
		for y := range p.Bounds().Dy() {
			for x := range p.Bounds().Dx() {
				dx, dy := float64(x)/5-30, 40-float64(y)/5-20
				if math.Abs(dx)+math.Abs(dy) < 4.4 {
					area++
					if p.GrayAt(x, y).Y < 128 {
						black++
					}
				}
			}
		}
		if share := float64(black) / float64(area); math.Abs(share-0.5) > 0.05 {
			t.Errorf("black is %.3f of the diamond, want half", share)
		}
	}
}

func TestFaceMarkMirrors(t *testing.T) {
	f, r := boxOf(t, FaceMark(v(5, 5), false)...), boxOf(t, FaceMark(v(5, 5), true)...)
	if f.Size().Sub(r.Size()).Len() > 0.01 || f.Size().Y < 9 || f.Size().Y > 10.6 {
		t.Errorf("front %v, rear %v", f.Size(), r.Size())
	}
	d := FaceMark(v(0, 0), true)[0].(*Path)
	if d.Style.Dash[1] == 0 {
		t.Error("the rear mark is not dashed")
	}
}

// Whatever the numbers, the ruler shows both, keeps its words apart and its numbers few.
func TestHaveWantStaysReadable(t *testing.T) {
	units := []string{"mm", "", "N"}
	n := 0
	for _, sense := range []finding.Sense{finding.AtLeast, finding.AtMost, finding.Between} {
		for _, want := range []float64{0, 0.05, 2, 19, 250, 100000} {
			for _, have := range []float64{-3, -0.001, 0, 0.049, 1.999, 6, 18.9, 260, 1e5, 1e6} {
				m := finding.Measure{Have: have, Want: want, Unit: units[n%3], Sense: sense}
				if sense == finding.Between {
					m.WantMax = want*1.2 + 0.5
				}
				n++
				items := HaveWant(v(20, 10), 45, m)
				lo, hi, step := haveWantScale(m)
				if lo > min(have, want) || hi < max(have, want, m.WantMax) || !((hi-lo)/step < 11) || !((hi-lo)/step > 1.5) {
					t.Errorf("%+v: from %g to %g by %g", m, lo, hi, step)
				}
				var words []geom.Box2
				var texts []string
				for _, it := range items {
					if w, ok := it.(*Text); ok {
						width := TextWidth(w.Face, w.Size, w.S)
						x := w.At.X - width*float64(w.Anchor)/2
						words = append(words, geom.Box2{Min: v(x, w.At.Y), Max: v(x+width, w.At.Y+2)})
						texts = append(texts, w.S)
					}
				}
				for i := range words {
					for j := range i {
						if words[i].Overlaps(words[j]) && words[i].Grow(-0.05).Overlaps(words[j]) {
							t.Errorf("%+v: %q lies on %q", m, texts[i], texts[j])
						}
					}
				}
				if b := boxOf(t, items...); b.Min.Y < 10-HaveWantBelow || b.Max.Y > 10+HaveWantAbove+0.5 {
					t.Errorf("%+v: reaches from %.2f to %.2f", m, b.Min.Y-10, b.Max.Y-10)
				}
			}
		}
	}
}

func TestDimensionNumbersStandClear(t *testing.T) {
	for _, long := range []float64{0.5, 2, 5, 8, 12, 40} {
		for turn := 0.0; turn < 360; turn += 15 {
			b := geom.Place{Turn: turn}.Apply(v(long, 0))
			items := Dimension{A: v(0, 0), B: b, Off: 8, S: "12.25"}.Items()
			var text *Text
			for _, it := range items {
				if w, ok := it.(*Text); ok {
					text = w
				}
			}
			if text == nil {
				t.Fatal("no number")
			}
			if up := (geom.Place{Turn: text.Turn}).Apply(v(0, 1)); up.Y < -1e-9 || math.Abs(up.Y) < 1e-9 && up.X > 0 {
				t.Errorf("turn %g: the number reads upside down", turn)
			}
			for _, it := range items {
				p, ok := it.(*Path)
				if !ok || p.Style.Fill == NoInk {
					continue
				}
				tip := p.Outlines[0][0].P
				if d := math.Min(tip.Sub(b.Unit().Left().Mul(8)).Len(), tip.Sub(b).Sub(b.Unit().Left().Mul(8)).Len()); d > 1e-9 {
					t.Errorf("turn %g: an arrow points %.3f mm off", turn, d)
				}
			}
		}
	}
}

func TestTitleStripKeepsItsCells(t *testing.T) {
	cells := []StripCell{{Head: strings.Repeat("Very long name ", 9), Small: strings.Repeat("long ", 50)}, {Head: "b", Small: "c"}, {Share: 20, Head: "wide"}}
	items := TitleStrip(v(10, 10), 190, cells)
	b := boxOf(t, items...)
	if b.Min.X < 9 || b.Max.X > 201 || b.Max.Y > 10+StripHeight+0.3 {
		t.Errorf("the strip reaches %v to %v", b.Min, b.Max)
	}
}
