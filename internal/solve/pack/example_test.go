package pack_test

import (
	"fmt"
	"math"

	"knobwright/internal/solve/pack"
)

// The boards of a small desk from one sheet of birch plywood. The grain runs along the width, so that nothing turns
// but the feet.
func ExampleStock() {
	pieces := []pack.Piece{
		{Name: "bottom", Width: 380, Height: 240, Count: 1},
		{Name: "back", Width: 380, Height: 120, Count: 1},
		{Name: "side", Width: 240, Height: 110, Count: 2},
		{Name: "foot", Width: 40, Height: 90, Count: 4, Turn: true},
	}
	sheets := []pack.Sheet{{Name: "birch plywood", Width: 800, Height: 600, Count: pack.Unlimited, Cost: 1}}
	plan, err := pack.Stock(pieces, sheets, pack.Options{Kerf: 3})
	if err != nil {
		fmt.Println(err)
		return
	}
	sheet := plan.Layouts[0]
	fmt.Printf("%d sheet, %d cuts\n", len(plan.Layouts), len(sheet.Cuts()))
	for i, c := range sheet.Cuts()[:3] {
		fmt.Printf("%d: panel %d, %g mm from the %v edge\n", i+1, c.Panel, math.Round(c.Distance), c.From)
	}
	for _, o := range sheet.Offcuts(150, 200) {
		fmt.Printf("left over: %g × %g mm\n", math.Round(o.Width), math.Round(o.Height))
	}
	// Output:
	// 1 sheet, 12 cuts
	// 1: panel 1, 380 mm from the left edge
	// 2: panel 2, 589 mm from the bottom edge
	// 3: panel 4, 240 mm from the bottom edge
	// left over: 417 × 600 mm
}
