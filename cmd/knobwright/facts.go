package main

import (
	"fmt"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/length"
)

// fact is one line about a part; field names what its trust is looked up by.
type fact struct{ name, field, says string }

// facts tells a part in the words of the trade, in the order in which a fit is judged.
func facts(p catalog.Part) []fact {
	var fs []fact
	add := func(name, field, format string, a ...any) {
		fs = append(fs, fact{name, field, fmt.Sprintf(format, a...)})
	}
	mm := func(l length.Length) string { return length.Plain(l.MM()) }
	if p.Class != catalog.ModuleBrd {
		add("hole", "hole", "%s", cutWords(p.Hole))
	}
	for _, c := range p.Cuts {
		add(or(c.What, "cut"), "cuts", "%s at %s across, %s up of the middle", cutWords(c), mm(c.At[0]), mm(c.At[1]))
	}
	if p.Grip[1] > 0 {
		add("grip", "grip", "a face of %s to %s mm, covering included", mm(p.Grip[0]), mm(p.Grip[1]))
	}
	if p.Thread.Size != "" {
		add("thread", "thread", "%s, %s mm long", p.Thread.Size, mm(p.Thread.Length))
	}
	if n := p.Nut; n.Flats > 0 {
		add("nut", "nut", "%s, %s mm across, %s mm thick, on the %s; washers %s mm; turned with %s, which sweeps %s mm", or(n.Shape, "hex"), mm(n.Flats), mm(n.Thickness), or(n.Side, "rear"), mm(n.Washers), or(n.Tool, "fingers"), mm(n.ToolRoom))
	}
	for _, s := range p.Front {
		add(s.Role, "front", "%s, %s to %s mm before the seat", shapeWords(s), mm(s.Z[0]), mm(s.Z[1]))
	}
	for _, s := range p.Rear {
		add(s.Role, "rear", "%s, %s to %s mm behind the seat", shapeWords(s), mm(-s.Z[1]), mm(-s.Z[0]))
	}
	if p.Force > 0 {
		add("force", "force", "%g N to work it", p.Force)
	}
	if p.Contacts != "" {
		add("contacts", "contacts", "%s", strings.TrimSuffix(p.Contacts+", "+p.Action, ", "))
	}
	if p.Detents > 0 || p.Pulses > 0 {
		add("turn", "pulses", "%d clicks and %d pulses a turn", p.Detents, p.Pulses)
	}
	if p.Track != "" {
		add("track", "track", "%s", p.Track)
	}
	if p.Lamp != (catalog.LampData{}) {
		add("lamp", "lamp", "%s, drop %g V, %g mA, made for %g V (0: a bare LED)", or(p.Lamp.Colour, "any colour"), p.Lamp.Drop, p.Lamp.Current, p.Lamp.Rated)
	}
	for _, l := range p.Lugs {
		add("lug "+l.Name, "lugs", "%s, at %s, %s", or(l.Does, "lug"), mm(l.At[0]), mm(l.At[1]))
	}
	fs = append(fs, circuitFacts(p.Circuit)...)
	fs = append(fs, boardFacts(p.Board)...)
	if p.Mass > 0 {
		add("mass", "mass", "%g g", p.Mass)
	}
	if p.Price.To > 0 {
		add("price", "price", "%.2f to %.2f %s each, in packs of %d", p.Price.From, p.Price.To, or(p.Price.Currency, "EUR"), max(p.Price.Pack, 1))
	}
	return fs
}

func cutWords(c catalog.Cut) string {
	mm := func(l length.Length) string { return length.Plain(l.MM()) }
	s := "none"
	switch {
	case c.Round > 0 && c.Notch != nil:
		s = fmt.Sprintf("round %s mm with a notch %s wide, %s overall", mm(c.Round), mm(c.Notch.Width), mm(c.Notch.Height))
	case c.Round > 0:
		s = "round " + mm(c.Round) + " mm"
	case c.Rect != nil:
		s = fmt.Sprintf("rectangle %s by %s mm, corners to radius %s", mm(c.Rect[0]), mm(c.Rect[1]), mm(c.Corner))
	case c.Slot != nil:
		s = fmt.Sprintf("slot %s by %s mm", mm(c.Slot[0]), mm(c.Slot[1]))
	case c.DoubleD != nil:
		s = fmt.Sprintf("round %s mm with two flats %s apart", mm(c.DoubleD[0]), mm(c.DoubleD[1]))
	case c.SingleD != nil:
		s = fmt.Sprintf("round %s mm with one flat, %s to the other side", mm(c.SingleD[0]), mm(c.SingleD[1]))
	}
	if c.Tol != ([2]length.Length{}) {
		s += fmt.Sprintf(" (%s to %s)", mm(length.Length(c.Nominal())+c.Tol[0]), mm(length.Length(c.Nominal())+c.Tol[1]))
	}
	return s
}

func shapeWords(s catalog.Shape) string {
	mm := func(l length.Length) string { return length.Plain(l.MM()) }
	switch {
	case s.Round > 0:
		return "round " + mm(s.Round) + " mm"
	case s.Rect != nil:
		return mm(s.Rect[0]) + " by " + mm(s.Rect[1]) + " mm"
	case s.Hex > 0:
		return "hexagon " + mm(s.Hex) + " mm across"
	}
	return "no form"
}

func or(s, fallback string) string {
	if s == "" {
		return fallback
	}
	return s
}
