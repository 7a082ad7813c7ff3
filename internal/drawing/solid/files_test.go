package solid

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"pgregory.net/rapid"
)

// readSTL reads a binary file: normals, corners.
func readSTL(t interface{ Fatalf(string, ...any) }, b []byte) (normals []geom.Vec3, corners [][3]geom.Vec3) {
	if len(b) < 84 || bytes.HasPrefix(b, []byte("solid")) {
		t.Fatalf("no binary STL")
	}
	n := int(binary.LittleEndian.Uint32(b[80:]))
	if len(b) != 84+50*n {
		t.Fatalf("%d bytes for %d facets", len(b), n)
	}
	for i := range n {
		var v [4]geom.Vec3
		r := bytes.NewReader(b[84+50*i:])
		var x [12]float32
		if err := binary.Read(r, binary.LittleEndian, &x); err != nil {
			t.Fatalf("%v", err)
		}
		for k := range v {
			v[k] = v3(float64(x[3*k]), float64(x[3*k+1]), float64(x[3*k+2]))
		}
		normals, corners = append(normals, v[0]), append(corners, [3]geom.Vec3(v[1:]))
	}
	return normals, corners
}

// joined gives facets as a mesh by equal corners.
func joined(corners [][3]geom.Vec3) *Mesh {
	m := &Mesh{}
	id := map[geom.Vec3]int{}
	for _, c := range corners {
		var tri [3]int
		for k, p := range c {
			i, ok := id[p]
			if !ok {
				i = len(m.Vertices)
				id[p] = i
				m.Vertices = append(m.Vertices, p)
			}
			tri[k] = i
		}
		m.Triangles = append(m.Triangles, tri)
	}
	return m
}

func TestSTLReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := randomBoard(t)
		m := build(t, one(b.piece(t)))
		file, err := m.STL("board", 0.05)
		if err != nil {
			t.Fatal(err)
		}
		normals, corners := readSTL(t, file)
		mesh := joined(corners)
		if err := mesh.Check(); err != nil {
			t.Error(err)
		}
		if got, want := mesh.Euler(), 2-2*b.throughs(); got != want {
			t.Errorf("Euler characteristic %d, want %d", got, want)
		}
		own, err := m.Mesh(0, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(mesh.Volume()/own.Volume()-1) > 1e-4 {
			t.Errorf("volume %g, want %g", mesh.Volume(), own.Volume())
		}
		for i, n := range normals {
			if math.Abs(n.Len()-1) > 1e-6 || n.Sub(mesh.Normal(i)).Len() > 1e-6 {
				t.Errorf("facet %d: normal %v, want %v", i, n, mesh.Normal(i))
			}
		}
	})
}

// Far from the origin 32-bit numbers are coarse: at 99 m they are 8 µm apart. Corners melt together; the surface must stay closed.
func TestSTLFarAway(t *testing.T) {
	p := Plate(geom.NoPose().Shift(v3(99000, 99000, -99000)), geom.Polygon(v2(0, 0), v2(30, 0), v2(30, 20), v2(0.002, 20), v2(0, 19.998)), 3)
	p.Holes = []Hole{p.Front(geom.Circle(v2(10, 10), 0.3), 0)}
	m := build(t, one(p))
	file, err := m.STL("far", fine)
	if err != nil {
		t.Fatal(err)
	}
	_, corners := readSTL(t, file)
	if err := joined(corners).Check(); err != nil {
		t.Error(err)
	}
	own, _ := m.Mesh(0, fine)
	if len(corners) >= len(own.Triangles) {
		t.Errorf("nothing melted: %d facets of %d; this test shows nothing", len(corners), len(own.Triangles))
	}
}

func TestSTLText(t *testing.T) {
	m := build(t, cueDesk(t)...)
	text, err := m.STLText("it's a\ndesk", 0.1)
	if err != nil {
		t.Fatal(err)
	}
	bin, err := m.STL("", 0.1)
	if err != nil {
		t.Fatal(err)
	}
	_, want := readSTL(t, bin)
	f := strings.Fields(string(text))
	if string(text[:len("solid it's a?desk\n")]) != "solid it's a?desk\n" {
		t.Errorf("starts %q", text[:30])
	}
	var got []geom.Vec3
	for i, w := range f {
		if w == "vertex" {
			var x [3]float64
			for k := range x {
				v, err := strconv.ParseFloat(f[i+1+k], 32)
				if err != nil {
					t.Fatal(err)
				}
				x[k] = v
			}
			got = append(got, v3(x[0], x[1], x[2]))
		}
	}
	if len(got) != 3*len(want) {
		t.Fatalf("%d corners, want %d", len(got), 3*len(want))
	}
	for i, p := range got {
		if p != want[i/3][i%3] {
			t.Fatalf("corner %d: %v, want %v", i, p, want[i/3][i%3])
		}
	}
}

// A 3MF package is read with shapes of the test's own.
func TestThreeMFReadBack(t *testing.T) {
	bodies := cueDesk(t)
	bodies[0].Name = `<floor> & "ply" ` + "\x00é"
	m := build(t, bodies...)
	file, err := m.ThreeMF("Cue <desk>", 0.05)
	if err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	parts := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if parts[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
		if f.Modified.Year() != 2000 {
			t.Errorf("%s is of %v", f.Name, f.Modified)
		}
	}
	if z.File[0].Name != "[Content_Types].xml" || !bytes.Contains(parts["_rels/.rels"], []byte(`Target="/3D/3dmodel.model"`)) {
		t.Errorf("parts %v", z.File)
	}
	var doc struct {
		XMLName   xml.Name `xml:"http://schemas.microsoft.com/3dmanufacturing/core/2015/02 model"`
		Unit      string   `xml:"unit,attr"`
		Resources struct {
			Bases struct {
				ID   int `xml:"id,attr"`
				Base []struct {
					Name   string `xml:"name,attr"`
					Colour string `xml:"displaycolor,attr"`
				} `xml:"base"`
			} `xml:"basematerials"`
			Objects []struct {
				ID       int    `xml:"id,attr"`
				Name     string `xml:"name,attr"`
				PID      int    `xml:"pid,attr"`
				Index    int    `xml:"pindex,attr"`
				Vertices []struct {
					X float64 `xml:"x,attr"`
					Y float64 `xml:"y,attr"`
					Z float64 `xml:"z,attr"`
				} `xml:"mesh>vertices>vertex"`
				Triangles []struct {
					A int `xml:"v1,attr"`
					B int `xml:"v2,attr"`
					C int `xml:"v3,attr"`
				} `xml:"mesh>triangles>triangle"`
			} `xml:"object"`
		} `xml:"resources"`
		Items []struct {
			Object int `xml:"objectid,attr"`
		} `xml:"build>item"`
	}
	if err := xml.Unmarshal(parts["3D/3dmodel.model"], &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Unit != "millimeter" || len(doc.Resources.Objects) != m.Bodies() || len(doc.Items) != m.Bodies() {
		t.Fatalf("unit %s, %d objects, %d items", doc.Unit, len(doc.Resources.Objects), len(doc.Items))
	}
	ids := map[int]bool{doc.Resources.Bases.ID: true}
	for i, o := range doc.Resources.Objects {
		if ids[o.ID] || doc.Items[i].Object != o.ID || o.PID != doc.Resources.Bases.ID {
			t.Errorf("object %d: numbers %d, %d, %d", i, o.ID, doc.Items[i].Object, o.PID)
		}
		ids[o.ID] = true
		b := bodies[i]
		base := doc.Resources.Bases.Base[o.Index]
		name := strings.ReplaceAll(b.Name, "\x00", "\ufffd") // XML has no way to write it
		if o.Name != name || base.Name != name || base.Colour != fmt.Sprintf("#%02X%02X%02X", b.Colour.R, b.Colour.G, b.Colour.B) {
			t.Errorf("object %d: %q, %+v, want %q %v", i, o.Name, base, name, b.Colour)
		}
		mesh := &Mesh{}
		for _, v := range o.Vertices {
			mesh.Vertices = append(mesh.Vertices, v3(v.X, v.Y, v.Z))
		}
		for _, tri := range o.Triangles {
			mesh.Triangles = append(mesh.Triangles, [3]int{tri.A, tri.B, tri.C})
		}
		own, err := m.Mesh(i, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if err := mesh.Check(); err != nil {
			t.Errorf("%s: %v", b.Name, err)
		}
		near1(t, b.Name, mesh.Volume(), own.Volume(), 1e-5)
		if d := mesh.Bounds().Min.Sub(own.Bounds().Min).Len() + mesh.Bounds().Max.Sub(own.Bounds().Max).Len(); d > 1e-5 {
			t.Errorf("%s: block off by %g", b.Name, d)
		}
	}
}

// FuzzBuild makes pieces out of any numbers: either a typed error, or sound files.
func FuzzBuild(f *testing.F) {
	f.Add([]byte("a board with holes, as bytes would have it, neither here nor there"))
	f.Add(bytes.Repeat([]byte{0x40, 0x10, 0xf3}, 60))
	f.Fuzz(func(t *testing.T, data []byte) {
		next := func() byte {
			if len(data) == 0 {
				return 0
			}
			b := data[0]
			data = data[1:]
			return b
		}
		special := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, 5e-324, -1e-9, Far, -Far, 0, 1e-7, Thin, 1e5}
		num := func() float64 {
			b := next()
			if b >= 250 {
				return special[int(next())%len(special)]
			}
			return (float64(b) - 100) * float64(1+next()%16) / 16
		}
		vec := func() geom.Vec3 { return v3(num(), num(), num()) }
		pose := func() geom.Pose {
			switch next() % 8 {
			case 0:
				return geom.Pose{X: vec(), Y: vec(), Z: vec(), At: vec()}
			case 1, 2, 3:
				p := along(vec())
				p.At = vec()
				return p
			}
			return geom.NoPose().Shift(v3(0, 0, num()))
		}
		outline := func() (o geom.Outline) {
			switch next() % 5 {
			case 0:
				for range next() % 12 {
					v := geom.Vertex{P: v2(num(), num())}
					if next()%2 == 0 {
						v.Bulge = num() / 30
					}
					o = append(o, v)
				}
				return o
			case 1:
				return geom.Circle(v2(num(), num()), num())
			case 2:
				return geom.Rect(v2(num(), num()), 2*num(), 2*num(), num())
			case 3:
				return geom.NotchedCircle(v2(num(), num()), num(), num(), num())
			}
			return geom.Slot(v2(num(), num()), num(), num())
		}
		p := Prism{Pose: pose(), Outline: outline(), From: num(), To: num()}
		if next()%2 == 0 {
			p.Outline, p.To = geom.Rect(v2(num(), num()), 60, 40, num()), p.From+float64(next())/8
		}
		if next()%4 == 0 {
			p.Ends = [2]geom.HalfSpace{{N: vec(), D: num()}, {N: vec(), D: num()}}
		}
		var hull *geom.Hull
		if next()%3 == 0 {
			var pts []geom.Vec3
			for range 4 + next()%12 {
				pts = append(pts, vec())
			}
			if hull, _ = geom.HullOf(pts); hull == nil {
				return
			}
		}
		var holes []Hole
		for range next() % 6 {
			h := Hole{Pose: pose(), Outline: outline(), Depth: max(0, num())}
			small := geom.Circle(v2(num(), num()), float64(next())/16)
			switch next() % 4 {
			case 0:
				h = p.Front(small, max(0, num()))
			case 1:
				h = p.Back(small, 0)
			case 2: // from outside to the middle
				if hull != nil {
					h = Drill(hull.Support(vec()), vec(), float64(next())/32, max(0, num()/8))
				} else {
					h = Drill(p.Pose.Apply(v3(num(), num(), (p.From+p.To)/2)), vec(), float64(next())/64, 0)
				}
			}
			if next()%3 == 0 {
				h.Sink = Sink{D: num() / 4, Angle: num(), Depth: num() / 8}
			}
			holes = append(holes, h)
		}
		p.Holes = holes
		var piece Piece = p
		if hull != nil {
			piece = Block{Hull: hull, Holes: holes}
		}
		m, err := Build([]Body{one(piece)})
		if err != nil {
			if _, ok := err.(*Error); !ok {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		if v := m.Volume(0); !(v > 0 && v < 1e16) {
			t.Errorf("volume %g", v)
		}
		readSTEP(t, m.STEP(STEPOptions{})).check(t)
		mesh, err := m.Mesh(0, 0.1)
		if err != nil {
			t.Fatal(err)
		}
		if err := mesh.Check(); err != nil {
			t.Error(err)
		}
		if v := mesh.Volume(); !(v > 0) {
			t.Errorf("mesh of volume %g", v)
		}
		items, err := m.Drawing(View{Turn: num(), Tilt: max(-90, min(90, num())), Scale: 0.1})
		if err != nil && !errors.Is(err, ErrView) {
			t.Fatal(err)
		}
		for _, it := range items {
			for _, o := range it.(*drawing.Path).Outlines {
				for _, v := range o {
					if !(math.Abs(v.P.X)+math.Abs(v.P.Y) < 1e6) {
						t.Fatalf("%v on the drawing", v.P)
					}
				}
			}
		}
	})
}
