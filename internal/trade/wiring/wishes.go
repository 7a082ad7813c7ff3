package wiring

import (
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/electric"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// wishes looks at what the file wishes for and cannot have, beside pins of leads: pins that are free and taken, resistors that are none, lamps
// with more current than they bear, lamps lit by contacts that are not there.
func (w *worker) wishes() {
	w.freeAndTaken()
	w.strangeResistors()
	w.greedyLamps()
	for _, c := range w.controls {
		w.litByNothing(c)
	}
}

// freeAndTaken names the pins that the file keeps free and gives to a lead.
func (w *worker) freeAndTaken() {
	for i, name := range w.p.Wiring.Free {
		b, p := w.findPin("", name)
		if p == nil {
			continue
		}
		for _, lead := range w.p.Wiring.Pins.Keys {
			a, ok := w.settled[lead]
			if !ok || a.term != (Terminal{b, p.Lug}) {
				continue
			}
			path := "wiring.free." + itoa(i)
			w.found(rulePinTaken, finding.Finding{
				Severity: finding.Warn, Head: finding.Capital(w.sayPin(a.term)) + " is to stay free, and " + lead + " is put on it.", Body: "The lead has it. Take one of the two out.",
				Ends:  []finding.End{{Name: name, Path: path, Pos: w.p.Pos(path)}, a.end},
				Fixes: []finding.Fix{{Say: "Take it off the list of free pins", Short: "not free", Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}},
			})
			break
		}
	}
}

// strangeResistors names what stands among the resistors and is neither a series nor a value.
func (w *worker) strangeResistors() {
	for i, s := range w.p.Wiring.Resistors {
		if o, err := electric.ParseOhms(s); seriesOf(s).Valid() || err == nil && o > 0 && !asSeries(s) {
			continue
		}
		path := "wiring.resistors." + itoa(i)
		w.found(ruleResistor, finding.Finding{
			Head: "“" + s + "” is neither a resistor nor a series of them.", Body: "It is passed over. Write values, 220 or 4.7k, or a series: E6, E12, E24.",
			Ends:  []finding.End{{Name: "the resistors", Path: path, Pos: w.p.Pos(path)}},
			Fixes: []finding.Fix{{Say: "Take it out", Short: "not " + s, Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}},
		})
	}
}

// greedyLamps says when the current wished for is more than a bare lamp bears, or none.
func (w *worker) greedyLamps() {
	const path = "wiring.lamps.current"
	want := w.p.Wiring.Lamps.Current
	end := finding.End{Name: "the current of the lamps", Path: path, Pos: w.p.Pos(path)}
	if want <= 0 {
		if end.Pos.Line > 0 {
			w.found(ruleLampBright, finding.Finding{
				Head: "The lamps cannot have " + plain(want) + " mA.", Body: "It must be more than nothing; what their records say is taken.", Ends: []finding.End{end},
				Fixes: []finding.Fix{{Say: "Take it out", Short: "no current", Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}},
			})
		}
		return
	}
	var who []string
	least, ends := 0.0, []finding.End{end}
	for _, c := range w.controls {
		if d := c.Part.Lamp; len(c.Part.Circuit.Lamps) > 0 && d.Rated == 0 && d.Drop > 0 && mostOf(d) < want {
			if most := mostOf(d); len(who) == 0 || most < least {
				least = most
			}
			who = append(who, c.Label)
			ends = append(ends, c.Origin.End())
		}
	}
	if len(who) == 0 {
		return
	}
	w.found(ruleLampBright, finding.Finding{
		Head: several(who) + " cannot have " + plain(want) + " mA.", Body: plain(least) + " mA is the most for long; the resistors are chosen for what the records say. 2 to 10 mA are bright enough indoors.", Ends: ends,
		Measure: &finding.Measure{Have: want, Want: least, Unit: "mA", Sense: finding.AtMost},
		Fixes:   []finding.Fix{{Say: "Give them 5 mA", Short: "current: 5", Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: "5"}}}},
	})
}

// wished is the current that a bare lamp is to have when the file wishes for so much, mA: that, or what its record says when it does not bear it.
func wished(own float64, d catalog.LampData) float64 {
	if own <= mostOf(d) {
		return own
	}
	if d.Current > 0 {
		return d.Current
	}
	return usualLamp
}

// litByNothing says when lit: is written at a control without a lamp, or names a contact that the part does not have.
func (w *worker) litByNothing(c *panel.Control) {
	k := &c.Part.Circuit
	if c.Lit == "" || c.Lit == "none" || c.Part.ID == "" {
		return
	}
	f := finding.Finding{Ends: []finding.End{c.Origin.End()}}
	switch {
	case len(k.Lamps) == 0 && (len(k.Contacts) > 0 || len(k.Tracks) > 0):
		f.Head, f.Body = c.Label+" has no lamp to be lit.", "What lit: says has no effect."
		f.Fixes = w.unlit(c, "Take it out")
	case len(k.Lamps) > 0 && c.Lit == "contact" && w.contactOf(c) < 0:
		f.Head, f.Body = "No contact lights "+c.Label+": it has none of its own.", "It is lit all the time. To let it follow a switch, take lit: out and write sends: follows, with the name of the switch."
		f.Fixes = w.unlit(c, "Let a pin light it")
	default:
		return
	}
	w.found(ruleLitNothing, f)
}

func (w *worker) unlit(c *panel.Control, say string) []finding.Fix {
	path := c.Origin.Path + ".lit"
	if w.p.Pos(path).Line == 0 {
		return nil
	}
	return []finding.Fix{{Say: say, Short: "no lit", Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}}
}

// asSeries reports whether a word for resistors begins as a series does.
func asSeries(s string) bool { return strings.HasPrefix(strings.ToUpper(strings.TrimSpace(s)), "E") }
