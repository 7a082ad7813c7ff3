package box

import (
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// stands reports by plain statics whether a box stands: the line of the resultant of weight and push, where it meets the table, must lie
// in the polygon.
func stands(poly []geom.Vec2, c geom.Vec3, weight float64, at, f geom.Vec3) bool {
	down := weight - f.Z
	if down <= 0 {
		return false
	}
	// moments about the origin of the table, and the point at which one force at the table has the same
	mx := at.Y*f.Z - at.Z*f.Y - c.Y*weight
	my := at.Z*f.X - at.X*f.Z + c.X*weight
	p := geom.Vec2{X: my / down, Y: -mx / down}
	turn := 0.0
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		turn += math.Atan2(a.Sub(p).Cross(b.Sub(p)), a.Sub(p).Dot(b.Sub(p)))
	}
	return math.Abs(turn) > 3
}

// TestTips holds the sum over the edges against brute force: the push grown until the resultant leaves the feet.
func TestTips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		var pts []geom.Vec2
		for range rapid.IntRange(3, 8).Draw(t, "corners") {
			pts = append(pts, geom.Vec2{X: num("x", 0, 400), Y: num("y", 0, 300)})
		}
		poly := ring(pts)
		if len(poly) < 3 || geom.Polygon(poly...).Area() < 500 {
			t.Skip("no polygon")
		}
		for i := range poly {
			if poly[(i+1)%len(poly)].Sub(poly[i]).Len() < 1 {
				t.Skip("two feet in one place")
			}
		}
		c := geom.Vec3{X: num("cx", 0, 400), Y: num("cy", 0, 300), Z: num("cz", 10, 100)}
		at := geom.Vec3{X: num("px", -20, 420), Y: num("py", -20, 320), Z: num("pz", 5, 250)}
		f := geom.Vec3{X: num("fx", -1, 1), Y: num("fy", -1, 1), Z: num("fz", -1, 0)}.Mul(30)
		w := num("weight", 5, 60)
		if m := inside(poly, c.XY()); m > -0.1 && m < 0.1 {
			t.Skip("on the edge")
		}
		times := Tips(poly, c, w, at, f)
		if !stands(poly, c, w, at, geom.Vec3{}) {
			if times > 1e-9 && inside(poly, c.XY()) < -1e-6 {
				t.Fatalf("it falls by itself, yet a push of %g is said to be wanted", times)
			}
			return
		}
		for _, k := range []float64{0.5, 0.9, 0.999, 1.001, 1.1, 2, 10} {
			s := k
			if !math.IsInf(times, 1) {
				s = times * k
			} else {
				s = 1000 * k
			}
			want := s < times
			if got := stands(poly, c, w, at, f.Mul(s)); got != want {
				t.Fatalf("pushed %g times (it tips at %g): stands is %v", s, times, got)
			}
		}
	})
}

// TestTipsByHand: 20 N with its middle 100 mm behind the front feet, a push of 30 N straight down 50 mm before them: 20·100/(30·50) = 4/3.
// A push of 30 N level, away, 100 mm up, tips it over the rear feet 100 mm behind the middle: 20·100/(30·100) = 2/3.
func TestTipsByHand(t *testing.T) {
	poly := []geom.Vec2{{X: 0, Y: 0}, {X: 300, Y: 0}, {X: 300, Y: 200}, {X: 0, Y: 200}}
	c := geom.Vec3{X: 150, Y: 100, Z: 40}
	if got := Tips(poly, c, 20, geom.Vec3{X: 150, Y: -50, Z: 60}, geom.Vec3{Z: -30}); math.Abs(got-4.0/3) > 1e-12 {
		t.Errorf("down before the feet: %g", got)
	}
	if got := Tips(poly, c, 20, geom.Vec3{X: 150, Y: 0, Z: 100}, geom.Vec3{Y: 30}); math.Abs(got-2.0/3) > 1e-12 {
		t.Errorf("level: %g", got)
	}
	if got := Tips(poly, c, 20, geom.Vec3{X: 150, Y: 100, Z: 100}, geom.Vec3{Z: -30}); !math.IsInf(got, 1) {
		t.Errorf("down in the middle: %g", got)
	}
	if got := Tips(poly, geom.Vec3{X: 150, Y: -1, Z: 40}, 20, geom.Vec3{}, geom.Vec3{}); got != 0 {
		t.Errorf("falls by itself: %g", got)
	}
}

// TestMass: a flat box 300 x 200 x 80 of 10 mm ply, 700 kg/m³, under a face of 3 mm at 1190: base 300·200·10, front and back 300·10·67,
// sides 180·10·67, face 300·200·3; cm³ times density.
func TestMass(t *testing.T) {
	r := Judge(order(made(t, flat(300, 200, 80, 10))))
	want := (300*200*10+2*300*10*67+2*180*10*67)*700e-6 + 300*200*3*1190e-6
	if math.Abs(r.Stand.Grams-want) > 1e-6*want {
		t.Errorf("weighs %g g, want %g", r.Stand.Grams, want)
	}
	if c := r.Stand.Centre; math.Abs(c.X-150) > 1e-6 || math.Abs(c.Y-100) > 1e-6 {
		t.Errorf("its middle is %v", c)
	}
}

// TestFeet: feet lie on the base, clear of heads and of each other, and the centre of mass lies between them, over random boxes.
func TestFeet(t *testing.T) {
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		c := drawBox(t)
		o := order(c)
		r := Judge(o)
		for i, f := range r.Feet {
			seen++
			b := c.Board(f.Board)
			if m, _ := b.OuterOutline.Margin(geom.Circle(f.Seen, f.Diameter)); m < 0.5-1e-9 {
				t.Fatalf("foot %d stands out of the base by %g", i, -m)
			}
			for _, s := range r.Screws {
				if s.Through == f.Board && s.At.Sub(f.At).Len() < f.Diameter/2+s.Size.Major+limFootGap.Default-1e-6 {
					t.Fatalf("foot %d lies on screw %d", i, s.N)
				}
			}
			for _, g := range r.Feet[:i] {
				if g.At.Sub(f.At).Len() < f.Diameter {
					t.Fatal("two feet in one place")
				}
			}
		}
	})
	if seen == 0 {
		t.Error("no foot was placed in any box")
	}
}

// TestPush: a light box with feet set far in tips under a push at its front edge, and with feet at its corners it does not; on a steep
// face a push slides it.
func TestPush(t *testing.T) {
	c := made(t, flat(300, 200, 80, 10))
	o := order(c)
	o.Presses = []Press{{Name: "GO", At: geom.Vec3{X: 150, Y: 5, Z: 90}, Dir: geom.Vec3{Z: -1}}}
	if fs := of(Judge(o).Findings, "box.tips"); len(fs) != 0 {
		t.Errorf("feet in the corners: %v", fs)
	}
	o.Feet = Feet{Inset: 70, Diameter: 12, Height: 5}
	r := Judge(o)
	fs := of(r.Findings, "box.tips")
	// front feet bear as far as 70 - 3 = 67 mm from the front; weight · 33 against 30 N · 62 mm
	want := r.Stand.Grams * gravity * (r.Stand.Centre.Y - 67) / 62
	if len(fs) != 1 || math.Abs(fs[0].Measure.Have-math.Round(want)) > 1 || fs[0].Measure.Want != 45 {
		t.Errorf("feet far in: %v, want %g N", fs, want)
	}
	steep := made(t, desk())
	o = order(steep)
	n := geom.Vec3{Y: -math.Sin(math.Pi / 3), Z: math.Cos(math.Pi / 3)}
	o.Presses = []Press{{Name: "GO", At: geom.Vec3{X: 220, Y: 140, Z: 90}, Dir: n.Mul(-1)}}
	r = Judge(o)
	if fs := of(r.Findings, "box.slides"); len(fs) != 1 {
		t.Errorf("a steep push: %v", fs)
	} else {
		level, holds := 30*math.Sin(math.Pi/3), 0.6*(r.Stand.Grams*gravity+30*math.Cos(math.Pi/3))
		if m := fs[0].Measure; math.Abs(m.Have-level) > 0.06 || math.Abs(m.Want-holds) > 0.06 {
			t.Errorf("have %g want %g, by hand %g and %g", m.Have, m.Want, level, holds)
		}
	}
}
