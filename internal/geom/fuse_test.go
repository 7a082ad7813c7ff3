package geom

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func blockOf(t interface{ Fatalf(string, ...any) }, x0, y0, z0, x1, y1, z1 float64) *Hull {
	h, err := BoxHull(Box3{Min: Vec3{x0, y0, z0}, Max: Vec3{x1, y1, z1}})
	if err != nil {
		t.Fatalf("%v", err)
	}
	return h
}

// corners - edges + faces - (loops - faces) = 2 (shells - tunnels): Euler and Poincaré.
func tunnels(s *Solid) int {
	sides, loops := 0, 0
	for _, f := range s.Faces {
		loops += len(f.Loops)
		for _, l := range f.Loops {
			sides += len(l)
		}
	}
	return s.Shells() - (len(s.Points)-sides/2+2*len(s.Faces)-loops)/2
}

func TestFuseKnownShapes(t *testing.T) {
	b := func(x0, y0, z0, x1, y1, z1 float64) Layer { return Layer{Hull: blockOf(t, x0, y0, z0, x1, y1, z1)} }
	cut := func(l Layer) Layer { l.Cut = true; return l }
	edge, err := HullOf([]Vec3{{1, 2, 1}, {3, 2, 1}, {1, 1, 2}, {3, 1, 2}, {1, 3, 2}, {3, 3, 2}})
	if err != nil {
		t.Fatal(err)
	}
	wedge := Layer{Hull: edge}
	for _, c := range []struct {
		name                           string
		in                             []Layer
		volume                         float64
		points, faces, shells, tunnels int
		err                            error
	}{
		{"one", []Layer{b(0, 0, 0, 3, 2, 1)}, 6, 8, 6, 1, 0, nil},
		{"side by side", []Layer{b(0, 0, 0, 3, 2, 1), b(3, 0, 0, 5, 2, 1)}, 10, 8, 6, 1, 0, nil},
		{"one in the other", []Layer{b(0, 0, 0, 3, 2, 1), b(1, 0, 0, 2, 1, 1)}, 6, 8, 6, 1, 0, nil},
		{"lapping", []Layer{b(0, 0, 0, 3, 2, 1), b(2, 0, 0, 5, 2, 1)}, 10, 8, 6, 1, 0, nil},
		{"an L", []Layer{b(0, 0, 0, 3, 1, 1), b(0, 1, 0, 1, 3, 1)}, 5, 12, 8, 1, 0, nil},
		{"a comb", []Layer{b(0, 0, 0, 7, 2, 1), b(0, 2, 0, 1, 3, 1), b(2, 2, 0, 3, 3, 1), b(6, 2, 0, 7, 3, 1)}, 17, 24, 14, 1, 0, nil},
		{"a tunnel", []Layer{b(0, 0, 0, 3, 3, 3), cut(b(1, 1, -1, 2, 2, 4))}, 24, 16, 10, 1, 1, nil},
		{"a tunnel of bars", []Layer{b(0, 0, 0, 3, 1, 1), b(0, 2, 0, 3, 3, 1), b(0, 1, 0, 1, 2, 1), b(2, 1, 0, 3, 2, 1)}, 8, 16, 10, 1, 1, nil},
		{"a cup", []Layer{b(0, 0, 0, 3, 3, 3), cut(b(1, 1, 1, 2, 2, 4))}, 25, 16, 11, 1, 0, nil},
		{"a hollow", []Layer{b(0, 0, 0, 3, 3, 3), cut(b(1, 1, 1, 2, 2, 2))}, 26, 16, 12, 2, 0, nil},
		{"a post in a cup", []Layer{b(0, 0, 0, 5, 5, 3), cut(b(1, 1, 1, 4, 4, 4)), b(2, 2, 0.5, 3, 3, 2.5)}, 75 - 18 + 1.5, 24, 16, 1, 0, nil},
		{"two", []Layer{b(0, 0, 0, 1, 1, 1), b(2, 0, 0, 3, 1, 1)}, 2, 16, 12, 2, 0, nil},
		{"touching in an edge", []Layer{b(0, 0, 0, 1, 1, 1), b(1, 1, 0, 2, 2, 1)}, 0, 0, 0, 0, 0, ErrTouch},
		{"leaning on a face with an edge", []Layer{b(0, 0, 0, 4, 4, 1), wedge}, 0, 0, 0, 0, 0, ErrTouch},
		{"all gone", []Layer{b(0, 0, 0, 1, 1, 1), cut(b(0, 0, 0, 1, 1, 1))}, 0, 0, 0, 0, 0, ErrNothing},
		{"none", nil, 0, 0, 0, 0, 0, ErrNothing},
	} {
		s, err := Fuse(c.in)
		if !errors.Is(err, c.err) || err != nil {
			if !errors.Is(err, c.err) || c.err == nil {
				t.Errorf("%s: %v, want %v", c.name, err, c.err)
			}
			continue
		}
		if math.Abs(s.Volume()-c.volume) > 1e-12 || len(s.Points) != c.points || len(s.Faces) != c.faces || s.Shells() != c.shells || tunnels(s) != c.tunnels {
			t.Errorf("%s: %g mm³, %d points, %d faces, %d shells, %d tunnels; want %v", c.name, s.Volume(), len(s.Points), len(s.Faces), s.Shells(), tunnels(s), c)
		}
	}
}

// Parts of a solid come apart, and know what touches them.
func TestSolidParts(t *testing.T) {
	s, err := Fuse([]Layer{{Hull: blockOf(t, 0, 0, 0, 1, 2, 3)}, {Hull: blockOf(t, 5, 0, 0, 9, 9, 9)}, {Hull: blockOf(t, 6, 1, -1, 8, 3, 10), Cut: true}})
	if err != nil {
		t.Fatal(err)
	}
	ps := s.Parts()
	if len(ps) != 2 || math.Abs(ps[0].Volume()+ps[1].Volume()-s.Volume()) > 1e-12 || ps[0].Shells() != 1 || ps[1].Shells() != 1 {
		t.Fatalf("%d parts", len(ps))
	}
	touches := func(p *Solid, v Vec3) (n int) {
		for i := range p.Faces {
			if p.Touches(i, v) {
				n++
			}
		}
		return n
	}
	for _, c := range []struct {
		v    Vec3
		a, b int
	}{{Vec3{0.5, 1, 3}, 1, 0}, {Vec3{0.5, 1, 2}, 0, 0}, {Vec3{5.5, 1, 9}, 0, 1}, {Vec3{7, 2, 9}, 0, 0}, {Vec3{7, 1, 4}, 0, 1}} {
		if a, b := touches(ps[0], c.v), touches(ps[1], c.v); a != c.a || b != c.b {
			t.Errorf("%v lies on %d and %d faces, want %d and %d", c.v, a, b, c.a, c.b)
		}
	}
	area := 0.0
	for i := range ps[1].Faces {
		area += ps[1].Area(i)
	}
	if want := 2*(4*9+9*9+9*4) - 2*2*2 + 4*2*9; math.Abs(area-float64(want)) > 1e-9 {
		t.Errorf("%g mm², want %d", area, want)
	}
	if one := ps[0].Parts(); len(one) != 1 || one[0] != ps[0] {
		t.Error("one part is itself")
	}
}

// Random blocks on a grid, with faces on faces everywhere, in a turned frame: the volume is that of the cells filled last, and every face
// has solid below it and none above.
func TestFuseCells(t *testing.T) {
	fused := 0
	rapid.Check(t, func(t *rapid.T) {
		const n = 6
		var cells [n][n][n]bool
		pose := TurnAbout(Vec3{rapid.Float64Range(-1, 1).Draw(t, "ax"), 1, 0.3}, rapid.Float64Range(0, 90).Draw(t, "turn"))
		pose.At = Vec3{rapid.Float64Range(-500, 500).Draw(t, "x"), 7, -30}
		var in []Layer
		for range rapid.IntRange(1, 9).Draw(t, "layers") {
			var lo, hi [3]int
			for k := range lo {
				lo[k] = rapid.IntRange(0, n-1).Draw(t, "lo")
				hi[k] = rapid.IntRange(lo[k]+1, n).Draw(t, "hi")
			}
			l := Layer{Cut: rapid.IntRange(0, 3).Draw(t, "cut") == 0}
			l.Hull = Posed(blockOf(t, float64(lo[0]), float64(lo[1]), float64(lo[2]), float64(hi[0]), float64(hi[1]), float64(hi[2])), pose).(*Hull)
			in = append(in, l)
			for x := lo[0]; x < hi[0]; x++ {
				for y := lo[1]; y < hi[1]; y++ {
					for z := lo[2]; z < hi[2]; z++ {
						cells[x][y][z] = !l.Cut
					}
				}
			}
		}
		at := func(x, y, z int) bool {
			return x >= 0 && y >= 0 && z >= 0 && x < n && y < n && z < n && cells[x][y][z]
		}
		want, faces, touch := 0, 0, false
		for x := range n + 1 {
			for y := range n + 1 {
				for z := range n + 1 {
					if at(x, y, z) {
						want++
					}
					for _, d := range [3][3]int{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
						if at(x, y, z) != at(x-d[0], y-d[1], z-d[2]) {
							faces++
						}
						u, v := [3]int{d[1], d[2], d[0]}, [3]int{d[2], d[0], d[1]}
						a, b := at(x, y, z), at(x-u[0]-v[0], y-u[1]-v[1], z-u[2]-v[2])
						c, e := at(x-u[0], y-u[1], z-u[2]), at(x-v[0], y-v[1], z-v[2])
						touch = touch || a == b && c == e && a != c
					}
				}
			}
		}
		s, err := Fuse(in)
		switch {
		case want == 0 && errors.Is(err, ErrNothing), touch && errors.Is(err, ErrTouch):
			return
		case err != nil || touch || want == 0:
			t.Fatalf("%v, touching %v, %d cells", err, touch, want)
		}
		fused++
		if math.Abs(s.Volume()-float64(want)) > 1e-7 {
			t.Fatalf("%g mm³, want %d", s.Volume(), want)
		}
		area := 0.0
		for i := range s.Faces {
			f := &s.Faces[i]
			for _, l := range f.Loops {
				a := s.Points[l[0]]
				for k := range l {
					area += s.Points[l[k]].Sub(a).Cross(s.Points[l[(k+1)%len(l)]].Sub(a)).Dot(f.Plane.N) / 2
				}
			}
		}
		if math.Abs(area-float64(faces)) > 1e-7 { // no face inside
			t.Fatalf("%g mm² of faces, want %d", area, faces)
		}
	})
	if fused == 0 {
		t.Error("none was fused")
	}
}

// thinnest gives the length of the shortest side of the parts.
func thinnest(parts []*Hull) float64 {
	d := math.Inf(1)
	for _, h := range parts {
		for _, f := range h.Faces {
			for k, i := range f {
				d = min(d, h.Points[f[(k+1)%len(f)]].Sub(h.Points[i]).Len())
			}
		}
	}
	return d
}

// A solid that is sawn to pieces and put together again is the solid: as many corners and faces, none of a cut.
func TestFuseSawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-50, 50)
		point := func() Vec3 { return Vec3{num.Draw(t, "x"), num.Draw(t, "y"), num.Draw(t, "z")} }
		whole := blockOf(t, -40, -30, -20, 40, 30, 20)
		for range rapid.IntRange(0, 3).Draw(t, "bevels") {
			n := point()
			if n.Len() < 1 {
				continue
			}
			if h, ok := CutHull(whole, HalfSpace{n.Unit(), 25}); ok {
				whole = h
			}
		}
		parts := []*Hull{whole}
		for range rapid.IntRange(1, 5).Draw(t, "cuts") {
			n := point()
			if n.Len() < 1 {
				continue
			}
			hs := HalfSpace{n.Unit(), rapid.Float64Range(-10, 10).Draw(t, "d")}
			var next []*Hull
			for _, p := range parts {
				for _, s := range [2]HalfSpace{hs, {hs.N.Mul(-1), -hs.D}} {
					if h, ok := CutHull(p, s); ok {
						next = append(next, h)
					}
				}
			}
			parts = next
		}
		var in []Layer
		for _, p := range parts {
			in = append(in, Layer{Hull: p})
		}
		s, err := Fuse(in)
		if errors.Is(err, ErrUnclear) && thinnest(parts) < 1e-3 {
			return
		}
		if err != nil {
			t.Fatalf("%v; the shortest side is %g", err, thinnest(parts))
		}
		if math.Abs(s.Volume()-whole.Volume()) > 1e-9*whole.Volume() || len(s.Points) != len(whole.Points) || len(s.Faces) != len(whole.Faces) {
			t.Fatalf("%d parts: %g mm³, %d points, %d faces; want %g, %d, %d", len(parts), s.Volume(), len(s.Points), len(s.Faces), whole.Volume(), len(whole.Points), len(whole.Faces))
		}
	})
}

// BenchmarkFuse joins a board with 41 fingers at each end.
func BenchmarkFuse(b *testing.B) {
	in := []Layer{{Hull: blockOf(b, 0, 0, 0, 300, 9, 410)}}
	for i := range 41 {
		z := float64(10 * i)
		in = append(in, Layer{Hull: blockOf(b, -9, 0, z, 0, 9, z+5)}, Layer{Hull: blockOf(b, 300, 0, z, 309, 9, z+5)})
	}
	for range b.N {
		if _, err := Fuse(in); err != nil {
			b.Fatal(err)
		}
	}
}
