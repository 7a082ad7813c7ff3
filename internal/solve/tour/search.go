package tour

import "math/bits"

// search is a closed tour under improvement, kept as an array together with the place of each node in it.
//
// Improvements are 3-exchanges found along the near lists, starting from the nodes on a stack. They are
// done as flips, and flips are logged, so that a whole attempt can be taken back.
type search struct {
	*matrix
	ways  []hop // near hops of each node
	tour  []int32
	place []int32 // tour[place[v]] == v
	stack []int32 // nodes from which to look for improvements
	alert []bool  // alert[v]: v is on the stack
	log   []flip
	least float64 // smallest gain that counts
}

// move is an exchange of edges: t1t2, t3t4, t5t6 go; t2t3, t4t5, t6t1 come. With A and B the two stretches
// that follow t1 in the sense t1 to t2, kind says how they are put back. In a 2-exchange t5 and t6 are t1.
type move struct {
	kind                   kind
	t1, t2, t3, t4, t5, t6 int32
	gain                   float64
}

type kind uint8

const (
	none kind = iota
	rA        // A reversed: the 2-exchange
	rBA       // B reversed, then A
	BrA       // B, then A reversed
	BA        // B, then A: the two change places
	rArB      // A reversed, B reversed
)

// flip replaces the edges ab and cd by ac and bd. A walk from a over b meets c, then d.
type flip struct{ a, b, c, d int32 }

func newSearch(m *matrix, tour []int32) *search {
	s := &search{
		matrix: m,
		ways:   m.near(),
		tour:   tour,
		place:  make([]int32, m.n),
		alert:  make([]bool, m.n),
		least:  m.noise(),
	}
	for p, v := range tour {
		s.place[v] = int32(p)
	}
	return s
}

// run improves the tour as far as 3-exchanges lead, then shakes and repairs it the given number of times
// and keeps what did not get longer.
func (s *search) run(kicks int) {
	for _, v := range s.tour {
		s.look(v)
	}
	s.settle()
	chance := random(1)
	for range kicks {
		s.log = s.log[:0]
		if s.kick(&chance)+s.settle() < 0 {
			s.undo()
		}
	}
}

func (s *search) look(v int32) {
	if !s.alert[v] {
		s.alert[v] = true
		s.stack = append(s.stack, v)
	}
}

// settle improves until the stack is empty and returns the gain.
func (s *search) settle() (gain float64) {
	for len(s.stack) > 0 {
		v := s.stack[len(s.stack)-1]
		m := s.find(v, 1)
		if m.kind == none {
			m = s.find(v, -1)
		}
		if m.kind == none {
			s.stack = s.stack[:len(s.stack)-1]
			s.alert[v] = false
			continue
		}
		s.do(m)
		gain += m.gain
		for _, t := range [6]int32{m.t1, m.t2, m.t3, m.t4, m.t5, m.t6} {
			s.look(t)
		}
	}
	return gain
}

// at is the node at place p, for p from -n to 2n-1.
func (s *search) at(p int) int32 {
	if p < 0 {
		p += s.n
	} else if p >= s.n {
		p -= s.n
	}
	return s.tour[p]
}

// find looks for an exchange that removes the edge from t1 to the next node in the sense of step (1 or -1).
// It follows only chains whose gain stays positive, and is content with the best for the first t3 that has any.
func (s *search) find(t1 int32, step int) move {
	p2 := int(s.place[t1]) + step
	t2 := s.at(p2)
	ahead := func(p int) int { // steps from t2 to place p
		if p = (p - p2) * step; p < 0 {
			return p + s.n
		}
		return p
	}
	end := s.row(t1)
	best := move{t1: t1, t2: t2, gain: s.least}
	for _, h3 := range s.ways[int(t2)*hops:][:hops] {
		g1 := end[t2] - h3.cost
		if g1 <= s.least || best.kind != none {
			break
		}
		t3 := h3.to
		p3 := int(s.place[t3])
		a3 := ahead(p3)
		if a3 == 1 || a3 == s.n-1 {
			continue // is next to t2 already
		}

		// Cut before t3. Joining t4 to t1 is the 2-exchange.
		t4 := s.at(p3 - step)
		g2 := g1 + s.row(t3)[t4]
		if g := g2 - end[t4]; g > best.gain {
			best = move{rA, t1, t2, t3, t4, t1, t1, g}
		}
		for _, h5 := range s.ways[int(t4)*hops:][:hops] {
			g3 := g2 - h5.cost
			if g3 <= s.least {
				break
			}
			t5 := h5.to
			p5 := int(s.place[t5])
			a5 := ahead(p5)
			if a5 == a3 || a5 == s.n-1 {
				continue // t3 or t1
			}
			k, p6 := rBA, p5-step
			if a5 < a3 {
				k, p6 = BrA, p5+step
			}
			t6 := s.at(p6)
			if g := g3 + s.row(t5)[t6] - end[t6]; g > best.gain {
				best = move{k, t1, t2, t3, t4, t5, t6, g}
			}
		}

		// Cut after t3. Now t2..t3 is a ring, to be opened anywhere and let in between t4 and t1.
		t4 = s.at(p3 + step)
		g2 = g1 + s.row(t3)[t4]
		for _, h5 := range s.ways[int(t4)*hops:][:hops] {
			g3 := g2 - h5.cost
			if g3 <= s.least {
				break
			}
			t5 := h5.to
			p5 := int(s.place[t5])
			if ahead(p5) >= a3 {
				continue // not in the ring, or t3
			}
			t6 := s.at(p5 + step)
			if g := g3 + s.row(t5)[t6] - end[t6]; g > best.gain {
				best = move{BA, t1, t2, t3, t4, t5, t6, g}
			}
			if t5 == t2 {
				continue
			}
			t6 = s.at(p5 - step)
			if g := g3 + s.row(t5)[t6] - end[t6]; g > best.gain {
				best = move{rArB, t1, t2, t3, t4, t5, t6, g}
			}
		}
	}
	return best
}

// do carries out a move as flips.
func (s *search) do(m move) {
	t1, t2, t3, t4, t5, t6 := m.t1, m.t2, m.t3, m.t4, m.t5, m.t6
	switch m.kind {
	case rA: // t1 [t2 t4] t3
		s.flip(t1, t2, t4, t3)
	case rBA: // t1 [t2 t4][t3 t6] t5
		s.flip(t1, t2, t6, t5)
		s.flip(t3, t4, t2, t5)
	case BrA: // t1 [t2 t5][t6 t4] t3
		s.flip(t1, t2, t4, t3)
		s.flip(t1, t4, t6, t5)
	case BA: // t1 [t2 t5][t6 t3] t4
		s.flip(t1, t2, t3, t4)
		s.flip(t1, t3, t6, t5)
		s.flip(t3, t5, t2, t4)
	case rArB: // t1 [t2 t6][t5 t3] t4
		s.flip(t1, t2, t6, t5)
		s.flip(t2, t5, t3, t4)
	}
}

func (s *search) flip(a, b, c, d int32) {
	s.log = append(s.log, flip{a, b, c, d})
	s.turn(a, b, c)
}

// undo takes back all flips in the log.
func (s *search) undo() {
	for i := len(s.log) - 1; i >= 0; i-- {
		f := s.log[i]
		s.turn(f.a, f.c, f.b)
	}
}

// turn reverses the stretch b..c that follows a, or all the rest of the tour if that is less work.
func (s *search) turn(a, b, c int32) {
	from, to := int(s.place[b]), int(s.place[c])
	if s.at(int(s.place[a])+1) != b {
		from, to = to, from
	}
	size := to - from + 1
	if size <= 0 {
		size += s.n
	}
	if 2*size > s.n {
		from, to, size = to+1, from-1, s.n-size
	}
	for ; size > 1; size -= 2 {
		if from == s.n {
			from = 0
		}
		if to < 0 {
			to = s.n - 1
		}
		v, w := s.tour[from], s.tour[to]
		s.tour[from], s.place[w] = w, int32(from)
		s.tour[to], s.place[v] = v, int32(to)
		from++
		to--
	}
}

// kickSpan is the longest stretch that a kick moves.
const kickSpan = 50

// kick shakes the tour by a double bridge, which no single 3-exchange takes back: of three short stretches
// in a row, the first and the last change places. It returns the gain, which is mostly a loss.
func (s *search) kick(chance *random) float64 {
	span := min(kickSpan, (s.n-2)/3)
	p := chance.below(s.n)
	a, b := s.at(p), s.at(p+1)
	p += 1 + chance.below(span)
	c, d := s.at(p), s.at(p+1)
	p += 1 + chance.below(span)
	e, f := s.at(p), s.at(p+1)
	p += 1 + chance.below(span)
	g, h := s.at(p), s.at(p+1)
	// a [b c][d e][f g] h becomes a [f g][d e][b c] h.
	s.flip(a, b, g, h)
	s.flip(a, g, f, e)
	s.flip(g, e, d, c)
	s.flip(e, c, b, h)
	for _, v := range [8]int32{a, b, c, d, e, f, g, h} {
		s.look(v)
	}
	return s.row(a)[b] + s.row(c)[d] + s.row(e)[f] + s.row(g)[h] -
		s.row(a)[f] - s.row(g)[d] - s.row(e)[b] - s.row(c)[h]
}

// random is a source of numbers of its own, so that results do not depend on a library's.
// Source: the splitmix64 generator of Steele, Lea & Flood (2014), from memory.
type random uint64

// below returns a number from 0 to n-1.
func (r *random) below(n int) int {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	k, _ := bits.Mul64(z^z>>31, uint64(n))
	return int(k)
}
