package pack

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// tolerance is how far lengths may be off after rounding to micrometres, mm.
const tolerance = 0.002

// CheckError says how an answer breaks the rules.
type CheckError struct {
	Layout int    // index of the layout
	Piece  int    // index of a piece concerned, or [None]
	Rule   string // what is broken, with numbers
}

func (e *CheckError) Error() string {
	if e.Piece == None {
		return fmt.Sprintf("layout %d: %s", e.Layout+1, e.Rule)
	}
	return fmt.Sprintf("layout %d, piece %d: %s", e.Layout+1, e.Piece+1, e.Rule)
}

// Check proves layouts from their numbers alone, whoever made them. It returns a [*CheckError] unless
//
//   - every piece has its size, turned only where it may be, and lies within the trims of its sheet;
//   - pieces on one sheet keep a kerf apart, in one direction at least;
//   - no piece is placed more often than it is wanted, and no sheet used more often than there are;
//   - where there is a tree of cuts: it begins with the whole sheet within its trims, each cut parts a panel into
//     what it says and a kerf, and the panels that are pieces are the placed pieces.
//
// Lengths may be off by some micrometres, for that is how they are rounded.
func Check(pieces []Piece, sheets []Sheet, o Options, layouts []Layout) error {
	placed, used := make([]int, len(pieces)), make([]int, len(sheets))
	for i, l := range layouts {
		if l.Sheet < 0 || l.Sheet >= len(sheets) {
			return &CheckError{i, None, fmt.Sprintf("there is no sheet %d", l.Sheet+1)}
		}
		used[l.Sheet]++
		s := sheets[l.Sheet]
		switch {
		case l.Width != s.Width || l.Height != s.Height:
			return &CheckError{i, None, "the sheet has another size"}
		case l.Kerf != o.Kerf || l.Trim != o.Trim:
			return &CheckError{i, None, "kerf or trims are not as asked"}
		case s.Count != Unlimited && used[l.Sheet] > s.Count:
			return &CheckError{i, None, fmt.Sprintf("sheet %d is used more than %d times", l.Sheet+1, s.Count)}
		}
		for _, rule := range []func(int, Layout, []Piece) error{checkSizes, checkApart, checkTree} {
			if err := rule(i, l, pieces); err != nil {
				return err
			}
		}
		for _, p := range l.Placed {
			placed[p.Piece]++
			if want := pieces[p.Piece].Count; want != Unlimited && placed[p.Piece] > want {
				return &CheckError{i, p.Piece, fmt.Sprintf("placed more than %d times", want)}
			}
		}
	}
	return nil
}

func near(a, b float64) bool { return math.Abs(a-b) <= tolerance }

func checkSizes(i int, l Layout, pieces []Piece) error {
	for _, p := range l.Placed {
		if p.Piece < 0 || p.Piece >= len(pieces) {
			return &CheckError{i, p.Piece, "no such piece"}
		}
		want := pieces[p.Piece]
		w, h := want.Width, want.Height
		if p.Turned {
			w, h = h, w
		}
		switch {
		case p.Turned && !want.Turn:
			return &CheckError{i, p.Piece, "turned against its grain"}
		case !near(p.Width, w) || !near(p.Height, h):
			return &CheckError{i, p.Piece, fmt.Sprintf("is %g × %g mm; wanted %g × %g", p.Width, p.Height, w, h)}
		case !(p.X >= l.Trim.Left-tolerance && p.X+p.Width <= l.Width-l.Trim.Right+tolerance &&
			p.Y >= l.Trim.Bottom-tolerance && p.Y+p.Height <= l.Height-l.Trim.Top+tolerance):
			return &CheckError{i, p.Piece, fmt.Sprintf("reaches outside its sheet at %g, %g", p.X, p.Y)}
		}
	}
	return nil
}

// checkApart compares pieces in the order of their left edges, each with those that begin before it ends.
func checkApart(i int, l Layout, _ []Piece) error {
	order := slices.Clone(l.Placed)
	slices.SortStableFunc(order, func(a, b Placement) int { return cmp.Compare(a.X, b.X) })
	for a, p := range order {
		for _, q := range order[a+1:] {
			if q.X >= p.X+p.Width+l.Kerf-tolerance {
				break
			}
			if p.Y+p.Height+l.Kerf > q.Y+tolerance && q.Y+q.Height+l.Kerf > p.Y+tolerance {
				return &CheckError{i, p.Piece, fmt.Sprintf("at %g, %g meets piece %d at %g, %g, or leaves it less than a kerf",
					p.X, p.Y, q.Piece+1, q.X, q.Y)}
			}
		}
	}
	return nil
}

func checkTree(i int, l Layout, pieces []Piece) error {
	n := l.Root
	if n == nil {
		return nil
	}
	if !near(n.X, l.Trim.Left) || !near(n.Y, l.Trim.Bottom) ||
		!near(n.Width, l.Width-l.Trim.Left-l.Trim.Right) || !near(n.Height, l.Height-l.Trim.Bottom-l.Trim.Top) {
		return &CheckError{i, None, "the first panel is not the sheet within its trims"}
	}
	var leaves []*Node
	var err error
	n.Walk(func(n *Node) {
		if e := checkCut(n, l.Kerf); e != "" && err == nil {
			err = &CheckError{i, None, e}
		}
		if n.Leaf() && n.Piece != None {
			leaves = append(leaves, n)
		}
	})
	if err != nil {
		return err
	}
	if len(leaves) != len(l.Placed) {
		return &CheckError{i, None, fmt.Sprintf("the cuts give %d pieces, %d are placed", len(leaves), len(l.Placed))}
	}
	for k, p := range l.Placed {
		n := leaves[k]
		const slack = tolerance + hair/float64(perMM)
		if n.Piece != p.Piece || n.Turned != p.Turned || !near(n.X, p.X) || !near(n.Y, p.Y) ||
			math.Abs(n.Width-p.Width) > slack || math.Abs(n.Height-p.Height) > slack {
			return &CheckError{i, p.Piece, fmt.Sprintf("is placed at %g, %g, but cut at %g, %g as %g × %g mm",
				p.X, p.Y, n.X, n.Y, n.Width, n.Height)}
		}
	}
	return nil
}

// checkCut says what is wrong with the cut through a panel, or nothing.
func checkCut(n *Node, kerf float64) string {
	a, b := n.First, n.Second
	if a == nil {
		if b != nil {
			return "a panel is cut into one"
		}
		return ""
	}
	if n.Piece != None {
		return "a piece is cut further"
	}
	// Coordinates along and across the line of parts.
	type span struct{ at, size, acrossAt, acrossSize float64 }
	of := func(n *Node, upright bool) span {
		if upright {
			return span{n.X, n.Width, n.Y, n.Height}
		}
		return span{n.Y, n.Height, n.X, n.Width}
	}
	whole, first := of(n, n.Upright), of(a, n.Upright)
	flush := func(s span) bool { return near(s.acrossAt, whole.acrossAt) && near(s.acrossSize, whole.acrossSize) }
	if !flush(first) || !near(first.at, whole.at) || first.size <= 0 {
		return fmt.Sprintf("the cut of the panel at %g, %g does not run from edge to edge", n.X, n.Y)
	}
	rest := whole.size - first.size - kerf
	if b == nil {
		if rest > tolerance || rest+kerf <= 0 {
			return fmt.Sprintf("%g mm of the panel at %g, %g are lost", rest, n.X, n.Y)
		}
		return ""
	}
	second := of(b, n.Upright)
	if !flush(second) || !near(second.size, rest) || !near(second.at, first.at+first.size+kerf) {
		return fmt.Sprintf("the panel at %g, %g is not made of its parts and a kerf", n.X, n.Y)
	}
	return ""
}
