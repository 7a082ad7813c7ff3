package box

import (
	"math"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// TestBesideTheSheet: a control that lies beside the face is told to come in; no push at it tips the box, and it lies in no way.
func TestBesideTheSheet(t *testing.T) {
	orderOf := func(up string) Order {
		doc := project.Read("panel.yaml", []byte("knobwright: 1\nface: {width: 200, height: 120, sheet: acrylic-3mm}\nbox: {form: flat, depth: 50, walls: birch-ply-9mm}\n"+
			"controls:\n  in: {part: push-16mm, at: [60, 60]}\n  out: {part: pot-16mm, at: [150, "+up+"]}\n"))
		p, _ := panel.Place(doc, catalog.Builtin())
		return FromPanel(p)
	}
	if o := orderOf("60"); len(o.Presses) != 2 {
		t.Errorf("%d presses", len(o.Presses))
	}
	o := orderOf("200")
	if len(o.Presses) != 1 || o.Presses[0].Name != "IN" {
		t.Errorf("%v", o.Presses)
	}
	for _, b := range o.Bodies {
		if b.Name == "OUT" {
			t.Error("its bodies are in the way")
		}
	}
	if fs := of(Judge(o).Findings, "box.tips"); len(fs) > 0 {
		t.Errorf("%v", fs)
	}
}

// Diameters over the thread: ISO 261 and ASME B1.1.
func TestMajorOf(t *testing.T) {
	for name, want := range map[string]float64{"M3": 3, "m2.5 x 8": 2.5, "M6": 6, "#4": 0.112 * 25.4, "#6-32": 0.138 * 25.4, "1/4": 6.35, "": 3, "screw": 3} {
		if got := majorOf(name); math.Abs(got-want) > 1e-9 {
			t.Errorf("%q: %g, want %g", name, got, want)
		}
	}
}

// TestCoveredFaceIsCutBare: a face of acrylic of 3 mm under a card of 0.4 is cut from 3 mm.
func TestCoveredFaceIsCutBare(t *testing.T) {
	doc := project.Read("panel.yaml", []byte("knobwright: 1\nface: {width: 200, height: 120, sheet: acrylic-3mm, covering: printed-card}\n"+
		"box: {form: two-slope, front: 50, slope: 10 deg, upper: {slope: 40 deg, height: 80, sheet: aluminium-2mm}, walls: birch-ply-9mm}\n"))
	p, _ := panel.Place(doc, catalog.Builtin())
	want := map[string]float64{"lower face": 3, "upper face": 2, "base": 9.2, "front": 9.2}
	for _, l := range Judge(FromPanel(p)).Boards {
		if w, ok := want[l.Name]; ok && math.Abs(l.Thickness-w) > 1e-9 {
			t.Errorf("%s: %g mm thick, want %g", l.Name, l.Thickness, w)
		}
		delete(want, l.Name)
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
}

// TestPlugComesOut: by how much the module must go back, by hand, and the fix that does it. Walls 12 thick, a face of 160: the back begins at 148. The
// module stands at 130 up, its plug out to the back: it must be drawn out of the whole wall and beyond, not sideways out of it.
func TestPlugComesOut(t *testing.T) {
	for _, form := range []string{"form: flat, depth: 60", "form: wedge, front: 60, slope: 20 deg"} {
		src := "knobwright: 1\nface: {width: 240, height: 160, sheet: aluminium-2mm}\nbox: {" + form + ", walls: {use: birch-ply-12mm, actual: 12}}\nmodule: {part: rp2040-40pin, at: [120, 110]}\n"
		doc := project.Read("panel.yaml", []byte(src))
		p, _ := panel.Place(doc, catalog.Builtin())
		o := FromPanel(p)
		fs := of(Judge(o).Findings, "box.module-plug")
		if len(fs) != 1 || len(fs[0].Fixes) != 1 {
			t.Fatalf("%s: %v", form, fs)
		}
		far, in := -1e9, 0.0 // how far the plug comes, pulled by its stroke; the inside of the back
		out := o.Module.Out.Unit()
		for _, c := range o.Module.Plug {
			far = max(far, c.Support(out).Dot(out))
		}
		back := o.Carcass.Board("back")
		in = back.Frame.O.Sub(back.Frame.N.Mul(back.Thickness)).Dot(back.Frame.N)
		if form == "form: flat, depth: 60" {
			if want := far + limStroke.Default - in; math.Abs(-fs[0].Measure.Have-want) > 0.1 {
				t.Errorf("lacks %g, by hand %g", -fs[0].Measure.Have, want)
			}
		}
		mended, err := doc.Apply(fs[0].Fixes[0].Edits)
		if err != nil {
			t.Fatal(err)
		}
		p, _ = panel.Place(project.Read("panel.yaml", mended), catalog.Builtin())
		if fs := of(Judge(FromPanel(p)).Findings, "box.module-plug"); len(fs) > 0 {
			t.Errorf("%s: mended: %v", form, fs)
		}
	}
}

// TestGrainUp: a face of plywood whose grain runs up is cut along the grain by its height, and lies so on the sheet; an upper face may differ.
func TestGrainUp(t *testing.T) {
	for _, x := range []struct {
		grain, upper string
		face, over   geom.Vec2
	}{
		{"", "", geom.Vec2{X: 200, Y: 120}, geom.Vec2{X: 200, Y: 80}},
		{", grain: up", "", geom.Vec2{X: 120, Y: 200}, geom.Vec2{X: 80, Y: 200}},
		{", grain: up", ", grain: across", geom.Vec2{X: 120, Y: 200}, geom.Vec2{X: 200, Y: 80}},
	} {
		doc := project.Read("panel.yaml", []byte("knobwright: 1\nface: {width: 200, height: 120, sheet: birch-ply-4mm"+x.grain+"}\n"+
			"box: {form: two-slope, front: 50, slope: 10 deg, upper: {slope: 40 deg, height: 80"+x.upper+"}, edges: square, walls: birch-ply-9mm}\n"))
		p, fs := panel.Place(doc, catalog.Builtin())
		r := Judge(FromPanel(p))
		seen := 0
		for _, l := range r.Boards {
			want := map[string]geom.Vec2{"lower face": x.face, "upper face": x.over}[l.Name]
			if want.X == 0 {
				if l.GrainUp {
					t.Errorf("%s has its grain up", l.Name)
				}
				continue
			}
			seen++
			if long := l.Blank.X > l.Blank.Y; long != (want.X > want.Y) || l.GrainUp == long {
				t.Errorf("%q %q: the %s is %v along and across the grain, want about %v", x.grain, x.upper, l.Name, l.Blank, want)
			}
			for _, pl := range r.Plans {
				for _, q := range pl.Pieces {
					if q.Name == l.Name && (q.Width != l.Blank.X || q.Height != l.Blank.Y) {
						t.Errorf("%s lies on its sheet as %g x %g", q.Name, q.Width, q.Height)
					}
				}
			}
		}
		if seen != 2 {
			t.Fatal(seen, fs)
		}
	}
}
