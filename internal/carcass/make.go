package carcass

import (
	"fmt"
	"math"

	"knobwright/internal/geom"
)

// Face is a face of the box.
type Face struct {
	Name          string
	Board         int     // index into Carcass.Boards
	Frame         Frame   // face frame: origin lower left corner of the finished face, z = 0 its front
	Width, Height float64 // finished, mm
	Thickness     float64
	Slope         float64 // of the face as the box stands, degrees from level
	Held          Held
}

// Opening is a declared opening of the outside. Frame and Outline say where; what lies within Around is filled.
type Opening struct {
	Name    string
	Frame   Frame
	Outline geom.Outline
	Around  geom.Outline
}

// Carcass is the box.
type Carcass struct {
	Spec     Spec // all sizes filled in
	Boards   []Board
	Faces    []Face
	Interior []*geom.Hull // room between walls, base and tops, battens not taken off; two touching hulls where the tops bend inwards
	Contacts []Contact
	Openings []Opening
	Bounds   geom.Box3 // of everything
}

// Board gives a board by its name, nil when there is none.
func (c *Carcass) Board(name string) *Board {
	for i := range c.Boards {
		if c.Boards[i].Name == name {
			return &c.Boards[i]
		}
	}
	return nil
}

// Make builds the box. With problems there is no box.
func Make(s Spec) (*Carcass, []Problem) {
	p, z, ps := s.resolve()
	s.Sizes = z
	if len(ps) == 0 {
		ps = s.check(p)
	}
	if len(ps) > 0 {
		return nil, ps
	}
	m := newMaker(s, p)
	m.makeWalls()
	m.makePlanks()
	m.makeBattens()
	c := &Carcass{Spec: s, Bounds: geom.EmptyBox3()}
	pose := p.pose()
	for _, d := range m.drafts {
		b, ok := d.finish(pose)
		if !ok {
			m.ps.add(Problem{Kind: NoRoom, Text: fmt.Sprintf("Nothing is left of the %s.", d.name), Ends: []End{{Field(d.name), 0, "mm"}}, Want: minLeft})
			continue
		}
		if (b.OuterOutline == nil || b.InnerOutline == nil) && !(b.Role == RoleBlock && s.Build.Blocks.Triangular) {
			m.ps.add(Problem{Kind: NoRoom, Text: fmt.Sprintf("The %s runs out into an arris on one side. Move it, or make it bigger.", d.name), Ends: []End{{Field(d.name), d.t, "mm"}}})
			continue
		}
		c.Boards = append(c.Boards, b)
		for _, h := range b.Parts {
			c.Bounds = c.Bounds.Union(h.Bounds())
		}
	}
	if len(m.ps) > 0 {
		return nil, m.ps
	}
	m.interior(c, pose)
	m.faces(c)
	m.openings(c)
	if ps := c.collisions(); len(ps) > 0 {
		return nil, ps
	}
	c.Contacts = contacts(c)
	return c, nil
}

// interior makes the room inside.
func (m *maker) interior(c *Carcass, pose geom.Pose) {
	p, t := m.p, m.Build.Wall
	h := m.hull(rightOf(t), leftOf(p.width-t), p.frontIn().space(), p.backIn().space(), p.floor().space())
	for _, g := range m.underTops(h, plank.under) {
		if g == nil {
			m.ps.add(Problem{Kind: NoRoom, Text: "No room is left inside."})
			continue
		}
		if q, ok := geom.Posed(g, pose).(*geom.Hull); ok {
			c.Interior = append(c.Interior, q)
		}
	}
}

// faces lists the faces with their frames.
func (m *maker) faces(c *Carcass) {
	for i := range c.Boards {
		b := &c.Boards[i]
		if b.Role != RoleFace {
			continue
		}
		f := Face{Name: b.Name, Board: i, Frame: b.Frame, Width: b.OuterSize.X, Height: b.OuterSize.Y, Thickness: b.Thickness, Held: m.Build.FaceHeld}
		lo := b.OuterOutline.Bounds().Min
		f.Frame.O = b.Frame.on(lo)
		f.Slope = math.Atan2(b.Frame.V.Z, b.Frame.V.Y) * 180 / math.Pi
		c.Faces = append(c.Faces, f)
	}
}

// openings declares what is open by design.
func (m *maker) openings(c *Carcass) {
	p, b := m.p, m.Build
	pose := p.pose()
	rect := func(k plank, front, back line) (Frame, geom.Outline) {
		f := Frame{U: v3(1, 0, 0), N: pose.Turn(across(k.outer.n))}
		f.V = f.N.Cross(f.U)
		f.O = pose.Apply(across(k.outer.meet(front)).Add(v3(b.Wall, 0, 0)))
		far := f.ToLocal(pose.Apply(across(k.outer.meet(back)).Add(v3(p.width-b.Wall, 0, 0))))
		return f, geom.Rect(far.XY().Mul(0.5), math.Abs(far.X), math.Abs(far.Y), 0)
	}
	add := func(name string, k plank, front, back line, board string) {
		o := Opening{Name: name}
		o.Frame, o.Outline = rect(k, front, back)
		if bd := c.Board(board); bd != nil {
			for _, v := range bd.OuterOutline {
				q := o.Frame.ToLocal(bd.Frame.on(v.P)).XY()
				o.Around = append(o.Around, geom.Vertex{P: q})
			}
		}
		c.Openings = append(c.Openings, o)
	}
	if p.baseFit == NoBase {
		add("open below", plank{outer: p.bottom, u: v2(1, 0)}, p.frontIn(), p.backIn(), "")
	}
	if p.baseFit == Between && b.BasePlay > 0 {
		add("play round the base", p.base, p.frontIn(), p.backIn(), "base")
	}
	for i, k := range p.tops {
		if k.role != RoleFace || !k.in || b.Play == 0 {
			continue
		}
		front, back := p.frontIn(), p.backIn()
		switch {
		case m.Form == Rack:
			front, back = k.front, k.back
		case p.split && i == 0:
			back = p.joint
		case p.split:
			front = p.joint.back()
		}
		add("play round the "+k.name, k, front, back, k.name)
	}
}

// collisions reports battens that meet other boards or reach out of the room inside.
func (c *Carcass) collisions() (ps problems) {
	for i := range c.Boards {
		if b := &c.Boards[i]; !b.Role.Shell() {
			room := Board{Parts: c.Interior}
			if out := b.Volume - shared(b, &room); out > 1e-6*b.Volume {
				ps.add(Problem{
					Kind: NoRoom, Text: fmt.Sprintf("The %s stands out of the room inside. Make it smaller, or move it.", b.Name),
					Ends: []End{{Field(b.Name), b.Thickness, "mm"}},
				})
			}
		}
		for j := range i {
			a, b := &c.Boards[i], &c.Boards[j]
			if a.Role.Shell() && b.Role.Shell() || shared(a, b) < 1e-6 {
				continue
			}
			deep := 0.0
			for _, g := range a.Parts {
				for _, h := range b.Parts {
					deep = max(deep, -geom.Gap(g, h).Gap)
				}
			}
			ps.add(Problem{
				Kind: NoRoom, Text: fmt.Sprintf("The %s meets the %s by %s. Make one of them smaller, or move it.", a.Name, b.Name, mm(deep)),
				Ends: []End{{Field(a.Name), deep, "mm"}, {Field(b.Name), 0, "mm"}}, Have: deep, AtMost: true,
			})
		}
	}
	return ps
}
