package pack

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// Pattern is the answer of [Guillotine].
type Pattern struct {
	Layout
	Value float64 // sum of the values of the placed pieces
	Bound float64 // no set of pieces that can be cut from edge to edge is worth more
	Exact bool    // Value is the highest there is
}

// Gap is how far the value may be below the highest at most, as a share of the bound: 0.02 is 2 %.
func (p Pattern) Gap() float64 {
	if p.Value >= p.Bound {
		return 0
	}
	return (p.Bound - p.Value) / p.Bound
}

// Guillotine cuts the most valuable set of pieces out of one sheet, every cut from edge to edge, in any number of
// stages. Count and cost of the sheet play no part. Pieces that do not pay are left out; a piece that could not
// be cut at all is a [*FitError], a number out of range an [*InputError].
//
// Without limits on numbers the answer is exact up to some thousands of useful cutting positions. With limits it is
// mostly exact for up to about a hundred pieces; where the counted steps run out before, Bound says what may be missing.
//
// Sources: see the package; bounds by prices are Lagrange's method as in standard textbooks. Checked by:
// published optima, exhaustive search of small cases.
func Guillotine(pieces []Piece, sheet Sheet, o Options) (Pattern, error) {
	sheet.Count = 1
	sheets := []Sheet{sheet}
	j, err := newJob(pieces, sheets, o)
	if err != nil {
		return Pattern{}, err
	}
	k := newKnapsack(j, j.bins[0].w, j.bins[0].h)
	k.solve()
	p := Pattern{Value: k.value, Bound: k.bound}
	if k.proved() {
		p.Bound, p.Exact = k.value, true
	}
	p.Layout = j.layout(k.best, 0, pieces, sheets)
	return p, nil
}

// knapsack is the search for the best pattern of one sheet.
type knapsack struct {
	*job
	w, h  int // units
	items []item
	best  *block
	value float64
	bound float64
	grain float64 // different values differ by at least this much
}

func newKnapsack(j *job, w, h int) *knapsack {
	k := &knapsack{job: j, w: w, h: h, items: slices.Clone(j.items), grain: 0}
	for i, it := range k.items {
		if it.count == 0 || !it.fits(w, h) || it.value <= 0 {
			k.items[i].count = 0
		}
	}
	k.bound = k.areaBound()
	k.grain = k.step()
	return k
}

// step is the greatest common divisor of whole values, or a very small part of the possible value.
func (k *knapsack) step() float64 {
	g := 0
	for _, it := range k.items {
		if it.count == 0 {
			continue
		}
		if it.value != math.Trunc(it.value) {
			return 1e-9 * k.bound
		}
		g = gcd(g, int(it.value))
	}
	return max(float64(g), 1e-9*k.bound)
}

// areaBound takes the most valuable pieces by area until the sheet is full, a part of the last.
func (k *knapsack) areaBound() float64 {
	order := make([]int, 0, len(k.items))
	for i, it := range k.items {
		if it.count != 0 {
			order = append(order, i)
		}
	}
	density := func(i int) float64 { return k.items[i].value / float64(k.items[i].area()) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(density(b), density(a)) })
	room, sum := float64(k.w*k.h), 0.0
	for _, i := range order {
		it := k.items[i]
		n := room / float64(it.area())
		if it.count != Unlimited {
			n = min(n, float64(it.count))
		}
		sum += float64(n * it.value)
		room -= float64(n * float64(it.area()))
	}
	return sum * (1 + 1e-12)
}

// offer keeps an arrangement if it is the best so far, after taking out what is above the limits.
func (k *knapsack) offer(b *block) {
	if b == nil {
		return
	}
	left := make([]int, len(k.items))
	for i, it := range k.items {
		left[i] = it.count
	}
	b = b.within(left)
	if v := b.value(k.items); v > k.value {
		k.value, k.best = v, b
	}
}

// within is the block without the pieces that are not left; left counts down, and Unlimited stays.
func (b *block) within(left []int) *block {
	if b.parts == nil {
		switch left[b.item] {
		case 0:
			return nil
		case Unlimited:
		default:
			left[b.item]--
		}
		return b
	}
	kept := make([]*block, 0, len(b.parts))
	for _, p := range b.parts {
		kept = append(kept, p.within(left))
	}
	return join(b.stack, kept...)
}

// limited tells whether any count is below what the sheet could hold.
func (k *knapsack) limited() bool {
	for _, it := range k.items {
		if it.count != 0 && it.count != Unlimited {
			free := it
			free.count = Unlimited
			if capacity(it, k.w, k.h) < capacity(free, k.w, k.h) {
				return true
			}
		}
	}
	return false
}

// lower reduces the bound, down to a multiple of the grain.
func (k *knapsack) lower(bound float64) {
	if k.grain >= 1 {
		bound = math.Floor(bound/k.grain+1e-6) * k.grain
	}
	k.bound = max(k.value, min(k.bound, bound))
}

func (k *knapsack) proved() bool { return k.bound-k.value <= k.grain*0.999 }

func (k *knapsack) done() bool { return k.proved() || k.opt.stopped() }

const (
	freePanels    = 2_000_000 // panels that the recursion alone can work with
	mostPoints    = 5000      // points per axis that are thinned out
	limitedPoints = 700       // the same where it is solved again and again
	coarseCells   = 400       // cells of a coarse axis
	mostCopies    = 3000      // single pieces in ruin and repair
)

func (k *knapsack) solve() {
	k.lower(k.bound)
	if !k.limited() {
		k.solveFree()
		return
	}
	x, y := axes(k.items, k.w, k.h, limitedPoints)
	items, cell := k.items, 1
	if x == nil || y == nil {
		items, cell = k.coarse(coarseCells, false)
		if x, y = axes(items, k.w/cell, k.h/cell, 2*limitedPoints); x == nil || y == nil {
			k.repack()
			return
		}
	}
	k.solveLimited(newRecursion(items, x, y), cell)
}

// coarse measures pieces in cells, a number of which make the longer side of the sheet. Sides are rounded up, which
// can be cut; or down, which is a relaxation, and leaves every side a cell at least.
func (k *knapsack) coarse(cells int, up bool) ([]item, int) {
	cell := max(1, max(k.w, k.h)/cells)
	items := slices.Clone(k.items)
	if !up {
		for _, it := range items {
			if it.count != 0 {
				cell = min(cell, it.w, it.h)
			}
		}
	}
	for i := range items {
		it := &items[i]
		if up {
			it.w, it.h = it.w+cell-1, it.h+cell-1
		}
		it.w, it.h = it.w/cell, it.h/cell
		if it.count == 0 {
			it.w, it.h = max(it.w, 1), max(it.h, 1)
		}
	}
	return items, cell
}

// exactSizes gives a block of coarse pieces their true sizes.
func (k *knapsack) exactSizes(b *block) *block {
	if b == nil || b.parts == nil {
		if b == nil {
			return nil
		}
		return single(k.items[b.item], b.item, b.turned)
	}
	parts := make([]*block, len(b.parts))
	for i, p := range b.parts {
		parts[i] = k.exactSizes(p)
	}
	return join(b.stack, parts...)
}

// solveFree uses the recursion alone.
func (k *knapsack) solveFree() {
	if x, y := axes(k.items, k.w, k.h, mostPoints); x != nil && y != nil {
		if x, y = x.needed(), y.needed(); len(x.pts)*len(y.pts) <= freePanels {
			r := newRecursion(k.items, x, y)
			if f, ok := r.solve(k.opt.Stop); ok {
				k.offer(r.whole())
				k.lower(f)
			}
			return
		}
	}
	k.solveSome()
	for _, up := range []bool{true, false} {
		items, cell := k.coarse(2*coarseCells, up)
		x, y := axes(items, k.w/cell, k.h/cell, 2*coarseCells+1)
		if x == nil || y == nil {
			continue
		}
		r := newRecursion(items, x.needed(), y.needed())
		f, ok := r.solve(k.opt.Stop)
		switch {
		case !ok:
			return
		case up:
			k.offer(k.exactSizes(r.whole()))
		default:
			k.lower(f)
		}
	}
	if !k.done() {
		k.repack()
	}
}

// solveSome uses the recursion for a few kinds of pieces at a time, as many as it can work with.
func (k *knapsack) solveSome() {
	random := rand.New(rand.NewPCG(7, 8))
	for range k.opt.Effort.steps(5) {
		some := slices.Clone(k.items)
		for i := range some {
			some[i].count = 0
		}
		var lastX, lastY *axis
		for _, i := range random.Perm(len(some)) {
			some[i].count = k.items[i].count
			x, y := axes(some, k.w, k.h, freePanels/100)
			if x == nil || y == nil {
				break
			}
			if x, y = x.needed(), y.needed(); len(x.pts)*len(y.pts) > freePanels/10 {
				some[i].count = 0
				continue
			}
			lastX, lastY = x, y
		}
		if lastX == nil {
			continue
		}
		r := newRecursion(some, lastX, lastY)
		if _, ok := r.solve(k.opt.Stop); !ok {
			return
		}
		if k.offer(r.whole()); k.done() {
			return
		}
	}
}

// solveLimited bounds by prices and builds up, first shortly for a good value to aim at, then with the best prices.
func (k *knapsack) solveLimited(r *recursion, cell int) {
	p := &prices{recursion: r, price: make([]float64, len(k.items)), bound: math.Inf(1)}
	use := func(b *block) {
		if cell == 1 {
			k.offer(b)
		}
	}
	target := func() float64 { return k.value }
	if !p.improve(1, target, use, k.opt.Stop) {
		return
	}
	k.lower(p.bound)
	if k.done() {
		return
	}
	b := newBuilder(r, k.items, k.w, k.h, cell)
	if b != nil {
		b.rateBy(r, 0)
		k.build(b, k.opt.Effort.steps(2_000_000))
	}
	if k.done() {
		return
	}
	rounds := k.opt.Effort.steps(200_000_000) / (r.work + 1)
	if !p.improve(min(100, rounds), target, use, k.opt.Stop) {
		return
	}
	k.lower(p.bound)
	if b == nil {
		k.repack()
		return
	}
	back := p.adjusted(p.price)
	if _, ok := p.solve(k.opt.Stop); k.done() || !ok {
		return
	}
	b.rateBy(r, back)
	if k.build(b, k.opt.Effort.steps(10_000_000)); k.done() {
		return
	}
	k.repack()
	k.build(b, k.opt.Effort.steps(40_000_000))
}

// build runs the builder anew and takes over what it finds and proves.
func (k *knapsack) build(b *builder, work int) {
	b.reset(k.value, k.grain, work)
	b.run(k.opt.Stop)
	if b.best != None {
		k.offer(b.block(b.best))
	}
	k.lower(b.bound)
}

// repack looks for a better pattern by ruin and repair, when the proof takes too long.
func (k *knapsack) repack() {
	items := slices.Clone(k.items)
	for i := range items {
		if items[i].count != 0 {
			items[i].count = min(capacity(items[i], k.w, k.h), max(1, mostCopies/len(items)))
		}
	}
	list := expand(items)
	value := make([]float64, len(list))
	for i, p := range list {
		value[i] = items[p.item].value * float64(k.w*k.h) / k.bound // so that values compare with areas of waste
	}
	j := *k.job
	j.items, j.bins = items, []bin{{w: k.w, h: k.h, count: 1}}
	r := newRepacker(&j, list, value)
	queue := make([][]int32, len(items))
	for i, p := range list {
		queue[p.item] = append(queue[p.item], int32(i))
	}
	r.start([]*plank{plankOf(0, k.w, k.h, k.best, list, func(item int) int32 {
		q := queue[item]
		if len(q) == 0 {
			return waste
		}
		queue[item] = q[1:]
		return q[0]
	})})
	r.search(k.opt.Effort.steps(40_000_000), 20_000*(len(list)+2))
	for _, p := range r.best.planks {
		k.offer(p.block(0, list, items))
	}
	k.lower(k.bound)
}
