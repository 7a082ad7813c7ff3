package stiffness

import (
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/solve/plate"
)

// Map tells how far a face gives under a firm thumb anywhere on it: not how it bends under one press, but at each place what a
// press there does. Places over wood do not give.
type Map struct {
	Xs, Ys []float64   // mm, face frame
	Give   [][]float64 // mm, by row (Ys) and column (Xs)
	Ribs   []Rib       // new ones that it holds for
}

// thumbWide is the patch under a thumb, mm. Common practice.
const thumbWide = 14

// slantMap is the largest cell of a map with slanted ribs, mm: no lines of the grid follow those.
const slantMap = 8

// Map reckons the map of a face with further ribs under it, with about so many places along its longer side. ok is false when the face
// could not be reckoned.
func (f *Face) Map(ribs []Rib, places int) (m Map, ok bool) {
	if f.Failed != "" || len(f.Loose) > 0 || places < 2 {
		return m, false
	}
	m.Ribs = ribs
	m.Xs, m.Ys = lattice(f.Panel.Face.Outline.Bounds(), places)
	model := f.model
	model.Cases, model.Spots = nil, nil
	model.Ribs = slices.Clone(model.Ribs)
	for _, r := range ribs {
		model.Ribs = append(model.Ribs, r.model())
	}
	model.Options.Cell = f.coarse()
	for _, r := range model.Ribs {
		if (Rib{A: r.A, B: r.B}).slanted() {
			model.Options.Cell = min(model.Options.Cell, slantMap)
		}
	}
	model.Options.Ribs = plate.EffectiveWidth
	var at [][2]int
	for j, y := range m.Ys {
		m.Give = append(m.Give, make([]float64, len(m.Xs)))
		for i, x := range m.Xs {
			q := geom.Vec2{X: x, Y: y}
			if f.onWood(q) {
				continue
			}
			at = append(at, [2]int{i, j})
			model.Spots = append(model.Spots, f.thumbAt(q))
		}
	}
	// in parts: the table between all places grows with their square
	const part = 200
	spots := model.Spots
	var p *plate.Plate
	for from := 0; from < len(spots); from += part {
		to := min(from+part, len(spots))
		model.Spots = spots[from:to]
		var err error
		if p == nil {
			p, err = plate.New(model)
		} else {
			err = p.Update(model)
		}
		if err != nil {
			return Map{}, false
		}
		for k, row := range p.Compliance() {
			q := at[from+k]
			m.Give[q[1]][q[0]] = max(row[k], 0) * f.Thumb
		}
	}
	return m, true
}

// lattice spreads about so many places along the longer side of a box, and as many along the other as keeps them square.
func lattice(box geom.Box2, places int) (xs, ys []float64) {
	size := box.Size()
	step := max(size.X, size.Y) / float64(places-1)
	axis := func(lo, l float64) (out []float64) {
		n := max(2, int(math.Round(l/step))+1)
		for i := range n {
			out = append(out, lo+l*float64(i)/float64(n-1))
		}
		return out
	}
	return axis(box.Min.X, size.X), axis(box.Min.Y, size.Y)
}

// Fenced is the map with a row of zeros all round, just outside of it: lines of contours on it all close.
func (m Map) Fenced() Map {
	if len(m.Xs) < 2 || len(m.Ys) < 2 {
		return m
	}
	around := func(xs []float64) []float64 {
		const out = 1e-3 // mm
		return append(append([]float64{xs[0] - out}, xs...), xs[len(xs)-1]+out)
	}
	f := Map{Xs: around(m.Xs), Ys: around(m.Ys), Ribs: m.Ribs}
	zeros := make([]float64, len(f.Xs))
	f.Give = append(f.Give, zeros)
	for _, row := range m.Give {
		f.Give = append(f.Give, append(append([]float64{0}, row...), 0))
	}
	f.Give = append(f.Give, zeros)
	return f
}

// thumbAt is a thumb at a place; over an opening it presses on what sits there, and so on the opening's rim.
func (f *Face) thumbAt(q geom.Vec2) plate.Spot {
	for _, o := range f.model.Openings {
		if b := o.Outline.Bounds(); q.X < b.Min.X || q.X > b.Max.X || q.Y < b.Min.Y || q.Y > b.Max.Y || !o.Outline.Contains(q) {
			continue
		}
		if c, d, ok := o.Outline.AsCircle(); ok {
			return plate.Spot{At: c, Inner: d, Outer: max(thumbWide, d+3*least)}
		}
		if s := o.Outline.Bounds().Size(); min(s.X, s.Y) < thumbWide {
			break // the thumb lies across it
		}
		if g := o.Outline.Grow(1.5 * least); !g.Empty() {
			return plate.Spot{At: q, Outline: g}
		}
	}
	return plate.Spot{At: q, Outer: thumbWide}
}

// Contour is one level of a map: runs of points along which the face gives as much.
type Contour struct {
	Level float64 // mm
	Runs  [][]geom.Vec2
}

// Contours gives the lines of levels, by marching through the squares between places. Runs are joined end to end; a closed one ends
// where it begins.
func (m Map) Contours(levels ...float64) (out []Contour) {
	for _, l := range levels {
		c := Contour{Level: l}
		type key [3]int // of an edge of the lattice: column, row, 0 along x or 1 along y
		at := map[key]geom.Vec2{}
		next := map[key][]key{}
		var order []key
		point := func(k key) {
			if _, ok := at[k]; ok {
				return
			}
			i, j := k[0], k[1]
			a, b := geom.Vec2{X: m.Xs[i], Y: m.Ys[j]}, geom.Vec2{}
			va, vb := m.Give[j][i], 0.0
			if k[2] == 0 {
				b, vb = geom.Vec2{X: m.Xs[i+1], Y: m.Ys[j]}, m.Give[j][i+1]
			} else {
				b, vb = geom.Vec2{X: m.Xs[i], Y: m.Ys[j+1]}, m.Give[j+1][i]
			}
			at[k] = a.Add(b.Sub(a).Mul((l - va) / (vb - va)))
			order = append(order, k)
		}
		join := func(a, b key) {
			point(a)
			point(b)
			next[a], next[b] = append(next[a], b), append(next[b], a)
		}
		for j := range len(m.Ys) - 1 {
			for i := range len(m.Xs) - 1 {
				v := [4]float64{m.Give[j][i], m.Give[j][i+1], m.Give[j+1][i+1], m.Give[j+1][i]}
				edges := [4]key{{i, j, 0}, {i + 1, j, 1}, {i, j + 1, 0}, {i, j, 1}}
				var cross []key
				for e := range 4 {
					if (v[e] >= l) != (v[(e+1)%4] >= l) {
						cross = append(cross, edges[e])
					}
				}
				switch {
				case len(cross) == 2:
					join(cross[0], cross[1])
				case len(cross) == 4 && ((v[0]+v[1]+v[2]+v[3])/4 >= l) == (v[0] >= l):
					join(cross[0], cross[1])
					join(cross[2], cross[3])
				case len(cross) == 4:
					join(cross[3], cross[0])
					join(cross[1], cross[2])
				}
			}
		}
		done := map[key]bool{}
		walk := func(k key) (run []geom.Vec2) {
			start := k
			for {
				done[k] = true
				run = append(run, at[k])
				moved := false
				for _, n := range next[k] {
					if !done[n] {
						k, moved = n, true
						break
					}
				}
				if !moved {
					if len(run) > 2 && slices.Contains(next[k], start) {
						run = append(run, at[start])
					}
					return run
				}
			}
		}
		for _, pass := range [2]int{1, 2} { // open ones from their ends, then closed ones
			for _, k := range order {
				if !done[k] && len(next[k]) == pass {
					c.Runs = append(c.Runs, walk(k))
				}
			}
		}
		if len(c.Runs) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// Most is the largest give on a map, mm, and where.
func (m Map) Most() (v float64, at geom.Vec2) {
	for j, row := range m.Give {
		for i, g := range row {
			if g > v {
				v, at = g, geom.Vec2{X: m.Xs[i], Y: m.Ys[j]}
			}
		}
	}
	return v, at
}

// levels are what contours are drawn at, mm.
var levels = []float64{0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 3, 5, 7, 10, 20, 50}

// Levels picks contours for a map: the limit, and up to six others that lie on it.
func (m Map) Levels(limit float64) (out []float64) {
	most, _ := m.Most()
	for _, l := range levels {
		if l < most*0.97 && l > most/25 {
			out = append(out, l)
		}
	}
	for len(out) > 6 {
		out = out[1:]
	}
	if limit < most && !slices.Contains(out, limit) {
		out = append(out, limit)
		slices.Sort(out)
	}
	return out
}
