package geom

import (
	"math"
	"testing"
)

func TestGapSolidsKnown(t *testing.T) {
	block := func(x, y, z, w, h, d float64) Convex {
		return BoxSolid(Box3{Vec3{x, y, z}, Vec3{x + w, y + h, z + d}})
	}
	tilted := func(c Convex) Convex { return Posed(c, TurnAbout(Vec3{1, 2, 3}, 40)) }
	unit := block(0, 0, 0, 10, 10, 10)
	r3 := math.Sqrt(3)
	for _, c := range []struct {
		name string
		a, b Convex
		gap  float64
	}{
		{"beside", unit, block(12, 0, 0, 1, 1, 1), 2},
		{"above", unit, block(3, 3, 13, 1, 1, 1), 3},
		{"over the edge", unit, block(13, 0, 14, 1, 1, 1), 5},
		{"off the corner", unit, block(12, 13, 16, 1, 1, 1), 7},
		{"touching", unit, block(10, 2, 2, 1, 1, 1), 0},
		{"touching at a corner", unit, block(10, 10, 10, 1, 1, 1), 0},
		{"overlapping in x", unit, block(9, 2, 2, 5, 5, 5), -1},
		{"overlapping in z", unit, block(2, 2, 9.5, 5, 5, 5), -0.5},
		{"one in another", unit, block(4, 5, 5, 1, 1, 1), -5},
		{"the same", unit, unit, -10},
		{"crossed bars touching", NewCylinder(Vec3{-20, 0, 0}, Vec3{1, 0, 0}, 5, 40), NewCylinder(Vec3{0, -20, 10}, Vec3{0, 1, 0}, 5, 40), 0},
		{"crossed bars apart", NewCylinder(Vec3{-20, 0, 0}, Vec3{1, 0, 0}, 5, 40), NewCylinder(Vec3{0, -20, 11}, Vec3{0, 1, 0}, 5, 40), 1},
		{"crossed bars overlapping", NewCylinder(Vec3{-20, 0, 0}, Vec3{1, 0, 0}, 5, 40), NewCylinder(Vec3{0, -20, 8}, Vec3{0, 1, 0}, 5, 40), -2},
		{"bars on one axis", NewCylinder(Vec3{0, 0, 0}, Vec3{1, 1, 0}, 5, 10), NewCylinder(Vec3{20, 20, 0}, Vec3{1, 1, 0}, 3, 10), 20*math.Sqrt2 - 10},
		{"the same bar", NewCylinder(Vec3{0, 0, 0}, Vec3{1, 1, 0}, 5, 40), NewCylinder(Vec3{0, 0, 0}, Vec3{1, 1, 0}, 5, 40), -10},
		{"bar in the middle of a bar", NewCylinder(Vec3{0, 0, 0}, Vec3{1, 1, 1}, 5, 40), NewCylinder(Vec3{10 / r3, 10 / r3, 10 / r3}, Vec3{1, 1, 1}, 2, 20), -7},
		{"corner over a plane", block(-50, -50, -10, 100, 100, 10), Posed(block(0, 0, 0, 2, 2, 2), TurnAbout(Vec3{1, -1, 0}, math.Atan(math.Sqrt2)*180/math.Pi).Shift(Vec3{0, 0, 5})), 5},
		{"bar lying on a plate", block(-50, -50, -10, 100, 100, 10), NewCylinder(Vec3{0, 0, 7}, Vec3{1, 2, 0}, 4, 20), 3},
		{"bar sunk into a plate", block(-50, -50, -10, 100, 100, 10), NewCylinder(Vec3{0, 0, 3}, Vec3{1, 2, 0}, 4, 20), -1},
		{"bar leaning over a plate", block(-50, -50, -10, 100, 100, 10), NewCylinder(Vec3{0, 0, 20}, Vec3{0, 3, 4}, 5, 20), 20 - 5*0.6},
		{"round side touching a flat one, but for rounding", NewPrism(SingleD(Vec2{}, 7, 5.25), 0, 1), NewPrism(Rect(Vec2{4, -1. / 1024}, 1, 8191./1024, 0), 0, 1), 0},
	} {
		s := Gap(c.a, c.b)
		if p := parted(c.a, c.b, s.Dir); !close2(p, s.Gap, 1e-7) {
			t.Errorf("%s: along %v they part by %v, gap %v", c.name, s.Dir, p, s.Gap)
		}
		if !close2(s.Gap, c.gap, 1e-7) {
			t.Errorf("%s: gap %v, want %v", c.name, s.Gap, c.gap)
		}
		if s := Gap(tilted(c.a), tilted(c.b)); !close2(s.Gap, c.gap, 1e-6) {
			t.Errorf("%s, tilted: gap %v, want %v", c.name, s.Gap, c.gap)
		}
	}
	if s := Gap(unit, nil); !math.IsInf(s.Gap, 1) {
		t.Error(s)
	}
}

func BenchmarkGap(b *testing.B) {
	prism := NewPrism(Rect(Vec2{}, 20, 10, 2), 0, 10)
	for _, c := range []struct {
		name string
		a, b Convex
	}{
		{"prisms apart", prism, NewPrism(Hexagon(Vec2{30, 0}, 10), 2, 5)},
		{"prisms overlapping", prism, NewPrism(Hexagon(Vec2{12, 0}, 10), 2, 5)},
		{"bar apart", prism, NewCylinder(Vec3{20, 0, 0}, Vec3{1, 1, 1}, 5, 20)},
		{"bar overlapping", prism, NewCylinder(Vec3{8, 0, 0}, Vec3{1, 1, 1}, 5, 20)},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				Gap(c.a, c.b)
			}
		})
	}
}
