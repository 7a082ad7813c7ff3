package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/thorough"
)

// sampled is a solid together with a way to reach every point of it from numbers in [0, 1] that uses no support function.
type sampled struct {
	Convex
	name  string
	dims  int
	loop  bool // the first number goes round and round
	point func(u []float64) Vec3
}

func (s sampled) moved(p Pose) sampled {
	return sampled{Posed(s.Convex, p), s.name + " moved", s.dims, s.loop, func(u []float64) Vec3 { return p.Apply(s.point(u)) }}
}

// drawSolid draws a prism, bar or hull about the origin.
func drawSolid(t *rapid.T) sampled {
	switch rapid.IntRange(0, 3).Draw(t, "solid") {
	case 0:
		o := drawConvex(t)
		z := num(t, -20, 20, "z")
		h := num(t, 0, 20, "h")
		es := o.edges()
		c := NewPrism(o, z, z+h)
		mid := c.Centre().XY()
		return sampled{c, "prism", 3, true, func(u []float64) Vec3 {
			k := min(int(u[0]*float64(len(es))), len(es)-1)
			p := es[k].at(u[0]*float64(len(es)) - float64(k))
			return mid.Add(p.Sub(mid).Mul(u[1])).At(z + u[2]*h)
		}}
	case 1:
		axis := Vec3{num(t, -3, 3, "ax"), num(t, -3, 3, "ay"), num(t, -3, 3, "az")}
		if axis == (Vec3{}) {
			axis.X = 1
		}
		r, h := num(t, 1, 15, "r"), num(t, 0, 30, "h")
		w := axis.Unit()
		x := w.Cross(Vec3{1, 0, 0})
		if x.Len() < 0.1 {
			x = w.Cross(Vec3{0, 1, 0})
		}
		x = x.Unit()
		y := w.Cross(x)
		return sampled{NewCylinder(Vec3{}, axis, r, h), "bar", 3, true, func(u []float64) Vec3 {
			s, c := math.Sincos(2 * math.Pi * u[0])
			return x.Mul(c * u[1] * r).Add(y.Mul(s * u[1] * r)).Add(w.Mul(u[2] * h))
		}}
	case 2:
		b := Box3{Vec3{num(t, -20, 0, "x0"), num(t, -20, 0, "y0"), num(t, -20, 0, "z0")}, Vec3{num(t, 1, 20, "x1"), num(t, 1, 20, "y1"), num(t, 1, 20, "z1")}}
		return sampled{BoxSolid(b), "block", 3, false, func(u []float64) Vec3 {
			d := b.Max.Sub(b.Min)
			return b.Min.Add(Vec3{d.X * u[0], d.Y * u[1], d.Z * u[2]})
		}}
	}
	n := rapid.IntRange(4, 9).Draw(t, "points")
	var pts []Vec3
	for range n {
		pts = append(pts, Vec3{num(t, -20, 20, "px"), num(t, -20, 20, "py"), num(t, -20, 20, "pz")})
	}
	c, err := NewHull(pts)
	if err != nil {
		t.Skip(err)
	}
	return sampled{c, "hull", n, false, func(u []float64) Vec3 {
		var p Vec3
		sum := 0.0
		for i, q := range pts {
			w := u[i] * u[i] * u[i] // cubed, so that corners are reached
			p, sum = p.Add(q.Mul(w)), sum+w
		}
		if sum == 0 {
			return pts[0]
		}
		return p.Mul(1 / sum)
	}}
}

func drawPose(t *rapid.T, reach float64) Pose {
	p := NoPose()
	if rapid.Bool().Draw(t, "turned") {
		p = TurnAbout(Vec3{num(t, -3, 3, "ux"), num(t, -3, 3, "uy"), num(t, -3, 3, "uz")}, num(t, -180, 180, "deg"))
	}
	return p.Shift(Vec3{num(t, -reach, reach, "dx"), num(t, -reach, reach, "dy"), num(t, -reach, reach, "dz")})
}

// searchNear looks for near points of two solids, a witness from outside the algorithm: from several random starts, steps
// along one number at a time and at random, that shrink when they do not help.
func searchNear(a, b sampled) float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	n := a.dims + b.dims
	u, v := make([]float64, n), make([]float64, n)
	least := math.Inf(1)
	for range 5 {
		best := math.Inf(1)
		try := func() bool {
			d := a.point(v[:a.dims]).Sub(b.point(v[a.dims:])).Len()
			if d >= best {
				return false
			}
			best = d
			copy(u, v)
			return true
		}
		for range 60 {
			for i := range v {
				v[i] = rng.Float64()
				if rng.IntN(2) == 0 {
					v[i] = math.Round(v[i])
				}
			}
			try()
		}
		for step := 0.5; step > 1e-3; {
			better := false
			for k := range 3 * n {
				copy(v, u)
				if k < 2*n {
					v[k/2] += step * float64(2*(k%2)-1)
				} else {
					for i := range v {
						v[i] += step * (2*rng.Float64() - 1)
					}
				}
				for i := range v {
					if i == 0 && a.loop || i == a.dims && b.loop {
						v[i] -= math.Floor(v[i])
					}
					v[i] = min(1, max(0, v[i]))
				}
				better = try() || better
			}
			if !better {
				step *= 0.6
			}
		}
		least = min(least, best)
	}
	return least
}

// checkPoint holds p to lie on or in s.
func checkPoint(t *rapid.T, s Convex, p Vec3, tol float64, what string) {
	g := Gap(s, NewCylinder(p, Vec3{1, 1, 1}, 0, 0)).Gap
	if g > tol {
		t.Fatalf("%s %v lies %v off its solid", what, p, g)
	}
}

// checkSep holds a result to what it promises, whatever the solids are.
func checkSep(t *rapid.T, a, b Convex, s Sep) {
	tol := 1e-6
	if math.IsNaN(s.Gap+s.A.Len()+s.B.Len()+s.Dir.Len()) || math.IsInf(s.Gap, 0) {
		t.Fatalf("no number: %+v", s)
	}
	if !close2(s.Dir.Len(), 1, 1e-9) {
		t.Fatalf("direction %v", s.Dir)
	}
	if !close2(s.B.Sub(s.A).Dot(s.Dir), s.Gap, tol) {
		t.Fatalf("from %v to %v along %v is %v, not %v", s.A, s.B, s.Dir, s.B.Sub(s.A).Dot(s.Dir), s.Gap)
	}
	// the planes square to Dir part the solids by the gap: a lower bound when apart, an upper bound of the depth else
	h := b.Support(s.Dir.Mul(-1)).Dot(s.Dir) - a.Support(s.Dir).Dot(s.Dir)
	if !close2(h, s.Gap, 1e-7*size(a.Bounds(), b.Bounds())) {
		t.Fatalf("planes along %v are %v apart, gap %v", s.Dir, h, s.Gap)
	}
	checkPoint(t, a, s.A, tol, "A")
	checkPoint(t, b, s.B, tol, "B")
}

// Gap against blind search: never more than what is found, and the search nearly always comes close.
func TestGapSolidsSampled(t *testing.T) {
	looked, far := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawSolid(t), drawSolid(t)
		b = b.moved(drawPose(t, 40))
		s := Gap(a.Convex, b.Convex)
		checkSep(t, a.Convex, b.Convex, s)
		if s.Gap < 0 {
			return
		}
		near := searchNear(a, b)
		if near < s.Gap-1e-6 {
			t.Fatalf("gap %v between %s and %s, but points %v apart were found", s.Gap, a.name, b.name, near)
		}
		looked++
		if near > s.Gap+0.5 {
			far++
		}
	})
	if far*20 > looked {
		t.Errorf("in %d of %d cases the search came not within 0.5 mm of the gap", far, looked)
	}
}

// Symmetry, common moves, and the cure: moving b by Dir·(want-Gap) makes the gap want.
func TestGapSolidsIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawSolid(t).Convex, drawSolid(t).Convex
		a = Posed(a, drawPose(t, 5))
		b = Posed(b, drawPose(t, rapid.SampledFrom([]float64{10, 40}).Draw(t, "reach")))
		s := Gap(a, b)
		checkSep(t, a, b, s)
		const tol = 1e-5
		r := Gap(b, a)
		checkSep(t, b, a, r)
		if !close2(r.Gap, s.Gap, tol) {
			t.Fatalf("%v one way, %v the other", s.Gap, r.Gap)
		}
		p := drawPose(t, 100)
		if m := Gap(Posed(a, p), Posed(b, p)); !close2(m.Gap, s.Gap, tol) {
			t.Fatalf("%v, and %v after moving both", s.Gap, m.Gap)
		}
		for _, want := range []float64{0, 2.5} {
			m := Gap(a, Posed(b, NoPose().Shift(s.Dir.Mul(want-s.Gap))))
			if s.Gap >= 0 && !close2(m.Gap, want, tol) || m.Gap < want-tol {
				t.Fatalf("gap %v, wanted %v, got %v after the cure", s.Gap, want, m.Gap)
			}
		}
		// no direction parts them with less
		if s.Gap < 0 {
			for range 20 {
				u := Vec3{rapid.Float64Range(-1, 1).Draw(t, "x"), rapid.Float64Range(-1, 1).Draw(t, "y"), rapid.Float64Range(-1, 1).Draw(t, "z")}.Unit()
				if u == (Vec3{}) {
					continue
				}
				if h := minkSupport(a, b, u).w.Dot(u); h < -s.Gap-tol {
					t.Fatalf("depth %v, but %v is enough along %v", -s.Gap, h, u)
				}
			}
		}
	})
}

// leastSupport looks for the depth by descent on the sphere of directions, from many starts.
func leastSupport(a, b Convex) float64 {
	rng := rand.New(rand.NewPCG(3, 4))
	least := math.Inf(1)
	for range 60 {
		u := Vec3{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}.Unit()
		h := minkSupport(a, b, u).w.Dot(u)
		step := 0.5
		for step > 1e-7 {
			v := u.Add(Vec3{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}.Mul(step)).Unit()
			if k := minkSupport(a, b, v).w.Dot(v); k < h {
				u, h = v, k
			} else {
				step *= 0.9
			}
		}
		least = min(least, h)
	}
	return least
}

func TestDepthAgainstDescent(t *testing.T) {
	thorough.Only(t)
	rapid.Check(t, func(t *rapid.T) {
		a := drawSolid(t).Convex
		b := Posed(drawSolid(t).Convex, drawPose(t, 12))
		s := Gap(a, b)
		if s.Gap >= 0 {
			return
		}
		least := leastSupport(a, b)
		if least < -s.Gap-1e-5 {
			t.Fatalf("depth %v, descent found %v", -s.Gap, least)
		}
	})
}

// Upright prisms are measured from their outlines; the general way must say the same.
func TestPrismsBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z, h := num(t, -20, 20, "z"), num(t, 0, 20, "h")
		a := NewPrism(drawConvex(t), 0, num(t, 0, 20, "ha"))
		b := NewPrism(drawConvex(t).Move(drawPlace(t, 40)), z, z+h)
		s := Gap(a, b)
		checkSep(t, a, b, s)
		g := generalGap(a, b)
		checkSep(t, a, b, g)
		if !close2(s.Gap, g.Gap, 1e-6) {
			t.Fatalf("from outlines %v, in general %v", s.Gap, g.Gap)
		}
	})
}

func TestHalfSpace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawSolid(t)
		h := HalfSpace{Vec3{num(t, -3, 3, "nx"), num(t, -3, 3, "ny"), num(t, -3, 3, "nz")}, num(t, -60, 60, "d")}
		if h.N == (Vec3{}) {
			if !math.IsInf(h.GapTo(a).Gap, 1) {
				t.Fatal("no plane")
			}
			return
		}
		s := h.GapTo(a)
		if !close2(s.A.Dot(h.N), h.D, 1e-9) || !close2(s.B.Sub(s.A).Dot(s.Dir), s.Gap, 1e-9) || !close2(s.Dir.Dot(h.N), h.N.Len(), 1e-9) {
			t.Fatalf("%+v", s)
		}
		rng := rand.New(rand.NewPCG(5, 6))
		u := make([]float64, a.dims)
		for range 200 {
			for i := range u {
				u[i] = math.Round(rng.Float64()*4) / 4
			}
			if d := (a.point(u).Dot(h.N) - h.D) / h.N.Len(); d < s.Gap-1e-9 {
				t.Fatalf("gap %v, but a point is at %v", s.Gap, d)
			}
		}
	})
}

// Support, centre and bounds of every kind of solid agree with its sampled points.
func TestSolidsSampled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawSolid(t).moved(drawPose(t, 30))
		b := a.Bounds()
		b.Min, b.Max = b.Min.Sub(Vec3{1e-9, 1e-9, 1e-9}), b.Max.Add(Vec3{1e-9, 1e-9, 1e-9})
		inBox := func(p Vec3) bool {
			return p.X >= b.Min.X && p.Y >= b.Min.Y && p.Z >= b.Min.Z && p.X <= b.Max.X && p.Y <= b.Max.Y && p.Z <= b.Max.Z
		}
		d := Vec3{rapid.Float64Range(-1, 1).Draw(t, "x"), rapid.Float64Range(-1, 1).Draw(t, "y"), rapid.Float64Range(-1, 1).Draw(t, "z")}
		far := a.Support(d)
		if !inBox(far) || !inBox(a.Centre()) {
			t.Fatalf("%v or %v outside of %v", far, a.Centre(), b)
		}
		rng := rand.New(rand.NewPCG(7, 8))
		u := make([]float64, a.dims)
		best := math.Inf(-1)
		for range 2000 {
			for i := range u {
				u[i] = math.Round(rng.Float64()*16) / 16
			}
			p := a.point(u)
			if !inBox(p) {
				t.Fatalf("%v outside of %v", p, b)
			}
			best = max(best, p.Dot(d))
		}
		if best > far.Dot(d)+1e-9 {
			t.Fatalf("support %v, sampled %v", far.Dot(d), best)
		}
		if a.name != "hull moved" && best < far.Dot(d)-4*d.Len() {
			t.Fatalf("support %v, sampled only %v", far.Dot(d), best)
		}
	})
}

func TestPose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := drawPose(t, 50), drawPose(t, 50)
		v := Vec3{num(t, -50, 50, "x"), num(t, -50, 50, "y"), num(t, -50, 50, "z")}
		if d := p.Then(q).Apply(v).Sub(q.Apply(p.Apply(v))).Len(); d > 1e-9 {
			t.Fatalf("one after the other is %v off", d)
		}
		if d := p.Inverse().Apply(p.Apply(v)).Sub(v).Len(); d > 1e-9 {
			t.Fatalf("there and back is %v off", d)
		}
		if d := p.X.Cross(p.Y).Sub(p.Z).Len(); d > 1e-12 {
			t.Fatalf("not right-handed by %v", d)
		}
	})
	if got := TurnAbout(Vec3{0, 0, 2}, 90).Apply(Vec3{1, 0, 0}); got != (Vec3{0, 1, 0}) {
		t.Error(got)
	}
}
