package solid

import (
	"math"

	"knobwright/internal/geom"
)

// seg is one piece of an outline: a line, or an arc of at most a half turn when r > 0.
type seg struct {
	a, b  geom.Vec2
	c     geom.Vec2
	r     float64
	sweep float64 // radians, counter-clockwise positive
}

const (
	tiny     = 1e-6  // edges of outlines shorter than this are left out
	flat     = 1e-5  // arcs that rise less than this over their chord are lines
	fine     = 0.004 // how far checks may take chords for arcs; Thin leaves room for it
	airy     = 1.0   // distances are not measured beyond this
	sharpest = math.Pi / 360
)

// segments takes an outline apart and judges it. web is the least distance between parts of it that are no neighbours, as far
// as that is below airy.
func segments(o geom.Outline) (segs []seg, web float64, err error) {
	if len(o) < 2 {
		return nil, 0, ErrOutline
	}
	var vs geom.Outline
	for _, v := range o {
		if !near(v.P.X) || !near(v.P.Y) || math.IsNaN(v.Bulge) {
			return nil, 0, ErrNumber
		}
		if math.Abs(v.Bulge) > 1e3 {
			return nil, 0, ErrOutline // within a quarter of a degree of a whole circle
		}
		if n := len(vs); n > 0 && v.P.Sub(vs[n-1].P).Len() < tiny {
			vs[n-1].Bulge = v.Bulge
			continue
		}
		vs = append(vs, v)
	}
	for n := len(vs); n > 1 && vs[n-1].P.Sub(vs[0].P).Len() < tiny; n = len(vs) {
		vs = vs[:n-1]
	}
	if len(vs) < 2 {
		return nil, 0, ErrOutline
	}
	for i, v := range vs {
		segs = append(segs, segOf(v.P, vs[(i+1)%len(vs)].P, v.Bulge)...)
	}
	for _, s := range segs {
		if s.r > 0 && (!near(s.c.X) && math.Abs(s.sweep) > 0.1 || math.Abs(s.c.X)+math.Abs(s.c.Y) > 1e8) {
			return nil, 0, ErrNumber
		}
	}
	web, err = judge(segs)
	return segs, web, err
}

// near reports a usable coordinate.
func near(x float64) bool { return math.Abs(x) <= Far }

func segOf(a, b geom.Vec2, bulge float64) []seg {
	d := b.Sub(a)
	l := d.Len()
	if l*math.Abs(bulge)/2 < flat {
		return []seg{{a: a, b: b}}
	}
	s := seg{
		a: a, b: b, sweep: 4 * math.Atan(bulge), r: l * (1 + bulge*bulge) / (4 * math.Abs(bulge)),
		c: a.Add(b).Mul(0.5).Add(d.Left().Mul((1 - bulge*bulge) / (4 * bulge))),
	}
	if math.Abs(s.sweep) <= math.Pi*(1+1e-9) {
		return []seg{s}
	}
	m := s.at(0.5)
	first, second := s, s
	first.b, second.a = m, m
	first.sweep, second.sweep = s.sweep/2, s.sweep/2
	return []seg{first, second}
}

// at gives the point at share t of the segment.
func (s *seg) at(t float64) geom.Vec2 {
	if s.r == 0 {
		return s.a.Add(s.b.Sub(s.a).Mul(t))
	}
	sin, cos := math.Sincos(s.sweep * t)
	d := s.a.Sub(s.c)
	return s.c.Add(d.Mul(cos)).Add(d.Left().Mul(sin))
}

// dirs gives the unit directions at the start and the end.
func (s *seg) dirs() (in, out geom.Vec2) {
	if s.r == 0 {
		d := s.b.Sub(s.a).Unit()
		return d, d
	}
	in, out = s.a.Sub(s.c).Unit().Left(), s.b.Sub(s.c).Unit().Left()
	if s.sweep < 0 {
		in, out = in.Mul(-1), out.Mul(-1)
	}
	return in, out
}

// steps gives the number of chords for an arc of radius r that keep within tol of it; three to the quarter turn at least.
func steps(r, sweep, tol float64) int {
	sweep = math.Abs(sweep)
	n := math.Ceil(sweep/(math.Pi/6) - 1e-9)
	if tol < r {
		n = max(n, math.Ceil(sweep/(2*math.Acos(1-tol/r))-1e-9))
	}
	return int(max(1, min(n, 2048)))
}

// judge refuses outlines that are clockwise, cross themselves, come too near themselves, or have needle-sharp corners.
func judge(segs []seg) (web float64, err error) {
	m := momentsOf(segs)
	if !(m.area > 0) {
		return 0, ErrOutline
	}
	if m.area < Thin*Thin {
		return 0, ErrThin
	}
	for i := range segs {
		_, in := segs[i].dirs()
		out, _ := segs[(i+1)%len(segs)].dirs()
		if math.Abs(math.Atan2(in.Cross(out), in.Dot(out))) > math.Pi-sharpest {
			return 0, ErrOutline
		}
	}
	if len(segs) == 2 && segs[0].r > 0 && segs[0].c == segs[1].c {
		if segs[0].r < Thin/2 {
			return 0, ErrThin
		}
		return min(2*segs[0].r, airy), nil // a circle
	}
	// chords with their place along the outline
	var ps []geom.Vec2
	var way []float64
	sum := 0.0
	for i := range segs {
		s := &segs[i]
		n := 1
		if s.r > 0 {
			n = steps(s.r, s.sweep, fine)
		}
		for k := range n {
			p := s.at(float64(k) / float64(n))
			if len(ps) > 0 {
				sum += p.Sub(ps[len(ps)-1]).Len()
			}
			ps, way = append(ps, p), append(way, sum)
		}
	}
	sum += ps[0].Sub(ps[len(ps)-1]).Len()
	way = append(way, sum)
	boxes := make([]geom.Box2, len(ps))
	for i := range ps {
		boxes[i] = geom.EmptyBox2().Extend(ps[i]).Extend(ps[(i+1)%len(ps)])
	}
	web = airy
	for i, j := range geom.Pairs(boxes, airy) {
		if j == i+1 || i == 0 && j == len(ps)-1 {
			continue
		}
		a, b, c, d := ps[i], ps[i+1], ps[j], ps[(j+1)%len(ps)]
		if crossing(a, b, c, d) {
			return 0, ErrOutline
		}
		gap, between := chordGap(a, b, c, d), min(way[j]-way[i+1], sum-way[j+1]+way[i])
		switch {
		case between <= 4*gap || between <= 4*Thin:
			// near each other because they are neighbours
		case gap < Thin:
			return 0, ErrThin
		default:
			web = min(web, gap)
		}
	}
	return web, nil
}

// chordGap gives the distance of two straight pieces that do not cross.
func chordGap(a, b, c, d geom.Vec2) float64 {
	return min(pointChord(a, c, d), pointChord(b, c, d), pointChord(c, a, b), pointChord(d, a, b))
}

func pointChord(p, a, b geom.Vec2) float64 {
	d := b.Sub(a)
	t := 0.0
	if l := d.Dot(d); l > 0 {
		t = min(1, max(0, p.Sub(a).Dot(d)/l))
	}
	return p.Sub(a.Add(d.Mul(t))).Len()
}

// moments are the area of an outline in mm² and its first moments ∫x dA, ∫y dA in mm³, about the origin of its frame.
type moments struct{ area, x, y float64 }

// momentsOf sums the polygon through the corners, and a circular segment for each arc: with chord c and b = tan(sweep/4) its area is
// (θ - sin θ)·r²/2, and its first moment about the chord c³/12 less area times the distance of the middle from the chord,
// r·cos(θ/2) = c(1-b²)/4b. Flat arcs take the first terms of the series.
func momentsOf(segs []seg) moments {
	var m moments
	if len(segs) == 0 {
		return m
	}
	at := segs[0].a // measured from a corner, so that a far-off outline loses no digits
	for i := range segs {
		s := &segs[i]
		p, q := s.a.Sub(at), s.b.Sub(at)
		tri := p.Cross(q) / 2
		m.area += tri
		m.x += tri * (p.X + q.X) / 3
		m.y += tri * (p.Y + q.Y) / 3
		if s.r == 0 {
			continue
		}
		d := q.Sub(p)
		c, b := d.Len(), math.Tan(s.sweep/4)
		var area, off float64 // off: first moment about the chord, positive to the right of it
		if math.Abs(b) < 1e-3 {
			area = c * c * (b/3 + b*b*b/15)
			off = c * c * c * b * b / 15
		} else {
			area = s.r * s.r / 2 * (s.sweep - math.Sin(s.sweep))
			off = c*c*c/12 - area*c*(1-b*b)/(4*b)
		}
		mid, right := p.Add(q).Mul(0.5), d.Left().Mul(-1/c)
		m.area += area
		m.x += area*mid.X + off*right.X
		m.y += area*mid.Y + off*right.Y
	}
	m.x += m.area * at.X
	m.y += m.area * at.Y
	return m
}

// centre gives the centre of area.
func (m moments) centre() geom.Vec2 { return geom.Vec2{X: m.x / m.area, Y: m.y / m.area} }
