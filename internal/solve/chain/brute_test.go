package chain

import "math"

// least looks at every way to hang each terminal on another node, and returns the least cost of those that obey all
// limits, or +Inf.
func least(p Problem) float64 {
	n := p.Terminals
	above := make([]int, n)
	best := math.Inf(1)
	var try func(v int)
	try = func(v int) {
		if v == n {
			if c := costAbove(p, above); c < best {
				best = c
			}
			return
		}
		for u := range n + len(p.Roots) {
			if u != v {
				above[v] = u
				try(v + 1)
			}
		}
	}
	try(0)
	return best
}

// costAbove is the cost of hanging each terminal v on above[v], or +Inf if that breaks a limit.
func costAbove(p Problem, above []int) float64 {
	n, no := p.Terminals, math.Inf(1)
	cost := func(i, j int) float64 { return p.Cost(min(i, j), max(i, j)) }
	sum := 0.0
	below := make([]int, n+len(p.Roots))
	loads := make([]int, n) // at the first terminal of each branch
	top := make([]int, n)
	for v, u := range above {
		sum += cost(v, u)
		below[u]++
		t := v
		for steps := 0; above[t] < n; steps++ {
			if steps == n {
				return no // a loop
			}
			t = above[t]
		}
		top[v] = t
		loads[t]++
		if p.Load != nil {
			loads[t] += p.Load[v] - 1
		}
	}
	for v := range n {
		wires := below[v] + 1
		if p.Shape != Tree && below[v] > 1 || p.Capacity > 0 && loads[v] > p.Capacity {
			return no
		}
		if p.Shape == Ring && below[v] == 0 { // the end of its ring
			sum += cost(v, above[top[v]])
			wires++
		}
		if p.Degree > 0 && wires > p.Degree {
			return no
		}
	}
	for r, root := range p.Roots {
		if root.Branches > 0 && below[n+r] > root.Branches {
			return no
		}
	}
	return sum
}
