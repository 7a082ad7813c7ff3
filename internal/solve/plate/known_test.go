package plate

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/witness"
)

func at(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }

// tableCase is one sheet of the tables: x runs over a, y over b; the special edges are y = 0 and y = b.
type tableCase struct {
	a, b     float64
	supports string
	n        int // cells on the short side
}

// model gives the sheet under a pressure of 1 and under a force of 1 on its middle. E = 10.92, t = 1 and ν = 0.3 make D = 1.
func (c tableCase) model() Model {
	const free = -1
	l, r, bo, to := 0.0, 0.0, 0.0, 0.0
	switch c.supports {
	case "CCCC":
		l, r, bo, to = Clamped, Clamped, Clamped, Clamped
	case "SSSF":
		to = free
	case "SSSC":
		to = Clamped
	case "SCSC":
		bo, to = Clamped, Clamped
	case "SFSF":
		bo, to = free, free
	}
	// one size fits all only if the short side is far more than the thickness: thin-plate theory is asked for
	return Model{
		Outline: box(c.a, c.b), Thickness: 1, Material: Even(10.92, 0.3, 0), Lines: sides(c.a, c.b, l, r, bo, to),
		Spots:   []Spot{{At: at(c.a/2, c.b/2)}, {At: at(c.a/2, c.b)}},
		Cases:   []Case{{Pressure: 1}, {Forces: []Force{{0, 1}}}},
		Options: Options{Cell: min(c.a, c.b) / float64(c.n), Thin: true},
	}
}

// solve solves a model and looks at its checks.
func solve(t testing.TB, m Model) (*Plate, *Result) {
	t.Helper()
	p, r := solveAny(t, m)
	if k := r.Checks; !(k.Balance < 1e-8 && k.Tip < 1e-8 && k.Energy < 1e-6 && k.Residual < 1e-10) {
		t.Fatalf("checks %+v", k)
	}
	return p, r
}

// solveAny solves a model.
func solveAny(t testing.TB, m Model) (*Plate, *Result) {
	t.Helper()
	p, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return p, r
}

// Every row of Timoshenko & Woinowsky-Krieger's and Roark's tables, at eight cells on the short side: within 0.5 per cent under even
// load and 1 per cent under a force on the middle.
func TestTables(t *testing.T) {
	known := map[string]*Result{}
	worst := map[string]float64{}
	rows := 0
	for _, r := range witness.Table(t, "testdata/plates.csv") {
		if r["quantity"] == "beta" || r["quantity"] == "k2_for_stress" {
			continue // the stress under a small load: TestSmallLoad
		}
		ratio, err := strconv.ParseFloat(r["ratio"], 64)
		if err != nil {
			t.Fatal(err)
		}
		if math.IsInf(ratio, 1) {
			ratio = 8
		}
		key := fmt.Sprint(r["supports"], ratio)
		c := tableCase{1, ratio, r["supports"], 8}
		res := known[key]
		if res == nil {
			_, res = solve(t, c.model())
			known[key] = res
		}
		k := 0
		tol := 0.005
		if r["load"] != "uniform" {
			k, tol = 1, 0.01
		}
		cr := &res.Cases[k]
		var got float64
		moment := func(x, y float64) Moment {
			m, ok := cr.Moment(at(x, y))
			if !ok {
				t.Fatal("no moment")
			}
			return m
		}
		switch q := r["quantity"]; q {
		case "w_centre":
			got = cr.Give[0]
		case "w_free_edge_mid":
			got = cr.Give[1]
		case "Mx_centre":
			got = moment(0.5, ratio/2).XX
		case "sigma_centre":
			got = 6 * moment(0.5, ratio/2).XX
		case "My_centre":
			got = moment(0.5, ratio/2).YY
		case "Mx_edge_mid_long_side", "M_edge_mid_long_side":
			got = moment(0, ratio/2).XX
		case "sigma_edge_mid_long_side":
			got = -6 * moment(0, ratio/2).XX
		case "My_edge_mid_short_side":
			got = moment(0.5, 0).YY
		case "My_clamped_edge_mid":
			got = moment(0.5, ratio).YY
		case "Mx_free_edge_mid":
			got = moment(0.5, ratio).XX
		case "sigma_free_edge_mid":
			got = 6 * moment(0.5, ratio).XX
		case "corner_reaction":
			got = 2 * math.Abs(moment(0, 0).XY)
		case "edge_reaction_long_mid":
			v, ok := cr.EdgeForce(at(0, ratio/2), at(-1, 0))
			if !ok {
				t.Fatal("no edge force")
			}
			got = v
		default:
			t.Fatalf("unknown quantity %q", q)
		}
		if r["formula"] != "" && (contains(r["formula"], "E*t^3")) {
			got *= 10.92
		}
		value, _ := strconv.ParseFloat(r["value"], 64)
		want := value
		if r["recomputed"] != "" {
			want, _ = strconv.ParseFloat(r["recomputed"], 64)
		} else {
			tol += half(r["value"]) / math.Abs(value) // what printing rounds off
			if r["quantity"] == "corner_reaction" {
				tol += half(r["value"]) / math.Abs(value) // this column is cut off: 0.0925 is printed 0.092
			}
		}
		rows++
		e := got/want - 1
		name := r["supports"] + " " + r["load"] + " " + r["quantity"]
		worst[name] = max(worst[name], math.Abs(e))
		if !(math.Abs(e) <= tol) {
			t.Errorf("%s, ratio %s (%s): %.6g, wanted %.6g: %+.2f %%", name, r["ratio"], r["source"], got, want, 100*e)
		}
	}
	for name, e := range worst {
		t.Logf("%-45s worst %.2f %%", name, 100*e)
	}
	t.Logf("%d rows", rows)
}

func contains(s, sub string) bool {
	for i := 0; i+len(sub) <= len(s); i++ {
		if s[i:i+len(sub)] == sub {
			return true
		}
	}
	return false
}

// half gives half a unit of the last printed digit.
func half(s string) float64 {
	u := 0.5
	point := false
	for _, c := range s {
		if c == '.' {
			point = true
		} else if point {
			u /= 10
		}
	}
	return u
}
