package intake

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/view"
)

// placed reads an example.
func placed(t *testing.T, name string) *panel.Panel {
	t.Helper()
	p, _ := panel.Place(project.Read(name, examples.File(name)), catalog.Builtin())
	return p
}

// same checks that a plan has the controls and screws of a panel at their places.
func samePlan(t *testing.T, what string, p *Plan, want *panel.Panel) {
	t.Helper()
	gs := p.Guesses(catalog.Builtin())
	if !approx(p.Width, want.Face.Width, 0.05) || !approx(p.Height, want.Face.Height, 0.05) {
		t.Errorf("%s: face of %g x %g, want %g x %g", what, p.Width, p.Height, want.Face.Width, want.Face.Height)
	}
	var at []geom.Vec2
	for i, h := range p.Holes {
		if gs[i] != nil {
			at = append(at, gs[i].At)
		} else {
			at = append(at, h.At)
		}
	}
	missing := 0
	for _, c := range want.Controls {
		if !slices.ContainsFunc(at, func(q geom.Vec2) bool { return q.Sub(c.At.Vec2).Len() < 0.1 }) {
			missing++
			t.Logf("%s: nothing at the place of %s (%s), %v", what, c.Name, c.Part.ID, c.At)
		}
	}
	if missing > 0 {
		t.Errorf("%s: %d of %d controls have no hole", what, missing, len(want.Controls))
	}
	if n := len(want.Controls) + len(want.Openings); len(p.Holes) != n {
		t.Errorf("%s: %d holes, want %d", what, len(p.Holes), n)
	}
	if p.Rack == 0 && len(p.Screws) != len(want.Fixings) {
		t.Errorf("%s: %d screws, want %d", what, len(p.Screws), len(want.Fixings))
	}
}

// The cutting files of every example come back as the panel they were made of.
func TestOwnDrawings(t *testing.T) {
	for _, name := range examples.Names() {
		want := placed(t, name)
		scene := view.Cutting(want)
		for kind, f := range map[string]struct {
			write func(*drawing.Scene) ([]byte, error)
			read  func([]byte) (*Drawing, error)
		}{"dxf": {drawing.DXF, DXF}, "svg": {drawing.SVG, SVG}} {
			src, err := f.write(scene)
			if err != nil {
				t.Fatal(err)
			}
			d, err := f.read(src)
			if err != nil {
				t.Errorf("%s.%s: %v", name, kind, err)
				continue
			}
			p, err := Read(d, nil)
			if err != nil {
				t.Errorf("%s.%s: %v", name, kind, err)
				continue
			}
			samePlan(t, name+"."+kind, p, want)
		}
	}
}

// An SVG that another program wrote (librsvg with cairo makes its own paths of ours) says the same.
func TestThroughAnotherWriter(t *testing.T) {
	bin, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Skip("SKIPPED: rsvg-convert is not installed; no SVG of another writer was read")
	}
	want := placed(t, "cue-desk")
	src, err := drawing.SVG(view.Cutting(want))
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(bin, "-f", "svg")
	c.Stdin = bytes.NewReader(src)
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	d, err := SVG(out)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Read(d, &Known{"width", want.Face.Width})
	if err != nil {
		t.Fatal(err)
	}
	at := 0
	for _, c := range want.Controls {
		if slices.ContainsFunc(p.Holes, func(h Hole) bool { return h.At.Sub(c.At.Vec2).Len() < 0.1 }) {
			at++
		}
	}
	// it draws all layers alike: what lies behind goes round some holes, so that not every one is told from drawing
	if at < len(want.Controls)*3/4 {
		t.Errorf("%d of %d controls found", at, len(want.Controls))
	}
}

// A DXF that another library wrote: circles, a rectangle of lines, blocks put in turned, units of inches, texts.
func TestDXFOfAnotherLibrary(t *testing.T) {
	if exec.Command("/usr/bin/python3", "-c", "import ezdxf").Run() != nil {
		t.Skip("SKIPPED: python3-ezdxf is not installed; no DXF of another library was read")
	}
	file := filepath.Join(t.TempDir(), "panel.dxf")
	script := `
import ezdxf, sys
doc = ezdxf.new("R2010", setup=True); doc.units = ezdxf.units.IN
b = doc.blocks.new("STATION", base_point=(1, 1))
b.add_circle((1, 1), 0.63779528/2); b.add_text("RUN", dxfattribs={"height": 0.15}).set_placement((1, 0.4), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER)
m = doc.modelspace()
for a, c in [((0,0),(10,0)), ((10,5),(10,0)), ((10,5),(0,5)), ((0,0),(0,5))]: m.add_line(a, c)
for i in range(4): m.add_blockref("STATION", (2+2*i, 3))
m.add_lwpolyline([(4.7,0.8),(5.45590551,0.8),(5.45590551,1.30787402),(4.7,1.30787402)], close=True)
m.add_arc((8,1), 0.25, 0, 180); m.add_arc((8,1), 0.25, 180, 360)
m.add_ellipse((1,1), major_axis=(0.14173228,0,0), ratio=1)
for x in (0.3, 9.7):
    for y in (0.3, 4.7): m.add_circle((x,y), 0.0669)
m.add_mtext("MAIN\\PLINE", dxfattribs={"char_height": 0.2, "attachment_point": 5}).set_location((5, 4.5))
doc.saveas(sys.argv[1])`
	if out, err := exec.Command("/usr/bin/python3", "-c", script, file).CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	d, err := DXF(src)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Read(d, nil)
	if err != nil {
		t.Fatal(err)
	}
	if p.Width != 254 || p.Height != 127 || len(p.Holes) != 7 || len(p.Screws) != 4 {
		t.Fatalf("%+v", p)
	}
	gs := p.Guesses(catalog.Builtin())
	ids := map[string]int{}
	for _, g := range gs {
		if g != nil {
			ids[g.Part.ID]++
		}
	}
	if ids["push-16mm"] != 4 || ids["rocker-19x13"] != 1 || ids["pot-16mm"] != 1 {
		t.Errorf("%v", ids)
	}
	if p.Holes[0].Legend != "RUN" || len(p.Texts) != 1 || p.Texts[0].Text != "MAIN LINE" {
		t.Errorf("%q %+v", p.Holes[0].Legend, p.Texts)
	}
}

// SVG files of other people, from the test data of a library that this module builds on: no panels, so that all that is asked is that they are
// read, with their true size.
func TestOtherPeoplesSVG(t *testing.T) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "codeberg.org/go-pdf/fpdf").Output()
	files, _ := filepath.Glob(filepath.Join(strings.TrimSpace(string(out)), "image", "*.svg"))
	if err != nil || len(files) == 0 {
		t.Skip("SKIPPED: the module cache has no SVG files of others")
	}
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		d, err := SVG(src)
		if err != nil {
			t.Errorf("%s: %v", filepath.Base(f), err)
			continue
		}
		if filepath.Base(f) == "drawing.svg" && (!approx(d.Unit, 1, 1e-6) || len(d.Curves) == 0) { // 210 mm wide, drawn in mm
			t.Errorf("drawing.svg: unit %g, %d outlines", d.Unit, len(d.Curves))
		}
		t.Logf("%s: %d outlines, %d texts, %v", filepath.Base(f), len(d.Curves), len(d.Labels), d.Left)
	}
}
