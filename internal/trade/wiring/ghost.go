package wiring

import (
	"cmp"
	"slices"
)

// Crossing is a contact of a matrix.
type Crossing struct {
	Row, Column int
	Diode       bool // current passes it only from column to row
	Holds       bool // it stays closed when left alone
	Signal      int  // whatever the caller knows it by
}

// Ghost is a contact that shows although it is open: others that are closed lead round it.
type Ghost struct {
	Shows   int   // the Signal of the contact that shows
	Closed  []int // the Signals of contacts that must be closed for it, as they follow from column to row
	Presses int   // how many of them somebody has to hold down: the others stay closed on their own
}

// Ghosts finds for every contact of a matrix how it can show while it is open: the way round it with fewest contacts that somebody must hold
// down, and of those the one with fewest contacts. A contact shows when current can pass from its column to its row. No ghost is left out:
// where any set of closed contacts shows another, a cheapest such set is here. Contacts with a diode in each never show others.
//
// The search is that for a cheapest way through a graph whose nodes are the lines, once for each contact: work grows as contacts squared.
func Ghosts(cs []Crossing) []Ghost {
	rows, columns := 0, 0
	for _, c := range cs {
		rows, columns = max(rows, c.Row+1), max(columns, c.Column+1)
	}
	next := make([][]int, rows+columns) // contacts at each line: rows first
	for k, c := range cs {
		next[c.Row] = append(next[c.Row], k)
		next[rows+c.Column] = append(next[rows+c.Column], k)
	}
	var out []Ghost
	for k := range cs {
		if g, ok := around(cs, next, rows, k); ok {
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b Ghost) int {
		return cmp.Or(cmp.Compare(a.Presses, b.Presses), cmp.Compare(len(a.Closed), len(b.Closed)))
	})
	return out
}

// around finds the cheapest way from a contact's column to its row that does not pass it.
func around(cs []Crossing, next [][]int, rows, k int) (Ghost, bool) {
	type price struct{ presses, contacts int }
	const far = 1 << 30
	best := make([]price, len(next))
	from := make([]int, len(next)) // contact that led there
	for i := range best {
		best[i], from[i] = price{far, far}, -1
	}
	less := func(a, b price) bool {
		return a.presses < b.presses || a.presses == b.presses && a.contacts < b.contacts
	}
	start, goal := rows+cs[k].Column, cs[k].Row
	best[start] = price{}
	done := make([]bool, len(next))
	for {
		at := -1
		for i := range best {
			if !done[i] && best[i].presses < far && (at < 0 || less(best[i], best[at])) {
				at = i
			}
		}
		if at < 0 {
			return Ghost{}, false
		}
		if at == goal {
			break
		}
		done[at] = true
		for _, j := range next[at] {
			c := cs[j]
			if c.Row == cs[k].Row && c.Column == cs[k].Column {
				continue
			}
			to := c.Row
			if at < rows { // from the row back to a column: against the diode
				if c.Diode {
					continue
				}
				to = rows + c.Column
			}
			p := price{best[at].presses, best[at].contacts + 1}
			if !c.Holds {
				p.presses++
			}
			if less(p, best[to]) {
				best[to], from[to] = p, j
			}
		}
	}
	g := Ghost{Shows: cs[k].Signal, Presses: best[goal].presses}
	for at := goal; at != start; {
		j := from[at]
		g.Closed = append(g.Closed, cs[j].Signal)
		if at < rows {
			at = rows + cs[j].Column
		} else {
			at = cs[j].Row
		}
	}
	slices.Reverse(g.Closed)
	return g, true
}
