package assign

import (
	"cmp"
	"math"
	"slices"
)

// Direction says how the rows of a ribbon may run along a line.
type Direction uint8

const (
	Either  Direction = iota // forwards or backwards
	Forward                  // as the line lists its columns
	Reverse                  // against it
)

// Ribbon is a group of rows that must lie on consecutive columns of one line, in this order. Two rows that must be
// neighbours are a ribbon of two.
type Ribbon struct {
	Rows      []int
	Direction Direction
}

// Arrangement is a question with needs that a plain assignment does not know.
type Arrangement struct {
	Cost    [][]float64 // as for [Solve]
	Fixed   []int       // column that each row must have, or [None]; nil: none is fixed
	Lines   [][]int     // columns in the order in which they lie side by side; each in one line at most
	Ribbons []Ribbon    // a row in one ribbon at most

	// Disturb is what rows r1 < r2 in columns c1 and c2 cost together beyond their own costs: 0 or more, finite; for
	// instance for wires that cross. It is nil if there is no such cost.
	Disturb func(r1, c1, r2, c2 int) float64

	// Steps is how many assignments the exact search may solve; 0 means 20000.
	Steps int

	// Shakes is how often an arrangement with disturbances is shaken and improved again at most; 0 means as often as its
	// size suggests, negative means never.
	Shakes int
}

// Plan is an arrangement found.
type Plan struct {
	Column  []int   // of each row
	Cost    float64 // all: pairs and disturbances
	Pairs   float64 // the pairs alone
	Bound   float64 // proven: no arrangement costs less
	Optimal bool    // Cost is least: proven
	Steps   int     // assignments solved
}

// Gap is how much the plan may be above the least cost, in the unit of the costs.
func (p Plan) Gap() float64 { return max(0, p.Cost-p.Bound) }

// Arrange places ribbons and single rows at least cost. Without disturbances the answer is exact unless Steps run
// out: branch and bound over the places of the ribbons, where the bound is the assignment that leaves the ribbons not
// yet placed free. Disturbances are lessened from there by exchanging columns and moving ribbons, and the bound stays that
// without them.
//
// The error is that of [New] or [Solver.Fix], [ErrColumn], a [*RibbonError], a [*ShortError] if the rows alone find no
// room, [ErrNoRoom] if rows and ribbons find none, proven, or [ErrNotFound].
func Arrange(q Arrangement) (Plan, error) {
	s, err := New(q.Cost)
	if err != nil {
		return Plan{}, err
	}
	if q.Fixed != nil && len(q.Fixed) != len(q.Cost) {
		return Plan{}, &ShapeError{What: "fixed columns", Got: len(q.Fixed), Want: len(q.Cost)}
	}
	for i, j := range q.Fixed {
		if j != None {
			if err := s.Fix(i, j); err != nil {
				return Plan{}, err
			}
		}
	}
	t := &branching{Solver: s, steps: q.Steps, best: math.Inf(1), open: math.Inf(1)}
	if t.steps <= 0 {
		t.steps = 20_000
	}
	if t.places, err = places(s, q); err != nil {
		return Plan{}, err
	}
	if a := s.Solve(); a.Short != nil {
		return Plan{}, &ShortError{*a.Short}
	}
	allowed := t.steps
	t.placed = slices.Repeat([]int{None}, len(q.Ribbons))
	t.branch()
	switch {
	case t.column == nil && math.IsInf(t.open, 1):
		return Plan{}, ErrNoRoom
	case t.column == nil:
		return Plan{}, ErrNotFound
	}
	p := Plan{Column: t.column, Bound: min(t.best, t.open), Steps: allowed - t.steps}
	if q.Disturb != nil {
		improve(q, t.places, t.at, p.Column)
	}
	for i, j := range p.Column {
		p.Pairs += q.Cost[i][j]
	}
	p.Cost = p.Pairs
	if q.Disturb != nil {
		p.Cost += disturbances(q.Disturb, p.Column)
	}
	p.Optimal = p.Cost-p.Bound <= float64(float64(len(p.Column))*s.least)
	if p.Optimal {
		p.Bound = min(p.Bound, p.Cost)
	}
	return p, nil
}

// places lists for each ribbon the columns that its rows can have together.
func places(s *Solver, q Arrangement) ([][][]int, error) {
	inLine := make([]bool, s.columns)
	for _, line := range q.Lines {
		for _, j := range line {
			if j < 0 || j >= s.columns || inLine[j] {
				return nil, ErrColumn
			}
			inLine[j] = true
		}
	}
	bound := make([]bool, s.Rows())
	all := make([][][]int, len(q.Ribbons))
	for r, ribbon := range q.Ribbons {
		size := len(ribbon.Rows)
		for _, i := range ribbon.Rows {
			if i < 0 || i >= s.Rows() || bound[i] {
				return nil, &RibbonError{r, "it names a row that does not exist, or one that is in a ribbon already"}
			}
			bound[i] = true
		}
		if size == 0 {
			all[r] = [][]int{{}}
			continue
		}
		for _, line := range q.Lines {
			for from := 0; from+size <= len(line); from++ {
				place := slices.Clone(line[from:][:size])
				if ribbon.Direction != Reverse && s.fits(ribbon.Rows, place) {
					all[r] = append(all[r], slices.Clone(place))
				}
				slices.Reverse(place)
				if (ribbon.Direction == Reverse || ribbon.Direction == Either && size > 1) && s.fits(ribbon.Rows, place) {
					all[r] = append(all[r], place)
				}
			}
		}
		if len(all[r]) == 0 {
			return nil, &RibbonError{r, "no stretch of any line takes all its rows in order"}
		}
		for k, place := range all[r] {
			all[r][k] = s.spread(ribbon.Rows, place)
		}
	}
	return all, nil
}

// fits says that each row may have its column.
func (s *Solver) fits(rows, columns []int) bool {
	for k, i := range rows {
		if math.IsInf(s.cost[i][columns[k]], 1) {
			return false
		}
	}
	return true
}

// spread writes a place as a list with an entry for each row of the solver: its column, or None.
func (s *Solver) spread(rows, columns []int) []int {
	all := slices.Repeat([]int{None}, s.Rows())
	for k, i := range rows {
		all[i] = columns[k]
	}
	return all
}

// branching is the search over places of ribbons.
type branching struct {
	*Solver
	places [][][]int // for each ribbon and place, the column of each row, or None
	placed []int     // place chosen for each ribbon, or None
	steps  int       // assignments that may still be solved
	best   float64   // least cost found
	column []int     // and its columns
	at     []int     // and its places
	open   float64   // least bound of all that was left unsearched
}

// value is the cost of the present assignment, or +Inf if some row goes without.
func (t *branching) value() float64 {
	sum := 0.0
	for i, j := range t.col {
		if j == None {
			return math.Inf(1)
		}
		sum += t.cost[i][j]
	}
	return sum
}

// branch places one more ribbon in all ways that may lead to less than the best. The solver is settled. Of the ribbons
// not placed it takes the one whose best place costs most over the assignment, for that raises the bound soonest.
func (t *branching) branch() {
	value := t.value()
	if value >= t.best {
		return
	}
	type child struct {
		place int
		bound float64
	}
	var next []child
	ribbon, worst := None, -1.0
	for r, at := range t.placed {
		if at != None {
			continue
		}
		var some []child
		least := math.Inf(1)
		for p, place := range t.places[r] {
			extra := 0.0
			for i, j := range place {
				if j == None {
					continue
				}
				if math.IsInf(t.cost[i][j], 1) {
					extra = math.Inf(1)
					break
				}
				over := t.pay(i, j).minus(t.u[i])
				if over.Rows > 0 {
					extra = math.Inf(1)
					break
				}
				extra += max(0, over.Cost)
			}
			if bound := value + extra; bound < t.best {
				some = append(some, child{p, bound})
				least = min(least, extra)
			}
		}
		if len(some) == 0 {
			return // no place for it, or none good enough
		}
		if least > worst || least == worst && len(some) < len(next) {
			ribbon, worst, next = r, least, some
		}
	}
	if ribbon == None {
		t.prefer()
		t.best, t.column, t.at = value, slices.Clone(t.col), slices.Clone(t.placed)
		return
	}
	slices.SortStableFunc(next, func(a, b child) int { return cmp.Compare(a.bound, b.bound) })
	for k, c := range next {
		if c.bound >= t.best {
			return
		}
		if t.steps <= 0 {
			t.open = min(t.open, next[k].bound)
			return
		}
		t.steps--
		var own []int // rows that this place fixes
		for i, j := range t.places[ribbon][c.place] {
			if j != None && t.fixed[i] == None {
				if t.Fix(i, j) != nil {
					continue
				}
				own = append(own, i)
			}
		}
		t.settle()
		t.placed[ribbon] = c.place
		t.branch()
		t.placed[ribbon] = None
		for _, i := range own {
			t.Free(i)
		}
		t.settle()
	}
}
