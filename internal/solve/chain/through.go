package chain

import (
	"math"
	"slices"
)

// through is a second bound, which heeds the capacity of each branch. For any prices p of terminals,
//
//	v(p) = Σ p_i + Σ q_i · min over branches b through i of c_p(b)/q(b),
//
// where q is load and c_p(b) is the cost of branch b less the prices of its terminals; for the cost of a branch may be
// shared out among its terminals in proportion to their load. The branches over which the minimum is taken may
// visit a terminal more than once, so that a table by load and terminal finds it (a path does not go straight back
// to where it came from). Prices move against visits that are too many or too few.
//
// Source: N. Christofides, A. Mingozzi, P. Toth (1981), Exact algorithms for the vehicle routing problem, based on
// spanning tree and shortest path relaxations: q-routes; from memory. The same for trees is ours.
// Checked by: the least cost of small problems; the published least costs.
type through struct {
	*question
	q     []int // load of each terminal, in units of their greatest common divisor
	most  int   // capacity in these units
	price []float64
	visit []float64
	there half // from the root to each terminal
	back  half // from each terminal to the end; for rings the same as there
	tree  half // trees on a terminal
	hung  half // the same with the wire to the root
	near  []float64
	joint []int32
}

// half is a table of cheapest halves of branches, by load and terminal.
type half struct {
	cost  []float64
	from  []int32 // node before; for trees the one that hangs on it
	load  []int32 // for trees, of what hangs
	other []float64
	next  []int32 // the same for the cheapest with another node before
}

func newHalf(cells int) half {
	return half{
		cost: make([]float64, cells), from: make([]int32, cells), load: make([]int32, cells),
		other: make([]float64, cells), next: make([]int32, cells),
	}
}

// throughBound returns the better of a bound known and the best of some rounds of v, as many as steps of work allow.
// Above is the cost of some answer, and guides the steps.
func (q *question) throughBound(known, above float64, steps int) float64 {
	t := &through{question: q}
	divisor := 0
	for _, l := range q.load {
		if l == 0 {
			return known // no share in the cost
		}
		divisor = gcd(l, divisor)
	}
	t.most = q.capacity / divisor
	total := 0
	for _, l := range q.load {
		t.q = append(t.q, l/divisor)
		total += l / divisor
	}
	t.most = min(t.most, total)
	if q.longest == 1 || t.most > 100_000 {
		return known
	}
	work := 2*q.n*q.n*t.most + q.n*t.most*t.most
	rounds := min(steps/work, 300)
	if rounds < 3 {
		return known
	}
	cells := (t.most + 1) * q.n
	if q.shape == Tree {
		t.tree, t.hung = newHalf(cells), newHalf(cells)
		t.near, t.joint = make([]float64, 2*cells), make([]int32, 2*cells)
	} else {
		t.there = newHalf(cells)
		if t.back = t.there; q.shape == Path {
			t.back = newHalf(cells)
		}
	}
	t.price, t.visit = make([]float64, q.n), make([]float64, q.n)
	for v := range t.price {
		t.price[v] = float64(above*float64(t.q[v])) / float64(total)
	}
	if q.prices != nil { // or begin with those of the other bound, whichever are better
		even, v := slices.Clone(t.price), t.weigh()
		for i, p := range q.prices {
			t.price[i] = -2 * p
		}
		if t.weigh() < v {
			copy(t.price, even)
		}
	}
	best, top, size, since := known, math.Inf(-1), 1.0, 0
	kept := slices.Clone(t.price)
	for range rounds {
		v := t.weigh()
		if v > top {
			top, since = v, 0
			copy(kept, t.price)
		} else if since++; since >= 5 { // back to the best prices, in smaller steps
			size, since = size/2, 0
			copy(t.price, kept)
			continue
		}
		best = max(best, v)
		square := 0.0
		for _, x := range t.visit {
			square += float64((1 - x) * (1 - x))
		}
		if square < 1e-12 || above-best <= float64(1e-9*above) {
			break
		}
		step := float64(size*max(0, above-v)) / square
		for i, x := range t.visit {
			t.price[i] += float64(step * (1 - x))
		}
	}
	return max(known, best-float64(float64(10*q.n)*q.noise))
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// weigh returns v(p), and leaves in visit how often each terminal is visited.
func (t *through) weigh() float64 {
	clear(t.visit)
	sum := 0.0
	for _, p := range t.price {
		sum += p
	}
	if t.shape == Tree {
		t.trees()
	} else {
		t.paths(&t.there, true)
		if t.shape == Path {
			t.paths(&t.back, false)
		}
	}
	for i := range int32(t.n) {
		least := 0.0
		if t.shape == Tree {
			least = t.treeThrough(i)
		} else {
			least = t.pathThrough(i)
		}
		sum += float64(float64(t.q[i]) * least)
	}
	return sum
}

// paths fills a table of paths from the root, or from the open end.
func (t *through) paths(h *half, root bool) {
	n := t.n
	for k := range h.cost {
		h.cost[k], h.other[k], h.from[k], h.next[k] = math.Inf(1), math.Inf(1), -1, -1
	}
	for i, q := range t.q {
		c := -t.price[i]
		if root {
			c += t.anyRoot[i]
		}
		h.cost[q*n+i] = c
	}
	for q := 1; q < t.most; q++ {
		for j := range int32(n) {
			k := q*n + int(j)
			cost, from, other := h.cost[k], h.from[k], h.other[k]
			if math.IsInf(cost, 1) {
				continue
			}
			row := t.row(j)[:n]
			for i, d := range row {
				if int32(i) == j || q+t.q[i] > t.most {
					continue
				}
				c := cost
				if from == int32(i) {
					c = other
				}
				c += d - t.price[i]
				at := (q+t.q[i])*n + i
				switch {
				case c < h.cost[at]:
					h.other[at], h.next[at] = h.cost[at], h.from[at]
					h.cost[at], h.from[at] = c, j
				case c < h.other[at]:
					h.other[at], h.next[at] = c, j
				}
			}
		}
	}
}

// pathThrough finds the path through terminal i that costs least for its load, and counts its visits.
func (t *through) pathThrough(i int32) (least float64) {
	least = math.Inf(1)
	n, own := t.n, t.q[i]
	var bestA, bestB int
	var secondA, secondB bool
	for a := own; a <= t.most; a++ {
		x := a*n + int(i)
		if math.IsInf(t.there.cost[x], 1) {
			continue
		}
		for b := own; a+b-own <= t.most; b++ {
			y := b*n + int(i)
			c, secA, secB := t.there.cost[x]+t.back.cost[y], false, false
			if from := t.there.from[x]; from >= 0 && from == t.back.from[y] {
				first, second := t.there.other[x]+t.back.cost[y], t.there.cost[x]+t.back.other[y]
				if c = min(first, second); first <= second {
					secA = true
				} else {
					secB = true
				}
			}
			if r := (c + t.price[i]) / float64(a+b-own); r < least {
				least, bestA, bestB, secondA, secondB = r, a, b, secA, secB
			}
		}
	}
	share := float64(own) / float64(bestA+bestB-own)
	t.visit[i] += share
	t.count(&t.there, bestA, i, secondA, share)
	t.count(&t.back, bestB, i, secondB, share)
	return least
}

// count counts the terminals before i of a half.
func (t *through) count(h *half, q int, i int32, second bool, share float64) {
	for {
		at := q*t.n + int(i)
		j := h.from[at]
		if second {
			j = h.next[at]
		}
		if j < 0 {
			return
		}
		t.visit[j] += share
		q -= t.q[i]
		second = h.from[q*t.n+int(j)] == i
		i = j
	}
}

// trees fills the tables of trees that hang on a terminal, and of those that also have the wire to the root.
func (t *through) trees() {
	n := t.n
	for k := range t.tree.cost {
		t.tree.cost[k], t.hung.cost[k] = math.Inf(1), math.Inf(1)
		t.tree.from[k], t.hung.from[k] = -1, -1
	}
	half := len(t.near) / 2
	nearTree, nearHung := t.near[:half], t.near[half:]
	jointTree, jointHung := t.joint[:half], t.joint[half:]
	for q := 1; q <= t.most; q++ {
		for i, own := range t.q {
			at := q*n + i
			if own == q {
				t.tree.cost[at] = -t.price[i]
			}
			for below := 1; below <= q-own; below++ {
				rest, add := (q-below)*n+i, below*n+i
				if c := t.tree.cost[rest] + nearTree[add]; c < t.tree.cost[at] {
					t.tree.cost[at], t.tree.from[at], t.tree.load[at] = c, jointTree[add], int32(below)
				}
				if c := t.tree.cost[rest] + nearHung[add]; c < t.hung.cost[at] {
					t.hung.cost[at], t.hung.from[at], t.hung.load[at] = c, jointHung[add], int32(below)
				}
			}
			if c := t.tree.cost[at] + t.anyRoot[i]; c < t.hung.cost[at] {
				t.hung.cost[at], t.hung.from[at] = c, -1
			}
		}
		for i := range n {
			row := t.row(int32(i))[:n]
			at := q*n + i
			nearTree[at], nearHung[at] = math.Inf(1), math.Inf(1)
			tree, hung := t.tree.cost[q*n:][:n], t.hung.cost[q*n:][:n]
			for j, d := range row {
				if j == i {
					continue
				}
				if c := d + tree[j]; c < nearTree[at] {
					nearTree[at], jointTree[at] = c, int32(j)
				}
				if c := d + hung[j]; c < nearHung[at] {
					nearHung[at], jointHung[at] = c, int32(j)
				}
			}
		}
	}
}

// treeThrough finds the tree through terminal i that costs least for its load, and counts its visits.
func (t *through) treeThrough(i int32) (least float64) {
	least = math.Inf(1)
	best := 0
	for q := t.q[i]; q <= t.most; q++ {
		if r := t.hung.cost[q*t.n+int(i)] / float64(q); r < least {
			least, best = r, q
		}
	}
	t.countTree(true, best, i, float64(t.q[i])/float64(best))
	return least
}

func (t *through) countTree(hung bool, q int, i int32, share float64) {
	for {
		at := q*t.n + int(i)
		h := &t.tree
		if hung {
			h = &t.hung
		}
		j, below := h.from[at], int(h.load[at])
		if j >= 0 {
			t.countTree(hung, below, j, share)
			q -= below
			hung = false
			continue
		}
		if hung { // the wire to the root
			hung = false
			continue
		}
		t.visit[i] += share
		return
	}
}
