package intake

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

func approx(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// Every form is told from its outline, at any size and turn, also when it is made of chords.
func TestRecogniseForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(2, 60).Draw(t, "d")
		turn := rapid.Float64Range(-89, 89).Draw(t, "turn")
		at := geom.Vec2{X: rapid.Float64Range(-500, 500).Draw(t, "x"), Y: rapid.Float64Range(-500, 500).Draw(t, "y")}
		form := rapid.SampledFrom([]Form{Round, Rect, Slot, DoubleD, SingleD, Notched}).Draw(t, "form")
		var o geom.Outline
		w, h := d, d
		switch form {
		case Round:
			o = geom.Circle(geom.Vec2{}, d)
		case Rect:
			h = d * rapid.Float64Range(0.2, 0.9).Draw(t, "h")
			o = geom.Rect(geom.Vec2{}, d, h, h*rapid.Float64Range(0, 0.3).Draw(t, "corner"))
		case Slot:
			h = d * rapid.Float64Range(0.1, 0.8).Draw(t, "h")
			o = geom.Slot(geom.Vec2{}, d, h)
		case DoubleD:
			h = d * rapid.Float64Range(0.6, 0.95).Draw(t, "h")
			o = geom.DoubleD(geom.Vec2{}, d, h)
		case SingleD:
			h = d * rapid.Float64Range(0.7, 0.96).Draw(t, "h")
			o = geom.SingleD(geom.Vec2{}, d, h)
		case Notched:
			h = d * rapid.Float64Range(1.05, 1.2).Draw(t, "h")
			o = geom.NotchedCircle(geom.Vec2{}, d, d*rapid.Float64Range(0.08, 0.25).Draw(t, "notch"), h)
		}
		o = o.Move(geom.Place{At: at, Turn: turn})
		if rapid.Bool().Draw(t, "chords") {
			var flat geom.Outline
			for _, p := range o.Flatten(d * 2e-4) {
				flat = append(flat, geom.Vertex{P: p})
			}
			o = flat
		}
		s := recognise(o)
		if s.Form != form {
			t.Fatalf("%s of %.3f x %.3f turned %.1f is taken for %s %+v", form, w, h, turn, s.Form, s)
		}
		if form == Rect && math.Abs(turn) > 45 { // the side nearer to upright is its height
			w, h = h, w
			turn -= math.Copysign(90, turn)
		}
		if form == Rect && math.Abs(math.Abs(turn)-45) < 1 {
			return // either way is right
		}
		if !approx(s.W, w, 6e-3*d) || !approx(s.H, h, 6e-3*d) || s.At.Sub(at).Len() > 6e-3*d {
			t.Fatalf("%s of %.3f x %.3f at %v is measured as %+v", form, w, h, at, s)
		}
		period := map[Form]float64{Rect: 180, Slot: 180, DoubleD: 180, SingleD: 360, Notched: 360}[form]
		if period > 0 {
			off := math.Mod(s.Turn-turn+3*period, period)
			if off > period/2 {
				off -= period
			}
			if math.Abs(off) > 1.5 {
				t.Fatalf("%s turned %.2f is taken as turned %.2f", form, turn, s.Turn)
			}
		}
	})
}

// What is no drill hole is not taken for one.
func TestRecogniseOther(t *testing.T) {
	for name, o := range map[string]geom.Outline{
		"hexagon":  geom.Hexagon(geom.Vec2{}, 20),
		"triangle": geom.Polygon(geom.Vec2{}, geom.Vec2{X: 30}, geom.Vec2{X: 10, Y: 20}),
		"L":        geom.Polygon(geom.Vec2{}, geom.Vec2{X: 30}, geom.Vec2{X: 30, Y: 10}, geom.Vec2{X: 10, Y: 10}, geom.Vec2{X: 10, Y: 30}, geom.Vec2{Y: 30}),
	} {
		if s := recognise(o); s.Form != Other {
			t.Errorf("a %s is taken for %s", name, s.Form)
		}
	}
}

// Lines and arcs in any order and direction, as drawing programs leave them, close to outlines.
func TestJoined(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ps []piece
		n := rapid.IntRange(1, 6).Draw(t, "n")
		area := 0.0
		for i := range n {
			o := geom.Rect(geom.Vec2{X: 50 * float64(i)}, 30, 20, rapid.SampledFrom([]float64{0, 3}).Draw(t, "corner"))
			area += o.Area()
			for k, v := range o {
				p := piece{v.P, o[(k+1)%len(o)].P, v.Bulge, ""}
				if rapid.Bool().Draw(t, "turned") {
					p = piece{p.b, p.a, -p.bulge, ""}
				}
				ps = append(ps, p)
			}
		}
		perm := rapid.Permutation(ps).Draw(t, "order")
		cs, left := joined(perm, 1e-3)
		if len(cs) != n || left != 0 {
			t.Fatalf("%d outlines, %d left over; want %d and 0", len(cs), left, n)
		}
		got := 0.0
		for _, c := range cs {
			got += c.Outline.Area()
		}
		if !approx(got, area, 1e-6*area) {
			t.Fatalf("area %.6f, want %.6f", got, area)
		}
	})
}

func TestPathData(t *testing.T) {
	for _, c := range []struct {
		d    string
		area float64
		runs int
	}{
		{"M0 0H10V5H0Z", 50, 1},
		{"m0,0 10,0 0,5 -10,0z m20 0h4v4h-4z", 66, 2},
		{"M10 0A10 10 0 1 0 10 20A10 10 0 1 0 10 0Z", math.Pi * 100, 1},
		{"M0-5.5.5.5", 0, 1},
		{"M-10 0a10 5 0 1 1 20 0a10 5 0 1 1-20 0", math.Pi * 50, 1},
		{"M0 10C5.5228 10 10 5.5228 10 0S5.5228-10 0-10S-10-5.5228-10 0S-5.5228 10 0 10Z", math.Pi * 100, 1},
		{"M0 0Q5 10 10 0T20 0Z", 0, 1}, // two humps, up and down
	} {
		rs, ok := path(c.d)
		if !ok || len(rs) != c.runs {
			t.Errorf("%s: %d runs, ok %v", c.d, len(rs), ok)
			continue
		}
		area := 0.0
		for _, r := range rs {
			if o := upright(r.at); o != nil {
				area += o.Area()
			}
		}
		if !approx(area, c.area, 0.01*c.area+1e-6) {
			t.Errorf("%s: area %.4f, want %.4f", c.d, area, c.area)
		}
	}
	for _, bad := range []string{"L5 5", "M0 0L", "M0 0Lx", "M0 0A1 1 0 2 0 3 3"} {
		if _, ok := path(bad); ok && bad != "L5 5" {
			t.Errorf("%q is taken as whole", bad)
		}
	}
}

func TestTransforms(t *testing.T) {
	p := transform("translate(10,20) rotate(90) scale(2)").apply(geom.Vec2{X: 1, Y: 0})
	if !approx(p.X, 10, 1e-12) || !approx(p.Y, 22, 1e-12) {
		t.Error(p)
	}
	p = transform("rotate(90 5 5)").apply(geom.Vec2{X: 5, Y: 0})
	if !approx(p.X, 10, 1e-12) || !approx(p.Y, 5, 1e-12) {
		t.Error(p)
	}
}

func TestTable(t *testing.T) {
	for name, src := range map[string]string{
		"headed":     "name,x_mm,y_mm,d_mm,legend\ngo,60,48,22.3,GO\nstop,100,48,22.3,\"STOP, NOW\"\n",
		"bare":       "60,48,22.3\n100,48,22.3\n",
		"semicolons": "x;y;diameter\n60,0;48,0;22,3\n100;48;22,3\n",
		"inches":     "x (in)\ty (in)\td (in)\n2.3622047\t1.8897638\t0.8779528\n3.9370079\t1.8897638\t0.8779528\n",
		"units":      "x,y,hole\n60 mm,4.8 cm,22.3 mm\n3.9370079 in,48,22.3\n",
	} {
		d, err := Table([]byte(src))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		p, err := Read(d, nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(p.Holes) != 2 || !approx(p.Holes[0].At.X, 60, 0.01) || !approx(p.Holes[0].At.Y, 48, 0.01) || !approx(p.Holes[1].At.X, 100, 0.01) || !approx(p.Holes[1].W, 22.3, 0.01) {
			t.Errorf("%s: %+v", name, p.Holes)
		}
	}
	for _, bad := range []string{"", "x,y\n1,2\n", "x,y,d\n1,2,wide\n", "x,y,d\n1,NaN,3\n"} {
		if _, err := Table([]byte(bad)); err == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}

// A border with a title block, a face in it, rings round holes and a centre cross: the face is found, and the holes in it.
func TestSheetWithBorder(t *testing.T) {
	src := `<svg xmlns="http://www.w3.org/2000/svg" width="297mm" height="210mm" viewBox="0 0 297 210">
<rect x="10" y="10" width="277" height="190"/><rect x="187" y="170" width="100" height="30"/>
<rect x="40" y="40" width="200" height="100" rx="4"/>
<circle cx="80" cy="90" r="11.15"/><circle cx="80" cy="90" r="14"/><path d="M65 90H95M80 75V105"/>
<g transform="translate(140 90)"><circle r="3.6"/><text y="20" text-anchor="middle" font-size="5">LEVEL</text></g>
<circle cx="46" cy="46" r="1.6"/><circle cx="234" cy="46" r="1.6"/><circle cx="46" cy="134" r="1.6"/><circle cx="234" cy="134" r="1.6"/>
</svg>`
	d, err := SVG([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	p, err := Read(d, nil)
	if err != nil {
		t.Fatal(err)
	}
	if p.Width != 200 || p.Height != 100 || p.Corner != 4 || len(p.Holes) != 2 || len(p.Screws) != 4 {
		t.Fatalf("%+v", p)
	}
	if h := p.Holes[0]; h.At != (geom.Vec2{X: 40, Y: 50}) || h.W != 22.3 || h.Ring != 28 {
		t.Errorf("%+v", h)
	}
	if h := p.Holes[1]; h.Legend != "LEVEL" {
		t.Errorf("%+v", h)
	}
	// half as large, proved by the width
	if p, err = Read(d, &Known{"width", 100}); err != nil || p.Height != 50 || p.Holes[2].W != 11.15 || !p.Sure {
		t.Errorf("%+v %v", p, err)
	}
	// or by the largest hole
	if p, err = Read(d, &Known{"hole", 44.6}); err != nil || p.Width != 400 {
		t.Errorf("%+v %v", p, err)
	}
}

// A face that is turned on its sheet is set upright.
func TestTurnedFace(t *testing.T) {
	src := `<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300"><g transform="rotate(30 150 150)">
<rect x="50" y="100" width="200" height="100"/><circle cx="90" cy="150" r="8.1"/><rect x="200" y="130" width="12.9" height="19.2"/></g></svg>`
	d, _ := SVG([]byte(src))
	p, err := Read(d, nil)
	if err != nil || !approx(p.Width, 200, 0.02) || len(p.Holes) != 2 {
		t.Fatalf("%+v %v", p, err)
	}
	if h := p.Holes[1]; !approx(h.At.X, 40, 0.02) || !approx(h.At.Y, 50, 0.02) {
		t.Errorf("%+v", h)
	}
	gs := p.Guesses(catalog.Builtin())
	if gs[0] == nil || !strings.HasPrefix(gs[0].Part.ID, "rocker-19x13") {
		t.Errorf("%+v", gs[0])
	}
}

func TestNoUnit(t *testing.T) {
	d, _ := SVG([]byte(`<svg viewBox="0 0 100 50"><rect width="100" height="50"/><circle cx="20" cy="20" r="4"/></svg>`))
	_, err := Read(d, nil)
	s, ok := err.(*Sized)
	if !ok || s.Width != 100 || s.Largest != 8 {
		t.Fatalf("%v", err)
	}
	if p, err := Read(d, &Known{"height", 127}); err != nil || p.Width != 254 {
		t.Errorf("%+v %v", p, err)
	}
}

// The file that is made reads back: every hole is a control or an opening at its place, whatever the lettering says.
func TestFileReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := &Plan{Width: 400, Height: 300, Scale: 1}
		n := rapid.IntRange(1, 12).Draw(t, "n")
		for i := range n {
			d := rapid.SampledFrom([]float64{3, 6.5, 7.2, 12.1, 16.2, 22.3, 45}).Draw(t, "d")
			p.Holes = append(p.Holes, Hole{Shape: Shape{Form: Round, At: geom.Vec2{X: 20 + 30*float64(i), Y: 50}, W: d, H: d}, Legend: rapid.String().Draw(t, "legend"), Name: rapid.String().Draw(t, "name")})
		}
		gs := p.Guesses(catalog.Builtin())
		doc := project.Read("x.yaml", p.File(rapid.String().Draw(t, "title"), rapid.String().Draw(t, "from"), gs))
		for _, f := range doc.Findings {
			if f.Severity > 1 {
				t.Fatalf("%s: %s\n%s", f.Rule, f.Head, doc.Src)
			}
		}
		placed, _ := panel.Place(doc, catalog.Builtin())
		if got := len(placed.Controls) + len(placed.Openings); got != n {
			t.Fatalf("%d controls and openings, want %d\n%s", got, n, doc.Src)
		}
	})
}

func TestDXFTexts(t *testing.T) {
	if s := plainText(`{\fSans|b0;HOUSE\PLIGHTS \{1\}}`); s != "HOUSE LIGHTS {1}" {
		t.Error(s)
	}
	var b strings.Builder
	for _, g := range [][2]any{{0, "SECTION"}, {2, "HEADER"}, {9, "$INSUNITS"}, {70, 1}, {0, "ENDSEC"}, {0, "SECTION"}, {2, "BLOCKS"}, {0, "BLOCK"}, {2, "KNOB"}, {10, 1}, {20, 1}, {0, "CIRCLE"}, {8, "0"}, {10, 1}, {20, 1}, {40, 0.14}, {0, "ENDBLK"}, {0, "ENDSEC"},
		{0, "SECTION"}, {2, "ENTITIES"}, {0, "LWPOLYLINE"}, {8, "edge"}, {70, 1}, {10, 0}, {20, 0}, {10, 10}, {20, 0}, {10, 10}, {20, 4}, {10, 0}, {20, 4},
		{0, "INSERT"}, {2, "KNOB"}, {10, 2}, {20, 2}, {70, 3}, {71, 1}, {44, 2}, {45, 0}, {0, "ENDSEC"}, {0, "EOF"}} {
		fmt.Fprintf(&b, "%d\n%v\n", g[0], g[1])
	}
	d, err := DXF([]byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	p, err := Read(d, nil)
	if err != nil || p.Width != 254 || len(p.Holes) != 3 || p.Holes[2].At != (geom.Vec2{X: 152.4, Y: 50.8}) || !approx(p.Holes[0].W, 7.112, 0.003) {
		t.Fatalf("%+v %v", p, err)
	}
}

func FuzzDXF(f *testing.F) {
	f.Add([]byte("0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\n1\n20\n2\n40\n3\n0\nENDSEC\n0\nEOF\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		if d, err := DXF(src); err == nil {
			tryPlan(t, d)
		}
	})
}

func FuzzSVG(f *testing.F) {
	f.Add([]byte(`<svg viewBox="0 0 10 10" width="10mm"><rect width="10" height="10"/><path d="M1 1a1 1 0 1 0 1 1z"/><use href="#a"/><g id="a"><use href="#a"/></g></svg>`))
	f.Fuzz(func(t *testing.T, src []byte) {
		if d, err := SVG(src); err == nil {
			tryPlan(t, d)
		}
	})
}

func FuzzTable(f *testing.F) {
	f.Add([]byte("x,y,d\n1,2,3\n"))
	f.Add([]byte("x;y;w;h\n1,5;2;3;4\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		if d, err := Table(src); err == nil {
			tryPlan(t, d)
		}
	})
}

// tryPlan makes a panel of whatever was read: it must say something or give a file that reads back.
func tryPlan(t *testing.T, d *Drawing) {
	if len(d.Curves) > 300 {
		return
	}
	p, err := Read(d, &Known{"width", 100})
	if err != nil {
		return
	}
	src := p.File("x", "y", p.Guesses(catalog.Builtin()))
	for _, f := range project.Read("x.yaml", src).Findings {
		if f.Rule == "file.syntax" {
			t.Fatalf("%s\n%s", f.Head, src)
		}
	}
}
