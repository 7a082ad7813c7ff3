package geom

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// num draws a number of a workshop's size in steps of about a thousandth, often a round one, so that edges line up and touch.
// Stranger numbers are left to the fuzz tests.
func num(t *rapid.T, lo, hi float64, name string) float64 {
	if rapid.Bool().Draw(t, name+" round") {
		return float64(rapid.IntRange(int(math.Ceil(lo)), int(math.Floor(hi))).Draw(t, name))
	}
	return float64(rapid.IntRange(int(math.Ceil(lo*1024)), int(math.Floor(hi*1024))).Draw(t, name)) / 1024
}

func drawPlace(t *rapid.T, reach float64) Place {
	p := Place{At: Vec2{num(t, -reach, reach, "x"), num(t, -reach, reach, "y")}, Flip: rapid.Bool().Draw(t, "flip")}
	if rapid.Bool().Draw(t, "turned") {
		p.Turn = num(t, -400, 400, "turn")
	}
	return p
}

// drawConvex draws one of the convex shapes at the origin.
func drawConvex(t *rapid.T) Outline {
	d := num(t, 1, 40, "size")
	e := num(t, 1, 40, "other size")
	switch rapid.IntRange(0, 7).Draw(t, "shape") {
	case 0:
		return Circle(Vec2{}, d)
	case 1:
		return Rect(Vec2{}, d, e, 0)
	case 2:
		return Rect(Vec2{}, d, e, num(t, 0, min(d, e)/2, "corner"))
	case 3:
		return Slot(Vec2{}, d, e)
	case 4:
		return DoubleD(Vec2{}, d, d*rapid.Float64Range(0.2, 1.1).Draw(t, "flats"))
	case 5:
		return SingleD(Vec2{}, d, d*rapid.Float64Range(0.2, 1.1).Draw(t, "height"))
	case 6:
		return Hexagon(Vec2{}, d)
	}
	// corners on an ellipse, joined by lines or flat arcs
	n := rapid.IntRange(3, 7).Draw(t, "corners")
	var pts []Vec2
	for i := range n {
		s, c := math.Sincos((float64(i) + rapid.Float64Range(0, 0.9).Draw(t, "at")) * 2 * math.Pi / float64(n))
		pts = append(pts, Vec2{d / 2 * c, e / 2 * s})
	}
	return Polygon(pts...)
}

// drawOutline draws any shape, one that is not convex in about half the cases.
func drawOutline(t *rapid.T) Outline {
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0:
		d := num(t, 4, 40, "d")
		return NotchedCircle(Vec2{}, d, d*rapid.Float64Range(0.05, 0.6).Draw(t, "notch"), d*rapid.Float64Range(0.7, 1.3).Draw(t, "overall"))
	case 1:
		// a star: corners at varying distance, joined by lines and arcs that stay within their sector
		n := rapid.IntRange(4, 8).Draw(t, "corners")
		d := num(t, 5, 40, "d")
		var o Outline
		for i := range n {
			s, c := math.Sincos(float64(i) * 2 * math.Pi / float64(n))
			r := d / 2 * rapid.Float64Range(0.5, 1).Draw(t, "r")
			v := Vertex{P: Vec2{r * c, r * s}}
			if rapid.Bool().Draw(t, "arc") {
				v.Bulge = rapid.Float64Range(0.001, 0.3).Draw(t, "bulge")
				if rapid.Bool().Draw(t, "hollow") {
					v.Bulge *= -0.5
				}
			}
			o = append(o, v)
		}
		return o
	}
	return drawConvex(t)
}

func close2(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func TestShapes(t *testing.T) {
	c := Vec2{3, -2}
	dd := func(d, f float64) (area, around float64) { // circle with two segments cut off
		r := d / 2
		a := math.Acos(f / d)
		return math.Pi*r*r - 2*(r*r*(a-math.Sin(2*a)/2)), 2*math.Pi*r - 4*r*a + 4*r*math.Sin(a)
	}
	sd := func(d, h float64) (area, around float64) {
		r := d / 2
		a := math.Acos((h - r) / r)
		return math.Pi*r*r - r*r*(a-math.Sin(2*a)/2), 2*math.Pi*r - 2*r*a + 2*r*math.Sin(a)
	}
	ddA, ddP := dd(12, 10)
	sdA, sdP := sd(9, 8)
	sdA2, sdP2 := sd(9, 2) // more than half is cut off
	// a circle of 22.3 with a notch 3.2 wide to 24.1: the part of the notch beyond the circle
	r, w := 11.15, 1.6
	foot := math.Sqrt(r*r - w*w)
	a := math.Asin(w / r)
	top := 24.1 - r
	nA := math.Pi*r*r - r*r*(a-math.Sin(2*a)/2) + 2*w*(top-foot)
	nP := 2*math.Pi*r - 2*r*a + 2*(top-foot) + 2*w
	for _, s := range []struct {
		name         string
		o            Outline
		area, around float64
		w, h         float64
		convex       bool
	}{
		{"circle", Circle(c, 10), 25 * math.Pi, 10 * math.Pi, 10, 10, true},
		{"rectangle", Rect(c, 10, 4, 0), 40, 28, 10, 4, true},
		{"rounded", Rect(c, 10, 4, 1), 40 - 4 + math.Pi, 28 - 8 + 2*math.Pi, 10, 4, true},
		{"too round", Rect(c, 10, 4, 9), 24 + 4*math.Pi, 12 + 4*math.Pi, 10, 4, true},
		{"upright, too round", Rect(c, 4, 10, 9), 24 + 4*math.Pi, 12 + 4*math.Pi, 4, 10, true},
		{"round rectangle", Rect(c, 4, 4, 2), 4 * math.Pi, 4 * math.Pi, 4, 4, true},
		{"slot", Slot(c, 10, 4), 24 + 4*math.Pi, 12 + 4*math.Pi, 10, 4, true},
		{"upright slot", Slot(c, 4, 10), 24 + 4*math.Pi, 12 + 4*math.Pi, 4, 10, true},
		{"double D", DoubleD(c, 12, 10), ddA, ddP, 12, 10, true},
		{"single D", SingleD(c, 9, 8), sdA, sdP, 9, 8, true},
		{"low single D", SingleD(c, 9, 2), sdA2, sdP2, 2 * math.Sqrt(4.5*4.5-2.5*2.5), 2, true},
		{"notched", NotchedCircle(c, 22.3, 3.2, 24.1), nA, nP, 22.3, 24.1, false},
		{"hexagon", Hexagon(c, 10), 50 * math.Sqrt(3), 60 / math.Sqrt(3), 20 / math.Sqrt(3), 10, true},
		{"triangle", Polygon(Vec2{0, 0}, Vec2{0, 3}, Vec2{4, 0}), 6, 12, 4, 3, true},
		{"angle", Polygon(Vec2{0, 0}, Vec2{4, 0}, Vec2{4, 1}, Vec2{1, 1}, Vec2{1, 4}, Vec2{0, 4}), 7, 16, 4, 4, false},
	} {
		if got := s.o.Area(); !close2(got, s.area, 1e-9) {
			t.Errorf("%s: area %v, want %v", s.name, got, s.area)
		}
		if got := s.o.Perimeter(); !close2(got, s.around, 1e-9) {
			t.Errorf("%s: perimeter %v, want %v", s.name, got, s.around)
		}
		if got := s.o.Bounds().Size(); !close2(got.X, s.w, 1e-9) || !close2(got.Y, s.h, 1e-9) {
			t.Errorf("%s: size %v, want %v x %v", s.name, got, s.w, s.h)
		}
		if s.o.IsConvex() != s.convex {
			t.Errorf("%s: convex %v", s.name, !s.convex)
		}
		if s.o.signedArea() < 0 || s.o.Empty() {
			t.Errorf("%s runs clockwise", s.name)
		}
	}
	for _, o := range []Outline{Rect(c, 10, 0, 0), Rect(c, -1, 3, 0), Slot(c, 3, 0), DoubleD(c, 0, 1), SingleD(c, 4, 0), NotchedCircle(c, 0, 1, 1), Hexagon(c, 0), Polygon(c, c, c), Polygon(c, Vec2{1, 1}), Polygon(Vec2{}, Vec2{1, 1}, Vec2{2, 2})} {
		if o != nil {
			t.Errorf("got %v, want nothing", o)
		}
	}
	for _, o := range []Outline{DoubleD(c, 5, 5), SingleD(c, 5, 6), NotchedCircle(c, 5, 0, 6), NotchedCircle(c, 5, 1, 5)} {
		if m, d, ok := o.AsCircle(); !ok || d != 5 || m != c {
			t.Errorf("got %v, want a circle", o)
		}
	}
}

// The empty outline is empty in every respect.
func TestZeroOutline(t *testing.T) {
	var o Outline
	if !o.Empty() || o.Area() != 0 || o.Perimeter() != 0 || o.Contains(Vec2{}) || o.Move(Place{}) != nil || o.Grow(1) != nil ||
		o.Flatten(1) != nil || o.IsConvex() || o.Bounds() != EmptyBox2() {
		t.Error("not empty")
	}
	if g, _, _ := o.Gap(Circle(Vec2{}, 1)); !math.IsInf(g, 1) {
		t.Error(g)
	}
	if m, _ := o.Margin(Circle(Vec2{}, 1)); !math.IsInf(m, -1) {
		t.Error(m)
	}
	if m, _ := Circle(Vec2{}, 1).Margin(o); !math.IsInf(m, 1) {
		t.Error(m)
	}
	if NewPrism(o, 0, 1) != nil {
		t.Error("a solid over nothing")
	}
}

// A rigid move changes neither area, perimeter nor what lies inside, and keeps the outline counter-clockwise.
func TestMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOutline(t)
		p := drawPlace(t, 300)
		m := o.Move(p)
		if !close2(m.signedArea(), o.signedArea(), 1e-9*(1+o.Area())) || !close2(m.Perimeter(), o.Perimeter(), 1e-9*o.Perimeter()) {
			t.Fatalf("area %v became %v, perimeter %v became %v", o.signedArea(), m.signedArea(), o.Perimeter(), m.Perimeter())
		}
		if m.IsConvex() != o.IsConvex() {
			t.Fatal("convexity changed")
		}
		q := Vec2{num(t, -25, 25, "qx"), num(t, -25, 25, "qy")}
		if distanceTo(o.edges(), q) > 1e-6 && o.Contains(q) != m.Contains(p.Apply(q)) {
			t.Fatalf("%v inside: %v, then %v", q, o.Contains(q), m.Contains(p.Apply(q)))
		}
		if d1, d2 := distanceTo(o.edges(), q), distanceTo(m.edges(), p.Apply(q)); !close2(d1, d2, 1e-9) {
			t.Fatalf("distance %v became %v", d1, d2)
		}
	})
}

// Area, perimeter, bounds and inside agree with a fine polygon, which knows nothing of arcs.
func TestFlatten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOutline(t).Move(drawPlace(t, 100))
		const tol = 1e-4
		ps := o.Flatten(tol)
		poly := make(Outline, len(ps))
		b := EmptyBox2()
		for i, p := range ps {
			poly[i].P = p
			b = b.Extend(p)
		}
		around := o.Perimeter()
		if a := poly.signedArea(); !close2(a, o.signedArea(), tol*around+1e-9) {
			t.Fatalf("area %v, polygon %v", o.signedArea(), a)
		}
		if l := poly.Perimeter(); l > around+1e-9 || l < around*(1-1e-3) {
			t.Fatalf("perimeter %v, polygon %v", around, l)
		}
		ob := o.Bounds()
		for _, d := range []float64{b.Min.X - ob.Min.X, b.Min.Y - ob.Min.Y, ob.Max.X - b.Max.X, ob.Max.Y - b.Max.Y} {
			if d < -1e-9 || d > tol*1.01 {
				t.Fatalf("bounds %v, polygon %v", ob, b)
			}
		}
		for range 20 {
			p := Vec2{rapid.Float64Range(ob.Min.X-1, ob.Max.X+1).Draw(t, "px"), rapid.Float64Range(ob.Min.Y-1, ob.Max.Y+1).Draw(t, "py")}
			if distanceTo(o.edges(), p) > 2*tol && o.Contains(p) != windingNumber(ps, p) {
				t.Fatalf("%v inside %v: %v", p, o, o.Contains(p))
			}
		}
	})
}

// windingNumber tells inside from outside by the sum of the angles under which p sees the sides.
func windingNumber(ps []Vec2, p Vec2) bool {
	var sum float64
	for i, a := range ps {
		u, v := a.Sub(p), ps[(i+1)%len(ps)].Sub(p)
		sum += math.Atan2(u.Cross(v), u.Dot(v))
	}
	return math.Abs(sum) > math.Pi
}

// Points level with corners, tops and bottoms of arcs and middles are where crossing counts go wrong.
func TestContainsLevels(t *testing.T) {
	for _, o := range []Outline{
		Circle(Vec2{}, 10), Rect(Vec2{}, 10, 10, 3), Slot(Vec2{}, 10, 4), Slot(Vec2{}, 4, 10), DoubleD(Vec2{}, 10, 6),
		SingleD(Vec2{}, 10, 9), NotchedCircle(Vec2{}, 10, 2, 11), NotchedCircle(Vec2{}, 10, 2, 9), Hexagon(Vec2{}, 8),
		Circle(Vec2{}, 10).Move(Place{Turn: 90}), Circle(Vec2{}, 10).Move(Place{Turn: 30, Flip: true}),
	} {
		es := o.edges()
		ps := o.Flatten(1e-5)
		ys := []float64{0}
		for _, e := range es {
			ys = append(ys, e.a.Y, e.b.Y, e.box.Min.Y, e.box.Max.Y)
		}
		for _, y := range ys {
			for x := -7.0; x <= 7; x += 0.5 {
				p := Vec2{x, y}
				if distanceTo(es, p) > 1e-4 && o.Contains(p) != windingNumber(ps, p) {
					t.Errorf("%v inside %v: %v", p, o, o.Contains(p))
				}
			}
		}
	}
}

func TestSupport(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOutline(t).Move(drawPlace(t, 50))
		s, c := math.Sincos(rapid.Float64Range(0, 7).Draw(t, "angle"))
		u := Vec2{c, s}
		far := math.Inf(-1)
		for _, p := range o.Flatten(1e-5) {
			far = max(far, p.Dot(u))
		}
		if h := o.Support(u).Dot(u); h < far-1e-9 || h > far+2e-5 {
			t.Fatalf("support %v, sampled %v", h, far)
		}
		if p := o.Support(u.Mul(1e-3)); distanceTo(o.edges(), p) > 1e-9 {
			t.Fatalf("%v is not on the outline", p)
		}
	})
}
