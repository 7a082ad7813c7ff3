package chain

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"

	"knobwright/internal/solve/tour"
	"knobwright/internal/thorough"

	"pgregory.net/rapid"
)

// drawProblem draws a question of up to most terminals; coarse places, so that ties and coincident points are
// common, and now and then wires that may not go.
func drawProblem(t *rapid.T, fewest, most, roots int) Problem {
	p := Problem{
		Terminals: rapid.IntRange(fewest, most).Draw(t, "n"),
		Roots:     make([]Root, rapid.IntRange(1, roots).Draw(t, "roots")),
		Shape:     rapid.SampledFrom([]Shape{Path, Ring, Tree}).Draw(t, "shape"),
		Capacity:  rapid.IntRange(0, 8).Draw(t, "capacity"),
		Degree:    rapid.SampledFrom([]int{0, 0, 1, 2, 3, 4}).Draw(t, "degree"),
	}
	if p.Shape == Ring && p.Degree == 1 {
		p.Degree = 2
	}
	for r := range p.Roots {
		p.Roots[r].Branches = rapid.IntRange(0, 3).Draw(t, "branches")
	}
	if rapid.Bool().Draw(t, "loads") {
		top := 3
		if p.Capacity > 0 {
			top = min(top, p.Capacity)
		}
		p.Load = rapid.SliceOfN(rapid.IntRange(0, top), p.Terminals, p.Terminals).Draw(t, "load")
	}
	side := rapid.SampledFrom([]int{3, 20, 1000}).Draw(t, "side")
	nodes := p.Terminals + len(p.Roots)
	points := make([]Point, nodes)
	for i := range points {
		points[i] = Point{float64(rapid.IntRange(0, side).Draw(t, "x")), float64(rapid.IntRange(0, side).Draw(t, "y"))}
	}
	euclid := Euclid(points)
	forbidden := 0
	if rapid.IntRange(0, 3).Draw(t, "forbid") == 0 {
		forbidden = 25
	}
	lot := random(rapid.Uint64().Draw(t, "lot"))
	no := map[[2]int]bool{}
	for j := range nodes {
		for i := range j {
			no[[2]int{i, j}] = lot.below(100) < forbidden
		}
	}
	p.Cost = func(i, j int) float64 {
		if no[[2]int{i, j}] {
			return math.Inf(1)
		}
		return euclid(i, j)
	}
	return p
}

func alike(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, math.Abs(a), math.Abs(b)) }

// Up to five terminals, against every way to hang them.
func TestAgainstAllWays(t *testing.T) {
	refused := 0
	count := thorough.Of(1000, 200)
	for seed := range count {
		p := rapid.Custom(func(t *rapid.T) Problem { return drawProblem(t, 1, 5, 2) }).Example(seed)
		want := least(p)
		plan, err := Solve(p, 0)
		if err != nil {
			var room *RoomError
			var reach *ReachError
			if !errors.As(err, &room) && !errors.As(err, &reach) && !errors.Is(err, ErrNoRoom) {
				t.Fatal(err)
			}
			if refused++; !math.IsInf(want, 1) {
				t.Fatalf("%v; there is an answer at %g", err, want)
			}
			continue
		}
		if err := Check(p, plan); err != nil {
			t.Fatalf("%v: %+v", err, plan)
		}
		if !plan.Exact || !alike(plan.Cost, want) {
			t.Fatalf("cost %g, least %g: %+v", plan.Cost, want, plan)
		}
	}
	if refused == 0 {
		t.Error("no question was without an answer")
	}
}

// The search and the bound, against the exact answer: up to ten terminals.
func TestSearchAgainstExact(t *testing.T) {
	all, missed, compared, worst, bounds := 0, 0, 0, 0.0, 0.0
	count := thorough.Of(400, 100)
	for seed := range count {
		p := rapid.Custom(func(t *rapid.T) Problem { return drawProblem(t, 3, exactTerminals, 3) }).Example(seed)
		q, err := newQuestion(p)
		if err != nil {
			continue
		}
		groups, ok := q.exact()
		s := newSearch(q)
		if !s.start() {
			continue
		}
		s.run(int(Usual)*50, 0)
		found := q.plan(s.copy())
		if !ok {
			if found.Cost < q.barred {
				t.Fatalf("found %+v; the table says there is none", found)
			}
			continue
		}
		want := q.plan(groups).Cost
		if found.Cost >= q.barred {
			missed++
			all++
			continue
		}
		if err := Check(p, found); err != nil {
			t.Fatalf("%v: %+v", err, found)
		}
		if all++; !alike(found.Cost, want) {
			if missed++; found.Cost < want {
				t.Fatalf("found %g, least %g", found.Cost, want)
			}
			worst = max(worst, found.Cost/want-1)
		}
		bound := q.bound(100)
		if bound > want && !alike(bound, want) {
			t.Fatalf("bound %g, least %g", bound, want)
		}
		bound = q.throughBound(bound, found.Cost, 5_000_000)
		if bound > want && !alike(bound, want) {
			t.Fatalf("second bound %g, least %g", bound, want)
		}
		if want > 0 {
			compared++
			bounds += bound / want
		}
	}
	t.Logf("%d of %d not least, at most %.2f %% above; bounds at %.1f %% of the least", missed, all, 100*worst,
		100*bounds/float64(compared))
	if missed*50 > all {
		t.Errorf("%d of %d not least", missed, all)
	}
}

// Answers of any size obey, cost what they say, and come out the same again.
func TestObeys(t *testing.T) {
	lost, all := 0, 0
	for seed := range 100 {
		p := rapid.Custom(func(t *rapid.T) Problem { return drawProblem(t, 0, 40, 4) }).Example(seed)
		plan, err := Solve(p, 2)
		again, _ := Solve(p, 2)
		if !reflect.DeepEqual(plan, again) {
			t.Fatal("another answer to the same question")
		}
		all++
		if err != nil {
			if errors.Is(err, ErrNotFound) {
				lost++
			}
			continue
		}
		if err := Check(p, plan); err != nil {
			t.Fatalf("%v: %+v", err, plan)
		}
	}
	t.Logf("%d of %d not found", lost, all)
	if lost*20 > all {
		t.Errorf("%d of %d not found", lost, all)
	}
}

// Renumbering the terminals changes nothing but the numbers, and all costs may be in any unit.
func TestRenumbering(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 1, 7, 2)
		a, errA := Solve(p, 0)
		order := make([]int, p.Terminals)
		for v := range order {
			order[v] = v
		}
		order = rapid.Permutation(order).Draw(t, "order")
		node := func(i int) int {
			if i < p.Terminals {
				return order[i]
			}
			return i
		}
		q := p
		q.Load = nil
		for v := range p.Load {
			q.Load = append(q.Load, p.Load[order[v]])
		}
		q.Cost = func(i, j int) float64 {
			return 8 * p.Cost(min(node(i), node(j)), max(node(i), node(j)))
		}
		b, errB := Solve(q, 0)
		if (errA == nil) != (errB == nil) || !alike(8*a.Cost, b.Cost) {
			t.Fatalf("%g, %v and %g, %v", a.Cost, errA, b.Cost, errB)
		}
	})
}

// Without limits the least tree is the spanning tree over all terminals with the roots as one node, at any size; the
// bound meets it.
func TestSpanningTree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 11, 40, 3)
		p.Shape, p.Degree, p.Capacity, p.Load = Tree, 0, 0, nil
		for r := range p.Roots {
			p.Roots[r].Branches = 0
		}
		plan, err := Solve(p, Usual)
		if err != nil {
			var reach *ReachError
			if !errors.As(err, &reach) {
				t.Fatal(err)
			}
			return
		}
		// Kruskal's way.
		type edge struct {
			cost float64
			v, u int
		}
		var edges []edge
		for v := range p.Terminals {
			for u := range v {
				edges = append(edges, edge{p.Cost(u, v), v, u})
			}
			for r := range p.Roots {
				edges = append(edges, edge{p.Cost(v, p.Terminals+r), v, p.Terminals})
			}
		}
		slices.SortFunc(edges, func(a, b edge) int {
			if a.cost < b.cost {
				return -1
			} else if a.cost > b.cost {
				return 1
			}
			return 0
		})
		part := make([]int, p.Terminals+1)
		for v := range part {
			part[v] = v
		}
		want := 0.0
		for _, e := range edges {
			if a, b := part[e.v], part[e.u]; a != b {
				want += e.cost
				for v := range part {
					if part[v] == a {
						part[v] = b
					}
				}
			}
		}
		if !plan.Exact || !alike(plan.Cost, want) {
			t.Fatalf("cost %g, bound %g; the spanning tree costs %g", plan.Cost, plan.Bound, want)
		}
	})
}

// One long chain is a walk, which another package looks for in its own way.
func TestLongChain(t *testing.T) {
	for _, n := range []int{40, 150} {
		p := scatter(3, n, 1)
		p.Roots[0].Branches = 1
		plan, err := Solve(p, 0)
		if err != nil || Check(p, plan) != nil {
			t.Fatal(err, Check(p, plan))
		}
		walk, err := tour.Open(n+1, tour.Cost(p.Cost), n, tour.Free)
		if err != nil {
			t.Fatal(err)
		}
		if best := walk.Solve(tour.Thorough).Length; plan.Cost > 1.01*best {
			t.Errorf("%d terminals: %g; a walk of %g is known", n, plan.Cost, best)
		}
	}
}

func TestExponential(t *testing.T) {
	chance := random(1)
	const draws = 200_000
	sum, above := 0.0, 0
	for range draws {
		x := chance.exponential()
		if sum += x; x > 1 {
			above++
		}
		if x < 0 || math.IsNaN(x) {
			t.Fatal(x)
		}
	}
	if mean := sum / draws; math.Abs(mean-1) > 0.01 {
		t.Errorf("mean %g", mean)
	}
	if share := float64(above) / draws; math.Abs(share-math.Exp(-1)) > 0.005 {
		t.Errorf("%g above 1, want %g", share, math.Exp(-1))
	}
}
