package catalog

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/witness"
)

// abilities of the pins by the chip's own names for them.
var abilityOf = map[string]string{"ADC": "analog", "INT": "interrupt", "PCINT": "pin-change", "TXD": "tx1", "RXD": "rx1", "SDA": "sda", "SCL": "scl"}

var functionName = regexp.MustCompile(`^([A-Z]+?)(\d*)$`)

// can gives the abilities that a list of the chip's functions means.
func can(t *testing.T, functions string) []string {
	t.Helper()
	var s []string
	for _, f := range strings.Fields(functions) {
		m := functionName.FindStringSubmatch(f)
		if m == nil || abilityOf[m[1]] == "" {
			t.Fatalf("function %q", f)
		}
		s = append(s, abilityOf[m[1]])
	}
	return s
}

// The pins of two modules against the tables of their pins: number, side, order, name, kind, functions.
func TestPinsAgainstTable(t *testing.T) {
	parts := map[string]string{"rp2040_40pin": "rp2040-40pin", "atmega32u4_24pin": "atmega32u4-24pin"}
	kinds := map[string][]PinKind{"gpio": {PinIO}, "ground": {PinGround, PinAGround}, "power": {PinSupply, PinReference}, "control": {PinReset, PinControl}}
	printed := map[string]string{"RESET": "RST"} // on the board
	seen := map[string]int{}
	lug := func(p Part, name string) Lug {
		return p.Lugs[slices.IndexFunc(p.Lugs, func(l Lug) bool { return l.Name == name })]
	}
	for _, r := range witness.Table(t, "testdata/module_pins.csv") {
		if r["confidence"] != "high" {
			continue
		}
		p, _ := Builtin().Part(parts[r["module"]])
		x, ok := p.Board.Pin(r["pin"])
		if !ok {
			t.Errorf("%s has no pin %s", p.ID, r["pin"])
			continue
		}
		seen[p.ID]++
		if !slices.Contains(kinds[r["kind"]], x.Kind) {
			t.Errorf("%s: pin %s is %s, the table has %s", p.ID, x.Lug, x.Kind, r["kind"])
		}
		name := r["name"]
		if s, ok := printed[name]; ok {
			name = s
		}
		if x.Name != name && x.Port != name {
			t.Errorf("%s: pin %s is %s (%s), the table has %s", p.ID, x.Lug, x.Name, x.Port, name)
		}
		l := lug(p, x.Lug)
		if (l.At[0] < 0) != (r["side"] == "left") {
			t.Errorf("%s: pin %s is not on the %s side", p.ID, x.Lug, r["side"])
		}
		first := "1"
		if r["side"] == "right" {
			first = map[string]string{"rp2040-40pin": "40", "atmega32u4-24pin": "24"}[p.ID]
		}
		if d := lug(p, first).At[1].MM() - l.At[1].MM(); math.Abs(d-2.54*(witness.Number(t, r["position_from_usb"])-1)) > 1e-9 {
			t.Errorf("%s: pin %s is %v mm from the first of its side", p.ID, x.Lug, d)
		}
		want := can(t, r["functions"])
		for _, s := range want {
			if !slices.Contains(x.Can, s) {
				t.Errorf("%s: pin %s cannot %s, the table has %s", p.ID, x.Lug, s, r["functions"])
			}
		}
		if x.Has("analog") != slices.Contains(want, "analog") {
			t.Errorf("%s: pin %s reads analog: %v, the table has %q", p.ID, x.Lug, x.Has("analog"), r["functions"])
		}
	}
	for _, id := range parts {
		if p, _ := Builtin().Part(id); seen[id] != len(p.Board.Pins) {
			t.Errorf("%s: %d of %d pins were compared", id, seen[id], len(p.Board.Pins))
		}
	}
}

// What the pins of all ATmega32U4 boards can do, against the table of the chip's pins.
func TestPortsAgainstTable(t *testing.T) {
	rows := map[string]string{}
	for _, r := range witness.Table(t, "testdata/atmega32u4_pins.csv") {
		if r["confidence"] == "high" {
			rows[r["name"]] = r["alternate"]
		}
	}
	n := 0
	for _, p := range boards(t, "module") {
		if p.Board.Chip != "ATmega32U4" {
			continue
		}
		for _, x := range p.Board.Pins {
			if x.Kind != PinIO {
				continue
			}
			alt, ok := rows[x.Port]
			if !ok {
				t.Errorf("%s: the chip has no %s", p.ID, x.Port)
				continue
			}
			n++
			want := can(t, alt)
			for _, s := range []string{"analog", "interrupt", "pin-change", "tx1", "rx1", "sda", "scl"} {
				if slices.Contains(x.Can, s) != slices.Contains(want, s) {
					t.Errorf("%s: %s: %s %v, the table has %q", p.ID, x.Port, s, slices.Contains(x.Can, s), alt)
				}
			}
		}
	}
	if n < 40 {
		t.Errorf("only %d pins were compared", n)
	}
}

// The same port of the same chip can do the same on each board.
func TestPortsAgree(t *testing.T) {
	was := map[string][]string{}
	for _, p := range boards(t, "module") {
		for _, x := range p.Board.Pins {
			k := p.Board.Chip + " " + x.Port
			if w, ok := was[k]; ok && x.Port != "" && !slices.Equal(w, x.Can) {
				t.Errorf("%s: %s can %v, elsewhere %v", p.ID, x.Port, x.Can, w)
			}
			was[k] = x.Can
		}
	}
}

// Limits of the chips and levels against the tables; rows of high confidence only.
func TestBoardLimitsAgainstTable(t *testing.T) {
	v := map[string]float64{}
	for _, name := range []string{"mcu", "logic_levels"} {
		for _, r := range witness.Table(t, "testdata/"+name+".csv") {
			who := r["part"] + r["family"]
			if r["confidence"] == "high" && r["value"] != "" && strings.Trim(r["value"], "0123456789.") == "" {
				v[who+" "+r["parameter"]] = witness.Number(t, r["value"])
			}
		}
	}
	n := 0
	same := func(id, what string, got, scale float64, row string) {
		t.Helper()
		w, ok := v[row]
		if !ok {
			t.Fatalf("the table has no %s", row)
		}
		n++
		if math.Abs(got-scale*w) > 1e-9 {
			t.Errorf("%s: %s is %v, the table has %v", id, what, got, scale*w)
		}
	}
	most := func(id, what string, got float64, row string) {
		t.Helper()
		w, ok := v[row]
		if !ok {
			t.Fatalf("the table has no %s", row)
		}
		n++
		if got > w {
			t.Errorf("%s: %s is %v, the table has %v at most", id, what, got, w)
		}
	}
	for _, p := range boards(t, "module") {
		b, io, analog := p.Board, 0, 0
		for _, x := range b.Pins {
			if x.Kind == PinIO {
				io++
			}
			if x.Has("analog") {
				analog++
			}
		}
		c := b.Chip + " "
		for i, s := range []string{"min", "max"} {
			same(p.ID, "pull-up", b.PullUp[i], 1000, c+"pull_up_"+s)
		}
		same(p.ID, "bits", float64(b.AnalogBits), 1, c+"adc_bits")
		switch b.Chip {
		case "RP2040":
			for i, s := range []string{"min", "max"} {
				same(p.ID, "pull-down", b.PullDown[i], 1000, c+"pull_down_"+s)
			}
			same(p.ID, "all pins together", b.AllMost, 1, c+"total_source_current_max")
			same(p.ID, "all pins together", b.AllMost, 1, c+"total_sink_current_max")
			same(p.ID, "one pin", b.PinMost, 1, c+"drive_strength_option_12mA")
			same(p.ID, "one pin, usual", b.PinUsual, 1, c+"drive_strength_default")
			same(p.ID, "low", b.Low, 1, "RP2040_3V3 VIL_max")
			same(p.ID, "high", b.High, 1, "RP2040_3V3 VIH_min")
			most(p.ID, "pins", float64(io), c+"gpio_count")
			most(p.ID, "analog pins", float64(analog), c+"adc_external_channels")
			most(p.ID, "above the supply", b.Bears-b.Volts, c+"io_abs_max_over_iovdd")
			most(p.ID, "logic", b.Volts, c+"iovdd_max")
		case "ATmega32U4":
			same(p.ID, "all pins together", b.AllMost, 1, c+"abs_max_current_vcc_gnd")
			most(p.ID, "one pin", b.PinMost, c+"abs_max_current_per_pin")
			most(p.ID, "pins", float64(io), c+"io_lines")
			most(p.ID, "analog pins", float64(analog), c+"adc_channels")
			most(p.ID, "logic", b.Volts, c+"vcc_max")
		default:
			t.Errorf("%s: the tables know no %s", p.ID, b.Chip)
		}
	}
	big, _ := Builtin().Part("rp2040-40pin")
	io, analog := 0, 0
	for _, x := range big.Board.Pins {
		if x.Kind == PinIO {
			io++
		}
		if x.Has("analog") {
			analog++
		}
	}
	m := "rp2040_module_40pin "
	same(big.ID, "pins", float64(io), 1, m+"gpio_exposed")
	same(big.ID, "analog pins", float64(analog), 1, m+"adc_exposed")
	same(big.ID, "pins in all", float64(len(big.Board.Pins)), 1, m+"pins")
	same(big.ID, "length", big.Rear[0].Rect[1].MM(), 1, m+"length")
	same(big.ID, "width", big.Rear[0].Rect[0].MM(), 1, m+"width")
	for _, s := range big.Board.Supplies {
		switch x, _ := big.Board.Pin(s.Lug); x.Name {
		case "3V3_OUT":
			same(big.ID, "3.3 V", s.Gives, 1, m+"v3v3_out_recommended_max")
		case "VSYS":
			same(big.ID, "VSYS", s.Range[0], 1, m+"vsys_min")
			same(big.ID, "VSYS", s.Range[1], 1, m+"vsys_max")
		}
	}
	shift, _ := Builtin().Part("shift-in-8") // its levels go with the supply
	same(shift.ID, "low", shift.Board.Low*5/shift.Board.Volts, 1, "CMOS_HC_5V VIL_max")
	same(shift.ID, "high", shift.Board.High*5/shift.Board.Volts, 1, "CMOS_HC_5V VIH_min")
	if n < 80 {
		t.Errorf("only %d numbers were compared", n)
	}
}

// Which pins share a limit: notes to the DC table of the ATmega32U4 data sheet, 100 mA from the ports C4 to C7, C0 to C3 with
// D, B with E, and F.
func TestPinGroups(t *testing.T) {
	group := func(port string) string {
		switch port[1] {
		case 'C':
			return "C"
		case 'D':
			return "D"
		case 'B', 'E':
			return "BE"
		}
		return port[1:2]
	}
	n := 0
	for _, p := range boards(t, "module") {
		if p.Board.Chip != "ATmega32U4" {
			continue
		}
		in := map[string]int{} // pin to its group
		for i, g := range p.Board.Groups {
			if g.Most != 100 {
				t.Errorf("%s: %s may give %v mA", p.ID, g.Title, g.Most)
			}
			for _, l := range g.Pins {
				in[l] = i + 1
			}
		}
		of := map[string]int{}
		for _, x := range p.Board.Pins {
			if x.Kind != PinIO {
				continue
			}
			n++
			k := group(x.Port)
			if in[x.Lug] == 0 || of[k] != 0 && of[k] != in[x.Lug] {
				t.Errorf("%s: pin %s (%s) stands in the wrong group, or in none", p.ID, x.Lug, x.Port)
			}
			of[k] = in[x.Lug]
		}
		if len(of) != len(p.Board.Groups) {
			t.Errorf("%s: %d groups", p.ID, len(p.Board.Groups))
		}
	}
	if n < 40 {
		t.Errorf("only %d pins were compared", n)
	}
}
