package carcass

import (
	"math"

	"knobwright/internal/geom"
)

// The carcass frame: x as in the box frame, w the way the walls rise, v away from the person and square to both. It is the box
// frame but for the wedge, whose walls lean: there it is turned about x by the slope, and v = w = 0 is the front edge of the face.
// The profile is the section of the box in the plane of v and w.

// line is a half-plane of the profile: all points p with n·p ≤ d; n is a unit vector pointing out of it.
type line struct {
	n geom.Vec2
	d float64
}

// along gives the line through p with outward direction n.
func along(n, p geom.Vec2) line { return line{n, n.Dot(p)} }

// shift moves the line outwards by m.
func (l line) shift(m float64) line { return line{l.n, l.d + m} }

// back gives the half-plane on the other side.
func (l line) back() line { return line{l.n.Mul(-1), -l.d} }

// meet gives the point on both lines; it is no number when they are parallel.
func (l line) meet(m line) geom.Vec2 {
	k := l.n.Cross(m.n)
	return v2((l.d*m.n.Y-m.d*l.n.Y)/k, (m.d*l.n.X-l.d*m.n.X)/k)
}

// at gives the height w of the line at v.
func (l line) at(v float64) float64 { return (l.d - l.n.X*v) / l.n.Y }

// upright gives the half-plane v ≤ d.
func upright(d float64) line { return line{v2(1, 0), d} }

// plank is a board of the profile that runs across the box: a face, a hand rest, a top, a base.
type plank struct {
	name        string
	role        Role
	outer       line // its outside
	t           float64
	in          bool      // let in between the walls
	u           geom.Vec2 // along it from front to back
	front, back line      // its ends
	x0, x1      float64
}

// under is the side of the plank towards the inside of the box.
func (p plank) under() line { return p.outer.shift(-p.t) }

// length is the length along its outer side.
func (p plank) length() float64 {
	return p.outer.meet(p.back).Sub(p.outer.meet(p.front)).Dot(p.u)
}

// wallTop is where a wall ends that carries the plank or frames it.
func (p plank) wallTop() line {
	if p.in {
		return p.outer
	}
	return p.under()
}

// profile is the section of the whole box.
type profile struct {
	form     Form
	width, d float64 // over the walls
	wall     float64
	tilt     float64 // degrees from the carcass frame to the box frame
	lift     float64 // height of the carcass frame's origin above the table
	hasFront bool
	bottom   line    // the table, lowest edges of the walls
	tops     []plank // from front to back
	faces    []int   // indices of the faces in tops
	split    bool    // two tops with a joint line that parts everything below them
	joint    line    // points of the nearer side satisfy it
	topOver  bool    // the top of a rack lies over the panel
	base     plank   // t = 0 when there is none
	baseFit  BaseFit
}

func (p *profile) frontOut() line { return line{v2(-1, 0), 0} }
func (p *profile) backOut() line  { return upright(p.d) }
func (p *profile) backIn() line   { return upright(p.d - p.wall) }

// frontIn bounds the room towards the person: the inside of the front, or the back of the rack panel.
func (p *profile) frontIn() line {
	if !p.hasFront {
		return p.tops[0].under()
	}
	return p.frontOut().shift(-p.wall)
}

// floor bounds the room below; it points down.
func (p *profile) floor() line {
	if p.baseFit == NoBase {
		return p.bottom
	}
	return p.base.under()
}

// foot is where the walls end below.
func (p *profile) foot() line {
	if p.baseFit == Under {
		return p.base.under()
	}
	return p.bottom
}

// height gives how high a point of the profile stands above the table.
func (p *profile) height(q geom.Vec2) float64 { return p.bottom.d - p.bottom.n.Dot(q) }

// away gives y of a point of the profile.
func (p *profile) away(q geom.Vec2) float64 {
	s, c := math.Sincos(p.tilt * math.Pi / 180)
	return q.X*c - q.Y*s
}

// face gives the lower face.
func (p *profile) face() plank { return p.tops[p.faces[0]] }

// lower gives the lowest point of the room right behind the lower face.
func (p *profile) lower() geom.Vec2 {
	f := p.face()
	if p.faces[0] > 0 {
		return f.under().meet(p.joint)
	}
	return f.under().meet(p.frontIn())
}

// clear gives the depth behind the face that Sizes.Clear means.
func (p *profile) clear() float64 {
	f := p.face()
	if p.form == Rack {
		if len(p.tops) == 1 {
			return f.under().n.Dot(f.under().meet(p.floor()).Sub(p.backIn().meet(p.floor())))
		}
		return (p.d - p.wall - f.under().meet(p.tops[1].under()).X) / -f.outer.n.X
	}
	q, fl := p.lower(), p.floor()
	return (fl.n.Dot(q) - fl.d) / fl.n.Dot(f.outer.n)
}

// slopeLine is the outside of a top that rises by deg degrees through q.
func slopeLine(deg float64, q geom.Vec2) line {
	s, c := sincos(deg)
	return along(v2(-s, c), q)
}

// sincos is exact for level and upright.
func sincos(deg float64) (s, c float64) {
	switch deg {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	}
	return math.Sincos(deg * math.Pi / 180)
}

// ends cuts the ends of a plank against the lines of front and back, which are the outsides of the walls for a plank laid on
// or under, and their insides for one let in. reach is how far it goes beyond (play: negative).
func (p *plank) ends(front, back line, style EdgeStyle, reach float64) {
	p.front = p.end(front, p.u.Mul(-1), style == Squared, reach)
	p.back = p.end(back, p.u, style == Squared || style == FrontBevelled, reach)
}

// end cuts one end: out is the way along the plank that leads out of it.
func (p *plank) end(wall line, out geom.Vec2, square bool, reach float64) line {
	if !square {
		return wall.shift(reach * wall.n.Dot(out))
	}
	s := out.Dot(p.under().meet(wall))
	if p.in {
		s = min(s, out.Dot(p.outer.meet(wall)))
	}
	return line{out, s + reach}
}

// newProfile makes the section from the unknowns of the form (see form.unknowns). It does not judge: what comes out may be no box.
func newProfile(s Spec, width float64, q []float64) *profile {
	b := s.Build
	p := &profile{form: s.Form, width: width, wall: b.Wall, hasFront: true, baseFit: b.BaseFit, bottom: line{v2(0, -1), 0}}
	switch s.Form {
	case Flat:
		p.d = q[0]
		p.addTop(b, "face", RoleFace, b.Face, b.FaceFit, line{v2(0, 1), q[1]})
	case Wedge:
		p.d, p.tilt, p.lift = q[0], q[2], q[1]
		sn, cs := sincos(q[2])
		p.bottom = line{v2(-sn, -cs), q[1]}
		p.addTop(b, "face", RoleFace, b.Face, b.FaceFit, line{v2(0, 1), 0})
	case Desk:
		p.d = q[0]
		r := s.Sizes.HandRest
		if r > 0 {
			t := b.HandRest
			if t == 0 {
				t = b.Face
			}
			p.addTop(b, "hand rest", RoleRest, t, b.RestFit, line{v2(0, 1), q[1]})
		}
		p.addTop(b, "face", RoleFace, b.Face, b.FaceFit, slopeLine(q[2], v2(r, q[1])))
		if r > 0 {
			p.meeting(b, v2(r, q[1]))
		}
	case TwoSlope:
		p.d = q[0] + q[1]
		sn, cs := sincos(q[3])
		j := v2(q[0], q[2]+q[0]*sn/cs)
		p.addTop(b, "lower face", RoleFace, b.Face, b.FaceFit, slopeLine(q[3], j))
		t := b.Upper
		if t == 0 {
			t = b.Face
		}
		p.addTop(b, "upper face", RoleFace, t, b.FaceFit, slopeLine(q[4], j))
		p.meeting(b, j)
	case Rack:
		p.rack(s, q)
	}
	p.addBase(b)
	p.cutTops(b)
	return p
}

func (p *profile) addTop(b Build, name string, role Role, t float64, fit Fit, outer line) {
	k := plank{name: name, role: role, outer: outer, t: t, in: fit == In, u: v2(outer.n.Y, -outer.n.X)}
	k.x0, k.x1 = 0, p.width
	switch {
	case k.in && role == RoleFace:
		k.x0, k.x1 = p.wall+b.Play, p.width-p.wall-b.Play
	case k.in:
		k.x0, k.x1 = p.wall, p.width-p.wall
	case role == RoleFace:
		k.x0, k.x1 = -b.Overhang, p.width+b.Overhang
	}
	if role == RoleFace {
		p.faces = append(p.faces, len(p.tops))
	}
	p.tops = append(p.tops, k)
}

// meeting sets the joint line of two tops through their common point j.
func (p *profile) meeting(b Build, j geom.Vec2) {
	up := p.tops[0].outer.n.Add(p.tops[1].outer.n).Unit()
	switch b.Meeting {
	case FirstSquare:
		up = p.tops[0].outer.n
	case SecondSquare:
		up = p.tops[1].outer.n
	}
	p.split = true
	p.joint = along(v2(up.Y, -up.X), j)
}

// rack places panel and top. The panel keeps its own height and its square edges. It runs past the front edge of the top; but
// when it is let in and the top is laid on, the top lies over it.
func (p *profile) rack(s Spec, q []float64) {
	b := s.Build
	p.hasFront = false
	foot := line{v2(0, -1), 0}
	if p.baseFit == Under {
		foot = foot.shift(-b.Base)
	}
	p.addTop(b, "face", RoleFace, b.Face, b.FaceFit, slopeLine(q[0], v2(0, foot.at(0))))
	k := &p.tops[0]
	low := k.under().meet(foot)
	high := low.Add(k.u.Mul(PanelHeight(s.Sizes.Units)))
	k.front, k.back = along(k.u.Mul(-1), low), along(k.u, high)
	p.d = high.X
	if len(q) == 1 {
		return
	}
	p.d = q[1]
	t := b.Top
	if t == 0 {
		t = b.Wall
	}
	level := high.Y
	if p.topOver = k.in && b.RestFit == On; p.topOver {
		level += k.outer.n.Y*k.t + t // above the foremost line of the panel's upper edge
	}
	p.addTop(b, "top", RoleTop, t, b.RestFit, line{v2(0, 1), level})
}

func (p *profile) addBase(b Build) {
	if b.BaseFit == NoBase {
		return
	}
	k := plank{name: "base", role: RoleBase, t: b.Base, in: b.BaseFit == Between, x0: 0, x1: p.width, outer: p.bottom}
	k.u = v2(-k.outer.n.Y, k.outer.n.X)
	if k.in {
		k.outer = p.bottom.shift(-b.BaseUp)
		k.x0, k.x1 = p.wall+b.BasePlay, p.width-p.wall-b.BasePlay
	}
	p.base = k
	style := b.BaseEdges
	if style == Usual {
		style = Bevelled
	}
	if k.in {
		p.base.ends(p.frontIn(), p.backIn(), style, -b.BasePlay)
	} else {
		p.base.ends(p.frontOut(), p.backOut(), style, 0)
	}
}

// cutTops sets the ends of the tops.
func (p *profile) cutTops(b Build) {
	for i := range p.tops {
		k := &p.tops[i]
		style, reach := Bevelled, 0.0
		front, back := p.frontOut(), p.backOut()
		if k.in {
			front, back = p.frontIn(), p.backIn()
		}
		if k.role == RoleFace {
			style = b.FaceEdges
			switch {
			case style == Usual && k.in:
				style = Bevelled
			case style == Usual:
				style = Squared
			}
			reach = b.Overhang
			if k.in {
				reach = -b.Play
			}
		}
		panel := p.form == Rack && i == 0
		if panel {
			continue // cut to its own height
		}
		k.ends(front, back, style, reach)
		switch {
		case p.topOver:
			k.front = p.tops[0].outer
		case p.form == Rack:
			k.front = p.tops[0].under()
		case p.split && i == 0:
			k.back = p.joint
		case p.split:
			k.front = p.joint.back()
		}
	}
}
