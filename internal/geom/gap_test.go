package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// walk gives points along the outline, no more than step apart.
func walk(o Outline, step float64) []Vec2 {
	var ps []Vec2
	for _, e := range o.edges() {
		n := math.Ceil(e.length() / step)
		for i := range int(n) {
			ps = append(ps, e.at(float64(i)/n))
		}
	}
	return ps
}

func TestGapKnown(t *testing.T) {
	sq := Rect(Vec2{}, 10, 10, 0)
	r := math.Sqrt2
	key := NotchedCircle(Vec2{}, 22.3, 3.2, 24.1)
	ell := Polygon(Vec2{0, 0}, Vec2{10, 0}, Vec2{10, 2}, Vec2{2, 2}, Vec2{2, 10}, Vec2{0, 10})
	for _, c := range []struct {
		name string
		o, q Outline
		gap  float64
		a, b Vec2
	}{
		{"discs apart", Circle(Vec2{}, 4), Circle(Vec2{5, 0}, 2), 2, Vec2{2, 0}, Vec2{4, 0}},
		{"discs touching", Circle(Vec2{}, 4), Circle(Vec2{0, 3}, 2), 0, Vec2{0, 2}, Vec2{0, 2}},
		{"discs overlapping", Circle(Vec2{}, 4), Circle(Vec2{2, 0}, 2), -1, Vec2{2, 0}, Vec2{1, 0}},
		{"one disc in the middle of another", Circle(Vec2{}, 4), Circle(Vec2{}, 2), -3, Vec2{2, 0}, Vec2{-1, 0}},
		{"square and disc, side", sq, Circle(Vec2{8, 1}, 4), 1, Vec2{5, 1}, Vec2{6, 1}},
		{"square and disc, corner", sq, Circle(Vec2{8, 9}, 4), 3, Vec2{5, 5}, Vec2{6.8, 7.4}},
		{"squares facing", sq, sq.Move(Place{At: Vec2{12, 4}}), 2, Vec2{5, 2}, Vec2{7, 2}},
		{"squares corner to corner", sq, sq.Move(Place{At: Vec2{13, 14}}), 5, Vec2{5, 5}, Vec2{8, 9}},
		{"square and corner", sq, sq.Move(Place{At: Vec2{7 + 5*r, 0}, Turn: 45}), 2, Vec2{5, 0}, Vec2{7, 0}},
		{"squares overlapping", sq, sq.Move(Place{At: Vec2{8, 4}}), -2, Vec2{5, 2}, Vec2{3, 2}},
		{"the same square twice", sq, sq, -10, Vec2{}, Vec2{}},
		{"slots end to end", Slot(Vec2{}, 10, 4), Slot(Vec2{11, 0}, 10, 4), 1, Vec2{5, 0}, Vec2{6, 0}},
		{"slot over slot", Slot(Vec2{}, 10, 4), Slot(Vec2{2, 7}, 10, 4), 3, Vec2{1, 2}, Vec2{1, 5}},
		{"disc over the key", key, Circle(Vec2{0, 20}, 4), 18 - 12.95, Vec2{0, 12.95}, Vec2{0, 18}},
		{"disc in the angle", ell, Circle(Vec2{6, 6}, 4), 2, Vec2{6, 2}, Vec2{6, 4}},
		{"square touching in the angle", ell, Rect(Vec2{5, 5}, 6, 6, 0), 0, Vec2{2, 2}, Vec2{2, 2}},
	} {
		g, a, b := c.o.Gap(c.q)
		if !close2(g, c.gap, 1e-12) {
			t.Errorf("%s: gap %v, want %v", c.name, g, c.gap)
		}
		if c.a != c.b && (a.Sub(c.a).Len() > 1e-9 || b.Sub(c.b).Len() > 1e-9) {
			if c.name != "disc in the angle" { // two nearest points there
				t.Errorf("%s: at %v and %v, want %v and %v", c.name, a, b, c.a, c.b)
			}
		}
	}
}

// Apart: no two sampled points are nearer than the gap, some are nearly as near, and the given points are on the edges.
func TestGapApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, q := drawOutline(t), drawOutline(t).Move(drawPlace(t, 45))
		g, a, b := o.Gap(q)
		if g2, _, _ := q.Gap(o); !close2(g, g2, 1e-9) {
			t.Fatalf("%v one way, %v the other", g, g2)
		}
		if g <= 0 {
			return
		}
		if !close2(a.Sub(b).Len(), g, 1e-9) || distanceTo(o.edges(), a) > 1e-9 || distanceTo(q.edges(), b) > 1e-9 {
			t.Fatalf("gap %v between %v and %v", g, a, b)
		}
		const step = 0.25
		near := math.Inf(1)
		qs := q.edges()
		for _, p := range walk(o, step) {
			if contains(qs, p) {
				t.Fatalf("gap %v, but %v lies in both", g, p)
			}
			near = min(near, distanceTo(qs, p))
		}
		if near < g-1e-9 || near > g+step/2+1e-9 {
			t.Fatalf("gap %v, sampled %v", g, near)
		}
		// both sides sampled, which uses no distances of edges at all
		near = math.Inf(1)
		ps := walk(q, step)
		for _, p := range walk(o, step) {
			for _, r := range ps {
				near = min(near, p.Sub(r).Len())
			}
		}
		if near < g-1e-9 || near > g+step+1e-9 {
			t.Fatalf("gap %v, sampled pairs %v", g, near)
		}
	})
}

// Overlapping: the given shift parts the shapes exactly when they are convex, no shorter one does, and two that overlap share area.
func TestGapOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, q := drawOutline(t), drawOutline(t).Move(drawPlace(t, 15))
		g, a, b := o.Gap(q)
		if g > 0 {
			return
		}
		if !close2(a.Sub(b).Len(), -g, 1e-9) && g < 0 {
			t.Fatalf("depth %v between %v and %v", -g, a, b)
		}
		if g == 0 {
			os, qs := o.edges(), q.edges()
			for _, p := range walk(o, 0.1) {
				if contains(qs, p) && distanceTo(qs, p) > 1e-6 {
					t.Fatalf("said to touch only, but %v lies inside", p)
				}
			}
			for _, p := range walk(q, 0.1) {
				if contains(os, p) && distanceTo(os, p) > 1e-6 {
					t.Fatalf("said to touch only, but %v lies inside", p)
				}
			}
		}
		convex := o.IsConvex() && q.IsConvex()
		g2, _, _ := o.Gap(q.Move(Place{At: a.Sub(b)}))
		if g2 < -1e-6 || convex && g2 > 1e-6 {
			t.Fatalf("gap %v, and %v after the shift", g, g2)
		}
		if !convex || g > -1e-6 {
			return
		}
		s, c := math.Sincos(rapid.Float64Range(0, 7).Draw(t, "angle"))
		g3, _, _ := o.Gap(q.Move(Place{At: Vec2{c, s}.Mul(-g * 0.999)}))
		if g3 > 0 {
			t.Fatalf("gap %v, but a shorter shift along %v %v parts them by %v", g, c, s, g3)
		}
		// what overlaps shares points: of the edges, or all of one lies in the other
		if g < -0.2 {
			found := false
			os, qs := o.edges(), q.edges()
			for _, p := range walk(o, 0.05) {
				found = found || contains(qs, p)
			}
			for _, p := range walk(q, 0.05) {
				found = found || contains(os, p)
			}
			if !found {
				t.Fatalf("gap %v, but no common point", g)
			}
		}
	})
}

// For convex shapes two ways lead to the gap: pieces of edges, and the least of the support sum over all directions.
func TestFanAgreesWithEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, q := newShape(drawConvex(t)), newShape(drawConvex(t).Move(drawPlace(t, 60)))
		least, u := o.hull().overlap(q.hull())
		if !close2(u.Len(), 1, 1e-12) {
			t.Fatal(u)
		}
		if least < -1e-9 {
			if g, _, _ := edgesGap(o.es, q.es); !close2(g, -least, 1e-9) {
				t.Fatalf("support says %v, edges %v", -least, g)
			}
		}
		best := math.Inf(1)
		for i := range 720 {
			s, c := math.Sincos(float64(i) * math.Pi / 360)
			u := Vec2{c, s}
			best = min(best, support(o, u).Sub(support(q, u.Mul(-1))).Dot(u))
		}
		// the support sum changes by no more than the size of both for each radian
		slack := math.Pi / 720 * (o.box.Union(q.box).Size().Len() * 2)
		if best < least-1e-9 || best > least+slack {
			t.Fatalf("least %v, sampled %v", least, best)
		}
	})
}

func support(s *shape, u Vec2) Vec2 {
	best := s.es[0].a
	for i := range s.es {
		if p := s.es[i].support(u); p.Dot(u) > best.Dot(u) {
			best = p
		}
	}
	return best
}

// The fan of a shape that is not convex is that of its hull.
func TestFanOfHull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOutline(t).Move(drawPlace(t, 20))
		f := newFan(o.edges())
		a := rapid.Float64Range(0, 2*math.Pi-1e-9).Draw(t, "angle")
		i := 0
		for f[i].to < a && i < len(f)-1 {
			i++
		}
		s, c := math.Sincos(a)
		u := Vec2{c, s}
		if h, want := f[i].c.Dot(u)+f[i].r, o.Support(u).Dot(u); !close2(h, want, 1e-6) {
			t.Fatalf("fan %v, outline %v", h, want)
		}
		h := hullShape(f)
		if a := chainAll(h.es).signedArea(); a < o.Area()-1e-8*(100+o.Area()) || o.IsConvex() && a > o.Area()+1e-8*(100+o.Area()) {
			t.Fatalf("area %v, of the hull %v", o.Area(), a)
		}
		for _, e := range h.es {
			if e.sweep < 0 {
				t.Fatal("the hull is not convex")
			}
		}
		p := Vec2{rapid.Float64Range(-30, 30).Draw(t, "x"), rapid.Float64Range(-30, 30).Draw(t, "y")}
		if o.Contains(p) && !contains(h.es, p) && distanceTo(h.es, p) > 1e-6 {
			t.Fatalf("%v in the outline, not in its hull", p)
		}
	})
}

// Gaps do not change when both shapes move together.
func TestGapMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, q := drawOutline(t), drawOutline(t).Move(drawPlace(t, 40))
		p := drawPlace(t, 200)
		g, _, _ := o.Gap(q)
		h, _, _ := o.Move(p).Gap(q.Move(p))
		// touching by less than rounding may count either way where hulls stand in for shapes
		if !close2(g, h, 1e-7) && (o.IsConvex() && q.IsConvex() || math.Abs(g) > 1e-7 && math.Abs(h) > 1e-7) {
			t.Fatalf("%v, then %v", g, h)
		}
	})
}

func TestMarginKnown(t *testing.T) {
	sheet := Rect(Vec2{50, 25}, 100, 50, 5)
	for _, c := range []struct {
		name  string
		inner Outline
		m     float64
		at    Vec2
	}{
		{"hole near the left edge", Circle(Vec2{10, 25}, 16), 2, Vec2{2, 25}},
		{"hole touching", Circle(Vec2{8, 25}, 16), 0, Vec2{0, 25}},
		{"hole over the edge", Circle(Vec2{5, 25}, 16), -3, Vec2{-3, 25}},
		{"hole off the sheet", Circle(Vec2{-20, 25}, 16), -28, Vec2{-28, 25}},
		{"hole in the round corner", Circle(Vec2{5, 5}, 4), 3, Vec2{}},
		{"corner beyond the round corner", Rect(Vec2{10, 10}, 20, 20, 0), -5 * (math.Sqrt2 - 1), Vec2{0, 0}},
		{"sheet itself", sheet, 0, Vec2{}},
		{"larger than the sheet", Rect(Vec2{50, 25}, 120, 20, 0), -10, Vec2{}},
	} {
		m, at := sheet.Margin(c.inner)
		if !close2(m, c.m, 1e-9) {
			t.Errorf("%s: margin %v, want %v", c.name, m, c.m)
		}
		if c.at != (Vec2{}) && at.Sub(c.at).Len() > 1e-9 {
			t.Errorf("%s: at %v, want %v", c.name, at, c.at)
		}
	}
}

// Margins agree with sampled points of the inner edge.
func TestMarginSampled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOutline(t)
		if rapid.Bool().Draw(t, "large") {
			o = Rect(Vec2{}, num(t, 30, 90, "w"), num(t, 30, 90, "h"), num(t, 0, 15, "r"))
		}
		q := drawOutline(t).Move(drawPlace(t, 25))
		m, at := o.Margin(q)
		if o.Holds(q) != (m >= 0) {
			t.Fatalf("margin %v, but holds is %v", m, o.Holds(q))
		}
		es := o.edges()
		if distanceTo(q.edges(), at) > 1e-9 {
			t.Fatalf("%v is not on the inner edge", at)
		}
		const step = 0.1
		out, in := 0.0, math.Inf(1)
		for _, p := range walk(q, step) {
			d := distanceTo(es, p)
			if d <= 1e-9 || contains(es, p) {
				in = min(in, d)
			} else {
				out = max(out, d)
			}
		}
		switch {
		case m < 0:
			tol := 1e-9
			if !o.IsConvex() {
				tol = 1e-3 // found by search
			}
			if out > -m+tol || out < -m-step/2-tol {
				t.Fatalf("margin %v, sampled %v outside", m, -out)
			}
			if !close2(distanceTo(es, at), -m, 1e-9) || contains(es, at) {
				t.Fatalf("margin %v at %v", m, at)
			}
		case out > 1e-9:
			t.Fatalf("margin %v, but sampled %v outside", m, out)
		case in < m-1e-9 || in > m+step/2+1e-9:
			t.Fatalf("margin %v, sampled %v", m, in)
		}
	})
}

// The quick answer for a hole in a board is the same as the measured one.
func TestHoldsInBoards(t *testing.T) {
	quick := 0
	rapid.Check(t, func(t *rapid.T) {
		board := Polygon(Vec2{}, Vec2{num(t, 20, 90, "w"), num(t, -9, 9, "a")}, Vec2{num(t, 20, 90, "v"), num(t, 20, 60, "h")}, Vec2{num(t, -9, 9, "x"), num(t, 20, 60, "y")})
		q := drawOutline(t).Move(drawPlace(t, 40))
		if board.holdsBox(q.Bounds()) {
			quick++
		}
		if m, _ := board.Margin(q); board.Holds(q) != (m >= 0) {
			t.Fatalf("margin %v, but holds is %v", m, board.Holds(q))
		}
	})
	if quick == 0 {
		t.Error("the quick way was never taken")
	}
}

func BenchmarkOutlineGap(b *testing.B) {
	o, q := Rect(Vec2{}, 20, 10, 2), Hexagon(Vec2{18, 9}, 10)
	for b.Loop() {
		o.Gap(q)
	}
}
