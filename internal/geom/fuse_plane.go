package geom

import (
	"cmp"
	"math"
	"slices"
)

// area is a convex area in a plane: what a layer has just below the plane, just above it, or on both sides.
type area struct {
	layer        int
	below, above bool
	ids          []int // counter-clockwise as seen from above
	p            []Vec2
	box          Box2
}

// plane2 is the frame of a plane.
type plane2 struct {
	o, x, y, n Vec3
}

func frameOf(p HalfSpace) plane2 {
	f := plane2{o: p.N.Mul(p.D), n: p.N, x: Vec3{X: 1}}
	if math.Abs(p.N.X) > 0.7 {
		f.x = Vec3{Y: 1}
	}
	f.x = f.x.Sub(p.N.Mul(f.x.Dot(p.N))).Unit()
	f.y = p.N.Cross(f.x)
	return f
}

func (f *plane2) flat(v Vec3) Vec2 {
	v = v.Sub(f.o)
	return Vec2{v.Dot(f.x), v.Dot(f.y)}
}

func (f *plane2) lift(v Vec2) Vec3 { return f.o.Add(f.x.Mul(v.X)).Add(f.y.Mul(v.Y)) }

// look finds the faces that the solid has in a plane.
func (f *fusing) look(p HalfSpace) {
	fr := frameOf(p)
	var areas []area
	for i, l := range f.layers {
		if a, ok := f.area(l.Hull, p, &fr); ok {
			a.layer = i
			areas = append(areas, a)
		}
	}
	if len(areas) == 0 {
		return
	}
	up, down := sided{plane: p}, sided{plane: HalfSpace{p.N.Mul(-1), -p.D}}
	for _, s := range f.split(areas, &fr) {
		a, b := fr.flat(f.pts.at[s[0]]), fr.flat(f.pts.at[s[1]])
		l, r := f.state(areas, a, b)
		if l.up() != r.up() {
			up.add(s, l.up())
		}
		if l.down() != r.down() {
			down.add(s, !l.down())
		}
	}
	for _, s := range [2]sided{up, down} {
		if len(s.edges) > 0 {
			f.sides = append(f.sides, s)
		}
	}
}

// add takes in a side, forwards or backwards.
func (s *sided) add(e [2]int, forward bool) {
	if !forward {
		e[0], e[1] = e[1], e[0]
	}
	s.edges = append(s.edges, e)
}

// area gives what a hull has next to a plane.
func (f *fusing) area(h *Hull, p HalfSpace, fr *plane2) (a area, ok bool) {
	c, half := h.box.Centre(), h.box.Max.Sub(h.box.Min).Mul(0.5)
	reach := math.Abs(half.X*p.N.X) + math.Abs(half.Y*p.N.Y) + math.Abs(half.Z*p.N.Z) + same
	if math.Abs(c.Dot(p.N)-p.D) > reach {
		return a, false
	}
	off := make([]float64, len(h.Points))
	for i, v := range h.Points {
		off[i] = v.Dot(p.N) - p.D
		switch {
		case off[i] > same:
			a.above = true
		case off[i] < -same:
			a.below = true
		default:
			off[i] = 0
		}
	}
	if a.above && a.below { // cut through: every face that passes the plane gives a side
		next := map[int]int{}
		var first int
		for _, g := range h.Faces {
			in, out := -1, -1
			for k, i := range g {
				j := g[(k+1)%len(g)]
				switch {
				case off[i] <= 0 && off[j] > 0:
					in = f.cross(h, off, i, j)
				case off[i] > 0 && off[j] <= 0:
					out = f.cross(h, off, i, j)
				}
			}
			if in >= 0 && out >= 0 && in != out {
				next[out], first = in, out
			}
		}
		for i := first; len(a.ids) < len(next); {
			a.ids = append(a.ids, i)
			j, ok := next[i]
			if !ok || j == first {
				break
			}
			i = j
		}
	} else {
		for m, g := range h.Faces {
			all := true
			for _, i := range g {
				all = all && off[i] == 0
			}
			if !all || math.Abs(h.planes[m].N.Dot(p.N)) < 0.5 {
				continue
			}
			for _, i := range g {
				id := f.pts.id(h.Points[i])
				if n := len(a.ids); n == 0 || a.ids[n-1] != id {
					a.ids = append(a.ids, id)
				}
			}
			if a.above { // it looks down, and so runs the other way round
				slices.Reverse(a.ids)
			}
			break
		}
	}
	if n := len(a.ids); n > 1 && a.ids[0] == a.ids[n-1] {
		a.ids = a.ids[:n-1]
	}
	if len(a.ids) < 3 {
		return a, false
	}
	a.box = EmptyBox2()
	for _, i := range a.ids {
		q := fr.flat(f.pts.at[i])
		a.p = append(a.p, q)
		a.box = a.box.Extend(q)
	}
	return a, true
}

// cross gives the point in which a side of a hull passes the plane.
func (f *fusing) cross(h *Hull, off []float64, i, j int) int {
	if i > j { // alike for both faces
		i, j = j, i
	}
	switch {
	case off[i] == 0:
		return f.pts.id(h.Points[i])
	case off[j] == 0:
		return f.pts.id(h.Points[j])
	}
	return f.pts.id(h.Points[i].Add(h.Points[j].Sub(h.Points[i]).Mul(off[i] / (off[i] - off[j]))))
}

// split cuts the sides of areas where they meet, and gives every piece once.
func (f *fusing) split(areas []area, fr *plane2) (out [][2]int) {
	type line struct {
		ends [2]int
		a, b Vec2
		cuts []int
	}
	seen := map[[2]int]bool{}
	var lines []line
	var boxes []Box2
	for i := range areas {
		a := &areas[i]
		for k, v := range a.ids {
			w := a.ids[(k+1)%len(a.ids)]
			e := [2]int{min(v, w), max(v, w)}
			if v == w || seen[e] {
				continue
			}
			seen[e] = true
			p, q := fr.flat(f.pts.at[e[0]]), fr.flat(f.pts.at[e[1]])
			lines = append(lines, line{ends: e, a: p, b: q})
			boxes = append(boxes, EmptyBox2().Extend(p).Extend(q))
		}
	}
	for i, j := range Pairs(boxes, 2*same) {
		s, t := &lines[i], &lines[j]
		c, d := offLine(s.a, s.b, t.a), offLine(s.a, s.b, t.b)
		g, h := offLine(t.a, t.b, s.a), offLine(t.a, t.b, s.b)
		if min(c, d) > same || max(c, d) < -same || min(g, h) > same || max(g, h) < -same {
			continue
		}
		for _, e := range [2]struct {
			id  int
			p   Vec2
			off float64
		}{{t.ends[0], t.a, c}, {t.ends[1], t.b, d}} {
			if math.Abs(e.off) <= same && within(s.a, s.b, e.p) {
				s.cuts = append(s.cuts, e.id)
			}
		}
		for _, e := range [2]struct {
			id  int
			p   Vec2
			off float64
		}{{s.ends[0], s.a, g}, {s.ends[1], s.b, h}} {
			if math.Abs(e.off) <= same && within(t.a, t.b, e.p) {
				t.cuts = append(t.cuts, e.id)
			}
		}
		if c*d < 0 && g*h < 0 && min(math.Abs(c), math.Abs(d), math.Abs(g), math.Abs(h)) > same {
			id := f.pts.id(fr.lift(t.a.Add(t.b.Sub(t.a).Mul(c / (c - d)))))
			s.cuts, t.cuts = append(s.cuts, id), append(t.cuts, id)
		}
	}
	clear(seen)
	for i := range lines {
		l := &lines[i]
		d := l.b.Sub(l.a)
		ids := append([]int{l.ends[0]}, l.cuts...)
		ids = append(ids, l.ends[1])
		slices.SortStableFunc(ids, func(i, j int) int {
			return cmp.Compare(fr.flat(f.pts.at[i]).Sub(l.a).Dot(d), fr.flat(f.pts.at[j]).Sub(l.a).Dot(d))
		})
		ids = slices.Compact(ids)
		for k := 1; k < len(ids); k++ {
			e := [2]int{min(ids[k-1], ids[k]), max(ids[k-1], ids[k])}
			if !seen[e] {
				seen[e] = true
				out = append(out, e)
			}
		}
	}
	return out
}

// offLine gives how far c lies to the left of the line from a to b.
func offLine(a, b, c Vec2) float64 { return b.Sub(a).Unit().Cross(c.Sub(a)) }

// within reports whether p, which lies on the line through a and b, lies between them.
func within(a, b, p Vec2) bool {
	d := b.Sub(a)
	s, l := p.Sub(a).Dot(d), d.Dot(d)
	return s > 0 && s < l
}

// state is whether there is solid just below and just above a place in a plane.
type state struct{ below, above bool }

func (s state) up() bool   { return s.below && !s.above }
func (s state) down() bool { return s.above && !s.below }

// state looks to the left and to the right of the side from a to b: the last layer that is there decides.
func (f *fusing) state(areas []area, a, b Vec2) (left, right state) {
	m, d := a.Add(b).Mul(0.5), b.Sub(a)
	var known [4]bool
	for i := len(areas) - 1; i >= 0 && known != [4]bool{true, true, true, true}; i-- {
		r := &areas[i]
		if !r.box.Grow(2 * same).Overlaps(Box2{m, m}) {
			continue
		}
		inL, inR := r.beside(m, d)
		fill := !f.layers[r.layer].Cut
		for k, c := range [4]struct {
			on bool
			v  *bool
		}{{inL && r.below, &left.below}, {inL && r.above, &left.above}, {inR && r.below, &right.below}, {inR && r.above, &right.above}} {
			if c.on && !known[k] {
				known[k] = true
				*c.v = fill
			}
		}
	}
	return left, right
}

// beside reports whether the area lies to the left and to the right of the point m on a line of direction d.
func (a *area) beside(m, d Vec2) (left, right bool) {
	left, right = true, true
	near := math.Inf(1)
	for k, p := range a.p {
		q := a.p[(k+1)%len(a.p)]
		side := q.Sub(p)
		s := offLine(p, q, m)
		along := side.Dot(d)
		if math.Abs(along) < 0.7*side.Len()*d.Len() { // past it, not along it
			if s < 0 {
				return false, false
			}
			continue
		}
		if s < -same {
			return false, false
		}
		if s <= same && math.Abs(s) < near {
			near = math.Abs(s)
			left = along > 0
			right = !left
		}
	}
	return left, right
}
