package chain

import (
	"errors"
	"math"
	"testing"
)

// line is n terminals and some roots on a line, 10 apart, roots first at 0, then at the far end.
func line(n, roots int) Problem {
	points := make([]Point, n+roots)
	for i := range n {
		points[i].X = float64(10 * (i + 1))
	}
	for r := 1; r < roots; r++ {
		points[n+r].X = float64(10 * (n + 1))
	}
	return Problem{Terminals: n, Roots: make([]Root, roots), Cost: Euclid(points)}
}

// Answers that can be worked out by hand, small and beyond the exact size.
func TestByHand(t *testing.T) {
	for _, test := range []struct {
		name   string
		n      int
		roots  int
		change func(p *Problem)
		cost   float64
	}{
		{"nothing", 0, 1, func(*Problem) {}, 0},
		{"nothing, no root", 0, 0, func(*Problem) {}, 0},
		{"path", 20, 1, func(*Problem) {}, 200},
		{"ring", 20, 1, func(p *Problem) { p.Shape = Ring }, 400},
		{"tree", 20, 1, func(p *Problem) { p.Shape = Tree }, 200},
		{"two roots", 20, 2, func(*Problem) {}, 200},
		{"two roots, ten each", 20, 2, func(p *Problem) { p.Capacity = 10 }, 200},
		{"halves", 20, 1, func(p *Problem) { p.Capacity = 10 }, 300},
		{"star", 12, 1, func(p *Problem) { p.Degree = 1; p.Shape = Tree }, 780},
		{"star by capacity", 12, 1, func(p *Problem) { p.Capacity = 1 }, 780},
		{"all at one place", 12, 1, func(p *Problem) { p.Cost = func(int, int) float64 { return 0 } }, 0},
		{"one", 1, 1, func(*Problem) {}, 10},
		{"one ring", 1, 1, func(p *Problem) { p.Shape = Ring }, 20},
	} {
		p := line(test.n, test.roots)
		test.change(&p)
		plan, err := Solve(p, 0)
		if err != nil || !alike(plan.Cost, test.cost) {
			t.Errorf("%s: %+v, %v; want %g", test.name, plan, err, test.cost)
		}
		if err := Check(p, plan); err != nil {
			t.Errorf("%s: %v", test.name, err)
		}
	}
}

func TestErrors(t *testing.T) {
	var cost *CostError
	var load *LoadError
	var room *RoomError
	var reach *ReachError
	for name, test := range map[string]struct {
		change func(p *Problem)
		is     func(error) bool
		says   string
	}{
		"negative": {func(p *Problem) { p.Terminals = -1 }, func(err error) bool { return errors.Is(err, ErrTerminals) }, ""},
		"loads":    {func(p *Problem) { p.Load = []int{1} }, func(err error) bool { return errors.Is(err, ErrTerminals) }, ""},
		"no root":  {func(p *Problem) { p.Roots = nil }, func(err error) bool { return errors.Is(err, ErrRoots) }, ""},
		"branches": {func(p *Problem) { p.Roots[0].Branches = -1 }, func(err error) bool { return errors.Is(err, ErrRoots) }, ""},
		"capacity": {func(p *Problem) { p.Capacity = -1 }, func(err error) bool { return errors.Is(err, ErrLimit) }, ""},
		"ring of one wire": {
			func(p *Problem) { p.Shape, p.Degree = Ring, 1 },
			func(err error) bool { return errors.Is(err, ErrLimit) }, "",
		},
		"cost": {
			func(p *Problem) { p.Cost = func(int, int) float64 { return math.NaN() } },
			func(err error) bool { return errors.As(err, &cost) }, "",
		},
		"heavy": {
			func(p *Problem) { p.Load, p.Capacity = []int{1, 2, 3, 7, 1, 1}, 4 },
			func(err error) bool { return errors.As(err, &load) },
			"terminal 3 has a load of 7, and a branch takes 4 at most",
		},
		"light": {
			func(p *Problem) { p.Load = []int{1, 2, -3, 7, 1, 1} },
			func(err error) bool { return errors.As(err, &load) },
			"terminal 2 has a load of -3; it cannot be negative",
		},
		"room": {
			func(p *Problem) { p.Capacity, p.Roots[0].Branches = 2, 2 },
			func(err error) bool { return errors.As(err, &room) },
			"the terminals have a load of 6, and all branches together take 4: 2 too little",
		},
		"reach": {
			func(p *Problem) {
				p.Cost = func(i, j int) float64 {
					if i == 5 || j == 5 {
						return math.Inf(1)
					}
					return 1
				}
			},
			func(err error) bool { return errors.As(err, &reach) },
			"no permitted wires lead from a root to terminals [5]",
		},
		"packing": {
			func(p *Problem) { p.Load, p.Capacity, p.Roots[0].Branches = []int{4, 4, 4, 0, 0, 0}, 6, 2 },
			func(err error) bool { return errors.Is(err, ErrNoRoom) }, "",
		},
	} {
		p := line(6, 1)
		test.change(&p)
		plan, err := Solve(p, 0)
		if err == nil || !test.is(err) || test.says != "" && err.Error() != test.says {
			t.Errorf("%s: %+v, %v", name, plan, err)
		}
	}
}

// Check must find every kind of fault, or it proves nothing.
func TestCheckFindsFaults(t *testing.T) {
	p := line(8, 2)
	p.Capacity, p.Degree = 4, 2
	fresh := func() Plan {
		plan, err := Solve(p, 0)
		if err != nil || Check(p, plan) != nil {
			t.Fatal(err, Check(p, plan))
		}
		return plan
	}
	for name, spoil := range map[string]func(plan *Plan, p *Problem){
		"cost":        func(plan *Plan, _ *Problem) { plan.Cost++ },
		"branch cost": func(plan *Plan, _ *Problem) { plan.Branches[0].Cost++ },
		"load":        func(plan *Plan, _ *Problem) { plan.Branches[0].Load-- },
		"missing":     func(plan *Plan, _ *Problem) { plan.Branches = plan.Branches[1:] },
		"twice":       func(plan *Plan, _ *Problem) { plan.Branches = append(plan.Branches, plan.Branches[0]) },
		"other root":  func(plan *Plan, _ *Problem) { plan.Branches[0].Root = 1 },
		"no root":     func(plan *Plan, _ *Problem) { plan.Branches[0].Root = 2 },
		"wire":        func(plan *Plan, _ *Problem) { plan.Branches[0].Wires[1].From = 5 },
		"fork":        func(plan *Plan, _ *Problem) { plan.Branches[0].Wires[2].From = plan.Branches[0].Wires[0].To },
		"bound":       func(plan *Plan, _ *Problem) { plan.Bound = plan.Cost + 1 },
		"capacity":    func(_ *Plan, p *Problem) { p.Capacity = 3 },
		"degree":      func(_ *Plan, p *Problem) { p.Degree = 1 },
		"ring":        func(_ *Plan, p *Problem) { p.Shape = Ring },
		"forbidden":   func(_ *Plan, p *Problem) { p.Cost = func(int, int) float64 { return math.Inf(1) } },
		"branches": func(plan *Plan, p *Problem) {
			p.Roots = []Root{{Branches: 1}, {}}
			plan.Branches[1].Root = 0
			plan.Branches[1].Wires[0].From = 8
		},
	} {
		plan, q := fresh(), p
		if spoil(&plan, &q); Check(q, plan) == nil {
			t.Errorf("%s: not found", name)
		}
	}
}

// What a terminal takes is kept where it hurts: a hub with many near neighbours.
func TestDegree(t *testing.T) {
	points := []Point{{0, 0}}
	for k := range 16 {
		points = append(points, Point{10 * math.Cos(float64(k)*math.Pi/8), 10 * math.Sin(float64(k)*math.Pi/8)})
	}
	p := Problem{Terminals: 16, Roots: []Root{{Branches: 1}}, Shape: Tree}
	p.Cost = func(i, j int) float64 { // terminal 0 is the hub; going round is dear
		if c := Euclid(points)(i, j); i == 0 {
			return c
		} else {
			return 5 * c
		}
	}
	last := 0.0
	for _, degree := range []int{0, 16, 8, 5, 4, 3, 2} {
		p.Degree = degree
		plan, err := Solve(p, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(p, plan); err != nil {
			t.Errorf("degree %d: %v", degree, err)
		}
		if plan.Cost < last-1e-9 {
			t.Errorf("degree %d costs %g, less than %g with more wires allowed", degree, plan.Cost, last)
		}
		last = plan.Cost
	}
}
