package assign

import (
	"math/bits"
	"slices"
)

// Shortage says why not all rows can be served: some rows share too few columns.
//
// Rows are one more than Columns, and without any one of them the rest can be served. Smallest means that no
// fewer rows are short; otherwise the search ended early. Confined are all rows that may have nothing but Columns.
// So "these Confined rows need a column each, and there are only Columns: Short too few" is true in
// one sentence.
type Shortage struct {
	Rows     []int // one more than Columns, rising
	Columns  []int // all that any of Rows may have, rising
	Smallest bool  // no smaller set of rows is short: proven
	Confined []int // all rows that may have none but Columns; Rows among them, rising
	Short    int   // len(Confined) - len(Columns), 1 or more
}

// shortageSteps is how many sets of rows the search for a smallest shortage looks at.
const shortageSteps = 20_000

// shortage looks for a smallest set of rows that are short of columns. From a row that no assignment
// serves, rows that it could take a column from, directly or over others, form a set in which no row can be
// spared (a circuit of the matroid of rows). The smallest over all is a hard problem, so steps are counted.
func (s *Solver) shortage(idle []int) *Shortage {
	n := len(s.cost)
	h := &hall{columns: make([]set, n), steps: shortageSteps}
	for i := range n {
		h.columns[i] = newSet(s.columns)
		for _, j := range s.permitted(i) {
			h.columns[i].add(j)
		}
	}
	for _, i := range idle {
		rows := []int{i}
		seen := make([]bool, n)
		seen[i] = true
		for k := 0; k < len(rows); k++ {
			for _, j := range s.permitted(rows[k]) {
				if r := s.row[j]; !seen[r] { // none is free, or row i had been served
					seen[r] = true
					rows = append(rows, r)
				}
			}
		}
		if h.best == nil || len(rows) < len(h.best) {
			h.best = rows
		}
	}
	h.search()
	a := &Shortage{Rows: h.best, Smallest: h.steps > 0}
	slices.Sort(a.Rows)
	all := newSet(s.columns)
	for _, i := range a.Rows {
		all.join(h.columns[i])
	}
	for j := range s.columns {
		if all.has(j) {
			a.Columns = append(a.Columns, j)
		}
	}
	for i, c := range h.columns {
		if c.within(all) {
			a.Confined = append(a.Confined, i)
		}
	}
	a.Short = len(a.Confined) - len(a.Columns)
	return a
}

// hall searches for a smallest set of rows that together may have fewer columns than they are.
type hall struct {
	columns []set // of each row
	best    []int // rows
	steps   int   // still allowed
}

// search tries each row as the first of a set, without those tried before.
func (h *hall) search() {
	out := make([]bool, len(h.columns)) // rows that may not be used
	for i, c := range h.columns {
		if h.steps <= 0 {
			return
		}
		h.grow(c, out)
		out[i] = true
	}
}

// grow adds rows to a set in all ways that may lead to a smaller one than the best. In a smallest set each column is
// wanted by two rows at least, or the set were still short without its only row. So if there is a column that
// fewer rows want, one of the others that want it must come next.
func (h *hall) grow(columns set, out []bool) {
	if h.steps--; h.steps <= 0 {
		return
	}
	size := columns.size()
	if size > len(h.best)-2 {
		return // one more than that is as many as the best
	}
	var inside []int
	for i, c := range h.columns {
		if !out[i] && c.within(columns) {
			inside = append(inside, i)
		}
	}
	if len(inside) > size {
		h.best = h.spare(inside, columns)
		return
	}
	// Rows that may come next, by the column that has the fewest of them.
	var next []int
	for j := range len(columns) * 64 {
		if !columns.has(j) {
			continue
		}
		held := 0
		for _, i := range inside {
			if h.columns[i].has(j) {
				held++
			}
		}
		if held >= 2 {
			continue
		}
		var some []int
		for i, c := range h.columns {
			if !out[i] && c.has(j) && !c.within(columns) {
				some = append(some, i)
			}
		}
		if next == nil || len(some) < len(next) {
			if next = some; len(next) == 0 {
				return // the column cannot be wanted twice
			}
		}
	}
	if next == nil {
		for i, c := range h.columns {
			if !out[i] && c.meets(columns) && !c.within(columns) {
				next = append(next, i)
			}
		}
	}
	for _, i := range next {
		more := slices.Clone(columns)
		more.join(h.columns[i])
		h.grow(more, out)
		out[i] = true // all sets with it are done
	}
	for _, i := range next {
		out[i] = false
	}
}

// spare takes rows out of a short set until none can be spared.
func (h *hall) spare(rows []int, columns set) []int {
	for k := 0; k < len(rows); {
		rest := slices.Delete(slices.Clone(rows), k, k+1)
		if h.short(rest) {
			rows = rest
		} else {
			k++
		}
	}
	return rows
}

// short says that the rows cannot all be served.
func (h *hall) short(rows []int) bool {
	holder := map[int]int{}
	var serve func(i int, seen map[int]bool) bool
	serve = func(i int, seen map[int]bool) bool {
		for j := range len(h.columns[i]) * 64 {
			if !h.columns[i].has(j) || seen[j] {
				continue
			}
			seen[j] = true
			if k, taken := holder[j]; !taken || serve(k, seen) {
				holder[j] = i
				return true
			}
		}
		return false
	}
	for _, i := range rows {
		if !serve(i, map[int]bool{}) {
			return true
		}
	}
	return false
}

// set is a set of columns, one bit each.
type set []uint64

func newSet(n int) set       { return make(set, (n+63)/64) }
func (s set) add(j int)      { s[j/64] |= 1 << (j % 64) }
func (s set) has(j int) bool { return s[j/64]>>(j%64)&1 == 1 }

func (s set) size() (size int) {
	for _, w := range s {
		size += bits.OnesCount64(w)
	}
	return size
}

func (s set) join(t set) {
	for k, w := range t {
		s[k] |= w
	}
}

func (s set) within(t set) bool {
	for k, w := range s {
		if w&^t[k] != 0 {
			return false
		}
	}
	return true
}

func (s set) meets(t set) bool {
	for k, w := range s {
		if w&t[k] != 0 {
			return true
		}
	}
	return false
}
