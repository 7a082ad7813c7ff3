package tour

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawPoints draws places for n items; coarse ones, so that ties, lines and coincident points are common.
func drawPoints(t *rapid.T, n int) []Point {
	side := rapid.SampledFrom([]int{3, 20, 1000}).Draw(t, "side")
	points := make([]Point, n)
	for i := range points {
		points[i].X = float64(rapid.IntRange(0, side).Draw(t, "x"))
		points[i].Y = float64(rapid.IntRange(0, side).Draw(t, "y"))
	}
	return points
}

// drawGroups deals items 1..n-1 to groups and leaves item 0 as home.
func drawGroups(t *rapid.T, n int) [][]int {
	groups := make([][]int, rapid.IntRange(1, 6).Draw(t, "groups"))
	for i := 1; i < n; i++ {
		g := rapid.IntRange(0, len(groups)-1).Draw(t, "group")
		groups[g] = append(groups[g], i)
	}
	return groups
}

// drawProblem draws any kind of problem, and says what its answers must obey besides visiting all n items.
func drawProblem(t *rapid.T) (p *Problem, n int, obeys func(order []int) bool) {
	n = rapid.IntRange(1, 60).Draw(t, "n")
	cost := Euclid(drawPoints(t, n))
	item := rapid.IntRange(Free, n-1)
	obeys = func([]int) bool { return true }
	var err error
	switch rapid.SampledFrom([]string{"closed", "open", "any order", "given order"}).Draw(t, "kind") {
	case "closed":
		p, err = Closed(n, cost)
	case "open":
		start, end := item.Draw(t, "start"), item.Draw(t, "end")
		if start == end && n > 1 {
			end = Free
		}
		p, err = Open(n, cost, start, end)
		obeys = func(o []int) bool {
			return (start == Free || o[0] == start) && (end == Free || o[n-1] == end)
		}
	case "any order":
		groups := drawGroups(t, n)
		p, err = Clustered(groups, cost, 0, AnyOrder)
		obeys = func(o []int) bool {
			return o[0] == 0 && len(blocks(o, groups)) == len(slices.DeleteFunc(groups, empty))
		}
	case "given order":
		groups := drawGroups(t, n)
		p, err = Clustered(groups, cost, 0, GivenOrder)
		obeys = func(o []int) bool {
			b := blocks(o, groups)
			return o[0] == 0 && slices.IsSorted(b) && len(b) == len(slices.DeleteFunc(groups, empty))
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	return p, n, obeys
}

func empty(group []int) bool { return len(group) == 0 }

// blocks lists the groups that a walk from home passes through, once for each time it enters one.
func blocks(order []int, groups [][]int) (list []int) {
	for _, item := range order[1:] {
		g := slices.IndexFunc(groups, func(g []int) bool { return slices.Contains(g, item) })
		if len(list) == 0 || list[len(list)-1] != g {
			list = append(list, g)
		}
	}
	return list
}

func TestRouteProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, n, obeys := drawProblem(t)
		r := p.Solve(Usual)
		if !slices.Equal(slices.Sorted(slices.Values(r.Order)), count(n)) {
			t.Fatalf("not every item of %d once: %v", n, r.Order)
		}
		if !obeys(r.Order) {
			t.Fatalf("ends or groups not obeyed: %v", r.Order)
		}
		if r.Length != p.Length(r.Order) {
			t.Fatalf("length %g stated, %g walked", r.Length, p.Length(r.Order))
		}
		if again := p.Solve(Usual); !slices.Equal(again.Order, r.Order) {
			t.Fatalf("two answers: %v, %v", r.Order, again.Order)
		}
		first := p.route(p.nearestFirst(), false)
		if !obeys(first.Order) {
			t.Fatalf("ends or groups not obeyed at first: %v", first.Order)
		}
		if r.Length > first.Length*(1+1e-12) {
			t.Fatalf("length %g, going to the nearest first %g", r.Length, first.Length)
		}
		if bound := p.LowerBound(30); bound > r.Length {
			t.Fatalf("bound %g above length %g", bound, r.Length)
		}
	})
}

// A tour of moved, turned, mirrored or renumbered points is as long, up to what the search misses.
func TestMotions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "n")
		points := drawPoints(t, n)
		sin, cos := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "turn"))
		shift := rapid.Float64Range(-1e4, 1e4).Draw(t, "shift")
		hand := rapid.SampledFrom([]float64{1, -1}).Draw(t, "hand")
		number := rapid.Permutation(count(n)).Draw(t, "number")
		moved := make([]Point, n)
		for i, p := range points {
			moved[number[i]] = Point{cos*p.X - sin*p.Y + shift, hand * (sin*p.X + cos*p.Y - shift)}
		}
		p, err := Closed(n, Euclid(points))
		q, err2 := Closed(n, Euclid(moved))
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		a, b := p.Solve(Usual), q.Solve(Usual)
		tolerance := 0.02
		if a.Exact {
			tolerance = 1e-9
		}
		if math.Abs(a.Length-b.Length) > tolerance*a.Length {
			t.Fatalf("length %g before the motion, %g after", a.Length, b.Length)
		}
		// The same walk, carried along, has the same length.
		for i, item := range a.Order {
			a.Order[i] = number[item]
		}
		if got := q.Length(a.Order); math.Abs(got-a.Length) > 1e-9*(a.Length+math.Abs(shift)) {
			t.Fatalf("walk of %g became %g", a.Length, got)
		}
	})
}

// nearestFirst is the tour that the search starts from, with all nodes in it.
func (p *Problem) nearestFirst() (tour []int32) {
	_, stands := p.distinct()
	for _, v := range p.first(stands) {
		tour = append(tour, stands[v]...)
	}
	return tour
}
