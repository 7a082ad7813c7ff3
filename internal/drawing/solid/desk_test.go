package solid

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

func v2(x, y float64) geom.Vec2    { return geom.Vec2{X: x, Y: y} }
func v3(x, y, z float64) geom.Vec3 { return geom.Vec3{X: x, Y: y, Z: z} }

// block is an upright block cut by half-spaces.
func block(t testing.TB, lo, hi geom.Vec3, cuts ...geom.HalfSpace) *geom.Hull {
	t.Helper()
	h, err := geom.BoxHull(geom.Box3{Min: lo, Max: hi})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cuts {
		var ok bool
		if h, ok = geom.CutHull(h, c); !ok {
			t.Fatal("nothing left of a block")
		}
	}
	return h
}

// cueDesk is a wedge of five boards, a face with openings, and what stands on it: the desk of a travelling puppet theatre.
func cueDesk(t testing.TB) []Body {
	const w, d, front, back, wall, sheet = 340., 194., 45., 93., 9., 3.
	deg := math.Atan2(back-front, d) * 180 / math.Pi
	face := geom.TurnAbout(v3(1, 0, 0), deg).Shift(v3(0, 0, front))
	under := geom.HalfSpace{N: face.Z, D: face.Z.Dot(face.At)}
	long := math.Hypot(d, back-front)

	ply, acrylic := Colour{0xDB, 0xC3, 0x94}, Colour{0xDD, 0xE7, 0xE3}
	wood := Look{Wash: drawing.PlyWash, Line: drawing.Edge}
	board := func(name string, lo, hi geom.Vec3, holes ...Hole) Body {
		return Body{Name: name, Colour: ply, Look: wood, Pieces: []Piece{Block{Hull: block(t, lo, hi, under), Holes: holes}}}
	}
	vent := Hole{Pose: geom.Pose{X: v3(-1, 0, 0), Y: v3(0, 0, 1), Z: v3(0, 1, 0), At: v3(60, d, 40)}, Outline: geom.Slot(v2(0, 0), 30, 12)}
	bodies := []Body{
		board("floor", v3(wall, wall, 0), v3(w-wall, d-wall, wall)),
		board("left side", v3(0, 0, 0), v3(wall, d, 200)),
		board("right side", v3(w-wall, 0, 0), v3(w, d, 200), Drill(v3(w, 5, 12), v3(-1, 0, 0), 3, 0)),
		board("front wall", v3(wall, 0, 0), v3(w-wall, wall, 200)),
		board("back wall", v3(wall, d-wall, 0), v3(w-wall, d, 200), vent),
	}
	plate := Plate(face, geom.Rect(v2(w/2, long/2), w, long, 0), -sheet)
	plate.From, plate.To = 0, sheet
	on := func(p geom.Vec2, z float64) geom.Vec3 { return face.Apply(p.At(z)) }
	var knobs []Body
	cap := Look{Wash: drawing.CapWash}
	put := func(name string, at geom.Vec2, hole geom.Outline, pieces ...Piece) {
		plate.Holes = append(plate.Holes, plate.Front(hole.Move(geom.Place{At: at}), 0))
		knobs = append(knobs, Body{Name: name, Colour: Colour{0xF4, 0xEF, 0xE2}, Look: cap, Pieces: pieces})
	}
	disc := func(at geom.Vec2, dia, z, h float64) Prism { return Round(on(at, sheet+z), face.Z, dia, h) }
	push := func(name string, at geom.Vec2, dia float64) {
		put(name, at, geom.Circle(geom.Vec2{}, dia-6), disc(at, dia, 0, 3), disc(at, dia*0.72, 3, 2.5))
	}
	pot := func(name string, at geom.Vec2) {
		put(name, at, geom.NotchedCircle(geom.Vec2{}, 7.2, 2, 4.6), disc(at, 22, 0.5, 14))
	}
	toggle := func(name string, at geom.Vec2) {
		lever := Round(on(at, sheet+3), face.Z.Add(face.Y.Mul(0.3)), 3, 16)
		lever.Ends[0] = geom.HalfSpace{N: face.Z.Mul(-1), D: -face.Z.Dot(on(at, sheet+3))} // flush with the nut it leans on
		put(name, at, geom.SingleD(geom.Vec2{}, 6.4, 5.6), disc(at, 11, 0, 3), lever)
	}
	push("GO", v2(300, 40), 40)
	push("STANDBY", v2(245, 40), 30)
	push("FOG", v2(45, 40), 30)
	for i, name := range []string{"CUE 1", "CUE 2", "CUE 3", "CUE 4"} {
		push(name, v2(45+34*float64(i), 90), 19)
	}
	pot("SCENE", v2(45, 155))
	pot("MOON", v2(190, 155))
	pot("HOUSE", v2(265, 155))
	toggle("BELL", v2(190, 95))
	toggle("RAIN", v2(255, 95))
	toggle("WIND", v2(300, 95))
	return append(append(bodies, Body{
		Name: "face", Colour: acrylic, Look: Look{Wash: drawing.AcrylicWash, Side: drawing.MetalWash, Line: drawing.Edge}, Pieces: []Piece{plate},
	}), knobs...)
}

// build is Build for what must be sound.
func build(t interface {
	Helper()
	Fatal(...any)
}, bodies ...Body,
) *Model {
	t.Helper()
	m, err := Build(bodies)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func one(p ...Piece) Body { return Body{Name: "one", Pieces: p} }

// randomPose is any frame up to half a metre from the origin.
func randomPose(t *rapid.T) geom.Pose {
	f := rapid.Float64Range(-1, 1)
	axis := v3(f.Draw(t, "ax"), f.Draw(t, "ay"), f.Draw(t, "az"))
	p := geom.TurnAbout(axis, rapid.Float64Range(-180, 180).Draw(t, "turn"))
	// square up what rounding left of the frame
	p.Z = p.X.Cross(p.Y).Unit()
	p.Y = p.Z.Cross(p.X)
	return p.Shift(v3(500*f.Draw(t, "x"), 500*f.Draw(t, "y"), 500*f.Draw(t, "z")))
}

// opening is a hole as the tests describe it to others: which outline, from z down to z, and what is widened.
type opening struct {
	outline  geom.Outline
	from, to float64
	sink     Sink
	through  bool
	back     bool
}

// board is a random prism in its own frame.
type board struct {
	pose      geom.Pose
	outline   geom.Outline
	thickness float64
	openings  []opening
	cuts      []geom.HalfSpace // bevels, in its own frame; then the outline is a rectangle and the board a block
}

// randomOutline is one of the shapes holes and boards have, of width about d round the origin.
func randomOutline(t *rapid.T, d float64) geom.Outline {
	u := rapid.Float64Range(0.3, 0.9).Draw(t, "share")
	switch rapid.IntRange(0, 7).Draw(t, "shape") {
	case 0, 1:
		return geom.Circle(geom.Vec2{}, d)
	case 2:
		return geom.DoubleD(geom.Vec2{}, d, d*max(u, 0.5))
	case 3:
		return geom.SingleD(geom.Vec2{}, d, d*max(u, 0.6))
	case 4:
		return geom.Slot(geom.Vec2{}, d, d*u)
	case 5:
		return geom.NotchedCircle(geom.Vec2{}, d*0.8, d*0.2, d*0.9)
	case 6:
		return geom.Rect(geom.Vec2{}, d*0.7, d*0.7*u, d*0.1)
	default:
		return geom.Hexagon(geom.Vec2{}, d*0.8)
	}
}

// randomBoard has its holes in the cells of a grid, so that they cannot meet.
func randomBoard(t *rapid.T) board {
	b := board{pose: randomPose(t), thickness: rapid.Float64Range(1, 20).Draw(t, "thickness")}
	cols, rows := rapid.IntRange(1, 4).Draw(t, "cols"), rapid.IntRange(1, 3).Draw(t, "rows")
	const cell, rim = 30., 12.
	w, h := float64(cols)*cell+2*rim, float64(rows)*cell+2*rim
	b.outline = geom.Rect(v2(w/2, h/2), w, h, rapid.SampledFrom([]float64{0, 3, 11}).Draw(t, "corner"))
	switch rapid.IntRange(0, 3).Draw(t, "rim") {
	case 1: // a round bite and a tongue
		b.outline = geom.Outline{
			{P: v2(0, 0)}, {P: v2(w/2-8, 0), Bulge: -rapid.Float64Range(0.1, 1).Draw(t, "bite")}, {P: v2(w/2+8, 0)}, {P: v2(w, 0)}, {P: v2(w, h)},
			{P: v2(w/2+9, h), Bulge: rapid.Float64Range(0.1, 1.2).Draw(t, "tongue")}, {P: v2(w/2-9, h)}, {P: v2(0, h)},
		}
	case 2: // fingers
		var pts []geom.Vec2
		for i := range 2 * cols {
			x, step := w*float64(i)/float64(2*cols), w/float64(4*cols)
			pts = append(pts, v2(x, 0), v2(x+step, 0), v2(x+step, -6), v2(x+2*step, -6))
		}
		b.outline = geom.Polygon(append(pts, v2(w, h), v2(0, h))...)
	case 3: // bevels
		b.outline = geom.Rect(v2(w/2, h/2), w, h, 0)
		for i, n := range []geom.Vec3{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}} {
			if rapid.Bool().Draw(t, "bevel") {
				n.Z = rapid.Float64Range(-0.5, 0.5).Draw(t, "slope")
				at := [4]geom.Vec3{{X: w}, {Y: h}, {}, {}}[i]
				if n.Z < 0 {
					at.Z = -b.thickness
				}
				b.cuts = append(b.cuts, geom.HalfSpace{N: n, D: n.Dot(at)})
			}
		}
		if b.cuts == nil {
			b.cuts = []geom.HalfSpace{{N: v3(1, 0, 0), D: w + 1}} // a block all the same
		}
	}
	for i := range cols {
		for j := range rows {
			if rapid.IntRange(0, 3).Draw(t, "bare") == 0 {
				continue
			}
			d := rapid.Float64Range(0.5, 26).Draw(t, "d")
			o := opening{outline: randomOutline(t, d)}
			place := geom.Place{At: v2(rim+cell*(float64(i)+0.5), rim+cell*(float64(j)+0.5)), Turn: rapid.Float64Range(0, 360).Draw(t, "turned")}
			o.outline = o.outline.Move(place)
			o.back = rapid.Bool().Draw(t, "back")
			o.through = rapid.Bool().Draw(t, "through")
			depth := b.thickness
			if !o.through {
				depth *= rapid.Float64Range(0.2, 0.9).Draw(t, "depth")
			}
			if _, dia, round := o.outline.AsCircle(); round && rapid.Bool().Draw(t, "sunk") && dia < 18 {
				o.sink.D = dia + rapid.Float64Range(0.5, 8).Draw(t, "wider")
				if deep := depth * rapid.Float64Range(0.2, 0.8).Draw(t, "drop"); rapid.Bool().Draw(t, "cone") {
					o.sink.Angle = 2 * math.Atan((o.sink.D-dia)/2/deep) * 180 / math.Pi
				} else {
					o.sink.Depth = deep
				}
			}
			o.from, o.to = 0, -depth
			if o.back {
				o.from, o.to = -b.thickness, -b.thickness+depth
			}
			b.openings = append(b.openings, o)
		}
	}
	return b
}

// piece gives the board as a Prism, or, bevelled, as a Block.
func (b board) piece(t interface{ Fatal(...any) }) Piece {
	p := Plate(b.pose, b.outline, b.thickness)
	for _, o := range b.openings {
		depth := math.Abs(o.to - o.from)
		if o.through {
			depth = 0
		}
		h := p.Front(o.outline, depth)
		if o.back {
			h = p.Back(o.outline, depth)
		}
		h.Sink = o.sink
		p.Holes = append(p.Holes, h)
	}
	if b.cuts == nil {
		return p
	}
	return Block{Hull: b.hull(t), Holes: p.Holes}
}

// hull gives the bevelled board without holes.
func (b board) hull(t interface{ Fatal(...any) }) *geom.Hull {
	box := b.outline.Bounds()
	h, err := geom.BoxHull(geom.Box3{Min: box.Min.At(-b.thickness), Max: box.Max.At(0)})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range b.cuts {
		h, _ = geom.CutHull(h, c)
	}
	return geom.Posed(h, b.pose).(*geom.Hull)
}

// throughs counts the holes that go right through.
func (b board) throughs() (n int) {
	for _, o := range b.openings {
		if o.through {
			n++
		}
	}
	return n
}

// peers gives the folder of npm packages that holds the named one, or skips loudly: the repository's testdata/peers, or the folder named
// by KNOBWRIGHT_PEERS.
func peers(t testing.TB, pkg string) string {
	t.Helper()
	dir := os.Getenv("KNOBWRIGHT_PEERS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "testdata", "peers")
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", pkg)); err != nil {
		t.Skipf("SKIPPED: no node_modules/%s in testdata/peers or $KNOBWRIGHT_PEERS; this check against an outside program was not made", pkg)
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		t.Fatal(err)
	}
	return abs
}
