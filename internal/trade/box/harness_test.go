package box

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// ledged is a flat box 300 x 200 x 100 of 10 mm walls under a face of 3 mm, with a ledge 20 wide and 14 high: it hangs from 97 to 83 over the
// table, from 10 to 30 mm behind the front.
func ledged(t testing.TB, held carcass.Held) *carcass.Carcass {
	s := flat(300, 200, 100, 10)
	s.Build.Ledge = carcass.Batten{Width: 20, Height: 14}
	s.Build.FaceHeld = held
	return made(t, s)
}

// TestWiresCatch: a bundle of 6 mm that starts free, half of its way along lies under the ledge with 5 mm between, and ends on the base. Half
// way along it rises half as fast as the face: at a lift of 10 mm it touches the ledge, at 12 it is pressed 1 mm into it. Led through the middle
// of the box it comes out free.
func TestWiresCatch(t *testing.T) {
	c := ledged(t, carcass.Screwed)
	up := geom.Vec3{Z: 160}
	under := Bundle{Name: "front row", Path: []geom.Vec3{{X: 150, Y: 60, Z: 75}, {X: 150, Y: 20, Z: 75}, {X: 150, Y: 60, Z: 75}}, Diameter: 6}
	got := Catches(c, 0, up, Hinge{}, []Bundle{under})
	if len(got) != 1 || got[0].Board != "ledge, front" || got[0].Lifted < 12-1e-9 || got[0].Lifted > 12+160.0/24 || got[0].Bundle != "front row" || got[0].Deep < 1 {
		t.Errorf("under the ledge: %+v", got)
	}
	free := Bundle{Name: "middle", Path: []geom.Vec3{{X: 150, Y: 100, Z: 75}, {X: 150, Y: 100, Z: 30}}, Diameter: 6}
	if got := Catches(c, 0, up, Hinge{}, []Bundle{free}); len(got) != 0 {
		t.Errorf("in the middle: %+v", got)
	}
	// 60 mm of wire more than the way hang down to the base and touch nothing on the way
	free.Long = 105
	if got := Catches(c, 0, up, Hinge{}, []Bundle{free}); len(got) != 0 {
		t.Errorf("with a loop: %+v", got)
	}
	// what it lies against from the beginning does not count
	tied := under
	tied.Path = []geom.Vec3{{X: 150, Y: 60, Z: 75}, {X: 150, Y: 20, Z: 82}, {X: 150, Y: 60, Z: 75}}
	if got := Catches(c, 0, up, Hinge{}, []Bundle{tied}); len(got) != 0 {
		t.Errorf("tied to the ledge: %+v", got)
	}
}

// TestWiresCatchOnAHinge: the same on a hinge along the upper edge at the back: the front of the face goes up almost straight at first. A bundle
// that lies before the back ledge is swung away from it.
func TestWiresCatchOnAHinge(t *testing.T) {
	c := ledged(t, carcass.Hinged)
	under := Bundle{Name: "front row", Path: []geom.Vec3{{X: 150, Y: 60, Z: 75}, {X: 150, Y: 20, Z: 75}, {X: 150, Y: 60, Z: 75}}, Diameter: 6}
	got := Catches(c, 0, geom.Vec3{}, Hinge{}, []Bundle{under})
	// 20 mm behind the front the face turns on 180 mm: half the rise of 12 mm wants 180·sin a = 12, 3.8 degrees; the next look is at 4
	if len(got) != 1 || got[0].Board != "ledge, front" || got[0].Degrees < 3.8 || got[0].Degrees > 7 || got[0].Lifted != 0 {
		t.Errorf("%+v", got)
	}
	free := Bundle{Name: "middle", Path: []geom.Vec3{{X: 150, Y: 100, Z: 75}, {X: 150, Y: 100, Z: 30}}, Diameter: 6}
	if got := Catches(c, 0, geom.Vec3{}, Hinge{}, []Bundle{free}); len(got) != 0 {
		t.Errorf("in the middle: %+v", got)
	}
}

// TestWiresOfTheBox: bundles that are handed over are used; without them one straight bundle runs from the controls to the module, and a box
// with nothing in its way says nothing.
func TestWiresOfTheBox(t *testing.T) {
	o := order(ledged(t, carcass.Screwed))
	control, _ := geom.BoxHull(geom.Box3{Min: geom.Vec3{X: 140, Y: 90, Z: 60}, Max: geom.Vec3{X: 160, Y: 110, Z: 97}})
	board, _ := geom.BoxHull(geom.Box3{Min: geom.Vec3{X: 125, Y: 60, Z: 15}, Max: geom.Vec3{X: 176, Y: 81, Z: 20}})
	o.Bodies = []Body{{Name: "GO", Face: 0, Solid: control, Inside: true}}
	o.Module = &Module{Name: "the module", Face: -1, Board: []geom.Convex{board}}
	w := newWorker(o)
	bs := w.bundles(0, 150)
	if len(bs) != 1 || bs[0].Diameter != limBundle.Default || math.Abs(bs[0].Path[0].Z-80) > 1e-9 || math.Abs(bs[0].Path[1].Z-25) > 1e-9 {
		t.Errorf("%+v", bs)
	}
	if fs := of(Judge(o).Findings, "box.harness-catch"); len(fs) != 0 {
		t.Errorf("%v", fs)
	}
	o.Bundles = []Bundle{{Name: "front row", Path: []geom.Vec3{{X: 150, Y: 60, Z: 75}, {X: 150, Y: 20, Z: 75}, {X: 150, Y: 60, Z: 75}}, Diameter: 6}}
	if fs := of(Judge(o).Findings, "box.harness-catch"); len(fs) != 1 || len(fs[0].Ends) != 2 {
		t.Errorf("%v", fs)
	}
	o.Bundles = []Bundle{{Path: []geom.Vec3{{}}, Diameter: 6}, {Path: []geom.Vec3{{X: math.NaN()}, {}}, Diameter: 6}, {Path: []geom.Vec3{{}, {}}, Diameter: 6}, {Path: []geom.Vec3{{}, {X: 1}}}}
	if fs := of(Judge(o).Findings, "box.harness-catch"); len(fs) != 0 {
		t.Errorf("of no sense: %v", fs)
	}
}

// TestHingeAsWritten: how far a hinged face opens, and round which edge, is what the file says; 110 degrees round the top where it says nothing. A
// tall body a millimetre from the left wall comes out round a hinge at the left: its foot swings away from that wall. Round one at the right it
// swings into it.
func TestHingeAsWritten(t *testing.T) {
	s := flat(300, 200, 100, 12)
	s.Build.FaceHeld = carcass.Hinged
	c := made(t, s)
	o := order(c)
	for _, tc := range []struct {
		hinge Hinge
		say   string
	}{
		{Hinge{}, "hinge at the top. Leave its wires"}, {Hinge{}, "opens to 110 degrees"}, {Hinge{Angle: 75}, "opens to 75 degrees"}, {Hinge{Angle: 300}, "opens to 110 degrees"},
		{Hinge{Edge: "left", Angle: 95}, "hinge at the left. Leave its wires"},
	} {
		o.Hinge = tc.hinge
		if r := Judge(o); len(r.Opening) == 0 || !strings.Contains(r.Opening[0].Say, tc.say) {
			t.Errorf("%+v: %+v, want %q", tc.hinge, r.Opening, tc.say)
		}
	}
	o.Bodies = []Body{{Name: "BELL", Face: 0, Inside: true, Solid: geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 13, Y: 90, Z: 20}, Max: geom.Vec3{X: 60, Y: 110, Z: 96}})}}
	for edge, stuck := range map[string]bool{"left": false, "right": true} {
		o.Hinge = Hinge{Edge: edge}
		if fs := of(Judge(o).Findings, "box.lid-stuck"); (len(fs) > 0) != stuck {
			t.Errorf("hinge at the %s: %v", edge, fs)
		}
	}
	// The screws that are proposed stand along the edge of the hinge.
	o = order(made(t, func() carcass.Spec { s := s; s.Build.Ledge = carcass.Batten{Width: 18, Height: 20}; return s }()))
	for _, edge := range []string{"", "left"} {
		o.Hinge = Hinge{Edge: edge}
		fs := of(Judge(o).Findings, "box.no-face-screws")
		if len(fs) != 1 || len(fs[0].Fixes) != 1 || !strings.Contains(fs[0].Fixes[0].Short, "at: [[") {
			t.Fatalf("%q: %v", edge, fs)
		}
		var x, y []float64
		for _, p := range regexp.MustCompile(`\[([0-9.]+), ([0-9.]+)\]`).FindAllStringSubmatch(fs[0].Fixes[0].Short, -1) {
			a, _ := strconv.ParseFloat(p[1], 64)
			b, _ := strconv.ParseFloat(p[2], 64)
			x, y = append(x, a), append(y, b)
		}
		if edge == "left" && slices.Max(x) > 40 || edge == "" && slices.Min(y) < 160 || len(x) < 2 {
			t.Errorf("hinge at %q: screws at %v, %v", edge, x, y)
		}
	}
}

// TestHingeFromFile: what stands under wiring: opens: reaches the box.
func TestHingeFromFile(t *testing.T) {
	src := `knobwright: 1
title: Bell desk
face: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, at: [[14, 20], [14, 180]]}}
box: {form: flat, depth: 60, walls: birch-ply-12mm, ledge: {width: 18, height: 16}, held: hinged}
wiring: {opens: {by: hinge, edge: left, angle: 80 deg}}
`
	p, _ := panel.Place(project.Read("bell.yaml", []byte(src)), catalog.Builtin())
	r := Judge(FromPanel(p))
	if len(r.Opening) == 0 || !strings.Contains(r.Opening[0].Say, "at the left") || !strings.Contains(r.Opening[0].Say, "80 degrees") {
		t.Errorf("%+v", r.Opening)
	}
}
