package carcass

import (
	"fmt"
	"math"

	"knobwright/internal/geom"
)

// Role says what a board is for.
type Role string

// The roles.
const (
	RoleFront Role = "front"
	RoleBack  Role = "back"
	RoleSide  Role = "side" // sides and cheeks
	RoleBase  Role = "base"
	RoleFace  Role = "face"
	RoleRest  Role = "hand rest"
	RoleTop   Role = "top"
	RoleLedge Role = "ledge"
	RoleCleat Role = "cleat"
	RoleBlock Role = "glue block"
	RoleRib   Role = "rib"
)

// Shell reports whether boards of this role close the box; the others are battens inside it.
func (r Role) Shell() bool {
	switch r {
	case RoleLedge, RoleCleat, RoleBlock, RoleRib:
		return false
	}
	return true
}

// Side is one of the two faces of a board.
type Side string

// Outer is the side that is seen from outside (of a batten: away from what it is glued to), Inner the other, Even says that
// both are alike.
const (
	Outer Side = "outer"
	Inner Side = "inner"
	Even  Side = ""
)

// Span is a straight piece of an outline from A to B in the board frame; the zero value is none.
type Span struct{ A, B geom.Vec2 }

// Len is its length, mm.
func (s Span) Len() float64 { return s.B.Sub(s.A).Len() }

// Step is a rebate along an edge: Width along the board from its end, Depth into its thickness, cut into Side; mm.
type Step struct {
	Width, Depth float64
	Side         Side
}

// Comb is a row of fingers along an edge: Count pieces of Pitch, the board's own ones first when First. Length is how far they
// reach, mm.
type Comb struct {
	Fingers
	Pitch, Length float64
	Count         int
	First         bool
}

// Finger is the finished width of a finger, Slot that of the gap between two; mm.
func (c Comb) Finger() float64 { return c.Pitch - max(c.Clearance, 0)/2 }

// Slot is the finished width of the gap between two fingers, mm.
func (c Comb) Slot() float64 { return c.Pitch + max(c.Clearance, 0)/2 }

// Drawn is the width of a finger as a cutting file must show it, so that it comes out at its size with the cut along the middle of the
// line: a press fit is added here. mm.
func (c Comb) Drawn() float64 { return c.Pitch - c.Clearance/2 + c.Kerf }

// Passes is how many saw cuts side by side open a slot; 0 without a kerf.
func (c Comb) Passes() int {
	if !(c.Kerf > 0) {
		return 0
	}
	return max(1, int(math.Ceil(c.Slot()/c.Kerf-1e-9)))
}

// When says when an edge is cut.
type When string

// Along the grain first, across it next, slants last.
const (
	Rip      When = "rip, before cross-cutting"
	CrossCut When = "cross-cut"
	Taper    When = "on the slant, after cross-cutting"
)

// Edge is one edge of a board.
type Edge struct {
	Name string // "bottom", "top", "front end", "left edge"
	// Outer and Inner are its ends on both sides of the board, in the board frame; zero where the edge does not reach that side.
	Outer, Inner Span
	Length       float64 // the longer of the two, mm
	Turn         float64 // its direction from the board's U, degrees from 0 to below 180
	Bevel        float64 // tilt of the saw from square, degrees
	Over         float64 // what that comes to over the thickness, mm: "9.0 thick, 2.2 over"
	Longer       Side    // the side that the bevel leaves longer
	Neighbour    string  // what it meets, "" when nothing
	Joint        Joint
	When         When
	Rebate       *Step
	Comb         *Comb
	Plane        geom.HalfSpace // in the box frame; N of unit length, out of the board
}

// Board is one finished board.
//
// Its frame: origin at the lower left corner of its blank on the outer side, U along its length (along the grain), V across, N
// outwards; the outer side is N = 0, the inner one N = -Thickness. Seen from outside, U runs right and V up.
type Board struct {
	Name      string
	Role      Role
	Thickness float64
	Parts     []*geom.Hull // box frame; they touch, but share no room
	Frame     Frame
	// Outlines are the finished outlines of both sides in the board frame; one is nil where the board ends in an arris there.
	OuterOutline, InnerOutline geom.Outline
	// Cutouts come afterwards: openings through the board, in the board frame. Parts, Volume and outlines do not know them.
	Cutouts              []Cutout
	Edges                []Edge
	Blank                geom.Vec2 // size of the rectangle it is cut from, no allowance: along U and V
	OuterSize, InnerSize geom.Vec2 // finished size of both sides
	Hand                 string    // "left" or "right" when it has a mirrored fellow, which is Pair
	Pair                 string
	Volume               float64   // mm³, without cut-outs
	Datum                geom.Vec2 // corner to measure from, board frame
}

// Slant says a bevel as rise over run, for hand saw and plane: "9.0 thick, 2.2 over"; "" for a square edge.
func (b *Board) Slant(e Edge) string {
	if e.Bevel == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f thick, %.1f over", b.Thickness, e.Over)
}

// Cutout is an opening through a board.
type Cutout struct {
	Name    string
	Outline geom.Outline
}

// tag is a plane that bounds a board, in the carcass frame, and what is known of the edge it makes.
type tag struct {
	edge      Edge
	hs        geom.HalfSpace
	neighbour string
}

// draft is a board being made, in the carcass frame.
type draft struct {
	name    string
	role    Role
	parts   []*geom.Hull
	n       geom.Vec3 // outwards
	u       geom.Vec3
	outer   float64 // n·p on the outer side
	t       float64
	tags    []tag
	hand    string
	pair    string
	nothing bool
}

const snap = 1e-5 // mm: points this close are one

// finish moves a draft into the box frame and measures it. ok is false when there is nothing of it.
func (d draft) finish(pose geom.Pose) (Board, bool) {
	b := Board{Name: d.name, Role: d.role, Thickness: d.t, Hand: d.hand, Pair: d.pair}
	if d.nothing || len(d.parts) == 0 {
		return b, false
	}
	f := Frame{U: pose.Turn(d.u), N: pose.Turn(d.n)}
	f.V = f.N.Cross(f.U)
	lo, hi := v2(math.Inf(1), math.Inf(1)), v2(math.Inf(-1), math.Inf(-1))
	for _, h := range d.parts {
		g, ok := geom.Posed(h, pose).(*geom.Hull)
		if !ok {
			return b, false
		}
		b.Parts = append(b.Parts, g)
		b.Volume += g.Volume()
		for _, p := range g.Points {
			u, v := p.Dot(f.U), p.Dot(f.V)
			lo, hi = v2(min(lo.X, u), min(lo.Y, v)), v2(max(hi.X, u), max(hi.Y, v))
		}
	}
	out := d.outer + f.N.Dot(pose.At)
	f.O = f.U.Mul(lo.X).Add(f.V.Mul(lo.Y)).Add(f.N.Mul(out))
	b.Frame = f
	b.Blank = hi.Sub(lo)
	b.OuterOutline = flatUnion(b.Parts, f, 0)
	b.InnerOutline = flatUnion(b.Parts, f, -d.t)
	b.OuterSize, b.InnerSize = extent(b.OuterOutline), extent(b.InnerOutline)
	b.Datum = datum(b.OuterOutline)
	for _, t := range d.tags {
		if e, ok := b.edge(t, pose); ok {
			b.Edges = append(b.Edges, e)
		}
	}
	return b, b.Volume > 1e-6
}

// extent is the size of the rectangle round an outline.
func extent(o geom.Outline) geom.Vec2 {
	if o == nil {
		return geom.Vec2{}
	}
	return o.Bounds().Size()
}

// datum is the square corner nearest the lower left that the whole board lies in, so that all places are measured into the board from it; without one,
// the lower left of the blank.
func datum(o geom.Outline) geom.Vec2 {
	best, at := math.Inf(1), geom.Vec2{}
	for i, v := range o {
		in := v.P.Sub(o[(i+len(o)-1)%len(o)].P).Unit()
		out := o[(i+1)%len(o)].P.Sub(v.P).Unit()
		square := math.Abs(in.Dot(out)) < 1e-9 && in.Cross(out) > 0 && min(math.Abs(in.X), math.Abs(in.Y)) < 1e-9
		if square { // both edges lead into the board: all of it lies on their side
			a, b := out, in.Mul(-1)
			for _, w := range o {
				if q := w.P.Sub(v.P); q.Dot(a) < -snap || q.Dot(b) < -snap {
					square = false
					break
				}
			}
		}
		if d := v.P.X + v.P.Y; square && d < best-snap {
			best, at = d, v.P
		}
	}
	return at
}

// edge measures the edge that a tagged plane makes; ok is false when the board does not reach the plane.
func (b *Board) edge(t tag, pose geom.Pose) (Edge, bool) {
	e := t.edge
	n := pose.Turn(t.hs.N).Unit()
	l := t.hs.N.Len()
	e.Plane = geom.HalfSpace{N: n, D: t.hs.D/l + n.Dot(pose.At)}
	nu, nv, nn := n.Dot(b.Frame.U), n.Dot(b.Frame.V), n.Dot(b.Frame.N)
	flat := v2(nu, nv)
	if flat.Len() < 1e-9 {
		return e, false // a face of the board, not an edge
	}
	d := e.Plane.D - n.Dot(b.Frame.O)
	dir := flat.Unit().Left() // counter-clockwise round the board
	find := func(o geom.Outline, z float64) Span {
		lo, hi := math.Inf(1), math.Inf(-1)
		var s Span
		for _, v := range o {
			if math.Abs(v.P.Dot(flat)+z*nn-d) > snap*flat.Len() {
				continue
			}
			k := v.P.Dot(dir)
			if k < lo {
				lo, s.A = k, v.P
			}
			if k > hi {
				hi, s.B = k, v.P
			}
		}
		if !(hi-lo > snap) {
			return Span{}
		}
		return s
	}
	e.Outer, e.Inner = find(b.OuterOutline, 0), find(b.InnerOutline, -b.Thickness)
	e.Length = max(e.Outer.Len(), e.Inner.Len())
	if e.Length == 0 {
		return e, false
	}
	e.Turn = math.Mod(math.Atan2(dir.Y, dir.X)*180/math.Pi+360, 180)
	if e.Turn > 180-1e-7 || e.Turn < 1e-7 {
		e.Turn = 0
	}
	tilt := math.Atan2(nn, flat.Len()) * 180 / math.Pi
	if math.Abs(tilt) > 1e-7 {
		e.Bevel = math.Abs(tilt)
		e.Over = b.Thickness * math.Abs(nn) / flat.Len()
		e.Longer = Outer
		if nn > 0 {
			e.Longer = Inner
		}
	}
	switch {
	case e.Turn == 0:
		e.When = Rip
	case math.Abs(e.Turn-90) < 1e-7:
		e.When = CrossCut
	default:
		e.When = Taper
	}
	if t.neighbour != "" {
		e.Neighbour = t.neighbour
	}
	return e, true
}
