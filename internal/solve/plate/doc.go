// Package plate works out how a flat sheet bends: with openings of any shape, ribs, a grain, supports along lines and at points,
// under presses on small areas, pressure and its own weight. It knows nothing of panels.
//
//	p, err := plate.New(model)     // grid, equations, factors; errors say what cannot be
//	p.Compliance()                 // how far every spot moves per newton on every other
//	r, err := p.Solve()            // load cases: movements, reactions, stress along openings, checks
//	r.Cases[0].At(place)           // movement; Moment, EdgeForce likewise
//	p.Frequency(masses)            // lowest natural frequency
//	p.Update(model)                // after a change: a moved hole redoes only what it touches
//
// # Method
//
// Bicubic Hermite rectangles (Bogner, Fox & Schmit 1965) on a grid of straight lines laid along the longest edge; cells with an edge
// through them are integrated over what is left of them (the finite cell method, Parvizian, Düster & Rank 2007), so that
// nothing is meshed. The grid has lines of its own at supports, along straight edges of openings and at ribs.
//
//   - Movement is w = w_b + w_s: bending, and what shear adds, a field with one unknown on a grid as fine or finer (Endo & Kimura
//     2007, Shimpi 2006). Nothing locks.
//   - Along free and simply held edges the sheet carries less twist, as if 0.315 thicknesses were missing (edge.go).
//   - Ribs are lines with the bending, twist and cross bending of a bonded bar, less what its rim does not stiffen; their pull on
//     the sheet goes through a third field, stretching in the plane (rib.go, bond.go), or through an effective width.
//   - The three fields are factored apart. What joins them (ribs' pull, point supports) are bonds: forces found from a small full
//     system, as in a force method.
//   - Stress along an edge is that of the bent field, smoothed to four harmonics round a circle and raised by the layer that a thin
//     plate lacks (stress.go).
//
// # What it does not know
//
// Movements must be small: beyond half a thickness a real sheet is stiffer (by 4 per cent at 0.6 thicknesses on simple edges, 10 at
// 0.56 on clamped ones). Nothing lifts off: a line or point that would have to pull does pull, and says so by its sign.
// Buttons and bezels stiffen their holes; here they do not. Creep is a matter of the modulus given. Stress on the usual grid
// is good to a fifth. Sheets with a grain and soft in shear come out up to 3 per cent off.
//
// How near it comes to tables, series, solids and another program stands in docs/benchmarks.md.
//
// A Plate is not safe for use by several goroutines at once, reading included.
package plate
