package pack

import (
	"container/heap"
	"math"
)

// builder makes panels up from pieces, the most promising first (Wang 1983; Viswanathan & Bagchi 1993). A panel that
// is taken up is joined, side by side and stacked, with all taken up before. Each panel is rated by
//
//	its value + a bound on what can be had beside it.
//
// Some part of the best pattern is always among the panels still waiting, and so the highest rating there bounds its
// value. A rating is the lowest of several: with the values as they are, and with the values less prices.
type builder struct {
	limits
	x, y    *axis // of the recursion, in cells
	items   []item
	w, h    int // of the sheet
	cell    int
	rates   []rating
	panels  []built
	waiting waitingList
	taken   []int32
	seen    map[countVector]int32 // last panel with these counts
	best    int32                 // panel of the highest value, or None
	value   float64               // highest value known
	grain   float64               // different values differ by at least this much
	bound   float64               // no pattern is worth more
	work    int                   // pairs that may still be looked at
	room    int                   // panels that may be kept
}

// rating is one way to bound.
type rating struct {
	value []float64   // of the items, less prices
	u     [][]float64 // bound on what can be had outside
	back  float64     // what prices give back
}

const maxRates = 2

// built is a panel.
type built struct {
	count      countVector
	w, h       int32
	value      float64
	priced     [maxRates]float64 // value by each rating
	rating     float64
	left, over int32 // panels it is made of; a piece has its item and None, or None-1 if turned
	twin       int32 // the panel with the same counts made before, or None
	stack      bool
}

// newBuilder returns nil if there are too many pieces for vectors of counts. The recursion may measure in
// cells of several units, if it rounds pieces and sheet down.
func newBuilder(r *recursion, items []item, w, h, cell int) *builder {
	l, ok := newLimits(items, w, h)
	if !ok {
		return nil
	}
	return &builder{limits: l, x: r.x, y: r.y, items: items, w: w, h: h, cell: cell}
}

// reset forgets all panels.
func (b *builder) reset(value, grain float64, work int) {
	b.panels, b.waiting.list, b.taken, b.seen = b.panels[:0], b.waiting.list[:0], b.taken[:0], map[countVector]int32{}
	b.best, b.value, b.grain, b.bound, b.work, b.room = None, value, grain, math.Inf(1), work, max(1000, work/50)
}

// rateBy adds a way to rate from a table solved for prices that give back so much.
func (b *builder) rateBy(r *recursion, back float64) {
	u := table(len(r.y.pts), len(r.x.pts))
	r.outside(u)
	b.rates = append(b.rates, rating{append([]float64(nil), r.value...), u, back})
}

// run builds until nothing better can come, or the work or room is used up. It reports whether the
// value is proved the highest.
func (b *builder) run(stop func() bool) bool {
	for k, it := range b.items {
		if capacity(it, b.w, b.h) == 0 {
			continue
		}
		if it.w <= b.w && it.h <= b.h {
			b.piece(k, it.w, it.h, None)
		}
		if it.turn && it.h <= b.w && it.w <= b.h {
			b.piece(k, it.h, it.w, None-1)
		}
	}
	for n := 0; b.waiting.Len() > 0; n++ {
		top := b.waiting.list[0]
		b.bound = min(b.bound, max(b.value, b.panels[top].rating))
		if !b.better(b.panels[top].rating) {
			break
		}
		if b.work <= 0 || len(b.panels) >= b.room || n&63 == 0 && stop != nil && stop() {
			return false
		}
		heap.Pop(&b.waiting)
		b.taken = append(b.taken, top)
		for _, other := range b.taken {
			b.join(top, other)
		}
		b.work -= len(b.taken)
	}
	b.bound = b.value
	return true
}

// better tells whether a rating leaves hope for more than the value known.
func (b *builder) better(rating float64) bool {
	return rating >= b.value+float64(b.grain*0.999)
}

func (b *builder) piece(item, w, h int, turned int32) {
	p := built{count: b.one(item), w: int32(w), h: int32(h), left: int32(item), over: turned, value: b.items[item].value}
	for i, r := range b.rates {
		p.priced[i] = r.value[item]
	}
	b.add(&p)
}

// join makes the two panels that two others give.
func (b *builder) join(i, j int32) {
	p, q := &b.panels[i], &b.panels[j]
	w, h := int(p.w+q.w), int(p.h+q.h)
	if w > b.w && h > b.h {
		return
	}
	var n built
	n.value = p.value + q.value
	for k := range b.rates {
		n.priced[k] = p.priced[k] + q.priced[k]
	}
	ok := false
	n.count, ok = b.sum(&p.count, &q.count)
	if !ok {
		return
	}
	n.left, n.over = i, j
	highest, widest := max(p.h, q.h), max(p.w, q.w)
	if w <= b.w {
		n.w, n.h = int32(w), highest
		b.add(&n)
	}
	if h <= b.h {
		n.w, n.h, n.stack = widest, int32(h), true
		b.add(&n)
	}
}

// add rates a panel and keeps it if it may lead to more than is known, unless one with the same pieces is
// as small or smaller.
func (b *builder) add(p *built) {
	i, j := b.x.floor(int(p.w)/b.cell), b.y.floor(int(p.h)/b.cell)
	p.rating = math.Inf(1)
	for k := range b.rates {
		p.rating = min(p.rating, p.priced[k]+b.rates[k].u[j][i]+b.rates[k].back)
	}
	if !b.better(p.rating) && p.value <= b.value {
		return
	}
	p.twin = None
	if last, ok := b.seen[p.count]; ok {
		p.twin = last
		for t := last; t != None; t = b.panels[t].twin {
			if b.panels[t].w <= p.w && b.panels[t].h <= p.h {
				return
			}
		}
	}
	at := int32(len(b.panels))
	b.seen[p.count] = at
	b.panels = append(b.panels, *p)
	b.work -= panelWork
	if p.value > b.value {
		b.value, b.best = p.value, at
	}
	if b.better(p.rating) {
		b.waiting.panels = b.panels
		heap.Push(&b.waiting, at)
	}
}

// panelWork is what keeping a panel takes, in pairs looked at.
const panelWork = 40

// block is the arrangement of a panel.
func (b *builder) block(at int32) *block {
	p := &b.panels[at]
	if p.over < 0 {
		return single(b.items[p.left], int(p.left), p.over == None-1)
	}
	return join(p.stack, b.block(p.left), b.block(p.over))
}

// waitingList is a heap of panels, the highest rating first.
type waitingList struct {
	list   []int32
	panels []built
}

func (l *waitingList) Len() int { return len(l.list) }

func (l *waitingList) Less(i, j int) bool {
	p, q := &l.panels[l.list[i]], &l.panels[l.list[j]]
	if p.rating != q.rating {
		return p.rating > q.rating
	}
	if p.value != q.value {
		return p.value > q.value
	}
	return l.list[i] < l.list[j]
}

func (l *waitingList) Swap(i, j int) { l.list[i], l.list[j] = l.list[j], l.list[i] }

func (l *waitingList) Push(v any) { l.list = append(l.list, v.(int32)) }

func (l *waitingList) Pop() any {
	last := l.list[len(l.list)-1]
	l.list = l.list[:len(l.list)-1]
	return last
}
