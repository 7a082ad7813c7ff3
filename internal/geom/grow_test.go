package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestGrowKnown(t *testing.T) {
	ell := Polygon(Vec2{0, 0}, Vec2{10, 0}, Vec2{10, 4}, Vec2{4, 4}, Vec2{4, 10}, Vec2{0, 10})
	// two squares of 10 joined by a neck 2 wide: inwards by 2 it falls in two
	bone := Polygon(Vec2{0, 0}, Vec2{10, 0}, Vec2{10, 4}, Vec2{14, 4}, Vec2{14, 0}, Vec2{26, 0}, Vec2{26, 10}, Vec2{14, 10}, Vec2{14, 6}, Vec2{10, 6}, Vec2{10, 10}, Vec2{0, 10})
	// a bend inwards so slight that the offset edges still run within tolerance of each other beyond their crossing
	slight := Outline{{Vec2{2.5, 1}, 0}, {Vec2{1.25, 3.165}, 0}, {Vec2{-1.25, 3.165}, 0}, {Vec2{-2.5, 1}, 0}, {Vec2{-1.25, -1.165}, 0.3}, {Vec2{0.91796875, -0.59}, 0}}
	for _, c := range []struct {
		name string
		o    Outline
		m    float64
		area float64
		n    int // corners
	}{
		{"circle", Circle(Vec2{}, 10), 1, 36 * math.Pi, 2},
		{"circle inwards", Circle(Vec2{}, 10), -1, 16 * math.Pi, 2},
		{"circle gone", Circle(Vec2{}, 10), -5, 0, 0},
		{"square", Rect(Vec2{}, 10, 10, 0), 1, 100 + 40 + math.Pi, 8},
		{"square inwards", Rect(Vec2{}, 10, 10, 0), -1, 64, 4},
		{"square gone", Rect(Vec2{}, 10, 10, 0), -5, 0, 0},
		{"square well gone", Rect(Vec2{}, 10, 10, 0), -7, 0, 0},
		{"rectangle gone", Rect(Vec2{}, 100, 10, 0), -5, 0, 0},
		{"rounded", Rect(Vec2{}, 10, 6, 2), 1, 12*8 - (4-math.Pi)*9, 8},
		{"rounded inwards", Rect(Vec2{}, 10, 6, 2), -1, 8*4 - (4 - math.Pi), 8},
		{"rounded to sharp", Rect(Vec2{}, 10, 6, 2), -2, 6 * 2, 4},
		{"rounded past sharp", Rect(Vec2{}, 10, 6, 2), -2.5, 5 * 1, 4},
		{"slot", Slot(Vec2{}, 10, 4), 1, 6*6 + 9*math.Pi, 4},
		{"slot inwards", Slot(Vec2{}, 10, 4), -1, 6*2 + math.Pi, 4},
		{"slot gone", Slot(Vec2{}, 10, 4), -2, 0, 0},
		{"angle", ell, 1, 64 + 40 + 5*math.Pi/4 - 1, 11},
		{"angle inwards", ell, -1, 64 - 40 + 4 + 1 - math.Pi/4, 7},
		{"angle far in", ell, -1.9, 0, 7},
		{"bone in two", bone, -2, 48 + 4 - math.Sqrt(3) - 2*math.Pi/3, 7}, // with a nose in the neck
		{"slight bend", slight, 0.000122, slight.Area() + 0.000122*slight.Perimeter(), 11},
		{"nothing done", ell, 0, 64, 6},
	} {
		g := c.o.Grow(c.m)
		if c.name == "angle far in" {
			if g == nil || len(g) != c.n {
				t.Errorf("%s: %v", c.name, g)
			}
			continue
		}
		tol := 1e-9
		if c.name == "slight bend" {
			tol = 1e-7 // its corners count with m²
		}
		if a := g.Area(); !close2(a, c.area, tol) || g.signedArea() < 0 {
			t.Errorf("%s: area %v, want %v: %v", c.name, a, c.area, g)
		}
		if len(g) != c.n {
			t.Errorf("%s: %d corners, want %d: %v", c.name, len(g), c.n, g)
		}
	}
}

// Every point of the new edge is |m| from the old one, on the right side; and points that should lie inside do.
func TestGrowSampled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOutline(t).Move(drawPlace(t, 30))
		m := num(t, -6, 10, "m")
		g := o.Grow(m)
		es := o.edges()
		tol := 1e-6
		if m > 0 && m < 0.01 { // see Grow
			tol = 5e-3
		}
		for _, p := range walk(g, 0.2) {
			if d := distanceTo(es, p); !close2(d, math.Abs(m), tol) {
				t.Fatalf("%v of the new edge is %v from the old, want %v", p, d, m)
			}
			if math.Abs(m) > 1e-6 && contains(es, p) != (m < 0) {
				t.Fatalf("%v of the new edge is on the wrong side", p)
			}
		}
		if g != nil && g.signedArea() <= 0 {
			t.Fatal("clockwise")
		}
		b := o.Bounds().Grow(max(m, 0) + 1)
		gs := g.edges()
		convex := o.IsConvex()
		for range 100 {
			p := Vec2{rapid.Float64Range(b.Min.X, b.Max.X).Draw(t, "px"), rapid.Float64Range(b.Min.Y, b.Max.Y).Draw(t, "py")}
			d := distanceTo(es, p)
			if contains(es, p) {
				d = -d
			}
			if math.Abs(d-m) < 2*tol {
				continue
			}
			in := contains(gs, p)
			switch {
			case m >= 0 && d < m && !in:
				t.Fatalf("%v is %v outside, but not in the outline grown by %v", p, d, m)
			case in && d > m && (m < 0 || convex):
				t.Fatalf("%v is %v outside, but in the outline grown by %v", p, d, m)
			case m < 0 && convex && d < m && !in:
				t.Fatalf("%v is %v inside, but not in the outline grown by %v", p, -d, m)
			}
		}
	})
}

// Convex outlines obey Steiner's formulas: area + m·perimeter + π·m², perimeter + 2π·m; and what grew by m shrinks back.
func TestGrowSteiner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawConvex(t).Move(drawPlace(t, 50))
		m := num(t, 0, 20, "m")
		if m < 1e-4 {
			m = 0
		}
		g := o.Grow(m)
		if want := o.Area() + m*o.Perimeter() + math.Pi*m*m; !close2(g.Area(), want, 1e-9*want) {
			t.Fatalf("area %v, want %v", g.Area(), want)
		}
		if want := o.Perimeter() + 2*math.Pi*m; !close2(g.Perimeter(), want, 1e-9*want) {
			t.Fatalf("perimeter %v, want %v", g.Perimeter(), want)
		}
		if !g.IsConvex() {
			t.Fatal("not convex any more")
		}
		if back := g.Grow(-m); !close2(back.Area(), o.Area(), 1e-5*(1+g.Perimeter())) {
			t.Fatalf("area %v, grown %v, shrunk back %v", o.Area(), g.Area(), back.Area())
		}
	})
}
