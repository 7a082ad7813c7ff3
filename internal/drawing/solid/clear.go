package solid

import (
	"math"

	"knobwright/internal/geom"
)

// inside refuses a hole that comes out of its piece anywhere but through entry and exit (-1 for none).
func (s *base) inside(c *cavity, entry, exit int) error {
	if s.segs != nil && c.pose.Z.Cross(s.pose.Z).Len() < 1e-9 {
		// along the bar: measured in its outline
		m, _ := s.out.Margin(c.in(s.pose))
		if !(m >= Thin) {
			return ErrMeets
		}
		s.web = min(s.web, m)
		if k := 1 - entry; exit < 0 {
			if entry > 1 || s.over(c, k) > -Thin {
				return ErrMeets
			}
		}
		return nil
	}
	for k := range s.faces {
		if k == entry || k == exit {
			continue
		}
		gap := airy
		if s.brep.faces[k].kind == planar {
			gap = -s.over(c, k)
		}
		if s.fused && gap < airy || s.segs != nil && (gap < Thin || s.brep.faces[k].kind == round) {
			gap = s.facetGap(c, k)
		}
		if !(gap >= Thin) {
			return ErrMeets
		}
		s.web = min(s.web, gap)
	}
	return nil
}

// over gives how far the hole reaches over the plane of face k; negative when it stays within.
func (s *base) over(c *cavity, k int) float64 {
	f := &s.brep.faces[k]
	far := math.Inf(-1)
	for _, p := range c.parts {
		far = max(far, p.Support(f.n).Sub(f.o).Dot(f.n))
	}
	return far
}

// facetGap gives the distance between the hole and the undrilled face k, as far as it is below airy.
func (s *base) facetGap(c *cavity, k int) float64 {
	if s.facets == nil {
		s.facets = make([][]triangle, s.faces)
		plain := brep{verts: s.verts, edges: s.edges}
		for i := range s.faces {
			f := s.brep.faces[i]
			if f.loops = f.loops[:1]; s.fused {
				f.loops = s.brep.faces[i].loops[:s.rims[i]]
			}
			plain.faces = append(plain.faces, f)
		}
		m, of, err := plain.mesh(fine)
		if err != nil {
			return 0
		}
		for i, t := range m.Triangles {
			s.facets[of[i]] = append(s.facets[of[i]], triangle{m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]})
		}
	}
	gap := airy
	for _, t := range s.facets[k] {
		if box := grown(t.Bounds(), gap); box.Overlaps(c.box) {
			for _, p := range c.parts {
				gap = min(gap, geom.Gap(p, t).Gap)
			}
		}
	}
	return gap
}

// in gives the mouth of the hole in the x-y plane of another frame with the same z axis, or the opposite one.
func (c *cavity) in(p geom.Pose) geom.Outline {
	back := p.Inverse()
	n := len(c.mouth)
	o := make(geom.Outline, n)
	flip := c.pose.Z.Dot(p.Z) < 0
	for i, v := range c.mouth {
		q := back.Apply(c.pose.Apply(v.P.At(0))).XY()
		if flip {
			o[n-1-i] = geom.Vertex{P: q, Bulge: c.mouth[(i+n-1)%n].Bulge}
		} else {
			o[i] = geom.Vertex{P: q, Bulge: v.Bulge}
		}
	}
	return o
}

// clear refuses a hole that meets an earlier one.
func (s *base) clear(c *cavity) error {
	box := grown(c.box, airy)
	for i := range s.holes {
		d := &s.holes[i]
		if !box.Overlaps(d.box) {
			continue
		}
		gap := math.Inf(-1)
		if c.pose.Z.Cross(d.pose.Z).Len() < 1e-9 {
			gap, _, _ = c.mouth.Gap(d.in(c.pose))
		}
		if gap < Thin {
			gap = airy
			for _, p := range c.parts {
				for _, q := range d.parts {
					gap = min(gap, geom.Gap(p, q).Gap)
				}
			}
		}
		if !(gap >= Thin) {
			return &Error{Piece: -1, Hole: -1, Other: i, Err: ErrHoles}
		}
		s.web = min(s.web, gap)
	}
	return nil
}
