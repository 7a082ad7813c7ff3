package geom

import "math"

// Vertex is a corner of an outline, and how the outline goes on from it: straight when Bulge is 0, else along an arc whose
// included angle is 4·atan(Bulge), counter-clockwise when positive (the convention of DXF).
type Vertex struct {
	P     Vec2
	Bulge float64
}

// Outline is a closed curve of lines and circular arcs that does not cross itself, counter-clockwise. The zero value is
// the empty outline. Outlines are values: no method changes its receiver.
type Outline []Vertex

// Circle is a round outline, made of two half circles, starting at its rightmost point.
func Circle(c Vec2, d float64) Outline {
	r := d / 2
	return Outline{{Vec2{c.X + r, c.Y}, 1}, {Vec2{c.X - r, c.Y}, 1}}
}

// AsCircle reports centre and diameter when the outline is one full circle as made by Circle (also after a move).
func (o Outline) AsCircle() (c Vec2, d float64, ok bool) {
	if len(o) == 2 && o[0].Bulge == 1 && o[1].Bulge == 1 {
		return o[0].P.Add(o[1].P).Mul(0.5), o[0].P.Sub(o[1].P).Len(), true
	}
	return
}

// Empty reports whether the outline encloses nothing.
func (o Outline) Empty() bool { return len(o) < 2 || !(o.signedArea() > 0) }

// Move gives the outline after a rigid move. It stays counter-clockwise, also when mirrored.
func (o Outline) Move(p Place) Outline {
	if o == nil {
		return nil
	}
	n := len(o)
	m := make(Outline, n)
	for i, v := range o {
		if p.Flip {
			// backwards: the edge that led to this corner now leads away from it
			m[n-1-i] = Vertex{p.Apply(v.P), o[(i+n-1)%n].Bulge}
		} else {
			m[i] = Vertex{p.Apply(v.P), v.Bulge}
		}
	}
	return m
}

// Bounds gives the upright rectangle round the outline; EmptyBox2 for the empty outline.
func (o Outline) Bounds() Box2 {
	b := EmptyBox2()
	for i, v := range o {
		e, _ := newEdge(v.P, o[(i+1)%len(o)].P, v.Bulge)
		b = b.Union(e.box)
	}
	return b
}

// Area gives the enclosed area in square millimetres, never negative.
func (o Outline) Area() float64 { return math.Abs(o.signedArea()) }

// signedArea is positive for a counter-clockwise outline: the polygon through the corners, and a circular segment for each arc.
func (o Outline) signedArea() float64 {
	if len(o) == 0 {
		return 0
	}
	var sum float64
	at := o[0].P // measured from a corner, so that a far-off outline loses no digits
	for i, v := range o {
		q := o[(i+1)%len(o)].P
		sum += v.P.Sub(at).Cross(q.Sub(at)) / 2
		if curved(v.Bulge) {
			l := q.Sub(v.P).Len()
			sum += l * l * segmentArea(v.Bulge)
		}
	}
	return sum
}

// segmentArea gives the area between an arc and its chord of length 1, with the sign of the bulge.
func segmentArea(bulge float64) float64 {
	if math.Abs(bulge) < 1e-3 {
		return bulge/3 + bulge*bulge*bulge/15 // θ - sin θ would lose all its digits
	}
	t := 4 * math.Atan(bulge)
	r := (1 + bulge*bulge) / (4 * bulge)
	return r * r / 2 * (t - math.Sin(t))
}

// Perimeter gives the length of the outline in millimetres.
func (o Outline) Perimeter() float64 {
	var sum float64
	for _, e := range o.edges() {
		sum += e.length()
	}
	return sum
}

// Contains reports whether p lies inside. A point on the edge itself may go either way.
func (o Outline) Contains(p Vec2) bool {
	es := o.edges()
	return contains(es, p)
}

// contains counts how often a ray to the right crosses the edges. Arcs are cut at their top and bottom into pieces that
// only rise or only fall; a piece counts when exactly one of its ends lies above p, so that joints count once.
func contains(es []edge, p Vec2) bool {
	in := false
	for i := range es {
		e := &es[i]
		if e.r == 0 {
			if (e.a.Y > p.Y) != (e.b.Y > p.Y) {
				// left of the line through a and b?
				k := e.b.Sub(e.a).Cross(p.Sub(e.a))
				if (k > 0) == (e.b.Y > e.a.Y) {
					in = !in
				}
			}
			continue
		}
		if p.Y < e.box.Min.Y || p.Y > e.box.Max.Y || p.X > e.box.Max.X {
			continue
		}
		inside := p.Sub(e.c).Len() < e.r
		count := func(y0, y1, t0, t1 float64) {
			if (y0 > p.Y) == (y1 > p.Y) {
				return
			}
			right := e.at((t0+t1)/2).X > e.c.X
			if right && (p.X < e.c.X || inside) || !right && p.X < e.c.X && !inside {
				in = !in
			}
		}
		t, y := 0.0, e.a.Y
		w := math.Abs(e.sweep)
		up, down := e.turnOf(Vec2{0, 1}), e.turnOf(Vec2{0, -1})
		first, second := up, down
		yFirst, ySecond := e.c.Y+e.r, e.c.Y-e.r
		if down < up {
			first, second, yFirst, ySecond = down, up, ySecond, yFirst
		}
		if first > 0 && first < w {
			count(y, yFirst, t, first/w)
			t, y = first/w, yFirst
		}
		if second > 0 && second < w {
			count(y, ySecond, t, second/w)
			t, y = second/w, ySecond
		}
		count(y, e.b.Y, t, 1)
	}
	return in
}

// Flatten gives the corners of a polygon that keeps within tol of the outline; its corners lie on the outline. A tol that
// is not positive is taken as 0.01 mm.
func (o Outline) Flatten(tol float64) []Vec2 {
	if !(tol > 0) {
		tol = 0.01
	}
	var ps []Vec2
	for _, e := range o.edges() {
		ps = append(ps, e.a)
		if e.r == 0 {
			continue
		}
		n := 1
		if tol < e.r {
			n = int(min(4096, math.Ceil(math.Abs(e.sweep)/(2*math.Acos(1-tol/e.r)))))
		} else {
			n = int(math.Ceil(math.Abs(e.sweep) / math.Pi * 2)) // at least a corner each quarter turn
		}
		for i := 1; i < n; i++ {
			ps = append(ps, e.at(float64(i)/float64(n)))
		}
	}
	return ps
}

// IsConvex reports whether the outline nowhere bends inwards.
func (o Outline) IsConvex() bool { return convexEdges(o.edges()) }

// convexEdges counts a bend inwards only when its dent is deeper than rounding: short edges have no sure direction.
func convexEdges(es []edge) bool {
	if len(es) < 2 {
		return false
	}
	for i := range es {
		e, f := &es[i], &es[(i+1)%len(es)]
		if e.sweep < 0 {
			return false
		}
		_, out := e.dirs()
		in, _ := f.dirs()
		l := min(e.length(), f.length())
		turn := out.Cross(in)
		if turn < -1e-9 && turn*l < -tiny || turn < 1e-12 && out.Dot(in) < 0 && l > tiny {
			return false
		}
	}
	return true
}

// Support gives a point of the outline that lies farthest in direction d (any length, not zero).
func (o Outline) Support(d Vec2) Vec2 {
	var best Vec2
	far := math.Inf(-1)
	for i, v := range o {
		e, ok := newEdge(v.P, o[(i+1)%len(o)].P, v.Bulge)
		if !ok {
			continue
		}
		p := e.support(d)
		if h := p.Dot(d); h > far {
			far, best = h, p
		}
	}
	return best
}
