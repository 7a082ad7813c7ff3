package packet

import (
	"math"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// A notch of 8 by 8 mm in the upper edge of a board of 200 by 60 by 9 takes 576 mm³ out of 108,000 and leaves three pieces.
func TestNotchIsCutOut(t *testing.T) {
	h, err := geom.BoxHull(geom.Box3{Min: geom.Vec3{X: 10, Y: 100, Z: 5}, Max: geom.Vec3{X: 210, Y: 109, Z: 65}})
	if err != nil {
		t.Fatal(err)
	}
	b := &carcass.Board{Name: "back", Thickness: 9, Parts: []*geom.Hull{h},
		Frame: carcass.Frame{O: geom.Vec3{X: 210, Y: 109, Z: 5}, U: geom.Vec3{X: -1}, V: geom.Vec3{Z: 1}, N: geom.Vec3{Y: 1}}}
	x := &box.Exit{Board: "back", Notch: true, Outline: geom.Rect(geom.Vec2{X: 50, Y: 56}, 8, 8, 0)}
	parts := notched(x, b, h)
	sum := 0.0
	for _, p := range parts {
		sum += p.Volume()
	}
	if len(parts) != 3 || math.Abs(sum-(108000-576)) > 1e-6 {
		t.Errorf("%d pieces of %g mm³", len(parts), sum)
	}
	if p := parts[0].Bounds(); math.Abs(p.Min.X-164) > 1e-9 { // 46 from the left end, seen from outside, is x = 210 - 46
		t.Errorf("the left piece runs from %g to %g", p.Min.X, p.Max.X)
	}
	x.Notch = false
	if got := notched(x, b, h); len(got) != 1 || got[0] != h {
		t.Error("a hole is no notch")
	}
}
