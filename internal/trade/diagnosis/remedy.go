package diagnosis

import (
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/record"
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

func (m *Model) remedy(f Fault) (Remedy, bool) {
	c := m.c
	fact := func(say words.Text, of []string, edits ...finding.Edit) (Remedy, bool) {
		what := words.English.Say(words.T("fault.fact."+string(f.Kind), "what", c.factName(f), "a", c.name(f.A), "b", c.name(f.B), "n", trim(f.Value)))
		return Remedy{Say: say, Fact: record.Fact{Kind: "wiring", What: what, Of: of, Edits: edits}}, true
	}
	dev := c.deviceNamed(f.Device)
	var x *panel.Control
	if dev >= 0 {
		x = c.in.Wiring.Devices[dev].Control
	}
	switch f.Kind {
	case Swapped, WrongPin, LinesSwapped, PhasesSwap:
		p := c.patchOf(f)
		if f.Kind == PhasesSwap && dev >= 0 { // the same as the two leads exchanged
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
			p = c.patchOf(g)
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
		return fact(words.T("fault.table."+key, "what", strings.Join(names, ", "), "n", len(names)), of, edits...)
	case EndsSwapped:
		if e, ok := sendsEdit(x, "reverse", "yes"); ok && x != nil {
			return fact(words.T("fault.table.reverse", "what", c.labelOf(f.Device)), []string{x.Name}, e)
		}
	case Bounces:
		ms := int(f.Value*1.3) + 1
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
