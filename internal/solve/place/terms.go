package place

import (
	"math"

	"knobwright/internal/geom"
)

// sorted keeps the levels of all bodies, nearly sorted from one look to the next.
type sorted struct {
	ys, xs []level
	rows   []span
}

// level is a body by one coordinate.
type level struct {
	v    float64
	i, b int32
}

// span is a body within a line, by its extent across.
type span struct {
	lo, hi float64
	i      int32
}

// How far off still differs.
const (
	lineMost = 10.0
	gapMost  = 20.0
	twinMost = 30.0
	sameLine = 0.26 // two bodies this close to one level stand in one line
)

// values are the terms before they are weighed.
type values struct {
	order, together, line, rows, gaps, twins, balance, spread, moved float64
}

// points weighs the values.
func (v *values) points(w *Weights) float64 {
	return v.order*w.Order + v.together*w.Together + v.line*w.Line + v.rows*w.Rows + v.gaps*w.Gaps + v.twins*w.Twins + v.balance*w.Balance + v.spread*w.Spread + v.moved*w.Moved
}

// terms works out the values of a placement.
func (c *compiled) terms(s *state) (v values) {
	c.work += int64(4 * c.n)
	inLine, lines := 0.0, 0
	for k := range c.Orders {
		o := &c.Orders[k]
		if o.Line {
			inLine += min(c.across(s, o), 2*lineMost)
			lines++
		}
		w := s.lead[o.B].Sub(s.lead[o.A])
		d := w.Dot(o.Dir) - o.Least
		if o.Reading { // lower, or right of it and not higher
			d = max(-w.Y-o.Least, min(w.X, o.Least/2-w.Y))
		}
		if d < -tol {
			v.order += 1 + min(-d/100, 1)
		}
	}
	for k, t := range c.team {
		if len(t) < 2 {
			continue
		}
		b := geom.EmptyBox2()
		for _, i := range t {
			b = b.Union(c.around(s, i))
		}
		z := b.Size()
		v.together += max(0, z.X+z.Y-c.least[k])
	}
	for _, i := range c.many { // what stands in the midst of a group
		a := &s.ends[i]
		for j := range c.Items {
			b := &s.ends[j]
			x, y := min(a.Max.X, b.Max.X)-max(a.Min.X, b.Min.X), min(a.Max.Y, b.Max.Y)-max(a.Min.Y, b.Min.Y)
			if i != j && x > 0 && y > 0 {
				v.together += min(x, y)
			}
		}
	}
	c.lines(s, &v)
	if lines > 0 {
		v.line = v.line/2 + inLine/float64(lines)/2
	}
	var mass, moment float64
	for i := range c.Items {
		m := c.Items[i].Mass
		mass += m
		moment += m * (s.mid[i].X - c.Axis)
	}
	v.balance = math.Abs(moment) / mass
	for _, set := range c.like {
		c.work += int64(len(set) * len(set) / 8)
		for _, i := range set {
			p := s.mid[i]
			best := math.Abs(p.X - c.Axis)
			for _, j := range set {
				if i == j {
					continue
				}
				dx, dy := 2*c.Axis-p.X-s.mid[j].X, p.Y-s.mid[j].Y
				if dx < best && -dx < best && dy < best && -dy < best {
					best = min(best, math.Hypot(dx, dy))
				}
			}
			v.twins += min(best, twinMost) * float64(len(s.pos[i])) / c.bodies
		}
	}
	b := geom.EmptyBox2()
	moved, stood := 0.0, 0
	for i := range c.Items {
		b = b.Union(s.boxes[i])
		if !c.Items[i].Fresh {
			moved += s.at[i].Sub(c.Items[i].Start).Len()
			stood++
		}
	}
	if stood > 0 {
		v.moved = moved / float64(stood)
	}
	z := b.Size()
	v.spread = z.X + z.Y
	return v
}

// around is the box round an item's bodies as they meet the eye.
func (c *compiled) around(s *state, i int) geom.Box2 {
	b := geom.EmptyBox2()
	f := c.Items[i].Forms[s.form[i]]
	for j := range f {
		e := c.ext[f[j].Kind]
		b = b.Extend(e.Min.Add(s.pos[i][j])).Extend(e.Max.Add(s.pos[i][j]))
	}
	return b
}

// lines works out how far items are off each other's lines, and how even the gaps in the lines are.
func (c *compiled) lines(s *state, v *values) {
	l := &s.lines
	if l.ys == nil {
		for i := range c.Items {
			for b := range s.pos[i] {
				l.ys = append(l.ys, level{0, int32(i), int32(b)})
			}
		}
		l.xs = append(l.xs, l.ys...)
	}
	for k := range l.ys {
		l.ys[k].v = s.pos[l.ys[k].i][l.ys[k].b].Y
		l.xs[k].v = s.pos[l.xs[k].i][l.xs[k].b].X
	}
	inOrder(l.ys)
	inOrder(l.xs)
	c.work += int64(len(l.ys))
	n := float64(c.n)
	if c.n > 1 {
		v.line = (0.75*off(l.ys, c.n) + 0.25*off(l.xs, c.n)) / n
	}
	// lines of what is not asked to stand in one: runs of one level
	count := 0
	for from := 0; from < len(l.ys); {
		to := from + 1
		for to < len(l.ys) && l.ys[to].v-l.ys[from].v < sameLine {
			to++
		}
		v.rows++
		free := to-from > 2
		for k := from; k < to && free; k++ {
			free = !c.inRow[l.ys[k].i]
		}
		if free {
			if d, ok := c.uneven(s, l, l.ys[from:to]); ok {
				v.gaps += d
				count++
			}
		}
		from = to
	}
	for k := range c.rows {
		v.gaps += c.rowGaps(s, &c.rows[k])
		count++
	}
	if count > 0 {
		v.gaps /= float64(count)
	}
}

// rowGaps tells how far the gaps of a chain are from their mean.
func (c *compiled) rowGaps(s *state, r *chain) float64 {
	gap := func(k int) float64 {
		a, b := &s.ends[r.items[k]], &s.ends[r.items[k+1]]
		if r.across {
			return b.Min.X - a.Max.X
		}
		return a.Min.Y - b.Max.Y
	}
	n := len(r.items) - 1
	mean, d := 0.0, 0.0
	for k := range n {
		mean += gap(k) / float64(n)
	}
	for k := range n {
		d += min(math.Abs(gap(k)-mean), gapMost)
	}
	return d / float64(n)
}

// uneven tells how far the gaps between the items of one line are from their mean; ok is false for less than two gaps.
func (c *compiled) uneven(s *state, l *sorted, line []level) (float64, bool) {
	r := l.rows[:0]
	for _, q := range line {
		x := s.pos[q.i][q.b].X
		e := &c.ext[c.Items[q.i].Forms[s.form[q.i]][q.b].Kind]
		n := span{x + e.Min.X, x + e.Max.X, q.i}
		at := len(r)
		r = append(r, n)
		for at > 0 && r[at-1].lo > n.lo {
			r[at] = r[at-1]
			at--
		}
		r[at] = n
	}
	l.rows = r
	var sum float64
	gaps := 0
	for k := 1; k < len(r); k++ {
		if r[k].i != r[k-1].i {
			sum += r[k].lo - r[k-1].hi
			gaps++
		}
	}
	if gaps < 2 {
		return 0, false
	}
	mean, d := sum/float64(gaps), 0.0
	for k := 1; k < len(r); k++ {
		if r[k].i != r[k-1].i {
			d += min(math.Abs(r[k].lo-r[k-1].hi-mean), gapMost)
		}
	}
	return d / float64(gaps), true
}

// inOrder sorts levels that are nearly in order.
func inOrder(l []level) {
	for k := 1; k < len(l); k++ {
		x := l[k]
		j := k
		for j > 0 && (l[j-1].v > x.v || l[j-1].v == x.v && (l[j-1].i > x.i || l[j-1].i == x.i && l[j-1].b > x.b)) {
			l[j] = l[j-1]
			j--
		}
		l[j] = x
	}
}

// off adds up, over the items, how far the best of an item's levels is from the nearest level of another item.
func off(l []level, n int) float64 {
	var buf [64]float64
	best := buf[:0]
	if n > len(buf) {
		best = make([]float64, 0, n)
	}
	for range n {
		best = append(best, lineMost)
	}
	// the nearest pair of an item and another one stands side by side in the order of levels
	for k := 1; k < len(l); k++ {
		if a, b := &l[k-1], &l[k]; a.i != b.i {
			d := b.v - a.v
			best[a.i], best[b.i] = min(best[a.i], d), min(best[b.i], d)
		}
	}
	sum := 0.0
	for _, b := range best {
		sum += b
	}
	return sum
}

// objective is what a search makes small.
func (c *compiled) objective(s *state, w *Weights) float64 {
	v := c.terms(s)
	return w.Trouble*s.sum.trouble + 8*w.Trouble*float64(s.sum.hard) + 3*w.Trouble*s.sum.lack + v.points(w)
}

// score works a placement out from nothing.
func (c *compiled) score(s *state) Score {
	f := c.blank()
	copy(f.at, s.at)
	copy(f.form, s.form)
	c.fill(f)
	v, w := c.terms(f), &c.Weight
	out := Score{Hard: int(f.sum.hard), Lack: f.sum.lack, Soft: int(f.sum.soft)}
	for _, t := range []struct {
		name         string
		have, weight float64
		points       float64
	}{
		{"trouble", float64(f.sum.soft), 0, f.sum.trouble * w.Trouble},
		{"order", math.Floor(v.order), 0, v.order * w.Order},
		{"together", v.together, w.Together, 0},
		{"line", v.line, w.Line, 0},
		{"rows", v.rows, w.Rows, 0},
		{"gaps", v.gaps, w.Gaps, 0},
		{"twins", v.twins, w.Twins, 0},
		{"balance", v.balance, w.Balance, 0},
		{"spread", v.spread, w.Spread, 0},
		{"moved", v.moved, w.Moved, 0},
	} {
		p := t.points
		if t.weight > 0 {
			p = t.have * t.weight
		}
		if math.Abs(p) < 1e-9 {
			p = 0
		}
		out.Terms = append(out.Terms, Term{t.name, t.have, p})
		out.Total += p
	}
	return out
}
