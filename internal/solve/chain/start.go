package chain

import (
	"cmp"
	"math"
	"slices"
)

// nearby is how many near terminals of each are looked at for savings and exchanges.
const nearby = 15

// start makes branches by savings, hangs the heaviest on the roots that have branches left, and lets the terminals of
// the others in where they cost least. It reports whether all found room.
func (s *search) start() bool {
	parts := s.savings()
	slices.SortStableFunc(parts, func(a, b group) int { return b.load - a.load })
	s.begin()
	for _, part := range parts {
		best, least := -1, math.Inf(1)
		for k := range s.groups {
			if g := &s.groups[k]; len(g.seq) == 0 {
				part.root = g.root
				if c := s.hung(&part); c < least {
					best, least = k, c
				}
			}
		}
		if best < 0 {
			s.loose = append(s.loose, part.seq...)
			continue
		}
		part.root = s.groups[best].root
		s.hung(&part)
		for l, v := range part.seq {
			s.put(v, int32(best), l)
		}
	}
	for _, v := range s.loose {
		s.out[v] = true
	}
	if !s.mend() && !s.fill() {
		return false
	}
	s.cost = s.finish()
	s.exchange()
	return true
}

// fill forgets all branches and lets terminals in without regard to cost: heavy ones first, each where least room is
// left; then again in orders that differ more and more.
func (s *search) fill() bool {
	order := make([]int32, s.n)
	for v := range order {
		order[v] = int32(v)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return s.load[b] - s.load[a] })
	for range 300 {
		for k := range s.groups {
			s.touch(int32(k))
			s.groups[k].seq, s.groups[k].load = s.groups[k].seq[:0], 0
		}
		done := true
		for _, v := range order {
			best := -1
			for k := range s.groups {
				g := &s.groups[k]
				if s.room(g, v) && (best < 0 || g.load > s.groups[best].load) {
					best = k
				}
			}
			if done = best >= 0; !done {
				break
			}
			s.put(v, int32(best), len(s.groups[best].seq))
		}
		if done {
			return true
		}
		k := s.chance.below(s.n)
		l := s.chance.below(k + 1)
		order[k], order[l] = order[l], order[k]
	}
	return false
}

// hung turns a path so that it hangs well on its root, and returns the cost of its wires there.
func (s *search) hung(g *group) float64 {
	row := s.row(g.root)
	first, last := g.seq[0], g.seq[len(g.seq)-1]
	switch s.shape {
	case Ring:
		return row[first] + row[last]
	case Path:
		if row[last] < row[first] {
			slices.Reverse(g.seq)
		}
		return min(row[first], row[last])
	}
	least := math.Inf(1)
	for _, v := range g.seq {
		least = min(least, row[v])
	}
	return least
}

// savings joins single terminals to parts: always the two that save most, as if each part hung on the root that
// suits it best.
func (s *search) savings() []group {
	type join struct {
		v, u int32
		gain float64
	}
	part := make([]int32, s.n) // of each terminal
	parts := make([]group, s.n)
	hang := make([]float64, s.n)
	for v := range parts {
		parts[v] = group{seq: []int32{int32(v)}, load: s.load[v]}
		part[v] = int32(v)
		hang[v] = s.anyRoot[v]
		if s.shape == Ring {
			hang[v] *= 2
		}
	}
	// ends: the terminals at which a part can be joined, first and last
	isEnd := func(v int32) bool {
		seq := parts[part[v]].seq
		return s.shape == Tree || seq[0] == v || seq[len(seq)-1] == v
	}
	other := func(v int32) int32 {
		seq := parts[part[v]].seq
		if seq[0] == v {
			return seq[len(seq)-1]
		}
		return seq[0]
	}
	for {
		best := join{gain: 0}
		for v := range int32(s.n) {
			if !isEnd(v) {
				continue
			}
			a := part[v]
			for _, u := range s.near[v][:min(nearby, s.n-1)] {
				b := part[u]
				if a == b || !isEnd(u) || parts[a].load+parts[b].load > s.capacity ||
					len(parts[a].seq)+len(parts[b].seq) > s.longest {
					continue
				}
				var gain float64
				switch s.shape {
				case Tree:
					gain = max(hang[a], hang[b])
				case Ring:
					gain = hang[a] + hang[b] - s.ringHang(other(v), other(u))
				default:
					gain = hang[a] + hang[b] - min(s.anyRoot[other(v)], s.anyRoot[other(u)])
				}
				if gain -= s.at(v, u); gain > best.gain+s.noise {
					best = join{v, u, gain}
				}
			}
		}
		if best.gain == 0 {
			break
		}
		a, b := part[best.v], part[best.u]
		x, y := &parts[a], &parts[b]
		if s.shape != Tree {
			if x.seq[len(x.seq)-1] != best.v {
				slices.Reverse(x.seq)
			}
			if y.seq[0] != best.u {
				slices.Reverse(y.seq)
			}
		}
		x.seq = append(x.seq, y.seq...)
		x.load += y.load
		for _, v := range y.seq {
			part[v] = a
		}
		y.seq = nil
		switch first, last := x.seq[0], x.seq[len(x.seq)-1]; s.shape {
		case Tree:
			hang[a] = min(hang[a], hang[b])
		case Ring:
			hang[a] = s.ringHang(first, last)
		default:
			hang[a] = min(s.anyRoot[first], s.anyRoot[last])
		}
	}
	parts = slices.DeleteFunc(parts, func(g group) bool { return g.seq == nil })
	slices.SortStableFunc(parts, func(a, b group) int { return cmp.Compare(a.seq[0], b.seq[0]) })
	return parts
}

// ringHang is the cost of the two wires from the best root to the ends of a ring.
func (s *search) ringHang(first, last int32) float64 {
	least := math.Inf(1)
	a, b := s.row(first), s.row(last)
	for r := s.n; r < s.size-1; r++ {
		least = min(least, a[r]+b[r])
	}
	return least
}
