// Package place puts things side by side in a convex region: footprints with clearances by pairs of classes, things that stay, an order
// to keep, and a preference for lines, even gaps, a mirror axis and short ways. It is pure mathematics: it knows lengths and classes and
// nothing of what the things are. The same problem, options and seed give the same solutions.
//
// A thing to be placed is an Item. It has one unknown, a point, and carries Bodies: each body stands at its offset plus a matrix times
// the point, so that one item can be a whole row, or a yard together with its mirror image. A body's Kind lists its pieces: convex
// polygons grown by a radius, each of a class. Two pieces of classes a and b must stay Apart[a][b] away from each other; below Least the
// placement is not valid, below Good it is valid and counts as trouble. Front and rear, hole and letters are classes like any other.
package place

import (
	"context"
	"errors"
	"math"

	"knobwright/internal/geom"
)

// Room is how far two pieces must stay apart; -Inf = they have nothing to do with each other. Least <= Good.
type Room struct{ Good, Least float64 }

// Free is the room of pieces that have nothing to do with each other.
var Free = Room{math.Inf(-1), math.Inf(-1)}

// Side is a line that a piece stays on one side of: N·p <= Good for all its points, at the very least N·p <= Least. N has length 1 and
// Good <= Least.
type Side struct {
	N           geom.Vec2
	Good, Least float64
}

// Piece is a convex polygon (counter-clockwise), a line or a point, grown by R >= 0.
type Piece struct {
	Core  []geom.Vec2
	R     float64
	Class int
}

// Kind is a footprint: pieces round its own origin.
type Kind []Piece

// Matrix is {a, b, c, d}: the point x, y goes to a x + b y, c x + d y.
type Matrix [4]float64

// Same follows a move as it is.
var Same = Matrix{1, 0, 0, 1}

// Apply gives the image of a point.
func (m Matrix) Apply(p geom.Vec2) geom.Vec2 {
	return geom.Vec2{X: m[0]*p.X + m[1]*p.Y, Y: m[2]*p.X + m[3]*p.Y}
}

// back gives the image under the transpose.
func (m Matrix) back(p geom.Vec2) geom.Vec2 {
	return geom.Vec2{X: m[0]*p.X + m[2]*p.Y, Y: m[1]*p.X + m[3]*p.Y}
}

// Body is a footprint that moves with its item: it stands at At + Follow·(the item's point).
type Body struct {
	Kind   int
	At     geom.Vec2
	Follow Matrix
	Group  int // bodies of one group (not 0) keep the rooms of Within, others those of Apart
}

// Item is a thing to be placed.
type Item struct {
	Name  string
	Forms [][]Body  // at least one; the first is the usual one. All forms have bodies of the same kinds in the same order
	Start geom.Vec2 // where it is now
	Fresh bool      // it stands nowhere yet: Start means nothing
	Team  int       // items of one team (not 0) are to stay together
	Like  int       // items of one likeness (not 0) may be counterparts of each other across the axis
	Mass  float64   // what it weighs in the balance about the axis; > 0
}

// Order asks that B comes after A in a direction.
type Order struct {
	A, B  int       // items
	Dir   geom.Vec2 // length 1
	Least float64   // from the middle of A to the middle of B along Dir; less counts as broken
	// Reading asks for the order of reading instead: B stands in a lower line, or to the right in the same one. Lines lie Least apart.
	Reading bool
	// Line asks the two to stand in one line along Dir: across it some body of A and some body of B are level.
	Line bool
}

// Problem is all there is to be placed.
type Problem struct {
	Kinds  []Kind
	Items  []Item
	Stay   []Body // bodies that stay: at At + Follow·0
	Apart  [][]Room
	Within [][]Room
	Sides  [][]Side // by class
	Layers []Layer
	Orders []Order
	Grain  float64 // > 0: points are multiples of it, or the item's Start
	Axis   float64 // the upright mirror axis: x = Axis
	Frame  geom.Box2
	Weight Weights
}

// Layer is a set of classes whose pieces exclude each other, for proofs by area.
type Layer struct {
	Name  string
	Class []bool
}

// Weights turn each term of the score into points.
type Weights struct {
	Trouble  float64 // a pair below its good room, or a body beyond a good side; twice that when all of the room is missing
	Order    float64 // a broken order
	Together float64 // a mm of a team's half perimeter beyond twice that of a square as large as its members; a mm by which an item reaches into one of several bodies
	Line     float64 // a mm, half of it mean over the items, off the line of the nearest other item, half of it mean over the orders that ask for a line
	Rows     float64 // a different height at which bodies stand
	Gaps     float64 // a mm, mean over the lines, by which gaps differ from their mean
	Twins    float64 // a mm, mean over the bodies of all items, off the item's counterpart; 30 mm and more count as 30
	Balance  float64 // a mm of the middle of all masses off the axis
	Spread   float64 // a mm of the half perimeter round all items
	Moved    float64 // a mm, mean over the items, away from the start
}

// Usual are weights that make no term overrule trouble and order.
var Usual = Weights{Trouble: 100, Order: 20, Together: 0.4, Line: 4, Rows: 1.5, Gaps: 1.5, Twins: 0.7, Balance: 0.7, Spread: 0.01, Moved: 0.25}

// Style is one way of looking: factors on the weights while it is searched. What is found is scored by the problem's own weights.
type Style struct {
	Name  string
	Scale Weights // factors
	Start Start
}

// Start says from where a style begins.
type Start int

// The beginnings.
const (
	FromStart Start = iota // where things are
	FromRows               // set in straight rows with even gaps, in the order of the start
	FromAxis               // rows, each of them in the middle
)

// Term is one summand of a score.
type Term struct {
	Name   string  // trouble, order, together, line, rows, gaps, twins, balance, spread, moved
	Have   float64 // in mm, or a count
	Points float64
}

// Score is what a placement is worth, lower is better; Total is the sum of the points.
type Score struct {
	Terms []Term
	Total float64
	Hard  int     // pairs and sides below the least; 0 = valid
	Lack  float64 // of those, mm together
	Soft  int     // pairs and sides below the good room, hard ones included
}

// Solution is a valid placement.
type Solution struct {
	At    []geom.Vec2 // by item
	Form  []int
	Style string
	Score Score
}

// Options say how to look.
type Options struct {
	Seed     uint64
	Styles   []Style
	Most     int         // solutions that are wanted
	Apart    float64     // mm: two solutions differ when some item stands so far from its place in the other, or
	Mean     float64     // mm: the items stand so far apart in the mean
	Unlike   []geom.Vec2 // a placement that no solution is to be, nil = none: what stands now is no news
	Work     int64       // steps of reckoning, 0 = a usual amount; it bounds the time, and makes it the same everywhere
	Progress func(part float64, found int)
}

// Result is what was found.
type Result struct {
	Solutions []Solution // different ones: the best of each style first, then more
	Start     *Score     // of the placement as it is; nil when an item is fresh
	Proof     *Proof     // why there is no valid placement; nil when that is not known
	Stopped   bool       // the context ended before the work was done
	Work      int64
	Tightest  float64 // of all that was seen, the least lack of any placement, mm; 0 when one is valid
}

// ErrProblem is what is wrong with a problem itself.
var ErrProblem = errors.New("the problem does not hold together")

// Solve looks for valid placements that score well and differ from each other. When it finds none, Result.Proof says why there is
// none, or is nil: then none was found, and that is all that is known.
func Solve(ctx context.Context, p *Problem, o Options) (*Result, error) {
	c, err := compile(p)
	if err != nil {
		return nil, err
	}
	r := &Result{}
	if len(p.Items) == 0 {
		return r, nil
	}
	fresh := false
	for i := range p.Items {
		fresh = fresh || p.Items[i].Fresh
	}
	if !fresh {
		s := c.score(c.starting())
		r.Start = &s
	}
	if r.Proof = c.proof(); r.Proof != nil {
		return r, nil
	}
	c.solve(ctx, o, r)
	return r, nil
}

// Evaluate scores a placement from the definitions alone, without what the search keeps.
func Evaluate(p *Problem, at []geom.Vec2, form []int) (Score, error) {
	c, err := compile(p)
	if err != nil {
		return Score{}, err
	}
	if len(at) != len(p.Items) || len(form) != len(p.Items) {
		return Score{}, ErrProblem
	}
	s := c.blank()
	copy(s.at, at)
	copy(s.form, form)
	return c.score(s), nil
}

// Inner counts the pairs of bodies that are nearer to each other than their good room, wherever they stand together.
func Inner(p *Problem, bodies []Body) int {
	c := &compiled{Problem: p}
	c.pairs[0], c.pairs[1] = make([]*zones, len(p.Kinds)*len(p.Kinds)), make([]*zones, len(p.Kinds)*len(p.Kinds))
	n := 0
	for i := range bodies {
		for j := range i {
			if lack, _, _ := c.between(&bodies[j], &bodies[i]).meets(bodies[i].At.Sub(bodies[j].At)); lack > 0 {
				n++
			}
		}
	}
	return n
}
