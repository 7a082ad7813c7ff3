package plate

import (
	"math"
	"testing"

	"knobwright/internal/geom"
)

// slope fits a straight line through logarithms: the order at which errors fall with the size of cells.
func slope(h, e []float64) float64 {
	var sx, sy, sxx, sxy float64
	n := float64(len(h))
	for i := range h {
		x, y := math.Log(h[i]), math.Log(math.Abs(e[i]))
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}

// navier gives the exact middle movement of a simply supported sheet a x b of D = 1 under a pressure of 1: a double series of
// sines (Navier; in Timoshenko & Woinowsky-Krieger, chapter 5).
func navier(a, b float64) (w float64) {
	for m := 1; m < 400; m += 2 {
		for n := 1; n < 400; n += 2 {
			k := math.Pow(float64(m*m)/(a*a)+float64(n*n)/(b*b), 2) * float64(m*n)
			w += 16 / math.Pow(math.Pi, 6) * math.Sin(float64(m)*math.Pi/2) * math.Sin(float64(n)*math.Pi/2) / k
		}
	}
	return w
}

// levy gives the exact movement under a force of 1 on the middle of a simply supported sheet 1 x b of D = 1: a single series
// (Timoshenko & Woinowsky-Krieger, article 34, who print 0.01160 for the square).
func levy(b float64) (w float64) {
	for m := 1.0; m < 2000; m += 2 {
		a := m * math.Pi * b / 2
		c := math.Cosh(min(a, 300))
		w += (math.Tanh(a) - a/(c*c)) / (m * m * m)
	}
	return w / (2 * math.Pow(math.Pi, 3))
}

// Errors fall with the fourth power of the cell size under even load, with the second under a force at a point.
func TestConvergence(t *testing.T) {
	var h, even, point []float64
	exact := navier(1, 1)
	tip := levy(1)
	for _, n := range []int{4, 6, 8, 12, 16} {
		_, r := solve(t, tableCase{1, 1, "SSSS", n}.model())
		h = append(h, 1/float64(n))
		even = append(even, r.Cases[0].Give[0]/exact-1)
		point = append(point, r.Cases[1].Give[0]/tip-1)
		t.Logf("%2d cells: even load %+.5f %%, point %+.4f %%", n, 100*even[len(even)-1], 100*point[len(point)-1])
	}
	se, sp := slope(h, even), slope(h, point)
	t.Logf("fitted orders: even load %.2f, point %.2f", se, sp)
	if se < 3.8 || sp < 1.8 {
		t.Errorf("orders %.2f and %.2f, wanted 4 and 2", se, sp)
	}
}

// A rib that is next to nothing leaves the plain sheet; a rigid one across the middle holds it like a clamp, so that each half
// is the table's sheet with one clamped edge (SSSC) of its own sides.
func TestRibLimits(t *testing.T) {
	for _, model := range []RibModel{Membrane, EffectiveWidth} {
		for _, ratio := range []float64{1, 1.5, 2} {
			const a = 100.0
			b := a * ratio
			m := Model{
				Outline: box(a, 2*b), Thickness: 0.1, Material: Even(10920, 0.3, 0), Lines: sides(a, 2*b, 0, 0, 0, 0),
				Spots:   []Spot{{At: at(a/2, b/2)}, {At: at(a/2, b)}},
				Cases:   []Case{{Pressure: 1e-6}},
				Options: Options{Ribs: model},
			}
			_, plain := solve(t, m)
			m.Ribs = []Rib{{A: at(0, b), B: at(a, b), Width: 0.5, Height: 0.1, Young: 1e-3, Poisson: 0.3}}
			_, weak := solve(t, m)
			for i, w := range plain.Cases[0].Give {
				if e := weak.Cases[0].Give[i]/w - 1; math.Abs(e) > 1e-3 {
					t.Errorf("ratio %g: a rib of nothing changes spot %d by %.3f %%", ratio, i, 100*e)
				}
			}
			m.Ribs[0].Height, m.Ribs[0].Young = 100, 2e6
			_, stiff := solve(t, m)
			d := 10920 * math.Pow(0.1, 3) / 12 / 0.91
			_, half := solve(t, tableCase{1, ratio, "SSSC", 16}.model())
			want := half.Cases[0].Give[0] * 1e-6 * a * a * a * a / d
			got := stiff.Cases[0].Give
			t.Logf("ratio %g, model %d: %.6g, half sheet %.6g: %+.2f %%; on the rib %.2g", ratio, model, got[0], want, 100*(got[0]/want-1), got[1])
			// the rib is half a millimetre wide
			if math.Abs(got[0]/want-1) > 0.01 || got[1] > 1e-3*want {
				t.Errorf("ratio %g: a rigid rib does not halve the sheet", ratio)
			}
		}
	}
}

// A rib as wide as the sheet is long, glued over the whole of it, makes a thicker sheet of it: along the rib, bending is that of a
// bar of both heights (exact theory of bars).
func TestRibMakesABar(t *testing.T) {
	const l, b, th, hr, e = 200.0, 20.0, 3.0, 9.0, 3000.0
	m := Model{
		Outline: box(l, b), Thickness: th, Material: Even(e, 0, 0),
		Lines: []Line{{"left", at(0, 0), at(0, b), 0}, {"right", at(l, 0), at(l, b), 0}},
		Ribs:  []Rib{{A: at(-2, b/2), B: at(l+2, b/2), Width: b - 0.01, Height: hr, Young: e}},
		Spots: []Spot{{At: at(l/2, b/2), Outer: 4}},
		Cases: []Case{{Forces: []Force{{0, 10}}}},
	}
	_, r := solve(t, m)
	i := b * math.Pow(th+hr, 3) / 12
	shear := 10 * l / 4 / (5.0 / 6 * e / 2 * b * (th + hr))
	want := 10*l*l*l/(48*e*i) + shear
	got := r.Cases[0].Give[0]
	t.Logf("%.5f mm, a bar of %g mm gives %.5f: %+.2f %%", got, th+hr, want, 100*(got/want-1))
	if math.Abs(got/want-1) > 0.03 {
		t.Error("a sheet on a full rib is not a thick bar")
	}
}

// Glue that slips freely leaves two bars side by side; glue that does not is no glue at all.
func TestGlueLimits(t *testing.T) {
	c := readSolid(t, "testdata/d4-one-rib-acrylic.json")
	m, _ := c.model()
	give := func(glue float64, rm RibModel) float64 {
		m.Ribs[0].Glue, m.Options.Ribs = glue, rm
		_, r := solve(t, m)
		return r.Cases[0].Give[0]
	}
	for _, rm := range []RibModel{Membrane, EffectiveWidth} {
		stiff, firm, tape, loose := give(0, rm), give(1e9, rm), give(1.8, rm), give(1e-6, rm)
		t.Logf("model %d: no slip %.4f, stiff glue %.4f, foam tape %.4f, none %.4f mm", rm, stiff, firm, tape, loose)
		if math.Abs(firm/stiff-1) > 1e-3 || !(tape > 1.3*stiff) || !(loose > tape) || loose/tape > 1.4 {
			t.Error("glue out of order")
		}
	}
	a, b := give(0, Membrane), give(0, EffectiveWidth)
	if math.Abs(a/b-1) > 0.05 {
		t.Errorf("the two models of a rib differ by %.1f %%", 100*(b/a-1))
	}
}

// Flanges end half way to the next rib and at the edge of the sheet.
func TestFlanges(t *testing.T) {
	m := Model{Outline: box(200, 100), Thickness: 2, Material: Even(3000, 0, 0), Lines: sides(200, 100, 0, 0, 0, 0), Options: Options{Ribs: EffectiveWidth}}
	rib := func(y float64) Rib {
		return Rib{A: at(-2, y), B: at(202, y), Width: 4, Height: 8, Young: 3000}
	}
	for _, c := range []struct {
		ys   []float64
		room float64 // of the first
	}{
		{[]float64{50}, 4 * (204 - 2*0.55*2*math.Sqrt(2)/1.655) / math.Pi / 3}, // about: the inset of an even sheet without contraction
		{[]float64{10}, 10 + 2*200/(math.Pi*3)}, {[]float64{50, 62}, 6 + 2*200/(math.Pi*3)}, {[]float64{50, 62, 44}, 9},
	} {
		m.Ribs = nil
		for _, y := range c.ys {
			m.Ribs = append(m.Ribs, rib(y))
		}
		p, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		r := &p.ribs[0]
		ea := 3000. * 32
		ef := 3000 * 2 * c.room
		want := 3000*4*512/12 + ea*ef/(ea+ef)*25
		if math.Abs(r.ei/want-1) > 0.01 {
			t.Errorf("ribs at %v: %.5g, wanted %.5g", c.ys, r.ei, want)
		}
	}
}

// Bars held like the handbook's, cut as narrow sheets (Machinery's Handbook, beams).
func TestBeams(t *testing.T) {
	const l, b, th, e = 200.0, 10.0, 2.0, 70000.0
	v := func(x float64, spring float64) Line { return Line{"", at(x, 0), at(x, b), spring} }
	i := b * th * th * th / 12
	q := 0.001
	point := func(k float64) float64 { return k * 5 * l * l * l / (e * i) }
	even := func(k float64) float64 { return k * q * b * l * l * l * l / (e * i) }
	spots := []Spot{{At: at(l/2, b/2)}, {At: at(l, b/2)}}
	for _, c := range []struct {
		name  string
		lines []Line
		load  Case
		spot  int
		want  float64
	}{
		{"simple, middle", []Line{v(0, 0), v(l, 0)}, Case{Forces: []Force{{0, 5}}}, 0, point(1. / 48)},
		{"simple, even", []Line{v(0, 0), v(l, 0)}, Case{Pressure: q}, 0, even(5. / 384)},
		{"fixed, middle", []Line{v(0, Clamped), v(l, Clamped)}, Case{Forces: []Force{{0, 5}}}, 0, point(1. / 192)},
		{"fixed, even", []Line{v(0, Clamped), v(l, Clamped)}, Case{Pressure: q}, 0, even(1. / 384)},
		{"cantilever, end", []Line{v(0, Clamped)}, Case{Forces: []Force{{1, 5}}}, 1, point(1. / 3)},
		{"cantilever, even", []Line{v(0, Clamped)}, Case{Pressure: q}, 1, even(1. / 8)},
		{"propped, even, middle", []Line{v(0, Clamped), v(l, 0)}, Case{Pressure: q}, 0, even(1. / 192)},
	} {
		m := Model{Outline: box(l, b), Thickness: th, Material: Even(e, 0, 0), Lines: c.lines, Spots: spots, Cases: []Case{c.load},
			Options: Options{Thin: true, Cell: 5}}
		_, r := solve(t, m)
		if got := r.Cases[0].Give[c.spot]; math.Abs(got/c.want-1) > 1e-3 {
			t.Errorf("%s: %.6g, wanted %.6g", c.name, got, c.want)
		}
	}
	// a spring at both ends, between simple and fixed: w = q·l⁴/384·(5 - 4·k·l/(k·l + 2·EI)), by the theory of bars
	for _, k := range []float64{0, 1, 100, 1e4, 1e9} {
		ei := e * th * th * th / 12
		want := q * l * l * l * l / (384 * ei) * (5 - 4*k*l/(k*l+2*ei))
		m := Model{Outline: box(l, b), Thickness: th, Material: Even(e, 0, 0), Lines: []Line{v(0, k), v(l, k)}, Spots: spots,
			Cases: []Case{{Pressure: q}}, Options: Options{Thin: true, Cell: 5}}
		_, r := solve(t, m)
		if got := r.Cases[0].Give[0]; math.Abs(got/want-1) > 1e-3 {
			t.Errorf("spring %g: %.6g, wanted %.6g", k, got, want)
		}
	}
}

// Self weight: a level sheet of steel carries its own mass on its supports.
func TestWeight(t *testing.T) {
	m := Model{Outline: box(300, 200), Thickness: 2, Material: Even(200000, 0.3, 7850), Lines: sides(300, 200, 0, 0, 0, 0),
		Openings: []Opening{{"", geom.Circle(at(150, 100), 60)}},
		Spots:    []Spot{{At: at(75, 100)}}, Cases: []Case{{Weight: 1}, {Weight: 0.5}}}
	p, r := solve(t, m)
	area := 300*200 - math.Pi*900
	want := area * 2 * 7850e-9 * standardFall
	sum := 0.0
	for _, l := range r.Cases[0].Lines {
		sum += l
	}
	if math.Abs(p.area/area-1) > 1e-4 || math.Abs(sum/want-1) > 1e-4 {
		t.Errorf("%.5g mm² of %.5g, %.5g N of %.5g", p.area, area, sum, want)
	}
	if a, b := r.Cases[0].Give[0], r.Cases[1].Give[0]; math.Abs(a-2*b) > 1e-12*a {
		t.Error("half the weight does not give half the movement")
	}
}

// A strip that runs on over a support is held there as by a wall of the length of what runs on.
func TestWallSpring(t *testing.T) {
	const l, b, th, e, far = 150.0, 10.0, 2.0, 3200.0, 60.0
	v := func(x, spring float64) Line { return Line{"", at(x, 0), at(x, b), spring} }
	for _, fixed := range []bool{false, true} {
		end := 0.0
		if fixed {
			end = Clamped
		}
		two := Model{Outline: box(l+far, b), Thickness: th, Material: Even(e, 0, 0), Lines: []Line{v(0, 0), v(l, 0), v(l+far, end)},
			Spots: []Spot{{At: at(l/2, b/2)}}, Cases: []Case{{Forces: []Force{{0, 1}}}}, Options: Options{Thin: true, Cell: 5}}
		_, r := solve(t, two)
		one := two
		one.Outline, one.Lines = box(l, b), []Line{v(0, 0), v(l, WallSpring(e, 0, th, far, fixed))}
		_, q := solve(t, one)
		if x, y := r.Cases[0].Give[0], q.Cases[0].Give[0]; math.Abs(x/y-1) > 1e-4 {
			t.Errorf("fixed %v: two spans %.6g, a spring %.6g", fixed, x, y)
		}
	}
}
