package wiring

import (
	"knobwright/internal/catalog"
	"knobwright/internal/electric"
	"knobwright/internal/panel"
	"knobwright/internal/solve/circuit"
)

// controls adds what is in the bodies of the controls.
func (p *parts) controls() {
	done := map[*panel.Control]bool{}
	for k := range p.r.Devices {
		d := &p.r.Devices[k]
		c := d.Control
		if c == nil {
			continue
		}
		switch d.Kind {
		case DevTrack:
			p.track(k, c, c.Part.Circuit.Tracks[d.Index])
		case DevLamp:
			p.lamp(k, c, c.Part.Circuit.Lamps[d.Index])
		}
		if !done[c] {
			done[c] = true
			p.contacts(c)
			p.powered(c)
		}
	}
}

// both gives the nodes of two lugs of a control; ok is false when one of them is not wired.
func (p *parts) both(c *panel.Control, a, b string) (na, nb int, ok bool) {
	na, okA := p.at[Terminal{c.Name, a}]
	nb, okB := p.at[Terminal{c.Name, b}]
	return na, nb, okA && okB
}

func (p *parts) contacts(c *panel.Control) {
	ohm := contactOhm
	if c.Part.Circuit.Rating.Class == string(electric.Rubber) {
		ohm = rubberOhm
	}
	for i, x := range c.Part.Circuit.Contacts {
		if x.Phase != "" && c.Part.Circuit.Powered != nil {
			continue
		}
		if a, b, ok := p.both(c, x.Lugs[0], x.Lugs[1]); ok && a != b {
			p.add(element{kind: elContact, name: "contact " + c.Name + " " + x.Lugs[0] + "-" + x.Lugs[1], a: a, b: b, ohm: ohm, control: c, contact: i})
		}
	}
}

func (p *parts) track(dev int, c *panel.Control, t catalog.Track) {
	low, high, ok := p.both(c, t.Ends[0], t.Ends[1])
	wiper, has := p.at[Terminal{c.Name, t.Wiper}]
	if !ok || !has || t.Ohms <= 0 {
		return
	}
	p.add(element{kind: elTrack, name: "track " + p.r.Devices[dev].ID, a: high, b: low, wiper: wiper, ohm: t.Ohms, tol: orTol(t.Tol), control: c, device: dev})
}

func (p *parts) lamp(dev int, c *panel.Control, l catalog.LampLugs) {
	plus, minus, ok := p.both(c, l.Plus, l.Minus)
	if !ok {
		return
	}
	ohm := 0.0
	if d := c.Part.Lamp; d.Rated > d.Drop && d.Current > 0 {
		ohm = (d.Rated - d.Drop) / d.Current * 1000
	}
	p.add(element{kind: elLamp, name: "lamp " + p.r.Devices[dev].ID, a: plus, b: minus, ohm: ohm, tol: 10, control: c, device: dev})
}

func (p *parts) powered(c *panel.Control) {
	pw := c.Part.Circuit.Powered
	if pw == nil {
		return
	}
	plus, minus, ok := p.both(c, pw.Plus, pw.Minus)
	if !ok {
		return
	}
	v := p.volts[plus]
	if pw.Switch || v == 0 {
		v = pw.Volts[0]
		for _, i := range []int{0} {
			if len(p.r.Boards) > i && p.r.Boards[i].Part.Board != nil {
				v = p.r.Boards[i].Part.Board.Volts
			}
		}
	}
	if pw.Current > 0 && v > 0 {
		p.add(element{kind: elLoad, name: "load " + c.Name, a: plus, b: minus, ohm: v / pw.Current * 1000, control: c})
	}
	for _, d := range pw.Data {
		at, ok := p.at[Terminal{c.Name, d.Lug}]
		if !ok {
			continue
		}
		if pw.PullUp > 0 && (d.Does == "sda" || d.Does == "scl" || d.Does == "data" || d.Does == "clock") {
			p.add(element{kind: elPull, name: "pull-up " + c.Name + " " + d.Lug, a: plus, b: at, ohm: pw.PullUp, tol: 5, control: c, board: -1})
		}
		if d.Does == "out" {
			contact := -1
			for i, x := range c.Part.Circuit.Contacts {
				if x.Lugs[1] == d.Lug {
					contact = i
				}
			}
			p.add(element{kind: elOut, name: "output " + c.Name + " " + d.Lug, a: at, b: minus, wiper: plus, ohm: driveOhm, control: c, contact: contact, lug: d.Lug})
		}
	}
}

// driveOhm is the resistance of an output of a driven encoder, ohm, by judgement.
const driveOhm = 100

func (p *parts) fittings(cat *catalog.Catalog) {
	for i := range p.r.Fittings {
		f := &p.r.Fittings[i]
		switch f.Kind {
		case "resistor":
			a, okA := p.at[Terminal{f.Name, "1"}]
			b, okB := p.at[Terminal{f.Name, "2"}]
			if okA && okB && a != b && f.Ohms > 0 {
				p.add(element{kind: elResistor, name: f.Name, a: a, b: b, ohm: f.Ohms, tol: f.Tol, device: f.For})
			}
		case "diode":
			a, okA := p.at[Terminal{f.Name, "a"}]
			k, okK := p.at[Terminal{f.Name, "k"}]
			if okA && okK && a != k {
				p.add(element{kind: elDiode, name: f.Name, a: a, b: k, diode: diodeOf(f, cat), device: f.For})
			}
		}
	}
}

// diodeOf gives the curve of a diode by its record.
func diodeOf(f *Fitting, cat *catalog.Catalog) circuit.Diode {
	if s, ok := cat.Small(f.Part); ok && s.Sat > 0 && s.Sat < 1e-2 && s.Ideal > 0.5 && s.Ideal < 10 && s.Rs >= 0 {
		return circuit.Diode{Sat: s.Sat, Ideal: s.Ideal, Rs: s.Rs}
	}
	return small1N4148
}
