package tour_test

import (
	"fmt"

	"knobwright/internal/solve/tour"
)

// Six places on a sheet, the corner first. The round trip is exact at this size.
func Example() {
	places := []tour.Point{{0, 0}, {30, 40}, {90, 40}, {60, 0}, {60, 80}, {0, 80}}
	problem, err := tour.Closed(len(places), tour.Euclid(places))
	if err != nil {
		fmt.Println(err)
		return
	}
	route := problem.Solve(tour.Usual)
	fmt.Println(route.Order, route.Length, route.Exact)
	// Output: [0 1 5 4 2 3] 320 true
}

// From the corner, all of one group, then all of the other.
func ExampleClustered() {
	places := []tour.Point{{0, 0}, {10, 0}, {20, 0}, {30, 0}, {40, 0}}
	groups := [][]int{{2, 4}, {1, 3}}
	problem, err := tour.Clustered(groups, tour.Euclid(places), 0, tour.GivenOrder)
	if err != nil {
		fmt.Println(err)
		return
	}
	route := problem.Solve(tour.Usual)
	fmt.Println(route.Order, route.Length)
	// Output: [0 2 4 3 1] 70
}
