package geom

import (
	"math"
	"math/rand/v2"
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
		const tol = 1e-6
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

// slightCorner is a star of lines and arcs in which one corner is all but straight: it bends by 1e-8 to 0.1 rad.
func slightCorner(r *rand.Rand) Outline {
	n := 4 + r.IntN(5)
	d := 5 + 35*r.Float64()
	var o Outline
	for i := range n {
		s, c := math.Sincos(float64(i) * 2 * math.Pi / float64(n))
		at := d / 2 * (0.5 + 0.5*r.Float64())
		v := Vertex{P: Vec2{at * c, at * s}}
		if r.IntN(2) == 0 {
			v.Bulge = (r.Float64() - 0.3) * 0.3
		}
		o = append(o, v)
	}
	k := r.IntN(n)
	e, _ := newEdge(o[k].P, o[(k+1)%n].P, o[k].Bulge)
	_, dir := e.dirs()
	s, c := math.Sincos(math.Pow(10, -8+7*r.Float64()) * float64(1-2*r.IntN(2)))
	dir = Vec2{dir.X*c - dir.Y*s, dir.X*s + dir.Y*c}
	chord := o[(k+2)%n].P.Sub(o[(k+1)%n].P)
	if half := math.Atan2(dir.Cross(chord), dir.Dot(chord)); math.Abs(half) < 1.2 {
		o[(k+1)%n].Bulge = math.Tan(half / 2) // the next edge is the arc that leaves in that direction
	}
	return o
}

// plain reports that the edges meet at their ends only, and nowhere come near each other: within half a millimetre an offset may close a gap.
func plain(es []edge) bool {
	for i := range es {
		for j := i + 2; j < len(es); j++ {
			if g, _, _, _ := edgeGap(&es[i], &es[j]); (j+1)%len(es) != i && g < 0.7 {
				return false
			}
		}
		next := &es[(i+1)%len(es)]
		_, out := es[i].dirs()
		in, _ := next.dirs()
		if out.Dot(in) < -0.9 || len(es[i].crossings(next)) > 1 || es[i].r > 0 && es[i].r < 0.7 {
			return false
		}
	}
	return true
}

// Where a corner is all but straight the pieces of the new edge that meet there stand over by a hair, which is neither too near to the old
// edge nor a loose end: the outline vanished. By brute force: the new edge is |m| from the old one, and its area is that of the old one and of a
// band as wide as m along its edge.
func TestGrowSlightCorner(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	tried := 0
	for range 30000 {
		o := slightCorner(r)
		es := o.edges()
		if o.signedArea() <= 0 || !plain(es) {
			continue
		}
		tried++
		m := math.Pow(10, -4+3.5*r.Float64()) * float64(1-2*r.IntN(2))
		g := o.Grow(m)
		for _, e := range g.edges() {
			for k := range 9 {
				p := e.at(float64(k) / 8)
				if d := distanceTo(es, p); !close2(d, math.Abs(m), 1e-5) { // a bulge of 1e-6 counts as none: see curved
					t.Fatalf("%v by %v: %v of the new edge is %v from the old", o, m, p, d)
				}
			}
		}
		// Beyond the band there are the corners: sectors that open, kites that close, where arcs meet larger ones; and arcs that bend more or less.
		corners := 0.0
		for i := range es {
			_, out := es[i].dirs()
			in, _ := es[(i+1)%len(es)].dirs()
			corners += math.Tan(math.Abs(math.Atan2(out.Cross(in), out.Dot(in)))/2) + math.Abs(es[i].sweep)/2
		}
		if want := o.Area() + m*o.Perimeter(); !close2(g.Area(), want, 2*m*m*corners+1e-4) {
			t.Fatalf("%v by %v: area %v, want %v", o, m, g.Area(), want)
		}
	}
	if tried < 10000 {
		t.Errorf("only %d outlines", tried)
	}
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
