package wiring

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// powered adds what wants a supply: displays, buzzers, encoders that drive their outputs.
func (w *worker) powered(c *panel.Control, used map[string]bool) {
	k := &c.Part.Circuit
	pw := k.Powered
	if pw == nil {
		return
	}
	w.markPowered(pw, used)
	phases := map[string]bool{}
	for _, x := range k.Contacts {
		if x.Phase != "" {
			phases[x.Lugs[1]] = true
		}
	}
	plus, minus := Terminal{c.Name, pw.Plus}, Terminal{c.Name, pw.Minus}
	if pw.Switch {
		dev := w.device(Device{ID: c.Name, Label: c.Label, Kind: DevPowered, Control: c})
		w.signal(Signal{
			Name: c.Name, Label: c.Label, Kind: SigDrive, Device: dev, Lug: pw.Plus, Return: pw.Minus, Needs: []string{"digital"}, Origin: c.Origin,
		}, want{control: c, contact: -1})
		w.join(netGround, minus)
		return
	}
	if c.Part.Class == catalog.Buzzer {
		w.idle(c.Name, "", "a pin cannot feed it: it wants "+volts(pw.Volts)+" through a transistor or a relay")
		w.found(ruleNoSupply, finding.Finding{
			Head: "A pin cannot feed " + c.Label + ": it wants " + volts(pw.Volts) + ".", Body: "It is not wired here. Take a buzzer for 3 to 5 V, or switch it with a transistor of your own.",
			Ends: []finding.End{c.Origin.End()}, Fixes: w.controlFix(c, "via", "none", "Leave it out of the wiring"),
		})
		return
	}
	rail, ok := w.railFor(pw.Volts, pw.Bus != "")
	if !ok {
		w.idle(c.Name, "", "no supply of the module suits it: it wants "+volts(pw.Volts))
		if w.moduleBoard() != nil {
			w.found(ruleNoSupply, finding.Finding{
				Head: c.Label + " wants " + volts(pw.Volts) + ", and the module does not give that.", Body: "It is not wired here. The module gives " + list(w.railNames()) + ".",
				Ends: []finding.End{c.Origin.End(), w.moduleEnd()},
			})
		}
		return
	}
	dev := -1
	if len(phases) == 0 {
		dev = w.device(Device{ID: c.Name, Label: c.Label, Kind: DevPowered, Control: c})
	}
	w.join(netGround, minus)
	w.join(rail, plus)
	for _, d := range pw.Data {
		if phases[d.Lug] {
			continue
		}
		t := Terminal{c.Name, d.Lug}
		if pw.Bus == "i2c" && (d.Does == "sda" || d.Does == "scl") {
			w.bus = append(w.bus, busEnd{does: d.Does, term: t})
			continue
		}
		w.signal(Signal{
			Name: c.Name + "/" + d.Does, Label: c.Label + " " + d.Does, Kind: SigData, Device: dev, Lug: d.Lug, Return: pw.Minus,
			Needs: needsOf(pw.Bus, d.Does), Origin: c.Origin,
		}, want{control: c, contact: -1})
	}
}

func (w *worker) markPowered(pw *catalog.Powered, used map[string]bool) {
	used[pw.Plus], used[pw.Minus] = true, true
	for _, d := range pw.Data {
		used[d.Lug] = true
	}
}

// needsOf says what a pin must be able to do for a lug of a bus. Two-wire boards and selects take any pin.
func needsOf(bus, does string) []string {
	if bus == "serial" {
		switch does {
		case "in":
			return []string{"tx"}
		case "out":
			return []string{"rx"}
		}
	}
	return []string{"digital"}
}

// railFor gives the supply whose voltage lies in the range. What speaks with the module is best fed with the voltage of its pins.
func (w *worker) railFor(v [2]float64, speaks bool) (string, bool) {
	best, found := "", false
	i := w.logicRail()
	for j, r := range w.rails {
		if r.reference || r.volts < v[0]-1e-9 || r.volts > v[1]+1e-9 {
			continue
		}
		if !found || speaks && j == i {
			best, found = r.name, true
		}
	}
	return best, found
}

func (w *worker) railNames() []string {
	var out []string
	for _, r := range w.rails {
		if !r.reference {
			out = append(out, r.name)
		}
	}
	return out
}

func volts(v [2]float64) string {
	if v[0] == v[1] {
		return plain(v[0]) + " V"
	}
	return plain(v[0]) + " to " + plain(v[1]) + " V"
}

// moduleEnd is the module as one end of a finding.
func (w *worker) moduleEnd() finding.End {
	if w.module >= 0 && w.r.Boards[w.module].Module != nil {
		return w.r.Boards[w.module].Module.Origin.End()
	}
	return finding.End{Name: "the module"}
}

// busEnd is a lug on the I2C bus.
type busEnd struct {
	does string // sda, scl
	term Terminal
}
