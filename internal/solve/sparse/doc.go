// Package sparse solves symmetric positive definite systems of equations with many zeros: L·Lᵀ = A by fronts, ordered by
// nested dissection, for many right-hand sides, with repairs after local changes and with the small dense products
// bᵀ·A⁻¹·b that come without any back substitution.
//
// The matrix is made of small dense blocks, one for each node of a mesh (blocks of size 1 make it an ordinary matrix).
// The flow is
//
//	pattern := NewPattern(sizes, groups)        // which blocks touch
//	tree    := Dissect(pattern, points, 0)      // or DissectGraph: in which order they go
//	plan    := NewPlan(pattern, tree)           // where every number will stand; once for each pattern
//	factor  := plan.Factor(matrix)              // numbers
//	factor.Update(matrix, blocks)               // after some blocks changed: only their fronts and those above
//	half    := factor.Forward(vectors)          // L⁻¹·b, only along the path of each b
//	half.Gram()                                 // bᵢᵀ·A⁻¹·bⱼ
//	half.Back()                                 // A⁻¹·b
//	half.BackSums(weights)                      // A⁻¹ times sums of b
//
// Everything runs on one thread and gives the same numbers every time. Method: A. George, Nested dissection of a regular
// finite element mesh (1973); I. Duff and J. Reid, The multifrontal solution of indefinite sparse symmetric linear
// equations (1983); D. König's theorem for the smallest separator of a cut.
package sparse
