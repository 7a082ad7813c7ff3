package plate

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/thorough"
)

// randomModel makes a sheet with openings, ribs and supports of many kinds, held well enough.
func randomModel(r *rand.Rand) Model {
	f := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	w, h := f(80, 330), f(60, 220)
	m := Model{Thickness: f(1.5, 6), Material: Even(f(1000, 70000), f(0.1, 0.45), 1200)}
	if r.IntN(3) == 0 {
		m.Material = Material{Along: 9000, Across: 5000, Poisson: 0.1, InPlane: 650, Through: 180, Rolling: 90, Grain: f(0, 180), Density: 680}
	}
	q := geom.Outline{{P: at(0, 0)}, {P: at(w, 0)}, {P: at(w, h)}, {P: at(0, h)}}
	if r.IntN(3) == 0 { // a slope at one end
		q[2].P.X -= f(5, w/4)
	}
	m.Outline = q
	for range r.IntN(8) {
		c := at(f(0.15, 0.85)*w, f(0.15, 0.85)*h)
		var o geom.Outline
		switch r.IntN(4) {
		case 0, 1:
			o = geom.Circle(c, f(4, 25))
		case 2:
			o = geom.Slot(c, f(15, 40), f(4, 10)).Move(geom.Place{}) // lies along x
		case 3:
			o = geom.Rect(c, f(8, 30), f(8, 20), 0)
		}
		clear := true
		for _, p := range m.Openings {
			if gap, _, _ := o.Gap(p.Outline); gap < 3 {
				clear = false
			}
		}
		if margin, _ := m.Outline.Margin(o); clear && margin > 3 {
			m.Openings = append(m.Openings, Opening{"", o})
		}
	}
	springs := []float64{0, Clamped, f(1, 2000)}
	for i := range q {
		if r.IntN(3) > 0 {
			m.Lines = append(m.Lines, Line{"", q[i].P, q[(i+1)%4].P, springs[r.IntN(3)]})
		}
	}
	if len(m.Lines) < 2 || r.IntN(4) == 0 {
		for _, s := range [4][2]float64{{0.08, 0.08}, {0.9, 0.1}, {0.72, 0.9}, {0.06, 0.92}} {
			m.Points = append(m.Points, Point{"", at(s[0]*w*0.95, s[1]*h), 7, 0})
		}
	}
	for range r.IntN(3) {
		a := at(f(0.1, 0.4)*w, f(0.1, 0.9)*h)
		b := at(f(0.5, 0.85)*w, a.Y)
		if r.IntN(2) == 0 {
			b.Y = f(0.1, 0.9) * h
		}
		m.Ribs = append(m.Ribs, Rib{A: a, B: b, Width: f(3, 12), Height: f(5, 20), Young: f(1000, 70000), Poisson: 0.3, Glue: float64(r.IntN(2)) * f(1, 1000)})
	}
	for i := range 4 {
		m.Spots = append(m.Spots, Spot{At: at(f(0.05, 0.7)*w, f(0.05, 0.95)*h), Outer: float64(r.IntN(2)) * f(2, 12)})
		m.Cases = append(m.Cases, Case{Forces: []Force{{i, f(1, 30)}}})
	}
	m.Cases = append(m.Cases, Case{Pressure: 1e-4, Weight: 0.8, Forces: []Force{{0, 3}, {2, -7}}})
	return m
}

// turned gives the model turned by a degrees and moved.
func turned(m Model, a float64, by geom.Vec2) Model {
	m = m.clone()
	s, c := math.Sincos(a * deg)
	f := func(p geom.Vec2) geom.Vec2 { return at(c*p.X-s*p.Y+by.X, s*p.X+c*p.Y+by.Y) }
	shape := func(o geom.Outline) {
		for i := range o {
			o[i].P = f(o[i].P)
		}
	}
	shape(m.Outline)
	for i := range m.Openings {
		shape(m.Openings[i].Outline)
	}
	for i := range m.Lines {
		m.Lines[i].A, m.Lines[i].B = f(m.Lines[i].A), f(m.Lines[i].B)
	}
	for i := range m.Points {
		m.Points[i].At = f(m.Points[i].At)
	}
	for i := range m.Ribs {
		m.Ribs[i].A, m.Ribs[i].B = f(m.Ribs[i].A), f(m.Ribs[i].B)
	}
	for i := range m.Spots {
		m.Spots[i].At = f(m.Spots[i].At)
	}
	m.Material.Grain += a
	return m
}

// Random sheets: reactions carry the loads and their moments, work equals energy, the equations hold; C_ij = C_ji; a
// turn and a move of the whole change nothing; every movement under its own force has the force's direction.
func TestRandomSheets(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	n := thorough.Of(60, 12)
	var worst Checks
	for k := range n {
		m := randomModel(r)
		var off *InputError
		if _, err := New(m); errors.As(err, &off) && off.Want[:2] == "a " {
			continue // a rib or a point over an opening
		}
		p, res := solveAny(t, m)
		// stiff ribs on soft sheets and slanting supports cost a digit or two
		if q := res.Checks; !(q.Balance < 1e-7 && q.Tip < 1e-7 && q.Energy < 1e-6 && q.Residual < 1e-12) {
			t.Fatalf("sheet %d: checks %+v", k, q)
		}
		worst = Checks{max(worst.Balance, res.Checks.Balance), max(worst.Tip, res.Checks.Tip), max(worst.Energy, res.Checks.Energy), max(worst.Residual, res.Checks.Residual)}
		c := p.Compliance()
		for i := range m.Spots {
			if !(c[i][i] > 0) {
				t.Fatalf("sheet %d: spot %d gives %g under its own force", k, i, c[i][i])
			}
			for j := range m.Spots {
				f := m.Cases[i].Forces[0].Newton
				if e := math.Abs(res.Cases[i].Give[j] - c[i][j]*f); e > 1e-9*f*math.Sqrt(c[i][i]*c[j][j]) {
					t.Fatalf("sheet %d: movement and compliance differ by %g", k, e)
				}
				a, b := res.Cases[i].Give[j]/f, res.Cases[j].Give[i]/m.Cases[j].Forces[0].Newton
				if math.Abs(a-b) > 1e-9*math.Sqrt(c[i][i]*c[j][j]) {
					t.Fatalf("sheet %d: %d under %d %g, %d under %d %g", k, i, j, a, j, i, b)
				}
			}
		}
		angle := []float64{90, 180, -90, 37, 141.5, 45}[k%6]
		_, turn := solveAny(t, turned(m, angle, at(-500, 1200)))
		for i, cr := range res.Cases {
			for j, w := range cr.Give {
				size := 0.0
				for _, v := range cr.Give {
					size = max(size, math.Abs(v))
				}
				if e := math.Abs(turn.Cases[i].Give[j] - w); e > 1e-5*size {
					t.Fatalf("sheet %d turned by %g: case %d spot %d %.9g, before %.9g", k, angle, i, j, turn.Cases[i].Give[j], w)
				}
			}
			for j, l := range cr.Lines {
				if e := math.Abs(turn.Cases[i].Lines[j] - l); e > 1e-5*(math.Abs(cr.Load)+1) {
					t.Fatalf("sheet %d turned by %g: line %d carries %g, before %g", k, angle, j, turn.Cases[i].Lines[j], l)
				}
			}
			for j, e := range cr.Edges {
				if q := turn.Cases[i].Edges[j].Peak; math.Abs(q-e.Peak) > 2e-3*e.Peak {
					t.Fatalf("sheet %d turned by %g: opening %d has %g MPa, before %g", k, angle, j, q, e.Peak)
				}
			}
		}
	}
	t.Logf("%d sheets, worst checks %+v", n, worst)
}

// A sheet and loads alike on both sides move alike on both sides.
func TestMirror(t *testing.T) {
	m := Model{Outline: box(300, 160), Thickness: 3, Material: Even(3200, 0.37, 0), Lines: sides(300, 160, 0, 0, Clamped, -1)}
	for _, x := range []float64{60, 120, 180, 240} {
		m.Openings = append(m.Openings, Opening{"", geom.Circle(at(x, 80), 22)})
	}
	for _, x := range []float64{30, 90, 210, 270} {
		m.Spots = append(m.Spots, Spot{At: at(x, 100), Outer: 8})
	}
	m.Ribs = []Rib{{A: at(40, 120), B: at(260, 120), Width: 6, Height: 12, Young: 3200, Poisson: 0.37}}
	m.Cases = []Case{{Forces: []Force{{0, 5}, {3, 5}}}, {Pressure: 1e-3}}
	_, r := solve(t, m)
	for _, c := range r.Cases {
		for i := range 2 {
			if a, b := c.Give[i], c.Give[3-i]; math.Abs(a-b) > 1e-9*math.Abs(a) {
				t.Errorf("spot %d %.12g, its mirror %.12g", i, a, b)
			}
		}
		if a, b := c.Lines[0], c.Lines[1]; math.Abs(a-b) > 1e-8*math.Abs(a) {
			t.Errorf("left %.12g N, right %.12g N", a, b)
		}
	}
}

// However the grid lies, a sheet with a grain gives the same: within 0.2 per cent as a thin sheet, within 1.5 with shear and edge
// layer under presses as wide as a button's rim.
func TestGrain(t *testing.T) {
	m := Model{Outline: box(240, 160), Thickness: 6,
		Material: Material{Along: 9000, Across: 4500, Poisson: 0.08, InPlane: 650, Through: 180, Rolling: 90},
		Lines:    sides(240, 160, 0, 0, 0, 0), Spots: []Spot{{At: at(120, 80), Outer: 28, Inner: 20}, {At: at(70, 110), Outer: 28, Inner: 20}},
		Cases: []Case{{Forces: []Force{{0, 10}}}, {Forces: []Force{{1, 10}}}}}
	for _, thin := range []bool{true, false} {
		worst, limit := 0.0, 0.015
		if thin {
			limit = 0.002
		}
		for _, grain := range []float64{0, 90, 45, 20} {
			m.Material.Grain, m.Options = grain, Options{Thin: thin}
			_, a := solve(t, m)
			for _, turn := range []float64{90, 45, 20} {
				m.Options.Turn = turn
				_, b := solve(t, m)
				for i := range a.Cases {
					for j, w := range a.Cases[i].Give {
						e := b.Cases[i].Give[j]/w - 1
						worst = max(worst, math.Abs(e))
						if math.Abs(e) > limit {
							t.Errorf("thin %v, grain %g, grid turned by %g: %+.2f %%", thin, grain, turn, 100*e)
						}
					}
				}
			}
		}
		t.Logf("thin %v: worst %.2f %%", thin, 100*worst)
	}
	// stiffer along the grain: a strip along it gives less than one across, by the ratio of moduli
	strip := func(grain float64) float64 {
		q := Model{Outline: box(200, 10), Thickness: 2, Material: m.Material,
			Lines: []Line{{"", at(0, 0), at(0, 10), 0}, {"", at(200, 0), at(200, 10), 0}},
			Spots: []Spot{{At: at(100, 5)}}, Cases: []Case{{Forces: []Force{{0, 1}}}}, Options: Options{Thin: true, Cell: 5}}
		q.Material.Grain = grain
		_, r := solve(t, q)
		return r.Cases[0].Give[0]
	}
	if q := strip(90) / strip(0); math.Abs(q-2) > 0.02 {
		t.Errorf("across by along %.4f, the moduli say 2", q)
	}
}
