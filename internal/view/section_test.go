package view

import (
	"math"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

func placed(t *testing.T, src string) *panel.Panel {
	t.Helper()
	p, _ := panel.Place(project.Read("x.yaml", []byte(src)), catalog.Builtin())
	return p
}

// A cut through a plate by hand: 100 wide, 3 thick, a hole of 20 in its middle, a box 40 deep with walls of 9 and a rib
// from 70 to 76.
func TestSectionByHand(t *testing.T) {
	p := placed(t, `knobwright: 1
face: {width: 100, height: 60, sheet: {use: acrylic-3mm, actual: 3}, holes: {middle: {round: 20, at: [50, 30]}}}
box: {form: flat, depth: 40, walls: {use: birch-ply-9mm, actual: 9}, ribs: {short: {from: [73, 12], to: [73, 48], width: 6, height: 15}}}
`)
	s := NewSection(p, 30)
	type rect struct{ x0, x1, z0, z1 float64 }
	got := map[rect]drawing.Hatch{}
	for _, x := range paths(s.Scene.Items) {
		b := x.Outlines[0].Bounds()
		r := func(v float64) float64 { return math.Round(v*1000) / 1000 }
		got[rect{r(b.Min.X), r(b.Max.X), r(b.Min.Y), r(b.Max.Y)}] = x.Style.Hatch
	}
	for want, hatch := range map[rect]drawing.Hatch{
		{0, 40, -3, 0}:     drawing.HatchAcrylic, // the sheet, left of the hole
		{60, 100, -3, 0}:   drawing.HatchAcrylic,
		{0, 9, -43, -3}:    drawing.HatchPly, // walls
		{91, 100, -43, -3}: drawing.HatchPly,
		{70, 76, -18, -3}:  drawing.HatchPly, // rib
		{0, 100, -52, -43}: drawing.HatchPly, // base
	} {
		if h, ok := got[want]; !ok || h != hatch {
			t.Errorf("nothing hatched %q at %+v; there is %v", hatch, want, got)
		}
	}
	if len(got) != 6 {
		t.Errorf("%d things are drawn, 6 are cut: %v", len(got), got)
	}
	if s.Floor != -43 || s.Deep != nil {
		t.Errorf("floor at %v, deepest %v", s.Floor, s.Deep)
	}
	// beside the hole the sheet is whole; above the rib's end the rib is not met
	s = NewSection(p, 50)
	whole, rib := false, false
	for _, x := range paths(s.Scene.Items) {
		b := x.Outlines[0].Bounds()
		whole = whole || b.Min.X < 0.001 && b.Max.X > 99.999 && b.Max.Y == 0
		rib = rib || math.Abs(b.Min.X-70) < 0.001
	}
	if !whole || rib {
		t.Errorf("at 50 up: sheet whole %v, rib met %v", whole, rib)
	}
}

// paths gives all shapes, those in groups too.
func paths(items []drawing.Item) []*drawing.Path {
	var out []*drawing.Path
	for _, it := range items {
		switch x := it.(type) {
		case *drawing.Path:
			out = append(out, x)
		case *drawing.Group:
			out = append(out, paths(x.Items)...)
		}
	}
	return out
}

// A board that leans, by hand: a block 20 by 20 by 20 turned 45 degrees about the line across, its lower edge on the sheet's back. At
// the height of its middle the cut meets all of its depth; just behind the sheet it has hardly any width.
func TestLeaningBodies(t *testing.T) {
	const s = 20 * math.Sqrt2 / 2
	var pts []geom.Vec3
	for _, x := range []float64{0, 20} {
		for _, q := range []geom.Vec2{{X: 50, Y: -3}, {X: 50 - s, Y: -3 - s}, {X: 50, Y: -3 - 2*s}, {X: 50 + s, Y: -3 - s}} {
			pts = append(pts, geom.Vec3{X: x, Y: q.X, Z: q.Y})
		}
	}
	h, err := geom.HullOf(pts)
	if err != nil {
		t.Fatal(err)
	}
	b := panel.Body{Role: panel.RoleWall, Solid: h, Leans: true}
	cut := acrossAt(b, 50)
	if len(cut) != 1 {
		t.Fatalf("%d cuts", len(cut))
	}
	got := cut[0].Bounds()
	if math.Abs(got.Min.X) > 1e-9 || math.Abs(got.Max.X-20) > 1e-9 || math.Abs(got.Max.Y+3) > 1e-6 || math.Abs(got.Min.Y+3+2*s) > 1e-6 {
		t.Errorf("the cut is %v", got)
	}
	if cut := acrossAt(b, 50+s+1); cut != nil {
		t.Errorf("beside the block something is cut: %v", cut)
	}
	p := &panel.Panel{Stack: panel.Stack{Total: 3}}
	o := footprint(p, b)
	if size := o.Bounds().Size(); math.Abs(size.X-20) > 1e-9 || math.Abs(size.Y-2*touch) > 1e-6 { // 45 degrees on both sides
		t.Errorf("it meets the sheet in %v", size)
	}
	far := panel.Body{Role: panel.RoleWall, Solid: geom.NewPrism(geom.Rect(geom.Vec2{X: 5, Y: 5}, 4, 4, 0), -30, -10), Outline: geom.Rect(geom.Vec2{X: 5, Y: 5}, 4, 4, 0), Z0: -30, Z1: -10}
	if o := footprint(p, far); o != nil {
		t.Errorf("a block 7 mm behind the sheet meets it in %v", o)
	}
}

// The cut of the examples goes through the control that reaches deepest, and no drawn body is lost.
func TestDeepestRow(t *testing.T) {
	for _, name := range examples.Names() {
		p := placed(t, string(examples.File(name)))
		up, ok := DeepestRow(p)
		if !ok {
			t.Fatalf("%s: no row", name)
		}
		least := 0.0
		for _, c := range p.Controls {
			for _, b := range c.Rear {
				if b.Role != panel.RoleTool {
					least = min(least, b.Z0)
				}
			}
		}
		s := NewSection(p, up)
		if s.Deep == nil || math.Abs(s.Bottom.Y-least) > 0.051 {
			t.Errorf("%s: the cut at %.1f shows %.2f, the deepest part reaches %.2f", name, up, s.Bottom.Y, least)
		}
		for _, x := range paths(s.Scene.Items) {
			if !insideBox(x.Outlines[0].Bounds(), s.Scene.Bounds.Grow(1e-6)) {
				t.Errorf("%s: something is drawn outside the cut's bounds: %v", name, x.Outlines[0].Bounds())
			}
		}
	}
	if _, ok := DeepestRow(&panel.Panel{}); ok {
		t.Error("a panel without controls has a row")
	}
}

func insideBox(b, in geom.Box2) bool {
	return b.Min.X >= in.Min.X && b.Max.X <= in.Max.X && b.Min.Y >= in.Min.Y && b.Max.Y <= in.Max.Y
}

// Level lines through outlines, by hand.
func TestRuns(t *testing.T) {
	near := func(got [][2]float64, want ...[2]float64) {
		t.Helper()
		if len(got) != len(want) {
			t.Fatalf("%v, by hand %v", got, want)
		}
		for i := range got {
			if math.Abs(got[i][0]-want[i][0]) > 0.02 || math.Abs(got[i][1]-want[i][1]) > 0.02 {
				t.Errorf("%v, by hand %v", got, want)
			}
		}
	}
	near(runs(geom.Circle(geom.Vec2{X: 10, Y: 10}, 10), 13), [2]float64{6, 14}) // 3-4-5
	near(runs(geom.Circle(geom.Vec2{X: 10, Y: 10}, 10), 16))
	u := geom.Polygon(geom.Vec2{}, geom.Vec2{X: 9}, geom.Vec2{X: 9, Y: 6}, geom.Vec2{X: 6, Y: 6}, geom.Vec2{X: 6, Y: 3}, geom.Vec2{X: 3, Y: 3}, geom.Vec2{X: 3, Y: 6}, geom.Vec2{Y: 6})
	near(runs(u, 5), [2]float64{0, 3}, [2]float64{6, 9})
	near(runs(u, 1), [2]float64{0, 9})
}

// Seen from behind the datum corner stands at the lower right, and every control has its name.
func TestRearNamesEveryControl(t *testing.T) {
	for _, name := range examples.Names() {
		p := placed(t, string(examples.File(name)))
		said := map[string]bool{}
		var walk func(items []drawing.Item)
		walk = func(items []drawing.Item) {
			for _, it := range items {
				switch x := it.(type) {
				case *drawing.Group:
					walk(x.Items)
				case *drawing.Text:
					said[x.S] = true
				}
			}
		}
		walk(Rear(p).Items)
		for _, c := range p.Controls {
			if lines := nameLines(c.Label, 2.5); RearBounds(c).Min.X < RearBounds(c).Max.X && !said[lines[0]] {
				t.Errorf("%s: %s has no name in the rear view", name, c.Label)
			}
		}
	}
}
