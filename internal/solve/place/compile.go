package place

import (
	"fmt"
	"math"

	"knobwright/internal/geom"
)

// compiled is a problem made ready for many looks.
type compiled struct {
	*Problem
	n      int
	pairs  [2][]*zones      // by within or apart, and two kinds
	ext    []geom.Box2      // of each kind: round its pieces of the first layer, or round all of them
	sides  [][][]Side       // by item and form: where its point may be
	poly   [][][]geom.Vec2  // by item and form: the corners of that
	box    [][]geom.Box2    // round those
	self   [][][][2]int     // by item and form: bodies whose way to each other changes as the item moves
	own    [][]cost         // by item and form: what is between its bodies wherever it stands
	reach  float64          // two bodies farther apart than this have nothing to do with each other
	like   [][]int          // items by likeness
	team   [][]int          // items by team
	off    [][][2][]float64 // by item and form: how far its leading bodies stand from its point, across and up, each once
	many   []int            // items of several bodies
	rows   []chain          // what is asked to stand in one line, three and more
	bodies float64          // of all items
	inRow  []bool           // items of those
	least  []float64        // by team: half of the perimeter that its members may take
	work   int64
}

// cost is what is between two things.
type cost struct {
	trouble float64 // 1 to 2 for every pair or side below the good room
	lack    float64 // mm below the least room
	hard    int32
	soft    int32
}

func (c *cost) add(d cost) {
	c.trouble += d.trouble
	c.lack += d.lack
	c.hard += d.hard
	c.soft += d.soft
}

func (c *cost) sub(d cost) {
	c.trouble -= d.trouble
	c.lack -= d.lack
	c.hard -= d.hard
	c.soft -= d.soft
}

func (c *cost) count(lack, hard, part float64) {
	if lack <= 0 {
		return
	}
	c.trouble += 1 + part
	c.soft++
	if hard > 0 {
		c.hard++
		c.lack += hard
	}
}

// mostItems is how many items there may be.
const mostItems = 1000

// compile checks a problem and makes it ready.
func compile(p *Problem) (*compiled, error) {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("%w: %s", ErrProblem, fmt.Sprintf(format, a...))
	}
	if len(p.Items) > mostItems {
		return nil, bad("%d items, more than %d", len(p.Items), mostItems)
	}
	if !(p.Grain > 0) {
		return nil, bad("the grain is not above 0")
	}
	classes := len(p.Apart)
	if len(p.Within) != classes || len(p.Sides) != classes {
		return nil, bad("classes are not counted alike")
	}
	for _, k := range p.Kinds {
		for _, x := range k {
			if x.Class < 0 || x.Class >= classes || len(x.Core) == 0 || x.R < 0 {
				return nil, bad("a piece of class %d with %d corners and radius %v", x.Class, len(x.Core), x.R)
			}
		}
	}
	bodies := func(bs []Body) error {
		for _, b := range bs {
			if b.Kind < 0 || b.Kind >= len(p.Kinds) {
				return bad("kind %d of %d", b.Kind, len(p.Kinds))
			}
		}
		return nil
	}
	if err := bodies(p.Stay); err != nil {
		return nil, err
	}
	for i := range p.Items {
		x := &p.Items[i]
		if len(x.Forms) == 0 || len(x.Forms[0]) == 0 || !(x.Mass > 0) {
			return nil, bad("item %s has no body or no mass", x.Name)
		}
		for _, f := range x.Forms {
			if err := bodies(f); err != nil {
				return nil, err
			}
			if len(f) != len(x.Forms[0]) {
				return nil, bad("the forms of item %s differ in number", x.Name)
			}
		}
	}
	for _, o := range p.Orders {
		if o.A < 0 || o.B < 0 || o.A >= len(p.Items) || o.B >= len(p.Items) {
			return nil, bad("an order of items %d and %d", o.A, o.B)
		}
	}
	c := &compiled{Problem: p, n: len(p.Items)}
	c.pairs[0], c.pairs[1] = make([]*zones, len(p.Kinds)*len(p.Kinds)), make([]*zones, len(p.Kinds)*len(p.Kinds))
	c.extents()
	c.places()
	c.inner()
	c.sets()
	c.levels()
	c.chain()
	return c, nil
}

// extents works out the boxes round kinds.
func (c *compiled) extents() {
	c.ext = make([]geom.Box2, len(c.Kinds))
	for i, k := range c.Kinds {
		front, all := geom.EmptyBox2(), geom.EmptyBox2()
		for _, x := range k {
			b := geom.EmptyBox2()
			for _, v := range x.Core {
				b = b.Extend(v)
			}
			b = b.Grow(x.R)
			all = all.Union(b)
			if len(c.Layers) > 0 && c.Layers[0].Class[x.Class] {
				front = front.Union(b)
			}
		}
		if front.Min.X > front.Max.X {
			front = all
		}
		if front.Min.X > front.Max.X {
			front = geom.Box2{}
		}
		c.ext[i] = front
	}
}

// support is how far a piece reaches along a direction of length 1.
func support(x *Piece, n geom.Vec2) float64 {
	far := math.Inf(-1)
	for _, v := range x.Core {
		far = max(far, v.Dot(n))
	}
	return far + x.R
}

// places works out where each item's point may be: the sides of all pieces of all bodies, as sides of the point.
func (c *compiled) places() {
	c.sides, c.poly, c.box = make([][][]Side, c.n), make([][][]geom.Vec2, c.n), make([][]geom.Box2, c.n)
	for i := range c.Items {
		for _, f := range c.Items[i].Forms {
			var all []Side
			for _, b := range f {
				for j := range c.Kinds[b.Kind] {
					x := &c.Kinds[b.Kind][j]
					for _, s := range c.Sides[x.Class] {
						n := b.Follow.back(s.N)
						l := n.Len()
						if l < 1e-9 {
							continue // the side does not change with the point
						}
						off := support(x, s.N) + b.At.Dot(s.N)
						all = add(all, Side{n.Mul(1 / l), (s.Good - off) / l, (s.Least - off) / l})
					}
				}
			}
			frame := c.Frame.Grow(c.Frame.Size().Len())
			good, least := clip(frame, all, false), clip(frame, all, true)
			c.sides[i], c.poly[i] = append(c.sides[i], needed(all, good, least)), append(c.poly[i], least)
			b := geom.EmptyBox2()
			for _, v := range least {
				b = b.Extend(v)
			}
			if len(least) == 0 {
				m := c.Frame.Centre()
				b = geom.Box2{Min: m, Max: m}
			}
			c.box[i] = append(c.box[i], b)
		}
	}
}

// add joins a side to others; of the same direction the nearest counts.
func add(all []Side, s Side) []Side {
	for i := range all {
		if math.Abs(all[i].N.X-s.N.X) < 1e-9 && math.Abs(all[i].N.Y-s.N.Y) < 1e-9 {
			all[i].Good, all[i].Least = min(all[i].Good, s.Good), min(all[i].Least, s.Least)
			return all
		}
	}
	return append(all, s)
}

// clip cuts a box down to what keeps inside all sides.
func clip(b geom.Box2, all []Side, least bool) []geom.Vec2 {
	ps := []geom.Vec2{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
	for _, s := range all {
		d := s.Good
		if least {
			d = s.Least
		}
		if math.IsInf(d, 1) {
			continue
		}
		var out []geom.Vec2
		for i, p := range ps {
			q := ps[(i+1)%len(ps)]
			hp, hq := p.Dot(s.N)-d, q.Dot(s.N)-d
			if hp <= tol {
				out = append(out, p)
			}
			if (hp <= tol) != (hq <= tol) {
				out = append(out, p.Add(q.Sub(p).Mul(hp/(hp-hq))))
			}
		}
		if ps = out; len(ps) == 0 {
			return nil
		}
	}
	return ps
}

// needed leaves out sides that no corner of the polygons lies at: others keep the point away from them.
func needed(all []Side, good, least []geom.Vec2) []Side {
	if len(good) == 0 || len(least) == 0 {
		return all
	}
	var out []Side
	for _, s := range all {
		at := false
		for _, p := range good {
			at = at || p.Dot(s.N) > s.Good-1e-3
		}
		for _, p := range least {
			at = at || p.Dot(s.N) > s.Least-1e-3
		}
		if at {
			out = append(out, s)
		}
	}
	return out
}

// between gives the zones of two kinds.
func (c *compiled) between(a, b *Body) *zones {
	w, rooms := 0, c.Apart
	if a.Group != 0 && a.Group == b.Group {
		w, rooms = 1, c.Within
	}
	n := a.Kind*len(c.Kinds) + b.Kind
	z := c.pairs[w][n]
	if z == nil {
		z = zonesOf(c.Kinds[a.Kind], c.Kinds[b.Kind], rooms)
		c.pairs[w][n] = z
	}
	return z
}

// inner sorts the pairs of bodies of each item into those that never change and those that do.
func (c *compiled) inner() {
	c.self, c.own = make([][][][2]int, c.n), make([][]cost, c.n)
	for i := range c.Items {
		for _, f := range c.Items[i].Forms {
			var change [][2]int
			var own cost
			for j := range f {
				for k := range j {
					if f[j].Follow != f[k].Follow {
						change = append(change, [2]int{k, j})
						continue
					}
					own.count(c.between(&f[k], &f[j]).meets(f[j].At.Sub(f[k].At)))
				}
			}
			own.hard, own.lack = 0, 0 // nothing can be done about them: they do not make a placement worse
			c.self[i], c.own[i] = append(c.self[i], change), append(c.own[i], own)
		}
	}
	// two bodies of items farther apart than the widest kind twice and the widest room
	used, wide, room := map[int]bool{}, 0.0, 0.0
	for i := range c.Items {
		for _, f := range c.Items[i].Forms {
			for _, b := range f {
				used[b.Kind] = true
			}
		}
	}
	for k := range used {
		for _, x := range c.Kinds[k] {
			for _, v := range x.Core {
				wide = max(wide, v.Len()+x.R)
			}
			for d := range c.Apart[x.Class] {
				room = max(room, c.Apart[x.Class][d].Good, c.Within[x.Class][d].Good)
			}
		}
	}
	c.reach = 2*wide + room
}

// sets gathers items by likeness and by team.
func (c *compiled) sets() {
	like, team := map[int]int{}, map[int]int{}
	gather := func(by map[int]int, out *[][]int, key, i int) {
		if key == 0 {
			return
		}
		n, ok := by[key]
		if !ok {
			n = len(*out)
			by[key] = n
			*out = append(*out, nil)
		}
		(*out)[n] = append((*out)[n], i)
	}
	for i := range c.Items {
		c.bodies += float64(len(c.Items[i].Forms[0]))
		if len(c.Items[i].Forms[0]) > 1 {
			c.many = append(c.many, i)
		}
		gather(like, &c.like, c.Items[i].Like, i)
		gather(team, &c.team, c.Items[i].Team, i)
	}
	for _, t := range c.team {
		area := 0.0
		for _, i := range t {
			b := geom.EmptyBox2()
			for _, x := range c.Items[i].Forms[0] {
				e := c.ext[x.Kind]
				b = b.Extend(e.Min.Add(x.At)).Extend(e.Max.Add(x.At))
			}
			z := b.Size()
			area += z.X * z.Y
		}
		c.least = append(c.least, 4*math.Sqrt(area)) // side by side with gaps as wide as they are themselves
	}
}
