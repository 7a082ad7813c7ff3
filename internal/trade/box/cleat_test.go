package box

import (
	"math"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
)

// TestScrewsInTheMiddle: a screw through a base on cleats, or through a wall into a block, runs in the middle of that batten: from mouth to
// tip it has as much of the batten on one side as on the other; it leaves the middle only as far as the board under its head wants twice
// its diameter at the edge. The cleats of a wedge lean to its base.
func TestScrewsInTheMiddle(t *testing.T) {
	for _, slope := range []float64{3, 8, 14, 20} {
		s := wedge(slope)
		s.Build.BaseFit, s.Build.BasePlay = carcass.Between, 0.5
		s.Build.Cleat = carcass.Batten{Width: 18, Height: 18}
		c := made(t, s)
		n := 0
		for _, x := range Judge(order(c)).Screws {
			into := c.Board(x.Into)
			if into.Role != carcass.RoleCleat {
				continue
			}
			n++
			mouth := x.At.Add(x.Dir.Mul(x.Length - x.Deep + 1e-3))
			v := x.Dir.Cross(into.Frame.U)
			if math.Abs(v.Len()-1) > 1e-6 {
				t.Fatalf("%s is not square to its cleat", x.Into)
			}
			side := func(d geom.Vec3) float64 {
				least := math.Inf(1)
				for _, deep := range []float64{0, x.Deep / 2, min(x.Deep, leaves(into, mouth, x.Dir)) - 2e-3} {
					least = min(least, leaves(into, mouth.Add(x.Dir.Mul(deep)), d))
				}
				return least
			}
			a, b := side(v), side(v.Mul(-1))
			edge := edgeRoom(c.Board("base"), mouth.Sub(x.Dir.Mul(2e-3)), x.Dir, c.Board("base").Thickness-2e-3)
			if math.Abs(a-b) > 0.3 && edge > 2*x.Size.Major+0.3 || min(a, b) < x.Size.Major {
				t.Errorf("%g degrees, screw %d into the %s: %.2f mm on one side, %.2f on the other", slope, x.N, x.Into, a, b)
			}
		}
		if n < 6 {
			t.Errorf("%g degrees: %d screws into cleats", slope, n)
		}
	}
}

// TestNoCleatTwice: what is so already is not proposed.
func TestNoCleatTwice(t *testing.T) {
	for _, fit := range []carcass.BaseFit{carcass.Under, carcass.Between} {
		s := wedge(20)
		s.Build.BaseFit = fit
		c := made(t, s)
		w := newWorker(order(c))
		base := c.Board("base")
		fixes := w.cleatFix(base)
		if (len(fixes) == 1) != (fit == carcass.Under) {
			t.Errorf("%v: %v", fit, fixes)
		}
	}
	s := wedge(20)
	s.Build.Blocks.Size = 15
	c := made(t, s)
	if fixes := newWorker(order(c)).cleatFix(c.Board("back")); len(fixes) != 0 {
		t.Errorf("blocks twice: %v", fixes)
	}
}
