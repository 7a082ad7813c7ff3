package plate

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// solidProgram finds the program, or skips the test.
func solidProgram(t *testing.T) string {
	t.Helper()
	if os.Getenv("KNOBWRIGHT_PEERS") == "" {
		t.Skip("SKIPPED: KNOBWRIGHT_PEERS is not set; this check against an outside program was not made")
	}
	ccx, err := exec.LookPath("ccx")
	if err != nil {
		t.Skip("SKIPPED: ccx (Debian calculix-ccx) is not installed; this check against an outside program was not made")
	}
	return ccx
}

// run works a case out with the program: movements by load and place, the number of equations, and time on the processor.
func (c *peerCase) run(t *testing.T, ccx string, shells bool) (give [][]float64, size int, user time.Duration) {
	t.Helper()
	dir := t.TempDir()
	under, size, err := c.write(filepath.Join(dir, "sheet.inp"), shells)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(ccx, "sheet")
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "OMP_NUM_THREADS=1")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	steps, err := readMovements(filepath.Join(dir, "sheet.dat"))
	if err != nil || len(steps) != len(c.loads) {
		t.Fatal(len(steps), err)
	}
	for k := range c.loads {
		var row []float64
		for _, u := range under {
			w := 0.0
			for n, id := range u { // mean over the square: corners -1/12, middles of sides 1/3
				if n < 4 {
					w -= steps[k][id] / 12
				} else {
					w += steps[k][id] / 3
				}
			}
			row = append(row, w)
		}
		give = append(give, row)
	}
	return give, size, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}

// Random sheets with seven holes and a rib, worked out as solids by another program: within 3 per cent, with both times. Places far off, that
// move less than half as far as those that are pressed, are held within 3 per cent of that half. Runs when KNOBWRIGHT_PEERS is set and
// Debian's calculix-ccx is installed.
func TestSolidProgram(t *testing.T) {
	ccx := solidProgram(t)
	edges := [4]bool{}
	for _, x := range []struct {
		name string
		c    *peerCase
	}{
		{"acrylic 3 mm on four edges", newPeerCase(1, 3, 3200, 0.37, edges, edges)},
		{"aluminium 2 mm, two edges clamped", newPeerCase(2, 2, 69000, 0.33, [4]bool{true, true}, edges)},
		{"polycarbonate 4 mm, an edge free", newPeerCase(3, 4, 2350, 0.37, edges, [4]bool{3: true})},
		{"birch plywood 4 mm", newPlyCase(4, 4)},
		{"birch plywood 6 mm", newPlyCase(5, 6)},
		{"birch plywood 4 mm, three plies", newPlyCase(21, 3.8).withGrain(16471, 1029)},
		{"acrylic 3 mm on four screws", newPeerCase(7, 3, 3200, 0.37, edges, [4]bool{true, true, true, true}, [2]int{1, 1}, [2]int{34, 1}, [2]int{34, 17}, [2]int{1, 17})},
		{"acrylic 3 mm, rib of birch plywood", newPeerCase(8, 3, 3200, 0.37, edges, edges).withPlywoodRib()},
		{"birch plywood 6.5 mm, rib of the same", newPlyCase(9, 6.5).withPlywoodRib()},
		{"steel 1.5 mm, an edge clamped", newPeerCase(10, 1.5, 200000, 0.29, [4]bool{2: true}, edges)},
	} {
		t.Run(x.name, func(t *testing.T) {
			c := x.c
			want, size, theirs := c.run(t, ccx, false)
			start := spent()
			p, r := solve(t, c.m)
			ours := spent() - start
			t.Logf("%d holes, solid of %d equations: %.1f s on the processor; plate of %d: %.3f s: %.0f times as fast", len(c.holes), size, theirs.Seconds(), p.Work().Unknowns, ours.Seconds(), theirs.Seconds()/ours.Seconds())
			for k := range want {
				for j, w := range want[k] {
					e := r.Cases[k].Give[j]/w - 1
					t.Logf("load %d, place %d: %.5f mm, solid %.5f: %+.2f %%", k+1, j+1, r.Cases[k].Give[j], w, 100*e)
					if least := math.Sqrt(want[k][k]*want[j][j]) / 2; !(math.Abs(e)*w < c.limit*max(w, least)) {
						t.Errorf("more than %g per cent off", 100*c.limit)
					}
				}
			}
		})
	}
}

// A sheet with holes and no rib three ways: as a solid, as second-order shells by the same program, and by us: our error no greater
// than the shells', in a twentieth of their time.
func TestShellProgram(t *testing.T) {
	ccx := solidProgram(t)
	c := newPeerCase(6, 3, 3200, 0.37, [4]bool{}, [4]bool{})
	c.m.Ribs, c.ribX = nil, [2]int{}
	solid, _, _ := c.run(t, ccx, false)
	shell, _, theirs := c.run(t, ccx, true)
	least := time.Hour
	var r *Result
	for range 5 {
		start := spent()
		_, r = solve(t, c.m)
		least = min(least, spent()-start)
	}
	var a, b float64
	for k := range solid {
		for j, w := range solid[k] {
			a, b = max(a, math.Abs(math.Abs(shell[k][j])/w-1)), max(b, math.Abs(r.Cases[k].Give[j]/w-1))
		}
	}
	t.Logf("shells: worst %.2f %%, %.2f s; plate: worst %.2f %%, %.4f s: %.0f times as fast", 100*a, theirs.Seconds(), 100*b, least.Seconds(), theirs.Seconds()/least.Seconds())
	if b > max(a, 0.01) {
		t.Error("the shells are nearer the solid")
	}
	if least > 0 && theirs < 20*least {
		t.Error("not twenty times as fast")
	}
}
