package pack

import (
	"cmp"
	"math"
	"slices"
)

// Plan is the answer of [Stock] and [Free].
type Plan struct {
	Layouts []Layout // one for each sheet used; the fullest of each kind first
	Missing []int    // for each piece, how many copies found no place; nil if all did
	Cost    float64  // of the sheets used
	Bound   float64  // no plan that places all costs less
	Exact   bool     // all are placed and Cost is the lowest there is
}

// Gap is how much the cost may be above the lowest at most, as a share of the bound: 0.02 is 2 %. It is 0 if some
// pieces are missing, for then the cost says little, and infinite if the bound alone is 0.
func (p Plan) Gap() float64 {
	switch {
	case p.Missing != nil || p.Cost <= p.Bound:
		return 0
	case p.Bound <= 0:
		return math.Inf(1)
	}
	return (p.Cost - p.Bound) / p.Bound
}

// Stock cuts all pieces from sheets, every cut from edge to edge, at the lowest cost it finds; among plans of equal
// cost it uses the smaller sheets, and then leaves a large remainder and makes few cuts. Give offcuts at hand as sheets
// with a count and a low cost or none, and they are used first. Values of pieces play no part.
//
// If there are not enough sheets, it places as much area as it can; the rest is in Missing. The error is an
// [*InputError] for a number out of range, or a [*FitError] for a piece that fits no sheet at all.
//
// The bound is the best of area, of weighed sides (for one kind of sheet), and of column generation as far as the
// steps allow. Sources: see the package. Checked by: published optima, exhaustive search of small cases.
func Stock(pieces []Piece, sheets []Sheet, o Options) (Plan, error) {
	s, err := newStock(pieces, sheets, o)
	if err != nil {
		return Plan{}, err
	}
	s.solve()
	return s.plan(), nil
}

// stock is the search for a plan.
type stock struct {
	*job
	in     []Piece
	sheets []Sheet
	list   []loose
	*repacker
	one   bool // one kind of sheet only
	free  bool // cuts run anywhere, so that bounds for cuts from edge to edge do not hold
	step  float64
	bound float64
	dual  []float64 // weights of the items that gave the bound, times the cost; nil if others did
	found state
}

func newStock(pieces []Piece, sheets []Sheet, o Options) (*stock, error) {
	for i, p := range pieces {
		if p.Count < 0 {
			return nil, &InputError{i, None, p.Name, "count", float64(p.Count), "0 to 10000"}
		}
	}
	j, err := newJob(pieces, sheets, o)
	if err != nil {
		return nil, err
	}
	s := &stock{job: j, in: pieces, sheets: sheets, list: expand(j.items)}
	area := make([]float64, len(s.list))
	for i, p := range s.list {
		area[i] = float64(p.w * p.h)
	}
	s.repacker = newRepacker(j, s.list, area)
	s.step = costStep(j.bins)
	s.firstBound()
	return s, nil
}

// costStep is the greatest common divisor of whole costs, or 0.
func costStep(bins []bin) float64 {
	g := 0
	for _, b := range bins {
		if b.cost != math.Trunc(b.cost) {
			return 0
		}
		g = gcd(g, int(b.cost))
	}
	return float64(g)
}

// firstBound is the bound that comes at once.
func (s *stock) firstBound() {
	var kinds []int
	total := 0
	for k, b := range s.job.bins {
		if b.count != 0 && b.w > 0 && b.h > 0 {
			kinds = append(kinds, k)
		}
	}
	for _, it := range s.job.items {
		total += it.count * it.area()
	}
	if len(kinds) == 1 {
		b := s.job.bins[kinds[0]]
		n, weight := dualBound(s.job.items, b.w, b.h)
		s.one, s.bound = true, float64(n)*b.cost
		for i := range weight {
			weight[i] *= b.cost
		}
		s.dual = weight
		return
	}
	// The cheapest area first.
	rate := func(k int) float64 { return s.job.bins[k].cost / float64(s.job.bins[k].w*s.job.bins[k].h) }
	slices.SortStableFunc(kinds, func(a, b int) int { return cmp.Compare(rate(a), rate(b)) })
	left := float64(total)
	for _, k := range kinds {
		b := s.job.bins[k]
		n := left / float64(b.w*b.h)
		if b.count != Unlimited {
			n = min(n, float64(b.count))
		}
		s.bound += float64(n * b.cost)
		left -= float64(n * float64(b.w*b.h))
	}
	s.raise(s.bound)
}

// raise lifts the bound, up to a multiple of the step of costs.
func (s *stock) raise(bound float64) {
	bound -= float64(1e-9 * bound)
	if s.step > 0 {
		bound = math.Ceil(bound/s.step-1e-6) * s.step
	}
	s.bound = max(s.bound, bound)
}

// costOf is what the sheets of a state cost.
func (s *stock) costOf(t *state) float64 {
	sum := 0.0
	for k, n := range t.used {
		sum += float64(float64(n) * s.job.bins[k].cost)
	}
	return sum
}

// done tells whether nothing better can come.
func (s *stock) done() bool {
	if s.opt.stopped() || len(s.list) == 0 {
		return true
	}
	return s.found.lost == 0 && s.one && s.costOf(&s.found) <= s.bound*(1+1e-12)
}

func (s *stock) solve() {
	s.repacker.start(nil)
	s.found = s.best.clone()
	s.reduce(s.opt.Effort.steps(20_000_000))
	if !s.free && s.found.lost == 0 && s.costOf(&s.found) > s.bound*(1+1e-12) {
		s.generate()
	}
	s.reduce(s.opt.Effort.steps(100_000_000))
	if s.found.lost == 0 && !s.opt.stopped() {
		s.best = s.found.clone()
		s.cleanUp(s.opt.Effort.steps(5_000_000))
		s.found = s.best.clone()
	}
}

// patience is the number of rounds without success after which the search for a goal is given up. Few pieces have few
// arrangements; with many, it is the work that ends the search.
func (s *stock) patience() int { return s.opt.Effort.steps(2000 * (len(s.list) + 2)) }

// reduce lowers the cost step by step as long as all can be placed.
func (s *stock) reduce(budget int) {
	end := s.work + budget
	for s.work < end && !s.done() {
		if s.found.lost == 0 {
			s.now = s.found.clone()
			s.shrink(s.found.cost - float64(1e-9*s.weight[s.dearest()]))
		}
		s.search(end-s.work, s.patience())
		if s.best.lost > 0 {
			if s.found.lost > 0 && s.best.lost < s.found.lost {
				s.found = s.best.clone()
			}
			return
		}
		s.found = s.best.clone()
	}
}

func (s *stock) dearest() int {
	best := 0
	for k, w := range s.weight {
		if w > s.weight[best] {
			best = k
		}
	}
	return best
}

// mostRows is the number of kinds of pieces up to which column generation pays.
const mostRows = 300

// generate improves the bound by column generation, and tries the plan that the mix of patterns suggests.
func (s *stock) generate() {
	if len(s.job.items) > mostRows {
		return
	}
	c := newColumns(s.job)
	if c == nil {
		return
	}
	c.start(s.dual, s.found.planks, s.list)
	c.run(s.costOf(&s.found)-float64(s.step*(1-1e-6)), s.opt.Effort.steps(40_000_000))
	s.raise(c.bound)
	if s.done() {
		return
	}
	queue := s.copies()
	var planks []*plank
	for _, p := range c.whole() {
		b := s.job.bins[p.kind]
		planks = append(planks, plankOf(p.kind, b.w, b.h, p.block, s.list, func(item int) int32 {
			q := queue[item]
			if len(q) == 0 {
				return waste
			}
			queue[item] = q[1:]
			return q[0]
		}))
	}
	s.repacker.start(planks)
	if s.best.lost == 0 && s.best.cost < s.found.cost {
		s.found = s.best.clone()
	} else if s.found.lost == 0 {
		s.shrink(s.found.cost - float64(1e-9*s.weight[s.dearest()]))
		if s.search(s.opt.Effort.steps(20_000_000), s.patience()) {
			s.found = s.best.clone()
		}
	}
}

// plan writes the answer.
func (s *stock) plan() Plan {
	p := Plan{Cost: s.costOf(&s.found), Bound: s.bound}
	planks := slices.Clone(s.found.planks)
	slices.SortStableFunc(planks, func(a, b *plank) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(b.placed, a.placed))
	})
	for _, q := range planks {
		p.Layouts = append(p.Layouts, s.layout(q.block(0, s.list, s.job.items), q.kind, s.in, s.sheets))
	}
	if len(s.found.out) > 0 {
		p.Missing = make([]int, len(s.in))
		for _, k := range s.found.out {
			p.Missing[s.list[k].item]++
		}
		return p
	}
	p.Bound = min(p.Bound, p.Cost)
	p.Exact = p.Cost-p.Bound <= 1e-9*p.Cost
	return p
}
