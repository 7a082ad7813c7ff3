package solid

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"knobwright/internal/geom"
	"pgregory.net/rapid"
)

func near1(t testing.TB, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*max(1, math.Abs(want))) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// Volumes from school formulas, worked out here another way than in the package.
func TestVolumesOfKnownShapes(t *testing.T) {
	r, f := 6.0, 5.0 // double D: circle of radius 6 with flats 10 apart
	segment := r*r*math.Acos(f/r) - f*math.Sqrt(r*r-f*f)
	half := geom.HalfSpace{N: v3(0.3, -0.2, 1), D: 12}
	sunk := func(s Sink, depth float64) Prism {
		p := Plate(geom.NoPose(), geom.Rect(v2(0, 0), 30, 30, 0), 8)
		h := p.Front(geom.Circle(v2(1, 2), 4), depth)
		h.Sink = s
		p.Holes = []Hole{h}
		return p
	}
	slanted := Bar(v3(0, 0, 0), v3(0, 0, 1), geom.Circle(v2(3, 4), 10), 5)
	slanted.Ends[1] = half
	wedge := block(t, v3(0, 0, 0), v3(40, 30, 50), geom.HalfSpace{N: v3(0, -1, 2), D: 40}) // top runs from z = 20 to z = 35
	for _, c := range []struct {
		name string
		p    Piece
		want float64
	}{
		{"disc", Round(v3(1, 2, 3), v3(1, 1, 1), 10, 7), math.Pi * 25 * 7},
		{"block", Block{Hull: block(t, v3(1, 1, 1), v3(3, 4, 5))}, 24},
		{"double D bar", Bar(v3(0, 0, 0), v3(0, 1, 0), geom.DoubleD(geom.Vec2{}, 2*r, 2*f), 3), 3 * (math.Pi*r*r - 2*segment)},
		{"slot plate", Plate(geom.NoPose(), geom.Slot(geom.Vec2{}, 30, 8), 2), 2 * (22*8 + math.Pi*16)},
		{"slanted disc", slanted, math.Pi * 25 * (12 - 0.3*3 + 0.2*4)}, // height of the plane over the middle
		{"hole", sunk(Sink{}, 0), 7200 - math.Pi*4*8},
		{"blind hole", sunk(Sink{}, 3), 7200 - math.Pi*4*3},
		{"countersink", sunk(Sink{D: 8, Angle: 90}, 0), 7200 - math.Pi*4*8 - (math.Pi*2*(16+8+4)/3 - math.Pi*4*2)},
		{"counterbore", sunk(Sink{D: 8, Depth: 3}, 0), 7200 - math.Pi*(16*3+4*5)},
		{"drilled wedge", Block{Hull: wedge, Holes: []Hole{Drill(v3(10, 6, 100), v3(0, 0, -1), 4, 0)}}, 40*30*27.5 - math.Pi*4*23},
		{"wedge, aslant to one face", Block{Hull: wedge, Holes: []Hole{Drill(v3(10, 0, 10), v3(0, 1, 0), 4, 5)}}, 40*30*27.5 - math.Pi*4*5},
	} {
		m := build(t, one(c.p))
		near1(t, c.name, m.Volume(0), c.want, 1e-12)
	}
	near1(t, "sum of pieces", build(t, one(Round(v3(0, 0, 0), v3(0, 0, 1), 10, 7), Round(v3(0, 0, 7), v3(0, 0, 1), 4, 7))).Volume(0), math.Pi*(25+4)*7, 1e-12)
}

// Area and centre of outlines against polygons of ever more corners, their error taken out by Richardson's extrapolation.
func TestMoments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := geom.Place{At: v2(rapid.Float64Range(-90, 90).Draw(t, "x"), 7), Turn: rapid.Float64Range(0, 360).Draw(t, "turn")}
		segs, _, err := segments(randomOutline(t, rapid.Float64Range(1, 50).Draw(t, "d")).Move(place))
		if err != nil {
			t.Fatal(err)
		}
		poly := func(n int) (m [3]float64) {
			var ps []geom.Vec2
			for i := range segs {
				k := 1
				if segs[i].r > 0 {
					k = n
				}
				for j := range k {
					ps = append(ps, segs[i].at(float64(j)/float64(k)))
				}
			}
			for i, p := range ps {
				q := ps[(i+1)%len(ps)]
				c := p.Cross(q) / 2
				m[0] += c
				m[1] += c * (p.X + q.X) / 3
				m[2] += c * (p.Y + q.Y) / 3
			}
			return m
		}
		a, b, c := poly(100), poly(200), poly(400)
		m := momentsOf(segs)
		for k, got := range [3]float64{m.area, m.x, m.y} {
			x, y := b[k]+(b[k]-a[k])/3, c[k]+(c[k]-b[k])/3
			if want := y + (y-x)/15; math.Abs(got-want) > 1e-9*(1+m.area)*100 {
				t.Errorf("moment %d: %.12g, want %.12g", k, got, want)
			}
		}
	})
}

// A disc square to the unit vector a reaches r·√(1-a²) along each axis.
func TestBoundsOfALeaningDisc(t *testing.T) {
	a := v3(1, 2, 3).Unit()
	b := build(t, one(Round(v3(10, 20, 30), a, 8, 5))).Bounds(0)
	for _, c := range []struct{ lo, hi, at, a float64 }{{b.Min.X, b.Max.X, 10, a.X}, {b.Min.Y, b.Max.Y, 20, a.Y}, {b.Min.Z, b.Max.Z, 30, a.Z}} {
		reach := 4 * math.Sqrt(1-c.a*c.a)
		near1(t, "low", c.lo, c.at-reach, 1e-12)
		near1(t, "high", c.hi, c.at+5*c.a+reach, 1e-12)
	}
}

// checkMesh holds a mesh against what is known without it: it is closed, has the right number of holes, and encloses the exact
// volume but for slivers no thicker than the tolerance.
func checkMesh(t interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
}, m *Model, tol float64, euler int, curved float64,
) {
	t.Helper()
	mesh, err := m.Mesh(0, tol)
	if err != nil {
		t.Fatal(err)
	}
	if err := mesh.Check(); err != nil {
		t.Errorf("tolerance %g: %v", tol, err)
	}
	if e := mesh.Euler(); e != euler {
		t.Errorf("tolerance %g: Euler characteristic %d, want %d", tol, e, euler)
	}
	if off := math.Abs(mesh.Volume() - m.Volume(0)); off > tol*curved*1.02+1e-9*m.Volume(0) {
		t.Errorf("tolerance %g: mesh volume off by %g, slivers on %g mm² allow %g", tol, off, curved, tol*curved)
	}
	b, c := m.Bounds(0), mesh.Bounds()
	for _, d := range [6]float64{
		c.Min.X - b.Min.X, c.Min.Y - b.Min.Y, c.Min.Z - b.Min.Z,
		b.Max.X - c.Max.X, b.Max.Y - c.Max.Y, b.Max.Z - c.Max.Z,
	} {
		if d < -1e-9 || d > 25*tol { // slanted ends lean by 0.05 at most
			t.Errorf("tolerance %g: the mesh lies %g inside its block", tol, d)
		}
	}
}

func TestRandomBoards(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := randomBoard(t)
		m := build(t, one(b.piece(t)))
		for _, tol := range []float64{0.2, 0.02} {
			checkMesh(t, m, tol, 2-2*b.throughs(), curvedOf(t, m))
		}
	})
}

// curvedOf is the surface that chords replace.
func curvedOf(t interface{ Fatal(...any) }, m *Model) (area float64) {
	for _, p := range m.bodies[0].pieces {
		area += curvedPiece(t, p)
	}
	return area
}

func curvedPiece(t interface{ Fatal(...any) }, p *brep) (area float64) {
	mesh, of, err := p.mesh(fine)
	if err != nil {
		t.Fatal(err)
	}
	for i, tri := range mesh.Triangles {
		if p.faces[of[i]].kind == round {
			a := mesh.Vertices[tri[0]]
			area += mesh.Vertices[tri[1]].Sub(a).Cross(mesh.Vertices[tri[2]].Sub(a)).Len() / 2
		}
	}
	return area
}

// Holes across a bar, into its sides, through its legs, and through slanted ends.
func TestHolesAcross(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pose := randomPose(t)
		ell := geom.Polygon(v2(0, 0), v2(60, 0), v2(60, 10), v2(10, 10), v2(10, 60), v2(0, 60))
		p := Prism{Pose: pose, Outline: ell, From: 0, To: 40}
		at := func(x, y, z float64) geom.Vec3 { return pose.Apply(v3(x, y, z)) }
		d := rapid.Float64Range(0.5, 8).Draw(t, "d")
		p.Holes = []Hole{
			Drill(at(40, 0, 12), pose.Y, d, 0), Drill(at(40, 10, 28), pose.Y.Mul(-1), d, 6), // through and into one leg
			Drill(at(0, 40, 12), pose.X, d, 0), Drill(at(60, 5, 25), pose.X.Mul(-1), d, 9), // the other, and its end
			Drill(at(5, 5, 40), pose.Z.Mul(-1), d, 25),
		}
		through := 2
		want := ell.Area()*40 - math.Pi*d*d/4*(10+6+10+9+25)
		if rapid.Bool().Draw(t, "slanted") {
			n := pose.Turn(v3(0.2, 0.1, 1))
			p.Ends[1] = geom.HalfSpace{N: n, D: n.Dot(at(30, 30, 60))}
			c := v2((10*60*30+10*50*5)/1100., (10*60*5+10*50*35)/1100.)
			want += 1100 * (20 + 0.2*(30-c.X) + 0.1*(30-c.Y))
			top := 60 + 0.2*(30-5) + 0.1*(30-5.) // of the plane over the hole along the bar
			want -= math.Pi * d * d / 4 * (top - 40)
		}
		m := build(t, one(p))
		if got := m.Volume(0); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("volume %.12g, want %.12g", got, want)
		}
		checkMesh(t, m, 0.05, 2-2*through, curvedOf(t, m))
		readSTEP(t, m.STEP(STEPOptions{})).check(t)
	})
}

// A great hull may have faces bent by more than other programs stand; they are written as triangles.
func TestBentFaces(t *testing.T) {
	lo, hi := v3(0, 0, 0), v3(9e4, 9e4, 9e4)
	h, err := geom.BoxHull(geom.Box3{Min: lo, Max: hi})
	if err != nil {
		t.Fatal(err)
	}
	pts := append([]geom.Vec3(nil), h.Points...)
	for i := range pts {
		if pts[i] == hi {
			pts[i].Z += 1e-4
		}
	}
	if h, err = geom.HullOf(pts); err != nil || len(h.Faces) != 6 {
		t.Fatalf("%d faces, %v: this test shows nothing", len(h.Faces), err)
	}
	m := build(t, one(Block{Hull: h}))
	readSTEP(t, m.STEP(STEPOptions{})).check(t)
	if n := len(m.bodies[0].pieces[0].faces); n != 7 && n != 8 && n != 9 {
		t.Errorf("%d faces", n)
	}
}

// The error of chords falls with the square of their length, and so in step with the tolerance.
func TestMeshConverges(t *testing.T) {
	p := Plate(geom.NoPose(), geom.Rect(v2(0, 0), 80, 60, 10), 6)
	p.Holes = []Hole{p.Front(geom.Circle(v2(-20, 0), 30), 0), p.Front(geom.Slot(v2(22, 0), 20, 9), 4)}
	m := build(t, one(p))
	prev := 0.0
	for _, tol := range []float64{0.08, 0.02, 0.005} {
		mesh, err := m.Mesh(0, tol)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Abs(mesh.Volume() - m.Volume(0))
		if prev > 0 && !(off < prev/2.5 && off > prev/7) { // four, but for whole numbers of chords
			t.Errorf("tolerance %g: off by %g after %g", tol, off, prev)
		}
		prev = off
	}
}

// Where a hole may be is decided at Thin, on either side of it.
func TestHolesKeepTheirDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Plate(randomPose(t), geom.Rect(v2(0, 0), 100, 60, 4), 5)
		r1, r2 := rapid.Float64Range(0.5, 8).Draw(t, "r1"), rapid.Float64Range(0.5, 8).Draw(t, "r2")
		gap := rapid.SampledFrom([]float64{-1, -0.01, 0, Thin / 2, Thin * 1.1, 0.5}).Draw(t, "gap")
		turn := rapid.Float64Range(0, 2*math.Pi).Draw(t, "turn")
		s, c := math.Sincos(turn)
		far := r1 + r2 + gap
		p.Holes = []Hole{p.Front(geom.Circle(v2(0, 0), 2*r1), 0), p.Back(geom.Circle(v2(far*c, far*s), 2*r2), 0)}
		_, err := Build([]Body{one(p)})
		wantErr(t, err, gap < Thin, ErrHoles)

		// and to the rim
		q := Plate(randomPose(t), geom.Rect(v2(0, 0), 100, 60, 4), 5)
		q.Holes = []Hole{q.Front(geom.Circle(v2(50-r1-gap, 3), 2*r1), 0)}
		_, err = Build([]Body{one(q)})
		if gap <= 0 && errors.Is(err, ErrNoFace) {
			err = &Error{Err: ErrMeets} // it may even start beside the board
		}
		wantErr(t, err, gap < Thin, ErrMeets)

		// blind holes from both sides, one over the other
		k := Plate(randomPose(t), geom.Rect(v2(0, 0), 100, 60, 4), 5)
		k.Holes = []Hole{k.Front(geom.Circle(v2(0, 0), 2*r1), 2), k.Back(geom.Circle(v2(1, 0), 2*r2), 3-gap)}
		_, err = Build([]Body{one(k)})
		wantErr(t, err, gap < Thin, ErrHoles)

		// across each other
		k.Holes = []Hole{k.Front(geom.Circle(v2(0, 0), 2*r1), 2.5), Drill(k.Pose.Apply(v3(10, -30, -4)), k.Pose.Y, 1, 20)}
		_, err = Build([]Body{one(k)})
		wantErr(t, err, false, nil)
		k.Holes[1] = Drill(k.Pose.Apply(v3(0, -30, -3-gap)), k.Pose.Y, 1, 35)
		_, err = Build([]Body{one(k)})
		wantErr(t, err, gap < Thin, ErrHoles)
	})
}

func wantErr(t interface{ Errorf(string, ...any) }, err error, want bool, kind error) {
	switch {
	case want && err == nil:
		t.Errorf("nothing found, want %v", kind)
	case !want && err != nil:
		t.Errorf("found %v, want nothing", err)
	case want && !errors.Is(err, kind):
		t.Errorf("found %v, want %v", err, kind)
	}
}

func TestMeshOfTheDesk(t *testing.T) {
	m := build(t, cueDesk(t)...)
	for i := range m.Bodies() {
		mesh, err := m.Mesh(i, 0)
		if err != nil {
			t.Fatal(err)
		}
		if !mesh.IsWatertight() {
			t.Errorf("%s: %v", m.Name(i), mesh.Check())
		}
	}
	if n := m.Name(5); n != "face" {
		t.Fatal(n)
	}
	mesh, _ := m.Mesh(5, 0)
	if got, want := mesh.Euler(), 2-2*13; got != want {
		t.Errorf("face: Euler characteristic %d, want %d", got, want)
	}
}

func BenchmarkBuildAndMesh(b *testing.B) {
	bodies := cueDesk(b)
	for b.Loop() {
		m, err := Build(bodies)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := m.STL("", 0); err != nil {
			b.Fatal(err)
		}
	}
}

// A sheet with a grille of holes must not take long.
func BenchmarkGrille(b *testing.B) {
	for _, n := range []int{10, 22} {
		p := Plate(geom.NoPose(), geom.Rect(v2(0, 0), 300, 300, 5), 3)
		for i := range n {
			for j := range n {
				p.Holes = append(p.Holes, p.Front(geom.Circle(v2(float64(i-n/2)*12, float64(j-n/2)*12), 8), 0))
			}
		}
		b.Run(fmt.Sprint(n*n), func(b *testing.B) {
			for b.Loop() {
				m, err := Build([]Body{one(p)})
				if err != nil {
					b.Fatal(err)
				}
				if _, err := m.Mesh(0, 0.05); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
