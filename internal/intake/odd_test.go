package intake

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// groups writes a DXF file: layers as they stand in its table, and things drawn.
func groups(unit int, layers, things string) []byte {
	return []byte(fmt.Sprintf("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n%d\n0\nENDSEC\n0\nSECTION\n2\nTABLES\n%s0\nENDSEC\n0\nSECTION\n2\nENTITIES\n%s0\nENDSEC\n0\nEOF\n", unit, layers, things))
}

func dxfCircle(layer, x, y, r string) string {
	return fmt.Sprintf("0\nCIRCLE\n8\n%s\n10\n%s\n20\n%s\n40\n%s\n", layer, x, y, r)
}

func dxfSheet(w, h float64) string {
	return fmt.Sprintf("0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n0\n20\n0\n10\n%g\n20\n0\n10\n%g\n20\n%g\n10\n0\n20\n%g\n", w, w, h, h)
}

// A thing whose numbers cannot be read is left out and counted, not put at the edge of the drawing; so is what lies on a layer that is off.
func TestDXFLeavesOut(t *testing.T) {
	d, err := DXF(groups(4, "0\nLAYER\n2\nOLD\n70\n1\n62\n7\n0\nLAYER\n2\nOFF\n70\n0\n62\n-3\n0\nLAYER\n2\nON\n70\n0\n62\n3\n",
		dxfSheet(150, 80)+dxfCircle("ON", "40", "40", "8.1")+dxfCircle("ON", "nan", "40", "8.1")+dxfCircle("ON", "60", "40", "1e400")+dxfCircle("OLD", "90", "40", "8.1")+dxfCircle("OFF", "120", "40", "8.1")))
	if err != nil {
		t.Fatal(err)
	}
	p, err := Read(d, nil)
	if err != nil {
		t.Fatal(err)
	}
	if p.Width != 150 || p.Height != 80 || len(p.Holes) != 1 || p.Holes[0].At != (geom.Vec2{X: 40, Y: 40}) {
		t.Errorf("%+v", p)
	}
	notes := strings.Join(p.Notes, "\n")
	for _, want := range []string{"2 things whose numbers cannot be read", "2 things on layers that are off"} {
		if !strings.Contains(notes, want) {
			t.Errorf("no %q in %s", want, notes)
		}
	}
}

// An empty cell between tabs stays a cell.
func TestTableWithEmptyCells(t *testing.T) {
	d, err := Table([]byte("\ufeffx\ty\td\tw\th\tlegend\n40\t40\t\t24\t13.5\tCLOCK\n80\t40\t22.3\t\t\tGO\n"))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Curves) != 2 || d.Curves[0].Legend != "CLOCK" || d.Curves[1].Legend != "GO" {
		t.Errorf("%+v", d.Curves)
	}
	if _, err := Table([]byte("left edge,top edge\n40,40\n")); err == nil || !strings.Contains(err.Error(), "names no columns") {
		t.Errorf("a heading that is not understood: %v", err)
	}
}

// A hole of 22 mm is made for a button, whatever a blank plug of 22 mm would like.
func TestPlugsComeLast(t *testing.T) {
	for d, want := range map[float64]catalog.Class{22: catalog.Push, 22.3: catalog.Push, 16: catalog.Push, 21.99: catalog.Push} {
		p := &Plan{Width: 100, Height: 80, Holes: []Hole{{Shape: Shape{Form: Round, W: d, H: d, At: geom.Vec2{X: 50, Y: 40}}}}}
		if g := p.Guesses(catalog.Builtin())[0]; g == nil || g.Part.Class != want {
			t.Errorf("a hole of %g mm: %+v", d, g)
		}
	}
}

// A sheet without parts keeps its screws, its lettering, its corners and its notes.
func TestSheetWithoutParts(t *testing.T) {
	p := &Plan{
		Width: 200, Height: 100, Corner: 5, Notes: []string{"Left out: a picture."}, Texts: []Label{{At: geom.Vec2{X: 100, Y: 90}, Text: "SHOW"}},
		Holes:  []Hole{{Shape: Shape{Form: Rect, W: 90, H: 40, At: geom.Vec2{X: 100, Y: 50}}}},
		Screws: []Screw{{geom.Vec2{X: 6, Y: 6}, "M3", 3.4}, {geom.Vec2{X: 194, Y: 94}, "M3", 3.4}},
	}
	doc := project.Read("x.yaml", p.File("Sheet", "x.dxf", p.Guesses(catalog.Builtin())))
	q, found := panel.Place(doc, catalog.Builtin())
	if len(found)+len(doc.Findings) > 0 || len(q.Fixings) != 2 || len(q.Texts) != 1 || len(q.Openings) != 1 || q.Face.Corner != 5 || !strings.Contains(string(doc.Src), "a picture") {
		t.Errorf("%v %v\n%s", found, doc.Findings, doc.Src)
	}
}

// A drawing in inches becomes a file in inches, and the holes stay where they are.
func TestInches(t *testing.T) {
	d, err := DXF(groups(1, "", dxfSheet(8, 4)+dxfCircle("0", "2", "2", ".3189")+dxfCircle("0", "5.1234", "2", ".439")))
	if err != nil {
		t.Fatal(err)
	}
	list, err := Table([]byte("x_in,y_in,d_in\n2,2,.6378\n5.1234,2,.878\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []*Drawing{d, list} {
		p, err := Read(d, nil)
		if err != nil {
			t.Fatal(err)
		}
		src := string(p.File("Inches", "x", p.Guesses(catalog.Builtin())))
		q, _ := panel.Place(project.Read("x.yaml", []byte(src)), catalog.Builtin())
		if !strings.Contains(src, "units: in") || !strings.Contains(src, "at: [2, 2]") || q.Units != "in" || len(q.Controls) != 2 {
			t.Fatal(src)
		}
		if at := q.Controls[1].At; !approx(at.X, 5.1234*25.4, 0.003) || !approx(at.Y, 50.8, 0.003) {
			t.Errorf("%v\n%s", at, src)
		}
	}
}
