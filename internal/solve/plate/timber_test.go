package plate

import (
	"math"
	"testing"

	"knobwright/internal/geom"
)

// A bar of plywood under a thin soft sheet is Timoshenko's beam: F·a²·b²/3·EI·L + F·a·b/(GA·L) at the push, EI of bar and sheet together,
// A five sixths of the bar (Timoshenko, Strength of Materials). One number stands for pushes in all places, so that one at a quarter
// comes out somewhat too stiff.
func TestRibGivesByShear(t *testing.T) {
	const long, wide, high, young, soft = 250.0, 9.0, 30.0, 8750.0, 2000.0
	flange, area := soft*4*long/(math.Pi*(3+2*0.3-0.09)), young*wide*high // N
	ei := young*wide*high*high*high/12 + area*flange/(area+flange)*15.5*15.5
	for _, x := range []struct{ g, at, within float64 }{{620, 0.5, 0.03}, {300, 0.5, 0.04}, {620, 0.25, 0.08}, {100, 0.5, 0.03}, {0, 0.5, 0.03}} {
		m := Model{
			Outline: box(long, 100), Thickness: 1, Material: Even(soft, 0.3, 0),
			Lines: []Line{{Name: "left", A: at(0, 0), B: at(0, 100)}, {Name: "right", A: at(long, 0), B: at(long, 100)}},
			Ribs:  []Rib{{Name: "bar", A: at(0, 50), B: at(long, 50), Width: wide, Height: high, Young: young, Poisson: 0.3, Shear: x.g}},
			Spots: []Spot{{At: at(long*x.at, 50), Outer: 6}},
			Cases: []Case{{Forces: []Force{{0, 1}}}},
		}
		for _, model := range []RibModel{Membrane, EffectiveWidth} {
			m.Options.Ribs = model
			_, r := solve(t, m)
			g := x.g
			if g == 0 {
				g = young / 2.6
			}
			a, b := long*x.at, long*(1-x.at)
			bending := a * a * b * b / (3 * ei * long)
			shear := a * b / (5.0 / 6 * g * wide * high * long)
			want := bending + shear
			got := r.Cases[0].Give[0]
			t.Logf("G %3.0f MPa, push at %.2f, model %d: %.5g mm, Timoshenko %.5g (shear %.0f %%): %+.2f %%", x.g, x.at, model, got, want, 100*shear/(bending+shear), 100*(got/want-1))
			if math.Abs(got/want-1) > x.within {
				t.Errorf("more than %.1f %% off", 100*x.within)
			}
		}
	}
}

// The rib's shear modulus of an even material changes next to nothing; a lower one makes the rib softer, and never softer than no rib.
func TestRibShearOrders(t *testing.T) {
	m := deskFace()
	give := func(g float64) float64 {
		m := m.clone()
		if g < 0 {
			m.Ribs = nil
		} else {
			m.Ribs[0].Shear = g
		}
		_, r := solve(t, m)
		return r.Cases[22].Give[22]
	}
	even, same, wood, none := give(0), give(3200/2.74), give(200), give(-1)
	if math.Abs(same/even-1) > 1e-3 || !(wood > even*1.02) || !(wood < none) {
		t.Errorf("even %g, the same by name %g, wood %g, none %g", even, same, wood, none)
	}
}

// A sheet of birch plywood on four edges against Navier's series for Reissner's and Mindlin's plate with two rotations, which share nothing
// with the one field of shear here.
func TestGrainAgainstTwoRotations(t *testing.T) {
	for _, x := range []struct{ t, along, across, within float64 }{{4, 16471, 1029, 0.01}, {6, 12737, 4763, 0.01}, {9, 11395, 6105, 0.015}} {
		const a, b, c = 320.0, 180.0, 12.0
		mat := Material{Along: x.along, Across: x.across, Poisson: 0.05, InPlane: 620, Through: 160, Rolling: 60}
		m := Model{Outline: box(a, b), Thickness: x.t, Material: mat, Lines: sides(a, b, 0, 0, 0, 0), Options: Options{NoEdge: true}}
		places := []vec{at(160, 90), at(60, 60), at(160, 40)}
		for i, q := range places {
			m.Spots = append(m.Spots, Spot{Outline: geom.Rect(q, c, c, 0)})
			m.Cases = append(m.Cases, Case{Forces: []Force{{i, 1}}})
		}
		_, r := solve(t, m)
		for i, q := range places {
			want := twoRotations(mat, a, b, x.t, q, c)
			got := r.Cases[i].Give[i]
			t.Logf("%.0f mm at %v: %.5g, series %.5g: %+.2f %%", x.t, q, got, want, 100*(got/want-1))
			if math.Abs(got/want-1) > x.within {
				t.Errorf("%.0f mm at %v: %.2f %% off", x.t, q, 100*(got/want-1))
			}
		}
	}
}

// twoRotations sums Navier's series of a simply held plate with two rotations for one newton on a square of side c.
func twoRotations(m Material, a, b, t float64, at vec, c float64) (w float64) {
	back := m.Poisson * m.Across / m.Along
	k := t * t * t / 12 / (1 - m.Poisson*back)
	d11, d22, d12, d66 := m.Along*k, m.Across*k, m.Poisson*m.Across*k, m.InPlane*t*t*t/12
	s1, s2 := 5.0/6*m.Through*t, 5.0/6*m.Rolling*t
	for i := 1; i < 200; i++ {
		for j := 1; j < 200; j++ {
			p, q := float64(i)*math.Pi/a, float64(j)*math.Pi/b
			load := math.Sin(p*at.X) * math.Sin(p*c/2) / (p * c / 2) * math.Sin(q*at.Y) * math.Sin(q*c/2) / (q * c / 2)
			x := solve3([3][3]float64{
				{s1*p*p + s2*q*q, s1 * p, s2 * q},
				{s1 * p, d11*p*p + d66*q*q + s1, (d12 + d66) * p * q},
				{s2 * q, (d12 + d66) * p * q, d22*q*q + d66*p*p + s2},
			}, [3]float64{1, 0, 0})
			w += 4 / (a * b) * load * load * x[0]
		}
	}
	return w
}

// Sheets of birch plywood on walls that stand in from their edges keep their softer edges wherever a hole goes, and give no jumps as it
// moves on by a tenth of a millimetre. The layer of plywood is deeper than cells are large, and layers meet in corners.
func TestPlywoodKeepsItsEdges(t *testing.T) {
	sorts := []struct{ t, along, across float64 }{{3, 16471, 1029}, {3.8, 16471, 1029}, {6.4, 12737, 4763}, {9.2, 11395, 6105}, {17.7, 10048, 7452}}
	for _, size := range []vec{at(300, 200), at(200, 300), at(120, 90)} {
		for _, s := range sorts {
			m := Model{Outline: box(size.X, size.Y), Thickness: s.t, Material: Material{Along: s.along, Across: s.across, Poisson: 0.05, InPlane: 620, Through: 160, Rolling: 60}}
			for _, l := range sides(size.X-18, size.Y-18, 0, 0, 0, 0) {
				l.A, l.B = l.A.Add(at(9, 9)), l.B.Add(at(9, 9))
				m.Lines = append(m.Lines, l)
			}
			m.Openings = []Opening{{"moving", geom.Outline{}}, {"large", geom.Circle(at(0.75*size.X, 0.5*size.Y), 30.5)}}
			m.Spots = []Spot{{At: at(0.4*size.X, 0.45*size.Y), Inner: 16.2, Outer: 22}}
			was := 0.0
			for k := range 3 {
				c := at(0.4*size.X+0.1*float64(k), 0.45*size.Y)
				m.Openings[0].Outline = geom.Circle(c, 16.2)
				m.Spots[0].At = c
				p, err := New(m)
				if err != nil {
					t.Fatal(err)
				}
				for _, n := range p.Notices() {
					t.Errorf("%v, %g mm: %v", size, s.t, n)
				}
				is := p.Compliance()[0][0]
				if k > 0 && math.Abs(is/was-1) > 0.01 {
					t.Errorf("%v, %g mm: a tenth of a millimetre changes the give by %.1f %%", size, s.t, 100*(is/was-1))
				}
				was = is
			}
		}
	}
}
