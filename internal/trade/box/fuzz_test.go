package box

import (
	"math"
	"os"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// FuzzWork: whatever the numbers, no panic, and the same order gives the same result.
func FuzzWork(f *testing.F) {
	f.Add(uint8(2), 440.0, 280.0, 60.0, 12.0, 12.0, 3.0, 20.0, 100.0, 12.0, 15.0, 3.0, 500.0, 300.0, 30.0)
	f.Add(uint8(1), 300.0, 200.0, 60.0, 25.0, 9.0, 0.0, 0.0, 0.0, 0.0, 0.0, -1.0, 0.0, -5.0, math.NaN())
	f.Add(uint8(0), 100.0, 100.0, 30.0, 0.0, 40.0, 1e9, math.Inf(1), math.NaN(), 200.0, -3.0, 50.0, 1e9, 1e-9, -30.0)
	f.Fuzz(func(t *testing.T, form uint8, width, depth, height, slope, wall, screw, long, every, foot, hole, kerf, sw, sh, press float64) {
		s := carcass.Spec{Form: carcass.Form(form % 5), Sizes: carcass.Sizes{Width: width, Depth: depth, FrontHeight: height, Slope: slope}, Build: carcass.Build{Wall: wall, Base: wall, Face: 3, BaseFit: carcass.BaseFit(form / 5 % 3), FaceFit: carcass.Fit(form / 15 % 2), FaceHeld: carcass.Held(form / 30 % 3)}}
		c, ps := carcass.Make(s)
		if len(ps) > 0 || c.Bounds.Max.Sub(c.Bounds.Min).Len() > 5000 {
			return
		}
		o := order(c)
		o.Screws = Screws{Diameter: screw, Length: long, Every: every, Inset: hole, Driver: long}
		o.Feet = Feet{Diameter: foot, Height: hole, Inset: every}
		o.Cable = &Cable{Board: "back", Round: hole, Diameter: foot, Plug: [3]float64{hole, foot, long}, Notch: form%2 == 0}
		o.Stock = []Stock{{Sheet: ply12.ID, Width: sw, Height: sh, Count: int(form)}}
		o.Saw = Saw{Kind: "table", Kerf: kerf, Trim: hole}
		o.Presses = []Press{{Name: "GO", At: geom.Vec3{X: hole, Y: foot, Z: height}, Dir: geom.Vec3{Y: 0.6, Z: -0.8}, Force: press}}
		o.Fixings = []Fixing{{Name: "fixing 1", At: geom.Vec2{X: hole, Y: foot}, Screw: "M3"}}
		o.Limits.Own = map[string]float64{"box.screw-cover": hole, "box.screw-every": every, "box.press": press, "box.friction": foot, "box.driver": long}
		a, b := Work(o), Work(o)
		if len(a.Findings) != len(b.Findings) || len(a.Screws) != len(b.Screws) {
			t.Fatal("two answers to one order")
		}
		for i, x := range a.Findings {
			if x.Head != b.Findings[i].Head {
				t.Fatal("two answers to one order")
			}
		}
	})
}

// TestRules: every rule has its words, and every limit a default and a source.
func TestRules(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules {
		if seen[r.Name] || r.Title == "" || len(r.Explain) < 60 {
			t.Errorf("rule %s", r.Name)
		}
		seen[r.Name] = true
		for _, l := range r.Limits {
			if l.Means == "" || l.Source.Text == "" {
				t.Errorf("limit %s", l.Name)
			}
		}
	}
}

func cueDesk(t testing.TB) Order {
	src, err := os.ReadFile("../../../examples/cue-desk.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, _ := panel.Place(project.Read("cue-desk.yaml", src), catalog.Builtin())
	return FromPanel(p)
}

// TestCueDesk: the example's box stands, opens and comes out of sheets.
func TestCueDesk(t *testing.T) {
	o := cueDesk(t)
	if o.Carcass == nil {
		t.Fatal("the cue desk has no box")
	}
	r := Work(o)
	if len(r.Opening) == 0 || len(r.Feet) != 4 || len(r.Plans) != 2 || r.Stand.Grams < 1000 || r.Stand.Grams > 5000 {
		t.Errorf("opening %v, feet %v, plans %d, %g g", r.Opening, r.Feet, len(r.Plans), r.Stand.Grams)
	}
	for _, f := range r.Findings {
		if f.Severity > 1 {
			t.Errorf("a stop: %s", f.Head)
		}
	}
}

func BenchmarkWork(b *testing.B) {
	o := cueDesk(b)
	for b.Loop() {
		Work(o)
	}
}

func BenchmarkJudge(b *testing.B) {
	o := cueDesk(b)
	for b.Loop() {
		Judge(o)
	}
}

func BenchmarkJudgeDesk12(b *testing.B) {
	o := order(made(b, desk()))
	for b.Loop() {
		Judge(o)
	}
}
