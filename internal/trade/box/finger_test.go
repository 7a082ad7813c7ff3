package box

import (
	"math"
	"testing"
	"time"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// fingered is a wedge with finger joints, fingers of a width.
func fingered(width float64) carcass.Spec {
	s := wedge(14)
	s.Build.Corner, s.Build.Fingers = carcass.Fingered, carcass.Fingers{Width: width, Kerf: 0.2}
	s.Build.Ledge = carcass.Batten{Width: 14, Height: 14}
	return s
}

// fingeredBoxes are boxes whose boards have many parts.
func fingeredBoxes(t testing.TB) map[string]Order {
	let := fingered(3)
	let.Build.BaseFit = carcass.Between
	hinged := fingered(3)
	hinged.Build.FaceHeld = carcass.Hinged
	out := map[string]Order{}
	for name, s := range map[string]carcass.Spec{"12 mm": fingered(12), "3 mm": fingered(3), "3 mm, base let in": let, "3 mm, hinged": hinged} {
		out[name] = order(made(t, s))
	}
	return out
}

// TestFingeredIsQuick: a box with some hundred fingers is judged while a slider is dragged. The best of several runs counts, so that a
// busy machine does not fail it.
func TestFingeredIsQuick(t *testing.T) {
	if testing.Short() {
		t.Skip("measures time")
	}
	for name, o := range fingeredBoxes(t) {
		best := time.Hour
		for range 8 {
			start := time.Now()
			Judge(o)
			best = min(best, time.Since(start))
		}
		if best > 60*time.Millisecond {
			t.Errorf("%s: %v", name, best)
		}
	}
}

// TestLeaves holds the way through a board of many parts against small steps along it.
func TestLeaves(t *testing.T) {
	c := made(t, fingered(6))
	rapid.Check(t, func(t *rapid.T) {
		b := &c.Boards[rapid.IntRange(0, len(c.Boards)-1).Draw(t, "board")]
		box := geom.EmptyBox3()
		for _, h := range b.Parts {
			box = box.Union(h.Bounds())
		}
		in := func(name string, lo, hi float64) float64 { return lo + (hi-lo)*float64(rapid.IntRange(1, 9999).Draw(t, name))/10000 }
		p := geom.Vec3{X: in("x", box.Min.X, box.Max.X), Y: in("y", box.Min.Y, box.Max.Y), Z: in("z", box.Min.Z, box.Max.Z)}
		d := geom.Vec3{X: in("dx", -1, 1), Y: in("dy", -1, 1), Z: in("dz", -1, 1)}
		if d.Len() < 0.1 {
			t.Skip("no direction")
		}
		d = d.Unit()
		want := 0.0
		const step = 0.05
		for holds(b, p.Add(d.Mul(want))) && want < 1000 {
			want += step
		}
		if got := leaves(b, p, d); math.Abs(got-want) > step+1e-3 {
			t.Fatalf("%g, by steps %g", got, want)
		}
	})
}

func BenchmarkFingeredWedge(b *testing.B) {
	for name, o := range fingeredBoxes(b) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Judge(o)
			}
		})
	}
}
