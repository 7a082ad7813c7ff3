package pack

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
)

// Way says how cuts may run.
type Way uint8

const (
	Anywhere   Way = iota // cuts begin and end where they like: laser, router, knife
	EdgeToEdge            // every cut parts a panel from edge to edge: table saw, guillotine
)

// Roll is the answer of [Strip].
type Roll struct {
	Layout         // Height is the length used
	Length float64 // length used, with the trims below and above, mm
	Bound  float64 // no layout is shorter, mm
	Exact  bool    // none is shorter
}

// Gap is how much the length may be above the shortest at most, as a share of the bound: 0.02 is 2 %.
func (r Roll) Gap() float64 {
	if r.Length <= r.Bound || r.Bound <= 0 {
		return 0
	}
	return (r.Length - r.Bound) / r.Bound
}

// Strip lays all pieces on a strip of a width (mm, along x) so that it is used up to the least length (along y) it
// finds. Values of pieces play no part. The layout is one on a sheet of the length found; for [Check], that is
// Sheet{Width: width, Height: roll.Length, Count: 1}.
//
// The error is an [*InputError] for a number out of range, or a [*FitError] for a piece wider than the strip.
//
// Sources: best-fit on the skyline, see the package; aiming at lengths in turn, S. Wei et al. (2011), A skyline
// heuristic for the 2D rectangular packing and strip packing problems. The bound is area with weighed widths. Checked
// by: published jigsaws, exhaustive search of small cases.
func Strip(pieces []Piece, width float64, way Way, o Options) (Roll, error) {
	sheet := Sheet{Width: width, Height: MaxLength, Count: 1}
	free := o
	free.Trim.Bottom, free.Trim.Top = 0, 0 // pieces as long as any sheet do fit
	s, err := newStock(pieces, []Sheet{sheet}, free)
	if err != nil {
		var fit *FitError
		if errors.As(err, &fit) {
			fit.RoomHeight = math.Inf(1)
		}
		return Roll{}, err
	}
	if err := checkOptions(o); err != nil {
		return Roll{}, err
	}
	s.opt = o
	w := s.job.bins[0].w
	bound := s.stripBound(w)
	ends := o.Trim.Bottom + o.Trim.Top
	mm := func(units int) float64 {
		if units == 0 {
			return ends
		}
		return ends + float64(units*s.unit-s.kerf)/perMM
	}
	var r Roll
	if way == Anywhere {
		h := newShelf(s.list, w, bound)
		h.stop = o.Stop
		h.search(o.Effort.steps(150_000_000))
		r.Length = mm(h.length)
		r.Layout = s.job.spread(h.best, s.list, 0, pieces, []Sheet{{Width: width, Height: r.Length}})
		r.Exact = h.length <= bound
	} else {
		b := s.stripBlock(w, bound)
		length := 0
		if b != nil {
			length = b.h
		}
		r.Length = mm(length)
		s.job.bins[0].uh = length * s.unit
		r.Layout = s.job.layout(b, 0, pieces, []Sheet{{Width: width, Height: r.Length}})
		r.Exact = length <= bound
	}
	r.Bound = min(mm(bound), r.Length)
	return r, nil
}

// stripBound is the best of the longest piece and the area with weighed widths, in units.
func (s *stock) stripBound(w int) int {
	bound := 0
	items := s.job.items
	for _, it := range items {
		if it.count > 0 {
			h := it.h
			if it.turn && it.h <= w && (it.w < h || it.w > w) {
				h = it.w
			}
			if it.w > w {
				h = it.w
			}
			bound = max(bound, h)
		}
	}
	for _, f := range weighings(items, w) {
		sum := 0
		for i, it := range items {
			if it.count <= 0 {
				continue
			}
			p := f.width[i] * it.h
			if it.turn && it.h <= w && (it.w > w || f.height[i]*it.w < p) {
				p = f.height[i] * it.w
			}
			sum += it.count * p
		}
		bound = max(bound, (sum+f.whole-1)/f.whole)
	}
	return bound
}

// goals tells which lengths to aim at: at first a part of what may be missing to the bound, after a failure
// half of that.
type goals struct {
	pieces int
	share  int  // the part is 1/share
	fails  int  // failures at the nearest goal
	spent  bool // there is no hope left: so few pieces have few orders, and they were tried
}

func (g *goals) next(length, bound int) int {
	if g.share == 0 {
		g.share = 4
	}
	return length - max(1, (length-bound)/g.share)
}

// failed notes that a goal so much below the length was not reached.
func (g *goals) failed(step int) {
	g.share = min(2*g.share, 1<<30)
	if step <= 1 {
		g.fails++
	}
	g.spent = g.fails >= 3 && g.pieces <= fewPieces
}

// fewPieces can be ordered in fewer ways than are tried for one goal.
const fewPieces = 7

// stripBlock shortens a strip that is cut from edge to edge.
func (s *stock) stripBlock(w, bound int) *block {
	if len(s.list) == 0 {
		return nil
	}
	endless := 0
	for _, p := range s.list {
		endless += max(p.w, p.h)
	}
	load := func(b *block, h int) {
		s.job.bins[0].h = h
		queue := s.copies()
		p := plankOf(0, w, h, b.crop(w, h), s.list, func(item int) int32 {
			k := queue[item][0]
			queue[item] = queue[item][1:]
			return k
		})
		given := []*plank{p}
		if p.placed == 0 {
			given = nil
		}
		s.repacker.start(given)
	}
	load(nil, endless)
	best := s.tower(w)
	if s.best.lost == 0 {
		best = s.best.planks[0].block(0, s.list, s.job.items)
	}
	g := goals{pieces: len(s.list)}
	for end := s.work + s.opt.Effort.steps(60_000_000); s.work < end && best.h > bound && !g.spent && !s.opt.stopped(); {
		goal := g.next(best.h, bound)
		load(best, goal)
		if s.search(end-s.work, 20*len(s.list)+2000) {
			best = s.best.planks[0].block(0, s.list, s.job.items)
		} else {
			g.failed(best.h - goal)
		}
	}
	return best
}

// tower is all pieces on top of each other, turned where they must be.
func (s *stock) tower(w int) *block {
	var parts []*block
	for _, p := range s.list {
		parts = append(parts, single(s.job.items[p.item], p.item, p.w > w))
	}
	return join(true, parts...)
}

// copies lists the single pieces of every item.
func (s *stock) copies() [][]int32 {
	queue := make([][]int32, len(s.job.items))
	for i, p := range s.list {
		queue[p.item] = append(queue[p.item], int32(i))
	}
	return queue
}

// shelf is the search for the shortest strip without regard to cuts.
type shelf struct {
	*skyline
	width  int
	bound  int
	length int    // best found
	best   []spot // the layout of that length
	end    int    // work that may be done
	random *rand.Rand
	stop   func() bool
}

func newShelf(pieces []loose, width, bound int) *shelf {
	return &shelf{skyline: newSkyline(pieces), width: width, bound: bound, random: rand.New(rand.NewPCG(1, 2))}
}

// orders are the usual ways to sort pieces: by area, by height, by width, by longer side, by girth; large ones first.
func orders(pieces []loose) [][]int32 {
	keys := []func(p loose) int{
		func(p loose) int { return p.w * p.h },
		func(p loose) int { return p.h },
		func(p loose) int { return p.w },
		func(p loose) int { return max(p.w, p.h) },
		func(p loose) int { return p.w + p.h },
	}
	var all [][]int32
	for _, key := range keys {
		order := make([]int32, len(pieces))
		for i := range order {
			order[i] = int32(i)
		}
		slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(key(pieces[b]), key(pieces[a])) })
		all = append(all, order)
	}
	return all
}

// keep takes over a filling in which all is placed.
func (s *shelf) keep() {
	if h := s.height(); s.best == nil || h < s.length {
		s.length, s.best = h, slices.Clone(s.spots)
	}
}

func (s *shelf) done() bool {
	return s.length <= s.bound || s.work >= s.end || s.stop != nil && s.stop()
}

// search shortens the strip by goals: all must fit into a rectangle of a length that is a little less than the best
// so far.
func (s *shelf) search(budget int) {
	s.end = s.work + budget
	endless := 0
	for _, p := range s.pieces {
		endless += max(p.w, p.h)
	}
	starts := orders(s.pieces)
	for _, o := range starts {
		s.fill(o, s.width, endless)
		if s.keep(); s.done() {
			return
		}
	}
	g := goals{pieces: len(s.pieces)}
	for !s.done() && !g.spent {
		goal := g.next(s.length, s.bound)
		fill := func(order []int32) int { return s.fill(order, s.width, goal) }
		if reorder(starts, fill, s.random, 40*len(s.pieces)+2000, s.done) {
			s.keep()
		} else {
			g.failed(s.length - goal)
		}
	}
}

// reorder looks for an order of pieces with which all are placed. Two pieces change places; the area left unplaced
// tells which change was good. A new order is kept if it is no worse than the present one or the one some rounds ago
// (late acceptance, Burke & Bykov 2017). It gives up after a number of rounds without getting better.
func reorder(starts [][]int32, fill func([]int32) int, random *rand.Rand, patience int, done func() bool) bool {
	order, now := starts[0], -1
	for _, o := range starts {
		if u := fill(o); now < 0 || u < now {
			order, now = o, u
		}
		if now == 0 {
			return true
		}
	}
	n := len(order)
	if n < 2 {
		return false
	}
	order = slices.Clone(order)
	var past [40]int
	for i := range past {
		past[i] = now
	}
	least := now
	for t, idle := 0, 0; idle < patience && !done(); t++ {
		a, b := random.IntN(n), random.IntN(n)
		order[a], order[b] = order[b], order[a]
		u := fill(order)
		if u == 0 {
			return true
		}
		slot := &past[t%len(past)]
		if u <= now || u <= *slot {
			now = u
		} else {
			order[a], order[b] = order[b], order[a]
		}
		*slot = min(*slot, now)
		if idle++; now < least {
			least, idle = now, 0
		}
	}
	return false
}
