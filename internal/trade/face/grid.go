package face

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// grid finds the items near a box: a plain grid of cells over the panel. It is made once and only read afterwards.
type grid struct {
	cell    float64
	nx, ny  int
	x0, y0  float64
	cells   [][]int32
	boxes   []geom.Box2
	seen    []uint32 // stamp of the look in which an item was last taken
	stamp   uint32
	results []int32
}

// newGrid sorts boxes into cells of about the given size; boxes that hold nothing are left out.
func newGrid(boxes []geom.Box2, cell float64) *grid {
	g := &grid{cell: cell, boxes: boxes, seen: make([]uint32, len(boxes))}
	all := geom.EmptyBox2()
	for _, b := range boxes {
		if b.Min.X <= b.Max.X {
			all = all.Union(b)
		}
	}
	if all.Min.X > all.Max.X {
		return g
	}
	const most = 256 // cells along a side, so that one stray item does not make millions
	size := all.Size()
	g.cell = max(cell, size.X/most, size.Y/most)
	g.x0, g.y0 = all.Min.X, all.Min.Y
	g.nx, g.ny = int(size.X/g.cell)+1, int(size.Y/g.cell)+1
	g.cells = make([][]int32, g.nx*g.ny)
	for i, b := range boxes {
		if b.Min.X <= b.Max.X {
			g.each(b, func(c int) { g.cells[c] = append(g.cells[c], int32(i)) })
		}
	}
	return g
}

// each calls f for every cell that a box touches.
func (g *grid) each(b geom.Box2, f func(c int)) {
	clamp := func(v float64, n int) int { return min(max(int(math.Floor(v/g.cell)), 0), n-1) }
	xa, xb := clamp(b.Min.X-g.x0, g.nx), clamp(b.Max.X-g.x0, g.nx)
	ya, yb := clamp(b.Min.Y-g.y0, g.ny), clamp(b.Max.Y-g.y0, g.ny)
	for y := ya; y <= yb; y++ {
		for x := xa; x <= xb; x++ {
			f(y*g.nx + x)
		}
	}
}

// find gives the items whose boxes overlap b, in order. The result is good until the next call.
func (g *grid) find(b geom.Box2) []int32 {
	g.results = g.results[:0]
	if len(g.cells) == 0 || b.Min.X > b.Max.X {
		return g.results
	}
	g.stamp++
	g.each(b, func(c int) {
		for _, i := range g.cells[c] {
			if g.seen[i] != g.stamp && g.boxes[i].Overlaps(b) {
				g.seen[i] = g.stamp
				g.results = append(g.results, i)
			}
		}
	})
	slices.Sort(g.results)
	return g.results
}
