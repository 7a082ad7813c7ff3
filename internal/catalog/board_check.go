package catalog

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"knobwright/internal/length"
)

// ability is what a pin can do: Pin.Can.
var ability = regexp.MustCompile(`^(digital|analog|interrupt|pin-change|pwm|(sda|scl|miso|mosi|sck|tx|rx)[0-9]?)$`)

// pinBus are the words of Pin.Bus, and roleWants those that each kind of board cannot do without.
var (
	pinBus    = []string{"sda", "scl", "interrupt", "reset", "address", "data-in", "data-out", "clock", "load", "select", "low"}
	roleWants = map[string][]string{"expander": {"sda", "scl"}, "shift-in": {"clock", "load", "data-out"}, "analog-in": {"data-out"}}
)

// Pin gives the pin of a lug.
func (b *Board) Pin(lug string) (Pin, bool) {
	for _, p := range b.Pins {
		if p.Lug == lug {
			return p, true
		}
	}
	return Pin{}, false
}

// Has reports whether the pin can do something: "analog", "sda0", or "sda" on whichever bus.
func (p Pin) Has(ability string) bool {
	return slices.ContainsFunc(p.Can, func(s string) bool { return s == ability || strings.TrimRight(s, "0123456789") == ability })
}

// Line reports whether a control can be wired to the pin: not a bus line, supply, ground or control pin.
func (p Pin) Line() bool { return p.Kind == PinIO && p.Bus == "" }

// checkBoard says what a board's pins and limits contradict.
func (p Part) checkBoard(f *faults) {
	b := p.Board
	if b == nil {
		return
	}
	f.when(p.Class != ModuleBrd, "Only a circuit board (class: module) has a board.")
	f.when(b.Role == "", "Its board does not say what it is: role: module, expander, shift-in or analog-in.")
	f.when(len(b.Pins) == 0, "Its board lists no pins.")
	if len(b.Pins) == 0 {
		return
	}
	b.checkLevels(f)
	b.checkCurrents(f)
	b.checkLugs(f, p.Lugs)
	for _, x := range b.Pins {
		x.check(f)
	}
	b.checkGroups(f)
	b.checkSupplies(f)
	b.checkBuses(f)
}

func (b *Board) checkLevels(f *faults) {
	v := length.Plain
	f.when(b.Volts <= 0 || b.Volts > 60, "Its logic runs on %s V; 3.3 V and 5 V are usual.", v(b.Volts))
	f.when(b.Bears < b.Volts, "Its pins bear %s V, less than the %s V of its own logic.", v(b.Bears), v(b.Volts))
	f.when(b.Low < 0 || b.Low >= b.High, "A pin reads low up to %s V and high from %s V on; the first must be lower.", v(b.Low), v(b.High))
	f.when(b.High > b.Volts, "A pin reads high only from %s V on, more than the %s V of its logic.", v(b.High), v(b.Volts))
	for _, x := range []struct {
		name string
		r    *[2]float64
	}{{"pull-ups", b.PullUp}, {"pull-downs", b.PullDown}} {
		f.when(x.r != nil && (x.r[0] <= 0 || x.r[1] < x.r[0]), "Its %s go from %s to %s ohm; write the least first, then the most.", x.name, v(at(x.r, 0)), v(at(x.r, 1)))
	}
	f.when(b.AnalogBits < 0 || b.AnalogBits > 24, "Analog inputs have 8 to 24 bits; these %d.", b.AnalogBits)
}

func at(r *[2]float64, i int) float64 {
	if r == nil {
		return 0
	}
	return r[i]
}

func (b *Board) checkCurrents(f *faults) {
	v := length.Plain
	f.when(b.PinUsual <= 0 || b.PinMost <= 0 || b.AllMost <= 0, "Its pins have no limits; say pin-usual, pin-most and all-most, in mA.")
	f.when(b.PinUsual > b.PinMost && b.PinMost > 0, "A pin is to give %s mA, but bears only %s mA.", v(b.PinUsual), v(b.PinMost))
	f.when(b.PinMost > b.AllMost && b.AllMost > 0, "One pin may give %s mA, but all together only %s mA.", v(b.PinMost), v(b.AllMost))
	f.when(b.OutLow < 0 || b.OutHigh < 0 || b.Own < 0 || b.Leak < 0 || b.PinLoad < 0 || b.Bus < 0 || b.Resistors < 0, "One of its numbers is less than nothing.")
}

func (b *Board) checkLugs(f *faults, lugs []Lug) {
	named, lug, ported := map[string]string{}, map[string]bool{}, map[string]string{}
	for _, x := range b.Pins {
		if x.Lug == "" {
			f.when(true, "Pin %s names no lug.", name(x))
			continue
		}
		f.when(lug[x.Lug], "Two of its pins are lug %s.", x.Lug)
		lug[x.Lug] = true
		if x.Kind == PinIO {
			f.when(x.Name != "" && named[x.Name] != "", "The pins %s and %s are both called %s.", named[x.Name], x.Lug, x.Name)
			named[x.Name] = x.Lug
		}
		f.when(x.Port != "" && ported[x.Port] != "", "The pins %s and %s are both the chip's %s.", ported[x.Port], x.Lug, x.Port)
		ported[x.Port] = x.Lug
		f.when(!slices.ContainsFunc(lugs, func(l Lug) bool { return l.Name == x.Lug }), "Pin %s stands at lug %s, which it has not.", name(x), x.Lug)
	}
	for _, l := range lugs {
		f.when(!lug[l.Name], "Lug %s is not among the pins of its board.", l.Name)
	}
}

func name(x Pin) string {
	if x.Name != "" {
		return x.Name
	}
	return x.Lug
}

func (p Pin) check(f *faults) {
	f.when(p.Kind == "", "Pin %s does not say what it is for (kind).", name(p))
	f.when(p.Avoid < 0 || p.Avoid > 2, "Pin %s is avoided %d times; 0, 1 or 2 is meant.", name(p), p.Avoid)
	f.when(len(p.Can) > 0 && p.Kind != PinIO && p.Kind != "", "Pin %s is %s, so it can do nothing else.", name(p), p.Kind)
	f.when(p.Bus != "" && !slices.Contains(pinBus, p.Bus), "Pin %s is the %q of its bus, which is none of %s.", name(p), p.Bus, strings.Join(pinBus, ", "))
	for _, s := range p.Can {
		f.when(!ability.MatchString(s), "Pin %s can %q, which is no ability known here.", name(p), s)
	}
}

func (b *Board) checkGroups(f *faults) {
	in := map[string]string{}
	for _, g := range b.Groups {
		title := fmt.Sprintf("the group %q", g.Title)
		f.when(len(g.Pins) == 0 || g.Most <= 0, "Without pins and a limit, %s means nothing.", title)
		for _, l := range g.Pins {
			x, ok := b.Pin(l)
			f.when(!ok, "There is no pin %s, but it stands in %s.", l, title)
			f.when(ok && x.Kind != PinIO, "Pin %s is %s, but stands in %s.", l, x.Kind, title)
			f.when(in[l] == title, "Pin %s stands twice in %s.", l, title)
			in[l] = title
		}
	}
}

func (b *Board) checkSupplies(f *faults) {
	v := length.Plain
	said := map[string]bool{}
	for _, s := range b.Supplies {
		x, ok := b.Pin(s.Lug)
		f.when(!ok, "There is no pin %s to be a supply.", s.Lug)
		f.when(ok && x.Kind != PinSupply && x.Kind != PinReference, "Pin %s is listed as a supply, but its kind is %s.", name(x), x.Kind)
		f.when(said[s.Lug], "The supply %s stands twice.", s.Lug)
		said[s.Lug] = true
		f.when(s.Volts <= 0 || s.Volts > 60, "The supply %s has %s V; up to 60 V belongs in such a panel.", s.Lug, v(s.Volts))
		f.when(s.Gives < 0, "The supply %s gives less than nothing.", s.Lug)
		f.when(s.Takes && s.Gives > 0, "The supply %s is an input, so it gives nothing.", s.Lug)
		f.when(s.Range != nil && (at(s.Range, 0) <= 0 || at(s.Range, 1) < at(s.Range, 0)), "The supply %s goes from %s V to %s V; write the least first, then the most.", s.Lug, v(at(s.Range, 0)), v(at(s.Range, 1)))
		f.when(s.Range != nil && (s.Volts < at(s.Range, 0) || s.Volts > at(s.Range, 1)), "The supply %s has %s V, outside its own range of %s V to %s V.", s.Lug, v(s.Volts), v(at(s.Range, 0)), v(at(s.Range, 1)))
	}
	ground := false
	for _, x := range b.Pins {
		ground = ground || x.Kind == PinGround
		f.when(x.Kind == PinSupply && !said[x.Lug], "Pin %s is a supply, but supplies does not say what it gives or takes.", name(x))
	}
	f.when(!ground, "None of its pins is ground.")
}

func (b *Board) checkBuses(f *faults) {
	has, line, analog := map[string]int{}, 0, false
	can := map[string]bool{}
	for _, x := range b.Pins {
		has[x.Bus]++
		if x.Line() {
			line++
		}
		for _, s := range x.Can {
			can[s], analog = true, analog || s == "analog"
		}
	}
	f.when(line == 0, "None of its pins can take a control.")
	f.when(analog && b.AnalogBits == 0 && b.Role != "analog-in", "Some of its pins read analog, but analog-bits is not given.")
	for n := range 10 {
		for _, x := range [][2]string{{"sda", "scl"}, {"scl", "sda"}} {
			s, t := fmt.Sprintf("%s%d", x[0], n), fmt.Sprintf("%s%d", x[1], n)
			f.when(can[s] && !can[t], "There is a pin for %s, but none for %s.", s, t)
		}
	}
	f.when(can["sda"] != can["scl"], "A bus wants a pin for sda and one for scl; there is only one of them.")
	for _, s := range roleWants[b.Role] {
		f.when(has[s] == 0, "As %s it wants a pin with bus: %s.", b.Role, s)
		f.when(has[s] > 1, "Two of its pins have bus: %s.", s)
	}
	if b.Role == "analog-in" {
		f.when(has["select"] == 0 || line > 1<<min(has["select"], 10), "With %d pins with bus: select, it cannot choose among %d lines.", has["select"], line)
	}
	if b.Role != "expander" {
		f.when(b.Address != 0 || b.Addresses != 0, "Only an expander has an address.")
		return
	}
	last := b.Address + max(b.Addresses, 1) - 1
	f.when(b.Address < leastAddress || last > mostAddress, "Its addresses go from %d to %d; on an I2C bus there are those from %d to %d.", b.Address, last, leastAddress, mostAddress)
}
