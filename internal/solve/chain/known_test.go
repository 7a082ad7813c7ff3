package chain

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/thorough"
)

// known is a published problem and the least cost known for it.
type known struct {
	name    string
	problem Problem
	value   float64
	proven  bool // that no cheaper answer exists
}

func number(t testing.TB, word string) int {
	t.Helper()
	x, err := strconv.ParseFloat(word, 64)
	if err != nil || x != math.Trunc(x) {
		t.Fatalf("%q is no whole number", word)
	}
	return int(x)
}

func numbers(t testing.TB, name string) []int {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var list []int
	for _, word := range strings.Fields(string(text)) {
		list = append(list, number(t, word))
	}
	return list
}

// values reads the table of a folder below KNOWN_INSTANCES.
func values(t testing.TB, folder string) (path string, rows [][]string) {
	t.Helper()
	root := os.Getenv("KNOWN_INSTANCES")
	if root == "" {
		t.Skip("KNOWN_INSTANCES is not set: published trees and routes are NOT compared")
	}
	path = filepath.Join(root, folder)
	f, err := os.Open(filepath.Join(path, "values.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if rows, err = csv.NewReader(f).ReadAll(); err != nil {
		t.Fatal(err)
	}
	return path, rows[1:]
}

// knownTrees reads capacitated trees of the OR-Library: L. Gouveia (1993), Telecommunication Systems 1, 51-76 (tc, te), and
// Y. Sharaiha, M. Gendreau, G. Laporte, I. Osman (1997), Networks 29, 161-171 (cm). The last node of a matrix is the
// root; some are not quite symmetric, and their lower triangle counts.
func knownTrees(t testing.TB) []known {
	t.Helper()
	path, rows := values(t, "cmst")
	var all []known
	for _, row := range rows {
		n := number(t, row[1])
		p := Problem{Terminals: n, Roots: []Root{{}}, Shape: Tree, Capacity: number(t, row[3])}
		name := ""
		for _, ending := range []string{".TXT", ".txt", ".dat"} {
			if _, err := os.Stat(filepath.Join(path, row[0]+ending)); err == nil {
				name = filepath.Join(path, row[0]+ending)
			}
		}
		list := numbers(t, name)
		if row[2] != "unit" {
			p.Load = numbers(t, filepath.Join(path, row[2]))
			if len(p.Load) > 0 && len(p.Load) != n {
				p.Load = p.Load[len(p.Load)-n:]
			}
		} else {
			list = list[1:]
		}
		side := n + 1
		if len(list) == side*side+1 {
			list = list[1:]
		}
		if len(list) != side*side {
			t.Fatalf("%s: %d numbers for %d nodes", row[0], len(list), side)
		}
		p.Cost = func(i, j int) float64 { return float64(list[j*side+i]) }
		all = append(all, known{row[0] + " of " + row[3], p, float64(number(t, row[4])), strings.HasPrefix(row[5], "proved") || strings.Contains(row[5], "proved optimal")})
	}
	return all
}

// knownRoutes reads closed routes of Christofides & Eilon (1969), Augerat et al. (1995), and Christofides, Mingozzi &
// Toth (1979) in the format of TSPLIB. Their first node is the root.
func knownRoutes(t testing.TB) (all []known, solutions [][][]int) {
	t.Helper()
	path, rows := values(t, "cvrp")
	for _, row := range rows {
		value, err := strconv.ParseFloat(row[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		nodes := number(t, row[1])
		p := Problem{Terminals: nodes - 1, Roots: []Root{{Branches: number(t, row[3])}}, Shape: Ring, Capacity: number(t, row[2])}
		text, err := os.ReadFile(filepath.Join(path, row[0]+".vrp"))
		if err != nil {
			t.Fatal(err)
		}
		var points []Point
		var triangle []float64
		section := ""
		for line := range strings.Lines(string(text)) {
			words := strings.Fields(line)
			switch {
			case len(words) == 0:
			case strings.HasSuffix(words[0], "_SECTION"):
				section = words[0]
			case section == "NODE_COORD_SECTION":
				x, errX := strconv.ParseFloat(words[1], 64)
				y, errY := strconv.ParseFloat(words[2], 64)
				if errX != nil || errY != nil {
					t.Fatalf("%s: %q", row[0], line)
				}
				points = append(points, Point{x, y})
			case section == "EDGE_WEIGHT_SECTION":
				for _, word := range words {
					triangle = append(triangle, float64(number(t, word)))
				}
			case section == "DEMAND_SECTION":
				if number(t, words[0]) > 1 {
					p.Load = append(p.Load, number(t, words[1]))
				}
			}
		}
		node := func(i int) int { return (i + 1) % nodes } // the file's, root first
		p.Cost = func(i, j int) float64 {
			a, b := node(i), node(j)
			if points == nil {
				a, b = max(a, b), min(a, b)
				return triangle[a*(a-1)/2+b]
			}
			d := Euclid(points)(a, b)
			if row[5] != "real Euclidean" {
				d = math.Floor(d + 0.5)
			}
			return d
		}
		all = append(all, known{row[0], p, value, true})
		text, err = os.ReadFile(filepath.Join(path, row[0]+".sol"))
		if err != nil {
			t.Fatal(err)
		}
		var routes [][]int
		for line := range strings.Lines(string(text)) {
			if _, list, ok := strings.Cut(line, ":"); ok && strings.HasPrefix(line, "Route") {
				var route []int
				for _, word := range strings.Fields(list) {
					route = append(route, number(t, word)-1)
				}
				routes = append(routes, route)
			}
		}
		solutions = append(solutions, routes)
	}
	return all, solutions
}

// The routes supplied as best must be feasible and have the published cost: reader, distances and check are right.
func TestKnownRoutesReader(t *testing.T) {
	all, solutions := knownRoutes(t)
	for k, in := range all {
		var plan Plan
		for _, route := range solutions[k] {
			b := Branch{Terminals: route}
			from := in.problem.Terminals
			for _, v := range append(route[:len(route):len(route)], in.problem.Terminals) {
				b.Wires = append(b.Wires, Wire{from, v})
				b.Cost += in.problem.Cost(min(from, v), max(from, v))
				if from = v; v < in.problem.Terminals {
					b.Load += in.problem.Load[v]
				}
			}
			plan.Cost += b.Cost
			plan.Branches = append(plan.Branches, b)
		}
		if err := Check(in.problem, plan); err != nil || math.Abs(plan.Cost-in.value) > 0.001 {
			t.Errorf("%s: %g, published %g; %v", in.name, plan.Cost, in.value, err)
		}
	}
}

// gaps solves all, and returns the mean gaps from the best value known up to the answers and down to the bounds.
func gaps(t *testing.T, all []known, effort Effort) (above, below float64) {
	t.Helper()
	for _, in := range all {
		plan, err := Solve(in.problem, effort)
		if err != nil {
			t.Errorf("%s: %v", in.name, err)
			continue
		}
		if err := Check(in.problem, plan); err != nil {
			t.Errorf("%s: %v", in.name, err)
		}
		up, down := 100*(plan.Cost/in.value-1), 100*(1-plan.Bound/in.value)
		t.Logf("%-14s %9.3f, best known %9.3f: %5.2f %% above; bound %5.2f %% below", in.name, plan.Cost, in.value, up, down)
		if in.proven && up < -1e-4 || plan.Bound > in.value+0.001 {
			t.Errorf("%s: cost %g, bound %g, least %g", in.name, plan.Cost, plan.Bound, in.value)
		}
		above += up / float64(len(all))
		below += down / float64(len(all))
	}
	t.Logf("mean %.2f %% above, bound %.2f %% below", above, below)
	return above, below
}

func TestKnownGaps(t *testing.T) {
	routes, _ := knownRoutes(t)
	trees := knownTrees(t)
	for _, test := range []struct {
		name         string
		all          []known
		effort       Effort
		above, below float64 // at most, %
	}{
		{"routes", routes, Usual, 1, 12},
		{"trees", trees, Usual, 1, 7},
		{"routes", routes, 300, 0.75, 7},
		{"trees", trees, 300, 0.5, 6},
	} {
		if !thorough.Is() && test.effort > Usual {
			t.Logf("%s at effort %d: NOT compared", test.name, test.effort)
			continue
		}
		if above, below := gaps(t, test.all, test.effort); above > test.above || below > test.below {
			t.Errorf("%s at effort %d: %.2f %% above the best known, bounds %.2f %% below", test.name, test.effort, above, below)
		}
	}
}
