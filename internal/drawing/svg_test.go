package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"image"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/witness"
)

var update = flag.Bool("update", false, "write the golden files anew")

// walkXML reads an XML text strictly and hands over every start tag.
func walkXML(t *testing.T, b []byte, f func(xml.StartElement)) (words []string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(b))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return words
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			f(tok)
		case xml.CharData:
			words = append(words, string(tok))
		}
	}
}

// bracket is a scene small enough for its SVG to be read.
func bracket() *Scene {
	s := &Scene{
		Title: "Bracket <2 holes>", Bounds: geom.Box2{Min: v(-5, -5), Max: v(45, 25)},
		Layers: []Layer{{Name: "CUT", Means: "cut through", Colour: 1, Process: true}, {Name: "MARK", Means: "mark only"}},
		Items: []Item{
			Outl(Style{Line: Edge, Fill: PlyWash}, geom.Outline{{P: v(0, 0)}, {P: v(40, 0)}, {P: v(40, 20), Bulge: 0}, {P: v(0, 20), Bulge: 0.25}}),
			&Group{Place: geom.Place{At: v(20, 10)}, Clip: geom.Circle(v(0, 0), 16), Note: "clipped & noted", Items: []Item{Ln(v(-20, 0), v(20, 0), CentreLn)}},
		},
	}
	s.Items = append(s.Items, On("CUT", Circ(v(8, 10), 6.4, Hairline), Txt(v(20, 3), Lettering, 4, Centre, "I"))...)
	s.Items = append(s.Items, On("MARK", Txt(v(20, 14), Lettering, 4, Centre, "LL"))...)
	return s
}

func TestSVGGolden(t *testing.T) {
	b, err := SVG(bracket())
	if err != nil {
		t.Fatal(err)
	}
	witness.Keep(t, "bracket.svg", b)
	const name = "testdata/bracket.svg"
	if *update {
		if err := os.WriteFile(name, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b, want) {
		t.Errorf("the plate has changed; look at it, then go test -run SVGGolden -update\n%s", b)
	}
}

func TestSVGHostileText(t *testing.T) {
	evil := "</title><script>alert(1)</script>\" onload='x' &amp; ]]> <!-- \x00\x1b\u202e\ufffe"
	s := &Scene{
		Title: evil, Layers: []Layer{{Name: evil, Means: evil}}, Bounds: geom.Box2{Max: v(50, 20)},
		Items: On(evil, &Group{Note: evil, Items: []Item{Txt(v(1, 1), Read, 4, Left, evil[:40])}}),
	}
	b, err := SVGWith(s, SVGOptions{Prefix: `a"b`})
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	words := walkXML(t, b, func(e xml.StartElement) {
		switch e.Name.Local {
		case "svg", "g", "title", "desc", "defs", "path", "use":
		default:
			t.Errorf("a text started the tag %s", e.Name.Local)
		}
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "onload", "onclick", "src":
				t.Errorf("a text made the attribute %s", a.Name.Local)
			case "href":
				if !strings.HasPrefix(a.Value, "#") {
					t.Errorf("refers outside: %s", a.Value)
				}
			case "id":
				if ids[a.Value] {
					t.Errorf("id %s twice", a.Value)
				}
				ids[a.Value] = true
			}
		}
	})
	if !strings.Contains(strings.Join(words, ""), "<script>alert(1)") {
		t.Error("the words are lost")
	}
}

// The same sheet through two writers and two outside programs must give the same picture.
func TestSVGLooksLikePDF(t *testing.T) {
	p := sheet()
	pdf, err := PDF(&Document{Pages: []Page{p}})
	if err != nil {
		t.Fatal(err)
	}
	svg, err := SVG(&Scene{Title: "sheet", Bounds: geom.Box2{Max: v(p.Width, p.Height)}, Items: p.Items})
	if err != nil {
		t.Fatal(err)
	}
	const dpi = 254 // 10 to the mm
	a, b := rasterPDF(t, pdf, 1, dpi), rasterSVG(t, svg, dpi)
	if dx, dy := a.Bounds().Dx()-b.Bounds().Dx(), a.Bounds().Dy()-b.Bounds().Dy(); dx*dx > 1 || dy*dy > 1 {
		t.Fatalf("PDF %v, SVG %v", a.Bounds(), b.Bounds())
	}
	mean, worst := greyDifference(a, b)
	t.Logf("over 3 mm fields: mean difference %.3f, worst %.1f of 255", mean, worst)
	// Measured 0.29 and 8: the programs smooth edges and thin lines in their own way.
	if mean > 0.4 || worst > 12 {
		t.Errorf("mean difference %.3f, worst field %.1f of 255", mean, worst)
	}
	// The check must be able to see one short word gone.
	less := p
	less.Items = p.Items[:len(p.Items)-1]
	pdf, err = PDF(&Document{Pages: []Page{less}})
	if err != nil {
		t.Fatal(err)
	}
	if _, worst := greyDifference(rasterPDF(t, pdf, 1, dpi), b); worst < 40 {
		t.Errorf("without a word the worst field is only %.1f off: the check is blind", worst)
	}
}

// greyDifference compares the mean grey of fields of 30 by 30 dots over the part two pictures share.
func greyDifference(a, b *image.Gray) (mean, worst float64) {
	const n = 30
	w, h := min(a.Bounds().Dx(), b.Bounds().Dx())/n, min(a.Bounds().Dy(), b.Bounds().Dy())/n
	for y := range h {
		for x := range w {
			d := 0
			for k := range n * n {
				i, j := n*x+k%n, n*y+k/n
				d += int(a.Pix[j*a.Stride+i]) - int(b.Pix[j*b.Stride+i])
			}
			f := math.Abs(float64(d)) / (n * n)
			mean += f
			worst = max(worst, f)
		}
	}
	return mean / float64(w*h), worst
}
