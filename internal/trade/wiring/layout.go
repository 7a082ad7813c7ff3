package wiring

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
)

// group is a set of contacts with one common lug: they share a line of the matrix and differ in the other.
type group struct {
	members []int // signals
	holds   bool
	at      geom.Vec3
	has     bool
}

// groups lists the contacts that may cross in a matrix, by their commons, in file order.
func (w *worker) groups() []group {
	var out []group
	at := map[Terminal]int{}
	for i, s := range w.r.Signals {
		x := &w.wants[i]
		if !x.pools || !x.matrix || x.control == nil || !s.Asked.Zero() || w.cross[i] != nil || x.via != "" && x.via != Matrix {
			continue
		}
		t := Terminal{x.control.Name, x.common}
		k, ok := at[t]
		if !ok {
			k = len(out)
			at[t] = k
			v, has := w.at(t)
			out = append(out, group{at: v, has: has})
		}
		out[k].members = append(out[k].members, i)
		out[k].holds = out[k].holds || w.r.Devices[s.Device].Holds
	}
	return out
}

// grid is a matrix being laid out: which contact crosses where, -1 = none.
type grid struct {
	rows, columns int
	cell          [][]int // by column, then row: signal
}

// layMatrix chooses the contacts that share the matrix, so that at least need of them do and all that must, and puts them at crossings.
// What lies side by side comes to the same lines. ok is false when there is no room.
func (w *worker) layMatrix(rows, columns, need int) (g grid, ok bool) {
	all := w.groups()
	var in []group
	count := 0
	for _, x := range all {
		if slices.ContainsFunc(x.members, func(i int) bool { return w.wants[i].via == Matrix }) {
			in = append(in, x)
			count += len(x.members)
		}
	}
	rest := slices.DeleteFunc(slices.Clone(all), func(x group) bool {
		return len(x.members) > rows || slices.ContainsFunc(x.members, func(i int) bool { return w.wants[i].via == Matrix })
	})
	// Buttons before what holds, single contacts before groups, far ones before near ones: they gain most by sharing lines.
	slices.SortStableFunc(rest, func(a, b group) int {
		return cmp.Or(cmp.Compare(len(a.members), len(b.members)), cmpBool(a.holds, b.holds), -cmp.Compare(w.away(a), w.away(b)))
	})
	for _, x := range rest {
		if count >= need {
			break
		}
		if count+len(x.members) <= rows*columns {
			in = append(in, x)
			count += len(x.members)
		}
	}
	if count < need {
		return g, false
	}
	return w.pack(in, rows, columns)
}

func cmpBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

func (w *worker) away(x group) float64 {
	if !x.has || !w.placed {
		return 0
	}
	return math.Round(x.at.Sub(w.middle).Len())
}

// pack puts groups into columns: large ones first, each where it fits, then single contacts by strips of the face; then pairs are
// exchanged while that shortens the lines.
func (w *worker) pack(in []group, rows, columns int) (grid, bool) {
	g := grid{rows: rows, columns: columns, cell: make([][]int, columns)}
	for c := range g.cell {
		g.cell[c] = slices.Repeat([]int{-1}, rows)
	}
	slices.SortStableFunc(in, func(a, b group) int {
		return cmp.Or(-cmp.Compare(len(a.members), len(b.members)), cmp.Compare(math.Round(a.at.X), math.Round(b.at.X)), -cmp.Compare(math.Round(a.at.Y), math.Round(b.at.Y)))
	})
	var left []group // contacts with a common of their own, not settled
	var large []group
	column := map[int]int{} // of groups of which a member is settled
	for _, x := range in {
		rest := x
		rest.members = nil
		c := -1
		for _, i := range x.members {
			if k := w.wants[i].cross; k != [2]int{} {
				if !w.toRow() {
					k[0], k[1] = k[1], k[0]
				}
				if k[0] > rows || k[1] > columns {
					return g, false
				}
				c = k[1] - 1
				g.cell[c][k[0]-1] = i
				continue
			}
			rest.members = append(rest.members, i)
		}
		switch {
		case len(rest.members) == 0:
		case len(x.members) == 1:
			left = append(left, rest)
		default:
			if c >= 0 {
				column[len(large)] = c
			}
			large = append(large, rest)
		}
	}
	for n, x := range large {
		c, ok := column[n]
		if !ok {
			c = -1
			for k := range columns { // the fullest that it goes into
				if room := g.room(k); room >= len(x.members) && (c < 0 || room < g.room(c)) {
					c = k
				}
			}
		}
		if c < 0 || g.room(c) < len(x.members) {
			return g, false
		}
		g.fill(c, x.members)
	}
	// Strips: as many contacts to each column as it has room for, spread evenly.
	free := 0
	for c := range columns {
		free += g.room(c)
	}
	if len(left) > free {
		return g, false
	}
	k := 0
	for c := range columns {
		room := g.room(c)
		n := room
		if free > 0 {
			n = min(room, int(math.Ceil(float64(len(left)-k)*float64(room)/float64(free)-1e-9)))
		}
		free -= room
		strip := slices.Clone(left[k : k+n])
		k += n
		slices.SortStableFunc(strip, func(a, b group) int { return -cmp.Compare(math.Round(a.at.Y), math.Round(b.at.Y)) })
		for _, x := range strip {
			g.fill(c, x.members)
		}
	}
	w.shorten(&g)
	return g, true
}

// room counts the places left in a column.
func (g *grid) room(c int) int {
	n := 0
	for _, i := range g.cell[c] {
		if i < 0 {
			n++
		}
	}
	return n
}

// fill puts contacts into the first places left of a column.
func (g *grid) fill(c int, members []int) {
	r := 0
	for _, i := range members {
		for g.cell[c][r] >= 0 {
			r++
		}
		g.cell[c][r] = i
	}
}

// shorten exchanges contacts within a row and within a column while that makes the lines shorter, a few rounds at most.
func (w *worker) shorten(g *grid) {
	at := map[int]geom.Vec3{}
	sum := 0
	for _, col := range g.cell {
		for _, i := range col {
			if i < 0 {
				continue
			}
			v, ok := w.at(Terminal{w.wants[i].control.Name, w.r.Signals[i].Lug})
			if !ok {
				return
			}
			at[i] = v
			sum++
		}
	}
	if sum > 150 {
		return
	}
	row := func(r int) float64 {
		var pts []geom.Vec3
		for c := range g.columns {
			if i := g.cell[c][r]; i >= 0 {
				pts = append(pts, at[i])
			}
		}
		return treeLength(pts)
	}
	column := func(c int) float64 {
		var pts []geom.Vec3
		for _, i := range g.cell[c] {
			if i >= 0 {
				pts = append(pts, at[i])
			}
		}
		return treeLength(pts)
	}
	for range 3 {
		better := false
		try := func(c1, r1, c2, r2 int) {
			a, b := &g.cell[c1][r1], &g.cell[c2][r2]
			if *a == *b || w.stays(*a) || w.stays(*b) {
				return
			}
			lines := func() float64 {
				t := 0.0
				if r1 != r2 {
					t += row(r1) + row(r2)
				}
				if c1 != c2 {
					t += column(c1) + column(c2)
				}
				return t
			}
			before := lines()
			*a, *b = *b, *a
			if lines() < before-1e-6 {
				better = true
				return
			}
			*a, *b = *b, *a
		}
		for c := range g.columns {
			for r1 := range g.rows {
				for r2 := r1 + 1; r2 < g.rows; r2++ {
					try(c, r1, c, r2)
				}
			}
		}
		for r := range g.rows {
			for c1 := range g.columns {
				for c2 := c1 + 1; c2 < g.columns; c2++ {
					if w.lone(g.cell[c1][r]) && w.lone(g.cell[c2][r]) {
						try(c1, r, c2, r)
					}
				}
			}
		}
		if !better {
			return
		}
	}
}

// stays reports whether a contact is at a crossing that the person settled.
func (w *worker) stays(i int) bool { return i >= 0 && w.wants[i].cross != [2]int{} }

// lone reports whether a contact may leave its column: it shares its common with no other.
func (w *worker) lone(i int) bool {
	if i < 0 {
		return true
	}
	return w.commons[Terminal{w.wants[i].control.Name, w.wants[i].common}] <= 1
}

// treeLength is the length of the shortest tree through points.
func treeLength(pts []geom.Vec3) float64 {
	n := len(pts)
	if n < 2 {
		return 0
	}
	var dist [32]float64
	if n > len(dist) {
		n = len(dist)
	}
	var in [32]bool
	for i := range n {
		dist[i] = math.Inf(1)
	}
	dist[0] = 0
	total := 0.0
	for range n {
		at := -1
		for i := range n {
			if !in[i] && (at < 0 || dist[i] < dist[at]) {
				at = i
			}
		}
		in[at] = true
		total += dist[at]
		for i := range n {
			if !in[i] {
				dist[i] = min(dist[i], pts[i].Sub(pts[at]).Len())
			}
		}
	}
	return total
}
