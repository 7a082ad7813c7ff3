package chain_test

import (
	"fmt"

	"knobwright/internal/solve/chain"
)

// Six grounds in two rows, two ground pins in the middle, each with one daisy chain of at most four.
func Example() {
	places := []chain.Point{{0, 0}, {20, 0}, {40, 0}, {0, 20}, {20, 20}, {40, 20}, {25, 10}, {28, 10}}
	plan, err := chain.Solve(chain.Problem{
		Terminals: 6,
		Roots:     []chain.Root{{Branches: 1}, {Branches: 1}},
		Cost:      chain.Euclid(places),
		Capacity:  4,
	}, chain.Usual)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range plan.Branches {
		fmt.Printf("pin %d: %v, %.1f\n", b.Root, b.Terminals, b.Cost)
	}
	fmt.Printf("%.1f, exact: %v\n", plan.Cost, plan.Exact)
	// Output:
	// pin 0: [1 0 3], 51.2
	// pin 1: [4 5 2], 52.8
	// 104.0, exact: true
}
