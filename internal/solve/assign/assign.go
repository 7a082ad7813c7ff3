// Package assign gives each of n rows a column of its own, at least total cost: signals to pins, for instance.
//
// It knows rows and columns only by number and the cost of each pair; an infinite cost forbids a pair. Three
// questions are answered:
//
//   - [Solve]: the cheapest assignment, with prices that prove it ([Check]). Where no assignment serves all rows it
//     serves as many as can be, and says why not more: a smallest set of rows that share too few columns ([Shortage]);
//   - [Solver]: the same, asked again and again while pairs are fixed and rows come to it;
//   - [Arrange]: some rows must lie side by side in order, like the wires of a ribbon, and pairs of rows may disturb
//     each other. Ribbons are placed exactly, disturbances are lessened by local search, and a bound stands beside.
//
// All answers are deterministic: work is limited by counted steps, never by a clock. Among assignments of equal cost
// the one is taken that gives row 0 the lowest column, then row 1, and so on.
//
// Sources, all from memory:
//   - H. Kuhn (1955), The Hungarian method for the assignment problem: prices as the proof.
//   - R. Jonker, A. Volgenant (1987), A shortest augmenting path algorithm for dense and sparse linear assignment
//     problems: one shortest path for each row.
//   - P. Hall (1935), On representatives of subsets: some rows share too few columns, or all can be served.
//   - J. Edmonds, D. Fulkerson (1965), Transversals and matroid partition: the rows that can be served together form a
//     matroid, so serving the weightiest rows also serves the most.
package assign

import (
	"math"
	"slices"
)

// None in place of a column means that a row has none.
const None = -1

// MaxCost is the largest size of a finite cost that is accepted. It leaves room for sums.
const MaxCost = 1e100

// MaxWeight is the largest weight of a row that is accepted.
const MaxWeight = 1_000_000

// Price is a cost in two ranks: weight of rows not served, which outweighs everything, then the cost of pairs.
type Price struct {
	Rows float64 // a whole number
	Cost float64 // in the unit of the costs
}

func (a Price) less(b Price) bool { return a.Rows < b.Rows || a.Rows == b.Rows && a.Cost < b.Cost }
func (a Price) plus(b Price) Price {
	return Price{a.Rows + b.Rows, a.Cost + b.Cost}
}

func (a Price) minus(b Price) Price {
	return Price{a.Rows - b.Rows, a.Cost - b.Cost}
}

// Answer is an assignment with its proof.
//
// No row can gain more than it pays: U[i] + V[j] is at most the cost of every permitted pair i, j; U[i] is at most
// the weight of row i, and V[j] is at most 0. Therefore the sum of all U and V is a bound that no assignment beats. The
// answer meets it.
type Answer struct {
	Column []int     // column of each row, or [None]
	Cost   float64   // sum over the rows served
	Idle   []int     // rows not served, rising; empty if all are
	U, V   []Price   // prices of rows and columns
	Short  *Shortage // why not all rows are served; nil if they are
}

// Solve finds the cheapest assignment of rows to columns: cost[i][j] is that of row i in column j, and +Inf forbids the
// pair. All rows are equally long. If not all rows can be served, as many as possible are, at least cost among
// such. Whole costs give exact sums up to 2^53. The error is a [*CostError] or [*ShapeError].
//
// Work grows as n²m at most; 100 rows of 100 columns take about 1 ms.
func Solve(cost [][]float64) (Answer, error) {
	s, err := New(cost)
	if err != nil {
		return Answer{}, err
	}
	return s.Solve(), nil
}

// SolveWeighted is [Solve] where row i weighs weight[i], 1 to [MaxWeight]: if not all rows can be served, the weight
// of those served is greatest. These are never fewer than could be served otherwise.
// The error may also be a [*WeightError].
func SolveWeighted(cost [][]float64, weight []int) (Answer, error) {
	s, err := NewWeighted(cost, weight)
	if err != nil {
		return Answer{}, err
	}
	return s.Solve(), nil
}

// Solver is an assignment that can be asked again after changes. What is still right of the last answer is kept, so a
// small change costs little. It is not to be used from several goroutines at once.
type Solver struct {
	columns int
	given   [][]float64 // costs as asked
	cost    [][]float64 // the same, with pairs forbidden that fixed pairs exclude
	weight  []float64
	fixed   []int // column that a row is fixed to, or None
	holder  []int // row that is fixed to a column, or None
	col     []int // column of each row, or None, or open
	row     []int // row of each column, or None
	u, v    []Price
	least   float64 // differences of cost that count as none
	w       work
}

// open marks a row whose column has yet to be found.
const open = -2

// New makes a solver for the costs that [Solve] takes.
func New(cost [][]float64) (*Solver, error) { return NewWeighted(cost, nil) }

// NewWeighted makes a solver for the costs and weights that [SolveWeighted] takes. No weights means 1 each.
func NewWeighted(cost [][]float64, weight []int) (*Solver, error) {
	if weight != nil && len(weight) != len(cost) {
		return nil, &ShapeError{What: "weights", Got: len(weight), Want: len(cost)}
	}
	s := &Solver{}
	if len(cost) > 0 {
		s.setColumns(len(cost[0]))
	}
	for i, row := range cost {
		w := 1
		if weight != nil {
			w = weight[i]
		}
		if _, err := s.AddRow(row, w); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *Solver) setColumns(m int) {
	s.columns = m
	s.row = slices.Repeat([]int{None}, m)
	s.holder = slices.Repeat([]int{None}, m)
	s.v = make([]Price, m)
	s.w = work{dist: make([]Price, m), from: make([]int, m), left: make([]int, 0, m), done: make([]int, 0, m)}
}

// Rows is the number of rows.
func (s *Solver) Rows() int { return len(s.cost) }

// Columns is the number of columns.
func (s *Solver) Columns() int { return s.columns }

// AddRow adds a row below the others and returns its number. The first row of an empty solver sets the number of
// columns. The error is a [*CostError], [*ShapeError] or [*WeightError]; then nothing has changed.
func (s *Solver) AddRow(cost []float64, weight int) (int, error) {
	i := len(s.cost)
	if i == 0 && len(cost) != s.columns {
		s.setColumns(len(cost))
	}
	if len(cost) != s.columns {
		return None, &ShapeError{What: "columns", Row: i, Got: len(cost), Want: s.columns}
	}
	if weight < 1 || weight > MaxWeight {
		return None, &WeightError{Row: i, Weight: weight}
	}
	for j, c := range cost {
		if !(math.Abs(c) <= MaxCost) && !math.IsInf(c, 1) {
			return None, &CostError{Row: i, Column: j, Cost: c}
		}
	}
	for _, c := range cost {
		if !math.IsInf(c, 1) {
			s.least = max(s.least, 1e-12*math.Abs(c))
		}
	}
	s.given = append(s.given, slices.Clone(cost))
	s.cost = append(s.cost, slices.Clone(cost))
	s.weight = append(s.weight, float64(weight))
	s.fixed = append(s.fixed, None)
	s.col = append(s.col, open)
	s.u = append(s.u, Price{})
	s.refresh(i)
	return i, nil
}

// Fix demands that a row gets this column and nobody else does, until [Solver.Free]. A row fixed before is freed
// first. The error is a [*FixError]: no such row or column, the pair is forbidden, or the column is fixed
// to another row. Then nothing has changed.
func (s *Solver) Fix(row, column int) error {
	switch {
	case row < 0 || row >= len(s.cost) || column < 0 || column >= s.columns:
		return &FixError{Row: row, Column: column, Holder: None, Reason: "there is no such pair"}
	case math.IsInf(s.given[row][column], 1):
		return &FixError{Row: row, Column: column, Holder: None, Reason: "the pair is forbidden"}
	case s.holder[column] != None && s.holder[column] != row:
		return &FixError{Row: row, Column: column, Holder: s.holder[column], Reason: "the column is fixed to another row"}
	case s.fixed[row] == column:
		return nil
	}
	s.Free(row)
	s.fixed[row], s.holder[column] = column, row
	s.refresh(row)
	for i := range s.cost {
		if i != row {
			s.cost[i][column] = math.Inf(1)
		}
	}
	return nil
}

// Free takes back the fixing of a row. A row that is not fixed stays as it is.
func (s *Solver) Free(row int) {
	if row < 0 || row >= len(s.fixed) || s.fixed[row] == None {
		return
	}
	column := s.fixed[row]
	s.fixed[row], s.holder[column] = None, None
	s.refresh(row)
	for i := range s.cost {
		if s.fixed[i] == None {
			s.cost[i][column] = s.given[i][column]
		}
	}
}

// Fixed is the column that a row is fixed to, or [None].
func (s *Solver) Fixed(row int) int { return s.fixed[row] }

// refresh writes the costs of a row as the fixed pairs leave them.
func (s *Solver) refresh(row int) {
	for j, c := range s.given[row] {
		if s.fixed[row] != None && s.fixed[row] != j || s.holder[j] != None && s.holder[j] != row {
			c = math.Inf(1)
		}
		s.cost[row][j] = c
	}
}

// Solve finds the cheapest assignment under the costs and fixed pairs as they are now.
func (s *Solver) Solve() Answer {
	s.settle()
	s.prefer()
	a := Answer{Column: slices.Clone(s.col), U: slices.Clone(s.u), V: slices.Clone(s.v)}
	for i, j := range s.col {
		if j == None {
			a.Idle = append(a.Idle, i)
		} else {
			a.Cost += s.cost[i][j]
		}
	}
	if len(a.Idle) > 0 {
		a.Short = s.shortage(a.Idle)
	}
	return a
}
