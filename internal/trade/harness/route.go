package harness

import (
	"math"

	"knobwright/internal/geom"
)

// tree is the cheapest way from cells of a grid to a root, in one layer.
type tree struct {
	g     *grid
	layer int
	root  int
	cost  []float64
	next  []int32 // towards the root; -1 at the root and where no way leads
}

// grow finds the cheapest ways from some cells to a root. Cells that are not asked for may stay without one.
func (g *grid) grow(root, layer int, from []int) *tree {
	n := len(g.low)
	t := &tree{g: g, layer: layer, root: root, cost: make([]float64, n), next: make([]int32, n)}
	for i := range t.cost {
		t.cost[i], t.next[i] = math.Inf(1), -1
	}
	wanted := make([]bool, n)
	left := 0
	for _, c := range from {
		if !wanted[c] {
			wanted[c] = true
			left++
		}
	}
	t.cost[root] = 0
	q := heap{{0, int32(root)}}
	done := make([]bool, n)
	for len(q) > 0 && left > 0 {
		_, i := q.pop()
		if done[i] {
			continue
		}
		done[i] = true
		if wanted[i] {
			left--
		}
		g.spread(i, layer, t.cost[i], done, func(j int, c float64) {
			if c < t.cost[j]-1e-9 {
				t.cost[j], t.next[j] = c, int32(i)
				q.push(c, j)
			}
		})
	}
	return t
}

// spread calls for every neighbour that can be reached with the cost so far. A millimetre costs more over bodies, and less where a
// bundle runs already.
func (g *grid) spread(i, layer int, cost float64, done []bool, call func(j int, c float64)) {
	x, y := i%g.w, i/g.w
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if dx == 0 && dy == 0 || x+dx < 0 || y+dy < 0 || x+dx >= g.w || y+dy >= g.h {
				continue
			}
			j := i + dy*g.w + dx
			if done[j] {
				continue
			}
			_, rise, slant, ok := g.hop(i, j, layer)
			if !ok {
				continue
			}
			length := g.step
			if dx != 0 && dy != 0 {
				length *= math.Sqrt2
			}
			if slant {
				length = math.Sqrt(length*length + rise*rise)
			} else {
				length += rise
			}
			if layer == onSheet {
				length *= (g.pay[i] + g.pay[j]) / 2 * (1 - (1-alongTrunk)*min(1, min(g.flow[i], g.flow[j])/6))
			}
			call(j, cost+length)
		}
	}
}

// path gives the cells from one to the root, both included; nil when no way leads there.
func (t *tree) path(from int) []int {
	if math.IsInf(t.cost[from], 1) {
		return nil
	}
	out := []int{from}
	for t.next[out[len(out)-1]] >= 0 {
		out = append(out, int(t.next[out[len(out)-1]]))
	}
	return out
}

// search is what between works with, kept from one call to the next.
type search struct {
	cost  []float64
	prev  []int32
	stamp []int32
	now   int32
	done  []bool
	q     heap
}

// between finds the cheapest way from cell a to cell b; nil when there is none.
func (g *grid) between(s *search, a, b, layer int) []int {
	if a == b {
		return []int{a}
	}
	if n := len(g.low); len(s.cost) < n {
		*s = search{cost: make([]float64, n), prev: make([]int32, n), stamp: make([]int32, n), done: make([]bool, n)}
	}
	s.now++
	bx, by := b%g.w, b/g.w
	most := 1.0
	if layer == onSheet {
		most = alongTrunk
	}
	least := func(i int) float64 {
		dx, dy := math.Abs(float64(i%g.w-bx)), math.Abs(float64(i/g.w-by))
		return most * g.step * (max(dx, dy) + (math.Sqrt2-1)*min(dx, dy))
	}
	seen := func(i int) bool { return s.stamp[i] == s.now }
	s.cost[a], s.prev[a], s.stamp[a] = 0, -1, s.now
	s.q = append(s.q[:0], entry{least(a), int32(a)})
	clear(s.done[:len(g.low)])
	done := s.done
	for len(s.q) > 0 {
		_, i := s.q.pop()
		if i == b {
			break
		}
		if done[i] {
			continue
		}
		done[i] = true
		g.spread(i, layer, s.cost[i], done, func(j int, c float64) {
			if !seen(j) || c < s.cost[j]-1e-9 {
				s.cost[j], s.prev[j], s.stamp[j] = c, int32(i), s.now
				s.q.push(c+least(j), j)
			}
		})
	}
	if !seen(b) {
		return nil
	}
	n := 1
	for i := b; s.prev[i] >= 0; i = int(s.prev[i]) {
		n++
	}
	out := make([]int, n)
	for i := b; n > 0; i = int(s.prev[i]) {
		n--
		out[n] = i
	}
	return out
}

// points gives the polyline of a way in the box frame, cell by cell: straight on, or up and down where something stands between.
func (g *grid) points(cells []int, layer int) []geom.Vec3 {
	out := make([]geom.Vec3, 0, len(cells)+8)
	for k, i := range cells {
		if k > 0 {
			j := cells[k-1]
			if d, _, slant, ok := g.hop(j, i, layer); ok && !slant {
				out = append(out, g.point(g.middle(j), d), g.point(g.middle(i), d))
			}
		}
		out = append(out, g.at(i, layer))
	}
	return out
}

// plainer joins straight runs and leaves out points that are met twice.
func plainer(ps []geom.Vec3) []geom.Vec3 {
	var out []geom.Vec3
	for _, p := range ps {
		n := len(out)
		if n > 0 && out[n-1].Sub(p).Len() < 1e-6 {
			continue
		}
		if n >= 2 && straight(out[n-2], out[n-1], p) {
			out[n-1] = p
			continue
		}
		out = append(out, p)
	}
	if n := len(out); n > 1 {
		out[n-1] = ps[len(ps)-1]
	}
	return out
}

func straight(a, b, c geom.Vec3) bool {
	u, v := b.Sub(a), c.Sub(b)
	return u.Cross(v).Len() < 1e-6*max(1, u.Len()*v.Len()) && u.Dot(v) > 0
}

// run is the length of a polyline.
func run(ps []geom.Vec3) float64 {
	s := 0.0
	for i := 1; i < len(ps); i++ {
		s += ps[i].Sub(ps[i-1]).Len()
	}
	return s
}

// heap is a queue of cells by cost, then by number.
type heap []entry

type entry struct {
	cost float64
	cell int32
}

func (a entry) before(b entry) bool {
	return a.cost < b.cost || a.cost == b.cost && a.cell < b.cell
}

func (h *heap) push(c float64, i int) {
	q := append(*h, entry{c, int32(i)})
	for k := len(q) - 1; k > 0; {
		up := (k - 1) / 2
		if !q[k].before(q[up]) {
			break
		}
		q[k], q[up] = q[up], q[k]
		k = up
	}
	*h = q
}

func (h *heap) pop() (float64, int) {
	q := *h
	top, last := q[0], len(q)-1
	q[0] = q[last]
	q = q[:last]
	for k := 0; ; {
		l := 2*k + 1
		if l >= len(q) {
			break
		}
		if l+1 < len(q) && q[l+1].before(q[l]) {
			l++
		}
		if !q[l].before(q[k]) {
			break
		}
		q[k], q[l] = q[l], q[k]
		k = l
	}
	*h = q
	return top.cost, int(top.cell)
}
