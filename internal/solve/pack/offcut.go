package pack

import (
	"cmp"
	"slices"
)

// Offcut is a rectangle left over, in the frame of the sheet, mm.
type Offcut struct{ X, Y, Width, Height float64 }

// Area is in mm².
func (o Offcut) Area() float64 { return float64(o.Width * o.Height) }

// Offcuts lists what is left over and measures at least short by long, mm, either way round: what is worth a place on
// the rack. The largest comes first. For cuts from edge to edge these are the panels that the cuts leave. For free
// layouts it is the largest empty rectangle a kerf away from all pieces, then the largest in what remains, and so on.
func (l Layout) Offcuts(short, long float64) []Offcut {
	var list []Offcut
	keep := func(o Offcut) bool {
		return min(o.Width, o.Height) >= min(short, long) && max(o.Width, o.Height) >= max(short, long) && o.Area() > 0
	}
	if l.Root == nil {
		return l.gaps(keep)
	}
	l.Root.Walk(func(n *Node) {
		if o := (Offcut{n.X, n.Y, n.Width, n.Height}); n.Waste() && keep(o) {
			list = append(list, o)
		}
	})
	slices.SortStableFunc(list, func(a, b Offcut) int { return cmp.Compare(b.Area(), a.Area()) })
	return list
}

// gaps takes the largest of the largest empty rectangles until none is worth keeping.
func (l Layout) gaps(keep func(Offcut) bool) (list []Offcut) {
	t := l.Trim
	gaps := []Offcut{{t.Left, t.Bottom, l.Width - t.Left - t.Right, l.Height - t.Bottom - t.Top}}
	block := func(o Offcut) {
		var next []Offcut
		for _, g := range gaps {
			next = append(next, g.around(o, l.Kerf)...)
		}
		gaps = slices.DeleteFunc(next, func(g Offcut) bool { return !keep(g) })
		gaps = outermost(gaps)
	}
	gaps = slices.DeleteFunc(gaps, func(g Offcut) bool { return !keep(g) })
	for _, p := range l.Placed {
		block(Offcut{p.X, p.Y, p.Width, p.Height})
	}
	for len(gaps) > 0 {
		best := slices.MaxFunc(gaps, func(a, b Offcut) int { return cmp.Compare(a.Area(), b.Area()) })
		list = append(list, best)
		block(best)
	}
	return list
}

// around lists the largest parts of a gap that stay a kerf away from a piece.
func (o Offcut) around(p Offcut, kerf float64) []Offcut {
	left, right := p.X-kerf-o.X, o.X+o.Width-(p.X+p.Width+kerf)
	below, above := p.Y-kerf-o.Y, o.Y+o.Height-(p.Y+p.Height+kerf)
	if left >= o.Width || right >= o.Width || below >= o.Height || above >= o.Height {
		return []Offcut{o}
	}
	var parts []Offcut
	if left > 0 {
		parts = append(parts, Offcut{o.X, o.Y, left, o.Height})
	}
	if right > 0 {
		parts = append(parts, Offcut{o.X + o.Width - right, o.Y, right, o.Height})
	}
	if below > 0 {
		parts = append(parts, Offcut{o.X, o.Y, o.Width, below})
	}
	if above > 0 {
		parts = append(parts, Offcut{o.X, o.Y + o.Height - above, o.Width, above})
	}
	return parts
}

// outermost drops gaps that lie within others.
func outermost(gaps []Offcut) []Offcut {
	within := func(a, b Offcut) bool {
		return a.X >= b.X && a.Y >= b.Y && a.X+a.Width <= b.X+b.Width && a.Y+a.Height <= b.Y+b.Height
	}
	var kept []Offcut
	for i, a := range gaps {
		inside := false
		for k, b := range gaps {
			if k != i && within(a, b) && (a != b || k < i) {
				inside = true
				break
			}
		}
		if !inside {
			kept = append(kept, a)
		}
	}
	return kept
}
