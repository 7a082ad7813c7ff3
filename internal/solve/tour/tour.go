// Package tour finds short walks through a set of items: closed tours, open paths, and walks that visit
// group after group (all holes of one bit, then the next bit).
//
// It knows items only by number and the cost of walking between two of them. What is left of the plane is
// [Euclid], which makes such a cost from points.
//
// Up to 12 items the walk is the best there is (dynamic programming over subsets). Beyond that it is a local
// optimum under 3-exchanges, shaken and repaired a counted number of times. No clock and no free random source is
// used, and no product is fused into a sum, so the same question has the same answer on every machine.
// [Problem.LowerBound] says how much a walk can be too long at most.
//
// Sources, all from memory:
//   - S. Lin (1965), Computer solutions of the traveling salesman problem: the 3-exchange.
//   - I. Or (1976), doctoral thesis, Northwestern University: moving short segments, a useful part of it.
//   - J. Bentley (1992), Fast algorithms for geometric traveling salesman problems: near lists, don't-look bits.
//   - O. Martin, S. Otto, E. Felten (1991), Large-step Markov chains for the TSP: double bridge and repair.
//   - M. Held, R. Karp (1962): dynamic programming; (1970): 1-trees as lower bounds.
//   - J. Chisman (1975), The clustered traveling salesman problem: groups by a surcharge on leaving them.
package tour

import (
	"math"
	"slices"
)

// Cost gives the cost of walking between items i and j, in any one unit: symmetric, 0 to [MaxCost].
// It is asked only for i < j, once for each pair, when a problem is made.
type Cost func(i, j int) float64

// MaxCost is the largest cost between two items that is accepted. It leaves room for sums and surcharges.
const MaxCost = 1e100

// Point is a place in the plane, in any one unit of length.
type Point struct{ X, Y float64 }

// Euclid is the straight distance between points, in their unit.
func Euclid(points []Point) Cost {
	return func(i, j int) float64 {
		dx, dy := points[i].X-points[j].X, points[i].Y-points[j].Y
		return math.Sqrt(float64(dx*dx) + float64(dy*dy)) // the conversions forbid fused products
	}
}

// Free in place of an item leaves that end of a walk open to choice.
const Free = -1

// Order says whether the groups of [Clustered] may change places.
type Order uint8

const (
	AnyOrder   Order = iota // visit groups in whichever order is shortest
	GivenOrder              // visit groups as listed
)

// Problem is a question put by [Closed], [Open] or [Clustered]: which items, at what cost, with which ends.
// It does not change and may be solved from several goroutines at once. It keeps 8 bytes for each ordered
// pair of items, and is meant for some thousands of items at most.
type Problem struct {
	*matrix         // a closed tour of nodes; all other questions are written as one
	item    []int   // the caller's number of each node; the gap has none
	cost    Cost    // between items
	gap     int     // node that stands between the end and the start of an open walk; -1 if closed
	start   int     // node that must come first, or Free
	end     int     // node that must come last, or Free
	extra   float64 // what surcharges and rewards add to every proper tour
}

// Route is an answer.
type Route struct {
	Order  []int   // items in the order of the visit
	Length float64 // sum of the costs walked, with the way back if the tour is closed
	Exact  bool    // no shorter walk exists
}

// Excess is how much longer the route is than bound, as a share of bound: 0.02 is 2 %. Given a lower bound,
// the route is at most that much longer than the shortest. It is 0 for a walk of no length, and infinite
// if the bound alone is 0.
func (r Route) Excess(bound float64) float64 {
	if r.Length <= bound {
		return 0
	}
	return (r.Length - bound) / bound
}

// Closed asks for the shortest tour of items 0..n-1 that returns to its beginning. The order found begins
// with item 0. The error is a [*CostError], or [ErrItem] if n is negative.
func Closed(n int, cost Cost) (*Problem, error) {
	if n < 0 {
		return nil, itemError(n)
	}
	p := &Problem{item: count(n), cost: cost, gap: -1, start: Free, end: Free}
	var err error
	p.matrix, err = newMatrix(p.item, n, cost)
	return p, err
}

// Open asks for the shortest path through items 0..n-1 from start to end; each end is an item or [Free].
// The error is a [*CostError], or [ErrItem] for an end outside the items, or [ErrEnds] if both ends are the
// same item though there are others.
func Open(n int, cost Cost, start, end int) (*Problem, error) {
	for _, e := range [2]int{start, end} {
		if e != Free && (e < 0 || e >= n) {
			return nil, itemError(e)
		}
	}
	if n < 0 {
		return nil, itemError(n)
	}
	if start == end && start != Free && n > 1 {
		return nil, ErrEnds
	}
	return open(count(n), cost, start, end)
}

// Clustered asks for a path that visits the groups one after the other, each in one piece, and among such
// paths for the shortest: changes of group are fewest by construction, then the walk is made short, with the
// places to enter and leave each group chosen together. Groups hold item numbers, as cost takes them; empty groups
// count for nothing. The walk begins at start: an item outside all groups (a home position, first in
// the result), or in a group, which then comes first, or [Free].
// The error is a [*CostError], [ErrItem] for a negative number, [ErrTwice] for an item listed twice, or
// [ErrEnds] if start lies in a later group though the order is given.
func Clustered(groups [][]int, cost Cost, start int, order Order) (*Problem, error) {
	if start < Free {
		return nil, itemError(start)
	}
	var items, rank []int
	first := Free
	seen := map[int]bool{}
	groups = slices.DeleteFunc(slices.Clone(groups), func(g []int) bool { return len(g) == 0 })
	for r, group := range groups {
		for _, item := range group {
			if item < 0 {
				return nil, itemError(item)
			}
			if seen[item] {
				return nil, twiceError(item)
			}
			if seen[item] = true; item == start {
				if first = len(items); r > 0 && order == GivenOrder {
					return nil, ErrEnds
				}
			}
			items, rank = append(items, item), append(rank, r)
		}
	}
	changes := max(0, len(groups)-1)
	if start != Free && first == Free {
		if first = len(items); first > 0 {
			changes++
		}
		items, rank = append(items, start), append(rank, -1)
	}
	p, err := open(items, cost, first, Free)
	if err != nil {
		return nil, err
	}
	// Surcharges grow with the distance in rank, so that the cheapest path climbs step by step.
	for i, r := range rank {
		row := p.row(int32(i))
		for j, s := range rank {
			if r == s {
				continue
			}
			steps := 1.0
			if order == GivenOrder {
				steps = math.Abs(float64(r - s))
			}
			row[j] += float64(steps * p.much)
			p.most = max(p.most, row[j])
		}
	}
	p.extra += float64(float64(changes) * p.much)
	return p, nil
}

// open makes the closed tour that has a gap node between the two ends of the path. The gap costs nothing,
// and gives a reward for being next to a wanted end.
func open(items []int, cost Cost, start, end int) (*Problem, error) {
	n := len(items)
	m, err := newMatrix(items, n+1, cost)
	if err != nil {
		return nil, err
	}
	p := &Problem{matrix: m, item: items, cost: cost, gap: n, start: start, end: end}
	for _, e := range [2]int{start, end} {
		if e != Free && n > 1 {
			m.d[e*m.n+n], m.d[n*m.n+e] = -m.much, -m.much
			p.extra -= m.much
			m.most = m.much
		}
	}
	if start != Free && end != Free && n > 2 { // never side by side
		m.d[start*m.n+end], m.d[end*m.n+start] = m.much, m.much
	}
	return p, nil
}

// Effort is how many times a tour is shaken and repaired for each item (twice as often for the first 100 items).
// Time grows in proportion, and the length falls ever more slowly. Zero means [Usual]; a negative number means
// that the tour is not shaken at all. Up to 12 items effort changes nothing.
//
// Measured: Usual takes some 40 µs for each of a few hundred items, on one core. On the published planar
// instances of 51 to 574 points it ends at most 0.7 % above the optimum, Thorough at most 0.4 %.
type Effort int

const (
	Usual    Effort = 2
	Thorough Effort = 20
)

// Solve looks for the shortest walk. The same problem and effort give the same route, always.
func (p *Problem) Solve(effort Effort) Route {
	if p.n <= exactNodes {
		return p.route(p.heldKarp(p.home()), true)
	}
	if effort == 0 {
		effort = Usual
	}
	// Many items at one place would fill each other's near lists, so they walk as one.
	rest, stands := p.distinct()
	var tour []int32
	if rest.n <= exactNodes {
		tour = rest.heldKarp(0)
	} else {
		s := newSearch(rest, p.first(stands))
		s.run(int(max(0, effort)) * (rest.n + min(rest.n, 100)))
		tour = s.tour
	}
	all := make([]int32, 0, p.n)
	for _, v := range tour {
		all = append(all, stands[v]...)
	}
	return p.route(all, false)
}

// first is the tour to begin with: always on to the nearest. Begun at the wanted end it goes on over the gap to the
// wanted start, and surcharges keep it in each group till all of it is visited; so it has the form
// asked for, and what is shorter and costs no more surcharges has it too.
func (p *Problem) first(stands [][]int32) []int32 {
	begin := p.home()
	if p.end != Free {
		begin = int32(p.end)
	}
	number := make([]int32, p.n) // of the node that stands for each, plus 1
	for i, s := range stands {
		number[s[0]] = int32(i) + 1
	}
	var tour []int32
	for _, v := range p.nearestNeighbour(begin) {
		if number[v] > 0 {
			tour = append(tour, number[v]-1)
		}
	}
	return tour
}

// Length is the cost of visiting the items in the given order, with the way back if the tour is closed.
func (p *Problem) Length(order []int) float64 {
	sum := 0.0
	for i := 1; i < len(order); i++ {
		sum += p.between(order[i-1], order[i])
	}
	if p.gap < 0 && len(order) > 1 {
		sum += p.between(order[len(order)-1], order[0])
	}
	return sum
}

func (p *Problem) between(i, j int) float64 {
	if i == j {
		return 0
	}
	return p.cost(min(i, j), max(i, j))
}

// home is the node at which a closed tour is cut to be read: the gap, if there is one.
func (p *Problem) home() int32 { return int32(max(0, p.gap)) }

// route reads a tour from home, in the direction that the ends ask for.
func (p *Problem) route(tour []int32, exact bool) Route {
	at := max(0, slices.Index(tour, p.home()))
	walk := make([]int, 0, len(tour))
	for i := range tour {
		if v := int(tour[(at+i)%len(tour)]); v != p.gap {
			walk = append(walk, v)
		}
	}
	if p.backward(walk) {
		if p.gap < 0 {
			slices.Reverse(walk[1:])
		} else {
			slices.Reverse(walk)
		}
	}
	for i, v := range walk {
		walk[i] = p.item[v]
	}
	return Route{Order: walk, Length: p.Length(walk), Exact: exact}
}

func (p *Problem) backward(walk []int) bool {
	n := len(walk)
	switch {
	case n < 2:
		return false
	case p.gap < 0:
		return walk[1] > walk[n-1] // either way round is as good; keep the one that reads upwards
	case p.start != Free:
		return walk[0] != p.start
	case p.end != Free:
		return walk[n-1] != p.end
	}
	return walk[0] > walk[n-1] // either way round; but groups in given order are numbered in that order
}

func count(n int) []int {
	items := make([]int, n)
	for i := range items {
		items[i] = i
	}
	return items
}
