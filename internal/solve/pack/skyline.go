package pack

import "math"

// spot is where a piece lies: units, kerf added.
type spot struct {
	piece  int // index into the list of single pieces
	x, y   int
	turned bool
}

// loose is a single piece to be placed.
type loose struct {
	item int
	w, h int
	turn bool
}

// expand lists every wanted copy by itself.
func expand(items []item) []loose {
	var list []loose
	for i, it := range items {
		for range it.count {
			list = append(list, loose{i, it.w, it.h, it.turn})
		}
	}
	return list
}

// step is a stretch of the skyline.
type step struct{ x, y, w int }

// skyline fills a rectangle from below. It takes the lowest gap, leftmost first, and puts there the piece that
// leaves the fewest new corners (Burke, Kendall & Whitwell 2004; grades after Leung, Zhang & Sim 2011); between
// equals the order of the pieces decides. A gap that no piece fits is filled up to its lower side.
type skyline struct {
	pieces []loose
	w, h   int // of the rectangle
	steps  []step
	next   []int32 // the waiting pieces as a ring, in order; the last entry is its head
	spots  []spot
	work   int // pieces looked at

	unplaced int // area of the pieces in the ring
	narrow   int // none of all pieces has a width below
}

func newSkyline(pieces []loose) *skyline {
	return &skyline{pieces: pieces, next: make([]int32, len(pieces)+1)}
}

// fill packs the pieces as listed in order into w by h, and returns the area left unplaced. What is
// placed stands in spots until the next call; what is not, in the ring.
func (s *skyline) fill(order []int32, w, h int) (unplaced int) {
	s.begin(order)
	s.level(w, h)
	return s.unplaced
}

// begin puts the pieces into the ring.
func (s *skyline) begin(order []int32) {
	s.spots, s.unplaced, s.narrow = s.spots[:0], 0, math.MaxInt
	s.work += 20
	last := int32(len(s.pieces))
	at := last
	for _, k := range order {
		p := &s.pieces[k]
		s.unplaced += p.w * p.h
		s.next[at], at = k, k
		s.narrow = min(s.narrow, p.w)
		if p.turn {
			s.narrow = min(s.narrow, p.h)
		}
	}
	s.next[at] = last
}

// level fills one rectangle from the ring.
func (s *skyline) level(w, h int) {
	s.w, s.h = w, h
	s.steps = append(s.steps[:0], step{0, 0, w})
	last := int32(len(s.pieces))
	for s.next[last] != last {
		low := 0
		for i := range s.steps {
			if s.steps[i].y < s.steps[low].y {
				low = i
			}
		}
		if s.steps[low].y >= h {
			break
		}
		before, place, ok := s.choose(low)
		if !ok {
			if len(s.steps) == 1 {
				break
			}
			s.raise(low)
			continue
		}
		k := s.next[before]
		s.next[before] = s.next[k]
		s.unplaced -= s.pieces[k].w * s.pieces[k].h
		s.put(low, int(k), place)
	}
}

// stand is how a piece is put into a gap of a skyline or a panel of waste.
type stand struct {
	w, h    int
	turned  bool
	right   bool // at the right end of the gap
	upright bool // the first cut runs upwards
}

// choose grades the waiting pieces for a gap and returns the one before the best in the ring.
func (s *skyline) choose(low int) (before int32, best stand, ok bool) {
	g := s.steps[low]
	left, right := s.h-g.y, s.h-g.y
	if low > 0 {
		left = s.steps[low-1].y - g.y
	}
	if low+1 < len(s.steps) {
		right = s.steps[low+1].y - g.y
	}
	head, top := int32(len(s.pieces)), -1
	for at := head; s.next[at] != head; at = s.next[at] {
		p := &s.pieces[s.next[at]]
		s.work++
		for turned := range 2 {
			w, h := p.w, p.h
			if turned == 1 {
				if !p.turn {
					break
				}
				w, h = h, w
			}
			if w > g.w || h > s.h-g.y {
				continue
			}
			grade, atRight := 0, left < right
			switch {
			case w == g.w && h == left && h == right:
				grade = 8
			case w == g.w && (h == left || h == right):
				grade = 7
			case w == g.w && h < max(left, right):
				grade = 6
			case w == g.w:
				grade = 5
			case g.w-w < s.narrow:
				grade = 0
			case h == left:
				grade, atRight = 4, false
			case h == right:
				grade, atRight = 4, true
			case h == s.h-g.y:
				grade = 3
			default:
				grade = 1
			}
			if grade > top {
				top, before, best, ok = grade, at, stand{w: w, h: h, turned: turned == 1, right: atRight}, true
			}
		}
		if top == 8 {
			break
		}
	}
	return before, best, ok
}

// put lays a piece into a gap and mends the skyline.
func (s *skyline) put(low, piece int, p stand) {
	g := &s.steps[low]
	x := g.x
	if p.right {
		x = g.x + g.w - p.w
	}
	s.spots = append(s.spots, spot{piece, x, g.y, p.turned})
	top := step{x, g.y + p.h, p.w}
	switch {
	case p.w == g.w:
		*g = top
		s.merge(low)
	case p.right:
		g.w -= p.w
		s.insert(low+1, top)
		s.merge(low + 1)
	default:
		g.x += p.w
		g.w -= p.w
		s.insert(low, top)
		s.merge(low)
	}
}

func (s *skyline) insert(at int, t step) {
	s.steps = append(s.steps, step{})
	copy(s.steps[at+1:], s.steps[at:])
	s.steps[at] = t
}

// raise fills a gap up to its lower neighbour.
func (s *skyline) raise(low int) {
	y := math.MaxInt
	if low > 0 {
		y = s.steps[low-1].y
	}
	if low+1 < len(s.steps) {
		y = min(y, s.steps[low+1].y)
	}
	s.steps[low].y = y
	s.merge(low)
}

// merge joins a stretch with neighbours at its height.
func (s *skyline) merge(at int) {
	if at+1 < len(s.steps) && s.steps[at+1].y == s.steps[at].y {
		s.steps[at].w += s.steps[at+1].w
		s.steps = append(s.steps[:at+1], s.steps[at+2:]...)
	}
	if at > 0 && s.steps[at-1].y == s.steps[at].y {
		s.steps[at-1].w += s.steps[at].w
		s.steps = append(s.steps[:at], s.steps[at+1:]...)
	}
}

// height is how high the placed pieces reach.
func (s *skyline) height() int {
	top := 0
	for _, p := range s.spots {
		h := s.pieces[p.piece].h
		if p.turned {
			h = s.pieces[p.piece].w
		}
		top = max(top, p.y+h)
	}
	return top
}
