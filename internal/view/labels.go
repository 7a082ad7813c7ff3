package view

import (
	"math"

	"knobwright/internal/geom"
)

// Labeller finds free places for labels beside what they name: nothing covers a hole, another label or a number.
type Labeller struct {
	taken []geom.Box2
	Sheet geom.Box2 // labels stay inside
}

// Block takes a place.
func (l *Labeller) Block(b geom.Box2) { l.taken = append(l.taken, b) }

// cost is how badly a box would stand: the area it shares with what is taken, and what hangs over the sheet.
func (l *Labeller) cost(b geom.Box2) float64 {
	c := 0.0
	for _, t := range l.taken {
		w := min(b.Max.X, t.Max.X) - max(b.Min.X, t.Min.X)
		h := min(b.Max.Y, t.Max.Y) - max(b.Min.Y, t.Min.Y)
		if w > 0 && h > 0 {
			c += w * h
		}
	}
	over := max(l.Sheet.Min.X-b.Min.X, 0) + max(b.Max.X-l.Sheet.Max.X, 0) + max(l.Sheet.Min.Y-b.Min.Y, 0) + max(b.Max.Y-l.Sheet.Max.Y, 0)
	return c + 4*over
}

// Find finds the best middle for a box of size w by h beside a thing: below, above, right, left, then the corners, nearest
// first; the first free one wins, else the least bad. It takes the place.
func (l *Labeller) Find(of geom.Box2, w, h, gap float64, prefer []geom.Vec2) geom.Vec2 {
	best, bestCost := geom.Vec2{}, math.Inf(1)
	for _, far := range []float64{0, 2.5, 6} {
		for i, d := range prefer {
			c := of.Centre()
			s := of.Size()
			at := geom.Vec2{
				X: c.X + d.X*(s.X/2+gap+far+w/2),
				Y: c.Y + d.Y*(s.Y/2+gap+far+h/2),
			}
			b := geom.Box2{Min: geom.Vec2{X: at.X - w/2, Y: at.Y - h/2}, Max: geom.Vec2{X: at.X + w/2, Y: at.Y + h/2}}
			cost := l.cost(b) + 0.01*float64(i) + 0.2*far
			if cost < bestCost-1e-9 {
				best, bestCost = at, cost
			}
		}
		if bestCost < 0.5 {
			break
		}
	}
	l.Block(geom.Box2{Min: geom.Vec2{X: best.X - w/2, Y: best.Y - h/2}, Max: geom.Vec2{X: best.X + w/2, Y: best.Y + h/2}})
	return best
}

// Where to look for room, in order.
var (
	AboveFirst  = []geom.Vec2{{X: 0, Y: 1}, {X: 0, Y: -1}, {X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0.8, Y: 0.9}, {X: -0.8, Y: 0.9}, {X: 0.8, Y: -0.9}, {X: -0.8, Y: -0.9}}
	BelowFirst  = []geom.Vec2{{X: 0, Y: -1}, {X: 0, Y: 1}, {X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0.8, Y: -0.9}, {X: -0.8, Y: -0.9}, {X: 0.8, Y: 0.9}, {X: -0.8, Y: 0.9}}
	CornerFirst = []geom.Vec2{{X: -0.75, Y: 0.75}, {X: 0.75, Y: 0.75}, {X: -0.75, Y: -0.75}, {X: 0.75, Y: -0.75}, {X: -1, Y: 0}, {X: 1, Y: 0}, {X: 0, Y: 1}, {X: 0, Y: -1}}
)

// Taken lists every place that is taken.
func (l *Labeller) Taken() []geom.Box2 { return l.taken }
