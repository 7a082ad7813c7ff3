package tour

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
)

// must lets a test write must(Closed(n, cost))(t).
func must(p *Problem, err error) func(testing.TB) *Problem {
	return func(t testing.TB) *Problem {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
}

func checkPermutation(t testing.TB, order []int, n int) {
	t.Helper()
	sorted := slices.Sorted(slices.Values(order))
	if !slices.Equal(sorted, count(n)) {
		t.Fatalf("not every item of %d once: %v", n, order)
	}
}

func checkRoute(t testing.TB, p *Problem, r Route, n int) {
	t.Helper()
	checkPermutation(t, r.Order, n)
	if got := p.Length(r.Order); got != r.Length {
		t.Fatalf("length %g stated, %g walked", r.Length, got)
	}
}

// scatter places n points in a square of the given side.
func scatter(seed, n int, side float64) []Point {
	chance := random(seed)
	coordinate := func() float64 { return side * float64(chance.below(1<<30)) / (1 << 30) }
	points := make([]Point, n)
	for i := range points {
		points[i] = Point{coordinate(), coordinate()}
	}
	return points
}

// permutations calls f with every order of items.
func permutations(items []int, f func([]int)) {
	var rec func(k int)
	rec = func(k int) {
		if k == len(items) {
			f(items)
			return
		}
		for i := k; i < len(items); i++ {
			items[k], items[i] = items[i], items[k]
			rec(k + 1)
			items[k], items[i] = items[i], items[k]
		}
	}
	rec(0)
}

func close(a, b float64) bool { return math.Abs(a-b) <= 1e-9*(1+math.Abs(a)+math.Abs(b)) }

// Every kind of walk, up to 8 items, against all permutations.
func TestExactAgainstAllPermutations(t *testing.T) {
	for n := 1; n <= 7; n++ {
		points := scatter(n, n, 100)
		cost := Euclid(points)
		for start := Free; start < n; start++ {
			for end := Free; end < n; end++ {
				if start == end && start != Free && n > 1 {
					continue
				}
				p := must(Open(n, cost, start, end))(t)
				r := p.Solve(0)
				checkRoute(t, p, r, n)
				best := math.Inf(1)
				permutations(count(n), func(o []int) {
					if (start == Free || o[0] == start) && (end == Free || o[n-1] == end) {
						best = min(best, p.Length(o))
					}
				})
				if !r.Exact || !close(r.Length, best) ||
					(start != Free && r.Order[0] != start) || (end != Free && r.Order[n-1] != end) {
					t.Errorf("%d items from %d to %d: %v, best %g", n, start, end, r, best)
				}
			}
		}
	}
	for n := 1; n <= 8; n++ {
		p := must(Closed(n, Euclid(scatter(n+50, n, 100))))(t)
		r := p.Solve(0)
		checkRoute(t, p, r, n)
		best := math.Inf(1)
		permutations(count(n), func(o []int) { best = min(best, p.Length(o)) })
		if !r.Exact || !close(r.Length, best) || r.Order[0] != 0 {
			t.Errorf("closed, %d items: %v, best %g", n, r, best)
		}
	}
}

// The search, made to run on problems small enough for the exact method, must find the same length.
func TestSearchAgainstExact(t *testing.T) {
	missed, all := 0, 0
	for seed := range 40 {
		points := scatter(seed+100, 12, 100)
		for kind, p := range map[string]*Problem{
			"closed": must(Closed(12, Euclid(points)))(t),
			"open":   must(Open(12, Euclid(points), 3, Free))(t),
			"ends":   must(Open(12, Euclid(points), 3, 5))(t),
			"groups": must(Clustered([][]int{{0, 1, 2, 3}, {4, 5, 6}, {7, 8, 9, 10, 11}}, Euclid(points), Free, AnyOrder))(t),
			"listed": must(Clustered([][]int{{0, 1, 2, 3}, {4, 5, 6}, {7, 8, 9, 10}}, Euclid(points), 11, GivenOrder))(t),
		} {
			exact := p.Solve(0)
			rest, stands := p.distinct()
			s := newSearch(rest, p.first(stands))
			s.run(10 * p.n)
			found := p.route(s.tour, false)
			checkRoute(t, p, found, 12)
			all++
			if found.Length < exact.Length && !close(found.Length, exact.Length) {
				t.Errorf("%s %d: found %g, below the exact %g", kind, seed, found.Length, exact.Length)
			}
			if !close(found.Length, exact.Length) {
				missed++
				t.Logf("%s %d: found %g, exact %g", kind, seed, found.Length, exact.Length)
			}
		}
	}
	if missed*50 > all {
		t.Errorf("%d of %d not optimal", missed, all)
	}
}

// A grid of unit squares with an even side is walked in unit steps; points on a circle in their order.
func TestKnownShapes(t *testing.T) {
	for _, g := range []struct{ wide, high int }{{2, 9}, {4, 4}, {4, 5}, {6, 7}, {10, 10}, {8, 13}} {
		var points []Point
		for x := range g.wide {
			for y := range g.high {
				points = append(points, Point{float64(x), float64(y)})
			}
		}
		n := g.wide * g.high
		p := must(Closed(n, Euclid(points)))(t)
		r := p.Solve(Thorough)
		checkRoute(t, p, r, n)
		if !close(r.Length, float64(n)) {
			t.Errorf("grid %d x %d: length %g, want %d", g.wide, g.high, r.Length, n)
		}
		if bound := p.LowerBound(0); bound > float64(n) || bound < 0.99*float64(n) {
			t.Errorf("grid %d x %d: bound %g, want just below %d", g.wide, g.high, bound, n)
		}
	}
	for _, n := range []int{5, 12, 13, 40, 101} {
		points := make([]Point, n)
		for i := range points { // listed out of order
			sin, cos := math.Sincos(2 * math.Pi * float64(i*3%n) / float64(n))
			if n%3 == 0 {
				sin, cos = math.Sincos(2 * math.Pi * float64(i) / float64(n))
			}
			points[i] = Point{70 * cos, 70 * sin}
		}
		side := 140 * math.Sin(math.Pi/float64(n))
		p := must(Closed(n, Euclid(points)))(t)
		r := p.Solve(0)
		checkRoute(t, p, r, n)
		if want := float64(n) * side; !close(r.Length, want) {
			t.Errorf("circle of %d: length %g, want %g", n, r.Length, want)
		}
		if bound := p.LowerBound(0); math.Abs(r.Length-bound) > 1e-6*r.Length {
			t.Errorf("circle of %d: bound %g, want %g", n, bound, r.Length)
		}
		p = must(Open(n, Euclid(points), 2, Free))(t)
		if r, want := p.Solve(0), float64(n-1)*side; !close(r.Length, want) || r.Order[0] != 2 {
			t.Errorf("open circle of %d: %v, want %g", n, r, want)
		}
	}
}

func TestDegenerate(t *testing.T) {
	same := func(_, _ int) float64 { return 0 }
	line := func(i, j int) float64 { return math.Abs(float64(i*7%40 - j*7%40)) }
	tests := []struct {
		name   string
		p      *Problem
		err    error
		n      int
		length float64
	}{}
	add := func(name string, n int, length float64) func(*Problem, error) {
		return func(p *Problem, err error) {
			tests = append(tests, struct {
				name   string
				p      *Problem
				err    error
				n      int
				length float64
			}{name, p, err, n, length})
		}
	}
	add("no item, closed", 0, 0)(Closed(0, nil))
	add("no item, open", 0, 0)(Open(0, nil, Free, Free))
	add("no group", 0, 0)(Clustered(nil, nil, Free, AnyOrder))
	add("empty groups", 0, 0)(Clustered([][]int{{}, nil}, nil, Free, GivenOrder))
	add("home alone", 1, 0)(Clustered([][]int{{}}, nil, 0, GivenOrder))
	add("one item, closed", 1, 0)(Closed(1, same))
	add("one item, open", 1, 0)(Open(1, same, 0, 0))
	add("two items, closed", 2, 14)(Closed(2, line))
	add("two items, open", 2, 7)(Open(2, line, 1, Free))
	add("three items, open", 3, 14)(Open(3, line, 0, 2))
	for _, n := range []int{11, 40} {
		add("one place, closed", n, 0)(Closed(n, same))
		add("one place, open", n, 0)(Open(n, same, 3, 2))
		add("one place, one end", n, 0)(Open(n, same, Free, 2))
		add("one place, no end", n, 0)(Open(n, same, Free, Free))
		add("one place, groups", n, 0)(Clustered([][]int{count(n)[5:], count(n)[1:5]}, same, 0, GivenOrder))
	}
	add("on a line, closed", 40, 78)(Closed(40, line))
	add("on a line, from its end", 40, 39)(Open(40, line, 0, Free))
	add("on a line, anywhere", 40, 39)(Open(40, line, Free, Free))
	for _, test := range tests {
		if test.err != nil {
			t.Errorf("%s: %v", test.name, test.err)
			continue
		}
		r := test.p.Solve(0)
		checkRoute(t, test.p, r, test.n)
		if r.Length != test.length {
			t.Errorf("%s: length %g, want %g", test.name, r.Length, test.length)
		}
		if bound := test.p.LowerBound(0); bound > r.Length || bound < 0 {
			t.Errorf("%s: bound %g above length %g", test.name, bound, r.Length)
		}
	}
}

// Many items at few places are walked like one at each place.
func TestCoincidentItems(t *testing.T) {
	for seed := range 20 {
		places := scatter(seed, 4+seed%9, 100)
		for _, times := range []int{2, 4, 10} {
			one := must(Closed(len(places), Euclid(places)))(t).Solve(0)
			p := must(Closed(times*len(places), Euclid(slices.Repeat(places, times))))(t)
			many := p.Solve(0)
			checkRoute(t, p, many, times*len(places))
			if !one.Exact || !close(one.Length, many.Length) {
				t.Errorf("%d at each of %d places: %g, one at each: %g", times, len(places), many.Length, one.Length)
			}
		}
	}
	// Beyond the exact method, and with an end and groups that set some of them apart.
	places := scatter(30, 30, 100)
	three := slices.Repeat(places, 3)
	for name, pair := range map[string][2]*Problem{
		"closed": {must(Closed(30, Euclid(places)))(t), must(Closed(90, Euclid(three)))(t)},
		"open":   {must(Open(30, Euclid(places), 4, 7))(t), must(Open(90, Euclid(three), 34, 67))(t)},
		"groups": {
			must(Clustered([][]int{count(30)[1:10], count(30)[10:]}, Euclid(places), 0, GivenOrder))(t),
			must(Clustered([][]int{
				slices.Concat(count(10)[1:], count(40)[30:], count(70)[60:]),
				slices.Concat(count(30)[10:], count(60)[40:], count(90)[70:]),
			}, Euclid(three), 0, GivenOrder))(t),
		},
	} {
		one, many := pair[0].Solve(Thorough), pair[1].Solve(Thorough)
		checkRoute(t, pair[1], many, 90)
		if math.Abs(one.Length-many.Length) > 0.005*one.Length {
			t.Errorf("%s: three at each place %g, one at each %g", name, many.Length, one.Length)
		}
	}
}

func TestErrors(t *testing.T) {
	bad := func(c float64) Cost {
		return func(i, j int) float64 {
			if i == 1 && j == 3 {
				return c
			}
			return 1
		}
	}
	for _, c := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 2 * MaxCost} {
		_, closed := Closed(5, bad(c))
		_, open := Open(5, bad(c), 0, Free)
		_, groups := Clustered([][]int{{0, 1}, {2, 3}}, bad(c), Free, AnyOrder)
		for _, err := range []error{closed, open, groups} {
			var e *CostError
			if !errors.As(err, &e) || e.I != 1 || e.J != 3 || fmt.Sprint(e.Cost) != fmt.Sprint(c) {
				t.Errorf("cost %g: %v", c, err)
			}
		}
	}
	if _, err := Closed(3, Euclid([]Point{{0, 0}, {math.NaN(), 0}, {1, 1}})); err == nil {
		t.Error("a point that is no point was accepted")
	}
	good := bad(1)
	for _, test := range []struct {
		want error
		got  func() (*Problem, error)
	}{
		{ErrItem, func() (*Problem, error) { return Closed(-1, good) }},
		{ErrItem, func() (*Problem, error) { return Open(-1, good, Free, Free) }},
		{ErrItem, func() (*Problem, error) { return Open(4, good, 4, Free) }},
		{ErrItem, func() (*Problem, error) { return Open(4, good, 0, -2) }},
		{ErrItem, func() (*Problem, error) { return Clustered([][]int{{0, -1}}, good, Free, AnyOrder) }},
		{ErrItem, func() (*Problem, error) { return Clustered([][]int{{0}}, good, -2, AnyOrder) }},
		{ErrTwice, func() (*Problem, error) { return Clustered([][]int{{0, 1}, {2, 0}}, good, Free, AnyOrder) }},
		{ErrEnds, func() (*Problem, error) { return Open(4, good, 2, 2) }},
		{ErrEnds, func() (*Problem, error) { return Clustered([][]int{{0, 1}, {2, 3}}, good, 2, GivenOrder) }},
	} {
		if _, err := test.got(); !errors.Is(err, test.want) {
			t.Errorf("got %v, want %v", err, test.want)
		}
	}
}

func TestExcess(t *testing.T) {
	for _, test := range []struct{ length, bound, want float64 }{
		{102, 100, 0.02}, {100, 100, 0}, {0, 0, 0}, {1, 0, math.Inf(1)},
	} {
		if got := (Route{Length: test.length}).Excess(test.bound); !close(got, test.want) && got != test.want {
			t.Errorf("%g over %g: %g, want %g", test.length, test.bound, got, test.want)
		}
	}
}

func TestBoundAgainstAllPermutations(t *testing.T) {
	for seed := range 30 {
		n := 5 + seed%4
		cost := Euclid(scatter(seed+400, n, 10))
		for kind, p := range map[string]*Problem{
			"closed": must(Closed(n, cost))(t),
			"open":   must(Open(n, cost, 1, Free))(t),
			"ends":   must(Open(n, cost, 1, 2))(t),
			"groups": must(Clustered([][]int{count(n)[:3], count(n)[3:]}, cost, Free, AnyOrder))(t),
		} {
			best := math.Inf(1)
			permutations(count(n), func(o []int) {
				switch kind {
				case "open":
					if o[0] != 1 {
						return
					}
				case "ends":
					if o[0] != 1 || o[n-1] != 2 {
						return
					}
				case "groups":
					if changes(o, 3) > 1 {
						return
					}
				}
				best = min(best, p.Length(o))
			})
			if got := p.ascend(100); got > best || got < 0.5*best {
				t.Errorf("%s, %d items: bound %g, shortest %g", kind, n, got, best)
			}
		}
	}
}

// changes counts how often a walk passes between items below limit and others.
func changes(order []int, limit int) (n int) {
	for i := 1; i < len(order); i++ {
		if (order[i-1] < limit) != (order[i] < limit) {
			n++
		}
	}
	return n
}
