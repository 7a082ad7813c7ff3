package stiffness

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/solve/plate"
)

// openingsOf puts the openings into the model, as they are cut. Holes that a screw fills again, and holes that do not go through, are
// left out.
func (f *Face) openingsOf() {
	p := f.Panel
	add := func(of string, c *panel.Cut) {
		if c.Blind > 0 || c.What == "screw" || c.What == "fixing" || c.Outline.Empty() || p.OffSheet(c) {
			return
		}
		o := c.Outline
		if g := (c.CutMin - c.FinishedMin) / 2; g != 0 {
			if x := o.Grow(g); !x.Empty() {
				o = x
			}
		}
		f.openings = append(f.openings, opening{of, c})
		f.model.Openings = append(f.model.Openings, plate.Opening{Name: of, Outline: o})
	}
	for _, c := range p.Controls {
		for _, k := range c.Cuts {
			add(c.Label, k)
		}
	}
	for _, k := range p.Openings {
		add(k.Origin.Name, k)
	}
}

// judged reports whether a control is worked by hand, so that it matters how far it gives.
func judged(c catalog.Class) bool {
	switch c {
	case catalog.Lamp, catalog.Display, catalog.Socket, catalog.Buzzer, catalog.Plug, catalog.ModuleBrd:
		return false
	}
	return true
}

// presses puts a spot and a case for every control into the model, and a spot for each board that hangs under the face.
func (f *Face) presses() {
	for _, c := range f.Panel.Controls {
		i := len(f.Presses)
		f.Presses = append(f.Presses, Press{Control: c, Judged: judged(c.Part.Class), OnWood: f.onWood(c.At.Vec2)})
		f.model.Spots = append(f.model.Spots, rim(c))
		f.model.Cases = append(f.model.Cases, plate.Case{Name: c.Label, Forces: []plate.Force{{Spot: i, Newton: 1}}})
	}
	for _, m := range f.hanging() {
		f.model.Spots = append(f.model.Spots, plate.Spot{Name: m.Name, At: m.At.Vec2, Outer: 20})
	}
}

// hanging lists the circuit boards under this face.
func (f *Face) hanging() (out []*panel.Module) {
	p := f.Panel
	for _, m := range append([]*panel.Module{p.Module}, p.Extras...) {
		if m != nil && m.Placed && m.On == "face" {
			out = append(out, m)
		}
	}
	return out
}

// rim is the ring, or the frame, with which a control lies on the sheet.
func rim(c *panel.Control) plate.Spot {
	s := plate.Spot{Name: c.Label, At: c.At.Vec2, Outer: 10}
	if len(c.Cuts) == 0 {
		return s
	}
	hole := c.Cuts[0]
	var on geom.Outline
	for _, bodies := range [][]panel.Body{c.Front, c.Rear} {
		for _, b := range bodies {
			if (b.Role == panel.RoleBezel || b.Role == panel.RoleNut) && b.Outline.Area() > on.Area() {
				on = b.Outline
			}
		}
		if len(on) > 0 {
			break
		}
	}
	middle, d, round := hole.Outline.AsCircle()
	if _, wide, ok := on.AsCircle(); round && (ok || on.Empty()) {
		s.At, s.Inner, s.Outer = middle, d, max(wide, d+2*least)
		return s
	}
	grown := hole.Outline.Grow(least)
	if on.Area() < grown.Area() {
		on = grown
	}
	if round && on.Area() > 0 { // a nut with flats: a ring of the same area
		s.At, s.Inner, s.Outer = middle, d, max(2*math.Sqrt(on.Area()/math.Pi), d+2*least)
		return s
	}
	if !on.Empty() {
		s.Outline = on
	}
	return s
}

// least is how far a control's rim reaches over its hole where the record does not say, mm. Common practice.
const least = 2.0

// ribs takes the ribs of the file into the model: those that touch the sheet.
func (f *Face) ribs() {
	back := -f.Panel.Stack.Total
	for _, b := range f.Panel.Behind {
		if b.Role != panel.RoleRib || b.Z1 < back-0.5 || b.Outline.Empty() || f.aside[b.Origin.Path] {
			continue
		}
		r, ok := ribOf(b)
		if !ok {
			continue
		}
		r.Young, r.Shear = f.ribWood()
		r.Path = b.Origin.Path
		if w, ok := f.written(r.Path); ok {
			r.Pinned = w.Pinned
		}
		f.Ribs = append(f.Ribs, r)
		f.model.Ribs = append(f.model.Ribs, r.model())
	}
}

// written gives the record of a rib of the file.
func (f *Face) written(path string) (r project.Rib, ok bool) {
	b := f.Panel.Box
	if b == nil {
		return r, false
	}
	if key, under := strings.CutPrefix(path, "box.ribs."); under {
		return b.Written.Ribs.Get(key), true
	}
	if key, under := strings.CutPrefix(path, "box.upper.ribs."); under && b.Written.Upper != nil {
		return b.Written.Upper.Ribs.Get(key), true
	}
	return r, false
}

// AsWritten gives the ribs of the file with their ends as they stand there: ledges and walls may cut them shorter.
func (f *Face) AsWritten() []Rib {
	out := slices.Clone(f.Ribs)
	for i := range out {
		if w, ok := f.written(out[i].Path); ok {
			out[i].A, out[i].B = geom.Vec2{X: w.From[0].MM(), Y: w.From[1].MM()}, geom.Vec2{X: w.To[0].MM(), Y: w.To[1].MM()}
		}
	}
	return out
}

// ribOf reads the middle line of a rib off its footprint: along its longest side.
func ribOf(b panel.Body) (r Rib, ok bool) {
	var along geom.Vec2
	o := b.Outline
	for i, v := range o {
		if d := o[(i+1)%len(o)].P.Sub(v.P); d.Len() > along.Len() {
			along = d
		}
	}
	if along.Len() < 1 {
		return r, false
	}
	u := along.Unit()
	n := u.Left()
	lo, hi := geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, v := range o {
		q := geom.Vec2{X: v.P.Dot(u), Y: v.P.Dot(n)}
		lo, hi = geom.Vec2{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}, geom.Vec2{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	mid := (lo.Y + hi.Y) / 2
	r = Rib{
		Name: b.Origin.Name, A: u.Mul(lo.X).Add(n.Mul(mid)), B: u.Mul(hi.X).Add(n.Mul(mid)), Width: hi.Y - lo.Y, Height: b.Z1 - b.Z0,
	}
	return r, r.Width > 0.1 && r.Height > 0.1
}

// model gives a rib as the plate knows it, glued without slip.
func (r Rib) model() plate.Rib {
	return plate.Rib{Name: r.Name, A: r.A, B: r.B, Width: r.Width, Height: r.Height, Young: r.Young, Poisson: ribPoisson, Shear: r.Shear}
}

// ribPoisson is Poisson's ratio of ribs. Common practice; it hardly matters.
const ribPoisson = 0.3

// ribWood gives modulus and shear modulus of ribs: cut from the board of the walls, on edge, so that they shear in the plane of the board;
// without walls of birch plywood.
func (f *Face) ribWood() (young, shear float64) {
	if b := f.Panel.Box; b != nil && b.Walls.Thickness > 0 {
		if m, ok := MaterialOf(b.Walls.Sheet, b.Walls.Thickness); ok {
			return m.OnEdge, m.Elastic.InPlane
		}
	}
	return materials()["birch"]["rib"].v, materials()["birch"]["in-plane"].v
}
