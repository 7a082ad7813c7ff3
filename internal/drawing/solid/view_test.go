package solid

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/thorough"
	"knobwright/internal/witness"
)

func TestViews(t *testing.T) {
	for _, c := range []struct {
		name string
		v    View
		p    geom.Vec3
		want geom.Vec2
	}{
		{"front", View{}, v3(3, 5, 7), v2(3, 7)},
		{"plan", View{Tilt: 90}, v3(3, 5, 7), v2(3, 5)},
		{"from the right", View{Turn: 90}, v3(3, 5, 7), v2(5, 7)},
		{"from behind", View{Turn: 180}, v3(3, 5, 7), v2(-3, 7)},
		{"from below", View{Tilt: -90}, v3(3, 5, 7), v2(3, -5)},
		{"twice as large", View{Scale: 2}, v3(3, 5, 7), v2(6, 14)},
		// isometric: axes at 30 degrees, √(2/3) long
		{"isometric x", Isometric(), v3(1, 0, 0), v2(math.Sqrt(2./3)*math.Cos(math.Pi/6), -math.Sqrt(2./3)/2)},
		{"isometric y", Isometric(), v3(0, 1, 0), v2(math.Sqrt(2./3)*math.Cos(math.Pi/6), math.Sqrt(2./3)/2)},
		{"isometric z", Isometric(), v3(0, 0, 1), v2(0, math.Sqrt(2./3))},
	} {
		if got := c.v.Project(c.p); got.Sub(c.want).Len() > 1e-12 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	// dimetric: 7°10' and 41°25', lengths as 2 : 2 : 1
	x, y, z := Dimetric().Project(v3(1, 0, 0)), Dimetric().Project(v3(0, 1, 0)), Dimetric().Project(v3(0, 0, 1))
	near1(t, "dimetric x to z", x.Len(), z.Len(), 1e-12)
	near1(t, "dimetric y to z", 2*y.Len(), z.Len(), 1e-12)
	near1(t, "dimetric x", math.Atan2(-x.Y, x.X)*180/math.Pi, 7+10./60, 0.002)
	near1(t, "dimetric y", math.Atan2(y.Y, y.X)*180/math.Pi, 41+25./60, 0.002)
	for _, v := range []View{{Turn: math.NaN()}, {Tilt: math.Inf(1)}, {Tilt: 91}, {Scale: -1}, {Scale: math.NaN()}} {
		if _, err := build(t).Drawing(v); !errors.Is(err, ErrView) {
			t.Errorf("%+v: %v", v, err)
		}
	}
}

// What is drawn of simple things, counted by hand.
func TestLinesOfSimpleThings(t *testing.T) {
	tube := Plate(geom.NoPose(), geom.Circle(v2(0, 0), 30), 10)
	tube.Holes = []Hole{tube.Front(geom.Circle(v2(0, 0), 20), 0)}
	for _, c := range []struct {
		name          string
		p             Piece
		v             View
		washes, lines int
		length        float64 // of all lines, each as often as drawn; 0: not worked out
	}{
		{"cube", Block{Hull: block(t, v3(0, 0, 0), v3(10, 10, 10))}, Isometric(), 3, 3, 3 * 4 * 10 * math.Sqrt(2./3)},
		{"cube from the front", Block{Hull: block(t, v3(0, 0, 0), v3(10, 10, 10))}, View{}, 1, 1, 40},
		// the top's ellipse; and the wall: two sides and two half ellipses, in one run
		{"disc", Round(v3(0, 0, 0), v3(0, 0, 1), 20, 10), View{Tilt: 30}, 2, 2, 20*10*math.Cos(math.Pi/6)/10 + 2*ellipse(10, 5)},
		{"disc from above", Round(v3(0, 0, 0), v3(0, 0, 1), 20, 10), View{Tilt: 90}, 1, 1, 2 * math.Pi * 10},
		// rounded corners: the wall is one pane, no line stands where an arc begins
		{"rounded block", Plate(geom.NoPose(), geom.Rect(v2(0, 0), 40, 30, 5), 10), Isometric(), 2, 2, 0},
		// top with two rims, outer wall, inner wall
		{"tube", tube, View{Tilt: 45}, 3, 4, 0},
		// straight down a countersink: top, cone, and no wall
		{"countersink", func() Piece {
			p := Plate(geom.NoPose(), geom.Rect(v2(0, 0), 40, 30, 0), 10)
			h := p.Front(geom.Circle(v2(0, 0), 5), 0)
			h.Sink = Sink{D: 11, Angle: 90}
			p.Holes = []Hole{h}
			return p
		}(), View{Tilt: 90}, 2, 4, 2*70 + math.Pi*(11+11+5)},
	} {
		items, err := build(t, one(c.p)).Drawing(c.v)
		if err != nil {
			t.Fatal(err)
		}
		washes, lines, length := 0, 0, 0.0
		for _, it := range items {
			p := it.(*drawing.Path)
			if p.Style.Fill != drawing.NoInk {
				washes++
				continue
			}
			lines++
			o := p.Outlines[0]
			for i, v := range o {
				if q := o[(i+1)%len(o)]; !p.Open || i < len(o)-1 {
					length += q.P.Sub(v.P).Len()
				}
			}
		}
		if washes != c.washes || lines != c.lines {
			t.Errorf("%s: %d surfaces and %d lines, want %d and %d", c.name, washes, lines, c.washes, c.lines)
		}
		if c.length > 0 && math.Abs(length/c.length-1) > 1e-3 {
			t.Errorf("%s: %g mm of lines, want %g", c.name, length, c.length)
		}
	}
}

// ellipse gives the way round an ellipse after Ramanujan, good to 1e-6 for these.
func ellipse(a, b float64) float64 {
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	return math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
}

// shown gives the ink on top at a place of the drawing, no ink where nothing is drawn.
func shown(items []drawing.Item, at geom.Vec2) (ink drawing.Ink) {
	for _, it := range items {
		p := it.(*drawing.Path)
		if p.Style.Fill == drawing.NoInk {
			continue
		}
		in := false
		for _, o := range p.Outlines {
			for i, v := range o {
				a, b := v.P, o[(i+1)%len(o)].P
				if (a.Y > at.Y) != (b.Y > at.Y) && at.X < a.X+(at.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
					in = !in
				}
			}
		}
		if in {
			ink = p.Style.Fill
		}
	}
	return ink
}

// hit gives the wash of the body that a ray from the viewer meets first, by trying every triangle.
func hit(meshes []*Mesh, washes []drawing.Ink, v View, at geom.Vec2) (ink drawing.Ink) {
	c := v.camera()
	best := math.Inf(-1)
	for k, m := range meshes {
		for _, tri := range m.Triangles {
			p, q, r := c.see(m.Vertices[tri[0]]), c.see(m.Vertices[tri[1]]), c.see(m.Vertices[tri[2]])
			whole := q.XY().Sub(p.XY()).Cross(r.XY().Sub(p.XY()))
			if whole <= 0 {
				continue // looks away
			}
			u := q.XY().Sub(at).Cross(r.XY().Sub(at)) / whole
			w := r.XY().Sub(at).Cross(p.XY().Sub(at)) / whole
			x := 1 - u - w
			if u < 0 || w < 0 || x < 0 {
				continue
			}
			if z := u*p.Z + w*q.Z + x*r.Z; z > best {
				best, ink = z, washes[k]
			}
		}
	}
	return ink
}

// checkDrawing compares a drawing with rays at places spread over it, but for those so near an edge that a hundredth of a millimetre counts.
func checkDrawing(t interface {
	Errorf(string, ...any)
	Fatal(...any)
}, bodies []Body, v View, places int,
) {
	for i := range bodies {
		bodies[i].Look = Look{Wash: drawing.Ink(fmt.Sprintf("wash %d", i))}
	}
	m, err := Build(bodies)
	if err != nil {
		t.Fatal(err)
	}
	items, err := m.Drawing(v)
	if err != nil {
		t.Fatal(err)
	}
	var meshes []*Mesh
	var washes []drawing.Ink
	for i := range bodies {
		mesh, err := m.Mesh(i, 0.01)
		if err != nil {
			t.Fatal(err)
		}
		meshes, washes = append(meshes, mesh), append(washes, bodies[i].Look.Wash)
	}
	box := m.Extent(v).Grow(1)
	used, wrong := 0, 0
	for k := range places { // a lattice that repeats in neither direction
		f := v2(math.Mod(0.5+0.7548776662466927*float64(k), 1), math.Mod(0.5+0.5698402909980532*float64(k), 1))
		at := v2(box.Min.X+f.X*box.Size().X, box.Min.Y+f.Y*box.Size().Y)
		want := hit(meshes, washes, v, at)
		clear := true
		for _, d := range []geom.Vec2{{X: 0.05}, {X: -0.05}, {Y: 0.05}, {Y: -0.05}} {
			clear = clear && hit(meshes, washes, v, at.Add(d)) == want
		}
		if !clear {
			continue
		}
		used++
		if got := shown(items, at); got != want {
			wrong++
			if wrong == 1 {
				t.Errorf("at %v the drawing shows %q, a ray meets %q (view %+v)", at, got, want, v)
			}
		}
	}
	if wrong > 1 {
		t.Errorf("%d of %d places are wrong", wrong, used)
	}
	if used < places/2 {
		t.Errorf("only %d of %d places were clear of edges", used, places)
	}
}

func TestDrawingHidesWhatLiesBehind(t *testing.T) {
	all := []View{Isometric(), {Turn: 160, Tilt: 30}, Desk(), Dimetric(), {Turn: -40, Tilt: 35}, {Turn: 30, Tilt: -30}, {Tilt: 90}, {Turn: 12, Tilt: 60}}
	for _, v := range thorough.Of(all, all[:2]) {
		checkDrawing(t, cueDesk(t), v, 300)
		checkDrawing(t, drilledPlate(), v, 300)
	}
}

// Blocks, discs and boards in the cells of a grid: whatever stands in a cell is parted from its neighbours by planes, so that there is an
// order, and it must be found.
func TestDrawingOfRandomThings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Map(rapid.IntRange(-20, 20), func(i int) float64 { return float64(i) })
		var bodies []Body
		for i := range 8 {
			at := v3(float64(i&1), float64(i>>1&1), float64(i>>2)).Mul(42)
			if rapid.IntRange(0, 3).Draw(t, "empty") == 0 {
				continue
			}
			pose := randomPose(t)
			pose.At = at
			var p Piece
			switch rapid.IntRange(0, 2).Draw(t, "kind") {
			case 0:
				var pts []geom.Vec3
				for range 8 {
					pts = append(pts, at.Add(v3(n.Draw(t, "x"), n.Draw(t, "y"), n.Draw(t, "z"))))
				}
				h, err := geom.HullOf(pts)
				if err != nil || h.Volume() < 1 {
					continue
				}
				p = Block{Hull: h}
			case 1:
				p = Prism{Pose: pose, Outline: randomOutline(t, 22), From: -12, To: 12}
			default:
				plate := Plate(pose, geom.Rect(v2(0, 0), 30, 20, 4), 5)
				plate.Holes = []Hole{plate.Front(geom.Circle(v2(-6, 0), 9), 0), plate.Back(geom.Circle(v2(7, 0), 8), 3)}
				p = plate
				bodies = append(bodies, Body{Pieces: []Piece{Bar(pose.Apply(v3(-6, 0, -8)), pose.Z, geom.DoubleD(v2(0, 0), 6, 4), 14)}})
			}
			bodies = append(bodies, Body{Pieces: []Piece{p}})
		}
		if len(bodies) == 0 {
			return
		}
		checkDrawing(t, bodies, View{Turn: rapid.Float64Range(-180, 180).Draw(t, "turn"), Tilt: rapid.Float64Range(-80, 80).Draw(t, "tilt")}, 60)
	})
}

// drilledPlate is a thick plate with every kind of hole, a shaft through one of them.
func drilledPlate() []Body {
	plate := Plate(geom.TurnAbout(v3(1, 0, 0), 20), geom.Rect(v2(50, 40), 100, 80, 12), 12)
	at := func(x, y, z float64) geom.Vec3 { return plate.Pose.Apply(v3(x, y, z)) }
	sunk, bored := plate.Front(geom.Circle(v2(15, 65), 5), 0), plate.Front(geom.Circle(v2(40, 65), 5), 0)
	sunk.Sink, bored.Sink = Sink{D: 11, Angle: 90}, Sink{D: 11, Depth: 5}
	plate.Holes = []Hole{
		plate.Front(geom.Circle(v2(30, 40), 22), 0), plate.Front(geom.Slot(v2(72, 22), 30, 10), 5),
		plate.Front(geom.NotchedCircle(v2(70, 55), 16, 4, 18), 0), sunk, bored, Drill(at(20, 0, -6), plate.Pose.Y, 5, 12),
	}
	return []Body{
		{Name: "plate", Look: Look{Wash: drawing.AcrylicWash}, Pieces: []Piece{plate}},
		{Name: "shaft", Look: Look{Wash: drawing.MetalWash}, Pieces: []Piece{Round(at(30, 40, -30), plate.Pose.Z, 18, 60)}},
	}
}

// Drawings fill their extent, are the same twice, and can be looked at: set KNOBWRIGHT_KEEP to a folder.
func TestDrawingsAreTheSameTwice(t *testing.T) {
	for name, bodies := range map[string][]Body{"desk": cueDesk(t), "plate": drilledPlate()} {
		for view, v := range map[string]View{"desk": Desk(), "isometric": Isometric(), "dimetric": Dimetric(), "left": {Turn: -40, Tilt: 35}, "behind": {Turn: 160, Tilt: 30}} {
			var files [2][]byte
			for i := range files {
				m := build(t, bodies...)
				items, err := m.Drawing(v)
				if err != nil {
					t.Fatal(err)
				}
				box := geom.EmptyBox2()
				for _, it := range items {
					for _, o := range it.(*drawing.Path).Outlines {
						for _, q := range o {
							box = box.Extend(q.P)
						}
					}
				}
				if e := m.Extent(v); box.Min.Sub(e.Min).Len()+box.Max.Sub(e.Max).Len() > 0.1 {
					t.Errorf("%s, %s: extent %v, drawn %v", name, view, e, box)
				}
				s := &drawing.Scene{Title: name, Bounds: m.Extent(v).Grow(5), Items: items}
				if files[i], err = drawing.SVGWith(s, drawing.SVGOptions{Theme: drawing.LightTheme}); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(files[0], files[1]) {
				t.Errorf("%s, %s: other bytes the second time", name, view)
			}
			witness.Keep(t, name+"-"+view+".svg", files[0])
		}
	}
}

func BenchmarkDrawing(b *testing.B) {
	m := build(b, cueDesk(b)...)
	for b.Loop() {
		if _, err := m.Drawing(Desk()); err != nil {
			b.Fatal(err)
		}
	}
}
