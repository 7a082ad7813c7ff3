package stiffness

import (
	"math"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/solve/plate"
)

// Screws give a little under a push: their head presses into the sheet, their thread pulls at the wood. mm per newton, common
// practice for a small screw in plywood, 5000 N/mm.
const screwGive = 1.0 / 5000

// under cuts the boards behind the sheet this far below its back, mm, to see what carries it.
const under = 0.2

// sides of a face, in the order of the model's lines.
var sides = [4]string{"left", "right", "lower", "upper"}

// held is what carries the sheet along one side.
type held struct {
	body panel.Body
	in   float64 // where the wood ends towards the middle
	lo   float64 // extent along the side
	hi   float64
	kind string
}

// footprint is where a body meets the back of the sheet; nil when it does not.
func footprint(p *panel.Panel, b panel.Body) []geom.Vec2 {
	z := -p.Stack.Total - under
	if h, ok := b.Solid.(*geom.Hull); ok {
		if b.Z1 < z || b.Z0 > z {
			return nil
		}
		cut, ok := geom.CutHull(h, geom.HalfSpace{N: geom.Vec3{Z: 1}, D: z})
		if !ok || cut == h || len(cut.Faces) == 0 {
			return nil
		}
		var pts []geom.Vec2
		for _, i := range cut.Faces[len(cut.Faces)-1] {
			pts = append(pts, cut.Points[i].XY())
		}
		return pts
	}
	if b.Leans || b.Z0 > z || b.Z1 < z {
		return nil
	}
	return b.Outline.Flatten(0.1)
}

// supports finds what carries the sheet: walls and ledges along its sides, and screws.
func (f *Face) supports() {
	p := f.Panel
	size := p.Face.Outline.Bounds().Size()
	var found [4][]held
	for _, b := range p.Behind {
		switch b.Role {
		case panel.RoleWall, panel.RoleLedge, panel.RoleBase: // seen from a steep face the back counts as base
		default:
			continue
		}
		pts := footprint(p, b)
		if len(pts) < 3 {
			continue
		}
		box := geom.EmptyBox2()
		for _, q := range pts {
			box = box.Extend(q)
		}
		s := box.Size()
		upright := s.Y > s.X
		kind := "rests"
		if b.Role == panel.RoleLedge {
			kind = "ledge"
		}
		for k := range sides {
			if (k < 2) != upright {
				continue
			}
			h := held{body: b, kind: kind, lo: box.Min.Y, hi: box.Max.Y}
			if !upright {
				h.lo, h.hi = box.Min.X, box.Max.X
			}
			var near bool
			switch k {
			case 0:
				near, h.in = box.Centre().X < size.X/4, box.Max.X
			case 1:
				near, h.in = box.Centre().X > size.X*3/4, box.Min.X
			case 2:
				near, h.in = box.Centre().Y < size.Y/4, box.Max.Y
			case 3:
				near, h.in = box.Centre().Y > size.Y*3/4, box.Min.Y
			}
			if !near {
				continue
			}
			found[k] = append(found[k], h)
		}
	}
	var hold [4]*held
	for k := range sides {
		hold[k] = innermost(found[k], k%2 == 0)
	}
	f.lines(hold, size)
	if !f.glued() {
		f.screws()
	}
}

// innermost gives, of what lies along one side, what reaches farthest in over at least half of the side's length: a ledge before its wall.
// Pieces of one wall count together.
func innermost(hs []held, low bool) *held {
	const same = 0.1
	var out []held
	long := 0.0
	for _, h := range hs {
		joined := false
		for i := range out {
			if o := &out[i]; o.kind == h.kind && math.Abs(o.in-h.in) < same {
				o.lo, o.hi, joined = min(o.lo, h.lo), max(o.hi, h.hi), true
			}
		}
		if !joined {
			out = append(out, h)
		}
	}
	for _, h := range out {
		long = max(long, h.hi-h.lo)
	}
	var best *held
	for i := range out {
		h := &out[i]
		if h.hi-h.lo >= long/2 && (best == nil || (h.in > best.in) == low) {
			best = h
		}
	}
	return best
}

// glued reports whether the face is glued to what carries it.
func (f *Face) glued() bool {
	c := f.Panel.Carcass
	return c != nil && c.Spec.Build.FaceHeld == carcass.GluedDown
}

// lines makes line supports at the inner edges of the wood, over which the sheet bends.
func (f *Face) lines(hold [4]*held, size geom.Vec2) {
	in := [4]float64{0, size.X, 0, size.Y}
	for k, h := range hold {
		if h == nil {
			continue
		}
		most := []float64{size.X, size.Y}[k/2]
		if h.in <= 0 || h.in >= most {
			hold[k] = nil
			continue
		}
		in[k] = h.in
	}
	if in[0] >= in[1] || in[2] >= in[3] {
		return
	}
	for k, h := range hold {
		if h == nil {
			continue
		}
		var a, b geom.Vec2
		if k < 2 {
			lo, hi := max(in[2], h.lo), min(in[3], h.hi)
			a, b = geom.Vec2{X: h.in, Y: lo}, geom.Vec2{X: h.in, Y: hi}
		} else {
			lo, hi := max(in[0], h.lo), min(in[1], h.hi)
			a, b = geom.Vec2{X: lo, Y: h.in}, geom.Vec2{X: hi, Y: h.in}
		}
		if b.X-a.X+b.Y-a.Y < 1 {
			continue
		}
		what := "wall"
		if h.kind == "ledge" {
			what = "ledge"
		}
		s := Support{Name: "the " + sides[k] + " " + what, Kind: h.kind, A: a, B: b, origin: h.body.Origin}
		if f.glued() {
			s.Kind, s.Spring = "glued", f.wallSpring(a.Add(b).Mul(0.5), k)
		}
		f.Supports = append(f.Supports, s)
		f.model.Lines = append(f.model.Lines, plate.Line{Name: s.Name, A: s.A, B: s.B, Spring: s.Spring})
	}
}

// wallSpring is how a wall resists being turned by a sheet that is glued to it: 3·D/H for a strip of wall H high whose lower end is
// held but may turn, D its bending stiffness across the grain, which runs along the wall.
func (f *Face) wallSpring(at geom.Vec2, side int) float64 {
	b := f.Panel.Box
	if b == nil || !(b.Walls.Thickness > 0) {
		return 0
	}
	m, ok := MaterialOf(b.Walls.Sheet, b.Walls.Thickness)
	if !ok {
		return 0
	}
	at = at.Add([4]geom.Vec2{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}}[side])
	high, ok := f.Panel.DepthAt(panel.Pt{Vec2: at})
	if !ok || !(high > 0) || math.IsInf(high, 0) {
		return 0
	}
	nu := m.Elastic.Poisson
	return 3 * m.crosswise() * math.Pow(b.Walls.Thickness, 3) / (12 * (1 - nu*nu)) / max(high, 5)
}

// screws makes point supports of the screws of the face.
func (f *Face) screws() {
	out := f.Panel.Face.Outline
	for _, x := range f.Panel.Fixings {
		if !out.Contains(x.At.Vec2) {
			continue
		}
		s := Support{Name: strings.TrimSpace(x.Origin.Name), Kind: "screw", A: x.At.Vec2, B: x.At.Vec2, origin: x.Origin}
		if of, gone := f.inOpening(s.A); gone {
			f.Notices = append(f.Notices, s.Name+" lies in the opening of "+of+" and holds nothing")
			continue
		}
		f.Supports = append(f.Supports, s)
		f.model.Points = append(f.model.Points, plate.Point{Name: s.Name, At: s.A, Diameter: max(x.Head, 4), Give: screwGive})
	}
}

// inOpening tells whose opening a place lies in, if it has been cut out.
func (f *Face) inOpening(at geom.Vec2) (of string, gone bool) {
	for _, o := range f.model.Openings {
		if o.Outline.Contains(at) {
			return o.Name, true
		}
	}
	return "", false
}

// onWood reports whether a place lies over a wall or a ledge, outside the lines over which the sheet bends.
func (f *Face) onWood(at geom.Vec2) bool {
	middle := f.Panel.Face.Outline.Bounds().Centre()
	for _, s := range f.Supports {
		if s.Kind == "screw" {
			continue
		}
		d := s.B.Sub(s.A)
		if a, b := d.Cross(at.Sub(s.A)), d.Cross(middle.Sub(s.A)); a*b < 0 {
			return true
		}
	}
	return false
}
