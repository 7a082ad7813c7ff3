package assign

import (
	"math"
	"math/bits"
)

// disturbances is what all pairs of rows cost together.
func disturbances(disturb func(r1, c1, r2, c2 int) float64, column []int) float64 {
	sum := 0.0
	for r2, c2 := range column {
		for r1, c1 := range column[:r2] {
			sum += disturb(r1, c1, r2, c2)
		}
	}
	return sum
}

// improving is an arrangement under local search.
type improving struct {
	Arrangement
	places [][][]int
	at     []int // place of each ribbon
	column []int
	row    []int // row in each column, or None
	ribbon []int // that each row belongs to, or None
}

// rounds is how often an arrangement of n rows on m columns is shaken and improved again: more often where a round is
// little work.
func rounds(n, m int) int { return min(max(10, 1_000_000/(n*n*m)), 100) }

// improve exchanges columns between single rows, moves them to idle columns, and moves ribbons, whose rows change
// places with those that lay there, as long as the cost falls. Then it shakes the arrangement by a few random
// exchanges and improves it again, a counted number of times, and keeps the best.
func improve(q Arrangement, places [][][]int, at, column []int) {
	t := &improving{Arrangement: q, places: places, at: at, column: column}
	t.ribbon = make([]int, len(column))
	for i := range t.ribbon {
		t.ribbon[i] = None
	}
	for r, ribbon := range q.Ribbons {
		for _, i := range ribbon.Rows {
			t.ribbon[i] = r
		}
	}
	if len(column) == 0 {
		return
	}
	t.row = make([]int, len(q.Cost[0]))
	for j := range t.row {
		t.row[j] = None
	}
	for i, j := range column {
		t.row[j] = i
	}
	t.descend()
	best, bestAt, least := append([]int(nil), column...), append([]int(nil), at...), t.total()
	chance := random(1)
	shakes := rounds(len(column), len(t.row))
	if q.Shakes != 0 {
		shakes = min(shakes, max(q.Shakes, 0))
	}
	for range shakes {
		for range 3 {
			i, j := chance.below(len(column)), chance.below(len(t.row))
			if r := t.ribbon[i]; r != None {
				p := chance.below(len(places[r]))
				if m := t.shift(r, p); m != nil {
					t.do(m)
					t.at[r] = p
				}
			} else if m := t.exchange(i, j); m != nil {
				t.do(m)
			}
		}
		t.descend()
		if c := t.total(); c < least-float64(1e-12*math.Abs(least)) {
			least = c
			copy(best, column)
			copy(bestAt, at)
		} else {
			for _, j := range column {
				t.row[j] = None
			}
			copy(column, best)
			copy(at, bestAt)
			for i, j := range column {
				t.row[j] = i
			}
		}
	}
	copy(column, best)
	copy(at, bestAt)
}

func (t *improving) total() float64 {
	sum := disturbances(t.Disturb, t.column)
	for i, j := range t.column {
		sum += t.Cost[i][j]
	}
	return sum
}

// hop is a row and the column that it gets.
type hop struct{ row, column int }

// descend makes every change that lowers the cost until none is left.
func (t *improving) descend() {
	for changed := true; changed; {
		changed = false
		for i := range t.column {
			for j := range t.row {
				if m := t.exchange(i, j); m != nil && t.gain(m) > 0 {
					t.do(m)
					changed = true
				}
			}
		}
		for r := range t.Ribbons {
			for p := range t.places[r] {
				if m := t.shift(r, p); m != nil && t.gain(m) > 0 {
					t.do(m)
					t.at[r] = p
					changed = true
				}
			}
		}
	}
}

// exchange gives row i column j, and the row that has it the column of i; nil if that is not permitted.
func (t *improving) exchange(i, j int) []hop {
	old, k := t.column[i], t.row[j]
	if old == j || !t.may(i, j) {
		return nil
	}
	if k == None {
		return []hop{{i, j}}
	}
	if !t.may(k, old) {
		return nil
	}
	return []hop{{i, j}, {k, old}}
}

// may says that row i is single and not fixed, and permitted in column j.
func (t *improving) may(i, j int) bool {
	return t.ribbon[i] == None && (t.Fixed == nil || t.Fixed[i] == None) && !math.IsInf(t.Cost[i][j], 1)
}

// shift lays ribbon r at place p. Rows that lay there get the columns that the ribbon leaves, in the same order.
func (t *improving) shift(r, p int) []hop {
	if t.at[r] == p {
		return nil
	}
	var m []hop
	covers := map[int]bool{}
	for i, j := range t.places[r][p] {
		if j != None {
			m = append(m, hop{i, j})
			covers[j] = true
		}
	}
	own := m
	next := 0
	for _, h := range own {
		k := t.row[h.column]
		if k == None || t.ribbon[k] == r {
			continue
		}
		for ; covers[t.column[own[next].row]]; next++ {
		}
		left := t.column[own[next].row]
		if next++; !t.may(k, left) {
			return nil
		}
		m = append(m, hop{k, left})
	}
	return m
}

// gain is by how much a change lowers the cost; 0 if only by rounding.
func (t *improving) gain(m []hop) float64 {
	before := t.share(m)
	old := make([]int, len(m))
	for k, h := range m {
		old[k] = t.column[h.row]
		t.column[h.row] = h.column
	}
	after := t.share(m)
	for k, h := range m {
		t.column[h.row] = old[k]
	}
	if g := before - after; g > float64(1e-12*(math.Abs(before)+math.Abs(after))) {
		return g
	}
	return 0
}

// share is the cost in which the rows of a change take part.
func (t *improving) share(m []hop) float64 {
	sum := 0.0
	for k, h := range m {
		sum += t.Cost[h.row][t.column[h.row]]
	other:
		for i, c := range t.column {
			for _, g := range m[:k+1] {
				if g.row == i {
					continue other
				}
			}
			if i < h.row {
				sum += t.Disturb(i, c, h.row, t.column[h.row])
			} else {
				sum += t.Disturb(h.row, t.column[h.row], i, c)
			}
		}
	}
	return sum
}

func (t *improving) do(m []hop) {
	for _, h := range m {
		t.row[t.column[h.row]] = None
	}
	for _, h := range m {
		t.column[h.row] = h.column
		t.row[h.column] = h.row
	}
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
