package diagnosis

import (
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/record"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// Remedy is what can be done about a fault without solder: the design is made as it was built, or the table follows it.
type Remedy struct {
	Say  words.Text  `json:"say"`  // what happens: "Leave it, and let the table exchange the pins of UP and DOWN"
	Fact record.Fact `json:"fact"` // for the record, without ID and date
}

// Remedy gives what can be done about a fault without solder; false where it needs the iron.
func (m *Model) Remedy(f Fault) (Remedy, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.remedy(f)
}

// Remedies gives what can be done about several faults at once without solder. Changes of pins come together, so that none takes back
// another. False where any of them needs the iron.
func (m *Model) Remedies(faults []Fault) ([]Remedy, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	c := m.c
	var pins []Fault
	var out []Remedy
	for _, f := range faults {
		if _, ends := c.asEnds(f); !ends && f.Kind == Swapped || f.Kind == WrongPin || f.Kind == LinesSwapped || f.Kind == PhasesSwap {
			pins = append(pins, f)
			continue
		}
		r, ok := m.remedy(f)
		if !ok {
			return nil, false
		}
		out = append(out, r)
	}
	if len(pins) > 0 {
		r, ok := m.repin(pins)
		if !ok {
			return nil, false
		}
		out = append(out, r)
	}
	return out, len(out) > 0
}

func (c *circuit) factOf(f Fault) string {
	return words.English.Say(words.T("fault.fact."+string(f.Kind), "what", c.factName(f), "a", c.name(f.A), "b", c.name(f.B), "n", trim(f.Value)))
}

// repin lets the pins of the design follow faults of leads.
func (m *Model) repin(faults []Fault) (Remedy, bool) {
	c := m.c
	var p *patch
	var what []string
	for _, f := range faults {
		what = append(what, c.factOf(f))
		q := c.patchOf(c.asSwap(f))
		if p == nil {
			p = q
		} else {
			p = merge(p, q)
		}
	}
	pins, ok := m.newPins(p)
	if !ok {
		return Remedy{}, false
	}
	edits := c.in.Wiring.Settle()
	var names, of []string
	for i, s := range c.in.Wiring.Signals {
		t, changed := pins[i]
		if !changed {
			continue
		}
		names = append(names, s.Label)
		if s.Device >= 0 && !slices.Contains(of, c.in.Wiring.Devices[s.Device].Control.Name) {
			of = append(of, c.in.Wiring.Devices[s.Device].Control.Name)
		}
		path := "wiring.pins." + s.Name
		edits = slices.DeleteFunc(edits, func(e finding.Edit) bool { return e.Path == path })
		edits = append(edits, finding.Edit{Op: finding.Set, Path: path, Value: c.printedPin(t)})
	}
	key := "pins"
	if len(names) == 1 {
		key = "pin"
	}
	return Remedy{
		Say:  words.T("fault.table."+key, "what", strings.Join(names, ", "), "n", len(names)),
		Fact: record.Fact{Kind: "wiring", What: strings.Join(what, " "), Of: of, Edits: edits},
	}, true
}

// asEnds gives the leads of the two ends of a track exchanged as its ends exchanged: the table reads it the other way round.
func (c *circuit) asEnds(f Fault) (Fault, bool) {
	if f.Kind != Swapped || f.A.Of != f.B.Of {
		return f, false
	}
	for i := range c.in.Wiring.Devices {
		d := &c.in.Wiring.Devices[i]
		t := d.Control.Part.Circuit.Tracks
		if d.Kind != wiring.DevTrack || d.Control.Name != f.A.Of || d.Index >= len(t) {
			continue
		}
		if e := t[d.Index].Ends; e == [2]string{f.A.Lug, f.B.Lug} || e == [2]string{f.B.Lug, f.A.Lug} {
			return Fault{Kind: EndsSwapped, Device: d.ID}, true
		}
	}
	return f, false
}

// asSwap gives A and B of an encoder exchanged as two leads exchanged; any other fault as it is.
func (c *circuit) asSwap(f Fault) Fault {
	dev := c.deviceNamed(f.Device)
	if f.Kind != PhasesSwap || dev < 0 {
		return f
	}
	x := c.in.Wiring.Devices[dev].Control
	g := Fault{Kind: Swapped}
	k := x.Part.Circuit.Contacts
	for _, n := range c.in.Wiring.Devices[dev].Contact {
		switch phaseOf(k[n]) {
		case 'A':
			g.A.Of, g.A.Lug = x.Name, k[n].Lugs[1]
		case 'B':
			g.B.Of, g.B.Lug = x.Name, k[n].Lugs[1]
		}
	}
	return g
}

func (m *Model) remedy(f Fault) (Remedy, bool) {
	c := m.c
	fact := func(say words.Text, of []string, edits ...finding.Edit) (Remedy, bool) {
		return Remedy{Say: say, Fact: record.Fact{Kind: "wiring", What: c.factOf(f), Of: of, Edits: edits}}, true
	}
	dev := c.deviceNamed(f.Device)
	var x *panel.Control
	if dev >= 0 {
		x = c.in.Wiring.Devices[dev].Control
	}
	if g, ok := c.asEnds(f); ok {
		f = g
		dev = c.deviceNamed(f.Device)
		x = c.in.Wiring.Devices[dev].Control
	}
	switch f.Kind {
	case Swapped, WrongPin, LinesSwapped, PhasesSwap:
		return m.repin([]Fault{f})
	case EndsSwapped:
		if e, ok := sendsEdit(x, "reverse", "yes"); ok && x != nil {
			return fact(words.T("fault.table.reverse", "what", c.labelOf(f.Device)), []string{x.Name}, e)
		}
	case Bounces:
		ms := int(f.Value*1.5) + 2 // one press is not the worst
		if e, ok := sendsEdit(x, "debounce", strconv.Itoa(ms)+" ms"); ok && f.Value > 0 && ms < 250 {
			return fact(words.T("fault.table.debounce", "what", c.labelOf(f.Device), "ms", ms), []string{x.Name}, e)
		}
	case Detents:
		if x == nil || x.Part.Detents == 0 || f.Value <= 0 {
			break
		}
		pulses := float64(x.Part.Detents) * f.Value / 4
		if pulses != float64(int(pulses)) || x.From != "" {
			break
		}
		return fact(words.T("fault.table.detents", "what", c.labelOf(f.Device), "n", int(f.Value)), []string{x.Name},
			finding.Edit{Op: finding.Set, Path: x.Origin.Path + ".adjust.pulses", Value: strconv.Itoa(int(pulses))})
	}
	return Remedy{}, false
}

func (c *circuit) factName(f Fault) string {
	if f.Device != "" {
		return c.labelOf(f.Device)
	}
	return c.owner(f.A)
}

// sendsEdit sets a word under what a control sends, however that is written now.
func sendsEdit(x *panel.Control, key, value string) (finding.Edit, bool) {
	if x == nil || x.From != "" || x.Origin.Path == "" || !strings.HasSuffix(x.Origin.Path, "."+x.Name) {
		return finding.Edit{}, false // a copy sends what its source does
	}
	path := x.Origin.Path + ".sends"
	n := x.Sent.Node
	for n != nil && n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	switch {
	case n == nil || n.Kind == yaml.ScalarNode && (n.Tag == "!!null" || n.Value == ""):
		return finding.Edit{Op: finding.Set, Path: path, Value: "{" + key + ": " + value + "}"}, true
	case n.Kind == yaml.ScalarNode:
		return finding.Edit{Op: finding.Set, Path: path, Value: "{press: " + strconv.Quote(n.Value) + ", " + key + ": " + value + "}"}, true
	case n.Kind == yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			if key == "reverse" && n.Content[i].Value == key && (n.Content[i+1].Value == "yes" || n.Content[i+1].Value == "true") {
				value = "no"
			}
		}
		return finding.Edit{Op: finding.Set, Path: path + "." + key, Value: value}, true
	}
	return finding.Edit{}, false
}
