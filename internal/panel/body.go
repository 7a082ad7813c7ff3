package panel

import (
	"knobwright/internal/catalog"
	"knobwright/internal/geom"
)

// body makes an upright prism in the face frame; false when nothing is left of it.
func body(role Role, owner string, o geom.Outline, z0, z1 float64, from Origin) (Body, bool) {
	if z0 > z1 {
		z0, z1 = z1, z0
	}
	if o.Empty() || z1-z0 < 1e-9 {
		return Body{}, false
	}
	s := geom.NewPrism(o, z0, z1)
	if s == nil {
		return Body{}, false
	}
	return Body{Role: role, Owner: owner, Solid: s, Outline: o, Z0: z0, Z1: z1, Origin: from}, true
}

// bodies places what a finger meets in front and what lies behind. A part that seats from the front has its zero on the
// front of the finished face; one that seats from behind has it on the back of the sheet, so its front parts come out
// shorter by the stack. What lies within the stack is in the hole and meets nobody.
func (pl *placer) bodies(c *Control, s seat) {
	p := c.Part
	knob := 0.0
	if pl.size(s.knob, s.rec.Knob, 0, 200, "The knob of "+c.Label) {
		knob = s.rec.Knob.MM()
	}
	place := geom.Place{At: c.At.Vec2, Turn: c.Turn}
	back := -pl.p.Stack.Total
	zero := 0.0
	if p.Seat == "rear" {
		zero = back
	}
	front := func(role Role, o geom.Outline, z0, z1 float64) {
		if z1 > 0 {
			if b, ok := body(role, c.Name, o.Move(place), max(z0, 0), z1, c.Origin); ok {
				c.Front = append(c.Front, b)
			}
		}
	}
	rear := func(role Role, o geom.Outline, z0, z1 float64) {
		if z0 < back {
			if b, ok := body(role, c.Name, o.Move(place), z0, min(z1, back), c.Origin); ok {
				c.Rear = append(c.Rear, b)
			}
		}
	}
	c.Front, c.Rear = make([]Body, 0, len(p.Front)+3), make([]Body, 0, len(p.Rear)+3) // nut, washer and tool besides
	fitted := false
	for _, sh := range p.Front {
		z0, z1 := zrange(sh, zero)
		o := sh.Outline()
		if Role(sh.Role) == RoleKnob && knob > 0 {
			o, fitted = geom.Circle(pair(sh.At), knob), true
		}
		front(Role(sh.Role), o, z0, z1)
	}
	for _, sh := range p.Rear {
		z0, z1 := zrange(sh, zero)
		rear(Role(sh.Role), sh.Outline(), z0, z1)
	}
	nutTop := pl.nut(p, front, rear, back)
	if knob > 0 && !fitted {
		pl.bareKnob(c, knob, nutTop, front, s)
	}
	tips := lugPlane(p, zero)
	c.Lugs = make([]Lug, 0, len(p.Lugs))
	for _, l := range p.Lugs {
		c.Lugs = append(c.Lugs, Lug{Name: l.Name, Does: l.Does, At: Pt{place.Apply(pair(l.At))}, Z: min(tips, back), W: l.Size[0].MM(), H: l.Size[1].MM()})
	}
}

// lugPlane is where wires meet the lugs of a part: the middle of its lugs, or of a part without them the rear of its body.
func lugPlane(p catalog.Part, zero float64) float64 {
	deep, lugs := 0.0, false
	for _, s := range p.Rear {
		z0, z1 := zrange(s, zero)
		switch Role(s.Role) {
		case RoleLugs:
			if m := (z0 + z1) / 2; !lugs || m < deep {
				deep, lugs = m, true
			}
		case RoleBody:
			if !lugs {
				deep = min(deep, z0)
			}
		}
	}
	return deep
}

func zrange(s catalog.Shape, zero float64) (z0, z1 float64) {
	z0, z1 = s.Z[0].MM(), s.Z[1].MM()
	return min(z0, z1) + zero, max(z0, z1) + zero
}

// nut places washers, nut and the sweep of the tool, on the side where the nut sits, and gives the height of the nut's
// outer face above the sheet.
func (pl *placer) nut(p catalog.Part, front, rear func(Role, geom.Outline, float64, float64), back float64) float64 {
	n := p.Nut
	if n.Side == "" || n.Flats <= 0 && n.ToolRoom <= 0 {
		return 0
	}
	var middle geom.Vec2 // the nut runs on the thread round the part's middle
	washers, top := n.Washers.MM(), n.Washers.MM()+n.Thickness.MM()
	add := front
	at := func(h float64) float64 { return h }
	if n.Side == "rear" {
		add = rear
		at = func(h float64) float64 { return back - h }
	}
	span := func(r Role, o geom.Outline, h0, h1 float64) {
		z0, z1 := at(h0), at(h1)
		add(r, o, min(z0, z1), max(z0, z1))
	}
	if d := n.Washer.MM(); d > 0 && washers > 0 {
		span(RoleNut, geom.Circle(middle, d), 0, washers)
	}
	if d := n.Flats.MM(); d > 0 && n.Thickness > 0 {
		o := geom.Hexagon(middle, d)
		if n.Shape == "ring" {
			o = geom.Circle(middle, d)
		}
		span(RoleNut, o, washers, top)
	}
	if d := n.ToolRoom.MM(); d > 0 {
		pl.lines.limit(ToolReach, pl.p.Limits)
		span(RoleTool, geom.Circle(middle, d), 0, max(top, pl.p.Limits.Value(ToolReach)))
	}
	return top
}

// bareKnob fits a knob to a part whose record has none: from just above the nut, 15 mm high. Common practice.
func (pl *placer) bareKnob(c *Control, d, nutTop float64, front func(Role, geom.Outline, float64, float64), s seat) {
	switch c.Part.Class {
	case catalog.Encoder, catalog.Pot, catalog.Rotary, catalog.Joystick, catalog.SlidePot:
		front(RoleKnob, geom.Circle(geom.Vec2{}, d), nutTop+1, nutTop+16)
	default:
		pl.noEffect(c.Label, s.knob, "The knob of "+c.Label+" has no effect: nothing turns on a "+string(c.Part.Class)+".")
	}
}
