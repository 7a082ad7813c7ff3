package drawing

import (
	"encoding/xml"
	"math"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/witness"
)

func TestBadNumbersAreErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, it := range map[string]Item{
		"a point":    Ln(v(0, 0), v(nan, 1), Edge),
		"far out":    Circ(v(0, 0), 3e6, Edge),
		"a bulge":    Outl(Style{Line: Edge}, geom.Outline{{P: v(0, 0), Bulge: inf}, {P: v(1, 1)}}),
		"a width":    &Path{Outlines: []geom.Outline{geom.Circle(v(0, 0), 1)}, Style: Style{Line: Edge, Width: inf}},
		"a dash":     &Path{Outlines: []geom.Outline{geom.Circle(v(0, 0), 1)}, Style: Style{Line: Edge, Dash: [2]float64{-1, 1}}},
		"no size":    Txt(v(0, 0), Read, 0, Left, "x"),
		"big size":   Txt(v(0, 0), Read, 1e9, Left, "x"),
		"a turn":     &Text{S: "x", Face: Read, Size: 3, Turn: nan},
		"a scale":    &Group{Scale: inf, Items: []Item{Circ(v(1, 1), 1, Edge)}},
		"nothing":    nil,
		"a clip":     &Group{Clip: geom.Outline{{P: v(nan, 0)}, {P: v(1, 1)}}, Items: []Item{Circ(v(1, 1), 1, Edge)}},
		"a tracking": &Text{S: "xy", Face: Read, Size: 3, Track: nan},
	} {
		items := []Item{it}
		_, errPDF := PDF(&Document{Pages: []Page{{Width: 10, Height: 10, Items: items}}})
		s := &Scene{Items: items, Bounds: geom.Box2{Max: v(10, 10)}}
		_, errSVG := SVG(s)
		_, errDXF := DXF(s)
		if errPDF == nil || errSVG == nil || errDXF == nil {
			t.Errorf("%s: PDF %v, SVG %v, DXF %v", name, errPDF, errSVG, errDXF)
		}
	}
	loop := &Group{}
	loop.Items = []Item{loop}
	if _, err := SVG(&Scene{Items: []Item{loop}}); err == nil {
		t.Error("a group that holds itself is drawn")
	}
	for _, doc := range []*Document{{}, {Pages: []Page{{}}}, {Pages: []Page{{Width: nan, Height: 10}}}, {Pages: []Page{{Width: 1e9, Height: 10}}}} {
		if _, err := PDF(doc); err == nil {
			t.Errorf("%+v is written", doc)
		}
	}
	if _, err := SVG(&Scene{Title: "empty"}); err == nil {
		t.Error("a drawing without a size is written")
	}
}

// Names and titles come from the person's file: whatever they hold, the PDF stays sound.
func TestPDFHostileNames(t *testing.T) {
	evil := ") >> endobj 1 0 obj << /OpenAction (\\ \x00\r\n\u202e😀 startxref\n0\n%%EOF xref trailer /Type /Catalog\n"
	p := Page{Width: 100, Height: 50, Name: evil, Items: On(evil, Txt(v(5, 5), Read, 4, Left, `a) Tj ET (b \ c`), Circ(v(50, 25), 10, Edge))}
	b, err := PDF(&Document{Title: evil, Subject: evil, Pages: []Page{p, p}})
	if err != nil {
		t.Fatal(err)
	}
	file := witness.Keep(t, "evil.pdf", b)
	out := witness.Run(t, witness.Tool(t, "qpdf"), "--check", file)
	if strings.Contains(strings.ToLower(out), "warning") || !strings.Contains(out, "No syntax or stream encoding errors found") {
		t.Errorf("qpdf says:\n%s", out)
	}
	if words := witness.Run(t, witness.Tool(t, "pdftotext"), file, "-"); !strings.Contains(words, `a) Tj ET (b \ c`) {
		t.Errorf("the words are lost: %q", words)
	}
}

// Layers are optional content by their names, opened and closed in step with clips.
func TestPDFLayers(t *testing.T) {
	items := On("DRILL", Circ(v(20, 20), 10, Edge))
	items = append(items, &Group{Clip: geom.Circle(v(50, 25), 30), Items: []Item{
		On("BACK", Circ(v(50, 25), 10, Hidden))[0], Circ(v(55, 25), 10, Edge), On("DRILL", Circ(v(45, 25), 10, Edge))[0],
		&Group{Clip: geom.Circle(v(50, 25), 20), Items: On("DRILL", Ln(v(0, 25), v(100, 25), Dim))},
	}})
	b, err := PDF(&Document{Pages: []Page{{Width: 100, Height: 50, Items: items}}})
	if err != nil {
		t.Fatal(err)
	}
	plain := witness.Run(t, witness.Tool(t, "qpdf"), "--qdf", "--object-streams=disable", witness.Keep(t, "layers.pdf", b), "-")
	if n := strings.Count(plain, "/Type /OCG"); n != 2 {
		t.Errorf("%d layers, want 2", n)
	}
	i := strings.Index(plain, "stream\n")
	content := plain[i:strings.Index(plain, "endstream")]
	deep, open := 0, 0
	for _, line := range strings.Fields(content) {
		switch line {
		case "q":
			deep++
		case "Q":
			deep--
		case "BDC":
			open++
		case "EMC":
			open--
		}
		if deep < 0 || open < 0 || open > 1 {
			t.Fatalf("out of step: %d saved, %d open in\n%s", deep, open, content)
		}
	}
	if deep != 0 || open != 0 {
		t.Errorf("left open: %d saved, %d layers", deep, open)
	}
}

func FuzzWriters(f *testing.F) {
	f.Add("GO", 10.0, 4.0, 0.5, 30.0)
	f.Add("<&\">\x00\u202e日本", -1e5, 1e-3, 1e9, 1e300)
	f.Add("½ ø→✓", math.Inf(1), 0.0, math.NaN(), -90.0)
	f.Fuzz(func(t *testing.T, s string, x, size, bulge, turn float64) {
		if len(s) > 200 {
			return
		}
		items := On(s, &Group{Note: s, Place: geom.Place{At: v(x, size), Turn: turn, Flip: size > 3}, Clip: geom.Circle(v(0, 0), size), Items: []Item{
			Txt(v(x, 0), Lettering, size, Centre, s),
			Outl(Style{Line: Edge, Hatch: HatchPly, Fill: PlyWash}, geom.Outline{{P: v(0, 0), Bulge: bulge}, {P: v(x, size)}, {P: v(size, x)}}),
		}})
		items = append(items, HaveWant(v(0, 0), 50, finding.Measure{Have: x, Want: bulge, Unit: s, Sense: finding.Sense(len(s) % 3)})...)
		if b, err := SVG(&Scene{Title: s, Bounds: geom.Box2{Max: v(100, 100)}, Items: items}); err == nil {
			walkXML(t, b, func(xml.StartElement) {})
		}
		_, _ = DXF(&Scene{Title: s, Items: items})
		if len(s) < 20 {
			_, _ = PDF(&Document{Title: s, Pages: []Page{{Width: 100, Height: 100, Name: s, Items: items}}})
		}
	})
}
