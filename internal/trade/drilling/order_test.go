package drilling

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

var finding0 finding.Limits

// randomSpec is an opening of any shape, sensible or not quite.
func randomSpec(rng *rand.Rand) catalog.Cut {
	d := math.Round(10*(2+30*rng.Float64())) / 10
	c := catalog.Cut{Tol: [2]length.Length{0, mm(math.Round(10*rng.Float64()*0.6) / 10)}}
	switch rng.IntN(9) {
	case 0:
		c.Rect = pair(d+3, 3+rng.Float64()*d)
		c.Corner = mm(3 * rng.Float64() * float64(rng.IntN(2)))
	case 1:
		c.Rect = pair(40+d, 5+d)
	case 2:
		c.Slot = pair(d+2+rng.Float64()*60, 2+rng.Float64()*4)
	case 3:
		c.Slot = pair(d+2, d-rng.Float64())
	case 4:
		c.DoubleD = pair(d, d*(0.6+0.39*rng.Float64()))
	case 5:
		c.SingleD = pair(d, d*(0.7+0.29*rng.Float64()))
	case 6:
		c.Round, c.Notch = mm(d), &catalog.Notch{Width: mm(1 + d/20), Height: mm(d + 0.5 + d/20)}
	default:
		c.Round = mm(d)
	}
	return c
}

func randomPanel(rng *rand.Rand, n int) *panel.Panel {
	sheets := []string{"acrylic", "polycarbonate", "abs", "plywood", "mdf", "hardboard", "aluminium", "steel"}
	var bits []catalog.Bit
	for _, set := range [][]catalog.Bit{
		twists, brads, step20, step30, saws, fors, spades, sizes(catalog.Twist, 2, 3, 5, 8), sizes(catalog.Twist, 3.3, 4.1, 6.6, 10.4),
	} {
		if rng.IntN(2) == 0 {
			bits = append(bits, set...)
		}
	}
	p := sheet(sheets[rng.IntN(len(sheets))], 1+float64(rng.IntN(10)), bits...)
	p.Files = rng.IntN(8) > 0
	if p.Press = rng.IntN(2) == 0; !p.Press {
		p.Wander = 0.5
	}
	for range n {
		c := cutAt(randomSpec(rng), 20+360*rng.Float64(), 20+200*rng.Float64(), float64(rng.IntN(8)*45), 0.2*float64(rng.IntN(2)))
		if rng.IntN(10) == 0 {
			spec := roundCut(3+2*rng.Float64(), 0.3)
			spec.Depth = 0.8
			c = cutAt(spec, c.At.X, c.At.Y, c.Turn, 0)
		}
		switch rng.IntN(6) {
		case 0:
			p.Openings = append(p.Openings, c)
		case 1:
			c.What = "fixing"
			p.Fixings = append(p.Fixings, &panel.Fixing{Cut: c, At: c.At})
		default:
			add(p, c)
		}
	}
	return p
}

// rank is the order in which operations on one opening must come.
func rank(do string) int {
	return map[string]int{"pilot": 0, "drill": 1, "step": 1, "bore": 1, "chain": 1, "saw": 2, "file": 3}[do]
}

// What every plan must keep to, for random panels of all sheets, drawers and shapes.
func TestPlansKeepToTheOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	made, left := 0, 0
	for range 300 {
		p := randomPanel(rng, 1+rng.IntN(25))
		r := Plan(p)
		total := len(p.Controls) + len(p.Openings) + len(p.Fixings)
		if len(r.Holes) != total {
			t.Fatalf("%d holes of %d openings", len(r.Holes), total)
		}
		// Job numbers run; every opening is finished exactly once, or stopped with a finding.
		finished := make([]int, total+1)
		byHole := make([][]Job, total+1)
		for i, j := range r.Jobs {
			if j.N != i+1 || j.Hole < 1 || j.Hole > total || j.Cut != r.Holes[j.Hole-1].Cut || j.Say == "" {
				t.Fatalf("job %+v", j)
			}
			if j.Last {
				finished[j.Hole]++
			}
			byHole[j.Hole] = append(byHole[j.Hole], j)
			if (j.Bit.Kind != "") != (j.RPMHigh > 0) || j.RPMLow > j.RPMHigh {
				t.Fatalf("speed of %+v", j)
			}
			if j.Bit.Kind != "" && !slices.Contains(p.Bits, j.Bit) {
				t.Fatalf("%v is not in the drawer", j.Bit)
			}
		}
		stopped := map[string]bool{}
		for _, f := range r.Findings {
			if f.Rule == "drill.no-way" {
				for _, e := range f.Ends {
					stopped[e.Name] = true
				}
			}
		}
		for _, h := range r.Holes {
			js := byHole[h.N]
			switch {
			case len(js) == 0:
				left++
				if !stopped[h.Name] || h.Bit == "" || h.How == "" {
					t.Fatalf("%+v is left out without a word", h)
				}
				continue
			case finished[h.N] != 1 || !js[len(js)-1].Last:
				t.Fatalf("hole %d finished %d times: %s", h.N, finished[h.N], h.How)
			}
			made++
			for i := 1; i < len(js); i++ {
				a, b := js[i-1], js[i]
				if rank(a.Do) > rank(b.Do) && !(a.Do == "saw" && a.Bit.Kind != "") {
					t.Fatalf("%s before %s in %s", a.Do, b.Do, h.How)
				}
				for _, a := range js[:i] { // at one place bits grow: the pilot comes before its opening
					if a.At == b.At && a.Bit.Kind != "" && b.Bit.Kind != "" && a.Bit.Diameter >= b.Bit.Diameter {
						t.Fatalf("%v after %v at one place: %s", b.Bit, a.Bit, h.How)
					}
				}
			}
			var ns []int
			for _, j := range js {
				ns = append(ns, j.N)
			}
			if !slices.Equal(ns, h.Jobs) {
				t.Fatalf("jobs of %+v: %v", h, ns)
			}
		}
		// Each tool goes in once.
		seen := map[tool]bool{}
		var last tool
		for _, j := range r.Jobs {
			if k := toolOf(j.Bit); k != last {
				if seen[k] {
					t.Fatalf("%v goes in twice", k)
				}
				seen[k], last = true, k
			}
		}
		n := 0
		for _, u := range r.Bits {
			for _, k := range u.Jobs {
				if n++; k != n || toolOf(r.Jobs[k-1].Bit) != toolOf(u.Bit) {
					t.Fatalf("jobs of %+v", u)
				}
			}
		}
		if n != len(r.Jobs) || len(r.Bits) != len(seen) {
			t.Fatal("jobs without a bit in the list")
		}
		// The walk.
		if got := walked(r); math.Abs(got-r.Walk) > 1e-6 {
			t.Fatalf("walk %g, reckoned %g", got, r.Walk)
		}
		if r.WalkBound > r.Walk+1e-9 || (r.Walk > 0) != (r.WalkBound > 0) {
			t.Fatalf("walk %g under its bound %g", r.Walk, r.WalkBound)
		}
		if len(r.Coupons) > 6 {
			t.Fatal("too many coupons")
		}
	}
	t.Logf("%d openings made, %d without a way", made, left)
	if made < 1000 || left < 50 {
		t.Error("the cases try one side only")
	}
}

// walked is the walk of the drill, reckoned from the jobs.
func walked(r Result) float64 {
	at, sum := geom.Vec2{}, 0.0
	for _, j := range r.Jobs {
		if j.Bit.Kind != "" {
			sum += j.At.Sub(at).Len()
			at = j.At.Vec2
		}
	}
	return sum
}

// No walk is longer than drilling in reading order with the same bits.
func TestNeverLongerThanReadingOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	shorter := 0
	for range 60 {
		w := newWork(randomPanel(rng, 5+rng.IntN(40)))
		ways := w.ways()
		for i := range ways {
			w.make(&ways[i])
		}
		ss := w.sessions(ways)
		read := measure(ss)
		length, bound := walk(ss)
		if length > read || length != measure(ss) || bound > length {
			t.Errorf("walk %g, reading order %g, bound %g", length, read, bound)
		}
		if length < 0.8*read {
			shorter++
		}
	}
	if shorter < 20 {
		t.Errorf("only %d of 60 walks are a fifth shorter than reading order", shorter)
	}
}

// Panels too large for one search are walked bit by bit, and still never longer than in reading order.
func TestLargePanel(t *testing.T) {
	p := sheet("acrylic", 3, join(twists, step20)...)
	rng := rand.New(rand.NewPCG(2, 3))
	for range 1500 {
		add(p, cutAt(roundCut([]float64{6, 7, 12}[rng.IntN(3)], 0.3), 2000*rng.Float64(), 1000*rng.Float64(), 0, 0))
	}
	w := newWork(p)
	ways := w.ways()
	for i := range ways {
		w.make(&ways[i])
	}
	read := measure(w.sessions(ways))
	r := Plan(p)
	if r.Walk > read/5 || r.WalkBound != 0 || math.Abs(walked(r)-r.Walk) > 1e-6 {
		t.Errorf("walk %g, reading order %g", r.Walk, read)
	}
}

// A drilled circle of a filed shape never crosses the line by more than the size may grow.
func TestDrilledHolesStayInside(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	checked := 0
	for range 1500 {
		p := randomPanel(rng, 1)
		r := Plan(p)
		if len(r.Jobs) == 0 {
			continue
		}
		c := r.Holes[0].Cut
		if c.CutMin != c.FinishedMin { // the outline is the finished one
			continue
		}
		grow := (c.CutMax - c.Nominal) / 2
		if clearance(c) {
			grow += limClearOver.Default / 2
		}
		for _, j := range r.Jobs {
			if j.Bit.Kind == "" {
				continue
			}
			for _, q := range append(j.Points, j.At) {
				m, at := c.Outline.Margin(geom.Circle(q.Vec2, j.Bit.Diameter))
				if m < -grow-1e-6 {
					t.Fatalf("%s: %v at %v crosses the line by %g near %v (allowed %g)", r.Holes[0].How, j.Bit, q, -m, at, grow)
				}
				checked++
			}
			for i, a := range j.Points {
				for _, b := range j.Points[:i] {
					if d := a.Sub(b.Vec2).Len(); d < j.Bit.Diameter+0.05 {
						t.Fatalf("%s: chain holes of %v run into each other, %g apart: %v", r.Holes[0].How, j.Bit, d, j.Points)
					}
				}
			}
		}
	}
	if checked < 3000 {
		t.Errorf("only %d circles", checked)
	}
}

func TestSamePanelSamePlan(t *testing.T) {
	for seed := range uint64(10) {
		a := Plan(randomPanel(rand.New(rand.NewPCG(seed, 1)), 30))
		b := Plan(randomPanel(rand.New(rand.NewPCG(seed, 1)), 30))
		if !reflect.DeepEqual(a, b) {
			t.Fatal("two plans of one panel differ")
		}
	}
}

func TestPlanLeavesThePanelAlone(t *testing.T) {
	p, q := randomPanel(rand.New(rand.NewPCG(5, 5)), 20), randomPanel(rand.New(rand.NewPCG(5, 5)), 20)
	Plan(p)
	if !reflect.DeepEqual(p, q) {
		t.Error("Plan changed the panel")
	}
}

// Rows from the top, left to right; a hole 4 mm lower still counts to the row; a control's own holes stay together.
func TestReadingOrder(t *testing.T) {
	p := sheet("acrylic", 3, twists...)
	for _, at := range [][2]float64{{200, 100}, {50, 96.5}, {120, 40}, {30, 42}, {90, 99}} {
		add(p, cutAt(roundCut(6, 0.2), at[0], at[1], 0, 0))
	}
	tab := cutAt(roundCut(3, 0.2), 200, 110, 0, 0)
	tab.What, tab.Owner = "anti-turn", p.Controls[0]
	p.Controls[0].Cuts = append(p.Controls[0].Cuts, tab)
	var got []string
	for _, h := range Plan(p).Holes {
		got = append(got, h.Name)
	}
	if want := []string{"C1", "C4", "C0", "C0's anti-turn hole", "C3", "C2"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

func TestPilotsFirstFromTheDatumCorner(t *testing.T) {
	p := sheet("acrylic", 3, join(twists, step20)...)
	add(p, cutAt(roundCut(12, 0.2), 300, 200, 0, 0), cutAt(roundCut(7, 0.2), 20, 20, 0, 0), cutAt(roundCut(3, 0.2), 30, 20, 0, 0), cutAt(roundCut(2, 0.2), 20, 200, 0, 0))
	r := Plan(p)
	if got := steps(r); got != "pilot 3, drill 3, pilot 3, drill 2, drill 7, step 12" {
		t.Error(got)
	}
	if j := r.Jobs[0]; j.At.X != 20 || j.At.Y != 20 {
		t.Errorf("starts at %v", j.At)
	}
}

func BenchmarkPlan(b *testing.B) {
	for _, n := range []int{20, 100, 500, 2000} {
		p := sheet("acrylic", 3, join(twists, step20, step30, saws)...)
		rng := rand.New(rand.NewPCG(1, 1))
		for range n {
			ds := []float64{3.4, 6.5, 7, 8, 12, 16, 20}
			add(p, cutAt(roundCut(ds[rng.IntN(len(ds))], 0.3), 400*rng.Float64(), 250*rng.Float64(), 0, 0))
		}
		b.Run(itoa(n), func(b *testing.B) {
			var r Result
			for b.Loop() {
				r = Plan(p)
			}
			b.ReportMetric(float64(len(r.Jobs)), "jobs")
			if r.WalkBound > 0 {
				b.ReportMetric(100*(r.Walk/r.WalkBound-1), "overbound%")
			}
		})
	}
}
