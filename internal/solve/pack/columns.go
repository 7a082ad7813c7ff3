package pack

import "math"

// columns bounds the cost of a cut list by column generation (Gilmore & Gomory 1965). Rows are the kinds of
// pieces, and the kinds of sheets of which there are only some. Whatever the prices p of pieces, a plan costs at least
//
//	t·sum p(i) d(i)  -  sum over scarce sheets of number · max(0, t·F - cost),
//
// where F is the most that the prices make of one sheet, and t <= 1 shrinks the prices until no unlimited sheet
// brings more than its cost (Farley 1990). F may be replaced by a bound on it.
type columns struct {
	*job
	row     []int // of each item, or None
	scarce  []int // row of each kind of sheet, or None
	mix     *cover
	pricers []*pricer
	center  []float64 // prices of the best bound, or nil
	bound   float64
	work    int
}

func newColumns(j *job) *columns {
	c := &columns{job: j}
	var need []float64
	for _, it := range j.items {
		c.row = append(c.row, None)
		if it.count > 0 {
			c.row[len(c.row)-1] = len(need)
			need = append(need, float64(it.count))
		}
	}
	dear := 1.0
	for _, b := range j.bins {
		dear = max(dear, 10*b.cost)
		c.scarce = append(c.scarce, None)
		if b.count > 0 {
			c.scarce[len(c.scarce)-1] = len(need)
			need = append(need, -float64(b.count))
		}
	}
	start := make([]column, len(need))
	for i := range start {
		start[i] = column{counts: make([]float64, len(need))}
	}
	for _, r := range c.scarce {
		if r != None {
			start[r].counts[r] = -1 // sheets that stay on the rack
		}
	}
	for i, r := range c.row {
		if r == None {
			continue
		}
		start[r].counts[r], start[r].cost = 1, dear
		for _, b := range j.bins {
			if b.count == Unlimited && j.items[i].fits(b.w, b.h) && b.cost < start[r].cost {
				start[r].cost = b.cost
			}
		}
	}
	c.mix = newCover(need, start)
	for k, b := range j.bins {
		if b.count == 0 {
			continue
		}
		p := newPricer(j, k)
		if p == nil {
			return nil
		}
		c.pricers = append(c.pricers, p)
	}
	return c
}

// start gives the search prices to stay near at first, under which no sheet brings more than its cost, and patterns
// that are known already. (Prices that jump about bring useless patterns; smoothing after Wentges 1997.)
func (c *columns) start(value []float64, planks []*plank, pieces []loose) {
	c.center = value
	for i, it := range c.items {
		if value != nil { // several kinds of sheets: no prices are known yet
			c.bound += float64(value[i] * float64(max(0, it.count)))
		}
	}
	for _, p := range planks {
		c.mix.enter(c.column(p.kind, p.block(0, pieces, c.items)))
	}
}

func (c *columns) column(kind int, b *block) column {
	n := column{counts: make([]float64, len(c.mix.need)), cost: c.bins[kind].cost, kind: kind, block: b}
	counts := make([]int, len(c.items))
	b.count(counts)
	for i, k := range counts {
		if k > 0 {
			n.counts[c.row[i]] = float64(k)
		}
	}
	if r := c.scarce[kind]; r != None {
		n.counts[r] = -1
	}
	return n
}

// run improves the bound until it reaches enough, or no pattern helps, or the work is done.
func (c *columns) run(enough float64, budget int) {
	smooth := 0.0
	if c.center != nil {
		smooth = 0.7
	}
	for end := c.work + budget; c.work < end && c.bound < enough && !c.opt.stopped(); {
		c.work += 2000 + 10*len(c.mix.need)*len(c.mix.need)
		if c.surplus() {
			continue
		}
		price := c.mix.prices()
		value := make([]float64, len(c.items))
		for i, r := range c.row {
			if r != None {
				value[i] = max(0, price[r])
				if smooth > 0 {
					value[i] = float64(smooth*c.center[i]) + float64((1-smooth)*value[i])
				}
			}
		}
		helps, bound := c.round(price, value)
		if bound > c.bound {
			c.bound, c.center = bound, value
		} else if !helps {
			if smooth == 0 {
				return
			}
			if smooth -= 0.25; smooth < 0.1 {
				smooth = 0
			}
		}
	}
}

// round prices the pieces by value, takes in what is found, and returns the bound that follows.
func (c *columns) round(price, value []float64) (helps bool, bound float64) {
	shrink, paid := 1.0, 0.0
	for i, it := range c.items {
		if it.count > 0 {
			paid += float64(value[i] * float64(it.count))
		}
	}
	most := make([]float64, len(c.bins))
	for _, p := range c.pricers {
		b := c.bins[p.kind]
		least := b.cost
		if r := c.scarce[p.kind]; r != None {
			least += max(0, price[r])
		}
		found, f, work := p.best(value, least+float64(1e-7*(1+b.cost)), c.opt.Stop)
		c.work += work
		most[p.kind] = f
		if b.count == Unlimited && f > b.cost {
			shrink = min(shrink, b.cost/f)
		}
		if found == nil {
			continue
		}
		n := c.column(p.kind, found)
		gain := -n.cost
		for i, a := range n.counts {
			gain += float64(a * price[i])
		}
		if gain > 1e-7*(1+b.cost) && c.mix.enter(n) {
			helps = true
		}
	}
	bound = shrink * paid
	for k, b := range c.bins {
		if b.count > 0 {
			bound -= float64(float64(b.count) * max(0, float64(shrink*most[k])-b.cost))
		}
	}
	return helps, bound
}

// whole lists the patterns that the mix uses at least once, as often as that, for whole numbers of sheets.
func (c *columns) whole() (list []column) {
	for i, x := range c.mix.x {
		if b := c.mix.basis[i]; b.block != nil {
			for range int(x + 1e-6) {
				list = append(list, b)
			}
		}
	}
	return list
}

// surplus lets a piece be cut more often than wanted, if that would pay, and reports whether it would.
func (c *columns) surplus() bool {
	for r, p := range c.mix.prices() {
		if p < -1e-9 {
			n := column{counts: make([]float64, len(c.mix.need))}
			n.counts[r] = -1
			return c.mix.enter(n)
		}
	}
	return false
}

// pricer finds the best pattern of one kind of sheet for prices.
type pricer struct {
	kind   int
	prices *prices  // on pieces used too often
	build  *builder // nil if there are too many pieces
	cell   int
	items  []item
}

// newPricer returns nil if there are too many points.
func newPricer(j *job, kind int) *pricer {
	b := j.bins[kind]
	k := newKnapsack(j, b.w, b.h)
	items, cell := k.items, 1
	x, y := axes(items, b.w, b.h, pricePoints)
	if x == nil || y == nil {
		items, cell = k.coarse(pricePoints/2, false)
		if x, y = axes(items, b.w/cell, b.h/cell, pricePoints); x == nil || y == nil {
			return nil
		}
	}
	p := &pricer{kind: kind, cell: cell, items: k.items}
	p.prices = &prices{recursion: newRecursion(items, x, y), price: make([]float64, len(items))}
	p.build = newBuilder(p.prices.recursion, p.items, b.w, b.h, cell)
	return p
}

const pricePoints = 400

// best returns a pattern worth more than least, if it finds one, a bound on the worth of all patterns, and the work.
func (p *pricer) best(value []float64, least float64, stop func() bool) (found *block, bound float64, work int) {
	before := p.prices.work
	for i := range value {
		p.items[i].value, p.prices.items[i].value = value[i], value[i]
		p.prices.price[i] = min(p.prices.price[i], value[i])
	}
	worth := least
	p.prices.bound = math.Inf(1)
	ok := p.prices.improve(12, func() float64 { return worth }, func(b *block) {
		if p.cell > 1 || b == nil {
			return
		}
		left := make([]int, len(p.items))
		for i, it := range p.items {
			left[i] = it.count
		}
		if b = b.within(left); b.value(p.items) > worth {
			found, worth = b, b.value(p.items)
		}
	}, stop)
	work = p.prices.work - before
	bound = p.prices.bound
	if !ok || bound <= worth*(1+1e-9) || p.build == nil {
		return found, bound, work
	}
	back := p.prices.adjusted(p.prices.price)
	if _, ok := p.prices.solve(stop); !ok {
		return found, bound, work
	}
	p.build.rates = p.build.rates[:0]
	p.build.rateBy(p.prices.recursion, back)
	p.build.reset(worth, 1e-7*least, priceWork)
	p.build.run(stop)
	work = p.prices.work - before + priceWork - p.build.work
	if p.build.best != None {
		found = p.build.block(p.build.best)
	}
	return found, min(bound, p.build.bound), work
}

const priceWork = 400_000
