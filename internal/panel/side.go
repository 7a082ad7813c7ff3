package panel

import (
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// Side is a board of the box, other than the face, that carries controls or openings. It is a sheet of its own: a Panel whose face
// frame has its origin at the lower left corner of the board as seen from outside, and z = 0 on the outside. Its Behind holds all
// other boards, the face too, and the module.
type Side struct {
	On    string // as the file says it: back, left, right, front, base, upper, rest, top
	Name  string // in sentences: "the back"
	Panel *Panel
	board int // index into Carcass.Boards
	top   bool
	lo    geom.Vec2 // of its face frame's origin in the board frame
}

// Sheets gives the face and then the other boards that carry controls, each as a panel of its own.
func (p *Panel) Sheets() []*Panel {
	out := []*Panel{p}
	for _, s := range p.Sides {
		out = append(out, s.Panel)
	}
	return out
}

// boardOf gives the name of the board that a word of the file means.
func boardOf(c *carcass.Carcass, on string) string {
	kind := " side"
	if c.Spec.Form == carcass.Rack {
		kind = " cheek"
	}
	switch on {
	case "left", "right":
		return on + kind
	case "upper":
		return "upper face"
	case "rest":
		return "hand rest"
	}
	return on
}

// side gives the board that a word of the file means, made into a sheet when it is first asked for; nil when there is none.
func (pl *placer) side(on string) *Side {
	if s, ok := pl.sides[on]; ok {
		return s
	}
	if pl.sides == nil {
		pl.sides = map[string]*Side{}
	}
	s := pl.newSide(on)
	pl.sides[on] = s
	return s
}

func (pl *placer) newSide(on string) *Side {
	p, c := pl.p, pl.p.Carcass
	if c == nil {
		return nil
	}
	name := boardOf(c, on)
	i := slices.IndexFunc(c.Boards, func(b carcass.Board) bool { return b.Name == name && b.Role.Shell() })
	if i < 0 || i == c.Faces[0].Board || c.Boards[i].OuterOutline.Empty() {
		return nil
	}
	b := &c.Boards[i]
	s := &Side{On: on, Name: "the " + name, board: i, lo: b.OuterOutline.Bounds().Min}
	s.top = b.Role == carcass.RoleFace || b.Role == carcass.RoleRest || b.Role == carcass.RoleTop
	q := &Panel{
		doc: p.doc, Title: p.Title, Units: p.Units, Hand: p.Hand, Reading: p.Reading, Limits: p.Limits, Legend: p.Legend, Paper: p.Paper, Press: p.Press,
		Files: p.Files, Wander: p.Wander, Kerf: p.Kerf, Bits: p.Bits, BitsAssumed: p.BitsAssumed, Box: p.Box, Carcass: c, Board: name, Stack: p.Stack,
	}
	frame := b.Frame
	frame.O = frame.ToWorld(s.lo.At(0))
	q.ToBox = frame.Pose()
	if pl.upper != nil && name == "upper face" {
		q.Stack = *pl.upper
		if q.BitsAssumed {
			q.Bits = pl.assumedBits(q.Stack.Sheet.Kind)
		}
	}
	_, _, origin := pl.called(b)
	origin.Name = s.Name
	if b.Role != carcass.RoleFace {
		k := p.Box.Of(b.Role)
		q.Stack = Stack{Sheet: k.Sheet, SheetThickness: k.Thickness, Covering: catalog.Covering{Kind: "none"}, CoverHoles: "trimmed", Total: k.Thickness, SheetOrigin: k.Origin, CoverOrigin: k.Origin}
		if q.BitsAssumed {
			q.Bits = pl.assumedBits(k.Sheet.Kind)
		}
	}
	o := make(geom.Outline, len(b.OuterOutline))
	for i, v := range b.OuterOutline {
		o[i] = geom.Vertex{P: geom.Vec2{X: grid(v.P.X - s.lo.X), Y: grid(v.P.Y - s.lo.Y)}, Bulge: v.Bulge}
	}
	if pl.fingered(b) {
		var pts []geom.Vec3
		for _, v := range o {
			pts = append(pts, v.P.At(0))
		}
		o = hull2(pts)
	}
	size := o.Bounds().Size()
	q.Face = Face{Width: size.X, Height: size.Y, Outline: o, Origin: origin}
	s.Panel = q
	p.Sides = append(p.Sides, s)
	return s
}

// fingered reports whether a board is whole but for the gaps between its fingers. As a sheet it counts with the gaps filled: what
// sits there meets the other board anyway.
func (pl *placer) fingered(b *carcass.Board) bool {
	s := pl.p.Carcass.Spec
	if s.Build.Corner != carcass.Fingered {
		return false
	}
	return b.Role == carcass.RoleFront || b.Role == carcass.RoleBack || s.Form == carcass.Flat || s.Form == carcass.Wedge || s.Form == carcass.Desk && s.Sizes.HandRest == 0
}

// at does something with the sheet of a side in the place of the face; nil is the face.
func (pl *placer) at(s *Side, do func()) {
	if s == nil {
		do()
		return
	}
	face, n := pl.p, len(pl.found)
	pl.p = s.Panel
	do()
	pl.p = face
	for i := n; i < len(pl.found); i++ {
		pl.found[i].On = s.Name
	}
}

// boardFor gives the board that something sits in; ok is false, and said, when the box has no such board. A nil side is the face.
func (pl *placer) boardFor(label, on, path string, o Origin) (s *Side, ok bool) {
	if on == "" || on == "face" {
		return nil, true
	}
	if s = pl.side(on); s != nil {
		return s, true
	}
	f := finding.Finding{Ends: []finding.End{o.End()}, Body: "It takes no room until it has a board."}
	path = pl.firstPath(path, o.Path)
	f.Ends[0].Path, f.Ends[0].Pos = path, pl.pos(path)
	if pl.once("board: " + path) {
		return nil, false
	}
	f.Ends = append(f.Ends, pl.end("the box", pl.firstPath("box.form", "box", o.Path)))
	switch {
	case pl.p.Box == nil && (pl.f.Box.Form == "none" || pl.f.Box.Form == "" && !pl.written("box.walls")):
		f.Head = label + " is on " + on + ", but the panel has no box."
		pl.say(ruleNoBoard, f)
	case pl.p.Carcass == nil:
		f.Head = label + " is on " + on + ", but the boards of the box are not known yet."
		pl.say(ruleUnfinished, f)
	default:
		f.Head = label + " is on " + on + ", which a box of the form " + pl.p.Box.Form.String() + " has not."
		pl.say(ruleNoBoard, f)
	}
	return nil, false
}

// sidesBehind puts all other boards behind each sheet.
func (pl *placer) sidesBehind() {
	for _, s := range pl.p.Sides {
		q := s.Panel
		pl.inside(q, q.Carcass, s.board, s.top)
		if !s.top {
			continue
		}
		q.room(q.Carcass, s.board)
		least, known := 0.0, false
		in := q.Interior
		for _, v := range []geom.Vec2{in.Min, {X: in.Max.X, Y: in.Min.Y}, in.Max, {X: in.Min.X, Y: in.Max.Y}} {
			if d, ok := q.DepthAt(Pt{v}); ok && (!known || d < least) {
				least, known = d, true
			}
		}
		q.BoxDepth = max(least, 0)
	}
}

// cutBoards makes the openings in the boards.
func (pl *placer) cutBoards() {
	p := pl.p
	if p.Carcass == nil {
		return
	}
	f := p.Carcass.Faces[0]
	b := &p.Carcass.Boards[f.Board]
	p.cutBoard(b.Name, b.Frame.ToLocal(f.Frame.O).XY())
	for _, s := range p.Sides {
		s.Panel.cutBoard(s.Panel.Board, s.lo)
	}
}

func (p *Panel) cutBoard(board string, lo geom.Vec2) {
	cut := func(k *Cut) {
		if k.Blind == 0 {
			p.Carcass.CutOut(board, k.ID, k.Outline.Move(geom.Place{At: lo}))
		}
	}
	for _, c := range p.Controls {
		for _, k := range c.Cuts {
			cut(k)
		}
	}
	for _, f := range p.Fixings {
		cut(f.Cut)
	}
	for _, k := range p.Openings {
		cut(k)
	}
}
