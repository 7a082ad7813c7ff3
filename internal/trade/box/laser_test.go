package box

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// cutBy is an order cut by a kind of saw.
func cutBy(c *carcass.Carcass, kind string) Order {
	o := order(c)
	o.Saw = Saw{Kind: kind}
	return o
}

// TestLaserCutsSquare: a desk has bevels: cut by laser they are a finding with every board and a fix that was tried out; the order of work tells
// no saw to tilt; a saw is told nothing of the kind. With square edges nothing is left to do by hand, and a flat box has nothing from the start.
func TestLaserCutsSquare(t *testing.T) {
	c := made(t, desk())
	r := Judge(cutBy(c, "laser"))
	fs := of(r.Findings, "box.laser-bevel")
	if len(fs) != 1 || fs[0].Severity != finding.Warn || len(fs[0].Ends) < 3 || len(fs[0].Fixes) != 1 || fs[0].Fixes[0].Edits[0].Path != "box.edges" {
		t.Fatalf("%+v", fs)
	}
	// the steepest: 12 mm of wall at 12 degrees
	if want := 12 * math.Tan(12*math.Pi/180); math.Abs(fs[0].Measure.Have-want) > 1e-6 {
		t.Errorf("%g over, want %g", fs[0].Measure.Have, want)
	}
	planed := 0
	for _, k := range r.Order {
		if strings.Contains(k.Say, "tilted") {
			t.Errorf("a laser is told: %s", k.Say)
		}
		if strings.HasPrefix(k.Say, "plane the") && strings.Contains(k.Say, "over on 12 thick") {
			planed++
		}
	}
	if planed != 2 {
		t.Errorf("%d edges planed, of front and back", planed)
	}
	if fs := of(Judge(cutBy(c, "table")).Findings, "box.laser-bevel"); len(fs) != 0 {
		t.Errorf("a table saw: %v", fs)
	}
	square := desk()
	square.Build.WallEdges, square.Build.BaseEdges, square.Build.FaceEdges = carcass.Squared, carcass.Squared, carcass.Squared
	for _, s := range []carcass.Spec{square, flat(300, 200, 80, 9)} {
		if r := Judge(cutBy(made(t, s), "laser")); len(of(r.Findings, "box.laser-bevel")) != 0 || len(r.Order) != 0 {
			t.Errorf("%v: %v, %d cuts", s.Form, of(r.Findings, "box.laser-bevel"), len(r.Order))
		}
	}
	mitred := flat(300, 200, 80, 9)
	mitred.Build.Corner = carcass.Mitred
	if fs := of(Judge(cutBy(made(t, mitred), "laser")).Findings, "box.laser-bevel"); len(fs) != 1 || len(fs[0].Fixes) != 1 || fs[0].Fixes[0].Short != "corners: finger" {
		t.Errorf("mitres: %+v", fs)
	}
}

// TestFreeLayouts: for a laser the boards lie free, never on more sheet than cuts from edge to edge need.
func TestFreeLayouts(t *testing.T) {
	for _, s := range []carcass.Spec{desk(), flat(300, 200, 80, 12), flat(640, 380, 120, 12), wedge(14)} {
		c := made(t, s)
		free := Work(cutBy(c, "laser"))
		o := cutBy(c, "table")
		o.Saw.Kerf, o.Saw.Trim = limApart.Default, limApart.Default
		sawn := Work(o)
		for i, p := range free.Plans {
			if !p.Free || p.New > sawn.Plans[i].New+1e-6 {
				t.Errorf("%v: %g mm² of new sheet, sawn %g", s.Form, p.New, sawn.Plans[i].New)
			}
			for _, x := range p.Sheets {
				for _, q := range x.Layout.Placed {
					if q.X < 2-1e-6 || q.Y < 2-1e-6 || q.X+q.Width > x.Layout.Width-2+1e-6 || q.Y+q.Height > x.Layout.Height-2+1e-6 {
						t.Errorf("%v: %s at the edge of its sheet", s.Form, p.Pieces[q.Piece].Name)
					}
				}
			}
		}
	}
}

// TestCutPart: a fingered back with a notch: its curve has the area of the board less the notch, and every screw hole of the base is a circle.
func TestCutPart(t *testing.T) {
	s := flat(300, 200, 80, 12)
	s.Build.Corner, s.Build.Fingers = carcass.Fingered, carcass.Fingers{Width: 10, Kerf: 0.2, Clearance: -0.1}
	o := cutBy(made(t, s), "laser")
	o.Cable = &Cable{Board: "back", Notch: true, Round: 12}
	r := Judge(o)
	for _, l := range r.Boards {
		p := r.CutPart(l, nil, nil)
		if p.Name == "back" {
			if want := l.Board.OuterOutline.Area() - 12*12; math.Abs(p.Outline.Area()-want) > 1e-6 || len(p.Holes) != 0 || p.Press != 0.025 {
				t.Errorf("%g mm², want %g; holes %v; press %g", p.Outline.Area(), want, p.Holes, p.Press)
			}
		}
		if p.Name == "base" {
			n := 0
			for _, s := range r.Screws {
				n += map[bool]int{true: 1}[s.Through == "base"]
			}
			if len(p.Holes) != n || len(p.Marks) != 4 {
				t.Errorf("%d holes for %d screws, %d feet", len(p.Holes), n, len(p.Marks))
			}
			for _, h := range p.Holes {
				if _, _, ok := h.AsCircle(); !ok {
					t.Error("a screw hole is no circle")
				}
			}
		}
	}
	if _, ok := notchedOutline(geom.Rect(geom.Vec2{X: 50, Y: 20}, 100, 40, 0), geom.Rect(geom.Vec2{X: 50, Y: 20}, 10, 10, 0)); ok {
		t.Error("a hole in the middle is no notch")
	}
}
