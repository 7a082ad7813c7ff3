package place

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// begin makes the style's beginning.
func (q *run) begin() *state {
	s := q.starting()
	var fresh []int
	for i := range q.Items {
		if q.Items[i].Fresh {
			fresh = append(fresh, i)
		}
	}
	if len(fresh) > 3 && (q.round != 1 || q.style.Start != FromStart) {
		q.shelves(s, fresh)
	} else { // who stands nowhere yet begins where there is most room
		for _, i := range fresh {
			q.freest(s, i)
		}
	}
	if q.style.Start == FromStart {
		return s
	}
	q.rows(s)
	q.fill(s)
	return s
}

// freest looks for the place with the least trouble for an item.
func (q *run) freest(s *state, i int) {
	b := q.box[i][0]
	best, bestAt := math.Inf(1), s.at[i]
	const tries = 160
	for k := range tries {
		p := geom.Vec2{X: b.Min.X + q.rng.Float64()*(b.Max.X-b.Min.X), Y: b.Min.Y + q.rng.Float64()*(b.Max.Y-b.Min.Y)}
		if k == 0 {
			p = b.Centre()
		}
		q.set(s, i, q.snap(i, p), s.form[i])
		s.keep()
		if v := s.sum.trouble + 3*float64(s.sum.hard) + s.sum.lack; v < best-1e-9 {
			best, bestAt = v, s.at[i]
		}
	}
	q.set(s, i, bestAt, s.form[i])
	s.keep()
}

// shelves sets items side by side in lines from the top, in their order, with the widest gap for which they all find room.
func (q *run) shelves(s *state, items []int) {
	lo, hi := geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	size := make([]geom.Box2, len(items))
	for k, i := range items {
		b, at := q.around(s, i), s.at[i]
		size[k] = geom.Box2{Min: b.Min.Sub(at), Max: b.Max.Sub(at)}
		f := q.box[i][0]
		lo = geom.Vec2{X: min(lo.X, f.Min.X+size[k].Min.X), Y: min(lo.Y, f.Min.Y+size[k].Min.Y)}
		hi = geom.Vec2{X: max(hi.X, f.Max.X+size[k].Max.X), Y: max(hi.Y, f.Max.Y+size[k].Max.Y)}
	}
	for gap := 40.0; gap > 0; gap *= 0.85 {
		at := make([]geom.Vec2, len(items))
		y, ok := hi.Y, true
		for from := 0; from < len(items); {
			x, tall, to := lo.X, 0.0, from
			for to < len(items) {
				z := size[to].Size()
				if to > from && x+z.X > hi.X {
					break
				}
				at[to].X = x - size[to].Min.X
				x += z.X + gap
				tall = max(tall, z.Y)
				to++
			}
			left := (hi.X - (x - gap)) / float64(to-from+1) // what is left over is shared out
			for k := from; k < to; k++ {
				m := (size[k].Min.Y + size[k].Max.Y) / 2
				at[k] = geom.Vec2{X: at[k].X + left*float64(k-from+1), Y: y - tall/2 - m}
			}
			y -= tall + gap
			from = to
		}
		if ok = y+gap >= lo.Y; ok || gap*0.85 <= 0.5 {
			down := max(y+gap-lo.Y, 0) / 2
			for k, i := range items {
				q.set(s, i, q.snap(i, at[k].Sub(geom.Vec2{Y: down})), s.form[i])
				s.keep()
			}
			return
		}
		if gap < 0.6 {
			return
		}
	}
}

// rows sets what stands roughly in a row straight, with even gaps; about the middle when the style asks for it.
func (q *run) rows(s *state) {
	n := q.n
	byHeight := make([]int, n)
	for i := range byHeight {
		byHeight[i] = i
	}
	slices.SortStableFunc(byHeight, func(a, b int) int { return compare(s.mid[b].Y, s.mid[a].Y) })
	for from := 0; from < n; {
		first := q.around(s, byHeight[from])
		to := from + 1
		for to < n {
			e := q.around(s, byHeight[to])
			if e.Max.Y < first.Min.Y+0.35*(first.Max.Y-first.Min.Y) {
				break
			}
			to++
		}
		q.row(s, slices.Clone(byHeight[from:to]))
		from = to
	}
}

func (q *run) row(s *state, row []int) {
	slices.SortStableFunc(row, func(a, b int) int { return compare(s.mid[a].X, s.mid[b].X) })
	y, width := 0.0, 0.0
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range row {
		e := q.around(s, i)
		y += s.mid[i].Y / float64(len(row))
		width += e.Max.X - e.Min.X
		lo, hi = min(lo, e.Min.X), max(hi, e.Max.X)
	}
	if q.style.Start == FromAxis {
		half := max((hi-lo)/2, width/2)
		lo, hi = q.Axis-half, q.Axis+half
	}
	gap := 0.0
	if len(row) > 1 {
		gap = (hi - lo - width) / float64(len(row)-1)
	}
	x := lo
	if len(row) == 1 && q.style.Start == FromAxis {
		x = s.mid[row[0]].X - width/2
	}
	for _, i := range row {
		e := q.around(s, i)
		d := geom.Vec2{X: x - e.Min.X, Y: y - s.mid[i].Y}
		x += e.Max.X - e.Min.X + gap
		q.set(s, i, q.snap(i, s.at[i].Add(d)), s.form[i])
		s.keep()
	}
}
