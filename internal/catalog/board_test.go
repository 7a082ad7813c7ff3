package catalog

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// boards gives the built-in circuit boards of a role.
func boards(t *testing.T, role string) []Part {
	t.Helper()
	var ps []Part
	for _, id := range Builtin().PartIDs() {
		if p, _ := Builtin().Part(id); p.Class == ModuleBrd && p.Board != nil && p.Board.Role == role {
			ps = append(ps, p)
		}
	}
	return ps
}

func TestBoards(t *testing.T) {
	if n := len(boards(t, "module")); n < 6 {
		t.Errorf("only %d modules", n)
	}
	if len(boards(t, "expander")) == 0 || len(boards(t, "shift-in")) == 0 {
		t.Error("no expander, or no shift-in board")
	}
	for _, role := range []string{"module", "expander", "shift-in"} {
		for _, p := range boards(t, role) {
			b := p.Board
			lines := 0
			for i, x := range b.Pins {
				if x.Lug != p.Lugs[i].Name {
					t.Errorf("%s: pin %s is out of order", p.ID, x.Lug)
				}
				if x.Line() {
					lines++
				}
				if role == "module" && x.Kind == PinIO && (x.Port == "" || !x.Has("digital")) {
					t.Errorf("%s: pin %s: %+v", p.ID, x.Lug, x)
				}
			}
			if want, _, _ := strings.Cut(p.Contacts, " "); lines != atoi(want) {
				t.Errorf("%s: %d lines, %s", p.ID, lines, p.Contacts)
			}
			if len(b.Supplies) == 0 || b.Own <= 0 || b.OutLow <= 0 || b.OutHigh <= 0 || b.PinLoad <= 0 || b.Leak <= 0 || b.PullUp == nil {
				t.Errorf("%s: something is not said: %+v", p.ID, b)
			}
			for _, f := range []string{"board", "board.pins", "board.supplies", "board.pin-most", "board.pull-up"} {
				if s := p.Source(f); s == practice || s.Text == "" || s.Provenance == trust.Yours {
					t.Errorf("%s: nobody says where %s comes from", p.ID, f)
				}
			}
			switch role {
			case "module":
				gives := slices.ContainsFunc(b.Supplies, func(s Supply) bool { return s.Volts == b.Volts && s.Gives > 0 })
				if b.Image == "" || !gives || b.AnalogBits == 0 {
					t.Errorf("%s: image %q, gives its own %v V: %v", p.ID, b.Image, b.Volts, gives)
				}
			case "expander":
				if lines != 16 || b.Addresses != 8 {
					t.Errorf("%s: %d lines, %d addresses", p.ID, lines, b.Addresses)
				}
			case "shift-in":
				if lines != 8 || !slices.ContainsFunc(b.Pins, func(x Pin) bool { return x.Bus == "data-in" }) {
					t.Errorf("%s: %d lines, or it cannot be chained", p.ID, lines)
				}
			}
		}
	}
}

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
	for _, r := range table(t, "module_pins") {
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
		if d := lug(p, first).At[1].MM() - l.At[1].MM(); math.Abs(d-2.54*(num(t, r["position_from_usb"])-1)) > 1e-9 {
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
	for _, r := range table(t, "atmega32u4_pins") {
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
		for _, r := range table(t, name) {
			who := r["part"] + r["family"]
			if r["confidence"] == "high" && r["value"] != "" && strings.Trim(r["value"], "0123456789.") == "" {
				v[who+" "+r["parameter"]] = num(t, r["value"])
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

// Each rule finds its own slip, put into a board that is sound otherwise.
func TestBoardSlips(t *testing.T) {
	for _, x := range []struct {
		part string
		slip func(p *Part, b *Board)
		want string
	}{
		{"rp2040-40pin", func(p *Part, _ *Board) { p.Class = Push }, "Only a circuit board"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Role = "" }, "does not say what it is"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins = nil }, "lists no pins"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Lug = "77" }, "stands at lug 77, which it has not"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins = b.Pins[1:] }, "Lug 1 is not among the pins"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Lug = "1" }, "Two of its pins are lug 1"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Name = "GP0" }, "The pins 1 and 4 are both called GP0."},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Port = "GPIO0" }, "both the chip's GPIO0"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Kind = "" }, "does not say what it is for"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Avoid = 3 }, "0, 1 or 2"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Can = []string{"sing"} }, "no ability known here"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[2].Can = []string{"digital"} }, "is ground, so it can do nothing else"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Bears = 3 }, "bear 3 V, less than the 3.3 V"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Low = 2.5 }, "the first must be lower"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.High = 4 }, "more than the 3.3 V of its logic"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Volts = 230 }, "runs on 230 V"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.PullUp = &[2]float64{80000, 50000} }, "Its pull-ups go from"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.PinUsual = 20 }, "is to give 20 mA, but bears only 12 mA"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.PinMost = 60 }, "may give 60 mA, but all together only 50 mA"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.AllMost = 0 }, "have no limits"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.AnalogBits = 0 }, "analog-bits is not given"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Supplies[0].Lug = "4" }, "Pin GP2 is listed as a supply, but its kind is io."},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Supplies[0].Lug = "90" }, "no pin 90 to be a supply"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Supplies = b.Supplies[1:] }, "VBUS is a supply, but supplies does not say"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Supplies[1].Gives = 100 }, "is an input, so it gives nothing"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Supplies[1].Range[1] = 1 }, "write the least first"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Supplies[1].Volts = 9 }, "outside its own range"},
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Address = 32 }, "Only an expander"},
		{"rp2040-40pin", func(_ *Part, b *Board) {
			for i := range b.Pins {
				b.Pins[i].Can = slices.DeleteFunc(b.Pins[i].Can, func(s string) bool { return s == "scl0" })
			}
		}, "There is a pin for sda0, but none for scl0."},
		{"rp2040-40pin", func(_ *Part, b *Board) {
			for i := range b.Pins {
				if b.Pins[i].Kind == PinGround {
					b.Pins[i].Kind = PinNone
				}
			}
		}, "None of its pins is ground"},
		{"atmega32u4-24pin", func(_ *Part, b *Board) { b.Groups[0].Pins[0] = "99" }, "no pin 99, but it stands in the group"},
		{"atmega32u4-24pin", func(_ *Part, b *Board) { b.Groups[0].Pins[0] = "3" }, "Pin 3 is ground, but stands in"},
		{"atmega32u4-24pin", func(_ *Part, b *Board) { b.Groups[0].Most = 0 }, "Without pins and a limit"},
		{"io-expander-16", func(_ *Part, b *Board) { b.Pins[2].Bus = "" }, "As expander it wants a pin with bus: scl."},
		{"io-expander-16", func(_ *Part, b *Board) { b.Pins[2].Bus = "sda" }, "Two of its pins have bus: sda."},
		{"io-expander-16", func(_ *Part, b *Board) { b.Pins[2].Bus = "tram" }, "which is none of sda"},
		{"io-expander-16", func(_ *Part, b *Board) { b.Address = 116 }, "go from 116 to 123"},
		{"shift-in-8", func(_ *Part, b *Board) { b.Pins[4].Bus = "" }, "wants a pin with bus: data-out"},
	} {
		p, ok := Builtin().Part(x.part)
		if !ok {
			t.Fatal(x.part)
		}
		b := copied(t, *p.Board)
		p.Board = &b
		x.slip(&p, &b)
		wantSentence(t, x.part, p.Validate(), x.want)
	}
}

const ownBoard = `
parts:
  desk-board:
    title: My own board, eight pins
    class: module
    seat: rear
    rear:
      - {role: body, rect: [16, 20], z: [-1.6, 0]}
      - {role: lugs, rect: [16, 20], z: [-4, 3]}
    lugs:
      - {name: "1", at: [-6, 6]}
      - {name: "2", at: [-6, 2]}
      - {name: "3", at: [-6, -2]}
      - {name: "4", at: [-6, -6]}
      - {name: "5", at: [6, -6]}
      - {name: "6", at: [6, -2]}
      - {name: "7", at: [6, 2]}
      - {name: "8", at: [6, 6]}
    board:
      role: module
      chip: RP2040
      volts: 3.3
      bears: 3.6
      low: 0.8
      high: 2
      pull-up: [50000, 80000]
      pin-usual: 4
      pin-most: 12
      all-most: 50
      own: 60
      analog-bits: 12
      image: uf2
      groups:
        - {title: left side, pins: ["1", "2", "3"], most: 30}
      supplies:
        - {lug: "8", volts: 5, gives: 300, from: port}
        - {lug: "6", volts: 3.3, gives: 100, from: regulator}
      pins:
        - {lug: "1", name: A, port: GPIO26, kind: io, can: [digital, analog, interrupt]}
        - {lug: "2", name: B, port: GPIO4, kind: io, can: [digital, sda0]}
        - {lug: "3", name: C, port: GPIO5, kind: io, can: [digital, scl0]}
        - {lug: "4", name: D, port: GPIO25, kind: io, can: [digital], duty: "lights the board's own lamp", avoid: 1}
        - {lug: "5", name: E, port: GPIO0, kind: io, can: [digital]}
        - {lug: "6", name: 3V, kind: supply}
        - {lug: "7", name: G, kind: ground}
        - {lug: "8", name: 5V, kind: supply}
`

// A person describes the board in their hand in their own file; slips are said with the place in the file.
func TestOwnBoard(t *testing.T) {
	c, problems := Builtin().With("own.yaml", []byte(ownBoard))
	p, ok := c.Part("desk-board")
	if len(problems) > 0 || !ok || p.Board == nil || len(p.Board.Pins) != 8 || p.Board.PullUp[1] != 80000 || p.Board.Supplies[0].Gives != 300 {
		t.Fatalf("%+v %+v", problems, p.Board)
	}
	if x, ok := p.Board.Pin("4"); !ok || x.Avoid != 1 || !x.Line() || x.Has("analog") || p.Source("board.pins").Text != "your file" {
		t.Errorf("%+v %v", x, p.Source("board.pins"))
	}
	for _, x := range []struct{ old, new, rule, say string }{
		{"pin-usual: 4", "pin-usual: 14", "catalog.impossible", "a pin is to give 14 mA, but bears only 12 mA"},
		{"bears: 3.6", "bears: 3", "catalog.impossible", "its pins bear 3 V, less than"},
		{`pins: ["1", "2", "3"]`, `pins: ["1", "2", "9"]`, "catalog.impossible", "there is no pin 9"},
		{`{lug: "8", volts: 5`, `{lug: "7", volts: 5`, "catalog.impossible", "pin G is listed as a supply, but its kind is ground"},
		{"name: E,", "name: D,", "catalog.impossible", "are both called D"},
		{`{lug: "5", name`, `{lug: "50", name`, "catalog.impossible", "stands at lug 50"},
		{"kind: ground}", "kind: grond}", "file.unknown-word", "is not one of the words for kind"},
		{"role: module\n      chip", "role: modul\n      chip", "file.unknown-word", "is not one of the words for role"},
	} {
		src := strings.Replace(ownBoard, x.old, x.new, 1)
		if src == ownBoard {
			t.Fatal(x.old)
		}
		_, problems := Builtin().With("own.yaml", []byte(src))
		found := false
		for _, f := range problems {
			found = found || f.Rule == x.rule && strings.Contains(f.Say, x.say) && f.Pos.Line > 0
		}
		if !found {
			t.Errorf("%s: %+v", x.new, problems)
		}
	}
	// Like a built-in board, but with another limit: the rest stays.
	c, problems = Builtin().With("own.yaml", []byte("parts:\n  mine: {like: rp2040-40pin, board: {own: 80}}\n"))
	if p, ok := c.Part("mine"); len(problems) > 0 || !ok || p.Board.Own != 80 || len(p.Board.Pins) != 40 {
		t.Errorf("%+v", problems)
	}
	if p, _ := Builtin().Part("rp2040-40pin"); p.Board.Own == 80 {
		t.Error("the built-in record has changed")
	}
}

// The places of a board's pins are places on the board.
func TestPinsOnBoard(t *testing.T) {
	for _, role := range []string{"module", "expander", "shift-in"} {
		for _, p := range boards(t, role) {
			box := p.Rear[0].Outline().Bounds()
			for i, a := range p.Lugs {
				if math.Abs(a.At[0].MM()) > box.Max.X-0.8 || math.Abs(a.At[1].MM()) > box.Max.Y-0.5 {
					t.Errorf("%s: pin %s at %v lies on the edge of the board", p.ID, a.Name, a.At)
				}
				for _, b := range p.Lugs[i+1:] {
					if d := math.Hypot((a.At[0] - b.At[0]).MM(), (a.At[1] - b.At[1]).MM()); d < 2.54-1e-9 {
						t.Errorf("%s: pins %s and %s are %v apart", p.ID, a.Name, b.Name, length.Length(d))
					}
				}
			}
		}
	}
}
