package chain

import (
	"math"
	"slices"
)

// bound returns a cost that no answer falls short of: the best of the given number of rounds of
//
//	w(π, λ) = T(π, λ) + λK + E(π) - degree·Σπ.
//
// Seen as one node, the roots and all terminals are joined by the wires of any answer; without the last leg of each
// path or ring these are a spanning tree. T is the cheapest spanning tree where the cost of a wire grows by π at both
// ends and falls by λ at the root. K is the least number of branches, by load. E are the cheapest last legs, K or more
// of them if their cost is negative; they cost nothing for paths but π. Terminals of paths and rings have degree 2, so π
// changes nothing for them; where the degree may be less, π is 0 or more, and λ likewise if there may be more
// branches than K. Prices follow the excess of degrees (subgradients), with steps that fall along a parabola.
//
// Source: Fisher (1994), Operations Research 42, 626-642, simplified; Held & Karp (1970), Operations Research 18,
// 1138-1162; from memory.
// Checked by: the least cost of small problems; the published least costs.
func (q *question) bound(rounds int) float64 {
	total := 0
	for _, l := range q.load {
		total += l
	}
	least := max(1, (total+q.capacity-1)/q.capacity, (q.n+q.longest-1)/q.longest)
	most := 0
	for _, b := range q.branches {
		most += b
	}
	b := &bounding{
		question: q, least: least, most: max(least, min(most, q.n)), legs: q.shape != Tree, want: 2,
		pi: make([]float64, q.n), degree: make([]int, q.n), leg: make([]float64, q.n),
		cheap: make([]float64, q.n), from: make([]int32, q.n), left: make([]int32, q.n),
	}
	if q.shape == Tree {
		b.want = q.degree
	}
	if q.longest == 1 { // every terminal hangs on a root itself
		sum := 0.0
		for _, c := range q.anyRoot {
			sum += c
		}
		if q.shape == Ring {
			sum *= 2
		}
		return sum
	}
	free := b.legs || b.want < q.n // whether π may differ from 0
	best, first := 0.0, 0.0
	mean := make([]float64, q.n)
	meanRoot := 0.0
	for round := range rounds {
		w := b.weigh()
		if w > best {
			best = w
			if b.legs {
				q.prices = append(q.prices[:0], b.pi...)
			}
		}
		if round == 0 {
			first = float64(2*max(w, 0)) / float64(q.n)
		}
		rest := float64(rounds-round) / float64(rounds)
		step := float64(first*rest) * rest
		if free {
			for v, d := range b.degree {
				mean[v] = float64(0.9*mean[v]) + float64(0.1*float64(d-b.want))
				b.pi[v] += float64(step * mean[v])
				if !b.legs {
					b.pi[v] = max(0, b.pi[v])
				}
			}
		}
		meanRoot = float64(0.9*meanRoot) + float64(0.1*float64(b.least-b.roots))
		if b.lambda += float64(step * meanRoot); b.least < b.most {
			b.lambda = max(0, b.lambda)
		}
	}
	return max(0, best-float64(float64(q.n)*q.noise))
}

// bounding is the state of the ascent.
type bounding struct {
	*question
	least, most int // branches
	legs        bool
	want        int // degree of terminals
	pi          []float64
	lambda      float64
	degree      []int
	roots       int // degree of the roots
	leg         []float64
	cheap       []float64
	from        []int32
	left        []int32
}

// weigh finds the cheapest tree and legs and returns w(π, λ).
func (b *bounding) weigh() float64 {
	b.left = b.left[:b.n]
	b.cheap, b.from = b.cheap[:b.n], b.from[:b.n]
	w := float64(b.lambda * float64(b.least))
	b.roots = 0
	for v := range b.left {
		b.left[v], b.from[v] = int32(v), -1
		b.cheap[v] = b.anyRoot[v] + b.pi[v] - b.lambda
		b.degree[v] = 0
		w -= float64(float64(b.want) * b.pi[v])
	}
	for len(b.left) > 0 {
		next, least := 0, math.Inf(1)
		for k, c := range b.cheap {
			if c < least {
				next, least = k, c
			}
		}
		v, u := b.left[next], b.from[next]
		w += least
		b.degree[v]++
		if u < 0 {
			b.roots++
		} else {
			b.degree[u]++
		}
		last := len(b.left) - 1
		b.left[next], b.cheap[next], b.from[next] = b.left[last], b.cheap[last], b.from[last]
		b.left, b.cheap, b.from = b.left[:last], b.cheap[:last], b.from[:last]
		row, pi := b.row(v), b.pi[v]
		for k, x := range b.left {
			if c := row[x] + pi + b.pi[x]; c < b.cheap[k] {
				b.cheap[k], b.from[k] = c, v
			}
		}
	}
	if !b.legs {
		return w
	}
	order := b.left[:b.n]
	for v := range order {
		order[v] = int32(v)
		b.leg[v] = b.pi[v]
		if b.shape == Ring {
			b.leg[v] += b.anyRoot[v]
		}
	}
	slices.SortStableFunc(order, func(x, y int32) int {
		switch {
		case b.leg[x] < b.leg[y]:
			return -1
		case b.leg[x] > b.leg[y]:
			return 1
		}
		return 0
	})
	for k, v := range order {
		if k < b.least || k < b.most && b.leg[v] < 0 {
			w += b.leg[v]
			b.degree[v]++
		}
	}
	return w
}
