package packet

import (
	"math"

	"knobwright/internal/geom"
)

// labeller finds free places for labels beside what they name: nothing covers a hole, another label or a number.
type labeller struct {
	taken []geom.Box2
	sheet geom.Box2
}

// block takes a place.
func (l *labeller) block(b geom.Box2) { l.taken = append(l.taken, b) }

// cost is how badly a box would stand: the area it shares with what is taken, and what hangs over the sheet.
func (l *labeller) cost(b geom.Box2) float64 {
	c := 0.0
	for _, t := range l.taken {
		w := min(b.Max.X, t.Max.X) - max(b.Min.X, t.Min.X)
		h := min(b.Max.Y, t.Max.Y) - max(b.Min.Y, t.Min.Y)
		if w > 0 && h > 0 {
			c += w * h
		}
	}
	over := max(l.sheet.Min.X-b.Min.X, 0) + max(b.Max.X-l.sheet.Max.X, 0) + max(l.sheet.Min.Y-b.Min.Y, 0) + max(b.Max.Y-l.sheet.Max.Y, 0)
	return c + 4*over
}

// place finds the best middle for a box of size w by h beside a thing: below, above, right, left, then the corners, nearest
// first; the first free one wins, else the least bad. It takes the place.
func (l *labeller) place(of geom.Box2, w, h, gap float64, prefer []geom.Vec2) geom.Vec2 {
	best, bestCost := geom.Vec2{}, math.Inf(1)
	for _, far := range []float64{0, 2.5, 6} {
		for i, d := range prefer {
			c := of.Centre()
			s := of.Size()
			at := geom.Vec2{
				X: c.X + d.X*(s.X/2+gap+far+w/2),
				Y: c.Y + d.Y*(s.Y/2+gap+far+h/2),
			}
			b := geom.Box2{Min: v(at.X-w/2, at.Y-h/2), Max: v(at.X+w/2, at.Y+h/2)}
			cost := l.cost(b) + 0.01*float64(i) + 0.2*far
			if cost < bestCost-1e-9 {
				best, bestCost = at, cost
			}
		}
		if bestCost < 0.5 {
			break
		}
	}
	l.block(geom.Box2{Min: v(best.X-w/2, best.Y-h/2), Max: v(best.X+w/2, best.Y+h/2)})
	return best
}

// Where to look for room, in order.
var (
	belowFirst  = []geom.Vec2{{X: 0, Y: -1}, {X: 0, Y: 1}, {X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0.8, Y: -0.9}, {X: -0.8, Y: -0.9}, {X: 0.8, Y: 0.9}, {X: -0.8, Y: 0.9}}
	cornerFirst = []geom.Vec2{{X: -0.75, Y: 0.75}, {X: 0.75, Y: 0.75}, {X: -0.75, Y: -0.75}, {X: 0.75, Y: -0.75}, {X: -1, Y: 0}, {X: 1, Y: 0}, {X: 0, Y: 1}, {X: 0, Y: -1}}
)
