package panel

import (
	"strings"
	"testing"

	"knobwright/internal/geom"
)

func owners(bs []Body) string {
	var s []string
	for i, b := range bs {
		s = append(s, b.Owner+": "+strings.SplitN(solids(bs[i:i+1]), " ", 2)[1])
	}
	return strings.Join(s, "\n")
}

func TestBox(t *testing.T) {
	p, fs := placeText(t, `
box:
  depth: 50
  walls: test-9mm
  inset: 1
  ledge: {width: 6, height: 12}
  blocks: {size: 15, height: 20}
  ribs:
    middle: {from: [100, 10], to: [100, 90], width: 8, height: 25}
    slant: {from: [20, 20], to: [50, 60], width: 5, height: 10}
`)
	wantClean(t, fs)
	// walls from 1 to 10 and, on the other side, from 190 to 199 (90 to 99); their tops at the back of the sheet, -3.1; blocks under the
	// ledges, a rib between them
	wantText(t, "behind", owners(p.Behind), `
front wall: 1,1..199,10 z -53.1..-3.1
back wall: 1,90..199,99 z -53.1..-3.1
left side: 1,10..10,90 z -53.1..-3.1
right side: 190,10..199,90 z -53.1..-3.1
base: 1,1..199,99 z -62.1..-53.1
front ledge: 10,10..190,16 z -15.1..-3.1
back ledge: 10,84..190,90 z -15.1..-3.1
left ledge: 10,16..16,84 z -15.1..-3.1
right ledge: 184,16..190,84 z -15.1..-3.1
front left glue block: 10,10..25,25 z -35.1..-15.1
front right glue block: 175,10..190,25 z -35.1..-15.1
back left glue block: 10,75..25,90 z -35.1..-15.1
back right glue block: 175,75..190,90 z -35.1..-15.1
rib MIDDLE: 96,16..104,84 z -28.1..-3.1
rib SLANT: 18,18.5..52,61.5 z -13.1..-3.1`)
	if !p.HasBox || p.BoxDepth != 50 || p.Interior != (geom.Box2{Min: geom.Vec2{X: 10, Y: 10}, Max: geom.Vec2{X: 190, Y: 90}}) {
		t.Errorf("box %v, depth %v, interior %v", p.HasBox, p.BoxDepth, p.Interior)
	}
	for _, b := range p.Behind {
		if b.Origin.Name == "" || b.Origin.Path == "" || b.Origin.Pos.Line == 0 || b.Solid == nil {
			t.Errorf("%s: origin %+v", b.Owner, b.Origin)
		}
	}
	// the slanting rib is a turned rectangle: 50 long, 5 wide
	if a := p.Behind[14].Outline.Area(); !near(a, 250) {
		t.Errorf("the slanting rib covers %v mm2", a)
	}
}

func TestBoxWithoutDepthHasNoBase(t *testing.T) {
	p, _ := placeText(t, "box: {walls: test-9mm}")
	if !p.HasBox || p.BoxDepth != 0 || strings.Contains(owners(p.Behind), "base") || len(p.Behind) != 4 {
		t.Errorf("%s", owners(p.Behind))
	}
}

func TestNoBox(t *testing.T) {
	p, fs := placeText(t, "box: {form: none, depth: 80, ribs: {m: {from: [10, 50], to: [190, 50], width: 9, height: 20}}}")
	wantClean(t, fs)
	if p.HasBox || p.BoxDepth != 80 || owners(p.Behind) != "rib M: 10,45.5..190,54.5 z -23.1..-3.1" {
		t.Errorf("%v %v %s", p.HasBox, p.BoxDepth, owners(p.Behind))
	}
}

// Of the 19-inch grid: EIA-310-D, IEC 60297-3-100.
func TestRack(t *testing.T) {
	p, fs := placeWhole(t, "knobwright: 1\nface: {rack: 3, sheet: test-3mm}\nbox: {form: none, depth: 90}")
	wantClean(t, fs)
	if !near(p.Face.Width, 482.6) || !near(p.Face.Height, 3*44.45-0.79) {
		t.Errorf("%v x %v", p.Face.Width, p.Face.Height)
	}
	// what opening the rails leave: 450 at least
	wantText(t, "behind", owners(p.Behind), `
rack rail: 0,0..16.3,132.56 z -93..-3
rack rail: 466.3,0..482.6,132.56 z -93..-3`)
	if len(p.Fixings) != 4 {
		t.Fatalf("%d slots", len(p.Fixings))
	}
	a, b := p.Fixings[0], p.Fixings[1]
	if !near(b.At.X-a.At.X, 465.1) || !near(a.At.X+b.At.X, 482.6) || !near(a.At.Y+p.Fixings[2].At.Y, p.Face.Height) {
		t.Errorf("slots at %v %v %v", a.At, b.At, p.Fixings[2].At)
	}
	if s := a.Cut.Outline.Bounds().Size(); !near(s.X, 10.3) || !near(s.Y, 6.8) || a.Screw != "M6" {
		t.Errorf("slot %v for %s", s, a.Screw)
	}
	// first hole of the rail 6.35 above the boundary, holes 15.875, 15.875 and 12.7 apart: the upper slot is at one too
	gap := p.Fixings[2].At.Y - a.At.Y
	if !near(gap, 2*44.45+15.875+15.875) {
		t.Errorf("slots %v apart up", gap)
	}
}

func TestFixings(t *testing.T) {
	p, fs := placeWhole(t, "knobwright: 1\nface: {width: 200, height: 100, sheet: test-3mm, fixings: {screw: M3, inset: 7, across: 3, up: 3, fit: close}}")
	wantClean(t, fs)
	want := []geom.Vec2{{X: 7, Y: 7}, {X: 100, Y: 7}, {X: 193, Y: 7}, {X: 7, Y: 50}, {X: 193, Y: 50}, {X: 7, Y: 93}, {X: 100, Y: 93}, {X: 193, Y: 93}}
	if len(p.Fixings) != len(want) {
		t.Fatalf("%d screws", len(p.Fixings))
	}
	for i, f := range p.Fixings {
		if !nearVec(f.At.Vec2, want[i]) || f.Cut.ID != "fixing-"+itoa(i+1) || f.Cut.What != "fixing" || f.Origin.MovePath != "" {
			t.Errorf("%d: %+v", i, f)
		}
		if f.Cut.Nominal != 3.2 { // ISO 273, fine series
			t.Errorf("an M3 screw goes through %v mm", f.Cut.Nominal)
		}
	}
	p, fs = placeWhole(t, "knobwright: 1\nface: {width: 200, height: 100, sheet: test-3mm, fixings: {screw: M4, head: 9, at: [[30, 40], [150, 60]]}}")
	wantClean(t, fs)
	if len(p.Fixings) != 2 || p.Fixings[1].At != P(150, 60) || p.Fixings[1].Head != 9 || p.Fixings[1].Origin.MovePath != "face.fixings.at.1" {
		t.Errorf("%+v", p.Fixings[1])
	}
}

func TestOpenings(t *testing.T) {
	p, fs := placeWhole(t, `knobwright: 1
face:
  width: 200
  height: 100
  sheet: test-3mm
  covering: {use: test-film, holes: folded}
  holes:
    cable: {round: 12, at: [20, 20], tol: [-0.2, 0.5]}
    window: {rect: [40, 20], corner: 2, at: [80, 50], turn: 90}
    vent: {slot: [30, 4], at: [150, 50]}
`)
	wantClean(t, fs)
	if len(p.Openings) != 3 {
		t.Fatalf("%d openings", len(p.Openings))
	}
	a, b, c := p.Openings[0], p.Openings[1], p.Openings[2]
	if a.ID != "hole-cable" || a.Owner != nil || a.FinishedMin != 11.8 || a.FinishedMax != 12.5 || !near(a.CutMin, 12) || !near(a.CutMax, 12.7) || a.Origin.MovePath != "face.holes.cable.at" {
		t.Errorf("%+v", a)
	}
	if s := b.Outline.Bounds(); !nearVec(s.Size(), geom.Vec2{X: 20, Y: 40}) || !nearVec(s.Centre(), geom.Vec2{X: 80, Y: 50}) || b.Turn != 90 {
		t.Errorf("%+v", b)
	}
	if s := c.Outline.Bounds().Size(); !nearVec(s, geom.Vec2{X: 30, Y: 4}) {
		t.Errorf("%+v", c)
	}
}

func TestModule(t *testing.T) {
	p, fs := placeText(t, `
box: {depth: 50, walls: test-9mm}
module: {part: rp2040-40pin, at: [60, 50], turn: 90}
`)
	wantClean(t, fs)
	if p.Module == nil || !p.Module.Placed || p.Module.Origin.MovePath != "module.at" {
		t.Fatalf("%+v", p.Module)
	}
	var board, plug geom.Box3
	lowest, highest := 0.0, -1e9
	for _, b := range p.Behind {
		if b.Owner != "the module" {
			continue
		}
		x := b.Solid.Bounds()
		switch {
		case b.Role == RolePlug:
			plug = x
		case b.Role == RoleModule && board == (geom.Box3{}):
			board = x
		}
		lowest, highest = min(lowest, b.Z0), max(highest, b.Z1)
	}
	// the base is at -53.1, the board lies 5 mm above it, turned a quarter: its connector end points left
	if !near(board.Min.Z, -48.1) || !near(board.Min.X, 60-25.5) || !near(board.Max.Y, 50+10.5) {
		t.Errorf("board %v", board)
	}
	if plug.Max.X >= board.Min.X+10 || plug.Min.X > board.Min.X-20 {
		t.Errorf("the plug at %v is not left of the board", plug)
	}
	if lowest < -53.1 || highest > -3.1 {
		t.Errorf("the module goes from %v to %v", lowest, highest)
	}

	q, fs := placeText(t, "module: {part: rp2040-40pin, at: [60, 50], on: face, lift: 8}")
	wantClean(t, fs)
	top := -1e9
	for _, b := range q.Behind {
		if b.Role == RoleModule && b.Z1-b.Z0 < 1.5 { // the board itself
			top = b.Z1
		}
	}
	if !near(top, -11.1) || !q.Module.Placed {
		t.Errorf("under the face the board hangs at %v", top)
	}
	r, _ := placeText(t, "module: rp2040-40pin")
	if r.Module == nil || r.Module.Placed || len(r.Behind) != 0 {
		t.Errorf("%+v", r.Module)
	}
}
