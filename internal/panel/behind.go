package panel

import (
	"math"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/project"
)

// box puts what the box has behind the face there.
func (pl *placer) box() {
	p := pl.p
	c := p.Carcass
	open := false
	if c == nil && p.Box != nil && p.Face.HasSize() {
		c = pl.openBox()
		open = c != nil
	}
	if c == nil || len(c.Faces) == 0 {
		pl.plainRibs()
		return
	}
	p.HasBox = true
	p.ToBox = c.Faces[0].Frame.Pose()
	pl.inside(p, c, c.Faces[0].Board, true)
	if !open {
		p.room(c, c.Faces[0].Board)
	}
	pl.plainRibs()
	pl.railsMeet()
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

// facing is the least slope towards the sheet, as the sine, at which a wall counts as what bounds the depth behind the sheet, as the
// base does, rather than as what stands beside it.
const facing = 0.7072

// inside puts all boards but one behind the sheet that is in that one, and works out the room that they leave. A sheet that is a
// face has a base below; seen from any other board all others are walls.
func (pl *placer) inside(p *Panel, c *carcass.Carcass, board int, face bool) {
	back := p.ToBox.Inverse()
	for i := range c.Boards {
		if i == board {
			continue
		}
		b := &c.Boards[i]
		role, name, o := pl.called(b)
		if face {
			if n := back.Turn(b.Frame.N); role == RoleWall && n.Z < -facing {
				role = RoleBase
			} else if role == RoleBase && n.Z > -0.05 {
				role = RoleWall
			}
		} else if role == RoleBase {
			role = RoleWall
		}
		for _, pts := range pieces(b) {
			for k := range pts {
				pts[k] = back.Apply(pts[k])
			}
			if s, ok := solid(role, name, pts, o); ok {
				s.Board = b.Name
				p.Behind = append(p.Behind, s)
			}
		}
	}
	p.Interior = geom.Box2{}
	open := geom.EmptyBox2()
	for _, h := range c.Interior {
		for _, q := range h.Points {
			if q = back.Apply(q); math.Abs(q.Z+p.Stack.Total) < 1e-3 {
				open = open.Extend(geom.Vec2{X: grid(q.X), Y: grid(q.Y)})
			}
		}
	}
	if open.Min.X < open.Max.X && open.Min.Y < open.Max.Y {
		p.Interior = open
	}
}

// called gives role, name and place in the file of a board.
func (pl *placer) called(b *carcass.Board) (Role, string, Origin) {
	name, path, role := b.Name, "box.walls", RoleWall
	switch b.Role {
	case carcass.RoleFront, carcass.RoleBack:
		name += " wall"
	case carcass.RoleBase:
		role = RoleBase
		path = pl.firstPath("box.base", "box.depth", "box.walls")
	case carcass.RoleFace:
		path = pl.firstPath("face.sheet", "face")
	case carcass.RoleRest:
		path = "box.rest"
	case carcass.RoleLedge:
		role, path = RoleLedge, pl.firstPath("box.ledge", "box.face", "box")
	case carcass.RoleCleat:
		role, path = RoleLedge, pl.firstPath("box.cleat", "box.base-fit", "box")
	case carcass.RoleBlock:
		role, path = RoleBlock, "box.blocks"
	case carcass.RoleRib:
		role = RoleRib
		if at := pl.ribPath(b.Name); at != "" {
			path = at
		}
	}
	path = pl.firstPath(path, "box")
	if what, where, ok := strings.Cut(name, ", "); ok { // "ledge of the upper face, front"
		name = where + " " + what
	}
	return role, name, Origin{Name: "the " + name, Path: path, Pos: pl.pos(path)}
}

func ribName(key string) string { return "rib " + plainName(key) }

// pieces gives the corners of the convex pieces that a board is taken as when something comes near it, in the box frame. Fingers and
// steps at its ends lie within the corner of the box, so a board counts as one piece; only sides under two tops that bend inwards
// keep several.
func pieces(b *carcass.Board) [][]geom.Vec3 {
	if b.Role == carcass.RoleSide && !b.InnerOutline.IsConvex() {
		var out [][]geom.Vec3
		for _, h := range b.Parts {
			if len(out) < 2 && reaches(h, b) { // the fingers come after the halves of the board
				out = append(out, append([]geom.Vec3(nil), h.Points...))
			}
		}
		return out
	}
	var pts []geom.Vec3
	for _, h := range b.Parts {
		pts = append(pts, h.Points...)
	}
	return [][]geom.Vec3{pts}
}

// reaches reports whether a part of a board comes to its inner side.
func reaches(h *geom.Hull, b *carcass.Board) bool {
	for _, p := range h.Points {
		if math.Abs(b.Frame.ToLocal(p).Z+b.Thickness) < 1e-6 {
			return true
		}
	}
	return false
}

// carcassRibs reads the ribs of the file for a box of known sizes.
func (pl *placer) carcassRibs(z carcass.Sizes) {
	deep := deepest(z)
	for _, key := range pl.f.Box.Ribs.Keys {
		if r, ok := pl.rib(key, deep); ok {
			r.Name = ribName(key)
			pl.spec.Build.Ribs = append(pl.spec.Build.Ribs, r)
			pl.ribDone(key)
		}
	}
	pl.upperRibs(z)
}

func (pl *placer) ribDone(key string) { pl.once("placed: box.ribs." + key) }

// plainRibs places the ribs that are not boards of a box: of a panel without one.
func (pl *placer) plainRibs() {
	for _, key := range pl.f.Box.Ribs.Keys {
		if pl.told["placed: box.ribs."+key] || pl.told["seen: box.ribs."+key] {
			continue
		}
		r, ok := pl.rib(key, pl.depth())
		if !ok {
			continue
		}
		side := r.To.Sub(r.From).Unit().Left().Mul(r.Width / 2)
		out := geom.Polygon(r.From.Sub(side), r.To.Sub(side), r.To.Add(side), r.From.Add(side))
		path := "box.ribs." + key
		pl.add(RoleRib, ribName(key), out, 0, r.Height, Origin{Name: "the " + ribName(key), Path: path, Pos: pl.pos(path)})
	}
}

// rib reads a rib of the file; what is wrong with it is said once.
func (pl *placer) rib(key string, deep float64) (rib carcass.Rib, ok bool) {
	path := "box.ribs." + key
	pl.once("seen: " + path)
	return pl.ribFrom(path, ribName(key), pl.f.Box.Ribs.Get(key), deep, pl.p.Face.Width, pl.p.Face.Height)
}

// ribFrom reads a rib under a face of a size from where it stands in the file.
func (pl *placer) ribFrom(path, label string, r project.Rib, deep, faceWidth, faceHeight float64) (rib carcass.Rib, ok bool) {
	o := Origin{Name: "the " + label, Path: path, Pos: pl.pos(path)}
	if !pl.written(path+".from") || !pl.written(path+".to") {
		return rib, false // the reader says that they are missing
	}
	rib.From, rib.To, rib.Width = vec(r.From), vec(r.To), pl.wall
	if pl.size(path+".width", r.Width, 0, 200, "The width of the "+label) {
		rib.Width = r.Width.MM()
	} else if r.Width != 0 {
		return rib, false
	}
	if !pl.size(path+".height", r.Height, 0, deep, "The height of the "+label) || rib.Width == 0 {
		if !pl.written(path+".height") || rib.Width == 0 && !pl.written(path+".width") {
			pl.missing(label, path, finding.Capital(o.Name)+" has no section yet.", "Write width: across its line, and height: how far it stands down behind the sheet.")
		}
		return rib, false
	}
	rib.Height = r.Height.MM()
	if run := rib.To.Sub(rib.From); run.Len() < 1 {
		pl.say(ruleBadSize, finding.Finding{
			Head: finding.Capital(o.Name) + " has no length: it begins where it ends.", Ends: []finding.End{o.End()},
			Measure: &finding.Measure{Have: run.Len(), Want: 1, Unit: "mm"},
		})
		return rib, false
	}
	side := rib.To.Sub(rib.From).Unit().Left().Mul(rib.Width / 2)
	if pl.ribOutside(o, geom.Polygon(rib.From.Sub(side), rib.To.Sub(side), rib.To.Add(side), rib.From.Add(side)), faceWidth, faceHeight) {
		return rib, false
	}
	return rib, true
}

// ribOutside reports a rib that lies wholly or partly beside the face.
func (pl *placer) ribOutside(o Origin, rib geom.Outline, width, height float64) bool {
	f := pl.p.Face
	if !(width > 0 && height > 0) {
		return false
	}
	b := rib.Bounds()
	over := max(-b.Min.X, -b.Min.Y, b.Max.X-width, b.Max.Y-height)
	if over <= 1e-9 {
		return false
	}
	pl.say(ruleBadSize, finding.Finding{
		Head: finding.Capital(o.Name) + " stands out beyond the face by " + pl.p.mm(over) + ".", Body: "It is left out of the checks.",
		Ends:    []finding.End{o.End(), f.Origin.End()},
		Place:   spot(within(b.Centre(), f)),
		Measure: &finding.Measure{Have: over, Want: 0, Unit: "mm", Sense: finding.AtMost},
	})
	return true
}

// small makes the first letter a small one.
func small(s string) string {
	for i, r := range s {
		return strings.ToLower(string(r)) + s[i+len(string(r)):]
	}
	return s
}
