package place

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"knobwright/internal/geom"
)

// usualWork is a second or so on one core of a usual machine.
const usualWork = 60_000_000

// found is a placement at the end of a run.
type found struct {
	at    []geom.Vec2
	form  []int
	style int
	score Score
	by    float64 // as its own style sees it
}

// solve runs all styles, several times each, and picks different ones.
func (c *compiled) solve(ctx context.Context, o Options, r *Result) {
	if len(o.Styles) == 0 {
		one := Weights{1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
		o.Styles = []Style{{"as it is", one, FromStart}, {"in rows", one, FromRows}}
	}
	if o.Most <= 0 {
		o.Most = 3
	}
	if o.Work <= 0 {
		o.Work = usualWork
	}
	const rounds = 3
	runs := rounds * len(o.Styles)
	var all []found
	r.Tightest = math.Inf(1)
	least := func(s *state) {
		if s.sum.hard == 0 {
			r.Tightest = 0
		} else {
			r.Tightest = min(r.Tightest, s.sum.lack)
		}
	}
	valid := 0
	for k := range runs {
		style := k % len(o.Styles)
		st := o.Styles[style]
		w := scaled(c.Weight, st.Scale)
		rng := rand.New(rand.NewPCG(o.Seed, uint64(k)))
		q := &run{compiled: c, w: &w, rng: rng, style: st, round: k / len(o.Styles)}
		budget := (o.Work - c.work) / int64(runs-k)
		q.from = c.work
		q.budget = max(budget, 1000)
		q.tick = func() bool {
			if o.Progress != nil {
				o.Progress(min(float64(c.work)/float64(o.Work), 1), valid)
			}
			return ctx.Err() == nil
		}
		if !q.tick() {
			r.Stopped = true
			break
		}
		q.anneal()
		least(q.s)
		if q.best != nil {
			valid++
			f := found{at: q.best, form: q.bestForm, style: style, by: q.bestBy}
			s := c.blank()
			copy(s.at, f.at)
			copy(s.form, f.form)
			f.score = c.score(s)
			if f.score.Hard == 0 {
				all = append(all, f)
				r.Tightest = 0
			}
		}
		if ctx.Err() != nil {
			r.Stopped = true
			break
		}
	}
	r.Work = c.work
	if math.IsInf(r.Tightest, 1) {
		r.Tightest = 0
	}
	c.pick(o, all, r)
	if o.Progress != nil {
		o.Progress(1, len(r.Solutions))
	}
}

func scaled(w, by Weights) Weights {
	return Weights{
		w.Trouble * by.Trouble, w.Order * by.Order, w.Together * by.Together, w.Line * by.Line, w.Rows * by.Rows, w.Gaps * by.Gaps, w.Twins * by.Twins,
		w.Balance * by.Balance, w.Spread * by.Spread, w.Moved * by.Moved,
	}
}

// pick takes the best of each style that differs from those before, then of the rest by score.
func (c *compiled) pick(o Options, all []found, r *Result) {
	differs := func(f *found) bool {
		for i := range r.Solutions {
			if c.alike(f.at, r.Solutions[i].At, o) {
				return false
			}
		}
		return o.Unlike == nil || !c.alike(f.at, o.Unlike, Options{})
	}
	take := func(f *found) {
		if len(r.Solutions) < o.Most && differs(f) {
			r.Solutions = append(r.Solutions, Solution{At: f.at, Form: f.form, Style: o.Styles[f.style].Name, Score: f.score})
		}
	}
	for style := range o.Styles {
		var mine []*found
		for i := range all {
			if all[i].style == style {
				mine = append(mine, &all[i])
			}
		}
		slices.SortStableFunc(mine, func(a, b *found) int { return compare(a.by, b.by) })
		for _, f := range mine {
			n := len(r.Solutions)
			if take(f); len(r.Solutions) > n {
				break
			}
		}
	}
	slices.SortStableFunc(all, func(a, b found) int { return compare(a.score.Total, b.score.Total) })
	for i := range all {
		take(&all[i])
	}
}

func compare(a, b float64) int {
	switch {
	case a < b-1e-9:
		return -1
	case a > b+1e-9:
		return 1
	}
	return 0
}

// alike reports whether two placements are the same to the eye.
func (c *compiled) alike(a, b []geom.Vec2, o Options) bool {
	sum, most := 0.0, 0.0
	for i := range a {
		d := a[i].Sub(b[i]).Len()
		sum += d
		most = max(most, d)
	}
	return most < max(o.Apart, tol) && sum/float64(len(a)) < max(o.Mean, tol)
}

// run is one annealing.
type run struct {
	*compiled
	w        *Weights
	rng      *rand.Rand
	style    Style
	round    int
	from     int64
	budget   int64
	tick     func() bool
	s        *state
	now      float64
	best     []geom.Vec2
	bestForm []int
	bestBy   float64
}

// anneal looks from the style's beginning, hot at first and then colder.
func (q *run) anneal() {
	q.s = q.begin()
	q.now = q.objective(q.s, q.w)
	q.remember()
	hot := []float64{3, 6, 12}[q.round%3]
	if q.s.sum.hard > 0 {
		hot = []float64{10, 100, 400}[q.round%3]
	}
	const cold = 0.02
	for n := 0; ; n++ {
		part := float64(q.work-q.from) / float64(q.budget)
		if part >= 1 || n&63 == 0 && !q.tick() {
			break
		}
		t := hot * math.Pow(cold/hot, part)
		if !q.step(part) {
			continue
		}
		next := q.objective(q.s, q.w)
		d := next - q.now
		if d <= 0 || q.rng.Float64() < math.Exp(-d/t) {
			q.s.keep()
			q.now = next
			if d < 0 {
				q.remember()
			}
		} else {
			q.back(q.s)
		}
	}
}

// remember keeps the best valid placement of the run.
func (q *run) remember() {
	if q.s.sum.hard != 0 || q.best != nil && q.now >= q.bestBy-1e-9 {
		return
	}
	q.best, q.bestForm, q.bestBy = append(q.best[:0], q.s.at...), append(q.bestForm[:0], q.s.form...), q.now
}

// step makes one change; false when it came to nothing.
func (q *run) step(part float64) bool {
	r, s := q.rng, q.s
	i := r.IntN(q.n)
	if r.IntN(4) == 0 { // who is in trouble is moved more often
		for range 4 {
			if s.stat[i].soft > 0 {
				break
			}
			row := s.pair[i*q.n : (i+1)*q.n]
			busy := false
			for j := range row {
				busy = busy || row[j].soft > 0
			}
			if busy {
				break
			}
			i = r.IntN(q.n)
		}
	}
	b := &q.box[i][0]
	size := b.Size()
	p := s.at[i]
	form := s.form[i]
	j := r.IntN(q.n)
	if j == i && q.n > 1 {
		j = (i + 1) % q.n
	}
	switch k := r.IntN(100); {
	case k < 40: // a step, long ones at first
		reach := max(math.Max(size.X, size.Y)*0.5*math.Pow(0.02, part), 3*q.Grain)
		d := geom.Vec2{X: (r.Float64()*2 - 1) * reach, Y: (r.Float64()*2 - 1) * reach}
		switch r.IntN(3) {
		case 0:
			d.X = 0
		case 1:
			d.Y = 0
		}
		p = p.Add(d)
	case k < 55: // onto the line of another one
		if i == j {
			return false
		}
		x, y := r.IntN(len(s.pos[i])), r.IntN(len(s.pos[j]))
		d := s.pos[j][y].Sub(s.pos[i][x])
		if r.IntN(4) == 0 {
			p.X += d.X
		} else {
			p.Y += d.Y
		}
	case k < 63: // into the middle of its neighbours
		lo, hi, ok := q.neighbours(i)
		if !ok {
			return false
		}
		p.X += (lo + hi) / 2
	case k < 70: // two change places
		if i == j {
			return false
		}
		d := s.lead[j].Sub(s.lead[i])
		q.set(s, i, q.snap(i, p.Add(d)), form)
		q.set(s, j, q.snap(j, s.at[j].Sub(d)), s.form[j])
		return true
	case k < 78: // across the axis from another one, or onto the axis
		if r.IntN(2) == 0 || i == j {
			p.X += q.Axis - s.mid[i].X
		} else {
			p = p.Add(geom.Vec2{X: 2*q.Axis - s.mid[j].X, Y: s.mid[j].Y}.Sub(s.mid[i]))
		}
	case k < 84: // a whole line moves
		return q.line(i, part)
	case k < 88: // back to where it was
		if q.Items[i].Fresh || p == q.Items[i].Start {
			return false
		}
		q.set(s, i, q.Items[i].Start, form)
		return true
	case k < 91: // anywhere
		p = geom.Vec2{X: b.Min.X + r.Float64()*size.X, Y: b.Min.Y + r.Float64()*size.Y}
	case k < 95: // beside another one
		if i == j {
			return false
		}
		e, f := q.around(s, i), q.around(s, j)
		gap := 2 + r.Float64()*25
		p.Y += s.mid[j].Y - s.mid[i].Y
		if r.IntN(2) == 0 {
			p.X += f.Max.X + gap - e.Min.X
		} else {
			p.X += f.Min.X - gap - e.Max.X
		}
	default:
		if len(q.Items[i].Forms) < 2 {
			return false
		}
		form = r.IntN(len(q.Items[i].Forms))
		if form == s.form[i] {
			return false
		}
	}
	to := q.snap(i, p)
	if to == s.at[i] && form == s.form[i] {
		return false
	}
	q.set(s, i, to, form)
	return true
}

// neighbours gives how far an item may go left and right in its line before it meets the next one, as it meets the eye: the middle
// of the two makes its gaps alike.
func (q *run) neighbours(i int) (lo, hi float64, ok bool) {
	s := q.s
	e := q.around(s, i)
	lo, hi = math.Inf(-1), math.Inf(1)
	for j := range q.Items {
		if j == i || math.Abs(s.mid[j].Y-s.mid[i].Y) > sameLine {
			continue
		}
		f := q.around(s, j)
		switch {
		case f.Max.X <= e.Min.X:
			lo = max(lo, f.Max.X-e.Min.X)
		case f.Min.X >= e.Max.X:
			hi = min(hi, f.Min.X-e.Max.X)
		}
	}
	return lo, hi, !math.IsInf(lo, -1) && !math.IsInf(hi, 1)
}

// line moves all items of one line together.
func (q *run) line(i int, part float64) bool {
	s := q.s
	reach := max(30*math.Pow(0.05, part), 2*q.Grain)
	d := geom.Vec2{}
	if q.rng.IntN(3) == 0 {
		d.X = (q.rng.Float64()*2 - 1) * reach
	} else {
		d.Y = (q.rng.Float64()*2 - 1) * reach
	}
	d = geom.Vec2{X: math.Round(d.X/q.Grain) * q.Grain, Y: math.Round(d.Y/q.Grain) * q.Grain}
	if d == (geom.Vec2{}) {
		return false
	}
	y := s.mid[i].Y
	for j := range q.Items {
		if math.Abs(s.mid[j].Y-y) <= sameLine {
			q.set(s, j, q.snap(j, s.at[j].Add(d)), s.form[j])
		}
	}
	return true
}
