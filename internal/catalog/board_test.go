package catalog

import (
	"math"
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

var boardRoles = []string{"module", "expander", "shift-in", "analog-in"}

func TestBoards(t *testing.T) {
	if n := len(boards(t, "module")); n < 6 {
		t.Errorf("only %d modules", n)
	}
	for _, role := range boardRoles {
		if len(boards(t, role)) == 0 {
			t.Errorf("there is no %s", role)
		}
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
			if len(b.Supplies) == 0 || b.Own <= 0 || b.OutLow <= 0 || b.OutHigh <= 0 || b.PinLoad <= 0 || b.Leak <= 0 || (b.PullUp == nil) != (role == "analog-in") {
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
			case "analog-in":
				selects := 0
				for _, x := range b.Pins {
					if x.Bus == "select" {
						selects++
					}
				}
				if lines != 1<<selects {
					t.Errorf("%s: %d lines, %d pins to choose among them", p.ID, lines, selects)
				}
			case "shift-in":
				if lines != 8 || !slices.ContainsFunc(b.Pins, func(x Pin) bool { return x.Bus == "data-in" }) {
					t.Errorf("%s: %d lines, or it cannot be chained", p.ID, lines)
				}
			}
		}
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
		{"rp2040-40pin", func(_ *Part, b *Board) { b.Pins[3].Lug = "" }, "Pin GP2 names no lug."},
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
		{"analog-in-8", func(_ *Part, b *Board) { b.Pins[4].Bus = "load" }, "it cannot choose among 8 lines"},
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
	for _, role := range boardRoles {
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
