package wiring

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// asked reads what the person settled: pins of leads, pins to keep free.
func (w *worker) asked() {
	w.settled, w.holder = map[string]asking{}, map[Terminal]string{}
	if len(w.r.Boards) == 0 {
		return
	}
	for i, name := range w.p.Wiring.Free {
		path := "wiring.free." + itoa(i)
		end := finding.End{Name: name, Path: path, Pos: w.p.Pos(path)}
		b, p := w.findPin("", name)
		if p == nil {
			w.unknownPin("", name, end, path)
			continue
		}
		w.free[Terminal{b, p.Lug}] = true
	}
	for _, name := range w.p.Wiring.Pins.Keys {
		ref := w.p.Wiring.Pins.Get(name)
		path := "wiring.pins." + name
		end := finding.End{Name: name, Path: path, Pos: w.p.Pos(path)}
		if ref.Pin == "" {
			if ref.Row != 0 || ref.Column != 0 {
				w.settled[name] = asking{end: end, path: path, cross: [2]int{ref.Row, ref.Column}}
			}
			continue
		}
		value := path
		if w.p.Pos(path+".pin").Line > 0 {
			value = path + ".pin"
		}
		board, p := w.findPin(ref.On, ref.Pin)
		if p == nil {
			w.unknownPin(ref.On, ref.Pin, end, value)
			continue
		}
		t := Terminal{board, p.Lug}
		switch p.Kind {
		case catalog.PinGround, catalog.PinAGround, catalog.PinSupply, catalog.PinReference:
			w.found(ruleShorted, finding.Finding{
				Head: finding.Capital(name) + " is put on " + w.sayPin(t) + ", which is " + kindWord(p.Kind) + ".", Body: "Whatever it does, that would short it. It gets another pin until the file is mended.",
				Ends: []finding.End{end, w.boardEnd(board)}, Fixes: dropPin(path),
			})
			continue
		case catalog.PinIO:
			if p.Bus == "" {
				w.settled[name] = asking{term: t, end: end, path: value, pin: *p}
				continue
			}
		}
		w.found(ruleCannot, finding.Finding{
			Head: finding.Capital(w.sayPin(t)) + " cannot take " + name + ": it has a duty of its own.", Body: finding.Capital(or(p.Duty, "it is no pin for leads")) + ".",
			Ends: []finding.End{end, w.boardEnd(board)}, Fixes: dropPin(path),
		})
	}
}

// asking is a pin that the person settled for a lead.
type asking struct {
	term Terminal
	pin  catalog.Pin
	end  finding.End
	path string

	cross [2]int // in place of a pin: a crossing of the matrix
}

func dropPin(path string) []finding.Fix {
	return []finding.Fix{{Say: "Let the plan choose the pin", Short: "no pin of its own", Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}}
}

func kindWord(k catalog.PinKind) string {
	switch k {
	case catalog.PinGround, catalog.PinAGround:
		return "ground"
	case catalog.PinReference:
		return "the reference of the analog inputs"
	}
	return "a supply"
}

// findPin finds a pin by what is printed on the board, by its number, or by the chip's own name; nil without. Of several pins of one
// name the first is taken.
func (w *worker) findPin(on, name string) (board string, p *catalog.Pin) {
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if on == "" && i != w.module || on != "" && b.Name != on || b.Part.Board == nil {
			continue
		}
		pins := b.Part.Board.Pins
		for _, is := range []func(catalog.Pin) bool{
			func(x catalog.Pin) bool { return x.Name == name },
			func(x catalog.Pin) bool { return strings.EqualFold(x.Name, name) },
			func(x catalog.Pin) bool { return x.Lug == name },
			func(x catalog.Pin) bool { return strings.EqualFold(x.Port, name) && x.Port != "" },
		} {
			if j := slices.IndexFunc(pins, is); j >= 0 {
				return b.Name, &pins[j]
			}
		}
	}
	return "", nil
}

// boardEnd is a board as one end of a finding.
func (w *worker) boardEnd(name string) finding.End {
	for i := range w.r.Boards {
		if b := &w.r.Boards[i]; b.Name == name && b.Module != nil {
			return b.Module.Origin.End()
		}
	}
	return finding.End{Name: name}
}

// unknownPin says that a board has no such pin, or that there is no such board.
func (w *worker) unknownPin(on, name string, end finding.End, path string) {
	var names []string
	label := ""
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if on == "" && i == w.module || on != "" && b.Name == on {
			label = b.Label
			if b.Part.Board != nil {
				for _, p := range b.Part.Board.Pins {
					if p.Kind == catalog.PinIO && p.Bus == "" {
						names = append(names, or(p.Name, p.Lug))
					}
				}
			}
		}
	}
	if label == "" {
		if on == "" {
			return // there is no module: that is said once
		}
		var boards []string
		for _, b := range w.r.Boards {
			if b.Name != "module" {
				boards = append(boards, b.Name)
			}
		}
		f := finding.Finding{Head: "There is no board called " + on + ".", Body: "Boards are listed under wiring.boards.", Ends: []finding.End{end}}
		if near := yamlfile.Nearest(on, boards); near != "" {
			f.Body = "Did you mean " + near + "?"
		}
		w.found(ruleUnknownPin, f)
		return
	}
	f := finding.Finding{
		Head: finding.Capital(label) + " has no pin " + name + ".", Body: "Write it as printed on the board, or its number.", Ends: []finding.End{end, w.boardEnd(or(on, "module"))},
	}
	if near := yamlfile.Nearest(name, names); near != "" {
		f.Body = "Did you mean " + near + "?"
		f.Fixes = []finding.Fix{{Say: "Write " + near, Short: near, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: quote(near)}}}}
	}
	w.found(ruleUnknownPin, f)
}

// settle lays what the person settled over the signals that there are, and says what cannot be. Names that nothing has yet wait for the
// lines that a plan adds; last says that no more will come.
func (w *worker) settle(names []string, last bool) {
	byName := map[string][]int{}
	for i, s := range w.r.Signals {
		byName[s.Name] = append(byName[s.Name], i)
		if c := w.wants[i].control; c != nil && c.Name != s.Name {
			byName[c.Name] = append(byName[c.Name], i)
		}
	}
	var later []string
	for _, name := range names {
		a, ok := w.settled[name]
		if !ok {
			continue
		}
		at := byName[name]
		if exact := slices.IndexFunc(at, func(i int) bool { return w.r.Signals[i].Name == name }); exact >= 0 {
			at = at[exact : exact+1]
		}
		switch {
		case len(at) == 0 && !last:
			later = append(later, name)
			continue
		case len(at) == 0:
			w.unknownLead(name, a)
			continue
		case len(at) > 1:
			var names []string
			for _, i := range at {
				names = append(names, w.r.Signals[i].Name)
			}
			w.found(ruleUnknownLead, finding.Finding{
				Head: finding.Capital(name) + " has " + plural(len(at), "lead") + ", and one pin is given.", Body: "Give each its own: " + several(names) + ".", Ends: []finding.End{a.end},
			})
			continue
		}
		i := at[0]
		s := &w.r.Signals[i]
		if a.cross != [2]int{} {
			w.settleCrossing(name, i, a)
			continue
		}
		if lack := w.lacks(i, a); lack != "" {
			f := finding.Finding{
				Head: s.Label + " cannot go to " + w.sayPin(a.term) + ": " + lack + ".", Body: "It gets another pin until the file is mended.",
				Ends: []finding.End{a.end, w.boardEnd(a.term.Of)}, Fixes: dropPin("wiring.pins." + name),
			}
			w.wrong = append(w.wrong, wrongPin{finding: f, rule: ruleCannot, signal: i, path: a.path})
			continue
		}
		if first, ok := w.holder[a.term]; ok {
			b := w.settled[first]
			f := finding.Finding{
				Head: s.Label + " and " + w.labelOf(first) + " share " + w.sayPin(a.term) + ".", Body: finding.Capital(w.labelOf(first)) + " keeps it here; " + s.Label + " gets another pin until the file is mended.",
				Ends: []finding.End{a.end, b.end}, Fixes: dropPin("wiring.pins." + name),
			}
			w.wrong = append(w.wrong, wrongPin{finding: f, rule: rulePinTaken, signal: i, path: a.path})
			continue
		}
		w.holder[a.term] = name
		s.Asked = a.term
		delete(w.free, a.term) // a lead on it wins over keeping it free
		if a.pin.Avoid > 0 {
			w.found(ruleBootPin, finding.Finding{
				Head: s.Label + " is on " + w.sayPin(a.term) + ", which has another duty: " + or(a.pin.Duty, "it is best left alone") + ".", Body: "It works if that does not disturb. Any other pin is safer.",
				Ends: []finding.End{a.end, w.boardEnd(a.term.Of)}, Fixes: dropPin("wiring.pins." + name),
			})
		}
	}
	w.later = later
}

// settleCrossing puts a contact at the crossing that the person settled.
func (w *worker) settleCrossing(name string, i int, a asking) {
	s, x := &w.r.Signals[i], &w.wants[i]
	at := "row " + itoa(a.cross[0]) + ", column " + itoa(a.cross[1])
	f := finding.Finding{Body: "It gets another place until the file is mended.", Ends: []finding.End{a.end}, Fixes: dropPin("wiring.pins." + name)}
	switch {
	case s.Kind != SigContact || !x.matrix:
		f.Head = s.Label + " cannot cross in a matrix."
		w.found(ruleCannot, f)
		return
	case a.cross[0] < 1 || a.cross[1] < 1 || a.cross[0] > mostLines || a.cross[1] > mostLines:
		f.Head = "There is no " + at + " for " + s.Label + "; they go from 1 to " + itoa(mostLines) + "."
		w.found(ruleCannot, f)
		return
	}
	t := Terminal{"matrix", at}
	if first, ok := w.holder[t]; ok {
		f.Head = s.Label + " and " + w.labelOf(first) + " cross at the same place, " + at + "."
		f.Ends = append(f.Ends, w.settled[first].end)
		w.found(rulePinTaken, f)
		return
	}
	line := a.cross[1]
	if !w.toRow() {
		line = a.cross[0]
	}
	common := Terminal{x.control.Name, x.common}
	for j := range w.wants { // contacts with one common are on one line of it
		y := &w.wants[j]
		if j == i || y.cross == [2]int{} || (Terminal{y.control.Name, y.common}) != common {
			continue
		}
		if other := y.cross[1]; w.toRow() && other != line || !w.toRow() && y.cross[0] != line {
			f.Head = s.Label + " cannot cross at " + at + ": it has one common with " + w.r.Signals[j].Label + ", and that lies on another line."
			w.found(ruleCannot, f)
			return
		}
	}
	w.holder[t] = name
	x.cross, x.via = a.cross, Matrix
	w.least[0], w.least[1] = max(w.least[0], a.cross[0]), max(w.least[1], a.cross[1])
}

// toRow reports whether the stripes of the diodes point to the rows, so that commons lie on columns.
func (w *worker) toRow() bool { return w.p.Wiring.Matrix.Diodes != "to-column" }

// wrongPin is a pin that cannot be as asked; the fix names the pin that the plan gave instead, so it is told when that is known.
type wrongPin struct {
	finding finding.Finding
	rule    finding.Rule
	signal  int
	path    string
}

// labelOf is what people call the lead that the file names.
func (w *worker) labelOf(name string) string {
	for i, s := range w.r.Signals {
		if s.Name == name || w.wants[i].control != nil && w.wants[i].control.Name == name {
			return s.Label
		}
	}
	return name
}

// lacks says why a signal cannot go to a pin; "" when it can.
func (w *worker) lacks(i int, a asking) string {
	s := &w.r.Signals[i]
	for _, l := range w.lines {
		if l.term == a.term {
			return w.refuses(&l, s)
		}
	}
	return "it is no pin for leads"
}

// refuses says why a pin cannot serve a signal; "" when it can.
func (w *worker) refuses(l *line, s *Signal) string {
	role := w.r.Boards[l.board].Part.Board.Role
	for _, n := range s.Needs {
		if slices.Contains(l.pin.Can, n) || (n == "sda" || n == "scl") && l.pin.Has(n) { // before it is known which bus
			continue
		}
		switch {
		case n == "analog":
			return "it cannot read a voltage"
		case strings.HasPrefix(n, "sda") || strings.HasPrefix(n, "scl"):
			return "it is not on that bus"
		case n == "tx" || n == "rx":
			return "it is on no serial port"
		}
		return "it cannot do that"
	}
	switch {
	case role == roleModule:
		return ""
	case s.Kind == SigPhase:
		return "a further board is looked at too seldom for an encoder"
	case s.Kind == SigContact:
		return ""
	case role == roleShiftIn:
		return "a shift-in board only reads contacts"
	case s.Kind == SigLamp || s.Kind == SigDrive:
		return ""
	case s.Kind == SigWiper && role == roleAnalogIn:
		return ""
	}
	return "it must be on the module itself"
}

// unknownLead says that nothing has the name of a lead.
func (w *worker) unknownLead(name string, a asking) {
	var names []string
	for _, s := range w.r.Signals {
		names = append(names, s.Name)
	}
	f := finding.Finding{Head: "No lead is called " + name + ".", Body: "Leads are called after their control: go, scene/a, curtain/up.", Ends: []finding.End{a.end}}
	head, _, _ := strings.Cut(name, "/")
	var own []string
	for i, s := range w.r.Signals {
		if c := w.wants[i].control; c != nil && c.Name == head {
			own = append(own, s.Name)
		}
	}
	near := yamlfile.Nearest(name, names)
	switch {
	case len(own) > 0 && !slices.Contains(own, near):
		f.Body = "Leads of " + head + ": " + several(own) + "."
		if len(own) == 1 {
			near = own[0]
		} else {
			near = ""
		}
	case near != "":
		f.Body = "Did you mean " + near + "?"
	}
	if _, there := w.p.Wiring.Pins.Map[near]; near != "" && !there {
		f.Fixes = []finding.Fix{{Say: "Write " + near, Short: near, Edits: []finding.Edit{{Op: finding.Rename, Path: "wiring.pins." + name, Value: near}}}}
	} else {
		f.Fixes = []finding.Fix{{Say: "Take it out", Short: "no pin for it", Edits: []finding.Edit{{Op: finding.Delete, Path: "wiring.pins." + name}}}}
	}
	w.found(ruleUnknownLead, f)
}
