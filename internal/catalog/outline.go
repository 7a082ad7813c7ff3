package catalog

import (
	"knobwright/internal/geom"
	"knobwright/internal/length"
)

// Outline is the cut-out at its nominal size in the part frame, with flats and notches. It is empty when the cut-out has
// no form.
func (c Cut) Outline() geom.Outline {
	var o geom.Outline
	var at geom.Vec2
	switch {
	case c.Round > 0 && c.Notch != nil:
		o = geom.NotchedCircle(at, c.Round.MM(), c.Notch.Width.MM(), c.Notch.Height.MM())
	case c.Round > 0:
		o = geom.Circle(at, c.Round.MM())
	case c.Rect != nil:
		o = geom.Rect(at, c.Rect[0].MM(), c.Rect[1].MM(), c.Corner.MM())
	case c.Slot != nil:
		o = geom.Slot(at, c.Slot[0].MM(), c.Slot[1].MM())
	case c.DoubleD != nil:
		o = geom.DoubleD(at, c.DoubleD[0].MM(), c.DoubleD[1].MM())
	case c.SingleD != nil:
		o = geom.SingleD(at, c.SingleD[0].MM(), c.SingleD[1].MM())
	}
	return placed(o, c.At, c.Turn)
}

// Nominal is the size a cut-out goes by, mm: its diameter, the width of a rectangle, the width across a slot. It is 0 when
// the cut-out has no form.
func (c Cut) Nominal() float64 {
	switch {
	case c.Round > 0:
		return c.Round.MM()
	case c.Rect != nil:
		return c.Rect[0].MM()
	case c.Slot != nil:
		return c.Slot[1].MM()
	case c.DoubleD != nil:
		return c.DoubleD[0].MM()
	case c.SingleD != nil:
		return c.SingleD[0].MM()
	}
	return 0
}

// Outline is the footprint of a solid in the part frame. It is empty when the shape has no form.
func (s Shape) Outline() geom.Outline {
	var o geom.Outline
	var at geom.Vec2
	switch {
	case s.Round > 0:
		o = geom.Circle(at, s.Round.MM())
	case s.Rect != nil:
		o = geom.Rect(at, s.Rect[0].MM(), s.Rect[1].MM(), 0)
	case s.Hex > 0:
		o = geom.Hexagon(at, s.Hex.MM())
	}
	return placed(o, s.At, s.Turn)
}

func placed(o geom.Outline, at [2]length.Length, turn length.Angle) geom.Outline {
	if len(o) == 0 || at == [2]length.Length{} && turn == 0 {
		return o
	}
	return o.Move(geom.Place{At: geom.Vec2{X: at[0].MM(), Y: at[1].MM()}, Turn: float64(turn)})
}

// AllCuts is every cut-out of the part, the main hole first. A part that needs none, as a module, has none.
func (p Part) AllCuts() []Cut {
	var cs []Cut
	if p.Hole.Nominal() > 0 {
		cs = append(cs, p.Hole)
	}
	return append(cs, p.Cuts...)
}

// SeatsRear reports whether the part registers on the back of the sheet.
func (p Part) SeatsRear() bool { return p.Seat == "rear" }

// TotalDepth is how far the part reaches behind its seat with lugs and wire bend, mm. A part that seats at the front has
// the thickness of the face in it.
func (p Part) TotalDepth() float64 { return p.depth("body", "lugs", "bend", "plug") }

// LugDepth is how far body and lugs reach behind the seat, without the wire bend, mm: what calipers measure.
func (p Part) LugDepth() float64 { return p.depth("body", "lugs") }

func (p Part) depth(roles ...string) float64 {
	z := 0.0
	for _, s := range p.Rear {
		for _, r := range roles {
			if s.Role == r {
				z = min(z, s.Z[0].MM())
			}
		}
	}
	return -z
}

// Footprint is the box round the front shapes of the given roles, in the part frame; ok is false when there are none.
func (p Part) Footprint(roles ...string) (b geom.Box2, ok bool) {
	b = geom.EmptyBox2()
	for _, s := range p.Front {
		for _, r := range roles {
			if s.Role == r {
				if o := s.Outline(); len(o) > 0 {
					b, ok = b.Union(o.Bounds()), true
				}
			}
		}
	}
	return b, ok
}

// HoldsBy is the length of thread that nut and washers take, mm.
func (p Part) HoldsBy() float64 { return (p.Nut.Thickness + p.Nut.Washers).MM() }
