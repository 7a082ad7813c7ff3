package rig

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/thorough"
)

// TestFuzz changes tables at random and runs them, with requests, through the whole board layer under sanitizers. FUZZRUNS says how many
// (500000 for a change of the C sources), FUZZSEED begins another series, FUZZKEEP=folder keeps the inputs that reached something new.
// The corpus of testdata/fuzz is run first, as it stands.
func TestFuzz(t *testing.T) {
	t.Parallel()
	if os.Getenv("FUZZRUNS") == "" {
		thorough.Only(t)
	}
	runs := 2500
	if s := os.Getenv("FUZZRUNS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		runs = n
	}
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: not for sown faults")
	}
	if _, err := exec.LookPath("cc"); err != nil {
		skip(t, "no C compiler (cc) is installed; tables were not fuzzed")
	}
	if os.Getenv("FUZZRUNS") != "" || long() {
		t.Run("limits of the RP2040", func(t *testing.T) { fuzz(t, runs) })
	}
	t.Run("limits of the ATmega32U4", func(t *testing.T) { fuzz(t, runs, "-DKW_SMALL", "-DHAL_ONE_WAY=1") })
}

// fuzz runs one variant of the core.
func fuzz(t *testing.T, runs int, flags ...string) {
	dir := t.TempDir()
	var files []string
	for _, p := range []string{"core/*.c", "board/*.c", "rig/fuzz/*.c"} {
		found, err := filepath.Glob(filepath.Join("..", p))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	program := filepath.Join(dir, "fuzz")
	args := append([]string{"-std=gnu99", "-fsanitize-coverage=trace-pc", "-DFUZZ_MAIN", "-I../rig/fuzz", "-I../core", "-I../board", "-o", program}, append(flags, sanitizers...)...)
	if text, err := exec.Command("cc", append(args, files...)...).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	corpus, err := filepath.Glob("testdata/fuzz/*")
	if err != nil {
		t.Fatal(err)
	}
	requestBytes := []byte{}
	for _, s := range []Setup{{0x80, 6, 0x0200, 0, 255}, {0x81, 6, 0x2100, 0, 9}, {0x21, 9, 0x0203, 0, 2}, {0xA1, 1, 0x03F0, 1, 64}, {0xA1, 3, 0, 0, 1}, {0x02, 3, 0, 0x81, 0}, {0xA1, 1, 0x0101, 0, 64}, {0x21, 10, 0x0500, 0, 0}, {0x21, 11, 0, 1, 0}, {0xA1, 1, 0x0100, 1, 64}, {0x21, 9, 0x0200, 1, 1}, {0x01, 11, 0, 3, 0}} {
		requestBytes = append(requestBytes, s.Bytes()...)
	}
	for i, f := range []*fixture{desk(t, firmware.Host), wall(t, firmware.Host), crowded(t, firmware.Host), organ(t, firmware.Host)} {
		name := filepath.Join(dir, fmt.Sprintf("seed%d", i))
		if err := os.WriteFile(name, append(f.raw, requestBytes...), 0o600); err != nil {
			t.Fatal(err)
		}
		corpus = append(corpus, name)
	}
	seed := os.Getenv("FUZZSEED")
	if seed == "" {
		seed = "1"
	}
	cmd := exec.Command(program, append([]string{strconv.Itoa(runs), seed}, corpus...)...)
	cmd.Dir = dir
	cmd.Args = append(cmd.Args[:3], absolute(t, corpus)...)
	if keep := os.Getenv("FUZZKEEP"); keep != "" {
		sub := filepath.Join(keep, strings.ReplaceAll(filepath.Base(t.Name()), " ", "_"))
		if err := os.MkdirAll(sub, 0o755); err != nil {
			t.Fatal(err)
		}
		cmd.Env = append(os.Environ(), "FUZZ_KEEP="+sub)
	}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		if b, err := os.ReadFile(filepath.Join(dir, "fuzz.failed")); err == nil {
			t.Errorf("it fails on (keep it in testdata/fuzz): %X", b)
		}
	}
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	t.Log(strings.TrimSpace(string(out)))
}

func absolute(t *testing.T, names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		a, err := filepath.Abs(n)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = a
	}
	return out
}
