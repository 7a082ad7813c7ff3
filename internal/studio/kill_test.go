//go:build linux

package studio

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// TestMain lets the test's own program be the one that is killed.
func TestMain(m *testing.M) {
	if path := os.Getenv("KNOBWRIGHT_SAVE_FOREVER"); path != "" {
		s, err := Open(path, plainJudge, plainTouch)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
		for n := 1; ; n++ {
			if err := s.Edit(set("controls.go.at", fmt.Sprintf("[%d, 50]", 30+n%40)), "move"); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(3)
			}
			if n == 1 {
				fmt.Println("first")
			}
		}
	}
	os.Exit(m.Run())
}

// A kill while the page saves leaves the old file or the new one, with every comment.
func TestKilledWhileSaving(t *testing.T) {
	rounds := 12
	if n, err := strconv.Atoi(os.Getenv("KILLS")); err == nil && n > 0 {
		rounds = n
	}
	path := filepath.Join(t.TempDir(), "small.yaml")
	if err := os.WriteFile(path, []byte(small), 0o644); err != nil {
		t.Fatal(err)
	}
	place := regexp.MustCompile(`at: \[\d+, 50\], legend: GO`)
	want := place.ReplaceAllString(small, "at: [, 50], legend: GO")
	rng := rand.New(rand.NewPCG(11, 4))
	for i := range rounds {
		cmd := exec.Command(os.Args[0], "-test.run=^$")
		cmd.Env = append(os.Environ(), "KNOBWRIGHT_SAVE_FOREVER="+path)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if _, err := out.Read(make([]byte, 5)); err != nil {
			t.Fatalf("round %d: the child saves nothing: %v", i, err)
		}
		time.Sleep(time.Duration(rng.IntN(12000)) * time.Microsecond)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if got := place.ReplaceAllString(content(t, path), "at: [, 50], legend: GO"); got != want {
			t.Fatalf("round %d: the file is\n%s", i, content(t, path))
		}
	}
	left, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range left { // what was being written beside may lie about, under a name that says what it is
		if e.Name() != "small.yaml" && !strings.HasPrefix(e.Name(), ".") {
			t.Errorf("left behind: %s", e.Name())
		}
	}
}
