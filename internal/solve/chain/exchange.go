package chain

import "slices"

// exchange makes every simple exchange that lowers the cost until none is left.
func (s *search) exchange() {
	for changed := true; changed; {
		changed = false
		for v := range int32(s.n) {
			for _, u := range s.near[v][:min(nearby, s.n-1)] {
				if s.at(v, u) >= s.longer(v) {
					break // a wire that helps is shorter than one it replaces at one of its ends
				}
				if s.shape == Tree {
					changed = s.paste(v, u) || changed
				} else {
					changed = s.bring(v, u) || changed
				}
			}
			if s.shape == Tree {
				for k := range s.groups {
					changed = s.sprout(v, int32(k)) || changed
				}
			}
		}
	}
}

// longer is the cost of the dearer of the two wires at v, or in a tree of the dearest wire from v up to the root.
func (s *search) longer(v int32) float64 {
	g := &s.groups[s.where[v]]
	if s.shape == Tree {
		most := 0.0
		for u := v; int(u) < s.n; u = s.above[u] {
			most = max(most, s.at(u, s.above[u]))
		}
		return most
	}
	i := slices.Index(g.seq, v)
	before, after := g.root, s.end(g.root)
	if i > 0 {
		before = g.seq[i-1]
	}
	if i+1 < len(g.seq) {
		after = g.seq[i+1]
	}
	return max(s.at(v, before), s.at(v, after))
}

// piece is a stretch of a path, read backwards if turned.
type piece struct {
	seq    []int32
	turned bool
}

func (p piece) first() int32 {
	if p.turned {
		return p.seq[len(p.seq)-1]
	}
	return p.seq[0]
}

func (p piece) last() int32 {
	if p.turned {
		return p.seq[0]
	}
	return p.seq[len(p.seq)-1]
}

// joints is the cost of the wires between the pieces of a path and at its ends.
func (s *search) joints(root int32, pieces ...piece) float64 {
	sum, from := 0.0, root
	for _, p := range pieces {
		if len(p.seq) > 0 {
			sum += s.at(from, p.first())
			from = p.last()
		}
	}
	if from == root {
		return 0
	}
	return sum + s.at(from, s.end(root))
}

func (s *search) heavy(pieces ...piece) (load, size int) {
	for _, p := range pieces {
		size += len(p.seq)
		for _, v := range p.seq {
			load += s.load[v]
		}
	}
	return load, size
}

// bring looks for an exchange that makes v and u neighbours, and makes the first that lowers the cost:
//
//   - in one branch: a stretch between them is turned, or up to three terminals move next to u;
//   - in two: up to three terminals move next to u, or change places with up to two there, or tails are exchanged, or
//     a head and a tail.
func (s *search) bring(v, u int32) bool {
	a, b := s.where[v], s.where[u]
	x, y := s.groups[a].seq, s.groups[b].seq
	i, j := slices.Index(x, v), slices.Index(y, u)
	p := func(seq []int32) piece { return piece{seq, false} }
	r := func(seq []int32) piece { return piece{seq, true} }
	if a == b {
		if i > j {
			i, j = j, i
		}
		if s.replace(a, []piece{p(x[:i+1]), p(x[i+1 : j+1]), p(x[j+1:])}, []piece{p(x[:i+1]), r(x[i+1 : j+1]), p(x[j+1:])}) ||
			s.replace(a, []piece{p(x[:i]), p(x[i:j]), p(x[j:])}, []piece{p(x[:i]), r(x[i:j]), p(x[j:])}) ||
			s.replace(a, []piece{p(x[:i]), p(x[i:])}, []piece{p(x[:i]), r(x[i:])}) {
			return true
		}
		for size := 1; size <= 3; size++ {
			// Two stretches in a row, from:mid and mid:to, change places.
			for _, cut := range [8][3]int{
				{i, i + size, j + 1}, {i, i + size, j}, {i - size + 1, i + 1, j}, {i - size + 1, i + 1, j + 1},
				{i, j - size + 1, j + 1}, {i + 1, j - size + 1, j + 1}, {i, j, j + size}, {i + 1, j, j + size},
			} {
				from, mid, to := cut[0], cut[1], cut[2]
				if from < 0 || mid <= from || to <= mid || to > len(x) {
					continue
				}
				one, two := x[from:mid], x[mid:to]
				old := []piece{p(x[:from]), p(one), p(two), p(x[to:])}
				if s.replace(a, old, []piece{p(x[:from]), p(two), p(one), p(x[to:])}) ||
					s.replace(a, old, []piece{p(x[:from]), p(two), r(one), p(x[to:])}) ||
					s.replace(a, old, []piece{p(x[:from]), r(two), p(one), p(x[to:])}) {
					return true
				}
			}
		}
		return false
	}
	for size := 1; size <= 3; size++ {
		for _, from := range [2]int{i, i - size + 1} {
			to := from + size
			if from < 0 || to > len(x) || size == 1 && from != i {
				continue
			}
			head, part, tail := p(x[:from]), p(x[from:to]), p(x[to:])
			old := []piece{head, part, tail}
			for _, at := range [2]int{j, j + 1} {
				for _, turned := range [2]bool{false, true} {
					for gives := 0; gives <= 2; gives++ { // of y, those on the far side of u
						low, high := at, at+gives
						if at == j {
							low, high = at-gives, at
						}
						if low < 0 || high > len(y) {
							continue
						}
						was := []piece{p(y[:low]), p(y[low:high]), p(y[high:])}
						now := []piece{p(y[:low]), {part.seq, turned}, p(y[high:])}
						if s.swap(a, b, old, []piece{head, p(y[low:high]), tail}, was, now) ||
							gives == 2 && s.swap(a, b, old, []piece{head, r(y[low:high]), tail}, was, now) {
							return true
						}
					}
				}
			}
		}
	}
	oldA, oldB := []piece{p(x[:i+1]), p(x[i+1:])}, []piece{p(y[:j]), p(y[j:])}
	if s.swap(a, b, oldA, []piece{oldA[0], oldB[1]}, oldB, []piece{oldB[0], oldA[1]}) {
		return true
	}
	oldB = []piece{p(y[:j+1]), p(y[j+1:])}
	if s.swap(a, b, oldA, []piece{oldA[0], {oldB[0].seq, true}}, oldB, []piece{{oldA[1].seq, true}, oldB[1]}) {
		return true
	}
	oldA, oldB = []piece{p(x[:i]), p(x[i:])}, []piece{p(y[:j]), p(y[j:])}
	return s.swap(a, b, oldA, []piece{oldA[0], {oldB[0].seq, true}}, oldB, []piece{{oldA[1].seq, true}, oldB[1]})
}

// replace puts the pieces of a path together anew if that costs less.
func (s *search) replace(a int32, old, now []piece) bool {
	root := s.groups[a].root
	gain := s.joints(root, old...) - s.joints(root, now...)
	if !(gain > s.noise) {
		return false
	}
	s.assemble(a, now)
	s.cost -= gain
	return true
}

// swap puts the pieces of two paths together anew if that costs less and both carry it.
func (s *search) swap(a, b int32, oldA, nowA, oldB, nowB []piece) bool {
	rootA, rootB := s.groups[a].root, s.groups[b].root
	gain := s.joints(rootA, oldA...) + s.joints(rootB, oldB...) - s.joints(rootA, nowA...) - s.joints(rootB, nowB...)
	if !(gain > s.noise) {
		return false
	}
	for _, now := range [2][]piece{nowA, nowB} {
		if load, size := s.heavy(now...); load > s.capacity || size > s.longest {
			return false
		}
	}
	x := join(nowA)
	s.assemble(b, nowB)
	s.assemble(a, []piece{{x, false}})
	s.cost -= gain
	return true
}

func join(pieces []piece) []int32 {
	var seq []int32
	for _, p := range pieces {
		from := len(seq)
		seq = append(seq, p.seq...)
		if p.turned {
			slices.Reverse(seq[from:])
		}
	}
	return seq
}

func (s *search) assemble(a int32, pieces []piece) {
	g := &s.groups[a]
	g.seq = join(pieces)
	g.load = 0
	for _, v := range g.seq {
		s.where[v] = a
		g.load += s.load[v]
	}
	g.cost = s.price(g)
}

// paste cuts off what hangs on v, or on a terminal above it, and hangs it by the wire from v to u, if that lowers the
// cost and the other branch carries it.
func (s *search) paste(v, u int32) bool {
	if s.where[v] == s.where[u] {
		return false
	}
	return s.graft(v, s.where[u], s.at(v, u))
}

// sprout begins a new branch likewise with v at its root.
func (s *search) sprout(v, k int32) bool {
	g := &s.groups[k]
	return len(g.seq) == 0 && s.graft(v, k, s.at(v, g.root))
}

// graft moves to group b what hangs on some terminal from v upwards, at the given cost of the new wire. Both trees then
// grow anew, which only lowers the cost further unless the limit of wires forbids.
func (s *search) graft(v, b int32, wire float64) bool {
	a := s.where[v]
	best, least := int32(-1), s.noise
	load := 0
	for top := v; int(top) < s.n; top = s.above[top] {
		if s.at(top, s.above[top])-wire <= least {
			continue
		}
		load = 0
		for _, w := range s.groups[a].seq {
			if s.hangs(w, top) {
				load += s.load[w]
			}
		}
		if s.groups[b].load+load > s.capacity {
			break
		}
		best, least = top, s.at(top, s.above[top])-wire
	}
	if best < 0 {
		return false
	}
	s.begin()
	s.touch(a)
	s.touch(b)
	for _, w := range s.groups[a].seq {
		s.out[w] = s.hangs(w, best)
	}
	s.detach(a)
	for _, w := range slices.Clone(s.loose) {
		s.put(w, b, len(s.groups[b].seq))
	}
	if more := s.finish(); more < -s.noise {
		s.cost += more
		return true
	}
	s.undo()
	return false
}
