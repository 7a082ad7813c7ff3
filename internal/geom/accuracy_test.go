package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/internal/thorough"
)

// fixedSolid makes solids from a seed, so that every run sees the same ones.
func fixedSolid(r *rand.Rand) Convex {
	num := func() float64 {
		if r.IntN(2) == 0 {
			return float64(r.IntN(41) - 20)
		}
		return r.Float64()*40 - 20
	}
	vec := func() Vec3 { return Vec3{num(), num(), num()} }
	switch r.IntN(3) {
	case 0:
		return NewCylinder(vec(), vec(), 1+r.Float64()*14, r.Float64()*30)
	case 1:
		for {
			var pts []Vec3
			for range 4 + r.IntN(5) {
				pts = append(pts, vec())
			}
			if c, err := NewHull(pts); err == nil {
				return c
			}
		}
	}
	c := NewPrism(Rect(Vec2{}, 1+r.Float64()*20, 1+r.Float64()*20, r.Float64()*10), 0, r.Float64()*20)
	return Posed(c, TurnAbout(vec(), num()*9).Shift(vec()))
}

// The distance of two points is an upper bound of the gap, that of two planes between the solids a lower one. Over some
// thousand pairs, a third of them nearly touching, the bounds are never further apart than 1e-7 of the size.
func TestGapBounds(t *testing.T) {
	n := uint64(6000)
	if !thorough.Is() {
		n = 1000
	}
	worst, apart := 0.0, 0
	for i := range n {
		r := rand.New(rand.NewPCG(i, 1))
		a, b := fixedSolid(r), fixedSolid(r)
		b = Posed(b, NoPose().Shift(Vec3{r.Float64()*80 - 40, r.Float64()*80 - 40, r.Float64()*80 - 40}))
		scale := size(a.Bounds(), b.Bounds())
		s := Gap(a, b)
		if i%3 == 0 {
			b = Posed(b, NoPose().Shift(s.Dir.Mul(r.Float64()*1e-3*scale-s.Gap)))
			s = Gap(a, b)
		}
		if s.Gap <= 0 {
			continue
		}
		apart++
		upper, lower := s.B.Sub(s.A).Len(), parted(a, b, s.Dir)
		if !close2(upper, s.Gap, 1e-12*scale) {
			t.Fatalf("pair %d: gap %v, points %v apart", i, s.Gap, upper)
		}
		worst = max(worst, (upper-lower)/scale)
	}
	if worst > 1e-7 || apart < int(n)/3 {
		t.Errorf("bounds %.3g of the size apart at worst, %d pairs looked at", worst, apart)
	}
	t.Logf("bounds %.3g of the size apart at worst, %d pairs", worst, apart)
}

// Overlapping pairs give the same depth both ways round, and the descent finds no lesser one.
func TestDepthBothWays(t *testing.T) {
	n := uint64(3000)
	if !thorough.Is() {
		n = 500
	}
	worst, met := 0.0, 0
	for i := range n {
		r := rand.New(rand.NewPCG(i, 2))
		a, b := fixedSolid(r), fixedSolid(r)
		scale := size(a.Bounds(), b.Bounds())
		s, q := Gap(a, b), Gap(b, a)
		if s.Gap >= 0 {
			continue
		}
		met++
		worst = max(worst, math.Abs(s.Gap-q.Gap)/scale)
		if i%50 == 0 {
			if least := leastSupport(a, b); least < -s.Gap-1e-7*scale {
				t.Errorf("pair %d: depth %v, descent found %v", i, -s.Gap, least)
			}
		}
	}
	if worst > 1e-7 || met < int(n)/4 {
		t.Errorf("%.3g of the size between both ways at worst, %d pairs looked at", worst, met)
	}
	t.Logf("%.3g of the size between both ways at worst, %d pairs", worst, met)
}
