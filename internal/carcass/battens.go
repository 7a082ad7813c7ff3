package carcass

import (
	"fmt"

	"knobwright/internal/geom"
)

// usualBatten is taken where a ledge or a cleat is needed and none is given. Common practice.
var usualBatten = Batten{12, 12}

// ledge gives the batten under a top; none where it carries nothing.
func (m *maker) ledge(k plank) Batten {
	switch b := m.Build.Ledge; {
	case b.none() && k.in:
		return usualBatten
	case k.in || k.role == RoleFace:
		return b
	}
	return Batten{}
}

// cleat gives the batten above a base let in.
func (m *maker) cleat() Batten {
	switch {
	case m.p.baseFit != Between:
		return Batten{}
	case m.Build.Cleat.none():
		return usualBatten
	}
	return m.Build.Cleat
}

// makeBattens makes ledges, cleats, glue blocks and ribs.
func (m *maker) makeBattens() {
	for _, b := range [...]struct {
		name Field
		size Batten
	}{{"ledge", m.Build.Ledge}, {"cleat", m.Build.Cleat}} {
		if !b.size.none() && (b.size.Width < minLeft || b.size.Height < minLeft) {
			m.ps.add(Problem{
				Kind: NotASize, Text: fmt.Sprintf("The %s is %s x %s: give it width and height.", b.name, mm(b.size.Width), mm(b.size.Height)),
				Ends: []End{{b.name + "'s width", b.size.Width, "mm"}, {b.name + "'s height", b.size.Height, "mm"}}, Have: min(b.size.Width, b.size.Height), Want: minLeft,
			})
			return
		}
	}
	m.ledges()
	m.cleats()
	m.blocks()
	m.ribs()
}

// strip is a batten along a wall: n points away from the wall, u runs along it.
type strip struct {
	name    string
	role    Role
	n, u    geom.Vec3
	outer   float64
	t       float64
	low     geom.HalfSpace // the edge that V leads away from
	high    geom.HalfSpace
	begin   geom.HalfSpace // the end that U leads away from
	end     geom.HalfSpace
	lowOn   string // what the edges lie on
	highOn  string
	beginOn string
	endOn   string
	hand    string
	pair    string
}

func (m *maker) strip(s strip) {
	d := draft{name: s.name, role: s.role, n: s.n, u: s.u, outer: s.outer, t: s.t, hand: s.hand, pair: s.pair}
	outer := geom.HalfSpace{N: s.n, D: s.outer}
	d.parts = []*geom.Hull{m.hull(outer, geom.HalfSpace{N: s.n.Mul(-1), D: s.t - s.outer}, s.low, s.high, s.begin, s.end)}
	for _, e := range [...]struct {
		name string
		hs   geom.HalfSpace
		on   string
	}{{"lower edge", s.low, s.lowOn}, {"upper edge", s.high, s.highOn}, {"left end", s.begin, s.beginOn}, {"right end", s.end, s.endOn}} {
		j := Free
		if e.on != "" {
			j = Rests
		}
		d.tags = append(d.tags, tag{edge: Edge{Name: e.name, Joint: j}, hs: e.hs, neighbour: e.on})
	}
	m.add(d)
}

// endStrip makes a batten along front or back, between the sides. low and high bound it below and above.
func (m *maker) endStrip(name string, role Role, back bool, width float64, low, high line, lowOn, highOn string) {
	p, t := m.p, m.Build.Wall
	s := strip{
		name: name, role: role, n: v3(0, 1, 0), u: v3(-1, 0, 0), outer: t + width, t: width, low: low.space(), high: high.space(),
		begin: leftOf(p.width - t), end: rightOf(t), lowOn: lowOn, highOn: highOn, beginOn: sideName(m.Form, true), endOn: sideName(m.Form, false),
	}
	if back {
		s.n, s.u, s.outer = v3(0, -1, 0), v3(1, 0, 0), width+t-p.d
		s.begin, s.end = s.end, s.begin
		s.beginOn, s.endOn = s.endOn, s.beginOn
	}
	m.strip(s)
}

// sideStrip makes the pair of battens along the sides between the lines front and back of the profile.
func (m *maker) sideStrip(name string, role Role, width float64, k plank, low, high, front, back line, lowOn, highOn string) {
	p, t := m.p, m.Build.Wall
	along := across(k.u) // from front to back
	l, r := name+", left", name+", right"
	m.strip(strip{
		name: l, role: role, n: v3(1, 0, 0), u: along, outer: t + width, t: width, low: low.space(), high: high.space(),
		begin: front.space(), end: back.space(), lowOn: lowOn, highOn: highOn, hand: "left", pair: r,
	})
	m.strip(strip{
		name: r, role: role, n: v3(-1, 0, 0), u: along.Mul(-1), outer: width + t - p.width, t: width, low: low.space(), high: high.space(),
		begin: back.space(), end: front.space(), lowOn: lowOn, highOn: highOn, hand: "right", pair: l,
	})
}

// level is the line w ≤ c of the profile.
func level(c float64) line { return line{v2(0, 1), c} }

// ledges makes the battens under tops that need them.
func (m *maker) ledges() {
	p, t := m.p, m.Build.Wall
	for i, k := range p.tops {
		b := m.ledge(k)
		if b.none() {
			continue
		}
		name, under, last := "ledge", k.under(), i == len(p.tops)-1
		if len(p.tops) > 1 {
			name = "ledge of the " + k.name
		}
		front, back := p.frontIn(), p.backIn()
		if i == 0 && p.hasFront {
			low := min(under.at(t), under.at(t+b.Width)) - b.Height
			m.endStrip(name+", front", RoleLedge, false, b.Width, level(low).back(), under, "", k.name)
			front = front.shift(-b.Width)
		}
		if last && !(m.Form == Rack && i == 0) {
			low := min(under.at(p.d-t), under.at(p.d-t-b.Width)) - b.Height
			m.endStrip(name+", back", RoleLedge, true, b.Width, level(low).back(), under, "", k.name)
			back = back.shift(-b.Width)
		}
		switch {
		case p.split && i == 0:
			back = p.joint
		case p.split:
			front = p.joint.back()
		case m.Form == Rack && i == 0:
			front = p.floor()
			if !last {
				back = p.tops[1].under()
			}
		case m.Form == Rack:
			if lb := m.ledge(p.tops[0]); !lb.none() {
				front = front.shift(-lb.Height)
			}
		}
		m.sideStrip(name, RoleLedge, b.Width, k, under.shift(-b.Height).back(), under, front, back, "", k.name)
	}
}

// cleats makes the battens above a base let in.
func (m *maker) cleats() {
	p, b := m.p, m.cleat()
	if b.none() {
		return
	}
	t, floor := m.Build.Wall, p.floor()
	high := func(v0, v1 float64) line { return level(max(floor.at(v0), floor.at(v1)) + b.Height) }
	front, back := p.frontIn(), p.backIn().shift(-b.Width)
	if p.hasFront {
		m.endStrip("cleat, front", RoleCleat, false, b.Width, floor, high(t, t+b.Width), "base", "")
		front = front.shift(-b.Width)
	} else if lb := m.ledge(p.tops[0]); !lb.none() {
		front = front.shift(-lb.Height)
	}
	m.endStrip("cleat, back", RoleCleat, true, b.Width, floor, high(p.d-t-b.Width, p.d-t), "base", "")
	m.sideStrip("cleat", RoleCleat, b.Width, p.base, floor, floor.shift(-b.Height).back(), front, back, "base", "")
}

// blocks makes the glue blocks in the corners, from base or cleat to ledge or top.
func (m *maker) blocks() {
	p, s, t := m.p, m.Build.Blocks.Size, m.Build.Wall
	if s == 0 {
		return
	}
	for _, e := range [...]End{{"size of the glue blocks", s, "mm"}, {"height of the glue blocks", m.Build.Blocks.Height, "mm"}} {
		if e.Value > 0 && e.Value < minLeft {
			m.ps.add(Problem{Kind: NotASize, Text: fmt.Sprintf("Glue blocks of %s are none.", mm(e.Value)), Ends: []End{e}, Have: e.Value, Want: minLeft})
			return
		}
	}
	for _, back := range p.walls() {
		for _, right := range [...]bool{false, true} {
			c := corner{right, back, p}
			name := "glue block, " + [...]string{"front", "back"}[bit(back)] + [...]string{" left", " right"}[bit(right)]
			low, high, lowOn, highOn := m.blockEnds(back, s)
			in := t + s
			hs := []geom.HalfSpace{c.from(t), c.to(in), c.behind(t), c.before(in)}
			hs = append(append(hs, low...), high...)
			n := other(c.behind(0)) // against the end wall
			d := draft{name: name, role: RoleBlock, u: v3(0, 0, 1), t: s, n: n.N, outer: in}
			if back {
				d.outer = in - p.d
			}
			free := tag{edge: Edge{Name: "free edge", Joint: Free}, hs: c.to(in)}
			if m.Build.Blocks.Triangular {
				slant := m.slant(c, 2*t+s)
				hs = append(hs, slant)
				free.hs = slant
				d.n, d.outer = d.n.Mul(-1), -t // the legs lie against the walls; measured from the end wall
				if back {
					d.outer = p.d - t
				}
			}
			block := m.hull(hs...)
			if tall := m.Build.Blocks.Height; tall > 0 && block != nil {
				foot := above(block.Bounds().Max.Z - tall)
				block = cut(block, foot)
				d.tags = append(d.tags, tag{edge: Edge{Name: "lower end", Joint: Free}, hs: foot})
			}
			d.parts = []*geom.Hull{block}
			d.hand, d.pair = [...]string{"left", "right"}[bit(right)], "glue block, "+[...]string{"front", "back"}[bit(back)]+[...]string{" right", " left"}[bit(right)]
			d.tags = append(d.tags, tag{edge: Edge{Name: "glued edge", Joint: Glued}, hs: c.from(t), neighbour: sideName(m.Form, right)}, free)
			for i, h := range low {
				d.tags = append(d.tags, tag{edge: Edge{Name: "lower end", Joint: Meets}, hs: h, neighbour: lowOn[i]})
			}
			for i, h := range high {
				d.tags = append(d.tags, tag{edge: Edge{Name: "upper end", Joint: Meets}, hs: h, neighbour: highOn[i]})
			}
			m.add(d)
		}
	}
}

// slant bounds a + b ≤ c at a corner.
func (m *maker) slant(c corner, sum float64) geom.HalfSpace {
	a, b := other(c.from(0)), other(c.behind(0))
	return geom.HalfSpace{N: a.N.Add(b.N), D: a.D + b.D + sum}
}

// blockEnds gives what bounds a glue block below and above, and the names of it.
func (m *maker) blockEnds(back bool, s float64) (low, high []geom.HalfSpace, lowOn, highOn []string) {
	p, t := m.p, m.Build.Wall
	floor := p.floor()
	where := "front"
	if back {
		where = "back"
	}
	near := func(w float64) (float64, float64) { // the stretch that a batten of width w takes from the wall
		if back {
			return p.d - t - w, p.d - t
		}
		return t, t + w
	}
	low, lowOn = append(low, floor.space()), append(lowOn, "base")
	if cl := m.cleat(); !cl.none() {
		a, b := near(cl.Width)
		low, lowOn = append(low, above(max(floor.at(a), floor.at(b))+cl.Height)), append(lowOn, "cleat, "+where)
		if s > cl.Width {
			low, lowOn = append(low, floor.shift(-cl.Height).space()), append(lowOn, "cleat")
		}
	}
	for i, k := range p.tops {
		onlyOther := p.split && (i == 0) == back // of two tops that bend inwards only the nearer one bounds
		if onlyOther && k.outer.n.Y > 0 && p.tops[0].outer.n.Cross(p.tops[1].outer.n) > 0 {
			continue
		}
		high, highOn = append(high, k.under().space()), append(highOn, k.name)
		lb := m.ledge(k)
		if lb.none() || onlyOther {
			continue
		}
		name := "ledge"
		if len(p.tops) > 1 {
			name = "ledge of the " + k.name
		}
		hasEnd := !back && i == 0 && p.hasFront || back && i == len(p.tops)-1 && !(m.Form == Rack && i == 0)
		if hasEnd {
			a, b := near(lb.Width)
			high, highOn = append(high, below(min(k.under().at(a), k.under().at(b))-lb.Height)), append(highOn, name+", "+where)
		}
		if s > lb.Width || !hasEnd {
			high, highOn = append(high, k.under().shift(-lb.Height).space()), append(highOn, name)
		}
	}
	return low, high, lowOn, highOn
}

// ribs makes the battens under the faces.
func (m *maker) ribs() {
	p, t := m.p, m.Build.Wall
	for i, r := range m.Build.Ribs {
		name := r.Name
		if name == "" {
			name = fmt.Sprintf("rib %d", i+1)
		}
		run := r.To.Sub(r.From)
		ends := []End{{Field(name), run.Len(), "mm"}}
		if r.Face < 0 || r.Face >= len(p.faces) || !(run.Len() >= minLeft) || !(r.Width >= minLeft) || !(r.Height >= minLeft) || run.Len() > maxSize || r.Width > maxSize || r.Height > maxSize {
			m.ps.add(Problem{Kind: NotASize, Text: fmt.Sprintf("The %s is none: it wants a face, two ends apart, width and height.", name), Ends: ends, Have: run.Len(), Want: minLeft})
			continue
		}
		k := p.tops[p.faces[r.Face]]
		lb := m.ledge(k)
		o := across(k.outer.meet(k.front)).Add(v3(k.x0, 0, 0)) // face frame in the carcass frame
		f := Frame{O: o, U: v3(1, 0, 0), V: across(k.u), N: across(k.outer.n)}
		u := f.Turn(run.Unit().At(0))
		n := u.Cross(f.N)
		a, b := f.on(r.From), f.on(r.To)
		side := func(n geom.Vec3, off float64) geom.HalfSpace { return geom.HalfSpace{N: n, D: n.Dot(a) + off} }
		d := draft{name: name, role: RoleRib, n: n, u: u, outer: n.Dot(a) + r.Width/2, t: r.Width}
		begin, end := geom.HalfSpace{N: u.Mul(-1), D: -u.Dot(a)}, geom.HalfSpace{N: u, D: u.Dot(b)}
		top, bottom := k.under().space(), k.under().shift(-r.Height).back().space()
		walls := []tag{
			{edge: Edge{Name: "left end", Joint: Meets}, hs: rightOf(t + lb.Width), neighbour: sideName(m.Form, false)},
			{edge: Edge{Name: "right end", Joint: Meets}, hs: leftOf(p.width - t - lb.Width), neighbour: sideName(m.Form, true)},
			{edge: Edge{Name: "front end", Joint: Meets}, hs: p.frontIn().shift(-lb.Width).space(), neighbour: "front"},
			{edge: Edge{Name: "back end", Joint: Meets}, hs: p.backIn().shift(-lb.Width).space(), neighbour: "back"},
			{edge: Edge{Name: "lower edge", Joint: Meets}, hs: p.floor().space(), neighbour: "base"},
		}
		switch {
		case p.split && p.faces[r.Face] == 0:
			walls[3] = tag{edge: Edge{Name: "back end", Joint: Meets}, hs: p.joint.space(), neighbour: p.tops[1].name}
		case p.split:
			walls[2] = tag{edge: Edge{Name: "front end", Joint: Meets}, hs: p.joint.back().space(), neighbour: p.tops[0].name}
		case m.Form == Rack:
			walls[2] = tag{edge: Edge{Name: "lower end", Joint: Meets}, hs: p.floor().space(), neighbour: "base"}
			if len(p.tops) > 1 {
				walls = append(walls, tag{edge: Edge{Name: "upper end", Joint: Meets}, hs: p.tops[1].under().space(), neighbour: "top"})
			}
		}
		hs := []geom.HalfSpace{side(n, r.Width/2), side(n.Mul(-1), r.Width/2), top, bottom, begin, end}
		for _, w := range walls {
			hs = append(hs, w.hs)
		}
		d.parts = []*geom.Hull{m.hull(hs...)}
		d.tags = append(walls, tag{edge: Edge{Name: "lower edge", Joint: Free}, hs: bottom}, tag{edge: Edge{Name: "upper edge", Joint: Rests}, hs: top, neighbour: k.name},
			tag{edge: Edge{Name: "free end", Joint: Free}, hs: begin}, tag{edge: Edge{Name: "free end", Joint: Free}, hs: end})
		m.add(d)
	}
}
