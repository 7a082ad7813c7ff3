package plate

import (
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"knobwright/internal/geom"
)

// Slots and windows get grid lines: on the usual grid movements are within 2 per cent of those on cells of 4 mm.
func TestSlotsOnTheUsualGrid(t *testing.T) {
	for name, o := range map[string]geom.Outline{
		"slot 60 x 3":     geom.Slot(at(120, 80), 60, 3),
		"upright 3 x 60":  geom.Slot(at(120, 80), 3, 60),
		"window 60 x 30":  geom.Rect(at(123, 77), 60, 30, 0),
		"window 20 x 12":  geom.Rect(at(123, 77), 20, 12, 0),
		"rounded 50 x 40": geom.Rect(at(123, 77), 50, 40, 6),
		"double D 16":     geom.DoubleD(at(123, 77), 16, 14),
	} {
		m := Model{Outline: box(240, 160), Thickness: 3, Material: Even(3200, 0.37, 0), Lines: sides(240, 160, 0, 0, 0, 0), Openings: []Opening{{name, o}}}
		for _, q := range []geom.Vec2{at(120, 97), at(160, 60), at(70, 80)} {
			m.Cases = append(m.Cases, Case{Forces: []Force{{len(m.Spots), 10}}})
			m.Spots = append(m.Spots, Spot{At: q, Outer: 8})
		}
		_, a := solve(t, m)
		m.Options.Cell = 4
		_, b := solve(t, m)
		for i := range a.Cases {
			e := a.Cases[i].Give[i]/b.Cases[i].Give[i] - 1
			t.Logf("%s, load %d: %+.2f %%", name, i+1, 100*e)
			if math.Abs(e) > 0.02 {
				t.Errorf("%s: off by %.2f %%", name, 100*e)
			}
		}
	}
}

// Lowest frequencies by theory: simply supported a x b: pi/2·(1/a² + 1/b²)·√(D/m) exactly; clamped square 35.99/2pi·√(D/m)/a²
// (Leissa, Vibration of Plates, 1969); a weight on a light bar √(48·EI/(M·l³))/2pi.
func TestFrequency(t *testing.T) {
	const e, nu, th, rho = 70000.0, 0.3, 2.0, 2700.0
	d := e * th * th * th / 12 / (1 - nu*nu) // N·mm
	mass := rho * 1e-12 * th                 // t/mm²
	near := func(name string, got, want, tol float64) {
		t.Helper()
		t.Logf("%s: %.4g Hz, theory %.4g: %+.2f %%", name, got, want, 100*(got/want-1))
		if math.Abs(got/want-1) > tol {
			t.Errorf("%s is off", name)
		}
	}
	get := func(m Model, masses ...Mass) float64 {
		p, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		f, err := p.Frequency(masses)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	m := Model{Outline: box(300, 200), Thickness: th, Material: Even(e, nu, rho), Lines: sides(300, 200, 0, 0, 0, 0), Options: Options{Thin: true}}
	near("simple", get(m), math.Pi/2*(1/90000.+1/40000.)*math.Sqrt(d/mass), 0.01)
	m.Outline, m.Lines = box(200, 200), sides(200, 200, Clamped, Clamped, Clamped, Clamped)
	near("clamped", get(m), 35.99/(2*math.Pi)*math.Sqrt(d/mass)/40000, 0.01)
	bar := Model{Outline: box(200, 10), Thickness: th, Material: Even(e, 0, 0), Spots: []Spot{{At: at(100, 5)}},
		Lines: []Line{{"", at(0, 0), at(0, 10), 0}, {"", at(200, 0), at(200, 10), 0}}, Options: Options{Thin: true}}
	near("weight on a bar", get(bar, Mass{0, 0.5}), math.Sqrt(48*e*10*8/12/(0.5e-3*8e6))/(2*math.Pi), 0.002)
	p, err := New(bar)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Frequency(nil); err == nil {
		t.Error("a weightless sheet has a frequency")
	}
	if _, err := p.Frequency([]Mass{{3, 1}}); err == nil {
		t.Error("a mass on no spot")
	}
}

// Whatever stands in a model: an answer, an error, never a panic, a number that is none, or a wait.
func FuzzModel(f *testing.F) {
	f.Add([]byte("abcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyz"))
	f.Add([]byte{0, 255, 3, 9, 200, 17, 88, 4, 120, 60, 33, 7, 250, 1, 2, 3, 90, 91, 92, 93, 94, 95})
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 300 {
			return
		}
		next := func() float64 {
			if len(b) < 2 {
				b = nil
				return 0.37
			}
			v := float64(binary.LittleEndian.Uint16(b)) / 65535
			b = b[2:]
			return v
		}
		in := func(lo, hi float64) float64 { return lo + (hi-lo)*next() }
		w, h := in(5, 400), in(5, 300)
		p := func() geom.Vec2 { return at(in(-0.1, 1.1)*w, in(-0.1, 1.1)*h) }
		m := Model{Outline: geom.Outline{{P: at(0, 0)}, {P: at(w, in(-20, 20))}, {P: at(w*in(0.5, 1), h)}, {P: at(0, h)}}, Thickness: in(0, 10),
			Material: Material{Along: math.Pow(10, in(-3, 8)), Across: in(0, 1) * 1e4, Poisson: in(-0.1, 0.6), Grain: in(0, 360), Rolling: in(0, 500), Density: 1e3}}
		for k := int(in(0, 6)); k > 0 && len(b) > 0; k-- {
			switch q := p(); int(in(0, 3)) {
			case 0:
				m.Openings = append(m.Openings, Opening{"", geom.Circle(q, in(0, 60))})
			case 1:
				m.Openings = append(m.Openings, Opening{"", geom.Rect(q, in(0, 90), in(0, 30), in(0, 6))})
			case 2:
				m.Openings = append(m.Openings, Opening{"", geom.Outline{{P: q}, {P: p(), Bulge: in(-1, 1)}, {P: p()}}})
			}
		}
		if in(0, 1) > 0.3 { // held well
			m.Thickness, m.Material = in(0.5, 8), Material{Along: math.Pow(10, in(1, 5)), Poisson: in(0, 0.45), Grain: in(0, 360), Rolling: 0}
			for i := range m.Outline {
				m.Lines = append(m.Lines, Line{"", m.Outline[i].P, m.Outline[(i+1)%4].P, []float64{0, Clamped, in(0, 1e4)}[int(in(0, 2.99))]})
			}
		}
		for k := int(in(0, 5)); k > 0 && len(b) > 0; k-- {
			m.Lines = append(m.Lines, Line{"", p(), p(), []float64{0, Clamped, in(0, 1e4)}[int(in(0, 2.99))]})
		}
		for k := int(in(0, 5)); k > 0 && len(b) > 0; k-- {
			m.Points = append(m.Points, Point{"", p(), in(0, 10), in(0, 1) * 0.01})
		}
		for k := int(in(0, 3)); k > 0 && len(b) > 0; k-- {
			m.Ribs = append(m.Ribs, Rib{A: p(), B: p(), Width: in(0, 20), Height: in(0, 40), Young: math.Pow(10, in(0, 6)), Poisson: in(0, 0.5), Glue: in(0, 1) * 1e4})
		}
		for range 2 {
			m.Spots = append(m.Spots, Spot{At: p(), Outer: in(0, 30), Inner: in(0, 10)})
		}
		m.Cases = []Case{{Forces: []Force{{0, in(-50, 50)}}, Pressure: in(0, 1) * 1e-3}, {Forces: []Force{{1, 5}}, Weight: 1}}
		pl, err := New(m)
		if err != nil {
			_ = err.Error()
			return
		}
		for _, n := range pl.Notices() {
			_ = n.String()
		}
		r, err := pl.Solve()
		if err != nil {
			return
		}
		for _, c := range r.Cases {
			for _, v := range append(append(c.Give, c.Lines...), c.Points...) {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%v", c.Give)
				}
			}
			for _, e := range c.Edges {
				if math.IsNaN(e.Peak) || math.IsNaN(e.Mean) {
					t.Fatal("stress is no number")
				}
			}
			if _, ok := c.Moment(at(w/2, h/2)); ok {
				c.At(at(w/2, h/2))
			}
		}
	})
}

// How the solver is used.
func ExampleNew() {
	p, err := New(Model{
		Outline: geom.Rect(geom.Vec2{X: 160, Y: 90}, 320, 180, 0), Thickness: 3, Material: Even(3200, 0.37, 1190),
		Lines: []Line{
			{Name: "left wall", A: geom.Vec2{X: 0, Y: 0}, B: geom.Vec2{X: 0, Y: 180}},
			{Name: "right wall", A: geom.Vec2{X: 320, Y: 0}, B: geom.Vec2{X: 320, Y: 180}},
		},
		Spots: []Spot{{Name: "button", At: geom.Vec2{X: 160, Y: 90}, Outer: 8}},
		Cases: []Case{{Name: "press", Forces: []Force{{Spot: 0, Newton: 10}}}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := p.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	c := r.Cases[0]
	fmt.Printf("the button gives %.1f mm; the walls carry %.1f and %.1f N\n", c.Give[0], c.Lines[0], c.Lines[1])
	// Output: the button gives 4.9 mm; the walls carry 5.0 and 5.0 N
}
