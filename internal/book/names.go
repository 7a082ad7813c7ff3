package book

import (
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// names gives things of the wiring the names that people call them by, in the book's language.
type names struct {
	m        *maker
	controls map[string]*panel.Control
	boards   map[string]wiring.Board
	pin      map[wiring.Terminal]catalog.Pin
	fit      map[string]wiring.Fitting
}

func newNames(m *maker) names {
	n := names{m, map[string]*panel.Control{}, map[string]wiring.Board{}, map[wiring.Terminal]catalog.Pin{}, map[string]wiring.Fitting{}}
	for _, p := range m.r.Panel.Sheets() {
		for _, c := range p.Controls {
			n.controls[c.Name] = c
		}
	}
	for _, b := range m.r.Wiring.Boards {
		n.boards[b.Name] = b
		for _, p := range pinsOf(b.Part) {
			n.pin[wiring.Terminal{Of: b.Name, Lug: p.Lug}] = p
		}
	}
	for _, f := range m.r.Wiring.Fittings {
		n.fit[f.Name] = f
	}
	return n
}

// pinsOf lists the pins of a board, or its lugs when nothing is known of them.
func pinsOf(p catalog.Part) []catalog.Pin {
	if p.Board != nil {
		return p.Board.Pins
	}
	var out []catalog.Pin
	for _, l := range p.Lugs {
		out = append(out, catalog.Pin{Lug: l.Name, Name: l.Does, Kind: catalog.PinIO})
	}
	return out
}

// of names what a terminal is of.
func (n names) of(s string) string {
	if c := n.controls[s]; c != nil {
		return c.Label
	}
	if b, ok := n.boards[s]; ok {
		return n.board(b)
	}
	return s
}

func (n names) board(b wiring.Board) string {
	if b.Label == "the module" {
		return n.m.say("module")
	}
	return b.Label
}

// terminal names a place to solder: "GO no", "pin 14 (GP10)", "R3 at STANDBY +".
func (n names) terminal(t wiring.Terminal) string {
	if p, ok := n.pin[t]; ok {
		name := n.m.say("pin") + " " + t.Lug
		if t.Of != "module" {
			name = n.board(n.boards[t.Of]) + " " + name
		}
		if p.Name != "" && p.Name != t.Lug {
			name += " (" + p.Name + ")"
		}
		return name
	}
	if f, ok := n.fit[t.Of]; ok {
		return f.Name + " " + n.m.say("at") + " " + n.terminal(f.At)
	}
	return strings.TrimSpace(n.of(t.Of) + " " + t.Lug)
}

// control gives the control that a terminal belongs to, "" when it is none.
func (n names) control(t wiring.Terminal) string {
	if n.controls[t.Of] != nil {
		return t.Of
	}
	if f, ok := n.fit[t.Of]; ok && n.controls[f.At.Of] != nil {
		return f.At.Of
	}
	return ""
}

// touched lists the controls at terminals.
func (n names) touched(ts ...wiring.Terminal) []string {
	var out []string
	for _, t := range ts {
		if c := n.control(t); c != "" {
			out = append(out, c)
		}
	}
	return out
}

// colour writes a colour as word and letters.
func (n names) colour(c string) string {
	if key := "book.colour." + c; words.English.Has(key) {
		return n.m.Lang.Say(words.T(key)) + " " + c
	}
	return c
}

func (n names) short(x harness.Wire) string {
	if x.Tracer != "" {
		return x.Colour + ", " + n.m.tell(x.Tracer)
	}
	return x.Colour
}

func (n names) wire(id string) string {
	if x, ok := catalog.Builtin().Wire(id); ok {
		return n.m.tell(x.Title)
	}
	return id
}
