package solid

import (
	"errors"
	"math"
	"strings"
	"testing"

	"knobwright/internal/geom"
)

func TestWhatIsRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	box := block(t, v3(0, 0, 0), v3(40, 30, 10))
	plate := func(change func(p *Prism)) Piece {
		p := Plate(geom.NoPose(), geom.Rect(v2(0, 0), 40, 30, 2), 10)
		change(&p)
		return p
	}
	drilled := func(h ...Hole) Piece { return Block{Hull: box, Holes: h} }
	down := func(x, y, d, depth float64) Hole { return Drill(v3(x, y, 10), v3(0, 0, -1), d, depth) }
	sunk := func(s Sink) Hole {
		h := down(20, 15, 4, 0)
		h.Sink = s
		return h
	}
	long := func(o geom.Outline) Piece { return plate(func(p *Prism) { p.Outline = o }) }
	ell := geom.Polygon(v2(0, 0), v2(60, 0), v2(60, 10), v2(10, 10), v2(10, 60), v2(0, 60))
	angle := Prism{Pose: geom.NoPose(), Outline: ell, From: 0, To: 20}
	across := func(at, dir geom.Vec3, depth float64) Piece {
		p := angle
		p.Holes = []Hole{Drill(at, dir, 4, depth)}
		return p
	}
	for _, c := range []struct {
		name string
		p    Piece
		want error // nil: sound
	}{
		{"sound block", drilled(down(20, 15, 4, 0), down(30, 15, 4, 5)), nil},
		{"sound plate", plate(func(*Prism) {}), nil},
		{"no hull", Block{}, ErrHull},
		{"flat hull", Block{Hull: &geom.Hull{}}, ErrHull},
		{"no piece", nil, ErrEmpty},
		{"no number", plate(func(p *Prism) { p.To = nan }), ErrNumber},
		{"endless", plate(func(p *Prism) { p.From = -inf }), ErrNumber},
		{"far off", plate(func(p *Prism) { p.Pose.At.X = 2 * Far }), ErrNumber},
		{"upside down", plate(func(p *Prism) { p.From, p.To = p.To, p.From }), ErrThin},
		{"paper", plate(func(p *Prism) { p.To = p.From + Thin/2 }), ErrThin},
		{"zero frame", plate(func(p *Prism) { p.Pose = geom.Pose{} }), ErrFrame},
		{"mirrored frame", plate(func(p *Prism) { p.Pose.Z = p.Pose.Z.Mul(-1) }), ErrFrame},
		{"stretched frame", plate(func(p *Prism) { p.Pose.X = v3(1.001, 0, 0) }), ErrFrame},
		{"frame of no numbers", plate(func(p *Prism) { p.Pose.X.Y = nan }), ErrFrame},
		{"no outline", long(nil), ErrOutline},
		{"point", long(geom.Outline{{P: v2(1, 1)}, {P: v2(1, 1), Bulge: 1}}), ErrOutline},
		{"line", long(geom.Outline{{P: v2(0, 0)}, {P: v2(1, 0)}, {P: v2(2, 0)}}), ErrOutline},
		{"clockwise", long(geom.Outline{{P: v2(0, 0)}, {P: v2(0, 9)}, {P: v2(9, 9)}, {P: v2(9, 0)}}), ErrOutline},
		{"figure eight", long(geom.Outline{{P: v2(0, 0)}, {P: v2(9, 9)}, {P: v2(9, 0)}, {P: v2(-2, 9)}}), ErrOutline},
		{"arc through the far side", long(geom.Outline{{P: v2(0, 0), Bulge: -0.9}, {P: v2(20, 0)}, {P: v2(20, 5)}, {P: v2(0, 5)}}), ErrOutline},
		{"whole turn", long(geom.Outline{{P: v2(0, 0), Bulge: 1e5}, {P: v2(1, 0)}}), ErrOutline},
		{"needle", long(geom.Polygon(v2(0, 0), v2(1000, 0), v2(1000, 3))), ErrOutline},
		{"neck", long(geom.Polygon(v2(0, 0), v2(20, 0), v2(20, 4.995), v2(30, 4.995), v2(30, 0), v2(50, 0), v2(50, 10), v2(30, 10), v2(30, 5.005), v2(20, 5.005), v2(20, 10), v2(0, 10))), ErrThin},
		{"outline of no numbers", long(geom.Outline{{P: v2(0, nan)}, {P: v2(1, 0)}, {P: v2(1, 1)}}), ErrNumber},
		{"bulge of no number", long(geom.Outline{{P: v2(0, 0), Bulge: nan}, {P: v2(1, 0)}, {P: v2(1, 1)}}), ErrNumber},
		{"end along the bar", plate(func(p *Prism) { p.Ends[1] = geom.HalfSpace{N: v3(1, 0, 0), D: 3} }), ErrThin},
		{"end of no numbers", plate(func(p *Prism) { p.Ends[0] = geom.HalfSpace{N: v3(0, nan, -1), D: 3} }), ErrNumber},
		{"ends that cross", plate(func(p *Prism) { p.Ends[1] = geom.HalfSpace{N: v3(0.6, 0, 1), D: 0} }), ErrThin},
		{"hole beside", drilled(down(90, 15, 4, 0)), ErrNoFace},
		{"hole over the edge", drilled(down(39, 15, 4, 0)), ErrNoFace},
		{"hole over the other edge", drilled(down(1, 15, 4, 0)), ErrMeets},
		{"hole too deep", drilled(down(20, 15, 4, 10)), ErrMeets},
		{"hole much too deep", drilled(down(20, 15, 4, 25)), ErrMeets},
		{"hole of no depth", drilled(down(20, 15, 4, Thin/2)), ErrThin},
		{"hole backwards", drilled(down(20, 15, 4, -1)), ErrNumber},
		{"hole without way", drilled(Drill(v3(0, 0, 0), geom.Vec3{}, 4, 0)), ErrFrame},
		{"hair", drilled(down(20, 15, Thin/2, 0)), ErrThin},
		{"two in one place", drilled(down(20, 15, 4, 0), down(20, 15, 4, 0)), ErrHoles},
		{"one in the other", drilled(down(20, 15, 14, 0), down(20, 15, 4, 0)), ErrHoles},
		{"sink no wider", drilled(sunk(Sink{D: 4, Angle: 90})), ErrSink},
		{"sink too deep", drilled(sunk(Sink{D: 8, Depth: 10})), ErrSink},
		{"sink of no number", drilled(sunk(Sink{D: nan, Depth: 1})), ErrNumber},
		{"sink inside out", drilled(sunk(Sink{D: 8, Angle: 180})), ErrSink},
		{"sink over the edge", drilled(sunk(Sink{D: 31, Depth: 1})), ErrMeets},
		{"along an angle's leg", across(v3(30, 0, 10), v3(0, 1, 0), 5), nil},
		{"through an angle's leg", across(v3(30, 0, 10), v3(0, 1, 0), 0), nil},
		{"into an angle's corner", across(v3(5, 0, 10), v3(0, 1, 0), 55), nil},
		{"out of an angle's corner", across(v3(9, 0, 10), v3(0, 1, 0), 55), ErrMeets},
		{"past an angle's leg", across(v3(30, 0, 10), v3(0, 1, 0), 11), ErrMeets},
		{"out of an angle's end", across(v3(30, 0, 19), v3(0, 1, 0), 0), ErrMeets},
	} {
		_, err := Build([]Body{one(c.p)})
		if !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		var e *Error
		if err != nil && !errors.As(err, &e) {
			t.Errorf("%s: %T is no *Error", c.name, err)
		}
	}
}

func TestErrorSaysWhere(t *testing.T) {
	p := Plate(geom.NoPose(), geom.Rect(v2(0, 0), 40, 30, 2), 10)
	p.Holes = []Hole{p.Front(geom.Circle(v2(0, 0), 5), 0), p.Front(geom.Circle(v2(9, 0), 5), 0), p.Front(geom.Circle(v2(5, 0), 5), 0)}
	_, err := Build([]Body{one(p), {Name: "lid", Pieces: []Piece{Round(v3(0, 0, 0), v3(0, 0, 1), 1, 1), p}}})
	if err == nil || !strings.HasPrefix(err.Error(), "one, piece 1, hole 3: two holes meet") || !strings.HasSuffix(err.Error(), "(the other is number 1)") {
		t.Error(err)
	}
	a, b := Round(v3(0, 0, 0), v3(0, 0, 1), 10, 10), Round(v3(4, 0, 5), v3(0, 0, 1), 10, 10)
	_, err = Build([]Body{{Name: "", Pieces: []Piece{a, b}}})
	if !errors.Is(err, ErrOverlap) || !strings.HasPrefix(err.Error(), "body 1, piece 2: ") {
		t.Error(err)
	}
	if _, err := Build([]Body{{Name: "stack", Pieces: []Piece{a, Round(v3(4, 0, 10), v3(0, 0, 1), 10, 10)}}}); err != nil {
		t.Error(err) // touching is no overlap
	}
	if _, err = Build([]Body{{Name: "air"}}); !errors.Is(err, ErrEmpty) {
		t.Error(err)
	}
}

// No bodies at all give files without solids, not trouble.
func TestNothing(t *testing.T) {
	m := build(t)
	if len(m.STEP(STEPOptions{})) == 0 {
		t.Error("no STEP")
	}
	if b, err := m.STL("", 0); err != nil || len(b) != 84 {
		t.Errorf("STL of %d bytes, %v", len(b), err)
	}
	if _, err := m.ThreeMF("", 0); err != nil {
		t.Error(err)
	}
}
