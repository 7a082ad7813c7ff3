package chain

import (
	"math"
	"math/bits"
	"slices"
)

// exactTerminals is the size up to which problems are solved exactly.
const exactTerminals = 10

// exact finds the least wire by tables over sets S of terminals.
//
// Trees, with b(S, v) the cost of the cheapest tree on S in which v takes one more wire from above, and t(S, v, k) the same
// with at most k forks at v, where C holds the lowest terminal of S but v:
//
//	l(C, v) = min over u in C of d(v, u) + b(C, u),
//	t(S, v, k) = min over C of t(S\C, v, k-1) + l(C, v),   b(S, v) = t(S, v, degree-1).
//
// A path is a tree of degree 2. For rings the table is that of Held & Karp (1962), J. SIAM 10, 196-210. With g(S, r) the
// cheapest branch at root r, and branches of a root taken up one after the other,
//
//	h(S, k) = min over C of h(S\C, k-1) + g(C, r),
//
// and roots likewise. Work about 3^n for each branch of each root.
// Checked by: listing all partitions, orders and trees of up to 5 terminals.
func (q *question) exact() ([]group, bool) {
	all := 1<<q.n - 1
	fits := make([]bool, all+1)
	for set := range fits {
		load := 0
		for s := uint(set); s != 0; s &= s - 1 {
			load += q.load[bits.TrailingZeros(s)]
		}
		fits[set] = load <= q.capacity && bits.OnesCount(uint(set)) <= q.longest
	}
	t := newTable(q, fits)
	// total[set]: the cheapest way to serve set from the roots so far. Each layer adds a choice of branch or root.
	total := slices.Repeat([]float64{math.Inf(1)}, all+1)
	total[0] = 0
	type layer struct {
		root   int
		choice []int // set that the branch takes, 0 for none
	}
	var layers []layer
	for r, most := range q.branches {
		cost := t.branches(q.rootNode(r), fits)
		for range min(most, q.n) {
			next := slices.Clone(total)
			l := layer{r, make([]int, all+1)}
			better := false
			for set := 1; set <= all; set++ {
				for c := set; c > 0; c = (c - 1) & set {
					if sum := total[set&^c] + cost[c]; sum < next[set] {
						next[set], l.choice[set] = sum, c
						better = true
					}
				}
			}
			if !better {
				break
			}
			total = next
			layers = append(layers, l)
		}
	}
	if !(total[all] < q.barred) {
		return nil, false
	}
	var groups []group
	set := all
	for _, l := range slices.Backward(layers) {
		if c := l.choice[set]; c != 0 {
			groups = append(groups, t.group(q.rootNode(l.root), c))
			set &^= c
		}
	}
	return groups, true
}

// table holds the cheapest trees; for rings it makes tables of its own, root by root.
type table struct {
	*question
	forks int
	best  []float64 // t(S, v, k) at (S*n + v)*(forks+1) + k
	taken []int     // C
	least []float64 // l(C, v) at C*n + v
	below []int32   // u
}

func newTable(q *question, fits []bool) *table {
	if q.shape == Ring {
		return &table{question: q}
	}
	t := &table{question: q, forks: min(q.degree, q.n) - 1}
	if q.shape == Path {
		t.forks = 1
	}
	t.forks = max(t.forks, 0)
	step := t.forks + 1
	t.best = slices.Repeat([]float64{math.Inf(1)}, len(fits)*q.n*step)
	t.taken = make([]int, len(t.best))
	t.least = slices.Repeat([]float64{math.Inf(1)}, len(fits)*q.n)
	t.below = make([]int32, len(t.least))
	for set := 1; set < len(fits); set++ {
		if !fits[set] {
			continue
		}
		for v := range q.n {
			if set>>v&1 == 0 {
				continue
			}
			at := (set*q.n + v) * step
			rest := set &^ (1 << v)
			if rest == 0 {
				for k := range step {
					t.best[at+k] = 0
				}
				continue
			}
			low := rest & -rest
			for k := 1; k < step; k++ {
				for c := rest; c > 0; c = (c - 1) & rest {
					if c&low == 0 {
						continue
					}
					if sum := t.best[((set&^c)*q.n+v)*step+k-1] + t.least[c*q.n+v]; sum < t.best[at+k] {
						t.best[at+k], t.taken[at+k] = sum, c
					}
				}
			}
		}
		for v := range int32(q.n) {
			if set>>v&1 == 1 {
				continue
			}
			for u := range int32(q.n) {
				if set>>u&1 == 1 {
					if sum := q.at(v, u) + t.tree(set, u); sum < t.least[set*q.n+int(v)] {
						t.least[set*q.n+int(v)], t.below[set*q.n+int(v)] = sum, u
					}
				}
			}
		}
	}
	return t
}

func (t *table) tree(set int, v int32) float64 {
	return t.best[(set*t.n+int(v))*(t.forks+1)+t.forks]
}

// branches is g(S, root) for all S.
func (t *table) branches(root int32, fits []bool) []float64 {
	cost := slices.Repeat([]float64{math.Inf(1)}, len(fits))
	if t.shape == Ring {
		best, _ := t.rings(root)
		for set := 1; set < len(fits); set++ {
			for v := range t.n {
				if fits[set] && set>>v&1 == 1 {
					cost[set] = min(cost[set], best[set*t.n+v]+t.at(int32(v), root))
				}
			}
		}
		return cost
	}
	for set := 1; set < len(fits); set++ {
		for v := range int32(t.n) {
			if fits[set] && set>>v&1 == 1 {
				cost[set] = min(cost[set], t.at(root, v)+t.tree(set, v))
			}
		}
	}
	return cost
}

// rings is the cheapest path from a root through each set that ends in each of its terminals, and the one before.
func (t *table) rings(root int32) (best []float64, before []int32) {
	best = slices.Repeat([]float64{math.Inf(1)}, t.n<<t.n)
	before = make([]int32, len(best))
	for set := 1; set < 1<<t.n; set++ {
		for v := range t.n {
			if set>>v&1 == 0 {
				continue
			}
			rest := set &^ (1 << v)
			if rest == 0 {
				best[set*t.n+v] = t.at(root, int32(v))
			}
			for u := range t.n {
				if rest>>u&1 == 1 {
					if sum := best[rest*t.n+u] + t.at(int32(u), int32(v)); sum < best[set*t.n+v] {
						best[set*t.n+v], before[set*t.n+v] = sum, int32(u)
					}
				}
			}
		}
	}
	return best, before
}

// group reads a branch from the tables.
func (t *table) group(root int32, set int) group {
	g := group{root: root}
	if t.shape == Ring {
		best, before := t.rings(root)
		last, least := 0, math.Inf(1)
		for v := range t.n {
			if set>>v&1 == 1 {
				if sum := best[set*t.n+v] + t.at(int32(v), root); sum < least {
					last, least = v, sum
				}
			}
		}
		for set != 0 {
			g.seq = append(g.seq, int32(last))
			set, last = set&^(1<<last), int(before[set*t.n+last])
		}
		return g
	}
	top, least := int32(0), math.Inf(1)
	for v := range int32(t.n) {
		if set>>v&1 == 1 {
			if sum := t.at(root, v) + t.tree(set, v); sum < least {
				top, least = v, sum
			}
		}
	}
	var hang func(set int, v, above int32)
	hang = func(set int, v, above int32) {
		g.seq, g.above = append(g.seq, v), append(g.above, above)
		for k := t.forks; set != 1<<v; k-- {
			c := t.taken[(set*t.n+int(v))*(t.forks+1)+k]
			hang(c, t.below[c*t.n+int(v)], v)
			set &^= c
		}
	}
	hang(set, top, root)
	return g
}
