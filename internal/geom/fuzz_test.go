package geom

import (
	"encoding/binary"
	"math"
	"testing"
	"time"
)

// numbers reads floats from fuzz data: small steps of a workshop's size mostly, and now and then any bit pattern.
type numbers struct{ data []byte }

func (n *numbers) byte() byte {
	if len(n.data) == 0 {
		return 0
	}
	b := n.data[0]
	n.data = n.data[1:]
	return b
}

func (n *numbers) float() float64 {
	switch k := n.byte(); {
	case k < 200:
		return (float64(k) - 100) / 4
	case k < 230:
		return (float64(k)-215)/4 + float64(n.byte())*1e-9
	case k < 240:
		return math.Ldexp(float64(n.byte())-128, int(n.byte())-128)
	case k < 245:
		return math.Inf(int(k) - 242)
	case k < 247:
		return math.NaN()
	}
	var b [8]byte
	for i := range b {
		b[i] = n.byte()
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(b[:]))
}

func (n *numbers) vec2() Vec2 { return Vec2{n.float(), n.float()} }
func (n *numbers) vec3() Vec3 { return Vec3{n.float(), n.float(), n.float()} }

func (n *numbers) outline() Outline {
	switch n.byte() % 9 {
	case 0:
		return Circle(n.vec2(), n.float())
	case 1:
		return Rect(n.vec2(), n.float(), n.float(), n.float())
	case 2:
		return Slot(n.vec2(), n.float(), n.float())
	case 3:
		return DoubleD(n.vec2(), n.float(), n.float())
	case 4:
		return SingleD(n.vec2(), n.float(), n.float())
	case 5:
		return NotchedCircle(n.vec2(), n.float(), n.float(), n.float())
	case 6:
		return Hexagon(n.vec2(), n.float())
	case 7:
		var pts []Vec2
		for range n.byte() % 8 {
			pts = append(pts, n.vec2())
		}
		return Polygon(pts...)
	}
	var o Outline // anything at all, crossing itself and clockwise too
	for range n.byte() % 8 {
		o = append(o, Vertex{n.vec2(), n.float() / 10})
	}
	return o
}

func (n *numbers) solid() Convex {
	switch n.byte() % 4 {
	case 0:
		return NewPrism(n.outline(), n.float(), n.float())
	case 1:
		return NewCylinder(n.vec3(), n.vec3(), n.float(), n.float())
	case 2:
		return BoxSolid(Box3{n.vec3(), n.vec3()})
	}
	var pts []Vec3
	for range n.byte() % 10 {
		pts = append(pts, n.vec3())
	}
	h, err := NewHull(pts)
	if err != nil {
		return nil
	}
	return h
}

func seed(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{0, 100, 100, 120, 0, 110, 100, 120})
	f.Add([]byte{1, 100, 100, 140, 120, 104, 1, 110, 105, 140, 120, 104, 100, 100})
	f.Add([]byte{8, 5, 100, 100, 100, 140, 100, 100, 140, 140, 105, 100, 140, 95, 120, 120, 0, 5, 100, 100, 130, 110, 140})
	f.Add([]byte{0, 1, 100, 100, 140, 120, 104, 100, 120, 1, 104, 108, 112, 103, 104, 100, 110, 140, 120})
	f.Add([]byte{3, 4, 100, 100, 100, 140, 100, 100, 100, 140, 100, 100, 100, 140, 3, 4, 110, 110, 110, 140, 100, 100, 100, 140, 100, 100, 100, 140})
	f.Add([]byte{1, 100, 100, 100, 104, 104, 100, 120, 140, 1, 100, 100, 100, 104, 104, 100, 120, 140})
	f.Add([]byte{0, 245, 245, 245, 0, 241, 241, 244})
}

// soon ends the run where a test has not come to its end a minute later: by then it hangs, however busy the machine is.
func soon() (done func() bool) {
	return time.AfterFunc(time.Minute, func() { panic("this hangs") }).Stop
}

// Whatever the numbers: no panic, no hanging, no NaN where the input is sound.
func FuzzOutline(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 400 {
			return
		}
		defer soon()()
		n := &numbers{data}
		o, q := n.outline(), n.outline()
		p := Place{n.vec2(), n.float(), n.byte()%2 == 1}
		o = o.Move(p)
		g, a, b := o.Gap(q)
		m, at := o.Margin(q)
		grown := o.Grow(n.float())
		_, _, _ = o.Contains(n.vec2()), o.Bounds(), o.Support(n.vec2())
		_, _, _ = o.Perimeter(), o.IsConvex(), o.Empty()
		flat := o.Flatten(n.float())
		if len(flat) > 4096*len(o) {
			t.Fatalf("%d corners", len(flat))
		}
		if tame(o) && tame(q) {
			if math.IsNaN(a.Len() + b.Len() + at.Len() + grown.Area()) {
				t.Fatalf("gap %v at %v and %v, margin %v at %v, grown %v, of\n%v\n%v", g, a, b, m, at, grown, o, q)
			}
		}
		if math.IsNaN(g) || math.IsNaN(m) {
			t.Fatalf("gap %v, margin %v of\n%v\n%v", g, m, o, q)
		}
	})
}

// tame tells outlines whose numbers are those of a workshop.
func tame(o Outline) bool {
	for _, v := range o {
		if !(math.Abs(v.P.X) < 1e6 && math.Abs(v.P.Y) < 1e6 && math.Abs(v.Bulge) < 1e3) {
			return false
		}
	}
	return true
}

func FuzzGap(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 400 {
			return
		}
		defer soon()()
		n := &numbers{data}
		a, b := n.solid(), n.solid()
		s := Gap(a, b)
		hs := HalfSpace{n.vec3(), n.float()}
		hg := hs.GapTo(a)
		if h, ok := a.(*Hull); ok {
			if c, ok := CutHull(h, hs); ok && !(c.Volume() >= 0) {
				t.Fatalf("cut has volume %v", c.Volume())
			}
		}
		if math.IsNaN(s.Gap) || math.IsNaN(s.Dir.Len()) || math.IsNaN(hg.Gap) {
			t.Fatalf("%+v, %+v between\n%+v\n%+v", s, hg, a, b)
		}
		if a == nil || b == nil {
			return
		}
		size := size(a.Bounds(), b.Bounds())
		if !(size < 1e6) || !(size > 1e-3) {
			return
		}
		if !close2(s.Dir.Len(), 1, 1e-6) || math.IsInf(s.Gap, 0) {
			t.Fatalf("%+v between\n%+v\n%+v", s, a, b)
		}
		r := Gap(b, a)
		if !close2(r.Gap, s.Gap, 1e-5*size) {
			t.Fatalf("%v one way, %v the other, between\n%+v\n%+v", s.Gap, r.Gap, a, b)
		}
	})
}

func FuzzPairs(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 2000 {
			return
		}
		n := &numbers{data}
		margin := n.float()
		var boxes []Box2
		for len(n.data) > 0 {
			boxes = append(boxes, Box2{n.vec2(), n.vec2()})
		}
		got, want := treePairs(boxes, margin), allPairs(boxes, margin)
		if len(got) != len(want) {
			t.Fatalf("%d pairs, want %d: %v, margin %v", len(got), len(want), boxes, margin)
		}
		for i := range got {
			if got[i] != want[i] {
				t.Fatalf("pair %d is %v, want %v", i, got[i], want[i])
			}
		}
	})
}
