// Package pack cuts rectangles out of rectangles: boards out of sheets with a table saw, parts out of sheets or
// from a roll with a laser.
//
// It knows nothing of what the rectangles are for. Four questions are answered:
//
//   - [Guillotine]: the most valuable set of pieces from one sheet, cut from edge to edge;
//   - [Stock]: all pieces from the cheapest sheets and offcuts, cut from edge to edge;
//   - [Free]: the same where cuts may begin and end anywhere (laser, router);
//   - [Strip]: all pieces from the shortest length of a roll or strip, either way of cutting.
//
// Lengths are millimetres. Inside, they are whole micrometres, so that sums are exact. A saw that eats a kerf k
// between pieces is the same as a saw that eats nothing and pieces and sheets that are k longer and wider, because n
// pieces in a row need n-1 cuts between them. All answers are deterministic: work is limited by counted steps, never
// by a clock, and every random choice has a fixed seed. Beside each answer stands a bound that no answer can beat,
// and [Check] proves an answer anew from the numbers in it alone.
//
// Sources, all from memory:
//   - P. Gilmore, R. Gomory (1965), Multistage cutting stock problems of two and more dimensions: the recursion over
//     smaller and smaller panels, and column generation.
//   - J. Beasley (1985), Algorithms for unconstrained two-dimensional guillotine cutting: cuts at sums of sides only.
//   - N. Christofides, C. Whitlock (1977), An algorithm for two-dimensional cutting problems: limited numbers of each
//     piece; the recursion without the limits as a bound.
//   - P. Wang (1983), Two algorithms for constrained two-dimensional cutting stock problems: building panels up from
//     pieces; K. Viswanathan, A. Bagchi (1993), Best-first search methods for constrained two-dimensional cutting stock
//     problems: the most promising panel first.
//   - S. Martello, D. Vigo (1998), Exact solution of the two-dimensional finite bin packing problem; S. Fekete,
//     J. Schepers (2001), New classes of fast lower bounds for bin packing problems: bounds by rounded sides.
//   - E. Burke, G. Kendall, G. Whitwell (2004), A new placement heuristic for the orthogonal stock-cutting problem:
//     the best-fitting piece for the lowest gap of the skyline.
package pack

// Unlimited as a count means: as many as you like.
const Unlimited = -1

const (
	// MaxLength is the longest side accepted, in mm.
	MaxLength = 20000.0
	// MaxPieces is the largest number of pieces in one question, counting copies.
	MaxPieces = 10000
)

// Piece is a rectangle that is wanted.
type Piece struct {
	Name          string  // for messages; may be empty
	Width, Height float64 // finished size as it lies on the sheet, mm, above 0 up to [MaxLength]
	Count         int     // how many are wanted; in [Guillotine] how many at most, or [Unlimited]
	Value         float64 // what one is worth; asked by [Guillotine] only; 0 means its area
	Turn          bool    // may be turned by a quarter: no grain, no pattern
}

// Sheet is a kind of rectangle to cut from: a stock sheet, or an offcut at hand.
type Sheet struct {
	Name          string  // for messages; may be empty
	Width, Height float64 // mm, above 0 up to [MaxLength]
	Count         int     // how many there are, or [Unlimited]
	Cost          float64 // what using one costs, 0 or more; 0 suits an offcut that is there anyway
}

// Margins are the bands lost along the edges of every sheet, mm, 0 or more. The kerf of the cut that takes a band
// off lies inside the band.
type Margins struct{ Left, Right, Bottom, Top float64 }

// Options say how the cutting is done. The zero value is a knife that loses nothing.
type Options struct {
	Kerf   float64     // width of the cut lost between neighbours, mm, 0 or more
	Trim   Margins     // lost along the edges
	Effort Effort      // how hard to look
	Stop   func() bool // asked often; once it returns true the best found so far is the answer; may be nil
}

// Effort says how many steps an answer may take. Times are for one core of an ordinary machine.
type Effort uint8

const (
	Usual    Effort = iota // up to about two seconds for hard questions, mostly much less
	Quick                  // about a tenth of that
	Thorough               // about ten times as much
)

// steps scales a number of steps that suits [Usual].
func (e Effort) steps(usual int) int {
	switch e {
	case Quick:
		return max(1, usual/10)
	case Thorough:
		return usual * 10
	}
	return usual
}

func (o Options) stopped() bool { return o.Stop != nil && o.Stop() }

// Placement is a piece where it lies on its sheet. Lengths are mm in the frame of the sheet: origin at its lower left
// corner before trimming, x right, y up.
type Placement struct {
	Piece         int     // index of the piece in the question
	X, Y          float64 // lower left corner
	Width, Height float64 // finished size as it lies
	Turned        bool    // turned by a quarter
}

// Layout is what comes out of one sheet.
type Layout struct {
	Sheet         int         // index of the kind of sheet in the question
	Width, Height float64     // of the sheet, mm
	Placed        []Placement // in the order in which the pieces come off
	Root          *Node       // the cuts as a tree, for cutting from edge to edge; nil for free layouts
	Kerf          float64     // as asked
	Trim          Margins     // as asked
}

// Area is the sum of the areas of the pieces on the sheet, mm².
func (l Layout) Area() float64 {
	sum := 0.0
	for _, p := range l.Placed {
		sum += float64(p.Width * p.Height)
	}
	return sum
}
