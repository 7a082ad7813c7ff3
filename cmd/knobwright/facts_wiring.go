package main

import (
	"fmt"
	"slices"
	"strings"

	"knobwright/internal/catalog"
)

// circuitFacts tells what a part does to the wires on its lugs.
func circuitFacts(c catalog.Circuit) []fact {
	var fs []fact
	add := func(name, field, format string, a ...any) {
		fs = append(fs, fact{name, "circuit" + field, fmt.Sprintf(format, a...)})
	}
	if len(c.Positions) > 0 {
		s := strings.Join(c.Positions, ", ")
		if len(c.Springs) > 0 {
			s += "; springs back from " + strings.Join(c.Springs, " and ")
		}
		add("positions", "", "%s", s)
	}
	for _, x := range c.Contacts {
		add("contact", "", "%s", contactWords(c, x))
	}
	for _, t := range c.Tracks {
		s := fmt.Sprintf("%s to %s, %s %s, wiper %s", t.Ends[0], t.Ends[1], ohms(t.Ohms), or(t.Taper, "linear"), t.Wiper)
		add("track", "", "%s", called(s, t.Sends))
	}
	for _, l := range c.Lamps {
		add("lamp lugs", "", "%s plus, %s minus", l.Plus, l.Minus)
	}
	if w := c.Powered; w != nil {
		add("supply", "", "%s plus, %s minus, %g to %g V, up to %g mA", w.Plus, w.Minus, w.Volts[0], w.Volts[1], w.Current)
		if w.Bus != "" {
			add("bus", "", "%s", busWords(*w))
		}
		for _, d := range w.Data {
			add("data "+d.Lug, "", "%s", busDuty[d.Does])
		}
		if w.Switch {
			add("driven", "", "a pin feeds it directly")
		}
	}
	if r := c.Rating; r.Class != "" {
		add("made for", ".rating", "%s: %g to %g mA, up to %g V", metal[r.Class], r.Least, r.Most, r.Volts)
	}
	if c.Bounce > 0 {
		add("bounce", ".bounce", "up to %g ms", c.Bounce)
	}
	if c.Elsewhere != "" {
		add("leads", "", "%s", c.Elsewhere)
	}
	return fs
}

var metal = map[string]string{"gold": "signals, gold", "silver": "power, silver", "rubber": "signals, rubber"}

// busDuty says what a lug of a display or the like wants.
var busDuty = map[string]string{
	"sda": "data of the I2C bus", "scl": "clock of the I2C bus", "in": "driven by the module", "out": "read by the module",
	"data": "data", "clock": "clock", "select": "select",
}

func busWords(w catalog.Powered) string {
	s := map[string]string{"i2c": "I2C", "two-wire": "two wires of its own", "spi": "SPI", "serial": "serial"}[w.Bus]
	if w.Address > 0 {
		s += fmt.Sprintf(", address 0x%02X", w.Address)
	}
	if w.PullUp > 0 {
		s += ", brings pull-ups of " + ohms(w.PullUp)
	}
	return s
}

func contactWords(c catalog.Circuit, x catalog.Contact) string {
	s := x.Lugs[0] + " to " + x.Lugs[1]
	if x.Phase != "" {
		return s + ", phase " + x.Phase + " of the turning"
	}
	where := "when " + strings.Join(x.Closed, " or ")
	switch {
	case slices.Equal(x.Closed, []string{"rest"}):
		where = "at rest"
	case len(x.Closed) > 0 && strings.Trim(strings.Join(x.Closed, ""), "0123456789") == "":
		where = plural(len(x.Closed), "position", "positions")
		where = "in " + where[strings.Index(where, " ")+1:] + " " + strings.Join(x.Closed, ", ")
	}
	s += ", joined " + where
	if x.Weight > 0 {
		s += fmt.Sprintf(", worth %d", x.Weight)
	}
	if x.Spare {
		s += "; spare"
	}
	if slices.Contains(x.Closed, x.Sends) {
		return s // its name has been said
	}
	return called(s, x.Sends)
}

func called(s, sends string) string {
	if sends == "" {
		return s
	}
	return s + "; called " + sends
}

func ohms(v float64) string {
	if v >= 1000 {
		return fmt.Sprintf("%g kohm", v/1000)
	}
	return fmt.Sprintf("%g ohm", v)
}

// boardFacts tells what the pins of a circuit board can do and bear.
func boardFacts(b *catalog.Board) []fact {
	if b == nil {
		return nil
	}
	var fs []fact
	add := func(name, field, format string, a ...any) {
		fs = append(fs, fact{name, "board" + field, fmt.Sprintf(format, a...)})
	}
	add("board", "", "%s with %s", map[string]string{"module": "module", "expander": "expander on I2C", "shift-in": "shift-in board, chained", "analog-in": "analog multiplexer"}[b.Role], b.Chip)
	add("levels", "", "%g V logic; reads low up to %g V, high from %g V on", b.Volts, b.Low, b.High)
	add("bears", ".bears", "%g V on a pin", b.Bears)
	if r := b.PullUp; r != nil {
		add("pull-ups", ".pull-up", "%s to %s, built in", ohms(r[0]), ohms(r[1]))
	}
	if r := b.PullDown; r != nil {
		add("pull-downs", ".pull-down", "%s to %s, built in", ohms(r[0]), ohms(r[1]))
	}
	add("a pin gives", ".pin-usual", "%g mA usually", b.PinUsual)
	add("at most", ".pin-most", "%g mA", b.PinMost)
	add("all pins", ".all-most", "%g mA together", b.AllMost)
	for _, g := range b.Groups {
		add("group", ".groups", "%s, %g mA together: pins %s", g.Title, g.Most, strings.Join(g.Pins, ", "))
	}
	if b.AnalogBits > 0 {
		add("analog", ".analog-bits", "%d bits", b.AnalogBits)
	}
	if b.Address > 0 {
		add("address", ".address", "0x%02X, and %d more on one bus", b.Address, max(b.Addresses, 1)-1)
	}
	add("takes", ".own", "%g mA itself", b.Own)
	for _, s := range b.Supplies {
		x, _ := b.Pin(s.Lug)
		add("supply "+s.Lug, ".supplies", "%s: %s", x.Name, supplyWords(s))
	}
	for _, x := range b.Pins {
		add("pin "+x.Lug, ".pins", "%s", pinWords(x))
	}
	return fs
}

func supplyWords(s catalog.Supply) string {
	switch {
	case s.Takes && s.Range != nil:
		return fmt.Sprintf("takes %g to %g V", s.Range[0], s.Range[1])
	case s.Takes:
		return fmt.Sprintf("takes %g V", s.Volts)
	}
	from := map[string]string{"port": "from the USB port", "regulator": "from the board's regulator", "pin": "from the chip's reference"}[s.From]
	return strings.TrimSpace(fmt.Sprintf("%g V, gives up to %g mA %s", s.Volts, s.Gives, from))
}

func pinWords(x catalog.Pin) string {
	s := or(x.Name, x.Lug)
	if x.Port != "" && x.Port != x.Name {
		s += " (" + x.Port + ")"
	}
	switch {
	case x.Bus != "":
		s += ", " + x.Bus
	case x.Kind == catalog.PinNone:
		s += ", not connected"
	case x.Kind != catalog.PinIO:
		s += ", " + string(x.Kind)
	case len(x.Can) > 0:
		s += ": " + strings.Join(x.Can, ", ")
	}
	if x.Duty != "" {
		s += "; " + x.Duty
	}
	return s + [...]string{"", "; kept for last", "; only when you say so"}[min(max(x.Avoid, 0), 2)]
}
