package chain

import (
	"fmt"
	"math"
)

// Check proves anew, from the question alone, that a plan is feasible and costs what it says, and returns what is
// wrong, or nil. It knows nothing of how the plan was found.
func Check(p Problem, plan Plan) error {
	hung := make([]bool, p.Terminals)
	used := make([]int, len(p.Roots))
	total := 0.0
	for k, b := range plan.Branches {
		if b.Root < 0 || b.Root >= len(p.Roots) {
			return fmt.Errorf("branch %d hangs on root %d, which does not exist", k, b.Root)
		}
		used[b.Root]++
		if err := checkBranch(p, b, hung); err != nil {
			return fmt.Errorf("branch %d: %w", k, err)
		}
		total += b.Cost
	}
	for v, ok := range hung {
		if !ok {
			return fmt.Errorf("terminal %d hangs nowhere", v)
		}
	}
	for r, root := range p.Roots {
		if root.Branches > 0 && used[r] > root.Branches {
			return fmt.Errorf("root %d has %d branches, and may have %d", r, used[r], root.Branches)
		}
	}
	if !(math.Abs(total-plan.Cost) <= 1e-9*math.Abs(total)) {
		return fmt.Errorf("the branches cost %g, not %g", total, plan.Cost)
	}
	if plan.Bound > plan.Cost || plan.Exact && plan.Cost-plan.Bound > 1e-9*plan.Cost {
		return fmt.Errorf("the bound %g does not fit the cost %g", plan.Bound, plan.Cost)
	}
	return nil
}

func checkBranch(p Problem, b Branch, hung []bool) error {
	root := p.Terminals + b.Root
	if len(b.Terminals) == 0 {
		return fmt.Errorf("it has no terminals")
	}
	wires := map[int]int{} // of each node
	load, cost := 0, 0.0
	mine := map[int]bool{root: true}
	for k, w := range b.Wires {
		c := p.Cost(min(w.From, w.To), max(w.From, w.To))
		if math.IsInf(c, 1) {
			return fmt.Errorf("no wire may go from %d to %d", w.From, w.To)
		}
		cost += c
		wires[w.From]++
		wires[w.To]++
		if !mine[w.From] {
			return fmt.Errorf("the wire from %d to %d does not begin at what hangs already", w.From, w.To)
		}
		if back := p.Shape == Ring && k == len(b.Wires)-1; back {
			if w.To != root || k == 0 {
				return fmt.Errorf("the ring ends at %d", w.To)
			}
			continue
		}
		if w.To < 0 || w.To >= p.Terminals || hung[w.To] {
			return fmt.Errorf("%d is no terminal, or hangs already", w.To)
		}
		if k >= len(b.Terminals) || b.Terminals[k] != w.To {
			return fmt.Errorf("wire %d leads to %d, which is not listed there", k, w.To)
		}
		if p.Shape != Tree && k > 0 && w.From != b.Wires[k-1].To {
			return fmt.Errorf("the %s forks at %d", p.Shape, w.From)
		}
		mine[w.To], hung[w.To] = true, true
		if p.Load == nil {
			load++
		} else {
			load += p.Load[w.To]
		}
	}
	want, atRoot := len(b.Terminals), 1
	if p.Shape == Ring {
		want, atRoot = want+1, 2
	}
	if len(b.Wires) != want || wires[root] != atRoot {
		return fmt.Errorf("%d wires join %d terminals, %d of them at the root", len(b.Wires), len(b.Terminals), wires[root])
	}
	for node, n := range wires {
		if node != root && p.Degree > 0 && n > p.Degree {
			return fmt.Errorf("terminal %d has %d wires, and takes %d", node, n, p.Degree)
		}
	}
	if load != b.Load || p.Capacity > 0 && load > p.Capacity {
		return fmt.Errorf("the load is %d, stated %d, and %d at most", load, b.Load, p.Capacity)
	}
	if !(math.Abs(cost-b.Cost) <= 1e-9*math.Abs(cost)) {
		return fmt.Errorf("the wires cost %g, not %g", cost, b.Cost)
	}
	return nil
}
