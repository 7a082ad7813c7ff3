package carcass

import (
	"knobwright/internal/geom"
)

// Patch is a plane piece where two boards touch.
type Patch struct {
	Poly []geom.Vec3 // counter-clockwise as seen from the second board, box frame
	N    geom.Vec3   // unit, from the first board to the second
	Area float64     // mm²
}

// Contact is where two boards touch. A and B are indices into Carcass.Boards, A < B.
type Contact struct {
	A, B    int
	Joint   Joint
	Patches []Patch
	Area    float64 // mm², of all patches
}

// contacts finds where boards touch.
func contacts(c *Carcass) []Contact {
	var cs []Contact
	for j := range c.Boards {
		for i := range j {
			ct := Contact{A: i, B: j}
			for _, g := range c.Boards[i].Parts {
				for _, h := range c.Boards[j].Parts {
					ct.Patches = append(ct.Patches, touching(g, h)...)
				}
			}
			for _, p := range ct.Patches {
				ct.Area += p.Area
			}
			if ct.Area > 1e-3 {
				ct.Joint = jointOf(c, &c.Boards[i], &c.Boards[j])
				cs = append(cs, ct)
			}
		}
	}
	return cs
}

const touch = 1e-6 // mm: planes this close touch

// touching finds the patches where two hulls touch.
func touching(g, h *geom.Hull) (ps []Patch) {
	a, b := g.Bounds(), h.Bounds()
	if a.Min.X > b.Max.X+touch || b.Min.X > a.Max.X+touch || a.Min.Y > b.Max.Y+touch || b.Min.Y > a.Max.Y+touch || a.Min.Z > b.Max.Z+touch || b.Min.Z > a.Max.Z+touch {
		return nil
	}
	for i := range g.Faces {
		pl := g.Plane(i)
		for j := range h.Faces {
			q := h.Plane(j)
			if pl.N.Dot(q.N) > -1+1e-12 {
				continue
			}
			off := 0.0
			for _, k := range h.Faces[j] {
				off = max(off, abs(h.Points[k].Dot(pl.N)-pl.D))
			}
			if off > touch {
				continue
			}
			poly := facePoly(g, i)
			for k := range h.Faces[j] { // clip by the sides of the other face
				from, to := h.Points[h.Faces[j][k]], h.Points[h.Faces[j][(k+1)%len(h.Faces[j])]]
				side := to.Sub(from).Cross(q.N).Unit()
				poly = clip(poly, geom.HalfSpace{N: side, D: side.Dot(from)})
			}
			if p := (Patch{Poly: poly, N: pl.N, Area: polyArea(poly)}); p.Area > 1e-3 {
				ps = append(ps, p)
			}
		}
	}
	return ps
}

func abs(v float64) float64 { return max(v, -v) }

func facePoly(h *geom.Hull, i int) []geom.Vec3 {
	poly := make([]geom.Vec3, 0, len(h.Faces[i])+4)
	for _, k := range h.Faces[i] {
		poly = append(poly, h.Points[k])
	}
	return poly
}

// clip gives the part of a plane polygon within the half-space.
func clip(poly []geom.Vec3, hs geom.HalfSpace) []geom.Vec3 {
	var out []geom.Vec3
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		a, b := p.Dot(hs.N)-hs.D, q.Dot(hs.N)-hs.D
		if a <= 0 {
			out = append(out, p)
		}
		if a < 0 && b > 0 || a > 0 && b < 0 {
			out = append(out, p.Add(q.Sub(p).Mul(a/(a-b))))
		}
	}
	return out
}

func polyArea(poly []geom.Vec3) float64 {
	var n geom.Vec3
	for k := 2; k < len(poly); k++ {
		n = n.Add(poly[k-1].Sub(poly[0]).Cross(poly[k].Sub(poly[0])))
	}
	return n.Len() / 2
}

// jointOf says what joins two boards that touch.
func jointOf(c *Carcass, a, b *Board) Joint {
	s := c.Spec
	if !a.Role.Shell() || !b.Role.Shell() {
		for _, x := range [...]*Board{a, b} {
			if x.Role == RoleFace || x.Role == RoleRest || x.Role == RoleTop || x.Role == RoleBase {
				return Rests
			}
		}
		return Glued
	}
	wall := func(x *Board) bool { return x.Role == RoleFront || x.Role == RoleBack || x.Role == RoleSide }
	switch {
	case wall(a) && wall(b):
		return s.Build.Corner
	case !wall(a) && !wall(b):
		if c.meetingPair(a, b) {
			return s.Build.Meeting.joint()
		}
		return Meets
	}
	k := a
	if wall(a) {
		k = b
	}
	switch k.Role {
	case RoleBase:
		if s.Build.BaseFit == Under {
			return LaidUnder
		}
		return LetIn
	case RoleFace:
		if s.Build.FaceFit == On || s.Form == Rack && s.Build.FaceFit == In && (a.Role == RoleBack || b.Role == RoleBack) {
			return LaidOn
		}
		return LetIn
	}
	if s.Build.RestFit == On {
		return LaidOn
	}
	return LetIn
}

// meetingPair reports whether two tops meet along the joint line of a desk or of two slopes.
func (c *Carcass) meetingPair(a, b *Board) bool {
	return c.Spec.Form != Rack && a.Role != RoleBase && b.Role != RoleBase
}
