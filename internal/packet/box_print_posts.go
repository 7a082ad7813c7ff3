package packet

import (
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// Posts of printed boxes, mm. Common practice.
const (
	postRound = 2.5 // plastic round the hole of an insert, at least
	postFloor = 2.0 // plastic under the hole
	postFar   = 80  // a post higher than this is a bracket on the wall instead, where a wall is near
	postReach = 40  // farthest wall that a bracket is put on; half as much again where a post would be parted
)

// post is the plastic under a screw of a face, with its hole.
type post struct {
	head
	hulls []*geom.Hull
	bore  solid.Hole
	lost  bool // it could not be drilled
}

// head is a screw that wants a post.
type head struct {
	name, thread      string // thread of its insert, "" for a screw that cuts its own
	face              *carcass.Face
	mouth, dir        geom.Vec3 // of the hole
	hole, deep, round float64   // its diameter, how deep it is, plastic round it
}

// findHeads gathers the screws of all faces.
func (p *printer) findHeads() {
	for _, s := range p.r.Panel.Sheets() {
		f := p.faceOf(s.Board)
		if f == nil {
			continue
		}
		for _, x := range s.Fixings {
			h := head{name: x.Origin.Name, face: f, mouth: f.Frame.ToWorld(x.At.Vec2.At(-f.Thickness)), dir: f.Frame.N.Mul(-1), round: postRound}
			if ins, ok := box.HeatSetFor(x.Screw); ok {
				h.thread, h.hole, h.deep, h.round = ins.Thread, ins.Hole, ins.Length+1, max(postRound, ins.Wall)
			} else if d, long := box.ScrewSize(x.Screw); d > 0 { // a screw that cuts its own thread
				h.hole, h.deep = 0.85*d, max(long-f.Thickness, 8)+1
			} else {
				continue
			}
			p.heads = append(p.heads, h)
		}
	}
	for _, x := range p.r.Box.Screws {
		b := p.c.Board(x.Through)
		if b == nil || b.Role != carcass.RoleFace {
			continue
		}
		if f := p.faceOf(b.Name); f != nil {
			p.heads = append(p.heads, head{b.Name, "", f, x.At.Add(x.Dir.Mul(x.Length - x.Deep)), x.Dir, x.Pilot.Want, x.Deep + 1, postRound})
		}
	}
}

// parted reports whether a seam lies between two heights on the bed.
func (p *printer) parted(low, high float64) bool {
	ends := p.ends[p.up]
	for _, x := range ends[1 : len(ends)-1] {
		if h := axis(p.up).Mul(x).Dot(p.shell.Up); h > low && h < high {
			return true
		}
	}
	return false
}

// faceOf gives the face that a sheet is; the empty name is the first.
func (p *printer) faceOf(board string) *carcass.Face {
	for i := range p.c.Faces {
		if f := &p.c.Faces[i]; f.Name == board || board == "" {
			return f
		}
	}
	return nil
}

// post puts a post under a screw: up from the bed's side, or out of the nearest wall at 45 degrees where that would be long or something
// stands in the way.
func (p *printer) post(x head) {
	const corners = 8
	f, mouth, dir, hole, deep, round := x.face, x.mouth, x.dir, x.hole, x.deep, x.round
	var head []geom.Vec3
	r := (hole/2 + round) / math.Cos(math.Pi/corners)
	for k := range corners {
		s, c := math.Sincos((float64(k) + 0.5) * 2 * math.Pi / corners)
		v := mouth.Add(f.Frame.U.Mul(r * c)).Add(f.Frame.V.Mul(r * s))
		head = append(head, v, v.Add(dir.Mul(deep+postFloor)))
	}
	up := p.shell.Up
	low := math.Inf(1) // of the box on the bed
	for _, h := range p.shell.Outer {
		low = min(low, -h.Support(up.Mul(-1)).Dot(up.Mul(-1)))
	}
	high := mouth.Dot(up) - low
	swept := func(by geom.Vec3) *geom.Hull {
		pts := append([]geom.Vec3(nil), head...)
		for k, v := range head {
			if k%2 == 1 {
				pts = append(pts, v.Add(by))
			}
		}
		h, err := geom.HullOf(pts)
		if err != nil {
			return nil
		}
		return cutBy(h, geom.HalfSpace{N: up.Mul(-1), D: -low - printWall/2})
	}
	column := swept(up.Mul(-high - 50))
	bracket := (*geom.Hull)(nil)
	parted := p.parted(low, mouth.Dot(up)+r)
	reach := float64(postReach)
	if parted {
		reach *= 1.5
	}
	if n, far := p.wallNear(mouth.Add(dir.Mul(deep+postFloor)), r); far <= reach {
		bracket = swept(n.Sub(up).Mul(far))
	}
	choice := []*geom.Hull{column, bracket}
	switch {
	case parted: // the upper part of a column would hang in the air
		choice = []*geom.Hull{bracket}
	case high > postFar:
		choice = []*geom.Hull{bracket, column}
	}
	for _, h := range choice {
		if h == nil || p.meets(h) {
			continue
		}
		q := post{head: x, bore: solid.Drill(mouth, dir, hole, deep)}
		for _, o := range p.shell.Outer {
			if g := commonHull(h, o); g != nil {
				q.hulls = append(q.hulls, g)
			}
		}
		p.posts = append(p.posts, q)
		return
	}
	p.skipped = append(p.skipped, x.name)
}

// wallNear gives the level way, as the box lies on the bed, to the nearest wall, and how far a post of radius r that goes down as much as it goes
// sideways must go from a point to end inside it.
func (p *printer) wallNear(at geom.Vec3, r float64) (n geom.Vec3, far float64) {
	far = math.Inf(1)
	up := p.shell.Up
	for _, h := range p.shell.Outer {
		for i := range h.Faces {
			w := h.Plane(i)
			if math.Abs(w.N.Dot(up)) > 0.75 || p.isFace(w.N) || p.isJoint(w) {
				continue
			}
			way := w.N.Sub(up.Mul(w.N.Dot(up))).Unit()
			near := w.N.Dot(way.Sub(up)) // how fast it comes nearer
			if near < 0.2 {
				continue
			}
			if d := (w.D - w.N.Dot(at) + r - printWall/2) / near; d < far {
				far, n = max(0, d), way
			}
		}
	}
	return n, far
}

// isFace reports whether a face of the box looks this way.
func (p *printer) isFace(n geom.Vec3) bool {
	for _, f := range p.c.Faces {
		if f.Frame.N.Dot(n) > 0.999 {
			return true
		}
	}
	return false
}

// isJoint reports whether a plane lies between two of the solids that the outside is made of.
func (p *printer) isJoint(w geom.HalfSpace) bool {
	for _, h := range p.shell.Outer {
		for i := range h.Faces {
			if q := h.Plane(i); q.N.Dot(w.N) < -1+1e-9 && math.Abs(q.D+w.D) < 1e-6 {
				return true
			}
		}
	}
	return false
}

// meets reports whether a solid stands in a body behind the faces, or in the way of the lead.
func (p *printer) meets(h *geom.Hull) bool {
	if x := p.r.Box.Exit; x != nil {
		if b := p.c.Board(x.Board); b != nil {
			if n := notchOf(x, b); n != nil && geom.Gap(h, n).Gap < 0.5 {
				return true
			}
		}
	}
	for _, b := range box.FromPanel(p.r.Panel).Bodies {
		if b.Inside && h.Bounds().Overlaps(b.Solid.Bounds()) && geom.Gap(h, b.Solid).Gap < 0 {
			return true
		}
	}
	return false
}
