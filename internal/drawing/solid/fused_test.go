package solid

import (
	"errors"
	"math"
	"testing"

	"knobwright/internal/geom"
	"pgregory.net/rapid"
)

// fuse makes one solid of blocks; those from number cuts on are taken away.
func fuse(t interface{ Fatal(...any) }, cuts int, hs ...*geom.Hull) *geom.Solid {
	var ls []geom.Layer
	for i, h := range hs {
		ls = append(ls, geom.Layer{Hull: h, Cut: i >= cuts})
	}
	s, err := geom.Fuse(ls)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A board of 60 x 40 x 10 with a step of 20 x 40 x 4 cut out of its top, and holes that must go, or must not.
func TestFusedHoles(t *testing.T) {
	step := fuse(t, 1, block(t, v3(0, 0, 0), v3(60, 40, 10)), block(t, v3(40, -1, 6), v3(61, 41, 11)))
	const whole = 60*40*10 - 20*40*4
	round := math.Pi * 9 // of a hole of 6 mm
	for _, c := range []struct {
		name string
		h    Hole
		want float64
		err  error
	}{
		{"through the thick part", Drill(v3(20, 20, 10), v3(0, 0, -1), 6, 0), whole - 10*round, nil},
		{"through the thin part", Drill(v3(50, 20, 6), v3(0, 0, -1), 6, 0), whole - 6*round, nil},
		{"the same from above", Drill(v3(50, 20, 10), v3(0, 0, -1), 6, 0), whole - 6*round, nil},
		{"blind", Drill(v3(20, 20, 10), v3(0, 0, -1), 6, 4), whole - 4*round, nil},
		{"along, out at the step", Drill(v3(0, 20, 8), v3(1, 0, 0), 2, 0), whole - 40*math.Pi, nil},
		{"along, under the step", Drill(v3(0, 20, 3), v3(1, 0, 0), 2, 0), whole - 60*math.Pi, nil},
		{"across the step", Drill(v3(41, 20, 6), v3(0, 0, -1), 6, 0), 0, ErrMeets},
		{"too near the step", Drill(v3(37-0.01, 20, 10), v3(0, 0, -1), 6, 0), 0, ErrMeets},
		{"near the step", Drill(v3(37-0.05, 20, 10), v3(0, 0, -1), 6, 0), whole - 10*round, nil},
		{"along, breaking out under the step", Drill(v3(0, 20, 5.5), v3(1, 0, 0), 2, 0), 0, ErrMeets},
		{"too deep", Drill(v3(50, 20, 6), v3(0, 0, -1), 6, 7), 0, ErrMeets},
		{"beside it", Drill(v3(70, 20, 6), v3(0, 0, -1), 6, 0), 0, ErrNoFace},
	} {
		m, err := Build([]Body{one(Fused{Of: step, Holes: []Hole{c.h}})})
		if !errors.Is(err, c.err) || err == nil != (c.err == nil) {
			t.Errorf("%s: %v, want %v", c.name, err, c.err)
			continue
		}
		if err == nil {
			near1(t, c.name, m.Volume(0), c.want, 1e-12)
		}
	}
	two := fuse(t, 2, block(t, v3(0, 0, 0), v3(1, 1, 1)), block(t, v3(2, 0, 0), v3(3, 1, 1)))
	hollow := fuse(t, 1, block(t, v3(0, 0, 0), v3(9, 9, 9)), block(t, v3(3, 3, 3), v3(6, 6, 6)))
	for _, s := range []*geom.Solid{two, hollow} {
		if _, err := Build([]Body{one(Fused{Of: s})}); !errors.Is(err, ErrApart) {
			t.Errorf("%v, want %v", err, ErrApart)
		}
	}
	if _, err := Build([]Body{one(Fused{})}); !errors.Is(err, ErrHull) {
		t.Errorf("%v, want %v", err, ErrHull)
	}
}

// A comb of random teeth with random holes: the mesh is closed, of the volume given, with as many tunnels as holes.
func TestFusedMesh(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hs := []*geom.Hull{boxOf(t, v3(0, 0, 0), v3(100, 60, 8))}
		x := 0.0
		for {
			x += rapid.Float64Range(2, 20).Draw(t, "gap")
			w := rapid.Float64Range(2, 20).Draw(t, "tooth")
			if x+w > 100 {
				break
			}
			hs = append(hs, boxOf(t, v3(x, 60, 0), v3(x+w, 60+rapid.Float64Range(1, 20).Draw(t, "long"), 8)))
			x += w
		}
		k := Fused{Of: fuse(t, len(hs), hs...)}
		for i := range rapid.IntRange(0, 4).Draw(t, "holes") {
			k.Holes = append(k.Holes, Drill(v3(15+20*float64(i), rapid.Float64Range(10, 50).Draw(t, "y"), 8), v3(0, 0, -1), rapid.Float64Range(1, 12).Draw(t, "d"), 0))
		}
		m, err := Build([]Body{one(k)})
		if err != nil {
			t.Fatal(err)
		}
		mesh, err := m.Mesh(0, 0.01)
		if err != nil {
			t.Fatal(err)
		}
		if err := mesh.Check(); err != nil {
			t.Error(err)
		}
		if got, want := mesh.Euler(), 2-2*len(k.Holes); got != want {
			t.Errorf("Euler characteristic %d, want %d", got, want)
		}
		if math.Abs(mesh.Volume()/m.Volume(0)-1) > 1e-3 {
			t.Errorf("%g mm³, want %g", mesh.Volume(), m.Volume(0))
		}
	})
}

func boxOf(t interface{ Fatal(...any) }, lo, hi geom.Vec3) *geom.Hull {
	h, err := geom.BoxHull(geom.Box3{Min: lo, Max: hi})
	if err != nil {
		t.Fatal(err)
	}
	return h
}
