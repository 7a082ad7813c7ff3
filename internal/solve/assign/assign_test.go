package assign

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

var inf = math.Inf(1)

// drawCosts draws small costs, so that ties are common, with forbidden pairs.
func drawCosts(t *rapid.T, most int) [][]float64 {
	n, m := rapid.IntRange(1, most).Draw(t, "n"), rapid.IntRange(1, most).Draw(t, "m")
	top := rapid.SampledFrom([]int{1, 4, 1000}).Draw(t, "top")
	forbid := rapid.IntRange(0, 9).Draw(t, "forbid")
	cost := make([][]float64, n)
	for i := range cost {
		cost[i] = make([]float64, m)
		for j := range cost[i] {
			if cost[i][j] = float64(rapid.IntRange(-top, top).Draw(t, "c")); rapid.IntRange(0, 9).Draw(t, "x") < forbid {
				cost[i][j] = inf
			}
		}
	}
	return cost
}

func drawWeights(t *rapid.T, n int) []int {
	if rapid.Bool().Draw(t, "even") {
		return nil
	}
	return rapid.SliceOfN(rapid.IntRange(1, 4), n, n).Draw(t, "weights")
}

// Weight served, cost, the first of equal answers, the proof, and the shortage, all against looking at everything.
func TestAgainstAllAssignments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cost := drawCosts(t, 6)
		weight := drawWeights(t, len(cost))
		a, err := SolveWeighted(cost, weight)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, cost, weight, a)
	})
}

func compare(t *rapid.T, cost [][]float64, weight []int, a Answer) {
	if err := Check(cost, weight, a); err != nil {
		t.Fatal(err)
	}
	served, least, first := bruteAssign(cost, weight)
	got := 0
	for i, j := range a.Column {
		if j != None {
			got++
			if weight != nil {
				got += weight[i] - 1
			}
		}
	}
	if got != served || a.Cost != least || !slices.Equal(a.Column, first) {
		t.Fatalf("%v serves %d at %g; best is %v, which serves %d at %g", a.Column, got, a.Cost, first, served, least)
	}
	if size := bruteShort(cost); size == 0 != (a.Short == nil) || a.Short != nil && len(a.Short.Rows) != size {
		t.Fatalf("shortage %+v; the smallest has %d rows", a.Short, size)
	}
	if a.Short != nil {
		checkShortage(t, cost, *a.Short)
	}
}

// A shortage must be what it says: the rows see the columns and no others, and are one more.
func checkShortage(t interface{ Fatalf(string, ...any) }, cost [][]float64, s Shortage) {
	sees := func(rows []int) []int {
		var columns []int
		for _, i := range rows {
			for j, c := range cost[i] {
				if !math.IsInf(c, 1) && !slices.Contains(columns, j) {
					columns = append(columns, j)
				}
			}
		}
		slices.Sort(columns)
		return columns
	}
	if len(s.Rows) != len(s.Columns)+1 || !slices.Equal(sees(s.Rows), s.Columns) || !slices.Equal(sees(s.Confined), s.Columns) ||
		s.Short != len(s.Confined)-len(s.Columns) || s.Short < 1 {
		t.Fatalf("not a shortage: %+v", s)
	}
	for i := range cost {
		inside := !slices.ContainsFunc(sees([]int{i}), func(j int) bool { return !slices.Contains(s.Columns, j) })
		if inside != slices.Contains(s.Confined, i) {
			t.Fatalf("row %d is confined: %v; %+v", i, inside, s)
		}
	}
	for k := range s.Rows { // none can be spared
		rest := [][]float64{}
		for l, i := range s.Rows {
			if l != k {
				rest = append(rest, cost[i])
			}
		}
		if a, err := Solve(rest); err != nil || a.Short != nil {
			t.Fatalf("row %d can be spared in %+v", s.Rows[k], s)
		}
	}
}

// After any changes a solver answers as a new one would.
func TestReplanning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cost := drawCosts(t, 6)
		weight := drawWeights(t, len(cost))
		s, err := NewWeighted(cost, weight)
		if err != nil {
			t.Fatal(err)
		}
		if weight == nil {
			weight = slices.Repeat([]int{1}, len(cost))
		}
		fixed := slices.Repeat([]int{None}, len(cost))
		for range rapid.IntRange(1, 6).Draw(t, "changes") {
			i, j := rapid.IntRange(0, len(cost)-1).Draw(t, "i"), rapid.IntRange(0, len(cost[0])-1).Draw(t, "j")
			switch rapid.SampledFrom([]string{"fix", "free", "add"}).Draw(t, "change") {
			case "fix":
				holder := slices.Index(fixed, j)
				bad := math.IsInf(cost[i][j], 1) || holder >= 0 && holder != i
				if err := s.Fix(i, j); err != nil != bad {
					t.Fatalf("fix %d to %d: %v", i, j, err)
				}
				if !bad {
					fixed[i] = j
				}
			case "free":
				s.Free(i)
				fixed[i] = None
			case "add":
				if len(cost) == 6 {
					continue
				}
				row := slices.Clone(cost[i])
				slices.Reverse(row)
				if k, err := s.AddRow(row, 2); err != nil || k != len(cost) {
					t.Fatal(k, err)
				}
				cost, weight, fixed = append(cost, row), append(weight, 2), append(fixed, None)
			}
			if rapid.Bool().Draw(t, "skip") {
				continue
			}
			now := make([][]float64, len(cost))
			for i := range cost {
				now[i] = slices.Clone(cost[i])
				for j := range now[i] {
					if holder := slices.Index(fixed, j); fixed[i] != None && fixed[i] != j || holder >= 0 && holder != i {
						now[i][j] = inf
					}
				}
			}
			a := s.Solve()
			compare(t, now, weight, a)
			if err := s.Check(a); err != nil {
				t.Fatal(err)
			}
			for i, j := range fixed {
				if j != None && a.Column[i] != j || s.Fixed(i) != j {
					t.Fatalf("row %d is fixed to %d and has %d", i, j, a.Column[i])
				}
			}
		}
	})
}

// Costs that are no whole numbers: rounding must neither stop the search nor spoil the proof.
func TestFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cost := drawCosts(t, 6)
		for i := range cost {
			for j := range cost[i] {
				cost[i][j] = cost[i][j]/7 + float64(i*j)/11
			}
		}
		a, err := Solve(cost)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(cost, nil, a); err != nil {
			t.Fatal(err)
		}
		if served, least, _ := bruteAssign(cost, nil); served != len(cost)-len(a.Idle) || math.Abs(a.Cost-least) > 1e-9 {
			t.Fatalf("%d served at %g, want %d at %g", len(cost)-len(a.Idle), a.Cost, served, least)
		}
	})
}

// Renumbering rows and columns changes nothing but the numbers; a constant added to a row adds to the cost.
func TestRenumbering(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, m := rapid.IntRange(1, 25).Draw(t, "n"), rapid.IntRange(25, 40).Draw(t, "m")
		cost := make([][]float64, n)
		for i := range cost {
			cost[i] = make([]float64, m)
			for j := range cost[i] {
				if cost[i][j] = float64(rapid.IntRange(0, 30).Draw(t, "c")); cost[i][j] > 20 {
					cost[i][j] = inf
				}
			}
		}
		a, _ := Solve(cost)
		rows := rapid.Permutation(identity(n)).Draw(t, "rows")
		columns := rapid.Permutation(identity(m)).Draw(t, "columns")
		other := make([][]float64, n)
		for i, r := range rows {
			for _, c := range columns {
				other[i] = append(other[i], cost[r][c]+float64(r))
			}
		}
		b, _ := Solve(other)
		if len(a.Idle) != len(b.Idle) || len(a.Idle) == 0 && b.Cost-float64(n*(n-1)/2) != a.Cost {
			t.Fatalf("%d idle at %g, and %d at %g", len(a.Idle), a.Cost, len(b.Idle), b.Cost)
		}
		if err := errors.Join(Check(cost, nil, a), Check(other, nil, b)); err != nil {
			t.Fatal(err)
		}
	})
}

func identity(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// Check must find every kind of fault, or it proves nothing.
func TestCheckFindsFaults(t *testing.T) {
	cost := [][]float64{ // row 4 goes without, and column 4
		{4, 1, 3, 9, 30}, {inf, 0, 5, inf, inf}, {3, 2, 2, inf, inf}, {inf, 1, inf, inf, inf}, {inf, 7, inf, inf, inf},
	}
	fresh := func() Answer {
		a, err := Solve(cost)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	if err := Check(cost, nil, fresh()); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(a *Answer){
		"cost":         func(a *Answer) { a.Cost++ },
		"column twice": func(a *Answer) { a.Column[0] = a.Column[1] },
		"forbidden":    func(a *Answer) { a.Column[3] = 0 },
		"exchange": func(a *Answer) {
			a.Column[0], a.Column[1] = a.Column[1], a.Column[0]
			a.Cost = cost[0][a.Column[0]] + cost[1][a.Column[1]] + cost[2][a.Column[2]] + cost[3][a.Column[3]]
		},
		"idle unlisted": func(a *Answer) { a.Idle = nil },
		"dearer row":    func(a *Answer) { a.U[0].Cost++ },
		"cheaper row":   func(a *Answer) { a.U[0].Cost-- },
		"priced column": func(a *Answer) { a.V[4].Cost = 1 },
		"idle column":   func(a *Answer) { a.V[4].Cost = -1 },
		"short":         func(a *Answer) { a.U = a.U[1:] },
	} {
		a := fresh()
		if spoil(&a); Check(cost, nil, a) == nil {
			t.Errorf("%s: not found", name)
		}
	}
}

func TestErrors(t *testing.T) {
	var cost *CostError
	var shape *ShapeError
	var weight *WeightError
	var fix *FixError
	for _, c := range []float64{math.NaN(), math.Inf(-1), 1e101} {
		if _, err := Solve([][]float64{{1, c}}); !errors.As(err, &cost) || cost.Column != 1 {
			t.Errorf("cost %g: %v", c, err)
		}
	}
	if _, err := Solve([][]float64{{1, 2}, {1}}); !errors.As(err, &shape) || shape.Row != 1 {
		t.Error(err)
	}
	if _, err := SolveWeighted([][]float64{{1}}, []int{1, 2}); !errors.As(err, &shape) {
		t.Error(err)
	}
	if _, err := SolveWeighted([][]float64{{1}}, []int{0}); !errors.As(err, &weight) {
		t.Error(err)
	}
	s, err := New([][]float64{{1, inf}, {1, 1}})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Fix(0, 1); !errors.As(err, &fix) || err.Error() != "row 0 cannot be fixed to column 1: the pair is forbidden" {
		t.Error(err)
	}
	if err := s.Fix(0, 0); err != nil {
		t.Error(err)
	}
	if err := s.Fix(1, 0); !errors.As(err, &fix) || fix.Holder != 0 {
		t.Error(err)
	}
}

// No rows, no columns, and both.
func TestEmpty(t *testing.T) {
	for _, cost := range [][][]float64{nil, {}, {{}, {}}} {
		a, err := Solve(cost)
		if err != nil || len(a.Idle) != len(cost) || a.Cost != 0 {
			t.Error(a, err)
		}
		if err := Check(cost, nil, a); err != nil {
			t.Error(err)
		}
		if (a.Short != nil) != (len(cost) > 0) {
			t.Errorf("%+v", a.Short)
		}
	}
}
