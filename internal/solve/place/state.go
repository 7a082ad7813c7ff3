package place

import (
	"math"

	"knobwright/internal/geom"
)

// state is a placement with what is known of it.
type state struct {
	at    []geom.Vec2
	form  []int
	pos   [][]geom.Vec2 // of each item's bodies
	boxes []geom.Box2   // round those
	mid   []geom.Vec2   // mean of those
	ends  []geom.Box2   // round the leading bodies as they meet the eye
	lead  []geom.Vec2   // mean of those that follow as they are
	pair  []cost        // by two items
	stat  []cost        // by item: its own bodies, what stays, the sides
	sum   cost
	lines sorted
	undo  []kept
}

// kept is what a change of one item puts aside.
type kept struct {
	i    int
	at   geom.Vec2
	form int
	row  []cost
	stat cost
}

func (c *compiled) blank() *state {
	s := &state{
		at: make([]geom.Vec2, c.n), form: make([]int, c.n), pos: make([][]geom.Vec2, c.n), boxes: make([]geom.Box2, c.n),
		mid: make([]geom.Vec2, c.n), ends: make([]geom.Box2, c.n), lead: make([]geom.Vec2, c.n), pair: make([]cost, c.n*c.n), stat: make([]cost, c.n),
	}
	for i := range c.Items {
		s.pos[i] = make([]geom.Vec2, len(c.Items[i].Forms[0]))
	}
	return s
}

// starting is the placement as it is; fresh items stand in the middle.
func (c *compiled) starting() *state {
	s := c.blank()
	for i := range c.Items {
		s.at[i] = c.Items[i].Start
		if c.Items[i].Fresh {
			s.at[i] = c.snap(i, c.box[i][0].Centre())
		}
	}
	c.fill(s)
	return s
}

// fill works out all that is kept of a placement.
func (c *compiled) fill(s *state) {
	s.sum = cost{}
	for i := range c.Items {
		c.settle(s, i)
	}
	for i := range c.Items {
		s.stat[i] = c.alone(s, i)
		s.sum.add(s.stat[i])
		for j := range i {
			p := c.both(s, i, j)
			s.pair[i*c.n+j], s.pair[j*c.n+i] = p, p
			s.sum.add(p)
		}
	}
	s.undo = s.undo[:0]
}

// settle puts the bodies of an item where its point says.
func (c *compiled) settle(s *state, i int) {
	f := c.Items[i].Forms[s.form[i]]
	b, ends := geom.EmptyBox2(), geom.EmptyBox2()
	var mid, lead geom.Vec2
	leads := 0
	for j := range f {
		p := f[j].At.Add(f[j].Follow.Apply(s.at[i]))
		s.pos[i][j] = p
		b = b.Extend(p)
		mid = mid.Add(p)
		if f[j].Follow == Same {
			lead = lead.Add(p)
			leads++
			e := &c.ext[f[j].Kind]
			ends.Min.X, ends.Min.Y = min(ends.Min.X, p.X+e.Min.X), min(ends.Min.Y, p.Y+e.Min.Y)
			ends.Max.X, ends.Max.Y = max(ends.Max.X, p.X+e.Max.X), max(ends.Max.Y, p.Y+e.Max.Y)
		}
	}
	s.boxes[i], s.ends[i], s.mid[i] = b, ends, mid.Mul(1/float64(len(f)))
	s.lead[i] = s.mid[i]
	if leads > 0 {
		s.lead[i] = lead.Mul(1 / float64(leads))
	}
}

// both is what is between two items.
func (c *compiled) both(s *state, i, j int) (out cost) {
	a, b := &s.boxes[i], &s.boxes[j]
	if a.Min.X > b.Max.X+c.reach || b.Min.X > a.Max.X+c.reach || a.Min.Y > b.Max.Y+c.reach || b.Min.Y > a.Max.Y+c.reach {
		return out
	}
	f, g := c.Items[i].Forms[s.form[i]], c.Items[j].Forms[s.form[j]]
	c.work += int64(len(f) * len(g))
	for x := range f {
		p := s.pos[i][x]
		for y := range g {
			q := s.pos[j][y]
			d := q.Sub(p)
			if d.X > c.reach || d.X < -c.reach || d.Y > c.reach || d.Y < -c.reach {
				continue
			}
			out.count(c.between(&f[x], &g[y]).meets(d))
		}
	}
	return out
}

// alone is what is between an item and all that stays.
func (c *compiled) alone(s *state, i int) cost {
	v := s.form[i]
	out := c.own[i][v]
	f := c.Items[i].Forms[v]
	p := s.at[i]
	for k := range c.sides[i][v] {
		d := &c.sides[i][v][k]
		over := p.X*d.N.X + p.Y*d.N.Y
		if over > d.Good+tol {
			out.count(over-d.Good, max(over-d.Least-tol, 0), min((over-d.Good)/20, 1))
		}
	}
	for _, k := range c.self[i][v] {
		out.count(c.between(&f[k[0]], &f[k[1]]).meets(s.pos[i][k[1]].Sub(s.pos[i][k[0]])))
	}
	c.work += int64(len(f) * len(c.Stay))
	for x := range f {
		q := s.pos[i][x]
		for y := range c.Stay {
			d := c.Stay[y].At.Sub(q)
			out.count(c.between(&f[x], &c.Stay[y]).meets(d))
		}
	}
	return out
}

// set moves an item; what it puts aside can be brought back.
func (c *compiled) set(s *state, i int, at geom.Vec2, form int) {
	k := kept{i: i, at: s.at[i], form: s.form[i], stat: s.stat[i]}
	if n := len(s.undo); n < cap(s.undo) {
		k.row = s.undo[:n+1][n].row // its room is used again
	}
	row := s.pair[i*c.n : (i+1)*c.n]
	k.row = append(k.row[:0], row...)
	s.undo = append(s.undo, k)
	s.at[i], s.form[i] = at, form
	c.settle(s, i)
	s.sum.sub(s.stat[i])
	s.stat[i] = c.alone(s, i)
	s.sum.add(s.stat[i])
	for j := range row {
		if j == i {
			continue
		}
		p := c.both(s, i, j)
		if p != row[j] {
			s.sum.sub(row[j])
			s.sum.add(p)
			row[j], s.pair[j*c.n+i] = p, p
		}
	}
	c.work += int64(c.n)
}

// keep makes the changes so far stand.
func (s *state) keep() { s.undo = s.undo[:0] }

// back takes all changes back that were made since keep.
func (c *compiled) back(s *state) {
	for n := len(s.undo) - 1; n >= 0; n-- {
		k := &s.undo[n]
		i := k.i
		s.at[i], s.form[i] = k.at, k.form
		c.settle(s, i)
		s.sum.sub(s.stat[i])
		s.stat[i] = k.stat
		s.sum.add(s.stat[i])
		for j, p := range k.row {
			if j != i && s.pair[i*c.n+j] != p {
				s.sum.sub(s.pair[i*c.n+j])
				s.sum.add(p)
				s.pair[i*c.n+j], s.pair[j*c.n+i] = p, p
			}
		}
	}
	s.undo = s.undo[:0]
}

// snap puts a point on the grain and as near as that allows into where the item may be.
func (c *compiled) snap(i int, p geom.Vec2) geom.Vec2 {
	b := c.box[i][0]
	g := c.Grain
	to := func(v, lo, hi float64) float64 {
		v = math.Round(min(max(v, lo), hi)/g) * g
		if v < lo-tol {
			v += g
		}
		if v > hi+tol {
			v -= g
		}
		return v
	}
	return geom.Vec2{X: to(p.X, b.Min.X, b.Max.X), Y: to(p.Y, b.Min.Y, b.Max.Y)}
}
