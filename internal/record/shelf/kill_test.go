//go:build linux

package shelf

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"knobwright/internal/record"
)

// TestMain lets the test's own program be the one that is killed.
func TestMain(m *testing.M) {
	if panel := os.Getenv("KNOBWRIGHT_TICK_FOREVER"); panel != "" {
		for n := 0; ; n++ {
			err := Change(panel, func(r *record.Record) error {
				if r.Ticks == nil {
					r.Ticks = map[string]record.Tick{}
				}
				r.Ticks[fmt.Sprintf("step-%d", len(r.Ticks))] = record.Tick{On: "2026-05-02", Note: "a note of some length, so that writing takes its time"}
				return nil
			})
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(3)
			}
			if n == 0 {
				fmt.Println("first")
			}
		}
	}
	os.Exit(m.Run())
}

// A kill at any moment leaves a whole record, and no tick that was there is lost.
func TestKilledAtAnyMoment(t *testing.T) {
	rounds := 20
	if n, err := strconv.Atoi(os.Getenv("KILLS")); err == nil && n > 0 {
		rounds = n
	}
	dir := t.TempDir()
	panel := filepath.Join(dir, "desk.yaml")
	if err := os.WriteFile(panel, []byte("knobwright: 1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(5, 9))
	most := 0
	for i := range rounds {
		cmd := exec.Command(os.Args[0], "-test.run=^$")
		cmd.Env = append(os.Environ(), "KNOBWRIGHT_TICK_FOREVER="+panel)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		buf := make([]byte, 5)
		if _, err := out.Read(buf); err != nil {
			t.Fatalf("round %d: the child writes nothing: %v", i, err)
		}
		time.Sleep(time.Duration(rng.IntN(3000)) * time.Microsecond)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		r, err := Load(panel)
		if err != nil {
			t.Fatalf("round %d: %v", i, err)
		}
		if len(r.Ticks) <= most {
			t.Fatalf("round %d: %d ticks, %d were there before", i, len(r.Ticks), most)
		}
		for k := range len(r.Ticks) {
			if _, ok := r.Ticks[fmt.Sprintf("step-%d", k)]; !ok {
				t.Fatalf("round %d: tick %d is lost", i, k)
			}
		}
		most = len(r.Ticks)
		if most > 400 { // a long record takes long to write: begin anew
			if err := os.Remove(record.Beside(panel)); err != nil {
				t.Fatal(err)
			}
			most = 0
		}
	}
}
