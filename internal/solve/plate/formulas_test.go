package plate

import (
	"math"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/witness"
)

// Closed formulas of the handbooks (sources in the table), for loads W or p, short side a, long side b, E = 10.92, t = 1, nu = 0.3. Those
// for rectangles are fits, up to 4.3 per cent off the tables in the middle of their range.
func TestFormulas(t *testing.T) {
	type sheet struct{ a, b float64 }
	const e = 10.92
	used := 0
	run := func(s sheet, supports string) *CaseResult {
		_, r := solve(t, tableCase{s.a, s.b, supports, 12}.model())
		return &r.Cases[0]
	}
	check := func(name string, got, want, tol float64) {
		t.Helper()
		if d := got/want - 1; math.Abs(d) > tol {
			t.Errorf("%s: %.5g, formula %.5g: %+.2f %%", name, got, want, 100*d)
		}
	}
	for _, r := range witness.Table(t, "testdata/plate_formulas.csv") {
		if r["confidence"] != "high" {
			continue
		}
		key := r["case"] + " " + r["quantity"]
		used++
		switch key {
		case "square_SS_held_down sigma_max": // 0.29·W/t²
			m, _ := run(sheet{1, 1}, "SSSS").Moment(at(0.5, 0.5))
			check(key, 6*m.XX, 0.29, 0.01)
		case "square_SS_held_down w_max": // 0.0443·W·L²/(E·t³)
			check(key, run(sheet{1, 1}, "SSSS").Give[0], 0.0443/e, 0.005)
		case "square_fixed sigma_max": // 0.31·W/t²
			m, _ := run(sheet{1, 1}, "CCCC").Moment(at(0, 0.5))
			check(key, -6*m.XX, 0.31, 0.01)
		case "square_fixed w_max": // 0.0138·W·L²/(E·t³)
			check(key, run(sheet{1, 1}, "CCCC").Give[0], 0.0138/e, 0.005)
		case "square_SS_load_small_circle w_max": // 0.1266·W·L²/(E·t³)
			_, q := solve(t, tableCase{1, 1, "SSSS", 12}.model())
			check(key, q.Cases[1].Give[0], 0.1266/e, 0.005)
		case "rect_SS w_max", "rect_SS sigma_max", "rect_fixed w_max", "rect_fixed sigma_max":
			for _, b := range []float64{1, 1.5, 2, 3} {
				q := 1 / b
				switch key {
				case "rect_SS w_max":
					check(key, run(sheet{1, b}, "SSSS").Give[0], 0.142/(e*(1+2.21*q*q*q)), 0.045)
				case "rect_SS sigma_max":
					m, _ := run(sheet{1, b}, "SSSS").Moment(at(0.5, b/2))
					check(key, 6*m.XX, 0.75/(1+1.61*q*q*q), 0.045)
				case "rect_fixed w_max":
					check(key, run(sheet{1, b}, "CCCC").Give[0], 0.0284/(e*(1+1.056*math.Pow(q, 5))), 0.045)
				case "rect_fixed sigma_max":
					m, _ := run(sheet{1, b}, "CCCC").Moment(at(0, b/2))
					check(key, -6*m.XX, 1/(2*(1+0.623*math.Pow(q, 6))), 0.045)
				}
			}
		case "circle_clamped_uniform w_max", "circle_clamped_point w_max", "circle_clamped_uniform sigma_edge":
			// TestClampedCircle holds the movements; at the rim of a polygon that slants through cells there are no whole cells to
			// smooth the moments
		case "flexural_rigidity D":
			st := newStiffness(Even(3200, 0.37, 0), 3, 0.7)
			check(key, st.d11, 3200*27/(12*(1-0.37*0.37)), 1e-12)
		default:
			// Lifting corners are another question; simple supports along a polygon do not turn into those of a circle however many
			// its sides (Babuska's paradox); stress under small loads is in TestSmallLoad; validity is a rule for people.
			used--
		}
	}
	if used != 13 {
		t.Errorf("%d rows used", used)
	}
}

// A clamped round sheet, as a polygon of 64 lines none of which lies on the grid (Mechanical Engineer's Data Handbook, p. 53):
// w = p·r⁴/(64·D), w = P·r²/(16·π·D).
func TestClampedCircle(t *testing.T) {
	const r, n = 100.0, 64
	var o geom.Outline
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.37) / n)
		o = append(o, geom.Vertex{P: at(r*c, r*s)})
	}
	m := Model{Outline: o, Thickness: 1, Material: Even(10.92, 0.3, 0), Spots: []Spot{{At: at(0, 0)}},
		Cases: []Case{{Pressure: 1}, {Forces: []Force{{0, 1}}}}, Options: Options{Thin: true}}
	for k := range o {
		m.Lines = append(m.Lines, Line{"", o[k].P, o[(k+1)%n].P, Clamped})
	}
	_, res := solve(t, m)
	for i, want := range []float64{r * r * r * r / 64, r * r / (16 * math.Pi)} {
		e := res.Cases[i].Give[0]/want - 1
		t.Logf("case %d: %+.2f %%", i, 100*e)
		if math.Abs(e) > 0.015 {
			t.Errorf("case %d is off by %.2f %%", i, 100*e)
		}
	}
}
