package tour

import (
	"math"
	"math/bits"
)

// exactNodes is the size up to which problems are solved exactly: 12 items and the gap.
const exactNodes = 13

// heldKarp returns the cheapest closed tour. With home any node, and C(S, j) the cost of the cheapest walk from it through all
// of S that ends in j,
//
//	C({j}, j) = d(home, j),   C(S, j) = min over i in S\{j} of C(S\{j}, i) + d(i, j),
//
// and the tour costs the least C(all, j) + d(j, home). Work 2^n n^2, memory 2^n n.
// Source: Held & Karp (1962), J. SIAM 10, 196-210; from memory.
// Checked by: all permutations, up to 8 items.
func (m *matrix) heldKarp(home int32) []int32 {
	var nodes []int32
	for v := range int32(m.n) {
		if v != home {
			nodes = append(nodes, v)
		}
	}
	n := len(nodes)
	best := make([]float64, n<<n)
	before := make([]uint8, n<<n)
	for set := uint(1); set < 1<<n; set++ {
		for ends := set; ends != 0; ends &= ends - 1 {
			j := bits.TrailingZeros(ends)
			row, rest := m.row(nodes[j]), set&^(1<<j)
			costs := best[int(rest)*n:][:n]
			least, from := math.Inf(1), 0
			if rest == 0 {
				least = row[home]
			}
			for s := rest; s != 0; s &= s - 1 {
				i := bits.TrailingZeros(s)
				if c := costs[i] + row[nodes[i]]; c < least {
					least, from = c, i
				}
			}
			best[int(set)*n+j], before[int(set)*n+j] = least, uint8(from)
		}
	}
	set, last, least := 1<<n-1, 0, math.Inf(1)
	for j, v := range nodes {
		if c := best[set*n+j] + m.row(v)[home]; c < least {
			last, least = j, c
		}
	}
	var tour []int32
	for ; set != 0; set, last = set&^(1<<last), int(before[set*n+last]) {
		tour = append(tour, nodes[last])
	}
	if m.n > 0 {
		tour = append(tour, home)
	}
	return tour
}
