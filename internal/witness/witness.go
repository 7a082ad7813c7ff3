// Package witness is what tests ask besides our own code: published tables, and other programs. A test that misses its witness is
// skipped loudly.
package witness

import (
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Table reads a table of comma-separated values whose first line names the columns, a map each line. Sources stand in the table. An
// empty table fails the test.
func Table(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) < 2 {
		t.Fatalf("%s is empty", path)
	}
	out := make([]map[string]string, len(lines)-1)
	for k, line := range lines[1:] {
		out[k] = make(map[string]string, len(line))
		for i, v := range line {
			out[k][lines[0][i]] = v
		}
	}
	return out
}

// Sure is a table without the lines that are not of high confidence.
func Sure(t testing.TB, path string) []map[string]string {
	t.Helper()
	var out []map[string]string
	for _, line := range Table(t, path) {
		if line["confidence"] == "high" {
			out = append(out, line)
		}
	}
	if len(out) == 0 {
		t.Fatalf("%s has no line of high confidence", path)
	}
	return out
}

// Number reads a number of a table.
func Number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Tool finds another program.
func Tool(t testing.TB, name string) string {
	t.Helper()
	p, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("SKIPPED: %s is not installed; this check against another program was not made", name)
	}
	return p
}

// Run runs another program and gives all it says.
func Run(t testing.TB, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", filepath.Base(name), strings.Join(args, " "), err, out)
	}
	return string(out)
}

// Keep writes a file for another program to read, and a copy into $KNOBWRIGHT_KEEP for people to look at.
func Keep(t testing.TB, name string, data []byte) string {
	t.Helper()
	if dir := os.Getenv("KNOBWRIGHT_KEEP"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	p := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(p, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return p
}
