package tour

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// instance is a published problem with the length of its shortest tour.
type instance struct {
	name    string
	points  []Point
	optimum float64
}

// cost is the distance that belongs to the instances: rounded to whole numbers.
func (in instance) cost(i, j int) float64 {
	return math.Floor(Euclid(in.points)(i, j) + 0.5)
}

// knownInstances reads the planar problems of TSPLIB (Reinelt 1991, ORSA Journal on Computing 3, 376-384)
// from the folder tsp-drilling below KNOWN_INSTANCES.
func knownInstances(t testing.TB) []instance {
	t.Helper()
	root := os.Getenv("KNOWN_INSTANCES")
	if root == "" {
		t.Skip("KNOWN_INSTANCES is not set: published tours are NOT compared")
	}
	folder := filepath.Join(root, "tsp-drilling")
	f, err := os.Open(filepath.Join(folder, "values.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []instance
	for _, row := range rows[1:] {
		points, _ := readTSPLIB(t, filepath.Join(folder, row[0]+".tsp"))
		if strconv.Itoa(len(points)) != row[1] {
			t.Fatalf("%s: %d points read, %s expected", row[0], len(points), row[1])
		}
		optimum, err := strconv.ParseFloat(row[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, instance{row[0], points, optimum})
	}
	return all
}

// readTSPLIB returns the points, or the tour, that a file lists.
func readTSPLIB(t testing.TB, name string) (points []Point, tour []int) {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	section := ""
	for line := range strings.Lines(string(text)) {
		words := strings.Fields(line)
		switch {
		case len(words) == 0 || words[0] == "EOF" || words[0] == "-1":
		case strings.HasSuffix(words[0], "_SECTION"):
			section = words[0]
		case section == "NODE_COORD_SECTION":
			x, errX := strconv.ParseFloat(words[1], 64)
			y, errY := strconv.ParseFloat(words[2], 64)
			if errX != nil || errY != nil {
				t.Fatalf("%s: %q", name, line)
			}
			points = append(points, Point{x, y})
		case section == "TOUR_SECTION":
			for _, word := range words {
				if i, err := strconv.Atoi(word); err == nil && i > 0 {
					tour = append(tour, i-1)
				}
			}
		}
	}
	return points, tour
}

// The tours supplied as optimal must have the length called optimal: the reader and the distance are right.
func TestKnownOptimalTours(t *testing.T) {
	measured := 0
	for _, in := range knownInstances(t) {
		name := filepath.Join(os.Getenv("KNOWN_INSTANCES"), "tsp-drilling", in.name+".opt.tour")
		if _, err := os.Stat(name); err != nil {
			continue
		}
		_, tour := readTSPLIB(t, name)
		p := must(Closed(len(in.points), in.cost))(t)
		checkPermutation(t, tour, len(in.points))
		if got := p.Length(tour); got != in.optimum {
			t.Errorf("%s: the optimal tour has length %g, want %g", in.name, got, in.optimum)
		}
		measured++
	}
	if measured == 0 {
		t.Error("no optimal tour was measured")
	}
}

// Default effort stays within 2 % of the optimum; the lower bound stays below it, and not far.
func TestKnownGap(t *testing.T) {
	for _, in := range knownInstances(t) {
		p := must(Closed(len(in.points), in.cost))(t)
		r := p.Solve(Usual)
		checkRoute(t, p, r, len(in.points))
		gap := r.Length/in.optimum - 1
		bound := p.LowerBound(0)
		below := 1 - bound/in.optimum
		t.Logf("%-9s %6.3f %% above the optimum; bound %5.2f %% below; stated at most %5.2f %%",
			in.name, 100*gap, 100*below, 100*r.Excess(bound))
		if gap < 0 || gap > 0.02 {
			t.Errorf("%s: length %g, optimum %g", in.name, r.Length, in.optimum)
		}
		if below < 0 || below > 0.05 {
			t.Errorf("%s: bound %g, optimum %g", in.name, bound, in.optimum)
		}
	}
}
