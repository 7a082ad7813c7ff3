package assign

import "math"

// work is the memory of one search for a path.
type work struct {
	dist []Price // of each column from the row that asks
	from []int   // row before each column
	left []int   // columns not yet reached for good
	done []int   // columns reached for good, except the last
}

// settle makes prices and columns fit each other again after changes, then finds a column for each row that has none.
//
// Prices stay valid while costs only rise. A pair that is no longer permitted or no longer pays its price is undone; a
// column that becomes free may keep no price, and rows that could gain by that lower theirs. Each row is undone at most
// once, so this ends.
func (s *Solver) settle() {
	for changed := true; changed; {
		changed = false
		for i, j := range s.col {
			u := s.worth(i)
			if j != open {
				held := Price{Rows: s.weight[i]}
				if j >= 0 {
					held = s.pay(i, j)
				}
				if !held.less(u) && !u.less(held) {
					s.u[i] = u
					continue
				}
				if j >= 0 && !math.IsInf(s.cost[i][j], 1) && held.Rows == u.Rows && held.Cost-u.Cost <= s.least {
					s.u[i] = held // rounding only
					continue
				}
				s.col[i] = open
				changed = true
				if j >= 0 {
					s.row[j], s.v[j] = None, Price{}
				}
			}
			s.u[i] = u
		}
	}
	for i, j := range s.col {
		if j == open {
			s.augment(i)
		}
	}
}

// pay is what row i can pay at most for column j: its cost less the price of the column.
func (s *Solver) pay(i, j int) Price { return Price{Cost: s.cost[i][j]}.minus(s.v[j]) }

// worth is the greatest price that row i can have.
func (s *Solver) worth(i int) Price {
	u := Price{Rows: s.weight[i]}
	for j, c := range s.cost[i] {
		if !math.IsInf(c, 1) {
			if p := s.pay(i, j); p.less(u) {
				u = p
			}
		}
	}
	return u
}

// augment serves row i by the shortest path, under costs less prices, that ends in a free column, or in a row that then
// goes without (Dijkstra's way). Prices of all that lies nearer than the end change so that pairs on the way just pay.
func (s *Solver) augment(i int) {
	w := &s.w
	w.left, w.done = w.left[:0], w.done[:0]
	for j := range s.columns {
		w.left = append(w.left, j)
		w.dist[j] = Price{Rows: math.Inf(1)}
	}
	r, at := i, Price{}
	stop, idle := Price{Rows: math.Inf(1)}, None
	end := None
	for end == None {
		if p := at.plus(Price{Rows: s.weight[r]}.minus(s.u[r])); p.less(stop) {
			stop, idle = p, r
		}
		cost := s.cost[r]
		base := at.minus(s.u[r])
		next := -1
		for k, j := range w.left {
			if c := cost[j]; !math.IsInf(c, 1) {
				d := Price{base.Rows - s.v[j].Rows, base.Cost + c - s.v[j].Cost}
				if d.less(at) {
					d = at // rounding only
				}
				if d.less(w.dist[j]) {
					w.dist[j], w.from[j] = d, r
				}
			}
			if next < 0 || w.dist[j].less(w.dist[w.left[next]]) {
				next = k
			}
		}
		if next < 0 || stop.less(w.dist[w.left[next]]) {
			at = stop
			break
		}
		j := w.left[next]
		at = w.dist[j]
		if r = s.row[j]; r == None {
			end = j
			break
		}
		last := len(w.left) - 1
		w.left[next] = w.left[last]
		w.left = w.left[:last]
		w.done = append(w.done, j)
	}
	for _, j := range w.done {
		more := at.minus(w.dist[j])
		s.v[j] = s.v[j].minus(more)
		k := s.row[j]
		s.u[k] = s.u[k].plus(more)
	}
	s.u[i] = s.u[i].plus(at)
	// Hand the columns on, from the end of the path back to row i.
	j := end
	if end == None {
		if j, s.col[idle] = s.col[idle], None; idle == i {
			return
		}
	}
	for {
		r := w.from[j]
		s.row[j] = r
		if j, s.col[r] = s.col[r], j; r == i {
			return
		}
	}
}
