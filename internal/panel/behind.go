package panel

import (
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// unknownDepth is how deep walls and rails are taken to be while the box has no depth: deeper than any control.
const unknownDepth = 300

// box places walls, base, ledges, corner blocks and ribs behind the face.
func (pl *placer) box() {
	b, p := pl.f.Box, pl.p
	if pl.size("box.depth", b.Depth, 0, 1000, "The depth of the box") {
		p.BoxDepth = b.Depth.MM()
	}
	walls := pl.written("box.walls")
	if b.Form == "none" {
		if walls {
			pl.noEffect("the walls", "box.walls", "The walls have no effect: the box has form none.")
		}
		pl.ribs()
		return
	}
	if !walls && b.Form == "" {
		pl.ribs()
		return
	}
	if !p.Face.HasSize() {
		return // said already
	}
	sheet, measured := pl.sheet("the walls", "box.walls", b.Walls)
	pl.wall = sheet.Thickness()
	if measured > 0 {
		pl.wall = measured
	}
	pl.lines.sheet("the walls", "box.walls", sheet, measured)
	if pl.wall <= 0 {
		if !walls {
			pl.missing("the box", "box", "The box has no walls yet.", "Name the board, as in walls: birch-ply-9mm.")
		}
		pl.ribs()
		return
	}
	if p.BoxDepth == 0 && !pl.written("box.depth") {
		pl.missing("the box", "box", "The box has no depth yet.", "Write depth: the clear room behind the sheet. Until then depths are not checked.")
	}
	w, h := p.Face.Width, p.Face.Height
	inset := 0.0
	if pl.sizeOr0("box.inset", b.Inset, 0, min(w, h)/2, "The inset of the walls") {
		inset = b.Inset.MM()
	}
	in := geom.Box2{Min: geom.Vec2{X: inset + pl.wall, Y: inset + pl.wall}, Max: geom.Vec2{X: w - inset - pl.wall, Y: h - inset - pl.wall}}
	if in.Min.X >= in.Max.X || in.Min.Y >= in.Max.Y {
		pl.say(ruleBadSize, finding.Finding{
			Head: "The walls leave no room between them.", Body: "They are " + p.mm(pl.wall) + " thick and stand " + p.mm(inset) + " in from the edges.",
			Ends:    []finding.End{pl.end("the walls", "box.walls"), p.Face.Origin.End()},
			Measure: &finding.Measure{Have: min(in.Max.X-in.Min.X, in.Max.Y-in.Min.Y), Want: 10, Unit: "mm"},
		})
		return
	}
	p.HasBox, p.Interior = true, in
	pl.walls(geom.Box2{Min: geom.Vec2{X: inset, Y: inset}, Max: geom.Vec2{X: w - inset, Y: h - inset}})
	pl.ledges()
	pl.blocks()
	pl.ribs()
	if p.Face.Rack > 0 {
		if rail := railInner(); inset < rail {
			pl.say(ruleBadSize, finding.Finding{
				Head: "The walls stand in the rails of the rack by " + p.mm(rail-inset) + ".", Body: "Give the box an inset of " + p.mm(rail) + " at least.",
				Ends:    []finding.End{pl.end("the walls", pl.firstPath("box.inset", "box")), pl.end("the rack", "face.rack")},
				Measure: &finding.Measure{Have: inset, Want: rail, Unit: "mm", Sense: finding.AtLeast},
				Why:     "Nothing behind a rack panel may be wider than the opening between the rails.", Source: rackSource,
				Fixes: []finding.Fix{setTo("Set the walls in", "box.inset", p.num(rail))},
			})
		}
	}
}

// add puts an upright prism behind the face; depths count from the back of the sheet.
func (pl *placer) add(role Role, owner string, o geom.Outline, from, to float64, at Origin) {
	back := -pl.p.Stack.Total
	if b, ok := body(role, owner, o, back-to, back-from, at); ok {
		pl.p.Behind = append(pl.p.Behind, b)
	}
}

// rectangle is the upright rectangle between two corners; nil when they are the wrong way round.
func rectangle(x0, y0, x1, y1 float64) geom.Outline {
	if x1 <= x0 || y1 <= y0 {
		return nil
	}
	return geom.Polygon(geom.Vec2{X: x0, Y: y0}, geom.Vec2{X: x1, Y: y0}, geom.Vec2{X: x1, Y: y1}, geom.Vec2{X: x0, Y: y1})
}

func (pl *placer) depth() float64 {
	if pl.p.BoxDepth > 0 {
		return pl.p.BoxDepth
	}
	return unknownDepth
}

// walls places the four walls and the base. Front and back wall run through, the side walls stand between them; the
// front wall is the one at the lower edge of the face.
func (pl *placer) walls(out geom.Box2) {
	in := pl.p.Interior
	o := Origin{Name: "the walls", Path: "box.walls", Pos: pl.pos("box.walls")}
	wall := func(name string, x0, y0, x1, y1 float64) {
		o := o
		o.Name = "the " + name
		pl.add(RoleWall, name, rectangle(x0, y0, x1, y1), 0, pl.depth(), o)
	}
	wall("left wall", out.Min.X, in.Min.Y, in.Min.X, in.Max.Y)
	wall("right wall", in.Max.X, in.Min.Y, out.Max.X, in.Max.Y)
	wall("front wall", out.Min.X, out.Min.Y, out.Max.X, in.Min.Y)
	wall("back wall", out.Min.X, in.Max.Y, out.Max.X, out.Max.Y)
	if pl.p.BoxDepth > 0 {
		base := Origin{Name: "the base", Path: "box.depth", Pos: pl.pos("box.depth")}
		pl.add(RoleBase, "the base", rectangle(out.Min.X, out.Min.Y, out.Max.X, out.Max.Y), pl.depth(), pl.depth()+pl.wall, base)
	}
}

// ledges places the strips that carry the face.
func (pl *placer) ledges() {
	l := pl.f.Box.Ledge
	if l == nil {
		return
	}
	in := pl.p.Interior
	wide := min(in.Size().X, in.Size().Y) / 2
	w := pl.size("box.ledge.width", l.Width, 0, wide, "The width of the ledge")
	h := pl.size("box.ledge.height", l.Height, 0, pl.depth(), "The height of the ledge")
	if !pl.written("box.ledge.width") || !pl.written("box.ledge.height") {
		pl.missing("the ledge", "box.ledge", "The ledge has no size yet.", "Write width: and height:.")
	}
	if !w || !h {
		return
	}
	d, down := l.Width.MM(), l.Height.MM()
	strip := func(name string, x0, y0, x1, y1 float64) {
		pl.add(RoleLedge, name, rectangle(x0, y0, x1, y1), 0, down, Origin{Name: "the " + name, Path: "box.ledge", Pos: pl.pos("box.ledge")})
	}
	strip("left ledge", in.Min.X, in.Min.Y+d, in.Min.X+d, in.Max.Y-d)
	strip("right ledge", in.Max.X-d, in.Min.Y+d, in.Max.X, in.Max.Y-d)
	strip("front ledge", in.Min.X, in.Min.Y, in.Max.X, in.Min.Y+d)
	strip("back ledge", in.Min.X, in.Max.Y-d, in.Max.X, in.Max.Y)
}

// blocks places the glue blocks in the corners.
func (pl *placer) blocks() {
	b := pl.f.Box.Blocks
	if b == nil {
		return
	}
	in := pl.p.Interior
	if !pl.size(pl.firstPath("box.blocks.size", "box.blocks"), b.Size, 0, min(in.Size().X, in.Size().Y)/2, "The size of the corner blocks") {
		return
	}
	s, down := b.Size.MM(), pl.depth()
	if pl.size("box.blocks.height", b.Height, 0, pl.depth(), "The height of the corner blocks") {
		down = b.Height.MM()
	}
	block := func(where string, x, y float64) {
		name := "corner block, " + where
		pl.add(RoleBlock, name, rectangle(x, y, x+s, y+s), 0, down, Origin{Name: "the " + name, Path: "box.blocks", Pos: pl.pos("box.blocks")})
	}
	block("lower left", in.Min.X, in.Min.Y)
	block("lower right", in.Max.X-s, in.Min.Y)
	block("upper left", in.Min.X, in.Max.Y-s)
	block("upper right", in.Max.X-s, in.Max.Y-s)
}

// ribs places the battens under the face.
func (pl *placer) ribs() {
	for _, name := range pl.f.Box.Ribs.Keys {
		r := pl.f.Box.Ribs.Get(name)
		path := "box.ribs." + name
		label := "rib " + plainName(name)
		o := Origin{Name: "the " + label, Path: path, Pos: pl.pos(path)}
		a, b := vec(r.From), vec(r.To)
		if !pl.written(path+".from") || !pl.written(path+".to") {
			continue // the reader says that they are missing
		}
		width := pl.wall
		if pl.size(path+".width", r.Width, 0, 200, "The width of the "+label) {
			width = r.Width.MM()
		} else if r.Width != 0 {
			continue
		}
		deep := pl.depth()
		if !pl.size(path+".height", r.Height, 0, deep, "The height of the "+label) || width == 0 {
			if !pl.written(path+".height") || width == 0 && !pl.written(path+".width") {
				pl.missing(label, path, capital(o.Name)+" has no section yet.", "Write width: across its line, and height: how far it stands down behind the sheet.")
			}
			continue
		}
		run := b.Sub(a)
		if run.Len() < 1 {
			pl.say(ruleBadSize, finding.Finding{
				Head: capital(o.Name) + " has no length: it begins where it ends.", Ends: []finding.End{o.End()},
				Measure: &finding.Measure{Have: run.Len(), Want: 1, Unit: "mm"},
			})
			continue
		}
		side := run.Unit().Left().Mul(width / 2)
		out := geom.Polygon(a.Sub(side), b.Sub(side), b.Add(side), a.Add(side))
		if pl.ribOutside(o, out) {
			continue
		}
		pl.add(RoleRib, label, out, 0, r.Height.MM(), o)
	}
}

// ribOutside reports a rib that lies wholly or partly beside the face.
func (pl *placer) ribOutside(o Origin, rib geom.Outline) bool {
	f := pl.p.Face
	if !f.HasSize() {
		return false
	}
	b := rib.Bounds()
	over := max(-b.Min.X, -b.Min.Y, b.Max.X-f.Width, b.Max.Y-f.Height)
	if over <= 1e-9 {
		return false
	}
	pl.say(ruleBadSize, finding.Finding{
		Head: capital(o.Name) + " stands out beyond the face by " + pl.p.mm(over) + ".", Body: "It is left out of the checks.",
		Ends:    []finding.End{o.End(), f.Origin.End()},
		Place:   spot(within(b.Centre(), f)),
		Measure: &finding.Measure{Have: over, Want: 0, Unit: "mm", Sense: finding.AtMost},
	})
	return true
}
