package solid

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
)

// triangulate divides an area into triangles by its corners alone. ends[i] is where loop i ends in ps: the first loop runs
// round the area counter-clockwise, the others round its holes clockwise; loops must not touch. The triangles are
// counter-clockwise, and every side of a loop is a side of exactly one of them.
//
// Holes are joined to the rim by bridges, then ears are cut off one by one, and slim triangles fattened. All questions of side are answered exactly, so that
// no slim ear is misjudged.
func triangulate(ps []geom.Vec2, ends []int) ([][3]int, error) {
	if len(ends) == 0 || ends[0] < 3 {
		return nil, ErrMesh
	}
	c := &clipper{ps: ps}
	var holes []int
	from := 0
	for i, end := range ends {
		if end-from < 3 {
			return nil, ErrMesh
		}
		first := len(c.nodes)
		for k := from; k < end; k++ {
			n := k - from
			c.nodes = append(c.nodes, node{
				id: k, prev: first + (n+end-from-1)%(end-from), next: first + (n+1)%(end-from),
			})
		}
		if i > 0 {
			left := first
			for k := first; k < len(c.nodes); k++ {
				p, q := c.at(k), c.at(left)
				if p.X < q.X || p.X == q.X && p.Y < q.Y {
					left = k
				}
			}
			holes = append(holes, left)
		}
		from = end
	}
	slices.SortFunc(holes, func(i, j int) int {
		p, q := c.at(i), c.at(j)
		return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y))
	})
	for k, h := range holes {
		if !c.bridge(h, holes[k+1:]) {
			return nil, ErrMesh
		}
	}
	ts, err := c.ears()
	if err == nil {
		fatten(ps, ts)
	}
	return ts, err
}

// node is a place on the rim. Bridges pass a corner more than once, each time by a node of its own.
type node struct {
	id         int
	prev, next int
	reflex     bool
	gone       bool
	tried      int // the last bridge that was tried here
}

type clipper struct {
	ps    []geom.Vec2
	nodes []node
	out   [][3]int
	// the reflex nodes in a grid of cells
	grid       [][]int
	lo         geom.Vec2
	size       float64
	cols, rows int
	reflexes   []int
	bridges    int
}

func (c *clipper) at(n int) geom.Vec2 { return c.ps[c.nodes[n].id] }

// opens reports whether the way from node n to q starts into the area.
func (c *clipper) opens(n int, q geom.Vec2) bool {
	a, p, b := c.at(c.nodes[n].prev), c.at(n), c.at(c.nodes[n].next)
	first, last := turn(p, b, q) > 0, turn(a, p, q) > 0
	if turn(a, p, b) > 0 {
		return first && last
	}
	return first || last
}

// bridge joins the hole with leftmost node h to the rim, which starts at node 0, by the nearest node from which h can be seen. rest are the
// holes still to come: they lie further right, so that what h sees to its left is the rim.
func (c *clipper) bridge(h int, rest []int) bool {
	c.bridges++
	m := c.at(h)
	loops := append([]int{0, h}, rest...)
	for {
		best, near := -1, math.Inf(1)
		for n := 0; ; {
			if d := c.at(n).Sub(m); c.nodes[n].tried != c.bridges && d.Dot(d) < near {
				best, near = n, d.Dot(d)
			}
			if n = c.nodes[n].next; n == 0 {
				break
			}
		}
		if best < 0 {
			return false
		}
		c.nodes[best].tried = c.bridges
		if c.opens(best, m) && c.opens(h, c.at(best)) && c.sees(m, c.at(best), loops) {
			// best -> h -> round the hole -> h again -> best again -> on
			h2, b2 := len(c.nodes), len(c.nodes)+1
			c.nodes = append(c.nodes, c.nodes[h], c.nodes[best])
			c.nodes[c.nodes[h].prev].next = h2
			c.nodes[c.nodes[best].next].prev = b2
			c.nodes[h2].next, c.nodes[b2].prev = b2, h2
			c.nodes[best].next, c.nodes[h].prev = h, best
			return true
		}
	}
}

// sees reports whether nothing lies between p and q.
func (c *clipper) sees(p, q geom.Vec2, loops []int) bool {
	lo := geom.Vec2{X: min(p.X, q.X), Y: min(p.Y, q.Y)}
	hi := geom.Vec2{X: max(p.X, q.X), Y: max(p.Y, q.Y)}
	for _, l := range loops {
		for n := l; ; {
			a, b := c.at(n), c.at(c.nodes[n].next)
			if max(a.X, b.X) >= lo.X && min(a.X, b.X) <= hi.X && max(a.Y, b.Y) >= lo.Y && min(a.Y, b.Y) <= hi.Y {
				ends := 0
				for _, e := range [2]geom.Vec2{a, b} {
					if e == p || e == q {
						ends++
					} else if turn(p, q, e) == 0 && onChord(p, q, e) {
						return false
					}
				}
				if ends == 0 && crossing(a, b, p, q) {
					return false
				}
			}
			if n = c.nodes[n].next; n == l {
				break
			}
		}
	}
	return true
}

// ears cuts the rim down.
func (c *clipper) ears() ([][3]int, error) {
	left := 0
	for n := 0; ; {
		left++
		if n = c.nodes[n].next; n == 0 {
			break
		}
	}
	c.out = make([][3]int, 0, left-2)
	c.sow()
	b, missed := 0, 0
	for left > 3 {
		a, d := c.nodes[b].prev, c.nodes[b].next
		if missed > left {
			return nil, ErrMesh
		}
		if !c.ear(a, b, d) {
			b = d
			missed++
			continue
		}
		missed = 0
		left--
		c.emit(a, b, d)
		c.nodes[a].next, c.nodes[d].prev = d, a
		c.nodes[b].gone = true
		c.judge(a)
		c.judge(d)
		b = c.nodes[d].next // leaving one out keeps the triangles from fanning out of one corner
	}
	a, d := c.nodes[b].prev, c.nodes[b].next
	if turn(c.at(a), c.at(b), c.at(d)) <= 0 {
		return nil, ErrMesh
	}
	c.emit(a, b, d)
	return c.out, nil
}

func (c *clipper) emit(a, b, d int) {
	c.out = append(c.out, [3]int{c.nodes[a].id, c.nodes[b].id, c.nodes[d].id})
}

func (c *clipper) judge(n int) {
	c.nodes[n].reflex = turn(c.at(c.nodes[n].prev), c.at(n), c.at(c.nodes[n].next)) <= 0
}

// sow finds the nodes where the rim does not turn left, which alone can stand in an ear's way, and spreads them over a grid. Corners only
// get less reflex as ears go.
func (c *clipper) sow() {
	box := geom.EmptyBox2()
	for n := 0; ; {
		c.judge(n)
		if c.nodes[n].reflex {
			c.reflexes = append(c.reflexes, n)
			box = box.Extend(c.at(n))
		}
		if n = c.nodes[n].next; n == 0 {
			break
		}
	}
	if len(c.reflexes) < 32 {
		return
	}
	s := box.Size()
	c.lo = box.Min
	c.size = max(math.Sqrt(s.X*s.Y/float64(len(c.reflexes))), max(s.X, s.Y)/256)
	if !(c.size > 0) {
		return
	}
	c.cols, c.rows = int(s.X/c.size)+1, int(s.Y/c.size)+1
	c.grid = make([][]int, c.cols*c.rows)
	for _, n := range c.reflexes {
		x, y := c.cell(c.at(n))
		c.grid[y*c.cols+x] = append(c.grid[y*c.cols+x], n)
	}
}

func (c *clipper) cell(p geom.Vec2) (x, y int) {
	x = int(max(0, min(float64(c.cols-1), (p.X-c.lo.X)/c.size)))
	y = int(max(0, min(float64(c.rows-1), (p.Y-c.lo.Y)/c.size)))
	return x, y
}

// ear reports whether the triangle of three nodes in a row can be cut off.
func (c *clipper) ear(na, nb, nd int) bool {
	a, b, d := c.at(na), c.at(nb), c.at(nd)
	if turn(a, b, d) <= 0 || !c.opens(na, d) || !c.opens(nd, a) {
		return false
	}
	lo := geom.Vec2{X: min(a.X, b.X, d.X), Y: min(a.Y, b.Y, d.Y)}
	hi := geom.Vec2{X: max(a.X, b.X, d.X), Y: max(a.Y, b.Y, d.Y)}
	blocked := func(ns []int) bool {
		for _, n := range ns {
			if c.nodes[n].gone || !c.nodes[n].reflex {
				continue
			}
			p := c.at(n)
			if p.X < lo.X || p.X > hi.X || p.Y < lo.Y || p.Y > hi.Y || p == a || p == b || p == d {
				continue
			}
			if inTriangle(a, b, d, p) {
				return true
			}
		}
		return false
	}
	if c.grid == nil {
		return !blocked(c.reflexes)
	}
	x0, y0 := c.cell(lo)
	x1, y1 := c.cell(hi)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if blocked(c.grid[y*c.cols+x]) {
				return false
			}
		}
	}
	return true
}
