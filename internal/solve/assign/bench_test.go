package assign

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"knobwright/internal/thorough"
)

func BenchmarkKnown(b *testing.B) {
	for _, k := range knownInstances(b) {
		b.Run(k.name, func(b *testing.B) {
			for b.Loop() {
				if a, _ := Solve(k.cost); a.Cost != k.least {
					b.Fatal(a.Cost)
				}
			}
		})
	}
}

// scatter makes whole costs from 0 to 999, some of them forbidden.
func scatter(seed, n, m, forbidden int) [][]float64 {
	chance := random(seed)
	cost := make([][]float64, n)
	for i := range cost {
		for range m {
			c := float64(chance.below(1000))
			if chance.below(100) < forbidden {
				c = math.Inf(1)
			}
			cost[i] = append(cost[i], c)
		}
	}
	return cost
}

func BenchmarkSolve(b *testing.B) {
	for _, size := range [][2]int{{20, 30}, {60, 80}, {100, 100}, {150, 200}} {
		cost := scatter(1, size[0], size[1], 20)
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			for b.Loop() {
				if _, err := Solve(cost); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// One pair fixed, asked, and freed again.
func BenchmarkReplan(b *testing.B) {
	s, err := New(scatter(1, 60, 80, 0))
	if err != nil {
		b.Fatal(err)
	}
	k := 0
	for b.Loop() {
		if err := s.Fix(k%60, k%79); err != nil {
			b.Fatal(err)
		}
		s.Solve()
		s.Free(k % 60)
		k++
	}
}

// Half of 60 rows cannot be served: the shortage is looked for in many small sets.
func BenchmarkShortage(b *testing.B) {
	cost := scatter(3, 60, 30, 85)
	for b.Loop() {
		if a, _ := Solve(cost); a.Short == nil {
			b.Fatal("no shortage")
		}
	}
}

// ribbons is an arrangement of ribbons of 4 to 8 wires and single rows on lines of 24 columns.
func ribbons(count int) Arrangement {
	q := Arrangement{Cost: scatter(5, 40, 72, 0)}
	for l := range 3 {
		q.Lines = append(q.Lines, identity(72)[24*l:][:24])
	}
	row := 0
	for k := range count {
		q.Ribbons = append(q.Ribbons, Ribbon{Rows: identity(40)[row:][:4+k%5]})
		row += 4 + k%5
	}
	return q
}

func BenchmarkArrange(b *testing.B) {
	for _, count := range []int{1, 2, 3, 4, 5} {
		q := ribbons(count)
		b.Run(fmt.Sprintf("ribbons=%d", count), func(b *testing.B) {
			var p Plan
			var err error
			for b.Loop() {
				if p, err = Arrange(q); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(p.Steps), "steps")
			b.ReportMetric(100*p.Gap()/p.Cost, "gap%")
		})
	}
	q := ribbons(2)
	q.Disturb = crossings
	b.Run("ribbons=2/disturbed", func(b *testing.B) {
		for b.Loop() {
			if _, err := Arrange(q); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// TestBesideGeneralSolver asks a general solver for linear programs in whole numbers, glpsol, the same question in the
// same run, and compares answers and times. The time of glpsol is that of the whole process, reading included.
func TestBesideGeneralSolver(t *testing.T) {
	glpsol, err := exec.LookPath("glpsol")
	if err != nil {
		t.Skip("glpsol is not installed: NOT compared with a general solver")
	}
	sizes := []int{30}
	if thorough.Is() && os.Getenv("KNOWN_INSTANCES") != "" {
		sizes = append(sizes, 100)
	}
	for _, n := range sizes {
		cost := scatter(7, n, n, 0)
		if n == 100 {
			cost = knownInstances(t)[0].cost
		}
		model := filepath.Join(t.TempDir(), "model.lp")
		if err := os.WriteFile(model, []byte(linearProgram(cost)), 0o600); err != nil {
			t.Fatal(err)
		}
		output := model + ".out"
		start := time.Now()
		if out, err := exec.Command(glpsol, "--lp", model, "--write", output).CombinedOutput(); err != nil {
			t.Fatal(err, string(out))
		}
		theirs := time.Since(start)
		text, err := os.ReadFile(output)
		if err != nil {
			t.Fatal(err)
		}
		const rounds = 20
		start = time.Now()
		var a Answer
		for range rounds {
			a, _ = Solve(cost)
		}
		ours := time.Since(start) / rounds
		want := ""
		for line := range strings.Lines(string(text)) {
			if words := strings.Fields(line); len(words) > 0 && words[0] == "s" {
				want = words[len(words)-1]
			}
		}
		if x, err := strconv.ParseFloat(want, 64); err != nil || x != a.Cost {
			t.Errorf("%d rows: %g, glpsol %q", n, a.Cost, want)
		}
		t.Logf("%d x %d: %v, glpsol %v: %.0f times as long", n, n, ours.Round(time.Microsecond), theirs.Round(time.Millisecond),
			float64(theirs)/float64(ours))
	}
}

// linearProgram writes an assignment in the format of CPLEX LP files: x_i_j is 1 if row i has column j.
func linearProgram(cost [][]float64) string {
	var w strings.Builder
	w.WriteString("Minimize\n cost:\n")
	for i, row := range cost {
		for j, c := range row {
			fmt.Fprintf(&w, " + %g x_%d_%d\n", c, i, j)
		}
	}
	w.WriteString("Subject To\n")
	for i := range cost {
		fmt.Fprintf(&w, " row_%d:", i)
		for j := range cost[i] {
			fmt.Fprintf(&w, " + x_%d_%d\n", i, j)
		}
		w.WriteString(" = 1\n")
	}
	for j := range cost[0] {
		fmt.Fprintf(&w, " column_%d:", j)
		for i := range cost {
			fmt.Fprintf(&w, " + x_%d_%d\n", i, j)
		}
		w.WriteString(" <= 1\n")
	}
	w.WriteString("Binary\n")
	for i := range cost {
		for j := range cost[i] {
			fmt.Fprintf(&w, " x_%d_%d\n", i, j)
		}
	}
	w.WriteString("End\n")
	return w.String()
}
