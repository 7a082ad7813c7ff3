package tour

import (
	"math"
	"slices"
)

// matrix holds the cost between all pairs of n nodes, surcharges and rewards included.
type matrix struct {
	n    int
	d    []float64 // d[i*n+j]
	most float64   // largest size of an entry
	much float64   // more than any walk can cost, so that a surcharge outweighs all that it could save
}

// newMatrix asks for the costs between items. Nodes beyond them cost nothing to reach.
func newMatrix(items []int, n int, cost Cost) (*matrix, error) {
	m := &matrix{n: n, d: make([]float64, n*n)}
	for i, a := range items {
		for j, b := range items[:i] {
			c := cost(min(a, b), max(a, b))
			if !(c >= 0 && c <= MaxCost) {
				return nil, &CostError{min(a, b), max(a, b), c}
			}
			m.d[i*n+j], m.d[j*n+i] = c, c
			m.most = max(m.most, c)
		}
	}
	if m.much = float64(n) * m.most; m.most == 0 {
		m.much = 1
	}
	return m, nil
}

func (m *matrix) row(v int32) []float64 { return m.d[int(v)*m.n:][:m.n] }

// noise is well above the rounding error of adding up the costs of a few edges, and well below any
// difference that matters.
func (m *matrix) noise() float64 { return 1e-13 * m.most }

// length is the cost of a closed tour of nodes.
func (m *matrix) length(tour []int32) float64 {
	sum := 0.0
	for i, v := range tour {
		sum += m.row(v)[tour[(i+1)%len(tour)]]
	}
	return sum
}

// nearestNeighbour walks from home always to the nearest node not yet visited.
func (m *matrix) nearestNeighbour(home int32) []int32 {
	tour := make([]int32, m.n)
	for i := range tour {
		tour[i] = int32(i)
	}
	tour[0], tour[home] = home, 0
	for i := 1; i < m.n; i++ {
		row, best := m.row(tour[i-1]), i
		for j := i + 1; j < m.n; j++ {
			if row[tour[j]] < row[tour[best]] {
				best = j
			}
		}
		tour[i], tour[best] = tour[best], tour[i]
	}
	return tour
}

// distinct leaves one of all nodes that stand at the same place, that is, have the same costs to all others and
// none between them. It returns the rest, and for each node of the rest the nodes that it stands for.
func (m *matrix) distinct() (*matrix, [][]int32) {
	var stands [][]int32
	number := make([]int, m.n) // in stands
next:
	for v := range int32(m.n) {
		row := m.row(v)
		for w, cost := range row[:v] {
			if cost == 0 && slices.Equal(row, m.row(int32(w))) {
				number[v] = number[w]
				stands[number[v]] = append(stands[number[v]], v)
				continue next
			}
		}
		number[v] = len(stands)
		stands = append(stands, []int32{v})
	}
	n := len(stands)
	if n == m.n {
		return m, stands
	}
	rest := &matrix{n: n, d: make([]float64, 0, n*n), most: m.most, much: m.much}
	for _, s := range stands {
		row := m.row(s[0])
		for _, s := range stands {
			rest.d = append(rest.d, row[s[0]])
		}
	}
	return rest, stands
}

// hop is a way to a near node.
type hop struct {
	cost float64
	to   int32
}

const (
	closeHops  = 5 // to the nearest nodes
	spreadHops = 3 // to further nodes, in directions not yet covered
	hops       = closeHops + spreadHops
)

// near lists good hops from each node, hops of them in rising cost. Only the nearest would not do: where points
// stand in clumps, no list would lead out of its clump. So each list goes on with nodes that are nearer to this node
// than to any nearer one already looked at. What is left empty has infinite cost.
func (m *matrix) near() []hop {
	all := make([]hop, m.n*hops)
	left := make([]hop, m.n)
	for v := range int32(m.n) {
		list := all[int(v)*hops:][:0:hops]
		k := 0
		for w, c := range m.row(v) {
			h := hop{c, int32(w)}
			if len(list) < closeHops || c < list[closeHops-1].cost {
				if h.to != v {
					list = insert(list[:min(len(list), closeHops-1)], h)
				}
			}
			if left[k] = h; c > 0 {
				k++
			}
		}
		for k > 0 && len(list) < hops {
			h := left[0]
			for _, l := range left[:k] {
				if l.cost < h.cost {
					h = l
				}
			}
			if !holds(list, h.to) {
				list = insert(list, h)
			}
			row, rest := m.row(h.to), 0
			for _, l := range left[:k] {
				if left[rest] = l; row[l.to] > l.cost {
					rest++
				}
			}
			k = rest
		}
		for len(list) < hops {
			list = append(list, hop{math.Inf(1), v})
		}
	}
	return all
}

func insert(list []hop, h hop) []hop {
	list = append(list, h)
	i := len(list) - 1
	for ; i > 0 && list[i-1].cost > h.cost; i-- {
		list[i] = list[i-1]
	}
	list[i] = h
	return list
}

func holds(list []hop, v int32) bool {
	for _, h := range list {
		if h.to == v {
			return true
		}
	}
	return false
}
