package wiring

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// stock finds the boards and small parts that the plan may add: of each kind the cheapest of the catalogue.
func (w *worker) stock() {
	w.kit = map[string]catalog.Part{}
	for _, b := range w.r.Boards { // more of what the file has already comes first
		if d := b.Part.Board; d != nil && d.Role != roleModule {
			if _, ok := w.kit[d.Role]; !ok {
				w.kit[d.Role] = b.Part
			}
		}
	}
	for _, id := range w.cat.BoardIDs() {
		p, ok := w.cat.Part(id)
		if !ok || p.Class != catalog.ModuleBrd || p.Board == nil {
			continue
		}
		if p.Board.Role == roleModule {
			w.modules = append(w.modules, p)
			continue
		}
		old, ok := w.kit[p.Board.Role]
		if !ok || !w.inFile(old.ID) && perLine(p) < perLine(old) {
			w.kit[p.Board.Role] = p
		}
	}
	w.diode = small{title: "small signal diode, 1N4148", price: [2]float64{0.02, 0.1}}
	w.resistor = small{title: "resistor, 1/4 W", price: [2]float64{0.01, 0.05}}
	for _, id := range w.cat.SmallIDs() {
		p, ok := w.cat.Small(id)
		if !ok {
			continue
		}
		for kind, s := range map[string]*small{"diode": &w.diode, "resistor": &w.resistor} {
			if p.Kind == kind && s.id == "" {
				*s = small{id: id, title: p.Title, price: [2]float64{p.Price.From, p.Price.To}}
			}
		}
	}
	w.diode.money, w.resistor.money = (w.diode.price[0]+w.diode.price[1])/2, (w.resistor.price[0]+w.resistor.price[1])/2
}

// small is a small part and its price.
type small struct {
	id, title string
	price     [2]float64
	money     float64 // the middle of it
}

// number is the part number in the title of a small part: 1N4148; the title where there is none.
func (s small) number() string {
	for f := range strings.FieldsFuncSeq(s.title, func(r rune) bool { return r == ' ' || r == ',' }) {
		if len(f) > 3 && f[0] >= '0' && f[0] <= '9' && strings.ContainsRune(f, 'N') {
			return f
		}
	}
	return s.title
}

func (w *worker) inFile(id string) bool {
	return slices.ContainsFunc(w.r.Boards, func(b Board) bool { return b.Part.ID == id })
}

func perLine(p catalog.Part) float64 {
	_, n := linesOf(p)
	return (p.Price.From + p.Price.To) / float64(max(n, 1))
}

// by is the way that the file asks for.
func (w *worker) by() string { return or(w.p.Wiring.By, "auto") }

// ways lays what the file asks for over the contacts: of the control, else of the panel.
func (w *worker) ways() {
	w.commons = map[Terminal]int{}
	for i, s := range w.r.Signals {
		if s.Kind == SigContact {
			w.commons[Terminal{w.wants[i].control.Name, w.wants[i].common}]++
		}
	}
	w.turners = w.turning()
	by := w.way
	of, not := w.controlSet(w.p.Wiring.Matrix.Of, "of"), w.controlSet(w.p.Wiring.Matrix.Not, "not")
	for i := range w.r.Signals {
		s, x := &w.r.Signals[i], &w.wants[i]
		if s.Kind != SigContact {
			if by == "direct" && (s.Kind == SigLamp || s.Kind == SigDrive) {
				x.via = Direct
			}
			continue
		}
		if !s.Asked.Zero() {
			x.pools, x.via = false, ""
			continue
		}
		if not[x.control.Name] {
			x.matrix = false
		}
		if x.via == "" {
			switch {
			case of[x.control.Name]:
				x.via = Matrix
			case by == "matrix":
				if x.matrix && len(of) == 0 {
					x.via = Matrix
				}
			case by == "ladder":
				if w.turns(s.Device) {
					x.via = Ladder
				}
			case by == "direct" || by == "expander" || by == "shift-in":
				x.via = Way(by)
			}
		}
	}
	w.siblings()
	for i := range w.r.Signals {
		s, x := &w.r.Signals[i], &w.wants[i]
		if s.Kind != SigContact || x.via != Matrix || x.matrix {
			continue
		}
		if x.control.Via == string(Matrix) || of[x.control.Name] || w.stays(i) {
			w.found(ruleCannot, finding.Finding{
				Head: s.Label + " cannot cross in a matrix.", Body: "One of its lugs serves something else in the same body, or it is taken out under wiring.matrix.not. It gets a pin of its own.",
				Ends: []finding.End{x.control.Origin.End()}, Fixes: w.controlFix(x.control, "via", "direct", "Give it a pin of its own"),
			})
		}
		x.via, x.cross = "", [2]int{}
	}
	for _, c := range w.controls {
		if c.Via == "" || c.Via == "none" || c.Via == "direct" {
			continue
		}
		w.sharesNot(c)
	}
}

// siblings keeps contacts out of the matrix whose common another contact needs for something else: one with a pin of its own wants it on
// ground.
func (w *worker) siblings() {
	apart := map[Terminal]bool{}
	for pass := range 2 {
		for i := range w.r.Signals {
			s, x := &w.r.Signals[i], &w.wants[i]
			if s.Kind != SigContact {
				continue
			}
			t := Terminal{x.control.Name, x.common}
			switch {
			case pass == 0 && (!s.Asked.Zero() || !x.matrix || x.via != "" && x.via != Matrix):
				apart[t] = true
			case pass == 1 && apart[t]:
				x.matrix = false
			}
		}
	}
}

// sharesNot says of a control that the file sends some way that it has leads which cannot go that way.
func (w *worker) sharesNot(c *panelControl) {
	var phases, contacts, wipers int
	for i, s := range w.r.Signals {
		if w.wants[i].control != c {
			continue
		}
		switch s.Kind {
		case SigPhase:
			phases++
		case SigContact:
			contacts++
		case SigWiper:
			wipers++
		}
	}
	fix := w.controlFix(c, "via", "direct", "Give it pins of its own")
	switch {
	case phases > 0 && c.Via == "matrix":
		f := finding.Finding{
			Head: "The turning of " + c.Label + " cannot go through a matrix.", Body: "A matrix is looked at too seldom for its quick edges. It keeps two pins of its own.",
			Ends: []finding.End{c.Origin.End()}, Fixes: fix,
		}
		if contacts > 0 {
			f.Body += " Its push does cross in the matrix."
			f.Fixes = nil
		}
		w.found(ruleMatrixEncoder, f)
	case phases > 0 && contacts == 0:
		w.found(ruleCannot, finding.Finding{
			Head: c.Label + " cannot go over " + wayWords[Way(c.Via)] + ".", Body: "That is looked at too seldom for an encoder. It keeps two pins of its own.", Ends: []finding.End{c.Origin.End()}, Fixes: fix,
		})
	case wipers > 0 && contacts == 0:
		w.found(ruleCannot, finding.Finding{
			Head: c.Label + " cannot go over " + wayWords[Way(c.Via)] + ".", Body: "Its wiper gives a voltage, which wants a pin that can read one.", Ends: []finding.End{c.Origin.End()}, Fixes: fix,
		})
	}
}

// wayWords are the ways in sentences.
var wayWords = map[Way]string{
	Direct: "pins of their own", Matrix: "a matrix", Expander: "an expander", ShiftIn: "a shift-in board", Ladder: "a voltage ladder", AnalogIn: "an analog multiplexer",
}

// controlSet reads a list of controls in the matrix's part of the file.
func (w *worker) controlSet(names []string, key string) map[string]bool {
	out := map[string]bool{}
	for i, n := range names {
		if w.named[n] != nil {
			out[n] = true
			continue
		}
		var all []string
		for _, c := range w.controls {
			all = append(all, c.Name)
			if c.Group == n {
				out[c.Name] = true
			}
		}
		if slices.ContainsFunc(w.controls, func(c *panelControl) bool { return c.Group == n }) {
			continue // a group stands for its members
		}
		path := "wiring.matrix." + key + "." + itoa(i)
		f := finding.Finding{Head: "No control is called " + n + ".", Body: "The matrix goes without it.", Ends: []finding.End{{Name: n, Path: path, Pos: w.p.Pos(path)}}}
		if near := yamlfile.Nearest(n, all); near != "" {
			f.Body = "Did you mean " + near + "?"
			f.Fixes = []finding.Fix{{Say: "Write " + near, Short: near, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: quote(near)}}}}
		}
		w.found(ruleUnknownLead, f)
	}
	return out
}
