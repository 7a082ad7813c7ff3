package chain

import "math"

// prim is the memory for growing a tree.
type prim struct {
	left  []int32 // terminals not yet in the tree
	cheap []float64
	from  []int32
	wires []int // of each terminal in the tree
}

// grow finds the cheapest tree on the terminals of a group (Prim's way) and hangs it on the root by the cheapest wire.
// If a terminal then has too many wires, the tree is grown again within the limit, and wires are exchanged as long
// as that helps.
func (s *search) grow(g *group) {
	if len(g.seq) == 0 {
		g.cost, g.link = 0, 0
		return
	}
	// The cheapest wire to the root.
	root := s.row(g.root)
	top := g.seq[0]
	for _, v := range g.seq {
		if root[v] < root[top] {
			top = v
		}
	}
	g.link = root[top]
	g.cost = g.link + s.span(g, top, len(g.seq)+1)
	s.above[top] = g.root
	if s.degree > len(g.seq) || !s.crowded(g) {
		return
	}
	g.cost = g.link + s.span(g, top, s.degree)
	s.rewire(g)
}

// span grows a tree from top in which no terminal has more wires than the limit, one of top being spent already. It
// returns the cost of its wires.
func (s *search) span(g *group, top int32, limit int) float64 {
	p := &s.prim
	if p.wires == nil {
		p.wires = make([]int, s.n)
	}
	p.left, p.cheap, p.from = p.left[:0], p.cheap[:0], p.from[:0]
	row := s.row(top)
	for _, v := range g.seq {
		p.wires[v] = 1
		if v != top {
			p.left = append(p.left, v)
			p.cheap = append(p.cheap, row[v])
			p.from = append(p.from, top)
		}
	}
	sum := 0.0
	for len(p.left) > 0 {
		next, least := 0, math.Inf(1)
		for k, c := range p.cheap {
			if c < least {
				next, least = k, c
			}
		}
		v, u := p.left[next], p.from[next]
		s.above[v] = u
		p.wires[u]++
		sum += least
		last := len(p.left) - 1
		p.left[next], p.cheap[next], p.from[next] = p.left[last], p.cheap[last], p.from[last]
		p.left, p.cheap, p.from = p.left[:last], p.cheap[:last], p.from[:last]
		row := s.row(v)
		full := p.wires[u] >= limit
		for k, w := range p.left {
			if full && p.from[k] == u { // look for another in the tree
				p.cheap[k] = math.Inf(1)
				to := s.row(w)
				for _, x := range g.seq {
					if x != v && s.inTree(x) && p.wires[x] < limit && to[x] < p.cheap[k] {
						p.cheap[k], p.from[k] = to[x], x
					}
				}
			}
			if row[w] < p.cheap[k] {
				p.cheap[k], p.from[k] = row[w], v
			}
		}
	}
	return sum
}

// inTree says that x is no longer among those left.
func (s *search) inTree(x int32) bool {
	for _, w := range s.prim.left {
		if w == x {
			return false
		}
	}
	return true
}

// crowded says that some terminal has more wires than it takes.
func (s *search) crowded(g *group) bool {
	for _, v := range g.seq {
		if s.prim.wires[v] > s.degree {
			return true
		}
	}
	return false
}

// rewire exchanges one wire of a tree for a cheaper one that joins the two parts again, within the limit of wires,
// as long as there is one. The wire to the root is exchanged likewise.
func (s *search) rewire(g *group) {
	p := &s.prim
	for changed := true; changed; {
		changed = false
		for _, v := range g.seq { // the wire above v
			u := s.above[v]
			if int(u) >= s.n {
				continue
			}
			best := s.at(v, u) - s.noise
			x, y := int32(-1), int32(-1)
			p.wires[u]--
			p.wires[v]--
			for _, b := range g.seq {
				if p.wires[b] >= s.degree || !s.hangs(b, v) {
					continue
				}
				row := s.row(b)
				for _, a := range g.seq {
					if row[a] < best && p.wires[a] < s.degree && !s.hangs(a, v) {
						x, y, best = a, b, row[a]
					}
				}
			}
			if x < 0 {
				p.wires[u]++
				p.wires[v]++
				continue
			}
			g.cost += best - s.at(v, u)
			p.wires[x]++
			p.wires[y]++
			s.turn(y, v)
			s.above[y] = x
			changed = true
		}
		for _, v := range g.seq { // the wire to the root
			if c := s.at(v, g.root); p.wires[v] < s.degree && c < g.link-s.noise {
				top := v
				for int(s.above[top]) < s.n {
					top = s.above[top]
				}
				p.wires[top]--
				p.wires[v]++
				s.turn(v, top)
				s.above[v] = g.root
				g.cost += c - g.link
				g.link = c
				changed = true
			}
		}
	}
}

// turn makes v the top of a tree of which top was: all wires between them lead the other way.
func (s *search) turn(v, top int32) {
	below := v
	for u := v; u != top; {
		next := s.above[u]
		if u != v {
			s.above[u] = below
		}
		below, u = u, next
	}
	if v != top {
		s.above[top] = below
	}
}
