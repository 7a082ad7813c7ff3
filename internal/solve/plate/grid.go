package plate

import (
	"math"
	"slices"
	"sort"
)

// mostCells bounds the grid, so that no model can take forever: about 60 000 unknowns and a second.
const mostCells = 12000

// merge is the share of a cell below which two wanted grid lines become one.
const merge = 0.09

// want is a place where a grid line is wanted; the lower the rank, the more it matters.
type want struct {
	at   float64
	rank int
}

// grid is the tensor grid: cell (i, j) lies between xs[i], xs[i+1] and ys[j], ys[j+1].
type grid struct {
	h      float64 // wanted size
	xs, ys []float64
}

func (g *grid) nx() int { return len(g.xs) - 1 }
func (g *grid) ny() int { return len(g.ys) - 1 }

// find gives the cell that holds p; points outside get the nearest cell.
func (g *grid) find(p vec) (i, j int) { return slot(g.xs, p.X), slot(g.ys, p.Y) }

func slot(xs []float64, x float64) int {
	return min(max(sort.SearchFloat64s(xs, x)-1, 0), len(xs)-2)
}

// nearest gives the number of the line nearest to x.
func nearest(xs []float64, x float64) int {
	i := sort.SearchFloat64s(xs, x)
	if i == len(xs) || i > 0 && x-xs[i-1] <= xs[i]-x {
		i--
	}
	return i
}

// onLine moves a coordinate onto a grid line that it misses by a hair.
func onLine(xs []float64, x, hair float64) float64 {
	if l := xs[nearest(xs, x)]; math.Abs(l-x) <= hair {
		return l
	}
	return x
}

// snap moves a point onto grid lines that it misses by a hair, so that an edge along a line is one to the last bit.
func (g *grid) snap(p vec) vec {
	hair := 1e-7 * g.h
	return vec{X: onLine(g.xs, p.X, hair), Y: onLine(g.ys, p.Y, hair)}
}

// wants gathers the places for grid lines.
type wants struct{ x, y []want }

// segment wants lines for a straight stretch parallel to an axis: along it, and at its ends if asked.
func (w *wants) segment(a, b vec, rank int, ends bool) {
	d := b.Sub(a)
	const slant = 1e-6
	l := d.Len()
	switch {
	case math.Abs(d.Y) <= slant*l:
		w.y = append(w.y, want{(a.Y + b.Y) / 2, rank})
		if ends {
			w.x = append(w.x, want{a.X, rank}, want{b.X, rank})
		}
	case math.Abs(d.X) <= slant*l:
		w.x = append(w.x, want{(a.X + b.X) / 2, rank})
		if ends {
			w.y = append(w.y, want{a.Y, rank}, want{b.Y, rank})
		}
	}
}

// lay makes grid lines: the wanted ones, those of lower rank first, and between them as many as keep cells at h or less
// (a fifth more before another line goes in).
func lay(ws []want, h float64) []float64 {
	ws = slices.Clone(ws)
	slices.SortStableFunc(ws, func(a, b want) int { return a.rank - b.rank })
	var fixed []float64
	lo, hi := ws[0].at, ws[1].at // the box comes first
	for _, w := range ws {
		if w.at < lo || w.at > hi {
			continue
		}
		ok := true
		for _, f := range fixed {
			if math.Abs(f-w.at) < merge*h {
				ok = false
				break
			}
		}
		if ok {
			fixed = append(fixed, w.at)
		}
	}
	slices.Sort(fixed)
	out := fixed[:1:1]
	for i := 1; i < len(fixed); i++ {
		a, b := fixed[i-1], fixed[i]
		n := max(1, int(math.Ceil((b-a)/h-0.2)))
		for k := 1; k < n; k++ {
			out = append(out, a+(b-a)*float64(k)/float64(n))
		}
		out = append(out, b)
	}
	return out
}

// newGrid lays the grid over the box of the outline.
func newGrid(lo, hi vec, w wants, h float64) (grid, error) {
	w.x = append([]want{{lo.X, 0}, {hi.X, 0}}, w.x...)
	w.y = append([]want{{lo.Y, 0}, {hi.Y, 0}}, w.y...)
	// a first estimate, so that a tiny cell size asked for does not make a list of a billion lines
	if est := (hi.X - lo.X) / h * ((hi.Y - lo.Y) / h); est > mostCells {
		h *= math.Sqrt(est / mostCells)
	}
	h = max(h, max(hi.X-lo.X, hi.Y-lo.Y)/mostCells)
	for range 40 {
		g := grid{h, lay(w.x, h), lay(w.y, h)}
		if g.nx()*g.ny() <= mostCells {
			return g, nil
		}
		h *= 1.3
	}
	return grid{}, &SizeError{len(w.x) + len(w.y), int(math.Sqrt(mostCells)) * 2}
}

// cellSize gives the usual size of cells: 10 mm, or a twelfth of the shorter side; for strips a hundredth of the longer one, but
// at most a quarter of the shorter.
func cellSize(lo, hi vec) float64 {
	w, h := hi.X-lo.X, hi.Y-lo.Y
	short, long := min(w, h), max(w, h)
	return min(10, short/4, max(short/12, long/100))
}
