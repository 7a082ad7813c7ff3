package geom

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// checkHull holds a hull to the rules of a convex solid with flat faces.
func checkHull(t *rapid.T, h *Hull) {
	size := h.box.Max.Sub(h.box.Min).Len()
	type side struct{ i, j int }
	sides := map[side]int{}
	edges := 0
	uses := make([]int, len(h.Points))
	for i, f := range h.Faces {
		if len(f) < 3 {
			t.Fatalf("face %d has %d corners", i, len(f))
		}
		for k, p := range f {
			sides[side{p, f[(k+1)%len(f)]}]++
			uses[p]++
			edges++
		}
		pl := h.Plane(i)
		on := 0
		for k, p := range h.Points {
			d := p.Dot(pl.N) - pl.D
			if d > 1e-8*size {
				t.Fatalf("corner %d lies %v outside of face %d", k, d, i)
			}
			if d > -1e-8*size {
				on++
			}
		}
		if on < len(f) {
			t.Fatalf("face %d is not flat", i)
		}
	}
	for s, n := range sides {
		if n != 1 || sides[side{s.j, s.i}] != 1 {
			t.Fatalf("edge %v is walked %d times, and %d times back", s, n, sides[side{s.j, s.i}])
		}
	}
	for i, n := range uses {
		if n < 3 {
			t.Fatalf("corner %d belongs to %d faces", i, n)
		}
	}
	if e := len(h.Points) - edges/2 + len(h.Faces); e != 2 {
		t.Fatalf("corners - edges + faces is %d, not 2 (Euler)", e)
	}
	if !(h.Volume() > 0) {
		t.Fatalf("volume %v", h.Volume())
	}
	// the areas of the faces, as vectors, cancel out
	var sum Vec3
	var all float64
	for i := range h.Faces {
		sum = sum.Add(h.Plane(i).N.Mul(h.FaceArea(i)))
		all += h.FaceArea(i)
	}
	if sum.Len() > 1e-9*all {
		t.Fatalf("the solid is open: %v of %v", sum.Len(), all)
	}
}

func drawHull(t *rapid.T) (*Hull, []Vec3) {
	n := rapid.IntRange(4, 40).Draw(t, "points")
	var pts []Vec3
	grid := rapid.Bool().Draw(t, "grid") // many points in one plane
	for range n {
		p := Vec3{num(t, -20, 20, "px"), num(t, -20, 20, "py"), num(t, -20, 20, "pz")}
		if grid {
			p = Vec3{math.Round(p.X / 10), math.Round(p.Y / 10), math.Round(p.Z / 10)}.Mul(10)
		}
		pts = append(pts, p)
	}
	if rapid.Bool().Draw(t, "turned") {
		p := drawPose(t, 100)
		for i := range pts {
			pts[i] = p.Apply(pts[i])
		}
	}
	h, err := HullOf(pts)
	if err != nil {
		t.Skip(err)
	}
	return h, pts
}

func TestHull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, pts := drawHull(t)
		checkHull(t, h)
		size := h.box.Max.Sub(h.box.Min).Len()
		// every point given lies inside, so that the hull is large enough; its corners are among them, so that it is not too large
		for i := range h.Faces {
			pl := h.Plane(i)
			for _, p := range pts {
				if d := p.Dot(pl.N) - pl.D; d > 1e-8*size {
					t.Fatalf("%v lies %v outside", p, d)
				}
			}
		}
		for _, c := range h.Points {
			found := false
			for _, p := range pts {
				found = found || p == c
			}
			if !found {
				t.Fatalf("%v was not given", c)
			}
		}
		again, err := HullOf(h.Points)
		if err != nil || !close2(again.Volume(), h.Volume(), 1e-9*h.Volume()+1e-9) || len(again.Points) != len(h.Points) || len(again.Faces) != len(h.Faces) {
			t.Fatalf("hull of the hull: %v, %v", again, err)
		}
	})
}

func TestHullKnown(t *testing.T) {
	cube := func(n int) (pts []Vec3) {
		for i := range n {
			for j := range n {
				for k := range n {
					pts = append(pts, Vec3{float64(i), float64(j), float64(k)}.Mul(10/float64(n-1)))
				}
			}
		}
		return
	}
	g := (1 + math.Sqrt(5)) / 2
	var ico []Vec3
	for _, s := range [4][2]float64{{1, g}, {-1, g}, {1, -g}, {-1, -g}} {
		ico = append(ico, Vec3{0, s[0], s[1]}, Vec3{s[0], s[1], 0}, Vec3{s[1], 0, s[0]})
	}
	for _, c := range []struct {
		name            string
		pts             []Vec3
		corners, faces  int
		volume, surface float64
	}{
		{"tetrahedron", []Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, 4, 4, 1. / 6, 1.5 + math.Sqrt(3)/2},
		{"cube", cube(2), 8, 6, 1000, 600},
		{"cube with points on edges, faces and inside", cube(5), 8, 6, 1000, 600},
		{"octahedron", []Vec3{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}}, 6, 8, 4. / 3, 4 * math.Sqrt(3)},
		{"icosahedron", ico, 12, 20, 8 * 5 * (3 + math.Sqrt(5)) / 12, 4 * 5 * math.Sqrt(3)}, // edge 2
		{"the same point often", append(cube(2), cube(2)...), 8, 6, 1000, 600},
	} {
		h, err := HullOf(c.pts)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var s float64
		for i := range h.Faces {
			s += h.FaceArea(i)
		}
		if len(h.Points) != c.corners || len(h.Faces) != c.faces || !close2(h.Volume(), c.volume, 1e-9) || !close2(s, c.surface, 1e-9) {
			t.Errorf("%s: %d corners, %d faces, volume %v, surface %v", c.name, len(h.Points), len(h.Faces), h.Volume(), s)
		}
	}
	for _, c := range []struct {
		name string
		pts  []Vec3
		err  error
	}{
		{"nothing", nil, ErrFlat},
		{"three points", cube(2)[:3], ErrFlat},
		{"a plane", []Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {1, 1, 0}, {2, 3, 0}}, ErrFlat},
		{"a tilted plane", []Vec3{{0, 0, 0}, {1, 0, 1}, {0, 1, 1}, {1, 1, 2}, {0.3, 0.7, 1}}, ErrFlat},
		{"a line", []Vec3{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {3, 3, 3}}, ErrFlat},
		{"one point", []Vec3{{1, 2, 3}, {1, 2, 3}, {1, 2, 3}, {1, 2, 3}}, ErrFlat},
		{"no number", []Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, math.NaN()}}, ErrNumber},
		{"endless", []Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, math.Inf(1)}}, ErrNumber},
	} {
		c2, err := NewHull(c.pts)
		if !errors.Is(err, c.err) || c2 != nil {
			t.Errorf("%s: %v, %v", c.name, c2, err)
		}
	}
}

// What a cut leaves and what it takes away make the whole; both are sound, and lie on their sides.
func TestCutHull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, _ := drawHull(t)
		for range 3 {
			n := Vec3{num(t, -3, 3, "nx"), num(t, -3, 3, "ny"), num(t, -3, 3, "nz")}
			if n == (Vec3{}) {
				continue
			}
			hs := HalfSpace{n, n.Dot(h.centre) + num(t, -15, 15, "off")*n.Len()}
			if rapid.Bool().Draw(t, "along a face") {
				hs = h.Plane(rapid.IntRange(0, len(h.Faces)-1).Draw(t, "face"))
			} else if rapid.Bool().Draw(t, "through a corner") {
				hs.D = h.Points[rapid.IntRange(0, len(h.Points)-1).Draw(t, "corner")].Dot(n)
			}
			a, okA := CutHull(h, hs)
			b, okB := CutHull(h, HalfSpace{hs.N.Mul(-1), -hs.D})
			if !okA && !okB {
				t.Fatal("nothing is left on either side")
			}
			var v float64
			size := h.box.Max.Sub(h.box.Min).Len()
			if okA {
				checkHull(t, a)
				v += a.Volume()
				for _, p := range a.Points {
					if d := (p.Dot(hs.N) - hs.D) / hs.N.Len(); d > 1e-8*size {
						t.Fatalf("%v lies %v beyond the cut", p, d)
					}
				}
			}
			if okB {
				checkHull(t, b)
				v += b.Volume()
			}
			if !close2(v, h.Volume(), 1e-7*size*size*size) {
				t.Fatalf("volume %v, parts together %v", h.Volume(), v)
			}
			if !okA {
				return
			}
			h = a
		}
	})
}

func TestCutHullKnown(t *testing.T) {
	box, err := BoxHull(Box3{Vec3{-1, -1, -1}, Vec3{1, 1, 1}})
	if err != nil {
		t.Fatal(err)
	}
	// cutting all corners of a cube at the middles of its edges leaves a cuboctahedron
	h := box
	for i := range 8 {
		n := Vec3{1, 1, 1}
		if i&1 != 0 {
			n.X = -1
		}
		if i&2 != 0 {
			n.Y = -1
		}
		if i&4 != 0 {
			n.Z = -1
		}
		var ok bool
		if h, ok = CutHull(h, HalfSpace{n, 2}); !ok {
			t.Fatal("nothing left")
		}
	}
	if len(h.Points) != 12 || len(h.Faces) != 14 || !close2(h.Volume(), 8-8./6, 1e-9) {
		t.Errorf("cuboctahedron: %d corners, %d faces, volume %v", len(h.Points), len(h.Faces), h.Volume())
	}
	if got, ok := CutHull(box, HalfSpace{Vec3{1, 0, 0}, 2}); !ok || got != box {
		t.Error("a plane that misses must change nothing")
	}
	for _, hs := range []HalfSpace{{Vec3{1, 0, 0}, -1}, {Vec3{1, 0, 0}, -5}, {Vec3{}, 1}, {Vec3{math.NaN(), 0, 0}, 1}, {Vec3{1, 0, 0}, math.NaN()}} {
		if got, ok := CutHull(box, hs); ok || got != nil {
			t.Errorf("%v leaves %v", hs, got)
		}
	}
	// a wedge: a box cut from edge to edge
	if got, ok := CutHull(box, HalfSpace{Vec3{1, 0, 1}, 0}); !ok || len(got.Points) != 6 || len(got.Faces) != 5 || !close2(got.Volume(), 4, 1e-12) {
		t.Errorf("wedge: %v", got)
	}
}

func BenchmarkHull(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	for _, n := range []int{8, 50, 200} {
		var pts []Vec3
		for range n {
			pts = append(pts, Vec3{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}.Unit().Mul(20))
		}
		b.Run(fmt.Sprint(n, " points"), func(b *testing.B) {
			for b.Loop() {
				if _, err := HullOf(pts); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
