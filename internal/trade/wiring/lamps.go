package wiring

import (
	"math"

	"knobwright/internal/panel"
)

// lamps adds the lamps of a control, each with its resistor.
func (w *worker) lamps(c *panel.Control, used map[string]bool) {
	k := &c.Part.Circuit
	for i, l := range k.Lamps {
		used[l.Plus], used[l.Minus] = true, true
		by := or(c.Lit, or(w.p.Wiring.Lamps.By, "pin"))
		id, label := c.Name, c.Label
		if len(k.Contacts) > 0 || len(k.Tracks) > 0 {
			id, label = c.Name+"/lamp", "the lamp of "+c.Label
		}
		if len(k.Lamps) > 1 {
			id += "-" + itoa(i+1)
		}
		if by == "none" || by == "contact" && len(k.Contacts) == 0 && c.Lit == "none" {
			w.idle(c.Name, l.Plus, "its lamp is left dark in the file")
			w.idle(c.Name, l.Minus, "its lamp is left dark in the file")
			continue
		}
		with := w.contactOf(c)
		if by == "contact" && with < 0 {
			by = "always"
		}
		switch how, lead := w.shares(c, l); how {
		case plusTaken:
			w.sharedLug(c, l)
			continue
		case onLead:
			by, with = "contact", lead
		}
		dev := w.device(Device{ID: id, Label: label, Kind: DevLamp, Control: c, Index: i})
		plus, minus := Terminal{c.Name, l.Plus}, Terminal{c.Name, l.Minus}
		switch by {
		case "pin":
			s := w.signal(Signal{
				Name: id, Label: label, Kind: SigLamp, Device: dev, Lug: l.Plus, Return: l.Minus, Needs: []string{"digital"}, Origin: c.Origin,
			}, want{control: c, contact: -1})
			w.join(netGround, minus)
			w.lit = append(w.lit, lit{dev: dev, signal: s, plus: plus, volts: w.pinVolts(), pin: true})
		case "contact":
			rail := w.lampRail(c.Part.Lamp.Drop, c.Part.Lamp.Rated)
			// Over the lamp the supply comes to the pin, less what the lamp drops at next to no current.
			if i, d := w.logicRail(), w.moduleBoard(); i >= 0 && w.p.Wiring.Lamps.Supply == "" && w.railVolts(rail)-faintDrop*c.Part.Lamp.Drop > d.Bears {
				rail = w.rails[i].name
			}
			w.lit = append(w.lit, lit{dev: dev, signal: -1, plus: plus, minus: minus, with: with, rail: rail, volts: w.railVolts(rail)})
		default:
			rail := w.lampRail(c.Part.Lamp.Drop, c.Part.Lamp.Rated)
			w.join(netGround, minus)
			w.lit = append(w.lit, lit{dev: dev, signal: -1, with: -1, plus: plus, rail: rail, volts: w.railVolts(rail)})
		}
	}
}

// faintDrop is what a lamp drops at next to no current, as a share of its usual drop. From memory.
const faintDrop = 0.7

// lit is a lamp and what feeds it.
type lit struct {
	dev    int
	signal int // index into Signals of the pin that feeds it, -1 = none
	plus   Terminal
	minus  Terminal // with its own contact: joined to that lead
	with   int      // signal of that contact
	rail   string
	volts  float64
	pin    bool
}

// contactOf gives the first signal of a control's contacts; -1 without.
func (w *worker) contactOf(c *panel.Control) int {
	for i := range w.r.Signals {
		if w.wants[i].control == c && w.r.Signals[i].Kind == SigContact {
			return i
		}
	}
	return -1
}

func (w *worker) pinVolts() float64 {
	if d := w.moduleBoard(); d != nil {
		return d.Volts
	}
	return 0
}

func (w *worker) railVolts(name string) float64 {
	for _, r := range w.rails {
		if r.name == name {
			return r.volts
		}
	}
	return 0
}

// lampRail gives the supply for a lamp that no pin feeds: the one that the file names, else for a lamp with a resistor of its own the one
// nearest to what it is made for, else the lowest that leaves half a volt for the resistor.
func (w *worker) lampRail(drop, rated float64) string {
	best, worth := "", math.Inf(1)
	for _, r := range w.rails {
		if r.reference {
			continue
		}
		v := r.volts
		if rated > 0 {
			v = abs(r.volts - rated)
		} else if r.volts < drop+0.5 {
			v += 100
		}
		if r.name == w.p.Wiring.Lamps.Supply {
			v = -1
		}
		if v < worth {
			best, worth = r.name, v
		}
	}
	return best
}
