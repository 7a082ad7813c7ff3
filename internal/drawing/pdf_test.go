package drawing

import (
	"bytes"
	"errors"
	"regexp"
	"strings"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/witness"
)

func v(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }

// sheet is one A4 page with something of everything.
func sheet() Page {
	box := func(x, y, w, h float64) geom.Outline {
		return geom.Outline{{P: v(x, y)}, {P: v(x+w, y)}, {P: v(x+w, y+h)}, {P: v(x, y+h)}}
	}
	p := Page{Width: 210, Height: 297, Name: "Sheet ø1", Items: []Item{
		Lettered(v(20, 275), 6, Left, "Drill sheet"),
		Txt(v(20, 265), Read, 4, Left, "True size. ø7.2 · 50 µA · 4.7 kΩ → ½ turn ✓ ☐ “no fit to page”"),
		Txt(v(20, 258), Pencilled, 5, Left, "3 mm pilot in every hole first."),
		Txt(v(20, 251), ReadHalf, 4, Left, "Bars first ☐ ✓"),
		Txt(v(20, 244), ReadBold, 6, Left, "22.5"),
		Txt(v(50, 244), FileFace, 3.5, Left, "standby: {part: push-22mm-lit, at: [244, 42]}"),
		Box(Style{Line: Edge}, v(20, 120), v(120, 220)),
		Outl(Style{Line: Visible, Fill: PlyWash, Hatch: HatchPly}, box(130, 200, 30, 20)),
		Outl(Style{Line: Visible, Fill: AcrylicWash, Hatch: HatchAcrylic}, box(130, 170, 30, 20)),
		Outl(Style{Line: Visible, Hatch: HatchMetal}, geom.Circle(v(145, 155), 20), geom.Circle(v(145, 155), 10)),
		Outl(Style{Line: Visible, Hatch: HatchCovered}, geom.Circle(v(180, 155), 20)),
		Outl(Style{Line: Visible, Hatch: HatchBad}, geom.Circle(v(180, 180), 20)),
		Ln(v(20, 110), v(190, 110), Hidden),
		Ln(v(20, 105), v(190, 105), CentreLn),
		Ln(v(20, 100), v(190, 100), LeadWarn),
		Ln(v(20, 95), v(190, 95), WireOpen),
		Ln(v(20, 90), v(190, 90), WireDone),
		Arc(v(180, 215), 16, 30, 300, Visible),
		&Group{Place: geom.Place{At: v(100, 40), Turn: 30, Flip: true}, Clip: geom.Circle(v(0, 0), 50), Note: "turned <group>", Items: []Item{
			Box(Style{Line: Visible, Fill: YouWash}, v(-40, -10), v(40, 10)),
			Lettered(v(0, 0), 5, Centre, "TURNED"),
		}},
		&Group{Place: geom.Place{At: v(190, 20), Flip: true}, Items: []Item{Lettered(v(0, 0), 5, Left, "REAR ABC")}},
	}}
	p.Items = append(p.Items, On("DRILL", Circ(v(70, 170), 22.5, Visible), Txt(v(70, 150), ReadBold, 7, Centre, "22.5"))...)
	return p
}

func TestPDFIsWellFormed(t *testing.T) {
	b, err := PDF(&Document{Title: "Cue desk – “ø” & friends", Subject: "for a test", Pages: []Page{sheet(), sheet()}})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(b, []byte("/ViewerPreferences <</PrintScaling /None")) {
		t.Error("the catalog does not ask for true size")
	}
	out := witness.Run(t, witness.Tool(t, "qpdf"), "--check", witness.Keep(t, "sheet.pdf", b))
	if strings.Contains(strings.ToLower(out), "warning") || !strings.Contains(out, "No syntax or stream encoding errors found") {
		t.Errorf("qpdf says:\n%s", out)
	}
}

func TestPDFWordsCanBeFound(t *testing.T) {
	b, err := PDF(&Document{Title: "words", Pages: []Page{sheet()}})
	if err != nil {
		t.Fatal(err)
	}
	out := witness.Run(t, witness.Tool(t, "pdftotext"), witness.Keep(t, "words.pdf", b), "-")
	for _, want := range []string{"Drill sheet", "ø7.2", "50 µA", "4.7 kΩ", "→", "½ turn", "✓", "☐", "“no fit to page”", "REAR ABC", "3 mm pilot in every hole first.", "standby: {part: push-22mm-lit"} {
		if !strings.Contains(out, want) {
			t.Errorf("pdftotext does not find %q in\n%s", want, out)
		}
	}
}

func TestPDFIsTheSameTwice(t *testing.T) {
	doc := &Document{Title: "twice", Pages: []Page{sheet(), sheet()}}
	for _, f := range allFaces { // the library must not write into our fonts
		file := load(chain(f)[0])
		defer func(was []byte) {
			if !bytes.Equal(was, file.data) {
				t.Errorf("the font %s is changed by writing a PDF", fontNames[file.id])
			}
		}(bytes.Clone(file.data))
	}
	a, err := PDF(doc)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		b, err := PDF(doc)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Fatal("two runs give different bytes")
		}
	}
	if m := regexp.MustCompile(`/(Creation|Mod)Date \([^)]*\)`).FindAll(a, -1); len(m) != 2 {
		t.Errorf("dates: %q", m)
	}
}

func TestMissingGlyphIsAnError(t *testing.T) {
	page := Page{Width: 50, Height: 50, Items: []Item{Txt(v(1, 1), Read, 4, Left, "go 𓀀 home")}}
	scene := &Scene{Bounds: geom.Box2{Max: v(50, 50)}, Items: page.Items}
	_, errPDF := PDF(&Document{Pages: []Page{page}})
	_, errSVG := SVG(scene)
	_, errDXF := DXF(scene)
	for _, err := range []error{errPDF, errSVG, errDXF} {
		var g *GlyphError
		if !errors.As(err, &g) || g.Rune != '𓀀' || g.Text != "go 𓀀 home" {
			t.Errorf("got %v", err)
		}
		if err != nil && (!strings.Contains(err.Error(), "U+13000") || !strings.Contains(err.Error(), "home")) {
			t.Errorf("the sentence names neither character nor text: %v", err)
		}
	}
}
