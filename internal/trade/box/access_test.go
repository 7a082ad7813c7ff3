package box

import (
	"strings"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// TestCablePlug: a plug of 12 x 8 is 14.4 across its corners; with 1 mm of air it wants 15.4.
func TestCablePlug(t *testing.T) {
	c := made(t, flat(300, 200, 80, 12))
	for _, tc := range []struct {
		cable Cable
		tight bool
	}{
		{Cable{Board: "back", Round: 10, Plug: [3]float64{12, 8, 30}}, true},
		{Cable{Board: "back", Round: 15.5, Plug: [3]float64{12, 8, 30}}, false},
		{Cable{Board: "back", Round: 10, Notch: true, Plug: [3]float64{12, 8, 30}}, false},
		{Cable{Board: "back", Plug: [3]float64{12, 8, 30}}, false},
		{Cable{Board: "back", Grommet: 9, Plug: [3]float64{12, 8, 30}}, true},
	} {
		o := order(c)
		o.Cable = &tc.cable
		r := Judge(o)
		fs := of(r.Findings, "box.cable-plug")
		if (len(fs) > 0) != tc.tight {
			t.Errorf("%+v: %v", tc.cable, fs)
		}
		if tc.tight && fs[0].Measure.Want != 15.5 {
			t.Errorf("want %g", fs[0].Measure.Want)
		}
		if fs := of(r.Findings, "box.cable"); len(fs) > 0 {
			t.Errorf("%+v: %v", tc.cable, fs)
		}
		if r.Exit == nil || !strings.Contains(r.Exit.Say, "back") {
			t.Errorf("%+v", r.Exit)
		}
	}
	if fs := of(Judge(func() Order { o := order(c); o.Cable = &Cable{Board: "roof"}; return o }()).Findings, "box.cable"); len(fs) != 1 {
		t.Error("a cable through a board that is not there")
	}
	off := order(c)
	off.Cable = &Cable{Board: "back", At: &geom.Vec2{X: 4, Y: 30}}
	if fs := of(Judge(off).Findings, "box.cable"); len(fs) == 0 {
		t.Error("a hole over the edge of the back")
	}
	bend := order(made(t, flat(300, 100, 80, 12)))
	bend.Cable = &Cable{Board: "back", Diameter: 14}
	if fs := of(Judge(bend).Findings, "box.cable-bend"); len(fs) != 1 || fs[0].Measure.Have != 76 || fs[0].Measure.Want != 84 {
		t.Errorf("100 mm deep with walls of 12 leaves 76: %v", fs)
	}
}

// TestCannotOpen: glue on face and base leaves a saw only.
func TestCannotOpen(t *testing.T) {
	s := flat(300, 200, 80, 9)
	s.Build.FaceHeld = carcass.GluedDown
	fs := of(Judge(order(made(t, s))).Findings, "box.cannot-open")
	if len(fs) != 1 || fs[0].Severity != finding.Stop || len(fs[0].Ends) != 2 {
		t.Fatalf("%v", fs)
	}
	s.Build.FaceHeld = carcass.Screwed
	if r := Judge(order(made(t, s))); len(of(r.Findings, "box.cannot-open")) > 0 || len(r.Opening) != 1 {
		t.Errorf("a screwed face: %v", r.Findings)
	}
	s = flat(300, 200, 80, 12) // thick walls: the base is screwed
	s.Build.FaceHeld = carcass.GluedDown
	if r := Judge(order(made(t, s))); len(of(r.Findings, "box.cannot-open")) > 0 || len(r.Opening) != 1 || r.Opening[0].Board != "base" {
		t.Errorf("a screwed base: %v", r.Opening)
	}
}

// TestLidStuck: a body on the face that reaches under a ledge keeps the face from coming off; beside it, it does not. A body that leans
// clear when the face is laid on comes out straight.
func TestLidStuck(t *testing.T) {
	s := flat(300, 200, 80, 12)
	s.Build.Ledge = carcass.Batten{Width: 12, Height: 12}
	c := made(t, s)
	body := func(y float64) Body { // 10 mm wide, up to a millimetre under the ledge
		return Body{Name: "BELL", Face: 0, Inside: true, Solid: geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 100, Y: y, Z: 30}, Max: geom.Vec3{X: 130, Y: y + 10, Z: 64}})}
	}
	o := order(c)
	o.Bodies = []Body{body(14)} // under the front ledge, which reaches from 12 to 24
	fs := of(Judge(o).Findings, "box.lid-stuck")
	if len(fs) != 1 || !strings.Contains(fs[0].Head, "BELL") || !strings.Contains(fs[0].Head, "ledge") || fs[0].Measure.Have > -9.9 {
		t.Errorf("under the ledge: %v", fs)
	}
	o.Bodies = []Body{body(26)}
	if fs := of(Judge(o).Findings, "box.lid-stuck"); len(fs) != 0 {
		t.Errorf("beside the ledge: %v", fs)
	}
	// A hinge at the back: a body far down swings forward into the front wall, the same body short does not.
	s = flat(300, 120, 100, 12)
	s.Build.FaceHeld = carcass.Hinged
	c = made(t, s)
	o = order(c)
	long := geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 100, Y: 14, Z: 15}, Max: geom.Vec3{X: 130, Y: 24, Z: 96}})
	o.Bodies = []Body{{Name: "BELL", Face: 0, Inside: true, Solid: long}}
	if fs := of(Judge(o).Findings, "box.lid-stuck"); len(fs) != 1 {
		t.Errorf("a long body round the hinge: %v", fs)
	}
	o.Bodies[0].Solid = geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 100, Y: 60, Z: 70}, Max: geom.Vec3{X: 130, Y: 80, Z: 96}})
	if fs := of(Judge(o).Findings, "box.lid-stuck"); len(fs) != 0 {
		t.Errorf("a short body round the hinge: %v", fs)
	}
}

// TestModulePlug: a plug that is pulled towards a wall 8 mm away has no way out at a stroke of 12.
func TestModulePlug(t *testing.T) {
	c := made(t, flat(300, 200, 80, 12))
	plug := func(gap float64) *Module {
		return &Module{Name: "the module", Face: -1, Out: geom.Vec3{Y: 1}, Plug: []geom.Convex{geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 100, Y: 140, Z: 20}, Max: geom.Vec3{X: 112, Y: 188 - gap, Z: 28}})}}
	}
	o := order(c)
	o.Module = plug(8)
	if fs := of(Judge(o).Findings, "box.module-plug"); len(fs) != 1 || fs[0].Measure.Have > -3.9 || fs[0].Measure.Have < -4.1 {
		t.Errorf("8 mm: %v", fs)
	}
	o.Module = plug(13)
	if fs := of(Judge(o).Findings, "box.module-plug"); len(fs) != 0 {
		t.Errorf("13 mm: %v", fs)
	}
}

// TestInserts: M3 inserts into a ledge of 12 x 14 in softwood: a hole of 5 in its middle leaves 3.5 beside it, 4 is wanted; a ledge of 16 is
// enough.
func TestInserts(t *testing.T) {
	for _, tc := range []struct {
		width float64
		tight bool
	}{{12, true}, {16, false}} {
		s := flat(300, 200, 80, 9)
		s.Build.Ledge = carcass.Batten{Width: tc.width, Height: 14}
		o := order(made(t, s))
		o.Screws.Insert = "M3"
		o.Fixings = []Fixing{{Name: "fixing 1", Face: 0, At: geom.Vec2{X: 150, Y: 9 + tc.width/2}, Screw: "M3", Head: 5.5}}
		r := Judge(o)
		if fs := of(r.Findings, "box.fixing"); (len(fs) > 0) != tc.tight {
			t.Errorf("ledge %g: %v", tc.width, fs)
		}
		if len(r.Inserts) != 1 || r.Inserts[0].Board != "ledge, front" || r.Inserts[0].Hole.Bit.Diameter != 5 {
			t.Errorf("ledge %g: %+v", tc.width, r.Inserts)
		}
	}
}

// TestInches: who writes in inches reads inches.
func TestInches(t *testing.T) {
	o := order(made(t, flat(300, 200, 80, 9.2)))
	o.Inches = true
	o.Cable = &Cable{Board: "back", Round: 12.7}
	r := Judge(o)
	for _, f := range r.Findings {
		if strings.Contains(f.Head+f.Body, " mm") {
			t.Errorf("%s %s", f.Head, f.Body)
		}
	}
	if !strings.Contains(r.Exit.Say, "1/2 in") {
		t.Error(r.Exit.Say)
	}
}

// TestValley: two faces that meet in a valley at half the angle hold each other when lifted straight; drawn off on the slant they come.
func TestValley(t *testing.T) {
	s := carcass.Spec{
		Form: carcass.TwoSlope, Sizes: carcass.Sizes{Width: 380, FrontHeight: 60, Slope: 10, UpperSlope: 40, FaceHeight: 240, UpperHeight: 120},
		Build: carcass.Build{Wall: 12, Base: 12, Face: 3, Corner: carcass.Mitred},
	}
	r := Judge(order(made(t, s)))
	if fs := of(r.Findings, "box.lid-stuck"); len(fs) > 0 || len(r.Opening) < 2 || !strings.Contains(r.Opening[0].Say, "towards you") {
		t.Errorf("%v %v", fs, r.Opening)
	}
}

// TestFacesNotGluedTogether: two faces that come off are not glued along the line where they meet, nor is one to the hand rest; those that are
// glued down are.
func TestFacesNotGluedTogether(t *testing.T) {
	s := carcass.Spec{
		Form: carcass.TwoSlope, Sizes: carcass.Sizes{Width: 380, FrontHeight: 60, Slope: 10, UpperSlope: 40, FaceHeight: 240, UpperHeight: 120},
		Build: carcass.Build{Wall: 12, Base: 12, Face: 3},
	}
	rest := carcass.Spec{
		Form: carcass.Desk, Sizes: carcass.Sizes{Width: 320, FaceHeight: 180, FrontHeight: 60, Slope: 20, HandRest: 70},
		Build: carcass.Build{Wall: 12, Base: 12, Face: 3, HandRest: 12},
	}
	face := func(name string) bool {
		return name == "face" || name == "hand rest" || strings.HasSuffix(name, " face")
	}
	for _, s := range []carcass.Spec{s, rest} {
		for _, m := range []carcass.Meeting{0, 1, 2} {
			s.Build.Meeting = m
			for held, glued := range map[carcass.Held]bool{carcass.Screwed: false, carcass.Hinged: false, carcass.GluedDown: true} {
				s.Build.FaceHeld = held
				n := 0
				for _, j := range Judge(order(made(t, s))).Joints {
					if face(j.A) && face(j.B) {
						if n++; strings.HasPrefix(j.How, "glued") != glued || len(j.Screws) > 0 {
							t.Errorf("%s, %s, held %v: %s to %s %s", s.Form, m, held, j.A, j.B, j.How)
						}
					}
				}
				if n != 1 {
					t.Errorf("%s, %s, held %v: %d joints of what meets on top", s.Form, m, held, n)
				}
			}
		}
	}
}

// TestSteepValley: faces of 10 and 45 degrees come free along their mitre, 17.5 degrees from straight. With a button of 16 mm, its middle 44 mm
// from the front edge and 30 mm deep, the lower one has no room to go as far aside as 30 degrees: its ledge is 23 mm from that edge.
func TestSteepValley(t *testing.T) {
	s := carcass.Spec{
		Form: carcass.TwoSlope, Sizes: carcass.Sizes{Width: 280, FrontHeight: 70, Slope: 10, UpperSlope: 45, FaceHeight: 150, UpperHeight: 100},
		Build: carcass.Build{Wall: 9.2, Base: 9.2, Face: 3, Ledge: carcass.Batten{Width: 14, Height: 16}},
	}
	c := made(t, s)
	o := order(c)
	f := c.Faces[0].Frame
	button := geom.NewCylinder(f.ToWorld(geom.Vec3{X: 60, Y: 44, Z: -3}), f.N.Mul(-1), 8, 30)
	o.Bodies = []Body{{Name: "GO", Face: 0, Inside: true, Solid: button}}
	r := Judge(o)
	if fs := of(r.Findings, "box.lid-stuck"); len(fs) > 0 || len(r.Opening) < 2 || !strings.Contains(r.Opening[0].Say, "towards you, 18 degrees") {
		t.Errorf("%v %v", fs, r.Opening)
	}
	// A wide body of the upper face reaches under its back ledge: not the mitre is to blame, and the ledge is named once, though two of its solids meet it.
	u := c.Faces[1].Frame
	far := Body{Name: "FAR", Face: 1, Inside: true, Solid: geom.NewCylinder(u.ToWorld(geom.Vec3{X: 60, Y: 66, Z: -33}), u.N.Mul(-1), 25, 6)}
	near := o.Bodies[0]
	o.Bodies = []Body{near, far, far}
	fs := of(Judge(o).Findings, "box.lid-stuck")
	if len(fs) != 1 || !strings.HasPrefix(fs[0].Head, "On the way out, towards the back, 18 degrees from straight, FAR meets the ledge of the upper face, back") {
		t.Errorf("%v", fs)
	}
	// A lamp before the back wall of the upper face has no way to the back; with the lower face off it comes straight out.
	lamp := Body{Name: "LAMP", Face: 1, Inside: true, Solid: geom.NewCylinder(u.ToWorld(geom.Vec3{X: 60, Y: 46, Z: -3}), u.N.Mul(-1), 6, 30)}
	o.Bodies = []Body{near, lamp}
	r = Judge(o)
	if fs := of(r.Findings, "box.lid-stuck"); len(fs) > 0 || len(r.Opening) < 2 || r.Opening[0].Board != "lower face" ||
		!strings.HasPrefix(r.Opening[1].Say, "Take the lower face off first. ") || !strings.Contains(r.Opening[1].Say, "lift it straight off") {
		t.Errorf("%v %v", fs, r.Opening)
	}
	o.Bodies = []Body{near, lamp, {Name: "BAR", Face: -1, Inside: true, Solid: geom.NewCylinder(u.ToWorld(geom.Vec3{X: 60, Y: 46, Z: -10}), u.V, 3, 20)}}
	if fs := of(Judge(o).Findings, "box.lid-stuck"); len(fs) != 0 { // it meets the bar where it sits: told elsewhere
		t.Errorf("%v", fs)
	}
	// A body under the other face bars the way of both: neither of the two is "the only board".
	bar := geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 100, Y: 30, Z: 20}, Max: geom.Vec3{X: 120, Y: 200, Z: 120}})
	o.Bodies = []Body{{Name: "BELL", Face: -1, Solid: bar}, {Name: "GO", Face: 0, Inside: true, Solid: geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 90, Y: 40, Z: 10}, Max: geom.Vec3{X: 130, Y: 60, Z: 19}})}, {Name: "FAR", Face: 1, Inside: true, Solid: geom.BoxSolid(geom.Box3{Min: geom.Vec3{X: 90, Y: 180, Z: 10}, Max: geom.Vec3{X: 130, Y: 195, Z: 19}})}}
	fs = of(Judge(o).Findings, "box.cannot-open")
	if len(fs) != 1 || !strings.Contains(fs[0].Head, "only the lower face and upper face are not glued, and they catch") {
		t.Errorf("%v", fs)
	}
}

// TestNoExit: a module in a closed box wants a way out for its lead, or a socket.
func TestNoExit(t *testing.T) {
	o := order(made(t, flat(300, 200, 80, 12)))
	o.Module = &Module{Name: "the module", Face: -1}
	if fs := of(Judge(o).Findings, "box.no-exit"); len(fs) != 1 || len(fs[0].Fixes) != 1 {
		t.Errorf("closed: %v", fs)
	}
	o.Socket = true
	if fs := of(Judge(o).Findings, "box.no-exit"); len(fs) != 0 {
		t.Errorf("with a socket: %v", fs)
	}
}
