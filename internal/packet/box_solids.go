package packet

import (
	"errors"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/trade/box"
)

// Solids is the box of a job with the bodies in it; nil when there is no box.
func Solids(r *job.Result) (*solid.Model, error) {
	if r.Panel == nil || r.Panel.Carcass == nil || len(r.Box.Boards) == 0 {
		return nil, nil
	}
	return boxModel(r)
}

// boxModel is the box as solids: every board with its openings and screw holes, and the bodies of controls and module. A hole that
// cannot be drawn (it meets another, or the edge of its piece) is left out, and so is a body that is no solid.
func boxModel(r *job.Result) (*solid.Model, error) {
	var bodies []solid.Body
	for _, l := range r.Box.Boards {
		if b, ok := boardBody(r, l); ok {
			bodies = append(bodies, b)
		}
	}
	for _, s := range r.Panel.Sheets() {
		for _, c := range s.Controls {
			bodies = append(bodies, controlBodies(s, c)...)
		}
	}
	for _, b := range r.Panel.Behind {
		if b.Role == panel.RoleModule {
			if h := prismOf(b, r.Panel.ToBox); h != nil {
				if x, ok := sound(solid.Body{Name: "module", Colour: solid.Colour{R: 60, G: 110, B: 70}, Pieces: []solid.Piece{h}}); ok {
					bodies = append(bodies, x)
				}
			}
		}
	}
	return solid.Build(bodies)
}

// sound builds a body alone, and takes out the holes that hinder it.
func sound(b solid.Body) (solid.Body, bool) {
	for range 200 {
		_, err := solid.Build([]solid.Body{b})
		if err == nil {
			return b, true
		}
		var e *solid.Error
		if !errors.As(err, &e) || e.Piece < 0 || e.Hole < 0 || e.Piece >= len(b.Pieces) {
			return b, false
		}
		less := func(hs []solid.Hole) []solid.Hole { return slices.Delete(slices.Clone(hs), e.Hole, e.Hole+1) }
		switch k := b.Pieces[e.Piece].(type) {
		case solid.Block:
			k.Holes = less(k.Holes)
			b.Pieces[e.Piece] = k
		case solid.Fused:
			k.Holes = less(k.Holes)
			b.Pieces[e.Piece] = k
		default:
			return b, false
		}
	}
	return b, false
}

// boardBody is a board with its openings, the holes for its screws and the pilots of those that go into it.
func boardBody(r *job.Result, l box.BoardLine) (solid.Body, bool) {
	b := l.Board
	wash, colour := drawing.PlyWash, solid.Colour{R: 222, G: 196, B: 150}
	if !l.Material.Wood() {
		wash, colour = drawing.AcrylicWash, solid.Colour{R: 200, G: 215, B: 212}
	}
	out := solid.Body{Name: b.Name, Colour: colour, Look: solid.Look{Wash: wash}}
	out.Pieces = boardPieces(r.Box.Exit, b, boardHoles(r, b))
	return sound(out)
}

// boardHoles are the holes of a board.
func boardHoles(r *job.Result, b *carcass.Board) []solid.Hole {
	var holes []solid.Hole
	pose := b.Frame.Pose()
	for _, c := range b.Cutouts {
		holes = append(holes, solid.Hole{Pose: pose, Outline: c.Outline})
	}
	if x := r.Box.Exit; x != nil && x.Board == b.Name && !x.Notch {
		holes = append(holes, solid.Hole{Pose: pose, Outline: x.Outline})
	}
	for _, s := range r.Box.Screws {
		switch b.Name {
		case s.Through:
			d := s.Shank.Want
			if s.Shank.OK {
				d = s.Shank.Bit.Diameter
			}
			holes = append(holes, solid.Drill(s.At, s.Dir, d, 0))
		case s.Into:
			d := s.Pilot.Want
			if s.Pilot.OK {
				d = s.Pilot.Bit.Diameter
			}
			holes = append(holes, solid.Drill(s.At.Add(s.Dir.Mul(s.Length-s.Deep)), s.Dir, d, s.Deep))
		}
	}
	return holes
}

// controlBodies are what a control is made of, each a body of its own: bushes stand in their holes and nuts on them.
func controlBodies(s *panel.Panel, c *panel.Control) []solid.Body {
	var out []solid.Body
	add := func(b panel.Body, name string, look solid.Look, colour solid.Colour) {
		p := prismOf(b, s.ToBox)
		if p == nil {
			return
		}
		if x, ok := sound(solid.Body{Name: c.Label + " " + name, Colour: colour, Look: look, Pieces: []solid.Piece{p}}); ok {
			out = append(out, x)
		}
	}
	for _, b := range c.Front {
		switch b.Role {
		case panel.RoleTool, panel.RoleSweep, panel.RolePlug, panel.RoleBend:
		case panel.RoleNut, panel.RoleBezel:
			add(b, string(b.Role), solid.Look{Wash: drawing.MetalWash}, solid.Colour{R: 190, G: 192, B: 194})
		default:
			add(b, string(b.Role), solid.Look{Wash: drawing.CapWash}, solid.Colour{R: 90, G: 94, B: 98})
		}
	}
	for _, b := range c.Rear {
		switch b.Role {
		case panel.RoleBody, panel.RoleNut, panel.RoleLugs:
			add(b, "behind, "+string(b.Role), solid.Look{Wash: drawing.MetalWash}, solid.Colour{R: 70, G: 74, B: 78})
		}
	}
	return out
}

// prismOf is a body as a bar in the box frame; nil when it is no bar of an outline.
func prismOf(b panel.Body, to geom.Pose) solid.Piece {
	if b.Leans || b.Outline.Empty() || !(b.Z1-b.Z0 > 0.05) { // of a leaning body the outline is only its shadow
		if h, ok := b.Solid.(*geom.Hull); ok {
			if g, ok := geom.Posed(h, to).(*geom.Hull); ok {
				return solid.Block{Hull: g}
			}
		}
		return nil
	}
	return solid.Prism{Pose: to, Outline: b.Outline, From: b.Z0, To: b.Z1}
}
