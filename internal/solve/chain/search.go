package chain

import (
	"cmp"
	"math"
	"slices"
)

// search is a set of branches under improvement. Each root has one empty group more than it has branches, if it may
// have one more, so that a branch can always be begun.
type search struct {
	*question
	groups []group
	where  []int32   // group of each terminal
	above  []int32   // in trees, the node on which each terminal hangs
	near   [][]int32 // other terminals of each, in rising cost
	slots  []int     // groups of each root
	cost   float64   // sum over the groups
	chance random

	trial  int     // number of the present attempt
	mark   []int   // attempt in which a group was saved last
	saved  []group // groups as they were before the present attempt
	which  []int32 // and their numbers
	loose  []int32 // terminals that hang nowhere
	out    []bool  // of each terminal: it is loose
	seen   []int   // attempt at an insertion in which a root had its empty group looked at
	insert int     // number of that attempt
	prim   prim
}

func newSearch(q *question) *search {
	s := &search{
		question: q, where: make([]int32, q.n), near: make([][]int32, q.n), slots: make([]int, len(q.branches)),
		chance: 1, out: make([]bool, q.n), seen: make([]int, len(q.branches)),
		above: make([]int32, q.n),
	}
	for v := range s.near {
		row := q.row(int32(v))
		list := make([]int32, 0, q.n-1)
		for u := range int32(q.n) {
			if int(u) != v {
				list = append(list, u)
			}
		}
		slices.SortFunc(list, func(a, b int32) int {
			if c := cmp.Compare(row[a], row[b]); c != 0 {
				return c
			}
			return int(a - b)
		})
		s.near[v] = list
	}
	for r := range q.branches {
		s.slot(r)
	}
	return s
}

// slot gives a root one more group.
func (s *search) slot(r int) {
	if s.slots[r] < s.branches[r] {
		s.slots[r]++
		s.groups = append(s.groups, group{root: s.rootNode(r)})
		s.mark = append(s.mark, 0)
	}
}

// touch saves a group before it changes.
func (s *search) touch(g int32) {
	if s.mark[g] == s.trial {
		return
	}
	s.mark[g] = s.trial
	k := len(s.which)
	s.which = append(s.which, g)
	if k == len(s.saved) {
		s.saved = append(s.saved, group{})
	}
	old, now := &s.saved[k], &s.groups[g]
	old.seq = append(old.seq[:0], now.seq...)
	old.above = old.above[:0]
	if s.shape == Tree {
		for _, v := range now.seq {
			old.above = append(old.above, s.above[v])
		}
	}
	old.load, old.cost, old.link = now.load, now.cost, now.link
}

// begin starts an attempt.
func (s *search) begin() {
	s.trial++
	s.which = s.which[:0]
	s.loose = s.loose[:0]
}

// undo takes the present attempt back.
func (s *search) undo() {
	for k, g := range s.which {
		old, now := &s.saved[k], &s.groups[g]
		now.seq = append(now.seq[:0], old.seq...)
		now.load, now.cost, now.link = old.load, old.cost, old.link
		for l, v := range now.seq {
			s.where[v], s.out[v] = g, false
			if s.shape == Tree {
				s.above[v] = old.above[l]
			}
		}
	}
}

// finish prices all groups touched and returns by how much the sum grew.
func (s *search) finish() float64 {
	more := 0.0
	for k, g := range s.which {
		now := &s.groups[g]
		if s.shape == Tree {
			s.grow(now)
		} else {
			now.cost = s.price(now)
		}
		more += now.cost - s.saved[k].cost
	}
	return more
}

// detach takes the terminals of a group that are marked out from it.
func (s *search) detach(g int32) {
	now := &s.groups[g]
	kept := now.seq[:0]
	for _, v := range now.seq {
		if s.out[v] {
			now.load -= s.load[v]
			s.loose = append(s.loose, v)
		} else {
			kept = append(kept, v)
		}
	}
	now.seq = kept
	if s.shape == Tree && len(kept) > 0 {
		now.link = math.Inf(1) // not known before the tree has grown again
		row := s.row(now.root)
		for _, v := range kept {
			now.link = min(now.link, row[v])
		}
	}
}

// best finds the group and the position in it where terminal v costs least. Now and then one is passed over
// ("blink"), so that not every attempt ends the same. It returns -1 if there is no room.
func (s *search) best(v int32, blink *int) (group int32, position int, cost float64) {
	group, cost = -1, math.Inf(1)
	row := s.row(v)
	s.insert++
	for k := range s.groups {
		g := &s.groups[k]
		if !s.room(g, v) {
			continue
		}
		end := s.end(g.root)
		if len(g.seq) == 0 {
			r := int(g.root) - s.n
			if s.seen[r] == s.insert {
				continue
			}
			s.seen[r] = s.insert
			c := row[g.root]
			if s.shape != Tree {
				c += row[end]
			}
			if c < cost {
				group, position, cost = int32(k), 0, c
			}
			continue
		}
		if s.shape == Tree {
			if *blink--; *blink < 0 {
				*blink = s.chance.below(40)
				continue
			}
			least := math.Inf(1)
			for _, u := range g.seq {
				least = min(least, row[u])
			}
			if least += min(0, row[g.root]-g.link); least < cost {
				group, position, cost = int32(k), len(g.seq), least
			}
			continue
		}
		a, toA := g.root, row[g.root]
		for p, b := range g.seq {
			toB := row[b]
			if c := toA + toB - s.at(a, b); c < cost {
				if *blink--; *blink < 0 {
					*blink = s.chance.below(40)
				} else {
					group, position, cost = int32(k), p, c
				}
			}
			a, toA = b, toB
		}
		if c := toA + row[end] - s.at(a, end); c < cost {
			if *blink--; *blink < 0 {
				*blink = s.chance.below(40)
			} else {
				group, position, cost = int32(k), len(g.seq), c
			}
		}
	}
	return group, position, cost
}

// put lets terminal v into a group.
func (s *search) put(v, k int32, position int) {
	s.touch(k)
	g := &s.groups[k]
	first := len(g.seq) == 0
	g.seq = slices.Insert(g.seq, position, v)
	g.load += s.load[v]
	s.where[v], s.out[v] = k, false
	if c := s.at(v, g.root); first || c < g.link {
		g.link = c
	}
	if first {
		root := g.root
		for _, other := range s.groups {
			if other.root == root && len(other.seq) == 0 {
				return
			}
		}
		s.slot(int(root) - s.n)
	}
}

// mend lets all loose terminals in again, in an order drawn by lot: any, heavy ones first, far ones first, or
// near ones first. It reports whether all found room.
func (s *search) mend() bool {
	for k := len(s.loose) - 1; k > 0; k-- {
		l := s.chance.below(k + 1)
		s.loose[k], s.loose[l] = s.loose[l], s.loose[k]
	}
	switch c := s.chance.below(11); {
	case c < 4:
	case c < 8:
		slices.SortStableFunc(s.loose, func(a, b int32) int { return s.load[b] - s.load[a] })
	case c < 10:
		slices.SortStableFunc(s.loose, func(a, b int32) int { return cmp.Compare(s.anyRoot[b], s.anyRoot[a]) })
	default:
		slices.SortStableFunc(s.loose, func(a, b int32) int { return cmp.Compare(s.anyRoot[a], s.anyRoot[b]) })
	}
	blink := s.chance.below(40)
	for _, v := range s.loose {
		g, p, _ := s.best(v, &blink)
		if g < 0 { // it may have been passed over
			if g, p, _ = s.best(v, &blink); g < 0 {
				return false
			}
		}
		s.put(v, g, p)
	}
	return true
}

// copy is a deep copy of the groups.
func (s *search) copy() []group {
	var all []group
	s.keep(&all)
	return all
}

// keep copies the groups into a copy made before.
func (s *search) keep(all *[]group) {
	for k, g := range s.groups {
		if k == len(*all) {
			*all = append(*all, group{root: g.root})
		}
		to := &(*all)[k]
		to.seq = append(to.seq[:0], g.seq...)
		to.above = to.above[:0]
		if s.shape == Tree {
			for _, v := range g.seq {
				to.above = append(to.above, s.above[v])
			}
		}
		to.load, to.cost, to.link = g.load, g.cost, g.link
	}
}

// restore takes over a copy.
func (s *search) restore(all []group) {
	s.cost = 0
	for k := range s.groups {
		g := &s.groups[k]
		g.seq, g.load, g.cost = g.seq[:0], 0, 0
		if k < len(all) {
			from := all[k]
			g.seq = append(g.seq, from.seq...)
			g.load, g.cost, g.link = from.load, from.cost, from.link
			for l, v := range g.seq {
				s.where[v], s.out[v] = int32(k), false
				if s.shape == Tree {
					s.above[v] = from.above[l]
				}
			}
		}
		s.cost += g.cost
	}
}
