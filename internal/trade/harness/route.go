package harness

import (
	"math"

	"knobwright/internal/geom"
)

// tree is the cheapest way from every cell to one of its roots.
type tree struct {
	g    *grid
	cost []float64
	next []int // towards the root; -1 at a root and where no way leads
}

// grow finds the tree of cheapest ways to some cells.
func (g *grid) grow(roots ...int) *tree {
	t := &tree{g: g, cost: make([]float64, len(g.pay)), next: make([]int, len(g.pay))}
	for i := range t.cost {
		t.cost[i], t.next[i] = math.Inf(1), -1
	}
	var q heap
	for _, r := range roots {
		t.cost[r] = 0
		q.push(0, r)
	}
	var near [8]int
	done := make([]bool, len(g.pay))
	for len(q) > 0 {
		_, i := q.pop()
		if done[i] {
			continue
		}
		done[i] = true
		for _, j := range g.around(i, near[:0]) {
			_, c := g.edge(i, j)
			if c += t.cost[i]; c < t.cost[j]-1e-9 {
				t.cost[j], t.next[j] = c, i
				q.push(c, j)
			}
		}
	}
	return t
}

// path gives the cells from one to the root, both included; nil when no way leads there.
func (t *tree) path(from int) []int {
	if math.IsInf(t.cost[from], 1) {
		return nil
	}
	out := []int{from}
	for t.next[out[len(out)-1]] >= 0 {
		out = append(out, t.next[out[len(out)-1]])
	}
	return out
}

// between finds the cheapest way from cell a to cell b; nil when there is none.
func (g *grid) between(a, b int) []int {
	if a == b {
		return []int{a}
	}
	cost := map[int]float64{a: 0}
	prev := map[int]int{}
	done := map[int]bool{}
	bx, by := b%g.w, b/g.w
	least := func(i int) float64 {
		dx, dy := math.Abs(float64(i%g.w-bx)), math.Abs(float64(i/g.w-by))
		return alongTrunk * g.step * (max(dx, dy) + (math.Sqrt2-1)*min(dx, dy))
	}
	var q heap
	q.push(least(a), a)
	var near [8]int
	for len(q) > 0 {
		_, i := q.pop()
		if i == b {
			break
		}
		if done[i] {
			continue
		}
		done[i] = true
		for _, j := range g.around(i, near[:0]) {
			_, c := g.edge(i, j)
			c += cost[i]
			if math.IsInf(c, 1) {
				continue
			}
			if old, ok := cost[j]; !ok || c < old-1e-9 {
				cost[j], prev[j] = c, i
				q.push(c+least(j), j)
			}
		}
	}
	if _, ok := prev[b]; !ok {
		return nil
	}
	var rev []int
	for i := b; ; i = prev[i] {
		rev = append(rev, i)
		if i == a {
			break
		}
	}
	for l, r := 0, len(rev)-1; l < r; l, r = l+1, r-1 {
		rev[l], rev[r] = rev[r], rev[l]
	}
	return rev
}

// points gives the polyline of a way in the box frame, straight runs joined.
func (g *grid) points(cells []int) []geom.Vec3 {
	var out []geom.Vec3
	for _, i := range cells {
		p := g.sheet.ToBox.Apply(g.at(i))
		if n := len(out); n >= 2 && straight(out[n-2], out[n-1], p) {
			out[n-1] = p
			continue
		}
		out = append(out, p)
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
	cell int
}

func (a entry) before(b entry) bool { return a.cost < b.cost || a.cost == b.cost && a.cell < b.cell }

func (h *heap) push(c float64, i int) {
	q := append(*h, entry{c, i})
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
	return top.cost, top.cell
}
