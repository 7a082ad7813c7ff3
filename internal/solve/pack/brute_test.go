package pack

// What follows knows nothing of how the package works: it tries everything, with the kerf as it is. Lengths are
// whole numbers.

// single copies of pieces, at most 6.
func copiesOf(pieces []Piece) []Piece {
	var list []Piece
	for _, p := range pieces {
		for range p.Count {
			q := p
			q.Count = 1
			list = append(list, q)
		}
	}
	return list
}

// cuttable tells for every set of pieces (as bits) whether it can be cut from w by h from edge to edge.
type cuttable struct {
	pieces []Piece
	kerf   int
	memo   map[[2]int][]bool
}

func newCuttable(pieces []Piece, kerf int) *cuttable {
	return &cuttable{pieces, kerf, map[[2]int][]bool{}}
}

func (c *cuttable) from(w, h int) []bool {
	if w <= 0 || h <= 0 {
		can := make([]bool, 1<<len(c.pieces))
		can[0] = true
		return can
	}
	if can, ok := c.memo[[2]int{w, h}]; ok {
		return can
	}
	can := make([]bool, 1<<len(c.pieces))
	can[0] = true
	for i, p := range c.pieces {
		pw, ph := int(p.Width), int(p.Height)
		if pw == w && ph == h || p.Turn && ph == w && pw == h {
			can[1<<i] = true
		}
	}
	join := func(a, b []bool) {
		for s, ok := range a {
			if !ok {
				continue
			}
			for t, ok := range b {
				if ok && s&t == 0 {
					can[s|t] = true
				}
			}
		}
	}
	for x := 1; x < w; x++ {
		join(c.from(x, h), c.from(w-x-c.kerf, h))
	}
	for y := 1; y < h; y++ {
		join(c.from(w, y), c.from(w, h-y-c.kerf))
	}
	c.memo[[2]int{w, h}] = can
	return can
}

// bestValue is the highest value of a set that can be cut.
func (c *cuttable) bestValue(w, h int) float64 {
	best := 0.0
	for s, ok := range c.from(w, h) {
		sum := 0.0
		for i, p := range c.pieces {
			if s>>i&1 == 1 {
				sum += p.Value
			}
		}
		if ok {
			best = max(best, sum)
		}
	}
	return best
}

// bestCost is the lowest cost of sheets from which all can be cut, or -1 if there are not enough. Every kind of sheet
// has a count.
func (c *cuttable) bestCost(sheets []Sheet) float64 {
	n := 1 << len(c.pieces)
	cost := make([]float64, n) // for each set cut so far
	for s := range cost {
		cost[s] = -1
	}
	cost[0] = 0
	for _, sheet := range sheets {
		can := c.from(int(sheet.Width), int(sheet.Height))
		for range sheet.Count {
			next := append([]float64(nil), cost...)
			for s, before := range cost {
				for t, ok := range can {
					if before >= 0 && ok && s&t == 0 && t != 0 {
						if v := next[s|t]; v < 0 || before+sheet.Cost < v {
							next[s|t] = before + sheet.Cost
						}
					}
				}
			}
			cost = next
		}
	}
	return cost[n-1]
}

// shortest is the least length of a strip of width w from which all can be cut from edge to edge.
func (c *cuttable) shortest(w int) int {
	if len(c.pieces) == 0 {
		return 0
	}
	for h := 1; ; h++ {
		if c.from(w, h)[1<<len(c.pieces)-1] {
			return h
		}
	}
}

// fitsFree tells whether the pieces from index k on find room beside those that lie there already, anywhere.
func fitsFree(pieces []Piece, kerf, w, h int, at []Placement, k int) bool {
	if k == len(pieces) {
		return true
	}
	p := pieces[k]
	for turned := range 2 {
		pw, ph := int(p.Width), int(p.Height)
		if turned == 1 {
			if !p.Turn || pw == ph {
				break
			}
			pw, ph = ph, pw
		}
		for x := 0; x+pw <= w; x++ {
		place:
			for y := 0; y+ph <= h; y++ {
				for _, q := range at {
					if x < int(q.X+q.Width)+kerf && int(q.X) < x+pw+kerf && y < int(q.Y+q.Height)+kerf && int(q.Y) < y+ph+kerf {
						continue place
					}
				}
				q := Placement{X: float64(x), Y: float64(y), Width: float64(pw), Height: float64(ph)}
				if fitsFree(pieces, kerf, w, h, append(at, q), k+1) {
					return true
				}
			}
		}
	}
	return false
}

// shortestFree is the least length of a strip of width w that holds all pieces.
func shortestFree(pieces []Piece, kerf, w int) int {
	if len(pieces) == 0 {
		return 0
	}
	for h := 1; ; h++ {
		if fitsFree(pieces, kerf, w, h, nil, 0) {
			return h
		}
	}
}
