package pack

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// Bounds in coarse cells still bound, and building up from true sizes still ends with the best.
func TestCoarseCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sheet, o := drawSheet(t, 11), drawOptions(t)
		pieces := fitting(drawPieces(t, 5, 9), sheet)
		j, err := newJob(pieces, []Sheet{sheet}, o)
		if err != nil {
			t.Fatal(err)
		}
		best := newCuttable(copiesOf(pieces), int(o.Kerf)).bestValue(int(sheet.Width), int(sheet.Height))
		for cells := range 6 {
			k := newKnapsack(j, j.bins[0].w, j.bins[0].h)
			items, cell := k.coarse(cells+1, false)
			x, y := axes(items, k.w/cell, k.h/cell, 1000)
			k.solveLimited(newRecursion(items, x, y), cell)
			if k.value != best || !k.proved() {
				t.Fatalf("cells of %d: value %g, bound %g; the best is %g", cell, k.value, k.bound, best)
			}
			for i := range k.items {
				if k.items[i].count > 0 {
					k.items[i].count = Unlimited
				}
			}
			up, cell := k.coarse(cells+1, true)
			if x, y = axes(up, k.w/cell, k.h/cell, 1000); x == nil {
				t.Fatal("no axis")
			}
			r := newRecursion(up, x, y)
			r.solve(nil)
			if b := k.exactSizes(r.whole()); b != nil && (b.w > k.w || b.h > k.h) {
				t.Fatalf("cells of %d rounded up give %d by %d on %d by %d", cell, b.w, b.h, k.w, k.h)
			}
		}
	})
}

// Boards measured to a tenth of a millimetre, many sizes: too many for exact tables.
func TestManySizes(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	tenth := func(low, high float64) float64 { return math.Round(10*(low+(high-low)*random.Float64())) / 10 }
	var pieces []Piece
	for range 12 {
		pieces = append(pieces, Piece{Width: tenth(80, 700), Height: tenth(50, 450), Count: 1 + random.IntN(4), Turn: random.IntN(2) == 0})
	}
	sheet := Sheet{Width: 2440, Height: 1220, Count: 1}
	o := Options{Kerf: 3.2, Trim: Margins{10, 10, 10, 10}, Effort: Quick}
	for _, limited := range []bool{true, false} {
		if !limited {
			for i := range pieces {
				pieces[i].Count = Unlimited
			}
		}
		r, err := Guillotine(pieces, sheet, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(pieces, []Sheet{sheet}, o, []Layout{r.Layout}); err != nil {
			t.Fatal(err)
		}
		t.Logf("limited %v: at most %.1f %% below the best", limited, 100*r.Gap())
		if r.Value > r.Bound || r.Gap() > 0.07 {
			t.Errorf("limited %v: value %g, bound %g", limited, r.Value, r.Bound)
		}
	}
}
