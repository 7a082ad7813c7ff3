package assign

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawArrangement draws up to six rows on up to seven columns, in one line or two, with ribbons.
func drawArrangement(t *rapid.T) Arrangement {
	n := rapid.IntRange(2, 5).Draw(t, "n")
	m := rapid.IntRange(n, 7).Draw(t, "m")
	q := Arrangement{Cost: make([][]float64, n)}
	for i := range q.Cost {
		for range m {
			c := float64(rapid.IntRange(0, 20).Draw(t, "c"))
			if c > 17 {
				c = inf
			}
			q.Cost[i] = append(q.Cost[i], c)
		}
	}
	columns := rapid.Permutation(identity(m)).Draw(t, "columns")
	cut := rapid.IntRange(0, m).Draw(t, "cut")
	q.Lines = [][]int{columns[:cut], columns[cut:]}
	rows := rapid.Permutation(identity(n)).Draw(t, "rows")
	for len(rows) > 0 {
		size := min(len(rows), rapid.IntRange(1, 4).Draw(t, "size"))
		if rapid.Bool().Draw(t, "ribbon") {
			d := rapid.SampledFrom([]Direction{Either, Forward, Reverse}).Draw(t, "direction")
			q.Ribbons = append(q.Ribbons, Ribbon{rows[:size], d})
		}
		rows = rows[size:]
	}
	if rapid.IntRange(0, 3).Draw(t, "fix") == 0 {
		q.Fixed = slices.Repeat([]int{None}, n)
		i, j := rapid.IntRange(0, n-1).Draw(t, "i"), rapid.IntRange(0, m-1).Draw(t, "j")
		if !math.IsInf(q.Cost[i][j], 1) {
			q.Fixed[i] = j
		}
	}
	return q
}

func TestArrangeAgainstAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawArrangement(t)
		want := bruteArrange(q)
		p, err := Arrange(q)
		if err != nil {
			var ribbon *RibbonError
			var short *ShortError
			if !math.IsInf(want, 1) || !errors.Is(err, ErrNoRoom) && !errors.As(err, &ribbon) && !errors.As(err, &short) {
				t.Fatalf("%v, and there is an arrangement at %g", err, want)
			}
			return
		}
		if !obeys(q, p.Column) || p.Cost != want || costOf(q, p.Column) != want || !p.Optimal || p.Bound != want {
			t.Fatalf("%+v obeys: %v; least cost is %g", p, obeys(q, p.Column), want)
		}
	})
}

// With few steps the bound is still a bound, and what is found still obeys.
func TestArrangeStopsHonestly(t *testing.T) {
	early := 0
	for seed := range 400 {
		q := rapid.Custom(drawArrangement).Example(seed)
		q.Steps = 1 + seed%4
		p, err := Arrange(q)
		want := bruteArrange(q)
		if errors.Is(err, ErrNotFound) {
			early++
			continue
		}
		if err != nil {
			if !math.IsInf(want, 1) {
				t.Fatal(err, want)
			}
			continue
		}
		if !p.Optimal {
			early++
		}
		if !obeys(q, p.Column) || p.Bound > want || p.Cost < want || p.Optimal != (p.Bound == p.Cost) || p.Steps > q.Steps ||
			p.Gap() != p.Cost-p.Bound {
			t.Fatalf("%+v; least cost is %g", p, want)
		}
	}
	if early == 0 {
		t.Error("no search ended early")
	}
}

// crossings counts 3 for each pair of rows whose columns lie in the other order.
func crossings(r1, c1, r2, c2 int) float64 {
	if (r1 < r2) != (c1 < c2) {
		return 3
	}
	return 0
}

func TestDisturbances(t *testing.T) {
	missed, all := 0, 0
	for seed := range 400 {
		q := rapid.Custom(drawArrangement).Example(seed)
		q.Disturb = crossings
		p, err := Arrange(q)
		if err != nil {
			continue
		}
		want := bruteArrange(q)
		if !obeys(q, p.Column) || p.Cost != costOf(q, p.Column) || p.Cost < want || p.Bound > want ||
			p.Optimal != (p.Cost == p.Bound) {
			t.Fatalf("%+v; least cost is %g", p, want)
		}
		if all++; p.Cost > want {
			missed++
		}
	}
	t.Logf("%d of %d not least", missed, all)
	if missed*20 > all || all < 100 {
		t.Errorf("%d of %d not least", missed, all)
	}
}

func TestArrangeErrors(t *testing.T) {
	cost := [][]float64{{1, 2, 3, 4}, {1, 2, 3, 4}, {1, 2, 3, 4}}
	line := [][]int{{0, 1, 2, 3}}
	var ribbon *RibbonError
	var short *ShortError
	var shape *ShapeError
	var fix *FixError
	for name, test := range map[string]struct {
		q  Arrangement
		is func(error) bool
	}{
		"row twice": {
			Arrangement{Cost: cost, Lines: line, Ribbons: []Ribbon{{Rows: []int{0, 1}}, {Rows: []int{1, 2}}}},
			func(err error) bool { return errors.As(err, &ribbon) && ribbon.Ribbon == 1 },
		},
		"line too short": {
			Arrangement{Cost: cost, Lines: [][]int{{0, 1}, {2, 3}}, Ribbons: []Ribbon{{Rows: []int{0, 1, 2}}}},
			func(err error) bool { return errors.As(err, &ribbon) },
		},
		"column twice": {
			Arrangement{Cost: cost, Lines: [][]int{{0, 1}, {1, 2}}},
			func(err error) bool { return errors.Is(err, ErrColumn) },
		},
		"rows alone": {
			Arrangement{Cost: [][]float64{{1, inf}, {2, inf}}},
			func(err error) bool { return errors.As(err, &short) && short.Short == 1 },
		},
		"together": {
			Arrangement{Cost: [][]float64{{1, 1, 1}, {1, 1, 1}, {inf, 1, inf}}, Lines: [][]int{{0, 1, 2}}, Ribbons: []Ribbon{{Rows: []int{0, 1}}}},
			func(err error) bool { return errors.Is(err, ErrNoRoom) },
		},
		"fixed list": {
			Arrangement{Cost: cost, Fixed: []int{0}},
			func(err error) bool { return errors.As(err, &shape) },
		},
		"fixed twice": {
			Arrangement{Cost: cost, Fixed: []int{0, 0, None}},
			func(err error) bool { return errors.As(err, &fix) },
		},
	} {
		if p, err := Arrange(test.q); err == nil || !test.is(err) {
			t.Errorf("%s: %+v, %v", name, p, err)
		} else {
			t.Logf("%s: %v", name, err)
		}
	}
}
