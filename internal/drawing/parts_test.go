package drawing

import (
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
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
	add(Dimension{A: v(125, 205), B: v(165, 235), Off: 6, S: "50"}.Items()...)
	add(CentreCross(v(165, 235), 5)...)
	add(RegisterDiamond(v(120, 215), "a", true)...)
	add(RegisterDiamond(v(150, 250), "b", false)...)

	add(HaveWant(v(20, 160), 50, finding.Measure{Have: 6, Want: 19, Unit: "mm"})...)
	add(HaveWant(v(90, 160), 50, finding.Measure{Have: -1.5, Want: 2, Unit: "mm"})...)
	add(HaveWant(v(20, 140), 50, finding.Measure{Have: 6.2, Want: 5, Unit: "mm", Sense: finding.AtMost})...)
	add(HaveWant(v(90, 140), 50, finding.Measure{Have: 4.9, Want: 1, WantMax: 3.5, Unit: "mm", Sense: finding.Between})...)
	add(HaveWant(v(150, 160), 40, finding.Measure{Have: 1.95, Want: 2, Unit: "mm"})...)
	add(HaveWant(v(150, 140), 40, finding.Measure{Have: 400, Want: 1200, WantMax: 1500, Unit: "min of arc", Sense: finding.Between})...)

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
	add(CheckBar(v(196, 55), true)...)
	add(TitleStrip(v(10, 10), 190, []StripCell{
		{Head: "Bars first", Small: "0.3 mm off: do not use"}, {Head: "Cue desk", Small: "travelling puppet theatre"},
		{Head: "Print at 100 %", Small: "A4, no “fit to page”"}, {Head: "21 holes, 6 bits", Small: "no stop · mark 7f3a 91c2"},
	})...)
	return p
}

func TestSpecimensAreDrawn(t *testing.T) {
	b, err := PDF(&Document{Title: "Specimens", Pages: []Page{specimens()}})
	if err != nil {
		t.Fatal(err)
	}
	keep(t, "specimens.pdf", b)
	p := specimens()
	s, err := SVGWith(&Scene{Title: "Specimens", Bounds: geom.Box2{Max: v(210, 297)}, Items: p.Items}, SVGOptions{Theme: LightTheme})
	if err != nil {
		t.Fatal(err)
	}
	keep(t, "specimens.svg", s)
}
