// Package chain connects terminals to roots with least wire: grounds to ground pins, for instance.
//
// Every terminal hangs on one root, through branches that start there. A branch is a chain from terminal to terminal,
// a chain that comes back to its root, or a tree; it carries a limited load, and a terminal takes a limited number of
// wires. The package knows nodes only by number and the cost of a wire between two of them: terminals are
// 0..Terminals-1, roots follow. What is left of the plane is [Euclid], which makes such a cost from points.
//
// Up to 10 terminals the answer is the best there is (dynamic programming over subsets). Beyond that, branches made by
// savings are taken apart near some terminal and put together again, a counted number of times; long chains are walked
// anew by package tour. No clock and no free random source is used, and no product is fused into a sum, so the same
// question has the same answer on every machine. Beside each answer stands a bound that no answer can beat, and
// [Check] proves an answer feasible anew.
//
// Sources, all from memory:
//   - L. Esau, K. Williams (1966), On teleprocessing system design, part II: savings for trees; G. Clarke, J. Wright
//     (1964), Scheduling of vehicles from a central depot to a number of delivery points: savings for chains.
//   - J. Christiaens, G. Vanden Berghe (2020), Slack induction by string removals for vehicle routing problems: how to
//     take apart and put together.
//   - I. Or (1976); J.-Y. Potvin, J.-M. Rousseau (1995), An exchange heuristic for routing problems with time windows:
//     moving short stretches, exchanging tails.
//   - H. Kuhn (1955), The Hungarian method for the assignment problem: which branch hangs on which root.
//   - R. Prim (1957), Shortest connection networks and some generalizations.
//   - M. Fisher (1994), Optimal solution of vehicle routing problems using minimum k-trees; N. Christofides, A. Mingozzi,
//     P. Toth (1981), Exact algorithms for the vehicle routing problem, based on spanning tree and shortest path
//     relaxations: the bounds.
package chain

import (
	"math"
	"slices"

	"knobwright/internal/solve/tour"
)

// Cost gives the cost of a wire between nodes i and j, in any one unit: symmetric, 0 to [MaxCost], or +Inf where no
// wire may go. It is asked only for i < j, once for each pair.
type Cost func(i, j int) float64

// MaxCost is the largest finite cost that is accepted. It leaves room for sums.
const MaxCost = 1e90

// Point is a place in the plane, in any one unit of length.
type Point struct{ X, Y float64 }

// Euclid is the straight distance between points, in their unit.
func Euclid(points []Point) Cost {
	return func(i, j int) float64 {
		dx, dy := points[i].X-points[j].X, points[i].Y-points[j].Y
		return math.Sqrt(float64(dx*dx) + float64(dy*dy)) // the conversions forbid fused products
	}
}

// Shape is the form of a branch.
type Shape uint8

const (
	Path Shape = iota // from the root from terminal to terminal, with an open end
	Ring              // the same, and back to the root; one terminal alone is wired there and back
	Tree              // one wire leaves the root; branches may fork at terminals
)

func (s Shape) String() string { return [...]string{"path", "ring", "tree"}[s] }

// Root is a place where branches start.
type Root struct {
	Branches int // how many may start here; 0 means any number
}

// Problem is a question. The zero value of each limit means that there is none.
type Problem struct {
	Terminals int    // their number; they are nodes 0..Terminals-1
	Roots     []Root // nodes Terminals and up
	Cost      Cost   // of wires between all nodes; wires between roots are not asked for
	Shape     Shape
	Load      []int // of each terminal, 0 or more; nil means 1 each
	Capacity  int   // load that a branch takes; 0 means any
	Degree    int   // wires that a terminal takes; 0 means any; paths and rings need no more than 2
}

// Wire joins two nodes.
type Wire struct{ From, To int }

// Branch is what hangs on one wire of a root (on two for a ring).
type Branch struct {
	Root      int     // index in Roots
	Terminals []int   // in the order in which they are wired; in a tree each comes after the one it hangs on
	Wires     []Wire  // in that order, from the root outwards; the last of a ring leads back
	Load      int     // sum
	Cost      float64 // sum over the wires
}

// Plan is an answer.
type Plan struct {
	Branches []Branch // by root, then by first terminal
	Cost     float64  // sum over all wires
	Bound    float64  // proven: no answer costs less
	Exact    bool     // Cost is least: proven
}

// Excess is how far the plan may be above the least cost, as a share of the bound: 0.02 is 2 %. It is infinite if the
// bound alone is 0.
func (p Plan) Excess() float64 {
	if p.Cost <= p.Bound {
		return 0
	}
	return (p.Cost - p.Bound) / p.Bound
}

// Effort is how many times branches are taken apart and put together again for each terminal (50 more of them are
// counted, for small questions), and how much work goes into the bound. Time grows in proportion. Zero means [Usual]; a
// negative number means that savings and simple exchanges do.
//
// Measured on published routes and trees of 12 to 100 terminals: Usual takes some 15 ms and ends 0.5 % above the best
// known on average, Thorough 0.2 s and 0.05 %. 150 terminals at 8 roots take 50 ms at Usual.
type Effort int

const (
	Usual    Effort = 50
	Thorough Effort = 1000
)

// throughSteps is the work spent on the second bound for each step of effort.
const throughSteps = 100_000

// Solve looks for the least wire. The same problem and effort give the same plan, always.
//
// The error is [ErrTerminals], [ErrRoots], [ErrLimit], a [*CostError], [*LoadError], [*RoomError] or [*ReachError], or
// [ErrNoRoom] up to 10 terminals and [ErrNotFound] beyond.
func Solve(p Problem, effort Effort) (Plan, error) {
	q, err := newQuestion(p)
	if err != nil {
		return Plan{}, err
	}
	if q.n == 0 {
		return Plan{Exact: true}, nil
	}
	if effort == 0 {
		effort = Usual
	}
	if q.n <= exactTerminals {
		groups, ok := q.exact()
		if !ok {
			return Plan{}, ErrNoRoom
		}
		plan := q.plan(groups)
		plan.Bound, plan.Exact = plan.Cost, true
		return plan, nil
	}
	s := newSearch(q)
	if !s.start() {
		return Plan{}, ErrNotFound
	}
	bound := q.bound(max(30, min(int(max(1, effort))*4, 600)))
	s.run(int(max(0, effort))*(q.n+50), bound)
	if effort > 0 {
		s.polish(tour.Effort(max(2, effort/25)))
	}
	plan := q.plan(s.copy())
	if plan.Cost >= q.barred {
		return Plan{}, ErrNotFound
	}
	if plan.Cost-bound > float64(1e-9*plan.Cost) {
		bound = q.throughBound(bound, plan.Cost, int(max(1, effort))*throughSteps)
	}
	plan.Bound = min(bound, plan.Cost)
	plan.Exact = plan.Cost-plan.Bound <= float64(1e-9*plan.Cost)
	return plan, nil
}

// group is a branch in the making.
type group struct {
	root  int32   // node
	seq   []int32 // terminals; for paths and rings in order
	load  int
	cost  float64
	link  float64 // cost of the wire at the root, for trees
	above []int32 // for trees: the node on which each of seq hangs
}

// plan writes groups as branches.
func (q *question) plan(groups []group) Plan {
	var plan Plan
	for _, g := range groups {
		if len(g.seq) == 0 {
			continue
		}
		b := Branch{Root: int(g.root) - q.n}
		for _, w := range q.wires(g) {
			b.Wires = append(b.Wires, w)
			b.Cost += q.at(int32(w.From), int32(w.To))
			if w.To < q.n {
				b.Terminals = append(b.Terminals, w.To)
				b.Load += q.load[w.To]
			}
		}
		plan.Branches = append(plan.Branches, b)
	}
	slices.SortFunc(plan.Branches, func(a, b Branch) int {
		if a.Root != b.Root {
			return a.Root - b.Root
		}
		return a.Terminals[0] - b.Terminals[0]
	})
	for _, b := range plan.Branches {
		plan.Cost += b.Cost
	}
	return plan
}

// wires lists the wires of a group from the root outwards.
func (q *question) wires(g group) []Wire {
	var list []Wire
	if q.shape != Tree {
		from, seq := g.root, slices.Clone(g.seq)
		if q.shape == Ring && len(seq) > 1 && seq[0] > seq[len(seq)-1] {
			slices.Reverse(seq) // either way round is as good
		}
		for _, v := range seq {
			list = append(list, Wire{int(from), int(v)})
			from = v
		}
		if q.shape == Ring {
			list = append(list, Wire{int(from), int(g.root)})
		}
		return list
	}
	var hang func(u int32)
	hang = func(u int32) {
		var below []int32
		for k, v := range g.seq {
			if g.above[k] == u {
				below = append(below, v)
			}
		}
		slices.Sort(below)
		for _, v := range below {
			list = append(list, Wire{int(u), int(v)})
			hang(v)
		}
	}
	hang(g.root)
	return list
}
