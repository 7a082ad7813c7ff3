package circuit_test

import (
	"fmt"

	"knobwright/internal/solve/circuit"
)

// A red lamp on 5 V, and what a supply of 4.75 to 5.25 V and a resistor of 5 % do to its current.
func Example() {
	red, err := circuit.Fit(2.0, 0.010, 2, 3) // drops 2 V at 10 mA
	if err != nil {
		fmt.Println(err)
		return
	}
	n := circuit.New()
	n.Voltage("supply", "5V", circuit.Ground, 5)
	n.Resistor("R1", "5V", "lamp", 330)
	n.Diode("D1", "lamp", circuit.Ground, red)
	s, err := n.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f V, %.2f mA\n", s.V("lamp"), 1e3*s.I("D1"))
	spread, err := circuit.Corners(n, []circuit.Tolerance{circuit.PlusMinus("supply", 5, 5), circuit.PlusMinus("R1", 330, 5)},
		func(s *circuit.Solution) []float64 { return []float64{1e3 * s.I("D1")} })
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f to %.2f mA\n", spread[0].Min, spread[0].Max)
	// Output:
	// 1.99 V, 9.11 mA
	// 7.99 to 10.36 mA
}

func ExampleNetwork_Solve_floating() {
	n := circuit.New()
	n.Resistor("R1", "a", circuit.Ground, 100)
	n.Resistor("R2", "b", "c", 100)
	_, err := n.Solve()
	fmt.Println(err)
	// Output: nodes b and c float: nothing but current sources ties them to ground
}
