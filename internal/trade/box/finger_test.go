package box

import (
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
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

// BenchmarkFingered judges boxes with some hundred fingers, as is done while a slider is dragged.
func BenchmarkFingered(b *testing.B) {
	for name, o := range fingeredBoxes(b) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Judge(o)
			}
		})
	}
}

// TestLeaves holds the way through a board of many parts against small steps along it.
func TestLeaves(t *testing.T) {
	c := made(t, fingered(6))
	random := rand.New(rand.NewPCG(7, 11))
	long := 0
	for range 1500 {
		b := &c.Boards[random.IntN(len(c.Boards))]
		box := geom.EmptyBox3()
		for _, h := range b.Parts {
			box = box.Union(h.Bounds())
		}
		in := func(lo, hi float64) float64 { return lo + (hi-lo)*random.Float64() }
		p := geom.Vec3{X: in(box.Min.X, box.Max.X), Y: in(box.Min.Y, box.Max.Y), Z: in(box.Min.Z, box.Max.Z)}
		d := geom.Vec3{X: in(-1, 1), Y: in(-1, 1), Z: in(-1, 1)}.Unit()
		want := 0.0
		const step = 0.05
		for holds(b, p.Add(d.Mul(want))) {
			want += step
		}
		if got := leaves(b, p, d); math.Abs(got-want) > step+1e-3 {
			t.Fatalf("%s: %g, by steps %g", b.Name, got, want)
		}
		if want > 5 {
			long++
		}
	}
	if long < 300 {
		t.Errorf("only %d ways of more than 5 mm", long)
	}
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
