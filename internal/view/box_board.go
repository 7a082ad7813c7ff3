package view

import (
	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// BoardScene draws one board of the box at true size in its own frame, seen from outside: the outline of its outer side, that of its
// inner side dashed where it differs, its cut-outs and the holes for its screws, the datum corner.
func BoardScene(l box.BoardLine, r box.Result) *drawing.Scene {
	b := l.Board
	s := &drawing.Scene{Title: b.Name, Bounds: geom.EmptyBox2()}
	wash := drawing.PlyWash
	if !l.Material.Wood() {
		wash = drawing.AcrylicWash
	}
	for _, o := range []geom.Outline{b.OuterOutline, b.InnerOutline} {
		if !o.Empty() {
			s.Bounds = s.Bounds.Union(o.Bounds())
		}
	}
	cut := func(line drawing.Line) {
		for _, c := range b.Cutouts {
			s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: line, Fill: drawing.Paper}, c.Outline))
		}
	}
	if !b.OuterOutline.Empty() {
		s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: drawing.Edge, Fill: wash}, b.OuterOutline))
	}
	if !b.InnerOutline.Empty() && !same(b.OuterOutline, b.InnerOutline) {
		line := drawing.Hidden
		if b.OuterOutline.Empty() {
			line = drawing.Edge
		}
		s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: line}, b.InnerOutline))
	}
	for _, e := range b.Edges { // the floor of a rebate, seen through the board
		if e.Rebate != nil {
			s.Items = append(s.Items, rebateLine(e)...)
		}
	}
	cut(drawing.Visible)
	for _, x := range r.Screws {
		if x.Through == b.Name {
			s.Items = append(s.Items, holeCross(x.Seen, x.Shank.Want, x.Side == carcass.Inner)...)
		}
	}
	for _, f := range r.Feet {
		if f.Board == b.Name {
			s.Items = append(s.Items, drawing.Circ(f.Seen, f.Diameter, drawing.Thin), drawing.Ln(f.Seen.Sub(geom.Vec2{X: 2}), f.Seen.Add(geom.Vec2{X: 2}), drawing.Dim), drawing.Ln(f.Seen.Sub(geom.Vec2{Y: 2}), f.Seen.Add(geom.Vec2{Y: 2}), drawing.Dim))
		}
	}
	if x := r.Exit; x != nil && x.Board == b.Name {
		s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, x.Outline))
	}
	return s
}

// rebateLine is the dashed line where a rebate on the inner side ends.
func rebateLine(e carcass.Edge) []drawing.Item {
	sp := e.Outer
	if sp.Len() == 0 {
		sp = e.Inner
	}
	if sp.Len() == 0 {
		return nil
	}
	in := sp.B.Sub(sp.A).Unit().Left().Mul(e.Rebate.Width)
	return []drawing.Item{drawing.Ln(sp.A.Add(in), sp.B.Add(in), drawing.Hidden)}
}

// holeCross is a screw hole: a circle with a cross, dashed when it is entered from the other side.
func holeCross(at geom.Vec2, d float64, hidden bool) []drawing.Item {
	line := drawing.Visible
	if hidden {
		line = drawing.Hidden
	}
	return []drawing.Item{
		drawing.Circ(at, d, line),
		drawing.Ln(at.Sub(geom.Vec2{X: d/2 + 2}), at.Add(geom.Vec2{X: d/2 + 2}), drawing.Dim), drawing.Ln(at.Sub(geom.Vec2{Y: d/2 + 2}), at.Add(geom.Vec2{Y: d/2 + 2}), drawing.Dim),
	}
}

func same(a, b geom.Outline) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].P.Sub(b[i].P).Len() > 1e-4 {
			return false
		}
	}
	return true
}

// PlanScene draws a sheet with the boards that come out of it, at true size; the grain runs to the right.
func PlanScene(p box.Plan, s box.PlanSheet) *drawing.Scene {
	l := s.Layout
	out := &drawing.Scene{Title: s.Name, Bounds: geom.Box2{Max: geom.Vec2{X: l.Width, Y: l.Height}}}
	wash := drawing.PlyWash
	if !p.Material.Wood() {
		wash = drawing.AcrylicWash
	}
	out.Items = append(out.Items, drawing.Box(drawing.Style{Line: drawing.Edge, Hatch: drawing.HatchCovered}, geom.Vec2{}, geom.Vec2{X: l.Width, Y: l.Height}))
	for _, o := range s.Rests {
		lo := geom.Vec2{X: o.X, Y: o.Y}
		out.Items = append(out.Items, drawing.Box(drawing.Style{Line: drawing.Hidden, Fill: drawing.Paper}, lo, lo.Add(geom.Vec2{X: o.Width, Y: o.Height})))
	}
	for _, q := range l.Placed {
		lo := geom.Vec2{X: q.X, Y: q.Y}
		out.Items = append(out.Items, drawing.Box(drawing.Style{Line: drawing.Visible, Fill: wash}, lo, lo.Add(geom.Vec2{X: q.Width, Y: q.Height})))
	}
	return out
}
