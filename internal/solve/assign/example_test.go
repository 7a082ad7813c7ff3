package assign_test

import (
	"fmt"
	"math"

	"knobwright/internal/solve/assign"
)

// Three signals, four pins; the last signal may not use pin 0.
func Example() {
	no := math.Inf(1)
	a, err := assign.Solve([][]float64{
		{1, 4, 5, 9},
		{1, 3, 8, 9},
		{no, 2, 6, 9},
	})
	fmt.Println(a.Column, a.Cost, err)
	// Output: [2 0 1] 8 <nil>
}

// Three signals want the two pins that can wake the board.
func ExampleShortage() {
	no := math.Inf(1)
	a, _ := assign.Solve([][]float64{
		{1, 1, no, no},
		{1, 1, no, no},
		{1, 1, 1, 1},
		{2, 1, no, no},
	})
	fmt.Println("served", a.Column, "rows", a.Short.Rows, "columns", a.Short.Columns, "short", a.Short.Short)
	// Output: served [0 1 2 -1] rows [0 1 3] columns [0 1] short 1
}

// Four wires of a ribbon on a line of six pins, and one single wire that would like pin 2.
func ExampleArrange() {
	cost := make([][]float64, 5)
	for i := range cost {
		for pin := range 6 {
			cost[i] = append(cost[i], math.Abs(float64(3-i-pin)))
		}
	}
	cost[4] = []float64{9, 9, 0, 9, 9, 1}
	p, err := assign.Arrange(assign.Arrangement{
		Cost:    cost,
		Lines:   [][]int{{0, 1, 2, 3, 4, 5}},
		Ribbons: []assign.Ribbon{{Rows: []int{0, 1, 2, 3}}},
	})
	fmt.Println(p.Column, p.Cost, p.Optimal, err)
	// Output: [3 2 1 0 5] 1 true <nil>
}
