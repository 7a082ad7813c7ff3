package web

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io/fs"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"
)

// packed is the size of a file as a server that packs would send it, kB.
func packed(t *testing.T, b []byte) float64 {
	t.Helper()
	var z bytes.Buffer
	w, err := gzip.NewWriterLevel(&z, gzip.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return float64(z.Len()) / 1000
}

// The table of docs/benchmarks.md tells what each script of the page weighs, and what it may weigh. A script that grows fails here until
// somebody has looked at why.
func TestBundleWeighsWhatIsStated(t *testing.T) {
	doc, err := os.ReadFile("../docs/benchmarks.md")
	if err != nil {
		t.Fatal(err)
	}
	stated := map[string][3]float64{}
	for _, m := range regexp.MustCompile(`(?m)^\| \w[\w ,]* \| (\w+)\.js \| (\d+) \| (\d+) \| (\d+) \|$`).FindAllStringSubmatch(string(doc), -1) {
		var v [3]float64
		for i := range v {
			if _, err := fmt.Sscan(m[2+i], &v[i]); err != nil {
				t.Fatal(err)
			}
		}
		stated[m[1]] = v
	}
	seen := 0
	err = fs.WalkDir(dist, "dist", func(path string, e fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".js") {
			return err
		}
		b, err := fs.ReadFile(dist, path)
		if err != nil {
			return err
		}
		name, _, _ := strings.Cut(strings.TrimSuffix(e.Name(), ".js"), "-")
		want, ok := stated[name]
		if !ok {
			t.Errorf("%s is not in the table of docs/benchmarks.md", e.Name())
			return nil
		}
		seen++
		whole, small := float64(len(b))/1000, packed(t, b)
		if math.Abs(whole-want[0]) > 1+0.05*want[0] || math.Abs(small-want[1]) > 1+0.05*want[1] {
			t.Errorf("%s weighs %.0f kB, packed %.0f; stated are %.0f and %.0f", e.Name(), whole, small, want[0], want[1])
		}
		if small > want[2] {
			t.Errorf("%s weighs %.0f kB packed and may weigh %.0f", e.Name(), small, want[2])
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen != len(stated) {
		t.Errorf("%d scripts, %d in the table", seen, len(stated))
	}
}
