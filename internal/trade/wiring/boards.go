package wiring

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Roles of boards, as the catalogue has them.
const (
	roleModule   = "module"
	roleExpander = "expander"
	roleShiftIn  = "shift-in"
	roleAnalogIn = "analog-in"
)

// line is a pin that a lead may go to.
type line struct {
	board int
	pin   catalog.Pin
	term  Terminal
	at    geom.Vec3
	has   bool // it has a place
}

// sayPin names the pin as people read it on the board: "pin 14 (GP10)", "line A3 of expander 1".
func (w *worker) sayPin(t Terminal) string {
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Name != t.Of || b.Part.Board == nil {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			if p.Lug != t.Lug {
				continue
			}
			word := "pin " + p.Lug
			if b.Part.Board.Role != roleModule {
				word = "line " + p.Lug
			}
			if p.Name != "" && p.Name != p.Lug {
				word += " (" + p.Name + ")"
			}
			if i != w.module {
				word += " of " + b.Label
			}
			return word
		}
	}
	return "lug " + t.Lug + " of " + strings.ToUpper(t.Of)
}

// boards lists the boards of the job that are in the file.
func (w *worker) boards() {
	if m := w.p.Module; m != nil && !w.sameName(m) {
		w.addBoard(Board{Name: m.Name, Label: "the module", Part: m.Part, Module: m})
	}
	chain := 0
	used := w.displays()
	for _, m := range w.p.Extras {
		if m.Address > 0 {
			used[m.Address]++
		}
	}
	for _, m := range w.p.Extras {
		if w.sameName(m) {
			continue
		}
		b := Board{Name: m.Name, Label: boardLabel(m.Name), Part: m.Part, Module: m, Address: m.Address}
		if d := m.Part.Board; d != nil {
			switch d.Role {
			case roleShiftIn:
				b.Chain = chain
				chain++
			case roleExpander:
				if b.Address == 0 {
					b.Address = nextAddress(d, used)
				}
			}
		}
		w.addBoard(b)
	}
}

// sameName reports a board that is called as a control is.
func (w *worker) sameName(m *panel.Module) bool {
	c := w.named[m.Name]
	if c == nil {
		return false
	}
	w.found(ruleSameName, finding.Finding{
		Head: "A board and a control are both called " + m.Name + ".", Body: "No lead goes to the board until one of them is renamed.", Ends: []finding.End{c.Origin.End(), m.Origin.End()},
	})
	return true
}

// displays counts the addresses on the bus that controls have.
func (w *worker) displays() map[int]int {
	used := map[int]int{}
	for _, c := range w.controls {
		if pw := c.Part.Circuit.Powered; pw != nil && pw.Bus == "i2c" && pw.Address > 0 && c.Via != "none" {
			used[pw.Address]++
		}
	}
	return used
}

// nextAddress gives the first address that an expander can have among those that fewest have, and counts it: on a second bus addresses
// begin anew.
func nextAddress(d *catalog.Board, used map[int]int) int {
	best := d.Address
	for a := d.Address; a < d.Address+max(d.Addresses, 1); a++ {
		if used[a] < used[best] {
			best = a
		}
	}
	used[best]++
	return best
}

func boardLabel(name string) string { return strings.NewReplacer("-", " ", "_", " ").Replace(name) }

// addBoard adds a board with its lines and gives its index.
func (w *worker) addBoard(b Board) int {
	i := len(w.r.Boards)
	w.r.Boards = append(w.r.Boards, b)
	d := b.Part.Board
	if d == nil {
		return i
	}
	if d.Role == roleModule && w.module < 0 && b.Name == "module" {
		w.module = i
		w.rails = railsOf(b)
	}
	for _, p := range d.Pins {
		if p.Kind != catalog.PinIO || p.Bus != "" {
			continue
		}
		l := line{board: i, pin: p, term: Terminal{b.Name, p.Lug}}
		l.at, l.has = w.at(l.term)
		w.lines = append(w.lines, l)
	}
	return i
}

// board gives the module's board data; nil without.
func (w *worker) moduleBoard() *catalog.Board {
	if w.module < 0 {
		return nil
	}
	return w.r.Boards[w.module].Part.Board
}

// rail is a supply of the module.
type rail struct {
	name      string // of its net: "3.3 V", "5 V", "reference"
	volts     float64
	gives     float64
	reference bool
	pins      []Terminal
}

// railsOf lists the supplies that a module gives: one for each voltage and source.
func railsOf(b Board) []rail {
	d := b.Part.Board
	var out []rail
	for _, s := range d.Supplies {
		if s.Takes || s.Gives <= 0 {
			continue
		}
		ref := false
		for _, p := range d.Pins {
			if p.Lug == s.Lug && p.Kind == catalog.PinReference {
				ref = true
			}
		}
		r := rail{name: plain(s.Volts) + " V", volts: s.Volts, gives: s.Gives, reference: ref, pins: []Terminal{{b.Name, s.Lug}}}
		if ref {
			r.name = "reference"
		}
		if i := slices.IndexFunc(out, func(x rail) bool { return x.name == r.name }); i >= 0 {
			out[i].pins = append(out[i].pins, r.pins...)
			continue
		}
		out = append(out, r)
	}
	return out
}

// logicRail gives the index of the supply that has the voltage of the module's pins; -1 without.
func (w *worker) logicRail() int {
	d := w.moduleBoard()
	if d == nil {
		return -1
	}
	return slices.IndexFunc(w.rails, func(r rail) bool { return !r.reference && abs(r.volts-d.Volts) < 0.05 })
}
