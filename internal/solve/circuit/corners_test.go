package circuit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func atNode(names ...string) func(*Solution) []float64 {
	return func(s *Solution) []float64 {
		out := make([]float64, len(names))
		for i, n := range names {
			out[i] = s.V(n)
		}
		return out
	}
}

// Divider by hand: V R2/(R1+R2) is largest with the small R1, the large R2 and the high supply.
func TestCornersOfDivider(t *testing.T) {
	n := New()
	n.Voltage("V", "in", Ground, 5)
	n.Resistor("R1", "in", "out", 1000)
	n.Resistor("R2", "out", Ground, 2000)
	got, err := Corners(n, []Tolerance{PlusMinus("R1", 1000, 5), PlusMinus("R2", 2000, 1), {"V", 4.75, 5.25}}, atNode("out"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "nominal", got[0].Nominal, 5*2/3.0, 1e-13)
	near(t, "most", got[0].Max, 5.25*2020/(950+2020), 1e-13)
	near(t, "least", got[0].Min, 4.75*1980/(1050+1980), 1e-13)
	if !got[0].Exact || fmt.Sprint(got[0].AtMax) != "[{R1 950} {R2 2020} {V 5.25}]" {
		t.Errorf("%+v", got[0])
	}
}

// Nothing between the corners goes beyond them, and following sensitivities finds what trying all finds.
func TestCornersAgainstChance(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	missed := 0
	for round := range 40 {
		n := tangle(rng)
		var tol []Tolerance
		for i := range n.elements {
			e := &n.elements[i]
			if e.kind == resistor && len(tol) < AllCorners-2 && i%3 == 0 {
				tol = append(tol, PlusMinus(e.name, e.value, 20))
			}
		}
		want := atNode("k1", "k2", "k3")
		all, err := Corners(n, tol, want)
		if err != nil {
			t.Fatal(err)
		}
		v, err := n.Vary()
		if err != nil {
			t.Fatal(err)
		}
		for range 50 {
			var c []Change
			for _, x := range tol {
				c = append(c, Change{x.Name, x.Low + rng.Float64()*(x.High-x.Low)})
			}
			s, err := v.Solve(c...)
			if err != nil {
				t.Fatal(err)
			}
			for q, x := range want(s) {
				if x > all[q].Max+1e-9 || x < all[q].Min-1e-9 {
					t.Errorf("round %d: %g is outside %g to %g", round, x, all[q].Min, all[q].Max)
				}
			}
		}
		f := &corners{v: v, tol: tol, want: want, change: make([]Change, len(tol)), spread: make([]Spread, 3)}
		for q := range f.spread {
			f.spread[q] = Spread{Nominal: all[q].Nominal, Min: all[q].Nominal, Max: all[q].Nominal}
		}
		if err := f.follow(); err != nil {
			t.Fatal(err)
		}
		for q, x := range f.spread {
			for _, d := range [][2]float64{{x.Max, all[q].Max}, {x.Min, all[q].Min}} {
				if math.Abs(d[0]-d[1]) > 1e-9*math.Abs(d[1])+1e-12 {
					missed++
				}
			}
		}
	}
	t.Logf("following sensitivities missed %d of 240 corners", missed)
	if missed > 2 {
		t.Error("too many")
	}
}

func TestManyTolerances(t *testing.T) {
	n := New()
	n.Voltage("V", "a0", Ground, 5)
	var tol []Tolerance
	for i := range 24 {
		name := fmt.Sprint("R", i)
		n.Resistor(name, fmt.Sprint("a", i), fmt.Sprint("a", i+1), 1000)
		tol = append(tol, PlusMinus(name, 1000, 1))
	}
	n.Resistor("foot", "a24", Ground, 1000)
	got, err := Corners(n, tol, atNode("a12"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "most", got[0].Max, 5*(12*1.01+1)/(12*0.99+12*1.01+1), 1e-12)
	near(t, "least", got[0].Min, 5*(12*0.99+1)/(12*0.99+12*1.01+1), 1e-12)
	if got[0].Exact {
		t.Error("2^24 corners were not tried")
	}
	for _, bad := range [][]Tolerance{{{"R0", 2, 1}}, {{"R0", math.NaN(), 1}}, {{"R0", 1, 2}, {"R0", 1, 2}}, {{"none", 1, 2}}, {{"R0", -1, 1}}} {
		if _, err := Corners(n, bad, atNode("a12")); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
	calls := 0
	if _, err := Corners(n, tol, func(*Solution) []float64 { calls++; return make([]float64, calls) }); err == nil {
		t.Error("a changing number of quantities was taken")
	}
}

// A lamp of which the drop is known within bounds: its saturation current has the tolerance.
func TestCornersOfLamp(t *testing.T) {
	typical, _ := Fit(2.0, 10e-3, 2, 3)
	low, _ := Fit(1.8, 10e-3, 2, 3)
	high, _ := Fit(2.4, 10e-3, 2, 3)
	n := New()
	n.Voltage("V", "a", Ground, 5)
	n.Resistor("R", "a", "b", 300)
	n.Diode("D", "b", Ground, typical)
	got, err := Corners(n, []Tolerance{{"D", high.Sat, low.Sat}, PlusMinus("R", 300, 5), PlusMinus("V", 5, 5)}, func(s *Solution) []float64 { return []float64{s.I("D")} })
	if err != nil {
		t.Fatal(err)
	}
	near(t, "nominal", got[0].Nominal, (5-2.0)/300, 1e-9)
	near(t, "about the most", got[0].Max, (5.25-1.8)/285, 0.01)
	near(t, "about the least", got[0].Min, (4.75-2.4)/315, 0.05)
}
