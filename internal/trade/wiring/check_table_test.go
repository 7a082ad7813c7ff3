package wiring

import (
	"fmt"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/witness"
)

// Worked examples of lamp resistors, a university's table: the plan takes the value of the table, and the lamp gets the current that the
// value gives, by its curve a little more than by a fixed drop.
func TestLampResistorsAgainstTable(t *testing.T) {
	n := 0
	for i, row := range witness.Table(t, "testdata/led_resistor_examples.csv") {
		if row["confidence"] != "high" {
			continue
		}
		vs, vf, ma := number(t, row["vs_V"]), number(t, row["vf_V"]), number(t, row["i_mA"])
		own := fmt.Sprintf("parts:\n  lamp-here: {like: lamp-5mm, lamp: {colour: none, drop: %g, current: %g}}\n", vf, ma)
		src := desk + fmt.Sprintf("wiring: {lamps: {by: always, supply: %g V, current: %g}, resistors: [E24]}\ncontrols: {a: {part: lamp-here, at: [50, 50]}}\n", vs, ma)
		cat, problems := catalog.Builtin().With("own.yaml", []byte(own))
		if len(problems) > 0 {
			t.Fatal(problems[0].Say)
		}
		p := placed(t, cat, src)
		d := *p.Module.Part.Board
		d.Supplies = []catalog.Supply{{Lug: "40", Volts: vs, Gives: 450, From: "port"}}
		p.Module.Part.Board = &d
		r := Work(p, cat)
		if len(r.Power.Lamps) != 1 || len(r.Fittings) != 1 {
			t.Fatalf("row %d: %s", i+2, dump(r))
		}
		want := number(t, row["r_next_E24_up"])
		l := r.Power.Lamps[0]
		near(t, fmt.Sprintf("row %d: resistor", i+2), r.Fittings[0].Ohms, want, 1e-9)
		simple := (vs - vf) / want * 1000
		if l.Nominal < simple*(1-1e-6) || l.Nominal > simple*1.06 || l.Nominal > ma*1.05 {
			t.Errorf("row %d: %g mA through %g ohm, a fixed drop gives %g", i+2, l.Nominal, want, simple)
		}
		if !(l.Least < l.Nominal && l.Nominal < l.Most) {
			t.Errorf("row %d: %+v", i+2, l)
		}
		n++
	}
	if n < 10 {
		t.Errorf("only %d rows", n)
	}
}

// Levels of chips, data sheets: what the checks hold inputs against. Shift-in boards are of the family 74HC and take the supply of the
// module, so on one of 5 V their levels are those at 5 V.
func TestLevelsAgainstTable(t *testing.T) {
	file := func(module, more string) string {
		return "knobwright: 1\nface: {width: 400, height: 240, sheet: acrylic-3mm}\nmodule: {part: " + module + "}\ncontrols: {a: {part: push-16mm, at: [50, 50]}}\n" + more
	}
	families := map[string]struct{ src, board string }{
		"RP2040_3V3": {file("rp2040-40pin", ""), "module"},
		"CMOS_HC_5V": {file("atmega32u4-24pin", "wiring: {by: shift-in, boards: {chain: {part: shift-in-8}}}\n"), "chain"},
	}
	n := 0
	for _, row := range witness.Table(t, "testdata/logic_levels.csv") {
		x, ok := families[row["family"]]
		if !ok || row["confidence"] != "high" {
			continue
		}
		w := plannedWith(t, catalog.Builtin(), x.src)
		c := &checker{w: w, r: &w.r, p: partsOf(&w.r, w.cat)}
		board := c.boardNamed(x.board)
		low, high, _ := c.receiver(board)
		v := number(t, row["value"])
		switch row["parameter"] {
		case "VIL_max":
			near(t, row["family"]+" low", low, v, 1e-9)
			// A pin reads low at that, and not at more: the rule says so on either side of it.
			most := low / (c.nodeVolts(board) - low) * w.r.Boards[board].Part.Board.PullUp[0]
			for _, share := range []float64{0.95, 1.05} {
				r := throughResistor(t, x.src, share*most)
				if fs := of(r, "volt.level"); (len(fs) > 0) != (share > 1) || len(r.Power.Inputs) != 1 {
					t.Errorf("%s through %g ohm: %+v", row["family"], share*most, r.Power.Inputs)
				}
				for _, f := range of(r, "volt.level") {
					solid(t, f)
					near(t, "wanted", f.Measure.Want, v, 1e-9)
				}
			}
		case "VIH_min":
			near(t, row["family"]+" high", high, v, 1e-9)
		default:
			continue
		}
		n++
	}
	if n != 4 {
		t.Errorf("%d levels, want 4", n)
	}
}

// throughResistor plans a button whose lead has a resistor in it, and pins that do not leak.
func throughResistor(t *testing.T, src string, ohm float64) Result {
	return spoilt(t, src, func(r *Result) {
		for i := range r.Boards {
			d := *r.Boards[i].Part.Board
			d.Leak = 0
			r.Boards[i].Part.Board = &d
		}
		r.Fittings = append(r.Fittings, Fitting{Name: "R9", Kind: "resistor", Ohms: ohm, Tol: 0, At: Terminal{"a", "no"}, For: 0})
		for i := range r.Nets {
			for k, x := range r.Nets[i].Terms {
				if x == (Terminal{"a", "no"}) {
					r.Nets[i].Terms[k] = Terminal{"R9", "1"}
				}
			}
		}
		r.Nets = append(r.Nets, Net{Name: "between", Kind: NetInner, Signal: -1, Terms: []Terminal{{"R9", "2"}, {"a", "no"}}})
	})
}

// What a port gives, USB 2.0: the numbers in the findings are those of the table.
func TestPortAgainstTable(t *testing.T) {
	v := map[string]float64{}
	for _, row := range witness.Table(t, "testdata/usb_power.csv") {
		if row["confidence"] == "high" {
			v[row["parameter"]] = number(t, row["value"])
		}
	}
	lamps := func(n int, extra string) Result {
		_, _, r := work(t, desk+"wiring: {lamps: {by: always, supply: 5 V, current: 20}}\ngroups:\n"+row("l", "lamp-5mm", n, 50)+extra)
		return r
	}
	find := func(r Result, s finding.Severity) *finding.Measure {
		for _, f := range of(r, "amp.port") {
			if f.Severity == s {
				return f.Measure
			}
		}
		t.Fatalf("nothing is said: %+v", r.Power)
		return nil
	}
	near(t, "configured", find(lamps(26, ""), finding.Stop).Want, v["max_configured"], 1e-9)
	near(t, "unconfigured", find(lamps(10, ""), finding.Warn).Want, v["unconfigured_max"], 1e-9)
	_, _, r := work(t, desk+"groups:\n"+row("l", "lamp-5mm", 12, 50)+"controls: {text: {part: display-oled-0.96, at: [200, 150]}}\n")
	near(t, "poor hub", find(r, finding.Note).Want, v["hub_bus_powered_port"], 1e-9)
	near(t, "high corner", State{Corner: Strong}.supply(5, true), v["vbus_port_max"], 1e-9)
	near(t, "low corner", State{Corner: Weak}.supply(5, true), v["device_low_power_min_operating"], 1e-9)
	if r := lamps(1, ""); len(of(r, "amp.port")) != 0 {
		t.Errorf("one lamp: %+v", of(r, "amp.port"))
	}
}
