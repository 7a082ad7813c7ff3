package tour

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

func loadT(t *testing.T) (names []string, ms []*matrix, opts []float64) {
	dir := os.Getenv("KNOWN_INSTANCES") + "/tsp-drilling"
	b, err := os.ReadFile(dir + "/values.csv")
	if err != nil {
		t.Skip(err)
	}
	for _, l := range strings.Split(string(b), "\n")[1:] {
		f := strings.Split(l, ",")
		if len(f) < 4 {
			continue
		}
		o, _ := strconv.ParseFloat(f[3], 64)
		fh, _ := os.Open(filepath.Join(dir, f[0]+".tsp"))
		sc := bufio.NewScanner(fh)
		var xs, ys []float64
		on := false
		for sc.Scan() {
			w := strings.Fields(sc.Text())
			if len(w) == 0 {
				continue
			}
			if w[0] == "NODE_COORD_SECTION" {
				on = true
				continue
			}
			if on && len(w) == 3 {
				x, _ := strconv.ParseFloat(w[1], 64)
				y, _ := strconv.ParseFloat(w[2], 64)
				xs, ys = append(xs, x), append(ys, y)
			}
		}
		fh.Close()
		n := len(xs)
		m := &matrix{n, make([]float64, n*n)}
		for i := range n {
			for j := range n {
				m.d[i*n+j] = math.Floor(math.Hypot(xs[i]-xs[j], ys[i]-ys[j]) + 0.5)
			}
		}
		names, ms, opts = append(names, f[0]), append(ms, m), append(opts, o)
	}
	return
}
func env(k string, d int) int {
	if v, err := strconv.Atoi(os.Getenv(k)); err == nil {
		return v
	}
	return d
}

func TestProto(t *testing.T) {
	names, ms, opts := loadT(t)
	KickSpan = env("SPAN", 50)
	KickKind = env("KK", 0)
	var sum, tot float64
	for i, m := range ms {
		t0 := time.Now()
		s := newSearch(m, m.nearestNeighbour(0), env("WIDE", 8))
		s.depth = env("DEPTH", 3)
		s.first = env("FIRST", 0) == 1
		s.run(env("EFF", 20) * m.n)
		dt := time.Since(t0)
		l := 0.0
		seen := map[int32]bool{}
		for p, v := range s.tour {
			seen[v] = true
			l += s.row(v)[s.tour[(p+1)%m.n]]
		}
		if len(seen) != m.n {
			t.Fatal("bad")
		}
		gap := 100 * (l/opts[i] - 1)
		sum += gap
		tot += dt.Seconds()
		if env("V", 1) == 1 {
			fmt.Printf("%-10s %4d gap %.3f%%  %.1f ms\n", names[i], m.n, gap, dt.Seconds()*1000)
		}
	}
	fmt.Printf("mean gap %.3f time %.0f ms\n", sum/float64(len(ms)), tot*1000)
}
