package pack

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// repacker improves sheets cut from edge to edge by ruin and repair: some panels are broken up, and their pieces put
// back one by one where they fit best (Schrimpf et al. 2000; for panels in a tree, after the idea of Gardeyn &
// Wauters 2022: aim at a fixed stock of sheets and shrink what is left out to nothing).
type repacker struct {
	pieces []loose
	value  []float64 // of the pieces; what is left out costs this much
	items  []item
	bins   []bin
	weight []float64 // cost of the bins as the search sees it
	limit  float64   // the sheets in use may cost this much together
	narrow int       // no piece has a side below
	random *rand.Rand
	work   int // panels looked at
	stop   func() bool

	now  state
	best state // best for the present limit
	gone []bool
	own  []bool // planks that may be changed in place
	past []float64
	key  []float64
	tidy bool // the pieces have their sheets: now look for large remains and few cuts
}

// state is what is cut from what.
type state struct {
	planks []*plank
	used   []int // per kind
	out    []int32
	lost   float64 // value of the pieces left out
	cost   float64
	lumps  float64
	score  float64
}

func (s *state) clone() state {
	c := *s
	c.planks, c.used, c.out = slices.Clone(s.planks), slices.Clone(s.used), slices.Clone(s.out)
	return c
}

func newRepacker(j *job, pieces []loose, value []float64) *repacker {
	r := &repacker{pieces: pieces, value: value, items: j.items, bins: j.bins, limit: math.Inf(1), narrow: math.MaxInt,
		random: rand.New(rand.NewPCG(3, 4)), stop: j.opt.Stop}
	for _, p := range pieces {
		r.narrow = min(r.narrow, p.w, p.h)
	}
	most, largest := 0.0, 1
	for _, b := range j.bins {
		most, largest = max(most, b.cost), max(largest, b.w*b.h)
	}
	if most == 0 {
		most = 1
	}
	for _, b := range j.bins {
		r.weight = append(r.weight, b.cost+float64(1e-7*most*float64(b.w*b.h)/float64(largest)))
	}
	r.gone, r.key = make([]bool, len(pieces)), make([]float64, len(pieces))
	return r
}

// rate sums up the waste of a plank: many small panels of waste are worse than a few large ones. Panels too
// narrow for any piece count for nothing.
func (r *repacker) rate(p *plank) {
	p.lumps, p.largest, p.wastes = 0, 0, 0
	for i := range p.nodes {
		if n := &p.nodes[i]; n.what == waste {
			p.lumps += r.lump(n.w, n.h)
			p.largest = max(p.largest, float64(n.w*n.h))
			p.wastes++
		}
	}
}

func (r *repacker) lump(w, h int) float64 {
	if w < r.narrow || h < r.narrow {
		return 0
	}
	a := float64(w * h)
	return float64(a * a)
}

// ruin takes pieces out of the present state.
func (r *repacker) ruin(s *state) {
	r.own = slices.Grow(r.own[:0], len(s.planks)+8)[:len(s.planks)]
	clear(r.own)
	if len(s.planks) == 0 {
		return
	}
	want := 1 + r.random.IntN(ruinMost)
	if r.random.IntN(40) == 0 {
		want = 0
		i := r.random.IntN(len(s.planks))
		for k := range s.planks[i].nodes {
			r.take(s, s.planks[i].nodes[k].what)
		}
		r.own[i] = true
	}
	for tries := 0; want > 0 && tries < 4*ruinMost; tries++ {
		i := r.random.IntN(len(s.planks))
		p := s.planks[i]
		at := int32(r.random.IntN(len(p.nodes)))
		if w := p.nodes[at].what; w == waste || w == unused {
			continue
		}
		if c := p.count(at); c > want+want/2 {
			continue
		}
		r.own[i] = true
		want -= r.takeAll(s, p, at)
	}
	for i := len(s.planks) - 1; i >= 0; i-- {
		if !r.own[i] {
			continue
		}
		p := s.planks[i].without(r.gone, r.pieces)
		if p.placed == 0 {
			r.count(s, p.kind, -1)
			s.planks = slices.Delete(s.planks, i, i+1)
			r.own = slices.Delete(r.own, i, i+1)
			continue
		}
		s.planks[i] = p
	}
	for _, k := range s.out {
		r.gone[k] = false
	}
}

// count notes that one more or one less sheet of a kind is in use. The cost is added up anew, so that it does not drift.
func (r *repacker) count(s *state, kind, more int) {
	s.used[kind] += more
	s.cost = 0
	for k, n := range s.used {
		s.cost += float64(float64(n) * r.weight[k])
	}
}

// count is the number of pieces in a panel.
func (p *plank) count(at int32) int {
	n := &p.nodes[at]
	if n.what != line {
		return min(1, int(n.what)+1)
	}
	sum := 0
	for c := n.child; c != None; c = p.nodes[c].next {
		sum += max(0, p.count(c))
	}
	return sum
}

func (r *repacker) take(s *state, piece int32) int {
	if piece < 0 || r.gone[piece] {
		return 0
	}
	r.gone[piece] = true
	s.out = append(s.out, piece)
	s.lost += r.value[piece]
	return 1
}

func (r *repacker) takeAll(s *state, p *plank, at int32) int {
	n := &p.nodes[at]
	if n.what != line {
		return r.take(s, n.what)
	}
	sum := 0
	for c := n.child; c != None; c = p.nodes[c].next {
		sum += r.takeAll(s, p, c)
	}
	return sum
}

// repair puts back what it can, in an order that favours large pieces.
func (r *repacker) repair(s *state) {
	way := r.random.IntN(8)
	for _, k := range s.out {
		p := r.pieces[k]
		v := float64(p.w) * float64(p.h)
		switch way {
		case 0:
			v = float64(max(p.w, p.h))
		case 1:
			v = float64(p.w)
		case 2:
			v = float64(p.h)
		case 3:
			v = float64(min(p.w, p.h))
		}
		r.key[k] = v * (1 + float64(0.3*r.random.Float64()))
	}
	slices.SortFunc(s.out, func(a, b int32) int { return cmp.Or(cmp.Compare(r.key[b], r.key[a]), cmp.Compare(a, b)) })
	left := s.out[:0]
	for _, k := range s.out {
		if r.insert(s, k) {
			s.lost -= r.value[k]
		} else {
			left = append(left, k)
		}
	}
	s.out = left
	if len(left) == 0 {
		s.lost = 0 // free of rounding
	}
}

// insert puts a piece where it breaks up the least waste, or on a new sheet.
func (r *repacker) insert(s *state, piece int32) bool {
	p := r.pieces[piece]
	least, plank, at := math.Inf(1), -1, int32(0)
	var how stand
	for i, q := range s.planks {
		r.work += len(q.nodes)
		for k := range q.nodes {
			n := &q.nodes[k]
			if n.what != waste {
				continue
			}
			for turned := range 2 {
				w, h := p.w, p.h
				if turned == 1 {
					if !p.turn {
						break
					}
					w, h = h, w
				}
				if w > n.w || h > n.h {
					continue
				}
				chance := r.random.Uint32()
				if chance%blink == 0 {
					continue
				}
				whole := r.lump(n.w, n.h)
				upright := whole - r.lump(n.w-w, n.h) - r.lump(w, n.h-h)
				level := whole - r.lump(n.w, n.h-h) - r.lump(n.w-w, h)
				first := upright < level || upright == level && chance>>31 == 1
				if chance>>16%blink == 0 {
					first = !first
				}
				c := level
				if first {
					c = upright
				}
				if c < least {
					least, plank, at = c, i, int32(k)
					how = stand{w: w, h: h, turned: turned == 1, upright: first}
				}
			}
		}
	}
	if plank < 0 {
		if plank = r.open(s, p); plank < 0 {
			return false
		}
		b := r.bins[s.planks[plank].kind]
		at, how = 0, stand{w: p.w, h: p.h, upright: r.random.IntN(2) == 0}
		if p.turn && (p.w > b.w || p.h > b.h || p.h <= b.w && p.w <= b.h && r.random.IntN(2) == 0) {
			how.w, how.h, how.turned = p.h, p.w, true
		}
	}
	if !r.own[plank] {
		c := *s.planks[plank]
		c.nodes = append(make([]slab, 0, len(c.nodes)+8), c.nodes...)
		s.planks[plank], r.own[plank] = &c, true
	}
	q := s.planks[plank]
	q.put(at, piece, how)
	q.placed += p.w * p.h
	return true
}

// blink: one in so many good places is overlooked, so that the search does not always do the same.
const blink = 64

// open takes a new sheet that holds the piece and keeps the cost within the limit; it returns -1 if there is none.
// Sheets that cost less for their size are taken more often, but one time in four all have the same chance.
func (r *repacker) open(s *state, p loose) int {
	best, kind, fair := math.Inf(1), -1, r.random.IntN(4) == 0
	for i, b := range r.bins {
		fits := p.w <= b.w && p.h <= b.h || p.turn && p.h <= b.w && p.w <= b.h
		if !fits || b.count != Unlimited && s.used[i] >= b.count || s.cost+r.weight[i] > r.limit {
			continue
		}
		c := 0.5 + r.random.Float64()
		if !fair {
			c *= r.weight[i] / float64(b.w*b.h)
		}
		if c < best {
			best, kind = c, i
		}
	}
	if kind < 0 {
		return -1
	}
	s.planks = append(s.planks, emptyPlank(kind, r.bins[kind].w, r.bins[kind].h))
	r.own = append(r.own, true)
	r.count(s, kind, 1)
	return len(s.planks) - 1
}
