package packet

import (
	"math"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// A notch of 8 by 8 mm in the upper edge of a board of 200 by 60 by 9 takes 576 mm³ out of 108,000 and leaves one solid of ten faces; a hole beside
// it goes through.
func TestNotchIsCutOut(t *testing.T) {
	h, err := geom.BoxHull(geom.Box3{Min: geom.Vec3{X: 10, Y: 100, Z: 5}, Max: geom.Vec3{X: 210, Y: 109, Z: 65}})
	if err != nil {
		t.Fatal(err)
	}
	b := &carcass.Board{
		Name: "back", Thickness: 9, Parts: []*geom.Hull{h}, Blank: geom.Vec2{X: 200, Y: 60},
		Frame: carcass.Frame{O: geom.Vec3{X: 210, Y: 109, Z: 5}, U: geom.Vec3{X: -1}, V: geom.Vec3{Z: 1}, N: geom.Vec3{Y: 1}},
	}
	x := &box.Exit{Board: "back", Notch: true, Outline: geom.Rect(geom.Vec2{X: 50, Y: 56}, 8, 8, 0)}
	hole := solid.Hole{Pose: b.Frame.Pose(), Outline: geom.Circle(geom.Vec2{X: 100, Y: 56}, 4)}
	ps := boardPieces(x, b, []solid.Hole{hole})
	f, ok := ps[0].(solid.Fused)
	if len(ps) != 1 || !ok || len(f.Of.Faces) != 10 {
		t.Fatalf("%d pieces", len(ps))
	}
	m, err := solid.Build([]solid.Body{{Name: "back", Pieces: ps}})
	if err != nil {
		t.Fatal(err)
	}
	if want := 108000 - 576 - math.Pi*4*9; math.Abs(m.Volume(0)-want) > 1e-6 {
		t.Errorf("%g mm³, want %g", m.Volume(0), want)
	}
	left := 0.0 // 46 from the left end, seen from outside, is x = 210 - 46
	for _, p := range f.Of.Points {
		if p.Z < 64 && p.Z > 6 {
			left = max(left, p.X)
		}
	}
	if math.Abs(left-164) > 1e-9 {
		t.Errorf("the notch begins at %g", left)
	}
	hole.Outline = geom.Circle(geom.Vec2{X: 50, Y: 54}, 6) // breaks into the notch
	if _, err := solid.Build([]solid.Body{{Pieces: boardPieces(x, b, []solid.Hole{hole})}}); err == nil {
		t.Error("a hole that breaks into the notch passes")
	}
	x.Notch = false
	if p, ok := boardPieces(x, b, nil)[0].(solid.Block); !ok || p.Hull != h {
		t.Error("a hole is no notch")
	}
}
