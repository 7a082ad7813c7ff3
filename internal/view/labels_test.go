package view

import (
	"math/rand/v2"
	"testing"

	"knobwright/internal/geom"
)

// Where there is room for every label beside its hole, no label covers a hole, a label or the edge, and each stands nearer to
// its own hole than to any other. Holes lie on a grid whose steps leave that room, at random places and sizes within.
func TestLabelsStandFreeWhereThereIsRoom(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 13))
	for round := range 60 {
		const w, h = 16.0, 6.0 // of a label
		step := geom.Vec2{X: 2*w + 24, Y: 2*h + 30}
		l := &Labeller{Sheet: geom.Box2{Max: geom.Vec2{X: 6 * step.X, Y: 5 * step.Y}}}
		var holes []geom.Box2
		for i := range 6 {
			for k := range 5 {
				d := 3 + rng.Float64()*14
				c := geom.Vec2{X: (float64(i) + 0.5) * step.X, Y: (float64(k) + 0.5) * step.Y}
				c = c.Add(geom.Vec2{X: rng.Float64()*6 - 3, Y: rng.Float64()*6 - 3})
				b := geom.Box2{Min: c, Max: c}.Grow(d / 2)
				holes = append(holes, b)
				l.Own(len(holes), b)
			}
		}
		for range 5 { // and a few things in the way
			c := geom.Vec2{X: rng.Float64() * 6 * step.X, Y: rng.Float64() * 5 * step.Y}
			l.Block(geom.Box2{Min: c, Max: c}.Grow(2))
		}
		prefer := [][]geom.Vec2{BelowFirst, AboveFirst, CornerFirst}[round%3]
		for i, b := range holes {
			before := l.Taken()
			at, bad, stray := l.Best(i+1, b, w, h, 1, prefer)
			if bad > 1e-6 || stray > 0 {
				t.Errorf("round %d: label %d shares %.2f mm² and strays %.2f mm though there is room", round, i, bad, stray)
			}
			if again := l.Find(i+1, b, w, h, 1, prefer); again != at {
				t.Fatalf("Find puts it at %v, Best at %v", again, at)
			}
			box := boxAt(at, w, h)
			for k, o := range before {
				if x, y := min(box.Max.X, o.Max.X)-max(box.Min.X, o.Min.X), min(box.Max.Y, o.Max.Y)-max(box.Min.Y, o.Min.Y); x > 1e-6 && y > 1e-6 {
					t.Errorf("round %d: label %d lies on taken place %d", round, i, k)
				}
			}
			for k, o := range holes {
				if k != i && apart(o, box) < apart(b, box) {
					t.Errorf("round %d: label %d stands nearer to hole %d", round, i, k)
				}
			}
		}
	}
}

// Without room the least bad place is taken, and its badness is told.
func TestLabelsTellWhenThereIsNoRoom(t *testing.T) {
	l := &Labeller{Sheet: geom.Box2{Max: geom.Vec2{X: 20, Y: 20}}}
	l.Block(l.Sheet)
	hole := geom.Box2{Min: geom.Vec2{X: 8, Y: 8}, Max: geom.Vec2{X: 12, Y: 12}}
	if _, bad, _ := l.Best(1, hole, 10, 4, 1, BelowFirst); bad < 40-1e-9 {
		t.Errorf("a label of 40 mm² on a full sheet is said to share %.2f mm²", bad)
	}
}
