package tour

import (
"math/bits"
"slices"
)

// search is a closed tour under improvement, kept as an array with the place of every node.
//
// Moves are chosen by 3-exchanges (Lin 1965; a segment moved elsewhere, Or 1976, is one of them) along lists
// of near neighbours, from a stack of nodes worth a look. They are done as flips, each of which is logged, so
// that a whole attempt can be taken back.
type search struct {
	*matrix
	near  []int32 // wide near nodes of each node, nearest first
	wide  int
	tour  []int32
	place []int32 // place[tour[p]] == p
	stack []int32 // nodes worth a look
	alert []bool  // alert[v]: v is on the stack
	log   []flip
	eps   float64 // smallest gain that counts; above rounding noise
	depth int
	first bool
}

// flip replaces the edges ab and cd by ac and bd; walking from a over b one meets c, then d.
type flip struct{ a, b, c, d int32 }

// move is a 2-exchange (t5 < 0) or 3-exchange: edges t1t2, t3t4, t5t6 go, t2t3, t4t5, t6t1 (or t4t1) come.
type move struct {
	t    [6]int32
	kind kind
	gain float64
}

// kind says how the two stretches A, B that follow t1 are put back.
type kind uint8

const (
	none  kind = iota
	revA       // A reversed: the 2-exchange
	swap       // B A
	revAB      // A reversed, B reversed
	rBA        // B reversed, A
	bRA        // B, A reversed
)

func newSearch(m *matrix, start []int32, wide int) *search {
	n := m.n
	s := &search{
		matrix: m, wide: min(wide, n-1),
		tour: start, place: make([]int32, n), alert: make([]bool, n),
		eps: m.noise(), depth: 3,
	}
	for p, v := range s.tour {
		s.place[v] = int32(p)
	}
	s.near = m.nearest(s.wide)
	return s
}

// next is the node after v, or before it if back.
func (s *search) next(v int32, back bool) int32 {
	p := int(s.place[v])
	if back {
		if p == 0 {
			p = len(s.tour)
		}
		return s.tour[p-1]
	}
	if p++; p == len(s.tour) {
		p = 0
	}
	return s.tour[p]
}

// steps is the number of steps from v to w, walking forward, or backward if back.
func (s *search) steps(v, w int32, back bool) int {
	k := int(s.place[w]) - int(s.place[v])
	if back {
		k = -k
	}
	if k < 0 {
		k += len(s.tour)
	}
	return k
}

func (s *search) flip(f flip) {
	s.log = append(s.log, f)
	s.turn(f)
}

func (s *search) undo(to int) {
	for i := len(s.log) - 1; i >= to; i-- {
		f := s.log[i]
		s.turn(flip{f.a, f.c, f.b, f.d})
	}
	s.log = s.log[:to]
}

// turn reverses the stretch b..c, or the rest of the tour if that is shorter.
func (s *search) turn(f flip) {
	n := len(s.tour)
	from, to := int(s.place[f.b]), int(s.place[f.c])
	if s.next(f.a, false) != f.b {
		from, to = int(s.place[f.c]), int(s.place[f.b])
	}
	k := to - from
	if k < 0 {
		k += n
	}
	k++
	if 2*k > n {
		from, to = to+1, from-1
		if from == n {
			from = 0
		}
		if to < 0 {
			to = n - 1
		}
		k = n - k
	}
	tour, place := s.tour, s.place
	for k /= 2; k > 0; k-- {
		v, w := tour[from], tour[to]
		tour[from], place[w] = w, int32(from)
		tour[to], place[v] = v, int32(to)
		if from++; from == n {
			from = 0
		}
		if to--; to < 0 {
			to = n - 1
		}
	}
}

func (s *search) apply(m *move) {
	t1, t2, t3, t4, t5, t6 := m.t[0], m.t[1], m.t[2], m.t[3], m.t[4], m.t[5]
	switch m.kind {
	case revA: // t1 [t2..t4] t3
		s.flip(flip{t1, t2, t4, t3})
	case swap: // t1 [t2..t5][t6..t3] t4
		s.flip(flip{t1, t2, t3, t4})
		s.flip(flip{t1, t3, t6, t5})
		s.flip(flip{t3, t5, t2, t4})
	case revAB: // t1 [t2..t6][t5..t3] t4
		s.flip(flip{t1, t2, t6, t5})
		s.flip(flip{t2, t5, t3, t4})
	case rBA: // t1 [t2..t4][t3..t6] t5 -> t1 [t6..t3][t2..t4] t5
		s.flip(flip{t1, t2, t6, t5})
		s.flip(flip{t3, t4, t2, t5})
	case bRA: // t1 [t2..t5][t6..t4] t3 -> t1 [t6..t4][t5..t2] t3
		s.flip(flip{t1, t2, t4, t3})
		s.flip(flip{t1, t4, t6, t5})
	}
}

// find looks for a 3-exchange that removes the edge t1t2 (of length counted in g0).
func (s *search) find(t1, t2 int32, back bool, g0 float64) (shut, open move) {
	shut.gain = s.eps
	try := func(k kind, g float64, t ...int32) {}
	_ = try
	end1 := s.row(t1)
	row2 := s.row(t2)
	after2 := s.next(t2, back)
	for _, t3 := range s.near[int(t2)*s.wide : int(t2)*s.wide+s.wide] {
		g1 := g0 - row2[t3]
		if g1 <= s.eps {
			break
		}
		if t3 == t1 || t3 == after2 {
			continue
		}
		r3 := s.steps(t2, t3, back)
		row3 := s.row(t3)
		for side := 0; side < 2; side++ {
			cyc := side == 1
			t4 := s.next(t3, back != !cyc)
			g2 := g1 + row3[t4]
			if !cyc {
				if g := g2 - end1[t4]; g > shut.gain {
					shut = move{[6]int32{t1, t2, t3, t4, -1, -1}, revA, g}
					if s.first {
						return
					}
				}
			}
			row4 := s.row(t4)
			for _, t5 := range s.near[int(t4)*s.wide : int(t4)*s.wide+s.wide] {
				g3 := g2 - row4[t5]
				if g3 <= s.eps {
					break
				}
				if t5 == t3 || t5 == t1 {
					continue
				}
				r5 := s.steps(t2, t5, back)
				if !cyc {
					k := rBA
					if r5 < r3 {
						k = bRA
					}
					t6 := s.next(t5, back != (k == rBA))
					if t6 == t4 {
						continue
					}
					g4 := g3 + s.row(t5)[t6]
					if g := g4 - end1[t6]; g > shut.gain {
						shut = move{[6]int32{t1, t2, t3, t4, t5, t6}, k, g}
						if s.first {
							return
						}
					}
					if g4 > open.gain && t6 != t1 {
						open = move{[6]int32{t1, t2, t3, t4, t5, t6}, k, g4}
					}
					continue
				}
				if r5 > r3 {
					continue
				}
				t6 := s.next(t5, back)
				g4 := g3 + s.row(t5)[t6]
				if g := g4 - end1[t6]; g > shut.gain {
					shut = move{[6]int32{t1, t2, t3, t4, t5, t6}, swap, g}
					if s.first {
						return
					}
				}
				if g4 > open.gain {
					open = move{[6]int32{t1, t2, t3, t4, t5, t6}, swap, g4}
				}
				if t5 == t2 {
					continue
				}
				t6 = s.next(t5, !back)
				g4 = g3 + s.row(t5)[t6]
				if g := g4 - end1[t6]; g > shut.gain {
					shut = move{[6]int32{t1, t2, t3, t4, t5, t6}, revAB, g}
					if s.first {
						return
					}
				}
				if g4 > open.gain {
					open = move{[6]int32{t1, t2, t3, t4, t5, t6}, revAB, g4}
				}
			}
		}
	}
	return shut, open
}

// improve tries to shorten the tour by a move that starts at t1 and returns how much was gained.
func (s *search) improve(t1 int32) float64 {
	for _, back := range [2]bool{false, true} {
		mark := len(s.log)
		t2 := s.next(t1, back)
		g := s.row(t1)[t2]
		var touched [32]int32
		nt := 0
		for d := 0; d < s.depth; d++ {
			shut, open := s.find(t1, t2, s.next(t1, false) != t2, g)
			m := &shut
			if shut.kind == none {
				m = &open
			}
			if m.kind == none || (shut.kind == none && d == s.depth-1) {
				break
			}
			s.apply(m)
			for _, t := range m.t {
				if t >= 0 {
					touched[nt] = t
					nt++
				}
			}
			if shut.kind != none {
				for _, t := range touched[:nt] {
					s.push(t)
				}
				return shut.gain
			}
			g, t2 = open.gain, open.t[5]
		}
		s.undo(mark)
	}
	return 0
}

func (s *search) push(v int32) {
	if !s.alert[v] {
		s.alert[v] = true
		s.stack = append(s.stack, v)
	}
}

func (s *search) settle() (gained float64) {
	for len(s.stack) > 0 {
		v := s.stack[len(s.stack)-1]
		s.stack = s.stack[:len(s.stack)-1]
		s.alert[v] = false
		for {
			g := s.improve(v)
			if g == 0 {
				break
			}
			gained += g
		}
	}
	return gained
}

type random uint64

func (r *random) below(n int) int {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	hi, _ := bits.Mul64(z^z>>31, uint64(n))
	return int(hi)
}

var KickSpan = 50
var KickKind = 0

// kick does a double bridge
func (s *search) kick(r *random) (gain float64) {
	n := len(s.tour)
	span := min(KickSpan, (n-2)/3)
	p := r.below(n)
	at := func(k int) int32 {
		k += p
		for k >= n {
			k -= n
		}
		return s.tour[k]
	}
	i := 1 + r.below(span)
	j := i + 1 + r.below(span)
	k := j + 1 + r.below(span)
	// a [b..c][d..e][f..g] h
	a, b, c, d := at(0), at(1), at(i), at(i+1)
	if KickKind == 2 {
		base := p
		for {
			var q [4]int
			v := s.tour[r.below(n)]
			q[0] = int(s.place[v])
			for i := 1; i < 4; i++ {
				w := v
				for range KickSpan {
					w = s.near[int(w)*s.wide+r.below(s.wide)]
				}
				q[i] = int(s.place[w])
			}
			slices.Sort(q[:])
			if q[0] == q[1] || q[1] == q[2] || q[2] == q[3] {
				continue
			}
			p, i, j, k = q[0], q[1]-q[0], q[2]-q[0], q[3]-q[0]
			break
		}
		_ = base
		a, b, c, d = at(0), at(1), at(i), at(i+1)
	}
	if KickKind == 1 {
		e, f := at(j), at(j+1)
		gain = s.row(a)[b] + s.row(c)[d] + s.row(e)[f] - s.row(a)[d] - s.row(e)[b] - s.row(c)[f]
		s.flip(flip{a, b, e, f})
		s.flip(flip{a, e, d, c})
		s.flip(flip{e, c, b, f})
		for _, v := range [6]int32{a, b, c, d, e, f} {
			s.push(v)
		}
		return
	}
	e, f, g, h := at(j), at(j+1), at(k), at(k+1)
	gain = s.row(a)[b] + s.row(c)[d] + s.row(e)[f] + s.row(g)[h] -
		s.row(a)[f] - s.row(g)[d] - s.row(e)[b] - s.row(c)[h]
	s.flip(flip{a, b, g, h}) // a [g..f][e..d][c..b] h
	s.flip(flip{a, g, f, e}) // a [f..g][e..d][c..b] h
	s.flip(flip{g, e, d, c}) // a [f..g][d..e][c..b] h
	s.flip(flip{e, c, b, h}) // a [f..g][d..e][b..c] h
	for _, v := range [8]int32{a, b, c, d, e, f, g, h} {
		s.push(v)
	}
	return
}

func (s *search) run(kicks int) {
	for i := len(s.tour) - 1; i >= 0; i-- {
		s.push(s.tour[i])
	}
	s.settle()
	s.log = s.log[:0]
	r := random(1)
	for range kicks {
		g := s.kick(&r)
		g += s.settle()
		if g < 0 {
			s.undo(0)
		}
		s.log = s.log[:0]
	}
}
