package pack

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// Free lays all pieces on sheets at the lowest cost it finds, where cuts may begin and end anywhere. Apart from that
// it answers as [Stock] does. Every plan cut from edge to edge is a plan for free cutting too, and so it begins
// with one; then it looks for a plan with one sheet less, or a cheaper one, by filling sheet after sheet from below in
// an order that is improved.
//
// The bound is the best of area and, for one kind of sheet, weighed sides.
func Free(pieces []Piece, sheets []Sheet, o Options) (Plan, error) {
	s, err := newStock(pieces, sheets, o)
	if err != nil {
		return Plan{}, err
	}
	s.free = true
	s.solve()
	f := &freeSearch{stock: s, skyline: newSkyline(s.list), random: rand.New(rand.NewPCG(5, 6))}
	f.end = o.Effort.steps(120_000_000)
	if f.improve(); f.kinds != nil {
		f.gather()
	}
	return f.plan(), nil
}

// freeSearch improves a plan by skylines.
type freeSearch struct {
	*stock
	*skyline
	random *rand.Rand
	end    int   // work that may be done
	kinds  []int // of the sheets of the best plan found here; nil if the plan of s stands
	spots  []spot
	starts []int // where the spots of each sheet begin
}

func (f *freeSearch) stopped() bool { return f.skyline.work >= f.end || f.opt.stopped() }

// improve tries cheaper sets of sheets as long as one holds all. Pieces that found no place in the first plan have
// it tried again on all sheets there are.
func (f *freeSearch) improve() {
	now := f.found.used
	if f.found.lost > 0 {
		now = f.all()
		if now == nil || !f.hold(now) {
			return
		}
	}
	for next := true; next && !f.stopped(); {
		next = false
		for _, used := range f.cheaper(now) {
			if f.hold(used) {
				now, next = used, true
				break
			}
		}
	}
}

// all is every sheet there is, or nil if they have no end.
func (f *freeSearch) all() []int {
	var used []int
	for _, b := range f.job.bins {
		if b.count == Unlimited {
			return nil
		}
		used = append(used, min(b.count, len(f.list)))
	}
	return used
}

// cheaper lists sets with one sheet less, or one changed for a cheaper one, that may hold all by area and cost no
// less than the bound; the cheapest last, for it is the least likely.
func (f *freeSearch) cheaper(used []int) (sets [][]int) {
	need := 0
	for _, p := range f.list {
		need += p.w * p.h
	}
	cost := func(used []int) float64 { return f.costOf(&state{used: used}) }
	weight := func(used []int) (sum float64) {
		for k, n := range used {
			sum += float64(float64(n) * f.weight[k])
		}
		return sum
	}
	try := func(less, more int) {
		set := slices.Clone(used)
		set[less]--
		if more != None {
			set[more]++
			if c := f.job.bins[more].count; c != Unlimited && set[more] > c {
				return
			}
		}
		room := 0
		for k, n := range set {
			room += n * f.job.bins[k].w * f.job.bins[k].h
		}
		if room >= need && weight(set) < weight(used)*(1-1e-12) && cost(set) >= f.bound*(1-1e-9) {
			sets = append(sets, set)
		}
	}
	for k, n := range used {
		if n == 0 {
			continue
		}
		try(k, None)
		for m := range used {
			if m != k {
				try(k, m)
			}
		}
	}
	slices.SortStableFunc(sets, func(a, b []int) int { return cmp.Compare(weight(b), weight(a)) })
	return sets
}

// hold looks for a layout of all pieces on a set of sheets, and keeps it.
func (f *freeSearch) hold(used []int) bool {
	var kinds []int
	for k, n := range used {
		for range n {
			kinds = append(kinds, k)
		}
	}
	size := func(k int) int { return f.job.bins[k].w * f.job.bins[k].h }
	slices.SortStableFunc(kinds, func(a, b int) int { return cmp.Compare(size(a), size(b)) })
	starts := make([]int, len(kinds))
	fill := func(order []int32) int {
		f.begin(order)
		for i, k := range kinds {
			starts[i] = len(f.skyline.spots)
			f.level(f.job.bins[k].w, f.job.bins[k].h)
		}
		return f.unplaced
	}
	// Not more than a third of what is left of the work for one set.
	limit := f.skyline.work + (f.end-f.skyline.work)/3
	done := func() bool { return f.skyline.work >= limit || f.opt.stopped() }
	if !reorder(orders(f.list), fill, f.random, 40*len(f.list)+2000, done) {
		return false
	}
	f.kinds, f.starts, f.spots = kinds, slices.Clone(starts), slices.Clone(f.skyline.spots)
	return true
}

// part is the spots of one sheet.
func (f *freeSearch) part(i int) []spot {
	if i+1 < len(f.starts) {
		return f.spots[f.starts[i]:f.starts[i+1]]
	}
	return f.spots[f.starts[i]:]
}

// gather draws the pieces of the emptiest sheet together, so that they leave one large rectangle free.
func (f *freeSearch) gather() {
	least, which := 0, -1
	for i := range f.kinds {
		area := 0
		for _, at := range f.part(i) {
			area += f.list[at.piece].w * f.list[at.piece].h
		}
		if area > 0 && (which < 0 || area < least) {
			least, which = area, i
		}
	}
	if which < 0 {
		return
	}
	own, b := f.part(which), f.job.bins[f.kinds[which]]
	some := make([]loose, len(own))
	for i, at := range own {
		some[i] = f.list[at.piece]
	}
	h := newShelf(some, b.w, (least+b.w-1)/b.w)
	h.stop = f.opt.Stop
	h.search(f.opt.Effort.steps(5_000_000))
	now := 0
	for _, at := range own {
		p := f.list[at.piece]
		if at.turned {
			p.w, p.h = p.h, p.w
		}
		now = max(now, at.y+p.h)
	}
	if h.length >= now {
		return
	}
	drawn := make([]spot, len(own))
	for i, at := range h.best {
		drawn[i] = spot{own[at.piece].piece, at.x, at.y, at.turned}
	}
	copy(own, drawn)
}

// plan writes the answer.
func (f *freeSearch) plan() Plan {
	if f.kinds == nil {
		p := f.stock.plan()
		for i := range p.Layouts {
			p.Layouts[i].Root = nil
		}
		return p
	}
	f.found = state{used: make([]int, len(f.job.bins))}
	for _, k := range f.kinds {
		f.found.used[k]++
	}
	p := f.stock.plan() // without layouts
	for i, k := range f.kinds {
		if own := f.part(i); len(own) > 0 {
			p.Layouts = append(p.Layouts, f.job.spread(own, f.list, k, f.in, f.sheets))
		}
	}
	return p
}

// spread writes a layout without cuts from edge to edge.
func (j *job) spread(spots []spot, list []loose, sheet int, pieces []Piece, sheets []Sheet) Layout {
	s := sheets[sheet]
	out := Layout{Sheet: sheet, Width: s.Width, Height: s.Height, Kerf: j.opt.Kerf, Trim: j.opt.Trim}
	for _, at := range spots {
		k := list[at.piece].item
		p := Placement{Piece: k, Width: pieces[k].Width, Height: pieces[k].Height, Turned: at.turned}
		if p.Turned {
			p.Width, p.Height = p.Height, p.Width
		}
		p.X = out.Trim.Left + float64(at.x*j.unit)/perMM
		p.Y = out.Trim.Bottom + float64(at.y*j.unit)/perMM
		out.Placed = append(out.Placed, p)
	}
	return out
}
