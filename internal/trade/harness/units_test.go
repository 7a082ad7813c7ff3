package harness

import (
	"fmt"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Of several pieces on hand the shortest that still gives the wire is cut first, so that long pieces stay long.
func TestLeastWaste(t *testing.T) {
	src := func(a, b string) string {
		return spare + fmt.Sprintf("wiring:\n  stock:\n    - {wire: hookup-24, colour: BK, length: %s}\n    - {wire: hookup-24, colour: BK, length: %s}\ncontrols:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: push-16mm, at: [180, 60]}\n  c: {part: push-16mm, at: [240, 60]}\n", a, b)
	}
	for _, order := range [][2]string{{"9 m", "1.5 m"}, {"1.5 m", "9 m"}} {
		w := laid("panel.yaml", []byte(src(order[0], order[1])))
		for _, u := range w.r.Use {
			if u.Colour == "BK" && (u.Left != 9000 || u.Lacks != 0 || u.Need > 1500) {
				t.Errorf("%v: %+v", order, u)
			}
		}
	}
	// pieces that add up, but are each too short
	w := laid("panel.yaml", []byte(src("200 mm", "200 mm")))
	for _, u := range w.r.Use {
		if u.Colour == "BK" && u.Lacks == 0 {
			t.Errorf("pieces of 200 mm give %+v", u)
		}
	}
}

// A net with one pin and lugs on several sheets: each sheet has its own wire to the pin, and no lug takes more than two.
func TestOnePinManySheets(t *testing.T) {
	src := spare + "controls:\n  p: {part: pot-16mm, at: [120, 60]}\n  q: {part: pot-16mm, at: [180, 60]}\n  r: {part: pot-16mm, at: [60, 30], on: back}\n  s: {part: pot-16mm, at: [60, 30], on: right}\n  u: {part: pot-16mm, at: [120, 30], on: left}\n"
	for _, chains := range []string{"open", "closed"} {
		w := laid("panel.yaml", []byte(src+"wiring: {chains: "+chains+"}\n"))
		sound(t, w)
		zones := map[int]bool{}
		for _, x := range w.r.Wires {
			zones[w.spot[x.To].sheet] = true
		}
		if len(zones) < 4 {
			t.Errorf("lugs on %d sheets", len(zones))
		}
	}
}

// A wall of bodies from one side to the other that reaches the base lets no wire through; with a gap it goes by the gap.
func TestNoWayThrough(t *testing.T) {
	g := &grid{sheet: &panel.Panel{}, step: 5, w: 21, h: 11}
	n := g.w * g.h
	room := make([]float64, 6*n)
	for i, s := range []*[]float64{&g.low, &g.high, &g.level[0], &g.level[1], &g.pay, &g.flow} {
		*s = room[i*n : (i+1)*n]
	}
	for i := range n {
		g.low[i], g.high[i], g.pay[i] = 1, 40, 1
	}
	for y := range g.h {
		g.low[y*g.w+10] = 45
	}
	g.levels()
	a, b := 5*g.w+2, 5*g.w+18
	var s search
	if way := g.between(&s, a, b, onSheet); way != nil {
		t.Errorf("through the wall: %v", way)
	}
	if tree := g.grow(b, onSheet, []int{a}); tree.path(a) != nil {
		t.Errorf("through the wall: %v", tree.path(a))
	}
	g.low[10], g.low[g.w+10] = 1, 30 // a gap in the corner, and a low place beside it
	g.levels()
	way := g.between(&s, a, b, onSheet)
	if way == nil {
		t.Fatal("the gap is not found")
	}
	tree := g.grow(b, onSheet, []int{a}).path(a)
	if run(g.points(way, onSheet)) > run(g.points(tree, onSheet))+1e-6 || run(g.points(way, onSheet)) < run(g.points(tree, onSheet))-1e-6 {
		t.Errorf("%g by one way, %g by the other", run(g.points(way, onSheet)), run(g.points(tree, onSheet)))
	}
	for _, c := range way {
		if c%g.w == 10 && c/g.w > 1 {
			t.Errorf("through the wall at %d", c)
		}
	}
}

// Cells and outlines: against a search of points on a fine raster.
func TestShadow(t *testing.T) {
	for i := range 300 {
		r := func(k int) float64 { return float64((i*(k*7919+131))%1000) / 100 }
		o := geom.Circle(geom.Vec2{X: r(1), Y: r(2)}, 1+r(3))
		switch i % 3 {
		case 1:
			o = geom.Rect(geom.Vec2{X: r(1), Y: r(2)}, 1+r(3), 1+r(4), 0).Move(geom.Place{Turn: r(5) * 36})
		case 2:
			o = geom.Hexagon(geom.Vec2{X: r(1), Y: r(2)}, 1+r(3))
		}
		c := geom.Box2{Min: geom.Vec2{X: r(6), Y: r(7)}}
		c.Max = c.Min.Add(geom.Vec2{X: 3, Y: 3})
		hit := false
		for x := 0.0; x <= 3; x += 0.1 {
			for y := 0.0; y <= 3; y += 0.1 {
				hit = hit || o.Grow(-0.01).Contains(c.Min.Add(geom.Vec2{X: x, Y: y}))
			}
		}
		if s := newShadow(o); hit && !s.meets(c) {
			t.Errorf("%d: a solid in the cell is not seen", i)
		} else if g, _, _ := o.Gap(geom.Rect(c.Centre(), 3, 3, 0)); g > 0.2 && s.meets(c) {
			t.Errorf("%d: seen in a cell that is %g away", i, g)
		}
	}
}
