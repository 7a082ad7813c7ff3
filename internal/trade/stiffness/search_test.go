package stiffness

import (
	"math"
	"math/bits"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/solve/plate"
	"knobwright/internal/thorough"
)

// slow reckons the presses with a set of ribs from the bare face's table as it stands: (I + S·C)^-1 by elimination, S = EI·Q·R^-1·Q'
// written out (Reinsch 1967). It shares nothing with the quick reckoning but the table and the stiffness of a bar.
func slow(f *Face, c [][]float64, n int, ribs []Rib, set []int) float64 {
	k := len(set) * ribPoints
	index := make([]int, k)
	s := make([][]float64, k)
	for i := range s {
		s[i] = make([]float64, k)
	}
	for b, r := range set {
		_, h := ribs[r].points(f.Thickness)
		const m = ribPoints
		var q [m][m - 2]float64
		rr := make([][]float64, m-2)
		for j := range m - 2 {
			q[j][j], q[j+1][j], q[j+2][j] = 1/h, -2/h, 1/h
			rr[j] = make([]float64, m-2)
			rr[j][j] = 2 * h / 3
			if j > 0 {
				rr[j][j-1], rr[j-1][j] = h/6, h/6
			}
		}
		inv := inverse(rr)
		ei := f.bar(ribs[r])
		for i := range m {
			index[b*m+i] = n + r*m + i
			for j := range m {
				sum := 0.0
				for x := range m - 2 {
					for y := range m - 2 {
						sum += q[i][x] * inv[x][y] * q[j][y]
					}
				}
				s[b*m+i][b*m+j] = ei * sum
			}
		}
	}
	a := make([][]float64, k)
	for i := range a {
		a[i] = make([]float64, k)
		for j := range a {
			for x := range k {
				a[i][j] += s[i][x] * c[index[x]][index[j]]
			}
		}
		a[i][i]++
	}
	inv := inverse(a)
	most := 0.0
	for p := range n {
		v := c[p][p]
		for i := range k {
			for j := range k {
				x := 0.0
				for y := range k {
					x += s[j][y] * c[index[y]][p]
				}
				v -= c[p][index[i]] * inv[i][j] * x
			}
		}
		most = max(most, v)
	}
	return most
}

// inverse by elimination with pivots.
func inverse(a [][]float64) [][]float64 {
	n := len(a)
	m := make([][]float64, n)
	for i := range m {
		m[i] = append(slices.Clone(a[i]), make([]float64, n)...)
		m[i][n+i] = 1
	}
	for i := range n {
		p := i
		for r := i + 1; r < n; r++ {
			if math.Abs(m[r][i]) > math.Abs(m[p][i]) {
				p = r
			}
		}
		m[i], m[p] = m[p], m[i]
		d := m[i][i]
		for j := range m[i] {
			m[i][j] /= d
		}
		for r := range n {
			if k := m[r][i]; r != i && k != 0 {
				for j := range m[i] {
					m[r][j] -= k * m[i][j]
				}
			}
		}
	}
	out := make([][]float64, n)
	for i := range out {
		out[i] = m[i][n:]
	}
	return out
}

// Small sets of places, every plan looked at one by one with the slow reckoning: the search gives the same plan.
func TestSearchAgainstEveryPlan(t *testing.T) {
	f := first(t, plainBox)
	all, _ := f.candidates(f.stockOf())
	if len(all) < 20 {
		t.Fatalf("%d places", len(all))
	}
	presses := []int{0, 1, 2}
	n := len(presses)
	for start := range 3 {
		var ribs []Rib
		for i := start; len(ribs) < 8 && i < len(all); i += len(all)/9 + 1 {
			ribs = append(ribs, all[i])
		}
		x, err := f.reduce(presses, ribs, true)
		if err != nil {
			t.Fatal(err)
		}
		m := f.model
		m.Cases, m.Spots = nil, nil
		for _, i := range presses {
			m.Spots = append(m.Spots, f.model.Spots[i])
		}
		for _, r := range ribs {
			at, _ := r.points(f.Thickness)
			for _, q := range at {
				m.Spots = append(m.Spots, plate.Spot{At: q})
			}
		}
		m.Options.Ribs, m.Options.Cell = plate.EffectiveWidth, f.coarse()
		p, err := plate.New(m)
		if err != nil {
			t.Fatal(err)
		}
		c := p.Compliance()
		value := map[uint]float64{}
		for set := uint(0); set < 1<<len(ribs); set++ {
			if bits.OnesCount(set) > 3 {
				continue
			}
			var list []int
			fits := true
			for i := range ribs {
				if set>>i&1 == 1 {
					for _, j := range list {
						fits = fits && !clash(ribs[i], ribs[j])
					}
					list = append(list, i)
				}
			}
			if fits {
				value[set] = slow(f, c, n, ribs, list)
				if q := x.worst(list); math.Abs(q/value[set]-1) > 1e-6 {
					t.Fatalf("%v: quick %.9g, slow %.9g", list, q, value[set])
				}
			}
		}
		for _, share := range []float64{0.9, 0.7, 0.5, 0.35, 0.2, 0.01} {
			target := value[0] * share
			// fewest, then shortest; if none reaches it, what gives least with three
			var best uint
			found := false
			for k := 1; k <= 3 && !found; k++ {
				for set, v := range value {
					if bits.OnesCount(set) == k && v <= target {
						l := lengthOf(x, set)
						if !found || l < lengthOf(x, best)-1e-6 || math.Abs(l-lengthOf(x, best)) <= 1e-6 && v < value[best] {
							best, found = set, true
						}
					}
				}
			}
			if !found {
				least := math.Inf(1)
				for set, v := range value {
					if bits.OnesCount(set) == 3 && v < least {
						best, least = set, v
					}
				}
			}
			plans := x.search(3, target)
			got := uint(0)
			for _, r := range plans[len(plans)-1].set {
				got |= 1 << r
			}
			if bits.OnesCount(got) != bits.OnesCount(best) || math.Abs(value[got]-value[best]) > 1e-9*value[0] && math.Abs(lengthOf(x, got)-lengthOf(x, best)) > 1e-6 {
				t.Errorf("share %v: %b with %.6g, every plan: %b with %.6g", share, got, value[got], best, value[best])
			}
		}
		// more ribs never make it softer, so that all of them at once are a bound
		every := make([]int, len(ribs))
		for i := range every {
			every[i] = i
		}
		bound := x.worst(every)
		for set, v := range value {
			if v < bound-1e-12 {
				t.Errorf("plan %b is stiffer than all ribs at once: %.6g, %.6g", set, v, bound)
			}
		}
	}
}

func lengthOf(x *reduced, set uint) (l float64) {
	for i, r := range x.ribs {
		if set>>i&1 == 1 {
			l += r.Length()
		}
	}
	return l
}

// The quick reckoning is never stiffer than the full model by more than a little, nor softer than is allowed for: on walls, and on screws
// alone, where it leaves out most.
func TestQuickAgainstFull(t *testing.T) {
	bare := plainBox[:strings.Index(plainBox, "box:")] + plainBox[strings.Index(plainBox, "controls:"):]
	for _, x := range []struct {
		name, text string
		low        float64
	}{
		{"walls", plainBox, 0.97},
		{"slanted row on walls", slanted(), 0.93},
		{"four screws", bare, 0.93},
		{"three screws", strings.Replace(bare, "inset: 5", "at: [[10, 10], [290, 10], [150, 190]]", 1), 0.93},
	} {
		if !thorough.Is() && strings.HasSuffix(x.name, "screws") {
			continue
		}
		f := first(t, x.text)
		all, _ := f.candidates(f.stockOf())
		var presses []int
		for i, p := range f.Presses {
			if p.Judged {
				presses = append(presses, i)
			}
		}
		var some []Rib
		for i := 0; i < len(all); i += len(all)/12 + 1 {
			some = append(some, all[i])
		}
		some = append(some, all[len(all)-1])
		r, err := f.reduce(presses, some, true)
		if err != nil {
			t.Fatal(err)
		}
		low, high, n := 1.0, 1.0, 0
		look := func(set ...int) {
			var ribs []Rib
			for _, k := range set {
				ribs = append(ribs, some[k])
			}
			_, full, ok := f.with(ribs, f.Thickness, f.Material)
			if !ok {
				t.Fatal("it cannot be reckoned")
			}
			q := r.worst(set) * f.Thumb
			low, high, n = min(low, q/full), max(high, q/full), n+1
		}
		for k := range some {
			look(k)
			for l := range k {
				if r.apart[k][l] && (k+l)%3 == 0 {
					look(k, l)
				}
			}
		}
		t.Logf("%s: quick by full: %.3f to %.3f over %d plans", x.name, low, high, n)
		if low < x.low || high > f.soft() {
			t.Errorf("%s: quick by full: %.3f to %.3f", x.name, low, high)
		}
	}
}

// Where the person wants no rib, none is proposed; their own ribs stay, and none is put beside them.
func TestOwnRibsAndForbiddenPlaces(t *testing.T) {
	f := first(t, strings.Replace(plainBox, "depth: 70", "depth: 70, ribs: {mine: {from: [12, 40], to: [288, 40], width: 9, height: 20}}, rib-free: [[[0, 90], [300, 200]], [[140, 0], [60, 90]]]", 1))
	if len(f.Ribs) != 1 {
		t.Fatalf("%+v", f.Ribs)
	}
	all, _ := f.candidates(f.stockOf())
	if len(all) == 0 {
		t.Fatal("no places")
	}
	for _, r := range all {
		b := r.outline(0).Bounds()
		if b.Max.Y > 90+1e-6 || b.Max.X > 60 && b.Min.X < 140 && b.Min.Y < 90 {
			t.Errorf("%v to %v", r.A, r.B)
		}
		if g, _, _ := r.outline(0).Gap(f.Ribs[0].outline(0)); g < 2-1e-6 {
			t.Errorf("%.2f mm beside the person's own rib", g)
		}
	}
	f.Propose(0.1)
	if g := first(t, strings.Replace(plainBox, "depth: 70", "depth: 70, rib-free: [[[0, 0], [300, 200]]]", 1)); true {
		g.Propose(0.1)
		if g.Proposal.Places != 0 || len(g.Proposal.Ribs) != 0 {
			t.Errorf("%+v", g.Proposal)
		}
	}
}
