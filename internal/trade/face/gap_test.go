package face

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// drawShape makes a prism of a kind that panels have.
func drawShape(t *rapid.T, name string) shape {
	f := func(what string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name+" "+what) }
	c := geom.Vec2{X: f("x", -20, 20), Y: f("y", -20, 20)}
	w, h := f("w", 1, 20), f("h", 1, 20)
	var o geom.Outline
	switch rapid.IntRange(0, 6).Draw(t, name+" kind") {
	case 0:
		o = geom.Circle(c, w)
	case 1:
		o = geom.Rect(c, w, h, 0)
	case 2:
		o = geom.Rect(c, w, h, f("corner", 0.1, 10))
	case 3:
		o = geom.Hexagon(geom.Vec2{}, w).Move(geom.Place{At: c, Turn: f("turn", 0, 60)})
	case 4:
		o = geom.Rect(geom.Vec2{}, w, h, 0).Move(geom.Place{At: c, Turn: f("turn", 1, 89)})
	case 5:
		o = geom.Slot(geom.Vec2{}, w+h, h).Move(geom.Place{At: c, Turn: f("turn", 0, 180)})
	case 6:
		o = geom.DoubleD(c, w, w*f("flat", 0.5, 0.95))
	}
	z := f("z", -10, 10)
	return newShape(panel.RoleBody, o, z, z+f("tall", 0.5, 15))
}

// rim samples the edge of an outline.
func rim(o geom.Outline) []geom.Vec2 { return o.Flatten(0.002) }

// bruteGap measures two footprints from points on their edges alone: apart, the least distance of the points; overlapping,
// the least shift out of 3600 directions that parts them.
func bruteGap(a, b geom.Outline) float64 {
	as, bs := rim(a), rim(b)
	least := math.Inf(1)
	for _, p := range as {
		least = min(least, toLoop(p, bs))
	}
	for _, p := range bs {
		least = min(least, toLoop(p, as))
	}
	meets := least < 1e-9 || within(as[0], bs) || within(bs[0], as)
	for i := range as {
		for j := range bs {
			meets = meets || crosses(as[i], as[(i+1)%len(as)], bs[j], bs[(j+1)%len(bs)])
		}
	}
	if !meets {
		return least
	}
	depth := math.Inf(1)
	for i := range 3600 {
		s, c := math.Sincos(float64(i) * math.Pi / 1800)
		u := geom.Vec2{X: c, Y: s}
		ha, lb := math.Inf(-1), math.Inf(1)
		for _, p := range as {
			ha = max(ha, p.Dot(u))
		}
		for _, p := range bs {
			lb = min(lb, p.Dot(u))
		}
		depth = min(depth, ha-lb)
	}
	return -depth
}

func toLoop(p geom.Vec2, loop []geom.Vec2) float64 {
	least := math.Inf(1)
	for i := range loop {
		least = min(least, p.Sub(onLine(p, loop[i], loop[(i+1)%len(loop)])).Len())
	}
	return least
}

func within(p geom.Vec2, loop []geom.Vec2) bool {
	in := false
	for i := range loop {
		a, b := loop[i], loop[(i+1)%len(loop)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

func crosses(a, b, c, d geom.Vec2) bool {
	o := func(p, q, r geom.Vec2) bool { return q.Sub(p).Cross(r.Sub(p)) > 0 }
	return o(a, b, c) != o(a, b, d) && o(c, d, a) != o(c, d, b)
}

// The gap of two footprints, by whichever shortcut, is that of points sampled on their edges.
func TestGapAgainstSampledPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawShape(t, "a"), drawShape(t, "b")
		d := geom.Vec2{X: rapid.Float64Range(-5, 5).Draw(t, "dx"), Y: rapid.Float64Range(-5, 5).Draw(t, "dy")}
		got := gap2(&a, d, &b)
		want := bruteGap(a.outline().Move(geom.Place{At: d}), b.outline())
		// The nearest sampled direction is up to a twentieth of a degree off, which over a reach of 12 mm makes a depth 0.011
		// larger at most; the flattened arcs lose 2 µm each.
		if math.Abs(got.gap-want) > 0.016 {
			t.Fatalf("gap %.4f, sampled %.4f", got.gap, want)
		}
		if l := got.dir.Len(); math.Abs(l-1) > 1e-9 {
			t.Fatalf("direction of length %g", l)
		}
		// moving by what is missing cures an overlap
		if got.gap < -0.02 {
			if g := gap2(&a, d.Add(got.dir.Mul(-got.gap)), &b); g.gap < -0.005 {
				t.Fatalf("moved by the depth %.4f there is still %.4f", -got.gap, g.gap)
			}
		}
	})
}

// In space: apart, the gap is the least distance of sampled points; and moving along the face by need never falls short of
// what any smaller move could do.
func TestGapInSpace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawShape(t, "a"), drawShape(t, "b")
		want := rapid.Float64Range(0, 5).Draw(t, "want")
		got := gap3(&a, geom.Vec2{}, &b, want)
		ref := geom.Gap(a.convex(geom.Vec2{}), b.convex(geom.Vec2{}))
		if ref.Gap < 0 { // overlapping: what counts is how far to go along the face
			ref.Gap = gap2(&a, geom.Vec2{}, &b).gap
			if got.need < -ref.Gap {
				t.Fatalf("need %.4f of an overlap of %.4f", got.need, -ref.Gap)
			}
		}
		if got.gap < want-1e-6 || ref.Gap < want-1e-6 {
			if math.Abs(got.gap-ref.Gap) > 1e-5 {
				t.Fatalf("gap %.6f, package geom says %.6f", got.gap, ref.Gap)
			}
		}
		if got.gap > want-1e-6 {
			return
		}
		// no shorter move along the face cures it
		for i := range 48 {
			s, c := math.Sincos(float64(i) * math.Pi / 24)
			short := geom.Vec2{X: c, Y: s}.Mul(got.need * 0.98)
			if g := gap3(&a, short, &b, want); g.gap > want+1e-6 && got.need > 1e-3 {
				t.Fatalf("need %.4f, but moving %v gives %.4f of %.4f", got.need, short, g.gap, want)
			}
		}
	})
}

// margin agrees with package geom.
func TestMargin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawShape(t, "outer"), drawShape(t, "inner")
		ref, _ := a.outline().Margin(b.outline())
		if got := margin(&a, &b); math.Abs(got-ref) > 1e-6 {
			t.Fatalf("margin %.6f, package geom says %.6f", got, ref)
		}
	})
}

// A cored outline is what its core says: its edge lies everywhere at the radius from the core.
func TestCore(t *testing.T) {
	kinds := map[form]int{}
	rapid.Check(t, func(t *rapid.T) {
		a := drawShape(t, "a")
		kinds[a.form]++
		if a.form != cored {
			return
		}
		for _, p := range rim(a.outline()) {
			if d := toLoop(p, a.pts); math.Abs(d-a.r) > 0.003 {
				t.Fatalf("a point of the edge lies %.4f from the core, not %.4f", d, a.r)
			}
		}
	})
	if drawn := kinds[cored] + kinds[disc] + kinds[block] + kinds[other]; drawn < 90 {
		return // too few by chance to have one of each
	}
	if kinds[cored] == 0 || kinds[disc] == 0 || kinds[block] == 0 || kinds[other] == 0 {
		t.Errorf("not all forms were drawn: %v", kinds)
	}
}

// The way to the edge of the face agrees with package geom, for all forms, inside, outside and in round corners.
func TestSide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corner := rapid.SampledFrom([]float64{0, 3, 12, 30}).Draw(t, "corner")
		k := &checker{p: &panel.Panel{}}
		k.p.Face = panel.Face{Width: 100, Height: 70, Corner: corner, Outline: geom.Rect(geom.Vec2{X: 50, Y: 35}, 100, 70, corner)}
		s := drawShape(t, "a")
		d := geom.Vec2{X: rapid.Float64Range(0, 100).Draw(t, "dx"), Y: rapid.Float64Range(0, 70).Draw(t, "dy")}
		got, at, in := k.side(&s, d)
		ref, _ := k.p.Face.Outline.Margin(s.outline().Move(geom.Place{At: d}))
		if math.Abs(got-ref) > 1e-6 {
			t.Fatalf("%.6f to the edge, package geom says %.6f", got, ref)
		}
		if l := in.Len(); math.Abs(l-1) > 1e-9 || math.IsNaN(at.X+at.Y) {
			t.Fatalf("inwards is %v, at %v", in, at)
		}
		// moving inwards is never worse; another point may be out over another edge as far
		if got < 0 && got > -5 && s.box.Size().X < 30 && s.box.Size().Y < 30 {
			if m, _, _ := k.side(&s, d.Add(in.Mul(-got*1.5))); m < got-1e-9 {
				t.Fatalf("moved inwards it has %.4f, before %.4f", m, got)
			}
		}
	})
}
