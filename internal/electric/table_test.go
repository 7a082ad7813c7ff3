package electric

import (
	"math"
	"testing"

	"knobwright/internal/witness"
)

func near(t *testing.T, what string, have, want, rel float64) {
	t.Helper()
	if !(math.Abs(have-want) <= rel*math.Abs(want)+1e-12) {
		t.Errorf("%s is %.8g, want %.8g", what, have, want)
	}
}

// IEC 60063.
func TestSeriesAgainstTable(t *testing.T) {
	count := map[Series]int{}
	for _, r := range witness.Table(t, "testdata/e_series.csv") {
		s := Series(witness.Number(t, r["series"][1:]))
		want := witness.Number(t, r["value"])
		scale := 10.0
		if s > E24 {
			scale = 100
		}
		have := s.Values(scale, scale*9.999)
		i := int(witness.Number(t, r["index"]))
		if i >= len(have) || have[i] != want {
			t.Errorf("%s value %d is not %g", r["series"], i, want)
		}
		count[s]++
	}
	for s, n := range count {
		if n != int(s) || len(s.Values(1, 9.999)) != n {
			t.Errorf("E%d has %d values here and %d in the table", s, len(s.Values(1, 9.999)), n)
		}
	}
	if len(count) != 5 {
		t.Error(count)
	}
	// E192 is not in the table: every value of E96 is one of it, and the rule has one exception, 9.20 (from memory).
	if n := len(E192.Values(100, 999.5)); n != 192 {
		t.Errorf("E192 has %d values", n)
	}
	for _, v := range E96.Values(100, 999) {
		if E192.Nearest(v) != v {
			t.Errorf("%g of E96 is not in E192", v)
		}
	}
	if E192.Nearest(919) != 920 || E192.Nearest(103) != 102 && E192.Nearest(101) != 101 {
		t.Error("E192")
	}
}

// IEC 60062.
func TestBandsAgainstTables(t *testing.T) {
	for _, r := range witness.Table(t, "testdata/colour_code.csv") {
		if r["confidence"] != "high" || r["colour"] == "none" {
			continue
		}
		c := Colour(r["colour"])
		if r["digit"] != "" {
			d := witness.Number(t, r["digit"])
			if have, _, err := ReadBands([]Colour{"brown", c, "black"}); err != nil || have != 10+d {
				t.Errorf("%s as digit: %g %v", c, have, err)
			}
		} else if _, _, err := ReadBands([]Colour{c, "black", "black"}); err == nil {
			t.Errorf("%s is read as a digit", c)
		}
		want := math.Pow(10, witness.Number(t, r["multiplier_exp10"]))
		if have, _, err := ReadBands([]Colour{"brown", "black", c}); err != nil || math.Abs(have-10*want) > 1e-9*want {
			t.Errorf("%s multiplies 10 to %g, want %g: %v", c, have, 10*want, err)
		}
		_, tol, err := ReadBands([]Colour{"brown", "black", "black", c})
		if r["tolerance_pct"] == "" {
			if err == nil {
				t.Errorf("%s is read as a tolerance", c)
			}
		} else if err != nil || tol != witness.Number(t, r["tolerance_pct"]) {
			t.Errorf("%s means %g %%: %v", c, tol, err)
		}
		if c.Letters() == "" || ColourOf(c.Letters()) != c {
			t.Errorf("%s has the letters %q", c, c.Letters())
		}
	}
	for _, r := range witness.Table(t, "testdata/colour_code_examples.csv") {
		var bands []Colour
		text := r["bands"]
		for len(text) > 0 {
			i := 0
			for i < len(text) && text[i] != ' ' {
				i++
			}
			bands = append(bands, Colour(text[:i]))
			text = text[min(len(text), i+1):]
		}
		ohm, tol, err := ReadBands(bands)
		if err != nil || ohm != witness.Number(t, r["ohms"]) || tol != witness.Number(t, r["tolerance_pct"]) {
			t.Errorf("%s: %g ohm, %g %%, %v", r["bands"], ohm, tol, err)
		}
		back, err := Bands(ohm, tol, len(bands))
		if err != nil || len(back) != len(bands) {
			t.Fatal(back, err)
		}
		for i := range back {
			if back[i] != bands[i] {
				t.Errorf("%s comes back as %v", r["bands"], back)
			}
		}
	}
}

// Worked examples of a university's table: R = (Vs - Vf) / I, then the E24 value not below it.
func TestLampsAgainstTable(t *testing.T) {
	for _, r := range witness.Table(t, "testdata/led_resistor_examples.csv") {
		vs, vf, i := witness.Number(t, r["vs_V"]), witness.Number(t, r["vf_V"]), witness.Number(t, r["i_mA"])/1e3
		a, err := LampResistor(LampQuestion{Supply: Exactly(vs), Drop: Exactly(vf), Want: i})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "exact value", a.Exact, witness.Number(t, r["r_exact"]), 1e-9)
		if a.Ohm != witness.Number(t, r["r_next_E24_up"]) || a.Light != Lights {
			t.Errorf("%g V, %g V, %g A: %g ohm, %s; want %s", vs, vf, i, a.Ohm, a.Light, r["r_next_E24_up"])
		}
	}
}

// ASTM B258; resistances printed with three or four digits, so within 1 %.
func TestWireAgainstTables(t *testing.T) {
	for _, r := range witness.Table(t, "testdata/awg.csv") {
		g := AWG(witness.Number(t, r["awg"]))
		near(t, "diameter", g.Diameter(), witness.Number(t, r["dia_mm_formula"]), 3e-5)
		near(t, "area", g.Area(), witness.Number(t, r["area_mm2"]), 2e-4)
		near(t, "resistance", g.OhmPerKm(20), witness.Number(t, r["ohm_per_km"]), 0.01)
		if have, ok := NearestAWG(witness.Number(t, r["area_mm2"])); !ok || have != g {
			t.Errorf("%s mm2 is AWG %d, not %d", r["area_mm2"], g, have)
		}
	}
	for _, r := range witness.Table(t, "testdata/wire_current.csv") {
		if have, ok := ChassisAmp(AWG(witness.Number(t, r["awg"]))); !ok || have != witness.Number(t, r["chassis_A"]) {
			t.Errorf("AWG %s carries %g A", r["awg"], have)
		}
	}
}

// USB 2.0.
func TestPortsAgainstTable(t *testing.T) {
	waiting, _ := PortIn(Waiting)
	full, _ := PortIn(Configured)
	poor, _ := PortIn(PoorHub)
	asleep, _ := PortIn(Asleep)
	cable := func(g AWG) float64 { m, _ := CableMetres(g); return m }
	have := map[string]float64{
		"vbus_high_power_port_min": full.Volt.Min, "vbus_port_max": full.Volt.Max, "device_low_power_min_operating": poor.Volt.Min,
		"unit_load": 1e3 * UnitLoad, "max_configured": 1e3 * full.Amp, "unconfigured_max": 1e3 * waiting.Amp, "suspend_max": 1e3 * asleep.Amp,
		"bmaxpower_unit": 2, "inrush_capacitance_max": 1e6 * MostFarad, "hub_bus_powered_port": 1e3 * poor.Amp,
		"cable_power_pair_28AWG_max_length": cable(28), "cable_power_pair_26AWG_max_length": cable(26), "cable_power_pair_24AWG_max_length": cable(24),
		"cable_power_pair_22AWG_max_length": cable(22), "cable_power_pair_20AWG_max_length": cable(20),
	}
	checked := 0
	for _, r := range witness.Table(t, "testdata/usb_power.csv") {
		v, ok := have[r["parameter"]]
		if !ok || r["confidence"] != "high" {
			continue
		}
		near(t, r["parameter"], v, witness.Number(t, r["value"]), 1e-9)
		checked++
	}
	if checked != len(have) {
		t.Errorf("%d of %d limits checked", checked, len(have))
	}
	for _, c := range []struct {
		amp  float64
		want byte
	}{{0, 0}, {0.1, 50}, {0.5, 250}, {0.0981, 50}, {0.098, 49}} {
		if b, err := MaxPower(c.amp); err != nil || b != c.want {
			t.Errorf("%g A: %d %v", c.amp, b, err)
		}
	}
	if _, err := MaxPower(0.51); err == nil {
		t.Error("510 mA were taken")
	}
}

// UM10204.
func TestI2CAgainstTables(t *testing.T) {
	modes := map[string]I2CMode{"standard": I2CStandard, "fast": I2CFast, "fast_plus": I2CFastPlus}
	for _, r := range witness.Table(t, "testdata/i2c.csv") {
		m := modes[r["mode"]]
		for what, pair := range map[string][2]float64{"kHz": {m.Hertz / 1e3, 1}, "tr_max_ns": {m.Rise * 1e9, 1}, "cb_max_pF": {m.Farad * 1e12, 1}, "iol_mA": {m.Sink * 1e3, 1}, "time_constant_factor": {riseFactor, 1}} {
			near(t, r["mode"]+" "+what, pair[0], witness.Number(t, r[what]), 1e-9)
		}
	}
	for _, r := range witness.Table(t, "testdata/i2c_examples.csv") {
		m, v, c := modes[r["mode"]], witness.Number(t, r["vdd_V"]), witness.Number(t, r["cb_pF"])*1e-12
		low, high := witness.Number(t, r["rp_min_ohm"]), witness.Number(t, r["rp_max_ohm"])
		near(t, "least", m.PullUpMin(v), low, 1e-5)
		near(t, "most", m.PullUpMax(c), high, 1e-4)
		a, err := I2C(I2CQuestion{Mode: m, Supply: v, Chips: []float64{c}, Series: E96, Tol: 1})
		if err != nil {
			t.Fatal(err)
		}
		if fits := low <= high; fits != (a.Verdict == BusWants) || !fits && a.Verdict != BusNarrow {
			t.Errorf("%s at %g V with %g F: %s", r["mode"], v, c, a.Verdict)
		}
		if a.Add > 0 && (a.Add*0.99 < low || a.Add*1.01 > high) {
			t.Errorf("%g ohm of 1 %% leave %g to %g", a.Add, low, high)
		}
	}
}

func TestLevelsAgainstTable(t *testing.T) {
	names := map[string]string{"RP2040_3V3": "RP2040 at 3.3 V", "ATmega32U4_5V": "ATmega32U4 at 5 V", "LVTTL_3V3": "3.3 V logic", "CMOS_HC_5V": "HC at 5 V", "TTL_HCT_5V": "HCT at 5 V"}
	for _, r := range witness.Table(t, "testdata/logic_levels.csv") {
		for _, f := range Families() {
			if f.Name != names[r["family"]] {
				continue
			}
			have := map[string]float64{"VIL_max": f.Receiver.LowMax, "VIH_min": f.Receiver.HighMin, "VOH_min": f.Driver.HighMin, "VOL_max": f.Driver.LowMax}[r["parameter"]]
			if have != witness.Number(t, r["value"]) {
				t.Errorf("%s %s is %g here, %s in the table", r["family"], r["parameter"], have, r["value"])
			}
		}
	}
}

func TestDropsAgainstTable(t *testing.T) {
	names := map[string]string{"red": "red", "bright_red": "bright red", "yellow": "yellow", "green": "green", "blue_InGaN": "blue", "white": "white", "green_InGaN": "pure green"}
	checked := 0
	for _, r := range witness.Table(t, "testdata/led_vf.csv") {
		name, ok := names[r["colour"]]
		if !ok {
			continue
		}
		d, ok := DropOf(name)
		if !ok || d.Volt.Nom != witness.Number(t, r["vf_typ_V"]) || d.Volt.Max != witness.Number(t, r["vf_max_V"]) || 1e3*d.Most != witness.Number(t, r["if_max_mA"]) {
			t.Errorf("%s: %+v", name, d)
		}
		checked++
	}
	if checked != len(names) {
		t.Errorf("%d colours checked", checked)
	}
	for _, d := range Drops() {
		if d.Volt.check("drop", "V", 1, 5) != nil || d.Source.Text == "" {
			t.Errorf("%+v", d)
		}
	}
}
