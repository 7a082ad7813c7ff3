package tour

import "math"

// LowerBound returns a length that no answer to the problem falls short of, in the unit of the cost. Up to 12
// items it is the shortest length itself. Beyond, it is the best of the given number of rounds of
//
//	w(π) = cost of the cheapest 1-tree under d(i, j) + π(i) + π(j), less 2 Σ π,
//
// where a 1-tree is a tree on all nodes but one, with the two cheapest edges from that one. A tour is a 1-tree
// in which each node has degree 2, so π changes only what other 1-trees cost: it rises where the degree is too high.
// Every round is a bound, and more rounds give a better one, for work in proportion to n^2 each. Zero rounds means
// as many as take some tens of milliseconds, from 1000 for small problems to 50 for large ones; then the bound
// is commonly 1 % below the shortest length, but up to 10 % where items stand in clumps far apart.
//
// Source: Held & Karp (1970), Operations Research 18, 1138-1162; steps that fall along a parabola, Volgenant &
// Jonker (1982), European Journal of Operational Research 9, 83-89; from memory. Steps follow the running mean
// of the degrees, and the first is long; both were tuned by trial.
// Checked by: all permutations of small problems; regular polygons, where the bound meets the length.
func (p *Problem) LowerBound(rounds int) float64 {
	if p.n <= exactNodes {
		return p.Solve(0).Length
	}
	if rounds <= 0 {
		rounds = min(max(40_000_000/(p.n*p.n), 50), 1000)
	}
	return p.ascend(rounds)
}

func (p *Problem) ascend(rounds int) float64 {
	const (
		long  = 2.0 // first step, in mean edges
		keep  = 0.9 // share of the old mean of degrees in the new one
		every = 1 - keep
	)
	t := newOneTree(p)
	mean := make([]float64, p.n) // of degree - 2
	best, first := math.Inf(-1), 0.0
	for round := range rounds {
		w := t.grow() - p.extra
		best = max(best, w)
		if round == 0 {
			first = float64(long*max(0, w)) / float64(p.n)
		}
		rest := float64(rounds-round) / float64(rounds)
		step := float64(first*rest) * rest
		tour := true
		for v, d := range t.degree {
			tour = tour && d == 2
			mean[v] = float64(keep*mean[v]) + float64(every*float64(d-2))
			t.pi[v] += float64(step * mean[v])
		}
		if tour {
			break // w is the length of a tour; no bound is higher
		}
	}
	return max(0, best-float64(float64(p.n)*p.noise()))
}

// oneTree is the cheapest 1-tree under present potentials. The odd node is home.
type oneTree struct {
	*Problem
	pi     []float64
	degree []int
	left   []branch // nodes not yet in the tree
}

// branch is the cheapest edge from the tree to a node beyond.
type branch struct {
	to, from int32
	cost     float64
}

func newOneTree(p *Problem) *oneTree {
	return &oneTree{Problem: p, pi: make([]float64, p.n), degree: make([]int, p.n), left: make([]branch, p.n)}
}

// grow finds the 1-tree (Prim's way) and returns w(pi).
func (t *oneTree) grow() float64 {
	home := t.home()
	left := t.left[:0]
	w := 0.0
	for v := range int32(t.n) {
		t.degree[v] = 0
		w -= 2 * t.pi[v]
		if v != home {
			left = append(left, branch{to: v, cost: math.Inf(1)})
		}
	}
	for next := 0; ; {
		b := left[next]
		left[next] = left[len(left)-1]
		left = left[:len(left)-1]
		if !math.IsInf(b.cost, 1) { // the first node has none
			w += b.cost
			t.degree[b.to]++
			t.degree[b.from]++
		}
		if len(left) == 0 {
			break
		}
		row, pi := t.row(b.to), t.pi[b.to]
		least := math.Inf(1)
		for i := range left {
			l := &left[i]
			if c := row[l.to] + pi + t.pi[l.to]; c < l.cost {
				l.cost, l.from = c, b.to
			}
			if l.cost < least {
				next, least = i, l.cost
			}
		}
	}
	// The two cheapest edges from home.
	first, second := -1, -1
	row := t.row(home)
	for u, pi := range t.pi {
		switch {
		case u == int(home):
		case first < 0 || row[u]+pi < row[first]+t.pi[first]:
			first, second = u, first
		case second < 0 || row[u]+pi < row[second]+t.pi[second]:
			second = u
		}
	}
	t.degree[first]++
	t.degree[second]++
	t.degree[home] = 2
	return w + row[first] + t.pi[first] + row[second] + t.pi[second] // home has degree 2, so its pi stays 0
}
