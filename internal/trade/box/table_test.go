package box

import (
	"math"
	"strconv"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/witness"
)

// gaugeDrill gives the size of a number drill, mm, from the drill charts that every bit set follows.
var numberDrill = map[string]float64{
	"#44": 0.086, "#52": 0.0635, "#39": 0.0995, "#51": 0.067, "#35": 0.110, "#48": 0.076, "#33": 0.113, "#45": 0.082, "#31": 0.120, "#43": 0.089,
	"#29": 0.136, "#40": 0.098, "#25": 0.1495, "#38": 0.1015, "#14": 0.182, "#32": 0.116, "#10": 0.1935, "#6": 0.204, "#26": 0.147,
	"#27": 0.144, "#22": 0.157, "#18": 0.1695, "#4": 0.209, "#2": 0.221, "D": 0.246, "I": 0.272, "N": 0.302,
}

// TestGauges holds the numbered screws against ASME B18.6.1 (diameters) and the tabled roots.
func TestGauges(t *testing.T) {
	for _, r := range witness.Table(t, "testdata/wood_screws.csv") {
		n, _ := strconv.Atoi(r["gauge"])
		d, _ := strconv.ParseFloat(r["dia_mm"], 64)
		if r["confidence"] != "high" {
			continue
		}
		if g := Gauge(n); math.Abs(g.Major-d) > 0.002 {
			t.Errorf("#%d is %g, want %g", n, g.Major, d)
		}
		if root, err := strconv.ParseFloat(r["root_in"], 64); err == nil && math.Abs(Gauge(n).Root-root*25.4) > 1e-9 {
			t.Errorf("root of #%d is %g, want %g in", n, Gauge(n).Root, root)
		}
	}
	// USDA Wood Handbook: most roots average about two thirds of the shank; the tabled ones lie from 0.68 to 0.83 of it.
	for n, root := range roots {
		if k := root * 25.4 / Gauge(n).Major; k < 0.65 || k > 0.85 {
			t.Errorf("root of #%d is %g of its shank", n, k)
		}
	}
}

// TestPilots holds the rule of the Wood Handbook (70 and 90 % of the root) against a boat-builder's chart for best holding. The two
// sources disagree: the chart is finer up to #10 and coarser above. Held here: the rule stays below the root and lies from 0.4 mm
// under to 0.9 mm over the chart; the clearance hole passes the shank and is within 0.7 mm of the chart's, which takes hardly any air.
func TestPilots(t *testing.T) {
	n := 0
	for _, r := range witness.Table(t, "testdata/wood_screw_pilots.csv") {
		g, _ := strconv.Atoi(r["gauge"])
		if r["confidence"] != "high" {
			continue
		}
		s := Gauge(g)
		for _, c := range []struct{ kind, col string }{{Hardwood, "hardwood_drill"}, {Softwood, "softwood_drill"}} {
			d, ok := numberDrill[r[c.col]]
			if !ok {
				t.Errorf("no drill %s", r[c.col])
				continue
			}
			n++
			if p := Pilot(s, c.kind); p < d*25.4-0.4 || p > d*25.4+0.9 || p >= s.Root {
				t.Errorf("#%d in %s: pilot %.2f, chart %.2f, root %.2f", g, c.kind, p, d*25.4, s.Root)
			}
		}
		d, ok := numberDrill[r["shank_drill"]]
		if h := Shank(s); !ok || h <= s.Major || math.Abs(h-d*25.4) > 0.7 {
			t.Errorf("#%d: clearance %.2f, chart %.2f", g, h, d*25.4)
		}
	}
	if n < 15 {
		t.Errorf("only %d rows were held", n)
	}
}

// TestSheetSizes: every plywood, MDF, acrylic and aluminium sheet of the reference table is among those sold.
func TestSheetSizes(t *testing.T) {
	kinds := map[string]string{"plywood_4x8ft": "plywood", "plywood_5x5ft_birch": "plywood", "plywood_1250x2500": "plywood", "mdf_2800x2070": "mdf", "mdf_1220x2440": "mdf", "acrylic_2050x3050": "acrylic", "aluminium_1000x2000": "aluminium", "aluminium_1250x2500": "aluminium"}
	n := 0
	for _, r := range witness.Table(t, "testdata/sheet_sizes.csv") {
		k, ok := kinds[r["sheet"]]
		if !ok || r["confidence"] != "high" {
			continue
		}
		a, _ := strconv.ParseFloat(r["width_mm"], 64)
		b, _ := strconv.ParseFloat(r["length_mm"], 64)
		found := false
		for _, s := range sheetSizes[k] {
			found = found || max(s[0], s[1]) == max(a, b) && min(s[0], s[1]) == min(a, b)
		}
		if n++; !found {
			t.Errorf("%s %g x %g is not among the sheets sold", k, a, b)
		}
	}
	if n != len(kinds) {
		t.Errorf("%d of %d sheets held", n, len(kinds))
	}
}

// TestKerfs: the kerfs taken when none is given lie within those of the trade.
func TestKerfs(t *testing.T) {
	lo, hi := math.Inf(1), 0.0
	for _, r := range witness.Table(t, "testdata/kerf.csv") {
		k, _ := strconv.ParseFloat(r["kerf_mm"], 64)
		switch r["tool"] {
		case "laser":
			lo, hi = min(lo, k), max(hi, k)
		case "table_saw_full":
			if w := (&worker{Order: Order{Saw: Saw{Kind: "table"}}}).kerf(); math.Abs(w-k) > 0.2 {
				t.Errorf("table saw %g, want %g", w, k)
			}
		}
	}
	if w := (&worker{Order: Order{Saw: Saw{Kind: "laser"}}}).kerf(); w < lo || w > hi {
		t.Errorf("laser %g, want %g to %g", w, lo, hi)
	}
}

// TestHeatSets holds heat-set inserts against the pilot chart and the low-stress data; wood never takes them.
func TestHeatSets(t *testing.T) {
	n := 0
	for _, r := range witness.Table(t, "testdata/heat_set_inserts.csv") {
		if r["confidence"] != "high" || r["source"] == "heat-set insert house standard" {
			continue // another system, slightly smaller holes
		}
		s, ok := HeatSetFor(r["thread"])
		if r["unit"] == "in" {
			if name := catalog.ScrewName("#" + r["thread"]); r["thread"] != "1/4-20" {
				s, ok = HeatSetFor(name)
			}
		}
		if !ok {
			continue
		}
		n++
		k := 1.0
		if r["unit"] == "in" {
			k = 25.4
		}
		d, _ := strconv.ParseFloat(r["hole"], 64)
		if math.Abs(s.Hole-d*k) > 1e-9 {
			t.Errorf("%s: hole %g, want %g", r["thread"], s.Hole, d*k)
		}
		if w, err := strconv.ParseFloat(r["min_wall"], 64); err == nil && math.Abs(s.Wall-w*k) > 1e-9 {
			t.Errorf("%s: wall %g, want %g", r["thread"], s.Wall, w*k)
		}
	}
	if n < 9 {
		t.Errorf("only %d inserts were held", n)
	}
	if _, ok := InsertFor("#4-40"); ok {
		t.Error("there is no wood insert #4")
	}
}
