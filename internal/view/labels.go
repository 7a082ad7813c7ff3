package view

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// Labeller finds free places for labels beside what they name: nothing covers a hole, another label or a number. It tries a
// fixed list of places and takes the best; it never moves a label that has its place.
type Labeller struct {
	Sheet geom.Box2 // labels stay inside
	Arm   float64   // how much larger, all round, the boxes that labels stand beside are than the things themselves, mm
	Kin   []int     // owners that the next label is not read for by mistake, besides its own
	taken []place
}

// place is a taken place; what has an owner above 0 draws labels to itself.
type place struct {
	box   geom.Box2
	owner int
}

// Block takes a place for something that no label could be read for.
func (l *Labeller) Block(b geom.Box2) { l.Own(0, b) }

// Own takes a place for a thing that labels belong to, by its number (above 0), or for one of its labels.
func (l *Labeller) Own(owner int, b geom.Box2) { l.taken = append(l.taken, place{b, owner}) }

// Taken lists every place that is taken.
func (l *Labeller) Taken() []geom.Box2 {
	out := make([]geom.Box2, len(l.taken))
	for i, t := range l.taken {
		out[i] = t.box
	}
	return out
}

// Where to look for room, in order: unit steps from the middle of the thing.
var (
	AboveFirst  = []geom.Vec2{{X: 0, Y: 1}, {X: 0, Y: -1}, {X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0.8, Y: 0.9}, {X: -0.8, Y: 0.9}, {X: 0.8, Y: -0.9}, {X: -0.8, Y: -0.9}}
	BelowFirst  = []geom.Vec2{{X: 0, Y: -1}, {X: 0, Y: 1}, {X: 1, Y: 0}, {X: -1, Y: 0}, {X: 0.8, Y: -0.9}, {X: -0.8, Y: -0.9}, {X: 0.8, Y: 0.9}, {X: -0.8, Y: 0.9}}
	CornerFirst = []geom.Vec2{{X: -0.75, Y: 0.75}, {X: 0.75, Y: 0.75}, {X: -0.75, Y: -0.75}, {X: 0.75, Y: -0.75}, {X: -1, Y: 0}, {X: 1, Y: 0}, {X: 0, Y: 1}, {X: 0, Y: -1}}
)

// How far beyond its gap a label may stand, mm, and how far it may slide along the side it stands at, as a part of what keeps
// it in touch with the thing.
var (
	labelFar   = []float64{0, 0.8, 1.6, 2.5, 4, 6, 9}
	labelSlide = []float64{0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9}
)

// Free is the room that a label may share with others and still count as standing free, mm².
const Free = 0.05

// Best finds the best middle for a label of size w by h beside a thing, and how badly it stands there: the area it shares with
// what is taken and what hangs over the sheet, in mm²; up to Free it stands free. stray is how much nearer, in mm, it stands to
// another owner's things than to its own: above 0 it could be read for that. It takes no place.
func (l *Labeller) Best(owner int, of geom.Box2, w, h, gap float64, prefer []geom.Vec2) (best geom.Vec2, bad, stray float64) {
	reach := gap + labelFar[len(labelFar)-1] + max(w, h)
	var near []place
	for _, t := range l.taken {
		if t.box.Overlaps(of.Grow(reach)) {
			near = append(near, t)
		}
	}
	c, s, thing := of.Centre(), of.Size(), of.Grow(-l.Arm)
	bad = math.Inf(1)
	bestCost := math.Inf(1)
	for _, far := range labelFar {
		for i, d := range prefer {
			for _, slide := range labelSlide {
				if slide != 0 && d.X != 0 && d.Y != 0 {
					break // a corner is a slid side already
				}
				at := geom.Vec2{X: c.X + d.X*(s.X/2+gap+far+w/2), Y: c.Y + d.Y*(s.Y/2+gap+far+h/2)}
				if d.X == 0 {
					at.X += slide * (s.X + w) / 2
				} else if d.Y == 0 {
					at.Y += slide * (s.Y + h) / 2
				}
				b := boxAt(at, w, h)
				shares := l.shares(near, b)
				cost := 20*shares + 0.3*far + 0.25*float64(i) + 2*math.Abs(slide)
				if shares > 1e-6 {
					cost += 2
				}
				if cost >= bestCost {
					continue
				}
				lost := l.strays(near, owner, thing, b)
				if cost += min(3*lost, 9); cost < bestCost-1e-9 {
					best, bestCost, bad, stray = at, cost, shares, lost
				}
			}
		}
	}
	return best, bad, stray
}

// Find finds the best middle for a label, free or the least bad, and takes the place.
func (l *Labeller) Find(owner int, of geom.Box2, w, h, gap float64, prefer []geom.Vec2) geom.Vec2 {
	at, _, _ := l.Best(owner, of, w, h, gap, prefer)
	l.Own(owner, boxAt(at, w, h))
	return at
}

// shares is the area that a box has in common with what is taken, and what hangs over the sheet.
func (l *Labeller) shares(near []place, b geom.Box2) float64 {
	c := 0.0
	for _, t := range near {
		w := min(b.Max.X, t.box.Max.X) - max(b.Min.X, t.box.Min.X)
		h := min(b.Max.Y, t.box.Max.Y) - max(b.Min.Y, t.box.Min.Y)
		if w > 0 && h > 0 {
			c += w * h
		}
	}
	size := b.Size()
	in := geom.Vec2{X: min(b.Max.X, l.Sheet.Max.X) - max(b.Min.X, l.Sheet.Min.X), Y: min(b.Max.Y, l.Sheet.Max.Y) - max(b.Min.Y, l.Sheet.Min.Y)}
	return c + size.X*size.Y - max(in.X, 0)*max(in.Y, 0)
}

// strays is how much nearer a label stands to another owner's things than to what it names.
func (l *Labeller) strays(near []place, owner int, thing, b geom.Box2) float64 {
	own, other := apart(thing, b), math.Inf(1)
	for _, t := range near {
		if t.owner > 0 && t.owner != owner && !slices.Contains(l.Kin, t.owner) {
			other = min(other, apart(t.box, b))
		}
	}
	return max(own-other, 0)
}

// apart is the distance between two boxes, 0 when they meet.
func apart(a, b geom.Box2) float64 {
	x := max(a.Min.X-b.Max.X, b.Min.X-a.Max.X, 0)
	y := max(a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y, 0)
	return math.Hypot(x, y)
}

// boxAt is the box of a size round a middle.
func boxAt(at geom.Vec2, w, h float64) geom.Box2 {
	return geom.Box2{Min: geom.Vec2{X: at.X - w/2, Y: at.Y - h/2}, Max: geom.Vec2{X: at.X + w/2, Y: at.Y + h/2}}
}
